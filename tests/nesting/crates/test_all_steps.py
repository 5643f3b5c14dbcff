"""Steps of crates of every kind: two printed lines each, nothing empty, and every fixing driven where it is counted.

The crates: the works of :mod:`tests.nesting.crates.test_texts`, generated orders of each kind, and works that ask for
what those seldom have: bolted lids over gussets, own cleats, pads under skids, cases of many frames, shared cartons.
"""

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from functools import cache

import pytest

from nesting.base.faults import FaultsFound
from nesting.base.measure import INCH, LB_KG, UnitSystem, format_length
from nesting.crates.driving import LONGEST
from nesting.crates.expand import expand
from nesting.crates.model import Crate, Step
from nesting.intake.reading import order_from_rows
from nesting.order import Artwork, Back, Order
from nesting.shop.shop import Shop
from nesting.shop.shop_file import default_shop
from tests.generated_orders import COLUMNS, KINDS
from tests.nesting.crates.cartons.test_sharing import PAINTED, SIX, loads_of
from tests.nesting.crates.cartons.test_sharing import made as made_carton
from tests.nesting.crates.test_texts import PIECES

SHOP = default_shop()
BOLTED = replace(SHOP, gear=replace(SHOP.gear, lid="bolts"))
BARE = replace(SHOP, gear=replace(SHOP.gear, handles="screwed", standing=False, climate=False, skids=False))
STAPLED = replace(SHOP, battens=replace(SHOP.battens, staple="staple"))
PADDED = replace(SHOP, gear=replace(SHOP.gear, isolate="always"))

Names = tuple[str, Crate]


def work(name: str, width: float, height: float, depth: float, pounds: float, method: str, **more: object) -> Artwork:
    return replace(
        Artwork(name, int(width * INCH), int(height * INCH), int(depth * INCH), method=method, destination="there"),
        weight_kg=Decimal(str(pounds)) * LB_KG,
        support="birch panel",
        **more,  # type: ignore[arg-type]  # a test names fields freely
    )


STRAINER = Back("strainer", 5 * INCH // 2, 3 * INCH // 2)
OWN = Back("cleated", cleat_thickness=3 * INCH // 4, cleat_width=3 * INCH, cleat_low=2 * INCH, cleat_high=2 * INCH)

ORDERS: dict[str, tuple[Shop, tuple[Artwork, ...], str]] = {
    "texts 1": (SHOP, PIECES[:3], ""),
    "texts 2": (SHOP, PIECES[3:5], ""),
    "texts 3": (SHOP, PIECES[5:6], ""),
    "texts 4": (SHOP, PIECES[8:], ""),
    "bolted lids": (
        BOLTED,
        tuple(
            work(f"A-{n}", *size, 30, method, back=STRAINER)
            for n, (size, method) in enumerate(
                [
                    ((36, 40, 1.5), "closed"),
                    ((60, 100, 2), "battened"),
                    ((40, 104, 2), "battened"),
                    ((90, 50, 2), "battened"),
                ]
            )
        ),
        "",
    ),
    "bolted and heavy": (BOLTED, (work("A", 44, 60, 3, 260, "battened", back=STRAINER),), ""),
    "abroad": (
        BOLTED,
        (
            work("A", 36, 40, 1.5, 40, "closed", back=STRAINER),
            work("B", 70, 90, 2, 190, "battened", back=STRAINER),
            work("T", 48, 60, 2, 60, "travel", back=STRAINER),
        ),
        "NL",
    ),
    "own cleats": (SHOP, (work("A", 40, 30, 2, 40, "closed", back=OWN),), ""),
    "a set": (
        SHOP,
        (
            work("A", 20, 30, 2, 20, "closed", back=replace(OWN, cleat_thickness=9 * INCH // 8), set_name="s"),
            work("B", 20, 30, 2, 20, "closed", back=STRAINER, set_name="s"),
        ),
        "",
    ),
    "bare": (BARE, (work("A", 30, 40, 1.5, 60, "closed"), work("B", 60, 100, 2, 110, "battened", back=STRAINER)), ""),
    "stapled": (STAPLED, (work("B", 60, 100, 2, 110, "battened", back=STRAINER),), ""),
    "pads": (PADDED, (work("A", 36, 40, 2, 120, "closed", shock_limit=Decimal(50)),), ""),
    "many frames": (
        SHOP,
        tuple(work(f"T-{n}", 40 + n % 2, 48, 2, 30, "travel", back=STRAINER) for n in range(7)),
        "",
    ),
    "wide frames": (SHOP, tuple(work(f"T-{n}", 100, 50, 2, 60, "travel", back=STRAINER) for n in range(2)), "NL"),
    "small works": (
        SHOP,
        tuple(work(f"S-{n}", 10, 12, 1, 3, "carton", surface="resin") for n in range(6)),
        "",
    ),
}


def generated(kind: str, seed: int) -> Order:
    rows = KINDS[kind](seed).rows
    return order_from_rows([list(COLUMNS), *([row.get(column, "") for column in COLUMNS] for row in rows)])


@cache
def crates() -> tuple[Names, ...]:
    """Make every crate once; an order that the shop refuses must not be all of a kind."""
    found: list[Names] = []
    for units in ("inch", "metric"):
        for name, (shop, works, country) in ORDERS.items():
            made = expand(Order("o", works, units=units), shop, countries={"there": country})
            found += [(f"{name}, {units}, {crate.crate}", crate) for crate in made]
    six = loads_of(SIX, 4)[0].design
    found += [("trays", made_carton(SIX[:4], six))]
    found += [("backs", made_carton(PAINTED[:2], load.design)) for load in loads_of(PAINTED, 2) if load.design.backs]
    found += [("layers", made_carton(PAINTED[:4], load.design)) for load in loads_of(PAINTED, 4)]
    refused = 0
    for kind in KINDS:
        for seed in range(4):
            try:
                made = expand(generated(kind, seed), SHOP)
            except FaultsFound:
                refused += 1
                continue
            found += [(f"{kind} {seed}, {crate.crate}", crate) for crate in made]
    assert refused < 4
    return tuple(found)


def told(step: Step) -> Iterator[str]:
    yield from (step.text, step.caution, step.drill, step.stop, step.screw, step.check)


def driven(crate: Crate) -> Counter[str]:
    """Count what the steps drive, by good."""
    counts: Counter[str] = Counter()
    for step in crate.steps:
        for one in step.screw.split("; "):
            if found := re.match(r"(\d+) × ([^,]+)", one):
                counts[found[2]] += int(found[1])
            else:
                assert not one, one
    return counts


def drills(crate: Crate) -> str:
    return " | ".join(step.drill for step in crate.steps)


def test_crates_of_every_kind_are_looked_at() -> None:
    made = [crate for _, crate in crates()]
    assert len(made) >= 40
    assert {crate.method for crate in made} >= {"carton", "closed", "battened", "travel", "outer"}
    said = " ".join(step.text for crate in made for step in crate.steps)
    for rare in (
        "T-nuts comes", "left off", "cleats of their own", "pads of pe-plank", "Screw 2 handles", "staple", "A-frame",
        "pallet", "spacers", "its panels edge to edge", "silica gel", "gusset", "plate over each joint", "tray",
        "Outriggers" if "Outriggers" in said else "outriggers", "wedge", "Wait: ", "strips of",
    ):  # fmt: skip
        assert rare in said, rare


def test_no_step_is_longer_than_two_printed_lines_and_none_is_empty() -> None:
    for name, crate in crates():
        for step in crate.steps:
            assert 10 <= len(step.text) <= LONGEST, f"{name}: {len(step.text)}: {step.text}"
            assert step.text.endswith("."), f"{name}: {step.text}"
            for beside in told(step):
                assert len(beside) <= LONGEST + 10, f"{name}: {len(beside)}: {beside}"
                assert beside == beside.strip(" ,;"), f"{name}: {beside!r}"
                assert "  " not in beside, f"{name}: {beside!r}"


def test_every_fixing_is_driven_in_a_step_with_its_count() -> None:
    for name, crate in crates():
        wanted: Counter[str] = Counter()
        for fixing in crate.fixings:
            wanted[fixing.good] += fixing.count
        assert driven(crate) == wanted, name


def test_every_drill_that_a_fixing_needs_is_named() -> None:
    for name, crate in crates():
        said = drills(crate)
        for fixing in crate.fixings:
            assert not fixing.pilot or f"{fixing.pilot} pilot" in said, f"{name}: {fixing}"
        for point in crate.drill:
            if point.clearance:
                assert any(step.drill.startswith(point.clearance) for step in crate.steps), name
            if point.pilot:
                assert point.pilot in said, name
        shown = {step.stop for step in crate.steps if step.stop}
        assert all(
            point.stop in shown or any("own cleats" in step.text for step in crate.steps) for point in crate.drill
        ), name


def test_cleats_of_two_layers_are_bored_for_their_screws_and_single_ones_are_not() -> None:
    kinds = set()
    for name, crate in crates():
        if crate.method not in ("closed", "battened") or not crate.cleat_drill:
            continue
        layered = any("-layer" in placed.part for placed in crate.placed if placed.role == "cleat")
        kinds.add(layered)
        screwed = [step for step in crate.steps if "screw the cleats across" in step.text]
        assert len(screwed) == len({point.into for point in crate.cleat_drill}), name
        assert {step.stop.endswith("from the bore's bottom") for step in screwed} == {layered}, name
        assert any("bore its cleats" in step.text for step in crate.steps) is layered, name
    assert True in kinds


def test_cautions_are_said_once_in_a_crate() -> None:
    for name, crate in crates():
        said = Counter(step.caution for step in crate.steps if step.caution)
        assert not said or max(said.values()) == 1, f"{name}: {said.most_common(1)}"
        assert len(said) <= len(crate.steps) * 2 // 3, name


@pytest.mark.parametrize(("first", "then"), [
    ("Cut", "label"), ("frame on a flat table", "back edge"), ("drill back and cleat", "holes in the back alone"),
    ("spread glue on its back edge", "lies on its back"), ("lies on its back", "setting blocks"),
    ("setting blocks to the inside", "foam liner"), ("foam liner", "rest its edges"),
    ("rest its edges", "screw the cleats"), ("frame on a flat table", "ledge's strips"),
    ("wedge it", "drives its screws"), ("drives its screws", "Mark the side that opens"),
    ("Tap a T-nut", "handles to the outside"), ("skid blocks", "Bolt the skids on"),
    ("Bolt the skids on", "foam liner"), ("lift it out again", "pilots at the marks"),
    ("left off", "back edge; lay the back"), ("lay the lid on flush", "left off over"),
    ("gasket", "the side that opens"), ("wrap in", "Lay a board"), ("two rings", "strand board on all but"),
    ("Let the glue cool", "Stand the case up"), ("Stand the case up", "Mark where it opens"),
    ("buyer's halves down", "Screw on the front slats"),
])  # fmt: skip
def test_what_comes_first_comes_first(first: str, then: str) -> None:
    """In every crate that has both, what one step needs is done before it."""
    met = 0
    for name, crate in crates():
        texts = [step.text for step in crate.steps]
        a, b = ([n for n, text in enumerate(texts) if words in text] for words in (first, then))
        if a and b:
            met += 1
            assert a[0] <= b[0], f"{name}: {first} / {then}"
    assert met, f"no crate has both {first} and {then}"


def test_nothing_is_drilled_once_a_piece_is_in() -> None:
    """Lids, doors and front slats get their pilots before: a drill near a piece is a drill too near."""
    ins = ("drives its screws from outside", "onto the buyer's halves;", "slide in")
    met = set()
    for name, crate in crates():
        texts = [step.text for step in crate.steps]
        first = next((n for n, text in enumerate(texts) if any(word in text for word in ins)), None)
        if first is None or crate.method == "carton":
            continue
        met.add(crate.method)
        last = max(n for n, text in enumerate(texts) if any(word in text for word in ins))
        for step in crate.steps[last:]:
            assert not step.drill, f"{name}: {step}"
        outside = [step.drill for step in crate.steps[first:last] if "out of the crate" not in step.text]
        assert not any(outside) or crate.method in ("closed", "battened"), name
        driven_later = {fixing.pilot for fixing in crate.fixings if fixing.frees == "crate" and fixing.pilot}
        before = " ".join(step.drill for step in crate.steps[:first])
        assert all(f"{pilot} pilot" in before for pilot in driven_later), name
    assert met >= {"closed", "battened", "travel", "outer"}


def test_pilots_from_inside_stop_in_the_wood_of_the_back() -> None:
    met = set()
    for name, crate in crates():
        for role, words in (("setting block", "setting blocks to the inside"), ("bearing pad", "bearing pads")):
            steps = [step for step in crate.steps if words in step.text and step.drill]
            fixings = [fixing for fixing in crate.fixings if fixing.purpose.startswith(f"{role}s to ")]
            if not steps or not fixings:
                continue
            met.add(role)
            block = next(each.box for each in crate.placed if each.role == role)
            back = min(each.box.dz for each in crate.placed if each.role in ("back", "slat", "panel", "face"))
            stacked = (each.box for each in crate.placed if each.role == role)
            wood = sum(box.dz for box in stacked if (box.x, box.y) == (block.x, block.y))
            screw = SHOP.good(fixings[0].good).breadth
            units: UnitSystem = "metric" if "metric" in name else "inch"
            assert steps[0].stop == format_length(screw, units, 64, mark=True), name
            assert screw < wood + back, name
    assert met == {"setting block", "bearing pad"}


def test_the_gasket_of_a_screwed_lid_lies_inside_its_pilots() -> None:
    """By hand: 23/64 in to the middle of a frame of 23/32 in, 1/8 in beside a screw: 31/64 in, so 1/2 in."""
    made = [crate for name, crate in crates() if crate.method == "closed" and "inch" in name]
    steps = [step for crate in made for step in crate.steps if "inside the screws' pilots" in step.text]
    assert steps
    assert {step.check.split(" from")[0] for step in steps} == {"its outer side 1/2 in"}

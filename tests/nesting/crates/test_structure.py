"""Designs of crates: fifty generated pieces and a few chosen ones, each recomputed and proved from its own record."""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.base.faults import FaultsFound
from nesting.base.measure import INCH, LB_KG, MM
from nesting.crates.expand import expand
from nesting.crates.model import Crate
from nesting.crates.weigh import piece_weight
from nesting.intake import order_from_rows
from nesting.order import Artwork, Back, Order
from nesting.shop.shop import Shop
from nesting.shop.shop_file import default_shop
from pricing.output.job import read_both
from pricing.quoting.judging import judge_of
from tests.generated_orders import single
from tests.structure_geometry import geometry_faults
from tests.structure_verifier import Strength, faults_of

SHOP = default_shop()
JUDGED = ("closed", "battened", "travel")


def in_units(shop: Shop, units: str) -> Shop:
    """Return a shop with the steps of an order's units, as its rules state them."""
    if units == "inch":
        return shop
    return replace(
        shop,
        joinery=replace(shop.joinery, snap=shop.joinery.snap_metric),
        frame=replace(shop.frame, strip_step=shop.frame.strip_step_metric),
        cleats=replace(shop.cleats, step=shop.cleats.step_metric),
    )


def proved(order: Order, crates: Sequence[Crate], shop: Shop = SHOP) -> list[str]:
    """Return every fault of every crate that holds a piece by its back."""
    shop, by_name = in_units(shop, order.units), {piece.piece: piece for piece in order.copies()}
    faults = []
    for crate in crates:
        if crate.method not in JUDGED:
            continue
        pieces = [by_name[name] for name in crate.pieces]
        kg = {piece.piece: piece_weight(piece, shop).kg for piece in pieces}
        found = faults_of(crate, pieces, kg, shop) + geometry_faults(crate, pieces, shop)
        faults += [f"{crate.crate}, {crate.design.key if crate.design else crate.method}: {each}" for each in found]
    return faults


def test_fifty_pieces_pass_or_are_held_and_all_of_it_comes_out_again(tmp_path: Path) -> None:
    """None is refused: each has wood for its screws, and a sheet that is large enough."""
    faults: list[str] = []
    standing: Counter[str] = Counter()
    for seed in range(50):
        order, office = read_both(single(seed).write(tmp_path), None, None)
        crates = expand(order, office.shop, judge=judge_of(office))
        faults += [f"single {seed}, {each}" for each in proved(order, crates, office.shop)]
        standing.update(f"{crate.method} {crate.standing}" for crate in crates)
        for crate in crates:
            assert crate.standing != "accepted"
            assert bool(crate.held_for) is (crate.standing == "held")
            assert all(reason.would_pass for reason in crate.held_for)
    assert faults == []
    # All of these are tried: a change of what is chosen may move a few.
    assert min(standing[kind] for kind in ("closed good", "battened good", "battened held")) >= 2, standing


CHOSEN = {
    "a cradle of narrow bars": ("40,50,1 1/2,40 lb,closed", "cradle 3/4 x 1 1/4, face 1/4"),
    "a cradle with middle bars": ("60,84,1 3/4,120 lb,battened", "cradle 1 1/2 x 1 1/2, face 1/4, 2 middle bars"),
    "a wide strainer": ("60,100,2 1/4,140 lb,battened", "strainer 2 1/2 x 1 1/2"),
    "bars that meet": ("8,30,2,10 lb,closed", "strainer 4 x 1 1/2"),
    "a solid panel past its own span": ("40,100,3/4,90 lb,battened", "solid"),
    "own cleats": ("40,46,2 1/2,60 lb,closed", "cleated 1 thick, 3 wide, 2 up, 2 down"),
    "own cleats on a high piece": ("40,100,2 1/2,90 lb,battened", "cleated 1 1/4 thick, 3 wide, 2 up, 3 down"),
    "cleats that lie nobody knows where": ("30,40,2,30 lb,closed", "cleated"),
    "a travel frame of a strainer": ("50,60,2,35 lb,travel", "strainer 2 1/2 x 1 1/2, 1 middle bar"),
    "a travel frame longer than a sheet": ("110,40,1 1/2,40 lb,travel", "solid"),
    "a travel frame of a narrow piece": ("12,40,1 1/2,20 lb,travel", "solid"),
    "a back with seams both ways": ("112,60,2,100 lb,battened", "solid"),
    "a narrow piece with pads": ("11,60,1 1/2,20 lb,battened", "solid"),
}  # fmt: skip


def rows_of(cells: str, back: str, units: str = "inch") -> Order:
    """Read an order of one piece in the words of a studio."""
    width, height, depth, weight, method = cells.split(",")
    return order_from_rows(
        [
            ["piece", "width", "height", "depth", "weight", "method", "surface", "support", "back"],
            ["A-01", width, height, depth, weight, method, "paint", "birch panel", back],
        ],
        units=units,  # type: ignore[arg-type]  # one of two words
    )


@pytest.mark.parametrize("name", CHOSEN)
def test_chosen_pieces_pass_or_are_held(name: str) -> None:
    order = rows_of(*CHOSEN[name])
    assert proved(order, expand(order, SHOP)) == []


@pytest.mark.parametrize(
    "name", ["a cradle with middle bars", "a wide strainer", "own cleats", "a narrow piece with pads"]
)
def test_chosen_pieces_in_metric_pass_or_are_held(name: str) -> None:
    cells, back = CHOSEN[name]
    order = rows_of(cells.replace(" lb", " kg"), back)
    work = order.artworks[0]
    weight = (work.weight_kg or Decimal(1)) * LB_KG

    def even(value: int) -> int:
        return -(-value // (5 * MM)) * 5 * MM

    works = (replace(work, width=even(work.width), height=even(work.height), weight_kg=weight),)
    order = replace(order, artworks=works, units="metric")
    crates = expand(order, SHOP)
    assert proved(order, crates) == []
    assert any(check.unit == "N" for crate in crates for check in crate.checks)


def piece(name: str, width: float, height: float, lb: float, **fixed: Any) -> Artwork:
    told: dict[str, Any] = {"surface": "paint", "support": "birch panel", "depth": 2 * INCH, **fixed}
    return Artwork(name, round(width * INCH), round(height * INCH), weight_kg=Decimal(str(lb)) * LB_KG, **told)


@pytest.mark.parametrize(
    "pieces",
    [
        (piece("A", 30, 50, 29), piece("B", 30, 44, 29)),
        (piece("A", 60, 30, 40), piece("B", 56, 24, 30), piece("C", 50, 20, 20)),
        (
            piece("A", 40, 40, 40, back=Back("cradle", 3 * INCH // 2, INCH, INCH // 4)),
            piece("B", 40, 40, 30, back=Back("cleated", 0, 0, 0, 0, 5 * INCH // 4, 3 * INCH, INCH, INCH)),
        ),
        (piece("A", 20, 96, 60, back=Back("strainer", 5 * INCH // 2, 3 * INCH // 2)), piece("B", 20, 96, 70)),
    ],
    ids=["side by side", "one above the other", "a cradle beside own cleats", "two high ones"],
)
def test_sets_pass_or_are_held(pieces: tuple[Artwork, ...]) -> None:
    order = Order("o", tuple(replace(each, set_name="s", method="battened") for each in pieces))
    crates = expand(order, SHOP)
    assert [crate.pieces for crate in crates] == [tuple(each.piece for each in pieces)]
    assert proved(order, crates) == []


@pytest.mark.parametrize(
    ("cells", "back", "why"),
    [
        ("30,40,2,30 lb,closed", "cradle 1/2 x 1 1/2, face 1/4", "bars 1/2 in wide"),
        ("30,40,1,30 lb,closed", "cradle 1 1/2 x 1/2, face 1/4", "1/2 in of wood"),
        ("30,40,2,30 lb,closed", "cleated 1/2 thick, 3 wide, 2 up, 2 down", "cleats of its own 1/2 in thick"),
        ("30,40,2,30 lb,travel", "cleated 1 thick, 3 wide, 2 up, 2 down", "cleats of its own, 1 in thick"),
        ("3,40,2,3 lb,closed", "solid", "too small for two mounting cleats"),
        ("60,100,46 1/2,90 lb,battened", "solid", "46 1/2 in deep"),
    ],
)
def test_what_is_refused_has_no_wood_for_screws_or_no_sheet(cells: str, back: str, why: str) -> None:
    with pytest.raises(FaultsFound) as found:
        expand(rows_of(cells, back), SHOP)
    (fault,) = found.value.faults
    assert fault.row == 2
    assert why in fault.message


BACKS = (Back(), Back("strainer", 5 * INCH // 2, 3 * INCH // 2), Back("cradle", INCH, INCH, INCH // 4, 1))


@given(
    method=st.sampled_from(["closed", "battened"]),
    sides=st.tuples(st.integers(10, 110), st.integers(10, 110)),
    back=st.sampled_from(BACKS),
    pounds=st.lists(st.integers(1, 400), min_size=2, max_size=4, unique=True).map(sorted),
)
def test_what_passes_passes_when_lighter_and_costs_no_more(
    method: str, sides: tuple[int, int], back: Back, pounds: list[int]
) -> None:
    width, height = (min(side, 42) if method == "closed" else side for side in sides)
    made = [expand(Order("o", (piece("A", width, height, lb, method=method, back=back),)), SHOP)[0] for lb in pounds]
    good = [crate.standing == "good" for crate in made]
    assert good == sorted(good, reverse=True), list(zip(pounds, good, strict=True))
    costs = [crate.design.cost for crate in made if crate.design is not None and crate.standing == "good"]
    assert len(costs) == sum(good)
    assert costs == sorted(costs), list(zip(pounds, costs, strict=False))


@pytest.mark.parametrize("lb", [20, 390])
def test_equal_pieces_have_equal_designs(lb: float) -> None:
    one, other = (
        expand(Order("o", (piece(name, 60, 84, lb, method="battened"),)), SHOP)[0].design for name in ("A", "B")
    )
    assert one is not None
    assert one == other


SOUND = rows_of("60,84,1 3/4,60 lb,battened", "cradle 1 1/2 x 1 1/4, face 1/4, 1 middle bar")


def planted(crate: Crate, role: str, **moved: int) -> Crate:
    """Return a crate of which the first part of a role lies elsewhere."""
    number = next(n for n, placed in enumerate(crate.placed) if placed.role == role)
    placed = crate.placed[number]
    box = replace(placed.box, **{name: getattr(placed.box, name) + by for name, by in moved.items()})
    every = list(crate.placed)
    every[number] = replace(placed, box=box)
    return replace(crate, placed=tuple(every))


def drilled(crate: Crate, name: str, **by: int) -> Crate:
    """Return a crate of which the first point of a drill map lies elsewhere."""
    first, *rest = getattr(crate, name)
    moved = replace(first, **{key: getattr(first, key) + value for key, value in by.items()})
    return replace(crate, **{name: (moved, *rest)})  # type: ignore[arg-type]  # drill or cleat_drill


def said(crate: Crate, name: str, **told: Any) -> Crate:
    """Return a crate of which a check says something else."""
    checks = tuple(
        replace(check, ratio=None, **{key: value(check) for key, value in told.items()})
        if check.name == name
        else check
        for check in crate.checks
    )
    return replace(crate, checks=checks)


FAULTS: dict[str, tuple[Callable[[Crate], Crate], str]] = {
    "a demand that is 0.2 % less": (
        lambda c: said(c, "back, bending", demand=lambda check: check.demand * 0.998), "back, bending: demand"
    ),
    "a capacity that is 0.2 % more": (
        lambda c: said(c, "lid, bending", capacity=lambda check: check.capacity * 1.002), "lid, bending: capacity"
    ),
    "a verdict": (lambda c: said(c, "back to frame, glue", verdict=lambda _: "fails"), "back to frame, glue: says"),
    "a check that is not made": (
        lambda c: replace(c, checks=tuple(k for k in c.checks if k.name != "back to frame, glue")), "not judged"
    ),
    "a crate that stands as held": (lambda c: replace(c, standing="held"), "stands as held"),
    "a screw missing": (lambda c: replace(c, drill=c.drill[1:]), "mounting screws, withdrawal: capacity"),
    "a thinner back": (
        lambda c: replace(
            c, parts=tuple(replace(p, good="ply-15/32" if p.good == "ply-3/8" else "ply-3/8") if "back" in p.name else p
                           for p in c.parts)
        ), "comes out"
    ),
    "a cleat that meets its piece": (lambda c: planted(c, "cleat", z=INCH // 64), "meets K1.cleat-low"),
    "a batten beyond its edge": (lambda c: planted(c, "batten", y=INCH), "outside of its crate"),
    "a batten that leaves too much open": (lambda c: planted(c, "batten", x=-9 * INCH), "open between battens"),
    "a mounting screw beside its cleat": (lambda c: drilled(c, "drill", y=3 * INCH), "goes into 0 cleats"),
    "a mounting screw off the middle": (lambda c: drilled(c, "drill", y=INCH // 8), "not in the middle"),
    "a margin that is too good": (lambda c: drilled(c, "drill", tip_margin=INCH // 64), "in short, and says"),
    "a longer mounting screw": (
        lambda c: replace(c, drill=(replace(c.drill[0], screw="#10 x 2"), *c.drill[1:])), "in short, and says"
    ),
    "a shorter mounting screw": (
        lambda c: replace(c, drill=(replace(c.drill[0], screw="#10 x 3/4"), *c.drill[1:])), "of thread"
    ),
    "a screw beside its bar": (lambda c: drilled(c, "cleat_drill", y=INCH), "stands in no wood"),
    "a longer screw into the piece": (
        lambda c: replace(c, cleat_drill=(replace(c.cleat_drill[0], screw="#8 x 2-1/2"), *c.cleat_drill[1:])),
        "short of the face",
    ),
    "no step for short parts": (lambda c: replace(c, steps=c.steps[2:]), "and no step says so"),
}  # fmt: skip


@pytest.mark.parametrize("name", FAULTS)
def test_what_is_wrong_is_found(name: str) -> None:
    """A crate that is sound, with one thing wrong: the proofs of this module can fail."""
    (crate,) = expand(SOUND, SHOP)
    assert proved(SOUND, [crate]) == []
    change, found = FAULTS[name]
    assert any(found in fault for fault in proved(SOUND, [change(crate)])), proved(SOUND, [change(crate)])


def test_every_kind_of_check_is_recomputed() -> None:
    """What a check of a crate's structure is called stands in the verifier, so that no new one goes unseen."""
    seen = set()
    for cells, back in CHOSEN.values():
        order = rows_of(cells, back)
        for crate in expand(order, SHOP):
            if crate.method in JUDGED:
                kg = {work.piece: piece_weight(work, SHOP).kg for work in order.copies()}
                seen |= set(Strength(crate, order.copies(), kg, SHOP).found())
    assert seen == {
        "mounting screws, withdrawal", "mounting screws, pull-through", "mounting screws, lateral",
        "screws into the piece, withdrawal", "cleats to the piece, withdrawal", "back slat, bending",
        "back, bending", "back, rolling shear", "glue under the battens, shear", "cleats between uprights, bending",
        "back to frame, glue", "lid, bending", "the piece's own span", "handles", "handles, pull-through",
        "skids, height for a pallet jack", "skids, width for a pallet jack", "skids, height for forks", "standing",
    }  # fmt: skip

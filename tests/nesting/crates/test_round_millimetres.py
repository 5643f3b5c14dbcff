"""A shop by millimetres: every part, place, drill and fence is whole millimetres, whatever the work measures.

The works are those of :mod:`tests.nesting.crates.test_all_steps`, in millimetres and once more as they are, by inches.
"""

from collections.abc import Iterator
from dataclasses import fields, replace
from functools import cache
from importlib import import_module
from pathlib import Path

import pytest

import nesting
from nesting.base.faults import FaultsFound
from nesting.base.measure import MM
from nesting.base.own_length import OwnLength, near, whole, whole_up
from nesting.crates.expand import expand
from nesting.crates.model import Crate
from nesting.intake.reading import read_upload
from nesting.order import Artwork, Order
from nesting.shop.shop_file import default_shop
from tests.generated_orders import KINDS
from tests.nesting.crates import test_all_steps as works
from tests.nesting.crates.case_proofs import (
    prove_bolts,
    prove_case,
    prove_disjoint,
    prove_hung,
    prove_parts_placed,
    prove_standing,
)
from tests.nesting.crates.proofs import prove
from tests.round_millimetres import fractions_of, in_mm, metric_text

SHOP = default_shop("metric")
SHOPS = {
    id(works.SHOP): SHOP,
    id(works.BOLTED): replace(SHOP, gear=replace(SHOP.gear, lid="bolts")),
    id(works.BARE): replace(
        SHOP, gear=replace(SHOP.gear, handles="screwed", standing=False, climate=False, skids=False)
    ),
    id(works.STAPLED): replace(SHOP, battens=replace(SHOP.battens, staple="staple")),
    id(works.PADDED): replace(SHOP, gear=replace(SHOP.gear, isolate="always")),
}
KNOWN = frozenset(
    f"{value / MM:g} mm" for good in SHOP.goods for value in (good.thickness, good.least, good.greatest) if value % MM
)
GENERATED = (("consignment", 3), ("consignment", 6), ("sale", 1), ("sale", 3), *(("single", seed) for seed in range(6)))


def rounded(artwork: Artwork) -> Artwork:
    """Return a work as somebody measures it who reads whole millimetres."""

    def mm(value: int) -> int:
        return near(value, MM)

    back = artwork.back
    sizes = {each.name: mm(value) for each in fields(back) if isinstance(value := getattr(back, each.name), int)}
    sizes["middle_bars"] = back.middle_bars
    return replace(
        artwork,
        width=mm(artwork.width),
        height=mm(artwork.height),
        depth=mm(artwork.depth),
        pour_depth=mm(artwork.pour_depth),
        back=replace(back, **sizes),  # type: ignore[arg-type]  # names of whole numbers
    )


@cache
def crates(*, exact: bool) -> tuple[tuple[str, Crate], ...]:
    """Make every crate: of works in whole millimetres, or of those by inches in the same shop."""
    found: list[tuple[str, Crate]] = []
    for name, (shop, artworks, country) in works.ORDERS.items():
        order = Order("o", artworks) if exact else Order("o", tuple(map(rounded, artworks)), units="metric")
        found += [(name, crate) for crate in expand(order, SHOPS[id(shop)], countries={"there": country})]
    return tuple(found)


def generated() -> Iterator[tuple[str, Crate]]:
    for kind, seed in GENERATED:
        order = read_upload("o.csv", metric_text(KINDS[kind](seed)).encode(), units="metric")
        try:
            yield from ((f"{kind} {seed}", crate) for crate in expand(order, SHOP, countries={"Canal Gallery": "NL"}))
        except FaultsFound:
            continue


def told(found: Iterator[tuple[str, Crate]]) -> list[str]:
    """Return each kind of fraction once, with the order where it is first."""
    kinds: dict[str, str] = {}
    for name, crate in found:
        for what, value in fractions_of(crate, KNOWN):
            kinds.setdefault(what, f"{name}, {crate.crate} ({crate.method}): {what}: {value}")
    return list(kinds.values())


def test_a_metric_shop_prints_whole_millimetres() -> None:
    every = [*crates(exact=False), *generated()]
    assert len(every) > 40
    assert {crate.method for _, crate in every} == {"closed", "battened", "carton", "travel", "outer"}
    roles = {placed.role for _, crate in every for placed in crate.placed}
    assert {"skid", "backing block", "skid block", "lid ledge", "skid pad", "gusset", "setting block"} <= roles
    assert told(iter(every)) == []


def test_works_by_inches_get_crates_in_whole_millimetres() -> None:
    """30-1/2 in is 774.7 mm: all that is made for it is whole, and stands at whole ones."""
    assert any(work.width % MM for _, artworks, _ in works.ORDERS.values() for work in artworks)
    assert told(iter(crates(exact=True))) == []


@pytest.mark.parametrize("exact", [False, True])
def test_crates_by_millimetres_are_sound(exact: bool) -> None:
    """The proofs of crates by inches hold for them: nothing meets, every screw and bolt in wood, the foam snug."""
    made = crates(exact=exact)
    proven = 0
    for name, crate in made:
        shop = SHOPS[id(works.ORDERS[name][0])]
        shop = shop if exact else shop.in_units("metric")
        if crate.standing != "good" or any("own-cleat" in each.into for each in crate.drill):
            continue  # setting blocks reach under a piece's own cleats, into its cuboid
        proven += 1
        if crate.method in ("closed", "battened"):
            prove(crate, shop)
        elif crate.method == "travel":
            prove_hung(crate, shop)
        elif crate.method == "outer":
            frames = {each.crate: each for of, each in made if of == name}
            prove_case(crate, [frames[ride] for ride, _ in crate.rides], shop)
            prove_bolts(crate, shop)
            prove_standing(crate)
        else:
            prove_disjoint(crate)
            prove_parts_placed(crate, shop)
    assert proven > 30


def planted(crate: Crate) -> Iterator[Crate]:
    """Yield a crate with one thing a fraction of a millimetre off."""
    part, place, step = crate.parts[0], crate.placed[0], crate.steps[0]
    yield replace(crate, parts=(replace(part, width=part.width + MM // 4), *crate.parts[1:]))
    yield replace(crate, placed=(replace(place, box=replace(place.box, x=place.box.x + 1)), *crate.placed[1:]))
    yield replace(crate, drill=(replace(crate.drill[0], y=crate.drill[0].y + 1), *crate.drill[1:]))
    yield replace(crate, steps=(replace(step, check="152.4 mm from the edge"), *crate.steps[1:]))


def test_a_fraction_is_seen() -> None:
    crate = next(crate for _, crate in crates(exact=False) if crate.drill)
    assert list(fractions_of(crate, KNOWN)) == []
    assert all(len(list(fractions_of(each, KNOWN))) == 1 for each in planted(crate))
    assert in_mm("strainer 2 1/2 x 1 1/4") == "strainer 64 x 32"


def own_lengths() -> dict[str, OwnLength]:
    """Return every length of the carpentry's own choosing, by where it stands."""
    found: dict[str, OwnLength] = {}
    root = Path(nesting.__path__[0])
    for path in root.rglob("*.py"):
        if " = OwnLength(" not in path.read_text(encoding="utf-8") and "(OwnLength(" not in path.read_text("utf-8"):
            continue
        module = ".".join(("nesting", *path.relative_to(root).with_suffix("").parts))
        for name, value in vars(import_module(module)).items():
            each = value if isinstance(value, tuple) else (value,)
            found |= {f"{module}.{name} {n}": one for n, one in enumerate(each) if isinstance(one, OwnLength)}
    return found


def test_lengths_of_its_own_are_about_the_same_in_both() -> None:
    found = own_lengths()
    assert len(found) > 60
    assert {where: own for where, own in found.items() if own.metric % (MM // 2)} == {}
    # Steps that sizes are rounded to are chosen to be read off a rule, and a washer is what its standard says.
    steps = {where for where in found if "STEP" in where or "WASHER" in where or "_OVER" in where}
    assert all(abs(own.metric - own.inch) <= max(own.inch // 8, MM // 2) for where, own in found.items()
               if where not in steps)  # fmt: skip


@pytest.mark.parametrize("value", [0, 1, 12_345, 203_200])
def test_an_inch_shop_rounds_nothing(value: int) -> None:
    shop = default_shop()
    assert shop.grain == 1
    assert shop.whole(value) == shop.whole_up(value) == shop.near(value) == value


def test_grains() -> None:
    assert [round_(4 * MM + MM // 2, MM) // MM for round_ in (whole, whole_up, near)] == [4, 5, 5]
    assert near(-MM // 2 - 1, MM) == -MM

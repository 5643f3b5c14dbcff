"""Designs of a case: as ruled first, none twice, none that another beats in everything."""

from dataclasses import replace
from decimal import Decimal

from nesting.base.measure import INCH
from nesting.crates.cases.case_designs import MOST, designs, orders
from nesting.crates.cases.shape import sketch
from nesting.crates.cases.sizes import sizes_of
from nesting.crates.chosen import CASE_AS_RULED
from nesting.crates.traits import Casing
from tests.nesting.crates.cases.test_shape import SHOP, casing, piece


def test_designs_begin_as_ruled_and_can_all_be_made() -> None:
    several = casing(piece("A", 50, 40, turn=True), piece("B", 44, 52, turn=True))
    found = designs(several)
    assert found[0] == CASE_AS_RULED
    assert len(found) == len(set(found)) <= MOST
    for design in found:
        chosen = replace(several, design=design)
        assert sketch(chosen).outside.width >= sizes_of(chosen).pack.width
    assert {design.post for design in found} >= {"", "2x2"}
    assert {design.opens for design in found} >= {"", "front"}
    assert any(design.patterns for design in found)


def test_no_design_is_larger_than_another_in_everything() -> None:
    """Of the same lumber, opening alike and unseamed or seamed alike, something speaks for each but the ruled one."""
    several = casing(piece("A", 30, 24, turn=True), piece("B", 20, 34, turn=True))
    found = [design for design in designs(several)[1:] if not design.patterns]
    sizes = [sizes_of(replace(several, design=design)) for design in found]
    for one, a in zip(found, sizes, strict=True):
        for other, b in zip(found, sizes, strict=True):
            if one is other or one.post != other.post or a.opening != b.opening:
                continue
            mine, its = (
                (s.body.width, s.body.height, s.body.depth, *(n for bed in s.beds for n in (bed.foam, len(bed.sheets))))
                for s in (a, b)
            )
            assert any(x < y for x, y in zip(mine, its, strict=True))


def test_thin_pads_may_always_be_what_the_check_asks_for() -> None:
    """Boards behind thin foam cost more than foam: something snug takes no more room, foam and boards than each."""
    several = replace(casing(*(piece(name, 37, 37, weight_kg=Decimal(3)) for name in "ABC")), carriage="own van")
    snug = replace(several, shop=replace(SHOP, case=replace(SHOP.case, cushion="snug")))

    def bodies(which: Casing) -> set[tuple[tuple[object, ...], tuple[int, ...]]]:
        made = [sizes_of(replace(which, design=design)) for design in designs(which)]
        return {
            (
                (s.lying, s.opening, s.turned),
                (s.body.width, s.body.height, s.body.depth, *(n for bed in s.beds for n in (bed.foam, len(bed.shims)))),
            )
            for s in made
        }

    thin = bodies(snug)
    for how, bulk in bodies(several):
        assert any(how == so and all(map(int.__le__, small, bulk)) for so, small in thin), (how, bulk)


def test_designs_do_not_go_by_names() -> None:
    one = casing(piece("A", 50, 40), piece("B", 44, 52))
    other = casing(piece("Y", 50, 40), piece("X", 44, 52))
    assert designs(one) == designs(replace(other, crate="K1"))


def test_frames_that_open_at_the_front_by_the_rule_do_so() -> None:
    """case.front_up_to: a case of one frame opens at the front in any case."""
    assert {design.opens for design in designs(casing(piece("A", 30, 40)))} == {""}


def test_orders_of_the_frames() -> None:
    """As given, the largest at the back, the heaviest in the middle; each once."""
    three = casing(
        piece("A", 20, 20, weight_kg=Decimal(2)),
        piece("B", 40, 40, weight_kg=Decimal(20)),
        piece("C", 30, 30, weight_kg=Decimal(6)),
    )
    assert orders(three) == ((0, 1, 2), (1, 2, 0))
    a, b, c = (replace(three, frames=(f,), artworks=(w,)) for f, w in zip(three.frames, three.artworks, strict=True))
    heavy_first = replace(
        three,
        frames=(*b.frames, *a.frames, *c.frames),
        artworks=(*b.artworks, *a.artworks, *c.artworks),
    )
    assert orders(heavy_first) == ((0, 1, 2), (0, 2, 1), (1, 0, 2))
    assert orders(casing(piece("A", 20, 20))) == ((0,),)
    assert SHOP.good("2x2").breadth == 3 * INCH // 2

"""Plans of pads: as much foam as the load asks for, down to pads that do not buckle."""

from nesting.base.measure import INCH
from nesting.crates.cases.pad_plan import area_of_blocks, area_of_strips, blocks, strips

LEAST = 11 * INCH // 4
"""1.33 times 2 in of foam, to the next 1/8 in."""
SQUARE = INCH**2


def test_strips_run_right_through_where_the_load_wants_as_much() -> None:
    """Three frames 5 in deep, 120 sq in on two strips: 4 in wide each, 15 in long."""
    plan = strips(40 * INCH, [5 * INCH] * 3, 120 * SQUARE, LEAST, cut=True)
    assert (plan.wide, plan.runs) == (4 * INCH, (5 * INCH,) * 3)
    assert area_of_strips(plan) == 120 * SQUARE


def test_strips_are_cut_to_a_block_a_frame_where_it_wants_less() -> None:
    """55 sq in of 2-3/4 in wide: 10 in of run in all, 3-3/8 in a frame (rounded up); 20 sq in: no less than 2-3/4."""
    plan = strips(40 * INCH, [5 * INCH] * 3, 55 * SQUARE, LEAST, cut=True)
    assert (plan.wide, plan.runs) == (LEAST, (27 * INCH // 8,) * 3)
    least = strips(40 * INCH, [5 * INCH, 2 * INCH], 20 * SQUARE, LEAST, cut=True)
    assert least.runs == (LEAST, 2 * INCH), "a frame thinner than that has a pad as deep as itself"
    whole = strips(40 * INCH, [5 * INCH] * 3, 55 * SQUARE, LEAST, cut=False)
    assert whole.runs == (5 * INCH,) * 3


def test_blocks_leave_the_middle_slat_bare_where_its_pads_are_too_much() -> None:
    """Three slats 3-1/2 in broad: six blocks of 2-3/4 in square are 45 sq in; for 34 the outer four do."""
    slats = [(at * INCH, 7 * INCH // 2, 40 * INCH) for at in (2, 20, 38)]
    few = blocks(slats, 34 * SQUARE, LEAST, cut=True)
    assert few.bare
    assert area_of_blocks(few, slats) >= 4 * LEAST**2
    assert 30 * SQUARE < area_of_blocks(few, slats) < 40 * SQUARE
    all_three = blocks(slats, 60 * SQUARE, LEAST, cut=True)
    assert not all_three.bare
    assert area_of_blocks(all_three, slats) >= 60 * SQUARE
    assert not blocks(slats, 34 * SQUARE, LEAST, cut=False).bare


def test_blocks_are_as_broad_as_their_slat_where_they_are_not_cut() -> None:
    """34 sq in on six blocks: 1.6 in of run at 3-1/2 in, but 2-3/4 at the least."""
    slats = [(at * INCH, 7 * INCH // 2, 40 * INCH) for at in (2, 20, 38)]
    plan = blocks(slats, 34 * SQUARE, LEAST, cut=False)
    assert plan.wide == (LEAST,) * 3
    assert plan.tall == (7 * INCH // 2,) * 3

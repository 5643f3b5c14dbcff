"""Hints for the yard's saw: cuts that make what is carried lighter, and no others."""

from dataclasses import replace

from nesting.base.measure import INCH
from nesting.cutting.sawing.model import Outcome, SawCut
from nesting.drawings.packet.yard import first_cuts

SHEET = 96 * INCH, 48 * INCH
WHOLE = 96 * 48 * INCH * INCH
HANDLE = 16 * 144 * INCH * INCH


def rip(number: int, along: int, across: int, at: int) -> SawCut:
    """Return a rip of a panel of so many inches."""
    return SawCut(
        number=number, action="rip", panel="1A", fence=at * INCH, edge="bottom",
        off=Outcome("panel", "1B", along * INCH, at * INCH),
        stays=Outcome("panel", "1A", along * INCH, (across - at) * INCH), line=(0.0, 0.0, 0.0, 0.0), layout=0, repeat=1,
        tool="track", along=along * INCH, across=across * INCH,
    )  # fmt: skip


def test_a_cut_that_halves_a_sheet_is_a_hint() -> None:
    middle = rip(1, 96, 48, 24)
    assert first_cuts([middle, rip(2, 96, 24, 12)], WHOLE, HANDLE) == [middle]


def test_two_cuts_are_hints_where_what_is_largest_is_cut_again() -> None:
    steps = [rip(1, 96, 48, 14), rip(2, 96, 34, 16), rip(3, 96, 18, 9)]
    assert first_cuts(steps, WHOLE, HANDLE) == steps[:2]


def test_a_narrow_strip_off_a_sheet_is_none() -> None:
    assert first_cuts([rip(1, 96, 48, 4), rip(2, 96, 44, 22)], WHOLE, HANDLE) == []


def test_a_cut_of_the_smaller_piece_is_none() -> None:
    """A strip of 10-1/4 in comes off, and a 4 in rip of it was told too: no sheet was easier to carry for that."""
    first = rip(1, 96, 48, 10)
    assert first_cuts([first, rip(112, 96, 10, 4)], WHOLE, HANDLE) == [first]


def test_nothing_is_cut_of_what_one_person_carries_and_nothing_after_a_trim() -> None:
    assert first_cuts([rip(1, 48, 48, 24)], HANDLE, HANDLE) == []
    assert first_cuts([replace(rip(1, 96, 48, 24), action="trim")], WHOLE, HANDLE) == []

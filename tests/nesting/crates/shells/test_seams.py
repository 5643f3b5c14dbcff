"""Seams: a face larger than a sheet is divided into panels that fit, with the fewest sheets, clear of the cleats."""

from itertools import combinations, pairwise
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.base.measure import INCH, MM
from nesting.crates.shells import seams
from nesting.crates.shells.seams import (
    Dividing,
    Interval,
    Pattern,
    Rect,
    Seam,
    Stock,
    divisions,
    halved,
    pattern_for,
    pattern_taken,
    patterns_for,
    sheets_needed,
)
from nesting.shop.shop_file import default_shop
from tests.strategies import lengths

SHOP = default_shop()
STOCK = Stock.of(SHOP.good("ply-3/8"), SHOP.saw)
LEAST, SNAP = 12 * INCH, INCH // 16


def inches(pattern: Pattern) -> list[tuple[float, float]]:
    return [(rect.dx / INCH, rect.dy / INCH) for rect, _ in pattern.panels]


def test_a_face_that_fits_is_not_divided() -> None:
    whole = pattern_for(48 * INCH, 96 * INCH, STOCK, Dividing(LEAST, SNAP))
    assert whole == Pattern(((Rect(0, 0, 48 * INCH, 96 * INCH), None),))


def test_back_and_lid_of_a_60_by_100_in_piece_take_four_sheets() -> None:
    # 66 x 106 in, twice: 13,992 sq in of 4,608 each, so four sheets are the least that can do.
    zones = tuple((line - 17 * INCH // 4, line + 17 * INCH // 4) for line in (5 * INCH, 101 * INCH))
    made = pattern_for(66 * INCH, 106 * INCH, STOCK, Dividing(LEAST, SNAP, zones), copies=2)
    assert made is not None
    panels = [rect for rect, _ in made.panels]
    assert sheets_needed(panels * 2, (96 * INCH, 48 * INCH), SHOP.saw.kerf) == 4 == -(-2 * 66 * 106 // (96 * 48))
    assert len(panels) == 3
    assert inches(made) == [(33, 94), (33, 94), (66, 12)]
    assert [(s.runs, s.at / INCH) for s in made.seams] == [("x", 94), ("y", 33)]


def test_a_face_a_little_wider_than_a_sheet_keeps_a_panel_of_the_least_width() -> None:
    made = pattern_for(49 * INCH, 60 * INCH, STOCK, Dividing(LEAST, SNAP))
    assert made is not None
    assert min(min(sides) for sides in inches(made)) >= 12


def test_no_pattern_where_the_rules_leave_none() -> None:
    tiny = Stock(((20 * INCH, 10 * INCH),), 0)
    assert pattern_for(30 * INCH, 30 * INCH, tiny, Dividing(LEAST, SNAP)) is None


def test_trim_makes_the_sheet_smaller() -> None:
    saw = type(SHOP.saw)(trim_left=INCH, trim_top=INCH // 2)
    assert Stock.of(SHOP.good("ply-3/8"), saw).sizes == ((95 * INCH, 95 * INCH // 2),)


def refuse_unless_it_tiles(
    made: Pattern, face: tuple[int, int], stock: Stock, zones: tuple[Interval, ...] = ()
) -> None:
    """Hold a pattern against the face, the sheets and what its level seams keep clear of."""
    width, height = face
    rects = [rect for rect, _ in made.panels]
    assert sum(r.dx * r.dy for r in rects) == width * height
    assert all(stock.fits(r.dx, r.dy) for r in rects)
    for a, b in combinations(rects, 2):
        assert a.x + a.dx <= b.x or b.x + b.dx <= a.x or a.y + a.dy <= b.y or b.y + b.dy <= a.y
    assert all(r.x >= 0 and r.x + r.dx <= width and r.y >= 0 and r.y + r.dy <= height for r in rects)
    if len(rects) > 1:
        assert min(min(r.dx, r.dy) for r in rects) >= LEAST
    for seam in made.seams:
        if seam.runs == "x":
            assert all(not low < seam.at < high for low, high in zones)
    ends = {seam.at for seam in made.seams}
    assert all(seam is None or seam in ends for _, seam in made.panels)


@given(
    width=lengths(13 * INCH, 250 * INCH),
    height=lengths(13 * INCH, 200 * INCH),
    metric=st.booleans(),
    line=lengths(5 * INCH, 40 * INCH),
)
def test_every_pattern_tiles_the_face_with_panels_that_fit(width: int, height: int, metric: bool, line: int) -> None:
    stock = Stock(((2440 * MM, 1220 * MM),), 3 * MM) if metric else STOCK
    zones = ((line - 4 * INCH, line + 4 * INCH), (height - line - 4 * INCH, height - line + 4 * INCH))
    made = pattern_for(width, height, stock, Dividing(LEAST, MM if metric else SNAP, zones))
    if made is None:
        # Only where zones and least width leave no room; never for want of sheets.
        assert not stock.fits(width, height)
        return
    refuse_unless_it_tiles(made, (width, height), stock, zones)


@given(width=lengths(24 * INCH, 250 * INCH), height=lengths(24 * INCH, 200 * INCH))
def test_there_is_always_a_pattern_where_no_batten_is_in_the_way(width: int, height: int) -> None:
    assert pattern_for(width, height, STOCK, Dividing(LEAST, SNAP)) is not None


@given(
    total=lengths(30 * INCH, 250 * INCH),
    cap=lengths(24 * INCH, 96 * INCH),
    zones=st.lists(st.tuples(lengths(0, 200 * INCH), lengths(INCH, 20 * INCH)), max_size=4),
)
def test_divisions_keep_to_cap_and_least_and_out_of_the_zones(
    total: int, cap: int, zones: list[tuple[int, int]]
) -> None:
    closed_off = [(low, low + wide) for low, wide in zones]
    for cuts in divisions(total, cap, LEAST, SNAP, closed_off):
        assert all(not low < at < high for at in cuts for low, high in closed_off)
        strips = [b - a for a, b in pairwise([0, *cuts, total])]
        assert all(LEAST <= strip <= cap for strip in strips)


@given(
    st.lists(st.tuples(st.integers(1, 96), st.integers(1, 48)), min_size=1, max_size=9),
    st.integers(0, 1),
)
def test_the_count_of_sheets_is_no_less_than_the_area_and_no_more_than_one_each(
    sides: list[tuple[int, int]], kerf: int
) -> None:
    count = sheets_needed([Rect(0, 0, a, b) for a, b in sides], (96, 48), kerf)
    assert -(-sum(a * b for a, b in sides) // (96 * 48)) <= count <= len(sides)


def test_the_count_of_sheets_says_zero_where_a_panel_is_too_big() -> None:
    assert sheets_needed([Rect(0, 0, 97, 10)], (96, 48), 0) == 0


def test_two_halves_share_a_sheet_only_without_a_kerf() -> None:
    halves = [Rect(0, 0, 48, 48)] * 2
    assert sheets_needed(halves, (96, 48), 0) == 1
    assert sheets_needed(halves, (96, 48), 1) == 2


def test_a_face_of_20_ft_is_divided_in_a_few_steps_however_many_zones_it_keeps_clear_of() -> None:
    zones = tuple((at * INCH, (at + 6) * INCH) for at in range(5, 245, 24))
    made = pattern_for(246 * INCH, 246 * INCH, STOCK, Dividing(LEAST, SNAP, zones), copies=2)
    assert made is not None
    assert sum(rect.dx * rect.dy for rect, _ in made.panels) == (246 * INCH) ** 2
    assert all(STOCK.fits(rect.dx, rect.dy) for rect, _ in made.panels)
    assert not any(low < s.at < high for s in made.seams if s.runs == "x" for low, high in zones)


def test_panels_that_need_sheets_of_different_sizes_are_compared_too() -> None:
    # 60 x 20 in comes off the long sheet only, 40 x 40 in off the square one only.
    stock = Stock(((96 * INCH, 24 * INCH), (42 * INCH, 42 * INCH)), 0)
    made = pattern_for(100 * INCH, 66 * INCH, stock, Dividing(LEAST, SNAP))
    assert made is not None
    assert all(stock.fits(rect.dx, rect.dy) for rect, _ in made.panels)


def test_a_face_narrower_than_the_least_panel_is_cut_across_only() -> None:
    made = pattern_for(136 * INCH, 10 * INCH, STOCK, Dividing(LEAST, SNAP))
    assert made is not None
    assert {rect.dy for rect, _ in made.panels} == {10 * INCH}
    assert all(LEAST <= rect.dx <= 96 * INCH for rect, _ in made.panels)


def panels(pattern: Pattern) -> list[tuple[float, float]]:
    """Return the panels' longer and shorter sides, in inches."""
    return sorted((max(r.dx, r.dy) / INCH, min(r.dx, r.dy) / INCH) for r, _ in pattern.panels)


BOARD = Stock.of(SHOP.good("osb-7/16"), SHOP.saw)


def test_a_sheet_may_fall_short_of_its_size_by_what_the_standards_allow() -> None:
    # US PS 1-19: +0, -1/16 in; US PS 2: +0, -1/8 in. So 47-7/8 in is what every sheet of strand board has.
    assert STOCK.sure.sizes == ((96 * INCH - INCH // 16, 48 * INCH - INCH // 16),)
    assert BOARD.sure.sizes == ((96 * INCH - INCH // 8, 48 * INCH - INCH // 8),)
    assert BOARD.sure.sure == BOARD.sure


def test_a_seamed_face_may_have_one_panel_as_wide_as_every_sheet_and_a_narrow_one() -> None:
    found = patterns_for(50 * INCH, 60 * INCH, BOARD, Dividing(LEAST, SNAP))
    assert found[0] == pattern_for(50 * INCH, 60 * INCH, BOARD, Dividing(LEAST, SNAP))
    assert panels(found[0]) == [(50, 30), (50, 30)]
    assert [(50, 12.125), (50, 47.875)] in [panels(each) for each in found]
    # Half a sheet with a kerf between: the narrow panels of two such faces are ripped side by side.
    assert [(50, 23.875), (50, 36.125)] in [panels(each) for each in found]
    assert {seam.runs for pattern in found for seam in pattern.seams} == {"x", "y"}


def test_uneven_panels_save_a_sheet_where_other_parts_are_cut_from_it() -> None:
    # Three faces of 50 x 60: equal halves of 50 x 30 take three sheets whatever lies beside them; with full-width
    # panels three narrow ones of 50 x 12-1/8 share a sheet, and a part of 48 x 44 finds room beside the full ones.
    others = [Rect(0, 0, 47 * INCH, 44 * INCH)] * 3

    def sheets(pattern: Pattern) -> int:
        return sheets_needed([r for r, _ in pattern.panels] * 3 + others, (96 * INCH, 48 * INCH), BOARD.kerf)

    found = patterns_for(50 * INCH, 60 * INCH, BOARD, Dividing(LEAST, SNAP))
    assert min(map(sheets, found)) < sheets(found[0])


def test_a_face_that_a_sheet_takes_has_one_pattern_and_one_that_nothing_takes_has_none() -> None:
    whole = patterns_for(48 * INCH, 96 * INCH, BOARD, Dividing(LEAST, SNAP))
    assert [len(pattern.panels) for pattern in whole] == [1]
    assert patterns_for(30 * INCH, 30 * INCH, Stock(((20 * INCH, 10 * INCH),), 0), Dividing(LEAST, SNAP)) == ()


@pytest.mark.parametrize(("number", "taken"), [(0, 0), (1, 1), (7, 0)])
def test_a_number_beyond_the_patterns_stands_for_the_first(number: int, taken: int) -> None:
    found = patterns_for(50 * INCH, 60 * INCH, BOARD, Dividing(LEAST, SNAP), most=3)
    assert len(found) == 3
    assert pattern_taken(found, number) is found[taken]


@given(
    width=lengths(13 * INCH, 130 * INCH),
    height=lengths(49 * INCH, 120 * INCH),
    line=lengths(5 * INCH, 40 * INCH),
    most=st.integers(1, 8),
)
@settings(max_examples=20)
def test_patterns_differ_in_their_panels_and_all_but_the_first_are_kept_within_every_sheet(
    width: int, height: int, line: int, most: int
) -> None:
    zones = ((line - 4 * INCH, line + 4 * INCH), (height - line - 4 * INCH, height - line + 4 * INCH))
    dividing = Dividing(LEAST, SNAP, zones)
    found = patterns_for(width, height, BOARD, dividing, most=most)
    first = pattern_for(width, height, BOARD, dividing)
    assert found[:1] == ((first,) if first else ())
    assert len({tuple(panels(pattern)) for pattern in found}) == len(found) <= most
    for pattern in found[1:]:
        refuse_unless_it_tiles(pattern, (width, height), BOARD.sure, zones)


def test_a_line_divides_the_smallest_panel_that_it_crosses() -> None:
    """60 x 60 in of panels 48 and 12 in wide: a level line at 20 in crosses both, and divides the narrow one."""
    face = Pattern(
        ((Rect(0, 0, 48 * INCH, 60 * INCH), 48 * INCH), (Rect(48 * INCH, 0, 12 * INCH, 60 * INCH), 48 * INCH)),
        (Seam("y", 48 * INCH, 0, 60 * INCH),),
    )
    made = halved(face, "x", 20 * INCH, STOCK, LEAST)
    assert made is not None
    assert inches(made) == [(48, 60), (12, 20), (12, 40)]
    assert made.seams[1:] == (Seam("x", 20 * INCH, 48 * INCH, 60 * INCH),)
    upright = halved(face, "y", 30 * INCH, STOCK, LEAST)
    assert upright is not None
    assert inches(upright) == [(30, 60), (18, 60), (12, 60)]
    assert upright.seams[1:] == (Seam("y", 30 * INCH, 0, 60 * INCH),)
    assert halved(face, "y", 8 * INCH, STOCK, LEAST) is None, "a panel of 8 in is narrower than the least"
    assert halved(face, "x", 60 * INCH, STOCK, LEAST) is None, "the line lies on the edge"
    one = Pattern(((Rect(0, 0, 100 * INCH, 40 * INCH), None),))
    assert halved(one, "x", 20 * INCH, STOCK, LEAST) is None, "100 in fit no sheet"


def test_what_runs_the_other_way_is_passed_over_before_its_panels_are_made(monkeypatch: pytest.MonkeyPatch) -> None:
    made: list[Pattern] = []
    make = seams._pattern  # noqa: SLF001 - what is counted

    def counted(*args: int, **cuts: Any) -> Pattern:
        made.append(make(*args, **cuts))
        return made[-1]

    monkeypatch.setattr(seams, "_pattern", counted)
    assert pattern_for(153 * INCH, 171 * INCH, STOCK, Dividing(LEAST, SNAP), only="y") is None
    assert not made


@pytest.mark.parametrize("rows", [True, False])
def test_a_draft_tells_what_its_pattern_has(rows: bool) -> None:
    drafts = list(
        seams._patterns(  # noqa: SLF001 - its drafts are no other's
            (70 * INCH, 110 * INCH), 48 * INCH, STOCK, Dividing(LEAST, SNAP), rows=rows, uneven=True
        )
    )
    assert drafts
    for draft in drafts:
        pattern = draft.made()
        assert (draft.panels, draft.runs) == (len(pattern.panels), frozenset(seam.runs for seam in pattern.seams))

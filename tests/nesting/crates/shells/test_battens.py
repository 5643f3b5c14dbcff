"""Battens: a rectangle all round, crosspieces under the screws, no gap wider than the rule; see proofs for the rest."""

from dataclasses import replace
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.advice.fasteners import distances
from nesting.base.measure import INCH
from nesting.crates.shells.battens import Grid, grid_for
from nesting.crates.shells.seams import Pattern, Rect, Seam
from nesting.shop.house_rules import BattenRules
from nesting.shop.shop_file import default_shop
from tests.strategies import lengths

SHOP = default_shop()
WIDTH = SHOP.battens.width


def plain(width: int, height: int) -> Pattern:
    return Pattern(((Rect(0, 0, width, height), None),))


def grid(width: int, height: int, *lines: int) -> Grid:
    return grid_for(plain(width, height), width, height, lines, SHOP)


def test_defaults_are_pinned() -> None:
    rules = BattenRules()
    assert rules.width == 3 * INCH
    assert rules.good == "ply-3/8"  # common practice, no source: 3/8 in battens
    assert (rules.seam_good, rules.seam_width) == ("ply-23/32", 11 * INCH // 2)
    assert rules.spacing == 24 * INCH  # 24 in between cleats of panelboard boxes, READ-2 and from memory


@pytest.mark.parametrize(("clear", "between"), [(48, 1), (72, 2), (96, 3)])
def test_number_of_intermediate_battens(clear: int, between: int) -> None:
    # Panel 48 in long: at least 1, 72 in: 2, 96 in: 3, measured centre to centre (arithmetic on 24 in, READ-2).
    made = grid(clear * INCH + WIDTH, 30 * INCH)
    uprights = {b.rect.x for b in made.battens if b.name == "upright"}
    assert len(uprights) == between


def test_long_perimeter_pieces_are_full_length_and_the_short_ones_stand_between() -> None:
    made = grid(60 * INCH, 40 * INCH)
    long = [b.rect for b in made.battens if b.name == "batten-long"]
    short = [b.rect for b in made.battens if b.name == "batten-short"]
    assert [(r.dx, r.dy) for r in long] == [(60 * INCH, WIDTH)] * 2
    assert [(r.dx, r.dy) for r in short] == [(WIDTH, 40 * INCH - 2 * WIDTH)] * 2


def test_no_face_has_an_unstiffened_middle() -> None:
    # Common practice, no source: more battens across and down, even where the spacing alone would ask for none.
    made = grid(20 * INCH, 20 * INCH)
    assert {b.name for b in made.battens} == {"batten-long", "batten-short", "crosspiece", "upright"}


def test_a_crosspiece_is_centred_on_each_row_of_screws() -> None:
    made = grid(60 * INCH, 60 * INCH, 8 * INCH, 50 * INCH)
    rows = [b.rect for b in made.battens if b.name == "crosspiece"]
    assert {(r.y + r.dy // 2) for r in rows} >= {8 * INCH, 50 * INCH}


def test_no_upright_is_shorter_than_it_is_wide() -> None:
    # Rows 8-1/2 in apart leave 5-1/2 in between crosspieces of 3 in, rows 5 in apart leave 2 in: no block goes there.
    for apart, blocks in ((17 * INCH // 2, True), (5 * INCH, False)):
        made = grid(40 * INCH, 60 * INCH, 20 * INCH, 20 * INCH + apart)
        between = [b for b in made.battens if b.name == "upright" and 20 * INCH < b.rect.y < 20 * INCH + apart]
        assert bool(between) == blocks
        assert all(b.rect.dy >= WIDTH for b in made.battens if b.name == "upright")


def test_rows_that_are_close_share_one_wide_crosspiece() -> None:
    made = grid(30 * INCH, 20 * INCH, 8 * INCH, 10 * INCH)
    rows = [b.rect for b in made.battens if b.name == "crosspiece"]
    assert [(r.y, r.dy) for r in rows] == [(13 * INCH // 2, 5 * INCH)]


def test_a_row_near_the_edge_widens_the_lower_batten() -> None:
    edge = distances(10).edge
    made = grid(30 * INCH, 40 * INCH, 3 * INCH)
    lower = next(b.rect for b in made.battens if b.rect.y == 0 and b.name == "batten-short")
    assert lower.dy == 3 * INCH + edge


def test_a_seam_batten_is_centred_on_its_seam_and_uprights_stop_at_it() -> None:
    width, height, at = 60 * INCH, 80 * INCH, 48 * INCH
    pattern = Pattern(((Rect(0, 0, width, at), at), (Rect(0, at, width, height - at), at)), (Seam("x", at, 0, width),))
    made = grid_for(pattern, width, height, (), SHOP)
    seam = made.of("seam batten")
    assert [(b.rect.y + b.rect.dy // 2, b.rect.dy, b.rect.dx) for b in seam] == [
        (at, SHOP.battens.seam_width, width - 2 * WIDTH)
    ]


def test_breaks_name_joints_and_seam_battens_on_a_row() -> None:
    width, height, at = 60 * INCH, 90 * INCH, 30 * INCH
    pattern = Pattern(
        ((Rect(0, 0, at, height), at), (Rect(at, 0, width - at, height), at)), (Seam("y", at, 0, height),)
    )
    made = grid_for(pattern, width, height, (10 * INCH,), SHOP)
    half = SHOP.battens.seam_width // 2
    zones = made.breaks(10 * INCH, INCH)
    assert (at - half - INCH, at + half + INCH) in zones
    crosspiece = made.at(20 * INCH, 10 * INCH)
    assert crosspiece is not None
    assert crosspiece.name == "crosspiece"
    assert made.at(12 * INCH, 5 * INCH) is None


def test_a_spacing_too_narrow_for_the_battens_is_refused() -> None:
    with pytest.raises(ValueError, match="spacing"):
        BattenRules(spacing=8 * INCH)


@given(
    width=lengths(10 * INCH, 200 * INCH),
    height=lengths(10 * INCH, 200 * INCH),
    lines=st.lists(lengths(INCH, 150 * INCH), max_size=4),
    spacing=st.sampled_from([9, 12, 24, 48]),
)
def test_battens_never_overlap_nor_leave_the_face(width: int, height: int, lines: list[int], spacing: int) -> None:
    shop = replace(SHOP, battens=replace(SHOP.battens, spacing=spacing * INCH))
    inner = [line for line in lines if line < height - INCH]
    rects = [b.rect for b in grid_for(plain(width, height), width, height, inner, shop).battens]
    for r in rects:
        assert r.x >= 0
        assert r.y >= 0
        assert r.x + r.dx <= width
        assert r.y + r.dy <= height
    for a, b in combinations(rects, 2):
        assert a.x + a.dx <= b.x or b.x + b.dx <= a.x or a.y + a.dy <= b.y or b.y + b.dy <= a.y

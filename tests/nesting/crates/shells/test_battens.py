"""Battens: one way from edge to edge, over every seam, near enough, never one on another; see proofs for the rest."""

from itertools import combinations, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.base.measure import INCH
from nesting.crates.shells.battens import Grid, Lay, bands_of, fits, grid_for, joined, open_most, set_out
from nesting.crates.shells.seams import Pattern, Rect, Seam
from nesting.shop.house_rules import BattenRules
from nesting.shop.shop_file import default_shop
from tests.strategies import lengths

SHOP = default_shop()
WIDTH, BROAD = SHOP.battens.width, SHOP.battens.seam_width
THIN = SHOP.good("ply-3/8")
T = 23 * INCH // 32


def plain(width: int, height: int) -> Pattern:
    return Pattern(((Rect(0, 0, width, height), None),))


def seamed(width: int, height: int, at: int, runs: str = "x") -> Pattern:
    """Return a face of two panels, one level or upright seam between them."""
    if runs == "x":
        return Pattern(((Rect(0, 0, width, at), at), (Rect(0, at, width, height - at), at)), (Seam("x", at, 0, width),))
    return Pattern(((Rect(0, 0, at, height), at), (Rect(at, 0, width - at, height), at)), (Seam("y", at, 0, height),))


def grid(width: int, height: int, extra: int, *rows: int, pattern: Pattern | None = None) -> Grid:
    """Lay so many uprights, and crosspieces under rows."""
    made = pattern or plain(width, height)
    seams = sorted({s.at for s in made.seams if s.runs == "y"})
    lay = Lay("y", set_out(width, T, seams, extra, WIDTH, SHOP), WIDTH, THIN, rows)
    return grid_for(made, width, height, lay, SHOP)


def test_defaults_are_pinned() -> None:
    rules = BattenRules()
    assert rules.width == 3 * INCH
    assert rules.goods == ("ply-3/8", "ply-15/32", "ply-23/32")
    assert (rules.seam_good, rules.seam_width) == ("ply-23/32", 11 * INCH // 2)
    # US Army TM 43-0156, app. D-1 (PPP-B-601): one more cleat where an unframed area is over 24 in, READ-1.
    assert (rules.clear, rules.spacing) == (24 * INCH, 0)


@pytest.mark.parametrize(("open_in", "needed"), [(24, 0), (24.1, 1), (51, 1), (51.1, 2), (78, 2), (78.1, 3)])
def test_number_of_intermediate_battens(open_in: float, needed: int) -> None:
    # TM 43-0156 read as clear openings: n = ceil((clear + w) / (24 + w)) - 1 with battens w = 3 in wide.
    across = int(open_in * INCH) + 2 * T
    opened = [
        open_most(across, T, bands_of(Lay("y", set_out(across, T, (), n, WIDTH, SHOP), WIDTH, THIN), plain(9, 9), SHOP))
        for n in range(5)
    ]
    # Set to the step of 1/16 in, the widest opening may exceed the rule by that.
    assert next(n for n, gap in enumerate(opened) if gap <= 24 * INCH + SHOP.joinery.snap) == needed


def test_uprights_reach_from_edge_to_edge_over_the_rails() -> None:
    made = grid(60 * INCH, 40 * INCH, 3)
    assert [(b.name, b.rect.y, b.rect.dy, b.rect.dx) for b in made.battens] == [("upright", 0, 40 * INCH, WIDTH)] * 3
    gaps = [b.rect.x for b in made.battens]
    assert max(b - a for a, b in pairwise(gaps)) - min(b - a for a, b in pairwise(gaps)) <= SHOP.joinery.snap


def test_crosspieces_lie_under_rows_and_butt_against_uprights() -> None:
    made = grid(60 * INCH, 60 * INCH, 2, 8 * INCH, 50 * INCH)
    rows = [b for b in made.battens if b.name == "crosspiece"]
    assert {b.rect.y + b.rect.dy // 2 for b in rows} == {8 * INCH, 50 * INCH}
    assert sum(b.rect.dx for b in rows) == 2 * (60 * INCH - 2 * WIDTH)


def test_rows_that_are_close_share_one_wide_crosspiece() -> None:
    assert joined((8 * INCH, 10 * INCH), WIDTH) == [(13 * INCH // 2, 23 * INCH // 2)]
    made = grid(30 * INCH, 20 * INCH, 2, 8 * INCH, 10 * INCH)
    assert {(b.rect.y, b.rect.dy) for b in made.battens if b.name == "crosspiece"} == {(13 * INCH // 2, 5 * INCH)}


def test_uprights_run_on_over_a_level_seam_whose_batten_lies_between_them() -> None:
    width, height, at = 60 * INCH, 80 * INCH, 48 * INCH
    made = grid(width, height, 2, pattern=seamed(width, height, at))
    assert {b.rect.dy for b in made.battens if b.name == "upright"} == {height}
    seam = made.of("seam batten")
    assert {(b.rect.y + b.rect.dy // 2, b.rect.dy) for b in seam} == {(at, BROAD)}
    assert sum(b.rect.dx for b in seam) == width - 2 * WIDTH


def test_an_upright_seam_lies_on_the_centre_line_of_an_unbroken_batten_among_the_uprights() -> None:
    width, height, at = 60 * INCH, 90 * INCH, 30 * INCH
    made = grid(width, height, 2, 10 * INCH, pattern=seamed(width, height, at, "y"))
    (over,) = made.of("seam batten")
    assert (over.rect.x + over.rect.dx // 2, over.rect.dx, over.rect.dy) == (at, BROAD, height)
    half = BROAD // 2
    zones = made.breaks(10 * INCH, INCH, 2 * INCH)
    assert (at - half - INCH, at + half + INCH) in zones
    crosspiece = made.at(20 * INCH, 10 * INCH)
    assert crosspiece is not None
    assert crosspiece.name == "crosspiece"
    assert made.at(26 * INCH, 5 * INCH) is None


def test_beside_uprights_a_screw_through_the_bare_face_keeps_room_for_its_washer() -> None:
    made = grid(60 * INCH, 40 * INCH, 2)
    (first, _) = made.battens
    assert (first.rect.x - 2 * INCH, first.rect.x + WIDTH + 2 * INCH) in made.breaks(5 * INCH, INCH, 2 * INCH)


def test_battens_that_find_no_room_beside_each_other_are_told() -> None:
    crowded = Lay("y", (10 * INCH, 12 * INCH), WIDTH, THIN)
    assert not fits(crowded, plain(30 * INCH, 30 * INCH), 30 * INCH, SHOP)
    on_seam = Lay("y", (10 * INCH, 20 * INCH), WIDTH, THIN, (15 * INCH,))
    assert not fits(on_seam, seamed(30 * INCH, 30 * INCH, 15 * INCH), 30 * INCH, SHOP)


def test_a_spacing_too_narrow_for_the_battens_is_refused() -> None:
    with pytest.raises(ValueError, match="spacing"):
        BattenRules(spacing=8 * INCH)


@given(
    width=lengths(14 * INCH, 200 * INCH),
    height=lengths(14 * INCH, 200 * INCH),
    rows=st.lists(lengths(2 * INCH, 150 * INCH), max_size=4),
    extra=st.integers(0, 8),
    seam=st.none() | st.tuples(st.sampled_from("xy"), st.integers(25, 75)),
)
def test_battens_never_overlap_nor_leave_the_face(
    width: int, height: int, rows: list[int], extra: int, seam: tuple[str, int] | None
) -> None:
    pattern = plain(width, height)
    if seam is not None:
        pattern = seamed(width, height, (width if seam[0] == "y" else height) * seam[1] // 100, seam[0])
    over = [s.at for s in pattern.seams if s.runs == "y"]
    inner = tuple(row for row in rows if row < height - 2 * INCH)
    lay = Lay("y", set_out(width, T, over, extra, WIDTH, SHOP), WIDTH, THIN, inner)
    if not fits(lay, pattern, width, SHOP):
        return
    rects = [b.rect for b in grid_for(pattern, width, height, lay, SHOP).battens]
    for r in rects:
        assert r.x >= 0
        assert r.y >= 0
        assert r.x + r.dx <= width
        assert r.y + r.dy <= height
    for a, b in combinations(rects, 2):
        assert a.x + a.dx <= b.x or b.x + b.dx <= a.x or a.y + a.dy <= b.y or b.y + b.dy <= a.y

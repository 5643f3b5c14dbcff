"""Bolts of cases: lengths, bores and distances by hand."""

from dataclasses import replace

from nesting.base.measure import INCH
from nesting.crates.cases.bolting import beside, edge_of, end_of, hole_of, kinds, pierced, rail_depth, reach_of, sunk
from nesting.crates.gear.members import section_of
from nesting.crates.model import Box, Placed
from nesting.shop.shop_file import default_shop

SHOP = default_shop()
NAME = SHOP.gear.skid_bolt


def test_distances_of_a_bolt() -> None:
    """1.5 D from edges, 4 D from ends and between (NDS): 3/8 in: 0.5625 and 1.5 in; hole 1/16 in over."""
    bolt = SHOP.good(NAME)
    assert edge_of(bolt) == 9 * INCH // 16
    assert end_of(bolt) == 3 * INCH // 2
    assert hole_of(bolt) == 7 * INCH // 16


def test_length_and_bore_through_the_rail_and_through_the_post() -> None:
    """Rail 2-1/2 in high, board 7/16, skid 3-1/2: 6-7/16 in; 1/2 in for washer and nut of a bolt of 5-1/2: bore 1-7/16.

    Rounded up to eighths: 1-1/2 in. Through a post 1-1/2 in thick the 4-1/2 in bolt comes to the same.
    """
    skid = 7 * INCH // 2
    rail, bore = sunk(NAME, 5 * INCH // 2 + 7 * INCH // 16 + skid, skid, SHOP) or (None, 0)
    assert rail is not None
    assert (rail.breadth, bore) == (11 * INCH // 2, 3 * INCH // 2)
    post, bore = sunk(NAME, 3 * INCH // 2 + 7 * INCH // 16 + skid, skid, SHOP) or (None, 0)
    assert post is not None
    assert (post.breadth, bore) == (9 * INCH // 2, 3 * INCH // 2)


def test_no_bolt_comes_out_of_the_wood_or_leaves_too_little_of_it() -> None:
    assert sunk(NAME, 4 * INCH, 2 * INCH, SHOP) is None
    assert sunk(NAME, 12 * INCH, 7 * INCH // 2, SHOP) is None
    bare = replace(SHOP, goods=tuple(good for good in SHOP.goods if not good.good.startswith("carriage")))
    assert kinds(NAME, bare) == ()
    assert sunk(NAME, 6 * INCH, 3 * INCH, bare) is None


def test_skids_reach_beyond_by_what_the_bolts_need() -> None:
    """Board 7/16 and rail 1-1/2 less 9/16: 1-3/8 in from the face; 4 D is 1-1/2, so 1/8 in more; laminated 3/16."""
    board = 7 * INCH // 16
    sawn = section_of("2x3", SHOP, laminated=False)
    assert rail_depth(sawn, board, SHOP) == 11 * INCH // 8
    assert reach_of(sawn, board, SHOP) == INCH // 8
    glued = section_of("2x3", SHOP, laminated=True)
    assert rail_depth(glued, board, SHOP) == 21 * INCH // 16
    assert reach_of(glued, board, SHOP) == 3 * INCH // 16


def test_bolts_across_a_skid_keep_clear_of_bores_from_above() -> None:
    """A bore 1-1/8 in wide and a bolt of 3/8 in are 3/4 in apart at the least, middle to middle."""
    assert beside(4 * INCH, 8 * INCH, []) == 4 * INCH
    assert beside(4 * INCH, 8 * INCH, [4 * INCH + INCH // 4]) == 4 * INCH - INCH // 2
    assert beside(4 * INCH, 8 * INCH, [4 * INCH, 2 * INCH]) == 13 * INCH // 4
    assert beside(2 * INCH, 8 * INCH, [2 * INCH]) == 11 * INCH // 4, "the end is too near: towards the middle"


def test_parts_on_a_line_are_told_in_its_order() -> None:
    placed = [
        Placed("skid", 0, Box(0, 0, 0, 10, 30, 10), "skid"),
        Placed("rail", 0, Box(0, 35, 0, 10, 20, 10), "case lumber"),
        Placed("board", 0, Box(0, 30, 0, 10, 5, 10), "case face"),
        Placed("aside", 0, Box(10, 0, 0, 10, 60, 10), "case face"),
    ]
    assert pierced(placed, (5, 55, 5), (0, -1, 0), 50) == ("rail", "board", "skid")
    assert pierced(placed, (5, 55, 5), (0, -1, 0), 22) == ("rail", "board")
    assert pierced(placed, (5, 0, 5), (0, 1, 0), 50) == ("skid", "board", "rail")

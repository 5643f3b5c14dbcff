"""Places: the table of where parts go says every place once and none that is not there."""

import re
from collections import Counter
from dataclasses import replace
from decimal import Decimal
from itertools import product

from hypothesis import given
from hypothesis import strategies as st

from nesting.base.measure import INCH, format_length
from nesting.crates.model import Bolt, Box, Fitting
from nesting.drawings.blocks import blocks
from nesting.drawings.packet.book import packet_scenes
from nesting.drawings.packet.page import Flow
from nesting.drawings.packet.places import places_table
from nesting.drawings.packet.printing import Printing, paper_named
from nesting.drawings.scene import Text
from nesting.order import Artwork, Back, Order
from tests.nesting.drawings.builds import plain_build, random_builds

points = st.tuples(*(st.integers(0, 3) for _ in range(3)))


@given(st.sets(points, min_size=1, max_size=20))
def test_blocks_are_exactly_the_points(found: set[tuple[int, int, int]]) -> None:
    told = Counter(point for block in blocks(found) for point in product(*block))
    assert set(told) == found
    assert max(told.values()) == 1


def test_a_full_grid_is_one_line() -> None:
    grid = set(product((0, 5), (1, 2, 3), (7,)))
    assert blocks(grid) == [((0, 5), (1, 2, 3), (7,))]


def test_every_part_of_a_crate_is_in_the_table_with_its_places() -> None:
    checked = 0
    for build in random_builds(5, start=70):
        printing = Printing(build, paper_named("letter"), "inch", None, None, None, None)
        for crate in build.crates:
            flow = Flow(printing.paper, "test", "test")
            places_table(flow, printing, crate, {})
            shown = " ".join(item.text for page in flow.pages for item in page.items if isinstance(item, Text))
            for placed in crate.placed:
                assert placed.part in shown
                for value in (placed.box.x, placed.box.y, placed.box.z):
                    assert format_length(value) in shown
                checked += 1
    assert checked > 100


def test_bolts_and_handles_stand_in_their_tables() -> None:
    piece = Artwork("A-01", 30 * INCH, 40 * INCH, 2 * INCH, weight_kg=Decimal(10), method="closed", back=Back("solid"))
    build = plain_build(Order("o", (piece,)))
    (crate,) = build.crates
    stile = next(each.part for each in crate.placed if each.role == "stile")
    bolts = tuple(
        Bolt("bolt 1/4x1-1/2", 0, y * INCH, INCH, (1, 0, 0), (stile,), nut="t-nut 1/4", hole=9 * INCH // 32)
        for y in (20, 22)
    )
    handle = Fitting("handle", "handle", Box(-INCH, 19 * INCH, INCH // 2, INCH, 4 * INCH, INCH))
    fitted = replace(build, crates=(replace(crate, bolts=bolts, gear=(handle,)),))
    shown = " ".join(
        item.text for scene in packet_scenes(Printing(fitted)) for item in scene.items if isinstance(item, Text)
    )
    assert re.search(r"\d bolt 1/4x1-1/2 .{0,80}?9/32 in; t-nut 1/4 ", shown)
    assert re.search(r"handle 1 1 × 4 × 1 bought 1/2 ", shown)

"""Places: the table of where parts go says every place once and none that is not there."""

from collections import Counter
from itertools import product

from hypothesis import given
from hypothesis import strategies as st

from nesting.base.measure import format_length
from nesting.drawings.packet.page import Flow
from nesting.drawings.packet.places import blocks, places_table
from nesting.drawings.packet.printing import Printing, paper_named
from nesting.drawings.scene import Text
from tests.nesting.drawings.builds import random_builds

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

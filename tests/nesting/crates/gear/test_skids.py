"""Skids: two runners across the short side, and outriggers where the base is narrow."""

from hypothesis import given
from hypothesis import strategies as st

from nesting.base.measure import INCH
from nesting.crates.bench import Bench
from nesting.crates.gear.skids import lay_skids, plan_skids
from nesting.shop.shop_file import default_shop

SHOP = default_shop()


@given(
    st.integers(20 * INCH, 150 * INCH),
    st.integers(20 * INCH, 130 * INCH),
    st.integers(12 * INCH, 60 * INCH),
    st.booleans(),
)
def test_skids_let_a_jack_in_and_the_case_stand(width: int, height: int, depth: int, laminated: bool) -> None:
    """3-1/2 in high and 28 in clear between (jack 3-1/4 in lowered, 27 in over its forks, equipment pages, quoted)."""
    skids = plan_skids(width, height, depth, SHOP, laminated=laminated)
    assert skids.height == 7 * INCH // 2
    left, right = skids.starts
    assert right - left - skids.wide == skids.clear
    assert left >= 0
    assert right + skids.wide <= width
    assert abs((width - right - skids.wide) - left) <= 1
    if width >= 28 * INCH + 2 * skids.wide:
        assert skids.clear >= 28 * INCH
    total = height + skids.height
    assert (depth + 2 * skids.over) * 3 >= total
    assert (skids.over > 0) == (depth * 3 < total)
    bench = Bench("K1", SHOP)
    lumber = lay_skids(bench, skids, 0, skids.over, width, depth)
    assert not any(one.meets(other) for n, one in enumerate(lumber.boxes) for other in lumber.boxes[n + 1 :])
    assert min(box.z for box in lumber.boxes) == 0
    assert all(box.x >= 0 and box.x + box.dx <= width for box in lumber.boxes)
    assert {box.y + box.dy for box in lumber.boxes} == {skids.height}

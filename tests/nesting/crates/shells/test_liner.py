"""The liner: rigid foam all round the inside of the frame, cut to fit, never longer than the board."""

from hypothesis import given

from nesting.base.measure import INCH
from nesting.crates.bench import Bench
from nesting.crates.shells.frame import frame_for
from nesting.crates.shells.liner import line
from nesting.shop.shop_file import default_shop
from tests.strategies import lengths

SHOP = default_shop()
CLEAT = SHOP.good("ply-23/32").thickness
FOAM = SHOP.good("foam-board-1").thickness


def test_rigid_foam_strips_line_the_inside_of_the_frame() -> None:
    # Common practice, no source.
    frame = frame_for(30 * INCH, 30 * INCH, INCH, SHOP, "inch", behind=CLEAT)
    bench = Bench("K1", SHOP)
    line(bench, frame, 0, behind=CLEAT)
    assert {p.name: p.count for p in bench.parts} == {"K1.liner-bottom": 1, "K1.liner-top": 1, "K1.liner-side": 2}
    assert {p.good for p in bench.parts} == {"foam-board-1"}


def test_it_leaves_room_for_gussets() -> None:
    frame = frame_for(100 * INCH, 30 * INCH, INCH, SHOP, "inch", behind=CLEAT)
    bench = Bench("K1", SHOP)
    line(bench, frame, 0, behind=CLEAT)
    top = [p.box for p in bench.placed if p.part.startswith("K1.liner-top")]
    assert len(top) == 2
    assert top[1].x - (top[0].x + top[0].dx) == SHOP.joinery.gusset_length


@given(width=lengths(5 * INCH, 220 * INCH), height=lengths(5 * INCH, 220 * INCH))
def test_strips_fit_and_none_is_longer_than_the_board(width: int, height: int) -> None:
    frame = frame_for(width, height, 2 * INCH, SHOP, "inch", behind=CLEAT)
    bench = Bench("K1", SHOP)
    frame.place(bench, 0)
    total = line(bench, frame, 0, behind=CLEAT)
    foam = [p.box for p in bench.placed if p.role == "liner"]
    assert sum(max(b.dx, b.dy) if b.dx != FOAM else b.dy for b in foam) == total
    for one in foam:
        assert max(one.dx, one.dy) <= 96 * INCH
        assert not any(one.meets(p.box) for p in bench.placed if p.box is not one)

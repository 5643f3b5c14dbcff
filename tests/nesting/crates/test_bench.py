"""The bench's books: names, counts, places, hardware."""

import pytest

from nesting.base.measure import INCH
from nesting.crates.bench import Bench
from nesting.crates.model import Box, Fixing
from nesting.cutting.parts import Piecework
from nesting.shop.shop_file import default_shop

SHOP = default_shop()
T = SHOP.good("ply-3/8").thickness


def test_equal_parts_are_counted_and_another_size_gets_a_number() -> None:
    bench = Bench("K1", SHOP)
    for x, side in ((0, 4), (10, 4), (20, 5)):
        bench.panel("strip", "ply-3/8", Box(x * INCH, 0, 0, 8 * INCH, side * INCH, T), "batten", flat="z", along="x")
    assert [(p.name, p.length, p.width, p.count, p.grain) for p in bench.parts] == [
        ("K1.strip", 8 * INCH, 4 * INCH, 2, "length"),
        ("K1.strip-2", 8 * INCH, 5 * INCH, 1, "length"),
    ]
    assert [(p.part, p.index) for p in bench.placed] == [("K1.strip", 0), ("K1.strip", 1), ("K1.strip-2", 0)]


def test_grain_follows_the_axis_given() -> None:
    bench = Bench("K1", SHOP)
    bench.panel("a", "ply-3/8", Box(0, 0, 0, 2 * INCH, T, 9 * INCH), "rail", flat="y", along="x")
    bench.panel("b", "ply-3/8", Box(0, 0, 0, 2 * INCH, 9 * INCH, T), "back", flat="z")
    bench.panel("c", "foam-board-1", Box(0, 0, 0, 2 * INCH, INCH, 9 * INCH), "liner", flat="y", along="x")
    assert [(p.length, p.width, p.grain) for p in bench.parts] == [
        (2 * INCH, 9 * INCH, "length"),
        (9 * INCH, 2 * INCH, "any"),
        (2 * INCH, 9 * INCH, "any"),  # foam has no grain
    ]


def test_a_box_must_be_as_thick_as_its_good() -> None:
    with pytest.raises(ValueError, match="thick"):
        Bench("K1", SHOP).panel("a", "ply-3/8", Box(0, 0, 0, INCH, INCH, T + 1), "back", flat="z")


def test_hardware_adds_up_by_purpose_and_by_good() -> None:
    bench = Bench("K1", SHOP)
    bench.fix("screw 8x5/8", 4, "battens", "3/32 in")
    bench.fix("screw 8x5/8", 3, "battens", "3/32 in")
    bench.fix("screw 8x5/8", 2, "handles", "3/32 in")
    bench.fix("staple", 9, "film")
    bench.use("handle", 1)
    assert bench.fixings[0] == Fixing("screw 8x5/8", 7, "battens", "3/32 in")
    assert bench.piecework == (Piecework("screw 8x5/8", 9), Piecework("staple", 9), Piecework("handle", 1))
    assert bench.screws() == 9


def test_unknown_goods_are_refused() -> None:
    with pytest.raises(KeyError, match="no good named"):
        Bench("K1", SHOP).use("gold nails", 1)

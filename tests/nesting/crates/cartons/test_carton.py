"""Cartons: wrapping, boards, cushion on six sides, and the smallest stocked box."""

from collections import Counter
from dataclasses import replace
from datetime import date
from decimal import Decimal
from itertools import combinations, permutations
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.base.measure import INCH
from nesting.crates.cartons.carton import CARTON, carton, carton_for
from nesting.crates.cartons.contents import contents_of
from nesting.crates.cartons.stock import smallest_carton
from nesting.crates.model import Size
from nesting.crates.traits import Packing, Refused
from nesting.order import Artwork
from nesting.shop.goods import Good, StockSize
from nesting.shop.shop import Shop
from nesting.shop.shop_file import default_shop

SHOP = default_shop()
HUGE = Good(
    "carton huge", "Invented huge carton", "each", "carton", (StockSize("huge"),), inside=(60 * INCH,) * 3, each_g=1.0
)
ROOMY = replace(SHOP, goods=(*SHOP.goods, HUGE))


def piece(name: str, width: float, height: float, depth: float, **facts: Any) -> Artwork:
    return Artwork(name, int(width * INCH), int(height * INCH), int(depth * INCH), **facts)


def packing(*pieces: Artwork, shop: Shop = SHOP, **facts: Any) -> Packing:
    return Packing("K1", pieces, shop, "asked for", **facts)


def test_a_small_light_piece_goes_in_glassine_foam_boards_plank_and_a_carton() -> None:
    """Glassine, then foam wrap in two to four layers, then a carton: common practice, no source."""
    crate = carton(packing(piece("A-01", 12, 12, 1.5, weight_kg=Decimal("1.2"))))
    assert [layer.material for layer in crate.layers] == [
        "glassine",
        "foam-wrap",
        "ply-3/8",
        "soft-foam-1-1/2",
        "telescoping carton 24x18",
    ]
    assert Counter(roll.good for roll in crate.rolls) == {"glassine": 1, "foam-wrap": 2, "kraft": 1}
    glassine = next(roll for roll in crate.rolls if roll.good == "glassine")
    assert (glassine.length, glassine.width) == (30 * INCH, 15 * INCH)  # 2 (12 + 1-1/2) + 3 by 12 + 2 x 1-1/2
    assert crate.pieces == ("A-01",)
    assert crate.net_kg == pytest.approx(1.2)
    assert crate.lift == "one person"


def test_the_side_of_the_face_is_marked_since_the_opening_page_asks_for_it_on_top() -> None:
    assert "face side up as marked" in CARTON.texts.opening[0]
    crate = carton(packing(piece("A-01", 12, 12, 1.5, weight_kg=Decimal("1.2"))))
    assert '"face side" on the side that the face looks to' in crate.steps[-1].text


def test_kraft_last_and_with_a_warning() -> None:
    """Silicone parchment, butcher paper or, last and with a warning of scuffing, kraft: common practice, no source."""
    bare = replace(
        SHOP, goods=tuple(g for g in SHOP.goods if g.good not in ("glassine", "silicone-parchment", "butcher-paper"))
    )
    crate = carton(packing(piece("A-01", 12, 12, 1.5), shop=bare))
    assert crate.layers[0].material == "kraft"
    assert any("scuff" in warning for warning in crate.warnings)
    none = replace(bare, goods=tuple(g for g in bare.goods if g.good != "kraft"))
    with pytest.raises(Refused, match="only paper may"):
        carton(packing(piece("A-01", 12, 12, 1.5), shop=none))


def test_no_carton_is_refused_with_the_size_that_would_do() -> None:
    with pytest.raises(Refused) as caught:
        carton(packing(piece("A-01", 34, 34, 4, row=3)))
    (told,) = caught.value.reasons
    assert (told.piece, told.row, told.column) == ("A-01", 3, "method")
    assert "no stocked carton" in told.found
    assert carton_for(packing(piece("A-01", 34, 34, 4))) is None


def test_a_metric_order_reads_in_millimetres() -> None:
    crate = carton(packing(piece("A-01", 12, 12, 1.5), units="metric"))
    assert any("762 mm x 381 mm" in step.text for step in crate.steps)


def test_a_set_is_stacked_with_boards_between() -> None:
    crate = carton(packing(piece("A", 12, 12, 0.5), piece("B", 10, 12, 0.5), shop=ROOMY))
    boards = [placed.box for placed in crate.placed if placed.role == "board"]
    assert len(boards) == 3
    (_, first), (_, second) = crate.pieces_placed
    assert boards[0].z < first.z < boards[1].z < second.z < boards[2].z


def test_resin_waits_seven_days_before_paper_lies_against_it() -> None:
    crate = carton(packing(piece("A-01", 12, 12, 1.5, poured=date(2026, 6, 1))))
    assert crate.earliest_packing is not None
    assert f"{crate.earliest_packing:%Y-%m-%d %H:%M}" == "2026-06-09 00:00"
    (waits,) = [n for n, step in enumerate(crate.steps) if "2026-06-09" in step.text]
    assert waits < next(n for n, step in enumerate(crate.steps) if "wrap in" in step.text)


lengths = st.integers(INCH // 2, 24 * INCH)


STIFF = replace(ROOMY, goods=tuple(good for good in ROOMY.goods if not good.opens_to))
"""A shop with no carton that telescopes."""


@given(st.lists(lengths, min_size=3, max_size=3))
def test_the_smallest_carton_is_taken(sides: list[int]) -> None:
    need = Size(*sides)
    fit = smallest_carton(need, STIFF)
    assert fit is not None
    takes = [
        good
        for good in STIFF.goods
        if good.material == "carton"
        and any(all(w <= h for w, h in zip(sides, turned, strict=True)) for turned in permutations(good.inside))
    ]
    volume = [good.inside[0] * good.inside[1] * good.inside[2] for good in takes]
    assert fit.inside.width * fit.inside.height * fit.inside.depth == min(volume)
    assert sorted((fit.inside.width, fit.inside.height, fit.inside.depth)) == sorted(fit.good.inside)
    assert need.width <= fit.inside.width
    assert need.height <= fit.inside.height
    assert need.depth <= fit.inside.depth


@settings(max_examples=300, deadline=None)
@given(
    st.lists(st.tuples(lengths, lengths, st.integers(INCH // 8, 4 * INCH), st.integers(1, 45)), min_size=1, max_size=3)
)
def test_nothing_meets_and_all_lies_in_the_carton(sides: list[tuple[int, int, int, int]]) -> None:
    """Pads, boards and pieces share no space, stay inside, and every side of the contents has its cushion."""
    pieces = [Artwork(f"P{n}", w, h, d, weight_kg=Decimal(kg) / 10) for n, (w, h, d, kg) in enumerate(sides)]
    asked = packing(*pieces, shop=ROOMY)
    crate = carton(asked)
    inner = contents_of(asked)
    solids = [placed.box for placed in crate.placed] + [box for _, box in crate.pieces_placed]
    assert not any(one.meets(other) for one, other in combinations(solids, 2))
    room = crate.inside
    whole = crate.outside
    walls = (whole.width - room.width) // 2, (whole.height - room.height) // 2, (whole.depth - room.depth) // 2
    for box in solids:
        assert walls[0] <= box.x <= box.x + box.dx <= walls[0] + room.width
        assert walls[1] <= box.y <= box.y + box.dy <= walls[1] + room.height
        assert walls[2] <= box.z <= box.z + box.dz <= walls[2] + room.depth
    assert sum(part.count for part in crate.parts) == len(crate.placed)
    boards = [placed.box for placed in crate.placed if placed.role == "board"]
    for axis, side in (("x", "dx"), ("y", "dy"), ("z", "dz")):
        low = min(getattr(box, axis) for box in boards)
        high = max(getattr(box, axis) + getattr(box, side) for box in boards)
        pads = [placed.box for placed in crate.placed if placed.role == "cushion"]
        assert any(getattr(box, axis) == low - inner.cushion for box in pads)
        assert any(getattr(box, axis) + getattr(box, side) == high + inner.cushion for box in pads)
    assert inner.cushion >= 2 * INCH
    for (_, box), artwork in zip(crate.pieces_placed, pieces, strict=True):
        assert (box.dx, box.dy, box.dz) == (artwork.width, artwork.height, artwork.depth)
    assert 0 < crate.centre[0] < whole.width
    assert 0 < crate.centre[2] < whole.depth


def test_the_weight_is_the_sum_of_its_parts() -> None:
    crate = carton(packing(piece("A-01", 12, 12, 1.5, weight_kg=Decimal(2))))
    metre = 8_000_000
    by_hand = 0.0
    for part in crate.parts:
        good = SHOP.good(part.good)
        by_hand += good.density * part.length * part.width * good.thickness / metre**3 * part.count
    for roll in crate.rolls:
        good = SHOP.good(roll.good)
        by_hand += good.density * roll.length * roll.width * good.thickness / metre**3 * roll.count
    for used in crate.piecework:
        by_hand += SHOP.good(used.good).each_g * used.count / 1000
    assert crate.tare_kg == pytest.approx(by_hand)
    assert crate.gross_kg == round(round(crate.net_kg, 1) + round(crate.tare_kg, 1), 1)


def test_a_small_piece_rides_in_a_small_carton() -> None:
    # 8 x 8 x 1 in needs 13 5/8 x 13 5/8 x 7 1/4 in in 2 1/2 in of plank; a 16 in cube of 12 would be more air.
    crate = carton(packing(piece("A-01", 8, 8, 1)))
    assert crate.layers[-1].material == "carton 20x16x8"
    bare = replace(SHOP, goods=tuple(good for good in SHOP.goods if good.good != "carton 20x16x8"))
    assert carton(packing(piece("A-02", 6, 6, 1), shop=bare)).layers[-1].material == "carton 16x16x12"

"""Parts that nothing stocked takes are told in the order's units, by part, crate and piece; never in bare numbers."""

import re
from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from nesting.base.faults import Fault, FaultsFound
from nesting.base.measure import INCH, UnitSystem, format_length
from nesting.base.search import QUICK
from nesting.build import Supply, build
from nesting.crates.uncut import uncut_sticks
from nesting.cutting.parts import StickPart
from nesting.cutting.sheets import Sheet
from nesting.cutting.sticks import Stick
from nesting.order import Artwork, Order
from nesting.shop.shop_file import default_shop
from tests.nesting.drawings.builds import supply_of

SHOP = default_shop()
PIECES = (
    Artwork("A-01", 30 * INCH, 30 * INCH, 2 * INCH, weight_kg=Decimal(8), method="closed", row=4),
    Artwork("A-02", 40 * INCH, 30 * INCH, 2 * INCH, weight_kg=Decimal(9), method="closed", row=5, set_name="pair"),
    Artwork("A-03", 20 * INCH, 30 * INCH, 2 * INCH, weight_kg=Decimal(5), method="closed", row=6, set_name="pair"),
)
FRAME = Artwork("A-04", 48 * INCH, 60 * INCH, 2 * INCH, weight_kg=Decimal(20), method="travel", row=7)


def faults(units: UnitSystem, *pieces: Artwork, **stocked: Mapping[str, Any]) -> tuple[Fault, ...]:
    """Return what is told of pieces where some goods come in other stock than usual."""
    full = supply_of(SHOP)
    kinds = ("sheets", "sticks", "rolls")
    stock: dict[str, Any] = {kind: {**getattr(full, kind), **stocked.get(kind, {})} for kind in kinds}
    supply = Supply(**stock)
    with pytest.raises(FaultsFound) as found:
        build(Order("spring", pieces, units=units, source="spring.csv"), SHOP, supply, search=QUICK)
    assert not any(re.search(r"[0-9]{5}", fault.found) for fault in found.value.faults)
    return found.value.faults


@pytest.mark.parametrize(("units", "room"), [("inch", "40 x 30 in"), ("metric", "1016 x 762 mm")])
def test_a_part_larger_than_every_sheet_is_told_by_part_crate_and_piece(units: UnitSystem, room: str) -> None:
    small = (Sheet("small", 40 * INCH, 30 * INCH, 500), Sheet("gone", 96 * INCH, 48 * INCH, 900, 0))
    told = faults(units, PIECES[0], sheets={"ply-3/8": small})
    assert {fault.row for fault in told} == {4}
    first = next(fault for fault in told if "back of crate K1" in fault.found)
    size = {"inch": "36 x 36 in", "metric": "914.4 x 914.4 mm"}[units]
    assert first.found.startswith(f"back of crate K1 (A-01), {size}, ")
    assert f"larger than every sheet of ply-3/8, of which small takes the most, {room}" in first.found
    assert "add a larger size" in first.accepted


def test_a_part_of_a_set_names_all_its_pieces_and_no_row() -> None:
    told = faults("inch", *PIECES[1:], sheets={"ply-23/32": (Sheet("bit", 30 * INCH, 10 * INCH, 500),)})
    assert {fault.row for fault in told} == {None}
    assert all("of crate K1 (A-02, A-03)" in fault.found for fault in told)


def test_goods_that_cannot_be_had_are_told_once_each() -> None:
    none = {"ply-3/8": (Sheet("ply", 96 * INCH, 48 * INCH, 500, 0),)}
    (told,) = faults("inch", PIECES[0], sheets=none)
    assert told.found == "ply-3/8: none of the sheets of ply-3/8 can be had"
    assert "raise its limit in the price book" in told.accepted


def test_sticks_and_rolls_are_told_the_same_way() -> None:
    short = (Stick("2x3 stub", 20 * INCH, 100),)
    (roll,) = supply_of(SHOP).rolls["poly-6mil"]
    narrow = replace(roll, width=INCH // 2, length=30 * INCH)
    told = faults("metric", FRAME, sticks={"2x3": short}, rolls={"poly-6mil": (narrow,)})
    sticks = [fault for fault in told if "stick" in fault.found]
    assert sticks
    assert all(
        re.fullmatch(
            r"\S+ of crate K2 \(A-04\), [0-9.]+ mm, larger than every stick of 2x3, of which 2x3 stub is the longest, "
            r"508 mm",
            fault.found,
        )
        for fault in sticks
    )
    (film,) = [fault for fault in told if "poly-6mil" in fault.found]
    assert film.found.startswith("film of crate K1 (A-04), ")
    assert film.found.endswith("larger than every roll of poly-6mil, the widest 12.7 mm")
    assert film.row == 7


def test_too_little_stock_names_the_good_once() -> None:
    few = {"ply-3/8": (Sheet("ply", 96 * INCH, 48 * INCH, 500, 1),)}
    pieces = [replace(PIECES[0], piece=f"B-{n}") for n in range(4)]
    (told,) = faults("inch", *pieces, sheets=few)
    assert told.found == "ply-3/8: there are not enough sheets for the area of the parts"
    assert "raise its limit" in told.accepted


def uncut(piece: Artwork, units: UnitSystem = "inch", **rules: int) -> tuple[Fault, ...]:
    """Return what is told where the shop has other tools than usual."""
    shop = replace(SHOP, tools=replace(SHOP.tools, **rules))
    with pytest.raises(FaultsFound) as found:
        build(Order("spring", (piece,), units=units, source="spring.csv"), shop, supply_of(shop), search=QUICK)
    return found.value.faults


def test_a_shop_without_saws_is_told_once_a_good_what_it_lacks() -> None:
    told = uncut(PIECES[0], track=0, rip=0, chop=0)
    assert {fault.file for fault in told} == {"shop"}
    goods = [fault.found.partition(":")[0] for fault in told]
    assert goods == [name for name in ("ply-23/32", "ply-3/8") if name in goods]
    assert len(goods) == len(set(goods)) == 2
    for fault in told:
        assert "no track saw, no table saw, no chop saw" in fault.found
        assert "under [tools] in shop.toml" in fault.accepted


def test_one_tool_is_enough_for_what_it_reaches() -> None:
    """A track saw alone cuts all; a table saw alone does not cut a face wider than its fence goes."""
    shop = replace(SHOP, tools=replace(SHOP.tools, rip=0, chop=0))
    build(Order("spring", PIECES[:1]), shop, supply_of(shop), search=QUICK)
    (told,) = uncut(PIECES[0], track=0)
    assert told.found.startswith("ply-3/8: no saw of the shop cuts K1.back, 36 x 36 in, and 1 more of its parts")
    assert "no track saw, table saw to 30 in, chop saw to 5 1/2 in" in told.found
    assert told.accepted == "track of 36 in or more under [tools] in shop.toml"


@pytest.mark.parametrize(("units", "thick"), [("inch", "1 in"), ("metric", "25.4 mm")])
def test_foam_that_neither_knife_nor_band_cuts_is_told_with_its_thickness(units: UnitSystem, thick: str) -> None:
    told = uncut(PIECES[0], units, knife=INCH // 2, band=INCH // 2)
    assert any(
        fault.found.startswith(f"foam-board-1, {thick} thick: no tool of the shop cuts it; a knife to ")
        and fault.accepted == f"knife or band of {thick} or more under [tools] in shop.toml"
        for fault in told
    )


def test_lumber_wider_than_every_saw_is_told() -> None:
    parts = [StickPart("K1.skid", 30 * INCH, "2x4", 2)]

    def size(length: int) -> str:
        return format_length(length, "inch", mark=True)

    for chop, track, fails in ((11 * INCH // 2, 0, False), (0, 110 * INCH, False), (3 * INCH, 0, True)):
        shop = replace(SHOP, tools=replace(SHOP.tools, chop=chop, track=track))
        assert bool(uncut_sticks(shop, "2x4", parts, size)) == fails
    (told,) = uncut_sticks(shop, "2x4", parts, size)
    assert told.found.startswith("2x4, 3 1/2 in wide: no saw of the shop cuts it to length; no track saw")

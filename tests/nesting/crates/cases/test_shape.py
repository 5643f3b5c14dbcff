"""Sizes and sketches of cases: what is sketched is what is built, whatever the design; thin foam has its room."""

from collections import Counter
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import event, given, note, settings
from hypothesis import strategies as st

from nesting.base.measure import INCH
from nesting.crates.cases.case_designs import designs
from nesting.crates.cases.outer import outer
from nesting.crates.cases.shape import sketch
from nesting.crates.cases.sizes import sizes_of
from nesting.crates.chosen import CaseDesign
from nesting.crates.model import Crate
from nesting.crates.sketch import sketch_of
from nesting.crates.traits import Casing, Packing, Refused
from nesting.crates.travel.travel import travel
from nesting.cutting.parts import Part, StickPart
from nesting.order import Artwork
from nesting.shop.goods import StockSize
from nesting.shop.shop import Shop
from nesting.shop.shop_file import default_shop
from tests.nesting.crates.case_proofs import (
    prove_bolts,
    prove_case,
    prove_disjoint,
    prove_parts_placed,
    prove_room_for_foam,
    prove_standing,
    prove_weight,
)


def with_narrow_lumber(shop: Shop) -> Shop:
    """Stock lumber 1-1/2 x 1-1/2 in too."""
    if "2x2" in shop.by_name:
        return shop
    narrow = replace(
        shop.good("2x3"),
        good="2x2",
        title="Lumber 2x2",
        breadth=3 * INCH // 2,
        sizes=(StockSize("2x2 8ft", 96 * INCH),),
    )
    return replace(shop, goods=(*shop.goods, narrow))


SHOP = with_narrow_lumber(default_shop())
THICK = 2 * INCH


def piece(name: str, width: float, height: float, depth: float = 2, **facts: Any) -> Artwork:
    facts.setdefault("weight_kg", Decimal(8))
    return Artwork(name, int(width * INCH), int(height * INCH), int(depth * INCH), **facts)


def casing(*artworks: Artwork, shop: Shop = SHOP, country: str = "", **facts: Any) -> Casing:
    frames = tuple(
        travel(Packing(f"K{n}", (artwork,), shop, "asked for", country=country))
        for n, artwork in enumerate(artworks, start=1)
    )
    return Casing("K9", frames, artworks, shop, "one destination", country=country, **facts)


def sawn(parts: tuple[Part, ...] | tuple[StickPart, ...]) -> Counter[tuple[object, ...]]:
    """Count what is sawn by size and good."""
    found: Counter[tuple[object, ...]] = Counter()
    for part in parts:
        width = part.width if isinstance(part, Part) else 0
        found[part.good, part.length, width] += part.count
    return found


def body(case: Crate) -> tuple[int, int, int]:
    size = case.shell
    return size.width, size.height, size.depth


chosen_designs = st.builds(
    CaseDesign,
    foam=st.tuples(*(st.sampled_from([0, THICK, 5 * INCH // 2, 2 * THICK, 3 * THICK]),) * 3),
    clear=st.sampled_from([0, INCH // 2]),
    opens=st.sampled_from(["", "end", "front"]),
    post=st.sampled_from(["", "2x2"]),
    on_edge=st.booleans(),
    patterns=st.sampled_from([(), (("back", 1), ("front", 1)), (("bottom", 2), ("left", 1), ("right", 1), ("top", 2))]),
    seams=st.lists(
        st.tuples(
            st.sampled_from(["back", "front", "bottom", "top", "left", "right"]),
            st.sampled_from(["x", "y"]),
            st.integers(12, 60).map(lambda at: at * INCH),
        ),
        max_size=3,
        unique_by=lambda cut: cut[0],
    ).map(tuple),
)


@settings(max_examples=20)
@given(
    st.lists(st.tuples(st.integers(16, 84), st.integers(16, 84), st.booleans()), min_size=1, max_size=4),
    st.integers(2, 12),
    chosen_designs,
    st.sampled_from(["", "DE"]),
)
def test_every_design_holds_and_is_sketched_as_it_is_built(
    sides: list[tuple[int, int, bool]], kg: int, design: CaseDesign, country: str
) -> None:
    """Nothing meets, no frame strikes lumber, all is shut and can be opened: whatever is chosen for a case."""
    note(str(design))
    artworks = [
        piece(f"A-{n}", wide, high, weight_kg=Decimal(kg), turn=turn) for n, (wide, high, turn) in enumerate(sides)
    ]
    chosen = casing(*artworks, country=country, design=design)
    try:
        case = outer(chosen)
    except Refused:
        event("refused")
        with pytest.raises(Refused):
            sketch(chosen)
        return
    prove_disjoint(case)
    prove_parts_placed(case, SHOP)
    prove_case(case, chosen.frames, SHOP)
    prove_room_for_foam(case)
    prove_weight(case, SHOP, chosen.frames)
    prove_bolts(case, SHOP)
    prove_standing(case)
    found = sketch(chosen)
    assert sawn(found.parts) == sawn(case.parts)
    assert sawn(found.sticks) == sawn(case.sticks)
    built = sketch_of(case)
    assert (found.outside, found.gross_g, found.bill) == (built.outside, built.gross_g, built.bill)


def test_three_frames_of_42_in_come_out_of_two_sheets() -> None:
    """By hand: 42 + 2 x 2 + 2 x 7/16 = 46-7/8 in; 3 x 5-1/2 in of frames, 2 spacers of 1 in, 2 x 2-7/16 in: 23-3/8 in.

    Front and back, 46-7/16 x 46-7/8 in, lie one beside the other along a sheet of 48 x 96 in (92-7/8 in and a kerf);
    top, bottom and both ends, 22-1/2 to 23-3/8 in, along the other (90-7/8 in and three). In all 93 % of two sheets.
    """
    three = casing(*(piece(name, 36, 36, 2.25) for name in "ABC"))
    assert {(f.outside.width, f.outside.height) for f in three.frames} == {(42 * INCH, 42 * INCH)}
    chosen = replace(three, design=CaseDesign(foam=(THICK, THICK, THICK), post="2x2"))
    assert sizes_of(chosen).keeps, "2 in keep the shock to what the pieces take"
    case = outer(chosen)
    assert body(case)[:2] == (375 * INCH // 8, 375 * INCH // 8)
    assert all(check.verdict != "fails" for check in case.checks)
    prove_disjoint(case)
    prove_room_for_foam(case)
    assert sheets_by_hand(case) == pytest.approx(0.93, abs=0.005)
    with_ruled_lumber = replace(three, shop=default_shop())
    fitting = [design for design in designs(with_ruled_lumber) if sizes_of(replace(three, design=design)).body.width
               == 383 * INCH // 8]  # fmt: skip
    assert fitting, "2-1/2 in of foam beside lumber of 2-1/2 in: 47-7/8 in, what every sheet has"
    assert sheets_by_hand(outer(replace(with_ruled_lumber, design=fitting[0]))) > 0.93


def sheets_by_hand(case: Crate) -> float:
    """Lay the faces on two sheets by hand, and return which share of these they are."""
    boards = [part for part in case.parts if part.good == "osb-7/16"]
    assert not any(part.panel_of for part in boards)
    faces = sorted(((part.length, part.width) for part in boards for _ in range(part.count)), key=lambda f: -f[1])
    assert len(faces) == 6
    length, width, kerf = 96 * INCH - INCH // 8, 48 * INCH - INCH // 8, SHOP.saw.kerf
    assert all(long <= width for long, _ in faces)
    for row in (faces[:2], faces[2:]):
        assert sum(short for _, short in row) + (len(row) - 1) * kerf <= length
    return sum(long * short for long, short in faces) / (2 * 96 * 48 * INCH**2)


def test_two_inch_foam_beside_broader_lumber_is_shimmed() -> None:
    """Lumber reaches 2-1/2 in in from base and ends: 2 in of foam on one plywood of 23/32 in is 2-23/32 in."""
    case = outer(casing(piece("A", 36, 36), piece("B", 36, 36), design=CaseDesign(foam=(THICK, THICK, THICK))))
    ride = case.rides[0][1]
    (back,) = [p.box for p in case.placed if p.part == "K9.back"]
    inset = ride.x - back.x - back.dz, ride.z - back.z - back.dz
    assert inset == (2 * INCH + 23 * INCH // 32, 2 * INCH)
    shims = [p for p in case.placed if "shim" in p.part]
    assert len(shims) == 16
    assert {min(p.box.dx, p.box.dy) for p in shims} == {23 * INCH // 32}
    assert any("to the strand board under each pad of " in step.text for step in case.steps)


@pytest.mark.parametrize("thickness", [INCH // 2, 2 * INCH, 4 * INCH, 12 * INCH])
def test_foam_of_any_thickness_is_built(thickness: int) -> None:
    """Every thickness of the rule's range, from 1/2 in to 12 in: no rules clash, and lumber keeps its distance."""
    case = outer(casing(piece("A", 30, 40), piece("B", 30, 40), design=CaseDesign(foam=(thickness,) * 3)))
    prove_disjoint(case)
    prove_room_for_foam(case)
    pads = [p.box for p in case.placed if p.role == "cushion" and ".pad-base" in p.part]
    assert max(b.y + b.dy for b in pads) - min(b.y for b in pads) >= thickness


def test_a_frame_is_turned_only_where_its_piece_may_be() -> None:
    with pytest.raises(ValueError, match="on its side"):
        sketch(casing(piece("A", 30, 40), design=CaseDesign(turned=(True,))))

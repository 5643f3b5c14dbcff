"""Works that share a carton: how they lie, what they lie in, and which may share one."""

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from itertools import combinations
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from nesting.advice.carriage import COMMON
from nesting.base.faults import FaultsFound
from nesting.base.measure import INCH, LB_KG
from nesting.crates.cartons.carton import carton
from nesting.crates.cartons.contents import contents_of
from nesting.crates.cartons.sharing import candidates, sketch
from nesting.crates.cartons.stock import paper_beside, smallest_carton
from nesting.crates.cases.consignment import CartonLoad, Grouping
from nesting.crates.chosen import CARTON_AS_RULED, CartonDesign
from nesting.crates.expand import expand
from nesting.crates.model import Box, Crate
from nesting.crates.sketch import sketch_of
from nesting.crates.traits import Packing
from nesting.order import Artwork, Order
from nesting.shop.goods import Good, StockSize
from nesting.shop.shop_file import default_shop
from tests.read_steps import read

SHOP = default_shop()
HUGE = Good(
    "carton huge", "Invented huge carton", "each", "carton", (StockSize("huge"),), inside=(90 * INCH,) * 3, each_g=1.0
)
ROOMY = replace(SHOP, goods=(*SHOP.goods, HUGE))


def work(name: str, width: float = 9, height: float = 12, depth: float = 1, lb: float = 2.5, **facts: Any) -> Artwork:
    size = (int(width * INCH), int(height * INCH), int(depth * INCH))
    return Artwork(name, *size, weight_kg=Decimal(str(lb)) * LB_KG, **facts)


SIX = tuple(work(f"A#{n}", copy_of="A", row=2) for n in range(1, 7))
PAINTED = tuple(replace(each, surface="paint") for each in SIX)


def loads_of(pieces: Sequence[Artwork], count: int) -> list[CartonLoad]:
    return [load for load in candidates(pieces, SHOP, COMMON) if len(load.pieces) == count and load.design.foam]


def made(pieces: Sequence[Artwork], design: CartonDesign) -> Crate:
    return carton(Packing("K1", tuple(pieces), SHOP, "asked for", carton=design))


def check(crate: Crate, name: str) -> float | None:
    return next(each.demand for each in crate.checks if each.name == name)


def test_six_small_works_in_one_carton_by_hand() -> None:
    """Six of 9 x 12 x 1 in and 2.5 lb, two beside each other in three layers, in one 24 x 18 x 12 in carton.

    Trays of 1/4 in board with 1/8 in of play: 9 3/4 in wide and more by the paper, so 9 7/8; two are 19 3/4 in, rounded
    up to 1/8. 12 7/8 in high. A layer is 1/4 + 1 + 1 in of air, with the paper 2 3/8; three and two boards of 3/8 are
    7 7/8 in. With 2 in of foam all round 23 3/4 x 16 7/8 x 11 7/8 in. Over 21 lb gross the drop is 24 in (ISTA 1A, as
    quoted): G = C h / t = 3 x 24 / 2 = 36.
    """
    load = loads_of(SIX, 6)[0]
    assert (load.design.beside, load.design.trays, load.design.thickness) == (2, True, 2 * INCH)
    crate = made(SIX, load.design)
    boards = [placed.box for placed in crate.placed if placed.part == "K1.board"]
    whole = [(box.dx, box.dy) for box in boards]
    assert whole == [(19 * INCH + 3 * INCH // 4, 12 * INCH + 7 * INCH // 8)] * 2
    assert boards[1].z + boards[1].dz - boards[0].z == 7 * INCH + 7 * INCH // 8
    assert crate.layers[-1].material == "carton 24x18x12"
    assert crate.gross_kg > 21 * float(LB_KG)
    assert check(crate, "cushion, shock") == pytest.approx(36.0)
    assert {each.verdict for each in crate.checks if each.name.startswith("cushion")} == {"ok"}
    assert Counter(placed.part for placed in crate.placed)["K1.tray base"] == 6


@pytest.mark.parametrize("most", [INCH, 4 * INCH, 24 * INCH])
def test_works_that_share_lie_in_no_more_paper_than_the_rule_takes(most: int) -> None:
    """Beside long works there is much room in a carton that is nearly a cube; then another carton is taken, or none."""
    shop = replace(SHOP, carton=replace(SHOP.carton, fill_most=most))
    works = (work("A", 18, 6), work("B", 16, 5), work("C", 9, 12), work("D", 12, 12), work("E", 6, 6))
    beside = []
    for load in candidates(works, shop, COMMON):
        if load.design.foam and len(load.pieces) > 1:
            pieces = tuple(each for name in load.pieces for each in works if each.piece == name)
            need = contents_of(Packing("K1", pieces, shop, "", carton=load.design)).need
            fit = smallest_carton(need, shop, load.design.good)
            assert fit is not None
            beside.append(paper_beside(need, fit.inside))
    assert beside
    assert max(beside) <= most
    assert most < 24 * INCH or max(beside) > 6 * INCH


def inside(box: Box, outer: Box) -> bool:
    return all(
        getattr(outer, at) <= getattr(box, at)
        and getattr(box, at) + getattr(box, extent) <= getattr(outer, at) + getattr(outer, extent)
        for at, extent in (("x", "dx"), ("y", "dy"), ("z", "dz"))
    )


shapes = st.tuples(
    st.integers(4 * INCH, 14 * INCH), st.integers(4 * INCH, 14 * INCH), st.integers(INCH // 8, 3 * INCH),
    st.integers(1, 40),
)  # fmt: skip
designs = st.builds(
    CartonDesign,
    st.sampled_from(("soft-foam-1", "pe-plank-2")),
    st.sampled_from((2 * INCH, 3 * INCH)),
    st.just(""),
    st.integers(1, 4),
    st.booleans(),
    st.booleans(),
)


@settings(max_examples=60, deadline=None)
@given(st.lists(shapes, min_size=1, max_size=6), designs)
def test_nothing_meets_and_all_lies_in_the_carton(sides: list[tuple[int, int, int, int]], design: CartonDesign) -> None:
    pieces = tuple(Artwork(f"P{n}", w, h, d, weight_kg=Decimal(kg) / 10) for n, (w, h, d, kg) in enumerate(sides))
    assume(len(pieces) >= design.beside)
    crate = carton(Packing("K1", pieces, ROOMY, "asked for", carton=design))
    whole = Box(0, 0, 0, crate.outside.width, crate.outside.height, crate.outside.depth)
    solids = [placed.box for placed in crate.placed] + [box for _, box in crate.pieces_placed]
    assert not any(one.meets(other) for one, other in combinations(solids, 2))
    assert all(inside(box, whole) for box in solids)
    assert [name for name, _ in crate.pieces_placed] == [piece.piece for piece in pieces]
    for (_, box), piece in zip(crate.pieces_placed, pieces, strict=True):
        assert sorted((box.dx, box.dy)) == sorted((piece.width, piece.height))
        assert box.dz == piece.depth
        assert (box.dx > box.dy) is (design.turned and piece.width != piece.height)
    if design.trays:
        # Each in its own: over a face there is the air of the rule before anything rigid.
        assert sum(placed.part.startswith("K1.tray base") for placed in crate.placed) == len(pieces)
        for _, box in crate.pieces_placed:
            before = Box(box.x, box.y, box.z + box.dz, box.dx, box.dy, SHOP.carton.tray_air)
            assert not any(before.meets(solid) for solid in solids)
        assert_no_tray_drops(crate)
    assert sketch(Packing("K1", pieces, ROOMY, "asked for", carton=design)) == sketch_of(crate)


def assert_no_tray_drops(crate: Crate) -> None:
    """Each tray's base lies on a whole board, or over the four sides of the tray below: nothing drops on a face."""
    bases = [placed.box for placed in crate.placed if placed.part.startswith("K1.tray base")]
    boards = [placed.box for placed in crate.placed if re.match(r"K1\.(middle )?board", placed.part)]
    for base in bases:
        over = [board for board in boards if board.z + board.dz == base.z]
        below = [low for low in bases if low.z < base.z and low.z == max(b.z for b in bases if b.z < base.z)]
        under = [low for low in below if low.x < base.x + base.dx and base.x < low.x + low.dx]
        assert over or (under and all(spans(base, low) for low in under)), base


def spans(upper: Box, lower: Box) -> bool:
    return (
        upper.x <= lower.x
        and upper.x + upper.dx >= lower.x + lower.dx
        and upper.y <= lower.y
        and upper.y + upper.dy >= lower.y + lower.dy
    )


def test_a_small_tray_stands_on_a_board_over_a_large_one() -> None:
    """Trays of 18 3/8 x 24 3/8 and of 8 7/8 square: the small one would lie on the large one's face."""
    works = (work("A", 17, 23, surface="resin"), work("B", 7.5, 7.5, surface="resin"))
    for pair in (works, (work("A", 12, 12, surface="resin"), work("B", 16, 6, surface="resin"))):
        crate = made(pair, CartonDesign("soft-foam-1", 2 * INCH, "", 1, trays=True))
        middle = next(placed.box for placed in crate.placed if placed.part == "K1.middle board")
        board = next(placed.box for placed in crate.placed if placed.part == "K1.board")
        assert (middle.dx, middle.dy, middle.dz) == (board.dx, board.dy, SHOP.good(SHOP.carton.board_good).thickness)
        assert_no_tray_drops(crate)
        assert any("middle board" in step.text for step in crate.steps)
        assert any(part.name == "K1.middle board" and part.count == 1 for part in crate.parts)
        assert crate.inside.depth >= 2 * 2 * INCH + 3 * board.dz + 2 * (2 * INCH + INCH // 4)


def test_equal_trays_stand_on_each_other_without_a_board() -> None:
    crate = made(SIX[:2], CartonDesign("soft-foam-1", 2 * INCH, "", 1, trays=True))
    assert not any("middle" in placed.part for placed in crate.placed)
    assert not any("middle board" in step.text for step in crate.steps)
    assert_no_tray_drops(crate)


def test_resin_that_shares_lies_in_trays_and_other_faces_need_none() -> None:
    assert all(load.design.trays for load in loads_of(SIX, 4))
    assert not any(load.design.trays for load in loads_of(PAINTED, 4))
    mixed = (SIX[0], *PAINTED[1:])
    assert all(load.design.trays for load in loads_of(mixed, 2) if "A#1" in load.pieces)
    assert not any(load.design.trays for load in candidates(SIX, SHOP, COMMON) if len(load.pieces) == 1)


def test_two_layers_may_lie_back_to_back_without_a_board_between() -> None:
    backs = [load for load in loads_of(PAINTED, 2) if load.design.backs]
    assert backs
    crate = made(PAINTED[:2], backs[0].design)
    assert not any("interleaf" in placed.part for placed in crate.placed)
    assert any("back to back" in step.text for step in crate.steps)
    assert '"face side" on both sides that faces look to' in crate.steps[-1].text
    plain = made(PAINTED[:2], replace(backs[0].design, backs=False))
    assert any("interleaf" in placed.part for placed in plain.placed)
    assert not any(load.design.backs for load in loads_of(PAINTED, 3) if load.design.beside == 1)


def test_what_touches_a_face_is_release_paper_and_foam_comes_after_it() -> None:
    for pieces in (SIX, PAINTED):
        crate = made(pieces[:2], loads_of(pieces, 2)[0].design)
        for piece in pieces[:2]:
            around = [layer.material for layer in crate.layers if layer.piece == piece.piece]
            assert around[0] == "glassine"
            assert around[1] == ("corrugated-pad" if piece.surface == "resin" else "foam-wrap")


def test_soft_foam_comes_first_and_plank_where_the_check_asks() -> None:
    soft = loads_of(SIX, 6)[0].design
    assert soft.foam == SHOP.carton.soft_good
    # So strict a limit that four layers of soft foam pass it by: G = 3 x 24 / 4 = 18.
    strict = [replace(piece, shock_limit=Decimal(16)) for piece in SIX]
    assert all(load.design.foam != SHOP.carton.soft_good for load in loads_of(strict, 6))


def test_every_work_is_a_candidate_by_itself_as_the_rules_pack_it() -> None:
    found = candidates(SIX, SHOP, COMMON)
    assert found[:6] == tuple(CartonLoad((piece.piece,), "", CARTON_AS_RULED) for piece in SIX)
    # Of equal works the first ones stand for any.
    # Five leave too much room for paper in the carton that they take.
    assert {load.pieces for load in found[6:]} == {tuple(p.piece for p in SIX[:n]) for n in (1, 2, 3, 4, 6)}
    assert candidates((), SHOP, COMMON) == ()


def test_works_that_travel_apart_share_none_and_a_shop_without_pads_shares_nothing() -> None:
    one, other = replace(SIX[0], apart=("B",)), replace(SIX[1], piece="B", copy_of=None)
    assert all(len(load.pieces) == 1 for load in candidates((one, other), SHOP, COMMON))
    bare = replace(SHOP, goods=tuple(good for good in SHOP.goods if good.good != SHOP.carton.divider_good))
    assert candidates(SIX, bare, COMMON) == tuple(CartonLoad((piece.piece,)) for piece in SIX)
    alone = replace(SHOP, carton=replace(SHOP.carton, share_most=1))
    assert all(len(load.pieces) == 1 for load in candidates(SIX, alone, COMMON))


@pytest.mark.parametrize("beside", [1, 2, 3])
def test_every_candidate_keeps_to_the_limit(beside: int) -> None:
    pieces = [work(f"P{n}", 8 + n, 11, 0.75, 2 + n, surface="paint") for n in range(beside + 1)]
    shared = [load for load in candidates(pieces, SHOP, COMMON) if load.design.foam]
    assert shared
    for load in shared:
        crate = made([piece for piece in pieces if piece.piece in load.pieces], load.design)
        assert (check(crate, "cushion, shock") or 0) <= 40


# In an order.


def ordered(*cartons: CartonLoad, pieces: Sequence[Artwork] = SIX) -> tuple[Crate, ...]:
    copies = (replace(pieces[0], piece="A", quantity=6, copy_of=None), work("B", 40, 30, 2, 20))
    return expand(Order("o", copies), SHOP, grouping=Grouping((), cartons=cartons))


def test_a_grouping_says_which_copies_share_and_the_rest_stays_as_it_was() -> None:
    design = loads_of(SIX, 4)[0].design
    crates = ordered(CartonLoad(("A#2", "A#3", "A#5", "A#6"), "", design))
    assert [(crate.crate, crate.pieces) for crate in crates] == [
        ("K1", ("A#1",)), ("K2", ("A#2", "A#3", "A#5", "A#6")), ("K3", ("A#4",)), ("K4", ("B",))
    ]  # fmt: skip
    assert crates[1].reason.endswith("for a carton; 4 works share it")
    assert crates[0] == ordered()[0]
    text = read(crates[1])
    assert "layer 1: A#2 and A#3; layer 2: A#5 and A#6" in text
    names = [part.name for crate in crates for part in crate.parts]
    assert len(names) == len(set(names))


def test_a_load_that_does_not_come_out_goes_back_to_a_carton_each() -> None:
    tight = replace(loads_of(SIX, 6)[0].design, good="carton 16x16x12")
    assert ordered(CartonLoad(tuple(piece.piece for piece in SIX), "", tight)) == ordered()


@pytest.mark.parametrize(
    ("load", "found"),
    [
        (CartonLoad(("A#1", "B")), "A#1, B: not all go in cartons"),
        (CartonLoad(("A#1", "C")), "A#1, C: not all go in cartons"),
        (CartonLoad(("A#1", "A#2"), "Harbour Gallery"), "not all go to Harbour Gallery"),
    ],
)
def test_a_grouping_that_does_not_fit_the_order_is_refused(load: CartonLoad, found: str) -> None:
    with pytest.raises(FaultsFound, match=found):
        ordered(load)


def test_works_that_travel_apart_share_no_carton_whoever_says_so() -> None:
    pair = (work("A", apart=("B",)), work("B"))
    with pytest.raises(FaultsFound, match="A and B must travel apart"):
        expand(Order("o", pair), SHOP, grouping=Grouping((), cartons=(CartonLoad(("A", "B")),)))


def test_a_telescoping_carton_is_drawn_out_by_its_steps_and_its_walls_lie_double() -> None:
    telescope = next(good for good in SHOP.goods if good.good == "telescoping carton 24x18")
    design = next(load.design for load in candidates(SIX[:1], SHOP, COMMON) if load.design.foam)
    crate = made(SIX[:1], replace(design, good=telescope.good))
    assert any("draw its parts out, tape them where they overlap" in step.text for step in crate.steps)
    assert "Close and tape the lid" in crate.steps[-2].text
    assert crate.outside.depth - crate.inside.depth == 4 * SHOP.carton.wall
    assert crate.outside.width - crate.inside.width == 4 * SHOP.carton.wall
    # 9 5/8 + 5 and 12 5/8 + 5 in go into 18 and 24 in; paper, wrap and boards with 5 in of foam are just over 7 1/4 in.
    assert sorted((crate.inside.width, crate.inside.height, crate.inside.depth)) == [
        7 * INCH + INCH // 2, 18 * INCH, 24 * INCH
    ]  # fmt: skip


def test_a_work_by_itself_may_lie_in_either_foam_and_works_that_share_in_plank_only_where_soft_foam_fails() -> None:
    """24 x 18 x 1-1/2 in of 8 lb on wood: 2-1/2 in of either keeps to the limit, in a carton with more paper too."""
    one = work("W", 24, 18, 1.5, 8)
    rules = SHOP.carton
    alone = {(load.design.foam, load.design.thickness) for load in loads_of([one], 1)}
    assert {foam for foam, _ in alone} == {rules.soft_good, rules.cushion_good}
    ruled = carton(Packing("K1", (one,), replace(SHOP, carton=replace(rules, soft_good="none stocked")), "asked for"))
    plank = [made([one], load.design) for load in loads_of([one], 1) if load.design.foam == rules.cushion_good]
    sizes = [sorted((each.outside.width, each.outside.height, each.outside.depth)) for each in (ruled, *plank)]
    assert sizes[0] in sizes[1:], "as it was before soft foam was stocked"
    assert {load.design.foam for load in loads_of(SIX, 2)} == {rules.soft_good}


def test_what_shares_a_carton_is_carried_by_one_person() -> None:
    """ASTM D6804 calls 40 to 50 lb typical: the shop's rule of 50 lb."""
    heavy = [work(f"P{n}", 10, 10, 1, 10, surface="paint") for n in range(6)]
    most = max(len(load.pieces) for load in candidates(heavy, SHOP, COMMON))
    assert most == 4


def test_a_carton_as_ruled_has_the_cushion_that_the_check_asks_and_a_fixed_one_stays_as_it_was() -> None:
    """Of 9 x 12 x 1 in and 2.5 lb: 2 1/2 in of soft foam, 36 G at 30 in; 4 in of plank let 120 G through."""
    crate = made(SIX[:1], CARTON_AS_RULED)
    assert [layer.text for layer in crate.layers][3] == (
        "1 layer of Soft urethane foam 1-1/2 in and 1 layer of Soft urethane foam 1 in, together 2 1/2 in on all six "
        "sides"
    )
    assert check(crate, "cushion, shock") == pytest.approx(36.0)
    fixed = replace(SHOP, case=replace(SHOP.case, cushion="fixed"))
    old = carton(Packing("K1", SIX[:1], fixed, "asked for"))
    assert [layer.text for layer in old.layers][3] == "Polyethylene plank 2 in, 4 in on all six sides"
    # So light that no foam is known to keep to the limit: what is known to let the least through.
    light = made([work("L", 6, 6, 1, 0.5)], CARTON_AS_RULED)
    assert light.layers[3].material.startswith("pe-plank")
    assert any("a softer foam would cushion it better" in warning for warning in light.warnings)

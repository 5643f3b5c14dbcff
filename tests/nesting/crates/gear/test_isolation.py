"""Isolation: pads under skids, sized by hand, placed on a plain pair of skids, or refused with a reason."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.advice.check import KG_PER_LB
from nesting.base.measure import INCH
from nesting.crates.bench import Bench
from nesting.crates.gear.isolation import (
    Isolation,
    NoPads,
    Resting,
    Runners,
    isolate,
    pad_steps,
    place_pads,
    runners_of,
    wanted,
)
from nesting.crates.judge import Judge
from nesting.crates.model import Box, Placed
from nesting.shop.shop_file import default_shop

SHOP = default_shop()
SKIDS = Runners(3 * INCH, 24 * INCH)


def resting(pounds: float, allowed: float = 30, runners: Runners | None = SKIDS, **more: object) -> Resting:
    return Resting(pounds * KG_PER_LB, allowed, 44 * INCH, 6 * INCH, runners, **more)  # type: ignore[arg-type]  # by name


def pads_of(crate: Resting) -> Isolation:
    found = isolate(crate, SHOP)
    assert isinstance(found, Isolation), found
    return found


def reason(crate: Resting) -> str:
    found = isolate(crate, SHOP)
    assert isinstance(found, NoPads), found
    return found.reason


def test_pads_are_as_thick_as_the_cushion_factor_asks_in_whole_layers() -> None:
    """80 lb drop 12 in (ISTA 1A): t = C h / G = 3 x 12 / 30 = 1.2 in, so one layer of 2 in, which lets 18 G through."""
    found = pads_of(resting(80))
    assert (found.drop, found.layers, found.thickness, found.felt) == (12 * INCH, 1, 2 * INCH, 18)
    # 50 lb drop 18 in: 3 x 18 / 27 = 2 in exactly; at 26.9 G two layers, which let 13.5 G through.
    assert (pads_of(resting(50, 27)).layers, pads_of(resting(50, 27)).felt) == (1, 27)
    assert "4 in thick buckles in pads narrower than 5 3/8 in, and its skids are 3 in x 24 in" in reason(
        resting(50, 26.9)
    )
    wide = pads_of(resting(50, 26.9, Runners(6 * INCH, 6 * INCH)))
    assert (wide.layers, wide.thickness, wide.felt) == (2, 4 * INCH, 13.5)


def test_pads_are_as_large_as_the_foam_likes_to_be_loaded() -> None:
    """80 lb on foam of 0.5 to 1.5 psi: 53 to 160 sq in, 92 in the middle (root of 0.5 x 1.5 is 0.866 psi).

    On four pads 3 in wide that is 7.7 in each, 7 3/4 in to the next 1/8.
    """
    found = pads_of(resting(80))
    assert found.count == 4
    assert {(pad.dx, pad.dy, pad.dz) for pad in found.pads} == {(3 * INCH, 2 * INCH, 31 * INCH // 4)}
    assert found.stress == pytest.approx(80 / 93)
    assert [check.verdict for check in found.checks] == ["ok", "ok"]
    # Flush with the ends of the skid.
    assert [(pad.z, pad.z + pad.dz) for pad in found.pads] == [
        (0, 31 * INCH // 4),
        (24 * INCH - 31 * INCH // 4, 24 * INCH),
    ]


def test_a_light_crate_gets_pads_as_small_as_do_not_buckle() -> None:
    """15 lb drop 30 in: at 50 G 1.8 in; 2.66 in wide at the least, 2 3/4 to the next 1/8: 30 sq in, 0.496 psi."""
    assert "too light for polyethylene plank 2 in thick: it would be hard" in reason(resting(15, 50))
    found = pads_of(resting(15.2, 50))
    assert {(pad.dx, pad.dz) for pad in found.pads} == {(11 * INCH // 4, 11 * INCH // 4)}
    assert {pad.x for pad in found.pads} == {INCH // 8}, "in the middle of the skid"
    assert found.stress == pytest.approx(15.2 / 30.25)


def test_a_heavy_crate_on_short_skids_would_bottom_out() -> None:
    """300 lb at 1.5 psi ask for 200 sq in; two skids 3 in wide and 6 in long have 36."""
    told = reason(resting(300, 12, Runners(3 * INCH, 6 * INCH)))
    assert told == "polyethylene plank would bottom out under 300 lb: it asks for 200 sq in, its skids have 36 sq in"


def test_a_crate_without_skids_gets_two_as_wide_as_its_pads_ask_for() -> None:
    """150 lb ask for 100 sq in: on skids 6 in long 8.3 in wide each, six plies of 1-1/2 in. 3-1/2 and 2 in higher."""
    found = pads_of(resting(150, 30, None))
    assert (found.made, found.runners) == (True, Runners(9 * INCH, 6 * INCH))
    assert found.raises == 11 * INCH // 2
    assert "two skids made for them (12 G and 5 1/2 in higher)" in found.text("inch")
    assert pads_of(resting(80)).raises == 2 * INCH
    # Two of 9 x 6 x 3-1/2 in of lumber of 470 kg/m3: 378 cu in, 2.911 kg.
    foam = 2 * sum(pad.volume for pad in found.pads) / INCH**3 * 0.0254**3 * 35.2
    assert found.kg == pytest.approx(2.911 + foam, abs=0.002)
    assert found.bill.each["2x4"] == 1829, "twelve of 6 in, in millimetres"
    assert found.bill.work["bolt"] == 4


def test_skids_reach_beyond_a_crate_that_is_less_deep_than_a_pad_must_be() -> None:
    """35 lb drop 24 in: 3 x 24 / 30 = 2.4 in, two layers, 4 in thick, which buckle under 5.32 in."""
    shallow = Resting(35 * KG_PER_LB, 30, 30 * INCH, 5 * INCH)
    found = pads_of(shallow)
    assert found.runners.long == 43 * INCH // 8
    kept = replace(SHOP, gear=replace(SHOP.gear, outrigger_most=0))
    assert isinstance(isolate(shallow, kept), NoPads)


def test_abroad_skids_are_laminated_from_plywood() -> None:
    found = pads_of(resting(80, 30, None, laminated=True))
    assert "2x4" not in found.bill.each
    assert found.bill.areas[SHOP.case.laminate_good] > 0
    assert found.runners.wide % SHOP.good(SHOP.case.laminate_good).thickness == 0


def test_a_crate_too_narrow_for_two_skids_gets_no_pads() -> None:
    assert reason(Resting(30.0, 30, 8 * INCH, 6 * INCH)) == "there is no room for skids"


def test_the_judge_tells_what_pads_take() -> None:
    """Four pads: 4 parts and 4 strips of glue, 1.5 min each; 93 sq in, 2 in thick, at 35.2 kg/m3 weigh 107 g."""
    bill = pads_of(resting(80)).bill
    assert bill.grams == round(2 * 93 * 0.0254**3 * 35.2 * 1000) == 107
    assert Judge().hand_minutes(bill) == 12
    assert bill.areas == {"pe-plank-2": 93 * INCH**2}
    judge = Judge(areas={"pe-plank-2": 1_000_000}, each={SHOP.joinery.foam_glue: 10}, minute=0, gram=0)
    assert judge.cost(bill) == int(93 * 0.0254**2 * 1_000_000) + 10 * bill.each[SHOP.joinery.foam_glue]


@given(
    st.floats(5, 600),
    st.floats(5, 150),
    st.none() | st.builds(Runners, st.integers(INCH, 12 * INCH), st.integers(4 * INCH, 40 * INCH)),
    st.integers(8 * INCH, 100 * INCH),
    st.integers(4 * INCH, 12 * INCH),
)
def test_pads_keep_what_they_promise(
    pounds: float, allowed: float, runners: Runners | None, width: int, depth: int
) -> None:
    found = isolate(Resting(pounds * KG_PER_LB, allowed, width, depth, runners), SHOP)
    if isinstance(found, NoPads):
        assert found.reason
        return
    skid = found.runners
    assert found.felt <= allowed + 0.01
    assert found.thickness == found.layers * SHOP.good(found.good).thickness
    assert all(check.verdict == "ok" for check in found.checks)
    assert 0.5 <= found.stress <= 1.5
    assert not any(one.meets(two) for n, one in enumerate(found.pads) for two in found.pads[n + 1 :])
    for pad in found.pads:
        assert min(pad.dx, pad.dz) >= 1.33 * found.thickness
        assert pad.x >= 0
        assert pad.x + pad.dx <= skid.wide
        assert pad.z >= 0
        assert pad.z + pad.dz <= skid.long
        assert pad.y + pad.dy == 0
    assert {0, skid.long} <= {end for pad in found.pads for end in (pad.z, pad.z + pad.dz)}, "flush at both ends"
    if runners is None:
        assert 3 * skid.wide <= width
    else:
        assert skid == runners


def plain_skids() -> Bench:
    """Two skids of two plies each, 3 in wide and 24 in long, below a crate 6 in deep."""
    bench = Bench("K1", SHOP)
    for x in (5, 30):
        for ply in range(2):
            box = Box(
                x * INCH + ply * 3 * INCH // 2, -7 * INCH // 2, -9 * INCH, 3 * INCH // 2, 7 * INCH // 2, 24 * INCH
            )
            bench.stick("skid", "2x4", box, "skid", along="z")
    return bench


def test_plies_side_by_side_are_one_skid() -> None:
    skids = runners_of(plain_skids().placed)
    assert [(box.x // INCH, box.dx // INCH, box.dz // INCH) for box in skids] == [(5, 3, 24), (30, 3, 24)]
    other = Placed("K1.rail", 0, Box(0, 0, 0, INCH, INCH, INCH), "rail")
    assert runners_of([other]) == ()
    apart = [Placed("K1.skid", n, Box(n * 4 * INCH, 0, 0, INCH, INCH, INCH), "skid") for n in range(2)]
    assert len(runners_of(apart)) == 2


@pytest.mark.parametrize("allowed", [30, 10])
def test_pads_lie_under_both_skids_layer_by_layer(allowed: int) -> None:
    bench = plain_skids()
    skids = runners_of(bench.placed)
    wide = replace(SHOP, case=replace(SHOP.case, pad_slender=0.7))
    found = isolate(resting(80, allowed), wide)
    assert isinstance(found, Isolation)
    assert found.layers == (1 if allowed == 30 else 2)
    laid = place_pads(bench, skids, found)
    pads = [p.box for p in bench.placed if p.role == "skid pad"]
    assert pads == list(laid)
    assert len(pads) == found.count * found.layers
    boxes = [p.box for p in bench.placed]
    assert not any(one.meets(two) for n, one in enumerate(boxes) for two in boxes[n + 1 :])
    floor = -7 * INCH // 2 - found.thickness
    assert min(box.y for box in pads) == floor
    for box in pads:
        under = [skid for skid in skids if skid.x <= box.x and box.x + box.dx <= skid.x + skid.dx]
        assert len(under) == 1
        assert under[0].z <= box.z
        assert box.z + box.dz <= under[0].z + under[0].dz
    assert sum(box.dx * box.dz for box in pads) == found.bill.areas["pe-plank-2"]
    (part,) = (part for part in bench.parts if part.good == "pe-plank-2")
    assert part.count == len(pads)
    used = {item.good: item.count for item in bench.piecework}
    assert used[SHOP.joinery.foam_glue] == found.bill.each[SHOP.joinery.foam_glue] > 0


@pytest.mark.parametrize(
    ("rule", "stated", "felt", "pads"),
    [
        ("auto", True, 31, True),
        ("auto", True, 30, False),
        ("auto", False, 90, False),
        ("never", True, 90, False),
        ("always", False, 10, True),
    ],
)
def test_the_rule_says_who_stands_on_pads(rule: str, stated: bool, felt: float, pads: bool) -> None:
    assert wanted(rule, stated=stated, felt=felt, allowed=30) is pads


def test_the_steps_say_where_the_pads_go_and_what_shears_them_off() -> None:
    tight, glue, move = pad_steps(pads_of(resting(80)), "inch", "hot-glue")
    assert tight.text == "Draw every bolt of the skids tight: the pads cover their nuts."
    assert glue.text.startswith(
        "Glue 4 pads of pe-plank-2 3 in x 7 3/4 in under the skids with hot-glue: flush with the ends of each skid"
    )
    assert "clean, dry, free of dust" in glue.check
    assert "no hands under a crate" in glue.caution
    assert "never drag or push it on its pads: they shear off." in move.text
    assert "Feet out from under it" in move.caution
    layered = pads_of(resting(50, 26.9, Runners(6 * INCH, 8 * INCH)))
    _, up, under, _ = pad_steps(layered, "inch", "hot-glue")
    assert up.text == "Glue each pad up from 2 layers with hot-glue, edges flush."
    assert "under the skids with hot-glue: all along each skid" in under.text

"""The closed crate: facts of common practice, a worked example, refusals."""

from collections import Counter
from dataclasses import replace
from decimal import Decimal

import pytest

from nesting.base.measure import INCH, LB_KG
from nesting.crates.model import Crate
from nesting.crates.shells.closed import closed
from nesting.crates.traits import Packing, Refused
from nesting.order import Artwork
from nesting.shop.shop import Shop
from nesting.shop.shop_file import default_shop

SHOP = default_shop()
LB = float(LB_KG)


def make(width: float = 30, height: float = 30, lb: float = 10, shop: Shop = SHOP, **fixed: object) -> Crate:
    piece = Artwork(
        "A-01",
        int(width * INCH),
        int(height * INCH),
        3 * INCH // 2,
        weight_kg=Decimal(str(lb)) * LB_KG,
        **fixed,  # type: ignore[arg-type]
    )
    return closed(Packing("K1", (piece,), shop, "test"))


def good_of(crate: Crate, name: str) -> str:
    return next(part.good for part in crate.parts if part.name == f"{crate.crate}.{name}")


BY_WEIGHT = replace(SHOP, frame=replace(SHOP.frame, back_middling_lb=20.0, back_heavy_lb=40.0))


@pytest.mark.parametrize(("lb", "back"), [(20, "ply-3/8"), (20.1, "ply-15/32"), (40, "ply-15/32"), (40.1, "ply-23/32")])
def test_a_shop_may_still_ask_for_a_back_by_weight(lb: float, back: str) -> None:
    # Common practice, no source: 3/4 in over 40 lb, 1/2 in over 20, else 3/8; a shop file of old that says so is kept.
    # A wide piece, so that bending asks for no more.
    crate = make(60, 40, lb, BY_WEIGHT)
    assert good_of(crate, "back") == back
    assert good_of(crate, "lid") == "ply-3/8"
    assert good_of(make(60, 40, 40.1), "back") == "ply-3/8"


def test_the_thinnest_back_that_holds_is_taken_where_all_else_is_alike() -> None:
    crate = make(12, 12, 18)
    assert good_of(crate, "back") == "ply-15/32"
    bending = next(check for check in crate.checks if check.name == "back, bending")
    assert bending.verdict == "ok"
    assert [other.back for other in crate.others if not other.key.endswith("-pads")] == ["ply-23/32"]
    assert crate.design is not None
    assert crate.others[0].tare_kg > crate.tare_kg
    assert crate.others[0].cost > crate.design.cost


def test_of_a_piece_that_no_back_holds_the_nearest_is_built_and_says_what_would_pass() -> None:
    crate = make(20, 40, 380)
    failing = [check for check in crate.checks if check.verdict == "fails" and check.structure]
    assert failing
    assert all(check.would_pass.startswith("at most ") for check in failing)
    assert crate.design is not None
    assert crate.design.back == "ply-23/32"


def test_a_worked_example_30_by_30() -> None:
    # By hand, from the rules: cleats of 23/32 and 3/8 in, so that a screw of 1-1/4 in has 1-1/4 - 1/16 - 0.406 =
    # 0.78 in of thread; frame 36 x 36, strip 1-1/2 + 1-3/32 + 1 = 3-19/32, up to 3-5/8; cleats 30 - 2 = 28 long; liner
    # above and below between the corner blocks 36 - 4 x 23/32 = 33-1/8, at the sides 34-9/16 - 2 x 2 = 30-9/16; setting
    # blocks from the rail to the cleat 3 + 1/2 - 23/32 = 2-25/32 high. Rows 26 in apart: no pads.
    crate = make()
    sizes = {part.name: (part.length / INCH, part.width / INCH, part.count) for part in crate.parts}
    assert sizes == {
        "K1.back": (36, 36, 1),
        "K1.lid": (36, 36, 1),
        "K1.rail": (36, 3.625, 2),
        "K1.stile": (34.5625, 3.625, 2),
        "K1.corner-block": (3.625, 2, 4),
        "K1.cleat-low": (28, 3, 1),
        "K1.cleat-low-layer": (28, 3, 1),
        "K1.cleat-high": (28, 3, 1),
        "K1.cleat-high-layer": (28, 3, 1),
        "K1.setting-block": (2.78125, 3, 2),
        "K1.liner-bottom": (33.125, 3.625 - 1.09375, 1),
        "K1.liner-top": (33.125, 3.625, 1),
        # Backing blocks 6 in high, their middle 18 in up, at the centre of gravity: 15 - 2-23/32 = 12-9/32.
        "K1.backing-block": (6, 3.625, 2),
        "K1.liner-side": (12.28125, 3.625, 4),
    }
    assert {fitting.box.y + fitting.box.dy // 2 for fitting in crate.gear} == {18 * INCH}
    assert crate.outside.depth == int((0.375 + 3.625 + 0.375) * INCH)
    assert [(d.x / INCH, d.y / INCH) for d in crate.drill] == [
        (5, 5), (18, 5), (31, 5), (5, 31), (18, 31), (31, 31),
    ]  # fmt: skip


def test_weight_by_hand() -> None:
    # Plywood 3.0 lb/ft2 per inch of thickness (CALC on READ-2); foam board 25 kg/m3.
    crate = make()
    square_feet = {
        0.375: 2 * 36 * 36 + 2 * 28 * 3,
        0.71875: 2 * 36 * 3.625 + 2 * 34.5625 * 3.625 + 4 * 3.625 * 2 + 2 * 28 * 3 + 2 * 2.78125 * 3 + 2 * 6 * 3.625,
    }
    wood = sum(3.0 * thick * area / 144 for thick, area in square_feet.items()) * LB
    foam = (33.125 * (3.625 - 1.09375) + 33.125 * 3.625 + 4 * 12.28125 * 3.625) * 0.0254**3 * 25
    hardware = sum(SHOP.good(item.good).each_g * item.count for item in crate.piecework) / 1000
    assert crate.tare_kg == pytest.approx(wood + foam + hardware, rel=2e-3)
    assert crate.net_kg == pytest.approx(10 * LB, abs=1e-9)
    assert 0 < crate.spread_kg < 0.2 * crate.tare_kg + 0.01


def test_hardware_is_counted_once() -> None:
    crate = make()
    used = {item.good: item.count for item in crate.piecework}
    by_fixing: Counter[str] = Counter()
    for fixing in crate.fixings:
        by_fixing[fixing.good] += fixing.count
    assert {good: used[good] for good in by_fixing} == dict(by_fixing)
    mounting = [fixing for fixing in crate.fixings if fixing.purpose.startswith("mounting")]
    assert [fixing.count for fixing in mounting] == [len(crate.drill)]
    assert crate.work.bolts == by_fixing.pop("bolt 1/4x1-1/2") == len(crate.bolts) == used["t-nut 1/4"] == 4
    assert crate.work.screws == sum(by_fixing.values())
    assert crate.work.mountings == 1
    assert used["gasket"] == -(-4 * 36 * 254 // 10)


def test_handles_from_the_shops_weight() -> None:
    assert "handle" not in {item.good for item in make(12, 12, 2).piecework}
    # 40 x 40 in with 30 lb weighs about 85 lb closed, longer than one person carries: four people, a handle each.
    crate = make(40, 40, 30)
    assert crate.lift == "four people"
    assert {item.good: item.count for item in crate.piecework}["handle"] == 4
    screwed = make(40, 40, 30, shop=replace(SHOP, gear=replace(SHOP.gear, handles="screwed")))
    assert {item.good: item.count for item in screwed.piecework}["handle"] == 2
    assert not screwed.bolts
    assert any("Screw 2 handles to the stiles" in step.text for step in screwed.steps)


def test_a_face_larger_than_a_sheet_is_refused_with_the_way_out() -> None:
    with pytest.raises(Refused, match="is larger than every ply-3/8") as refused:
        make(45, 45)
    assert "battened" in refused.value.reasons[0].accepted


def test_larger_sheets_take_larger_faces() -> None:
    big = tuple(
        replace(g, sizes=tuple(replace(s, length=120 * INCH, width=60 * INCH) for s in g.sizes))
        if g.form == "sheet"
        else g
        for g in SHOP.goods
    )
    assert make(45, 45, shop=replace(SHOP, goods=big)).shell.width == 51 * INCH


def test_the_reader_is_told_what_the_crate_is_not() -> None:
    crate = make(surface="resin")
    verdicts = {check.name: check.verdict for check in crate.checks}
    assert verdicts["shock, drop"] == "info"  # uncushioned: the rigid liner does not count
    assert verdicts["mounting screws, lateral"] == "info"  # under 6 diameters of thread
    assert verdicts["lid screws, withdrawal"] == "info"
    assert [layer.material for layer in crate.layers] == ["air"]
    assert any("never glued" in step.text for step in crate.steps)
    assert any("not in the crate while anybody drills" in step.caution for step in crate.steps)
    assert not crate.raw_wood


def test_abroad_a_crate_of_plywood_needs_no_mark() -> None:
    piece = Artwork("A-01", 30 * INCH, 30 * INCH, 3 * INCH // 2, weight_kg=Decimal(5))
    crate = closed(Packing("K1", (piece,), SHOP, "test", country="DE"))
    border = next(check for check in crate.checks if check.name == "wood at the border")
    assert border.verdict == "ok"
    assert "exempt" in border.note


def test_a_missing_weight_is_estimated_and_said() -> None:
    piece = Artwork("A-01", 30 * INCH, 30 * INCH, 3 * INCH // 2, support="birch panel")
    crate = closed(Packing("K1", (piece,), SHOP, "test"))
    assert crate.net_kg > 1
    assert crate.spread_kg > 0.2 * crate.net_kg
    assert any("estimated" in warning for warning in crate.warnings)


def test_a_piece_deeper_than_a_sheet_is_wide_is_refused_with_both_sizes() -> None:
    deep = Artwork("A-01", 30 * INCH, 40 * INCH, 48 * INCH, row=7)
    with pytest.raises(Refused) as caught:
        closed(Packing("K1", (deep,), SHOP, "test"))
    (told,) = caught.value.reasons
    assert (told.row, told.column, told.found) == (7, "depth", "48 in deep")
    assert "sheets give 48 in" in told.accepted

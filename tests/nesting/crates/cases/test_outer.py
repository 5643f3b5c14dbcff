"""Outer cases: strand board on lumber, foam on all six sides, frames standing like books."""

import re
from dataclasses import replace
from decimal import Decimal
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import event, given, note
from hypothesis import strategies as st

from nesting.advice.cushion import SHOCK
from nesting.base.measure import INCH, MM
from nesting.crates.cases.outer import outer
from nesting.crates.model import Crate
from nesting.crates.registry import method_of
from nesting.crates.traits import Casing, Packing, Refused
from nesting.crates.travel.travel import travel
from nesting.order import Artwork
from nesting.shop.shop import Shop
from nesting.shop.shop_file import default_shop
from tests.nesting.crates.case_proofs import (
    of,
    prove_bolts,
    prove_case,
    prove_disjoint,
    prove_parts_placed,
    prove_standing,
    prove_weight,
)
from tests.read_steps import read
from tests.strategies import lengths

SHOP = default_shop()
FIXED = replace(SHOP, case=replace(SHOP.case, cushion="fixed"))
"""With 4 in of foam on each side, whatever is carried."""


def piece(name: str, width: float, height: float, depth: float = 2, **facts: Any) -> Artwork:
    facts.setdefault("weight_kg", Decimal(8))
    return Artwork(name, int(width * INCH), int(height * INCH), int(depth * INCH), **facts)


def cased(*artworks: Artwork, shop: Shop = SHOP, country: str = "", **facts: Any) -> tuple[Crate, tuple[Crate, ...]]:
    frames = tuple(
        travel(Packing(f"K{n}", (artwork,), shop, "asked for", country=country, **facts))
        for n, artwork in enumerate(artworks, start=1)
    )
    return outer(Casing("K9", frames, artworks, shop, "one destination", country=country, **facts)), frames


@st.composite
def consignments(draw: st.DrawFn) -> list[Artwork]:
    count = draw(st.integers(1, 5))
    return [
        Artwork(
            f"A-{n:02}",
            draw(lengths(14 * INCH, 110 * INCH)),
            draw(lengths(14 * INCH, 110 * INCH)),
            draw(lengths(INCH, 4 * INCH)),
            weight_kg=Decimal(draw(st.integers(10, 150))) / 10,
            turn=draw(st.booleans()),
        )
        for n in range(count)
    ]


def measured(plywood: int, board: int, trim: int) -> Shop:
    """Make a shop with its own measured sheets."""
    thick = {"ply-23/32": plywood, "osb-7/16": board}
    goods = tuple(replace(good, thickness=thick.get(good.good, good.thickness)) for good in SHOP.goods)
    return replace(SHOP, goods=goods, saw=replace(SHOP.saw, trim_left=trim, trim_bottom=trim))


SHOPS = (SHOP, measured(18 * MM, 11 * MM, 0), measured(3 * INCH // 4, 13 * INCH // 32, INCH // 4))


@given(consignments(), st.sampled_from(["end", "front"]), st.sampled_from(["", "DE"]), st.sampled_from(SHOPS))
def test_every_case_holds(artworks: list[Artwork], opens: str, country: str, base: Shop) -> None:
    """The case closes, nothing meets, foam all round, a way out, everything off the stock, the weight adds up."""
    note(str([(a.width / INCH, a.height / INCH, a.depth / INCH) for a in artworks]))
    shop = replace(base, case=replace(base.case, opens=opens))
    try:
        case, frames = cased(*artworks, shop=shop, country=country)
    except Refused:
        event("refused")
        assert min(artwork.width for artwork in artworks) < 24 * INCH
        return
    prove_disjoint(case)
    prove_parts_placed(case, shop)
    prove_case(case, frames, shop)
    prove_weight(case, shop, frames)
    prove_bolts(case, shop)
    prove_standing(case)
    if country:
        assert not case.raw_wood
        assert not case.sticks


def test_three_frames_side_by_side() -> None:
    """Sized to hold 1 to 5 travel frames side by side: common practice, no source; layers by hand.

    Frames 36 x 46 x 5-11/16 in. Along the row: 3 frames, 2 spacers of 1 in, foam of 4 in and board of 7/16 in twice.
    Skids reach 1/8 in beyond: bolts, 9/16 in (1.5 D) from the rail's edge, are 1-3/8 in from the face, 4 D from the
    skid's end.
    """
    case, frames = cased(piece("A", 30, 40), piece("B", 30, 40), piece("C", 30, 40), shop=FIXED)
    deep = frames[0].outside.depth
    assert case.outside.width == 36 * INCH + 8 * INCH + 7 * INCH // 8
    assert case.outside.depth == 3 * deep + 2 * INCH + 8 * INCH + 7 * INCH // 8 + 2 * INCH // 8
    assert case.pieces == ("A", "B", "C")
    lumber = [p for p in case.placed if p.role == "case lumber"]
    assert len(lumber) == 12
    assert {stick.good for stick in case.sticks if "edge" in stick.name} == {"2x3"}
    assert {part.good for part in case.parts if part.name.split(".")[1] in ("front", "back", "right")} == {"osb-7/16"}


def test_faces_larger_than_a_sheet_are_seamed_over_lumber() -> None:
    case, _ = cased(piece("A", 60, 100))
    panels = [part for part in case.parts if part.panel_of == "K9.front"]
    assert len(panels) >= 2
    assert all(max(p.length, p.width) <= 96 * INCH and min(p.length, p.width) <= 48 * INCH for p in panels)
    assert all(part.seam is not None for part in panels)
    assert any("seam-lumber" in stick.name for stick in case.sticks)


def test_skids_when_heavy_and_none_when_light() -> None:
    """Two skids when heavy, none when light: common practice, no source; from 150 lb gross, the shop's rule."""
    light, _ = cased(piece("A", 24, 20, weight_kg=Decimal(2)))
    heavy, _ = cased(*(piece(name, 40, 40, weight_kg=Decimal(15)) for name in "ABC"))
    assert light.net_kg + light.tare_kg < 150 * 0.45359237
    assert not of(light, "skid")
    assert any(item.good == "handle" for item in light.piecework)
    skids = of(heavy, "skid")
    assert {(p.box.y, p.box.dy) for p in skids} == {(0, 7 * INCH // 2)}
    xs = sorted((p.box.x, p.box.x + p.box.dx) for p in skids)
    assert [b - a for (_, a), (b, _) in pairwise(xs) if b > a] == [28 * INCH]
    assert heavy.lift == "forks"


def test_outriggers_where_the_base_is_under_a_third_of_the_height() -> None:
    tall, _ = cased(piece("A", 40, 90, weight_kg=Decimal(40)))
    braced = of(tall, "outrigger")
    assert braced
    assert max(p.box.dz for p in braced) * 3 >= tall.outside.height
    wide, _ = cased(*(piece(name, 60, 30, weight_kg=Decimal(15)) for name in "ABCD"))
    assert not of(wide, "outrigger")


def test_abroad_lumber_and_skids_are_laminated_plywood() -> None:
    """Wholly plywood or strand board is exempt from ISPM 15 (section 2.1, quoted by an inspection agency)."""
    home, _ = cased(piece("A", 40, 60, weight_kg=Decimal(30)), country="US")
    abroad, _ = cased(piece("A", 40, 60, weight_kg=Decimal(30)), country="DE")
    assert home.raw_wood
    assert home.sticks
    assert not abroad.raw_wood
    assert not abroad.sticks
    (border,) = [check for check in abroad.checks if check.name == "wood at the border"]
    assert border.verdict == "ok"
    raw = replace(SHOP, case=replace(SHOP.case, laminate_abroad=False))
    stamped, _ = cased(piece("A", 40, 60, weight_kg=Decimal(30)), shop=raw, country="DE")
    assert stamped.raw_wood
    (border,) = [check for check in stamped.checks if check.name == "wood at the border"]
    assert border.verdict != "ok"


def test_pieces_that_may_turn_lie_lower() -> None:
    hung, _ = cased(piece("A", 30, 70), piece("B", 30, 70))
    turned, _ = cased(piece("A", 30, 70, turn=True), piece("B", 30, 70, turn=True))
    one_only, _ = cased(piece("A", 30, 70, turn=True), piece("B", 30, 70))
    assert turned.outside.height < hung.outside.height
    assert one_only.outside.height == hung.outside.height
    assert "on the side" in read(turned)
    for (_, box), (_, ride) in zip(turned.pieces_placed, turned.rides, strict=True):
        assert (box.dx, box.dy) == (70 * INCH, 30 * INCH)
        assert ride.dx > ride.dy


def test_a_frame_is_turned_to_suit_its_neighbour() -> None:
    """48 x 60 in turned beside 60 x 40 in: both 66 in wide, and squares stand where their slats cross."""
    case, _ = cased(piece("A", 48, 60, turn=True), piece("B", 60, 40), shop=FIXED)
    assert case.outside.width == 66 * INCH + 8 * INCH + 7 * INCH // 8
    assert case.rides[0][1].dx == case.rides[1][1].dx == 66 * INCH
    squares = [p for p in of(case, "spacer") if "square" in p.part]
    assert len(squares) >= 4


def test_five_deep_frames_have_foam_on_both_sides_of_a_seam() -> None:
    """Five frames of 4 in pieces make an end wider than a sheet: its seam's lumber parts the foam."""
    case, frames = cased(*(piece(name, 30, 84, 4) for name in "ABCDE"))
    assert case.outside.depth > 48 * INCH
    prove_disjoint(case)
    prove_case(case, frames, SHOP)


def test_foam_is_what_the_drop_asks_for() -> None:
    """T = C h / G: 3 x 8 in over 30 G is 0.8 in at 100 to 200 lb (ISTA 1A, quoted), over 10 G it is 2.4 in.

    By common carrier it is 2 in at the least, which lie on plywood of 23/32 in beside lumber of 2-1/2 in.
    """

    def foam(case: Crate) -> int:
        pads = [p.box for p in of(case, "cushion") if ".pad-left" in p.part]
        return max(box.x + box.dx for box in pads) - min(box.x for box in pads)

    case, _ = cased(piece("A", 40, 40, weight_kg=Decimal(2)))
    assert 100 * 0.45359237 <= case.net_kg + case.tare_kg < 200 * 0.45359237
    assert foam(case) == 2 * INCH
    assert case.rides[0][1].x - 7 * INCH // 16 == 2 * INCH + 23 * INCH // 32
    hard = replace(SHOP, cushion=replace(SHOP.cushion, fragility_large=10.0))
    case, _ = cased(piece("A", 40, 40, weight_kg=Decimal(2)), shop=hard)
    assert foam(case) >= 24 * INCH // 10
    # So little weight loads no pad that does not buckle as foam likes it: that is told, whatever is laid.
    (check,) = [check for check in case.checks if check.name == SHOCK]
    assert check.verdict == "fails"
    assert check.would_pass


def test_opening_and_unpacking_are_told() -> None:
    """Bottom screws first, top ones last, one person holding: common practice, no source."""
    case, _ = cased(piece("A", 40, 40), piece("B", 40, 40))
    opening = " ".join(method_of(case).texts_for(case).opening)
    assert "screws out from the bottom up, the top ones last, one person holding the face" in opening
    assert "loose fillers and spacers first" in opening
    front, _ = cased(piece("A", 40, 40))
    assert any("opening front" in fixing.purpose for fixing in front.fixings)


def test_a_case_whose_opening_end_does_not_hold_is_strapped_round() -> None:
    """The check says "else two straps go round the case": so steps, gear and bill do, where it is so and only there."""
    said = []
    for factor in (2.0, 24.0):
        shop = replace(SHOP, mounting=replace(SHOP.mounting, handling_factor=factor))
        case, _ = cased(piece("A", 40, 40), piece("B", 40, 40), shop=shop)
        found = next(check for check in case.checks if check.name == "screws of the opening face, withdrawal")
        assert found.ratio is not None
        strapped = any("Draw two straps level round the case, over the right end" in step.text for step in case.steps)
        assert strapped == (found.ratio > 1)
        level = [fitting for fitting in case.gear if fitting.text == "level round front, ends and back"]
        assert len(level) == (2 if strapped else 0)
        over = [fitting for fitting in case.gear if fitting.role == "strap" and fitting not in level]
        used = sum(item.count for item in case.piecework if item.good == shop.gear.strap)
        assert used >= sum(2 * (case.outside.width + case.outside.depth) for _ in level) / MM
        assert bool(used) == bool(level or over)
        said.append(strapped)
    assert said == [False, True]


def test_each_frame_is_lifted_by_as_many_as_its_own_page_says() -> None:
    case, frames = cased(piece("A", 48, 60, weight_kg=Decimal(24)), piece("B", 20, 20, weight_kg=Decimal(3)))
    (loading,) = [step for step in case.steps if "Hands on the frame" in step.caution]
    assert len({frame.lift for frame in frames}) == 2
    for frame in frames:
        assert f"{frame.crate}: {frame.lift} (" in loading.caution
    assert any("rocked gently by hand: nothing moves inside" in step.check for step in case.steps)


def test_a_frame_alone_hears_nothing_of_neighbours() -> None:
    alone, _ = cased(piece("A", 40, 40))
    several, _ = cased(piece("A", 40, 40), piece("B", 40, 40))
    words = ("neighbours", "back one first", "fillers", "spacers", "one after the other")
    assert not any(word in step.text for step in alone.steps for word in words)
    assert any("neighbours" in step.text for step in several.steps)


def test_the_sticks_behind_each_seam_are_named_and_the_doors_apart() -> None:
    """A front wider than a sheet opens: its panels are joined in a step of their own, by its own lumber."""
    case, _ = cased(piece("A", 100, 60, weight_kg=Decimal(20)))
    lumber = {p.part: p.box for p in case.placed if p.role == "case lumber" and "seam" in p.part}
    (door,) = [step for step in case.steps if "its panels edge to edge" in step.text]
    (fixed,) = [step for step in case.steps if step.text.startswith("Glue and screw lumber behind the seams")]
    front = max(box.z for box in lumber.values())
    doors = {name for name, box in lumber.items() if box.z == front and box.dz < min(box.dx, box.dy)}
    texts = [step.text for step in case.steps]
    boards = next(n for n, text in enumerate(texts) if "strand board on all but" in text)
    assert texts.index(fixed.text) < boards < texts.index(door.text)
    words = [{f"K9.{word}" for word in re.split("[ ,;)]+", step.check)} for step in (door, fixed)]
    assert doors
    assert doors == words[0] & set(lumber)
    assert {part.name for part in case.parts if part.panel_of == "K9.front"} <= words[0]
    # Equal sticks share a name, so a name may stand in both.
    assert set(lumber) - doors <= words[1]


def test_more_frames_than_the_rule_are_a_mistake_of_the_caller() -> None:
    artworks = [piece(f"A{n}", 30, 30) for n in range(6)]
    with pytest.raises(ValueError, match="6 frames"):
        cased(*artworks)


def test_members_longer_than_lumber_are_spliced_with_a_plate() -> None:
    short = replace(
        SHOP,
        goods=tuple(
            replace(good, sizes=good.sizes[:1]) if good.good in ("2x3", "2x4") else good for good in SHOP.goods
        ),
    )
    case, _ = cased(piece("A", 100, 50), shop=short)
    plates = [p for p in of(case, "gusset") if "splice-plate" in p.part]
    assert plates
    assert max(stick.length for stick in case.sticks) <= 96 * INCH
    prove_disjoint(case)

"""Gear of cases: skids that are bolted, handles, outriggers, what a case is strapped to, and its rules turned off."""

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from nesting.base.measure import INCH, MM
from nesting.crates.expand import expand
from nesting.crates.model import Bolt, Crate
from nesting.crates.registry import method_of
from nesting.order import Order
from nesting.shop.house_rules import GearRules
from nesting.shop.shop import Shop
from nesting.shop.shop_file import default_shop
from tests.nesting.crates.case_proofs import of, prove_bolts, prove_case, prove_disjoint, prove_standing
from tests.nesting.crates.cases.test_outer import cased, piece
from tests.read_steps import read

SHOP = default_shop()


def ruled(**rules: Any) -> Shop:
    return replace(SHOP, gear=GearRules(**rules))


def text_of(case: Crate) -> str:
    return read(case)


def good_counts(case: Crate) -> dict[str, int]:
    return {item.good: item.count for item in case.piecework}


HEAVY = [piece(name, 40, 40, weight_kg=Decimal(15)) for name in "ABC"]


def test_every_piece_of_a_skid_is_bolted_at_both_ends() -> None:
    """Two skids of two pieces, front and back: eight bolts 3/8 x 5-1/2 through rail, board and skid, bores 1-1/2 in."""
    case, _ = cased(*HEAVY)
    assert good_counts(case)["carriage bolt 3/8x5-1/2"] == good_counts(case)["washer 3/8"] == 8
    assert {bolt.bore for bolt in case.bolts} == {3 * INCH // 2}
    assert {tuple(name.split(".")[1].rstrip("-0123456789") for name in bolt.through) for bolt in case.bolts} == {
        ("edge-long", "bottom", "skid")
    }
    told = text_of(case)
    assert "nuts of 8 bolts through the front and back rails" in told
    assert "| 1 3/8 in from the case's front and back |" in told
    assert "| 8 × carriage bolt 3/8x5-1/2, each with washer 3/8 |" in told
    assert "| 1 1/8 in wide | 1 1/2 in |" in told
    assert "square to the skid. | 7/16 in" in told
    assert "no forks under it before its skids are bolted" in told
    assert case.work.bolts == 8


def test_laminated_skids_are_bolted_too_and_their_outriggers_have_lag_screws() -> None:
    """Three members of 1-7/16 in are 4-5/16 in: the 4-1/2 in bolt would come out, a lag screw of 3 in stays inside."""
    case, _ = cased(piece("A", 40, 60, weight_kg=Decimal(30)), country="DE")
    assert of(case, "outrigger")
    assert good_counts(case)["lag screw 3/8x3"] == 4
    assert good_counts(case)["carriage bolt 3/8x5-1/2"] == 8
    prove_bolts(case, SHOP)
    assert "two lag screws each" in text_of(case)
    home, _ = cased(piece("A", 40, 60, weight_kg=Decimal(30)))
    assert good_counts(home)["carriage bolt 3/8x4-1/2"] == 4
    assert "they come off for a door" in text_of(home)


def test_where_no_bolt_is_stocked_screws_hold_and_the_case_says_so() -> None:
    bare = replace(SHOP, goods=tuple(good for good in SHOP.goods if not good.good.startswith("carriage")))
    case, _ = cased(*HEAVY, shop=bare)
    assert not case.bolts
    assert any("skids are held by screws" in warning for warning in case.warnings)
    assert any("skids from inside" in fixing.purpose for fixing in case.fixings)


def test_outriggers_go_by_the_centre_of_gravity() -> None:
    """The base is 2 tan(20) x the height of the centre: 0.72794 x it, to the next eighth each side."""
    case, _ = cased(piece("A", 40, 60, weight_kg=Decimal(30)))
    assert case.stands == "longer skids"
    base = max(p.box.dz for p in of(case, "outrigger"))
    assert 0.72794 * case.centre[1] <= base <= 0.72794 * case.centre[1] + INCH
    # More tilt asks for more of them.
    more, _ = cased(piece("A", 40, 60, weight_kg=Decimal(30)), shop=ruled(tilt=25.0))
    assert max(p.box.dz for p in of(more, "outrigger")) > base


def test_what_outriggers_cannot_hold_is_strapped_or_held() -> None:
    """The most is twice 2 in here; a pallet bears 20 / tan(20) = 54.9 in less its 5-1/2, an A-frame 60.4 in."""
    short = ruled(outrigger_most=2 * INCH)
    pallet, _ = cased(piece("A", 40, 50, weight_kg=Decimal(30)), shop=short)
    frame, _ = cased(piece("A", 70, 60, weight_kg=Decimal(30)), shop=short)
    falls, _ = cased(piece("A", 40, 108, weight_kg=Decimal(30)), shop=short)
    assert [case.stands for case in (pallet, frame, falls)] == ["pallet", "A-frame", ""]
    for case in (pallet, frame, falls):
        prove_standing(case)
        prove_disjoint(case)
    assert "two people hold it until both straps are tight" in text_of(pallet)
    assert "an A-frame 48 in (1219 mm) deep" in text_of(frame)
    (check,) = [each for each in falls.checks if each.name == "standing"]
    assert (check.verdict, check.structure) == ("fails", True)
    assert good_counts(pallet)["strap buckle"] == 2
    # Round height, depth and 5-1/2 in of deck twice, in mm, for both straps.
    round_it = 2 * (pallet.outside.height + pallet.outside.depth + 11 * INCH // 2) // MM
    assert 2 * round_it < good_counts(pallet)["strapping"] < 2 * round_it + 2 * 660


def test_a_case_that_falls_is_held_by_its_order() -> None:
    order = Order("o", (piece("A", 40, 108, weight_kg=Decimal(30), method="travel"),))
    crates = expand(order, ruled(outrigger_most=2 * INCH))
    (case,) = [crate for crate in crates if method_of(crate).is_case]
    assert case.standing == "held"
    assert [why.check for why in case.held_for] == ["standing"]
    assert "a base" in case.held_for[0].would_pass


def test_a_light_case_that_falls_is_strapped_too() -> None:
    """18 x 44 in and 16 lb: no skids below 150 lb, and a base of 14 in for a centre 29 in up."""
    case, frames = cased(piece("A", 18, 44, weight_kg=Decimal(3)))
    assert not of(case, "skid")
    assert case.stands == "pallet"
    prove_case(case, frames, SHOP)
    prove_standing(case)
    assert any("strapped to a pallet" in warning for warning in case.warnings)
    assert "lean it on nothing" not in " ".join(case.warnings)


def test_without_the_rule_of_standing_the_share_of_the_base_counts() -> None:
    """Outriggers then make the base a third of the height, as before; the check says what it said."""
    case, _ = cased(piece("A", 40, 90, weight_kg=Decimal(40)), shop=ruled(standing=False))
    base = max(p.box.dz for p in of(case, "outrigger"))
    assert case.outside.height <= 3 * base < case.outside.height + 3 * INCH
    assert case.stands == ""
    (check,) = [each for each in case.checks if each.name == "standing"]
    assert (check.unit, check.structure) == ("in", False)
    light, _ = cased(piece("A", 18, 44, weight_kg=Decimal(3)), shop=ruled(standing=False))
    assert any("left to those who move it" in warning for warning in light.warnings)


@pytest.mark.parametrize(("opens", "each", "long"), [("front", 2, 3), ("end", 2, 2)])
def test_handles_of_a_light_case_are_bolted_into_t_nuts(opens: str, each: int, long: int) -> None:
    """Where the front comes off they are on the ends: else bolts of handles would hold the front shut.

    Board 7/16, upright 1-1/2 (or 2-1/2 from the end), plate 1/8: 2-1/16 and 3-1/16 in, for bolts of 2 and 3 in.
    """
    shop = replace(SHOP, case=replace(SHOP.case, opens=opens, front_up_to=0))
    case, _ = cased(piece("A", 24, 20, weight_kg=Decimal(2)), shop=shop)
    assert good_counts(case)["handle"] == 4
    assert good_counts(case)[f"bolt 1/4x{long}"] == good_counts(case)["t-nut 1/4"] == 4 * each
    prove_bolts(case, shop)
    handles = [fitting.box for fitting in case.gear if fitting.role == "handle"]
    (door,) = {b.part for b in of(case, "case face") if b.part.endswith("front" if opens == "front" else "right")}
    assert not any(door in bolt.through for bolt in case.bolts)
    up = handles[0].y + handles[0].dy // 2
    assert 0 <= up - case.centre[1] <= INCH // 8
    out = case.outside.width if opens == "front" else case.outside.depth
    assert case.body is not None
    assert out - (case.body.width if opens == "front" else case.body.depth) == 2 * INCH
    (check,) = [found for found in case.checks if found.name == "handles"]
    assert check.verdict == "ok"
    assert check.capacity == 150.0
    assert "from outside straight through board and upright, as drawn. | 5/16 in |" in text_of(case)


def test_handles_may_be_screwed_or_left_out() -> None:
    light = piece("A", 24, 20, weight_kg=Decimal(2))
    screwed, _ = cased(light, shop=ruled(handles="screwed"))
    assert good_counts(screwed)["handle"] == 4
    assert not screwed.bolts
    assert any("screwed, not bolted" in warning for warning in screwed.warnings)
    assert any(fixing.good == SHOP.case.door_screw and "handles" in fixing.purpose for fixing in screwed.fixings)
    none, _ = cased(light, shop=ruled(handles="none"))
    assert "handle" not in good_counts(none)
    assert none.body is None
    assert any("no handles" in warning for warning in none.warnings)


def test_too_heavy_for_its_handles_fails() -> None:
    """600 lb among four, three times: 450 lb against handles rated 150."""
    shop = replace(SHOP, case=replace(SHOP.case, skid_from_lb=2000.0), lifting=replace(SHOP.lifting, forks_lb=500.0))
    case, _ = cased(*HEAVY, shop=shop)
    (check,) = [found for found in case.checks if found.name == "handles"]
    assert (check.verdict, check.structure) == ("fails", True)
    assert "skids from a lower weight" in check.would_pass


@pytest.mark.parametrize(
    "wrong",
    [
        lambda bolt: replace(bolt, good="carriage bolt 3/8x4-1/2"),
        lambda bolt: replace(bolt, y=bolt.y - INCH),
        lambda bolt: replace(bolt, x=bolt.x + INCH),
        lambda bolt: replace(bolt, z=bolt.z + INCH // 2),
        lambda bolt: replace(bolt, through=bolt.through[::-1]),
        lambda bolt: replace(bolt, through=bolt.through[:2]),
        lambda bolt: replace(bolt, bore=INCH),
        lambda bolt: replace(bolt, bore=0),
    ],
)
def test_the_proof_of_bolts_sees_a_wrong_one(wrong: Callable[[Bolt], Bolt]) -> None:
    case, _ = cased(*HEAVY)
    prove_bolts(case, SHOP)
    first, *rest = case.bolts
    with pytest.raises((AssertionError, ValueError)):
        prove_bolts(replace(case, bolts=(wrong(first), *rest)), SHOP)


def test_the_proof_of_fittings_sees_a_handle_in_the_wood() -> None:
    case, _ = cased(piece("A", 24, 20, weight_kg=Decimal(2)))
    first, *rest = case.gear
    box = replace(first.box, x=first.box.x + 2 * INCH)
    with pytest.raises(AssertionError):
        prove_bolts(replace(case, gear=(replace(first, box=box), *rest)), SHOP)

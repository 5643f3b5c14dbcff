"""What lifts a crate and keeps it upright, on whole crates: places by hand, rules kept, each kind turned off."""

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from math import degrees, tan

import pytest
from hypothesis import given, reject, settings
from hypothesis import strategies as st

from nesting.base.faults import FaultsFound
from nesting.base.measure import INCH, LB_KG, UnitSystem
from nesting.crates.expand import expand
from nesting.crates.model import Crate
from nesting.order import Artwork, Back, Order
from nesting.shop.house_rules import GearRules
from nesting.shop.shop import Shop
from nesting.shop.shop_file import default_shop
from tests.gear_verifier import gear_faults
from tests.read_steps import all_of

SHOP = default_shop()


# arguments: a piece's size and weight, and the shop's rules, in the tests' own order
def crate_of(
    width: float,
    height: float,
    depth: float,
    pounds: float,
    method: str,
    shop: Shop = SHOP,
    country: str = "",
    units: UnitSystem = "inch",
) -> Crate:
    """Pack one solid piece."""
    wide, high, deep = (int(value * INCH) for value in (width, height, depth))
    piece = Artwork(
        "A-01",
        wide,
        high,
        deep,
        weight_kg=Decimal(str(pounds)) * LB_KG,
        back=Back("solid"),
        method=method,
        destination="there",
    )
    (crate,) = expand(Order("o", (piece,), units=units), shop, countries={"there": country})
    return crate


def with_gear(**rules: object) -> Shop:
    """Return a shop with other rules of gear."""
    return replace(SHOP, gear=replace(SHOP.gear, **rules))  # type: ignore[arg-type]  # each rule's own kind


def says(crate: Crate, words: str) -> bool:
    """Whether a step says these words."""
    return any(words in all_of(step) for step in crate.steps)


def test_skids_by_hand_under_42_by_46_in() -> None:
    """Not strapped to a pallet: the rules of standing are off, and the crate is wide enough for a jack."""
    crate = crate_of(36, 40, 2, 120, "closed", with_gear(standing=False))
    assert crate.lift == "forks"
    assert crate.stands == ""
    # 28 in clear: left edges at (42 - 28) / 2 - 3 = 4 and at 35 in, plies 1-1/2 in thick, below the body.
    skids = sorted((p.box for p in crate.placed if p.role == "skid"), key=lambda box: box.x)
    assert [box.x / INCH for box in skids] == [4, 5.5, 35, 36.5]
    assert {(box.y, box.y + box.dy) for box in skids} == {(-7 * INCH // 2, 0)}
    assert (crate.outside.height, crate.shell.height) == (99 * INCH // 2, 46 * INCH)
    assert crate.outside.depth == crate.shell.depth
    # Block and rail are 2 x 23/32 in, the skid 3-1/2: 4-15/16 in. A bolt of 4-1/2 in ends 7/16 in over the floor; with
    # washer (1/16) and nut (21/64) the bore is 7/16 + 1/16 + 21/64 = 53/64, up to 7/8 in.
    assert {bolt.bore for bolt in crate.bolts} == {7 * INCH // 8}
    assert {bolt.y - 9 * INCH // 2 + 7 * INCH // 2 for bolt in crate.bolts} == {7 * INCH // 16}
    assert [bolt.x / INCH for bolt in crate.bolts] == [4.75, 6.25, 35.75, 37.25]
    assert len({bolt.z for bolt in crate.bolts}) == 2
    used = {item.good: item.count for item in crate.piecework}
    assert used["carriage bolt 3/8x4-1/2"] == used["washer 3/8"] == crate.work.bolts == 4
    assert says(crate, "28 in clear between the skids, 3 1/2 in high")
    assert says(crate, "bore each hole from the underside for washer and nut. | 1 1/8 in wide | 7/8 in")
    assert gear_faults(crate, with_gear(standing=False)) == []


def test_a_crate_that_no_jack_gets_under_goes_on_a_pallet() -> None:
    crate = crate_of(20, 30, 3, 150, "battened")
    assert (crate.lift, crate.stands) == ("forks", "pallet")
    assert not any(p.role == "skid" for p in crate.placed)
    assert crate.body is None
    assert any("have a pallet 48 in x 40 in ready" in text for text in crate.warnings)
    assert says(crate, "over the top and under the deck boards")
    assert {item.good: item.count for item in crate.piecework}["strap buckle"] == 2


def test_where_neither_a_jack_nor_a_pallet_serves_the_crate_is_held() -> None:
    # 26 in wide, its centre of gravity 55 in up: on a pallet it falls at atan(20 / 60) = 18 degrees.
    crate = crate_of(20, 104, 3, 150, "battened")
    assert crate.standing == "held"
    assert {"skids, width for a pallet jack", "standing"} <= {why.check for why in crate.held_for}
    assert all(why.would_pass for why in crate.held_for)


def test_a_high_crate_is_strapped_to_an_a_frame_that_stands() -> None:
    crate = crate_of(60, 100, 2.25, 140, "battened")
    assert crate.stands == "A-frame"
    (check,) = [check for check in crate.checks if check.name == "standing"]
    high = crate.centre[1] / INCH + 3.5 + 5.5
    base = -(-2 * high * tan(20 / degrees(1)) // 0.5) * 0.5
    assert check.verdict == "ok"
    assert says(crate, f"its floor at least {base:g}".replace(".5", " 1/2"))
    # Two straps level round crate and frame, a foot through each buckle.
    strap = 2 * (2 * (66 + base) + 12) * 25.4
    assert {item.good: item.count for item in crate.piecework}["strapping"] == pytest.approx(strap, abs=1)


def test_a_crate_as_deep_as_it_is_high_stands_free() -> None:
    crate = crate_of(12, 8, 8, 10, "closed")
    assert crate.stands == "free"
    assert "strapping" not in {item.good for item in crate.piecework}


def test_longer_skids_where_little_is_lacking_and_their_bolts_hold() -> None:
    crate = crate_of(40, 20, 7, 130, "closed")
    assert crate.stands == "longer skids"
    over = (crate.outside.depth - crate.shell.depth) // 2
    assert 0 < over <= SHOP.gear.outrigger_most
    assert {p.box.z for p in crate.placed if p.role == "skid"} == {-over}
    assert "skid bolts, prying" in {check.name for check in crate.checks}
    short = crate_of(40, 20, 7, 130, "closed", with_gear(outrigger_most=0))
    assert short.stands == "pallet"


def test_abroad_skids_are_laminated_and_need_no_mark() -> None:
    home, away = (crate_of(60, 100, 2.25, 140, "battened", country=country) for country in ("US", "NL"))
    assert home.sticks
    assert not away.sticks
    assert not away.raw_wood
    assert gear_faults(away, SHOP) == []


def test_handles_stand_at_or_above_the_centre_of_gravity_one_for_each_who_lifts() -> None:
    crate = crate_of(40, 40, 2, 30, "closed")
    assert crate.lift == "four people"
    middles = sorted({fitting.box.y + fitting.box.dy // 2 for fitting in crate.gear})
    assert len(crate.gear) == 4
    assert 0 <= middles[0] - crate.centre[1] <= INCH
    # One over the other, eight inches from middle to middle.
    assert middles[1] - middles[0] == 8 * INCH
    assert crate.outside.width == crate.shell.width + 2 * INCH


def test_a_low_crate_has_no_room_for_handles_and_says_so() -> None:
    crate = crate_of(60, 4, 2, 20, "battened")
    assert not crate.gear
    assert any("no of 2 handles have room" in text for text in crate.warnings)


def test_each_kind_is_turned_off_and_what_is_left_to_people_is_said() -> None:
    none = crate_of(40, 40, 2, 30, "closed", with_gear(handles="none"))
    assert not none.gear
    assert any("must find a hold under the lower rail" in text for text in none.warnings)
    bare = crate_of(60, 100, 2.25, 140, "battened", with_gear(skids=False, standing=False))
    assert bare.stands == ""
    assert not bare.bolts
    assert any("without skids: strap it upright" in text for text in bare.warnings)
    strapped = crate_of(60, 100, 2.25, 140, "battened", with_gear(skids=False))
    assert (strapped.stands, strapped.lift) == ("A-frame", "forks")
    assert any("lift it by its A-frame alone" in text for text in strapped.warnings)
    (standing,) = [check for check in bare.checks if check.name == "standing"]
    assert standing.verdict == "watch"
    assert "it has no outriggers" in standing.note


def test_a_weak_handle_gets_company_and_one_that_nothing_helps_holds_the_crate() -> None:
    def handle(rated: float) -> Shop:
        goods = tuple(replace(g, rated_lb=rated) if g.good == "handle" else g for g in SHOP.goods)
        return replace(SHOP, goods=goods)

    more = crate_of(40, 40, 2, 30, "closed", handle(50))
    assert len(more.gear) == 6
    weak = crate_of(40, 40, 2, 30, "closed", handle(5))
    assert weak.standing == "held"
    assert "handles" in {why.check for why in weak.held_for}


PLANTED: dict[str, tuple[Callable[[Crate], Crate], str]] = {
    "a shorter bolt": (
        lambda c: replace(c, bolts=tuple(replace(b, good="lag screw 3/8x3") for b in c.bolts)), "nut does not lie"
    ),
    "a bolt beside its block": (
        lambda c: replace(c, bolts=(replace(c.bolts[0], x=c.bolts[0].x + 6 * INCH), *c.bolts[1:])), "does not run"
    ),
    "a bolt near an edge": (
        lambda c: replace(c, bolts=(replace(c.bolts[0], x=c.bolts[0].x + INCH // 2), *c.bolts[1:])), "in from an edge"
    ),
    "a bolt that names its parts in another order": (
        lambda c: replace(c, bolts=(replace(c.bolts[0], through=c.bolts[0].through[::-1]), *c.bolts[1:])),
        "does not run",
    ),
    "a crate that says it is lower": (
        lambda c: replace(c, outside=replace(c.outside, height=c.shell.height)), "it reaches over"
    ),
    "a crate that people lift": (lambda c: replace(c, lift="two people"), "two people lift"),
    "skids too near each other": (
        lambda c: replace(c, placed=tuple(replace(p, box=replace(p.box, x=min(p.box.x, 20 * INCH)))
                                          if p.role == "skid" else p for p in c.placed)), "forks find no room"
    ),
    "nothing that keeps it upright": (lambda c: replace(c, stands=""), "stands by nothing"),
}  # fmt: skip


@pytest.mark.parametrize("name", PLANTED)
def test_what_is_wrong_with_gear_is_found(name: str) -> None:
    crate = crate_of(60, 60, 2, 100, "battened")
    assert gear_faults(crate, SHOP) == []
    change, found = PLANTED[name]
    assert any(found in fault for fault in gear_faults(change(crate), SHOP)), gear_faults(change(crate), SHOP)


@settings(max_examples=40)
@given(
    st.tuples(st.integers(6, 100), st.integers(6, 100), st.integers(1, 8)),
    st.floats(1, 300),
    st.sampled_from(["", "NL"]),
    st.builds(GearRules, handles=st.sampled_from(["bolted", "screwed", "none"]), standing=st.booleans()),
    st.sampled_from(["inch", "metric"]),
)
def test_whatever_the_piece_gear_keeps_its_rules(
    size: tuple[int, int, int], pounds: float, country: str, rules: GearRules, units: UnitSystem
) -> None:
    shop = replace(SHOP, gear=rules)
    try:
        crate = crate_of(*size, round(pounds, 1), "battened", shop, country, units)
    except FaultsFound:
        reject()
    assert gear_faults(crate, shop) == []

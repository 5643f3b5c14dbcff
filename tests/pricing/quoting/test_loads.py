"""Crates on pallets and A-frames: what a carrier is handed, worked by hand, and the class that changes by it."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.base.measure import INCH
from nesting.crates.model import Stands
from pricing.quoting.freight import offer
from pricing.quoting.loads import load
from pricing.quoting.particulars import NONE_GIVEN, Particulars
from pricing.studio.rates_file import default_rates, former_rates
from tests.pricing.quoting.carried import DELIVERY, DOCK, PLACE, box, charges, profile, stocked

ON = profile("pallet", on_pallets=True)


def on(crates: str, particulars: Particulars) -> list[tuple[str, ...]]:
    """Return how crates of 8 in depth that only a pallet keeps upright are put together, by their names."""
    made = load([box(40, 8, 50, 60.0, name, "pallet") for name in crates.split()], ON, particulars)
    return [each.crates for each in made.handed]


def test_a_thin_crate_is_classed_with_its_pallet() -> None:
    """48 x 8 x 60 in: alone class 85, the minimum of 185 and a liftgate, 280.00; on its pallet class 250, 459.39.

    173.9 lb in 13.33 ft3 are 13.05 lb/ft3. On a pallet of 48 x 40 x 5.5 in and 39.9 lb, 213.9 lb, billed 214: 48 x 40
    x 65.5 in are 72.78 ft3 and 2.94 lb/ft3. 45.00 + 2.14 x 112.00 = 284.68, fuel of 28 % 79.71, liftgate 95.00.
    """
    crate = box(48, 8, 60, 78.9, stands="pallet")
    before = former_rates().profile("pallet")
    bare = offer([crate], PLACE, before, particulars=stocked())
    assert "class 85 at 13.05 lb/ft3" in bare.basis
    assert bare.amount == Decimal("280.00")
    decked = offer([crate], PLACE, replace(before, on_pallets=True), particulars=stocked())
    assert "class 250 at 2.94 lb/ft3" in decked.basis
    assert charges(decked) == {"base": "45.00", "weight": "239.68", "fuel": "79.71", "liftgate": "95.00"}
    assert decked.amount == Decimal("459.39")
    (unit,) = decked.handed
    assert (unit.on, unit.length, unit.width, unit.height) == ("pallet 48x40", 48 * INCH, 40 * INCH, 131 * INCH // 2)
    assert (unit.gross_kg, unit.stacks) == (Decimal("97.0"), False)
    assert [(need.good, need.count) for need in decked.needs] == [("pallet 48x40", 1)]


def test_todays_pallet_profile_counts_what_stands_so_to_84_in() -> None:
    """48 x 40 x 84 in are 93.33 ft3: 2.29 lb/ft3, class 250 still, and the same 459.39."""
    made = offer(
        [box(48, 8, 60, 78.9, stands="pallet")], PLACE, default_rates().profile("pallet"), particulars=stocked()
    )
    assert "class 250 at 2.29 lb/ft3" in made.basis
    assert made.amount == Decimal("459.39")


def test_adding_a_pallet_moves_the_class_both_ways() -> None:
    """A pallet's 39.9 lb and 5.5 in are 6.5 lb/ft3 (practice, computed): what is denser falls, else rises.

    48 x 40 x 60 in are 66.67 ft3, 72.78 on the pallet: 536.6 lb go from 8.05 to 7.92, 398.8 lb from 5.98 to 6.03.
    """
    plain = former_rates().profile("pallet")
    for kg, bare, decked in ((243.4, "class 100 at 8.05", "class 125 at 7.92"),
                             (180.9, "class 175 at 5.98", "class 125 at 6.03")):  # fmt: skip
        crate = box(48, 40, 60, kg, stands="pallet")
        assert bare in offer([crate], DOCK, plain, particulars=stocked()).basis
        assert decked in offer([crate], DOCK, replace(plain, on_pallets=True), particulars=stocked()).basis


def test_pictures_keep_their_item_whatever_the_general_scale_says() -> None:
    """Item 56165: 60 x 12 x 48 in, 140 lb, is class 175, where the general scale gives 125; to 84 in 4.0, still 175."""
    crate = box(60, 12, 48, 63.6)  # 140.2 lb
    plain = replace(former_rates().profile("pallet"), released_per_lb=Decimal(25))
    assert "class 125 at 7.01" in offer([crate], DOCK, plain).basis
    pictures = replace(plain, item="pictures")
    made = offer([crate], DOCK, pictures)
    assert "class 175 at 7.01" in made.basis
    assert "freight item of paintings and pictures" in made.basis
    free = offer([crate], DOCK, replace(pictures, no_stack="all"))
    assert "class 175 at 4.01 lb/ft3, outside with skids, up to where nothing else can stand" in free.basis
    light = offer([box(60, 12, 48, 31.8)], DOCK, pictures)
    assert "class 300 at 3.51" in light.basis


def test_pictures_without_a_value_by_the_pound_are_refused() -> None:
    """Public docket on items 56157 ff.: no value stated in writing, not taken; a state and no zero."""
    rules = replace(former_rates().profile("pallet"), item="pictures")
    made = offer([box(60, 12, 48, 63.6)], DOCK, rules)
    assert made.refused == ("pictures are taken only at a value by the pound, and the profile states none",)
    assert made.charges == ()


def test_a_rule_of_room_is_charged_where_it_is_dearer() -> None:
    """7 crates of 48 x 40 x 60 in, 200 lb, are 16 ft of a trailer, single ones 4: 20,000 lb in 466.7 ft3 are class 55.

    Actual: 1,400 lb at 3.0 lb/ft3, class 250: 14 x 112.00 = 1,568.00. Billed: 200 x 26.00 = 5,200.00.
    """
    rules = replace(former_rates().profile("pallet"), linear_ft=Decimal(12))
    crates = [box(48, 40, 60, 90.7, f"K{n}") for n in range(1, 8)]
    made = offer(crates, DOCK, rules)
    assert charges(made)["weight"] == "5200.00"
    assert "class 55 at 42.86 lb/ft3" in made.basis
    assert "by linear feet: 16 ft, over 12, at 1250 lb a foot" in made.basis
    assert charges(offer(crates[:6], DOCK, rules))["weight"] == "1344.00", "12 ft are not over 12"
    assert charges(offer(crates, DOCK, former_rates().profile("pallet")))["weight"] == "1568.00"


def test_several_crates_share_a_deck_where_they_fit() -> None:
    """40 in take five of 8 in; the sixth goes on a pallet of its own."""
    assert on("K1 K2 K3 K4 K5 K6", stocked()) == [("K1", "K2", "K3", "K4", "K5"), ("K6",)]


def test_a_deck_bears_no_more_than_its_maker_allows() -> None:
    """2,500 lb are 1,134 kg: two of 560 kg, not three."""
    crates = [box(40, 8, 50, 560.0, f"K{n}", "pallet") for n in (1, 2, 3)]
    assert [each.crates for each in load(crates, ON, stocked()).handed] == [("K1", "K2"), ("K3",)]


def test_crates_strapped_together_stand_the_tilt_by_their_common_centre() -> None:
    """A heavy and a light one of 8 in lie 8 in off the middle at the most: 20 - 3.6 in of base for 30.5 in of height.

    tan 25 degrees x 30.5 in = 14.2 in stand; at tan 30 degrees 17.6 in do not, and each goes alone, with 20 in.
    """
    heavy, light = box(40, 8, 50, 95.0, "K1", "pallet"), box(40, 8, 50, 5.0, "K2", "pallet")
    assert [each.crates for each in load([heavy, light], ON, stocked(tilt=25)).handed] == [("K1", "K2")]
    assert [each.crates for each in load([heavy, light], ON, stocked(tilt=30)).handed] == [("K1",), ("K2",)]


def test_the_smallest_a_frame_that_holds_a_crate_is_taken() -> None:
    """70 in go on 72, 90 in on 96; 108 in reach 6 in beyond either end of 96, and more is not stocked."""
    found = [load([box(width, 8, 70, 90.0, stands="A-frame")], ON, stocked()) for width in (70, 90, 108, 109)]
    assert [made.handed[0].on for made in found] == ["a-frame 72x36", "a-frame 96x48", "a-frame 96x48", ""]
    assert [made.handed[0].length // INCH for made in found] == [72, 96, 108, 109]
    assert found[2].told == ("K1 reaches beyond the ends of its a-frame 96x48",)
    assert found[3].told == (
        "no pallet or A-frame that is stocked holds K1 upright: measured without, and none is priced",
    )


@pytest.mark.parametrize(
    ("kind", "told"),
    [
        ("pallet", ("K1, K2 must be strapped upright to a pallet or an A-frame, which is in no price here",)),
        ("parcel", ("K1, K2: a parcel carrier keeps nothing upright (common practice, no source)",)),
        ("van", ()),
        ("handler", ()),
        ("collect", ()),
    ],
)
def test_without_decks_crates_are_as_they_were_and_that_is_told(kind: str, told: tuple[str, ...]) -> None:
    rules = former_rates().profile("pallet") if kind == "pallet" else profile(kind)  # type: ignore[arg-type]
    crates = [box(40, 8, 50, 60.0, "K1", "pallet"), box(70, 8, 70, 90.0, "K2", "A-frame"), box(40, 30, 40, 9.0, "K3")]
    made = load(crates, rules, stocked())
    assert [(each.crates, each.on, each.gross_kg) for each in made.handed] == [
        (("K1",), "", Decimal("60.0")), (("K2",), "", Decimal("90.0")), (("K3",), "", Decimal("9.0")),
    ]  # fmt: skip
    assert made.told == told


def test_what_the_shop_does_not_stock_is_told() -> None:
    crates = [box(40, 8, 50, 60.0, "K1", "pallet")]
    assert load(crates, ON, NONE_GIVEN).told[0].startswith("no pallet or A-frame that is stocked holds K1 upright")
    made = offer(crates, DOCK, profile("fixed", tilt_each=1, shock_each=2), particulars=Particulars(DELIVERY))
    assert made.told[1:] == (
        "tilt indicators are asked for and not stocked: none are in the price",
        "shock indicators are asked for and not stocked: none are in the price",
    )
    assert made.needs == ()


def test_indicators_go_on_each_crate_by_rule() -> None:
    crates = [box(40, 8, 50, 60.0, "K1", "pallet"), box(40, 30, 40, 9.0, "K2")]
    made = offer(crates, DOCK, profile("fixed", on_pallets=True, tilt_each=1, shock_each=2), particulars=stocked())
    assert [(need.good, need.count) for need in made.needs] == [
        ("pallet 48x40", 1), ("tilt-indicator", 2), ("shock-indicator", 4),
    ]  # fmt: skip
    assert [set(need.bearers) for need in made.needs] == [{"K1"}, {"K1", "K2"}, {"K1", "K2"}]


@given(
    crates=st.lists(
        st.tuples(
            st.integers(12, 100), st.integers(3, 30), st.integers(12, 70), st.integers(20, 4000),
            st.sampled_from(["", "free", "pallet", "A-frame"]),
        ),
        min_size=1, max_size=8,
    ),
    tilt=st.sampled_from([0.0, 20.0]),
)  # fmt: skip
def test_every_crate_is_handed_over_once_with_all_its_weight(
    crates: list[tuple[int, int, int, int, Stands]], tilt: float
) -> None:
    """Nothing is lost or doubled, decks add their own weight, and what is on one fits on it."""
    made = [box(w, d, h, kg / 10, f"K{n}", stands) for n, (w, d, h, kg, stands) in enumerate(crates, start=1)]
    particulars = stocked(tilt=tilt)
    found = load(made, ON, particulars)
    named = [crate for each in found.handed for crate in each.crates]
    assert sorted(named) == sorted(crate.crate for crate in made)
    by_name = {crate.crate: crate for crate in made}
    for each in found.handed:
        own = Decimal(str(particulars.goods[each.on].each_g)) / 1000 if each.on else Decimal(0)
        assert each.gross_kg == own + sum(Decimal(str(by_name[crate].gross_kg)) for crate in each.crates)
        if each.on:
            assert each.width >= sum(by_name[crate].outside.depth for crate in each.crates)
            assert each.stacks is False
    bearers = offer(made, DOCK, profile("van", on_pallets=True), particulars=particulars).bearers
    assert list(bearers) == [crate.crate for crate in made]
    assert sum(bearers.values()) == 1

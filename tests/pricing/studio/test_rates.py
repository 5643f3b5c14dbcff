from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from pricing.studio.rates import DeliveryRules, FreightProfile, LabourRules, PriceRules, Rates, SaleRules
from pricing.studio.rates_file import default_rates


def test_defaults_are_pinned() -> None:
    rules = PriceRules()
    assert (rules.charge, rules.profit, rules.round_way) == ("bought", "markup", "nearest")
    assert (rules.contingency, rules.overhead, rules.profit_rate) == (Decimal("0.05"), Decimal("0.10"), Decimal("0.25"))
    assert [rules.minimum, rules.round_to, rules.discount] == [75, 1, 0]
    assert (rules.stale_days, rules.valid_days, rules.freight_marked_up) == (90, 30, False)
    assert rules.offcut_value == Decimal("0.5")
    assert SaleRules().commission == Decimal("0.50")
    assert LabourRules().hours == ("hour saw", "hour bench", "hour packing")


def test_a_margin_of_all_the_price_is_refused_and_a_markup_of_it_is_not() -> None:
    assert PriceRules(profit_rate=Decimal(1)).profit_rate == 1
    with pytest.raises(ValueError, match="margin less than 1"):
        PriceRules(profit="margin", profit_rate=Decimal(1))


def test_values_out_of_range_are_refused() -> None:
    with pytest.raises(ValueError, match="contingency"):
        PriceRules(contingency=Decimal("-0.01"))
    with pytest.raises(ValueError, match="charge"):
        PriceRules(charge="guessed")  # type: ignore[arg-type]  # a wrong word is the point
    with pytest.raises(ValueError, match="commission"):
        SaleRules(commission=Decimal(1))
    with pytest.raises(ValueError, match="needs a name"):
        FreightProfile("")
    for wrong, told in (
        ({"countries": "US France"}, "countries: found France"),
        ({"transit_days": 5, "transit_days_most": 3}, "transit_days_most: found 3"),
        ({"closed": "Christmas"}, "closed: found 'Christmas'"),
        ({"zones": {"5": Decimal(-1)}}, r"zones\.5: found -1"),
    ):
        with pytest.raises(ValueError, match=told):
            FreightProfile("p", "parcel", **wrong)
    ways = replace(default_rates(), delivery=DeliveryRules(profile="parcel, van then air"))
    assert ways.delivery.profile == "parcel, van then air"
    with pytest.raises(ValueError, match=r"delivery\.profile: found balloon"):
        replace(default_rates(), delivery=DeliveryRules(profile="van then balloon"))
    with pytest.raises(ValueError, match=r"per_100lb\.70"):
        FreightProfile("p", "pallet", per_100lb={"70": Decimal(-1)})


def test_profiles_are_found_by_name_and_stand_once() -> None:
    van = FreightProfile("van", "van", date(2026, 1, 1))
    collect = FreightProfile("collect", "collect")
    rates = Rates("USD", freight=(collect, van))
    assert rates.profile("van") is van
    with pytest.raises(KeyError, match="there are collect, van"):
        rates.profile("boat")
    with pytest.raises(ValueError, match="van twice"):
        replace(rates, freight=(van, van, collect))
    with pytest.raises(ValueError, match=r"delivery\.profile"):
        replace(rates, freight=(van,))
    with pytest.raises(ValueError, match="three capital letters"):
        Rates("dollars")

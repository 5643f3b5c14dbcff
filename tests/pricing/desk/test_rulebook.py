from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from nesting.base.rule_files import show, typed_value
from nesting.shop.former import remarks
from nesting.shop.shop_file import default_shop
from pricing.desk.rulebook import rate_rules, shop_rules, with_rate_rules, with_shop_rules
from pricing.studio.rates_file import default_rates

SHOP, RATES = default_shop(), default_rates()


def test_every_rule_reads_back_what_it_shows() -> None:
    rules = [*shop_rules(SHOP, SHOP), *rate_rules(RATES, RATES)]
    assert len(rules) > 150
    assert len({rule.name for rule in rules}) == len(rules)
    for rule in rules:
        value = typed_value(rule.facts, rule.text)
        assert show(rule.facts, value) == rule.text, rule.name
        assert rule.facts.doc


def test_putting_every_rule_back_as_it_is_changes_nothing() -> None:
    same = {rule.name: rule.text for rule in (*shop_rules(SHOP, SHOP), *rate_rules(RATES, RATES))}
    shop, faults = with_shop_rules(SHOP, same)
    rates, more = with_rate_rules(RATES, same)
    assert (faults, more) == ([], [])
    assert shop == SHOP
    assert rates == RATES


@pytest.mark.parametrize(
    ("name", "text", "value"),
    [
        ("price.overhead", "12.5%", Decimal("0.125")),
        ("price.freight_marked_up", "Yes", True),
        ("freight.van.per_km", "1.75", Decimal("1.75")),
        ("price.valid_days", "45", 45),
    ],
)
def test_a_rate_is_changed_by_its_name(name: str, text: str, value: Any) -> None:
    rates, faults = with_rate_rules(RATES, {name: text})
    assert faults == []
    group, *middle, key = name.split(".")
    owner = rates.profile(middle[0]) if group == "freight" else getattr(rates, group)
    assert getattr(owner, key) == value


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("price.overhead", "a lot"), ("price.overhead", "NaN"), ("price.overhead", "-1"), ("price.profit", "maybe"),
        ("price.valid_days", "1.5"), ("price.nothing", "1"), ("price.freight_marked_up", "perhaps"),
        ("insurance.as_of", "yesterday"), ("delivery.profile", "pigeon"),
    ],
)  # fmt: skip
def test_what_will_not_do_is_told_and_changes_nothing(name: str, text: str) -> None:
    rates, faults = with_rate_rules(RATES, {name: text})
    assert [fault.column for fault in faults] == [name]
    assert faults[0].accepted
    assert rates == RATES


@pytest.mark.parametrize("text", ["nan", "inf", "-inf"])
def test_no_number_is_none_or_without_end(text: str) -> None:
    numbers = [rule for rule in shop_rules(SHOP, SHOP) if isinstance(rule.facts.default, float)]
    assert len(numbers) > 20
    for rule in numbers:
        shop, faults = with_shop_rules(SHOP, {rule.name: text})
        assert [fault.column for fault in faults] == [rule.name]
        assert shop == SHOP


def test_a_length_out_of_range_names_the_range() -> None:
    shop, faults = with_shop_rules(SHOP, {"frame.larger_by": "90 in"})
    assert faults[0].accepted == "2 in to 12 in"
    assert shop == SHOP
    changed, _ = with_shop_rules(SHOP, {"frame.larger_by": "175 mm"})
    assert changed == replace(SHOP, frame=replace(SHOP.frame, larger_by=1_400_000))


def test_foam_is_as_thick_as_was_typed_before_it_was_found_by_the_shock() -> None:
    """What a data folder of before holds means what it meant; who types both says so."""
    thick = {"cushion.thickness": "2 in"}
    for changes, cushion in ((thick, "fixed"), ({**thick, "case.cushion": "checked"}, "checked"), ({}, "checked")):
        shop, faults = with_shop_rules(SHOP, changes)
        assert (shop.case.cushion, faults) == (cushion, [])
    assert [remark for remark in remarks(with_shop_rules(SHOP, thick)[0]) if "fixed at 2 in on each side" in remark]
    assert with_shop_rules(SHOP, {"cushion.thickness": "none"})[0] == SHOP

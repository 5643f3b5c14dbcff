"""What people call rules: every one has a name, none of them a key; parts are per cent, shown and read."""

from decimal import Decimal

import pytest

from nesting.base.rule_files import Rule, form_of
from nesting.base.rules import rules_of
from nesting.shop.shop_file import default_shop, rule_groups
from pricing.desk.rulebook import is_part, rate_rules, rule_called, shop_rules, shown, shown_range, stored_text
from pricing.studio.rates_file import GROUPS as RATE_GROUPS
from pricing.studio.rates_file import default_rates
from pricing.studio.rule_words import GROUPS, LABELS, group_of, label_of, told_value

SHOP, RATES = default_shop(), default_rates()
RULES = (*shop_rules(SHOP, SHOP), *rate_rules(RATES, RATES))


def test_every_rule_and_group_is_called_something() -> None:
    names = {rule.name for rule in RULES if not rule.name.startswith("freight.")}
    names |= {f"freight.{facts.name}" for facts in rules_of(RATES.freight[0])}
    assert names == set(LABELS)
    assert {*(name for name, _ in rule_groups()), *RATE_GROUPS} == set(GROUPS)
    assert not [label for label in LABELS.values() if "_" in label or not label[0].isupper() or len(label) > 40]


def test_no_two_rules_of_a_group_are_called_alike() -> None:
    for group in {name.partition(".")[0] for name in LABELS}:
        labels = [label for name, label in LABELS.items() if name.startswith(f"{group}.")]
        assert len(labels) == len(set(labels)), group


def test_a_freight_profile_s_rules_and_groups_are_named_without_it() -> None:
    assert label_of("freight.shared-van.per_km") == "For each kilometre"
    assert group_of("freight van") == "Freight: van"
    assert label_of("method.carton_lb") == "Heaviest piece in a carton"


def found(name: str) -> Rule:
    rule = rule_called(name, RULES)
    assert rule is not None
    return rule


@pytest.mark.parametrize(
    ("name", "typed", "stored"),
    [
        ("price.overhead", "12", "0.12"), ("price.overhead", "12 %", "0.12"), ("price.overhead", "12,5 %", "0.125"),
        ("price.overhead", "0.12", "0.12"), ("price.overhead", "0.5 %", "0.005"), ("price.overhead", "150 %", "1.5"),
        ("price.minimum", "$65", "65"), ("labour.rip", "2 min", "2"), ("method.carton_lb", "12 lb", "12"),
        ("frame.larger_by", "5 in", "5 in"), ("mounting.lid_factor", "4", "4"),
    ],
)  # fmt: skip
def test_what_is_typed_is_stored_as_files_have_it(name: str, typed: str, stored: str) -> None:
    text = stored_text(found(name), typed, "USD")
    assert text == stored if " " in stored else Decimal(text) == Decimal(stored)


@pytest.mark.parametrize("typed", ["a lot", "1", "-5 %", ""])
def test_what_is_no_part_is_refused(typed: str) -> None:
    with pytest.raises(ValueError, match="%"):
        stored_text(found("price.overhead"), typed, "USD")


def test_parts_are_shown_as_per_cent_and_factors_are_not() -> None:
    assert (shown(found("price.overhead")), shown_range(found("price.overhead"))) == ("10 %", "0 % to 500 %")
    assert shown(found("forks.base_share")) == "33.33 %"
    assert shown(found("mounting.lid_factor")) == "4"
    parts = [rule for rule in RULES if is_part(rule)]
    assert all(rule.facts.low is not None and rule.facts.high <= 5 and rule.facts.default <= 1 for rule in parts)
    assert [rule for rule in form_of(RATES.price, RATES.price, "price") if is_part(rule)]


@pytest.mark.parametrize(
    ("name", "text", "told"),
    [
        ("price.overhead", "0.2", "20 %"), ("price.overhead", "20 %", "20 %"), ("price.minimum", "65", "65"),
        ("freight.van.fuel", "0.185", "18.5 %"), ("freight.van.per_km", "0.9", "0.9"), ("price.overhead", "", ""),
        ("mounting.lid_factor", "4.0", "4.0"), ("no.such", "0.2", "0.2"),
    ],
)  # fmt: skip
def test_what_is_stored_is_told_as_people_say_it(name: str, text: str, told: str) -> None:
    assert told_value(name, text) == told

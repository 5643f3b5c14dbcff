import tomllib
from dataclasses import replace
from datetime import date
from decimal import Decimal
from hashlib import sha256
from importlib.resources import files
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.base.faults import FaultsFound
from nesting.base.measure import INCH
from nesting.base.rules import rules_of
from pricing.studio.consignment_rules import ConsignmentRules
from pricing.studio.former import remarks
from pricing.studio.pricebook_file import default_price_book
from pricing.studio.rates import FreightProfile, Rates
from pricing.studio.rates_file import (
    GROUPS,
    default_rates,
    default_rates_text,
    former_rates,
    rates_from,
    rates_text,
    read_rates,
)


def test_the_packaged_rates_are_what_the_writer_writes_and_every_rule_is_in_them() -> None:
    rates = default_rates()
    assert rates_text(rates) == default_rates_text()
    document = tomllib.loads(default_rates_text())
    for name in GROUPS:
        assert set(document[name]) == {facts.name for facts in rules_of(getattr(rates, name))}
    for facts in rules_of(FreightProfile):
        assert f"#   {facts.name}: " in default_rates_text()


def test_what_was_built_in_before_forms_is_the_rules_own_defaults_in_the_currency_of_the_prices() -> None:
    rates = former_rates()
    assert replace(rates, freight=(), purchase_tax={}, lead_days={}, source="") == Rates("USD")
    assert rates.form == 1
    for each in (rates, default_rates()):
        assert each.currency == default_price_book().currency
        assert {profile.kind for profile in each.freight} - {"handler"} == {"collect", "parcel", "pallet", "air", "van"}


@pytest.mark.parametrize("head", ["", "form = 1\n"])
def test_a_file_of_the_first_form_is_read_over_what_was_built_in_then(head: str) -> None:
    rates = rates_from(f"{head}[tax]\nrate = 0.0825\n", "rates.toml")
    former = former_rates()
    assert rates == replace(former, tax=replace(former.tax, rate=Decimal("0.0825")), source="rates.toml")


def test_a_file_of_todays_form_is_read_over_what_is_built_in_today() -> None:
    assert rates_from("form = 2\n", "rates.toml") == default_rates()
    assert default_rates().form == 2


def test_what_was_built_in_before_forms_never_changes() -> None:
    # The text of 0.1.0 and 0.2.0: folders begun with them rest on it.
    text = (files("pricing.studio") / "former_rates.toml").read_bytes()
    assert sha256(text).hexdigest() == "30c078b7aa9ff8da2344e9d8c8b60c42e1cd026f0620f902932eaee4d427b837"


@pytest.mark.parametrize("form", ["3", "0", "true", '"two"', "1.5"])
def test_a_form_that_there_is_not_is_told(form: str) -> None:
    with pytest.raises(FaultsFound, match=r"form.*accepted: a whole number from 1 to 2"):
        rates_from(f"form = {form}\n", "rates.toml")


def test_what_is_missing_stays_as_built_in(tmp_path: Path) -> None:
    (tmp_path / "rates.toml").write_text('[price]\nprofit = "margin"\nprofit_rate = 0.3\n[tax]\nrate = 0.0825\n')
    rates = read_rates(tmp_path / "rates.toml")
    assert rates.price.profit == "margin"
    assert rates.price.profit_rate == Decimal("0.3")
    assert rates.tax.rate == Decimal("0.0825")
    assert rates.freight == former_rates().freight
    assert rates.labour == former_rates().labour


def test_own_profiles_replace_the_built_in_ones() -> None:
    text = '[delivery]\nprofile = "typed"\n[freight.typed]\nkind = "fixed"\namount = 310.50\nas_of = 2026-02-03\n'
    rates = rates_from(text, "rates.toml", default_rates())
    assert rates.freight == (FreightProfile("typed", "fixed", date(2026, 2, 3), amount=Decimal("310.50")),)


@pytest.mark.parametrize(
    ("head", "kind", "typed", "divisor"),
    [
        ("form = 2", "air", "", "6000"),
        ("form = 2", "air", "divisor = 139", "139"),
        ("form = 2", "parcel", "", "139"),
        ("", "air", "", "139"),
        ("form = 1", "air", "divisor = 5000", "5000"),
    ],
)
def test_air_without_a_divisor_has_that_of_air_cargo_but_in_old_files(
    head: str, kind: str, typed: str, divisor: str
) -> None:
    """139 is in3/lb: as cm3/kg a case of 0.5 m3 would be billed as 3,600 kg, and not as 83.5."""
    text = f'{head}\n[delivery]\nprofile = "a"\n[freight.a]\nkind = "{kind}"\n{typed}\n'
    rates = rates_from(text, "rates.toml")
    assert rates.profile("a").divisor == Decimal(divisor)
    assert len(remarks(rates)) == (head != "form = 2")
    again = rates_from(rates_text(rates), "rates.toml")
    assert again.profile("a") == rates.profile("a"), "written and read it stays"


def test_every_fault_is_told_at_once_with_its_table_and_key() -> None:
    text = """
        currency = "USD"
        colours = 1
        [price]
        contingency = "a lot"
        overhead = -1
        charge = "guessed"
        freight_marked_up = 1
        speed = 3
        [labour]
        rip = nan
        saw_hour = 5
        [insurance]
        as_of = "today"
        [purchase_tax]
        goods = 7
        [freight.parcel]
        longest = "long"
        [freight.odd]
        kind = "balloon"
        per_100lb = { 70 = "x" }
    """
    with pytest.raises(FaultsFound) as caught:
        rates_from(text, "rates.toml", default_rates())
    assert sorted(fault.column or "" for fault in caught.value.faults) == sorted([
        "colours", "price.contingency", "price.overhead", "price.charge", "price.freight_marked_up", "price.speed",
        "labour.rip", "labour.saw_hour", "insurance.as_of", "purchase_tax.goods", "freight.parcel.longest",
        "freight.parcel.kind", "freight.odd.kind", "freight.odd.per_100lb.70",
    ])  # fmt: skip
    assert "from 0 to 5" in str(caught.value)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("price = 3", "a table"),
        ("[price\n", "not TOML"),
        ('[price]\nprofit = "margin"\nprofit_rate = 1.5\n', "margin less than 1"),
        ('[delivery]\nprofile = "boat"\n', "delivery.profile"),
        ('currency = "dollars"', "three capital letters"),
        ("freight = 3", "freight"),
        ("[freight]\nvan = 3", "freight.van"),
        (
            '[freight.a]\nkind = "pallet"\nover_length = { long = 90, "-3 in" = 1 }',
            r'freight\.a\.over_length: found "long".*\n.*freight\.a\.over_length: found "-3 in"',
        ),
        (
            '[freight.a]\nkind = "van"\n[freight.""]\nkind = "van"',
            r"rates\.toml, freight: found nothing.*a name in each",
        ),
        (
            '[freight.a]\nkind = "van"\ntransit_days = 5\ntransit_days_most = 3',
            r'freight\.a\.transit_days_most: found "3"',
        ),
        ('[freight.a]\nkind = "van"', r'rates\.toml, delivery\.profile: found "collect"'),
        ('[freight.a]\nkind = "pallet"\nover_length = { "8 ft" = "much" }', "freight.a.over_length.8 ft"),
        ('[freight.a]\nkind = "pallet"\nno_stack = "never"', "one of none, strapped, all"),
        ("purchase_tax = 1", "purchase_tax"),
        ('charge = "used"', r"a table \[charge\]; the rule for all goods is under \[price\]"),
        ('[charge]\nkraft = "weighed"', "charge.kraft.*weighed.*one of bought, used, area"),
        ("[charge]\nkraft = 3", "charge.kraft"),
    ],
)
def test_other_faults(text: str, told: str) -> None:
    with pytest.raises(FaultsFound, match=told):
        rates_from(text, "rates.toml", default_rates())


def test_a_file_that_cannot_be_read(tmp_path: Path) -> None:
    with pytest.raises(FaultsFound, match=r"rates\.toml"):
        read_rates(tmp_path / "rates.toml")
    (tmp_path / "rates.toml").write_bytes(b"\xff")
    with pytest.raises(FaultsFound, match="UTF-8"):
        read_rates(tmp_path / "rates.toml")


@given(
    rate=st.decimals(0, 5, places=4),
    minimum=st.decimals(0, 10_000, places=2),
    name=st.text(st.characters(exclude_categories=("Cs", "Cc")), min_size=1, max_size=12),
    longest=st.integers(0, 1000 * INCH),
)
def test_any_rates_read_back_the_same(rate: Decimal, minimum: Decimal, name: str, longest: int) -> None:
    built_in = default_rates()
    profile = FreightProfile(name, "van", date(2026, 2, 3), name, longest=longest, per_100lb={"92.5": minimum})
    rates = replace(
        built_in,
        price=replace(built_in.price, contingency=rate, minimum=minimum),
        delivery=replace(built_in.delivery, profile=name),
        freight=(profile,),
    )
    assert rates_from(rates_text(rates), "rates.toml", built_in) == rates


def test_words_that_a_rule_does_not_take_are_told_with_those_that_it_takes() -> None:
    text = '[calendar]\nworking_days = "Mon Xyz"\nclosed = "2026-13-01"\n'
    with pytest.raises(FaultsFound) as caught:
        rates_from(text, "rates.toml", default_rates())
    assert "accepted: some of Mon Tue" in str(caught.value)
    assert "accepted: days such as 2026-12-25" in str(caught.value)


@pytest.mark.parametrize(
    "text",
    [
        "a = " + "[" * 5000 + "]" * 5000,
        "[price]\nminimum = " + "9" * 6000,
        "[price]\nminimum = 1e9999999999999999999",
    ],
)
def test_rates_without_end_are_no_toml(text: str) -> None:
    with pytest.raises(FaultsFound, match="not TOML"):
        rates_from(text, "rates.toml", default_rates())


def test_a_file_of_before_consignment_has_its_defaults_and_its_faults_are_told() -> None:
    assert rates_from('currency = "USD"\n', "rates.toml").consignment == ConsignmentRules()
    assert rates_from('form = 2\ncurrency = "USD"\n', "rates.toml").consignment == ConsignmentRules()
    text = '[consignment]\ndiscount_by = "artist"\nloss_by = ""\npaid_within = 400\nway_back_by = "gallery"\n'
    with pytest.raises(FaultsFound) as found:
        rates_from(text, "rates.toml")
    assert [fault.column for fault in found.value.faults] == [
        "consignment.discount_by", "consignment.loss_by", "consignment.paid_within",
    ]  # fmt: skip

"""Value added tax by where a thing goes: directive 2006/112/EC, art. 138, 146 and 196 (146 as quoted in full)."""

from dataclasses import replace
from decimal import Decimal

import pytest

from pricing.quoting.taxes import TaxRule, tax_rule
from pricing.studio.destinations import Destination
from pricing.studio.parties import Party
from pricing.studio.rates import TaxRules
from pricing.studio.rates_file import default_rates
from pricing.studio.sale_terms import SaleTerms
from pricing.studio.vat import UNION, by_destination, vat_country

RATES = default_rates("metric")
BEFORE = replace(RATES, tax=TaxRules())
"""As rates of before are read."""
FIRM = Party("Maison Rive (invented)", country="FR", tax_number="FR 12 345678901")


def rule(country: str, *clients: Party, home: str = "DE", terms: SaleTerms | None = None) -> TaxRule:
    """Return the rule of tax at a place."""
    place = Destination("Canal House", country, terms=terms or SaleTerms())
    return tax_rule(by_destination(place, RATES, home, clients), RATES)


def test_at_home_the_studios_own_rate_holds_on_work_and_freight() -> None:
    """Art. 78 (b): packing, transport and insurance that the seller bills are taxed as the goods are."""
    for found in (rule("DE"), rule("DE", FIRM), rule("")):
        assert (found.rate, found.reason) == (Decimal("0.19"), "")
        assert found.on == ("work", "freight", "insurance")


def test_a_consumer_in_another_member_state_pays_the_rate_there() -> None:
    found = rule("FR", Party("private", country="FR"))
    assert (found.name, found.rate, found.reason) == ("VAT FR", Decimal("0.20"), "")
    assert (found.on, found.art) == (("work", "freight", "insurance"), 0)
    art = replace(RATES, sale=replace(RATES.sale, art_tax=Decimal("0.19")))
    assert tax_rule(by_destination(Destination("x", "FR"), art, "DE", ()), art).art == Decimal("0.20")
    assert rule("SK").rate == Decimal("0.19")  # of which no rate is typed: as at home


def test_a_business_in_another_member_state_owes_the_tax_itself() -> None:
    found = rule("FR", FIRM)
    assert found.rate == 0
    assert found.reason.startswith("reverse charge: the recipient owes the VAT, number FR 12 345678901")
    assert rule("FR", replace(FIRM, tax_number="DE123456789")).rate == Decimal("0.20")  # a number of home is none


@pytest.mark.parametrize("country", ["GB", "CH", "NO", "US", "JP"])
def test_an_export_is_exempt_and_says_why(country: str) -> None:
    found = rule(country, FIRM)
    assert (found.rate, found.on) == (0, ())
    assert found.reason.startswith(f"export to {country}, exempt: art. 146 of directive 2006/112/EC")
    assert "art. 146" not in rule("US", home="GB").reason
    assert "export to US" in rule("US", home="GB").reason


def test_what_a_place_says_itself_goes_before() -> None:
    typed = SaleTerms(tax_rate=Decimal("0.055"))
    assert rule("FR", FIRM, terms=typed).rate == Decimal("0.055")
    assert rule("US", home="").rate == Decimal("0.19")  # where the studio is, nobody said
    plain = Destination("x", "US")
    assert by_destination(plain, BEFORE, "DE", ()) is plain  # which ask for nothing of this


def test_numbers_and_states() -> None:
    assert len(UNION) == 27
    assert [vat_country(number) for number in ("EL123456789", "fr 12.345-678 901", "GB123456789", "12345", "")] == [
        "GR", "FR", "", "", "",
    ]  # fmt: skip


def test_rates_of_other_states_are_read_or_refused() -> None:
    assert TaxRules(abroad="FR 0.20, AT .2").rates_abroad == {"FR": Decimal("0.20"), "AT": Decimal("0.2")}
    with pytest.raises(ValueError, match="abroad: found FR 20 %; accepted: countries with their rates"):
        TaxRules(abroad="FR 20 %")

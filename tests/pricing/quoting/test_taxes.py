"""Tax by place and kind of line. The worked bills are those of ``shared/freight-and-papers.md``, section 5."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.base.measure import INCH
from nesting.build import Build
from nesting.order import Artwork, Order
from pricing.money import half_up, total
from pricing.quoting.quote import Quote, quote
from pricing.quoting.taxes import TaxRule, by_place, tax_rule
from pricing.studio.destinations import Destination, Destinations
from pricing.studio.office import Office
from pricing.studio.rates import FreightProfile, InsuranceRules, PriceRules, Rates, TaxRules
from pricing.studio.rates_file import default_rates
from pricing.studio.sale_terms import SaleTerms, TaxedKind
from tests.pricing.builds import build_of, builds, closed

ON = date(2026, 11, 1)
NEAR, FAR, HELD = "Pier Hall", "Canal House", "Hill Rooms"
PART = Decimal("0.08875")


@cache
def one_crate() -> Build:
    """Return one piece in one crate that goes to Pier Hall."""
    order = Order("by hand", (Artwork("A-01", 12 * INCH, 12 * INCH, 2 * INCH, destination=NEAR),))
    return build_of(order, (replace(closed("K1", "A-01", 12, 12), destination=NEAR),))


def bill(terms: SaleTerms, price: str, work: str, freight: str, *, marked_up: bool = False) -> Quote:
    """Price a bill of exactly so much for the piece, for packing, and for its freight.

    The discount takes all of the price, and the least charge puts the round figure in its place.
    """
    build = one_crate()
    artwork = replace(build.order.artworks[0], price=Decimal(price), declared=Decimal(0))
    rules = PriceRules(discount=Decimal(1), minimum=Decimal(work), round_to=Decimal("0.01"),
                       freight_marked_up=marked_up)  # fmt: skip
    carrier = FreightProfile("carrier", "fixed", amount=Decimal(freight))
    rates = replace(
        default_rates(), price=rules, insurance=InsuranceRules(rate=Decimal(0)), freight=(carrier,),
        delivery=replace(default_rates().delivery, profile="carrier"),
    )  # fmt: skip
    places = Destinations((Destination(NEAR, "US", terms=replace(terms, commission=Decimal(0), paid_by="buyer")),))
    order = replace(build.order, artworks=(artwork,))
    return quote(replace(build, order=order), Office(rates=rates, destinations=places), on=ON)


def due(made: Quote) -> Decimal:
    """Return all tax that the buyer pays: on the work of art, and on what brings it."""
    return made.step("tax").amount + made.sales[0].tax


def taxed(made: Quote) -> Decimal:
    """Return all that is taxed."""
    return made.step("tax").base + (made.sales[0].list_price if made.sales[0].art_tax else 0)


def test_in_the_eu_packing_and_freight_bear_the_rate_of_the_goods() -> None:
    """Directive 2006/112 art. 78(b): work 1,000 + crate 200 + freight 100 at 20 %: VAT 260."""
    terms = SaleTerms(tax_name="VAT", tax_rate=Decimal("0.2"), tax_on=("art", "work", "freight", "insurance"))
    made = bill(terms, "1000.00", "200.00", "100.00")
    assert due(made) == Decimal("260.00")
    assert made.step("tax").title == "VAT"
    assert made.sales[0].delivered == Decimal("1560.00")


@pytest.mark.parametrize(
    ("price", "work", "freight", "base"),
    [("3500.00", "0.00", "250.00", "3750.00"), ("499.95", "30.00", "20.00", "549.95")],
)
def test_new_york_taxes_freight_on_the_sellers_bill(price: str, work: str, freight: str, base: str) -> None:
    """Tax bulletin ST-838: 3,500 + 250 is taxed on 3,750; 499.95 + 30 + 20 on 549.95."""
    terms = SaleTerms(tax_rate=PART, tax_on=("art", "work", "freight"))
    made = bill(terms, price, work, freight)
    assert taxed(made) == Decimal(base)
    assert due(made) == half_up(Decimal(price) * PART) + half_up((Decimal(work) + Decimal(freight)) * PART)


def test_new_york_leaves_freight_that_the_buyer_hires_himself() -> None:
    """The same bulletin: exempt if the buyer hires the carrier, who then stands on no bill of ours."""
    terms = SaleTerms(tax_rate=PART, tax_on=("art", "work", "freight"))
    assert taxed(bill(terms, "3500.00", "0.00", "0.00")) == 3500


def test_the_same_bill_has_another_base_in_every_state() -> None:
    """Texas rule 3.303 taxes freight even if separate; Maine does not if it is direct, separate and by carrier.

    California (regulation 1628) leaves a separate charge of an outside carrier, and taxes handling.
    """
    whole: tuple[TaxedKind, ...] = ("art", "work", "freight")
    for on, base in ((whole, 1300), (whole[:2], 1200)):
        made = bill(SaleTerms(tax_rate=Decimal("0.0625"), tax_on=on), "1000.00", "200.00", "100.00")
        assert taxed(made) == base


@pytest.mark.parametrize(("cost", "left"), [("12.00", "10.00"), ("3.00", "3.00")])
def test_california_leaves_of_a_billed_charge_what_the_carrier_cost(cost: str, left: str) -> None:
    """Regulation 1628: of 10 billed for what cost 12, 10 are left; of 10 billed for what cost 3, 3.

    What a quote passes on is what the carrier asks, and all else that is billed is work: a charge of 10 is freight of
    10 at most, and of 3 with 7 of handling.
    """
    freight = min(Decimal(cost), Decimal(10))
    made = bill(SaleTerms(tax_rate=Decimal("0.0725"), tax_on=("art", "work")), "0.00", str(10 - freight), str(freight))
    assert made.step("tax").running - made.step("tax").amount == 10
    assert 10 - made.step("tax").base == Decimal(left)


def test_freight_that_joined_the_work_is_taxed_as_the_work() -> None:
    """It is not billed by itself any more: Maine's "shipping and handling" fails."""
    terms = SaleTerms(tax_rate=Decimal("0.055"), tax_on=("art", "work"))
    assert bill(terms, "1000.00", "300.00", "100.00", marked_up=True).step("tax").base == 300


def test_an_export_is_taxed_with_nothing_and_says_why() -> None:
    """Directive 2006/112 art. 146(1)(a), (e): exempt when shipped outside by the vendor, transport tied to it too."""
    why = "exempt, art. 146(1)(a): shipped outside by the seller"
    made = bill(SaleTerms(tax_name="VAT", tax_rate=Decimal("0.2"), export=why), "1000.00", "200.00", "100.00")
    assert due(made) == 0
    assert made.step("tax").rate == 0
    assert made.step("tax").how == why
    assert made.sales[0].untaxed == why
    assert [each.told for each in by_place(made.levied)] == [f"VAT none: {why}; {NEAR}"]


def test_a_rate_of_nothing_is_as_typed_and_no_export() -> None:
    made = bill(SaleTerms(tax_rate=Decimal(0)), "1000.00", "200.00", "100.00")
    assert due(made) == 0
    assert not made.levied[0].rule.reason
    assert not by_place(made.levied)


def test_what_a_place_leaves_open_is_as_the_rates_say() -> None:
    rates = Rates("USD", tax=TaxRules("Tax", Decimal("0.05"), on_freight=True))
    nothing = Decimal(0)
    for terms, rule in (
        (SaleTerms(), TaxRule("Tax", Decimal("0.05"), ("work", "freight"), nothing)),
        (
            SaleTerms(tax_rate=Decimal("0.07")),
            TaxRule("Tax", Decimal("0.07"), ("work", "freight"), nothing, own=("rate",)),
        ),
        (SaleTerms(tax_on=("insurance",)), TaxRule("Tax", Decimal("0.05"), ("insurance",), nothing, own=("on",))),
        (
            SaleTerms(tax_name="VAT", tax_rate=Decimal(0), tax_on=()),
            TaxRule("VAT", nothing, (), nothing, own=("rate", "on")),
        ),
    ):
        assert tax_rule(Destination(NEAR, terms=terms), rates) == rule


def apart(build: Build, places: list[str]) -> Build:
    """Return a build whose pieces go to unlike places, one after the other."""
    artworks = tuple(
        replace(artwork, destination=places[at % len(places)]) for at, artwork in enumerate(build.order.artworks)
    )
    where = {artwork.piece: artwork.destination or "" for artwork in artworks}
    crates = tuple(replace(crate, destination=where[crate.pieces[0]]) for crate in build.crates)
    return replace(build, order=replace(build.order, artworks=artworks), crates=crates)


TERMS = {
    NEAR: SaleTerms(tax_name="VAT", tax_rate=Decimal("0.2"), tax_on=("work", "freight", "insurance")),
    FAR: SaleTerms(export="shipped abroad"),
    HELD: SaleTerms(),
}


@given(builds(), st.lists(st.sampled_from([*TERMS]), min_size=1, max_size=3), st.booleans())
@settings(max_examples=25)
def test_every_place_bears_its_own_tax_to_the_cent(build: Build, places: list[str], marked: bool) -> None:
    rates = default_rates()
    rates = replace(
        rates, tax=TaxRules(rate=Decimal("0.0725"), on_insurance=True),
        price=replace(rates.price, freight_marked_up=marked),
    )  # fmt: skip
    table = Destinations(tuple(Destination(name, profile="pallet", terms=terms) for name, terms in TERMS.items()))
    made = quote(apart(build, places), Office(rates=rates, destinations=table), on=ON)
    assert total(share.total for share in made.shares) == made.total
    assert made.step("tax").amount == total(each.amount for each in made.taxes)
    assert made.step("tax").base == total(each.base for each in made.taxes)
    for each in made.taxes:
        mine = [share for share in made.shares if share.piece in each.pieces]
        assert total(share.columns["tax"] for share in mine) == each.amount
        assert each.amount == half_up(each.base * each.rule.rate)
        carried = ("freight", "insurance")
        passed = total(
            amount for share in mine for name, amount in share.columns.items()
            if name in carried and not marked and name not in each.rule.on
        )  # fmt: skip
        before = total(share.total - share.columns["tax"] for share in mine)
        assert each.base == (before - passed if "work" in each.rule.on else 0)


def test_a_place_that_says_what_the_rates_say_is_reckoned_by_itself() -> None:
    """It keeps its rate when the rates change; so its tax is rounded by itself before they do."""
    rates = Rates("USD", tax=TaxRules(rate=Decimal("0.08")))
    said = Destination(NEAR, terms=SaleTerms(tax_rate=Decimal("0.08")))
    assert tax_rule(said, rates) != tax_rule(Destination(FAR), rates)


def test_one_rule_for_all_is_what_it_was_before_places_had_their_own() -> None:
    """Old meaning: the rate is on the whole work, whatever a place is called, and the step bears the rate."""
    build = apart(one_crate(), [FAR])
    rates = replace(default_rates(), tax=TaxRules(rate=Decimal("0.0825"), on_freight=True))
    made = quote(build, Office(rates=rates), on=ON)
    step = made.step("tax")
    assert (step.title, step.rate, step.how) == ("Sales tax", Decimal("0.0825"), "rate x what is taxed")
    assert step.base == made.step("rounding").running + made.step("freight").amount
    assert step.amount == half_up(step.base * Decimal("0.0825"))
    kept = replace(made, taxes=())
    assert [(each.base, each.amount, each.pieces) for each in kept.levied] == [(step.base, step.amount, ("A-01",))]

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pricing.quoting.ladder import Step, climb, margin_of, markup_and_margin, markup_of, profit
from pricing.quoting.shares import divide
from pricing.quoting.taxes import levy, tax_rule, with_tax
from pricing.studio.destinations import Destination
from pricing.studio.rates import PriceRules, Rates, TaxRules

PLAIN = PriceRules(
    contingency=Decimal(0), overhead=Decimal(0), profit_rate=Decimal(0), minimum=Decimal(0), round_to=Decimal("0.01")
)
NOTHING = Decimal("0.00")


@dataclass(frozen=True)
class Cost:
    """One line of cost, borne by the one piece."""

    section: str
    amount: Decimal
    bearers: Mapping[str, Fraction] = field(default_factory=lambda: {"A-01": Fraction(1)})


def to_total(
    direct: Decimal, rules: PriceRules, tax: TaxRules, freight: Decimal = NOTHING, insurance: Decimal = NOTHING
) -> tuple[Step, ...]:
    """Climb from direct cost to the total for one piece, its tax as the rates say."""
    steps = climb(direct, rules, freight=freight, insurance=insurance)
    passed = [Cost("freight", freight), Cost("insurance", insurance)]
    division = divide(["A-01"], [Cost("labour", direct)], passed, steps)
    rule = tax_rule(Destination("anywhere"), Rates("USD", price=rules, tax=tax))
    return with_tax(steps, levy(division, {"A-01": rule}, {"A-01": ""}))


def test_25_percent_markup_is_20_percent_margin() -> None:
    """The issue's own example; arithmetic: 100 x 1.25 = 125 = 100 / (1 - 0.20)."""
    assert margin_of(Decimal("0.25")) == Fraction(1, 5)
    assert markup_of(Decimal("0.20")) == Fraction(1, 4)
    assert profit(Decimal(100), replace(PLAIN, profit="markup", profit_rate=Decimal("0.25"))) == 25
    assert profit(Decimal(100), replace(PLAIN, profit="margin", profit_rate=Decimal("0.20"))) == 25
    assert markup_and_margin(PriceRules(profit="margin", profit_rate=Decimal("0.20"))) == (
        Fraction(1, 4),
        Fraction(1, 5),
    )
    assert markup_and_margin(PriceRules(profit="markup", profit_rate=Decimal("0.25"))) == (
        Fraction(1, 4),
        Fraction(1, 5),
    )


@given(st.decimals(0, Decimal("0.94"), places=4))
def test_markup_and_margin_undo_each_other(margin: Decimal) -> None:
    markup = markup_of(margin)
    assert markup / (1 + markup) == Fraction(margin)


def test_the_steps_stand_in_their_order_and_each_follows_from_the_last() -> None:
    """Worked by hand: 1000, +5 % = 1050, +10 % = 1155, +25 % = 1443.75, -10 % = 1299.37, minimum 1300, to 5s: 1300."""
    rules = replace(PriceRules(), discount=Decimal("0.10"), minimum=Decimal(1300), round_to=Decimal(5))
    tax = TaxRules(rate=Decimal("0.08"), on_freight=True)
    steps = to_total(Decimal("1000.00"), rules, tax, Decimal("200.00"), Decimal("30.00"))
    assert [(step.key, str(step.amount), str(step.running)) for step in steps] == [
        ("direct", "1000.00", "1000.00"),
        ("contingency", "50.00", "1050.00"),
        ("overhead", "105.00", "1155.00"),
        ("profit", "288.75", "1443.75"),
        ("discount", "-144.38", "1299.37"),
        ("minimum", "0.63", "1300.00"),
        ("rounding", "0.00", "1300.00"),
        ("freight", "200.00", "1500.00"),
        ("insurance", "30.00", "1530.00"),
        ("tax", "120.00", "1650.00"),
    ]
    assert steps[-1].base == 1500


@pytest.mark.parametrize(("way", "rounded"), [("nearest", "100.00"), ("up", "105.00")])
def test_rounding_ways(way: str, rounded: str) -> None:
    rules = replace(PLAIN, round_to=Decimal(5), round_way=way)  # type: ignore[arg-type]  # a plain string from the table
    steps = to_total(Decimal("101.00"), rules, TaxRules())
    assert steps[-1].running == Decimal(rounded)


def test_tax_on_freight_and_insurance_only_where_it_is_said() -> None:
    for freight, insurance, base in ((False, False, 100), (True, False, 110), (False, True, 105), (True, True, 115)):
        tax = TaxRules(rate=Decimal("0.1"), on_freight=freight, on_insurance=insurance)
        steps = to_total(Decimal("100.00"), PLAIN, tax, Decimal("10.00"), Decimal("5.00"))
        assert steps[-1].base == base


rates = st.decimals(0, Decimal("0.9"), places=3)


@st.composite
def rules_drawn(draw: st.DrawFn, /) -> PriceRules:
    """Any rules of price."""
    return PriceRules(
        contingency=draw(rates),
        overhead=draw(rates),
        profit=draw(st.sampled_from(["markup", "margin"])),
        profit_rate=draw(rates),
        discount=draw(rates),
        minimum=draw(st.integers(0, 100_000).map(lambda c: Decimal(c).scaleb(-2))),
        round_to=draw(st.sampled_from([Decimal("0.01"), Decimal("0.05"), Decimal(1), Decimal(5), Decimal(50)])),
        round_way=draw(st.sampled_from(["nearest", "up"])),
    )


costs = st.integers(0, 2_000_000).map(lambda c: Decimal(c).scaleb(-2))


@given(rules_drawn(), costs, costs)
def test_a_higher_cost_never_lowers_the_price(rules: PriceRules, one: Decimal, other: Decimal) -> None:
    low, high = sorted((one, other))
    tax = TaxRules(rate=Decimal("0.0825"))
    cheap, dear = (to_total(c, rules, tax)[-1].running for c in (low, high))
    assert cheap <= dear


@given(rules_drawn(), costs)
def test_every_step_adds_up_in_whole_cents(rules: PriceRules, cost: Decimal) -> None:
    run = Decimal(0)
    for step in to_total(cost, rules, TaxRules(rate=Decimal("0.0825"))):
        run += step.amount
        assert step.running == run
        assert step.amount * 100 % 1 == 0

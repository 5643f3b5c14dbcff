from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pricing.quoting.ladder import climb, margin_of, markup_and_margin, markup_of, profit
from pricing.studio.rates import PriceRules, TaxRules

PLAIN = PriceRules(
    contingency=Decimal(0), overhead=Decimal(0), profit_rate=Decimal(0), minimum=Decimal(0), round_to=Decimal("0.01")
)
NOTHING = Decimal("0.00")


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
    steps = climb(Decimal("1000.00"), rules, tax, freight=Decimal("200.00"), insurance=Decimal("30.00"))
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
    steps = climb(Decimal("101.00"), rules, TaxRules(), freight=NOTHING, insurance=NOTHING)
    assert steps[-1].running == Decimal(rounded)


def test_tax_on_freight_and_insurance_only_where_it_is_said() -> None:
    for freight, insurance, base in ((False, False, 100), (True, False, 110), (False, True, 105), (True, True, 115)):
        tax = TaxRules(rate=Decimal("0.1"), on_freight=freight, on_insurance=insurance)
        steps = climb(Decimal("100.00"), PLAIN, tax, freight=Decimal("10.00"), insurance=Decimal("5.00"))
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
    cheap, dear = (climb(c, rules, tax, freight=NOTHING, insurance=NOTHING)[-1].running for c in (low, high))
    assert cheap <= dear


@given(rules_drawn(), costs)
def test_every_step_adds_up_in_whole_cents(rules: PriceRules, cost: Decimal) -> None:
    run = Decimal(0)
    for step in climb(cost, rules, TaxRules(rate=Decimal("0.0825")), freight=NOTHING, insurance=NOTHING):
        run += step.amount
        assert step.running == run
        assert step.amount * 100 % 1 == 0

"""From direct cost to the total, one step at a time, each with the rate behind it.

Markup is a part of cost, margin a part of price: 25 % markup is 20 % margin. Each step is rounded half up to the cent
before the next, as in the workbook.
"""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from pricing.money import half_up, up
from pricing.studio.rates import PriceRules

StepKey = Literal[
    "direct", "contingency", "overhead", "profit", "discount", "minimum", "rounding", "freight", "insurance", "tax"
]


@dataclass(frozen=True, slots=True)
class Step:
    """One step.

    Attributes
    ----------
    key : str
        direct, contingency, overhead, profit, discount, minimum, rounding, freight, insurance, tax; always all, in
        this order.
    title : str
        For people.
    rate : Decimal or None
        The rate, minimum or rounding step behind it; None where it is a sum, or where places have taxes of their own.
    base : Decimal
        What the rate is applied to.
    amount : Decimal
        What the step adds; negative for a discount.
    running : Decimal
        Sum of all steps up to and with this one.
    how : str
        The rule in words.
    """

    key: StepKey
    title: str
    rate: Decimal | None
    base: Decimal
    amount: Decimal
    running: Decimal
    how: str


def margin_of(markup: Decimal) -> Fraction:
    """Return the margin on price that a markup on cost is: m / (1 + m)."""
    return Fraction(markup) / (1 + Fraction(markup))


def markup_of(margin: Decimal) -> Fraction:
    """Return the markup on cost that a margin on price is: m / (1 - m)."""
    return Fraction(margin) / (1 - Fraction(margin))


def markup_and_margin(rules: PriceRules) -> tuple[Fraction, Fraction]:
    """Return the shop's profit both ways, as a markup on cost and as a margin on price."""
    if rules.profit == "markup":
        return Fraction(rules.profit_rate), margin_of(rules.profit_rate)
    return markup_of(rules.profit_rate), Fraction(rules.profit_rate)


def profit(cost: Decimal, rules: PriceRules) -> Decimal:
    """Return what profit adds to a cost."""
    if rules.profit == "markup":
        return half_up(cost * rules.profit_rate)
    return half_up(Fraction(cost) / (1 - Fraction(rules.profit_rate))) - cost


def climb(direct: Decimal, rules: PriceRules, *, freight: Decimal, insurance: Decimal) -> tuple[Step, ...]:
    """Climb from direct cost to all but tax, which :func:`pricing.quoting.taxes.with_tax` adds.

    Parameters
    ----------
    direct : Decimal
        Sum of the direct lines.
    rules : PriceRules
        Rates of each step.
    freight, insurance : Decimal
        What passes through unmarked.
    """
    steps: list[Step] = []

    def step(key: StepKey, title: str, rate: Decimal | None, base: Decimal, amount: Decimal, how: str) -> Decimal:
        running = (steps[-1].running if steps else Decimal("0.00")) + amount
        steps.append(Step(key, title, rate, base, amount, running, how))
        return running

    run = step("direct", "Direct cost", None, direct, direct, "sum of the lines")
    run = step(
        "contingency", "Contingency", rules.contingency, run, half_up(run * rules.contingency), "rate x direct cost"
    )
    run = step("overhead", "Overhead", rules.overhead, run, half_up(run * rules.overhead), "rate x all above")
    how = "rate x cost" if rules.profit == "markup" else "cost / (1 - rate) - cost"
    title = "Markup on cost" if rules.profit == "markup" else "Margin on price"
    run = step("profit", title, rules.profit_rate, run, profit(run, rules), how)
    run = step("discount", "Discount", rules.discount, run, -half_up(run * rules.discount), "rate x price, taken off")
    least = half_up(rules.minimum)
    short = max(Decimal("0.00"), least - run) if direct else Decimal("0.00")  # where nothing is made nothing is charged
    run = step("minimum", "Up to the minimum charge", least, run, short, "no less than this")
    rounded = half_up(run, rules.round_to) if rules.round_way == "nearest" else up(run, rules.round_to)
    run = step("rounding", "Rounding", rules.round_to, run, half_up(rounded) - run, f"{rules.round_way} multiple")
    step("freight", "Freight (estimate)", None, freight, freight, "as the shipments say, unmarked")
    step("insurance", "Insurance (estimate)", None, insurance, insurance, "by declared value, unmarked")
    return tuple(steps)

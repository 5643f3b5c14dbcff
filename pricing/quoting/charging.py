"""Charging: by which rule a material is charged, and what that comes to.

A studio buys whole sheets, sticks, rolls and boxes. What it charges is another matter, and a rule:

- *bought*: all that must be fetched for this job;
- *used*: sheets and sticks as bought, less the book value of the offcuts that are kept; all else by use, with a part
  for waste;
- *area*: sheets and sticks by their parts alone, with a part for waste; all else as by use.

Where the rule is *used*, a good may have a rule of its own; the other two are for all goods alike. No rule charges more
than what was had, fetched or off the shelf: waste beyond a whole roll is none.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Final

from pricing.money import half_up
from pricing.quoting.takeoff import QUANTITY, Taken
from pricing.studio.rates import Charge, Rates

_EXACT: Final = Decimal("1e-15")
"""Products are rounded to this before they are rounded to the cent: a price of one may have no end, its sum may."""
_WORDS: Final[Mapping[Charge, str]] = {"bought": "as bought", "used": "by use", "area": "by area"}


def words(rule: Charge) -> str:
    """Return a rule for people: as bought, by use, by area."""
    return _WORDS[rule]


@dataclass(frozen=True, slots=True)
class Charged:
    """What is charged of one row of the takeoff.

    Attributes
    ----------
    rule : {"bought", "used", "area"}
        By which rule.
    units : Decimal
        Bought units, waste included.
    each : Decimal
        Price of one, which may have no end.
    amount : Decimal
        What they come to, rounded half up to the cent.
    """

    rule: Charge
    units: Decimal
    each: Decimal
    amount: Decimal


@dataclass(frozen=True, slots=True)
class Charging:
    """Which rule charges which good, and the waste that it bears.

    Attributes
    ----------
    rule : {"bought", "used", "area"}
        For all goods, but for those that have one of their own.
    by_good : mapping of str to str
        Goods that have one of their own where `rule` is used.
    waste : Decimal
        Part added to what is used by length, weight or piece.
    sheet_waste : Decimal
        Part added to the parts of sheets and sticks where these are charged by area.
    """

    rule: Charge = "bought"
    by_good: Mapping[str, Charge] = field(default_factory=dict)
    waste: Decimal = Decimal(0)
    sheet_waste: Decimal = Decimal(0)

    @classmethod
    def of(cls, rates: Rates) -> "Charging":
        """Return what a studio's rates say."""
        price = rates.price
        return cls(price.charge, rates.by_good, price.waste, price.sheet_waste)

    def rule_of(self, good: str) -> Charge:
        """Return the rule that charges a good."""
        return self.by_good.get(good, self.rule) if self.rule == "used" else self.rule

    def __call__(self, row: Taken) -> Charged:
        """Return what is charged of a row of the takeoff."""
        rule = self.rule_of(row.good)
        if rule == "bought":
            if row.source == "rack":
                return Charged(rule, row.needed, row.each, row.book_amount)
            return Charged(rule, row.bought, row.each, row.bought_amount)
        units = half_up(min(self.wanted(row, rule), had(row)), QUANTITY)
        # What is used up without any waste was priced by the takeoff, from the same figures.
        amount = row.used_amount if units == row.used else half_up(half_up(units * row.used_each, _EXACT))
        return Charged(rule, units, row.used_each, amount)

    def wanted(self, row: Taken, rule: Charge) -> Decimal:
        """Return the units that a rule charges with waste, before the most that there are."""
        if row.form not in ("sheet", "stick"):
            return row.used * (1 + self.waste)
        return row.used if rule == "used" or not row.net else row.net * (1 + self.sheet_waste)


def had(row: Taken) -> Decimal:
    """Return the units that there are for the job: fetched and off the shelf, and never less than it uses up."""
    return max(row.used, row.needed + row.shelf)

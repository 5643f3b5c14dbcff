"""Export filing in the United States, as a line of advice: from which value on, and by which legend it is left out.

15 CFR part 30: a shipment is filed where one exporter sends one consignee, on one carrier on one day, goods of one
Schedule B number for more than 2,500 US dollars (30.37(a)); not to Canada (30.36); not what comes back within a year,
such as under a carnet (30.37(q)). A licence makes a filing of any value.
"""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Final

from nesting.base.counts import joined
from pricing.money import show, total

MOST_UNFILED: Final = Decimal(2500)
"""In US dollars, of one number: more is filed."""
_ASK: Final = "A licence, or a day with other goods to the same consignee, changes that: ask the carrier or a broker."


def export_filing(
    by_heading: Mapping[str, Sequence[Decimal | None]], currency: str, country: str, *, carnet: bool = False
) -> str:
    """Return what is said of export filing from the United States.

    Parameters
    ----------
    by_heading : mapping of str to sequence of Decimal or None
        Values of the works under each heading; an empty heading where none is known, None for a value that is not.
    currency : str
        Of the values.
    country : str
        Where they go.
    carnet : bool
        Whether all of it comes back within a year.
    """
    limit = f"{MOST_UNFILED:,.2f} US dollars under one heading"
    if country == "CA":
        told = "none for Canada; legend NOEEI 30.36"
    elif carnet:
        told = "none for what comes back within a year; legend NOEEI 30.37(q)"
    elif currency != "USD":
        told = f"needed for more than {limit}; these values are in {currency}"
    else:
        told = _by_value(by_heading, limit)
    return f"Export filing from the United States (15 CFR 30), as advice: {told}. {_ASK}"


def _by_value(by_heading: Mapping[str, Sequence[Decimal | None]], limit: str) -> str:
    """Return what follows from values in US dollars."""
    sums = {heading: total(value for value in values if value is not None) for heading, values in by_heading.items()}
    over = [heading for heading, amount in sums.items() if amount > MOST_UNFILED]
    if over:
        told = joined([f"{heading or 'works without a heading'} {show(sums[heading], 'USD')}" for heading in over])
        return f"needed, since more than {limit} goes to one consignee: {told}"
    if any(value is None for values in by_heading.values() for value in values):
        return f"needed for more than {limit}; not all values are known"
    if "" in sums and total(sums.values()) > MOST_UNFILED:
        return f"needed for more than {limit}; not all headings are known"
    return f"none up to {limit}; legend NOEEI 30.37(a)"

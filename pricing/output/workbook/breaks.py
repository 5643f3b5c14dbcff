"""The first part of the Workings page: which price break is taken, worked out row by row."""

from decimal import Decimal
from typing import Final

from pricing.money import half_up
from pricing.output.workbook.binder import Binder
from pricing.output.workbook.page import Formula, Page, Value
from pricing.quoting.takeoff import Taken
from pricing.studio.pricebook import MOST_BREAKS

_LEAD: Final = (
    "What is needed is offered at the plain price and at every break that the supplier can reach; a break beyond what "
    "is needed means buying up to it. The least amount is taken, and among equals the fewest units."
)


def fill(binder: Binder, page: Page) -> None:
    """Write the offers of every bought stock and name what is bought, its price and its amount."""
    page.section("Price breaks")
    page.paragraph(_LEAD, "lead")
    heads = ["Stock", "Needed", "At the plain price", *(f"At break {n}" for n in range(1, MOST_BREAKS + 1))]
    page.heads(*heads, "Least", "Units bought", "Price of one", right=range(1, 5 + MOST_BREAKS + 1))
    for row in binder.quote.takeoff.rows:
        if row.price is not None:
            _row(binder, page, row)
    page.skip()


def offers(row: Taken) -> tuple[Decimal | None, ...]:
    """Return what the need costs at the plain price and at each break; None where one is missing or out of reach."""
    if row.price is None:
        return ()
    made: list[Decimal | None] = []
    for start, each in row.price.tiers:
        reached = start <= row.needed or row.price.limit is None or start <= row.price.limit
        made.append(half_up(max(row.needed, start if start > 1 else row.needed) * each) if reached else None)
    return (*made, *([None] * (1 + MOST_BREAKS - len(made))))


def _row(binder: Binder, page: Page, row: Taken) -> None:
    stock, refs, names = row.stock, binder.refs, binder.names
    need, price = names.of("needed", stock), names.of("price", stock)
    figures = offers(row)
    page.put(0, stock)
    page.put(1, Formula(need, row.needed), "quantity")
    first = page.put(2, Formula(f"ROUND({need}*{price},2)", figures[0] or Decimal(0)), "money")
    whole = ("limit", stock) in refs
    counts = [need]
    columns = [first]
    for number in range(MOST_BREAKS):
        value: Value = None
        if whole:
            start, each = refs["from", stock, str(number)], refs["each", stock, str(number)]
            limit = refs["limit", stock]
            out = f'OR({start}="",{each}="",AND({start}>{need},{limit}<>"",{start}>{limit}))'
            found = figures[1 + number]
            text = f'IF({out},"",ROUND(MAX({need},{start})*{each},2))'
            value = Formula(text, "" if found is None else found)
            counts.append(f"MAX({need},{start})")
        columns.append(page.put(3 + number, value, "money"))
    least = f"MIN({columns[0]}:{columns[-1]})"
    at = 3 + MOST_BREAKS
    amount = page.put(
        at, Formula(f"IF({need}=0,0,{least})", row.bought_amount), "money", name=names.of("amount", stock)
    )
    units = counts[-1]
    for column, count in reversed(list(zip(columns[: len(counts) - 1], counts, strict=False))):
        units = f"IF({column}={amount},{count},{units})"
    bought = page.put(
        at + 1, Formula(f"IF({need}=0,0,{units})", row.bought), "quantity", name=names.of("bought", stock)
    )
    each_text = f"IF({bought}=0,{price},ROUND({amount}/{bought},2))" if whole else price
    page.put(at + 2, Formula(each_text, row.each), "money", name=names.of("each", stock))
    page.next()

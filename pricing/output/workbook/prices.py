"""The Prices page: every price that the quote uses, with its breaks, and how many are needed, to be changed here."""

from decimal import Decimal
from typing import Final

from pricing.output.workbook.binder import Binder
from pricing.output.workbook.page import Formula, Page
from pricing.studio.pricebook import MOST_BREAKS, Price

_LEAD: Final = (
    "Every price that this quote uses. Change one, or how many are needed, and all pages follow. A break applies to "
    "all units of its row: from that many on, each costs the price beside it. A price of an hour is what it costs the "
    "studio."
)
_ANY: Final = {"validate": "decimal", "criteria": ">=", "value": 0, "error_message": "A price is zero or more."}
_FIRST_BREAK: Final = 5


def fill(binder: Binder) -> None:
    """Write the page, and remember where each price and break stands."""
    widths = [176, 52, 124, 56, 72, *[50, 64] * MOST_BREAKS, 50, 236, 92, 58, 64]
    page = binder.page("Prices", widths, landscape=True, breaks=False)
    page.title("Prices", _LEAD)
    quote = binder.quote
    bought = [(row.price, row.needed) for row in quote.takeoff.rows if row.price]
    hours = [quote.book.price(hour) for hour in dict.fromkeys(row.hour for row in quote.labour)]
    breaks = [text for number in range(1, MOST_BREAKS + 1) for text in (f"break {number} from", "each")]
    page.heads(
        "Stock", "Sold by", "Size", "Needed", binder.money("Price of one"), *breaks, "At most", "Supplier", "Priced on",
        "Tax", "Age", right=(3, 4, *range(5, 6 + 2 * MOST_BREAKS)),
    )  # fmt: skip
    head = page.row - 1
    for price, needed in bought:
        _row(binder, page, price, Decimal(needed))
    page.skip()
    page.section("Hours")
    page.heads(
        "Hour", "", "", "", binder.money("Price of one"), *([""] * 7), "Supplier", "Priced on", "Tax", "Age", right=(4,)
    )
    for price in hours:
        _row(binder, page, price)
    page.finish(repeat=(head, head), freeze=(head + 1, 1), foot=binder.foot)


def _row(binder: Binder, page: Page, price: Price, needed: Decimal | None = None) -> None:
    """Write one price, and of a good how many are needed."""
    stock, hour = price.stock, price.form == "hour"
    page.put(0, stock, "wrap")
    page.put(1, "length" if price.by_length else price.form)
    page.put(2, price.size, "wrap")
    name = binder.names.of("price", stock)
    if needed is not None:
        page.put(3, needed, "number", yours=True, name=binder.names.of("needed", stock))
    page.put(4, price.price, "money", yours=True, name=name)
    page.sheet.data_validation(page.row, 4, page.row, 4, _ANY)
    if not (hour or price.by_length):
        for number in range(MOST_BREAKS):
            column = _FIRST_BREAK + 2 * number
            start, each = price.breaks[number] if number < len(price.breaks) else (None, None)
            binder.refs["from", stock, str(number)] = page.absolute(column)
            binder.refs["each", stock, str(number)] = page.absolute(column + 1)
            page.put(column, start, "count", yours=True)
            page.put(column + 1, each, "money", yours=True)
        binder.refs["limit", stock] = page.absolute(_FIRST_BREAK + 2 * MOST_BREAKS)
        page.put(_FIRST_BREAK + 2 * MOST_BREAKS, price.limit, "count", yours=True)
    after = _FIRST_BREAK + 2 * MOST_BREAKS + 1
    page.put(after, price.supplier, "wrap")
    day = page.put(after + 1, price.priced, "day", yours=True)
    page.put(after + 2, price.tax)
    quote = binder.quote
    stale = price.priced is None or (quote.on - price.priced).days > quote.rates.price.stale_days
    formula = f'IF({day}="","no date",IF(quote_date-{day}>stale_after_days,"stale","good"))'
    page.put(after + 3, Formula(formula, ("no date" if price.priced is None else "stale") if stale else "good"))
    page.next()

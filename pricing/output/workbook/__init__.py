"""The spreadsheet quote: pages for client, yard, shop and books, live by formulas with readable names.

Every amount is a formula over price, quantity and rate cells, stored with the value that the quote itself has, so that
a viewer that does not calculate shows numbers too. Text never becomes a formula. The same quote gives the same bytes.
"""

from collections.abc import Sequence
from datetime import UTC, datetime, time
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any

from nesting.base.whole_files import replace_file
from pricing.quoting.marginal import Marginal
from pricing.quoting.quote import Quote

if TYPE_CHECKING:
    from pricing.ahead.calendar.dates import Calendar
    from pricing.ahead.cheaper import Cheaper
    from pricing.ahead.methods.combine import Combination

__all__ = ["workbook_bytes", "write_workbook"]


def workbook_bytes(
    quote: Quote,
    *,
    marginals: Sequence[Marginal] = (),
    plan: "Calendar | None" = None,
    methods: "Combination | None" = None,
    cheaper: "Cheaper | None" = None,
) -> bytes:
    """Return the workbook of a quote.

    Parameters
    ----------
    quote : Quote
        What is written; every cached value is its own.
    marginals : sequence of Marginal, optional
        What one more of each line of the order costs, if it was worked out.
    plan : Calendar, optional
        The days of the job; with it comes the Calendar page.
    methods : Combination, optional
        Every way to pack every piece; with it comes the Methods page.
    cheaper : Cheaper, optional
        The cheaper way, told under Assumptions, where clients do not look.

    Returns
    -------
    bytes
        An XLSX file; the same for the same arguments.
    """
    from pricing.output.workbook import (
        assumptions,
        buying,
        checks,
        client,
        costs,
        crates,
        cut_list,
        dates,
        freight,
        prices,
        shares,
        sheets,
        ways,
        workings,
    )  # fmt: skip
    from pricing.output.workbook.anchors import PlainWorkbook
    from pricing.output.workbook.binder import TABS, Binder
    from pricing.output.workbook.page import clean
    from pricing.output.workbook.style import FONT, SIZE

    out = BytesIO()
    options = {
        "in_memory": True,
        "strings_to_formulas": False,
        "strings_to_urls": False,
        "strings_to_numbers": False,
        # Viewers measure columns in digits of this face; at this size a digit takes the 7 pixels that widths count on.
        "default_format_properties": {"font_name": FONT, "font_size": SIZE},
        "default_row_height": 20,
        "default_column_width": 64,
    }
    with PlainWorkbook(out, options) as workbook:
        workbook.set_properties(
            {
                "title": clean(f"Quote for {quote.build.order.name}")[:200],
                "author": clean(quote.build.shop.studio.name)[:200],
                "created": datetime.combine(quote.on, time(), UTC).replace(tzinfo=None),
            }
        )
        workbook.set_calc_mode("auto")
        extra = [tab for tab, made in (("Calendar", plan), ("Methods", methods)) if made is not None]
        after = TABS.index("Freight") + 1
        binder = Binder(quote, workbook, (*TABS[:after], *extra, *TABS[after:]))
        prices.fill(binder)
        charged = freight.fill(binder)
        buying.fill(binder)
        working = workings.begin(binder)
        lines = costs.fill(binder, charged)
        workings.finish(binder, working, lines)
        shares.fill(binder, marginals)
        client.fill(binder)
        cut_list.fill(binder)
        sheets.fill(binder)
        crates.fill(binder)
        if plan is not None:
            dates.fill(binder, plan)
        if methods is not None:
            ways.fill(binder, methods)
        assumptions.fill(binder, cheaper)
        checks.fill(binder)
        if binder.names.missing():
            raise RuntimeError(f"names without a cell: {', '.join(sorted(binder.names.missing()))}")
    return out.getvalue()


def write_workbook(quote: Quote, path: Path, **more: Any) -> None:
    """Write the workbook of a quote to a file, whole or not at all; ``more`` as for :func:`workbook_bytes`."""
    replace_file(path, workbook_bytes(quote, **more))

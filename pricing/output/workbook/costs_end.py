"""The end of the Costs page: both truths about the materials, and what the total is made of, with a chart."""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Final

from pricing.money import total
from pricing.output.workbook.binder import Binder
from pricing.output.workbook.page import Formula, Page
from pricing.output.workbook.style import TINT, WOOD
from pricing.quoting.lines import Section
from pricing.quoting.quote import charged_told

ITEMS: Final = (
    "Sheets", "Lumber", "Rolls", "Hardware", "Work", "Contingency and overhead", "Profit and rounding",
    "Freight and insurance", "Taxes",
)  # fmt: skip
"""What a total is made of, as the chart and the shares show it."""
ITEM_OF: Final[Mapping[str, str]] = {
    "sheets": "Sheets",
    "sticks": "Lumber",
    "rolls": "Rolls",
    "hardware": "Hardware",
    "labour": "Work",
    "contingency": "Contingency and overhead",
    "overhead": "Contingency and overhead",
    "profit": "Profit and rounding",
    "discount": "Profit and rounding",
    "minimum": "Profit and rounding",
    "rounding": "Profit and rounding",
    "freight": "Freight and insurance",
    "insurance": "Freight and insurance",
    "purchase tax": "Taxes",
    "tax": "Taxes",
}
"""The item that each section and step belongs to."""


def truths(page: Page, binder: Binder, rows: Sequence[tuple[str, int]]) -> None:
    """Write what must be bought beside what is used up, over all materials.

    Parameters
    ----------
    rows : sequence of (str, int)
        For each material whether it is bought, racked or open (``"buy"``, ``"rack"``, ``"open"``), and its row on
        the page.
    """
    takeoff = binder.quote.takeoff
    page.section("Two truths about the materials")
    if not rows:
        page.paragraph("No materials.", "quiet wrap")
        return
    bought = [page.cell(6, row) for source, row in rows if source == "buy"]
    racked = [page.cell(6, row) for source, row in rows if source == "rack"]
    used = [page.cell(8, row) for _, row in rows]
    for title, cells, value in (
        ("What must be bought, whole sheets, sticks, rolls and boxes", bought, takeoff.bought_amount),
        ("What comes off the rack, at book value", racked, takeoff.book_amount),
        ("What the job uses up, with its part of waste", used, takeoff.used_amount),
    ):
        page.put(0, title, "wrap")
        page.put(4, Formula(f"ROUND({'+'.join(cells) or '0'},2)", value), "money")
        page.next()
    page.put(0, "This quote charges by the rule", "strong")
    page.put(4, Formula("charge_basis", binder.quote.charge), "right", bold=True)
    page.next()
    page.paragraph(f"When this workbook was made: {charged_told(binder.quote)}.", "quiet wrap")
    page.skip()


def item_values(columns: Mapping[str, Decimal]) -> dict[str, Decimal]:
    """Gather amounts by section and step into the items that chart and shares show."""
    return {
        item: total(amount for key, amount in columns.items() if ITEM_OF[key] == item)
        for item in ITEMS
    }  # fmt: skip


def where_the_money_goes(
    page: Page, binder: Binder, sums: Mapping[Section, str], amounts: Mapping[Section, Decimal]
) -> None:
    """Write what the total is made of, and draw it as bars.

    Parameters
    ----------
    sums, amounts : mapping
        For each section on the page, the name and the value of its sum.
    """
    quote = binder.quote
    page.section("Where the money goes")
    page.heads("What", "Part", "", "", binder.money("Amount"), right=(1, 4))
    steps = [step for step in quote.steps if step.key not in ("direct", "freight", "insurance")]
    columns: dict[str, Decimal] = dict(amounts.items())
    columns |= {step.key: step.amount for step in steps}
    values = item_values(columns)
    names: dict[str, str] = dict(sums.items())
    names |= {step.key: f"step_{step.key}" for step in steps}
    first = page.row
    for item in ITEMS:
        parts = [name for key, name in names.items() if ITEM_OF[key] == item]
        page.put(0, item)
        amount = page.put(4, Formula(f"ROUND({'+'.join(parts) or '0'},2)", values[item]), "money")
        share = values[item] / quote.total if quote.total else Decimal(0)
        page.put(1, Formula(f"IF(quote_total=0,0,{amount}/quote_total)", share), "part")
        page.next()
    last = page.row - 1
    everything = ", ".join(filter(None, ("All of the total", quote.without)))
    page.put(0, everything, "quiet wrap", top=1, span=4 if quote.without else 1)
    page.put(
        4, Formula(f"ROUND(SUM({page.cell(4, first)}:{page.cell(4, last)}),2)", quote.total), "money", top=1, bold=True
    )
    page.next()
    _bars(page, binder, first, last)


def _bars(page: Page, binder: Binder, first: int, last: int) -> None:
    """Draw the items as bars, beside their table."""
    chart = binder.workbook.add_chart({"type": "bar"})
    tab = page.sheet.get_name()
    chart.add_series(
        {
            "name": "Amount",
            "categories": [tab, first, 0, last, 0],
            "values": [tab, first, 4, last, 4],
            "fill": {"color": WOOD},
            "gap": 45,
            "data_labels": {"value": True, "num_format": "#,##0", "font": {"size": 8}},
        }
    )
    chart.set_legend({"none": True})
    chart.set_title({"none": True})
    chart.set_y_axis({"reverse": True, "num_font": {"size": 8}, "line": {"none": True}, "major_tick_mark": "none"})
    chart.set_x_axis({"visible": False, "major_gridlines": {"visible": False}})
    chart.set_chartarea({"border": {"none": True}, "fill": {"color": TINT}})
    chart.set_size({"width": sum(page.widths[5:9]) - 12, "height": 20 * (last - first + 3)})
    page.sheet.insert_chart(first - 1, 5, chart, {"x_offset": 12, "object_position": 2})

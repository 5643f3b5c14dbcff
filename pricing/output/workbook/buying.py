"""The Buying page: what to fetch, supplier by supplier, with boxes to tick; what to take from rack and shelf."""

from collections.abc import Sequence
from decimal import Decimal
from typing import Final

from nesting.base.measure import LB_KG, format_length
from nesting.shop.goods import Good
from pricing.money import half_up, total
from pricing.output.workbook.binder import FIXED_AND_LIVE, Binder
from pricing.output.workbook.page import TICK, Formula, Page
from pricing.output.workbook.style import QUIET
from pricing.quoting.takeoff import Taken

_LEAD: Final = (
    "What to fetch, in whole sheets, sticks, rolls and boxes, after what stands on the rack and the shelf. Where a "
    "price break makes more cost less, Buy is more than Needed, which is changed on the page Prices."
)
_NOBODY: Final = "No supplier named"
_MANY: Final = {"box": "boxes"}
_WIDTHS: Final = (26, 42, 46, 54, 160, 250, 58, 62, 74, 240)
_SUPPLIER: Final = 9


def fill(binder: Binder) -> None:
    """Write the page: one list over all suppliers, then what each is paid, and what is in store."""
    page = binder.page("Buying", _WIDTHS, breaks=False)
    page.title("Buying", f"{_LEAD} {FIXED_AND_LIVE}")
    rows = binder.quote.takeoff.rows
    bought = [row for row in rows if row.price is not None]
    suppliers = sorted({row.price.supplier for row in bought if row.price})
    page.list_heads(
        "", "Buy", "", "Needed", "Stock", "What it is", f"About, {binder.styles.weight_unit}", binder.money("One"),
        binder.money("Amount"), "Supplier", right=(1, 3, 6, 7, 8),
    )  # fmt: skip
    first = page.row
    for supplier in suppliers:
        for row in bought:
            if row.price and row.price.supplier == supplier:
                _bought(binder, page, row)
    last = page.row - 1
    page.end_list()
    page.skip()
    if bought:
        _sums(binder, page, suppliers, bought, (first, last))
    _in_store(binder, page, rows)
    page.finish(foot=binder.foot)


def _sums(binder: Binder, page: Page, suppliers: Sequence[str], bought: Sequence[Taken], span: tuple[int, int]) -> None:
    """Write what each supplier is paid, by its name in the list, so that sorting and filtering change nothing."""
    page.section("To pay")
    theirs, weights, amounts = (
        ":".join(page.absolute(column, row).split("!")[1] for row in span) for column in (_SUPPLIER, 6, 8)
    )
    first = page.row
    for supplier in suppliers:
        rows = [row for row in bought if row.price and row.price.supplier == supplier]
        name = page.put(4, supplier or _NOBODY, "wrap", span=2)
        weight = f"ROUND(SUMPRODUCT(EXACT({theirs},{name})*{weights}),1)"
        page.put(6, Formula(weight, _weight(binder, rows)), "weight", font_color=QUIET)
        amount = f"ROUND(SUMPRODUCT(EXACT({theirs},{name})*{amounts}),2)"
        page.put(8, Formula(amount, total(row.bought_amount for row in rows)), "money")
        page.next()
    page.put(4, "For all that is bought", "strong", span=4, top=1)
    text = f"ROUND(SUM({page.cell(8, first)}:{page.cell(8, page.row - 1)}),2)"
    value = binder.quote.takeoff.bought_amount
    page.put(8, Formula(text, value), "money", name="bought_amount", bold=True, top=1)
    page.next()
    page.skip()


def _bought(binder: Binder, page: Page, row: Taken) -> None:
    names, stock = binder.names, row.stock
    page.put(0, Formula(f'IF({names.of("bought", stock)}>0,"{TICK}","")', TICK if row.bought else ""), "box")
    page.put(1, Formula(names.of("bought", stock), row.bought), "quantity", bold=True, font_size=10)
    page.put(2, _unit(row, names.of("bought", stock), row.bought))
    page.put(3, Formula(names.of("needed", stock), row.needed), "number")
    page.put(4, stock, "wrap")
    page.put(5, row.title, "quiet wrap")
    heavy = _heavy(binder, row)
    weight = Formula(f"ROUND({names.of('bought', stock)}*{heavy},1)", round(float(row.bought) * heavy, 1))
    page.put(6, weight, "weight", font_color=QUIET)
    page.put(7, Formula(names.of("each", stock), row.each), "money")
    page.put(8, Formula(names.of("amount", stock), row.bought_amount), "money")
    page.put(_SUPPLIER, (row.price.supplier if row.price else "") or _NOBODY, "quiet wrap")
    page.next()


def _heavy(binder: Binder, row: Taken) -> float:
    """Return the weight of one bought unit in the order's unit."""
    return round(row.kg_each / (1 if binder.styles.units == "metric" else float(LB_KG)), 2)


def _weight(binder: Binder, rows: Sequence[Taken]) -> float:
    """Return the weight of all that is bought of some rows, each rounded as its row shows it."""
    return round(sum(round(float(row.bought) * _heavy(binder, row), 1) for row in rows), 1)


def _unit(row: Taken, counted: str, count: Decimal) -> str | Formula:
    """Return the word for what is bought or taken, which follows its count."""
    if row.price and row.price.by_length:
        return "of a roll"
    if row.form == "each":
        return ""
    many = _MANY.get(row.form, f"{row.form}s")
    return Formula(f'IF({counted}=1,"{row.form}","{many}")', row.form if count == 1 else many)


def _in_store(binder: Binder, page: Page, rows: Sequence[Taken]) -> None:
    """Write what comes off the rack and the shelf."""
    racked = [row for row in rows if row.source == "rack"]
    opened = [row for row in rows if row.source == "open"]
    shelved = [row for row in rows if row.shelf]
    if not (racked or opened or shelved):
        page.paragraph("From our own rack and shelf: nothing; all of it is bought.", "quiet wrap")
        return
    page.section("From our own rack and shelf")
    page.heads(
        "",
        "Take",
        "",
        "",
        "Which",
        "What it is",
        "",
        binder.money("Book value"),
        binder.money("Amount"),
        right=(1, 7, 8),
    )
    for row in racked:
        _racked(binder, page, row)
    for row in opened:
        page.tick(0)
        page.put(1, row.needed, "number", bold=True)
        page.put(4, row.stock, "wrap")
        page.put(5, row.title, "quiet wrap")
        page.put(6, "paid already", "quiet", span=3, align="right")
        page.next()
    for row in shelved:
        good = binder.quote.build.shop.good(row.good)
        page.tick(0)
        page.put(4, _shelf_text(binder, row, good), "wrap", span=2)
        page.put(6, "charged by use", "quiet", span=3, align="right")
        page.next()


def _racked(binder: Binder, page: Page, row: Taken) -> None:
    offcut, units = binder.quote.rack.offcut(row.stock), binder.quote.build.units
    names = binder.names
    size = format_length(offcut.length, units)
    if offcut.width:
        size = f"{size} × {format_length(offcut.width, units)}"
    where = f", {offcut.place}" if offcut.place else ""
    page.tick(0)
    need = page.put(1, row.needed, "number", yours=True, bold=True, name=names.of("needed", "rack", row.stock))
    page.put(2, _unit(row, need, Decimal(row.needed)))
    page.put(4, f"{row.stock}{where}", "wrap")
    page.put(5, f"{row.title}, {size} {binder.styles.length_unit}", "quiet wrap")
    value = page.put(7, row.each, "money", yours=True, name=names.of("value", "rack", row.stock))
    amount = Formula(f"ROUND({need}*{value},2)", row.book_amount)
    page.put(8, amount, "money", name=names.of("amount", "rack", row.stock))
    page.next()


def _shelf_text(binder: Binder, row: Taken, good: Good) -> str:
    """Say what comes off the shelf, in the units of use."""
    size = next(size for size in good.sizes if size.stock == row.stock)
    if good.form == "roll":
        length = format_length(int(half_up(row.shelf * size.length, Decimal(1))), binder.quote.build.units, mark=True)
        return f"{length} of {row.title}"
    count = int(half_up(row.shelf * size.holds, Decimal(1)))
    unit = {"each": "", "g": " g", "mm": " mm"}[good.use_unit]
    return f"{count}{unit} of {row.title}"

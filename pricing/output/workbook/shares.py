"""The Shares page: what each piece bears, one piece looked at closely, and the way into its sale price."""

from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal
from typing import Final

from nesting.crates.held import reasons
from nesting.crates.model import Crate
from nesting.crates.registry import method_of
from nesting.crates.unpacked import UNPACKED
from pricing.money import total
from pricing.output.workbook import by_place
from pricing.output.workbook.binder import Binder
from pricing.output.workbook.costs_end import ITEMS, item_values
from pricing.output.workbook.page import Formula, Page
from pricing.quoting.incomplete import WORD, told
from pricing.quoting.marginal import Marginal
from pricing.quoting.sale import SalePrice
from pricing.quoting.shares import Share
from pricing.studio.rates import Payer

_WIDTHS: Final = (78, 152, 84, *([80] * len(ITEMS)), 96, 96)
_TOTAL: Final = 3 + len(ITEMS)
_DIVIDED: Final = ("Freight in S", "Insurance in S", "Freight paid by", "Insurance paid by")
"""More columns of the way into the sale price, where several bear S."""
_LEAD: Final = (
    "What each piece bears of everything: its own crate, its part of shared sheets, cases and freight. The shares sum "
    "to the total to the cent. Choose a piece on the yellow ground to see what it adds, and why."
)
WHY: Final[Mapping[str, str]] = {
    "Sheets": "by the area of its parts in each sheet good, waste shared alike",
    "Lumber": "by the length of its sticks in each section",
    "Rolls": "by the area of its wraps in each paper, film or foam",
    "Hardware": "by how many screws, handles, grams of glue and cartons its crate takes",
    "Work": "saw work by the number of its parts, hand work as counted for its crate",
    "Contingency and overhead": "in proportion to all that it bears above",
    "Profit and rounding": "in proportion; profit less discount, lifted to the minimum, rounded",
    "Freight and insurance": "freight by billed weight or outside volume, extras by their pieces; insurance by value",
    "Taxes": "as what they are on",
}


def fill(binder: Binder, marginals: Sequence[Marginal]) -> None:
    """Write the page; the totals of the pieces are remembered for the client's page."""
    divided = any(sale.divided for sale in binder.quote.sales)
    page = binder.page(
        "Shares",
        (*_WIDTHS, *([80] * len(_DIVIDED))) if divided else _WIDTHS,
        landscape=True,
        breaks=False,
    )
    page.title("Shares and sale prices", _LEAD)
    closely = page.row
    page.leave(len(ITEMS) + 8, 15.0 * len(ITEMS) + 160)
    rows = _table(binder, page, {each.piece: each for each in marginals})
    sales = _sales(binder, page)
    reasons = _reasons(binder, page)
    page.back_to(closely)
    _closely(binder, page, rows, sales, reasons)
    page.finish(repeat=(0, 0), freeze=(1, 1), foot=binder.foot)


def _table(binder: Binder, page: Page, marginals: Mapping[str, Marginal]) -> tuple[int, int, int]:
    """Write what every piece bears, with sums and a check; return the first and last row, and that of the sums."""
    quote, names = binder.quote, binder.names
    page.section(f"What each piece bears, {quote.currency}")
    more = ("Adds to the total",) if marginals else ("",)
    page.heads("Piece", "Title", "In crate", *ITEMS, "Total", *more, right=range(3, _TOTAL + 2))
    heads, first = page.row - 1, page.row
    for copy, share in zip(binder.copies, quote.shares, strict=True):
        page.put(0, copy.piece, "strong")
        page.put(1, copy.title, "wrap")
        page.put(2, in_crate(binder, share), "wrap")
        values = item_values(share.columns)
        parts = names.of("parts of", copy.piece)
        for offset, item in enumerate(ITEMS):
            head = f"{page.cell(3 + offset, heads)[: -len(str(heads + 1))]}${heads + 1}"
            text = f"ROUND(SUMIF(shared_items,{head},{parts}),2)"
            page.put(3 + offset, Formula(text, values[item]), "money or dash")
        cells = f"{page.cell(3)}:{page.cell(_TOTAL - 1)}"
        page.put(_TOTAL, Formula(f"ROUND(SUM({cells}),2)", share.total), "money", bold=True)
        binder.refs["share", copy.piece] = page.absolute(_TOTAL)
        line = copy.copy_of or copy.piece
        if line in marginals:
            added = marginals[line]
            page.put(_TOTAL + 1, added.why if added.price is None else added.price, "wrap" if added.why else "money")
        page.next()
    last = page.row - 1
    page.put(0, ", ".join(filter(None, ("All pieces", quote.without))), "wrap", bold=True, top=1, span=3)
    sums = item_values(_sums(binder))
    for offset, item in enumerate((*ITEMS, "")):
        column = 3 + offset
        value = sums[item] if item else quote.total
        text = f"ROUND(SUM({page.cell(column, first)}:{page.cell(column, last)}),2)"
        page.put(column, Formula(text, value), "money", top=1, bold=True)
    bottom = page.row
    page.next()
    page.put(0, "Less the total on the Costs page", "quiet", span=3)
    page.put(_TOTAL, Formula(f"ROUND({page.cell(_TOTAL, bottom)}-quote_total,2)", Decimal("0.00")), "money")
    page.next()
    if marginals:
        page.paragraph(
            "Adds to the total: the whole order quoted once more without one copy of the piece, and the difference of "
            "the two totals. It is less than the share where the piece rides on sheets, cases and freight that the "
            "others need anyway, and less than nothing where the others alone would cost more. It was worked out when "
            "this workbook was made and does not follow changed prices.",
            "quiet wrap",
        )
    page.skip()
    return first, last, bottom


def _sums(binder: Binder) -> dict[str, Decimal]:
    """Return the sum over all pieces of each column of the shares."""
    shares = binder.quote.shares
    return {key: total(share.columns[key] for share in shares) for key in shares[0].columns}


def _sales(binder: Binder, page: Page) -> tuple[int, int] | None:
    """Write the way from each artist's price to a list price; return the first and last row."""
    quote, sales = binder.quote, binder.quote.sales
    page.section("Into the sale price")
    if not sales:
        page.paragraph("The order states no artist's price, so there is no sale price to work it into.", "quiet wrap")
        page.skip()
        return None
    page.paragraph(
        "Where the list price bears packing and shipping S, it rises from the artist's price P to P + S / (1 - c), so "
        "that the artist nets the same after the gallery's commission c: 1000 at 50 % with 100 to ship lists at 1200, "
        "not 1100. Sales tax on the artwork bears no commission. Who bears S, the commission and the tax stand under "
        "Assumptions, for all and for each place that says its own; what a row of the order says stands here.",
        "quiet wrap",
    )
    divided = any(sale.divided for sale in sales)
    page.heads(
        "Piece", "Title", "", "Artist's price P", "Packing, shipping S", "List price", "which adds to P",
        "Gallery keeps", "Artist nets", "Sales tax", "Buyer pays, delivered",
        "Commission c", "S paid by", "Tax on it", *(_DIVIDED if divided else ()), right=range(3, 18),
    )  # fmt: skip
    titles = {copy.piece: copy.title for copy in binder.copies}
    first = page.row
    for sale in sales:
        page.put(0, sale.piece, "strong")
        beside = quote.beside(sale.piece)
        page.put(1, f"{titles[sale.piece]} ({beside})".strip() if beside else titles[sale.piece], "wrap", span=2)
        _sale(binder, page, sale, divided=divided)
        page.next()
    last = page.row - 1
    lacking = dict.fromkeys(line for sale in sales for line in quote.incomplete_pieces.get(sale.piece, ()))
    page.put(0, ", ".join(filter(None, ("All of these", told(list(lacking))))), "wrap", bold=True, top=1, span=3)
    for column, values in enumerate(
        (
            [s.artist_price for s in sales], [s.shipping for s in sales], [s.list_price for s in sales],
            [s.list_price - s.artist_price for s in sales], [s.gallery for s in sales], [s.artist for s in sales],
            [s.tax for s in sales], [s.delivered for s in sales],
        ),
        start=3,
    ):  # fmt: skip
        text = f"ROUND(SUM({page.cell(column, first)}:{page.cell(column, last)}),2)"
        page.put(column, Formula(text, total(values)), "money", top=1, bold=True)
    page.next()
    page.put(0, f"Amounts in {quote.currency}.", "quiet")
    page.next()
    page.skip()
    return first, last


def _sale(binder: Binder, page: Page, sale: SalePrice, *, divided: bool) -> None:
    """Write the figures of one piece; where several bear S, with who bears what."""
    price = page.put(3, sale.artist_price, "money", yours=True)
    shipping = page.put(4, Formula(binder.refs["share", sale.piece], sale.shipping), "money")
    part = by_place.commission(binder, sale)
    c = page.put(11, Formula(part, sale.commission) if part else sale.commission, "rate", yours=not part)
    who = page.put(12, Formula(by_place.payer(binder, sale), sale.paid_by), "right")
    rate = page.put(13, Formula(by_place.art_rate(binder, sale.piece), sale.art_tax), "rate")
    borne = _bearing(binder, page, sale, (shipping, who)) if divided else _by_one(shipping, who)
    listed_text = f"ROUND({price}+{borne('list price')}/(1-{c}),2)"
    listed = page.put(5, Formula(listed_text, sale.list_price), "money", bold=True)
    page.put(6, Formula(f"ROUND({listed}-{price},2)", sale.list_price - sale.artist_price), "money")
    kept = f"ROUND({listed}*{c},2)"
    gallery = f"ROUND({kept}-{borne('gallery')},2)"
    page.put(7, Formula(gallery, sale.gallery), "money")
    page.put(8, Formula(f"ROUND({listed}-{kept}-{borne('list price')}-{borne('artist')},2)", sale.artist), "money")
    tax = page.put(9, Formula(f"ROUND({listed}*{rate},2)", sale.tax), "money")
    delivered = f"ROUND({listed}+{tax}+{borne('buyer')},2)"
    page.put(10, Formula(delivered, sale.delivered), "money", bold=True)


def _by_one(shipping: str, who: str) -> Callable[[Payer], str]:
    """Return what of S somebody bears where one bears it all, as a formula."""
    return lambda payer: f'IF({who}="{payer}",{shipping},0)'


def _bearing(binder: Binder, page: Page, sale: SalePrice, packing: tuple[str, str]) -> Callable[[Payer], str]:
    """Write freight and insurance within S and who bears them; return what of S somebody bears, as a formula.

    ``packing`` is the cell of S and that of who bears its packing.
    """
    freight = page.put(14, Formula(by_place.part_of(binder, sale, "freight"), sale.freight), "money")
    insurance = page.put(15, Formula(by_place.part_of(binder, sale, "insurance"), sale.insurance), "money")
    by_freight = page.put(
        16, Formula(by_place.payer(binder, sale, "freight"), sale.freight_by or sale.paid_by), "right"
    )
    by_insurance = page.put(
        17, Formula(by_place.payer(binder, sale, "insurance"), sale.insurance_by or sale.paid_by), "right"
    )
    whole, who = packing
    parts = ((who, f"{whole}-{freight}-{insurance}"), (by_freight, freight), (by_insurance, insurance))
    return lambda payer: "(" + "+".join(f'IF({by}="{payer}",{part},0)' for by, part in parts) + ")"


def _reasons(binder: Binder, page: Page) -> tuple[int, int]:
    """Write how each piece is packed and why; return the first and last row."""
    page.section("How each piece travels")
    page.heads("Piece", "Title", "In crate", "Packed as", "", "Because", *([""] * (_TOTAL - 4)))
    first = page.row
    for copy, share in zip(binder.copies, binder.quote.shares, strict=True):
        crate = binder.crates.get(share.crate)
        page.put(0, copy.piece, "strong")
        page.put(1, copy.title, "wrap")
        page.put(2, in_crate(binder, share), "wrap")
        page.put(3, packed_as(binder, share), "wrap", span=2)
        page.put(5, _because(binder, copy.piece, crate), "quiet wrap", span=_TOTAL - 3)
        page.next()
    return first, page.row - 1


def _because(binder: Binder, piece: str, crate: Crate | None) -> str:
    """Say why a piece travels so, or why it does not travel."""
    if crate is None:
        return next(("; ".join(each.why) for each in binder.quote.build.unpacked if each.piece == piece), "")
    return reasons(crate) if crate.standing == "held" else crate.reason


def in_crate(binder: Binder, share: Share) -> str:
    """Name the crate of a share, and say whether it is held, so that it bears nothing, or its freight is not known."""
    if not share.crate:
        return UNPACKED
    held = share.piece in binder.quote.build.held_pieces
    more = ", held" if held else f", {WORD}" if binder.quote.beside(share.piece) else ""
    return f"{share.crate}{more}"


def packed_as(binder: Binder, share: Share) -> str:
    """Say in a few words what a piece travels in, and what its share is incomplete by."""
    crate = binder.crates.get(share.crate)
    if crate is None:
        return UNPACKED
    word = method_of(crate).one
    rides = f"{word} in case {crate.inside_of}" if crate.inside_of else word
    if crate.standing == "held":
        return f"{rides}, held"
    return "; ".join(filter(None, (rides, binder.quote.beside(share.piece))))


def _closely(
    binder: Binder,
    page: Page,
    rows: tuple[int, int, int],
    sales: tuple[int, int] | None,
    reasons: tuple[int, int],
) -> None:
    """Write one chosen piece: what it adds, item by item, and why."""
    shares = rows[:2]
    copy, share = binder.copies[0], binder.quote.shares[0]
    page.section("One piece, closely")
    page.put(0, "Piece", "strong")
    page.put(1, copy.piece, "strong", yours=True, name="chosen_piece")
    column = page.absolute(0, shares[0]).split("!")[1]
    end = page.absolute(0, shares[1]).split("!")[1]
    page.sheet.data_validation(
        page.row, 1, page.row, 1,
        {"validate": "list", "source": f"={column}:{end}", "input_title": "One piece",
         "input_message": "Choose a piece of this order."},
    )  # fmt: skip
    at, why = _place(page, shares), _place(page, reasons)
    page.put(2, _found(page, 1, shares, at, copy.title), "wrap", span=4)
    page.next()
    adds = "The order states no artist's price for it."
    text = '"The order states no artist\'s price for it."'
    sale = next((each for each in binder.quote.sales if each.piece == copy.piece), None)
    if sales is not None:
        listed = _span(page, 6, sales)
        none = '"nothing: no price is stated"'
        text = f'IF({_place(page, sales)}=0,{none},TEXT(INDEX({listed},MAX(1,{_place(page, sales)})),"#,##0.00"))'
        adds = "nothing: no price is stated" if sale is None else f"{sale.list_price - sale.artist_price:,.2f}"
    for title, made, base in (
        ("Packing and shipping it costs", _found(page, _TOTAL, shares, at, share.total), "money"),
        ("This adds to its list price", Formula(text, adds), "right"),
    ):
        page.put(0, title, span=2)
        page.put(2, made, base, span=2, bold=True)
        if base == "right":
            note = "packing and shipping / (1 - commission) where the list price bears it; see Into the sale price"
            page.put(4, note, "quiet", span=8)
        page.next()
    crate = binder.crates.get(share.crate)
    page.put(0, "It travels", span=2)
    page.put(2, _found(page, 3, reasons, why, packed_as(binder, share)), "wrap", span=2)
    page.put(4, _found(page, 5, reasons, why, _because(binder, share.piece, crate)), "quiet wrap", span=_TOTAL - 3)
    page.next(26)
    page.heads("What", "", "", binder.money("It bears"), "of all", "Why", *([""] * 6), right=(3, 4))
    start = page.row
    values, sums = item_values(share.columns), item_values(_sums(binder))
    for offset, item in enumerate(ITEMS):
        page.put(0, item, span=2)
        mine = page.put(2, _found(page, 3 + offset, shares, at, values[item]), "money or dash", span=2)
        whole = page.cell(3 + offset, rows[2])
        part = values[item] / sums[item] if sums[item] else Decimal(0)
        page.put(4, Formula(f"IF({whole}=0,0,{mine}/{whole})", part), "part")
        page.put(5, WHY[item], "quiet", span=7)
        page.next()
    page.put(0, "In all", "strong", span=2, top=1)
    text = f"ROUND(SUM({page.cell(2, start)}:{page.cell(2, page.row - 1)}),2)"
    page.put(2, Formula(text, share.total), "money", span=2, top=1, bold=True)
    page.next()
    page.skip()


def _found(page: Page, column: int, rows: tuple[int, int], at: str, value: Decimal | str) -> Formula:
    """Return the formula that looks the chosen piece up in a column of a table with a row for each piece."""
    return Formula(f"INDEX({_span(page, column, rows)},{at})", value)


def _place(page: Page, rows: tuple[int, int]) -> str:
    """Return the place of the chosen piece in a table, as a formula.

    Looking a text up would take an asterisk in a name for a pattern, and would not tell capitals from small letters.
    """
    names = _span(page, 0, rows)
    return f"SUMPRODUCT(EXACT({names},chosen_piece)*(ROW({names})-{rows[0]}))"


def _span(page: Page, column: int, rows: tuple[int, int]) -> str:
    """Return a column of a table."""
    return f"{page.absolute(column, rows[0]).split('!')[1]}:{page.absolute(column, rows[1]).split('!')[1]}"

"""Prices: the price book, edited row by row, with its history, and a supplier's list read into it."""

import json
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any, Final

from starlette.responses import Response
from starlette.routing import Route

from nesting.base.counts import plural
from nesting.base.days import DayError, DayOrder, parse_day
from pricing.desk.call import BadRequestError, Call, endpoint
from pricing.desk.desk import Desk
from pricing.desk.pages.paper import Edit, save_edit, save_paper, step_paper
from pricing.desk.studio import PRICES, book_text, sizes_from
from pricing.desk.supplier import read_list, with_prices
from pricing.desk.typed import in_cents
from pricing.studio.pricebook import Price, PriceBook


def shown(call: Call[Desk]) -> Response:
    """Show the price book."""
    papers = call.desk.papers
    document = papers.document(PRICES)  # once, so that the revision is that of the rows that are shown
    book, shop = papers.book_of(document.content), papers.shop
    titles = {size.stock: good.title for good in shop.goods for size in good.sizes}
    days = papers.rates.price.stale_days
    stale = {row.stock for row in book.stale(call.desk.today(), days)}
    forms: dict[str, list[Price]] = {}
    for row in book.rows:
        forms.setdefault(row.form, []).append(row)
    return call.page(
        "prices.html", here="prices", book=book, forms=forms, titles=titles, stale=stale, days=days,
        document=document, breaks_text=breaks_text, units=shop.units,
        goods=[good for good in shop.goods if good.form in ("sheet", "stick")],
    )  # fmt: skip


def breaks_text(row: Price) -> str:
    """Write breaks as they are read: ``from 10: 54.00; from 25: 50.00``."""
    return "; ".join(f"from {start}: {each}" for start, each in row.breaks)


def read_breaks(text: str, currency: str) -> tuple[tuple[int, Decimal], ...]:
    """Read what :func:`breaks_text` writes; ValueError where it cannot be."""
    found = []
    for part in filter(None, (part.strip() for part in text.split(";"))):
        start, colon, each = part.removeprefix("from").partition(":")
        if not colon or not start.strip().isdecimal():
            raise ValueError(f"{part}: write breaks such as from 10: 54.00; from 25: 50.00")
        found.append((int(start), in_cents(each, currency)))
    return tuple(found)


def row(call: Call[Desk]) -> Response:
    """Change fields of one row; those that were not sent stay as they are."""
    stock, papers = call.text("stock"), call.desk.papers
    old = papers.book.by_stock.get(stock)
    if old is None:
        raise BadRequestError(f"there is no {stock} in the price book")
    own = _typed(call, old, papers.book.currency)
    try:
        replace(old, **own)
    except ValueError as error:
        told = str(error).rpartition("accepted: ")[2]
        raise BadRequestError(f"write {told}", "breaks" if "breaks" in own else next(iter(own), "")) from None

    def changed(text: str) -> Price:
        return replace(papers.book_of(text).by_stock[stock], **own)

    def make(text: str) -> str:
        book = papers.book_of(text)
        rows = tuple(changed(text) if each.stock == stock else each for each in book.rows)
        return book_text(replace(book, rows=rows, invented=False), sizes_from(text))

    def what(text: str) -> str:
        before, after = papers.book_of(text).by_stock[stock], changed(text)
        if before.price != after.price:
            return f"{stock}: {before.price} → {after.price}"
        told = [f"{label} {shown_cell(after, name) or 'left blank'}" for name, label in CELLS.items() if name in own]
        return f"{stock}: {', '.join(told)}"

    def stands(text: str) -> dict[str, str]:
        kept = papers.book_of(text).by_stock.get(stock)
        return {
            f"{CELLS[name]} of {stock}": shown_cell(kept, name) if kept else "" for name in own if name in call.form
        }

    def values(text: str) -> dict[str, str]:
        return {name: shown_cell(papers.book_of(text).by_stock[stock], name) for name in {*own}}

    return save_edit(call, PRICES, Edit(what, make, stands, values), "/prices")


CELLS: Final = {
    "price": "price", "breaks": "breaks", "supplier": "supplier", "priced": "day of the price", "limit": "at most",
}  # fmt: skip
"""What is typed in a row, by the names of its fields, with what people call it."""


def shown_cell(row: Price, name: str) -> str:
    """Write what a row says in one of its fields, as the field shows it."""
    if name == "breaks":
        return breaks_text(row)
    value = getattr(row, name)
    return "" if value is None else str(value)


def _typed(call: Call[Desk], old: Price, currency: str) -> dict[str, Any]:
    """Return what was typed of a row, by field; BadRequestError with every fault at once.

    A new price takes today's day, unless another one was typed with it.
    """
    readers: dict[str, tuple[int, Callable[[str], Any]]] = {
        "price": (40, lambda text: in_cents(text, currency)), "breaks": (400, lambda text: read_breaks(text, currency)),
        "supplier": (80, str), "priced": (40, lambda text: _day(text, call.desk.days)), "limit": (10, _limit),
    }  # fmt: skip
    own: dict[str, Any] = {}
    faults: dict[str, str] = {}
    for name, (most, read) in readers.items():
        if name in call.form:
            try:
                own[name] = read(call.text(name, most))
            except ValueError as error:
                faults[name] = str(error)
    if faults:
        raise BadRequestError("\n".join(faults.values()), faults=faults)
    if own.get("price", old.price) != old.price and own.get("priced", old.priced) == old.priced:
        own["priced"] = call.desk.today()
    return own


def _day(text: str, days: DayOrder | None) -> date | None:
    try:
        return parse_day(text, days) if text else None
    except DayError as error:
        raise ValueError(f"write {error.accepted}") from None


def _limit(text: str) -> int | None:
    if text and not (text.isascii() and text.isdecimal()):
        raise ValueError("write a whole number, or leave it blank where there is no limit")
    return int(text) if text else None


def history(call: Call[Desk]) -> Response:
    """Show every state of the price book, with what changed."""
    papers = call.desk.papers
    document = papers.document(PRICES)  # before its history, which then shows all that it stands for
    entries = call.desk.store.documents.history(PRICES, 60)
    shown_entries = []
    for later, earlier in zip(entries, [*entries[1:], None], strict=False):
        before = papers.book_of(earlier.content) if earlier else papers.book_of("")
        shown_entries.append((later, _changed(before, papers.book_of(later.content))))
    return call.page("history.html", here="prices", entries=shown_entries, document=document)


def _changed(before: PriceBook, after: PriceBook) -> list[tuple[str, str, str]]:
    """Return the prices that differ."""
    return [
        (row.stock, str(old.price), str(row.price))
        for row in after.rows
        if (old := before.by_stock.get(row.stock)) and old.price != row.price
    ]


def again(call: Call[Desk]) -> Response:
    """Bring an earlier state back."""
    earlier = call.desk.store.documents.at(PRICES, call.number("number"))
    if earlier is None:
        raise LookupError("that state is not kept any more")
    return save_paper(call, PRICES, earlier.content, f"as on {earlier.at[:10]} again", "/prices")


def offer(call: Call[Desk]) -> Response:
    """Read a supplier's list and show what it would change."""
    file, data = call.files.get("file", ("", b""))
    if not data:
        raise BadRequestError("choose a price list")
    papers = call.desk.papers
    document = papers.document(PRICES)  # once, so that the revision is that of the prices that are compared
    offered = read_list(file, data, papers.book_of(document.content))
    changes = json.dumps({each.stock: str(each.after) for each in offered.changed})
    return call.page(
        "offer.html", here="prices", offered=offered, file=file, changes=changes, document=document,
        currency=papers.book.currency,
    )  # fmt: skip


def accept(call: Call[Desk]) -> Response:
    """Take a supplier's prices over."""
    try:
        prices = {str(stock): str(text) for stock, text in json.loads(call.text("changes", 200_000)).items()}
        made = with_prices(call.desk.papers.book, prices, call.desk.today(), call.text("supplier", 80))
    except (ValueError, AttributeError) as error:
        raise BadRequestError(f"the list cannot be taken over: {error}") from None
    what = f"{plural(len(prices), 'price')} from {call.text('file')}"[:120]
    return save_paper(call, PRICES, book_text(made, call.desk.papers.sizes), what, "/prices")


def step(call: Call[Desk]) -> Response:
    """Undo or redo."""
    return step_paper(call, PRICES, "/prices")


ROUTES = (
    Route("/prices", endpoint(shown)),
    Route("/prices/row", endpoint(row), methods=["POST"]),
    Route("/prices/history", endpoint(history)),
    Route("/prices/again", endpoint(again), methods=["POST"]),
    Route("/prices/offer", endpoint(offer), methods=["POST"]),
    Route("/prices/accept", endpoint(accept), methods=["POST"]),
    Route("/prices/step", endpoint(step), methods=["POST"]),
)

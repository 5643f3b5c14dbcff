"""Prices: the price book, edited row by row, with its history, and a supplier's list read into it."""

import json
from dataclasses import replace
from datetime import date
from typing import Any

from starlette.responses import Response
from starlette.routing import Route

from pricing.desk.call import BadRequestError, Call, endpoint
from pricing.desk.desk import Desk
from pricing.desk.pages.paper import save_paper, step_paper
from pricing.desk.studio import PRICES, book_from, book_text
from pricing.desk.supplier import read_list, with_prices
from pricing.money import parse_amount
from pricing.studio.pricebook import Price, PriceBook


def shown(call: Call[Desk]) -> Response:
    """Show the price book."""
    papers = call.desk.papers
    document = papers.document(PRICES)  # once, so that the revision is that of the rows that are shown
    book, shop = book_from(document.content), papers.shop
    titles = {size.stock: good.title for good in shop.goods for size in good.sizes}
    days = papers.rates.price.stale_days
    stale = {row.stock for row in book.stale(call.desk.today(), days)}
    forms: dict[str, list[Price]] = {}
    for row in book.rows:
        forms.setdefault(row.form, []).append(row)
    return call.page(
        "prices.html", here="prices", book=book, forms=forms, titles=titles, stale=stale, days=days,
        document=document, breaks_text=breaks_text,
        goods=[good for good in shop.goods if good.form in ("sheet", "stick")],
    )  # fmt: skip


def breaks_text(row: Price) -> str:
    """Write breaks as they are read: ``from 10: 54.00; from 25: 50.00``."""
    return "; ".join(f"from {start}: {each}" for start, each in row.breaks)


def read_breaks(text: str) -> tuple[tuple[int, Any], ...]:
    """Read what :func:`breaks_text` writes; :class:`BadRequestError` where it cannot be."""
    found = []
    for part in filter(None, (part.strip() for part in text.split(";"))):
        start, _, each = part.removeprefix("from").partition(":")
        try:
            found.append((int(start), parse_amount(each)))
        except ValueError:
            raise BadRequestError(f"breaks: {part!r}; write from 10: 54.00; from 25: 50.00") from None
    return tuple(found)


def row(call: Call[Desk]) -> Response:
    """Change one row."""
    book, stock = call.desk.papers.book, call.text("stock")
    old = book.by_stock.get(stock)
    if old is None:
        raise BadRequestError(f"there is no {stock} in the price book")
    try:
        price = parse_amount(call.text("price", 40))
        limit = call.text("limit", 10)
        new = replace(
            old, price=price, breaks=read_breaks(call.text("breaks")), supplier=call.text("supplier", 80),
            limit=int(limit) if limit else None, priced=_priced(call, old, changed=price != old.price),
        )  # fmt: skip
    except ValueError as error:
        raise BadRequestError(f"{stock}: {error}") from None
    made = replace(book, rows=tuple(new if each is old else each for each in book.rows), invented=False)
    what = f"{stock}: {old.price} → {new.price}" if new.price != old.price else f"{stock} edited"
    return save_paper(call, PRICES, book_text(made, call.desk.papers.sizes), what, "/prices")


def _priced(call: Call[Desk], old: Price, *, changed: bool) -> date | None:
    """Return the day of a price: as typed, else today where the price is new."""
    text = call.text("priced", 12)
    if text and (old.priced is None or text != old.priced.isoformat()):
        return date.fromisoformat(text)
    return call.desk.today() if changed else old.priced


def history(call: Call[Desk]) -> Response:
    """Show every state of the price book, with what changed."""
    document = call.desk.papers.document(PRICES)  # before its history, which then shows all that it stands for
    entries = call.desk.store.documents.history(PRICES, 60)
    shown_entries = []
    for later, earlier in zip(entries, [*entries[1:], None], strict=False):
        before = book_from(earlier.content) if earlier else book_from("")
        shown_entries.append((later, _changed(before, book_from(later.content))))
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
    offered = read_list(file, data, book_from(document.content))
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
    what = f"{len(prices)} prices from {call.text('file')}"[:120]
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

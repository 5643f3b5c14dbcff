"""The studio's own files taken over: shop, prices, rates, places and parties; and a stock size added to a good."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Final

from starlette.responses import Response
from starlette.routing import Route

from nesting.base.faults import Fault, FaultsFound
from nesting.base.measure import MeasureError, parse_length
from pricing.desk.call import BadRequestError, Call, endpoint
from pricing.desk.desk import Desk
from pricing.desk.pages.paper import save_paper
from pricing.desk.steps import marked, said
from pricing.desk.studio import (
    PARTIES,
    PLACES,
    PRICES,
    RULES,
    OwnSize,
    Rulings,
    book_from,
    book_text,
    parties_in,
    places_from,
    ruled,
    rulings_from,
    sizes_from,
    with_sizes,
)
from pricing.desk.typed import in_cents
from pricing.store import Conflict
from pricing.studio.pricebook import Price, PriceBook
from pricing.studio.pricebook_file import price_book_from

_TEXTS: Final = ("shop.toml", "rates.toml", "destinations.csv", "parties.csv")


def take(call: Call[Desk]) -> Response:
    """Take files over, all or none, each told by its name, in place of what stood when they were chosen."""
    files = {name: data for name, data in call.files.values() if data}
    known = {name: data for name, data in files.items() if name in (*_TEXTS, "prices.csv", "prices.xlsx")}
    if not known or len(known) < len(files):
        raise BadRequestError(f"choose files named {', '.join((*_TEXTS, 'prices.csv or prices.xlsx'))}")
    try:
        texts = {name: known[name].decode() for name in _TEXTS if name in known}
    except UnicodeDecodeError:
        raise BadRequestError("a text in UTF-8 is wanted") from None
    papers = call.desk.papers
    had = {name: papers.document(name) for name in (RULES, PRICES, PLACES, PARTIES)}
    rulings, sizes = rulings_from(had[RULES].content), sizes_from(had[PRICES].content)
    if "shop.toml" in texts:
        rulings = replace(rulings, shop_file=texts["shop.toml"], studio={}, thickness={}, sizes={})
        sizes = {}
    if "rates.toml" in texts:
        rulings = replace(rulings, rates_file=texts["rates.toml"])
    if {"shop.toml", "rates.toml"} & texts.keys():
        rulings = replace(rulings, rules={})
    read = _book(known)
    book = read or book_from(had[PRICES].content, ruled(rulings.text(), papers.form)[0].units)
    check(rulings, sizes, book, texts.get("destinations.csv", had[PLACES].content), papers.form)
    parties_in(texts.get("parties.csv", ""))
    contents = {
        RULES: rulings.text(), PRICES: book_text(book, sizes), PLACES: texts.get("destinations.csv", ""),
        PARTIES: texts.get("parties.csv", ""),
    }  # fmt: skip
    wanted = [
        RULES if {"shop.toml", "rates.toml"} & texts.keys() else "",
        PRICES if read or sizes != sizes_from(had[PRICES].content) else "",
        PLACES if "destinations.csv" in texts else "",
        PARTIES if "parties.csv" in texts else "",
    ]
    written: dict[str, int] = {}
    try:
        with call.desk.store.database.writing():
            for name in filter(None, wanted):
                # As the page showed it; a program that sends files alone takes what it finds, and nothing newer.
                revision = call.number(name) if call.text(name) else had[name].revision
                what = marked("rules", "taken from files")
                written[name] = papers.save(name, contents[name], based_on=revision, what=what).revision
    except Conflict as conflict:
        text = f"Nothing was taken: somebody else saved meanwhile ({said(conflict.current)}). Look, and choose again."
        return call.page("message.html", 409, title="Changed meanwhile", text=text)
    return call.json({"revisions": written}) if call.wants_json else call.go("/rules")


def _book(files: dict[str, bytes]) -> PriceBook | None:
    """Read the price book among some files."""
    name = next((each for each in ("prices.csv", "prices.xlsx") if each in files), None)
    return price_book_from(files[name], name) if name else None


def check(rulings: Rulings, sizes: Mapping[str, OwnSize], book: PriceBook, places: str, form: int) -> None:
    """Raise every reason why shop, prices and destinations do not stand together."""
    shop, rates = ruled(rulings.text(), form)
    places_from(places, rulings.text(), form)
    faults = list(book.missing(with_sizes(shop, sizes).goods, rates.labour.hours))
    if book.currency != rates.currency:
        told = f"{book.currency} in the prices, {rates.currency} in the rates"
        faults.append(Fault("", None, "currency", told, "one currency throughout"))
    if faults:
        raise FaultsFound(faults)


def size(call: Call[Desk]) -> Response:
    """Add a stock size to a sheet or stick good, with its price: one change of one paper, to be undone as one."""
    papers = call.desk.papers
    good = papers.shop.by_name.get(call.text("good"))
    stock = " ".join(call.text("stock", 60).split())
    if good is None or good.form not in ("sheet", "stick"):
        raise BadRequestError("good: a sheet or a stick of the shop", "good")
    if not stock or stock in papers.book.by_stock or call.desk.store.rack.state().uses(stock):
        raise BadRequestError("stock: a name of its own, such as ply-3/8 5x5, that nothing on the rack bears", "stock")
    sizes_of = {name: _length(call, name) for name in ("length", *(("width",) if good.form == "sheet" else ()))}
    own = OwnSize(good.good, sizes_of["length"], sizes_of.get("width", 0))
    try:
        row = Price(
            stock, good.good, good.form, in_cents(call.text("price", 40), papers.book.currency),
            supplier=call.text("supplier", 80), priced=call.desk.today(),
        )  # fmt: skip
    except ValueError as error:
        raise BadRequestError(f"price: {error}", "price") from None
    sizes = {**papers.sizes, stock: own}
    book = replace(papers.book, rows=(*papers.book.rows, row))
    check(papers.rulings, sizes, book, papers.document(PLACES).content, papers.form)
    return save_paper(call, PRICES, book_text(book, sizes), f"{stock} added", "/prices")


def _length(call: Call[Desk], name: str) -> int:
    """Return a length of more than zero."""
    try:
        length = parse_length(call.text(name), call.desk.papers.units)
    except MeasureError as error:
        raise BadRequestError(f"size: write {error.accepted}", name) from None
    if length <= 0:
        raise BadRequestError("size: more than zero each way", name)
    return length


ROUTES = (
    Route("/rules/files", endpoint(take), methods=["POST"]),
    Route("/prices/size", endpoint(size), methods=["POST"]),
)

"""The studio's own files taken over: shop, prices, rates, places and parties; and a stock size added to a good."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Final, TypeVar

from starlette.responses import Response
from starlette.routing import Route

from nesting.base.days import days_in
from nesting.base.faults import Fault, FaultsFound
from nesting.base.measure import MeasureError, UnitSystem, parse_length
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
    places_from,
    ruled,
    rulings_from,
    sizes_from,
    with_sizes,
)
from pricing.desk.typed import in_cents
from pricing.store import Conflict, Document
from pricing.studio.destinations import Destinations, destinations_csv, destinations_from
from pricing.studio.parties import Parties, parties_csv, parties_from
from pricing.studio.pricebook import Price, PriceBook
from pricing.studio.pricebook_file import price_book_from

T = TypeVar("T")
_TEXTS: Final = ("shop.toml", "rates.toml")
_TABLES: Final = tuple(
    f"{name}{ending}" for name in ("prices", "destinations", "parties") for ending in (".csv", ".xlsx")
)


@dataclass(frozen=True, slots=True)
class Taken:
    """What the studio's own files say, all of them read.

    Attributes
    ----------
    rulings : Rulings
        With shop and rates as they are then.
    sizes : mapping of str to OwnSize
        Stock sizes that stay added.
    book, places, parties : PriceBook, Destinations or Parties, or None
        None where no such file was sent.
    units : {"inch", "metric"}
        By which sizes the shop goes then.
    """

    rulings: Rulings
    sizes: Mapping[str, OwnSize]
    book: PriceBook | None
    places: Destinations | None
    parties: Parties | None
    units: UnitSystem

    @property
    def told(self) -> tuple[str, ...]:
        """What was odd about reading them."""
        tables = (self.book, self.places, self.parties)
        return tuple(said for table in tables if table is not None for said in table.warnings)


def take(call: Call[Desk]) -> Response:
    """Take files over, all or none, each told by its name, in place of what stood when they were chosen."""
    files = {name: data for name, data in call.files.values() if data}
    known = {name: data for name, data in files.items() if name in (*_TEXTS, *_TABLES)}
    if not known or len(known) < len(files):
        accepted = "shop.toml, rates.toml, and prices, destinations and parties as .csv or .xlsx"
        raise BadRequestError(f"choose files named {accepted}")
    papers = call.desk.papers
    had = {name: papers.document(name) for name in (RULES, PRICES, PLACES, PARTIES)}
    try:
        taken = _read(call, known, had)
        book = taken.book or book_from(had[PRICES].content, taken.units)
        places = had[PLACES].content if taken.places is None else destinations_csv(taken.places, taken.units)
        check(taken.rulings, taken.sizes, book, places, papers.form)
    except FaultsFound as error:
        # A form's own faults leave rows out; here each stands in a row of a file.
        raise BadRequestError("\n".join(fault.message for fault in error.faults)) from None
    contents = _contents(taken, known, book, had)
    written: dict[str, int] = {}
    try:
        with call.desk.store.database.writing():
            for name, text in contents.items():
                # As the page showed it; a program that sends files alone takes what it finds, and nothing newer.
                revision = call.number(name) if call.text(name) else had[name].revision
                what = marked("rules", "taken from files")
                written[name] = papers.save(name, text, based_on=revision, what=what).revision
    except Conflict as conflict:
        text = f"Nothing was taken: somebody else saved meanwhile ({said(conflict.current)}). Look, and choose again."
        return call.page("message.html", 409, title="Changed meanwhile", text=text)
    if call.wants_json:
        return call.json({"revisions": written, "told": taken.told})
    if taken.told:
        text = "\n".join(("Saved. This is how they were read:", *(f"– {line}" for line in taken.told)))
        return call.page("message.html", title="Taken over", text=text, leads=("/rules#files", "To the shop"))
    return call.go("/rules")


def _contents(taken: Taken, files: Mapping[str, bytes], book: PriceBook, had: Mapping[str, Document]) -> dict[str, str]:
    """Return what is written of what was read.

    Tables are written anew, so that no day and no amount hangs any more on how the file's country writes them.
    """
    contents: dict[str, str] = {}
    if not files.keys().isdisjoint(_TEXTS):
        contents[RULES] = taken.rulings.text()
    if taken.book or taken.sizes != sizes_from(had[PRICES].content):
        contents[PRICES] = book_text(book, taken.sizes)
    if taken.places is not None:
        contents[PLACES] = destinations_csv(taken.places, taken.units)
    if taken.parties is not None:
        contents[PARTIES] = parties_csv(taken.parties)
    return contents


def _texts(files: Mapping[str, bytes], faults: list[Fault]) -> dict[str, str]:
    """Return the texts among some files, noting what is none, and tables that were sent twice."""
    texts: dict[str, str] = {}
    for name in (each for each in _TEXTS if each in files):
        try:
            texts[name] = files[name].decode("utf-8-sig")
        except UnicodeDecodeError:
            faults.append(Fault(name, None, None, "bytes that are not UTF-8", "a TOML text in UTF-8"))
    faults += [
        Fault(f"{name}.csv", None, None, f"{name}.xlsx beside it", "one of the two")
        for name in ("prices", "destinations", "parties")
        if {f"{name}.csv", f"{name}.xlsx"} <= files.keys()
    ]
    return texts


def _ruled_by(texts: Mapping[str, str], had: Mapping[str, Document]) -> tuple[Rulings, Mapping[str, OwnSize]]:
    """Return what the studio rules, and the stock sizes that stay added, once its own texts are taken over."""
    rulings, sizes = rulings_from(had[RULES].content), sizes_from(had[PRICES].content)
    if "shop.toml" in texts:
        rulings = replace(rulings, shop_file=texts["shop.toml"], studio={}, thickness={}, sizes={})
        sizes = {}
    if "rates.toml" in texts:
        rulings = replace(rulings, rates_file=texts["rates.toml"])
    return (replace(rulings, rules={}) if texts else rulings), sizes


def _read(call: Call[Desk], files: Mapping[str, bytes], had: Mapping[str, Document]) -> Taken:
    """Read all files as the command reads those of a folder, or raise every fault of every file."""
    faults: list[Fault] = []
    rulings, sizes = _ruled_by(_texts(files, faults), had)
    # The other files are read by what this shop and these rates say; where they do not stand, by those of before.
    rates, days = call.desk.papers.rates, call.desk.days
    try:
        shop, rates = ruled(rulings.text(), call.desk.papers.form)
        days = days_in(shop.studio.country)
    except FaultsFound as error:
        faults += error.faults

    def attempt(name: str, read: Callable[[bytes, str], T]) -> T | None:
        file = next((each for each in (f"{name}.csv", f"{name}.xlsx") if each in files), "")
        try:
            return read(files[file], file) if file else None
        except FaultsFound as error:
            faults.extend(error.faults)
            return None

    book = attempt("prices", lambda data, file: price_book_from(data, file, days))
    places = attempt("destinations", lambda data, file: destinations_from(data, file, rates, days))
    parties = attempt("parties", lambda data, file: parties_from(data, file, days))
    if faults:
        raise FaultsFound(faults)
    return Taken(rulings, sizes, book, places, parties, shop.units)


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

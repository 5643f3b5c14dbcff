"""One job from files to files: read an order and the studio's files, build, price, write what comes out."""

import os
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from nesting.base.days import DayOrder, days_in
from nesting.base.faults import Fault, FaultsFound
from nesting.base.measure import UnitSystem
from nesting.base.progress import Progress, silent
from nesting.base.search import USUAL, Search
from nesting.base.stop import Stop
from nesting.base.whole_files import replace_files
from nesting.build import Build
from nesting.intake import read_order
from nesting.order import Order
from pricing.output.handover import build_text
from pricing.quoting.quote import Quote
from pricing.quoting.work import build_order, remembering, work
from pricing.studio.office import Office, office_texts, read_office

if TYPE_CHECKING:
    from nesting.drawings.packet.paper import PaperName
    from pricing.ahead.cheaper import Cheaper
    from pricing.output.offer.content import Kind as OfferKind


@dataclass(frozen=True, slots=True)
class Request:
    """An order as files, and how to work it: what every command is asked.

    Attributes
    ----------
    order_file : Path
        CSV, XLSX or TOML.
    on : date
        Day of the quote, and from which is planned.
    shop_folder : Path or None
        The studio's files; None takes the built-in ones.
    units : {"inch", "metric"} or None
        Of bare numbers; None leaves it to the order.
    search : Search
        How cutting plans are searched; who is told how far all of the work is, and who may end it.
    """

    order_file: Path
    on: date
    shop_folder: Path | None = None
    units: UnitSystem | None = None
    search: Search = USUAL

    def watched(self, progress: Progress, stop: Stop | None = None) -> "Request":
        """Return the same request, told to somebody, who may end its searches where there is a stop."""
        return replace(self, search=replace(self.search, progress=progress, stop=stop))

    def read(self, out: Path | None = None) -> tuple[Order, Office]:
        """Read the order and the studio's files; see :func:`read_both`."""
        return read_both(self.order_file, self.shop_folder, self.units, out)

    def priced(self, out: Path | None = None, *, number: str = "") -> tuple[Quote, Office]:
        """Read, build and price; the folder to write to, where one is given, is looked at first."""
        order, office = self.read(out)
        return work(order, office, on=self.on, search=self.search, number=number), office


@dataclass(frozen=True, slots=True)
class Extras:
    """What is written beside the workbook and ``build.json``.

    Attributes
    ----------
    packet : bool
        ``packet.pdf``, to print.
    paper : {"letter", "a4", ""}
        Of the packet; empty goes by the order's units.
    tables : bool
        ``tables/*.csv``.
    document : bool
        ``quote.json``, for programs.
    each : bool
        In the workbook, what each line adds to the total: built and priced once more without it.
    methods : bool
        In the workbook, every piece by every method, and the cheapest combination.
    cheaper : bool
        In the workbook, the single change that would save most; it takes a few more quotes.
    offer : {"packing", "sale", ""}
        ``offer.pdf`` and ``offer.xlsx`` for the client: of packing and shipping, or of the works with it.
    papers : bool
        ``papers/*.pdf``, what goes with each consignment.
    """

    packet: bool = False
    paper: "PaperName | Literal['']" = ""
    tables: bool = False
    document: bool = False
    each: bool = False
    methods: bool = False
    cheaper: bool = False
    offer: "OfferKind | Literal['']" = ""
    papers: bool = False


@dataclass(frozen=True, slots=True)
class Done:
    """What was quoted and written.

    Attributes
    ----------
    quote : Quote
        The priced build; the build is ``quote.build``.
    files : tuple of str
        Names of the files written.
    cheaper : Cheaper or None
        The cheaper way, where it was asked for and there is one.
    """

    quote: Quote
    files: tuple[str, ...]
    cheaper: "Cheaper | None" = None


def read_both(
    order_file: Path, folder: Path | None, units: UnitSystem | None, out: Path | None = None
) -> tuple[Order, Office]:
    """Read an order and the studio's files, telling the faults of all of them together, and of the folder to write to.

    Raises
    ------
    FaultsFound
        Every fault.
    """
    faults: list[Fault] = []
    office = Office()
    days: DayOrder | None = "month first"  # where the studio's files are refused any way will do
    try:
        office = read_office(folder, order_file.parent)
        days = days_in(office.shop.studio.country)
    except FaultsFound as error:
        faults.extend(error.faults)
    try:
        order = read_order(order_file, units=units, otherwise=office.shop.units, days=days)
    except FaultsFound as error:
        faults = [*error.faults, *faults]
    if out is not None:
        faults.extend(folder_faults(out))
    if faults:
        raise FaultsFound(faults)
    return order, office


def folder_faults(out: Path) -> list[Fault]:
    """Return why nothing can be written into a folder that is there or is to be made, before any work is spent."""
    there = next(place for place in (out, *out.absolute().parents) if place.exists() or place.is_symlink())
    if not there.is_dir():
        return [Fault(str(there), None, None, "a file", "a folder, or the name of a new one")]
    if not os.access(there, os.W_OK | os.X_OK):
        return [Fault(str(there), None, None, "a folder that is not yours to write to", "one that is")]
    return []


def run_quote(request: Request, out: Path, extras: Extras, *, number: str = "") -> Done:
    """Read, build, price and write ``quote.xlsx``, ``build.json`` and what else is asked for.

    Nothing is written before all of it is made.
    """
    request = replace(request, search=remembering(request.search))  # what is priced beside it is laid out much alike
    order, office = request.read(out)
    pictures: dict[str, bytes] = {}
    if extras.offer or extras.papers:
        from pricing.output.offer.pictures import offer_pictures

        pictures = offer_pictures(order, request.order_file.parent, office.shop.studio, request.shop_folder)
    made = work(order, office, on=request.on, search=request.search, number=number)
    return write_quote(made, out, extras, request.search, pictures)


def write_quote(
    made: Quote, out: Path, extras: Extras, search: Search, pictures: Mapping[str, bytes] | None = None
) -> Done:
    """Write ``quote.xlsx``, ``build.json`` and what else is asked for; ``pictures`` are for offer and papers."""
    contents, way = all_contents(made, extras, search, pictures)
    return Done(made, _write(out, contents, search.stop), way)


def all_contents(
    made: Quote, extras: Extras, search: Search, pictures: Mapping[str, bytes] | None = None
) -> tuple[dict[str, bytes], "Cheaper | None"]:
    """Return every file that a quote writes by name, and the cheaper way where it was asked for and there is one."""
    pages = _more_pages(made, extras, replace(search, seed=made.build.seed, effort=made.build.effort))
    contents = quote_contents(made, extras, search.progress, pages)
    if extras.offer:
        from pricing.output.offer.files import offer_contents

        contents |= offer_contents(made, extras.offer, pictures or {}, extras.paper)
    if extras.papers:
        from pricing.output.papers.files import papers_contents

        search.progress("papers", 0.5)
        papers = papers_contents(made, pictures, extras.paper)
        contents |= {f"papers/{name}": content for name, content in papers.items()}
    return contents, pages.get("cheaper")


def _more_pages(made: Quote, extras: Extras, search: Search) -> dict[str, Any]:
    """Reckon what the workbook shows only when asked, since it takes many more builds."""
    from pricing.ahead.methods import Pricer, combine
    from pricing.quoting.marginal import marginal_prices

    build, office = made.build, made.office
    pages: dict[str, Any] = {}
    if extras.cheaper:
        from pricing.ahead.cheaper import cheaper

        search.progress("cheaper ways", 0.5)
        pages["cheaper"] = cheaper(made, search)
    if extras.each:
        whole = replace(search, progress=silent, memory={} if search.memory is None else search.memory)

        def quoted(order: Order) -> Quote:
            search.progress("what each piece adds", 0.5)
            return work(order, office, on=made.on, search=whole, sawn=made.sawn)

        pages["marginals"] = marginal_prices(made, quoted)
    if extras.methods:
        search.progress("methods compared", 0.5)
        pages["methods"] = combine(Pricer(build.order, office, made.on, replace(search, effort="quick")))
    return pages


def quote_contents(
    made: Quote, extras: Extras, progress: Progress = silent, pages: Mapping[str, Any] | None = None
) -> dict[str, bytes]:
    """Return every file of a quote by name; ``pages`` hands the workbook what else it shows."""
    from pricing.ahead.calendar.dates import plan_dates
    from pricing.output.tables import csv_files, quote_json
    from pricing.output.workbook import workbook_bytes

    progress("workbook", 0.0)
    contents = {
        "quote.xlsx": workbook_bytes(made, plan=plan_dates(made), **(pages or {})),
        "build.json": build_text(made.build, made.currency).encode(),
    }
    if extras.document:
        contents["quote.json"] = quote_json(made).encode()
    if extras.tables:
        contents |= {f"tables/{name}": text.encode() for name, text in csv_files(made).items()}
    if extras.packet:
        from pricing.output.paperwork import packet_of

        contents["packet.pdf"] = packet_of(made, extras.paper, progress)
    return contents


def run_packet(
    request: Request,
    out: Path,
    paper: "PaperName | Literal['']" = "",
    *,
    number: str = "",
    sections: tuple[str, ...] = (),
) -> tuple[Build, tuple[str, ...]]:
    """Read, build, price and write the shop packet alone, or some of its sections; see :func:`run_quote`."""
    from pricing.output.paperwork import packet_of

    made, _ = request.priced(out, number=number)
    papers = {"packet.pdf": packet_of(made, paper, request.search.progress, sections=sections)}
    return made.build, _write(out, papers, request.search.stop)


def run_drawings(request: Request, out: Path) -> tuple[Build, tuple[str, ...]]:
    """Read, build and write every drawing as a file of its own; see :func:`run_quote`."""
    from nesting.drawings.drawing_files import drawing_contents

    order, office = request.read(out)
    made = build_order(order, office, search=request.search)
    request.search.progress("drawings", 0.5)
    return made, _write(out, drawing_contents(made), request.search.stop)


def _write(out: Path, contents: dict[str, bytes], stop: Stop | None) -> tuple[str, ...]:
    """Replace the files, all of them or none."""
    if stop is not None:
        stop.closed = True
    replace_files(out, contents)
    return tuple(contents)


def start_folder(folder: Path, sizes: UnitSystem = "inch") -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Write the studio's files into a folder; return the names written, and those kept as they were."""
    if faults := folder_faults(folder):
        raise FaultsFound(faults)
    texts = office_texts(sizes)
    kept = tuple(name for name in texts if (folder / name).exists())
    new = {name: text.encode() for name, text in texts.items() if name not in kept}
    replace_files(folder, new)
    return tuple(new), kept

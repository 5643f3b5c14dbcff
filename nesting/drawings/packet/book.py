"""Making the packet: all pages in order, as one PDF."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from itertools import groupby

from nesting.base.progress import Progress, silent
from nesting.build import Build
from nesting.crates.model import Crate
from nesting.drawings.packet.calendar import write_calendar
from nesting.drawings.packet.cover import Begun, cover_pages
from nesting.drawings.packet.crates import alike, crate_pages
from nesting.drawings.packet.existing import write_existing
from nesting.drawings.packet.figures import write_figures
from nesting.drawings.packet.labels import label_pages
from nesting.drawings.packet.names import SECTION_NAMES, chosen
from nesting.drawings.packet.opening import opening_pages
from nesting.drawings.packet.packing import packing_pages
from nesting.drawings.packet.page import Draft, Flow, evenly
from nesting.drawings.packet.paper import PaperName
from nesting.drawings.packet.papers import paper_pages
from nesting.drawings.packet.printing import BuyingLine, Days, Printing, TravelPapers, paper_named
from nesting.drawings.packet.sheets import drawn_goods, write_sheets
from nesting.drawings.packet.sticks import write_sticks
from nesting.drawings.packet.yard import write_yard
from nesting.drawings.scene import Bookmark, Scene

_DRAWING = 0.5
"""Part of the time that laying out the pages takes; writing them takes the rest."""


@dataclass
class Book:
    """The packet while its pages are made.

    Attributes
    ----------
    drafts : list of Draft
        Its pages so far, without the cover.
    open : Flow or None
        The flow of the last pages, where another section may go on in it.
    """

    printing: Printing
    drafts: list[Draft] = field(default_factory=list)
    open: Flow | None = None

    def add(self, drafts: Iterable[Draft], mark: str = "") -> None:
        """Add pages, the first of them with a bookmark below that of its section."""
        for index, draft in enumerate(drafts):
            if mark and index == 0:
                draft.bookmarks.append(Bookmark(1, mark))
            self.drafts.append(draft)


def _wall(book: Book) -> Draft | None:
    days = book.printing.days
    if days is None or not days.bars or not book.printing.build.crates:
        return None
    flow = Flow(book.printing.paper, "Calendar", "Calendar")
    write_calendar(flow, book.printing)
    book.open = flow
    book.add(flow.pages)
    return flow.pages[0]


def _yard(book: Book) -> Draft | None:
    """Write the yard's part: under the calendar where it fits, to be cut off and taken along."""
    printing, flow = book.printing, book.open

    def block(on: Flow) -> None:
        write_yard(on, printing)

    if not printing.build.crates:
        return None  # every crate is held: nobody goes to the yard
    if flow is None:
        drafts = evenly(lambda lower: _written(Flow(printing.paper, "Yard", "To buy", lower=lower), block))
        book.add(drafts)
        return drafts[0]
    before = len(flow.pages)
    begun = flow.part("To buy", block, section="Yard")
    if begun is flow.pages[before - 1]:
        begun.section = f"{begun.section}, yard"
    book.add(flow.pages[before:])
    return begun


def _written(flow: Flow, block: Callable[[Flow], None]) -> Flow:
    block(flow)
    return flow


def _saw(book: Book) -> Draft | None:
    printing = book.printing
    build = printing.build
    if not (build.layouts or build.stick_plans or build.used or build.left_over):
        return None

    drawn = drawn_goods(Flow(printing.paper, "Saw", "At the saw"), printing)

    def make(lower: float) -> Flow:
        flow = Flow(printing.paper, "Saw", "At the saw", lower=lower)
        write_existing(flow, printing)
        write_sheets(flow, printing, drawn)
        write_sticks(flow, printing)
        return flow

    return _added(book, evenly(make))


def _added(book: Book, drafts: list[Draft]) -> Draft | None:
    book.add(drafts)
    return drafts[0] if drafts else None


def _labels(book: Book) -> Draft | None:
    return _added(book, list(label_pages(book.printing)))


def _by_crate(book: Book, pages: Iterator[tuple[Sequence[Crate], list[Draft]]]) -> Draft | None:
    before = len(book.drafts)
    for crates, drafts in pages:
        book.add(drafts, mark=", ".join(crate.crate for crate in crates))
    return book.drafts[before] if len(book.drafts) > before else None


def _bench(book: Book) -> Draft | None:
    groups = alike(book.printing.build.crates)
    return _by_crate(book, ((group, list(crate_pages(book.printing, group[0], group[1:]))) for group in groups))


def _packing(book: Book) -> Draft | None:
    drafts = list(packing_pages(book.printing))
    for section, pages in groupby(drafts, key=lambda draft: draft.section):
        book.add(pages, mark=section.removeprefix("Packing "))
    return drafts[0] if drafts else None


def _opening(book: Book) -> Draft | None:
    return _by_crate(book, opening_pages(book.printing))


def _truck(book: Book) -> Draft | None:
    return _added(book, list(paper_pages(book.printing)))


def _figures(book: Book) -> Draft | None:
    printing = book.printing
    if not any(crate.checks for crate in printing.build.crates):
        return None
    block: Callable[[Flow], None] = lambda on: write_figures(on, printing)  # noqa: E731  # one line says it
    title = "What the figures are reckoned by"
    return _added(book, evenly(lambda lower: _written(Flow(printing.paper, "Figures", title, lower=lower), block)))


@dataclass(frozen=True, slots=True)
class Section:
    """A section of the packet.

    Attributes
    ----------
    name : str
        By which it is asked for; its title belongs to it.
    where : str
        Who takes it where.
    make : callable
        Adds its pages to a book and returns the page on which it begins; None where there is nothing to print.
    """

    name: str
    where: str
    make: Callable[[Book], Draft | None]

    @property
    def title(self) -> str:
        """Its name on the cover and among the bookmarks."""
        return SECTION_NAMES[self.name]


SECTIONS: tuple[Section, ...] = (
    Section("wall", "the wall: what is done on which days", _wall),
    Section("yard", "the supplier: what to buy, and what it weighs", _yard),
    Section("saw", "the saw: sheets and lumber, setting by setting", _saw),
    Section("labels", "the saw: stick one on each part as it comes off", _labels),
    Section("bench", "the bench: parts, faces, steps", _bench),
    Section("packing", "the packing table", _packing),
    Section("opening", "inside each crate, on top", _opening),
    Section("truck", "the truck: consignment list, condition reports", _truck),
    Section("figures", "whoever asks what the figures of a crate are reckoned by", _figures),
)
"""The packet's sections in order; the cover stands before them."""


def packet_scenes(printing: Printing, progress: Progress = silent, sections: Iterable[str] = ()) -> list[Scene]:
    """Return the pages of the sections named as scenes, all pages where none is."""
    wanted = chosen(sections)
    book = Book(printing)
    begun: list[tuple[Section, Draft]] = []
    for index, section in enumerate(SECTIONS):
        if section.name not in wanted:
            continue
        progress("drawing pages", _DRAWING * index / len(SECTIONS), section.title.lower())
        first = section.make(book)
        if first is not None:
            first.bookmarks.insert(sum(mark.level == 0 for mark in first.bookmarks), Bookmark(0, section.title))
            begun.append((section, first))
        if section.name != "wall":
            book.open = None
    drafts = book.drafts
    if "cover" in wanted:
        place = {id(draft): number for number, draft in enumerate(drafts, start=1)}
        told = [Begun(section.title, section.where, place[id(first)]) for section, first in begun]
        cover = cover_pages(printing, told)
        cover[0].bookmarks.append(Bookmark(0, "Cover"))
        drafts = [*cover, *drafts]
    return [draft.scene(number, len(drafts), printing.name) for number, draft in enumerate(drafts, start=1)]


# arguments: what the front office knows is handed in piece by piece, by keyword
def packet_bytes(
    build: Build,
    *,
    paper: PaperName = "letter",
    buying: tuple[BuyingLine, ...] | None = None,
    papers: tuple[TravelPapers, ...] | None = None,
    days: Days | None = None,
    incomplete: tuple[str, ...] = (),
    sections: Iterable[str] = (),
    on: date | None = None,
    progress: Progress = silent,
) -> bytes:
    """Return the shop packet of a build as one PDF.

    Parameters
    ----------
    build : Build
        What is made.
    paper : {"letter", "a4"}
        Of every page; figures are in the order's own units, labels on the shop's own label paper.
    buying : tuple of BuyingLine, optional
        The buying list by supplier; made from the build, without suppliers, when not given.
    papers : tuple of TravelPapers, optional
        What is known for the papers that travel, a set for each destination; made from the order, with lines to write
        on, when not given.
    days : Days, optional
        The calendar; no page of it when not given.
    incomplete : tuple of str
        What the quote lacks, in words for the cover.
    sections : iterable of str
        Which of the sections' names (:mod:`~nesting.drawings.packet.names`) are printed; all when none is named.
    on : date, optional
        Day of making that the file bears; no clock is read.
    progress : Progress
        Told about pages.

    Raises
    ------
    ValueError
        For a paper or a section that is not known.
    """
    from nesting.drawings.pdf import to_pdf  # loaded here: it takes a quarter of a second

    printing = Printing(build, paper_named(paper), build.order.units, buying, papers, days=days, incomplete=incomplete)
    scenes = packet_scenes(printing, progress, sections)

    def written(stage: str, fraction: float, note: str = "", *_: object) -> None:
        progress(stage, _DRAWING + (1 - _DRAWING) * fraction, note)

    return to_pdf(scenes, title=f"Shop packet: {printing.name}", on=on, count=len(scenes), progress=written)

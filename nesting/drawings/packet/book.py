"""Making the packet: all pages in order, as one PDF."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from nesting.base.progress import Progress, silent
from nesting.build import Build
from nesting.crates.model import Crate
from nesting.drawings.packet.calendar import write_calendar
from nesting.drawings.packet.cover import Begun, cover_title, write_cover, write_held
from nesting.drawings.packet.crates import alike, crate_pages
from nesting.drawings.packet.existing import write_existing
from nesting.drawings.packet.figures import write_figures
from nesting.drawings.packet.labels import label_pages
from nesting.drawings.packet.names import SECTION_NAMES, chosen
from nesting.drawings.packet.opening import opening_pages
from nesting.drawings.packet.packing import packing_pages, packing_parts
from nesting.drawings.packet.page import Draft, Flow, evenly
from nesting.drawings.packet.paper import PaperName
from nesting.drawings.packet.papers import paper_pages
from nesting.drawings.packet.printing import BuyingLine, Days, Printing, TravelPapers, paper_named
from nesting.drawings.packet.sheets import drawn_goods, write_sheets
from nesting.drawings.packet.sticks import write_sticks
from nesting.drawings.packet.yard import write_yard
from nesting.drawings.scene import Bookmark, Scene

_LEAST = 110.0
"""Height that is left of a page from which another section begins on it, in points."""
_SHARED = 0.85
"""A page filled less than this may be shared with the saw's part."""
_DRAWING = 0.5
"""Part of the time that laying out the pages takes; writing them takes the rest."""


@dataclass
class Book:
    """The packet while its pages are made.

    Attributes
    ----------
    drafts : list of Draft
        Its pages so far, without those that the front takes.
    wanted : frozenset of str
        Names of the sections that are printed.
    """

    printing: Printing
    wanted: frozenset[str] = frozenset(SECTION_NAMES)
    drafts: list[Draft] = field(default_factory=list)

    def add(self, drafts: Iterable[Draft], mark: str = "") -> None:
        """Add pages, the first of them with a bookmark below that of its section."""
        for index, draft in enumerate(drafts):
            if mark and index == 0:
                draft.bookmarks.append(Bookmark(1, mark))
            self.drafts.append(draft)


@dataclass(frozen=True)
class _Part:
    """A section of the front: what stands in its pages' foot, its title, what writes it, and where it may begin."""

    name: str
    section: str
    title: str
    write: Callable[[Flow], None]


def _front(parts: Sequence[_Part], printing: Printing) -> list[Draft]:
    """Write sections one below the other, each on the page of the last where it may begin there."""

    def make(lower: float) -> Flow:
        first, *others = parts
        flow = Flow(printing.paper, first.section, first.title, lower=lower)
        flow.page.begins.append(first.name)
        first.write(flow)
        for part in others:
            _below(flow, part)
        return flow

    return evenly(make) if parts else []


def _below(flow: Flow, part: _Part, warning: str = "") -> Draft:
    """Write a section on the last page of another one where it may begin there, else on a new page; return that."""
    above = flow.page
    page = flow.part(part.title, part.write, section=part.section, warning=warning, least=_LEAST)
    page.begins.append(part.name)
    if page is above:
        page.section = f"{page.section}, {part.section[:1].lower()}{part.section[1:]}"
    return page


def _begun(drafts: Iterable[Draft]) -> dict[str, Draft]:
    """Return on which page each of the sections begins that may share pages, by name."""
    return {name: draft for draft in drafts for name in draft.begins}


def _held_part(printing: Printing) -> _Part:
    """Return what opens a packet without its cover where something is left out of it."""
    return _Part("held", "Left out", cover_title(printing), lambda flow: write_held(flow, printing))


def _front_parts(printing: Printing, told: Sequence[Begun]) -> Iterator[_Part]:
    build, days = printing.build, printing.days
    yield _Part("cover", "Shop packet", cover_title(printing), lambda flow: write_cover(flow, printing, told))
    if days is not None and days.bars and build.crates:
        yield _Part("wall", "Calendar", "Calendar", lambda flow: write_calendar(flow, printing))
    if build.crates:  # else every crate is held: nobody goes to the yard
        yield _Part("yard", "Yard", "To buy", lambda flow: write_yard(flow, printing))


def _saw(printing: Printing) -> _Part | None:
    """Return what writes the saw's part; its drawings are made once for all trials."""
    build = printing.build
    if not (build.layouts or build.stick_plans or build.used or build.left_over):
        return None
    drawn = drawn_goods(Flow(printing.paper, "Saw", "At the saw"), printing)

    def write(flow: Flow) -> None:
        write_existing(flow, printing)
        write_sheets(flow, printing, drawn)
        write_sticks(flow, printing)

    return _Part("saw", "Saw", "At the saw", write)


def _fronts(printing: Printing, parts: Sequence[_Part], saw: _Part | None) -> list[Draft]:
    """Return the front and the saw's part after it: on one page where that spares a page."""
    front, apart = _front(parts, printing), _front([saw] if saw else [], printing)
    if front and saw and front[-1].filled < _SHARED:
        together = _front([*parts, saw], printing)
        if len(together) < len(front) + len(apart):
            return together
    return [*front, *apart]


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
    after = _packing_below(book) if len(groups) == 1 else None
    return _by_crate(book, ((group, list(crate_pages(book.printing, group[0], group[1:], after))) for group in groups))


def _packing_below(book: Book) -> Callable[[Flow], None] | None:
    """Return what writes the packing part below the bench's: where all that is made is packed by one page."""
    parts = packing_parts(book.printing)
    if len(parts) != 1 or "packing" not in book.wanted:
        return None
    (part,) = parts

    def after(flow: Flow) -> None:
        begun = _below(flow, _Part("packing", part.section, part.title, part.write), part.warning)
        begun.bookmarks.append(Bookmark(1, part.names))
        if "figures" in book.wanted and _reckoned(book.printing):
            _below(flow, _figures_part(book.printing))

    return after


def _packing(book: Book) -> Draft | None:
    """Write the packing pages, unless what is packed stands below how it is made already."""
    below = _begun(book.drafts).get("packing")
    return below if below is not None else _added(book, packing_pages(book.printing))


def _opening(book: Book) -> Draft | None:
    return _by_crate(book, opening_pages(book.printing))


def _truck(book: Book) -> Draft | None:
    printing = book.printing

    def after(flow: Flow) -> None:
        _below(flow, _figures_part(printing))

    figures = "figures" in book.wanted and _reckoned(printing) and "figures" not in _begun(book.drafts)
    return _added(book, list(paper_pages(printing, after if figures else None)))


def _reckoned(printing: Printing) -> bool:
    return any(crate.checks for crate in printing.build.crates)


def _figures_part(printing: Printing) -> _Part:
    return _Part("figures", "Figures", "What the figures are reckoned by", lambda flow: write_figures(flow, printing))


def _figures(book: Book) -> Draft | None:
    """Write what the figures are reckoned by, unless it stands below the papers already."""
    printing, below = book.printing, _begun(book.drafts).get("figures")
    if below is not None or not _reckoned(printing):
        return below
    return _added(book, _front([_figures_part(printing)], printing))


@dataclass(frozen=True, slots=True)
class Section:
    """A section of the packet.

    Attributes
    ----------
    name : str
        By which it is asked for; its title belongs to it.
    where : str
        Who takes it where.
    make : callable or None
        Adds its pages to a book and returns the page on which it begins, None where there is nothing to print. None
        for the sections of the front, which share pages.
    """

    name: str
    where: str
    make: Callable[[Book], Draft | None] | None = None

    @property
    def title(self) -> str:
        """Its name on the cover and among the bookmarks."""
        return SECTION_NAMES[self.name]


SECTIONS: tuple[Section, ...] = (
    Section("wall", "the wall: what is done when"),
    Section("yard", "the supplier: what to buy"),
    Section("saw", "the saw, setting by setting"),
    Section("labels", "the saw: one on each part", _labels),
    Section("bench", "the bench: parts, faces, steps", _bench),
    Section("packing", "the packing table", _packing),
    Section("opening", "inside each crate, on top", _opening),
    Section("truck", "the truck: list, condition reports", _truck),
    Section("figures", "whoever asks how it was reckoned", _figures),
)
"""The packet's sections in order; the cover stands before them."""


def packet_scenes(printing: Printing, progress: Progress = silent, sections: Iterable[str] = ()) -> list[Scene]:
    """Return the pages of the sections named as scenes, all pages where none is."""
    wanted = chosen(sections)
    book = Book(printing, wanted)
    begun: dict[str, Draft] = {}
    for index, section in enumerate(SECTIONS):
        if section.name in wanted and section.make is not None:
            progress("drawing pages", _DRAWING * index / len(SECTIONS), section.title.lower())
            first = section.make(book)
            if first is not None:
                begun[section.name] = first
    saw = _saw(printing) if "saw" in wanted else None
    drafts: list[Draft] = []
    told: list[Begun] = [Begun(each.title, each.where, 0) for each in SECTIONS if _stands(each, printing, begun, saw)]
    # The cover tells on which pages sections begin; no figure of a page changes how long the cover is.
    for _ in range(2):
        parts = [part for part in _front_parts(printing, told) if part.name in wanted]
        if "cover" not in wanted and (printing.build.is_lacking or printing.incomplete):
            parts.insert(0, _held_part(printing))
        front = _fronts(printing, parts, saw)
        drafts = [*front, *book.drafts]
        first_of = {**begun, **_begun(front)}
        place = {id(draft): number for number, draft in enumerate(drafts, start=1)}
        told = [
            Begun(each.title, each.where, place[id(first_of[each.name])]) for each in SECTIONS if each.name in first_of
        ]
    for title, draft in reversed([(SECTION_NAMES[name], first_of[name]) for name in SECTION_NAMES if name in first_of]):
        draft.bookmarks.insert(0, Bookmark(0, title))
    return [draft.scene(number, len(drafts), printing.name) for number, draft in enumerate(drafts, start=1)]


def _stands(section: Section, printing: Printing, begun: Mapping[str, Draft], saw: _Part | None) -> bool:
    """Whether a section has pages, before those of the front are made."""
    if section.name == "saw":
        return saw is not None
    return section.name in begun or section.name in {part.name for part in _front_parts(printing, ())}


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

    printing = Printing(build, paper_named(paper), build.units, buying, papers, days=days, incomplete=incomplete)
    scenes = [scene.written(build.writing) for scene in packet_scenes(printing, progress, sections)]

    def told(stage: str, fraction: float, note: str = "", *_: object) -> None:
        progress(stage, _DRAWING + (1 - _DRAWING) * fraction, note)

    return to_pdf(scenes, title=f"Shop packet: {printing.name}", on=on, count=len(scenes), progress=told)

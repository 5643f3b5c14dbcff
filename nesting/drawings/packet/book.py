"""Making the packet: all pages in order, as one PDF."""

from collections.abc import Callable, Iterable

from nesting.base.progress import Progress, silent
from nesting.build import Build
from nesting.drawings.packet.calendar import calendar_pages
from nesting.drawings.packet.cover import cover_pages
from nesting.drawings.packet.crates import alike, crate_pages
from nesting.drawings.packet.existing import existing_pages
from nesting.drawings.packet.labels import label_pages
from nesting.drawings.packet.opening import opening_pages
from nesting.drawings.packet.packing import packing_pages
from nesting.drawings.packet.page import Draft
from nesting.drawings.packet.paper import PaperName
from nesting.drawings.packet.papers import paper_pages
from nesting.drawings.packet.printing import BuyingLine, Days, Printing, TravelPapers, paper_named
from nesting.drawings.packet.sheets import reading_pages, sheet_pages
from nesting.drawings.packet.sticks import stick_pages
from nesting.drawings.packet.yard import yard_pages
from nesting.drawings.scene import Scene

_DRAWING = 0.5
"""Part of the time that laying out the pages takes; writing them takes the rest."""


def _sheets(printing: Printing) -> Iterable[Draft]:
    if printing.build.layouts:
        yield from reading_pages(printing)
        yield from sheet_pages(printing)


def _crates(printing: Printing) -> Iterable[Draft]:
    for first, *others in alike(printing.build.crates):
        yield from crate_pages(printing, first, others)


PARTS: tuple[tuple[str, str, Callable[[Printing], Iterable[Draft]]], ...] = (
    ("Calendar", "the wall: what is done on which days", calendar_pages),
    ("Yard", "the supplier: what to buy, and what it weighs", yard_pages),
    ("Cut already", "the saw: parts that exist and are not cut again", existing_pages),
    ("Sheets", "the saw: each layout with its cuts", _sheets),
    ("Sticks", "the chop saw: each length with its marks", stick_pages),
    ("Labels", "the saw: stick one on each part as it comes off", label_pages),
    ("Crates", "the bench: parts, steps, drill map, check", _crates),
    ("Packing", "the packing table", packing_pages),
    ("Opening and return", "inside each case, on top", opening_pages),
    ("Papers", "the truck: consignment list, condition reports", paper_pages),
)
"""The packet's parts in order: name, where it is taken, and what makes its pages."""


def packet_scenes(printing: Printing, progress: Progress = silent) -> list[Scene]:
    """Return every page of the packet as a scene."""
    drafts: list[Draft] = []
    sections = []
    for index, (name, where, make) in enumerate(PARTS):
        first = len(drafts) + 1
        for draft in make(printing):
            drafts.append(draft)
            if len(drafts) % 8 == 0:
                progress("drawing pages", _DRAWING * index / len(PARTS), name.lower())
        if len(drafts) >= first:
            sections.append((name, where, first))
    drafts = [*cover_pages(printing, sections), *drafts]
    return [draft.scene(number, len(drafts), printing.name) for number, draft in enumerate(drafts, start=1)]


def packet_bytes(
    build: Build,
    *,
    paper: PaperName = "letter",
    buying: tuple[BuyingLine, ...] | None = None,
    papers: tuple[TravelPapers, ...] | None = None,
    days: Days | None = None,
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
    progress : Progress
        Told about pages.

    Raises
    ------
    ValueError
        For a paper that is not known.
    """
    from nesting.drawings.pdf import to_pdf  # loaded here: it takes a quarter of a second

    printing = Printing(build, paper_named(paper), build.order.units, buying, papers, days=days)
    scenes = packet_scenes(printing, progress)

    def written(stage: str, fraction: float, note: str = "", *_: object) -> None:
        progress(stage, _DRAWING + (1 - _DRAWING) * fraction, note)

    return to_pdf(scenes, title=f"Shop packet: {printing.name}", count=len(scenes), progress=written)

"""The files of the papers of an order: one set for each destination, each paper a file of its own.

A broker is sent the invoice and the packing list, a carrier the packing list alone: they can't be pages of one file.
Each file's name says what it is and where it goes, since it is attached to a message without its folder.
"""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final, Literal

from nesting.drawings.packet.paper import PaperName
from pricing.output.offer.files import paper_of, plain
from pricing.output.papers.condition import CONDITION
from pricing.output.papers.consignment import Consignment, consignments
from pricing.output.papers.pages import GENERAL_LIST, INVOICE, PACKING_LIST
from pricing.output.papers.paper import Look, Paper
from pricing.output.papers.schedule_pages import SCHEDULE
from pricing.quoting.quote import Quote

PAPERS: Final[tuple[Paper, ...]] = (INVOICE, PACKING_LIST, GENERAL_LIST, SCHEDULE, CONDITION)
"""Every kind of paper, in the order in which they are read."""


@dataclass(frozen=True, slots=True)
class Batch:
    """All papers of a kind for one consignment.

    Attributes
    ----------
    consignment : Consignment
        What they go with.
    kind : Paper
        What they are.
    names : tuple of str
        Of their files, such as ``packing-list-harbour-gallery.pdf``.
    """

    consignment: Consignment
    kind: Paper
    names: tuple[str, ...]

    @property
    def lacks(self) -> tuple[str, ...]:
        """What they lack and leave as lines to write on, each once."""
        return tuple(dict.fromkeys(self.kind.missing(self.consignment)))

    def contents(self, look: Look) -> dict[str, bytes]:
        """Make them."""
        return dict(zip(self.names, self.kind.make(self.consignment, look), strict=True))


def batches(quote: Quote) -> tuple[Batch, ...]:
    """Return which papers an order needs, destination by destination, without making them."""
    return tuple(
        Batch(each, kind, tuple(f"{kind.name}{ending}{f'_{n}' if n else ''}.pdf" for n in _numbers(kind.count(each))))
        for each, ending in _named(quote)
        for kind in PAPERS
        if kind.wanted(each)
    )


def papers_contents(
    quote: Quote, pictures: Mapping[str, bytes] | None = None, paper: PaperName | Literal[""] = ""
) -> dict[str, bytes]:
    """Return every paper of an order by name."""
    look = Look(paper or paper_of(quote), pictures or {}, quote.build.writing)
    return {name: content for batch in batches(quote) for name, content in batch.contents(look).items()}


def contents_beside(quote: Quote, name: str, pictures: Mapping[str, bytes]) -> dict[str, bytes]:
    """Return a paper of an order and those that are made with it, by name."""
    batch = next(each for each in batches(quote) if name in each.names)
    return batch.contents(Look(paper_of(quote), pictures, quote.build.writing))


def _numbers(count: int) -> tuple[int, ...]:
    """Return numbers that tell several files apart, after a sign that no place's name has there; 0 for one alone."""
    return (0,) if count == 1 else tuple(range(1, count + 1))


def left_over(folder: Path, names: Collection[str]) -> tuple[str, ...]:
    """Return the papers below a folder that are none of those names: what an earlier order left there."""
    there = folder / "papers"
    found = (f"papers/{path.name}" for path in there.iterdir()) if there.is_dir() else ()
    kinds = tuple(f"papers/{kind.name}" for kind in PAPERS)
    return tuple(sorted(name for name in found if name.startswith(kinds) and name not in names))


def _named(quote: Quote) -> Iterator[tuple[Consignment, str]]:
    """Yield each consignment with the end of its files' names, each once."""
    taken: set[str] = set()
    for consignment in consignments(quote):
        name = plain(consignment.destination)
        ending = start = f"-{name}" if name else ""
        number = 1
        while ending in taken:
            number += 1
            ending = f"{start or '-place'}-{number}"
        taken.add(ending)
        yield consignment, ending

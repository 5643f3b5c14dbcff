"""What papers lack and leave as lines to write on: told where they are made, in the way of nothing."""

from collections.abc import Iterator
from dataclasses import dataclass

from nesting.base.counts import few
from pricing.output.papers.consignment import consignments
from pricing.output.papers.files import batches
from pricing.output.papers.schedule import unsettled
from pricing.quoting.quote import Quote


@dataclass(frozen=True, slots=True)
class Missing:
    """What one paper lacks.

    Attributes
    ----------
    title : str
        What it is called.
    destination : str
        Where it goes; empty where the order names no place.
    lacks : tuple of str
        Each, and where it is said.
    """

    title: str
    destination: str
    lacks: tuple[str, ...]

    @property
    def line(self) -> str:
        """All of it in one line."""
        where = f" to {self.destination}" if self.destination else ""
        return f"{self.title}{where}: {'; '.join(self.lacks)}"


def papers_missing(quote: Quote) -> tuple[Missing, ...]:
    """Return what the papers of a quote lack, in the order in which they are read; those that lack nothing left out."""
    return tuple(
        Missing(batch.kind.title, batch.consignment.destination, lacks)
        for batch in batches(quote)
        if (lacks := batch.lacks)
    )


def missing_lines(quote: Quote) -> Iterator[str]:
    """Yield the same as lines below a heading; nothing where nothing lacks."""
    lacking = papers_missing(quote)
    if lacking:
        yield "On these papers lines are left to write on:"
    for each in lacking:
        yield f"- {each.line}."
    works = [work.copy_of or work.piece for each in consignments(quote) for work in unsettled(each)]
    if works:
        yield (
            f"On no schedule of works: {few(tuple(dict.fromkeys(works)))}; whether consigned or sold (column terms) "
            "and who sells (column gallery) is not said."
        )

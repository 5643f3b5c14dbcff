"""Files of ours that are no order: told by what they are, not by a fault for each of their cells."""

from collections.abc import Iterable, Sequence
from typing import Final

from nesting.base.faults import refuse
from nesting.intake.headings import Heading

_QUOTE: Final = frozenset({"Quote", "Buying", "Cut list", "Costs"})
"""Some tabs of the workbook that a quote is written to."""
_TABLES: Final = (
    ("a price book", frozenset({"stock", "good", "form", "supplier"})),
    ("a table of destinations", frozenset({"destination", "door width", "door height"})),
    ("a rack of offcuts", frozenset({"name", "good", "length", "place"})),
)
_ACCEPTED: Final = "an order, the table of artworks: piece, width, height, depth and more"


def check_workbook(file: str, sheets: Iterable[str]) -> None:
    """Refuse a workbook that is a quote.

    Raises
    ------
    FaultsFound
        Once, and saying so.
    """
    if set(sheets) >= _QUOTE:
        raise refuse(file, "a quote, not an order", _ACCEPTED)


def check_table(file: str, headings: Sequence[Heading]) -> None:
    """Refuse a table that by its headings is another one of the shop's.

    Raises
    ------
    FaultsFound
        Once, and saying which.
    """
    texts = {" ".join(heading.text.replace("_", " ").split()).lower() for heading in headings}
    if any(heading.name == "piece" and not heading.also for heading in headings):
        return
    for what, columns in _TABLES:
        if texts >= columns:
            raise refuse(file, f"{what}, not an order", _ACCEPTED)

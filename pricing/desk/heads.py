"""The heads of the table of artworks: what a column is read as, what it may mean, and how it is made to mean that."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from nesting.intake.columns import BY_NAME
from nesting.intake.headings import DIMENSIONS, read_heading, read_headings
from nesting.intake.likely import likely
from pricing.desk.content import Content

SIDES: Final = ("dimensions (h x w x d)", "dimensions (w x h x d)")
"""Headings of one column for three sides, by the order in which people write them."""
_LONG: Final = frozenset({"title", "notes", "support", "back", "accept_held"})
_ASIDE: Final = re.compile(r"[(\[{]([^()\[\]{}]+)[)\]}]|\b([A-Z]{3}|cm|mm|in|kg|lbs?)\s*$")


@dataclass(frozen=True, slots=True)
class Head:
    """What a column's head shows.

    Attributes
    ----------
    text : str
        As it was written.
    name : str
        Our column, or "dimensions"; empty for a note.
    meaning, accepted : str
        What the column holds, and what its cells take.
    required : bool
        Whether every row needs it.
    long : bool
        Whether its cells hold sentences.
    likely : str
        Of a note: the column that it may be meant as.
    """

    text: str
    name: str
    meaning: str
    accepted: str = ""
    required: bool = False
    long: bool = False
    likely: str = ""


def heads(content: Content) -> tuple[Head, ...]:
    """Return what the heads of a job's table show; a column is offered to one heading at the most.

    One of which every cell is blank may be offered too: whoever takes it takes the blank one out.
    """
    read = read_headings(content.headings)
    filled = {
        place for place in range(len(read)) if any(content.cell(row, place).strip() for row in range(len(content.rows)))
    }
    taken = {name for each in read if each.place in filled for name in (each.name, each.also, *each.order)}
    made = []
    for heading, text in zip(read, content.headings, strict=True):
        if heading.name == DIMENSIONS:
            made.append(Head(text, DIMENSIONS, "Height, width and depth in one cell."))
        elif heading.name:
            column = BY_NAME[heading.name]
            long = column.name in _LONG
            meaning = f"{column.meaning} {BY_NAME[heading.also].meaning}" if heading.also else column.meaning
            made.append(Head(text, column.name, meaning, column.accepted, column.required, long))
        else:
            cells = [content.cell(row, heading.place) for row in range(len(content.rows))]
            meant = likely(text, cells) or ""
            offered = "" if meant in taken else meant
            taken |= {offered} - {""}
            made.append(Head(text, "", "Kept as a note.", likely=offered))
    return tuple(made)


def names_beside(headings: Sequence[str], table: Sequence[str]) -> list[str]:
    """Return by which columns, or headings, rows of another table go into a table.

    A title that names the pieces of a table that has no other name for them is a title beside one that has.
    """
    own = {each.name for each in read_headings(table) if not each.also}
    return [
        each.also if each.also and "piece" in own else each.name or each.text or text
        for each, text in zip(read_headings(headings), headings, strict=True)
    ]


def words_of(name: str) -> str:
    """Return our name for a column as people write it in a heading."""
    return name.replace("_", " ")


def read_as(text: str, name: str) -> str:
    """Return a heading that is read as a column, with the unit or currency that the heading stated until now.

    Examples
    --------
    >>> read_as("Retail (EUR)", "price"), read_as("Retail, framed", "price")
    ('price (EUR)', 'price')
    """
    plain = name if name in SIDES else words_of(name)
    found = _ASIDE.search(text)
    if found and name not in SIDES:
        stated = read_heading(0, made := f"{plain} ({(found[1] or found[2]).strip()})")
        if stated.name == name and stated.unit is not None:
            return made
    return plain

"""The heading of a table: which column is which, in whatever order and spelling, and what units it states."""

import difflib
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from nesting.base.faults import Faults
from nesting.base.measure import MeasureError, plain, shorten
from nesting.base.tables.cells import Cell, is_blank, text_of
from nesting.base.tables.table import Row, Table
from nesting.intake.cells import CellError, Scale, read_dimensions
from nesting.intake.columns import BY_NAME, COLUMNS, SPELLINGS, Kind
from nesting.intake.money import currency_of
from nesting.shop.stated import kept_name

DIMENSIONS: Final = "dimensions"
DIMENSIONS_ACCEPTED: Final = (
    "the order stated in the heading, such as dimensions (h x w x d), or columns width, height and depth"
)
_SIDE_WORDS: Final = {"h": "height", "w": "width", "d": "depth", "high": "height", "wide": "width", "deep": "depth",
                      "height": "height", "width": "width", "depth": "depth"}  # fmt: skip
_COMBINED: Final = frozenset(
    {DIMENSIONS, "dimension", "dims", "dim", "size", "sizes", "measurements", "measures", "measure"}
)
_LENGTH_WORDS: Final = {
    '"': "in", "in": "in", "inch": "in", "inches": "in", "ft": "ft", "feet": "ft",
    "mm": "mm", "millimetres": "mm", "millimeters": "mm", "cm": "cm", "centimetres": "cm", "centimeters": "cm",
    "m": "m", "metres": "m", "meters": "m",
}  # fmt: skip
_WEIGHT_WORDS: Final = {
    "lb": "lb", "lbs": "lb", "pounds": "lb", "#": "lb", "oz": "oz", "ounces": "oz",
    "kg": "kg", "kgs": "kg", "kilos": "kg", "kilograms": "kg", "g": "g", "grams": "g",
}  # fmt: skip
_SHOCK_WORDS: Final = {"g": "G", "gs": "G"}
_PART_WORDS: Final = {"%": "%", "percent": "%", "per cent": "%", "pct": "%"}
_REMARKS: Final = frozenset(
    {"each", "one", "per piece", "per copy", "one copy", "of one copy", "required", "optional", "overall", "outside",
     "framed", "incl frame", "including frame", "with frame", "yes no", "y n", "local", "local time", "date", "day",
     "yyyy mm dd"}
)  # fmt: skip
_SIDE: Final = "(?:height|width|depth|length|high|wide|deep|long|h|w|d|l)"
_ORDER: Final = re.compile(rf"(?<![a-z]){_SIDE}(?:\s*(?:[x×*]|by)\s*{_SIDE}){{1,2}}(?![a-z])")
_SKIPPED_MOST: Final = 10


@dataclass(frozen=True, slots=True)
class Heading:
    """What one heading cell means.

    Attributes
    ----------
    place : int
        Position of the column, from 0.
    text : str
        As it was written.
    name : str or None
        Our column, ``"dimensions"``, or ``None`` if it is not understood.
    unit : str or None
        Unit or currency that it states.
    order : tuple of str
        For ``dimensions``: the sides in the order stated; empty where none is.
    skipped : bool
        Whether its cells are left unread, since a fault has been told of it.
    """

    place: int
    text: str
    name: str | None = None
    unit: str | None = None
    order: tuple[str, ...] = ()
    skipped: bool = False


def read_heading(place: int, cell: Cell) -> Heading:
    """Understand one heading cell."""
    text = text_of(cell)
    if not isinstance(cell, str) or len(text) > 120:
        return Heading(place, shorten(text))
    read = plain(text).strip("*: ")
    stated = _ORDER.search(read)
    if stated is not None:
        return _dimensions(place, text, read, stated[0])
    asides = [aside.strip(" .") for aside in re.findall(r"[(\[{]([^()\[\]{}]*)[)\]}]", read)]
    words = " ".join(re.sub(r"[(\[{][^()\[\]{}]*[)\]}]?|[_.,:;/\\\-]+", " ", read).split())
    if words.endswith('"'):
        words = f'{words[:-1].rstrip()} "'
    unit_words = [word for aside in asides for word in re.split(r"\s*[,;]\s*", aside) if word]
    if words in _COMBINED:
        unit = _unit_of("length", unit_words)
        return Heading(place, text, DIMENSIONS, unit)
    found = _match(words, unit_words)
    return Heading(place, text) if found is None else Heading(place, text, *found)


def _match(words: str, asides: Sequence[str]) -> tuple[str, str | None] | None:
    """Return our column and its unit for a heading's words, a last word that is a unit taken as such."""
    asides = [
        " ".join(re.split(r"[\s_.\-/]+", aside.removeprefix("in ") if aside != "in" else aside)) for aside in asides
    ]
    asides = [aside for aside in asides if aside and aside not in _REMARKS]
    if words in _WEIGHT_WORDS and not asides and words != "g":
        return "weight", _WEIGHT_WORDS[words]
    tries = [(words, asides)]
    if " " in words:
        head, _, tail = words.rpartition(" ")
        tries.append((head.removesuffix(" in"), [*asides, tail]))
    for name, units in tries:
        column = SPELLINGS.get(name)
        if column is None:
            continue
        if not units:
            return column.name, None
        unit = _unit_of(column.kind, units)
        if unit is not None:
            return column.name, unit
    return None


def _unit_of(kind: Kind, words: Sequence[str]) -> str | None:
    """Return the one unit that the words state for a kind of column, if they do."""
    if len(words) != 1:
        return None
    if kind == "money":
        return currency_of(words[0])
    known = {"length": _LENGTH_WORDS, "weight": _WEIGHT_WORDS, "shock": _SHOCK_WORDS, "part": _PART_WORDS}
    return known.get(kind, {}).get(words[0].removeprefix("in "))


def _dimensions(place: int, text: str, read: str, stated: str) -> Heading:
    """Understand a heading that states sides in an order, such as ``dimensions (h x w x d) cm``."""
    sides = tuple(_SIDE_WORDS.get(word, "") for word in re.findall(_SIDE, stated))
    rest = " ".join(re.sub(r"[()\[\]{}_.,:;/\\\-]+", " ", read.replace(stated, " ")).split())
    words = [word for word in rest.split() if word not in _COMBINED]
    unit = _unit_of("length", words) if words != ["in", "inches"] else "in"
    if words and unit is None:
        return Heading(place, text)
    return Heading(place, text, DIMENSIONS, unit, sides if all(sides) and len(set(sides)) == len(sides) else ())


def _names(row: Row) -> set[str]:
    """Return our columns that the cells of a row name."""
    return {heading.name for heading in map(read_heading, range(len(row.cells)), row.cells) if heading.name}


def is_comment(row: Row) -> bool:
    """Whether a row is a remark for people: it begins with ``#`` and is no heading (``#`` may head a column)."""
    first = next((text_of(cell) for cell in row.cells if not is_blank(cell)), "")
    return first.startswith("#") and len(_names(row)) < 2


def find_heading(table: Table) -> tuple[tuple[Heading, ...], Row, tuple[Row, ...]]:
    """Return the headings, the row they stand in, and the rows below.

    The heading is the first row that is no comment, unless hardly anything in it is understood and one of the next few
    rows is plainly a heading: people write a title above their tables.
    """
    start = next((place for place, row in enumerate(table.rows) if not is_comment(row)), 0)
    best, best_score = start, -1
    for place, row in enumerate(table.rows[start : start + _SKIPPED_MOST + 1], start=start):
        names = _names(row)
        if place == start and len(names) >= 2:
            break
        if len(names) > best_score and (place == start or len(names) >= 3):
            best, best_score = place, len(names)
    row = table.rows[best]
    headings = tuple(read_heading(place, cell) for place, cell in enumerate(row.cells))
    return headings, row, table.rows[best + 1 :]


def settle_dimensions(
    headings: Sequence[Heading], row: int | None, rows: Sequence[Row], faults: Faults
) -> tuple[Heading, ...]:
    """Ask, once, for the order of a combined column that states none; its cells may state it by letters instead.

    Returns
    -------
    tuple of Heading
        The headings, such a column marked so that no cell of it is read.
    """
    settled = []
    for heading in headings:
        if heading.name == DIMENSIONS and not heading.order:
            cells = [line.cells[heading.place] for line in rows if heading.place < len(line.cells)]
            if not any(map(_says_sides, cells)):
                faults.add(row, DIMENSIONS, heading.text, DIMENSIONS_ACCEPTED)
                settled.append(replace(heading, skipped=True))
                continue
        settled.append(heading)
    return tuple(settled)


def _says_sides(cell: Cell) -> bool:
    """Whether a combined cell says by letters which side is which: ``30 h x 40 w``."""
    try:
        return read_dimensions(cell, DIMENSIONS_ACCEPTED, Scale(), ()) is not None
    except CellError:
        return False
    except MeasureError:
        return True


def check_headings(headings: Sequence[Heading], row: int | None, faults: Faults) -> None:
    """Note columns that stand twice, that are missing, or whose order would have to be guessed."""
    seen: dict[str, Heading] = {}
    unordered = any(heading.name == DIMENSIONS and not heading.order for heading in headings)
    for heading in headings:
        if heading.name is None:
            continue
        gives = heading.order if heading.name == DIMENSIONS else (heading.name,)
        for name in gives:
            if name in seen:
                accepted = f'one column for {name}; "{shorten(seen[name].text)}" is read as {name} too'
                faults.add(row, name, heading.text, accepted)
            else:
                seen[name] = heading
    strange = [heading.text for heading in headings if heading.name is None and heading.text]
    for column in COLUMNS:
        if (
            column.required
            and column.name not in seen
            and not (unordered and column.name in ("width", "height", "depth"))
        ):
            accepted = f"a column {column.name}, also called {', '.join(column.others[:3])}"
            near = difflib.get_close_matches(column.name, [text.lower() for text in strange], 1, 0.7)
            faults.add(row, column.name, near[0] if near else "", accepted)


def unknown_columns(file: str, headings: Sequence[Heading]) -> list[str]:
    """Return a warning for each column that is not understood, with the nearest that is."""
    warnings = []
    for heading in headings:
        if heading.name is None and heading.text and kept_name(heading.text) is None:
            near = difflib.get_close_matches(heading.text.lower(), [*BY_NAME, DIMENSIONS], 1, 0.75)
            hint = f"; did you mean {near[0]}?" if near else ""
            warnings.append(f'{file}: column "{shorten(heading.text)}" is not understood and kept as a note{hint}')
    return warnings

"""The heading of a table: which column is which, in whatever order and spelling, and what units it states."""

import difflib
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from nesting.base.faults import Faults
from nesting.base.measure import MeasureError, plain, shorten
from nesting.base.tables.cells import Cell, is_blank, text_of, without_control
from nesting.base.tables.table import Row, Table
from nesting.intake.cells import CellError, Scale, read_dimensions
from nesting.intake.columns import BY_NAME, COLUMNS, LATELY, SPELLINGS, Column, Kind
from nesting.intake.hedges import without_hedge
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
_NUMBERS: Final = re.compile(r"(?<=[a-z])\s*#$|(?:^|\s+)nr\.?$|\s*(?:№|\bn[º°])$")
"""``Inv #`` and its like mean a number."""
_LETTERS: Final = re.compile(r"(?<![a-z])([hwd])([\s,/&-]*)([hwd])\2([hwd])(?![a-z])")
"""``HWD`` and ``H/W/D``: the order of three sides."""
_TITLES: Final = frozenset({"artwork", "art", "item"})
"""Headings of a piece's name that mean its title where another column bears its number."""
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
    also : str or None
        Another of our columns that the same cells give: a title names the piece where no column does.
    spelled : str
        The known spelling that it is; empty where none is.
    lately : bool
        Whether it was kept as a note before 0.3.
    """

    place: int
    text: str
    name: str | None = None
    unit: str | None = None
    order: tuple[str, ...] = ()
    skipped: bool = False
    also: str | None = None
    spelled: str = ""
    lately: bool = False


def read_heading(place: int, cell: Cell) -> Heading:
    """Understand one heading cell."""
    text = without_control(text_of(cell))
    if not isinstance(cell, str) or len(text) > 120:
        return Heading(place, shorten(text))
    before = plain(text).strip("*: ")
    read = _NUMBERS.sub(" no", before.replace("(s)", ""))
    spread = _LETTERS.search(read)
    if spread is not None and len({spread[1], spread[3], spread[4]}) == 3:
        read = f"{read[: spread.start()]}{spread[1]} x {spread[3]} x {spread[4]}{read[spread.end() :]}"
    stated = _ORDER.search(read)
    lately = read != before
    if stated is not None:
        return replace(_dimensions(place, text, read, stated[0]), lately=lately)
    asides = [aside.strip(" .") for aside in re.findall(r"[(\[{]([^()\[\]{}]*)[)\]}]", read)]
    words = " ".join(re.sub(r"[(\[{][^()\[\]{}]*[)\]}]?|[_.,:;/\\\-]+", " ", read).split())
    if words.endswith('"'):
        words = f'{words[:-1].rstrip()} "'
    unit_words = [word for aside in asides for word in re.split(r"\s*[,;]\s*", aside) if word]
    if words in _COMBINED:
        unit = _unit_of("length", unit_words)
        return Heading(place, text, DIMENSIONS, unit)
    found = _match(words, unit_words)
    return Heading(place, text) if found is None else _heading(place, text, found, lately=lately)


def _heading(place: int, text: str, found: tuple[str, str | None, str, bool], *, lately: bool) -> Heading:
    name, unit, spelled, shortened = found
    return Heading(place, text, name, unit, spelled=spelled, lately=lately or shortened or spelled in LATELY)


def _match(words: str, asides: Sequence[str]) -> tuple[str, str | None, str, bool] | None:
    """Return our column, its unit, its spelling, and whether a last word was passed over as saying nothing.

    A last word that is a unit is taken as such.
    """
    asides = [
        " ".join(re.split(r"[\s_.\-/]+", aside.removeprefix("in ") if aside != "in" else aside)) for aside in asides
    ]
    asides = [aside for aside in asides if aside and aside not in _REMARKS]
    if words in _WEIGHT_WORDS and not asides and words != "g":
        return "weight", _WEIGHT_WORDS[words], words, False
    tries = [(words, asides, False)]
    if " " in words:
        head, _, tail = words.rpartition(" ")
        if tail in _REMARKS:
            tries.append((head, asides, True))
        else:
            tries.append((head.removesuffix(" in"), [*asides, tail], False))
    for name, units, shortened in tries:
        column = SPELLINGS.get(name)
        if column is None:
            continue
        if not units:
            return column.name, None, name, shortened
        unit = _unit_of(column.kind, units)
        if unit is not None:
            return column.name, unit, name, shortened
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


def read_headings(cells: Sequence[Cell]) -> tuple[Heading, ...]:
    """Understand the headings of a table together.

    - Where no column bears the name of the piece, the one column of titles does; ``#`` does so before it.
    - Beside a column of numbers (``Inv #``) ``Artwork`` and its like mean the title, unless another column does.
    - A heading that was a note before stays one where another column says the same, so that old tables do not change.
    """
    found = list(map(read_heading, range(len(cells)), cells))
    plainly = {name for heading in found if not heading.lately for name in _given(heading)}
    new = [name for heading in found if heading.lately for name in _given(heading)]
    for place, heading in enumerate(found):
        if not heading.lately or heading.name is None:
            continue
        known = BY_NAME.get(heading.name)
        twice = known is not None and not known.required and known.name != "title" and new.count(known.name) > 1
        if twice or plainly.intersection(_given(heading)):
            found[place] = Heading(place, heading.text)
    _name_pieces(found)
    return tuple(found)


def _given(heading: Heading) -> tuple[str, ...]:
    """Return the columns that a heading gives."""
    if heading.name is None:
        return ()
    names = heading.order if heading.name == DIMENSIONS else (heading.name,)
    return (*names, heading.also) if heading.also else names


def _name_pieces(found: list[Heading]) -> None:
    """Settle which columns bear names and titles of pieces; what cannot be settled is left, and asked."""

    def named(name: str) -> list[Heading]:
        return [heading for heading in found if heading.name == name]

    pieces, titles = named("piece"), named("title")
    if len(pieces) == 2 and not titles:
        told = [heading for heading in pieces if heading.spelled in _TITLES]
        if len(told) == 1:
            found[told[0].place] = replace(told[0], name="title")
        return
    signs = [heading for heading in named("weight") if heading.spelled == "#"]
    if len(signs) == 1 and not pieces:
        found[signs[0].place] = replace(signs[0], name="piece", unit=None)
    elif len(signs) == 1 and len(named("weight")) > 1:
        found[signs[0].place] = Heading(signs[0].place, signs[0].text)
    elif not pieces and len(titles) == 1:
        found[titles[0].place] = replace(titles[0], name="piece", also="title")


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
    rows is plainly a heading: people write a title above their tables. A heading may stand in two rows (``Dimensions``
    above ``H``, ``W``, ``D``), and its units in a row of their own: the row that is returned then says all of it.
    """
    start = next((place for place, row in enumerate(table.rows) if not is_comment(row)), 0)
    best, best_score = start, -1
    for place, row in enumerate(table.rows[start : start + _SKIPPED_MOST + 1], start=start):
        names = _names(row)
        if place == start and len(names) >= 2 and names.intersection((*_SIDE_WORDS.values(), DIMENSIONS)):
            best = place
            break
        if len(names) > best_score and (place == start or len(names) >= 3):
            best, best_score = place, len(names)
    row, below = table.rows[best], best + 1
    for merge in (_with_second_row, _with_units):
        merged = merge(row, table.rows[below]) if below < len(table.rows) else None
        if merged is not None:
            row, below = merged, below + 1
    return read_headings(row.cells), row, table.rows[below:]


def _pairs(row: Row, other: Row) -> list[tuple[Cell, Cell]]:
    """Return the cells of two rows above each other, as wide as the wider one."""
    width = max(len(row.cells), len(other.cells))
    one, two = (list(each.cells) + [None] * (width - len(each.cells)) for each in (row, other))
    return list(zip(one, two, strict=True))


def _with_second_row(row: Row, other: Row) -> Row | None:
    """Return one row of headings for two, where the second names sides below a common heading; else None."""
    named = [(upper, lower, read_heading(0, lower).name) for upper, lower in _pairs(row, other) if not is_blank(lower)]
    sides = [name for _, _, name in named if name in _SIDE_WORDS.values()]
    if len(named) < 2 or len(set(sides)) < 2 or any(name is None for _, _, name in named):
        return None
    # A heading above that says something else than the one below: these are rows of different tables.
    if any(not is_blank(upper) and read_heading(0, upper).name not in (None, DIMENSIONS, name)
           for upper, _, name in named):  # fmt: skip
        return None
    return Row(row.number, tuple(upper if is_blank(lower) else lower for upper, lower in _pairs(row, other)))


def _with_units(row: Row, other: Row) -> Row | None:
    """Return the headings with the units that stand alone in the row below them; None where none do."""
    units = [
        (upper, plain(text_of(lower)).strip("()[]. ")) for upper, lower in _pairs(row, other) if not is_blank(lower)
    ]
    known = {**_LENGTH_WORDS, **_WEIGHT_WORDS, **_PART_WORDS}
    if len(units) < 2 or any(is_blank(upper) or (unit not in known and currency_of(unit) is None)
                             for upper, unit in units):  # fmt: skip
        return None
    return Row(
        row.number,
        tuple(
            upper if is_blank(lower) else f"{text_of(upper)} ({plain(text_of(lower)).strip('()[]. ')})"
            for upper, lower in _pairs(row, other)
        ),
    )


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


def settle_doubtful(headings: Sequence[Heading], rows: Sequence[Row], scale: Scale) -> tuple[Heading, ...]:
    """Return headings with those kept as notes whose cells say that they mean something else.

    So is a heading that was a note before, of a column that nobody has to give, where not one of its cells can be read;
    and ``#`` above 1, 2, 3, which counts the rows and is no weight.
    """
    settled = []
    for heading in headings:
        column = BY_NAME.get(heading.name or "")
        cells = [line.cells[heading.place] for line in rows if heading.place < len(line.cells)]
        filled = [cell for cell in cells if not is_blank(cell)]
        counts = heading.spelled == "#" and column is not None and column.name == "weight" and _counts(filled)
        doubtful = heading.lately and column is not None and not column.required and bool(filled)
        if counts or (doubtful and column is not None and not any(_reads(column, cell, scale) for cell in filled)):
            settled.append(Heading(heading.place, heading.text))
        else:
            settled.append(heading)
    return tuple(settled)


def _counts(cells: Sequence[Cell]) -> bool:
    """Whether cells count 1, 2, 3."""
    return len(cells) > 1 and [text_of(cell) for cell in cells] == [str(n) for n in range(1, len(cells) + 1)]


def _reads(column: Column, cell: Cell, scale: Scale) -> bool:
    """Whether a cell can be read as one of a column."""
    doubted = without_hedge(cell) if isinstance(cell, str) and column.blank else None
    try:
        column.read(cell if doubted is None else doubted, column.accepted, scale)
    except (CellError, MeasureError):
        return False
    return True


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
        for name in _given(heading):
            if name in seen:
                accepted = f'one column for {name}; "{shorten(seen[name].text)}" is read as {name} too'
                if name in ("piece", "title"):
                    accepted += "; call the one piece, the other title or notes"
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
            if column.name == "piece":
                accepted += ", or a column title"
            near = difflib.get_close_matches(column.name, [text.lower() for text in strange], 1, 0.7)
            long = next((text for text in strange if plain(text).split(" ")[0] in ("length", "l", "long")), "")
            if long and not near and column.name in _SIDE_WORDS.values():
                accepted += f'; "{shorten(long)}" may be any side, so call it by the side that it is as the piece hangs'
            faults.add(row, column.name, near[0] if near else "", accepted)


def _was_a_note(heading: Heading) -> bool:
    """Whether tables that were read before may have had such a column as a note; without a piece they were refused."""
    column = BY_NAME.get(heading.name or "")
    return heading.lately and not heading.also and column is not None and not column.required


def remark_on_headings(file: str, headings: Sequence[Heading]) -> list[str]:
    """Return one remark that tells which headings were read as which column, where they have other names; or none."""
    told = []
    for heading in headings:
        if heading.skipped or (heading.name in (None, DIMENSIONS) and not heading.lately):
            continue
        ours = (heading.name or "").replace("_", " ")
        if f" {ours} " in f" {heading.spelled} " and not heading.also and not heading.lately:
            continue
        what = f"{ours} and {heading.also}" if heading.also else " x ".join(heading.order) or ours
        told.append(f'"{shorten(heading.text)}" as {what}{" (a note before)" if _was_a_note(heading) else ""}')
    return [f"{file}: read {', '.join(told)}"] if told else []


def unknown_columns(file: str, headings: Sequence[Heading]) -> list[str]:
    """Return a warning for each column that is not understood, with the nearest that is."""
    warnings = []
    for heading in headings:
        if heading.name is None and heading.text and kept_name(heading.text) is None:
            near = difflib.get_close_matches(heading.text.lower(), [*BY_NAME, DIMENSIONS], 1, 0.75)
            hint = f"; did you mean {near[0]}?" if near else ""
            warnings.append(f'{file}: column "{shorten(heading.text)}" is not understood and kept as a note{hint}')
    return warnings

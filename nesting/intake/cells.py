"""One cell of a table at a time: from what stands there to a value, or to a :class:`CellError` that says what would do.

A cell is text from a CSV file or the desk, or a typed value from a spreadsheet or TOML. Each reader returns ``None``
for a blank cell; what a blank means is decided where the line is put together. Lengths, weights and words are read
here; money and dates have modules of their own.
"""

import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Final, TypeVar, cast

from nesting.base.measure import (
    INCH,
    LengthUnit,
    UnitSystem,
    WeightUnit,
    format_length,
    format_weight,
    parse_length,
    parse_weight,
    plain,
    shorten,
)
from nesting.base.tables.cells import Cell, Unreadable, text_of
from nesting.order import GREATEST_SIDE, HEAVIEST_KG, Back, BackKind

T = TypeVar("T", bound=str)


YES: Final = frozenset({"yes", "y", "true", "1", "x", "✓", "✔", "may", "ok"})
NO: Final = frozenset({"no", "n", "false", "0", "never", "must not"})
BLANKS: Final = frozenset({"", "-", "–", "—", "n/a", "na", "none"})
"""What people write where there is nothing to say."""
_UNSEEN: Final = dict.fromkeys([0x200B, 0x2060, 0xFEFF, *range(0x202A, 0x202F), *range(0x2066, 0x206A)])
"""Characters that nobody sees, but that make two names differ or a text run backwards."""
_LONGEST_TEXT: Final = 2000
_LONGEST_NAME: Final = 60
_CROSS: Final = r"\s*(?:[x×*]|\bby\b)\s*"


class CellError(ValueError):
    """A cell that cannot be read for certain; ``found`` and ``accepted`` as in :class:`nesting.base.faults.Fault`."""

    def __init__(self, found: str, accepted: str) -> None:
        self.found = found
        self.accepted = accepted
        super().__init__(f'found "{shorten(found)}"; accepted: {accepted}')


@dataclass(frozen=True, slots=True)
class Scale:
    """What bare numbers of a column mean: the order's units, and the unit in the heading where it has one."""

    units: UnitSystem = "inch"
    unit: str | None = None


def _plain_text(cell: Cell, accepted: str) -> str:
    """Return the text of a cell that may hold text or a number, ``""`` where blank or marked as having nothing."""
    if isinstance(cell, Unreadable):
        raise CellError(cell.text, cell.accepted)
    if isinstance(cell, datetime | date | time | timedelta):
        raise CellError(text_of(cell), f"{accepted}; this cell holds a date (spreadsheets turn 1/2 into one)")
    if isinstance(cell, bool | Mapping) or (isinstance(cell, Sequence) and not isinstance(cell, str)):
        raise CellError(text_of(cell) or "an empty list", accepted)
    text = text_of(cell)
    return "" if text.casefold() in BLANKS else text


def read_text(cell: Cell, accepted: str, *, most: int = _LONGEST_TEXT) -> str | None:
    """Read words for people: any printing characters, line ends included."""
    if isinstance(cell, Unreadable):
        raise CellError(cell.text, cell.accepted)
    if isinstance(cell, Mapping) or (isinstance(cell, Sequence) and not isinstance(cell, str)):
        raise CellError(text_of(cell) or "an empty list", accepted)
    text = (
        unicodedata.normalize("NFC", text_of(cell).translate(_UNSEEN)).replace("\r\n", "\n").replace("\r", "\n").strip()
    )
    if any(unicodedata.category(c) in ("Cc", "Cs") and c not in "\n\t" for c in text):
        raise CellError(text, f"{accepted}, without control characters")
    if len(text) > most:
        raise CellError(text, f"{accepted}, of {most} characters at the most")
    return text or None


def read_name(cell: Cell, accepted: str) -> str | None:
    """Read a short name on one line; inner blanks become single ones."""
    if isinstance(cell, bool | datetime | date | time | timedelta):
        raise CellError(text_of(cell), f"{accepted}; format the cells as text, so that the spreadsheet leaves it alone")
    text = read_text(cell, accepted, most=10 * _LONGEST_NAME)
    if text is None:
        return None
    text = " ".join(text.split())
    if len(text) > _LONGEST_NAME:
        raise CellError(text, f"{accepted}, of {_LONGEST_NAME} characters at the most")
    return text


def read_names(cell: Cell, accepted: str) -> tuple[str, ...] | None:
    """Read several names, separated by commas, semicolons or line ends, or a list of them."""
    parts: Sequence[object]
    if isinstance(cell, Sequence) and not isinstance(cell, str):
        if not all(isinstance(part, str | int) and not isinstance(part, bool) for part in cell):
            raise CellError(text_of(cell), accepted)
        parts = cell
    else:
        text = "" if text_of(cell).casefold() in BLANKS else read_text(cell, accepted)
        parts = re.split(r"[,;|\n]", text or "")
    names = [read_name(cast("Cell", part), accepted) for part in parts]
    return tuple(dict.fromkeys(name for name in names if name)) or None


def read_length(cell: Cell, accepted: str, scale: Scale, *, low: int = 1, high: int = GREATEST_SIDE) -> int | None:
    """Read a length within limits (exact grid, both ends included)."""
    text = _plain_text(cell, accepted)
    if not text:
        return None
    return _limited(text, parse_length(text, scale.units, bare=cast("LengthUnit | None", scale.unit)), scale, low, high)


def _limited(text: str, value: int, scale: Scale, low: int, high: int) -> int:
    """Return the length if it is within limits; else say them, and how it may have come about."""
    if low <= value <= high:
        return value
    limits = f"more than zero, {format_length(high, scale.units, mark=True)} at the most"
    if low > 1:
        limits = f"from {format_length(low, scale.units, mark=True)} to {format_length(high, scale.units, mark=True)}"
    hint = ""
    if value > high and scale.units == "inch" and not re.search(r"[a-z\"']", plain(text)) and scale.unit is None:
        hint = "; bare numbers are inches here, for millimetres write 775 mm or read the order in metric units"
    raise CellError(text, f"a length {limits}{hint}")


def read_weight(cell: Cell, accepted: str, scale: Scale) -> Decimal | None:
    """Read a weight in kg: more than zero and at most 2 t."""
    text = _plain_text(cell, accepted)
    if not text:
        return None
    value = parse_weight(text, scale.units, bare=cast("WeightUnit | None", scale.unit))
    if not 0 < value <= HEAVIEST_KG:
        limit = format_weight(HEAVIEST_KG, scale.units, mark=True)
        raise CellError(text, f"a weight more than zero, {limit} at the most")
    return value


def read_count(cell: Cell, accepted: str, *, low: int, high: int) -> int | None:
    """Read a whole number within limits."""
    text = _plain_text(cell, accepted)
    if not text:
        return None
    match = re.fullmatch(r"([0-9]{1,9})(?:\.0{0,6})?", plain(text))
    if match is None or not low <= int(match[1]) <= high:
        raise CellError(text, f"{accepted} from {low} to {high}")
    return int(match[1])


def read_yes_no(cell: Cell, accepted: str) -> bool | None:
    """Read yes or no in its usual spellings."""
    if isinstance(cell, bool):
        return cell
    text = _plain_text(cell, accepted).casefold()
    if not text:
        return None
    if text in YES:
        return True
    if text in NO:
        return False
    raise CellError(text_of(cell), accepted)


def read_word(cell: Cell, accepted: str, words: Mapping[str, T]) -> T | None:
    """Read one of a few words; ``words`` maps spellings in lower case to our word."""
    text = _plain_text(cell, accepted)
    if not text:
        return None
    try:
        return words[" ".join(re.split(r"[\s_\-]+", plain(text)))]
    except KeyError:
        raise CellError(text, accepted) from None


_BARS_BY: Final = re.compile(rf"(.+?){_CROSS}(.+)")
_BARS_WORDS: Final = re.compile(r"(.+?)\s+wide\s*(?:,|x|and|by)?\s*(.+?)\s+deep")


@dataclass(frozen=True, slots=True)
class BackCell:
    """A ``back`` cell, which may leave a strainer's bars to columns of their own."""

    kind: BackKind
    bar_width: int = 0
    bar_depth: int = 0

    def back(self, bar_width: int | None, bar_depth: int | None) -> Back:
        """Return the :class:`~nesting.order.Back` with bars from their own columns where the cell has none."""
        if self.kind != "strainer":
            return Back(self.kind)
        return Back("strainer", self.bar_width or bar_width or 0, self.bar_depth or bar_depth or 0)


def read_back(cell: Cell, accepted: str, scale: Scale) -> BackCell | None:
    """Read ``solid``, ``cleated`` or ``strainer 1 1/2 x 3/4`` (width by depth of its bars), or a TOML table of them."""
    if isinstance(cell, Mapping):
        if set(cell) - {"kind", "bar_width", "bar_depth"}:
            raise CellError(text_of(cell), f"{accepted}; as a table: kind, bar_width and bar_depth")
        sizes = [
            read_length(cast("Cell", cell.get(key)), accepted, scale, high=12 * INCH)
            for key in ("bar_width", "bar_depth")
        ]
        kind = read_word(cast("Cell", cell.get("kind")), accepted, _BACKS)
        if kind is None:
            raise CellError(text_of(cell), accepted)
        return BackCell(kind, sizes[0] or 0, sizes[1] or 0)
    text = _plain_text(cell, accepted)
    if not text:
        return None
    match = re.fullmatch(r"strainer(?:\s*bars?)?\s*[:,]?\s*\(?(.*?)\)?", plain(text))
    if match is None:
        kind = read_word(text, accepted, _BACKS)
        return None if kind is None else BackCell(kind)
    if not match[1]:
        return BackCell("strainer")
    bars = _BARS_WORDS.fullmatch(match[1]) or _BARS_BY.fullmatch(match[1])
    if bars is None:
        raise CellError(text, accepted)
    width, depth = split_units((bars[1], bars[2]), scale)
    return BackCell("strainer", _limited(text, width, scale, 1, 12 * INCH), _limited(text, depth, scale, 1, 12 * INCH))


_BACKS: Final[dict[str, BackKind]] = {
    "solid": "solid",
    "strainer": "strainer",
    "cleated": "cleated",
    "cleats": "cleated",
}


def split_units(parts: Sequence[str], scale: Scale) -> list[int]:
    """Read lengths that may share the unit behind the last one: ``30 x 40 x 2 cm``.

    A unit that stands behind the last number only counts for all; otherwise each bare number is in the column's unit.
    """
    tail = re.search(r"(?:\s|(?<=[0-9./,]))(in|ins|inch|inches|ft|mm|cm|m)\.?\s*$", plain(parts[-1]))
    marked = [bool(re.search(r"[a-z\"']", plain(part))) for part in parts]
    if tail and not any(marked[:-1]):
        unit = {"ins": "in", "inch": "in", "inches": "in"}.get(tail[1], tail[1])
        scale = Scale(scale.units, unit)
    return [parse_length(part, scale.units, bare=cast("LengthUnit | None", scale.unit)) for part in parts]


_SIDES: Final = {"h": "height", "w": "width", "d": "depth", "height": "height", "width": "width", "depth": "depth",
                 "high": "height", "wide": "width", "deep": "depth"}  # fmt: skip
_LABEL: Final = re.compile(
    r"^(height|width|depth|h|w|d)\b[\s:=.]*(.+)$|^(.+?)\s*\b(height|width|depth|high|wide|deep|h|w|d)$"
)


def read_dimensions(cell: Cell, accepted: str, scale: Scale, order: Sequence[str]) -> dict[str, int] | None:
    """Read several sizes from one cell, in the order that the heading states or that the cell's own letters state.

    Parameters
    ----------
    cell, accepted, scale
        As for every reader.
    order : sequence of str
        ``"height"``, ``"width"``, ``"depth"`` as the heading states; empty where it states none.

    Returns
    -------
    dict of str to int, or None
        The sizes named; limits are checked by the caller.
    """
    text = _plain_text(cell, accepted)
    if not text:
        return None
    if len(text) > 120:
        raise CellError(text, accepted)
    parts = re.split(_CROSS, plain(text))
    labels = [_LABEL.match(part) for part in parts]
    if all(labels):
        named = [(_SIDES[m[1] or m[4]], m[2] or m[3]) for m in labels if m is not None]
        sides, parts = [side for side, _ in named], [part for _, part in named]
        if len(set(sides)) != len(sides) or (order and set(sides) != set(order)):
            raise CellError(text, accepted)
    else:
        sides = list(order)
        if not sides or len(parts) != len(sides):
            raise CellError(text, accepted)
    if any(not part.strip() for part in parts):
        raise CellError(text, accepted)
    return dict(zip(sides, split_units(parts, scale), strict=True))

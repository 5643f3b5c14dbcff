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

from nesting.base.days import DayOrder
from nesting.base.measure import (
    MM,
    LengthUnit,
    UnitSystem,
    WeightUnit,
    format_length,
    format_weight,
    parse_length,
    parse_lengths,
    parse_weight,
    plain,
    shorten,
)
from nesting.base.ratio import parse_ratio
from nesting.base.tables.cells import Cell, Unreadable, text_of
from nesting.order import (
    BACK_KINDS,
    GREATEST_SHOCK,
    GREATEST_SIDE,
    HEAVIEST_KG,
    LEAST_SHOCK,
    MOST_COMMISSION,
    MOST_MIDDLE_BARS,
)
from nesting.shop.backs import KINDS, BackWords, keys_of, limits, read_words

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
    """What bare numbers of a column mean: the order's units, and the unit in the heading where it has one.

    ``days`` says how 03/04/2026 is meant, where that is known.
    """

    units: UnitSystem = "inch"
    unit: str | None = None
    days: DayOrder | None = None


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


def read_shock(cell: Cell, accepted: str) -> Decimal | None:
    """Read a shock such as ``30 G`` or ``30``, within limits."""
    text = _plain_text(cell, accepted)
    if not text:
        return None
    match = re.fullmatch(r"([0-9]{1,9}(?:\.[0-9]{1,6})?)\s*g?", plain(text))
    value = Decimal(match[1]) if match else Decimal(0)
    if not LEAST_SHOCK <= value <= GREATEST_SHOCK:
        raise CellError(text, accepted)
    return value


def read_commission(cell: Cell, accepted: str, scale: Scale) -> Decimal | None:
    """Read the seller's part of a list price: ``40 %``, ``0.4``, or ``40`` below a heading that says per cent."""
    text = text_of(cell)
    if text.casefold() == "none":  # elsewhere it says nothing; here it may mean that nothing is kept
        raise CellError(text, accepted)
    text = _plain_text(cell, accepted)
    if not text:
        return None
    try:
        part = parse_ratio(plain(text), percent=scale.unit == "%")
    except ValueError:
        raise CellError(text, accepted) from None
    if part > MOST_COMMISSION:
        raise CellError(text, accepted)
    return part


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


def read_back(cell: Cell, accepted: str, scale: Scale) -> BackWords | None:
    """Read ``cradle 3/4 x 1 1/2, face 1/4`` and its like (:mod:`nesting.shop.backs`), or a TOML table of the sizes."""
    if isinstance(cell, Mapping):
        return _back_of_table(cell, accepted, scale)
    text = _plain_text(cell, accepted)
    return read_words(text, scale.units, cast("LengthUnit | None", scale.unit)) if text else None


def _back_of_table(cell: Mapping[str, object], accepted: str, scale: Scale) -> BackWords:
    """Read a back from a TOML table: its kind, and the sizes that belong to that kind."""
    kind = read_word(cast("Cell", cell.get("kind")), accepted, KINDS)
    known = keys_of(kind) if kind else ()
    if kind is None or set(cell) - {"kind", *known}:
        keys = "; ".join(f"{each}: {', '.join(keys_of(each))}" for each in BACK_KINDS if keys_of(each))
        raise CellError(text_of(cast("Cell", cell)), f"{accepted}; as a table: kind, and for {keys}")
    sizes = {}
    for key in known:
        value = cast("Cell", cell.get(key))
        if key == "middle_bars":
            size = read_count(value, "a whole number", low=0, high=MOST_MIDDLE_BARS)
        else:
            low, high = limits(key)
            size = read_length(value, accepted, scale, low=low, high=high)
        if size is not None:
            sizes[key] = size
    if kind == "cleated" and sizes and len(sizes) != len(known):
        raise CellError(text_of(cast("Cell", cell)), f"all four of {', '.join(known)}, or none of them")
    return BackWords(kind, sizes)


_SIDES: Final = {"h": "height", "w": "width", "d": "depth", "height": "height", "width": "width", "depth": "depth",
                 "high": "height", "wide": "width", "deep": "depth"}  # fmt: skip
_LABEL: Final = re.compile(
    r"^(height|width|depth|h|w|d)\b[\s:=.]*(.+)$|^(.+?)\s*\b(height|width|depth|high|wide|deep|h|w|d)$"
)


_UNIT: Final = r"(?:in|ins|inch|inches|cm|mm|\"|'')\.?"
_BOTH: Final = re.compile(rf"(.+?{_UNIT})\s*(?:[(\[]\s*|[|/;=]\s*)([0-9].*?{_UNIT})\s*[)\]]?")
"""Sizes in both systems, one after the other: ``40 x 30 in. (101.6 x 76.2 cm)``."""
_ROUNDED: Final = 2 * MM
"""How far two such sizes may lie apart, since the second is rounded."""


def _in_both_systems(both: re.Match[str], accepted: str, scale: Scale, order: Sequence[str]) -> dict[str, int] | None:
    """Read sizes that stand twice, in the first system; a second one that says something else is a fault."""
    one, other = (read_dimensions(both[place], accepted, scale, order) for place in (1, 2))
    if one is None or other is None or one.keys() != other.keys():
        raise CellError(both[0], accepted)
    for side, size in one.items():
        if abs(size - other[side]) > _ROUNDED:
            raise CellError(both[0], f"{accepted}; the {side} is not the same in both systems")
    return one


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
    both = _BOTH.fullmatch(plain(text))
    if both is not None:
        return _in_both_systems(both, accepted, scale, order)
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
    bare = cast("LengthUnit | None", scale.unit)
    return dict(zip(sides, parse_lengths(parts, scale.units, bare=bare), strict=True))

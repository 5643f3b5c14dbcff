"""Backs as people write them: ``cradle 3/4 x 1 1/2, face 1/4, 2 middle bars``, in orders and in the shop's own rules.

One grammar for both, and one writer that it reads back.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from nesting.advice.estimate import HOLLOW_WORDS
from nesting.base.measure import (
    INCH,
    LengthUnit,
    MeasureError,
    UnitSystem,
    format_length,
    format_length_exact,
    parse_lengths,
    plain,
)
from nesting.order import GREATEST_SIDE, MOST_MIDDLE_BARS, Back, BackKind

BACKS_ACCEPTED: Final = (
    "solid, strainer or cradle with its bars such as cradle 3/4 x 1 1/2, face 1/4, 2 middle bars, or cleated, with "
    "its cleats if known such as cleated 3/4 thick, 3 wide, 2 up, 2 down"
)

KINDS: Final[Mapping[str, BackKind]] = {
    "solid": "solid",
    "strainer": "strainer",
    "cradle": "cradle",
    "cradled": "cradle",
    "cleated": "cleated",
    "cleats": "cleated",
}
"""What people call a kind of back."""

BAR_SIZES: Final = ("bar_width", "bar_depth", "face")
CLEAT_SIZES: Final = ("cleat_thickness", "cleat_width", "cleat_low", "cleat_high")
SIZES: Final = (*BAR_SIZES, *CLEAT_SIZES)
"""Fields of a :class:`~nesting.order.Back` that are lengths."""

_GREATEST: Final = 12 * INCH
_FLUSH: Final = ("cleat_low", "cleat_high")
"""Sizes that may be nothing, and as great as a piece."""

_HEAD: Final = re.compile(r"([a-z][a-z_\-]*)(?:\s*bars?\b)?\s*[:,]?\s*\(?(.*?)\)?")
_CLAUSES: Final = re.compile(r"\s*(?:;|,(?=\s|[a-z])|\band\b|\bwith\b)\s*")
_CROSS: Final = r"\s*(?:[x×*]|\bby\b)\s*"
_BY: Final = re.compile(rf"(.+?)(?:\s*\bwide)?{_CROSS}(.+?)(?:\s*\bdeep)?")
_WIDE_DEEP: Final = re.compile(r"(.+?)\s*\bwide\s+(.+?)\s*\bdeep")
_MIDDLE: Final = re.compile(r"([0-9]{1,3}|no|one|two|three|four|five|six)\s+(?:middle|cent(?:re|er))\s*bars?")
_FACE: Final = re.compile(r"face\s*[:=]?\s*(.+)|(.+?)\s*\bface")
_ENDING: Final = re.compile(r"(.+?)\s*\b(wide|deep|thick|up|down)")
_WORDS: Final = ("no", "one", "two", "three", "four", "five", "six")
_BARS: Final = {"wide": "bar_width", "deep": "bar_depth"}
_CLEATS: Final = {"thick": "cleat_thickness", "wide": "cleat_width", "up": "cleat_low", "down": "cleat_high"}


@dataclass(frozen=True, slots=True)
class BackWords:
    """What somebody wrote of a back; sizes may be left to others, such as columns of their own.

    Attributes
    ----------
    kind : str
        As of a :class:`~nesting.order.Back`.
    sizes : mapping of str to int
        Fields of a :class:`~nesting.order.Back` that were written.
    """

    kind: BackKind
    sizes: Mapping[str, int]

    def back(self, others: Mapping[str, int] | None = None) -> Back:
        """Return the back, with sizes from elsewhere where it states none itself."""
        return Back(self.kind, **{**(others or {}), **self.sizes})


def read_words(text: str, units: UnitSystem = "inch", bare: LengthUnit | None = None) -> BackWords:
    """Read a back as people write it.

    Parameters
    ----------
    text : str
        Not blank.
    units, bare
        What bare numbers mean, as for :func:`nesting.base.measure.parse_length`.

    Raises
    ------
    MeasureError
        For anything that is no back, and sizes that are no lengths or out of their limits.
    """
    head = _HEAD.fullmatch(plain(text))
    kind = KINDS.get(head[1]) if head else None
    if head is None or kind is None:
        raise MeasureError(text, BACKS_ACCEPTED)
    clauses = [clause for clause in _CLAUSES.split(head[2]) if clause] if head[2] else []
    if kind == "solid" and clauses:
        raise MeasureError(text, BACKS_ACCEPTED)
    written: dict[str, str] = {}
    for clause in clauses:
        found = _cleat_clause(clause) if kind == "cleated" else _bar_clause(clause)
        if not found or found.keys() & written.keys():
            raise MeasureError(text, BACKS_ACCEPTED)
        written |= found
    if kind == "cleated" and written and written.keys() != set(CLEAT_SIZES):
        raise MeasureError(text, f"{BACKS_ACCEPTED}: all four of thick, wide, up and down, or none of them")
    sizes: dict[str, int] = {}
    if "middle_bars" in written:
        sizes["middle_bars"] = middle_bars(text, written.pop("middle_bars"))
    # Sizes said in one breath may share the unit behind the last one; the face is said apart.
    for names in (("bar_width", "bar_depth"), ("face",), CLEAT_SIZES):
        told = [name for name in written if name in names]
        values = parse_lengths([written[name] for name in told], units, bare=bare)
        sizes |= {name: limited(text, name, value, units) for name, value in zip(told, values, strict=True)}
    return BackWords(kind, sizes)


def _bar_clause(clause: str) -> dict[str, str]:
    """Return what a part of the description of bars states; nothing where it is not understood."""
    if match := _MIDDLE.fullmatch(clause):
        return {"middle_bars": match[1]}
    if match := _FACE.fullmatch(clause):
        return {"face": match[1] or match[2]}
    if match := _BY.fullmatch(clause) or _WIDE_DEEP.fullmatch(clause):
        return {"bar_width": match[1], "bar_depth": match[2]}
    match = _ENDING.fullmatch(clause)
    return {_BARS[match[2]]: match[1]} if match and match[2] in _BARS else {}


def _cleat_clause(clause: str) -> dict[str, str]:
    """Return what a part of the description of cleats states; nothing where it is not understood."""
    match = _ENDING.fullmatch(clause)
    return {_CLEATS[match[2]]: match[1]} if match and match[2] in _CLEATS else {}


def middle_bars(text: str, number: str) -> int:
    """Read how many middle bars there are.

    Raises
    ------
    MeasureError
        Where there are more than a back may have.
    """
    count = _WORDS.index(number) if number in _WORDS else int(number)
    if count > MOST_MIDDLE_BARS:
        raise MeasureError(text, f"0 to {MOST_MIDDLE_BARS} middle bars")
    return count


def keys_of(kind: str) -> tuple[str, ...]:
    """Return the fields of a :class:`~nesting.order.Back` that a kind may state."""
    if kind in ("strainer", "cradle"):
        return (*BAR_SIZES, "middle_bars")
    return CLEAT_SIZES if kind == "cleated" else ()


def limits(name: str) -> tuple[int, int]:
    """Return the least and the greatest value of one of :data:`SIZES`."""
    return (0, GREATEST_SIDE) if name in _FLUSH else (1, _GREATEST)


def limited(text: str, name: str, value: int, units: UnitSystem) -> int:
    """Return a size within its limits.

    Raises
    ------
    MeasureError
        Where it is not.
    """
    low, high = limits(name)
    if low <= value <= high:
        return value
    least = "more than zero, " if low else ""
    told = name.replace("_", " ")
    raise MeasureError(text, f"for the {told} a length {least}{format_length(high, units, mark=True)} at the most")


def write_words(kind: str, sizes: Mapping[str, str]) -> str:
    """Write a back from its sizes as text, in the form that :func:`read_words` reads.

    Parameters
    ----------
    kind : str
        Of the back.
    sizes : mapping of str to str
        Fields of a :class:`~nesting.order.Back` that are stated.
    """
    width, depth = sizes.get("bar_width"), sizes.get("bar_depth")
    if width and depth and (_has_unit(width) or not _has_unit(depth)):
        parts = [f"{width} x {depth}"]
    else:
        parts = _with_units_first((text, word) for text, word in ((width, "wide"), (depth, "deep")) if text)
    if "face" in sizes:
        parts.append(f"face {sizes['face']}")
    if "middle_bars" in sizes:
        count = sizes["middle_bars"]
        parts.append(f"{count} middle bar{'' if count == '1' else 's'}")
    parts += _with_units_first([(sizes[name], word) for word, name in _CLEATS.items() if name in sizes])
    return f"{kind} {', '.join(parts)}".strip()


def _with_units_first(told: Iterable[tuple[str, str]]) -> list[str]:
    """Write sizes with their words so that none borrows a unit that is written behind the last one."""
    return [f"{text} {word}" for text, word in sorted(told, key=lambda each: not _has_unit(each[0]))]


def _has_unit(text: str) -> bool:
    """Whether a length says its unit."""
    return bool(re.search(r"[a-z\"']", plain(text)))


def write_back(back: Back, units: UnitSystem = "inch") -> str:
    """Write a back so that :func:`read_words` gives the same one; every length bears its unit."""
    names: Sequence[str] = CLEAT_SIZES if back.says_where else [name for name in BAR_SIZES if getattr(back, name)]
    sizes = {name: format_length_exact(getattr(back, name), units, mark=True) for name in names}
    if back.middle_bars:
        sizes["middle_bars"] = str(back.middle_bars)
    return write_words(back.kind, sizes)


def said_with_units(entry: str, units: UnitSystem) -> str:
    """Return an entry of a shop's rule for words of a hollow build with the units that its bare numbers mean."""
    word, _, text = entry.partition("=")
    try:
        back = read_words(text.strip(), units).back()
    except ValueError:  # told where the rule is read
        return entry
    with suppress(ValueError):  # bare numbers may be too much as inches
        if read_words(text.strip()).back() == back:
            return entry
    return f"{word.strip()} = {write_back(back, units)}"


@lru_cache(maxsize=64)
def hollow_backs(entries: tuple[str, ...]) -> Mapping[str, Back]:
    """Read a shop's rule for words of a hollow build: the back that each of them means.

    Parameters
    ----------
    entries : tuple of str
        Such as ``"cradled = cradle 3/4 x 1 1/2, face 1/4"``; bare numbers are inches.

    Raises
    ------
    ValueError
        For the first entry that cannot be read.
    """
    backs: dict[str, Back] = {}
    for entry in entries:
        word, _, text = str(entry).partition("=")
        word = " ".join(word.lower().replace("-", " ").split())
        if word not in HOLLOW_WORDS or word in backs:
            told = f"each of {', '.join(HOLLOW_WORDS)} at most once before the =, and after it what it means"
            raise ValueError(f"hollow_backs: found {entry!r}; accepted: {told}; not so in {entry!r}")
        try:
            backs[word] = read_words(text.strip()).back()
            if backs[word].kind == "solid":
                raise MeasureError(text, "strainer or cradle with its bars, or cleated, for a word of a hollow build")
        except ValueError as error:
            told = error.accepted if isinstance(error, MeasureError) else str(error)
            raise ValueError(f"hollow_backs: found {entry!r}; accepted: {told}; not so in {entry!r}") from error
    return backs

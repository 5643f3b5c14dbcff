"""Exact lengths and weights: reading them as people write them, and writing them as a shop reads them.

A length is an integer count of 1/8 micrometre, so that 1/64 in (3,175) and 1 mm (8,000) are both whole numbers and two
equal lengths are equal. One inch is 25.4 mm exactly, one pound 0.45359237 kg exactly (international yard and pound
agreement of 1959, as in NIST Special Publication 811, appendix B). Other units (areas, pressures, densities) go through
pint, which is loaded only when :func:`convert` is first called because it is slow to start.

Reading refuses rather than guesses: ``1,200`` may mean twelve hundred or one and a fifth, so it is a
:class:`MeasureError` that asks.
"""

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from typing import TYPE_CHECKING, Final, Literal

if TYPE_CHECKING:
    import pint

UnitSystem = Literal["inch", "metric"]
LengthUnit = Literal["in", "ft", "mm", "cm", "m"]
WeightUnit = Literal["lb", "oz", "kg", "g"]

UNITS_PER_INCH: Final = 203_200
INCH: Final = UNITS_PER_INCH
FOOT: Final = 12 * INCH
MM: Final = 8_000
LONGEST: Final = 1_000_000 * MM
"""Longest length that is read, 1 km: beyond it a slip of the pen is certain."""

LB_KG: Final = Decimal("0.45359237")
"""Kilograms in one pound, exactly."""
HEAVIEST_KG: Final = Decimal(1_000_000)
"""Heaviest weight that is read, in kg; narrower limits belong to whoever asks."""

LENGTHS_ACCEPTED: Final = "a length such as 30 1/2, 2' 6\", 775 mm"
WEIGHTS_ACCEPTED: Final = "a weight such as 22 lb, 10 kg, 2 lb 8 oz"

_LENGTH_UNITS: Final[dict[str, int]] = {"in": INCH, "ft": FOOT, "mm": MM, "cm": 10 * MM, "m": 1000 * MM}
_WEIGHT_UNITS: Final[dict[str, Fraction]] = {
    "lb": Fraction(LB_KG),
    "oz": Fraction(LB_KG) / 16,
    "kg": Fraction(1),
    "g": Fraction(1, 1000),
}
_SPELLINGS: Final[dict[str, LengthUnit]] = {
    '"': "in", "in": "in", "inch": "in", "inches": "in", "ins": "in",
    "'": "ft", "ft": "ft", "foot": "ft", "feet": "ft",
    "mm": "mm", "millimetre": "mm", "millimetres": "mm", "millimeter": "mm", "millimeters": "mm",
    "cm": "cm", "centimetre": "cm", "centimetres": "cm", "centimeter": "cm", "centimeters": "cm",
    "m": "m", "metre": "m", "metres": "m", "meter": "m", "meters": "m",
}  # fmt: skip
_WEIGHT_SPELLINGS: Final[dict[str, WeightUnit]] = {
    "lb": "lb", "lbs": "lb", "pound": "lb", "pounds": "lb", "#": "lb",
    "oz": "oz", "ounce": "oz", "ounces": "oz",
    "kg": "kg", "kgs": "kg", "kilo": "kg", "kilos": "kg", "kilogram": "kg", "kilograms": "kg",
    "g": "g", "gr": "g", "gram": "g", "grams": "g",
}  # fmt: skip

# What typing, word processors and phones put in place of the plain marks.
_PLAIN: Final = str.maketrans(
    {
        **dict.fromkeys("‘’‛′ʹʼ`´‵", "'"),
        **dict.fromkeys("“”‟″ʺ„‶˝", '"'),
        **dict.fromkeys("‐‑‒–—−﹣", "-"),
        **dict.fromkeys("⁄∕", "/"),
        **dict.fromkeys(
            "\u00a0\u2000\u2001\u2002\u2003\u2004\u2005\u2006\u2007\u2008\u2009\u200a\u202f\u205f\u3000\t", " "
        ),
        **dict.fromkeys("\u200b\u200c\u200d\u200e\u200f\u2060\ufeff", ""),
        **{chr(code): chr(code - 0xFEE0) for code in range(0xFF01, 0xFF5F)},
    }
)
_STACKED: Final = re.compile(r"([⁰¹²³⁴⁵⁶⁷⁸⁹]{1,3})[⁄/]([₀₁₂₃₄₅₆₇₈₉]{1,3})")

_MOST_CHARACTERS: Final = 60
_NUMBER: Final = r"(?:[0-9]+(?:[.,][0-9]+)*[.,]?|[.,][0-9]+)"
_QUANTITY: Final = rf"(?:[0-9]+\s*/\s*[0-9]+|{_NUMBER}(?:\s*-\s*|\s+)[0-9]+\s*/\s*[0-9]+|{_NUMBER})"
_TERM: Final = re.compile(rf"\s*({_QUANTITY})\s*([a-z]+\.?|''|[\"'#])?\s*")
_FRACTION: Final = re.compile(r"(?:(.*?)(?:\s*-\s*|\s+))?([0-9]+)\s*/\s*([0-9]+)")


class MeasureError(ValueError):
    """A length or weight that cannot be read for certain.

    Attributes
    ----------
    found : str
        The text as it was written, shortened when very long.
    accepted : str
        What would have been accepted.
    """

    def __init__(self, found: str, accepted: str) -> None:
        self.found = shorten(found)
        self.accepted = accepted
        super().__init__(f'found "{self.found}"; accepted: {accepted}')


@dataclass(frozen=True, slots=True)
class _Term:
    """A quantity with the unit written behind it, if any."""

    value: Fraction
    unit: str | None


def shorten(text: str, most: int = 40) -> str:
    """Return the text on one line and no longer than ``most`` characters, for use in a message."""
    flat = "".join(c if c.isprintable() else " " for c in text[: 4 * most])
    flat = " ".join(flat.split())
    return flat if len(flat) <= most else flat[: most - 3].rstrip() + "..."


def given(raw: object, most: int = 40, *, text: bool = True) -> str:
    """Return a value of a file for use in a message, which puts it in quotes.

    Parameters
    ----------
    most : int
        As of :func:`shorten`.
    text : bool
        Whether text was wanted; where it was not, text says what it is.
    """
    if not isinstance(raw, str):
        return shorten(repr(raw), most)
    told = shorten(raw, most) or "nothing"
    return told if text else f"{told} as text"


def plain(text: str) -> str:
    """Replace typographic marks, spaces and fraction characters by the plain ones, in lower case."""
    text = _STACKED.sub(lambda m: f" {unicodedata.normalize('NFKC', m[1])}/{unicodedata.normalize('NFKC', m[2])}", text)
    spread = []
    for c in text:
        if unicodedata.decomposition(c).startswith("<fraction>") and unicodedata.numeric(c, None) is not None:
            # A fraction character stands apart from the whole number before it: 30½ is 30 1/2, not 301/2.
            spread.append(f" {unicodedata.normalize('NFKC', c)} ")
        else:
            spread.append(c)
    return " ".join("".join(spread).translate(_PLAIN).lower().split())


def _number(text: str, found: str, accepted: str) -> Fraction:
    """Read digits with a decimal point or comma; ask where a comma could be either."""
    if not re.search(r"[.,]", text):
        return Fraction(int(text))
    if re.fullmatch(r"[1-9][0-9]{0,2}(,[0-9]{3})+\.[0-9]+", text):
        return Fraction(text.replace(",", ""))
    if re.fullmatch(r"[1-9][0-9]{0,2}(\.[0-9]{3})+,[0-9]+", text):
        return Fraction(text.replace(".", "").replace(",", "."))
    if re.fullmatch(r"[1-9][0-9]{0,2},[0-9]{3}", text):
        whole, point = text.replace(",", ""), text.replace(",", ".")
        raise MeasureError(found, f"{whole} or {point}, written without the comma, which may mean either")
    if re.fullmatch(r"[0-9]*[.,][0-9]+|[0-9]+\.", text):
        return Fraction(text.replace(",", ".").rstrip("."))
    raise MeasureError(found, accepted)


def _quantity(text: str, found: str, accepted: str) -> Fraction:
    """Read a number, a fraction, or a whole number and a fraction."""
    match = _FRACTION.fullmatch(text)
    if match is None:
        return _number(text, found, accepted)
    whole, over, under = match[1], int(match[2]), int(match[3])
    if under == 0:
        raise MeasureError(found, f"{accepted}; a fraction over zero is no number")
    if whole is None:
        return Fraction(over, under)
    if not whole.isdigit():
        raise MeasureError(found, f"{accepted}; a decimal or a fraction, not both")
    if over >= under:
        raise MeasureError(found, f"{accepted}; the fraction after a whole number is less than one")
    return int(whole) + Fraction(over, under)


def _terms(text: str, spellings: dict[str, LengthUnit] | dict[str, WeightUnit], accepted: str) -> list[_Term]:
    """Split a measure into its quantities and units; at least one."""
    if len(text) > _MOST_CHARACTERS:
        raise MeasureError(text, accepted)
    read = plain(text)
    if re.match(r"[-(]\s*[0-9.,]", read):
        raise MeasureError(text, f"{accepted}, not negative")
    terms: list[_Term] = []
    at = 0
    while at < len(read):
        match = _TERM.match(read, at)
        if match is None or len(terms) == 2:
            raise MeasureError(text, accepted)
        word = match[2]
        unit: str | None = None
        if word is not None:
            unit = spellings.get('"' if word == "''" else word.removesuffix("."))
            if unit is None:
                raise MeasureError(text, accepted)
        terms.append(_Term(_quantity(match[1], text, accepted), unit))
        at = match.end()
        joined = re.compile(r"(?:-|,|and\b)\s*").match(read, at)
        if joined is not None and unit is not None:
            at = joined.end()
            if at == len(read):
                raise MeasureError(text, accepted)
    if not terms:
        raise MeasureError(text, accepted)
    return terms


def _half_up(value: Fraction) -> int:
    """Round to the nearest integer, halves upward (of a value that is not negative)."""
    return (2 * value.numerator + value.denominator) // (2 * value.denominator)


def parse_length(text: str, units: UnitSystem = "inch", *, bare: LengthUnit | None = None) -> int:
    """Read a length as people write it.

    Understood are ``30``, ``30.5``, ``30 1/2``, ``30-1/2"``, ``30½``, ``2' 6 1/2"``, ``2 ft 6 in``, ``775 mm``,
    ``77.5 cm``, ``1.2 m``, with straight or curly quotes or prime signs. A comma is a decimal comma where it cannot
    separate thousands (``77,5 cm``).

    Parameters
    ----------
    text : str
        What was written.
    units : {"inch", "metric"}
        Unit of a bare number: inches or millimetres.
    bare : {"in", "ft", "mm", "cm", "m"}, optional
        Unit of a bare number where something nearer says so, such as the heading ``width (cm)``.

    Returns
    -------
    int
        Zero or more, in 1/8 micrometre: exact where the length is on that grid (all 1/64 in, all 0.001 mm), else the
        nearest, halves upward.

    Raises
    ------
    MeasureError
        For anything else, negative and ambiguous lengths and lengths over 1 km included.
    """
    unit = bare or ("in" if units == "inch" else "mm")
    terms = _terms(text, _SPELLINGS, LENGTHS_ACCEPTED)
    first = terms[0]
    total = first.value * _LENGTH_UNITS[first.unit or unit]
    if len(terms) == 2:
        second = terms[1]
        if first.unit != "ft" or second.unit not in ("in", None):
            raise MeasureError(text, LENGTHS_ACCEPTED)
        if second.value >= 12 or first.value.denominator != 1:
            raise MeasureError(text, f"{LENGTHS_ACCEPTED}; whole feet, and less than 12 inches after them")
        total += second.value * INCH
    if total > LONGEST:
        raise MeasureError(text, f"{LENGTHS_ACCEPTED}, of 1 km at the most")
    return _half_up(total)


def parse_lengths(
    parts: Sequence[str], units: UnitSystem = "inch", *, bare: LengthUnit | None = None
) -> tuple[int, ...]:
    """Read lengths that may share the unit behind the last one: ``30 x 40 x 2 cm``.

    A unit that stands behind the last number only counts for all; otherwise each bare number is in the unit that
    ``units`` and ``bare`` say, as for :func:`parse_length`.
    """
    tail = re.search(r"(?:\s|(?<=[0-9./,]))(in|ins|inch|inches|ft|mm|cm|m)\.?\s*$", plain(parts[-1])) if parts else None
    if tail and not any(re.search(r"[a-z\"']", plain(part)) for part in parts[:-1]):
        bare = _SPELLINGS[tail[1]]
    return tuple(parse_length(part, units, bare=bare) for part in parts)


def with_unit(text: str, units: UnitSystem) -> str:
    """Return a length as somebody wrote it, with the unit that its bare number means; what is no length stays.

    Text that is kept says what it means, whatever is made of the shop that it was typed in.
    """
    try:
        bare = units == "metric" and parse_length(text) != parse_length(text, units)
    except MeasureError:
        return text
    return f"{text.strip()} mm" if bare else text


def parse_weight(text: str, units: UnitSystem = "inch", *, bare: WeightUnit | None = None) -> Decimal:
    """Read a weight as people write it: ``22 lb``, ``22.5``, ``2 lb 8 oz``, ``10 kg``, ``800 g``.

    Parameters
    ----------
    text : str
        What was written.
    units : {"inch", "metric"}
        Unit of a bare number: pounds or kilograms.
    bare : {"lb", "oz", "kg", "g"}, optional
        Unit of a bare number where something nearer says so.

    Returns
    -------
    Decimal
        Kilograms, zero or more: exact, or to the nearest microgram where a fraction such as 1/3 has no end.

    Raises
    ------
    MeasureError
        For anything else, negative and ambiguous weights and weights over 1000 t included.
    """
    unit = bare or ("lb" if units == "inch" else "kg")
    terms = _terms(text, _WEIGHT_SPELLINGS, WEIGHTS_ACCEPTED)
    first = terms[0]
    total = first.value * _WEIGHT_UNITS[first.unit or unit]
    if len(terms) == 2:
        second = terms[1]
        if first.unit != "lb" or second.unit != "oz":
            raise MeasureError(text, WEIGHTS_ACCEPTED)
        if second.value >= 16:
            raise MeasureError(text, f"{WEIGHTS_ACCEPTED}; less than 16 ounces after the pounds")
        total += second.value * _WEIGHT_UNITS["oz"]
    if total > HEAVIEST_KG:
        raise MeasureError(text, f"{WEIGHTS_ACCEPTED}, of 1000 t at the most")
    return _decimal(total)


def _decimal(value: Fraction) -> Decimal:
    """Return the fraction as a decimal: exact where it ends, else to nine places, without trailing zeros."""
    places, rest = 0, value.denominator
    while rest % 10 == 0:
        places, rest = places + 1, rest // 10
    for prime in (2, 5):
        while rest % prime == 0:
            places, rest = places + 1, rest // prime
    if rest != 1:
        places = 9
    digits = _half_up(value * 10**places)
    while places and digits % 10 == 0:
        places, digits = places - 1, digits // 10
    return Decimal(f"{digits}E-{places}")


def format_length(value: int, units: UnitSystem = "inch", denominator: int = 32, *, mark: bool = False) -> str:
    """Write a length for the shop: ``30 1/2`` in inches, ``775.5`` in millimetres.

    Parameters
    ----------
    value : int
        In 1/8 micrometre.
    units : {"inch", "metric"}
        Inches to the nearest fraction, or millimetres to 0.1; halves go up (away from zero).
    denominator : int
        The finest fraction of an inch; not used for metric.
    mark : bool
        Whether to add the unit: ``30 1/2 in``, ``775.5 mm``.

    Returns
    -------
    str
        Readable by :func:`parse_length` (if not negative).
    """
    text = _rounded_text(abs(value), units, denominator)
    sign = "-" if value < 0 and text != "0" else ""
    return f"{sign}{text} {'mm' if units == 'metric' else 'in'}" if mark else f"{sign}{text}"


def what_is_left(value: int, units: UnitSystem) -> int:
    """Return a length of what cutting leaves as people are told it: kerfs lie in it, so whole millimetres of it."""
    return value // MM * MM if units == "metric" else value


@lru_cache(maxsize=1 << 14)
def _rounded_text(size: int, units: UnitSystem, denominator: int) -> str:
    """Write a length that is not negative, without its unit; papers say the same few lengths again and again."""
    if units == "metric":
        whole, part = divmod(_half_up(Fraction(size * 10, MM)), 10)
        return f"{whole}.{part}" if part else str(whole)
    return _mixed(Fraction(_half_up(Fraction(size * denominator, INCH)), denominator))


def format_length_exact(value: int, units: UnitSystem = "inch", *, mark: bool = False) -> str:
    """Write a length without rounding, so that :func:`parse_length` gives the same integer back.

    Inches are written to 1/64; a length that no 1/64 in hits is written in millimetres, with its unit always.
    """
    sign, size = ("-" if value < 0 else ""), abs(value)
    if units == "inch" and size % (INCH // 64) == 0:
        text, unit = _mixed(Fraction(size, INCH)), "in"
    else:
        text, unit = f"{_decimal(Fraction(size, MM)):f}", "mm"
        mark = mark or units == "inch"
    return f"{sign}{text} {unit}" if mark else f"{sign}{text}"


def format_weight(kg: Decimal | float, units: UnitSystem = "inch", *, mark: bool = False) -> str:
    """Write a weight to one decimal, in pounds or kilograms: ``18``, ``22.5 lb``, ``10.2 kg``.

    Parameters
    ----------
    kg : Decimal or float
        Kilograms.
    units : {"inch", "metric"}
        Pounds or kilograms.
    mark : bool
        Whether to add the unit.
    """
    exact = Fraction(kg)
    sign, size = ("-" if exact < 0 else ""), abs(exact)
    unit = "kg" if units == "metric" else "lb"
    whole, part = divmod(_half_up(size / _WEIGHT_UNITS[unit] * 10), 10)
    text = f"{whole}.{part}" if part else str(whole)
    sign = "" if text == "0" else sign
    return f"{sign}{text} {unit}" if mark else f"{sign}{text}"


def _mixed(inches: Fraction) -> str:
    """Write a fraction as a whole number and a proper fraction."""
    whole, rest = divmod(inches, 1)
    if not rest:
        return str(whole)
    return f"{whole} {rest}" if whole else str(rest)


def inches(value: int) -> float:
    """Return the length in inches as a float, for physics only; never to decide a fit."""
    return value / INCH


def millimetres(value: int) -> float:
    """Return the length in millimetres as a float, for physics only; never to decide a fit."""
    return value / MM


def pounds(kg: Decimal | float) -> float:
    """Return a weight given in kilograms in pounds, as a float, for physics and rules of thumb."""
    return _pounds(kg)


@lru_cache(maxsize=1 << 12)
def _pounds(kg: Decimal | float) -> float:
    return float(Fraction(kg) / _WEIGHT_UNITS["lb"])


@lru_cache(maxsize=1)
def registry() -> "pint.UnitRegistry[float]":
    """Return the one pint registry, loaded at the first call (about a quarter of a second)."""
    import pint

    return pint.UnitRegistry()


def convert(value: float, unit: str, into: str) -> float:
    """Convert a number between any two units of one kind, through pint.

    Parameters
    ----------
    value : float
        Number of ``unit``.
    unit, into : str
        Units as pint writes them, such as ``"lb/ft**2"`` and ``"kg/m**2"``.

    Raises
    ------
    pint.DimensionalityError
        When the units measure different things.
    """
    quantity = registry().Quantity(value, unit)
    return float(quantity.to(into).magnitude)

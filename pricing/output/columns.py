"""Columns of the tables: one cell as a value, written in two ways.

For programs (format 2) a heading is one word that ends in its unit, a length, a weight or an amount is a number, and
the fraction of a length in inches stands as text in a column of its own, with its unit behind it. Kept with a quote
(format 1) stand the words that people read, as every quote that was ever sent has them: old and new ones compare.
"""

import re
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any, Final, Literal, NamedTuple

from nesting.base.measure import INCH, LB_KG, MM, UnitSystem, format_length, format_weight
from pricing.money import half_up

Kind = Literal["plain", "money", "length", "weight", "kg", "days", "step"]
_FINE: Final = Decimal("0.000001")
_TENTH: Final = Decimal("0.1")
_LENGTH: Final[dict[UnitSystem, tuple[str, int]]] = {"inch": ("in", INCH), "metric": ("mm", MM)}
_WEIGHT: Final[dict[UnitSystem, str]] = {"inch": "lb", "metric": "kg"}


class Terms(NamedTuple):
    """What a quote counts in."""

    units: UnitSystem
    currency: str


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table.

    Attributes
    ----------
    name : str
        In words, as people read it and as it is kept.
    kind : str
        What its cells hold: ``"plain"`` is text, counts, parts of one and days; ``"money"`` an amount; ``"length"`` a
        count of the exact grid; ``"weight"`` and ``"kg"`` kilograms; ``"days"`` the fewest and the most;
        ``"step"`` a part of one, and an amount that a step keeps to, of which one is given.
    called : str
        Its name for programs, without the unit; made of `name` where empty.
    a : str
        What one of its amounts is for, such as an hour.
    """

    name: str
    kind: Kind = "plain"
    called: str = ""
    a: str = ""

    def headings(self, terms: Terms) -> tuple[str, ...]:
        """Return what stands above its cells for programs: one word, its unit last."""
        name = self.called or word(self.name)
        if self.kind == "length":
            unit = _LENGTH[terms.units][0]
            return (f"{name}_{unit}", f"{name}_fraction") if unit == "in" else (f"{name}_{unit}",)
        if self.kind in ("weight", "kg"):
            return (f"{name}_{_WEIGHT[terms.units]}",)
        if self.kind == "money":
            return (f"{name}_{terms.currency.lower()}" + (f"_per_{self.a}" if self.a else ""),)
        if self.kind == "days":
            return f"{name}_least", f"{name}_most"
        if self.kind == "step":
            return name, f"kept_to_{terms.currency.lower()}"
        return (name,)

    def cells(self, value: Any, terms: Terms) -> tuple[Any, ...]:
        """Return a cell for programs: a value for each heading, None where there is none."""
        if self.kind == "length":
            return _length(value, terms.units)
        if self.kind in ("weight", "kg"):
            return (None if value is None else _weight(value, terms.units),)
        if self.kind in ("days", "step"):
            return tuple(value)
        return (value,)

    def kept(self, value: Any, terms: Terms) -> Any:
        """Return a cell as it is kept."""
        if self.kind == "length":
            return "" if value is None else format_length(value, terms.units)
        if self.kind == "weight":
            return format_weight(value, terms.units)
        if self.kind == "kg":
            return half_up(Decimal(value), _TENTH)
        if self.kind == "days":
            few, most = value
            return "" if most is None else f"{most}" if few in (None, most) else f"{few} to {most}"
        if self.kind == "step":
            return next((each for each in value if each is not None), None)
        return value


def word(name: str) -> str:
    """Return a name as one word of small letters, digits and underscores, as every language can name it."""
    return re.sub(r"[^a-z0-9]+", "_", name.lower().replace("'", "")).strip("_")


def _length(value: int | None, units: UnitSystem) -> tuple[Any, ...]:
    """Return a length as a number that gives the exact one back, and in inches as the fraction that a tape shows.

    A grid line is 0.0000049 in or 0.000125 mm, so that six places hold it. The fraction has its unit behind it: a bare
    3/8 becomes the third of August, or the eighth of March, in a spreadsheet.
    """
    unit = _LENGTH[units][1]
    number = None if value is None else half_up(Fraction(value, unit), _FINE).normalize()
    if units == "metric":
        return (number,)
    return number, "" if value is None else format_length(value, units, mark=True)


def _weight(kg: Any, units: UnitSystem) -> Decimal:
    """Return a weight to a tenth, as all papers show it."""
    return half_up(Fraction(kg) / (1 if units == "metric" else Fraction(LB_KG)), _TENTH)


def as_number(value: Decimal) -> int | float:
    """Return a decimal as the number that JSON writes for it.

    Every amount and measure here has 15 digits at the most, which each double gives back (RFC 8259, section 6, on
    what readers agree on).
    """
    return int(value) if value == value.to_integral_value() else float(value)


def plain(value: Any) -> Any:
    """Return a cell for JSON for programs: numbers as numbers, days in ISO form."""
    if isinstance(value, Decimal):
        return as_number(value)
    return value.isoformat() if isinstance(value, date) else value


_SIGNS: Final = r"\s*[-/.,:\s]\s*"
_MONTH: Final = (
    r"(?:jan|ene|gen|feb|fév|fev|mar|mär|apr|avr|abr|mai|may|mag|jun|jui|giu|jul|lug|aug|aoû|ago|sep|set|oct|okt|ott|"
    r"nov|dec|dez|déc|dic)\w*\.?"
)
_DAY_LIKE: Final = re.compile(
    rf"\d+(?:{_SIGNS}\d+)+[.]?|\d+\.?[-/.,\s]*{_MONTH}(?:[-/.,\s]*\d+)?|{_MONTH}[-/.,\s]*\d+(?:[-/.,\s]+\d+)?"
    r"|\d+(?::\d+)+\s*[ap]\.?m\.?|0\d+|\d+(?:\.\d*)?e[+-]?\d+",
    re.IGNORECASE,
)
_ISO: Final = re.compile(r"\d{4}-\d\d-\d\d")


def as_text(cell: Any) -> Any:
    """Return a cell for CSV: an apostrophe before text that a spreadsheet would show as a day, an hour or a number.

    A piece may be called ``3-4`` or ``007``; months are known in English, German, French, Spanish and Italian. Only
    days in ISO form are taken for what they are. Formulas are guarded where the file is written.
    """
    if isinstance(cell, str) and _DAY_LIKE.fullmatch(cell.strip()) and not _ISO.fullmatch(cell):
        return f"'{cell}"
    return cell

"""Style: one type, three weights of ink, one wood tone, and a pale ground under every cell that may be changed."""

from collections.abc import Mapping
from decimal import Decimal
from functools import lru_cache
from typing import Any, Final

from nesting.base.measure import INCH, MM, UnitSystem, format_length, format_weight
from nesting.base.writing import PLAIN, Writing
from nesting.drawings.typeface import printable, wrapped

FONT: Final = "Arial"
INK: Final = "#23292C"
QUIET: Final = "#646B6D"
WOOD: Final = "#7A5230"
RULE: Final = "#C9C2B6"
TINT: Final = "#F4F1EB"
YOURS: Final = "#FFF6D6"
ALARM: Final = "#9A2B1E"
PAPER: Final = "#FFFFFF"

SIZE: Final = 9
POINT_PX: Final = 96 / 72
_WIDER: Final = 1.02
"""How much wider the faces that a viewer may put in place of ours run in their columns than the face measured here."""

MONEY: Final = "#,##0.00;-#,##0.00;0.00"
MONEY_OR_DASH: Final = "#,##0.00;-#,##0.00;–"
RATE: Final = "0.0##%"
DAY: Final = "yyyy-mm-dd"
DAY_WITH_POINTS: Final = "dd.mm.yyyy"

_BASES: Final[Mapping[str, dict[str, Any]]] = {
    "text": {},
    "wrap": {"text_wrap": True},
    "quiet": {"font_color": QUIET},
    "quiet wrap": {"font_color": QUIET, "text_wrap": True},
    "alarm": {"font_color": ALARM, "text_wrap": True},
    "strong": {"bold": True},
    "title": {"bold": True, "font_size": 18, "font_color": WOOD, "valign": "vcenter"},
    "lead": {"font_color": QUIET, "text_wrap": True, "valign": "top"},
    "section": {"bold": True, "font_size": 11, "font_color": WOOD, "valign": "bottom"},
    "head": {"bold": True, "font_size": 8, "bottom": 1, "text_wrap": True, "valign": "bottom", "bg_color": TINT},
    "head right": {
        "bold": True, "font_size": 8, "bottom": 1, "text_wrap": True, "valign": "bottom", "align": "right",
        "bg_color": TINT,
    },
    "count": {"num_format": "0", "align": "right"},
    "quantity": {"num_format": "General", "align": "right"},
    "number": {"num_format": "General", "align": "right"},
    "fraction": {"num_format": "0.000", "align": "right"},
    "part": {"num_format": "0.0%;-0.0%;–", "align": "right"},
    "money": {"num_format": MONEY, "align": "right"},
    "money or dash": {"num_format": MONEY_OR_DASH, "align": "right"},
    "rate": {"num_format": RATE, "align": "right"},
    "day": {"num_format": DAY, "align": "left"},
    "weight": {"num_format": "#,##0.0", "align": "right"},
    "box": {"align": "center"},
    "right": {"align": "right"},
}  # fmt: skip

_MARKS: Final[Mapping[UnitSystem, str]] = {"inch": "in", "metric": "mm"}
_MEASURED: Final = 1200
_WIDEST: Final = 2.0
"""No letter of the typeface is wider, in its size: what is short needs no measuring."""


@lru_cache(maxsize=65_536)
def text_lines(text: str, width: float, size: float = SIZE, *, bold: bool = False) -> int:
    """Return how many lines a text takes in a cell of that many pixels, in the widest face that may stand in."""
    room = max(8.0, (width - 8) / POINT_PX / _WIDER)
    if len(text) * size * _WIDEST <= room and "\n" not in text:
        return 1
    if len(text) > _MEASURED:  # no row is high enough to show more
        return _MEASURED // 10
    return sum(len(wrapped(printable(line), size, room, bold=bold)) for line in text.split("\n"))


class Styles:
    """Makes each format of a workbook once.

    Parameters
    ----------
    workbook : xlsxwriter.Workbook
        Where they are made.
    currency : str
        Of the totals that name it.
    units : {"inch", "metric"}
        Of lengths and weights.
    writing : Writing
        How figures and days are written in texts; numbers are shown as the reader's own program does.
    """

    def __init__(
        self,
        workbook: Any,
        currency: str,
        units: UnitSystem,
        writing: Writing = PLAIN,
    ) -> None:
        self.writing = writing
        self._workbook = workbook
        self.currency = currency
        self.units = units
        self._made: dict[tuple[tuple[str, Any], ...], Any] = {}
        # The same by how they are asked for, since every cell asks.
        self._asked: dict[tuple[Any, ...], Any] = {}

    def get(self, base: str, *, yours: bool = False, **changes: Any) -> Any:
        """Return a format: one of the bases, changed; ``yours`` marks a cell that may be changed."""
        asked = (base, yours, *changes.items())
        if asked in self._asked:
            return self._asked[asked]
        facts: dict[str, Any] = {"font_name": FONT, "font_size": SIZE, "font_color": INK, "valign": "vcenter"}
        facts |= _BASES[base] | changes
        if self.writing.points_in_days and facts.get("num_format") == DAY:
            facts["num_format"] = DAY_WITH_POINTS
        if yours:
            facts |= {"bg_color": YOURS}
        key = tuple(sorted(facts.items()))
        if key not in self._made:
            self._made[key] = self._workbook.add_format(facts)
        self._asked[asked] = self._made[key]
        return self._made[key]

    @property
    def total_format(self) -> str:
        """Number format of an amount that names its currency."""
        return f'"{self.currency}" #,##0.00'

    def length(
        self, value: int, denominator: int = 32, own: UnitSystem | None = None, **changes: Any
    ) -> tuple[float, Any]:
        """Return a length as a number of the job's unit, with a format that shows it as it is read at the saw.

        What is sold in a unit of its `own` is measured in that, which the format writes behind it.

        The number is exact; inches are shown to the nearest fraction in lowest terms, millimetres to 0.1, as
        :func:`~nesting.base.measure.format_length` writes them. The format states its own denominator, since a free one
        would show 53.244 as 53 10/41.
        """
        units = own or self.units
        shown = format_length(value, units, denominator)
        mark = f'" {_MARKS[units]}"' if units != self.units else ""
        if units == "metric":
            form = ("0.0" if "." in shown else "0") + mark
            return value / MM, self.get("number", **({"num_format": form} | changes))
        above, fraction, below = shown.rpartition("/")
        digits = len(above.rpartition(" ")[2])
        number_format = (f"# {'?' * digits}/{below}" if fraction else "0") + mark
        return value / INCH, self.get("number", **({"num_format": number_format} | changes))

    def weight(self, kg: Decimal | float) -> float:
        """Return a weight as a number of the order's unit, rounded as :mod:`nesting.base.measure` does."""
        return float(format_weight(kg, self.units))

    @property
    def length_unit(self) -> str:
        """Unit of lengths, as headings give it."""
        return _MARKS[self.units]

    @property
    def weight_unit(self) -> str:
        """Unit of weights, as headings give it."""
        return "kg" if self.units == "metric" else "lb"

"""The drawing of a calendar: one bar a line, days on top, what is late marked. Readable in black and white.

What a bar is stands in words at its left; its pattern repeats it: days that only pass (a cure, a delivery) are
hatched, work is grey, a day that something happens on is black. A bar that ends after its due day bears that day as a
bold upright stroke and the days beyond it as a bold rim, and says how many they are.

Plain dates in, a scene of scale 1 out: nothing here knows how the days were found.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final, Literal

from nesting.base.counts import plural
from nesting.drawings.scene import (
    BLACK,
    BOLD,
    FAINT,
    PLAIN,
    POINT,
    THIN,
    WHITE,
    Item,
    Line,
    Scene,
    Text,
    hatch,
    rectangle,
)
from nesting.drawings.typeface import printable, shortened, text_width

Look = Literal["passing", "work", "moment"]

_ROW: Final = 15.0
_BAR: Final = 8.0
_LINE: Final = 10.0
_HEAD: Final = 26.0
_SIZE: Final = 8.0
_NAMES: Final = 0.30
"""Part of the width that the words at the left may take."""
_MOST_DAYS: Final = 40_000
"""More than lie between the first and the last day that an order can name: a wrong year is drawn, too."""
_FAR: Final = 366
"""Days from all bars beyond which a due day is told and takes no room: what is to be done keeps it."""
_STEPS: Final = (1, 2, 7, 14, 28, 91, 182, 364, 1820, 3640)
_SHADED: Final = 0.5
"""Days narrower than this, in points, would all be one grey: none is shaded."""
_GREY: Final = 0.72


@dataclass(frozen=True, slots=True)
class Bar:
    """One line of the drawing.

    Attributes
    ----------
    name : str
        What is done, with what; stands at the left.
    first, last : date
        Both days included.
    look : {"passing", "work", "moment"}
        Time that only passes, work, or something that happens on a day.
    due : date or None
        Last day that is in time.
    group : str
        Bars of a group stand together under no more than a thin rule between groups.
    beside : str
        What else is told: right of the bar where it fits there, else left of it, else in a line of its own below.
    """

    name: str
    first: date
    last: date
    look: Look = "work"
    due: date | None = None
    group: str = ""
    beside: str = ""

    def __post_init__(self) -> None:
        if self.last < self.first:
            raise ValueError(f"{self.name}: ends on {self.last}, before it begins on {self.first}")

    @property
    def late(self) -> int:
        """Days after the due day."""
        return max(0, (self.last - self.due).days) if self.due else 0


@dataclass(frozen=True, slots=True)
class _Days:
    """Where days lie on the drawing."""

    first: date
    count: int
    left: float
    day: float

    def start(self, day: date) -> float:
        """Return where a day begins."""
        return self.left + (day - self.first).days * self.day

    def end(self, day: date) -> float:
        """Return where a day ends."""
        return self.start(day) + self.day


# 6 arguments: what is drawn in which room, by keyword from there on
def bar_scenes(
    bars: Sequence[Bar],
    width: float,
    height: float,
    *,
    off: frozenset[date] = frozenset(),
    title: str = "Calendar",
    more: float = 0.0,
) -> list[Scene]:
    """Draw bars under their days, on as many drawings as their height asks for.

    Parameters
    ----------
    bars : sequence of Bar
        In the order of the drawing; none gives none.
    width, height : float
        Room on paper, in points: a drawing is as wide as the room and at most as high.
    off : frozenset of date
        Days on which nobody works; shown grey.
    title : str
        For readers who cannot see the drawing.
    more : float
        How high every drawing but the first may be; as high as the first when not given.

    Raises
    ------
    ValueError
        Where the room is too small for a line, or the days span more than a hundred years.
    """
    if not bars:
        return []
    if height < _HEAD + _ROW or width < 200:
        raise ValueError(f"a room of {width:.0f} x {height:.0f} points is too small for bars under their days")
    first, last = span_of(bars)
    count = (last - first).days + 1
    if count > _MOST_DAYS:
        raise ValueError(f"the days span {count} days; a drawing takes {_MOST_DAYS} at the most")
    widest = max(text_width(printable(bar.name), _SIZE) for bar in bars)
    left = min(widest + 6, width * _NAMES)
    tail = max(text_width(_tail(bar), _SIZE, bold=True) + 6 for bar in bars) if any(b.late for b in bars) else 2.0
    days = _Days(first, count, left, (width - left - tail) / count)
    return [_scene(page, days, width, off, title) for page in _pages(bars, days, width, height, more or height)]


# 5 arguments: what is drawn, and how high the first drawing and the others may be
def _pages(bars: Sequence[Bar], days: _Days, width: float, height: float, more: float) -> list[list[Bar]]:
    """Divide bars among drawings."""
    pages: list[list[Bar]] = [[]]
    room = height - _HEAD
    for bar in bars:
        high = _high(bar, days, width)
        if pages[-1] and room < high:
            pages.append([])
            room = more - _HEAD
        pages[-1].append(bar)
        room -= high
    return pages


def _high(bar: Bar, days: _Days, width: float) -> float:
    """Return how high the row of a bar is: two lines where what is told finds no room beside it."""
    return _ROW if _beside(bar, days, width) is not None or not bar.beside else _ROW + _LINE


def _beside(bar: Bar, days: _Days, width: float) -> float | None:
    """Return where the text begins that stands beside a bar, None where it has no room there."""
    wide = text_width(printable(bar.beside), _SIZE)
    start = days.end(bar.last) + (text_width(_tail(bar), _SIZE, bold=True) + 8 if bar.late else 4)
    if start + wide <= width - 2:
        return start
    start = days.start(bar.first) - wide - 4
    return start if start >= days.left + 2 else None


def span_of(bars: Sequence[Bar]) -> tuple[date, date]:
    """Return the first and the last day that bars need; due days count that are not far from all of them."""
    first, last = min(bar.first for bar in bars), max(bar.last for bar in bars)
    dues = [bar.due for bar in bars if bar.due and (first - bar.due).days <= _FAR and (bar.due - last).days <= _FAR]
    return min((first, *dues)), max((last, *dues))


def _scene(bars: Sequence[Bar], days: _Days, width: float, off: frozenset[date], title: str) -> Scene:
    height = _HEAD + sum(_high(bar, days, width) for bar in bars)
    items: list[Item] = []
    items += _off(days, height, off)
    items += _head(days, height)
    before = bars[0].group
    top = height - _HEAD
    for bar in bars:
        if bar.group != before:
            items.append(_line(0, top, width, top, thin=True))
            before = bar.group
        items += _bar(bar, days, top)
        items += _text(bar, days, top, width)
        top -= _high(bar, days, width)
    items.append(_line(0, 0, width, 0, thin=True))
    return Scene(width * POINT, height * POINT, tuple(items), title=f"{title}: {_said(bars)}")


def _line(x1: float, y1: float, x2: float, y2: float, *, thin: bool = False) -> Line:
    return Line((x1 * POINT, y1 * POINT), (x2 * POINT, y2 * POINT), FAINT if thin else THIN)


def _off(days: _Days, height: float, off: frozenset[date]) -> Iterator[Item]:
    """Shade the days on which nobody works, neighbours together."""
    if days.day < _SHADED:
        return
    run: list[date] = []
    for number in range(days.count + 1):
        day = days.first + timedelta(days=number)
        if day in off and number < days.count:
            run.append(day)
        elif run:
            x = days.start(run[0])
            yield rectangle(
                x * POINT, 0, (days.end(run[-1]) - x) * POINT, (height - _HEAD) * POINT, pen=None, fill=0.94
            )
            run = []


def _head(days: _Days, height: float) -> Iterator[Item]:
    """Write months above, and days below them as densely as they can be read."""
    base = height - _HEAD
    yield _line(0, base, days.end(days.first + timedelta(days=days.count - 1)), base)
    wide = text_width("28", _SIZE) + 4
    step = next((step for step in _STEPS if step * days.day >= wide), _STEPS[-1])
    # Weeks are counted from Mondays, so that lines stand where people expect them.
    start = days.first if step < 7 else days.first + timedelta(days=-days.first.weekday() % 7)
    for number in range((start - days.first).days, days.count, step):
        day = days.first + timedelta(days=number)
        x = days.start(day)
        yield _line(x, 0, x, base, thin=True)
        if x + text_width(str(day.day), _SIZE) < days.left + days.count * days.day + 4:
            yield Text(((x + 1) * POINT, (base + 3) * POINT), str(day.day), _SIZE)
    free = 0.0
    for number in range(days.count):
        day = days.first + timedelta(days=number)
        if number == 0 or day.day == 1:
            name = day.strftime("%Y-%m")
            x = max(days.start(day), free)
            if x + text_width(name, _SIZE, bold=True) <= days.left + days.count * days.day or number == 0:
                yield Text((x * POINT, (base + 14) * POINT), name, _SIZE, bold=True)
                free = x + text_width(name, _SIZE, bold=True) + 5


def _bar(bar: Bar, days: _Days, top: float) -> Iterator[Item]:
    """Draw one bar with its name, and what is late about it."""
    y = top - (_ROW + _BAR) / 2
    name = shortened(printable(bar.name), _SIZE, days.left - 4)
    if name:
        yield Text((0.0, (y + 1.6) * POINT), name, _SIZE, bold=bool(bar.late))
    x1, x2 = days.start(bar.first), days.end(bar.last)
    box = (x1 * POINT, y * POINT, (x2 - x1) * POINT, _BAR * POINT)
    tip = f"{bar.name}: {bar.first} to {bar.last}" if bar.first != bar.last else f"{bar.name}: {bar.first}"
    fill = {"passing": 1.0, "work": _GREY, "moment": BLACK}[bar.look]
    yield rectangle(*box, pen=PLAIN, fill=fill, tip=tip)
    if bar.look == "passing":
        yield from hatch(*box, 3.5 * POINT)
    if bar.due is not None and bar.late:
        due = days.end(bar.due)
        if bar.due >= days.first:
            yield Line((due * POINT, (y - 2.5) * POINT), (due * POINT, (y + _BAR + 2.5) * POINT), BOLD)
        over = max(due, x1)
        yield rectangle(over * POINT, y * POINT, (x2 - over) * POINT, _BAR * POINT, pen=BOLD)
        yield Text(((x2 + 4) * POINT, (y + 1.6) * POINT), _tail(bar), _SIZE, bold=True)


def _text(bar: Bar, days: _Days, top: float, width: float) -> Iterator[Item]:
    """Write what is told of a bar, on white, so that no line runs through it."""
    told = printable(bar.beside)
    if not told:
        return
    x = _beside(bar, days, width)
    y = top - (_ROW + _BAR) / 2 + 1.6 - (0 if x is not None else _LINE)
    if x is None:
        told = shortened(told, _SIZE, width - 14)
        x = min(max(days.left, 12.0), width - 2 - text_width(told, _SIZE))
    wide = text_width(told, _SIZE)
    yield rectangle((x - 1) * POINT, (y - 2) * POINT, (wide + 2) * POINT, 9.5 * POINT, pen=None, fill=WHITE)
    yield Text((x * POINT, y * POINT), told, _SIZE)


def _tail(bar: Bar) -> str:
    return f"{plural(bar.late, 'day')} late" if bar.late else ""


def _said(bars: Sequence[Bar]) -> str:
    late = sum(1 for bar in bars if bar.late)
    return plural(len(bars), "line") + (f", {late} late" if late else ", none late")

"""The calendar: the days as bars, each to be ticked off, with what is known of it."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from nesting.drawings.day_bars import Bar, bar_scenes
from nesting.drawings.packet.page import Flow
from nesting.drawings.packet.phrases import said
from nesting.drawings.packet.printing import Days, Printing
from nesting.drawings.typeface import LEAST, printable, text_width

_NAME = 150.0
"""How long a name may be to stand at the left of its bar, in points."""
_LEAST = 120.0
"""Height under which a drawing begins a new page, in points."""


def write_calendar(flow: Flow, printing: Printing) -> None:
    """Write the calendar; nothing where no days are known."""
    days = printing.days
    if days is None or not days.bars:
        return
    flow.paragraph(said("calendar", "about"), size=8.5)
    if days.told:
        flow.paragraph(" ".join(days.told), bold=True, after=2)
    flow.need(_LEAST)
    for scene in bar_scenes([*_merged(days)], flow.width, flow.room - 4, off=days.off, more=flow.whole - 4):
        flow.drawing(scene)


def _alike(days: Days) -> Iterator[tuple[str, Sequence[Bar]]]:
    """Yield what is done, those bars together that differ only in the piece or crate."""
    found: dict[tuple[object, ...], list[Bar]] = {}
    for bar in days.bars:
        verb = bar.name.partition(" ")[0]
        key = verb, bar.first, bar.last, bar.due, days.hours.get(bar.name), days.notes.get(bar.name)
        found.setdefault(key, []).append(bar)
    for bars in found.values():
        verb = bars[0].name.partition(" ")[0]
        yield f"{verb} {', '.join(bar.name.partition(' ')[2] for bar in bars)}".strip(), bars


def _merged(days: Days) -> Iterator[Bar]:
    """Yield the bars to draw, what is known of each told beside it."""
    for name, (bar, *others) in _alike(days):
        verb, _, things = name.partition(" ")
        short = name
        told = [f"{bar.first:%Y-%m-%d}" if bar.first == bar.last else f"{bar.first:%Y-%m-%d} to {bar.last:%m-%d}"]
        if text_width(printable(name), LEAST) > _NAME:
            short = f"{verb} {len(others) + 1} as told" if others else f"{verb}, as told"
            told.insert(0, things)
        told += [f"due {bar.due:%Y-%m-%d}"] if bar.due else []
        told += [f"{hours} h"] if (hours := days.hours.get(bar.name)) else []
        told += [note] if (note := days.notes.get(bar.name)) else []
        yield replace(bar, name=f"☐ {short}", beside=", ".join(told))

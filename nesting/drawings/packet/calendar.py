"""The calendar: the days as bars, then line by line to be ticked off."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from nesting.drawings.day_bars import Bar, bar_scenes
from nesting.drawings.packet.page import Column, Flow
from nesting.drawings.packet.phrases import said
from nesting.drawings.packet.printing import Days, Printing
from nesting.drawings.packet.side_by_side import column_table

_LEAST = 120.0
"""Height under which a drawing begins a new page, in points."""


def write_calendar(flow: Flow, printing: Printing) -> None:
    """Write the calendar; nothing where no days are known."""
    days = printing.days
    if days is None or not days.bars:
        return
    flow.paragraph(said("calendar", "about"), size=8.5)
    for text in days.told:
        flow.paragraph(text, bold=True)
    flow.need(_LEAST)
    for scene in bar_scenes(_merged(days), flow.width, flow.room - 4, off=days.off, more=flow.whole - 4):
        flow.drawing(scene)
    flow.heading("Line by line", keep=140)
    columns = [
        Column("", 0.2),
        Column("what", 2.7, bold=True),
        Column("first day", 1.0),
        Column("last day", 1.0),
        Column("due", 1.0),
        Column("late", 0.5, "end", bold=True),
        Column("hours", 0.6, "end"),
        Column("note", 2.4),
    ]
    column_table(flow, 1, columns, [["☐", *row] for row in _rows(days)])


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


def _merged(days: Days) -> list[Bar]:
    """Return the bars to draw, one for each row of the list."""
    return [replace(bars[0], name=name) for name, bars in _alike(days)]


def _rows(days: Days) -> Iterator[Sequence[str]]:
    """Yield a row for each thing to do."""
    for name, (bar, *_) in _alike(days):
        yield (
            name, f"{bar.first:%Y-%m-%d}", f"{bar.last:%Y-%m-%d}", f"{bar.due:%Y-%m-%d}" if bar.due else "",
            f"{bar.late} d" if bar.late else "", days.hours.get(bar.name, ""), days.notes.get(bar.name, ""),
        )  # fmt: skip

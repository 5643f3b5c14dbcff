"""The calendar: the days as bars, then line by line to be ticked off."""

from collections.abc import Iterator, Sequence

from nesting.drawings.day_bars import bar_scenes
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
    for scene in bar_scenes(days.bars, flow.width, flow.room - 4, off=days.off):
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


def _rows(days: Days) -> Iterator[Sequence[str]]:
    """Yield a row for each thing to do; those that differ only in the piece or crate share one."""
    found: dict[tuple[str, ...], list[str]] = {}
    for bar in days.bars:
        verb, _, rest = bar.name.partition(" ")
        told = (
            verb, f"{bar.first:%Y-%m-%d}", f"{bar.last:%Y-%m-%d}", f"{bar.due:%Y-%m-%d}" if bar.due else "",
            f"{bar.late} d" if bar.late else "", days.hours.get(bar.name, ""), days.notes.get(bar.name, ""),
        )  # fmt: skip
        found.setdefault(told, []).append(rest)
    for (verb, *rest_of), names in found.items():
        yield f"{verb} {', '.join(names)}".strip(), *rest_of

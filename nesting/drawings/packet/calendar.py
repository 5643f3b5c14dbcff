"""The calendar: the days as bars, then line by line to be ticked off."""

from nesting.drawings.day_bars import bar_scenes
from nesting.drawings.packet.page import Column, Flow
from nesting.drawings.packet.phrases import said
from nesting.drawings.packet.printing import Printing

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
    flow.heading("Line by line", keep=70)
    columns = [
        Column("", 0.25),
        Column("what", 2.6, bold=True),
        Column("first day", 0.95),
        Column("last day", 0.95),
        Column("due", 0.95),
        Column("late", 0.6, "end", bold=True),
        Column("hours", 0.55, "end"),
        Column("note", 2.2),
    ]
    rows = [
        [
            "☐", bar.name, f"{bar.first:%Y-%m-%d}", f"{bar.last:%Y-%m-%d}", f"{bar.due:%Y-%m-%d}" if bar.due else "",
            f"{bar.late} d" if bar.late else "", days.hours.get(bar.name, ""), days.notes.get(bar.name, ""),
        ]
        for bar in days.bars
    ]  # fmt: skip
    flow.table(columns, rows)

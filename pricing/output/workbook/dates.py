"""The Calendar page: what to pour, buy, cut, build, pack and hand over, on which days, as a table and as bars."""

from datetime import timedelta
from fractions import Fraction
from math import ceil
from typing import Final

from nesting.base.counts import plural
from pricing.ahead.calendar.dates import Calendar, Entry
from pricing.output.workbook.binder import Binder
from pricing.output.workbook.page import Formula, Page, Value, plain
from pricing.output.workbook.style import ALARM, RULE, TINT, WOOD
from pricing.quoting.labour import TITLES

_WIDTHS: Final = (70, 190, 88, 88, 88, 40, 48, 320)
_LEAD: Final = (
    "The days of this job, planned from the day of the quote by the hours of work, the people and days of the shop "
    "and the suppliers' times. The hours follow the page Costs; the days are fixed: other hours need another plan."
)
_BAR: Final = 12
_ROOMS: Final = {"cut": "saw", "build": "bench", "pack": "packing"}
"""Where the work of an entry is done."""


def fill(binder: Binder, calendar: Calendar) -> None:
    """Write the page."""
    page = binder.page("Calendar", _WIDTHS, breaks=False)
    page.title("Calendar", _LEAD)
    late = calendar.late
    if late:
        told = "; ".join(f"{entry.kind} {entry.what}: {plural(entry.late_days, 'day')}" for entry in late)
        page.paragraph(f"Late: {told}.", "alarm")
    else:
        page.paragraph("Nothing is late.", "strong")
    if calendar.last_day_to_buy is not None:
        page.put(0, "Last day to buy everything and be in time", span=2)
        page.put(2, calendar.last_day_to_buy, "day", bold=True)
        page.next()
    page.skip()
    page.list_heads("Work", "Of what", "First day", "Last day", "Due", "Late", "Hours", "Note", right=(5, 6))
    for entry in calendar.entries:
        _entry(binder, page, entry)
    page.end_list()
    page.skip()
    _bars(binder, page, calendar)
    page.finish(foot=binder.foot)


def _entry(binder: Binder, page: Page, entry: Entry) -> None:
    """Write one line."""
    late = entry.late_days
    page.put(0, entry.kind, "strong")
    page.put(1, entry.what, "wrap")
    page.put(2, entry.first, "day")
    last = page.put(3, entry.last, "day")
    due = page.put(4, entry.due, "day")
    page.put(5, Formula(f'IF({due}="","",MAX(0,{last}-{due}))', late if entry.due else ""), "count", bold=bool(late))
    page.put(6, _hours(binder, entry) if entry.hours else None, "number", num_format="0.0")
    page.put(7, entry.note, "quiet wrap")
    page.next()


def _hours(binder: Binder, entry: Entry) -> Value:
    """Return the hours of an entry by those of the operations on the page Costs, each with the part that it takes."""
    room = _ROOMS.get(entry.kind)
    names = (
        None if entry.kind == "cut" else {entry.what, *(each.crate for each in binder.quote.build.riding(entry.what))}
    )
    terms, whole = [], Fraction(0)
    for row in binder.quote.labour:
        if TITLES[row.operation][0] != room:
            continue
        borne = row.bearers.values() if names is None else (row.bearers[name] for name in names if name in row.bearers)
        if part := sum(borne, Fraction(0)):
            terms.append(f"{binder.refs['hours', row.operation]}*{float(part):.12g}")
            whole += Fraction(row.hours) * part
    if Fraction(ceil(whole * 10), 10) != entry.hours:
        return entry.hours
    return Formula(f"ROUNDUP(ROUND({'+'.join(terms)},8),1)", entry.hours)


def _bars(binder: Binder, page: Page, calendar: Calendar) -> None:
    """Draw the days as bars, on paper of their own, from figures that stand beside them."""
    if not calendar.entries:
        return
    page.section("The days as bars")
    first = page.row
    # The drawing takes its figures from cells behind it.
    for entry in calendar.entries:
        page.put(0, f"{entry.kind}: {entry.what}"[:60], "quiet", font_size=7)
        page.put(2, entry.first, "day", font_size=7)
        page.put(3, (entry.last - entry.first).days + 1, "count", font_size=7)
        page.next(_BAR * 0.75)
    last = page.row - 1
    tab = page.sheet.get_name()
    chart = binder.workbook.add_chart({"type": "bar", "subtype": "stacked"})
    names = [tab, first, 0, last, 0]
    chart.add_series({"name": "from", "categories": names, "values": [tab, first, 2, last, 2], "fill": {"none": True}})
    points = [{"fill": {"color": ALARM if entry.late_days else WOOD}} for entry in calendar.entries]
    chart.add_series(
        {"name": "days", "categories": names, "values": [tab, first, 3, last, 3], "points": points, "gap": 30}
    )
    earliest = min(entry.first for entry in calendar.entries)
    latest = max(entry.last for entry in calendar.entries) + timedelta(days=1)
    chart.set_legend({"none": True})
    chart.set_title({"none": True})
    chart.set_y_axis({"reverse": True, "num_font": {"size": 7}, "major_tick_mark": "none"})
    chart.set_x_axis(
        {
            "min": plain(earliest),
            "max": plain(latest),
            "num_format": "yyyy-mm-dd",
            "num_font": {"size": 7, "rotation": -45},
            "major_gridlines": {"visible": True, "line": {"color": RULE, "width": 0.5}},
        }
    )
    chart.set_chartarea({"border": {"none": True}, "fill": {"color": TINT}})
    chart.set_size({"width": sum(_WIDTHS) - 8, "height": max(160, _BAR * len(calendar.entries) + 70)})
    page.sheet.insert_chart(first, 0, chart, {"object_position": 2})
    for _ in range(5):
        page.put(0, None)
        page.next()

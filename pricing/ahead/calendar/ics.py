"""The calendar as iCalendar (RFC 5545): all-day events on local dates, written by the icalendar library."""

import hashlib
from datetime import UTC, datetime, time, timedelta

from nesting.base.counts import plural
from nesting.base.version import made_by
from pricing.ahead.calendar.dates import Calendar, Entry


def calendar_ics(calendar: Calendar, name: str) -> bytes:
    """Return the calendar as an ``.ics`` file; the same calendar gives the same bytes.

    An all-day event ends, by the standard, on the day after its last.
    """
    from icalendar import Calendar as File
    from icalendar import Event

    file = File()
    file.add("prodid", f"-//{made_by()}//EN")
    file.add("version", "2.0")
    file.add("x-wr-calname", name)
    stamp = datetime.combine(calendar.on, time(0), tzinfo=UTC)
    for entry in calendar.entries:
        event = Event()
        event.add("uid", _uid(entry, name))
        event.add("dtstamp", stamp)
        event.add("summary", f"{entry.kind.capitalize()}: {entry.what}")
        event.add("dtstart", entry.first)
        event.add("dtend", entry.last + timedelta(days=1))
        notes = [entry.note] if entry.note else []
        if entry.due:
            notes.append(f"due {entry.due}" + (f", {plural(entry.late_days, 'day')} late" if entry.late_days else ""))
        if notes:
            event.add("description", "; ".join(notes))
        event.add("transp", "TRANSPARENT")
        file.add_component(event)
    return bytes(file.to_ical())


def _uid(entry: Entry, name: str) -> str:
    """Return an identity that stays when an entry moves to other days."""
    digest = hashlib.sha256(f"{name}|{entry.kind}|{entry.what}|{entry.due}".encode()).hexdigest()[:24]
    return f"{digest}@casewright"

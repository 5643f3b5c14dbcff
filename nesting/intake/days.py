"""Days and times in an order: a typed date of a spreadsheet, or a text as :mod:`nesting.base.days` reads it."""

from datetime import date, datetime, time

from nesting.base.days import DayError, DayOrder, parse_moment
from nesting.base.tables.cells import Cell, Unreadable, text_of
from nesting.intake.cells import BLANKS, CellError
from nesting.order import EARLIEST, LATEST


def read_moment(cell: Cell, accepted: str, order: DayOrder | None = None) -> date | None:
    """Read a day, or a day and a local time (a :class:`datetime`); ``None`` for a blank cell.

    Midnight in a spreadsheet's date cell means the day without a time. ``order`` as in
    :func:`nesting.base.days.parse_moment`.
    """
    if isinstance(cell, Unreadable):
        raise CellError(cell.text, cell.accepted)
    if isinstance(cell, datetime):
        if cell.tzinfo is not None:
            raise CellError(text_of(cell), f"{accepted}; local time, without a zone")
        moment = cell.replace(microsecond=0)
        return _in_range(moment.date() if moment.time() == time() else moment, text_of(cell), accepted)
    if isinstance(cell, date):
        return _in_range(cell, text_of(cell), accepted)
    text = text_of(cell)
    if cell is None or (isinstance(cell, str) and text.casefold() in BLANKS):
        return None
    if not isinstance(cell, str):
        raise CellError(text, accepted)
    try:
        return _in_range(parse_moment(text, order, accepted), text, accepted)
    except DayError as error:
        raise CellError(text, error.accepted) from None


def read_day(cell: Cell, accepted: str, order: DayOrder | None = None) -> date | None:
    """Read a day without a time."""
    moment = read_moment(cell, accepted, order)
    if isinstance(moment, datetime):
        raise CellError(text_of(cell), f"{accepted}, without a time")
    return moment


def _in_range(moment: date, text: str, accepted: str) -> date:
    """Return the day or time if its year is sensible."""
    day = moment.date() if isinstance(moment, datetime) else moment
    if not EARLIEST <= day <= LATEST:
        raise CellError(text, f"{accepted}, from {EARLIEST.year} to {LATEST.year}")
    return moment

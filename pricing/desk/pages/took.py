"""Took: hours and receipts of a job, noted under what they were for, put under another heading, taken out and back."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal, InvalidOperation
from typing import Final

from starlette.responses import Response
from starlette.routing import Route

from nesting.base.days import DayError, parse_day
from pricing.desk.call import BadRequestError, Call, endpoint
from pricing.desk.desk import Desk
from pricing.desk.pages.common import checked
from pricing.money import parse_amount
from pricing.quoting.labour import TITLES
from pricing.quoting.noted import HOURS, OTHER, RECEIPTS, ROOMS
from pricing.store.took import Noting

HOURS_BY_ROOM: Final[Mapping[str, Mapping[str, str]]] = {
    **{
        title: {room: HOURS[room], **{key: name for key, (own, name) in TITLES.items() if own == room}}
        for room, title in ROOMS.items()
    },
    "Beside these": {OTHER: HOURS[OTHER]},
}
"""Headings of hours as a list shows them: by room, in the order of the work."""
_MOST: Final = Decimal(10_000)


def note(call: Call[Desk]) -> Response:
    """Note hours or a receipt."""
    job, kind = call.number("job"), call.text("kind")
    if kind == "hours":
        hours = _number(call, "amount", "hours: a number such as 2.5")
        if not hours:
            raise BadRequestError("hours: a number such as 2.5", "amount")
        under = _heading(call, HOURS)
        noting = Noting("hours", day_of(call), call.text("what"), hours, call.text("note"), under)
    else:
        amount = amount_of(call.text("amount", 20), "amount")
        stock, bought, left = _stock(call)
        noting = Noting(
            "receipt", day_of(call), checked(call.text("what"), "from whom"), amount, call.text("note"),
            _heading(call, RECEIPTS), stock, bought, left,
        )  # fmt: skip
    call.desk.store.took.add(job, noting)
    return call.go(f"/jobs/{job}/record#took")


def put(call: Call[Desk]) -> Response:
    """Put an entry under another heading, and say of a receipt how much was left; what was typed once stays."""
    job, entry = call.number("job"), call.number("entry")
    took = call.desk.store.took
    found = next((each for each in took.of(job) if each.id == entry), None)
    if found is None:
        raise LookupError("there is no such entry")
    under = _heading(call, HOURS if found.kind == "hours" else RECEIPTS)
    told = _stock(call) if found.kind == "receipt" else ("", None, None)
    with call.desk.store.database.writing():
        took.put(job, entry, under)
        if found.kind == "receipt":
            took.tell(job, entry, *told)
    return call.go(f"/jobs/{job}/record#took")


def strike(call: Call[Desk]) -> Response:
    """Take an entry out, or put it back."""
    job = call.number("job")
    call.desk.store.took.strike(job, call.number("entry"), gone=call.text("gone") != "0")
    return call.go(f"/jobs/{job}/record#took")


def _heading(call: Call[Desk], headings: Mapping[str, str]) -> str:
    under = call.text("under", 40) or OTHER
    if under not in headings:
        raise BadRequestError(f"under: one of {', '.join(headings)}, not {under!r}", "under")
    return under


def _stock(call: Call[Desk]) -> tuple[str, Decimal | None, Decimal | None]:
    """Return which stock was bought, how many, and how many were left."""
    stock = call.text("stock", 120)
    if not stock:
        return "", None, None
    known = {row.stock for row in call.desk.papers.book.rows if row.form != "hour"}
    if stock not in known:
        raise BadRequestError(f"of what: a stock of the price book, such as ply-3/8 4x8, not {stock!r}", "stock")
    bought = _number(call, "bought", "bought: how many of it, such as 6 or 1.5")
    text = "left over: how many of these were not used up, such as 0 or 0.5; leave it empty while you do not know"
    left = _number(call, "left", text) if call.text("left", 20) else None
    if left is not None and left > bought:
        raise BadRequestError(f"left over: at most the {bought:f} that were bought", "left")
    return stock, bought, left


def _number(call: Call[Desk], name: str, accepted: str) -> Decimal:
    """Return a number of a form, zero or more."""
    try:
        number = Decimal(call.text(name, 20))
    except InvalidOperation:
        raise BadRequestError(accepted, name) from None
    if not (number.is_finite() and 0 <= number <= _MOST):
        raise BadRequestError(accepted, name)
    return number


def day_of(call: Call[Desk]) -> date:
    """Return the day of a form; today where there is none."""
    text = call.text("on", 20)
    try:
        return parse_day(text, call.desk.days) if text else call.desk.today()
    except DayError as error:
        raise BadRequestError(f"day: {error}", field="on") from None


def amount_of(text: str, label: str) -> Decimal:
    """Return an amount of money as it was typed."""
    try:
        return parse_amount(text)
    except ValueError as error:
        raise BadRequestError(f"{label}: {error}", label) from None


ROUTES = (
    Route("/jobs/{job:int}/took", endpoint(note), methods=["POST"]),
    Route("/jobs/{job:int}/took/put", endpoint(put), methods=["POST"]),
    Route("/jobs/{job:int}/took/strike", endpoint(strike), methods=["POST"]),
)

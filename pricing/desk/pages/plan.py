"""Plan: the days of a job, from the last pour to handing over, drawn and as a table."""

from collections.abc import Mapping
from typing import Final

from starlette.responses import Response
from starlette.routing import Route

from nesting.drawings.day_bars import bar_scenes
from nesting.drawings.svg import to_svg
from pricing.ahead.calendar.dates import Calendar, plan_dates
from pricing.ahead.calendar.table import calendar_bars, days_off
from pricing.desk.call import Call, endpoint
from pricing.desk.desk import Desk
from pricing.desk.origins.model import Address
from pricing.desk.pages.common import asked, job_page
from pricing.quoting.quote import Quote

_WIDTH: Final = 760.0
_HEIGHT: Final = 1400.0
_ROOMS: Final[Mapping[str, str]] = {"cut": "saw", "build": "bench", "pack": "packing"}
"""Where the work of an entry is done."""


def shown(call: Call[Desk]) -> Response:
    """Show the days."""
    sheaf = asked(call, wait=False)
    if sheaf.answer is None:
        return job_page(call, "plan.html", "plan", sheaf, calendar=None, count=0)
    quote = sheaf.answer.quote
    calendar = plan_dates(quote)
    to = Address(sheaf.row.id, "version=next" if call.request.query_params.get("version") == "next" else "")
    return job_page(
        call, "plan.html", "plan", sheaf, calendar=calendar, count=len(_drawn(quote, calendar)), rooms=_ROOMS,
        leads_to=to, crates={crate.crate for crate in quote.build.travelling},
    )  # fmt: skip


def _drawn(quote: Quote, calendar: Calendar) -> list[str]:
    """Return the bars as drawings."""
    off = days_off(calendar, quote.rates.calendar)
    scenes = bar_scenes(calendar_bars(calendar), _WIDTH, _HEIGHT, off=off, title=quote.build.order.name)
    return [to_svg(scene.written(quote.build.writing)) for scene in scenes]


def drawing(call: Call[Desk]) -> Response:
    """Draw the bars."""
    sheaf = asked(call)
    if sheaf.answer is None:
        raise LookupError("there is no plan yet")
    drawn = _drawn(sheaf.answer.quote, plan_dates(sheaf.answer.quote))
    number = call.number("number")
    if not 1 <= number <= len(drawn):
        raise LookupError("there is no such drawing")
    return Response(drawn[number - 1], media_type="image/svg+xml")


ROUTES = (
    Route("/jobs/{job:int}/plan", endpoint(shown)),
    Route("/jobs/{job:int}/plan/{number:int}.svg", endpoint(drawing)),
)

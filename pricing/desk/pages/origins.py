"""Where a figure comes from: a line of the quote, a share, hours, a weight, on a page of its own that leads on."""

from starlette.responses import Response
from starlette.routing import Route

from pricing.desk.call import Call, endpoint
from pricing.desk.desk import Desk
from pricing.desk.origins.bearing import of_piece
from pricing.desk.origins.crates import of_hours, of_weight
from pricing.desk.origins.lines import line_called, of_line
from pricing.desk.origins.model import Address, Origin
from pricing.desk.pages.common import asked, job_page
from pricing.quoting.noted import ROOMS
from pricing.quoting.quote import Quote

ASKS = ("line", "piece", "hours", "weight", "crate")
"""What an address may ask for."""


def shown(call: Call[Desk]) -> Response:
    """Show what the figure that is asked for comes from."""
    sheaf = asked(call)
    if sheaf.answer is None:
        raise LookupError("there is no price yet")
    later = call.request.query_params.get("version") == "next"
    to = Address(sheaf.row.id, "version=next" if later else "")
    query = {name: call.text(name) for name in ASKS if call.text(name)}
    again = to("from", **query).partition("?")[2]
    page, label = ("crates", "the crates") if "weight" in query else ("money", "money")
    return job_page(
        call, "origin.html", page, sheaf, origin=_origin(sheaf.answer.quote, query, to), again=again,
        back=to(page), back_to=label,
    )  # fmt: skip


def _origin(quote: Quote, query: dict[str, str], to: Address) -> Origin:
    if piece := query.get("piece"):
        return of_piece(quote, piece, to)
    if room := query.get("hours"):
        return of_hours(quote, room if room in ROOMS else "", query.get("crate", ""), to)
    if name := query.get("weight"):
        for crate in quote.build.every:
            if crate.crate == name:
                return of_weight(quote, crate, to)
        raise LookupError(f"there is no crate {name[:40]} as it stands now")
    return of_line(quote, line_called(quote, query.get("line", "")), to)


ROUTES = (Route("/jobs/{job:int}/from", endpoint(shown)),)

"""The way back: works that were not sold, in which crates they return, and what is worth sending along for packing."""

from typing import Any

from starlette.responses import Response
from starlette.routing import Route

from nesting.base.measure import format_weight
from pricing.ahead.returns import WAYS, Return, plan_returns
from pricing.desk.call import Call, endpoint
from pricing.desk.desk import Desk, Sheaf
from pricing.desk.pages.common import asked, job_page
from pricing.money import total


def shown(call: Call[Desk]) -> Response:
    """Show what the return of some pieces takes; of all of them, until some are chosen."""
    sheaf = asked(call, wait=False)
    if sheaf.answer is None:
        return job_page(call, "returns.html", "plan", sheaf, lines=(), planned=())
    lines = sheaf.answer.quote.build.order.artworks
    chosen = call.request.query_params.getlist("back")
    back = [line.piece for line in lines if line.piece in chosen or not call.text("chosen")]
    planned = plan_returns(sheaf.answer.quote, back)
    return job_page(
        call, "returns.html", "plan", sheaf, lines=lines, back=set(back), ways=WAYS,
        currency=sheaf.answer.quote.currency, planned=[_facts(sheaf, each) for each in planned],
    )  # fmt: skip


def _facts(sheaf: Sheaf, each: Return) -> dict[str, Any]:
    """Return what is shown of one destination."""
    crates = [
        (crate, format_weight(crate.kg, sheaf.units, mark=True), f"{crate.minutes.normalize():f}")
        for crate in each.crates
    ]
    return {"plan": each, "crates": crates, "again": total(crate.serves_again for crate in each.crates)}


ROUTES = (Route("/jobs/{job:int}/returns", endpoint(shown)),)

"""By which sizes a desk goes: chosen while it is empty, since goods, rules, rates and prices all follow."""

from dataclasses import replace
from typing import Final, get_args

from starlette.responses import Response
from starlette.routing import Route

from nesting.base.measure import UnitSystem
from pricing.desk.call import BadRequestError, Call, endpoint
from pricing.desk.desk import Desk
from pricing.desk.pages.paper import Edit, save_edit
from pricing.desk.studio import PRICES, RULES, Rulings, rulings_from

CALLED: Final = {"inch": "inches, pounds and USD", "metric": "millimetres, kilograms and EUR"}
"""What people call the sizes that a desk may go by."""


def may_choose(desk: Desk) -> bool:
    """Whether nothing hangs on the sizes yet: no job, no price, no rule, no file of the studio's own, nothing in store.

    Name, address, places and parties say their own units, and stay.
    """
    rulings = rulings_from(desk.papers.document(RULES).content)
    jobs, rack = desk.store.jobs, desk.store.rack.state()
    return not (
        jobs.count()
        or jobs.count(archived=True)
        or desk.papers.document(PRICES).content
        or replace(rulings, studio={}, logo=0) != Rulings()
        or rack.offcuts
        or rack.shelf
    )


def choose(call: Call[Desk]) -> Response:
    """Choose the sizes of an empty desk: the shop is then what ``casewright start --sizes`` writes."""
    wanted = call.text("sizes")
    if wanted not in get_args(UnitSystem):
        raise BadRequestError("sizes: inch or metric")
    if not may_choose(call.desk):
        raise BadRequestError("sizes are chosen before the first job, price and rule; begin another folder for others")

    def make(content: str) -> str:
        rulings = rulings_from(content)
        kept = {key: text for key, text in rulings.studio.items() if key != "sizes"}
        return replace(rulings, studio=kept | ({"sizes": wanted} if wanted != "inch" else {})).text()

    def stands(content: str) -> dict[str, str]:
        return {"Sizes": CALLED[rulings_from(content).studio.get("sizes", "inch")]}

    return save_edit(call, RULES, Edit(lambda _: f"works by {CALLED[wanted]}", make, stands), "/")


ROUTES = (Route("/sizes", endpoint(choose), methods=["POST"]),)

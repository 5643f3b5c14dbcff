"""Where a figure comes from: a line of the quote, a share, hours, a weight, on a page of its own that leads on."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

from starlette.responses import Response
from starlette.routing import Route

from nesting.crates.model import Crate
from pricing.ahead.methods import Combination
from pricing.desk.call import Call, endpoint
from pricing.desk.desk import Desk, Sheaf
from pricing.desk.offered import kind_of
from pricing.desk.origins.bearing import of_piece
from pricing.desk.origins.crates import of_hours, of_weight
from pricing.desk.origins.lines import line_called, of_line
from pricing.desk.origins.model import Address, Origin
from pricing.desk.origins.offered import of_offer
from pricing.desk.origins.side_by_side import of_design, of_scenario, of_together, of_way
from pricing.desk.pages.common import asked, job_page
from pricing.output.offer.files import offers
from pricing.quoting.noted import ROOMS
from pricing.quoting.quote import Quote


@dataclass(frozen=True)
class _Ask:
    """What is asked for, of which quote.

    Attributes
    ----------
    call, sheaf, quote
        The request, the job, and its quote.
    query : mapping of str to str
        What the address asks for.
    to : Address
        Of the job's pages.
    """

    call: Call[Desk]
    sheaf: Sheaf
    quote: Quote
    query: Mapping[str, str]
    to: Address

    def __getitem__(self, name: str) -> str:
        """Return a word of the address; nothing where it says none."""
        return self.query.get(name, "")


def shown(call: Call[Desk]) -> Response:
    """Show what the figure that is asked for comes from."""
    sheaf = asked(call)
    if sheaf.answer is None:
        raise LookupError("there is no price yet")
    later = call.request.query_params.get("version") == "next"
    to = Address(sheaf.row.id, "version=next" if later else "")
    query = {name: call.text(name) for name in WORDS if call.text(name)}
    ask = _Ask(call, sheaf, sheaf.answer.quote, query, to)
    kind = next((each for each in _ASKS if query.get(each)), "line")
    make, page, here, label = _ASKS[kind]
    if kind == "design":
        page = f"{page}/{ask['crate']}"
    again = to("from", **query).partition("?")[2]
    return job_page(
        call, "origin.html", here, sheaf, origin=make(ask), again=again, back=to(page), back_to=label
    )  # fmt: skip


def _way(ask: _Ask) -> Origin:
    """Return what a piece bears one way."""
    return of_way(_compared(ask), ask["piece"], ask["way"], ask.quote, ask.to)


def _ways(ask: _Ask) -> Origin:
    """Return what a whole order of a comparison comes to."""
    return of_together(_compared(ask), ask["ways"], ask.quote, ask.to)


def _compared(ask: _Ask) -> Combination:
    desk = ask.call.desk
    made = desk.comparisons.of(ask.sheaf.row.id, desk.comparison_key(ask.sheaf))
    if made is None:
        raise LookupError("no ways were compared, as it stands now")
    return made.found


def _scenario(ask: _Ask) -> Origin:
    """Return what a scenario comes to."""
    desk = ask.call.desk
    made = desk.weighings.of(ask.sheaf.row.id, desk.scenarios_key(ask.sheaf))
    if made is None:
        raise LookupError("no scenario was quoted, as it stands now")
    return of_scenario(made.found, ask["scenario"], ask.quote, ask.to)


def _offer(ask: _Ask) -> Origin:
    """Return what the price of an offer is the sum of."""
    made, number = offers(ask.quote, kind_of(ask["kind"]), ask.sheaf.row.client), ask.call.number("offer")
    if not 1 <= number <= len(made):
        raise LookupError("there is no such offer, as it stands now")
    return of_offer(ask.quote, made[number - 1], number, ask.to)


def _design(ask: _Ask) -> Origin:
    """Return what a design of a crate makes of the job."""
    crate = _crate(ask.quote, ask["crate"])
    answer = ask.sheaf.answer if ask.sheaf.pinned is None else None
    listed = ask.call.desk.short_list(ask.sheaf.row.id, answer, crate) if answer is not None else ()
    return of_design(listed, ask["design"], ask.quote, ask.to)


def _hours(ask: _Ask) -> Origin:
    """Return which operations hours are."""
    return of_hours(ask.quote, ask["hours"] if ask["hours"] in ROOMS else "", ask["crate"], ask.to)


_ASKS: Final[Mapping[str, tuple[Callable[[_Ask], Origin], str, str, str]]] = {
    "way": (_way, "ways", "crates", "the ways to pack"),
    "ways": (_ways, "ways", "crates", "the ways to pack"),
    "scenario": (_scenario, "what-if", "plan", "what if"),
    "offer": (_offer, "client", "client", "the offer"),
    "design": (_design, "designs", "crates", "the designs"),
    "piece": (lambda ask: of_piece(ask.quote, ask["piece"], ask.to), "money", "money", "money"),
    "hours": (_hours, "money", "money", "money"),
    "weight": (lambda ask: of_weight(ask.quote, _crate(ask.quote, ask["weight"]), ask.to), "crates", "crates",
               "the crates"),
    "line": (lambda ask: of_line(ask.quote, line_called(ask.quote, ask["line"]), ask.to), "money", "money", "money"),
}  # fmt: skip
"""By the word of the address that says what is asked for, the first of them that it has: what makes the answer, where
the figure stands, which step of the job that is, and what it is called."""
WORDS: Final = (*_ASKS, "crate", "kind")
"""What an address may say."""


def _crate(quote: Quote, name: str) -> Crate:
    """Return a crate by its name; LookupError where there is none."""
    for crate in quote.build.every:
        if crate.crate == name:
            return crate
    raise LookupError(f"there is no crate {name[:40]} as it stands now")


ROUTES = (Route("/jobs/{job:int}/from", endpoint(shown)),)

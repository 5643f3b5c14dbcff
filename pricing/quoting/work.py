"""The work on one order: from artworks and a studio's papers to a build, and to a quote of it."""

from dataclasses import replace
from datetime import date

from nesting.advice.carriage import Carriage
from nesting.base.faults import FaultsFound
from nesting.base.search import USUAL, Search
from nesting.build import Build, Dispatch, build
from nesting.crates.case_choice import cheapest_cases
from nesting.crates.cases.consignment import Grouping
from nesting.crates.traits import Refused, RulesClash
from nesting.cutting.given import Given
from nesting.order import Order
from nesting.shop.shop import MissingGoodError
from pricing.money import one_currency
from pricing.quoting.case_costs import case_costs_of
from pricing.quoting.judging import judge_of
from pricing.quoting.plans import weighed
from pricing.quoting.quote import Quote, quote
from pricing.quoting.sawn import Sawn
from pricing.quoting.supply import supply_of
from pricing.studio.carriages import carriages
from pricing.studio.office import Office


def work(  # 8 arguments: an earlier version's cuts are given to the build and counted in the quote
    order: Order,
    office: Office,
    *,
    on: date,
    search: Search = USUAL,
    number: str = "",
    start: Build | None = None,
    sawn: Sawn | None = None,
    design: Grouping | None = None,
) -> Quote:
    """Build and price an order; see :mod:`nesting.build`, :mod:`pricing.quoting.plans`, :func:`quote`.

    With `sawn`, what earlier versions cut and bought, only the rest is planned, and the total is that of the whole job.
    With `design` its crates are made so, and no other way is looked for.
    """
    made = build_order(order, office, search=search, start=start, given=sawn.given if sawn else None, design=design)
    return weighed(quote(made, office, on=on, number=number, sawn=sawn), search.stop)


def build_order(
    order: Order,
    office: Office,
    *,
    search: Search = USUAL,
    start: Build | None = None,
    given: Given | None = None,
    design: Grouping | None = None,
) -> Build:
    """Build an order with the studio's goods and prices; see :func:`nesting.build.build`."""
    one_currency(
        (order.source or "the order", order.currency),
        (office.book.source or "the price book", office.book.currency),
        (office.rates.source or "the rates", office.rates.currency),
    )
    return build(
        order,
        office.shop,
        replace(supply_of(office), given=given or Given(), judge=judge_of(office)),
        dispatch=Dispatch(design or choose(order, office, search), office.countries, carriage_for(order, office)),
        search=search,
        start=start,
    )


def carriage_for(order: Order, office: Office) -> dict[str, Carriage]:
    """Return who takes crates to each place that an order names."""
    named = dict.fromkeys(artwork.destination or "" for artwork in order.artworks)
    return carriages(office.destinations, office.rates, tuple(named))


def choose(order: Order, office: Office, _search: Search = USUAL) -> Grouping | None:
    """Choose how an order's crates are made, by their cost."""
    return cheapest_grouping(order, office)


def cheapest_grouping(order: Order, office: Office) -> Grouping | None:
    """Return the travel frames' cheapest cases; None where there is nothing to choose.

    None too where the order's wishes cannot be kept or no case suits its destination: the build then tells all of
    the order's faults together, or the quote says which crate does not suit.
    """
    try:
        found = cheapest_cases(order, office.shop, case_costs_of(office, order))
    except (FaultsFound, Refused, RulesClash, MissingGoodError):
        return None
    return found.grouping if found.places else None

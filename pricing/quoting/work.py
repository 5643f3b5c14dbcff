"""The work on one order: from artworks and a studio's papers to a build, and to a quote of it."""

from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date
from typing import Final

from nesting.advice.carriage import Carriage
from nesting.base.faults import FaultsFound
from nesting.base.progress import silent
from nesting.base.search import USUAL, Memory, Search
from nesting.build import Build, Dispatch, Supply, build
from nesting.crates.case_choice import Ways, cheapest_cases
from nesting.crates.cases.consignment import CaseLoad, Grouping
from nesting.crates.choice.costs import Costs, Goes
from nesting.crates.choice.search import design_order, short_list
from nesting.crates.choose import packed_as
from nesting.crates.expand import riding
from nesting.crates.kept import kept_frames
from nesting.crates.limits import as_ordered
from nesting.crates.model import Crate
from nesting.crates.registry import method, method_of
from nesting.crates.traits import Refused, RulesClash
from nesting.cutting.given import Given
from nesting.order import Order
from nesting.shop.shop import MissingGoodError
from pricing.money import one_currency
from pricing.quoting.case_costs import case_costs_of
from pricing.quoting.designing import Costed, SketchPricer, WholeCost, whole_cost, yard_of
from pricing.quoting.judging import judge_of, weighing_of
from pricing.quoting.keeping import kept_design, overlaid
from pricing.quoting.plans import weighed
from pricing.quoting.quote import Quote, quote
from pricing.quoting.sawn import Sawn
from pricing.quoting.supply import supply_of
from pricing.studio.carriages import carriages
from pricing.studio.office import Office

_ANY_DAY: Final = date(2000, 1, 1)
"""Day by which totals are compared where nobody quotes: every quotation of a carrier holds."""


def work(  # 9 arguments: an earlier version's cuts are given to the build and counted in the quote; designs are taken
    order: Order,
    office: Office,
    *,
    on: date,
    search: Search = USUAL,
    number: str = "",
    start: Build | None = None,
    sawn: Sawn | None = None,
    design: Grouping | None = None,
    taken: Grouping | None = None,
) -> Quote:
    """Build and price an order; see :mod:`nesting.build`, :mod:`pricing.quoting.plans`, :func:`quote`.

    With `sawn`, what earlier versions cut and bought, only the rest is planned, and the total is that of the whole job;
    crates whose pieces are as they were are made as they were. With `design` crates are made so, and no other way is
    looked for. With `taken` the crates in it are made so whatever is chosen, as far as they can be; see
    :func:`pricing.quoting.keeping.overlaid`.
    """
    search = remembering(search)
    given = sawn.given if sawn else None
    if design is None and sawn is not None and sawn.design is not None:
        fresh = choose(order, office, search, on=on)
        design = fresh and kept_design(sawn.design, sawn.pieces, order, fresh)
    made = build_order(order, office, on=on, search=search, start=start, given=given, design=design, taken=taken)
    return weighed(quote(made, office, on=on, number=number, sawn=sawn), search)


def remembering(search: Search) -> Search:
    """Return a search that remembers what it lays out, where nothing speaks against it."""
    return replace(search, memory={}) if search.memory is None and search.deadline is None else search


def build_order(  # 8 arguments: what is cut already, from what plans a search starts, the day of its prices, designs
    order: Order,
    office: Office,
    *,
    on: date | None = None,
    search: Search = USUAL,
    start: Build | None = None,
    given: Given | None = None,
    design: Grouping | None = None,
    taken: Grouping | None = None,
) -> Build:
    """Build an order with the studio's goods and prices; see :func:`nesting.build.build`.

    What is chosen for its crates is found first (:func:`choose`), unless `design` says it.
    """
    one_currency(
        (order.source or "the order", order.currency),
        (office.book.source or "the price book", office.book.currency),
        (office.rates.source or "the rates", office.rates.currency),
    )
    bench = _Bench(order, office, _supplied(office, given), on, taken)
    if design is not None:
        return bench.built(design, search, start)
    search = remembering(search)
    chosen = bench.chosen(search)
    made = bench.built(chosen.design, search, start)
    if chosen.plain is None or chosen.floor is None or (search.stop is not None and search.stop.asked):
        return made
    cost = whole_cost(bench.quoted(made))
    if cost <= chosen.floor.least:
        return made
    # Quick cuts chose. Where longer ones may turn the choice, what the rules give is cut as long.
    other = bench.built(chosen.plain, search, start)
    return other if whole_cost(bench.quoted(other)) < cost else made


def _supplied(office: Office, given: Given | None = None) -> Supply:
    """Return what can be cut, and what designs and cuts are weighed by."""
    return replace(supply_of(office), given=given or Given(), judge=judge_of(office), weighing=weighing_of(office))


def carriage_for(order: Order, office: Office) -> dict[str, Carriage]:
    """Return who takes crates to each place that an order names."""
    named = dict.fromkeys(artwork.destination or "" for artwork in order.artworks)
    return carriages(office.destinations, office.rates, tuple(named))


def choose(order: Order, office: Office, search: Search = USUAL, *, on: date | None = None) -> Grouping | None:
    """Choose how an order's crates are made, by what the whole order then costs.

    Returns
    -------
    Grouping or None
        To hand to :func:`work` as its design; None where the order has faults, which the build then tells.
    """
    supply = _supplied(office)
    return _Bench(order, office, supply, on).chosen(search).design


def designs_of(order: Order, office: Office, crate: Crate, search: Search, *, on: date) -> tuple[Grouping, ...]:
    """Return the designs of a crate of an order's build, as ruled first, each as what is chosen for it alone."""
    return _Bench(order, office, _supplied(office), on).listed(crate, search)


def cheapest_grouping(order: Order, office: Office, memory: Memory | None = None) -> Grouping | None:
    """Return the travel frames' cheapest cases of near sizes, as the rules make them; None where none is to choose.

    None too where the order's wishes cannot be kept or no case suits its destination: the build then tells all of
    the order's faults together, or the quote says which crate does not suit.
    """
    shop, costs = as_ordered(office.shop, order), case_costs_of(office, order)
    frames = kept_frames(
        memory, as_ordered(office.shop.in_units(order.units), order), office.shop.works_in(order.units)
    )
    try:
        found = cheapest_cases(order, shop, costs, Ways(near_only=True), riding(order, shop, frames))
    except (FaultsFound, Refused, RulesClash, MissingGoodError):
        return None
    return found.grouping if found.places else None


@dataclass(frozen=True, slots=True)
class _Bench:
    """One order with all that it is made and priced with."""

    order: Order
    office: Office
    supply: Supply
    on: date | None
    taken: Grouping | None = None

    def built(self, design: Grouping | None, search: Search, start: Build | None = None) -> Build:
        """Build it by a choice, and by the designs that were taken as far as they can be made."""
        if design is not None and self.taken is not None:
            with suppress(FaultsFound):
                return self._by(overlaid(design, self.taken, self._sharing()), search, start)
        return self._by(design, search, start)

    def _sharing(self) -> dict[str, str]:
        """Return the pieces that go in cartons which several may share, with their destinations."""
        shop = as_ordered(self.office.shop.in_units(self.order.units), self.order)
        return {
            bundle.pieces[0].piece: bundle.pieces[0].destination or ""
            for bundle, choice in packed_as(self.order, shop)
            if bundle.single and method(choice.method).shares
        }

    def _by(self, design: Grouping | None, search: Search, start: Build | None) -> Build:
        way = Dispatch(design, self.office.countries, carriage_for(self.order, self.office))
        return build(self.order, self.office.shop, self.supply, dispatch=way, search=search, start=start)

    def quoted(self, made: Build) -> Quote:
        """Price a build of it; what was cut before is in no total that is compared here."""
        return quote(made, self.office, on=self.on or _ANY_DAY)

    def listed(self, crate: Crate, search: Search) -> tuple[Grouping, ...]:
        """Return the designs of one crate, as ruled first, then those that cost least by themselves."""
        goes = Goes(self.office.countries, carriage_for(self.order, self.office), self.supply.judge)
        load = None
        if method_of(crate).is_case:
            load = CaseLoad(crate.pieces, crate.destination)
        shop = as_ordered(self.office.shop, self.order)
        return short_list(self.order, shop, self._costs(None), crate, load, goes=goes, search=search)

    def _costs(self, whole: WholeCost | None) -> Costs:
        yard = yard_of(self.office, self.supply)
        return Costs(
            case_costs_of(self.office, self.order),
            SketchPricer(self.office, self.on, frozenset([*yard.sheets, *yard.sticks])),
            yard,
            whole,
        )

    def chosen(self, search: Search) -> "_Chosen":
        """Choose how its crates are made: by quick builds of the best few, with the least effort by estimates."""
        quick = replace(search, effort="quick", progress=silent, draft=True)
        whole = WholeCost(lambda design: self.quoted(self.built(design, quick)), search.stop)
        search.progress("designs", 0.0)
        costs = self._costs(None if search.effort == "quick" else whole)
        goes = Goes(self.office.countries, carriage_for(self.order, self.office), self.supply.judge)
        shop = as_ordered(self.office.shop, self.order)
        design = design_order(self.order, shop, costs, goes=goes, search=search)
        plain = next(iter(whole.costed), None)  # what the rules give is costed first
        if plain is None or plain == design:
            return _Chosen(design)
        return _Chosen(design, plain, whole.costed[plain])


@dataclass(frozen=True, slots=True)
class _Chosen:
    """What is chosen for an order's crates.

    Attributes
    ----------
    design : Grouping or None
        The choice.
    plain : Grouping or None
        What the rules give, where that is another one and both were costed.
    floor : Costed or None
        What that came to, and the least that it can come to when it is cut with more effort.
    """

    design: Grouping | None
    plain: Grouping | None = None
    floor: Costed | None = None

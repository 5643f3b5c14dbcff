"""Cutting plans weighed by the whole quote: a longer search is taken good by good, where the total gets no dearer.

A search looks at the cost of sheets, then at offcuts; a quote has saw time in it too.
"""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Final, TypeVar

from nesting.base.search import USUAL, Search
from nesting.build import Build, relaid
from nesting.cutting.sheets import Layout
from nesting.cutting.sticks import StickPlan
from pricing.money import from_cents, show
from pricing.quoting.quote import Quote, quote

Plan = Layout | StickPlan
PROVEN: Final = "cheapest cuts of these parts, proven"
"""What is said of a plan that no other undercuts; the parts themselves might be others."""
P = TypeVar("P", Layout, StickPlan)


def proof(plan: Plan, currency: str) -> str:
    """Say how good the cuts of a plan are, at the prices of the day of the quote."""
    if plan.proven:
        return PROVEN
    over = plan.over if isinstance(plan, Layout) else 0
    return f"at most {show(from_cents(plan.cost - over - plan.bound), currency)} above the cheapest cuts"


def plans_of(build: Build) -> dict[str, Plan]:
    """Return the cutting plans of a build by good."""
    plans: Iterable[Plan] = (*build.layouts, *build.stick_plans)
    return {plan.good: plan for plan in plans}


def with_plans(build: Build, plans: Mapping[str, Plan]) -> Build:
    """Return a build with other plans for some of its goods."""
    layouts = tuple(_instead(layout, plans.get(layout.good)) for layout in build.layouts)
    sticks = tuple(_instead(plan, plans.get(plan.good)) for plan in build.stick_plans)
    return replace(build, layouts=layouts, stick_plans=sticks)


def _instead(plan: P, other: object) -> P:
    return other if isinstance(other, type(plan)) else plan


def priced(before: Quote, build: Build) -> Quote:
    """Price another build as an earlier quote was priced; the same crates are sent as they were."""
    was = before.build
    same = build.order is was.order and build.shop is was.shop and build.crates is was.crates and build.held is was.held
    return quote(
        build, before.office, on=before.on, number=before.number, charge=before.charge, sawn=before.sawn,
        shipments=before.shipments if same else None,
    )  # fmt: skip


def no_dearer(before: Quote, plans: Mapping[str, Plan]) -> tuple[Quote, dict[str, Plan]]:
    """Take other plans one after another, each only if the quote gets no dearer by it.

    Returns
    -------
    Quote
        With the plans that were taken.
    dict of str to plan
        For each good asked about, the one that was taken or the one that stayed.
    """
    own = plans_of(before.build)
    best, chosen = before, dict[str, Plan]()
    for good, plan in plans.items():
        if plan == own[good]:
            chosen[good] = plan
            continue
        tried = priced(before, with_plans(best.build, {good: plan}))
        if tried.total <= best.total:
            best, chosen[good] = tried, plan
        else:
            chosen[good] = own[good]
    return best, chosen


def weighed(made: Quote, search: Search = USUAL) -> Quote:
    """Weigh the plans of a longer search against quick ones, so that more effort never makes a quote dearer.

    Of ``search`` the memory counts, which may hold the quick plans already, and who may end it.
    """
    build = made.build
    if build.effort == "quick" or build.stopped:
        return made
    quick = priced(made, relaid(build, Search(build.seed, "quick", search.stop, memory=search.memory)))
    best, _ = no_dearer(quick, plans_of(build))
    if best.total >= made.total:
        return made
    return priced(made, replace(best.build, effort=build.effort))

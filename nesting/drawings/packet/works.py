"""All work at the saws in the order of the packet: good by good its settings and bevels, then lumber, stop by stop.

Pages of the saw, labels and the desk read the one order from here.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from nesting.build import Build, gather
from nesting.crates.bevels import bevels_in
from nesting.cutting.sawing.blanks import StripCut, strips_in
from nesting.cutting.sawing.model import SawPlan, Setting
from nesting.cutting.sawing.plan import plan_in
from nesting.cutting.sawing.sticks import StickWork, stick_work
from nesting.cutting.sheets import Layout
from nesting.cutting.sticks import StickPlan


@dataclass(frozen=True, slots=True)
class SheetWork:
    """What is cut from the sheets of one good.

    Attributes
    ----------
    layout : Layout
        The sheets.
    plan : SawPlan
        Their settings.
    bevels : tuple of Setting
        The bevel rips, which follow.
    strips : tuple of StripCut
        The strips from which small parts come off.
    """

    layout: Layout
    plan: SawPlan
    bevels: tuple[Setting, ...]
    strips: tuple[StripCut, ...]


@dataclass(frozen=True, slots=True)
class LumberWork:
    """What is cut from the sticks of one good.

    Attributes
    ----------
    plan : StickPlan
        The sticks.
    lengths : mapping of str to int
        Length of each part, by name.
    work : StickWork
        Their settings.
    """

    plan: StickPlan
    lengths: Mapping[str, int]
    work: StickWork


def sheet_works(build: Build) -> Iterator[SheetWork]:
    """Yield the work on each good that comes as sheets."""
    wanted, *_ = gather(build.crates)
    for layout in build.layouts:
        parts = {part.name: part for part in wanted[layout.good]}
        yield SheetWork(
            layout,
            plan_in(build.shop, layout),
            bevels_in(build.shop, build.crates, layout),
            strips_in(layout, parts, build.shop.tools),
        )


def lumber_works(build: Build) -> Iterator[LumberWork]:
    """Yield the work on each good that comes as sticks."""
    _, sticks, _ = gather(build.crates)
    for plan in build.stick_plans:
        good = build.shop.good(plan.good)
        lengths = {part.name: part.length for part in sticks[plan.good]}
        section = (good.thickness, good.breadth)
        yield LumberWork(plan, lengths, stick_work(plan, lengths, section, build.shop.tools))

"""The shop floor in one call: an order goes in, a build comes out.

:func:`build` expands the artworks into crates, gathers their parts by good, and lays each good out on the stock that
it is handed. Costs come with that stock as plain whole numbers; what they mean is the front office's business.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from nesting.base.faults import Fault, FaultsFound
from nesting.base.progress import Progress, silent
from nesting.base.stop import Stop
from nesting.crates.cases.consignment import Grouping
from nesting.crates.expand import expand
from nesting.crates.misfits import Misfits
from nesting.crates.model import Crate
from nesting.cutting.laying import Laying, Memory
from nesting.cutting.parts import Part, RollPart, StickPart
from nesting.cutting.rolls import Roll, RollPlan
from nesting.cutting.sheets import Effort, Layout, Sheet
from nesting.cutting.sticks import Stick, StickPlan
from nesting.order import Order
from nesting.shop.needs import kerf_of
from nesting.shop.shop import Shop


@dataclass(frozen=True, slots=True)
class Supply:
    """What may be cut, by good, with plain whole costs for the optimisers.

    Attributes
    ----------
    sheets, sticks, rolls : mapping of str to tuple
        Every stock size that can be bought or stands on the rack.
    """

    sheets: Mapping[str, tuple[Sheet, ...]] = field(default_factory=dict)
    sticks: Mapping[str, tuple[Stick, ...]] = field(default_factory=dict)
    rolls: Mapping[str, tuple[Roll, ...]] = field(default_factory=dict)


@dataclass(frozen=True)
class Build:
    """All that the shop floor decided for one order.

    Attributes
    ----------
    layouts : tuple of Layout
        One for each sheet good that is used, in the shop's order of goods.
    stick_plans : tuple of StickPlan
        The same for lumber.
    roll_plan : RollPlan
        Paper, film and foam off rolls.
    seed, effort
        What the searches were run with: the same again gives the same build.
    """

    order: Order
    shop: Shop
    crates: tuple[Crate, ...]
    layouts: tuple[Layout, ...]
    stick_plans: tuple[StickPlan, ...]
    roll_plan: RollPlan
    supply: Supply
    seed: int = 0
    effort: Effort = "normal"

    def crate(self, name: str) -> Crate:
        """Return the crate of that name."""
        for each in self.crates:
            if each.crate == name:
                return each
        raise KeyError(f"no crate named {name!r}")

    @property
    def travelling(self) -> tuple[Crate, ...]:
        """What the carrier sees: frames that ride in a case do not count."""
        return tuple(crate for crate in self.crates if crate.inside_of is None)

    def riding(self, case: str) -> tuple[Crate, ...]:
        """Return the frames that ride in a case of that name."""
        return tuple(crate for crate in self.crates if crate.inside_of == case)

    @property
    def gross_kg(self) -> float:
        """Weight of all that travels."""
        return round(sum(crate.gross_kg for crate in self.travelling), 1)

    @property
    def sheet_count(self) -> int:
        """How many sheets are cut."""
        return sum(layout.sheet_count for layout in self.layouts)

    @property
    def stopped(self) -> str | None:
        """Why a search was cut short (``"deadline"`` or ``"interrupt"``), or None."""
        reasons = [*(each.stopped for each in self.layouts), *(each.stopped for each in self.stick_plans)]
        return next((reason for reason in reasons if reason), None)


def build(
    order: Order,
    shop: Shop,
    supply: Supply,
    *,
    seed: int = 0,
    effort: Effort = "normal",
    grouping: Grouping | None = None,
    countries: Mapping[str, str] | None = None,
    progress: Progress = silent,
    deadline: float | None = None,
    start: Build | None = None,
    memory: Memory | None = None,
    stop: Stop | None = None,
) -> Build:
    """Run the shop floor.

    Parameters
    ----------
    order : Order
        The artworks.
    shop : Shop
        Goods and rules.
    supply : Supply
        Stock with costs; every good that the crates need must be in it.
    seed : int
        Of the searches.
    effort : {"quick", "normal", "thorough"}
        Counted in steps, never in seconds.
    grouping : Grouping, optional
        Which travel frames share a case; chosen simply when not given.
    countries : mapping of str to str, optional
        Country of each destination, where known.
    progress : Progress
        Told about stages.
    deadline : float, optional
        Seconds for each search; it only cuts off.
    start : Build, optional
        An earlier build whose layouts the searches start from, so that an order with a piece less never costs more.
    memory : dict, optional
        What earlier builds laid out, by all that the answer depends on: read here and added to, so that builds that
        differ in few goods search only those. Without effect where a deadline or a start is given.
    stop : Stop, optional
        Through which the searches can be asked to end early, with the best that they found.

    Returns
    -------
    Build

    Raises
    ------
    FaultsFound
        Every reason why the order cannot be built, all at once.
    """
    progress("crates", 0.0)
    crates = expand(order, shop, grouping=grouping, countries=countries)
    sheet_parts, stick_parts, roll_parts = gather(crates)
    _refuse_unstocked(order, {**sheet_parts, **stick_parts, **roll_parts}, supply)
    laying = Laying(
        shop.saw,
        Misfits(order, crates),
        seed,
        effort,
        deadline,
        {} if memory is None or start is not None or deadline is not None else memory,
        {layout.good: layout for layout in start.layouts} if start else {},
        stop,
        progress,
        max(1, len(sheet_parts) + len(stick_parts)),
        _kerfs(shop, sheet_parts),
    )
    goods = [good.good for good in shop.goods]
    layouts, plans = _laid(
        laying,
        supply,
        {g: sheet_parts[g] for g in goods if g in sheet_parts},
        {g: stick_parts[g] for g in goods if g in stick_parts},
    )
    wrapping = [part for good in goods if good in roll_parts for part in roll_parts[good]]
    rolls = laying.rolls(wrapping, (roll for each in supply.rolls.values() for roll in each))
    if laying.faults:
        raise FaultsFound(laying.faults)
    progress("cutting plans", 1.0)
    return Build(
        order,
        shop,
        crates,
        layouts,
        plans,
        rolls,
        supply,
        seed,
        effort,
    )


def relaid(made: Build, effort: Effort, stop: Stop | None = None) -> Build:
    """Return the same crates with sheets and sticks laid out anew by searches of another effort."""
    sheet_parts, stick_parts, _ = gather(made.crates)
    kerfs = _kerfs(made.shop, sheet_parts)
    laying = Laying(made.shop.saw, Misfits(made.order, made.crates), made.seed, effort, stop=stop, kerfs=kerfs)
    layouts, plans = _laid(
        laying,
        made.supply,
        {each.good: sheet_parts[each.good] for each in made.layouts},
        {each.good: stick_parts[each.good] for each in made.stick_plans},
    )
    if laying.faults:
        raise FaultsFound(laying.faults)
    return replace(made, layouts=layouts, stick_plans=plans, effort=effort)


def _kerfs(shop: Shop, goods: Iterable[str]) -> dict[str, int]:
    """Return what a cut through each sheet good takes."""
    return {good: kerf_of(shop, shop.good(good)) for good in goods}


def _laid(
    laying: Laying,
    supply: Supply,
    sheet_parts: Mapping[str, Sequence[Part]],
    stick_parts: Mapping[str, Sequence[StickPart]],
) -> tuple[tuple[Layout, ...], tuple[StickPlan, ...]]:
    """Lay out sheets, then sticks, good by good; what cannot be laid is left to the faults."""
    with laying.stoppable():
        layouts = [laying.sheets(good, parts, supply.sheets[good]) for good, parts in sheet_parts.items()]
        plans = [laying.sticks(good, parts, supply.sticks[good]) for good, parts in stick_parts.items()]
    return tuple(layout for layout in layouts if layout), tuple(plan for plan in plans if plan)


def gather(
    crates: Sequence[Crate],
) -> tuple[dict[str, list[Part]], dict[str, list[StickPart]], dict[str, list[RollPart]]]:
    """Gather the parts of all crates by good: sheets, sticks, rolls."""
    sheets: dict[str, list[Part]] = defaultdict(list)
    sticks: dict[str, list[StickPart]] = defaultdict(list)
    rolls: dict[str, list[RollPart]] = defaultdict(list)
    for crate in crates:
        for part in crate.parts:
            sheets[part.good].append(part)
        for stick in crate.sticks:
            sticks[stick.good].append(stick)
        for roll in crate.rolls:
            rolls[roll.good].append(roll)
    return sheets, sticks, rolls


def _refuse_unstocked(order: Order, needed: Mapping[str, object], supply: Supply) -> None:
    """Raise one error that names every good for which nothing can be cut."""
    stocked = {**supply.sheets, **supply.sticks, **supply.rolls}
    faults = [
        Fault(
            file=order.source,
            row=None,
            column=None,
            found=f"nothing stocked of {good}",
            accepted="a stock size with a price",
        )
        for good in needed
        if not stocked.get(good)
    ]
    if faults:
        raise FaultsFound(faults)

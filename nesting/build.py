"""The shop floor in one call: an order goes in, a build comes out.

:func:`build` expands the artworks into crates, gathers their parts by good, and lays each good out on the stock that
it is handed. Costs come with that stock as plain whole numbers; what they mean is the front office's business.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TypeVar

from nesting.advice.carriage import Carriage
from nesting.base.counts import plural
from nesting.base.faults import Fault, FaultsFound
from nesting.base.measure import UnitSystem
from nesting.base.search import USUAL, Effort, Search
from nesting.base.writing import Writing
from nesting.crates.cases.consignment import Grouping
from nesting.crates.expand import expand
from nesting.crates.held import held_line, without
from nesting.crates.judge import Judge
from nesting.crates.kept import kept, room_for
from nesting.crates.limits import as_ordered
from nesting.crates.misfits import Misfits
from nesting.crates.model import Crate
from nesting.crates.unpacked import Unpacked, unpacked_line, without_unpacked
from nesting.cutting.existing import Match, Used, match_parts, match_sticks, open_sheets, open_sticks
from nesting.cutting.given import Given
from nesting.cutting.laying import Laying, Sawing
from nesting.cutting.parts import Part, RollPart, StickPart
from nesting.cutting.rolls import Roll, RollPlan
from nesting.cutting.sawing.weighing import Weighing
from nesting.cutting.sheets import Layout, Sheet
from nesting.cutting.sheets.front import Bench
from nesting.cutting.sticks import Stick, StickPlan
from nesting.order import Order, words_of
from nesting.shop.needs import blade_of, kerf_of
from nesting.shop.shop import Shop

P = TypeVar("P", Part, StickPart)

_NAMED = 6
"""Left-over parts that are named in a line."""


@dataclass(frozen=True, slots=True)
class Supply:
    """What may be cut, by good, with plain whole costs for the optimisers.

    Attributes
    ----------
    sheets, sticks, rolls : mapping of str to tuple
        Every stock size that can be bought or stands on the rack; in a build, open stock too.
    given : Given
        Parts that are cut already and stock that is open; what is cut is not laid out again.
    judge : Judge
        What designs of crates are judged by.
    weighing : Weighing or None
        What is weighed beside goods where sheets are laid out; goods alone count where there is none.
    """

    sheets: Mapping[str, tuple[Sheet, ...]] = field(default_factory=dict)
    sticks: Mapping[str, tuple[Stick, ...]] = field(default_factory=dict)
    rolls: Mapping[str, tuple[Roll, ...]] = field(default_factory=dict)
    given: Given = field(default_factory=Given)
    judge: Judge = field(default_factory=Judge)
    weighing: Weighing | None = None

    def opened(self) -> "Supply":
        """Return the supply with what is open among its stock, at no cost and ahead of what must be bought."""
        free = self.given.sheets
        if not free:
            return self
        sheets = {
            good: (*open_sheets(good, free, stock), *(each for each in stock if each.source != "open"))
            for good, stock in self.sheets.items()
        }
        sticks = {
            good: (*open_sticks(good, free), *(each for each in stock if each.source != "open"))
            for good, stock in self.sticks.items()
        }
        return replace(self, sheets=sheets, sticks=sticks)


@dataclass(frozen=True, slots=True)
class Dispatch:
    """How an order goes out.

    Attributes
    ----------
    grouping : Grouping or None
        Which travel frames share a case; chosen simply where there is none.
    countries : mapping of str to str
        Country of each destination, where known.
    carriage : mapping of str to str
        Who takes crates to each destination; a common carrier where it says nothing.
    """

    grouping: Grouping | None = None
    countries: Mapping[str, str] = field(default_factory=dict)
    carriage: Mapping[str, Carriage] = field(default_factory=dict)


@dataclass(frozen=True)
class Build:
    """All that the shop floor decided for one order.

    Attributes
    ----------
    crates : tuple of Crate
        All that is cut and built: those that are good, and those that the studio accepted.
    held : tuple of Crate
        Crates of which no design passes its checks, and what rides with them: not on the cut list, not in any sum.
    layouts : tuple of Layout
        One for each sheet good that is used, in the shop's order of goods.
    stick_plans : tuple of StickPlan
        The same for lumber.
    roll_plan : RollPlan
        Paper, film and foam off rolls.
    seed, effort
        What the searches were run with: the same again gives the same build.
    grouping : Grouping or None
        What was chosen for the order's crates before they were made; None where nothing was.
    unpacked : tuple of Unpacked
        Pieces left to the shop that no method packs: in no crate, and in no sum.
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
    held: tuple[Crate, ...] = ()
    grouping: Grouping | None = None
    unpacked: tuple[Unpacked, ...] = ()

    def crate(self, name: str) -> Crate:
        """Return the crate of that name."""
        if name not in self._by_name:
            raise KeyError(f"no crate named {name!r}")
        return self._by_name[name]

    @cached_property
    def _by_name(self) -> dict[str, Crate]:
        return {each.crate: each for each in reversed(self.every)}

    @property
    def units(self) -> UnitSystem:
        """In which units the shop works: all but the sizes of pieces, which are in the order's."""
        return self.shop.works_in(self.order.units)

    @cached_property
    def writing(self) -> Writing:
        """How people read the figures and days of it; what the order says in words stays as it was written."""
        return self.shop.writing.sparing(words_of(self.order))

    @property
    def every(self) -> tuple[Crate, ...]:
        """All crates, those that are cut and those that are held."""
        return (*self.crates, *self.held)

    @cached_property
    def held_pieces(self) -> frozenset[str]:
        """Pieces whose crate is held, or that have none: they are packed, priced and sent by nobody."""
        return frozenset(
            (*(piece for crate in self.held for piece in crate.pieces), *(each.piece for each in self.unpacked))
        )

    @property
    def is_lacking(self) -> bool:
        """Whether anything of the order is left out: a crate that is held, or a piece that nothing packs."""
        return bool(self.held or self.unpacked)

    @property
    def lacking_line(self) -> str:
        """What stands first wherever anything is left out; empty where all is made."""
        return " ".join(filter(None, (held_line(self.held), unpacked_line(self.unpacked))))

    @property
    def without(self) -> str:
        """What stands beside a total for what is left out of it; empty where all is made."""
        return "; ".join(filter(None, (without(self.held), without_unpacked(self.unpacked))))

    @cached_property
    def sheet_matches(self) -> dict[str, Match[Part]]:
        """Parts of sheet goods that exist, held against what is wanted, by good."""
        return _matches(gather(self.crates)[0], self.supply.given.parts, match_parts)

    @cached_property
    def stick_matches(self) -> dict[str, Match[StickPart]]:
        """The same for lumber."""
        return _matches(gather(self.crates)[1], self.supply.given.sticks, match_sticks)

    @property
    def used(self) -> tuple[Used[Part] | Used[StickPart], ...]:
        """Parts that existed before the plan and serve for wanted ones, good by good."""
        sheets = (each for match in self.sheet_matches.values() for each in match.used)
        return (*sheets, *(each for match in self.stick_matches.values() for each in match.used))

    @property
    def left_over(self) -> tuple[Part | StickPart, ...]:
        """Parts that existed before the plan and that nobody wants any more."""
        sheets = (each for match in self.sheet_matches.values() for each in match.left_over)
        return (*sheets, *(each for match in self.stick_matches.values() for each in match.left_over))

    @property
    def given_told(self) -> str:
        """What of the parts that existed is used and what is left over, in one line; empty where there were none."""
        if not (self.used or self.left_over):
            return ""
        used, left = (sum(each.count for each in parts) for parts in ([u.part for u in self.used], self.left_over))
        words = "exists already and is used" if used == 1 else "exist already and are used"
        named = [f"{each.count}× {each.name} ({each.good})" for each in self.left_over]
        more = [f"and {plural(len(named) - _NAMED, 'other')}"] if len(named) > _NAMED else []
        return f"{plural(used, 'part')} {words}; {left} left over" + (
            f": {', '.join([*named[:_NAMED], *more])}" if named else ""
        )

    def existing(self, part: str) -> int:
        """Return how many of a wanted part exist already, by its name."""
        return self._existing.get(part, 0)

    @cached_property
    def _existing(self) -> dict[str, int]:
        counts: dict[str, int] = {}
        for each in self.used:
            counts[each.part.name] = counts.get(each.part.name, 0) + each.part.count
        return counts

    @property
    def travelling(self) -> tuple[Crate, ...]:
        """What the carrier sees: frames that ride in a case do not count."""
        return tuple(crate for crate in self.crates if crate.inside_of is None)

    def riding(self, case: str) -> tuple[Crate, ...]:
        """Return the frames that ride in a case of that name."""
        return self._riders.get(case, ())

    @cached_property
    def _riders(self) -> dict[str, tuple[Crate, ...]]:
        inside: dict[str, list[Crate]] = {}
        for crate in self.crates:
            if crate.inside_of is not None:
                inside.setdefault(crate.inside_of, []).append(crate)
        return {case: tuple(riders) for case, riders in inside.items()}

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
    dispatch: Dispatch | None = None,
    search: Search = USUAL,
    start: Build | None = None,
) -> Build:
    """Run the shop floor.

    Parameters
    ----------
    order : Order
        The artworks.
    shop : Shop
        Goods and rules.
    supply : Supply
        Stock with costs; every good that the crates need must be in it. What it says is given is used first.
    dispatch : Dispatch, optional
        Which travel frames share a case, and where the order goes.
    search : Search
        How sheets and sticks are searched; its memory is left alone where there is a deadline or a start.
    start : Build, optional
        An earlier build whose layouts the searches start from, so that an order with a piece less never costs more.

    Returns
    -------
    Build

    Raises
    ------
    FaultsFound
        Every reason why the order cannot be built, all at once.
    KeyboardInterrupt
        When a search was interrupted, and there is no ``search.stop``.
    """
    goes = dispatch or Dispatch()
    search.progress("crates", 0.0)
    unpacked: list[Unpacked] = []
    expanded = expand(
        order,
        shop,
        grouping=goes.grouping,
        countries=goes.countries,
        judge=supply.judge,
        carriage=goes.carriage,
        unpacked=unpacked,
        made=kept(
            search.memory,
            ("crates", room_for(len(order.copies()))),
            as_ordered(shop.in_units(order.units), order),
            shop.works_in(order.units),
            supply.judge,
        ),
    )
    crates = tuple(crate for crate in expanded if crate.standing != "held")
    held = tuple(crate for crate in expanded if crate.standing == "held")
    supply = supply.opened()
    sheet_parts, stick_parts, roll_parts = gather(crates)
    sheet_parts = _lacking(sheet_parts, supply.given.parts, match_parts)
    stick_parts = _lacking(stick_parts, supply.given.sticks, match_sticks)
    _refuse_unstocked(order, {**sheet_parts, **stick_parts, **roll_parts}, supply)
    laying = Laying(
        shop.saw,
        Misfits(order, crates, shop),
        search if start is None and search.deadline is None else replace(search, memory=None),
        {layout.good: layout for layout in start.layouts} if start else {},
        max(1, len(sheet_parts) + len(stick_parts)),
        _kerfs(shop, sheet_parts),
        _sawing(shop, sheet_parts),
        _benches(shop, supply, sheet_parts),
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
    search.progress("cutting plans", 1.0)
    return Build(
        order, shop, crates, layouts, plans, rolls, supply, search.seed, search.effort, held, goes.grouping,
        tuple(unpacked),
    )  # fmt: skip


def relaid(made: Build, search: Search) -> Build:
    """Return the same crates with sheets and sticks laid out anew by another search."""
    sheet_parts, stick_parts = to_cut(made)
    laying = Laying(
        made.shop.saw,
        Misfits(made.order, made.crates, made.shop),
        search,
        kerfs=_kerfs(made.shop, sheet_parts),
        sawing=_sawing(made.shop, sheet_parts),
        benches=_benches(made.shop, made.supply, sheet_parts),
    )
    layouts, plans = _laid(
        laying,
        made.supply,
        {each.good: sheet_parts[each.good] for each in made.layouts},
        {each.good: stick_parts[each.good] for each in made.stick_plans},
    )
    if laying.faults:
        raise FaultsFound(laying.faults)
    return replace(made, layouts=layouts, stick_plans=plans, seed=search.seed, effort=search.effort)


def _kerfs(shop: Shop, goods: Iterable[str]) -> dict[str, int]:
    """Return what a cut through each sheet good takes."""
    return {good: kerf_of(shop, shop.good(good)) for good in goods}


def _benches(shop: Shop, supply: Supply, goods: Iterable[str]) -> dict[str, Bench]:
    """Return what is weighed beside each sheet good."""
    return {} if supply.weighing is None else {good: supply.weighing.bench(shop, good) for good in goods}


def _sawing(shop: Shop, goods: Iterable[str]) -> dict[str, Sawing]:
    """Return how each sheet good that saws cut is cut."""
    sawn = (shop.good(good) for good in goods if blade_of(shop, shop.good(good)) == "saw")
    return {good.good: Sawing(good.thickness, shop.saw, shop.tools) for good in sawn}


def _laid(
    laying: Laying,
    supply: Supply,
    sheet_parts: Mapping[str, Sequence[Part]],
    stick_parts: Mapping[str, Sequence[StickPart]],
) -> tuple[tuple[Layout, ...], tuple[StickPlan, ...]]:
    """Lay out sheets, then sticks, good by good; what cannot be laid is left to the faults."""
    with laying.search.in_turn():
        layouts = laying.all_sheets(sheet_parts, supply.sheets)
        plans = [laying.sticks(good, parts, supply.sticks[good]) for good, parts in stick_parts.items()]
    return layouts, tuple(plan for plan in plans if plan)


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


def to_cut(made: Build) -> tuple[dict[str, list[Part]], dict[str, list[StickPart]]]:
    """Return the parts that a build lays out, by good: sheets and sticks, without those that exist already."""
    sheets, sticks, _ = gather(made.crates)
    given = made.supply.given
    return _lacking(sheets, given.parts, match_parts), _lacking(sticks, given.sticks, match_sticks)


def _matches(
    wanted: Mapping[str, Sequence[P]],
    existing: Mapping[str, Sequence[P]],
    match: Callable[[Sequence[P], Sequence[P]], Match[P]],
) -> dict[str, Match[P]]:
    """Hold what exists against what is wanted, good by good."""
    return {good: match(wanted.get(good, ()), parts) for good, parts in existing.items()}


def _lacking(
    wanted: Mapping[str, list[P]],
    existing: Mapping[str, Sequence[P]],
    match: Callable[[Sequence[P], Sequence[P]], Match[P]],
) -> dict[str, list[P]]:
    """Return what is wanted and does not exist, by good; goods of which nothing is lacking are left out."""
    found = {
        good: list(match(parts, existing[good]).to_cut) if good in existing else parts for good, parts in wanted.items()
    }
    return {good: parts for good, parts in found.items() if parts}


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

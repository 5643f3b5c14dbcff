"""Settling: the answer in two steps. The first comes at once from designs that are kept, the second is the command's.

What a longer search chose for a job, its crates' designs and its cutting plans, is kept as the job's last. An order
that is the same in all that a figure rests on is built from that and is settled at once; one that was changed takes
over the designs of all crates whose pieces are as they were, and the rest is made by the rules until it settles.
"""

import hashlib
from collections.abc import Hashable, Iterator, Mapping, MutableMapping
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property
from importlib.metadata import version
from typing import Any, Final

from nesting.base.faults import Fault, FaultsFound
from nesting.base.progress import Progress, silent
from nesting.base.search import Effort, Memory, Search
from nesting.base.stop import Stop
from nesting.base.version import made_by
from nesting.crates.cases.consignment import CartonLoad, CaseLoad, Grouping
from nesting.cutting.parts import Part, StickPart
from nesting.cutting.sheets import Layout
from nesting.cutting.sheets.purse import Allowance
from nesting.cutting.sticks import StickPlan
from nesting.order import AUTO, Artwork, Order
from pricing.ahead.cheaper import Cheaper, cheaper
from pricing.desk.recent import Recent
from pricing.quoting.keeping import joined
from pricing.quoting.plans import plans_of, priced, with_plans
from pricing.quoting.quote import Quote
from pricing.quoting.sawn import Sawn
from pricing.quoting.work import cheapest_grouping, work
from pricing.studio.office import Office

SEARCHED: Final = Recent(1_000)
"""What the worker laid out before, so that a figure settles sooner after a small change."""


def _digest(*facts: object) -> str:
    return hashlib.sha256(repr(facts).encode()).hexdigest()


@dataclass(frozen=True)
class Settling:
    """The work of settling a figure: the order worked through as the command does it; it runs where it is sent.

    Attributes
    ----------
    order, office, on, number, sawn
        As :func:`pricing.quoting.work.work` takes them.
    seed : int
        Of the searches.
    effort : {"quick", "normal", "thorough"}
        Of the searches; a figure has settled that comes of ``normal``.
    taken : Grouping or None
        Designs that somebody took for some of its crates.
    """

    order: Order
    office: Office
    on: date
    number: str = ""
    seed: int = 0
    sawn: Sawn | None = None
    effort: Effort = "normal"
    taken: Grouping | None = None

    @property
    def name(self) -> str:
        """The key of what comes of it."""
        return "settled"

    def run(self, report: Progress, stop: Stop) -> Quote:
        """Work the order through; asked to stop, with the best found so far."""
        return self.worked(Search(self.seed, self.effort, stop, report, memory=SEARCHED))

    def worked(self, search: Search, design: Grouping | None = None) -> Quote:
        """Work the order through by a search; where designs are handed in, none is looked for."""
        return work(
            self.order, self.office, on=self.on, search=search, number=self.number, sawn=self.sawn, design=design,
            taken=self.taken,
        )  # fmt: skip

    def quick(
        self, memory: Memory, design: Grouping | None = None, *, draft: bool = False, progress: Progress = silent
    ) -> Quote:
        """Work the order through in few steps; as a draft, of which other plans are made before anything is cut."""
        return self.worked(Search(self.seed, "quick", progress=progress, memory=memory, draft=draft), design)

    @cached_property
    def about(self) -> str:
        """A digest of all that the figure rests on, what people read only left out.

        Of another program, or of another optimiser below it, no figure is sure to be the same.
        """
        order = replace(
            self.order, name="", source="", warnings=(), artworks=tuple(map(Artwork.as_made, self.order.artworks))
        )
        taken = () if self.taken is None else (self.taken,)
        return _digest(order, self.office, self.on, self.seed, self.sawn, made_by(), version("ortools"), *taken)

    @cached_property
    def ground(self) -> str:
        """A digest of what designs are made by, whatever they cost: goods, rules, places and who goes there."""
        office = self.office
        return _digest(office.shop, office.destinations, office.rates.freight, office.rates.delivery, made_by())

    @cached_property
    def pieces(self) -> Mapping[str, str]:
        """A digest of each single piece."""
        return {copy.piece: _digest(copy.as_made()) for copy in self.order.copies()}


@dataclass(frozen=True)
class Named:
    """The cheaper way that was looked for beside a settled quote.

    Attributes
    ----------
    key : str
        What it is of; see :attr:`Settling.about`.
    found : Cheaper or None
        None where none of those that were quoted is cheaper.
    """

    key: str
    found: Cheaper | None


@dataclass(frozen=True)
class Naming:
    """The work of looking for a cheaper way than a quote; see :func:`pricing.ahead.cheaper.cheaper`."""

    key: str
    quote: Quote
    taken: Grouping | None = None

    @property
    def name(self) -> str:
        """The key of what comes of it."""
        return "cheaper"

    def run(self, report: Progress, stop: Stop) -> Named:
        """Quote single changes; asked to stop, the best so far."""
        report("single changes are quoted", 0.0)
        search = Search(self.quote.build.seed, "quick", stop, memory=SEARCHED)
        return Named(self.key, cheaper(self.quote, search, taken=self.taken))


@dataclass(frozen=True)
class Warming:
    """The work of loading what the first figure that settles would wait for."""

    name: str = "warm"

    def run(self, _report: Progress, _stop: Stop) -> None:
        """Load the compiled search."""
        from nesting.cutting.sheets.ready import get_ready

        get_ready()


class _Planned(MutableMapping[Hashable, Any]):
    """The memory of searches of an order whose cutting plans are kept: these are not laid out again.

    Parameters
    ----------
    memory : Memory
        What is remembered beside; read and added to.
    plans : mapping of str to Layout or StickPlan
        By good, of the very same parts on the same stock.
    """

    def __init__(self, memory: Memory, plans: Mapping[str, Layout | StickPlan]) -> None:
        self._memory = memory
        self._plans = plans

    def _plan(self, key: Hashable) -> Layout | StickPlan | None:
        """Return the plan that a search for a whole good asks for, which names the good first, whatever its effort."""
        match key:
            case ((str() as good, (Part() | StickPart(), *_), *_), None):
                return self._plans.get(good)
        return None

    def __contains__(self, key: object) -> bool:
        return (isinstance(key, Hashable) and self._plan(key) is not None) or key in self._memory

    def __getitem__(self, key: Hashable) -> Any:
        plan = self._plan(key)
        return self._memory[key] if plan is None else (plan, Allowance())

    def __setitem__(self, key: Hashable, made: Any) -> None:
        self._memory[key] = made

    def __delitem__(self, key: Hashable) -> None:
        del self._memory[key]

    def __iter__(self) -> Iterator[Hashable]:
        return iter(self._memory)

    def __len__(self) -> int:
        return len(self._memory)


@dataclass(frozen=True)
class Settled:
    """What a longer search chose for a job.

    Attributes
    ----------
    key : str
        What it is of; see :attr:`Settling.about`.
    effort : {"quick", "normal", "thorough"}
        How long it was searched.
    ground : str
        See :attr:`Settling.ground`.
    pieces : mapping of str to str
        See :attr:`Settling.pieces`.
    grouping : Grouping or None
        How its crates are made; None where nothing was chosen.
    plans : tuple of Layout or StickPlan
        Its cutting plans.
    stopped : bool
        Whether the search was ended early, so that another may find less.
    """

    key: str
    effort: Effort
    ground: str
    pieces: Mapping[str, str] = field(default_factory=dict)
    grouping: Grouping | None = None
    plans: tuple[Layout | StickPlan, ...] = ()
    stopped: bool = False

    def quote(self, asked: Settling, memory: Memory, progress: Progress = silent) -> Quote:
        """Return the quote again that this is kept of; what is asked for has the same key."""
        plans = {plan.good: plan for plan in self.plans}
        quick = asked.quick(_Planned(memory, plans), self.grouping, draft=True, progress=progress)
        build = replace(with_plans(quick.build, plans), effort=self.effort)
        return replace(quick, build=build) if plans == plans_of(quick.build) else priced(quick, build)


@dataclass(frozen=True)
class Figure:
    """What an order comes to before anything is searched for long.

    Attributes
    ----------
    quote : Quote
        The priced build.
    effort : {"quick", "normal", "thorough"}
        How long it was searched, now or when it was kept.
    settled, stopped : bool
        Whether it is what a longer search came to, and whether that was ended early.
    """

    quote: Quote
    effort: Effort = "quick"
    settled: bool = False
    stopped: bool = False


@dataclass(frozen=True)
class Figured:
    """What came of working a large order out behind the pages: a figure, or why there is none.

    Attributes
    ----------
    figure : Figure or None
        None where there are faults, or trouble.
    faults : tuple of Fault
        Every reason why it cannot be built or priced.
    trouble : str
        A mistake of ours, as it calls itself.
    """

    figure: Figure | None = None
    faults: tuple[Fault, ...] = ()
    trouble: str = ""


@dataclass(frozen=True)
class Figuring:
    """The work of a first figure, for orders that are too large to be worked out while a page waits.

    Attributes
    ----------
    asked : Settling
        What is to be worked out.
    kept, tried : Settled or None
        What a longer search, or a trial, came to for the job lately.
    """

    asked: Settling
    kept: Settled | None = None
    tried: Settled | None = None

    @property
    def name(self) -> str:
        """The key of what comes of it."""
        return "figure"

    @property
    def is_kept(self) -> bool:
        """Whether nothing has to be searched for: what is asked for is what is kept."""
        return any(each is not None and each.key == self.asked.about for each in (self.kept, self.tried))

    def run(self, report: Progress, stop: Stop) -> Figured:
        """Work the order out; asked to stop, nothing comes of it: another is asked for by then."""
        try:
            with stop.search():
                return Figured(figure(self.asked, self.kept, self.tried, SEARCHED, report))
        except FaultsFound as error:
            return Figured(faults=error.faults)
        except MemoryError:
            raise  # a process without memory left must end
        except Exception as error:  # noqa: BLE001 - a mistake of ours is told on the page, and ends no process
            return Figured(trouble=f"{type(error).__name__}: {error}")


def figure(
    asked: Settling, kept: Settled | None, tried: Settled | None, memory: Memory, progress: Progress = silent
) -> Figure:
    """Return what a longer search came to for this order, or a trial, or else the first figure.

    Raises
    ------
    nesting.base.faults.FaultsFound
        Every reason why it cannot be built or priced.
    """
    if kept is not None and kept.key == asked.about:
        return Figure(kept.quote(asked, memory, progress), kept.effort, settled=True, stopped=kept.stopped)
    if tried is not None and tried.key == asked.about:
        return Figure(tried.quote(asked, memory, progress), tried.effort)
    return Figure(_first(asked, kept, memory, progress), settled=asked.effort == "quick")


def _first(asked: Settling, kept: Settled | None, memory: Memory, progress: Progress) -> Quote:
    """Work an order through in few steps, with the designs that are kept, the rest by the rules.

    Designs that were kept of another order, and that this one cannot have, are left out. Where it still settles it is a
    draft: which clamps its cuts ask for costs nothing, and to try more strips takes most of the time.
    """
    if asked.effort == "quick":
        return asked.quick(memory, progress=progress)
    try:
        return asked.quick(memory, first_design(kept, asked), draft=True, progress=progress)
    except FaultsFound:
        return asked.quick(memory, draft=True, progress=progress)


def settled(asked: Settling, quote: Quote, *, stopped: bool) -> Settled:
    """Return what is kept of a quote that a longer search came to."""
    build = quote.build
    plans = tuple(plans_of(build).values())
    return Settled(asked.about, asked.effort, asked.ground, asked.pieces, build.grouping, plans, stopped)


def first_design(kept: Settled | None, asked: Settling) -> Grouping:
    """Return how an order's crates are made before anything is searched: as is kept, or as the rules say.

    Where only prices have moved, or nothing of what designs are made by, all is kept. Otherwise the grouping of what
    is not kept is found by estimated cost, whose steps are counted.
    """
    if kept is not None and kept.grouping is not None and (kept.ground, kept.pieces) == (asked.ground, asked.pieces):
        return kept.grouping
    fresh = cheapest_grouping(asked.order, asked.office) or Grouping(())
    return taken_over(kept, fresh, asked) if kept is not None else fresh


def taken_over(kept: Settled, fresh: Grouping, asked: Settling) -> Grouping:
    """Return the designs that are kept, for all crates whose pieces are as they were, and fresh ones for the rest.

    A case or carton of which a piece has changed is made as is chosen afresh.

    Parameters
    ----------
    kept : Settled
        What was chosen for the job as it was.
    fresh : Grouping
        What the rules give for the order as it is now.
    asked : Settling
        The order as it is now.
    """
    before = kept.grouping
    if before is None or kept.ground != asked.ground:
        return fresh
    same = {name for name, digest in asked.pieces.items() if kept.pieces.get(name) == digest}
    copies = {copy.piece: number for number, copy in enumerate(asked.order.copies())}
    auto = {copy.piece for copy in asked.order.copies() if copy.method == AUTO}
    alone = auto if asked.office.shop.method.travel_from > 1 else set()

    def place(load: CaseLoad | CartonLoad) -> int:
        return min(copies[each] for each in load.pieces)

    cases = joined(before.cases, fresh.cases, same)
    cartons = joined(before.cartons, fresh.cartons, same)
    riding = [load for load in cases if len(load.pieces) > 1 or not alone.issuperset(load.pieces)]
    shells = {first: design for first, design in before.shells if first in same}
    return replace(
        fresh,
        cases=tuple(sorted(riding, key=place)),
        cartons=tuple(sorted(cartons, key=place)),
        shells=tuple({**dict(fresh.shells), **shells}.items()),
    )

"""Laying out an order's parts, good by good: one search each, told about, remembered, and stopped when asked.

What the searches find is theirs; here stands only what they have in common, so that :mod:`nesting.build` reads as the
order of the work.
"""

from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Final, Protocol, TypeVar

from nesting.base.faults import Fault
from nesting.base.progress import silent
from nesting.base.search import USUAL, Search
from nesting.cutting.parts import Part, RollPart, StickPart
from nesting.cutting.rolls import Roll, RollError, RollPlan, lay_rolls
from nesting.cutting.sawing.blanks import Blanks, made_safe
from nesting.cutting.sawing.easing import eased, through
from nesting.cutting.sawing.model import SawPlan
from nesting.cutting.sawing.plan import saw_plan
from nesting.cutting.sheets import Layout, NestError, Sheet, at_stake, many, nest
from nesting.cutting.sheets.effort import SETTINGS
from nesting.cutting.sheets.front import Bench
from nesting.cutting.sheets.purse import Allowance, Purse
from nesting.cutting.sticks import Stick, StickError, StickPlan, cut_sticks
from nesting.shop.house_rules import SawRules, ToolRules

P = TypeVar("P", Layout, StickPlan)

LARGER: Final = "parts that fit what is stocked; add a larger size to the goods, or choose another method"
ENOUGH: Final = "enough stock for all parts; raise its limit in the price book, or choose another method"


class Misfits(Protocol):
    """Tells, before any search, what is larger than all that is stocked: as faults of whoever wants the parts."""

    @property
    def source(self) -> str:
        """Whose faults they are: a file, or empty."""

    def sheets(self, good: str, parts: Iterable[Part], stock: Iterable[Sheet], /) -> list[Fault]:
        """Return a fault for each part that no sheet takes."""

    def sticks(self, good: str, parts: Iterable[StickPart], stock: Iterable[Stick], /) -> list[Fault]:
        """Return a fault for each part that no stick takes."""

    def rolls(self, parts: Iterable[RollPart], stock: Sequence[Roll], /) -> dict[str, Fault]:
        """Return a fault, by the part's name, for each part that no roll of its good takes."""


@dataclass(frozen=True, slots=True)
class Sawing:
    """What saws a good is cut by, and what is known of it at the saw.

    Attributes
    ----------
    thickness : int
        Of a sheet.
    saw, tools : SawRules, ToolRules
        The shop's.
    """

    thickness: int
    saw: SawRules
    tools: ToolRules

    def plan(self, layout: Layout) -> SawPlan:
        """Return the order in which a layout is cut."""
        return saw_plan(layout, self.thickness, self.saw, self.tools)


@dataclass(slots=True)
class Laying:
    """The searches of one build.

    Attributes
    ----------
    saw : SawRules
        Kerfs, and which offcuts are worth keeping.
    misfits : Misfits
        How what cannot be cut is told.
    search : Search
        How each good is searched; where there is a memory, it is read and added to.
    earlier : mapping of str to Layout
        Layouts to start from, by good.
    searches : int
        How many there will be, for progress.
    kerfs : mapping of str to int
        What a cut through each good takes; the saw's kerf where it says nothing.
    sawing : mapping of str to Sawing
        How goods are cut by saws, whose small parts come off strips; of others parts are laid out as they are.
    benches : mapping of str to Bench
        What is weighed beside goods; goods alone count for others.
    faults : list of Fault
        What could not be laid out.
    """

    saw: SawRules
    misfits: Misfits
    search: Search = USUAL
    earlier: Mapping[str, Layout] = field(default_factory=dict)
    searches: int = 1
    kerfs: Mapping[str, int] = field(default_factory=dict)
    sawing: Mapping[str, Sawing] = field(default_factory=dict)
    benches: Mapping[str, Bench] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)
    _done: int = 0
    _purse: Purse = field(default_factory=Purse)

    def all_sheets(
        self, wanted: Mapping[str, Sequence[Part]], stock: Mapping[str, tuple[Sheet, ...]]
    ) -> tuple[Layout, ...]:
        """Lay sheet goods out that share the dear work of one order by what could still be saved of each.

        Those with most at stake come first, weighed by how likely it is to be saved: what of its share a good does not
        need is for those after it. Layouts come in the order of what is wanted; what cannot be laid out is missing,
        with a fault noted.
        """
        limit = SETTINGS[self.search.effort].order
        stakes = {good: self._stake(good, parts, stock[good]) for good, parts in wanted.items() if limit is not None}
        self._purse = Purse(limit, dict(stakes))
        made: dict[str, Layout | None] = {}
        faults: dict[str, list[Fault]] = {}
        before = self.faults
        for good in sorted(wanted, key=lambda each: -stakes.get(each, 0)):
            self.faults = []
            made[good] = self.sheets(good, wanted[good], stock[good])
            faults[good] = self.faults
        self.faults = before
        for good in wanted:
            self.faults += faults[good]
        self._purse = Purse()
        return tuple(layout for layout in map(made.__getitem__, wanted) if layout is not None)

    def _stake(self, good: str, parts: Sequence[Part], stock: tuple[Sheet, ...]) -> int:
        """Return what could be saved of a good beyond what cheap means find."""
        if self.search.deadline is not None or (self.search.stop is not None and self.search.stop.asked):
            return 1
        kerf, start = self.kerfs.get(good, self.saw.kerf), self.earlier.get(good)
        memory, key = self.search.memory, ("at stake", tuple(parts), stock, kerf, self.search.seed)
        if memory is not None and key in memory:
            known: int = memory[key]
            return known
        stake = at_stake(parts, stock, kerf=kerf, search=replace(self.search, progress=silent), start=start)
        if memory is not None:
            memory[key] = stake
        return stake

    def sheets(self, good: str, parts: Sequence[Part], stock: tuple[Sheet, ...]) -> Layout | None:
        """Lay a sheet good out; None with a fault noted where it cannot be."""

        def told(stage: str, fraction: float, *_: object) -> None:
            self.search.progress("cutting plans", (self._done + fraction) / self.searches, f"{good}, {stage}")

        kerf = self.kerfs.get(good, self.saw.kerf)
        allowance = Allowance(self._purse.share(good))
        spare = Allowance(SETTINGS[self.search.effort].strips)

        keep = (self.saw.offcut_length, self.saw.offcut_width)
        sawing, bench = self.sawing.get(good), self.benches.get(good)

        def lay(search: Search) -> Layout:
            heard = replace(search, progress=told)
            weighed = bench if search.effort != "quick" else None
            start = self.earlier.get(good)

            def by_parts() -> Layout:
                return nest(
                    parts, stock, kerf=kerf, search=heard, offcut_min=keep, start=start, bench=weighed,
                    allowance=allowance,
                )  # fmt: skip

            # What is laid out of parts alone is the same for a draft and for what is cut, unless there are very many.
            shared = weighed is None and start is None
            rough = search.draft and many(parts)
            key = ("parts alone", *asked, self.saw, search.seed, search.effort, *["draft"] * rough)
            plain = self._remembered(by_parts, key, allowance) if shared else by_parts()
            if sawing is None:
                return plain
            quiet = replace(search, progress=silent)
            quick = replace(quiet, effort="quick")

            def tried(blanks: Sequence[Part], how: Search, held: Bench | None, enough: int = 0) -> Layout | None:
                # Drafts, and every build after them, try the same strips.
                key = ("strips", tuple(blanks), stock, kerf, keep, enough, how.seed, *["draft"] * rough)
                return self._tried(
                    lambda: nest(
                        blanks,
                        stock,
                        kerf=kerf,
                        search=how,
                        offcut_min=keep,
                        bench=held,
                        enough=enough,
                        allowance=spare,
                    ),
                    key if held is None and how.effort == "quick" else None,
                )

            def strips(blanks: Sequence[Part], hard: bool) -> Layout | None:
                if hard and search.effort == "quick":
                    return None
                return tried(blanks, quiet if hard else quick, None, plain.cost)

            safe = made_safe(plain, parts, stock, sawing.tools, strips, sawing.plan, draft=search.draft)
            if weighed is None:
                return safe

            def gathered(blanks: Blanks) -> Layout | None:
                return tried(blanks.parts, quick, through(weighed, blanks))

            return eased(safe, parts, stock, sawing.tools, gathered, sawing.plan, weighed)

        wrong = self.misfits.sheets(good, parts, stock)
        asked = (good, tuple(parts), stock, kerf)
        request = *asked[1:], sawing, bench and bench.key, self.search.draft
        made = self._attempt(good, wrong, lay, *request, allowance=allowance)
        self._purse.pay(good, allowance.done)
        return made

    def sticks(self, good: str, parts: Sequence[StickPart], stock: tuple[Stick, ...]) -> StickPlan | None:
        """Cut a stick good; None with a fault noted where it cannot be."""

        def cut(search: Search) -> StickPlan:
            return cut_sticks(parts, stock, kerf=self.saw.stick_kerf, search=search)

        wrong = self.misfits.sticks(good, parts, stock)
        return self._attempt(good, wrong, cut, tuple(parts), stock)

    def rolls(self, parts: Sequence[RollPart], stock: Iterable[Roll]) -> RollPlan:
        """Lay roll goods; faults are noted."""
        rolls = list(stock)
        wrong = self.misfits.rolls(parts, rolls)
        self.faults += wrong.values()
        try:
            return lay_rolls([part for part in parts if part.name not in wrong], rolls)
        except RollError as error:
            self.faults += [Fault(self.misfits.source, None, None, found, LARGER) for found in error.faults]
            return RollPlan()

    def _attempt(
        self,
        good: str,
        wrong: Sequence[Fault],
        lay: Callable[[Search], P],
        *request: Hashable,
        allowance: Allowance | None = None,
    ) -> P | None:
        """Make one search, or note why it cannot be made."""
        self.search.progress("cutting plans", self._done / self.searches, good)
        self._done += 1
        if wrong:
            self.faults += wrong
            return None
        try:
            asked = (good, *request, self.saw, self.search.seed, self.search.effort)
            return self._remembered(lambda: self._stoppable(lay), asked, allowance or Allowance())
        except (NestError, StickError) as error:
            short = (found.removeprefix(f"{good}: ") for found in error.faults)
            self.faults += [Fault(self.misfits.source, None, None, f"{good}: {found}", ENOUGH) for found in short]
            return None

    def _remembered(self, make: Callable[[], P], request: Hashable, allowance: Allowance) -> P:
        """Return what the memory holds for a request, or make it and keep it, unless it was cut short.

        A search that ended by itself gives the same answer with whatever allowance it ends by itself with; one that ran
        short stands only for the allowance that it had. What it did is counted as if it were done again.
        """
        memory = self.search.memory
        if memory is None:
            return make()
        for most in (None, allowance.most):
            if (request, most) in memory:
                held: P
                held, spent = memory[request, most]
                if most is not None or allowance.most is None or spent.done <= allowance.most:
                    allowance.add(spent.done, is_short=spent.is_short)
                    return held
        made = make()
        if made.stopped is None:
            memory[request, allowance.most if allowance.is_short else None] = made, replace(allowance)
        return made

    def _tried(self, lay: Callable[[], Layout], request: Hashable | None) -> Layout | None:
        """Lay parts out, or remember it; None where they do not fit, or the search was cut short."""
        try:
            made = lay() if request is None else self._remembered(lay, request, Allowance())
        except NestError:
            return None
        return None if made.stopped else made

    def _stoppable(self, lay: Callable[[Search], P]) -> P:
        """Make a search that may be asked to end early.

        A search that was interrupted before it had anything, and those after the wish, are made with the least
        effort, and are told as cut short.
        """
        stop = self.search.stop
        if stop is None:
            return lay(self.search)
        if not stop.asked:
            try:
                return lay(self.search)
            except KeyboardInterrupt:
                stop.asked = True
        return replace(lay(replace(self.search, effort="quick", stop=None)), stopped="interrupt")

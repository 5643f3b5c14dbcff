"""Search: the cheapest mix of sticks that no bound rules out, until one of them can be packed.

Money depends on the mix alone, that is on how many sticks of each stock are cut. So the cheapest mix that satisfies
all cuts known so far is a lower bound. If the linear relaxation over patterns says that it cannot do, it gives a new
cut; if CP-SAT says so over all its patterns, the mix is barred; if a plan is found on it, that plan is the best one.
This is a logic-based Benders decomposition (Hooker and Ottosson 2003, doi:10.1007/s10107-003-0375-9). Limited counts
and price breaks live in the search for mixes, where they are exact. The first cut is by length, and quick plans often
meet it, so that nothing else is needed.
"""

from dataclasses import dataclass, field

from nesting.base.search import Search
from nesting.cutting.sticks.bounds import Cut, Key, Mix, attainable, by_length, fractional, mix_key
from nesting.cutting.sticks.column_generation import CELLS, Column, Columns
from nesting.cutting.sticks.dive import dive
from nesting.cutting.sticks.exact import Listing, pack
from nesting.cutting.sticks.fill import Cuts, candidates, plan_key, plan_mix
from nesting.cutting.sticks.mix_model import TIME as MIX_TIME
from nesting.cutting.sticks.mix_model import model_mix
from nesting.cutting.sticks.mixes import NODES, MixSearch
from nesting.cutting.sticks.problem import Problem
from nesting.cutting.sticks.remainder import gather_remainder
from nesting.cutting.sticks.tidy import TIME as TIDY_TIME
from nesting.cutting.sticks.tidy import Tidy

# How many mixes are looked at, and how many of them by the solver, by effort.
MIXES = {"quick": 20, "normal": 200, "thorough": 2_000}
PACKS = {"quick": 1, "normal": 4, "thorough": 40}


@dataclass
class Decomposition:
    """What is known so far of one problem.

    Attributes
    ----------
    problem : Problem
        What to cut.
    search : Search
        As in :func:`nesting.cutting.sticks.cut_sticks`.
    best : Cuts or None
        The best plan so far.
    bound : int
        Proven lower bound on cost.
    hopeless : bool
        Whether it is proven that there is no plan.
    interrupted : bool
        Whether Ctrl-C cut the search off.
    """

    problem: Problem
    search: Search
    best: Cuts | None = None
    bound: int = 0
    hopeless: bool = False
    interrupted: bool = False
    _cuts: list[Cut] = field(default_factory=list)
    _barred: list[Mix] = field(default_factory=list)
    _skipped: list[Mix] = field(default_factory=list)
    _columns: Columns | None = None
    _packs: int = 0

    @property
    def key(self) -> Key:
        """What the best plan is compared by; without a plan, more than everything costs."""
        if self.best is not None:
            return plan_key(self.problem, self.best)
        return mix_key(self.problem, tuple(stock.limit for stock in self.problem.stocks))[0] + 1, 0, 0

    def _keep(self, plan: Cuts) -> None:
        if self.best is None or plan_key(self.problem, plan) < self.key:
            self.best = plan

    def run(self) -> Cuts | None:
        """Search until the best plan is proven, its ties included, or the effort is spent; return it."""
        try:
            self._run()
        except KeyboardInterrupt:
            if self.best is None or self.search.stop is None:
                raise
            self._note(interrupted=True)
        if self.best is not None:
            self.bound = attainable(self.problem, self.bound, self.key[0])
        return self.best

    def _note(self, *, interrupted: bool) -> None:
        """Note that an interrupt cut a solver off; where nobody asked for the best so far it goes on to the caller."""
        if not interrupted:
            return
        if self.search.stop is None:
            raise KeyboardInterrupt
        self.search.stop.asked = self.interrupted = True

    def tidy(self, cuts: Cuts) -> Cuts:
        """Return a plan on the same sticks with a longer remainder, or fewer layouts, where one is found."""
        plan = gather_remainder(self.problem, cuts)
        if self._columns is None or self.interrupted or not TIDY_TIME[self.search.effort]:
            return plan
        mix = plan_mix(self.problem, plan)
        try:
            listed = Listing(self.problem, self._cuts, mix, "quick").run()
            known = list(self._columns.columns) if listed is None else listed
            tidied, interrupted = Tidy(self.problem, mix, sorted({*known, *plan})).run(
                plan, self.search.seed, self.search.effort
            )
        except KeyboardInterrupt:
            tidied, interrupted = plan, True
        self._note(interrupted=interrupted)
        return tidied

    def _run(self) -> None:
        self._cuts.append(by_length(self.problem))
        self.bound = fractional(self.problem, self._cuts[0])
        self._packs = PACKS[self.search.effort]
        for plan in candidates(self.problem):
            self._keep(plan)
        for _ in range(MIXES[self.search.effort]):
            mix = self._next_mix()
            if mix is None or not self._try(mix) or self.interrupted:
                break

    def _next_mix(self) -> Mix | None:
        """Return the cheapest mix that may do better than the best plan, and raise the bound to what it costs."""
        barred = self._barred + self._skipped
        search = MixSearch(self.problem, self._cuts, barred, self.key, NODES[self.search.effort])
        mix = search.run()
        if search.complete:
            bound = self.key[0] if mix is None else mix_key(self.problem, mix)[0]
        else:
            limit = MIX_TIME[self.search.effort]
            answer = model_mix(self.problem, self._cuts, barred, self.key, seed=self.search.seed, limit=limit)
            mix, bound = answer.mix, answer.bound
            self._note(interrupted=answer.interrupted)
        if not self._skipped:
            self.hopeless = mix is None and self.best is None and bound >= self.key[0]
            self.bound = max(self.bound, min(bound, self.key[0]))
        return mix

    def _try(self, mix: Mix) -> bool:
        """Find a plan on a mix, or a reason why there is none; False when the search is at its end."""
        if self._columns is None:
            return self._begin()
        verdict = self._columns.check(mix)
        if verdict.cut is not None:
            self._cuts.append(verdict.cut)
            return True
        for plan in dive(self.problem, mix, self._columns, verdict.shares, self.search.effort):
            self._keep(plan)
            if plan_key(self.problem, plan) <= mix_key(self.problem, mix):
                return True
        return self._pack(mix)

    def _begin(self) -> bool:
        """Ask the first question, on no sticks at all: its cut is the linear bound on cost, and its plans are good."""
        start: list[Column] = sorted(self.best or {})
        self._columns = Columns(self.problem, start, CELLS[self.search.effort])
        verdict = self._columns.check((0,) * len(self.problem.stocks))
        if verdict.cut is not None:
            self._cuts.append(verdict.cut)
            self.bound = max(self.bound, min(fractional(self.problem, verdict.cut), self.key[0]))
        for plan in dive(self.problem, None, self._columns, verdict.shares, self.search.effort):
            self._keep(plan)
            if self.key[0] == self.bound:
                break
        return True

    def _pack(self, mix: Mix) -> bool:
        """Let the solver decide on a mix."""
        self._packs -= 1
        if self._packs < 0:
            return False
        listed = Listing(self.problem, self._cuts, mix, self.search.effort).run()
        known = list(self._columns.columns) if self._columns else []
        patterns = sorted(known) if listed is None else listed
        answer = pack(self.problem, mix, patterns, self.search.seed, self.search.effort)
        self._note(interrupted=answer.interrupted)
        if answer.cuts is not None:
            self._keep(answer.cuts)
        elif answer.refuted and listed is not None:
            self._barred.append(mix)
        else:
            self._skipped.append(mix)
        return True

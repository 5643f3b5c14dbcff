"""Combine: the cheapest methods over a whole order, with the engine in the loop.

The cheapest order is not the sum of the cheapest pieces: sheets, cases, boxes of screws and freight are shared. So
whole orders are priced. Where the choices are few all of them are; else a local search starts from the shop's own
choice and from the one that takes every piece's cheapest row, changes one unit at a time, then several at once (all
changes that helped; all units of a place to one method; pairs), and keeps what is cheapest (best improvement; see
Hoos and Stuetzle 2004, Stochastic Local Search, chapter 1). Work is counted in prices, never in seconds.

The result is never worse than either start. Unless every combination was priced, nothing says that it is the cheapest.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from itertools import combinations, islice, product
from math import prod
from typing import Final, Literal

from nesting.crates.registry import askable
from nesting.crates.registry import method as method_named
from pricing.ahead.methods.compare import Comparison, compare
from pricing.ahead.methods.pricer import Answer, Choice, Outcome, Pricer
from pricing.money import show
from pricing.quoting.incomplete import told
from pricing.quoting.lacks import Lack

By = Literal["total", "trip"]
FEW: Final = 32
"""Combinations that are all priced."""
BUDGET: Final = 120
"""Prices that a search may take beyond those of the comparison."""
_PAIRS: Final = 40
"""Pairs tried at a time, the most promising."""


@dataclass(frozen=True, slots=True)
class Combination:
    """What the search found.

    Attributes
    ----------
    comparison : Comparison
        Single changes from the order as it stands.
    each_cheapest : Answer
        The order where every unit takes the sound row in which it bears least.
    best : Outcome
        The cheapest found.
    changed : tuple of (str, str, str)
        Units that are packed another way then: name, now, then.
    saving : Decimal
        Of the total, against the order as it stands; by the trip where that was asked for. Nothing where they do not
        compare, see ``comparable``: no saving is told of a total that is incomplete.
    against_each : Decimal or None
        The same against ``each_cheapest``; None where that cannot be built, is in more trouble, or does not
        compare.
    evaluations : int
        Whole orders priced.
    complete : bool
        Whether every combination was priced.
    by : {"total", "trip"}
        What was minimised.
    kept : tuple of str
        Units that stay as the order asks, since the search was not free to change them.
    """

    comparison: Comparison
    each_cheapest: Answer
    best: Outcome
    changed: tuple[tuple[str, str, str], ...]
    saving: Decimal
    against_each: Decimal | None
    evaluations: int
    complete: bool
    by: By = "total"
    kept: tuple[str, ...] = ()

    @property
    def comparable(self) -> bool:
        """Whether the order as it stands and the best lack the same pieces and nothing else, so that they compare."""
        return self.comparison.now.compares_with(self.best)

    @property
    def best_called(self) -> str:
        """What the best is called: of incomplete totals, no one is the cheapest."""
        return "The combination found that lacks least" if self.best.incomplete else "The cheapest combination found"

    def held_lines(self) -> list[str]:
        """Return what is held, each line after the names of the totals that lack it; what stands first everywhere."""
        found: dict[str, list[str]] = {}
        for title, outcome in self._totals().items():
            if isinstance(outcome, Outcome) and outcome.held_line:
                found.setdefault(outcome.held_line, []).append(title)
        return [f"{'; '.join(titles)}: {line[0].lower()}{line[1:]}" for line, titles in found.items()]

    def _totals(self) -> dict[str, Answer]:
        return {
            "As chosen now": self.comparison.now,
            "Every piece in its own cheapest way": self.each_cheapest,
            self.best_called: self.best,
        }

    def told_saving(self, currency: str) -> str:
        """Say what the best saves, or why that cannot be said."""
        if self.comparable:
            return f"It saves {show(self.saving, currency)}"
        pair = (self.comparison.now, self.best)
        if any(each.incomplete for each in pair):
            now, best = (told(each.incomplete) or "complete" for each in pair)
            return f"These totals do not compare: as chosen now {now}; the combination found {best}"
        now, best = (each.left_out for each in pair)
        return f"These totals do not compare: left out as chosen now: {now}; in the cheapest combination found: {best}"

    def lacking(self) -> list[tuple[str, tuple[Lack, ...]]]:
        """Return what the totals lack gravely, each under the names of those that lack it."""
        found: dict[tuple[Lack, ...], list[str]] = {}
        for title, outcome in self._totals().items():
            if isinstance(outcome, Outcome) and outcome.lacks:
                found.setdefault(outcome.lacks, []).append(title)
        return [(f"{'; '.join(titles)}: the total lacks", lacks) for lacks, titles in found.items()]


def combine(
    pricer: Pricer, *, by: By = "total", free: bool = False, budget: int = BUDGET, few: int = FEW
) -> Combination:
    """Search for the cheapest combination of methods.

    Parameters
    ----------
    pricer : Pricer
        Prices orders.
    by : {"total", "trip"}
        Whether the total counts, or what remains when crates are written off over their trips.
    free : bool
        Whether methods that the order asks for may be changed too.
    budget : int
        Prices beyond those of the comparison.
    few : int
        Combinations up to which all are priced, whatever the budget.

    Returns
    -------
    Combination
        In no more trouble than the order as it stands, and no dearer.

    Raises
    ------
    FaultsFound
        If the order as it stands cannot be built.
    """
    table = compare(pricer)
    search = _Search(pricer, table, by, free=free, left=budget)
    each = search.each_cheapest()
    each_answer = search.try_all([each])[0]
    complete = prod(len(options) for options in search.options) <= few
    if complete:
        search.try_all(list(product(*search.options)))
    else:
        search.run()
    complete = complete and not pricer.stopped
    best, now = search.best, table.now
    comparable = (
        isinstance(each_answer, Outcome)
        and len(each_answer.troubles) <= len(best.troubles)
        and each_answer.compares_with(best)
    )
    against = search.money(each_answer) - search.money(best) if isinstance(each_answer, Outcome) else None
    return Combination(
        comparison=table,
        each_cheapest=each_answer,
        best=best,
        changed=tuple(
            (unit.name, before, after)
            for unit, before, after in zip(pricer.units, now.choice, best.choice, strict=True)
            if before != after
        ),
        saving=search.money(now) - search.money(best) if now.compares_with(best) else Decimal("0.00"),
        against_each=against if comparable else None,
        evaluations=pricer.evaluations,
        complete=complete,
        by=by,
        kept=() if free else tuple(unit.name for unit in pricer.units if unit.asked is not None),
    )


class _Search:
    """A search while it runs."""

    def __init__(self, pricer: Pricer, table: Comparison, by: By, *, free: bool, left: int) -> None:
        self.pricer, self.table, self.left = pricer, table, left
        self.money: Callable[[Outcome], Decimal] = (lambda o: o.total) if by == "total" else (lambda o: o.a_trip)
        self.best = table.now
        self.options: list[tuple[str, ...]] = []
        # What nothing packs has no row that is chosen: it stays left to the shop.
        for unit, rows, now in zip(table.units, table.rows, table.now.choice, strict=True):
            others = [row.method for row in rows if not row.refused and not row.against and not row.chosen]
            self.options.append((now,) if unit.asked is not None and not free else (now, *others))
        singles = [
            self.changed(table.now.choice, index, method)
            for index, methods in enumerate(self.options)
            for method in methods[1:]
        ]
        self.try_all(singles)

    def key(self, answer: Answer) -> tuple[int, int, int, Decimal]:
        """Return what is minimised: pieces held, what is not known, troubles; nothing left out or wrong is cheap.

        Of an incomplete total the money does not count: which of two is cheaper is not known.
        """
        if isinstance(answer, Outcome):
            lacking = len(answer.incomplete)
            return len(answer.held), lacking, len(answer.troubles), Decimal(0) if lacking else self.money(answer)
        return 10**9, 10**9, 10**9, Decimal(0)

    def changed(self, choice: Choice, index: int, method: str) -> Choice:
        """Return a choice with one unit packed another way."""
        return (*choice[:index], method, *choice[index + 1 :])

    def try_all(self, choices: list[Choice]) -> list[Answer]:
        """Price choices and keep the best; what was priced before costs nothing."""
        answers = self.pricer.price(choices)
        for answer in answers:
            if isinstance(answer, Outcome) and self.key(answer) < self.key(self.best):
                self.best = answer
        return answers

    def within(self, choices: Iterator[Choice]) -> list[Choice]:
        """Return so many of the choices as the budget has left."""
        taken = list(islice(dict.fromkeys(choices), self.left))
        self.left -= len(taken)
        return taken

    def each_cheapest(self) -> Choice:
        """Return the choice of each unit's cheapest row."""
        choice = []
        for options, rows, now in zip(self.options, self.table.rows, self.table.now.choice, strict=True):
            fit = [row for row in rows if row.method in options and row.bearing is not None and not row.troubles]
            fit = [row for row in fit if not row.incomplete]
            least = min(
                fit, key=lambda row: (row.bearing.cost if row.bearing else Decimal(0), row.method != now), default=None
            )
            choice.append(least.method if least else now)
        return tuple(choice)

    def run(self) -> None:
        """Improve the best until nothing does, or the budget is spent."""
        self.try_all(self.within(self.places()))
        while self.left > 0 and not self.pricer.stopped:
            before = self.best
            answers = self.singles()
            self.try_all(self.within(self.merged(before.choice, answers)))
            if self.best is before:
                self.try_all(self.within(self.pairs(before.choice, answers)))
            if self.best is before:
                return

    def places(self) -> Iterator[Choice]:
        """Yield all units of a place, or of the order, packed in one way where that is open to them."""
        start = self.best.choice
        names = [unit.destination for unit in self.table.units]
        gaining = [name for name in reversed(askable()) if method_named(name).protection]
        for place in (*dict.fromkeys(names), None):
            for method in gaining:
                yield tuple(
                    method if place in (None, name) and method in options else now
                    for now, name, options in zip(start, names, self.options, strict=True)
                )

    def singles(self) -> dict[tuple[int, str], Answer]:
        """Price every single change of the best."""
        start = self.best.choice
        moves = {
            (index, method): self.changed(start, index, method)
            for index, options in enumerate(self.options)
            for method in options
            if method != start[index]
        }
        taken = set(self.within(iter(moves.values())))
        moves = {move: choice for move, choice in moves.items() if choice in taken}
        return dict(zip(moves, self.try_all(list(moves.values())), strict=True))

    def merged(self, start: Choice, answers: dict[tuple[int, str], Answer]) -> Iterator[Choice]:
        """Yield several changes that helped by themselves together: all of them, then the better halves."""
        base = self.key(self.table.now) if start == self.table.now.choice else None
        helped = sorted(
            ((self.key(answer), move) for move, answer in answers.items() if isinstance(answer, Outcome)),
            key=lambda pair: pair[0],
        )
        limit = base or self.key(self.pricer.price([start])[0])
        moves = [move for key, move in helped if key < limit]
        while len(moves) > 1:
            choice = start
            for index, method in reversed(moves):
                choice = self.changed(choice, index, method)
            yield choice
            moves = moves[: (len(moves) + 1) // 2] if len(moves) > 2 else []

    def pairs(self, start: Choice, answers: dict[tuple[int, str], Answer]) -> Iterator[Choice]:
        """Yield two changes at once, those first whose single changes cost least together."""
        sound = {move: self.money(answer) for move, answer in answers.items() if isinstance(answer, Outcome)}
        couples = [
            (sound[one] + sound[other], one, other) for one, other in combinations(sound, 2) if one[0] != other[0]
        ]
        couples.sort(key=lambda each: each[0])
        for _, one, other in couples[:_PAIRS]:
            yield self.changed(self.changed(start, *one), *other)

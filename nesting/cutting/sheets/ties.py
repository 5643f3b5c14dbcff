"""Ties: among layouts of equal cost and number of sheets, one large offcut, then few layouts, then few set-ups."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

from nesting.cutting.sheets.cutting import Keep, Saw, cut_bare, spare_sheets
from nesting.cutting.sheets.filling import fill
from nesting.cutting.sheets.pattern import Pattern, contents, tidy, without
from nesting.cutting.sheets.problem import Item, Problem
from nesting.cutting.sheets.report import Shape, largest_offcut, setups, shape
from nesting.cutting.sheets.run import Run
from nesting.cutting.sheets.shelves import shelves
from nesting.cutting.sheets.solution import Placed, Solution

# Area of the largest offcut, then layouts and set-ups negated: more is better.
Score = tuple[int, int, int]

# Beyond this many different sheets the ties are left as they are; beyond the second, no more is searched for them.
_MANY = 60
_SOME = 25

# How many patterns are tried as the one to repeat.
_TRIES = 6


class Scores:
    """Scores of solutions; each pattern is cut and looked at once, since most sheets of two equals are the same.

    Parameters
    ----------
    problem : Problem
        What is wanted.
    keep : (int, int)
        Least size of an offcut.
    """

    def __init__(self, problem: Problem, keep: Keep) -> None:
        self._problem = problem
        self._saw = Saw(problem, keep)
        self._seen: dict[Placed, tuple[int, Shape, int]] = {}

    def sheet(self, stock: int, pattern: Pattern) -> tuple[int, Shape, int]:
        """Area of the largest offcut of one sheet, its shape, and its set-ups."""
        known = self._seen.get((stock, pattern))
        if known is None:
            each = cut_bare(self._saw, stock, pattern)
            kind = shape(each)
            known = self._seen[stock, pattern] = largest_offcut([each], self._problem.kerf), kind, setups(kind)
        return known

    def of(self, solution: Solution) -> Score:
        """Tell what ties are broken by."""
        found = [self.sheet(stock, pattern) for stock, pattern, _ in solution.sheets]
        spare = tuple(spare_sheets(self._problem, solution))
        kinds = {kind: count for _, kind, count in found} | {shape(each): 0 for each in spare}
        offcut = max((area for area, _, _ in found), default=0)
        return max(offcut, largest_offcut(spare, self._problem.kerf)), -len(kinds), -sum(kinds.values())


class Ties:
    """Best of the equals so far.

    Parameters
    ----------
    run : Run
        With its best solution, whose key is kept.
    keep : (int, int)
        Least size of an offcut.
    """

    def __init__(self, run: Run, keep: Keep) -> None:
        self.run = run
        self.keep = keep
        self.key = run.key
        self.scores = Scores(run.problem, keep)
        self.score = self.scores.of(run.solution)

    def offer(self, solution: Solution) -> bool:
        """Take a solution of the same key if it breaks ties better."""
        if solution.key(self.run.prices) != self.key:
            return False
        new = self.scores.of(solution)
        if new <= self.score:
            return False
        self.score, self.run.best = new, solution
        return True

    def improve(self) -> None:
        """Search for better ties, in the order in which they count."""
        run = self.run
        for other in run.equals:
            self.offer(other)
        if len(run.solution.sheets) > _MANY:
            return
        self.plainer()
        if run.settings.ties and len(run.solution.sheets) <= _SOME:
            self.wider()
            self.repeated()
            self.plainer()

    def plainer(self) -> None:
        """Lay the contents of each sheet again in ways that need fewer set-ups or leave a larger offcut."""
        run = self.run
        for stock, pattern, repeat in run.solution.sheets:
            run.check()
            if repeat > 1 or run.problem.total <= 400:
                for other in relaid(run, stock, pattern):
                    if other == pattern:
                        continue
                    changed = [(s, other if (s, p) == (stock, pattern) else p, n) for s, p, n in run.solution.sheets]
                    self.offer(Solution.of(((s, p) for s, p, n in changed for _ in range(n))))

    def wider(self) -> None:
        """Search for the largest offcut by asking for room for it, as if it were a part, with bisection over its size.

        Only offcuts that span a sheet are asked for; what is found may still be larger.
        """
        from nesting.cutting.sheets.search import RuinAndRecreate  # loads numba

        run, problem = self.run, self.run.problem
        counts = run.solution.counts(problem)
        stocks = tuple(replace(s, limit=n) for s, n in zip(problem.stocks, counts, strict=True))
        free = sum(n * s.area for s, n in zip(problem.stocks, counts, strict=True)) - problem.area
        unit = problem.unit * problem.unit
        for stock, count in zip(stocks, counts, strict=True):
            if not count:
                continue
            for length, width in ((1, stock.width), (stock.length, 1)):
                span = max(length, width)
                low = self.score[0] // (span * unit)
                high = min(free // span, stock.length if length == 1 else stock.width)
                for _ in range(_HALVINGS):
                    if high <= low:
                        break
                    run.check()
                    ask = (low + high + 1) // 2
                    item = Item(
                        ask if length == 1 else length, width if length == 1 else ask, turns=False, demand=1, parts=()
                    )
                    if min(item.length, item.width) * problem.unit - problem.kerf < min(self.keep):
                        low = ask
                        continue
                    asked = replace(problem, items=(*problem.items, item), stocks=stocks)
                    search = RuinAndRecreate(asked, run.prices, run.seed + ask, pooling=False)
                    search.load(run.solution.placed())
                    search.aim(self.key, 50)
                    search.run(run.settings.ties, run.settings, pooling=False)
                    if search.complete():
                        self.offer(_drop(problem, search.current(), len(problem.items)))
                        low = max(ask, self.score[0] // (span * unit))
                    else:
                        high = ask - 1

    def repeated(self) -> None:  # noqa: C901 - one loop of attempts, each of which may fail early
        """Cut one pattern as often as the demand allows and lay the rest anew, the sheet with the best offcut kept."""
        from nesting.cutting.sheets.search import RuinAndRecreate  # loads numba

        run, problem = self.run, self.run.problem
        tried: set[Placed] = set()
        while len(run.solution.sheets) > 2 and len(tried) < _TRIES:
            run.check()
            fixed, loose = self._apart()
            options = []
            for stock, pattern, repeat in loose:
                held = contents(pattern)
                wanted: dict[int, int] = {}
                for _, p, n in loose:
                    for t, c in contents(p).items():
                        wanted[t] = wanted.get(t, 0) + n * c
                most = min(*(wanted[t] // n for t, n in held.items()), sum(n for s, _, n in loose if s == stock))
                if most > repeat and (stock, pattern) not in tried:
                    options.append((most, repeat, stock, pattern))
            if not options:
                return
            most, _, stock, pattern = max(options, key=lambda o: (o[0] - o[1], repr(o)))
            tried.add((stock, pattern))
            rest = _minus(wanted, contents(pattern), most)
            again = [(stock, pattern)] * most + fixed
            if rest:
                left = [0] * len(problem.stocks)
                for s, _, n in loose:
                    left[s] += n
                left[stock] -= most
                items = tuple(replace(item, demand=rest.get(t, 0)) for t, item in enumerate(problem.items))
                stocks = tuple(replace(s, limit=n) for s, n in zip(problem.stocks, left, strict=True))
                part = replace(problem, items=items, stocks=stocks)
                if not any(left):
                    continue
                search = RuinAndRecreate(part, run.prices, run.seed, pooling=False)
                search.aim(1 << 62, 50)
                search.run(run.settings.ties, run.settings, pooling=False)
                if not search.complete():
                    continue
                again += search.current()
            self.offer(Solution.of(again))

    def _apart(self) -> tuple[list[Placed], list[tuple[int, Pattern, int]]]:
        """Part the sheet with the largest offcut from the others."""
        run = self.run
        best, area = 0, -1
        for index, (stock, pattern, _) in enumerate(run.solution.sheets):
            found, _, _ = self.scores.sheet(stock, pattern)
            if found > area:
                best, area = index, found
        loose = []
        for index, (stock, pattern, repeat) in enumerate(run.solution.sheets):
            if repeat - (index == best):
                loose.append((stock, pattern, repeat - (index == best)))
        return [run.solution.sheets[best][:2]], loose


_HALVINGS = 5


def _drop(problem: Problem, placed: list[Placed], item: int) -> Solution:
    """Take the asked-for offcut out of the sheets again."""
    kept = []
    for stock, pattern in placed:
        rest = without(pattern, Counter({item: 1}))
        if rest is not None:
            kept.append((stock, tidy(problem, rest)))
    return Solution.of(kept)


def _minus(wanted: dict[int, int], held: dict[int, int], times: int) -> dict[int, int]:
    """Tell what is wanted beyond some repeats of a pattern."""
    return {t: n - times * held.get(t, 0) for t, n in wanted.items() if n > times * held.get(t, 0)}


def relaid(run: Run, stock: int, pattern: Pattern) -> tuple[Pattern, ...]:
    """Other ways to lay the contents of one sheet, found once for each sheet of a run."""
    key = stock, pattern
    if key not in run.relaid:
        run.relaid[key] = tuple(_again(run, stock, pattern))
    return run.relaid[key]


def _again(run: Run, stock: int, pattern: Pattern) -> Iterator[Pattern]:
    """Lay the contents of one sheet in other ways."""
    problem = run.problem
    held = contents(pattern)
    yield from shelves(problem, pattern, stock)
    if sum(held.values()) > 40:
        return
    items = tuple(replace(item, demand=held[t]) for t, item in enumerate(problem.items))
    stocks = tuple(replace(s, limit=int(index == stock)) for index, s in enumerate(problem.stocks))
    alone = replace(problem, items=items, stocks=stocks)
    keys = (
        lambda t: (-problem.items[t].area, t),
        lambda t: (-problem.items[t].length, -problem.items[t].width, t),
        lambda t: (-problem.items[t].width, -problem.items[t].length, t),
    )
    for key in keys:
        order = [t for t in sorted(held, key=key) for _ in range(held[t])]
        found = fill(alone, order, [stock], run.places)
        if found is not None and len(found.sheets) == 1:
            yield found.sheets[0][1]

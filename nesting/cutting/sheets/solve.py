"""The solve loop: bounds and cheap layouts first, then as much search as the effort allows, then the ties."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from nesting.base.search import USUAL, Search
from nesting.cutting.parts import Part
from nesting.cutting.sheets.bounds import area_bound, scaled_bound
from nesting.cutting.sheets.cutting import lay
from nesting.cutting.sheets.filling import fill, orders, preferences
from nesting.cutting.sheets.front import Bench, Front
from nesting.cutting.sheets.key_costs import Prices
from nesting.cutting.sheets.model import Layout, NestError, Sheet
from nesting.cutting.sheets.pattern import contents
from nesting.cutting.sheets.problem import Problem, read_problem
from nesting.cutting.sheets.report import describe
from nesting.cutting.sheets.run import CutOff, Run
from nesting.cutting.sheets.solution import Placed, Solution
from nesting.cutting.sheets.start import carried_over
from nesting.cutting.sheets.ties import Ties

if TYPE_CHECKING:
    from nesting.cutting.sheets.search import RuinAndRecreate

# Past this many parts the plain fillers would be slower than the compiled search.
_PLAIN = 150

# How many sheets of the pool the bound from patterns starts from.
_KNOWN = 300

# Orders of fewer parts get more steps a round, up to twice as many; past the second number fewer, as each takes longer.
_FEW = 100
_ROOMY = 400

# Lengths of memory with which few parts are searched for anew, and the steps of each such search.
_MEMORIES = (2000, 1000, 2000, 1000)
_FRESH = 60_000

# With no more sheets than this a dive would leave as much to search as there is in all.
_FEW_SHEETS = 4

# Past this many parts an order is laid in batches.
_MANY = 1000


def nest(  # 8 arguments: what is laid on what, and by which saw, search, habits, costs and aim
    parts: Sequence[Part],
    sheets: Sequence[Sheet],
    *,
    kerf: int = 0,
    search: Search = USUAL,
    offcut_min: tuple[int, int] | None = None,
    start: Layout | None = None,
    bench: Bench | None = None,
    enough: int = 0,
) -> Layout:
    """Lay parts on sheets at the lowest cost.

    Parameters
    ----------
    parts : sequence of Part
        All of one good.
    sheets : sequence of Sheet
        Everything that can be cut.
    kerf : int
        What each cut eats, in the unit of the parts.
    search : Search
        From which seed and with how much work; who is told of it and may end it. Its memory is not looked at here.
    offcut_min : (int, int), optional
        Least length and width of a leftover worth keeping; without it every leftover is.
    start : Layout, optional
        An earlier layout to start from; the answer never costs more than what of it still applies.
    bench : Bench, optional
        What the work at the saw costs; of layouts whose goods cost least, and of dearer ones that save more work than
        they cost, the one of the least sum is the answer. Bound and proof are about goods alone.
    enough : int
        Nobody asks for a layout cheaper than this: the search ends when it has one. The answer's bound and proof are
        then about what it was asked for.

    Returns
    -------
    Layout

    Raises
    ------
    NestError
        Every fault of the input at once, or that the limited sheets do not hold the parts.
    KeyboardInterrupt
        When it was interrupted, and there is no ``search.stop`` or no layout yet.
    """
    problem = read_problem(parts, sheets, kerf)
    if not problem.items:
        return Layout("", kerf, (), 0, 0, 0, proven=True)
    keep = offcut_min or (0, 0)
    run = Run(problem, Prices(problem), search)
    run.raise_bound(enough * run.prices.scale)
    weighed: Front | None = None
    try:
        with search.interruptible():
            _solve(run, start)
            if run.best is not None:
                run.report("offcuts", 1.0)
                Ties(run, keep).improve()
                if bench is not None:
                    weighed = Front(run, keep, bench)
                    weighed.improve()
    except CutOff as cut:
        run.stopped = cut.reason
    except KeyboardInterrupt:
        if search.stop is None or run.best is None:
            raise
        search.stop.asked = True
        run.stopped = "interrupt"
    if run.best is None:
        raise NestError("no way was found to lay the parts on the sheets that there are")
    if weighed is None:
        return describe(problem, run.prices, run.best, lay(problem, run.best, keep), run.bound, run.stopped)
    best, over = weighed.best, weighed.chosen.goods - weighed.least
    made = describe(problem, run.prices, best, lay(problem, best, keep), run.bound, run.stopped)
    return replace(
        made,
        bound=min(run.bound, weighed.least),
        proven=run.bound >= weighed.least,
        over=over,
        front=weighed.front(),
        trade=weighed.chosen,
    )


def _solve(run: Run, start: Layout | None) -> None:
    """Improve the best solution and the bound until they meet or the effort is spent."""
    problem = run.problem
    if start is not None:
        run.offer(_resumed(run, carried_over(problem, start)))
    run.raise_bound(area_bound(problem, run.prices))
    if problem.total <= _PLAIN:
        for preference in preferences(problem):
            for order in orders(problem):
                run.offer(fill(problem, order, preference, run.places))
                if run.settled():
                    return
    if run.best is not None:
        run.raise_bound(scaled_bound(problem, run.prices, run.key))
    if not run.settled():
        _search(run)


def _resumed(run: Run, carried: Solution) -> Solution | None:
    """Complete what was carried over from an earlier layout."""
    held = carried.contents()
    if all(held[t] == item.demand for t, item in enumerate(run.problem.items)):
        return carried
    from nesting.cutting.sheets.search import RuinAndRecreate  # loads numba

    search = RuinAndRecreate(run.problem, run.prices, run.seed, pooling=False)
    search.load(carried.placed())
    return search.solution() if search.begin(run.settings) else None


def _search(run: Run) -> None:
    """Compiled search, the bound from patterns, and set covers, in turn."""
    from nesting.cutting.sheets.search import RuinAndRecreate  # loads numba; most small orders never get here

    settings = run.settings
    if run.problem.total > _MANY:
        from nesting.cutting.sheets.batches import in_batches  # loads numba

        in_batches(run)
        _bound(run, ())
        return
    search = RuinAndRecreate(run.problem, run.prices, run.seed)
    if run.best is None and search.begin(settings):
        first = search.solution()
        run.offer(first)
        if first is not None:  # too many parts for the plain fillers, and so no bound by scaled areas yet
            run.raise_bound(scaled_bound(run.problem, run.prices, first.key(run.prices)))
    _drive(run, search, settings.first)
    if run.proven() or not settings.rounds:
        return
    if run.problem.total > _ROOMY:
        from nesting.cutting.sheets.full_sheets import fullest_first  # loads numba

        fullest_first(run)
    _bound(run, search.pool(_KNOWN))
    asks = _asks(run)
    rounds = settings.rounds if asks or run.problem.total > _ROOMY else 2 * settings.rounds
    for number in range(rounds):
        if run.proven():
            return
        run.report("search", number / (rounds + asks))
        _round(run, search, number)
    if asks:
        _ask(run, search, asks, rounds)
    if run.problem.total < _FEW:
        _anew(run)


def _round(run: Run, search: "RuinAndRecreate", number: int) -> None:
    """Search on from the best, then choose among all sheets met."""
    _drive(run, search, _steps(run))
    if run.best is None or run.proven() or sum(n for _, _, n in run.best.sheets) <= 2:
        return
    from nesting.cutting.sheets.cover import cover  # loads ortools

    run.offer(cover(run, search.pool(run.settings.columns), number))


def _asks(run: Run) -> int:
    """Count the rounds in which the linear program asks for sheets: none where dives are no help, or too slow to be."""
    sheets = sum(n for _, _, n in run.best.sheets) if run.best else 0
    return run.settings.asks if sheets > _FEW_SHEETS and run.problem.total <= _ROOMY else 0


def _ask(run: Run, search: "RuinAndRecreate", asks: int, rounds: int) -> None:
    """Look for sheets that the linear program asks for, choose among them, and dive from those that it uses."""
    from nesting.cutting.sheets.column_generation import Columns  # loads ortools
    from nesting.cutting.sheets.cover import cover

    settings = run.settings
    columns = Columns(run, search.pool(settings.columns))
    for number in range(asks):
        if run.proven() or run.best is None:
            return
        run.report("matching sheets", (rounds + number) / (rounds + asks))
        columns.price(settings.turns)
        if not columns.promising():
            continue
        run.offer(cover(run, columns.nearest(settings.columns), number))
        columns.dive(settings.dives)


def _anew(run: Run) -> None:
    """Search from empty sheets again and again, with a long memory, for the few parts that are not proven yet.

    A round goes on from the best layout and may never leave its neighbourhood; a start of its own is another chance.
    """
    from nesting.cutting.sheets.search import RuinAndRecreate  # loads numba

    for number, history in enumerate(_MEMORIES):
        if run.proven() or run.best is None:
            return
        search = RuinAndRecreate(run.problem, run.prices, run.seed + number, pooling=False)
        search.begin(run.settings)
        search.aim(run.cost * run.prices.scale - 1, history)
        if search.pursue(_FRESH, run, pooling=False):
            run.offer(search.solution())


def _steps(run: Run) -> int:
    """Count the steps of one round by the number of parts."""
    steps, total = run.settings.steps, run.problem.total
    if total < _FEW:
        return steps * min(2 * total, _FEW) // total
    return min(steps, steps * _ROOMY // total)


def _bound(run: Run, pool: Iterable[Placed]) -> None:
    """Raise the bound by patterns, starting from those of the best solution and the pool."""
    settings = run.settings
    if run.best is None or run.settled() or not settings.points:
        return
    from nesting.cutting.sheets.packing_bound import packing_bound  # loads ortools
    from nesting.cutting.sheets.relaxation import Bounding, pattern_bound

    # Bars take milliseconds, so they come first.
    run.raise_bound(packing_bound(run.problem, run.prices, run.least_key, run.key, 0.0, run.check))
    if run.proven():
        return
    work = Bounding(settings.points, settings.pricings, settings.tracked)
    patterns = [*((s, p) for s, p, _ in run.best.sheets), *pool]
    known = [(s, frozenset(contents(p).items())) for s, p in patterns]
    run.raise_bound(pattern_bound(run.prices, run.key, work, run.check, known))
    if not run.settled() and len(run.problem.stocks) > 1:
        from nesting.cutting.sheets.mixes import mix_bound  # loads ortools

        run.raise_bound(mix_bound(run.prices, run.least_key, run.key, work, run.check, known))
    if not run.proven():
        run.raise_bound(packing_bound(run.problem, run.prices, run.least_key, run.key, settings.packing, run.check))


def _drive(run: Run, search: "RuinAndRecreate", steps: int) -> None:
    """Aim below the best again and again, until the steps are used up."""
    settings = run.settings
    target = run.best
    used = 0
    while used < steps:
        if run.best is not None:
            if run.settled():
                return
            if run.best is not target or not used:
                search.load(run.best.placed())
                search.aim(run.key - 1, settings.history)
                target = run.best
        used += search.run(min(steps - used, run.chunk), settings, pooling=settings.rounds > 0)
        run.check()
        if search.complete():
            run.offer(search.solution())


__all__ = ["Problem", "Solution", "nest"]

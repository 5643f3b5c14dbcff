"""The solve loop: bounds and cheap layouts first, then as much search as the effort allows, then the ties."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from nesting.base.search import USUAL, Search
from nesting.cutting.parts import Part
from nesting.cutting.sheets.bounds import area_bound, scaled_bound
from nesting.cutting.sheets.cutting import lay
from nesting.cutting.sheets.filling import fill, orders, preferences
from nesting.cutting.sheets.front import Bench, Front
from nesting.cutting.sheets.key_costs import Prices
from nesting.cutting.sheets.model import Layout, NestError, Sheet
from nesting.cutting.sheets.problem import Problem, read_problem
from nesting.cutting.sheets.purse import Allowance, in_turns
from nesting.cutting.sheets.report import describe
from nesting.cutting.sheets.run import CutOff, Run
from nesting.cutting.sheets.solution import Placed, Solution
from nesting.cutting.sheets.start import carried_over
from nesting.cutting.sheets.ties import Ties

# Past this many parts the plain fillers would be slower than the compiled search.
_PLAIN = 150

# How many sheets of the pool the bound from patterns starts from.
_KNOWN = 300

# Past this many parts an order is laid in batches.
_MANY = 1000

# Thousandths of sheets counted as empty, at least, where an order's work is shared.
_LEAST_HOPE = 20

# Shares of the work that proofs and better layouts are looked for with: where many parts nearly fill their sheets, a
# layout is found more often than a proof.
_PROOFS, _PURSUITS = 1, 2


def nest(  # 9 arguments: what is laid on what, and by which saw, search, habits, costs, aim and how much dear work
    parts: Sequence[Part],
    sheets: Sequence[Sheet],
    *,
    kerf: int = 0,
    search: Search = USUAL,
    offcut_min: tuple[int, int] | None = None,
    start: Layout | None = None,
    bench: Bench | None = None,
    enough: int = 0,
    allowance: Allowance | None = None,
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
    allowance : Allowance, optional
        How much dear work may be done; what was done is added to it. Without it the effort says how much.

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
    allowed = allowance or Allowance()
    run = Run(problem, Prices(problem), search, allowed.left)
    run.raise_bound(enough * run.prices.scale)
    run.asked = enough > 0
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
    allowed.add(run.work, is_short=run.is_short)
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


def many(parts: Iterable[Part]) -> bool:
    """Whether so many parts are laid in batches, and for a draft with fewer steps than for what is cut."""
    return sum(part.count for part in parts) > _MANY


def at_stake(
    parts: Sequence[Part],
    sheets: Sequence[Sheet],
    *,
    kerf: int = 0,
    search: Search = USUAL,
    start: Layout | None = None,
) -> int:
    """Return what a cheaper layout could save at the most, by what :func:`nest` knows before any dear work, weighed.

    So an order's dear work can be shared among its goods. The weight is how many thousandths of the sheets of the
    cheapest layout that may be would stay empty, a few at least: the fuller they would have to be, the less likely it
    is that work finds it. Where all is proven, or nothing can be laid, it is 0.
    """
    try:
        problem = read_problem(parts, sheets, kerf)
        run = Run(problem, Prices(problem), search, 0)
        if problem.items:
            _solve(run, start)
    except (NestError, CutOff):
        return 0
    if run.best is None or run.proven():
        return 0
    return (run.cost - run.bound) * max(_LEAST_HOPE, 1000 - 1000 * problem.area // room(run))


def room(run: Run) -> int:
    """Return the area of the most sheets of one stock that cost no more than what is proven to be spent."""
    room = 1
    for s, stock in enumerate(run.problem.stocks):
        count = 0
        while count < stock.limit and run.prices.cost(run.prices.key(s, count + 1)) <= run.bound:
            count += 1
        room = max(room, count * stock.area)
    return room


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
    """Compiled search, then dear proofs and dear ways to a cheaper layout in turns."""
    from nesting.cutting.sheets.pursuits import drive  # loads numba; most small orders never get here
    from nesting.cutting.sheets.search import RuinAndRecreate

    settings = run.settings
    if run.problem.total > _MANY:
        from nesting.cutting.sheets.batches import in_batches  # loads numba

        in_batches(run)
        if run.best is not None and settings.points:
            in_turns(run, [(_PROOFS, _proofs(run, ()))])
        return
    search = RuinAndRecreate(run.problem, run.prices, run.seed)
    if run.best is None and search.begin(settings):
        first = search.solution()
        run.offer(first)
        if first is not None:  # too many parts for the plain fillers, and so no bound by scaled areas yet
            run.raise_bound(scaled_bound(run.problem, run.prices, first.key(run.prices)))
    for _ in drive(run, search, settings.first):
        pass
    run.work = 0  # what came so far is free
    if run.proven() or not settings.rounds:
        return
    from nesting.cutting.sheets.pursuits import pursuits

    hands = [(_PURSUITS, pursuits(run, search))]
    if run.best is not None and settings.points and not run.asked:
        hands.insert(0, (_PROOFS, _proofs(run, search.pool(_KNOWN))))
    in_turns(run, hands)


def _proofs(run: Run, pool: Iterable[Placed]) -> Iterator[None]:
    """Look for proofs piece by piece."""
    from nesting.cutting.sheets.proofs import proofs  # loads ortools

    return proofs(run, pool)


__all__ = ["Problem", "Solution", "at_stake", "many", "nest", "room"]

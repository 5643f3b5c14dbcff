"""Pursuits: the dear ways to a cheaper layout, in pieces, so that proofs can be looked for in between.

What each piece takes is added to the run's work, as in :mod:`nesting.cutting.sheets.proofs`.
"""

from collections.abc import Iterator

from nesting.cutting.sheets.run import Run
from nesting.cutting.sheets.search import RuinAndRecreate

# Orders of fewer parts get more steps a round, up to twice as many; past the second number fewer, as each takes longer.
_FEW = 100
_ROOMY = 400

# Lengths of memory with which few parts are searched for anew, and the steps of each such search.
_MEMORIES = (2000, 1000, 2000, 1000)
_FRESH = 60_000

# With no more sheets than this a dive would leave as much to search as there is in all.
_FEW_SHEETS = 4


def pursuits(run: Run, search: RuinAndRecreate) -> Iterator[None]:
    """Improve the best solution piece by piece: search and set covers, sheets that are asked for, and starts anew.

    Parameters
    ----------
    run : Run
        What is wanted; better solutions are offered to it, and its work is counted.
    search : RuinAndRecreate
        The search so far, with a pool.
    """
    settings = run.settings
    asks = _asks(run)
    many = run.problem.total > _ROOMY
    rounds = settings.rounds if asks or many else 2 * settings.rounds
    for number in range(rounds):
        run.report("search", number / (rounds + asks))
        yield from _round(run, search, number)
        if many and number == 0:  # several times as dear as a round
            from nesting.cutting.sheets.full_sheets import fullest_first

            yield from fullest_first(run)
    if asks:
        yield from _ask(run, search, asks, rounds)
    if run.problem.total < _FEW:
        yield from _anew(run)


def _round(run: Run, search: RuinAndRecreate, number: int) -> Iterator[None]:
    """Search on from the best; after every second round choose among all sheets met."""
    yield from drive(run, search, _steps(run))
    if number % 2 == 0 or run.best is None or sum(n for _, _, n in run.best.sheets) <= 2:
        return
    from nesting.cutting.sheets.cover import cover  # loads ortools

    run.offer(cover(run, search.pool(run.settings.columns), number))
    yield


def _asks(run: Run) -> int:
    """Count the rounds in which the linear program asks for sheets: none where dives are no help, or too slow to be."""
    sheets = sum(n for _, _, n in run.best.sheets) if run.best else 0
    return run.settings.asks if sheets > _FEW_SHEETS and run.problem.total <= _ROOMY else 0


def _ask(run: Run, search: RuinAndRecreate, asks: int, rounds: int) -> Iterator[None]:
    """Look for sheets that the linear program asks for, choose among them, and dive from those that it uses."""
    from nesting.cutting.sheets.column_generation import Columns  # loads ortools
    from nesting.cutting.sheets.cover import cover

    if run.best is None:
        return
    settings = run.settings
    columns = Columns(run, search.pool(settings.columns))
    for number in range(asks):
        run.report("matching sheets", (rounds + number) / (rounds + asks))
        for _ in range(settings.turns):
            columns.price(1)
            yield
        if not columns.promising():
            continue
        run.offer(cover(run, columns.nearest(settings.columns), number))
        yield
        for _ in range(settings.dives):
            columns.dive(1)
            yield


def _anew(run: Run) -> Iterator[None]:
    """Search from empty sheets again and again, with a long memory, for the few parts that are not proven yet.

    A round goes on from the best layout and may never leave its neighbourhood; a start of its own is another chance.
    """
    for number, history in enumerate(_MEMORIES):
        if run.best is None:
            return
        search = RuinAndRecreate(run.problem, run.prices, run.seed + number, pooling=False)
        search.begin(run.settings)
        search.aim(run.cost * run.prices.scale - 1, history)
        for _ in search.pursuing(_FRESH, run, pooling=False):
            yield
        if search.complete():
            run.offer(search.solution())
            yield


def _steps(run: Run) -> int:
    """Count the steps of one round by the number of parts."""
    steps, total = run.settings.steps, run.problem.total
    if total < _FEW:
        return steps * min(2 * total, _FEW) // total
    return min(steps, steps * _ROOMY // total)


def drive(run: Run, search: RuinAndRecreate, steps: int) -> Iterator[None]:
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
        used += search.counted(min(steps - used, run.chunk), run, pooling=settings.rounds > 0)
        if search.complete():
            run.offer(search.solution())
        yield

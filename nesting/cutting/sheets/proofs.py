"""Proofs: bounds that take work, cheap ones first, in pieces, so that a search can go on in between.

What each piece takes is added to the run's work, in microseconds of a machine of reference that are counted by steps
and never measured: the same order comes to the same figure on every machine.
"""

from collections.abc import Iterable, Iterator

from nesting.cutting.sheets.packing_bound import Refuting, packing_bound
from nesting.cutting.sheets.pattern import contents
from nesting.cutting.sheets.relaxation import Bounding, pattern_bounds
from nesting.cutting.sheets.run import Run
from nesting.cutting.sheets.solution import Placed

# Microseconds: of bars; of a million steps of pricing, of the program solved between two pricings, and more for each
# size that there is.
_BARS = 100_000
_PRICED = 750
_SOLVED = 1_000
_SIZED = 40

# With more sizes than this the program over patterns does not come near in the pricings that there are: of 200 sizes it
# proved 3.5 sheets after 120 of them, where the area alone proves 22.
_SIZES = 150


def proofs(run: Run, pool: Iterable[Placed]) -> Iterator[None]:
    """Raise the bound of a run piece by piece.

    Parameters
    ----------
    run : Run
        With some solution; its bound is raised, and its work counted.
    pool : iterable of Placed
        Sheets that patterns start from, beside those of the best solution.
    """
    settings = run.settings
    known = [(s, frozenset(contents(p).items())) for s, p in (*run.solution.placed(), *pool)]
    # Bars take milliseconds and sets hundredths of a second, so they come first.
    _packed(run, Refuting(sets=settings.sets))
    tried = run.least_key
    yield
    solved = _SOLVED + _SIZED * len(run.problem.items)
    work = Bounding(settings.points, settings.pricings, settings.tracked)
    few = len(run.problem.items) <= _SIZES
    for bound, steps in pattern_bounds(run.prices, lambda: run.key, work, run.check, known) if few else ():
        run.raise_bound(bound)
        run.work += steps * _PRICED // 1_000_000 + solved
        yield
    if len(run.problem.stocks) > 1:
        from nesting.cutting.sheets.mixes import mix_bound  # loads ortools

        run.raise_bound(mix_bound(run.prices, run.least_key, run.key, work, run.check, known))
        run.work += settings.pricings * _PRICED // 1_000_000
        yield
    # Of a bound that was not raised the same mix is next, and its sets are known to prove nothing.
    _packed(run, Refuting(settings.sets if run.least_key > tried else 0, settings.packing))
    yield


def _packed(run: Run, work: Refuting) -> None:
    """Refute mixes by bars, and by all else that there is work for."""

    def count(taken: int) -> None:
        run.work += taken

    run.raise_bound(packing_bound(run.problem, run.prices, run.least_key, run.key, work, run.check, count))
    run.work += _BARS

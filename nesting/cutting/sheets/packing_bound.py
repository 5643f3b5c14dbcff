"""The bound from free packing: a mix that does not hold the parts even without the guillotine rule is refuted.

Why it holds. Sheets cut edge to edge are a special case of parts that lie parallel to the sides without overlap, so a
mix on which they cannot be packed at all cannot be cut either, nor can any mix with no more of each sheet. The parts
are packed once each with their kerf, so unlike a cutting pattern of :mod:`nesting.cutting.sheets.relaxation` nothing is
used more often than it is wanted. The model leaves nothing out: every packing can be pushed to the left and down until
each position is a sum of part sizes (normal patterns: Herz 1972, doi:10.1147/rd.165.0462; Christofides and Whitlock
1977, doi:10.1287/opre.25.1.30), and equal parts can be named from left to right. CP-SAT reckons in integers; where its
work runs out nothing is claimed. Refuting every mix below a key in this way makes that key a bound.
"""

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from nesting.cutting.sheets.bar_bound import bars_refute
from nesting.cutting.sheets.cover import run
from nesting.cutting.sheets.grid import sums
from nesting.cutting.sheets.key_costs import Prices
from nesting.cutting.sheets.mixes import Mix, mixes
from nesting.cutting.sheets.problem import Problem, Stock
from nesting.cutting.sheets.set_bound import sets_refute

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

# More parts, or more places (part, way, sheet) than this are too many for the work that a bound may take.
_PARTS = 60
_PLACES = 400

# More mixes than this are not tried.
_MIXES = 8

# Microseconds of a machine of reference: of going through the sets of one mix, and of one unit of CP-SAT's
# deterministic time.
_WALKED = 60_000
_PACKED = 9_000_000


@dataclass(frozen=True, slots=True)
class Refuting:
    """How much work it may take to refute one mix, beside bars, which take no more than milliseconds.

    Attributes
    ----------
    sets : int
        Pairs of pieces that are looked at for all ways to cut the largest parts; 0 for none.
    packing : float
        CP-SAT's deterministic time, the same on every machine; 0 for none.
    """

    sets: int = 0
    packing: float = 0.0


def packing_bound(  # 7 arguments: what of, between what, and how much work, watched and counted by whom
    problem: Problem,
    prices: Prices,
    least: int,
    target: int,
    work: Refuting,
    check: Callable[[], None],
    count: Callable[[int], None] = lambda _: None,
) -> int:
    """Raise a lower bound on the key by refuting mixes: with bars, then with sets, then by packing the parts freely.

    Parameters
    ----------
    least, target : int
        The bound so far, and the best key known.
    work : Refuting
        How much for each mix.
    check : callable
        Called while the solver runs; may raise to cut it off.
    count : callable
        Told the microseconds that sets or packing a mix take on a machine of reference.

    Returns
    -------
    int
        A bound that holds.
    """
    listed = mixes(problem, prices, target)
    if listed is None:
        return least
    refuted: list[Mix] = []
    tried = 0
    for key, mix in listed:
        if key < least or any(all(a <= b for a, b in zip(mix, other, strict=True)) for other in refuted):
            continue
        tried += 1
        if tried > _MIXES or not _refuted(problem, mix, work, check, count):
            return max(least, key)
        refuted.append(mix)
    return max(least, target)


def _refuted(
    problem: Problem, mix: Mix, work: Refuting, check: Callable[[], None], count: Callable[[int], None]
) -> bool:
    """Tell whether a mix is refuted, by the cheapest way that does it."""
    if bars_refute(problem, mix, check):
        return True
    if work.sets:
        count(_WALKED)
        if sets_refute(problem, mix, work.sets, check):
            return True
    return packs_not(problem, mix, work.packing, check, count)


def packs_not(
    problem: Problem, mix: Mix, work: float, check: Callable[[], None], count: Callable[[int], None] = lambda _: None
) -> bool:
    """Tell whether it is proven that the parts cannot be packed on a mix, even with other than guillotine cuts."""
    places = sum(
        item.demand * sum(n for n, stock in zip(mix, problem.stocks, strict=True) if _inside(way, stock))
        for item in problem.items
        for way in item.ways()
    )
    if problem.total > _PARTS or places > _PLACES or not work:
        return False
    from ortools.sat.python import cp_model  # heavy; most orders are proven without it

    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 0
    solver.parameters.max_deterministic_time = work
    solver.parameters.catch_sigint_signal = False
    status = run(solver, _model(problem, mix), check)
    count(int(solver.response_proto.deterministic_time * _PACKED))
    return status == cp_model.INFEASIBLE


def _inside(way: tuple[int, int], stock: Stock) -> bool:
    return way[0] <= stock.length and way[1] <= stock.width


def _positions(problem: Problem) -> tuple[list[int] | None, list[int] | None]:
    """List the sums of part sizes along and across; None where there are too many to list."""
    along: Counter[int] = Counter()
    across: Counter[int] = Counter()
    for item in problem.items:
        for a, b in item.ways():
            along[a] += item.demand
            across[b] += item.demand
    return (
        sums(sorted(along.items()), max(s.length for s in problem.stocks)),
        sums(sorted(across.items()), max(s.width for s in problem.stocks)),
    )


def _model(  # noqa: C901 - one model, closures over its tables
    problem: Problem, mix: Mix
) -> "cp_model.CpModel":
    """Write down that each part lies once, one way, on one sheet; the sheets lie side by side."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    sheets = [problem.stocks[s] for s, n in enumerate(mix) for _ in range(n)]
    starts = [sum(s.length for s in sheets[:k]) for k in range(len(sheets) + 1)]
    listed = _positions(problem)

    def position(places: list[int] | None, offset: int, last: int) -> "cp_model.IntVar":
        if places is None:
            return model.new_int_var(offset, offset + last, "")
        return model.new_int_var_from_domain(cp_model.Domain.from_values([offset + x for x in places if x <= last]), "")

    along, across, widths, lengths = [], [], [], []
    loads: list[list[cp_model.LinearExpr]] = [[] for _ in sheets]
    for item in problem.items:
        before: cp_model.IntVar | None = None
        for _ in range(item.demand):
            left = model.new_int_var(0, starts[-1], "")
            chosen = []
            for a, b in item.ways():
                for k, sheet in enumerate(sheets):
                    if not _inside((a, b), sheet):
                        continue
                    here = model.new_bool_var("")
                    chosen.append(here)
                    loads[k].append(item.area * here)
                    x = position(listed[0], starts[k], sheet.length - a)
                    y = position(listed[1], 0, sheet.width - b)
                    model.add(left == x).only_enforce_if(here)
                    along.append(model.new_optional_fixed_size_interval_var(x, a, here, ""))
                    across.append(model.new_optional_fixed_size_interval_var(y, b, here, ""))
                    widths.append(b)
                    lengths.append(a)
            model.add_exactly_one(chosen)
            if before is not None:
                model.add(before <= left)
            before = left
    model.add_no_overlap_2d(along, across)
    # What follows is implied, and helps: no line across the sheets meets more than their width, nor any area more.
    model.add_cumulative(along, widths, max(s.width for s in sheets))
    if len(sheets) == 1:
        model.add_cumulative(across, lengths, sheets[0].length)
    for load, sheet in zip(loads, sheets, strict=True):
        model.add(sum(load) <= sheet.area)
    return model

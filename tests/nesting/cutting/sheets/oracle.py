"""Two other ways to the optimum of tiny orders, written separately: exhaustive search, and a CP-SAT model."""

from collections.abc import Sequence
from functools import cache
from itertools import product

from nesting.cutting.parts import Part
from nesting.cutting.sheets import Sheet

Rectangle = tuple[int, int, bool]


def rectangles(parts: Sequence[Part]) -> list[Rectangle]:
    """Every single part as (length, width, whether it may be turned)."""
    return [(p.length, p.width, p.grain == "any") for p in parts for _ in range(p.count)]


def can_cut(rects: Sequence[Rectangle], length: int, width: int, kerf: int) -> bool:
    """Whether guillotine cuts take all rectangles from one piece, by every way to split the set in two."""

    @cache
    def least_widths(group: frozenset[int]) -> tuple[tuple[int, int], ...]:
        """Pareto-least (length, width) of pieces that hold a group."""
        if len(group) == 1:
            a, b, turns = rects[next(iter(group))]
            return pareto([(a, b), (b, a)] if turns else [(a, b)])
        members = sorted(group)
        found: list[tuple[int, int]] = []
        for bits in range(1, 1 << (len(members) - 1)):
            one = frozenset(m for k, m in enumerate(members) if bits >> k & 1)
            for (a, b), (c, d) in product(least_widths(one), least_widths(group - one)):
                found += [(a + kerf + c, max(b, d)), (max(a, c), b + kerf + d)]
        return pareto(found)

    def pareto(sizes: Sequence[tuple[int, int]]) -> tuple[tuple[int, int], ...]:
        kept: list[tuple[int, int]] = []
        for size in sorted(s for s in set(sizes) if s[0] <= length and s[1] <= width):
            if not kept or size[1] < kept[-1][1]:
                kept.append(size)
        return tuple(kept)

    return bool(least_widths(frozenset(range(len(rects)))))


def _price(sheet: Sheet, count: int) -> int:
    """Least cost of having at least `count`, by trying every number up to the last break."""
    most = max([count, *(start for start, _ in sheet.breaks)])
    totals = []
    for taken in range(count, most + 1):
        if count and (sheet.count is None or taken <= sheet.count):
            unit = sheet.cost
            for start, each in sheet.breaks:
                unit = each if taken >= start else unit
            totals.append(unit * taken)
    return min(totals, default=0)


def cheapest(parts: Sequence[Part], sheets: Sequence[Sheet], kerf: int) -> int | None:
    """Least cost by trying every way to deal the parts out to sheets; None where there is none."""
    rects = rectangles(parts)
    everything = (1 << len(rects)) - 1
    fitting: list[list[int]] = []
    for sheet in sheets:
        trim = sheet.trim
        length = sheet.length - (trim.left + trim.right if trim else 0)
        width = sheet.width - (trim.bottom + trim.top if trim else 0)
        fitting.append(
            [
                group
                for group in range(1, everything + 1)
                if can_cut([r for k, r in enumerate(rects) if group >> k & 1], length, width, kerf)
            ]
        )
    best: int | None = None

    def deal(left: int, counts: tuple[int, ...]) -> None:
        nonlocal best
        if left == 0:
            cost = sum(_price(sheet, n) for sheet, n in zip(sheets, counts, strict=True))
            best = cost if best is None else min(best, cost)
            return
        first = left & -left
        for s, sheet in enumerate(sheets):
            if sheet.count is not None and counts[s] >= sheet.count:
                continue
            for group in fitting[s]:
                if group & first and group & ~left == 0:
                    deal(left & ~group, (*counts[:s], counts[s] + 1, *counts[s + 1 :]))

    deal(everything, (0,) * len(sheets))
    return best


def fewest_by_model(parts: Sequence[Part], length: int, width: int, kerf: int) -> int:
    """Fewest sheets of one size that hold the parts without overlap, by CP-SAT; not limited to cuts from edge to edge.

    So it is a lower bound for guillotine cutting, and equal to it where a layout of that many sheets is found.
    """
    from ortools.sat.python import cp_model  # heavy, and only some tests need it

    rects = rectangles(parts)
    for sheets in range(1, len(rects) + 1):
        model = cp_model.CpModel()
        along, across = [], []
        for a, b, turns in rects:
            turned = model.new_bool_var("") if turns else model.new_constant(0)
            size_x = model.new_int_var(min(a, b), max(a, b) + kerf, "")
            size_y = model.new_int_var(min(a, b), max(a, b) + kerf, "")
            model.add(size_x == a + kerf + (b - a) * turned)
            model.add(size_y == b + kerf + (a - b) * turned)
            sheet = model.new_int_var(0, sheets - 1, "")
            # Sheets lie side by side with nothing between; each is one kerf longer than it is.
            local = model.new_int_var(0, length + kerf, "")
            x = model.new_int_var(0, sheets * (length + kerf), "")
            y = model.new_int_var(0, width + kerf, "")
            end_x = model.new_int_var(0, sheets * (length + kerf), "")
            end_y = model.new_int_var(0, width + kerf, "")
            model.add(x == sheet * (length + kerf) + local)
            model.add(local + size_x <= length + kerf)
            along.append(model.new_interval_var(x, size_x, end_x, ""))
            across.append(model.new_interval_var(y, size_y, end_y, ""))
        model.add_no_overlap_2d(along, across)
        solver = cp_model.CpSolver()
        solver.parameters.catch_sigint_signal = False  # else it keeps the signal from Python for good
        solver.parameters.num_workers = 1
        solver.parameters.max_deterministic_time = 20
        if solver.solve(model) in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return sheets
    raise AssertionError("every part alone on a sheet must be feasible")

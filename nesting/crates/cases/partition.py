"""Partition pieces into cases at the least total cost, with a bound: set partitioning over enumerated cases.

Every allowed case is enumerated and costed by a function that the caller hands in. The linear relaxation is solved by
column generation: a few columns at first, then whichever of the enumerated ones price out best under the duals (the
restricted master of Gilmore and Gomory 1961; set partitioning as in Balas and Padberg 1976). Duals are never trusted as
floats: they are rounded down to integers, checked exactly against *every* column, and lowered until no
column costs less than its duals; their sum is then a true lower bound. Columns whose reduced cost exceeds the gap
between that bound and the best partition known cannot be part of a better one (reduced cost fixing), so what remains is
solved exactly: in a few counted steps by going through the pieces from the first on, each covered by the cases that
price out best, since what is chosen so far and its reduced costs are a bound; else by CP-SAT, one worker, fixed seed,
deterministic time. The same steps find the next best partitions. Pieces of one kind are interchangeable, so only the
first of them that is left may be taken.
"""

from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import ceil, comb
from typing import TYPE_CHECKING, Any, Final, Protocol

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

MOST_CASES: Final = 1_000_000
"""Cases enumerated at the most; beyond it only near neighbours are considered, and no bound is claimed."""
_SCALE: Final = 1024
_ROUND: Final = 300
_ROUNDS: Final = 200
_PROMISING: Final = 2_000
_KEEP: Final = 12_000
"""Cases that may still matter, beyond which they are not searched to the end: the bound of the relaxation stands."""
_WORK: Final = 2.0
"""CP-SAT's deterministic time, so that the answer does not depend on the clock."""
_NEIGHBOURS: Final = 8
_NEXT: Final = 0.25
"""Part of the least cost by which a next best partition may be dearer."""
_TRIED: Final = 400_000
"""Cases that are looked at in a search in few steps, at the most, in each of its rounds."""
_WIDTHS: Final = (2, 4, 10, 1 << 30)
"""How many cases are tried for each piece in a round; the last round tries all."""


_NEVER: Final = 1 << 50
"""More than anything costs."""

Priced = tuple[int, tuple[tuple[int, ...], ...]]
"""A cost, and the cases that come to it."""
Apart = Mapping[int, int]
"""By piece, others as the ones of a mask: thousands of pieces make millions of pairs."""


class CaseCosts(Protocol):
    """Costs many cases at once."""

    def __call__(self, cases: "NDArray[np.int16]", /) -> "NDArray[np.int64]":
        """Return a whole cost for each case, or a negative number where the case is not allowed.

        A case is a row of piece numbers, padded at its end by the number of pieces.
        """


@dataclass(frozen=True, slots=True)
class Partition:
    """A way to put every piece into exactly one case.

    Attributes
    ----------
    cases : tuple of tuple of int
        Piece numbers, each case in ascending order, cases by their first piece.
    cost : int
        Sum of the cases' costs.
    bound : int or None
        No partition costs less; None where not all cases were considered.
    considered : int
        Allowed cases that were costed.
    others : tuple of (int, cases)
        The next best with their costs, cheapest first; those that differ by names alone are told once.
    """

    cases: tuple[tuple[int, ...], ...]
    cost: int
    bound: int | None
    considered: int
    others: tuple[Priced, ...] = ()

    @property
    def proven(self) -> bool:
        """Whether no partition costs less."""
        return self.bound == self.cost


class NoPartitionError(ValueError):
    """Some pieces fit into no allowed case, alone or together; holds their numbers."""

    def __init__(self, pieces: Sequence[int]) -> None:
        self.pieces = tuple(pieces)
        super().__init__(f"no allowed case takes pieces {', '.join(map(str, pieces))}")


def masks(pairs: Iterable[tuple[int, int]]) -> dict[int, int]:
    """Return pairs of pieces as masks, each under both of its pieces."""
    found: dict[int, int] = {}
    for one, other in pairs:
        found[one] = found.get(one, 0) | 1 << other
        found[other] = found.get(other, 0) | 1 << one
    return found


def partition(  # 7 arguments: what is divided, by which costs, and how far is looked
    atoms: Sequence[tuple[int, ...]],
    apart: Apart,
    most: int,
    costs: CaseCosts,
    keep: int = 1,
    kinds: Sequence[Hashable] = (),
    longer: bool = True,
) -> Partition:
    """Find the cheapest partition.

    Parameters
    ----------
    atoms : sequence of tuple of int
        Pieces ``0..n-1`` in groups that must travel together (most groups hold one piece); near sizes beside each
        other, for when there are too many cases to consider them all.
    apart : mapping of int to int
        For each piece, those that it must not share a case with, as the ones of a mask; see :func:`masks`.
    most : int
        Pieces in a case at the most.
    costs : CaseCosts
        What cases cost.
    keep : int
        How many partitions are wanted, the cheapest among them.
    kinds : sequence of hashable, optional
        What each piece is: those of one kind are interchangeable in costs, `atoms` and `apart`. Each its own where
        there are none.
    longer : bool
        Whether a longer search follows where a few steps prove nothing.

    Returns
    -------
    Partition
        Proven the cheapest, unless the work limit is reached.

    Raises
    ------
    NoPartitionError
        When some piece fits into no allowed case, or no combination covers all.
    """
    import numpy as np

    count = sum(len(atom) for atom in atoms)
    if not count:
        return Partition((), 0, 0, 0)
    cases, complete = _enumerate(atoms, apart, most)
    columns = np.full((len(cases), most), count, dtype=np.int16)
    for row, case in enumerate(cases):
        columns[row, : len(case)] = case
    cost = np.asarray(costs(columns), dtype=np.int64)
    allowed = cost >= 0
    columns, cost = columns[allowed], cost[allowed]
    if missing := sorted(set(range(count)) - set(columns.ravel().tolist())):
        raise NoPartitionError(missing)
    alike = _alike(kinds or range(count), atoms)
    best = _greedy(columns, cost, count)
    duals = _duals(columns, cost, count, best)
    bound = ceil(sum(duals) / _SCALE)
    few = _Few(columns, cost, duals, alike)
    chosen, least = _least(few, best, columns, cost, bound)
    if chosen is not None and (few.complete or least == bound):
        bound = least
    elif longer or chosen is None:
        best, bound = _searched(columns, cost, count, best, duals)
        if best is not None and (chosen is None or _sum(cost, best) < least):
            chosen, least = _cases_of(columns, best, count), _sum(cost, best)
    if chosen is None:
        raise NoPartitionError(range(count))
    others: tuple[Priced, ...] = ()
    if keep > 1:
        sign = _sign(chosen, alike)
        found = few.cheapest(keep + 1, least + int(least * _NEXT) + 1)
        others = tuple(each for each in found if _sign(each[1], alike) != sign)[: keep - 1]
    return Partition(chosen, least, bound if complete else None, len(cost), others)


def cheapest_covers(
    cases: Sequence[tuple[int, ...]], costs: Sequence[int], kinds: Sequence[Hashable], keep: int
) -> tuple[Priced, ...]:
    """Return the cheapest few ways to put every piece into one of some given cases, found in counted steps.

    Parameters
    ----------
    cases : sequence of tuple of int
        Piece numbers in ascending order; each piece alone is among them.
    costs : sequence of int
        What each costs.
    kinds : sequence of hashable
        What each piece is. Of one kind pieces are taken in ascending order, so cases are wanted for each of their runs.
    keep : int
        How many ways are wanted at the most.

    Returns
    -------
    tuple of (int, cases)
        Cheapest first; those that differ by names alone are told once. None much dearer than the first.
    """
    import numpy as np

    count = len(kinds)
    if not count:
        return ()
    columns = np.full((len(cases), max(map(len, cases))), count, dtype=np.int16)
    for row, case in enumerate(cases):
        columns[row, : len(case)] = case
    cost = np.array(costs, dtype=np.int64)
    best = _greedy(columns, cost, count)
    few = _Few(columns, cost, _duals(columns, cost, count, best), _alike(kinds, ()))
    found = few.cheapest(1, _NEVER)
    return tuple(few.cheapest(keep, found[0][0] + int(found[0][0] * _NEXT) + 1)) if found else ()


def _least(
    few: "_Few", best: list[int] | None, columns: Any, cost: Any, bound: int
) -> tuple[tuple[tuple[int, ...], ...] | None, int]:
    """Return the cheapest partition that is found in a few steps, with its cost; None where there is none."""
    known = None if best is None else _sum(cost, best)
    if best is not None and known == bound:
        return _cases_of(columns, best, few.count), bound
    found = few.cheapest(1, _NEVER if known is None else known)
    if found:
        return found[0][1], found[0][0]
    return (None, 0) if best is None or known is None else (_cases_of(columns, best, few.count), known)


def _searched(
    columns: Any, cost: Any, count: int, best: list[int] | None, duals: Sequence[int]
) -> tuple[list[int] | None, int]:
    """Return the best rows that are found in a longer search, and the bound."""
    import numpy as np

    bound = ceil(sum(duals) / _SCALE)
    reduced = cost * _SCALE - _dual_sums(columns, duals)
    if best is None or bound < _sum(cost, best):
        # A good partition of the most promising cases first: it narrows the gap, and with it what can still matter.
        promising = np.argsort(reduced, kind="stable")[:_PROMISING]
        best, _ = _exact(columns, cost, count, promising, best, bound)
    if best is None or bound < _sum(cost, best):
        gap = None if best is None else _sum(cost, best) * _SCALE - sum(duals)
        rows = np.arange(len(cost)) if gap is None else np.flatnonzero(reduced < gap)
        if best is None or len(rows) <= _KEEP:
            best, bound = _exact(columns, cost, count, rows, best, bound)
    return best, bound


def _cases_of(columns: Any, rows: Sequence[int], count: int) -> tuple[tuple[int, ...], ...]:
    """Return the cases of some rows."""
    return tuple(sorted(tuple(sorted(int(p) for p in columns[row] if p < count)) for row in rows))


def _alike(kinds: Sequence[Hashable], atoms: Sequence[tuple[int, ...]]) -> tuple[int, ...]:
    """Return the first piece of each piece's kind; pieces that must travel with others are of a kind of their own."""
    bound = {piece for atom in atoms if len(atom) > 1 for piece in atom}
    first: dict[Hashable, int] = {}
    return tuple(piece if piece in bound else first.setdefault(kind, piece) for piece, kind in enumerate(kinds))


def _sign(cases: Sequence[Sequence[int]], alike: Sequence[int]) -> tuple[tuple[int, ...], ...]:
    """Return what partitions have in common that differ by names alone."""
    return tuple(sorted(tuple(sorted(alike[piece] for piece in case)) for case in cases))


@dataclass(slots=True)
class _Cover:
    """Cases chosen so far: which pieces are free, reduced cost and cost, and what may still be tried next."""

    free: int
    reduced: int
    cost: int
    chosen: tuple[tuple[int, ...], ...]
    ways: Iterator[tuple[int, int, int, tuple[int, ...]]]
    tried: int = 0


class _Few:
    """A search for the cheapest few partitions, depth first, with counted steps.

    Attributes
    ----------
    complete : bool
        Whether the last search looked at all that could matter.
    """

    def __init__(self, columns: Any, cost: Any, duals: Sequence[int], alike: Sequence[int]) -> None:
        self.columns, self.cost, self.duals = columns, cost, duals
        self.count, self.base = len(alike), sum(duals)
        self.alike = alike
        self.kinds: dict[int, int] = {}
        for piece, kind in enumerate(alike):
            self.kinds[kind] = self.kinds.get(kind, 0) | 1 << piece
        self.kinds = {kind: mask for kind, mask in self.kinds.items() if mask & (mask - 1)}
        self.complete = False

    def cheapest(self, keep: int, below: int) -> list[Priced]:
        """Return the cheapest few that cost less than a limit."""
        self.keep, self.most, self.left = keep, below, 0
        self.signs: set[tuple[tuple[int, ...], ...]] = set()
        self.best: list[Priced] = []
        self.complete = self._sort(below)
        for width in _WIDTHS:
            self.left = _TRIED
            self._extend(width)
        self.complete &= self.left > 0
        return self.best

    def _sort(self, below: int) -> bool:
        """Put the cases that may matter by their first piece, the most promising first; return whether it is all."""
        import numpy as np

        reduced = self.cost * _SCALE - _dual_sums(self.columns, self.duals)
        rows = np.flatnonzero(reduced < below * _SCALE - self.base)
        order = rows[np.argsort(reduced[rows], kind="stable")][:_KEEP]
        self.by_first: list[list[tuple[int, int, int, tuple[int, ...]]]] = [[] for _ in range(self.count)]
        for row in order.tolist():
            case = tuple(sorted(int(p) for p in self.columns[row] if p < self.count))
            mask = sum(1 << piece for piece in case)
            self.by_first[case[0]].append((int(reduced[row]), mask, int(self.cost[row]), case))
        return len(rows) <= _KEEP

    def _extend(self, width: int) -> None:
        """Cover all pieces, depth first, in a few ways for each; a consignment may hold a thousand, so no recursion."""
        covers = [_Cover((1 << self.count) - 1, 0, 0, (), self._by_next((1 << self.count) - 1))]
        while covers:
            cover = covers[-1]
            if not cover.free:
                self._note(cover)
                covers.pop()
                continue
            further = self._further(cover) if cover.tried < width else None
            if further is None:
                covers.pop()
            else:
                cover.tried += 1
                covers.append(further)

    def _further(self, cover: "_Cover") -> "_Cover | None":
        """Return a cover with one more case; None where no other of its next piece can matter."""
        for more, mask, price, case in cover.ways:
            # Reduced costs add up to the cost above the sum of the duals, so they say what a cover costs at the least.
            if self.left <= 0 or self.base + cover.reduced + more >= self.most * _SCALE:
                return None
            self.left -= 1
            if not mask & ~cover.free and self._first_of_kind(cover.free, mask, case):
                free = cover.free & ~mask
                return _Cover(
                    free, cover.reduced + more, cover.cost + price, (*cover.chosen, case), self._by_next(free)
                )
        return None

    def _by_next(self, free: int) -> Iterator[tuple[int, int, int, tuple[int, ...]]]:
        """Return the cases of the first piece that is free, the most promising first."""
        return iter(self.by_first[(free & -free).bit_length() - 1] if free else ())

    def _note(self, cover: "_Cover") -> None:
        """Keep a cover of all pieces where it is new and cheap enough."""
        sign = _sign(cover.chosen, self.alike)
        if sign not in self.signs:
            self.signs.add(sign)
            self.best = sorted([*self.best, (cover.cost, tuple(sorted(cover.chosen)))])[: self.keep]
            if len(self.best) == self.keep:
                self.most = min(self.most, self.best[-1][0])

    def _first_of_kind(self, free: int, mask: int, case: Sequence[int]) -> bool:
        """Whether a case takes of each kind the first pieces that are free."""
        for kind in {self.alike[piece] for piece in case}:
            if kind in self.kinds:
                mine, there = mask & self.kinds[kind], free & self.kinds[kind]
                while mine:
                    if (mine & -mine) != (there & -there):
                        return False
                    mine, there = mine & (mine - 1), there & (there - 1)
        return True


def _sum(cost: Any, rows: Sequence[int]) -> int:
    """Return the cost of some cases together."""
    return sum(int(cost[row]) for row in rows)


def _enumerate(atoms: Sequence[tuple[int, ...]], apart: Apart, most: int) -> tuple[list[tuple[int, ...]], bool]:
    """List every allowed case, or where they are too many those of near neighbours; say whether it is all of them."""
    cases: list[tuple[int, ...]] = []
    free = not apart and all(len(atom) == 1 for atom in atoms)
    if free and sum(comb(len(atoms), size) for size in range(1, most + 1)) > MOST_CASES:
        return list(_cases(atoms, apart, min(most, 5), reach=_NEIGHBOURS)), False
    for case in _cases(atoms, apart, most, reach=len(atoms)):
        cases.append(case)
        if len(cases) > MOST_CASES:
            return list(_cases(atoms, apart, min(most, 5), reach=_NEIGHBOURS)), False
    return cases, True


def _cases(atoms: Sequence[tuple[int, ...]], apart: Apart, most: int, reach: int) -> Iterator[tuple[int, ...]]:
    """Yield cases made of atoms at most ``reach`` places from the first."""
    home = {piece: number for number, atom in enumerate(atoms) for piece in atom}
    clash = [0] * len(atoms)
    for one, mask in apart.items():
        for other in _bits(mask) if one in home else ():
            if other in home:
                clash[home[one]] |= 1 << home[other]
                clash[home[other]] |= 1 << home[one]
    for first, atom in enumerate(atoms):
        if len(atom) > most or clash[first] >> first & 1:
            continue
        yield atom
        window = ((1 << min(len(atoms), first + reach)) - (1 << (first + 1))) & ~clash[first]
        # Depth first, each with what may still be added to it: as far as the window reaches, and no clash.
        waiting = [(atom, window)] if len(atom) < most and window > 0 else []
        while waiting:
            pieces, may = waiting.pop()
            low = may & -may
            index = low.bit_length() - 1
            if rest := may ^ low:
                waiting.append((pieces, rest))
            if len(pieces) + len(atoms[index]) > most:
                continue
            more = (*pieces, *atoms[index])
            yield more
            if len(more) < most and (further := rest & ~clash[index]):
                waiting.append((more, further))


def _bits(mask: int) -> Iterator[int]:
    """Yield the places of the ones of a mask."""
    while mask:
        low = mask & -mask
        yield low.bit_length() - 1
        mask ^= low


def _greedy(columns: Any, cost: Any, count: int) -> list[int] | None:
    """Cover pieces by the cases with the least cost a piece; None where that ends without a cover."""
    import numpy as np

    sizes = (columns < count).sum(axis=1)
    order = np.lexsort((np.arange(len(cost)), cost / sizes))
    free = np.ones(count + 1, dtype=bool)
    chosen = []
    for row in order.tolist():
        pieces = columns[row][: sizes[row]]
        if free[pieces].all():
            free[pieces] = False
            chosen.append(row)
            if not free[:count].any():
                return chosen
    return None


def _dual_sums(columns: Any, duals: Sequence[int]) -> Any:
    """Return the sum of the duals of each case's pieces, exactly."""
    import numpy as np

    return np.array([*duals, 0], dtype=np.int64)[columns].sum(axis=1)


def _duals(columns: Any, cost: Any, count: int, start: list[int] | None) -> list[int]:
    """Return scaled integer duals under which no column costs less than the sum over its pieces."""
    import numpy as np
    from ortools.linear_solver import pywraplp

    sizes = (columns < count).sum(axis=1)
    active = set(np.flatnonzero(sizes == sizes.min()).tolist()) | set(start or ())
    # Every piece must be covered by some column of the master: the cheapest that holds it, of equal ones the first.
    order = np.argsort(cost, kind="stable")
    held, first = np.unique(columns[order], return_index=True)
    active |= {int(order[at // columns.shape[1]]) for piece, at in zip(held, first, strict=True) if piece < count}
    values = np.zeros(count + 1)
    for _ in range(_ROUNDS):
        solver = pywraplp.Solver.CreateSolver("GLOP")
        covers = [solver.Constraint(1, solver.infinity()) for _ in range(count)]
        objective = solver.Objective()
        for row in sorted(active):
            share = solver.NumVar(0, solver.infinity(), "")
            objective.SetCoefficient(share, int(cost[row]))
            for piece in columns[row][: sizes[row]].tolist():
                covers[piece].SetCoefficient(share, 1)
        objective.SetMinimization()
        solver.Solve()
        values[:count] = [max(0.0, cover.dual_value()) for cover in covers]
        reduced = cost - values[columns].sum(axis=1)
        worst = np.argsort(reduced, kind="stable")[:_ROUND]
        more = {int(row) for row in worst.tolist() if reduced[row] < -1 / _SCALE} - active
        if not more:
            break
        active |= more
    # Floats end here. Rounded down, then lowered by the worst violation over all columns: each column holds a piece.
    duals = [int(value * _SCALE) for value in values[:count].tolist()]
    over = int((_dual_sums(columns, duals) - cost * _SCALE).max())
    if over > 0:
        duals = [dual - over for dual in duals]
    if int((_dual_sums(columns, duals) - cost * _SCALE).max()) > 0:  # pragma: no cover - the lowering above sees to it
        raise AssertionError("duals exceed a column's cost")
    return duals


def _exact(
    columns: Any, cost: Any, count: int, keep: Any, start: list[int] | None, bound: int
) -> tuple[list[int] | None, int]:
    """Solve the partition over the columns that may still matter; return the best rows and the best bound."""
    from ortools.sat.python import cp_model

    from nesting.cutting.sheets.cover import run

    model = cp_model.CpModel()
    rows = keep.tolist()
    known = set(start or ())
    rows += sorted(known - set(rows))
    picks = {row: model.new_bool_var("") for row in rows}
    for row, pick in picks.items():
        model.add_hint(pick, row in known)
    holding: list[list[cp_model.IntVar]] = [[] for _ in range(count + 1)]
    for row, pick in picks.items():
        for piece in set(columns[row].tolist()):
            holding[piece].append(pick)
    for piece in range(count):
        model.add_exactly_one(holding[piece])
    total = sum(int(cost[row]) * pick for row, pick in picks.items())
    model.add(total >= bound)
    model.minimize(total)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 0
    solver.parameters.linearization_level = 2
    solver.parameters.max_deterministic_time = _WORK
    solver.parameters.catch_sigint_signal = False  # the solver would keep an interrupt, and a worse answer go on
    status = run(solver, model, lambda: None)
    if status == cp_model.OPTIMAL:
        best = [row for row, pick in picks.items() if solver.boolean_value(pick)]
        return best, _sum(cost, best)
    if status == cp_model.FEASIBLE:
        best = [row for row, pick in picks.items() if solver.boolean_value(pick)]
        return best, max(bound, ceil(solver.best_objective_bound - 1e-6))
    if status == cp_model.INFEASIBLE:
        return start, _sum(cost, start) if start else bound
    return start, bound

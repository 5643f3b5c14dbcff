"""The best combinations of designs, one for each crate of an order, by what all of them take from the same sheets.

Nothing here knows what a crate is. A *group* is what is decided together, such as the cases of one destination; it has
*alternatives*, ways to divide its pieces; each is a tuple of *slots*, one a crate; and a slot has *options*, its
designs. The first of each is what the shop's rules give. A combination takes one alternative of every group and one
option of every slot, and costs what its options cost by themselves and what the parts of all of them cost together.

First the combinations that promise most are listed, exactly the cheapest by a figure that adds up over slots, and
measured by a floor that no cutting goes below. In the order of their floors they are cut by first fit, until the next
floor is above what was found: where all were listed, nothing is cheaper. What was not listed is reached by changing one
crate at a time, or all that are alike, from the best and from what the rules give. Steps are counted; nothing looks at
the clock, and equal slots are told apart by nothing.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import islice
from typing import TYPE_CHECKING, Any, Final

from nesting.cutting.yardstick import SheetGauge, Size, StickGauge, Wanted, Yard

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_FAR: Final = 1 << 56
"""Dearer than anything."""
_NOTHING: Final = (5_000, 1_000)
"""Parts of the cost that are next to nothing for one crate."""
_PARTS: Final = 4_000
"""Parts of an order beyond which fewer combinations are cut, so that all of them together take no longer."""
_LEAST: Final = 8
"""Combinations that are cut however many parts there are."""
_PLAINER: Final = 500
"""Crates at the most that what the rules give is tried for one by one: each try looks at the whole order."""


@dataclass(frozen=True, slots=True)
class Option:
    """One design of one crate.

    Attributes
    ----------
    rest : int
        What it costs beside its parts.
    wants : tuple of (str, Wanted)
        Its parts by good, goods in order.
    value : object
        What it stands for.
    """

    rest: int
    wants: tuple[tuple[str, Wanted], ...] = ()
    value: Any = field(default=None, compare=False)


Slot = tuple[Option, ...]
Alternative = tuple[Slot, ...]
Group = tuple[Alternative, ...]


@dataclass(frozen=True, slots=True)
class Steps:
    """How much is looked at.

    Attributes
    ----------
    alternatives : int
        Combinations of alternatives.
    listed : int
        Combinations whose floor is measured.
    cut : int
        Combinations that are cut by first fit.
    starts : int
        How many of the best are changed crate by crate, what the rules give apart.
    """

    alternatives: int = 12
    listed: int = 6_000
    cut: int = 800
    starts: int = 4


@dataclass(frozen=True, slots=True, order=True)
class Combination:
    """One combination.

    Attributes
    ----------
    cost : int
        By first fit.
    alternatives : tuple of int
        Which alternative of each group.
    options : tuple of tuple of int
        Which option of each of its slots, group by group.
    """

    cost: int
    alternatives: tuple[int, ...]
    options: tuple[tuple[int, ...], ...]


@dataclass(frozen=True, slots=True)
class Found:
    """What a search found.

    Attributes
    ----------
    best : tuple of Combination
        The cheapest first; equal costs in the order of alternatives and options. Those that take the same parts are
        told once.
    compared : int
        Combinations that were cut.
    complete : bool
        Whether no combination at all is cheaper by first fit.
    ruled : Combination or None
        What the rules give, measured the same way; None where it cannot be cut.
    plainer : tuple of Combination
        The best with what the rules give wherever that costs next to nothing: one for each share of the cost that is
        called so, the least first. First fit is no better than that.
    """

    best: tuple[Combination, ...]
    compared: int
    complete: bool
    ruled: Combination | None
    plainer: tuple[Combination, ...] = ()


def _never() -> bool:
    return False


def best_combinations(
    groups: Sequence[Group],
    yard: Yard,
    fixed: Sequence[tuple[str, Wanted]] = (),
    steps: Steps | None = None,
    ended: Callable[[], bool] = _never,
    *,
    plainer: bool = True,
) -> Found:
    """Search.

    Parameters
    ----------
    groups : sequence of Group
        None without an alternative, no slot without an option.
    yard : Yard
        What is cut; parts of goods that it does not measure cost nothing here.
    fixed : sequence of (str, Wanted)
        What is cut in any case.
    steps : Steps, optional
        How much is looked at.
    ended : callable
        Asked between steps whether somebody wants the best so far.
    plainer : bool
        Whether plainer ones are wanted too.
    """
    if any(not group or any(not slot for alternative in group for slot in alternative) for group in groups):
        raise ValueError("every group needs an alternative, and every slot an option")
    return _Search(groups, yard, fixed, steps or Steps(), ended).run(plainer=plainer)


@dataclass(frozen=True, slots=True)
class _Slot:
    """A slot made ready: options by number, cheapest by themselves first in `order`."""

    rests: "NDArray[np.int64]"
    counts: "NDArray[np.int64]"
    measures: "dict[str, NDArray[np.int64]]"
    alone: "NDArray[np.int64]"
    order: tuple[int, ...]
    like: int


class _Search:
    """One search."""

    def __init__(
        self,
        groups: Sequence[Group],
        yard: Yard,
        fixed: Sequence[tuple[str, Wanted]],
        steps: Steps,
        ended: Callable[[], bool],
    ) -> None:
        self.groups, self.yard, self.steps, self.ended = groups, yard, steps, ended
        self.gauges: dict[str, SheetGauge | StickGauge] = {}
        self.spans: dict[str, slice] = {}
        self.columns: dict[str, dict[Size, int]] = {}
        self._gauge(fixed)
        self.base = self._counts(fixed)
        self.base_measures = {good: self._measure(good, self.base) for good in self.gauges}
        self._ready: dict[Slot, _Slot] = {}
        self.slots = [[[self._slot(slot) for slot in each] for each in group] for group in groups]
        self.known: dict[tuple[tuple[int, ...], tuple[tuple[int, ...], ...]], int | None] = {}

    def run(self, *, plainer: bool) -> Found:
        """Search."""
        zero = tuple(0 for _ in self.groups)
        plain = tuple(tuple(0 for _ in group[0]) for group in self.groups)
        parts = int(self._total(zero, plain).sum())
        if parts > _PARTS:
            cut = max(_LEAST, self.steps.cut * _PARTS // parts)
            self.steps = replace(self.steps, cut=min(cut, self.steps.cut))
        ruled = self._try(zero, plain)
        complete = self._cut_listed(self._several(zero))
        ranked = self._ranked()
        spent = len(self.known)
        for start in [*ranked[: self.steps.starts], *([ruled] if ruled else [])]:
            if len(self.known) - spent >= self.steps.cut:
                break
            self._descend(start, spent + self.steps.cut)
        best = self._distinct()
        compared = len(self.known)
        others = [self._plainer(best[0], best[0].cost // share) for share in _NOTHING] if best and plainer else []
        return Found(best, compared, complete, ruled, tuple(dict.fromkeys(others)))

    # What options come to

    def _gauge(self, fixed: Sequence[tuple[str, Wanted]]) -> None:
        """Make a gauge for every good, of all sizes that any option wants."""
        sizes: dict[str, set[Size]] = {}
        every = {option for group in self.groups for each in group for slot in each for option in slot}
        for good, wanted in (*fixed, *(want for option in every for want in option.wants)):
            if self.yard.measures(good):
                sizes.setdefault(good, set()).update(size for size, _ in wanted)
        at = 0
        for good in sorted(sizes):
            gauge = self.gauges[good] = self.yard.gauge(good, sizes[good])
            self.spans[good] = slice(at, at + len(gauge.sizes))
            self.columns[good] = {size: at + n for n, size in enumerate(gauge.sizes)}
            at += len(gauge.sizes)
        self.width = at

    def _counts(self, wants: Sequence[tuple[str, Wanted]]) -> "NDArray[np.int64]":
        """Return how many parts of each size some wants come to."""
        import numpy as np

        counts = np.zeros(self.width, dtype=np.int64)
        for good, wanted in wants:
            columns = self.columns.get(good)
            if columns is not None:
                for size, count in wanted:
                    counts[columns[size]] += count
        return counts

    def _measure(self, good: str, counts: "NDArray[np.int64]") -> "NDArray[np.int64]":
        """Return what parts of one good measure."""
        import numpy as np

        mine = counts[self.spans[good]]
        held = np.flatnonzero(mine)
        return np.asarray(mine[held] @ self.gauges[good].measures[held])

    def _slot(self, slot: Slot) -> _Slot:
        """Make a slot ready, equal ones once."""
        import numpy as np

        if slot not in self._ready:
            counts = np.array([self._counts(option.wants) for option in slot], dtype=np.int64)
            measures = {good: np.array([self._measure(good, row) for row in counts]) for good in self.gauges}
            rests = np.array([option.rest for option in slot], dtype=np.int64)
            alone = np.minimum(rests, _FAR)
            for good, gauge in self.gauges.items():
                alone += gauge.floors(measures[good], whole=False)
                alone[(counts[:, self.spans[good]] @ gauge.misfits) > 0] = _FAR
            order = tuple(np.argsort(alone, kind="stable").tolist())
            self._ready[slot] = _Slot(rests, counts, measures, alone, order, len(self._ready))
        return self._ready[slot]

    # The combinations that promise most

    def _several(self, zero: tuple[int, ...]) -> tuple[list[tuple[int, ...]], bool]:
        """Return the alternatives that promise most, what the rules give first, and whether these are all."""
        import numpy as np

        rests = [
            np.array([sum(int(slot.alone.min()) for slot in each) for each in group], dtype=np.int64)
            for group in self.slots
        ]
        most = self.steps.alternatives
        picks, every = _cheapest_sums(rests, [-1] * len(rests), most)
        several = [tuple(pick) for pick in picks.tolist()]
        return [zero, *(each for each in several if each != zero)][:most], every

    def _cut_listed(self, several: tuple[list[tuple[int, ...]], bool]) -> bool:
        """Cut the combinations that promise most, in the order of their floors; return whether that settles it."""
        import numpy as np

        chosen, complete = several
        share = max(1, self.steps.listed // max(1, len(chosen)))
        rows: list[tuple[int, ...]] = []
        of: list[int] = []
        floors: list[NDArray[np.int64]] = []
        for number, alternatives in enumerate(chosen):
            slots = self._flat(alternatives)
            picks, every = _cheapest_sums([slot.alone for slot in slots], [slot.like for slot in slots], share)
            complete &= every
            floors.append(self._floors(slots, picks))
            rows += [tuple(row) for row in picks.tolist()]
            of += [number] * len(picks)
        floor = np.concatenate(floors)
        least: list[int] = []
        before = len(self.known)
        for at in np.argsort(floor, kind="stable").tolist():
            if len(least) >= self.steps.starts and floor[at] >= least[-1]:
                return complete
            if len(self.known) - before >= self.steps.cut or self.ended():
                return False
            found = self._try(chosen[of[at]], self._nested(chosen[of[at]], rows[at]))
            if found is not None:
                least = sorted([*least, found.cost])[: self.steps.starts]
        return complete

    def _flat(self, alternatives: Sequence[int]) -> list[_Slot]:
        return [slot for group, number in zip(self.slots, alternatives, strict=True) for slot in group[number]]

    def _nested(self, alternatives: Sequence[int], flat: Sequence[int]) -> tuple[tuple[int, ...], ...]:
        """Return options group by group."""
        rest = iter(flat)
        return tuple(
            tuple(next(rest) for _ in group[number]) for group, number in zip(self.slots, alternatives, strict=True)
        )

    def _floors(self, slots: Sequence[_Slot], picks: "NDArray[np.int64]") -> "NDArray[np.int64]":
        """Return the floor of each row of options."""
        import numpy as np

        cost = np.zeros(len(picks), dtype=np.int64)
        for s, slot in enumerate(slots):
            cost += slot.rests[picks[:, s]]
        for good, gauge in self.gauges.items():
            total = np.repeat(self.base_measures[good].reshape(1, -1), len(picks), axis=0)
            for s, slot in enumerate(slots):
                total += slot.measures[good][picks[:, s]]
            cost += gauge.floors(total)
        return cost

    # Cutting

    def _try(self, alternatives: tuple[int, ...], options: tuple[tuple[int, ...], ...]) -> Combination | None:
        """Cut one combination, with equal slots in one order."""
        options = self._ordered(alternatives, options)
        key = alternatives, options
        if key not in self.known:
            self.known[key] = self._cost(alternatives, options)
        cost = self.known[key]
        return None if cost is None else Combination(cost, alternatives, options)

    def _ordered(
        self, alternatives: Sequence[int], options: tuple[tuple[int, ...], ...]
    ) -> tuple[tuple[int, ...], ...]:
        """Return options with those of slots that are alike in ascending order."""
        found = []
        for group, number, mine in zip(self.slots, alternatives, options, strict=True):
            likes: dict[int, list[int]] = {}
            for slot, option in zip(group[number], mine, strict=True):
                likes.setdefault(slot.like, []).append(option)
            ways = {like: iter(sorted(each)) for like, each in likes.items()}
            found.append(tuple(next(ways[slot.like]) for slot in group[number]))
        return tuple(found)

    def _cost(self, alternatives: Sequence[int], options: tuple[tuple[int, ...], ...]) -> int | None:
        """Return what a combination costs; None where its parts cannot be cut."""
        counts = self._total(alternatives, options)
        cost = sum(
            int(slot.rests[option])
            for slot, option in zip(self._flat(alternatives), (o for each in options for o in each), strict=True)
        )
        for good, gauge in self.gauges.items():
            cut = gauge.fill(counts[self.spans[good]])
            if cut is None:
                return None
            cost += cut
        return cost

    def _total(self, alternatives: Sequence[int], options: tuple[tuple[int, ...], ...]) -> "NDArray[np.int64]":
        counts = self.base.copy()
        for slot, option in zip(self._flat(alternatives), (o for each in options for o in each), strict=True):
            counts += slot.counts[option]
        return counts

    # One change at a time

    def _descend(self, start: Combination, most: int) -> None:
        """Take the best change of one crate, of all that are alike, or of one group, while there is one."""
        best = start
        while len(self.known) < most and not self.ended():
            found = best
            for alternatives, options in self._changes(best):
                if len(self.known) >= most or self.ended():
                    break
                tried = self._try(alternatives, options)
                if tried is not None and tried < found:
                    found = tried
            if found == best:
                return
            best = found

    def _changes(self, base: Combination) -> Iterator[tuple[tuple[int, ...], tuple[tuple[int, ...], ...]]]:
        """Yield every combination one change away."""
        for g, (group, number) in enumerate(zip(self.slots, base.alternatives, strict=True)):
            mine = base.options[g]
            seen: set[tuple[int, int]] = set()
            likes: dict[int, list[int]] = {}
            for s, slot in enumerate(group[number]):
                likes.setdefault(slot.like, []).append(s)
            for s, slot in enumerate(group[number]):
                alike = likes[slot.like]
                if (slot.like, mine[s]) in seen:
                    continue
                seen.add((slot.like, mine[s]))
                for option in slot.order:
                    if option != mine[s]:
                        yield base.alternatives, _put(base.options, g, {s: option})
                    if len(alike) > 1 and s == alike[0] and any(mine[other] != option for other in alike):
                        yield base.alternatives, _put(base.options, g, dict.fromkeys(alike, option))
            for other, slots in enumerate(group):
                if other != number:
                    yield (
                        (*base.alternatives[:g], other, *base.alternatives[g + 1 :]),
                        (*base.options[:g], tuple(slot.order[0] for slot in slots), *base.options[g + 1 :]),
                    )

    def _plainer(self, found: Combination, each: int) -> Combination:
        """Return a combination with what the rules give for each crate where that costs no more than so much."""
        changed = ((g, s) for g, options in enumerate(found.options) for s, option in enumerate(options) if option)
        for g, s in islice(changed, _PLAINER):
            tried = self._try(found.alternatives, _put(found.options, g, {s: 0}))
            if tried is not None and tried.cost <= found.cost + each:
                found = tried
        return found

    # What was found

    def _ranked(self) -> list[Combination]:
        return sorted(Combination(cost, *key) for key, cost in self.known.items() if cost is not None)

    def _distinct(self) -> tuple[Combination, ...]:
        """Return what was found, of those that take the same parts at the same cost the first."""
        seen: set[tuple[int, bytes]] = set()
        found = []
        for each in self._ranked():
            sign = each.cost, self._total(each.alternatives, each.options).tobytes()
            if sign not in seen:
                seen.add(sign)
                found.append(each)
        return tuple(found)


def _put(options: tuple[tuple[int, ...], ...], g: int, to: dict[int, int]) -> tuple[tuple[int, ...], ...]:
    """Return options with some of one group's changed."""
    return (*options[:g], tuple(to.get(s, old) for s, old in enumerate(options[g])), *options[g + 1 :])


def _cheapest_sums(
    rows: "Sequence[NDArray[np.int64]]", likes: Sequence[int], most: int
) -> "tuple[NDArray[np.int64], bool]":
    """Return the choices, one of each row, with the least sums, and whether these are all choices.

    Of equal sums those that come first by number. Of rows that are alike only choices in ascending order count, since
    the others are the same with names changed; a like of -1 is like nothing.
    """
    import numpy as np

    sums = np.zeros(1, dtype=np.int64)
    last = {like: at for at, like in enumerate(likes) if like >= 0}
    twins: dict[int, NDArray[np.int64]] = {}  # what was picked of rows that others like them follow
    steps: list[tuple[NDArray[np.int64], NDArray[np.int64]]] = []
    complete = True
    for at, row in enumerate(rows):
        total, like = sums[:, None] + row[None, :], likes[at]
        if like in twins:
            total = np.where(np.arange(len(row))[None, :] >= twins[like][:, None], total, _FAR)
        flat = total.reshape(-1)
        possible = int((flat < _FAR).sum())
        complete &= possible <= most
        kept = np.sort(np.argsort(flat, kind="stable")[: min(possible, most)])
        before, pick = kept // len(row), kept % len(row)
        twins = {each: picked[before] for each, picked in twins.items() if last[each] > at}
        if last.get(like, at) > at:
            twins[like] = pick
        steps.append((before, pick))
        sums = flat[kept]
    # Each step only says which sum it went on from: whole rows copied at every step would be quadratic in their number.
    picks, of = np.zeros((len(sums), len(rows)), dtype=np.int64), np.arange(len(sums))
    for at in range(len(rows) - 1, -1, -1):
        before, pick = steps[at]
        picks[:, at] = pick[of]
        of = before[of]
    return picks, complete

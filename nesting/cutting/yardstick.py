"""A yardstick: what cutting some parts would cost, told in microseconds where a search would take seconds.

Two figures of every multiset of parts of one good. The *floor* is a bound that no layout costs less than: areas scaled
by dual feasible functions (Fekete and Schepers 2004, doi:10.1287/moor.1030.0079), which
:mod:`nesting.cutting.sheets.bounds` has. The *fill* is the cost of a layout that first fit finds. Both know sizes, not
names, so equal parts of other names come to the same. What is left over and worth keeping may bring back a part of its
cost.

Parts are rows of a table made once (:class:`SheetGauge`, :class:`StickGauge`), and what is wanted of each is a vector
of counts: thousands of choices differ in counts alone.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import product
from typing import TYPE_CHECKING, Final

from nesting.cutting.parts import Part, StickPart
from nesting.cutting.sheets import Sheet
from nesting.cutting.sheets.bounds import Scale, scales
from nesting.cutting.sticks import Stick

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Size = tuple[int, int, bool]
"""Length, width, and whether it may be turned; of a stick its length, 0 and False."""
Wanted = tuple[tuple[Size, int], ...]
"""Sizes in ascending order, each once, with how many are wanted."""

_ROW: Final = 1 << 15
"""A full side of a sheet, and a full sheet, in the units of scaled sizes and areas: rounded down for parts, up for
sheets, so that a bound stays one."""
_COARSE: Final = 1 << 10
"""Units of the grid in which lengths of lumber are added."""
_ROUNDED: Final = 6
"""Scaling functions at the end of :func:`nesting.cutting.sheets.bounds.scales` that round, coarse before fine."""
_FINE: Final = 1 << 12
"""The same for plain areas, which are multiplied by costs."""
_STEPS: Final = 4
"""Scaling functions tried in each direction beside the plain one."""
_MILLE: Final = 1000
_MANY: Final = 2_000
"""Parts of one good beyond which they are filled in one way instead of some twenty."""


@dataclass(frozen=True, slots=True)
class Yard:
    """What may be cut, and what a leftover is worth.

    Attributes
    ----------
    sheets : mapping of str to tuple of Sheet
        By good; a good that is left out is not measured here.
    sticks : mapping of str to tuple of Stick
        The same for lumber.
    kerfs : mapping of str to int
        What a cut through each sheet good takes; nothing where it says nothing.
    stick_kerf : int
        The same for lumber.
    keep : (int, int)
        Least length and width of a leftover worth keeping; of a stick the length.
    back : int
        Thousandths of its cost that such a leftover brings back.
    """

    sheets: Mapping[str, tuple[Sheet, ...]] = field(default_factory=dict)
    sticks: Mapping[str, tuple[Stick, ...]] = field(default_factory=dict)
    kerfs: Mapping[str, int] = field(default_factory=dict)
    stick_kerf: int = 0
    keep: tuple[int, int] = (0, 0)
    back: int = 0

    def __post_init__(self) -> None:
        if not 0 <= self.back <= _MILLE:
            raise ValueError(f"a leftover brings back from 0 to {_MILLE} thousandths of its cost, not {self.back}")

    def measures(self, good: str) -> bool:
        """Whether a good is measured here."""
        return good in self.sheets or good in self.sticks

    def by_area(self, wants: Iterable[tuple[str, Wanted]]) -> int:
        """Return what parts come to by their area or length at the cheapest rate: a figure that adds up."""
        cost = 0
        for good, sizes in wants:
            if good in self.sheets:
                rates = [(_least(sheet), sheet.length * sheet.width) for sheet in self.sheets[good]]
                need = sum(length * width * count for (length, width, _), count in sizes)
            else:
                rates = [(_least(stick), stick.length) for stick in self.sticks.get(good, ())]
                need = sum(length * count for (length, _, _), count in sizes)
            cost += min((need * price // whole for price, whole in rates), default=0)
        return cost

    def fill(self, wants: Iterable[tuple[str, Wanted]]) -> int | None:
        """Return what parts come to by first fit, cut by themselves; None where they cannot be cut."""
        import numpy as np

        cost = 0
        for good, sizes in wants:
            if self.measures(good):
                gauge = self.gauge(good, [size for size, _ in sizes])
                filled = gauge.fill(np.array([count for _, count in sizes], dtype=np.int64))
                if filled is None:
                    return None
                cost += filled
        return cost

    def gauge(self, good: str, sizes: Iterable[Size]) -> "SheetGauge | StickGauge":
        """Return the gauge of a good for parts of some sizes."""
        table = tuple(sorted(set(sizes)))
        if good in self.sheets:
            return SheetGauge(self.sheets[good], table, self.kerfs.get(good, 0), self.keep, self.back)
        return StickGauge(self.sticks[good], table, self.stick_kerf, self.keep[0], self.back)


def wanted(parts: Iterable[Part | StickPart]) -> dict[str, Wanted]:
    """Return what some parts come to, by good."""
    counts: dict[str, dict[Size, int]] = {}
    for part in parts:
        of_good = counts.setdefault(part.good, {})
        size = size_of(part)
        of_good[size] = of_good.get(size, 0) + part.count
    return {good: tuple(sorted(sizes.items())) for good, sizes in sorted(counts.items())}


def size_of(part: Part | StickPart) -> Size:
    """Return the size of a part: the longer side first where the grain lets it lie either way."""
    if isinstance(part, StickPart):
        return part.length, 0, False
    if part.grain == "any":
        short, long = sorted((part.length, part.width))
        return long, short, True
    return part.length, part.width, False


def floor(parts: Sequence[Part], sheets: Sequence[Sheet], kerf: int = 0) -> int:
    """Return a cost that no layout of these parts, all of one good, is below."""
    gauge, counts = _gauged(parts, sheets, kerf)
    return int(gauge.floors((counts @ gauge.measures).reshape(1, -1))[0])


def fill(parts: Sequence[Part], sheets: Sequence[Sheet], kerf: int = 0) -> int | None:
    """Return the cost of the layout that first fit finds; None where a part fits nowhere or sheets run out."""
    gauge, counts = _gauged(parts, sheets, kerf)
    return gauge.fill(counts)


def _gauged(parts: Sequence[Part], sheets: Sequence[Sheet], kerf: int) -> "tuple[SheetGauge, NDArray[np.int64]]":
    """Return the gauge of parts of one good, and how many there are of each size."""
    import numpy as np

    if len({part.good for part in parts}) != 1:
        raise ValueError("one call measures parts of one good")
    sizes = next(iter(wanted(parts).values()))
    gauge = SheetGauge(tuple(sheets), tuple(size for size, _ in sizes), kerf)
    return gauge, np.array([count for _, count in sizes], dtype=np.int64)


@dataclass
class SheetGauge:
    """Measures any numbers of parts of some sizes, cut from the same sheets.

    Attributes
    ----------
    sheets : tuple of Sheet
        What may be cut.
    sizes : tuple of Size
        Of parts; counts are given in this order.
    kerf : int
        What a cut takes.
    keep : (int, int)
        Least length and width of a leftover worth keeping.
    back : int
        Thousandths of its cost that it brings back.
    fills : int
        How many layouts were made so far.
    """

    sheets: tuple[Sheet, ...]
    sizes: tuple[Size, ...]
    kerf: int = 0
    keep: tuple[int, int] = (0, 0)
    back: int = 0
    fills: int = 0
    _known: dict[bytes, int | None] = field(default_factory=dict, repr=False)

    def __post_init__(self) -> None:
        # What is in store goes first among equals, then what costs the least: names decide nothing but the last ties.
        self.sheets = tuple(
            sorted(
                (sheet for sheet in self.sheets if sheet.count != 0),
                key=lambda s: (-s.usable_length * s.usable_width, -s.usable_length, s.cost, s.source, s.name),
            )
        )

    @cached_property
    def _items(self) -> "NDArray[np.int64]":
        """Length and width with kerfs, and whether turning changes anything.

        Not divided by what they have in common: what a cutting comes to must not hang on what else is in the table.
        """
        import numpy as np

        rows = [
            (length + self.kerf, width + self.kerf, int(turns and length != width))
            for length, width, turns in self.sizes
        ]
        return np.array(rows, dtype=np.int64).reshape(len(rows), 3)

    @cached_property
    def _stocks(self) -> "NDArray[np.int64]":
        """Length and width that parts fill, kerf added, and how many there are."""
        import numpy as np

        rows = [
            (
                sheet.usable_length + self.kerf,
                sheet.usable_width + self.kerf,
                sheet.count if sheet.count is not None else 1 << 40,
            )
            for sheet in self.sheets
        ]
        return np.array(rows, dtype=np.int64).reshape(len(rows), 3)

    @cached_property
    def misfits(self) -> "NDArray[np.int64]":
        """1 for each size that fits on no sheet, else 0."""
        import numpy as np

        fits = [
            any((a <= x and b <= y) or (turns and b <= x and a <= y) for x, y, _ in self._stocks)
            for a, b, turns in self._items
        ]
        return np.array([not each for each in fits], dtype=np.int64)

    @cached_property
    def _orders(self) -> "tuple[NDArray[np.int64], ...]":
        """Orders in which parts are taken: by area, longer side, shorter side, perimeter; what cannot turn first."""
        import numpy as np

        rows = [tuple(map(int, row)) for row in self._items]
        keys = (
            [(-a * b, -max(a, b), t) for a, b, t in rows],
            [(-max(a, b), -min(a, b), t) for a, b, t in rows],
            [(-min(a, b), -max(a, b), t) for a, b, t in rows],
            [(-a - b, -max(a, b), t) for a, b, t in rows],
            [(t, -a * b, -max(a, b)) for a, b, t in rows],
        )
        found = dict.fromkeys(tuple(sorted(range(len(rows)), key=key.__getitem__)) for key in keys)
        return tuple(np.array(order, dtype=np.int64) for order in found)

    @cached_property
    def _preferences(self) -> "tuple[NDArray[np.int64], ...]":
        """Orders in which stocks are opened: cheapest by area, in store first, largest first, smallest first."""
        import numpy as np

        stocks = range(len(self.sheets))
        rates = [sheet.cost / (sheet.usable_length * sheet.usable_width) for sheet in self.sheets]
        keys: tuple[list[tuple[float, ...]], ...] = (
            [(rates[s], s) for s in stocks],
            [(self.sheets[s].source == "buy", rates[s], s) for s in stocks],
            [(s,) for s in stocks],
            [(-s,) for s in stocks],
        )
        found = dict.fromkeys(tuple(sorted(stocks, key=key.__getitem__)) for key in keys)
        return tuple(np.array(preference, dtype=np.int64) for preference in found)

    def fill(self, counts: "NDArray[np.int64]") -> int | None:
        """Return the cost of the best layout that first fit finds, less what its leftovers bring back.

        None where a part fits on no sheet, or limited sheets run out.
        """
        key = counts.tobytes()
        if key not in self._known:
            self._known[key] = self._fill(counts)
        return self._known[key]

    def _fill(self, counts: "NDArray[np.int64]") -> int | None:
        import numpy as np

        from nesting.cutting.first_fit import first_fit

        total = int(counts.sum())
        if not total:
            return 0
        self.fills += 1
        spots = np.empty((2 * total + 2, 3), dtype=np.int64)
        used = np.zeros(len(self.sheets), dtype=np.int64)
        kept = np.zeros(len(self.sheets), dtype=np.int64)
        short, long = sorted(self.keep)
        best: int | None = None
        ways = list(product(self._preferences, self._orders))
        # Of very many parts the order matters little, and each filling takes long.
        for preference, order in ways if total <= _MANY else ways[:1]:
            if first_fit(total)(
                self._items, order, counts, self._stocks, preference, spots, used, kept,
                self.kerf, max(long, 1), max(short, 1),
            ):  # fmt: skip
                cost = self._cost(used.tolist(), kept.tolist())
                best = cost if best is None else min(best, cost)
        return best

    def _cost(self, used: Sequence[int], kept: Sequence[int]) -> int:
        """Return what sheets cost, less what their leftovers bring back."""
        cost = 0
        for sheet, count, left in zip(self.sheets, used, kept, strict=True):
            if count:
                paid = sheet.purchase(count)[0]
                cost += paid - paid * left * self.back // (count * sheet.length * sheet.width * _MILLE)
        return cost

    @cached_property
    def measures(self) -> "NDArray[np.int64]":
        """Scaled areas of one part of each size, a row a size: what is added up before a floor is asked for.

        The last column is the plain area, in :data:`_FINE` of the largest sheet.
        """
        import numpy as np

        area = np.array([length * width * _FINE // self._largest for length, width, _ in self.sizes], dtype=np.int64)
        columns = [scaled for scaled, _ in self._scaled]
        return np.ascontiguousarray(np.stack([*columns, area], axis=1))

    def floors(self, measured: "NDArray[np.int64]", *, whole: bool = True) -> "NDArray[np.int64]":
        """Return a bound for each row of added measures: no layout of those parts costs less.

        Parameters
        ----------
        measured : int64 array, rows x measures
            Counts times :attr:`measures`.
        whole : bool
            Whether sheets are counted whole; parts of sheets make a figure that adds up over choices.
        """
        import numpy as np

        bought = np.zeros(len(measured), dtype=np.int64)
        if not self.sheets:
            return bought
        for column, (_, steps) in enumerate(self._scaled):
            np.maximum(bought, steps(measured[:, column], whole=whole), out=bought)
        if not self.back:
            return bought
        # A leftover is at most what its sheet holds beyond the parts, so the parts' own area is never brought back.
        net = measured[:, -1] * self._rate // _FINE
        return np.asarray((bought * (_MILLE - self.back) + net * self.back) // _MILLE)

    @cached_property
    def _largest(self) -> int:
        return max((sheet.length * sheet.width for sheet in self.sheets), default=1)

    @cached_property
    def _rate(self) -> int:
        """The least that the area of the largest sheet costs."""
        return min(_least(sheet) * self._largest // (sheet.length * sheet.width) for sheet in self.sheets)

    @cached_property
    def _scaled(self) -> "list[tuple[NDArray[np.int64], _Steps]]":
        """Scaled areas of the parts by each pair of functions, with the cost of any such area."""
        import numpy as np

        if not self.sheets:
            return []
        length, width = int(self._stocks[:, 0].max()), int(self._stocks[:, 1].max())
        a, b, turns = self._items[:, 0], self._items[:, 1], self._items[:, 2].astype(bool)
        straight = (a <= length) & (b <= width)
        turned = turns & (b <= length) & (a <= width)
        found: dict[bytes, tuple[NDArray[np.int64], _Steps]] = {}
        along = _few(length, [*a[straight].tolist(), *b[turned].tolist()])
        across = _few(width, [*b[straight].tolist(), *a[turned].tolist()])
        for f, g in product(along, across):
            one = np.where(straight, _shares(f, a, length) * _shares(g, b, width), _ROW * _ROW)
            other = np.where(turned, _shares(f, b, length) * _shares(g, a, width), _ROW * _ROW)
            # A part that fits nowhere counts as a full sheet: it is refused when it is laid.
            scaled = np.minimum(one, other) // _ROW
            holds = [_share_up(f, int(x), length) * _share_up(g, int(y), width) for x, y, _ in self._stocks]
            holds = [-(-each // _ROW) for each in holds]
            if scaled.any():
                found.setdefault(scaled.tobytes() + bytes(str(holds), "ascii"), (scaled, _Steps(self.sheets, holds)))
        return list(found.values())


def _shares(scale: Scale, sizes: "NDArray[np.int64]", limit: int) -> "NDArray[np.int64]":
    """Return scaled sizes by the scaled limit, rounded down; what is too long counts whole."""
    import numpy as np

    whole = scale(limit)
    known = {size: scale(size) * _ROW // whole for size in set(sizes.tolist()) if size <= limit}
    return np.array([known.get(size, _ROW) for size in sizes.tolist()], dtype=np.int64)


def _share_up(scale: Scale, size: int, limit: int) -> int:
    """Return a scaled size by the scaled limit, rounded up."""
    return -(-scale(min(size, limit)) * _ROW // scale(limit))


def _few(limit: int, sizes: Sequence[int]) -> list[Scale]:
    """Return a few scaling functions: the plain one, steps for the largest sizes, and the first roundings."""
    made = scales(limit, sizes)
    stepped = made[1:-_ROUNDED]
    return [made[0], *stepped[:_STEPS], *made[-_ROUNDED:][:2]]


def _least(sheet: Sheet | Stick) -> int:
    """Return the least that one costs at any break."""
    return min((sheet.cost, *(each for _, each in sheet.breaks)))


class _Steps:
    """The least cost of sheets that together hold some scaled area."""

    def __init__(self, sheets: Sequence[Sheet], holds: Sequence[int]) -> None:
        self.sheets = sheets
        self.holds = holds
        usable = [s for s in range(len(sheets)) if holds[s] > 0]
        self.order = sorted(usable, key=lambda s: (_least(sheets[s]) * _ROW // holds[s], -holds[s], s))

    def __call__(self, areas: "NDArray[np.int64]", *, whole: bool) -> "NDArray[np.int64]":
        """Return it for many areas."""
        import numpy as np

        if whole and len(self.order) == 1 and self.sheets[self.order[0]].count is None:
            sheet, holds = self.sheets[self.order[0]], self.holds[self.order[0]]
            counts, back = np.unique(-(-areas // holds), return_inverse=True)
            costs = [sheet.purchase(int(count))[0] for count in counts]
            return np.array(costs, dtype=np.int64)[back.reshape(-1)]
        cost = np.zeros(len(areas), dtype=np.int64)
        missing = areas
        for s in self.order:
            sheet, holds = self.sheets[s], self.holds[s]
            taken = missing if sheet.count is None else np.minimum(missing, sheet.count * holds)
            cost += taken * _least(sheet) // holds
            missing = missing - taken
        return cost


@dataclass
class StickGauge:
    """Measures any numbers of sticks of some lengths, cut from the same lumber; see :class:`SheetGauge`."""

    sticks: tuple[Stick, ...]
    sizes: tuple[Size, ...]
    kerf: int = 0
    keep: int = 0
    back: int = 0
    fills: int = 0
    _known: dict[bytes, int | None] = field(default_factory=dict, repr=False)

    def __post_init__(self) -> None:
        self.sticks = tuple(
            sorted(
                (stick for stick in self.sticks if stick.count != 0),
                key=lambda s: (-s.usable, s.cost, s.source, s.name),
            )
        )

    def fill(self, counts: "NDArray[np.int64]") -> int | None:
        """Return the cost of the best plan that first fit finds, less what leftovers bring back; None where none is."""
        key = counts.tobytes()
        if key not in self._known:
            self._known[key] = self._fill(counts.tolist())
        return self._known[key]

    def _fill(self, counts: Sequence[int]) -> int | None:
        if not any(counts):
            return 0
        self.fills += 1
        lengths = sorted(
            ((length + self.kerf, count) for (length, _, _), count in zip(self.sizes, counts, strict=True) if count),
            reverse=True,
        )
        stores = [s for s, stick in enumerate(self.sticks) if stick.source != "buy"]
        buys = [s for s, stick in enumerate(self.sticks) if stick.source == "buy"]
        choices = dict.fromkeys([(*stores, *buys), *((*stores, s) for s in buys), *((s,) for s in buys)])
        costs = [cost for choice in choices if (cost := self._cut(lengths, choice)) is not None]
        return min(costs, default=None)

    def _cut(self, lengths: Sequence[tuple[int, int]], choice: Sequence[int]) -> int | None:
        """Cut stick after stick, each time from the stock of which the filled length costs the least."""
        left = dict(lengths)
        used = dict.fromkeys(choice, 0)
        kept = dict.fromkeys(choice, 0)
        while left:
            best = min((each for s in choice if (each := self._one(s, used[s], left))), default=None)
            if best is None:
                return None
            _, spare, s, pattern = best
            repeat = min(left[size] // many for size, many in pattern)
            limit = self.sticks[s].count
            repeat = repeat if limit is None else min(repeat, limit - used[s])
            used[s] += repeat
            kept[s] += repeat * (spare - self.kerf) if spare - self.kerf >= max(self.keep, 1) else 0
            for size, many in pattern:
                left[size] -= many * repeat
            left = {size: count for size, count in left.items() if count}
        cost = 0
        for s, count in used.items():
            if count:
                paid = self.sticks[s].purchase(count)[0]
                cost += paid - paid * kept[s] * self.back // (count * self.sticks[s].length * _MILLE)
        return cost

    def _one(
        self, s: int, used: int, left: Mapping[int, int]
    ) -> tuple[int, int, int, tuple[tuple[int, int], ...]] | None:
        """Fill one stick, longest first: cost of its filled length, what is spare, which, and with what."""
        stick = self.sticks[s]
        if stick.count is not None and used >= stick.count:
            return None
        spare = stick.usable + self.kerf
        pattern = []
        for size, count in left.items():
            if size <= spare:
                many = min(count, spare // size)
                pattern.append((size, many))
                spare -= many * size
        if not pattern:
            return None
        return _rate(stick, stick.usable + self.kerf - spare), spare, s, tuple(pattern)

    @cached_property
    def misfits(self) -> "NDArray[np.int64]":
        """1 for each length that no stick holds, else 0."""
        import numpy as np

        longest = max((stick.usable for stick in self.sticks), default=0)
        return np.array([length > longest for length, _, _ in self.sizes], dtype=np.int64)

    @cached_property
    def measures(self) -> "NDArray[np.int64]":
        """Length of one part of each size, in units that are multiplied by costs; a column like those of sheets."""
        import numpy as np

        return np.array([[length // _COARSE] for length, _, _ in self.sizes], dtype=np.int64)

    def floors(self, measured: "NDArray[np.int64]", *, whole: bool = True) -> "NDArray[np.int64]":
        """Return a bound for each row of added measures: the length at the cheapest rate, however it is counted."""
        import numpy as np

        del whole
        missing = measured[:, 0]
        cost = np.zeros(len(measured), dtype=np.int64)
        for stick in sorted(self.sticks, key=lambda s: (_rate(s, s.length), -s.length)):
            room = -(-stick.length // _COARSE)
            taken = missing if stick.count is None else np.minimum(missing, stick.count * room)
            cost += taken * _least(stick) // room
            missing = missing - taken
        return cost


def _rate(stick: Stick, length: int) -> int:
    """Return what a length on a stick costs, in whole numbers fine enough to compare."""
    return _least(stick) * (1 << 40) // length

"""What lies between an outer case and its travel frames: foam on all six sides, spacers, fillers.

Foam bears where a frame is strong: under and over its rails, at its stiles, and on the ends of its slats, never on the
film over the opening. It keeps clear of the lumber behind seams. A frame smaller than its neighbours is filled up to
their size with strips of rigid board, so that all stand snug.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from nesting.crates.bench import Axis, Bench, extent
from nesting.crates.cases.bed import Bed
from nesting.crates.cases.case_shell import Room
from nesting.crates.cases.pad_plan import blocks, strips
from nesting.crates.cases.pads import SHORTEST, least_pad, two_places
from nesting.crates.gear.members import part_of
from nesting.crates.model import Box
from nesting.shop.shop import Shop


@dataclass(frozen=True, slots=True)
class Ride:
    """A travel frame where it stands in its case.

    Attributes
    ----------
    crate : str
        Its name.
    box : Box
        Its outside, in the case's coordinates.
    back, front : tuple of Box
        Its slats, in the case's coordinates.
    """

    crate: str
    box: Box
    back: tuple[Box, ...]
    front: tuple[Box, ...]


def crossing(one: Box, other: Box) -> tuple[int, int, int, int] | None:
    """Return where two slats cross, seen from the front: x, y, width, height; None where they do not."""
    x, y = max(one.x, other.x), max(one.y, other.y)
    right, top = min(one.x + one.dx, other.x + other.dx), min(one.y + one.dy, other.y + other.dy)
    return (x, y, right - x, top - y) if right > x and top > y else None


def lying(slat: Box) -> tuple[int, int, int]:
    """Return where a slat lies across its run, how broad it is, and how long."""
    return (slat.y, slat.dy, slat.dx) if slat.dx >= slat.dy else (slat.x, slat.dx, slat.dy)


@dataclass(frozen=True, slots=True)
class _OnSlat:
    """How large the pads on a slat are planned, and from where to where across it they may lie."""

    wide: int
    tall: int
    start: int
    end: int


@dataclass(slots=True)
class CaseCushion:
    """Foam, spacers and fillers on the bench.

    Attributes
    ----------
    bench : Bench
        Where they are put.
    room : Room
        Inside of the strand board.
    rides : sequence of Ride
        The frames, from the back to the front.
    beds : tuple of Bed
        What each pad is made of: at the ends, at base and top, at back and front.
    wish : tuple of int
        Bearing area that is wanted of each side, in the same order.
    cut : bool
        Whether pads are cut smaller than strips and slats where that is too much.
    lumber : sequence of Box
        What foam must keep clear of.
    over : sequence of int
        Middles of the two skids, over which the base is borne best; empty without skids.
    areas : list of (str, int)
        Bearing area for each way down.
    smallest : dict of str to int
        Area of the smallest pad across each axis.
    run : int
        Length of all edges that are glued down.
    """

    bench: Bench
    room: Room
    rides: Sequence[Ride]
    beds: tuple[Bed, Bed, Bed]
    wish: tuple[int, int, int]
    cut: bool
    lumber: Sequence[Box]
    over: Sequence[int] = ()
    areas: list[tuple[str, int]] = field(default_factory=list)
    smallest: dict[Axis, int] = field(default_factory=dict)
    run: int = 0

    @property
    def _shop(self) -> Shop:
        return self.bench.shop

    def _bed(self, normal: Axis) -> Bed:
        """Return what the pads across an axis are made of."""
        return self.beds["xyz".index(normal)]

    def build(self) -> None:
        """Put everything down."""
        self._strips("base", "x")
        columns = self._strips("top", "x")
        self._strips("left", "y")
        rows = self._strips("right", "y")
        self._faces()
        self._spacers()
        self._fillers(columns, rows)

    @property
    def _pack(self) -> Box:
        """Extremes of all frames together."""
        boxes = [ride.box for ride in self.rides]
        first = boxes[0]
        wide, high = max(box.dx for box in boxes), max(box.dy for box in boxes)
        return Box(first.x, first.y, first.z, wide, high, boxes[-1].z + boxes[-1].dz - first.z)

    def _strips(self, side: str, across: Axis) -> list[tuple[int, int]]:
        """Lay two strips right across all frames, towards the ends of a side; return their places along it.

        Base and top carry the lower and upper rails, left and right the stiles.
        """
        first = self.rides[0].box
        start = {"x": first.x, "y": first.y}[across]
        reach = min(extent(ride.box, across) for ride in self.rides)
        normal: Axis = "y" if across == "x" else "x"
        bed = self._bed(normal)
        plan = strips(
            reach,
            [ride.box.dz for ride in self.rides],
            self.wish["xyz".index(normal)],
            least_pad(bed.foam, self._shop),
            cut=self.cut,
            sizes=self._shop.units,
        )
        wide = plan.wide
        z, end = first.z, self.rides[-1].box.z + self.rides[-1].box.dz
        at = self._against(side)

        def strip(place: int, wide: int, z: int, end: int) -> Box:
            if across == "x":
                return Box(place, at, z, wide, bed.depth, end - z)
            return Box(at, place, z, bed.depth, wide, end - z)

        inset = self._shop.whole(min(reach // 8, reach // 2 - wide))
        low, high = start + inset, start + reach - inset - wide
        if across == "x" and self.over:
            low, high = (middle - self._shop.whole(wide // 2) for middle in self.over)
        band = strip(start, reach, z, end)
        # Lumber that runs the same way as the frames stand parts the strips; other lumber pushes them aside.
        within = [one for one in self.lumber if one.meets(band)]
        parting = [one for one in within if extent(one, across) > reach // 2]
        aside = [one for one in within if one not in parting]
        taken = [(one.x, one.x + one.dx) if across == "x" else (one.y, one.y + one.dy) for one in aside]
        runs = _gaps(z, end, [(one.z, one.z + one.dz) for one in parting], self._shop)
        if any(run < ride.box.dz for run, ride in zip(plan.runs, self.rides, strict=True)):
            runs = self._runs(plan.runs, runs)
        laid = two_places(start, start + reach, wide, taken, low, high, self._shop.units)
        for place, broad in laid:
            for first_z, last_z in runs:
                self._pad(f"pad-{side}", strip(place, broad, first_z, last_z), normal, far=side in ("top", "right"))
        if side in ("base", "left"):
            name = "base and top" if side == "base" else "ends"
            deep = sum(
                max(0, min(last_z, ride.box.z + ride.box.dz) - max(first_z, ride.box.z))
                for ride in self.rides
                for first_z, last_z in runs
            )
            self.areas.append((name, max(1, sum(broad for _, broad in laid) * deep)))
        return laid

    def _runs(self, wanted: Sequence[int], free: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
        """Return where a pad lies across each frame: in its middle, or as near to it as lumber leaves room."""
        found, shortest = [], self._shop.own(SHORTEST)
        for ride, run in zip(self.rides, wanted, strict=True):
            low, high = ride.box.z, ride.box.z + ride.box.dz
            wish = low + self._shop.whole((ride.box.dz - run) // 2)
            within = [(max(low, a), min(high, b)) for a, b in free if min(high, b) - max(low, a) >= shortest]
            places = [(-min(run, b - a), abs(min(max(wish, a), b - min(run, b - a)) - wish), a, b) for a, b in within]
            if places:
                narrow, _, a, b = min(places)
                place = min(max(wish, a), b + narrow)
                found.append((place, place - narrow))
        return found

    def _against(self, side: str) -> int:
        """Return where the foam of a side begins: on the strand board."""
        r = self.room
        return {
            "base": r.y,
            "top": r.y + r.height - self._bed("y").depth,
            "left": r.x,
            "right": r.x + r.width - self._bed("x").depth,
        }[side]

    def _taken(self, band: Box, along: Axis) -> list[tuple[int, int]]:
        """Return the stretches of a band that lumber takes."""
        within = (one for one in self.lumber if one.meets(band))
        return [(one.x, one.x + one.dx) if along == "x" else (one.y, one.y + one.dy) for one in within]

    def _pad(self, name: str, box: Box, normal: Axis, *, far: bool) -> None:
        """Put down a pad, sheet on sheet from the strand board; on the far side of the case the other way round."""
        bed, at = self._bed(normal), 0
        for sheet in reversed(bed.sheets) if far else bed.sheets:
            shim = sheet in bed.shims
            self.bench.panel(
                name.replace("pad", "shim") if shim else name,
                sheet.good,
                part_of(box, normal, at, sheet.thickness),
                "backing block" if shim else "cushion",
                flat=normal,
            )
            at += sheet.thickness
        a, b = sorted((box.dx, box.dy, box.dz))[1:]
        self.run += 2 * (a + b) * len(bed.sheets)
        area = box.dx * box.dy * box.dz // bed.depth
        self.smallest[normal] = min(area, self.smallest.get(normal, area))

    def _faces(self) -> None:
        """Lay blocks behind the back slats of the first frame and before the front slats of the last, at their ends."""
        r = self.room
        for name, slats, z in (
            ("pad-back", self.rides[0].back, r.z),
            ("pad-front", self.rides[-1].front, r.z + r.depth - self._bed("z").depth),
        ):
            lie = [lying(slat) for slat in slats]
            least = least_pad(self._bed("z").foam, self._shop)
            plan = blocks(lie, self.wish[2], least, cut=self.cut, sizes=self._shop.units)
            ends = {min(lie)[0], max(lie)[0]}
            area = 0
            for slat, (at, _, _), wide, tall in zip(slats, lie, plan.wide, plan.tall, strict=True):
                if not plan.bare or at in ends:
                    area += self._on_slat(name, slat, z, self._room_for(slat, slats, (wide, tall)))
            if name == "pad-back":
                self.areas.append(("faces", max(1, area)))

    def _on_slat(self, name: str, slat: Box, z: int, plan: "_OnSlat") -> int:
        """Lay a block at either end of a slat; return their bearing area."""
        along: Axis = "x" if slat.dx >= slat.dy else "y"
        across: Axis = "y" if along == "x" else "x"
        edge, broad, length = lying(slat)
        start = slat.x if along == "x" else slat.y
        deep, wide = self._bed("z").depth, plan.wide

        def boxed(place: int, run: int, low: int, tall: int) -> Box:
            if along == "x":
                return Box(place, low, z, run, tall, deep)
            return Box(low, place, z, tall, run, deep)

        band = boxed(start, length, edge, broad)
        best: tuple[int, list[tuple[int, int]], int, int] = (0, [], edge, broad)
        for low, high in self._rows_on(band, across, plan):
            taken = self._taken(boxed(start, length, low, high), along)
            laid = two_places(start, start + length, wide, taken, start, start + length - wide, self._shop.units)
            bears = min(low + high, edge + broad) - max(low, edge)
            area = sum(run for _, run in laid) * bears
            if area > best[0]:
                best = (area, laid, low, high)
            if best[0] >= 2 * wide * min(plan.tall, broad):
                break
        area, laid, low, tall = best
        for place, run in laid:
            self._pad(name, boxed(place, run, low, tall), "z", far=name == "pad-front")
        return area

    def _room_for(self, slat: Box, slats: Sequence[Box], planned: tuple[int, int]) -> "_OnSlat":
        """Return what is planned for a slat and where it may lie: within the pack, half-way to the next slats."""
        pack, level = self._pack, slat.dx >= slat.dy
        edge, broad, _ = lying(slat)
        start, stop = (pack.y, pack.y + pack.dy) if level else (pack.x, pack.x + pack.dx)
        others = [(at, at + wide) for at, wide, _ in map(lying, slats)]
        shop = self._shop
        below = [shop.whole_up(-(-(high + edge) // 2)) for _, high in others if high <= edge]
        above = [shop.whole((edge + broad + low) // 2) for low, _ in others if low >= edge + broad]
        return _OnSlat(*planned, max([start, *below]), min([stop, *above]))

    def _rows_on(self, band: Box, across: Axis, plan: "_OnSlat") -> list[tuple[int, int]]:
        """Return where a pad may lie across a slat: start and width, the best first.

        As planned, wider than the slat where that keeps the foam from buckling (it bears on the slat only); as wide as
        the slat; or beside lumber that runs along the slat.
        """
        edge, broad = (band.y, band.dy) if across == "y" else (band.x, band.dx)
        tall = min(plan.tall, plan.end - plan.start)
        middle = edge + self._shop.whole((broad - tall) // 2)
        rows = [(max(plan.start, min(middle, plan.end - tall)), tall), (edge, broad)]
        gaps = _gaps(edge, edge + broad, self._taken(band, across), self._shop)
        return rows + [(low, high - low) for low, high in gaps]

    def _spacers(self) -> None:
        """Stand strips between neighbouring frames, across the ends of their slats.

        Where one of two neighbours lies on its side, their slats cross: squares stand at the crossings.
        """
        thick = self._shop.good(self._shop.case.spacer_good).thickness
        for one, other in pairwise(self.rides):
            wide = min(one.box.dx, other.box.dx)
            high = min(one.box.dy, other.box.dy)
            x, y, z = one.box.x, one.box.y, one.box.z + one.box.dz
            level = [all(slat.dx >= slat.dy for slat in slats) for slats in (one.front, other.back)]
            if level[0] != level[1]:
                self._crossings(one, other, z, thick)
                continue
            strip = min(self._shop.case.spacer_width, self._shop.whole((wide if level[0] else high) // 2))
            for at in (0, (wide if level[0] else high) - strip):
                if level[0]:
                    self._long_strip("spacer", Box(x + at, y, z, strip, high, thick), "y")
                else:
                    self._long_strip("spacer", Box(x, y + at, z, wide, strip, thick), "x")

    def _crossings(self, one: Ride, other: Ride, z: int, thick: int) -> None:
        """Put a square wherever a front slat of one frame crosses a back slat of the next."""
        good = self._shop.case.spacer_good
        for slat in one.front:
            for across in other.back:
                if (found := crossing(slat, across)) is not None:
                    x, y, wide, high = found
                    square = Box(x, y, z, wide, high, thick)
                    self.bench.panel("spacer-square", good, square, "spacer", flat="z")

    def _long_strip(self, name: str, box: Box, along: Axis) -> None:
        """Put down a strip of spacer, in several lengths where a sheet is too short."""
        good = self._shop.good(self._shop.case.spacer_good)
        longest = max(size.length for size in good.sizes) - self._shop.saw.trim_left - self._shop.saw.trim_right
        length = extent(box, along)
        count = -(-length // longest)
        for k in range(count):
            a, b = self._shop.whole(length * k // count), self._shop.whole(length * (k + 1) // count)
            self.bench.panel(name, good.good, part_of(box, along, a, b - a), "spacer", flat="z", along=along)

    def _fillers(self, columns: Sequence[tuple[int, int]], rows: Sequence[tuple[int, int]]) -> None:
        """Fill up smaller frames to the size of the largest, over and beside them, in line with the foam."""
        shop = self._shop
        board = shop.good(shop.case.spacer_good)
        top = max(ride.box.y + ride.box.dy for ride in self.rides)
        right = max(ride.box.x + ride.box.dx for ride in self.rides)
        for ride in self.rides:
            box = ride.box
            sheets = max(1, min(3, box.dz // board.thickness))
            z = box.z + shop.whole((box.dz - sheets * board.thickness) // 2)
            for sheet in range(sheets):
                at = z + sheet * board.thickness
                if top - box.y - box.dy >= shop.carton.fill_from:
                    for x, wide in columns:
                        over = Box(x, box.y + box.dy, at, wide, top - box.y - box.dy, board.thickness)
                        self.bench.panel("filler-top", board.good, over, "spacer", flat="z")
                if right - box.x - box.dx >= shop.carton.fill_from:
                    for y, high in rows:
                        beside = Box(box.x + box.dx, y, at, right - box.x - box.dx, high, board.thickness)
                        self.bench.panel("filler-side", board.good, beside, "spacer", flat="z")


def _gaps(start: int, end: int, taken: Sequence[tuple[int, int]], shop: Shop) -> list[tuple[int, int]]:
    """Return the stretches between what is taken that have room for a pad."""
    runs, at = [], start
    for low, high in [*sorted(taken), (end, end)]:
        if min(low, end) - at >= shop.own(SHORTEST):
            runs.append((at, min(low, end)))
        at = max(at, high)
    return runs

"""Bolts of a case: which length fits, what they go through, and where those of skids and outriggers go.

Distances are of the National Design Specification, from memory: 1.5 diameters from an edge, 4 from an end and from
bolt to bolt. The hole is 1/16 in over the bolt (NDS as a building handbook tells it), or 1 mm (EN 1995-1-1, 10.4.3,
from memory).
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from nesting.advice.bolts import EDGE, END
from nesting.base.measure import INCH, MM, UnitSystem
from nesting.base.own_length import OwnLength
from nesting.crates.bench import Bench
from nesting.crates.cases.case_shell import Room
from nesting.crates.gear.members import Section
from nesting.crates.gear.skids import Skids, lay_skids
from nesting.crates.model import Bolt, Box, Placed
from nesting.shop.goods import Good
from nesting.shop.shop import Shop

Point = tuple[int, int, int]
_NUT = OwnLength(INCH // 2, 13 * MM)
"""Room along a 3/8 bolt for its washer, its nut and a thread or two beyond it (common practice, no source)."""
_BORE = OwnLength(7 * INCH // 8, 22 * MM)
"""Least depth of the bore that hides nut and washer."""
_LEFT = OwnLength(5 * INCH // 8, 16 * MM)
"""Least wood between a bore and the side that the bolt comes from, in the last part."""
_STEP = OwnLength(INCH // 8, 2 * MM)
_HEAD = OwnLength(INCH // 4, 6 * MM)
"""Height of a carriage bolt's head."""
_LAG = OwnLength(3 * INCH // 2, 38 * MM)
"""Least lumber that a lag screw needs (TM 38-260, 8-9, allows it for nothing else)."""
_SHIFT, _MOVES = OwnLength(INCH // 4, 6 * MM), 24
"""By how much, and how often at the most, skids are moved aside to give every piece of them its bolts."""
_ACROSS = OwnLength(3 * INCH // 8, 10 * MM)
"""Thickness of a bolt through a skid."""
BORE_WIDE = OwnLength(9 * INCH // 8, 32 * MM)
"""Across the bore: a washer of 1 in, or of 30 mm, and a socket go in."""
_OVER = OwnLength(INCH // 16, MM)
_BESIDE = OwnLength(INCH // 16, 2 * MM)
"""Of a hole over its bolt, and of the room for a head over the head."""
_INSET = OwnLength(6 * INCH, 150 * MM)
"""Of a bolt across a skid from its end."""


def edge_of(bolt: Good) -> int:
    """Return the least distance of a bolt from the edge of lumber."""
    return round(bolt.diameter_in * INCH * EDGE)


def end_of(bolt: Good) -> int:
    """Return the least distance of a bolt from the end of lumber, and from the next bolt along the grain."""
    return round(bolt.diameter_in * INCH * END)


def hole_of(bolt: Good, sizes: UnitSystem = "inch") -> int:
    """Return the drill for a bolt."""
    return round(bolt.diameter_in * INCH) + _OVER.of(sizes)


def kinds(name: str, shop: Shop) -> tuple[Good, ...]:
    """Return the lengths of a bolt that the shop stocks, shortest first; none where it stocks no such bolt."""
    return shop.lengths.get(name.rsplit("x", 1)[0], ())


def sunk(name: str, through: int, last: int, shop: Shop) -> tuple[Good, int] | None:
    """Choose the length of a bolt whose nut is sunk in the far side, and how deep its bore goes.

    Parameters
    ----------
    name : str
        Any length of it.
    through : int
        All the wood on its way.
    last : int
        The part with the bore, along the bolt.

    Returns
    -------
    tuple or None
        The shallowest bore; None where no length ends in the wood with enough of it left.
    """
    fits = []
    least, nut, left, step = (shop.own(each) for each in (_BORE, _NUT, _LEFT, _STEP))
    for bolt in kinds(name, shop):
        bore = max(least, -(-(through - bolt.breadth + nut) // step) * step)
        if bolt.breadth <= through and last - bore >= left:
            fits.append((bore, bolt.breadth, bolt.good))
    if not fits:
        return None
    bore, _, good = min(fits)
    return shop.good(good), bore


def pierced(placed: Iterable[Placed], at: Point, way: Point, length: int) -> tuple[str, ...]:
    """Return the parts on the line from a point, in its order: where two of them meet, the one that lies beyond."""
    axis = next(i for i in range(3) if way[i])
    start, end = sorted((at[axis], at[axis] + way[axis] * length))
    found = []
    for each in placed:
        box = each.box
        low, size = (box.x, box.y, box.z), (box.dx, box.dy, box.dz)
        if all(low[i] <= at[i] < low[i] + size[i] for i in range(3) if i != axis) and (
            low[axis] < end and start < low[axis] + size[axis]
        ):
            found.append((low[axis] * way[axis], each.part))
    return tuple(part for _, part in sorted(found))


@dataclass(frozen=True, slots=True)
class Spot:
    """One bolt of a skid, as it is measured on the case.

    Attributes
    ----------
    skid : int
        0 for the left one.
    x : int
        From the left side of the case.
    deep : int
        From its front or back face.
    front : bool
        Which of the two.
    post : bool
        Whether it goes through the corner post instead of the rail.
    """

    skid: int
    x: int
    deep: int
    front: bool
    post: bool


@dataclass(slots=True)
class Runners:
    """The skids of a case on the bench, with outriggers and bolts.

    Attributes
    ----------
    bench : Bench
        Where they are put.
    skids : Skids
        What was planned.
    room : Room
        Inside of the strand board.
    section : Section
        Of the lumber along the edges.
    board : int
        Thickness of the strand board.
    spots : list of Spot
        Where bolts go; empty where none fits, and screws have to hold.
    lags : int
        Lag screws that hold the outriggers, where no bolt fits.
    glued : int
        What the lamination of skids glues.
    """

    bench: Bench
    skids: Skids
    room: Room
    section: Section
    board: int
    spots: list[Spot]
    lags: int = 0
    glued: int = 0

    @property
    def _shop(self) -> Shop:
        return self.bench.shop

    @property
    def _base(self) -> Box:
        """Outside of the strand board, seen from below."""
        t, r = self.board, self.room
        return Box(r.x - t, r.y - t, r.z - t, r.width + 2 * t, r.height + 2 * t, r.depth + 2 * t)

    def build(self) -> None:
        """Put skids, outriggers and bolts on the bench."""
        base, reach = self._base, reach_of(self.section, self.board, self._shop)
        skids = replace(self.skids, over=max(0, self.skids.over - reach))
        lumber = lay_skids(self.bench, skids, base.x, base.z - reach, base.dx, base.dz + 2 * reach)
        self.glued = lumber.glued
        self._to_rails()
        self._to_skids()

    def planned(self) -> int:
        """Return how many bolts would find a place, and put none."""
        self._to_rails(put=False)
        found = len(self.spots)
        self.spots.clear()
        return found

    def _to_rails(self, *, put: bool = True) -> None:
        """Bolt every ply of a skid to the front and the back rail; to a corner post where an upright is in the way."""
        for skid, ply, front in (
            (skid, ply, front) for skid in (0, 1) for ply in range(self.skids.plies) for front in (False, True)
        ):
            for spot, size in self._places(skid, ply, front=front):
                if self._free(spot, size):
                    self.spots.append(spot)
                    if put:
                        self._put(spot, size)
                    break

    def _places(self, skid: int, ply: int, *, front: bool) -> Iterator[tuple[Spot, tuple[Good, int]]]:
        """Yield where a ply's bolt may go, the best first."""
        shop, section, skids = self._shop, self.section, self.skids
        name, snap = shop.gear.skid_bolt, shop.joinery.snap
        thick = skids.section.thick
        through = self.board + skids.height
        rail = sunk(name, section.breadth + through, skids.height, shop)
        post = sunk(name, section.thick + through, skids.height, shop)
        for size, is_post in ((rail, False), (post, True)):
            if size is None:
                continue
            bolt = size[0]
            edge, end = edge_of(bolt), end_of(bolt)
            low = skids.starts[skid] + ply * thick + edge
            high = low + thick - 2 * edge
            middle = skids.starts[skid] + (skids.wide + (2 * ply + 1 - skids.plies) * max(thick, end)) // 2
            deep = rail_depth(section, self.board, shop)
            if is_post:
                deep = -(-(self.board + section.thick + end) // snap) * snap
            marks = range(-(-low // snap) * snap, high + 1, snap)
            for x in sorted(marks, key=lambda x: (abs(x - middle), x)):
                yield Spot(skid, x, deep, front, is_post), size

    def _at(self, spot: Spot) -> Point:
        """Return where the head of a bolt bears."""
        base, r = self._base, self.room
        top = r.y + (self.section.thick if spot.post else self.section.breadth)
        z = base.z + base.dz - spot.deep if spot.front else base.z + spot.deep
        return base.x + spot.x, top, z

    def _free(self, spot: Spot, size: tuple[Good, int]) -> bool:
        """Whether a bolt has lumber all round it, room for its head, and no other bolt too near."""
        bolt, _ = size
        edge, end = edge_of(bolt), end_of(bolt)
        x, top, z = self._at(spot)
        head = end // 8 * 2 + self._shop.own(_BESIDE)
        over = Box(x - head, top, z - head, 2 * head, self._shop.own(_HEAD), 2 * head)
        if any(each.box.meets(over) for each in self.bench.placed):
            return False
        if any(other.skid == spot.skid and other.front == spot.front and (other.post == spot.post)
               and abs(other.x - spot.x) < end for other in self.spots):  # fmt: skip
            return False
        parts = [each for each in self.bench.placed if _on_line(each.box, x, z) and each.box.y < top]
        lumber = [each.box for each in parts if each.role == "case lumber"]
        if spot.post:
            whole = all(box.x + edge <= x <= box.x + box.dx - edge for box in lumber)
        else:
            # Ends of laminated strips are staggered and glued: only sawn lumber ends where its stick does.
            whole = bool(self.section.plies) or all(box.x + end <= x <= box.x + box.dx - end for box in lumber)
        boards = [each.box for each in parts if each.role == "case face"]
        return bool(lumber and boards) and whole and all(b.x + edge <= x <= b.x + b.dx - edge for b in boards)

    def _put(self, spot: Spot, size: tuple[Good, int]) -> None:
        bolt, bore = size
        at = self._at(spot)
        down = (0, -1, 0)
        parts = pierced(self.bench.placed, at, down, bolt.breadth)
        gear = self._shop.gear
        self.bench.bolt(
            Bolt(bolt.good, *at, down, parts, washer=gear.skid_washer, hole=hole_of(bolt, self._shop.units), bore=bore),
            "skids, through the lumber of the case; washer and nut sunk from below",
        )

    def _to_skids(self) -> None:
        """Hold each outrigger to its skid by two bolts, so that it comes off; by lag screws where no bolt fits."""
        shop, skids = self._shop, self.skids
        thick, base = skids.section.thick, self._base
        through = thick + skids.wide
        size = sunk(shop.gear.skid_bolt, through, thick, shop)
        inset = min(shop.own(_INSET), shop.whole(2 * base.dz // 5))
        for number, start in enumerate(skids.starts if skids.over else ()):
            runs = {each.box.x for each in self.bench.placed if each.role == "outrigger"}
            left = base.x + start
            # An outrigger's free face is where the head bears; the nut lies in the skid's other face.
            from_left = any(left - thick <= x < left for x in runs)
            x = left - thick if from_left else left + skids.wide + thick
            way = (1, 0, 0) if from_left else (-1, 0, 0)
            upright = [self._at(spot)[2] - base.z for spot in self.spots if spot.skid == number]
            back = beside(inset, base.dz // 2, upright, shop.units)
            front = beside(inset, base.dz // 2, [base.dz - each for each in upright], shop.units)
            for z in (base.z + back, base.z + base.dz - front):
                self._hold((x, shop.whole(skids.height // 2), z), way, size)

    def _hold(self, at: Point, way: Point, size: tuple[Good, int] | None) -> None:
        shop, gear = self._shop, self._shop.gear
        purpose = "outriggers to the skids, to be taken off for doors"
        line = (at[0] - (1 if way[0] < 0 else 0), at[1], at[2])
        if size is not None:
            bolt, bore = size
            parts = pierced(self.bench.placed, line, way, bolt.breadth)
            self.bench.bolt(
                Bolt(bolt.good, *at, way, parts, washer=gear.skid_washer, hole=hole_of(bolt, shop.units), bore=bore),
                purpose,
            )
            return
        lag = _lag(self.skids, shop)
        if lag is None:
            self.bench.fix(shop.joinery.corner_screw, 2, purpose)
            return
        self.lags += 1
        parts = pierced(self.bench.placed, line, way, lag.breadth)
        self.bench.bolt(Bolt(lag.good, *at, way, parts, washer=gear.skid_washer, hole=round(lag.diameter_in * INCH)),
                        purpose)  # fmt: skip


def beside(inset: int, middle: int, upright: Sequence[int], sizes: UnitSystem = "inch") -> int:
    """Return how far from an end of a skid a bolt across it goes.

    As wished, or beside the bore of one from above: nearer to the end, else nearer to the middle, four diameters away
    from both.
    """
    across, step = _ACROSS.of(sizes), _STEP.of(sizes)
    near, off = BORE_WIDE.of(sizes) // 2 + across // 2, 4 * across
    tried = (inset, *range(inset, off - 1, -step), *range(inset, middle - off // 2 + 1, step))
    return next((place for place in tried if all(abs(place - each) >= near for each in upright)), inset)


def _on_line(box: Box, x: int, z: int) -> bool:
    """Whether an upright line goes through a box."""
    return box.x <= x < box.x + box.dx and box.z <= z < box.z + box.dz


def _lag(skids: Skids, shop: Shop) -> Good | None:
    """Return the lag screw that an outrigger can be held by: enough lumber behind it, its tip inside."""
    thick = skids.section.thick
    for good in kinds(shop.gear.lag_screw, shop):
        if good.breadth - thick >= shop.own(_LAG) and good.breadth <= thick + skids.wide:
            return good
    return None


def rail_depth(section: Section, board: int, shop: Shop) -> int:
    """Return how far bolts through a rail are from the case's face: as far as the rail's inner edge lets them."""
    bolts = kinds(shop.gear.skid_bolt, shop)
    if not bolts:
        return board + section.thick // 2
    snap = shop.joinery.snap
    return (board + section.thick - edge_of(bolts[0])) // snap * snap


def reach_of(section: Section, board: int, shop: Shop) -> int:
    """Return how far skids reach beyond front and back, so that their bolts are far enough from their ends."""
    bolts = kinds(shop.gear.skid_bolt, shop)
    if not bolts:
        return 0
    snap = shop.joinery.snap
    return max(0, -(-(end_of(bolts[0]) - rail_depth(section, board, shop)) // snap) * snap)


def moved(skids: Skids, out: int) -> Skids:
    """Return skids that are each so much farther out, or nearer together where it is below zero."""
    left, right = skids.starts
    return replace(skids, clear=skids.clear + 2 * out, starts=(left - out, right + out))


def settled(bench: Bench, skids: Skids, room: Room, section: Section, *, outward: bool) -> Skids:
    """Return skids moved a little where lumber behind a seam leaves no room for a bolt in every piece of them."""
    board = bench.shop.good(bench.shop.case.face_good).thickness
    wanted = 4 * skids.plies
    best: tuple[int, Skids] = (-1, skids)
    shift = bench.shop.own(_SHIFT)
    for step in range(_MOVES + 1):
        for out in (step * shift, *(() if outward else (-step * shift,))):
            tried = moved(skids, out)
            if tried.starts[0] < 0 or tried.clear < min(bench.shop.case.skid_clear, skids.clear):
                continue
            found = Runners(bench, tried, room, section, board, []).planned()
            if found == wanted:
                return tried
            if found > best[0]:
                best = found, tried
    return best[1]


def bolted(spots: Sequence[Spot]) -> bool:
    """Whether both skids are bolted at both ends."""
    return {(spot.skid, spot.front) for spot in spots} == {(skid, front) for skid in (0, 1) for front in (True, False)}

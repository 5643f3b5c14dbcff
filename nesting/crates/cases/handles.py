"""Handles of a case without skids: bolted through strand board and upright into T-nuts, one at each corner.

They stand upright over the uprights of the rings: on front and back, or, where the front comes off, on both ends.
"""

from dataclasses import dataclass
from typing import Literal

from nesting.advice.case_handles import T_NUT_LBF, Gripped
from nesting.advice.check import table_pounds
from nesting.advice.fasteners import withdrawal_allowable
from nesting.advice.lifting import Team, team_size
from nesting.base.measure import INCH, MM, inches
from nesting.base.own_length import OwnLength
from nesting.crates.bench import Bench
from nesting.crates.cases.bolting import Point, edge_of, end_of, hole_of, kinds, pierced
from nesting.crates.cases.case_shell import Room
from nesting.crates.gear.handles import BOLTS_APART, LONG, PLATE, PROUD, WIDE
from nesting.crates.gear.members import Section
from nesting.crates.model import Bolt, Box, Fitting
from nesting.shop.goods import Good
from nesting.shop.needs import gravity_of
from nesting.shop.shop import Shop

Sides = Literal["front and back", "ends"]
COUNT = 4
BOLTS = 2
"""In one handle."""
_STEP = OwnLength(INCH // 8, 5 * MM)
_FLANGE = OwnLength(3 * INCH // 4, 20 * MM)
"""Across the flange of a 1/4 in or M6 T-nut."""
_END = OwnLength(INCH, 25 * MM)
_BEYOND = OwnLength(INCH // 4, 6 * MM)
"""Of a screwed handle from the end of an upright, and how far behind it a bolt is looked for in wood."""
_MOST_LIFTERS = 4
"""Who lift what no hands should, all the same."""


def handled(contents_kg: float, shop: Shop) -> bool:
    """Whether a case without skids has handles."""
    joinery = shop.joinery
    wanted = bool(joinery.handle) and shop.gear.handles != "none"
    return wanted and table_pounds(contents_kg) >= joinery.handles_from_lb


@dataclass(slots=True)
class Handles:
    """The handles of a case on the bench.

    Attributes
    ----------
    bench : Bench
        Where they are put.
    room : Room
        Inside of the strand board.
    section : Section
        Of the lumber along the edges.
    board : int
        Thickness of the strand board.
    sides : {"front and back", "ends"}
        Where they go.
    up : int
        Middle of each above the case's underside.
    bolt : Good or None
        What holds them; None where they are screwed.
    """

    bench: Bench
    room: Room
    section: Section
    board: int
    sides: Sides
    up: int = 0
    bolt: Good | None = None

    @property
    def _shop(self) -> Shop:
        return self.bench.shop

    @property
    def from_middle(self) -> int:
        """From the middle of a handle to its two holes, along it."""
        return self._shop.own(BOLTS_APART) // 2

    @property
    def behind(self) -> int:
        """Lumber behind the board, along a bolt."""
        return self.section.thick if self.sides == "front and back" else self.section.breadth

    def build(self, centre: int) -> None:
        """Put the handles on, their middle at the height of the centre of gravity or just above it."""
        shop = self._shop
        self.bolt = self._length() if shop.gear.handles == "bolted" else None
        bottom = self.room.y - self.board
        snap = shop.joinery.snap
        first = bottom + -(-(centre - bottom) // snap) * snap
        # Where a seam or a splice is in the way they go up, and down only where there is no more room above.
        low, high = self._range()
        step = shop.own(_STEP)
        ups = sorted(range(first, high + 1, step)) + sorted(range(min(first, high), low - 1, -step), reverse=True)
        middle = next((y for y in ups if low <= y and self._fits(y)), min(max(first, low), high))
        self.up = middle - bottom
        for box, heads, way in self._places(middle):
            self.bench.fit(Fitting(shop.joinery.handle, "handle", box, f"its middle {self.sides}, over the upright"))
            if self.bolt is None:
                self.bench.fix(shop.case.door_screw, 4, "handles, through the board into the uprights")
                continue
            for at in heads:
                parts = pierced(self.bench.placed, at, way, self.bolt.breadth)
                self.bench.bolt(
                    Bolt(self.bolt.good, *at, way, parts, nut=shop.gear.nut, hole=hole_of(self.bolt, shop.units)),
                    "handles, through board and upright into T-nuts",
                )

    def _length(self) -> Good | None:
        """Choose the longest bolt whose tip does not show inside and that fills enough of the T-nut."""
        shop = self._shop
        through = shop.own(PLATE) + self.board + self.behind
        nut = shop.by_name.get(shop.gear.nut)
        if nut is None:
            return None
        fits = [
            bolt
            for bolt in kinds(shop.gear.handle_bolt, shop)
            # A thread as long as the bolt is thick holds in steel (common practice, no source).
            if bolt.breadth <= through and nut.breadth - (through - bolt.breadth) >= round(bolt.diameter_in * INCH)
        ]
        return fits[-1] if fits else None

    def _range(self) -> tuple[int, int]:
        """Return the lowest and the highest middle that keeps bolts off the ends of the uprights."""
        r, s = self.room, self.section
        end = end_of(self.bolt) if self.bolt else self._shop.own(_END)
        off = self.from_middle
        rail = s.breadth
        return r.y + rail + end + off, r.y + r.height - rail - end - off

    def _fits(self, middle: int) -> bool:
        """Whether every bolt goes through one board and the upright, clear of seams and of plates over splices."""
        bolt = self.bolt
        if bolt is None:
            return True
        edge, inner = edge_of(bolt), self._shop.own(PLATE) + self.board + self.behind
        beyond, flange = self._shop.own(_BEYOND), self._shop.own(_FLANGE)
        for _, heads, way in self._places(middle):
            for at in heads:
                names = pierced(self.bench.placed, at, way, inner + beyond)
                met = [each for each in self.bench.placed if each.part in names and _near(each.box, at, way, 0)]
                if any(each.role == "gusset" for each in met):
                    return False
                if not any(each.role == "case face" and _near(each.box, at, way, edge) for each in met):
                    return False
                nut = _flange(at, way, inner, flange)
                if any(each.box.meets(nut) for each in self.bench.placed):
                    return False
        return True

    def _places(self, middle: int) -> list[tuple[Box, list[Point], Point]]:
        """Return each handle with the heads of its bolts, and which way they go."""
        r, s, t, off = self.room, self.section, self.board, self.from_middle
        proud, long, wide, plate = (self._shop.own(each) for each in (PROUD, LONG, WIDE, PLATE))
        whole = self._shop.whole
        low = middle - long // 2
        made: list[tuple[Box, list[Point], Point]] = []
        if self.sides == "front and back":
            faces = ((r.z - t, (0, 0, 1), -1), (r.z + r.depth + t, (0, 0, -1), 1))
            for z, way, out in faces:
                for x in (r.x + whole(s.breadth // 2), r.x + r.width - whole(s.breadth // 2)):
                    box = Box(x - wide // 2, low, z if out == 1 else z - proud, wide, long, proud)
                    heads = [(x, middle + b, z + out * plate) for b in (-off, off)]
                    made.append((box, heads, way))
            return made
        for x, way, out in ((r.x - t, (1, 0, 0), -1), (r.x + r.width + t, (-1, 0, 0), 1)):
            for z in (r.z + whole(s.thick // 2), r.z + r.depth - whole(s.thick // 2)):
                across = min(wide, 2 * (whole(s.thick // 2) + t))
                box = Box(x if out == 1 else x - proud, low, z - across // 2, proud, long, across)
                heads = [(x + out * plate, middle + b, z) for b in (-off, off)]
                made.append((box, heads, way))
        return made


def _flange(at: Point, way: Point, deep: int, wide: int) -> Box:
    """Return the room of a T-nut's flange where a bolt comes out of the lumber."""
    low = [at[i] + way[i] * deep - (wide // 2 if not way[i] else (wide // 4 if way[i] < 0 else 0)) for i in range(3)]
    return Box(*low, *(wide // 4 if way[i] else wide for i in range(3)))


def _near(box: Box, at: Point, way: Point, edge: int) -> bool:
    """Whether a bolt's line goes through a box well away from its edges."""
    low, size = (box.x, box.y, box.z), (box.dx, box.dy, box.dz)
    return all(low[i] + edge <= at[i] <= low[i] + size[i] - edge for i in range(3) if not way[i])


def gripped(handles: Handles, gross_kg: float, team: Team, lumber: str) -> Gripped:
    """Return how the case is held by its handles, for the check."""
    shop = handles.bench.shop
    rated = shop.good(shop.joinery.handle).rated_lb
    factor, gross, lifters = shop.gear.handle_factor, table_pounds(gross_kg), team_size(team) or _MOST_LIFTERS
    if handles.bolt is not None:
        return Gripped(gross, lifters, factor, rated, BOLTS * T_NUT_LBF, f"{BOLTS} bolts into T-nuts each")
    screw = shop.good(shop.case.door_screw)
    thread = max(0.0, inches(screw.breadth - shop.own(PLATE) - handles.board))
    each = withdrawal_allowable(gravity_of(shop, shop.good(lumber)), screw.diameter_in, thread)
    return Gripped(gross, lifters, factor, rated, 4 * each, "4 screws each")

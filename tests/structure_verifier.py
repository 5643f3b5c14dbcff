"""What holds a piece in its crate, worked out once more from the crate's own record, sharing no code with the program.

Read are placed parts, pieces, drill points and fixings of a crate, the artworks as their order states them, and the
shop's goods, materials and rules as figures. :func:`faults_of` says where a check's demand, capacity or verdict is not
what comes out here. How things lie beside each other is for :mod:`tests.structure_geometry`.

Sources as the checks print them. Strength of materials: sections are added up here over all their bodies, each with
its own modulus, and beams by the balance of moments. Inches, pounds-force, psi.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from math import inf, pi, sqrt
from typing import Any, Final

from tests.gear_verifier import gear_found

INCH: Final = 203_200
POUND: Final = 0.45359237
NEWTONS: Final = POUND * 9.80665
TO_INCH: Final = {
    "N": 1 / NEWTONS, "kg": 1 / POUND, "kPa": 1000 * 0.0254**2 / NEWTONS, "N/mm2": 25.4**2 / NEWTONS, "mm": 1 / 25.4,
}  # fmt: skip

ROLLING: Final = 53.0
BARS_PSI: Final = 500.0 * 1.5
BARS_E: Final = 1.2e6
LESS: Final = INCH // 32
WASHER: Final = INCH // 16
LATERAL: Final = {1: 4800.0, 2: 3960.0, 3: 3240.0, 4: 2520.0}
COUNTED: Final = 0.5
"""Part of a piece's own stiffness that is counted on, as the check prints it."""

NEAR: Final = 1e-3


@dataclass(frozen=True)
class Sheet:
    """Strength of a good along and across its grain, its thickness at the least and at the greatest."""

    along: float
    across: float
    e_along: float
    e_across: float
    gravity: float
    group: int
    least: float
    greatest: float


def sheet(shop: Any, name: str) -> Sheet:
    """Read a good and its material."""
    good = shop.good(name)
    material = shop.material(good.material)
    figures = ("bending_along_psi", "bending_across_psi", "stiffness_along_psi", "stiffness_across_psi", "gravity")
    along, across, e_along, e_across, gravity = (
        float(stated.value) if (stated := getattr(material, figure)) else 0.0 for figure in figures
    )
    return Sheet(
        along,
        across,
        e_along,
        e_across,
        gravity,
        int(material.group.value) if material.group else 0,
        (good.least or good.thickness) / INCH,
        (good.greatest or good.thickness) / INCH,
    )


def screw_of(text: str) -> tuple[float, float]:
    """Read ``#10 x 1-1/4``: diameter and length."""
    number, _, length = text.removeprefix("#").partition(" x ")
    whole = 0.0
    for each in length.replace("-", " ").split():
        over, _, under = each.partition("/")
        whole += int(over) / int(under or 1)
    return 0.060 + 0.013 * int(number), whole


@dataclass(frozen=True)
class Body:
    """A rectangle that bends: modulus, stress that it bears, width, and where it lies in depth."""

    e: float
    psi: float
    wide: float
    low: float
    high: float


def bent(bodies: Iterable[Body]) -> tuple[float, float, float]:
    """Return stiffness, curvature at the first limit and neutral axis of bodies that bend as one section."""
    found = [body for body in bodies if body.wide > 0]
    pull = sum(b.e * b.wide * (b.high - b.low) for b in found)
    axis = sum(b.e * b.wide * (b.high - b.low) * (b.high + b.low) / 2 for b in found) / pull
    # Integral of E b y dy over each body: third powers of its distances from the axis.
    ei = sum(b.e * b.wide * ((b.high - axis) ** 3 - (b.low - axis) ** 3) / 3 for b in found)
    return ei, min(b.psi / (b.e * max(abs(b.high - axis), abs(b.low - axis))) for b in found), axis


def strip(width: float) -> float:
    """Return the size factor of a strip of panel, APA: a half up to 8 in, all from 24 in, even between."""
    return 0.5 if width <= 8 else 1.0 if width >= 24 else 0.5 + (width - 8) / 32


def two_halves(first: float, second: float, span: float) -> tuple[float, float]:
    """Return the greatest moment and the greater reaction of a beam under two halves of a load of one."""
    right = (0.5 * first + 0.5 * (span - second)) / span
    left = 1.0 - right
    # The moment bends between loads and supports only, so that it is greatest under one of the loads.
    return max(left * first, right * second), max(left, right)


@dataclass(frozen=True)
class Behind:
    """Wood at the back of a piece, from the words of its order; exact grid, from the piece's lower left corner."""

    piece: Any
    shop: Any

    @cached_property
    def body(self) -> int:
        """Depth less what lies in front of the wood."""
        p, front = self.piece, 0
        if p.surface == "resin" or p.pour_depth:
            front += p.pour_depth or self.shop.estimate.resin
        if p.surface == "glazed":
            front += self.shop.estimate.glazing
        return max(0, int(p.depth) - front)

    @property
    def bars(self) -> bool:
        """Whether there is wood in bars only."""
        return bool(self.piece.back.bar_width)

    @property
    def own(self) -> list[tuple[int, int, int, int]]:
        """Own cleats that the order states: x, y, length, width."""
        p, back = self.piece, self.piece.back
        if not back.cleat_thickness:
            return []
        low, high = back.cleat_low, p.height - back.cleat_high - back.cleat_width
        return [(0, y, p.width, back.cleat_width) for y in (low, high)]

    @property
    def wood(self) -> list[tuple[int, int, int, int]]:
        """Rectangles of wood that a screw may stand in: x, y, width, height."""
        p, back, bar = self.piece, self.piece.back, self.piece.back.bar_width
        if self.own:
            return self.own
        if not bar or 2 * bar >= min(p.width, p.height):
            return [(0, 0, p.width, p.height)]
        free = (p.width - (2 + back.middle_bars) * bar) / (back.middle_bars + 1)
        across = [(0, 0, p.width, bar), (0, p.height - bar, p.width, bar)]
        return across + [(round(n * (bar + free)), 0, bar, p.height) for n in range(back.middle_bars + 2)]

    @property
    def deep(self) -> int:
        """Least depth of wood behind a screw."""
        back = self.piece.back
        if self.bars:
            return int(min(back.bar_depth, self.body - max(0, back.face - LESS)))
        if self.own:
            return int(back.cleat_thickness - LESS)
        return int(self.shop.cleats.piece_wood) if back.kind == "cleated" else self.body

    @property
    def face(self) -> int:
        """Least distance from the back to the face, where all of it is known to be there."""
        back = self.piece.back
        return min(back.bar_depth + max(0, back.face - LESS), self.body) if self.bars else self.deep

    @property
    def stiffness(self) -> tuple[float, float]:
        """E I upright and level, lb in2."""
        p, back = self.piece, self.piece.back
        if self.bars:
            one = BARS_E * back.bar_width * self.deep**3 / 12 / INCH**4
            return one * (2 + back.middle_bars), one * 2
        deep = max(0, self._panel) / INCH
        e = self.shop.material("plywood").stiffness_along_psi.value
        return e * p.width / INCH * deep**3 / 12, e * p.height / INCH * deep**3 / 12

    @property
    def known(self) -> bool:
        """Whether there is any depth of wood that bends."""
        return (self.deep if self.bars else self._panel) > 0

    @property
    def _panel(self) -> int:
        if self.own:
            return int(self.body - self.piece.back.cleat_thickness - LESS)
        return min(self.deep, self.body)

    def stress(self, force: float, span: float) -> tuple[float, float]:
        """Return its stress under a force even between two rows, and what it bears for the time of a knock, psi."""
        p, back = self.piece, self.piece.back
        wide, high = p.width / INCH, p.height / INCH
        if not self.bars:
            section = wide * (self._panel / INCH) ** 2 / 6
            return force * span / 8 / section, self.shop.material("plywood").bending_along_psi.value
        bay = wide / (back.middle_bars + 1)
        reach = min(bay, high) / 2
        even = force / (wide * span)
        ends = (high - span) / 2
        # Load on the bar, per inch: rises over reach from the end of the face; cut up and taken about the middle.
        cuts = 4000
        moment = load = 0.0
        for n in range(cuts):
            at = (n + 0.5) * span / 2 / cuts
            here = even * min(at + ends, reach) * span / 2 / cuts * (2 if back.middle_bars else 1)
            load += here
            moment -= here * (span / 2 - at)
        moment += load * span / 2
        section = back.bar_width / INCH * (self.deep / INCH) ** 2 / 6
        return moment / section, BARS_PSI * self.shop.mounting.duration_factor


@dataclass(frozen=True)
class Found:
    """A check as it comes out here; no capacity where the formula does not apply."""

    demand: float
    capacity: float | None
    soft: bool = False
    judged: bool = True

    @property
    def verdict(self) -> str:
        """What it must say."""
        if self.capacity is None:
            return "info"
        return "ok" if self.demand <= self.capacity else "watch" if self.soft else "fails"


@dataclass(frozen=True)
class Way:
    """How lanes lead one way to the frame."""

    ratio: float
    moment: float
    shear: float
    ei: float
    plate: float
    rib: tuple[float, float, float] | None
    """E A a of the rib, E I of its section and its width, where it is glued to panel that runs on."""

    lanes: float
    up: bool


class Strength:
    """One closed or battened crate, or travel frame."""

    def __init__(self, crate: Any, pieces: Sequence[Any], kg: Mapping[str, float], shop: Any) -> None:
        self.crate, self.shop, self.kg = crate, shop, kg
        self.factor, self.lasting = shop.mounting.handling_factor, shop.mounting.duration_factor
        self.goods = {part.name: part.good for part in crate.parts}
        self.behind = {p.piece: Behind(p, shop) for p in pieces}
        self.boxes = dict(crate.pieces_placed)
        self.rails = min(p.box.z for p in self.of("rail"))
        self.thick = min(p.box.dy for p in self.of("rail"))
        self.wide, self.high = crate.shell.width, crate.shell.height

    def of(self, *roles: str) -> list[Any]:
        """Return placed parts."""
        return [p for p in self.crate.placed if p.role in roles]

    def force(self, *names: str) -> float:
        """Return the handled weight of pieces, pounds-force."""
        return float(self.factor * sum(self.kg[name] for name in names or self.boxes) / POUND)

    def rows(self, name: str) -> list[tuple[int, int, int, int]]:
        """Return the cleats of a piece: x, y, length, width; the one on the piece where there are layers."""
        at, behind = self.boxes[name], self.behind[name]
        if behind.own:
            return [(at.x + x, at.y + y, long, wide) for x, y, long, wide in behind.own]
        lies = {
            (b.x, b.y, b.dx, b.dy)
            for b in (p.box for p in self.of("cleat"))
            if at.x <= b.x and b.x + b.dx <= at.x + at.dx and at.y <= b.y and b.y + b.dy <= at.y + at.dy
        }
        return sorted(lies, key=lambda row: (row[1], row[0]))

    def outer(self, name: str) -> list[tuple[int, int, int, int]]:
        """Return the cleats of the lowest and of the highest row."""
        rows = self.rows(name)
        ends = {rows[0][1], rows[-1][1]}
        return [row for row in rows if row[1] in ends]

    def between(self, name: str) -> float:
        """Return how far apart its outer rows of mounting screws are."""
        rows = self.rows(name)
        return (rows[-1][1] + rows[-1][3] // 2 - rows[0][1] - rows[0][3] // 2) / INCH

    @cached_property
    def tied(self) -> bool:
        """Whether any piece is held between its outer rows, too."""
        return any(len({row[1] for row in self.rows(name)}) > 2 for name in self.boxes)

    def battens(self, *, back: bool) -> list[Any]:
        """Return the battens on the back or on the lid."""
        return [p for p in self.of("batten", "seam batten") if (p.box.z < self.rails) is back]

    def ribs(self, *, back: bool) -> tuple[str, list[tuple[int, int]], Sheet] | None:
        """Return which way battens run from edge to edge in one piece, where each begins and ends, and their good."""
        every = self.battens(back=back)
        for way in ("up", "level"):
            found = [
                (p.box.x, p.box.x + p.box.dx) if way == "up" else (p.box.y, p.box.y + p.box.dy)
                for p in every
                if (p.box.dy == self.high if way == "up" else p.box.dx == self.wide)
            ]
            if found:
                return way, sorted(found), sheet(self.shop, self.goods[every[0].part])
        return None

    def face(self, role: str) -> tuple[Sheet, set[str], set[str]]:
        """Return what a face is of, the ways that seams break it, and the ways that its face grain may run."""
        panels = self.of(role)
        broken = set()
        if any(p.box.dy < self.high for p in panels):
            broken.add("up")
        if any(p.box.dx < self.wide for p in panels):
            broken.add("level")
        good, saw = self.shop.good(self.goods[panels[0].part]), self.shop.saw
        sizes = [
            (s.length - saw.trim_left - saw.trim_right, s.width - saw.trim_bottom - saw.trim_top) for s in good.sizes
        ]
        ways = [
            {"level" for long, short in sizes if b.dx <= max(long, short) and b.dy <= min(long, short)}
            | {"up" for long, short in sizes if b.dy <= max(long, short) and b.dx <= min(long, short)}
            for b in (p.box for p in panels)
        ]
        return sheet(self.shop, good.good), broken, ways[0] if all(w == ways[0] for w in ways) else {"up", "level"}

    def plate(self, of: Sheet, grain: str, way: str, wide: float) -> tuple[float, float]:
        """Return modulus and stress of a face's panel one way."""
        e, psi = (of.e_along, of.along) if grain == way else (of.e_across, of.across)
        return e, psi * self.lasting * strip(wide)

    def lane(
        self, wide: float, span: float, plate: Body, rib: Body | None, *, broken: bool
    ) -> tuple[float, float, float, tuple[float, float, float] | None]:
        """Return E I and moment of a lane, how much panel is in it, and its glued section; see :class:`Way`."""
        bare_ei, bare_curve, _ = bent([Body(plate.e, plate.psi, wide, 0.0, plate.high)])
        if rib is None:
            return (0.0, 0.0, 0.0, None) if broken else (bare_ei, bare_ei * bare_curve, wide, None)
        if broken:
            ei, curve, _ = bent([rib])
            return ei, ei * curve, 0.0, None
        acts = min(wide, rib.wide + min(span / 10, 20 * plate.high))
        glued = [Body(plate.e, plate.psi, acts, 0.0, plate.high), rib]
        ei, curve, axis = bent(glued)
        rest, rest_curve = 0.0, inf
        if wide > acts:
            rest, rest_curve, _ = bent([Body(plate.e, plate.psi, wide - acts, 0.0, plate.high)])
        bears = (ei + rest) * min(curve, rest_curve)
        if bears <= bare_ei * bare_curve:
            return bare_ei, bare_ei * bare_curve, wide, None
        flow = rib.e * rib.wide * (rib.high - rib.low) * ((rib.high + rib.low) / 2 - axis)
        return ei + rest, bears, wide, (flow, ei, rib.wide)

    @cached_property
    def span_of_rows(self) -> tuple[int, int]:
        """From where to where rows of cleats lie across the crate."""
        every = [row for name in self.boxes for row in self.rows(name)]
        return min(row[0] for row in every), max(row[0] + row[2] for row in every)

    @cached_property
    def held_along(self) -> float:
        """How much of the crate's width its lower rows cover, inches."""
        low = sorted(
            (row[0], row[0] + row[2])
            for name in self.boxes
            for row in self.rows(name)
            if row[1] == self.rows(name)[0][1]
        )
        total, at = 0, low[0][0]
        for start, end in low:
            total += max(0, end - max(start, at))
            at = max(at, end)
        return total / INCH

    @cached_property
    def reach(self) -> tuple[float, float, float, float]:
        """Clear height and width between the strips, and the rows farthest from the lower and the upper rail."""
        up, across = self.high - 2 * self.thick, self.wide - 2 * self.thick
        low, high = [], []
        for name in self.boxes:
            rows = self.rows(name)
            low.append(rows[0][1] + rows[0][3] // 2 - self.thick)
            high.append(self.high - self.thick - rows[-1][1] - rows[-1][3] // 2)
        first = min(max(low), up // 2)
        return up / INCH, across / INCH, first / INCH, min(max(high), up - first) / INCH

    def tributary(self, bands: Sequence[tuple[int, int]], start: int, end: int) -> float:
        """Return the widest strip that one of several battens serves between two ends, inches."""
        centres = [(a + z) / 2 for a, z in bands if start < (a + z) // 2 < end]
        if not centres:
            return (end - start) / INCH
        edges = [start, *((a + b) / 2 for a, b in pairwise(centres)), end]
        return max(b - a for a, b in pairwise(edges)) / INCH

    def leads(self, way: str, grain: str) -> Way | None:
        """Work out one way to the frame for one way of the grain."""
        force = self.force()
        up, across, low, high = self.reach
        of, seams, _ = self.face("back")
        ribs = self.ribs(back=True)
        here = ribs if ribs is not None and ribs[0] == way else None
        e, psi = self.plate(of, grain, way, across if way == "up" else up)
        plate = Body(e, psi, 1.0, 0.0, of.least)
        cleat = self.held_along
        stiff = [self.behind[name].stiffness for name in self.boxes]
        if way == "up":
            lane = min(self.tributary(here[1], *self.span_of_rows), cleat) if here else cleat
            lanes, span = cleat / lane, up
            arm, part = two_halves(low, high, up)
            free = max(map(self.between, self.boxes)) if self.tied else 0.0
            piece = min(s for s, _ in stiff)
        else:
            works = 2 * low
            if grain == "level":
                # Strip of a plate under a line load along its stiff way, as the check's module derives it.
                works = 2 * sqrt(2) / pi * across * (of.e_across / of.e_along) ** 0.25
            lane, lanes, span = min(up / 2, works), 2.0, across
            gap = (across - cleat) / 2
            arm, part = two_halves(gap, gap, across)
            free, piece = cleat, min(s for _, s in stiff)
        rib = None
        if here is not None:
            wood = here[2]
            wide = min(z - a for a, z in here[1]) / INCH
            rib = Body(wood.e_along, wood.along * self.lasting * strip(wide), wide, of.least, of.least + wood.least)
        ei, bears, width, section = self.lane(lane, span, plate, rib, broken=way in seams)
        if not ei:
            return None
        share = ei * lanes / (ei * lanes + COUNTED * piece) if free else 0.0
        moment = (force * arm + share * force * free / 8) / lanes
        return Way(moment / bears, moment, force * part / lanes, ei, width, section, lanes, way == "up")

    @cached_property
    def carried(self) -> Way | None:
        """The better way, for the worse of the grains."""
        worst: Way | None = None
        for grain in sorted(self.face("back")[2]):
            ways = [found for way in ("up", "level") if (found := self.leads(way, grain)) is not None]
            if not ways:
                return None
            better = min(ways, key=lambda each: each.ratio)
            if worst is None or better.ratio > worst.ratio:
                worst = better
        return worst

    def back(self) -> dict[str, Found]:
        """Judge the back, its glue, the rows between uprights, and the joint with the frame."""
        force, way = self.force(), self.carried
        glue = ROLLING * self.lasting
        joint = Found(force / (2 * self.held_along * self.thick / INCH), glue / 2)
        if way is None:
            return {"back, bending": Found(force, 0.0), "back to frame, glue": joint}
        of, _, grains = self.face("back")
        found = {"back to frame, glue": joint, "back, bending": Found(force, force / way.ratio if way.ratio else inf)}
        if way.plate:
            found["back, rolling shear"] = Found(1.5 * way.shear / (way.plate * of.least), glue)
        if way.rib is not None:
            flow, ei, wide = way.rib
            along = grains == {"up" if way.up else "level"}
            flowing = way.shear * (ei / way.ei) * flow / (ei * wide)
            found["glue under the battens, shear"] = Found(flowing, glue if along else glue / 2)
        if way.up and self.ribs(back=True) is not None and (way.rib is not None or not way.plate):
            found["cleats between uprights, bending"] = self.row(way)
        return found

    def row(self, way: Way) -> Found:
        """Judge what brings the load along a row to the uprights."""
        ribs = self.ribs(back=True)
        if ribs is None:
            raise ValueError("no uprights")
        _, bands, wood = ribs
        load = self.force() / 2 * (way.rib[1] / way.ei if way.rib else 1.0)
        bay = self.tributary(bands, *self.span_of_rows)
        rows = [row for name in self.boxes for row in self.rows(name)]
        wide = min(row[3] for row in rows) / INCH
        cleat = sheet(self.shop, self.shop.cleats.good)
        deep = min(self.depth(name) for name in self.boxes)
        parts = [Body(cleat.e_along, cleat.along * self.lasting * strip(wide), wide, 0.0, deep)]
        cross = [p.box for p in self.battens(back=True) if p.role == "batten" and p.box.dy < self.high]
        if cross:
            broad = self.design_width(bands)
            parts.append(Body(wood.e_along, wood.along * self.lasting * strip(broad), broad, 0.0, wood.least))
        apart = [bent([part]) for part in parts]
        ei = sum(each[0] for each in apart)
        bears = ei * min(each[1] for each in apart)
        piece = min(self.behind[name].stiffness[1] for name in self.boxes)
        moment = load / self.held_along * bay**2 / 8 * ei / (ei + COUNTED * piece / 2)
        return Found(load, load * bears / moment)

    def depth(self, name: str) -> float:
        """Return the least depth of a piece's cleats, inches."""
        if self.behind[name].own:
            return float((self.behind[name].piece.back.cleat_thickness - LESS) / INCH)
        return sum(sheet(self.shop, good).least for good in self.layers)

    def design_width(self, bands: Sequence[tuple[int, int]]) -> float:
        """Return the width of a crosspiece: that of the narrowest batten."""
        return min(z - a for a, z in bands) / INCH

    @cached_property
    def layers(self) -> list[str]:
        """Goods of a cleat, from the back to the piece."""
        cleats = self.of("cleat")
        if not cleats:
            return [self.shop.cleats.good]
        first = cleats[0].box
        return [
            self.goods[p.part]
            for p in sorted(cleats, key=lambda p: p.box.z)
            if (p.box.x, p.box.y, p.box.dx, p.box.dy) == (first.x, first.y, first.dx, first.dy)
        ]

    def through(self) -> tuple[list[Sheet], bool]:
        """Return what mounting screws go through, from the outside, and whether a washer lies under their heads."""
        d = self.crate.drill[0]
        x, y = self.wide - d.x, d.y
        over = [
            p
            for p in self.of("back", "batten", "seam batten", "slat")
            if p.box.z < self.rails and p.box.x < x < p.box.x + p.box.dx and p.box.y < y < p.box.y + p.box.dy
        ]
        washers = any(item.good == self.shop.cleats.washer for item in self.crate.piecework)
        return [sheet(self.shop, self.goods[p.part]) for p in sorted(over, key=lambda p: p.box.z)], washers

    def mounting(self) -> dict[str, Found]:
        """Judge mounting screws and the screws into the pieces."""
        found: dict[str, Found] = {}
        held, washer = self.through()
        cleat = sheet(self.shop, self.layers[-1])
        diameter, length = screw_of(self.crate.drill[0].screw)
        thread = length - (WASHER / INCH if washer else 0.0) - sum(each.greatest for each in held)
        head = max(self.shop.mounting.head_in, self.shop.good(self.shop.cleats.washer).breadth / INCH if washer else 0)
        for name in self.boxes:
            own = f", {name}" if len(self.boxes) > 1 else ""
            force = self.force(name)
            count = sum(self.lies(d, row) for d in self.crate.drill for row in self.outer(name))
            pulls = 2850 * cleat.gravity**2 * diameter * thread
            deep = min(sum(each.least for each in held), 2.5 * head)
            found[f"mounting screws, withdrawal{own}"] = Found(force, count * pulls)
            found[f"mounting screws, pull-through{own}"] = Found(
                force, count * 690 * pi * head * held[0].gravity ** 2 * deep
            )
            lateral = count * LATERAL[cleat.group] * diameter**2 if thread >= 6 * diameter - 1e-6 else None
            found[f"mounting screws, lateral{own}"] = Found(force, lateral, judged=False)
            if not self.behind[name].own:
                screws = sum(self.lies(d, row) for d in self.crate.cleat_drill for row in self.outer(name))
                found[f"screws into the piece, withdrawal{own}"] = self.into(name, screws)
        return found

    def into(self, name: str, count: int) -> Found:
        """Judge screws through a cleat into a piece."""
        text = next((d.screw for d in self.crate.cleat_drill if d.into == name), "")
        if not text:
            (fixing,) = [f for f in self.crate.fixings if f.purpose == "halves to the piece"]
            good = self.shop.good(fixing.good)
            diameter, length = good.diameter_in, good.breadth / INCH
        else:
            diameter, length = screw_of(text)
        behind = self.behind[name]
        sunk = length + self.shop.cleats.piece_sink / INCH - sheet(self.shop, self.layers[-1]).greatest
        gravity = self.shop.material("plywood").gravity.value
        return Found(self.force(name), count * 2850 * gravity**2 * diameter * min(sunk, behind.deep / INCH))

    def lies(self, drill: Any, row: tuple[int, int, int, int]) -> bool:
        """Whether a drill point lies over a cleat."""
        x, y = self.wide - drill.x, drill.y
        return bool(row[0] < x < row[0] + row[2] and row[1] < y < row[1] + row[3])

    def pieces(self) -> dict[str, Found]:
        """Judge what each piece bears itself between its rows."""
        found = {}
        for name, behind in self.behind.items():
            span = self.between(name)
            # Own cleats, resin and glazing may leave nothing of the depth that is known to be wood.
            if span <= 0 or not behind.known:
                continue
            part = 1.0
            if self.tied:
                stiff = [w.ei * w.lanes for grain in self.face("back")[2] if (w := self.leads("up", grain)) is not None]
                mine = behind.stiffness[0]
                part = mine / (mine + COUNTED * min(stiff, default=0.0))
            stress, bears = behind.stress(self.force(name) * span * INCH / behind.piece.height, span)
            own = f", {name}" if len(self.boxes) > 1 else ""
            found[f"the piece's own span{own}"] = Found(stress * part, bears, soft=True, judged=False)
        return found

    def lid(self) -> Found:
        """Judge a lid under its own weight, battens included, on its way to the frame.

        Its panel may span from frame to frame; or from batten to batten, and the battens from frame to frame.
        """
        of, seams, grains = self.face("lid")
        up, across, *_ = self.reach
        ribs = self.ribs(back=False)
        weighs = sum(
            p.box.dx * p.box.dy * p.box.dz * self.density(p.part) for p in (*self.of("lid"), *self.battens(back=False))
        )
        pressure = self.shop.mounting.lid_factor * weighs / (8e6) ** 3 / POUND / (self.wide * self.high / INCH**2)
        worst = 0.0
        for grain in grains:
            ratios = [inf]
            for way, clear, other in (("up", up, across), ("level", across, up)):
                e, psi = self.plate(of, grain, way, max(up, across))
                ei, curve, _ = bent([Body(e, psi, 1.0, 0.0, of.least)])
                if way not in seams:
                    ratios.append(pressure * clear**2 / 8 / (ei * curve))
                if ribs is None or ribs[0] != way:
                    continue
                _, bands, wood = ribs
                whole = self.wide if way == "up" else self.high
                lane = self.tributary(bands, self.thick, whole - self.thick)
                wide = min(z - a for a, z in bands) / INCH
                rib = Body(wood.e_along, wood.along * self.lasting * strip(wide), wide, of.least, of.least + wood.least)
                _, bears, _, _ = self.lane(lane, clear, Body(e, psi, 1.0, 0.0, of.least), rib, broken=way in seams)
                edges = [(0, self.thick), *bands, (whole - self.thick, whole)]
                opening = max(b[0] - a[1] for a, b in pairwise(edges)) / INCH
                cross_e, cross_psi = self.plate(of, grain, "level" if way == "up" else "up", max(up, across))
                ei, curve, _ = bent([Body(cross_e, cross_psi, 1.0, 0.0, of.least)])
                short = pressure * min(opening, other) ** 2 / 8 / (ei * curve)
                ratios.append(max(short, pressure * lane * clear**2 / 8 / bears))
            worst = max(worst, min(ratios))
        return Found(pressure, pressure / worst)

    def density(self, part: str) -> float:
        """Return what a part's good weighs, kg/m3."""
        good = self.shop.good(self.goods[part])
        return float(good.density or self.shop.material(good.material).density.value)

    def travel(self) -> dict[str, Found]:
        """Judge a travel frame: removal screws, slats, cleats on the piece, and its own span."""
        (name,) = self.boxes
        halves = [p for p in self.crate.placed if p.half == "piece"]
        held, washer = self.through()
        wood = sheet(self.shop, self.goods[halves[0].part])
        diameter, length = screw_of(self.crate.drill[0].screw)
        thread = length - (WASHER / INCH if washer else 0.0) - sum(each.greatest for each in held)
        head = max(self.shop.mounting.head_in, self.shop.good(self.shop.cleats.washer).breadth / INCH if washer else 0)
        rows = [(b.x, b.y, b.dx, b.dy) for b in (p.box for p in halves)]
        count = sum(self.lies(d, row) for d in self.crate.drill for row in rows)
        force = self.force(name)
        lateral = count * LATERAL[wood.group] * diameter**2 if thread >= 6 * diameter - 1e-6 else None
        deep = min(held[0].least, 2.5 * head)
        (fixing,) = [f for f in self.crate.fixings if f.purpose == "halves to the piece"]
        # The short face of a half lies on the piece; screws stand in its middle.
        lines = sorted({(b.y + b.dy + b.y + b.dz) / 2 for b in (p.box for p in halves)})
        rise = (lines[-1] - lines[0]) / INCH
        stress, bears = self.behind[name].stress(force * rise * INCH / self.behind[name].piece.height, rise)
        span = (self.wide - 2 * self.thick) / INCH
        low = [b for b in (p.box for p in halves) if b.y == min(q.box.y for q in halves)]
        gap = (span - (max(b.x + b.dx for b in low) - min(b.x for b in low)) / INCH) / 2
        slat = next(p for p in self.of("slat") if p.box.z < self.rails and p.box.y < low[0].y < p.box.y + p.box.dy)
        section = slat.box.dy / INCH * held[0].least ** 2 / 6
        return {
            "mounting screws, withdrawal": Found(force, count * 2850 * wood.gravity**2 * diameter * thread),
            "mounting screws, pull-through": Found(force, count * 690 * pi * head * held[0].gravity ** 2 * deep),
            "mounting screws, lateral": Found(force, lateral, judged=False),
            "cleats to the piece, withdrawal": self.into(name, fixing.count),
            "back slat, bending": Found(force / 2 * two_halves(gap, gap, span)[0] / section, held[0].along),
            "the piece's own span": Found(stress, bears, soft=True, judged=False),
        }

    def found(self) -> dict[str, Found]:
        """Return every check of this crate's structure."""
        if self.crate.method == "travel":
            return self.travel()
        gear = {name: Found(*each) for name, each in gear_found(self.crate, self.shop).items()}
        return self.mounting() | self.back() | self.pieces() | {"lid, bending": self.lid()} | gear


def _unlike(check: Any, found: Found) -> list[str]:
    """Say where a check says something else than what comes out here."""
    faults, to = [], TO_INCH.get(check.unit, 1.0)
    for label, said, right in (("demand", check.demand, found.demand), ("capacity", check.capacity, found.capacity)):
        if said is None or right is None:
            if said is not right:
                faults.append(f"{check.name}: {label} is {said}, and {right} comes out")
        elif abs(said * to - right) > NEAR * right:
            faults.append(f"{check.name}: {label} is {said * to:.5g}, and {right:.5g} comes out")
    if check.verdict != found.verdict:
        faults.append(f"{check.name}: says {check.verdict}, and {found.verdict} comes out")
    if check.structure is not found.judged:
        faults.append(f"{check.name}: must{'' if found.judged else ' not'} hold its crate")
    return faults


def faults_of(crate: Any, pieces: Sequence[Any], kg: Mapping[str, float], shop: Any) -> list[str]:
    """Say where the checks of a crate are not what comes out here.

    Parameters
    ----------
    crate : Crate
        A closed or battened crate, or a travel frame.
    pieces : sequence of Artwork
        Single copies that it carries.
    kg : mapping of str to float
        What each weighs.
    shop : Shop
        Goods, materials and rules, with the steps of the order's units.
    """
    wanted = Strength(crate, pieces, kg, shop).found()
    told = {check.name: check for check in crate.checks}
    faults = [f"{name}: not judged" for name in wanted if name not in told]
    for check in crate.checks:
        found = wanted.get(check.name)
        if found is None:
            faults += [f"{check.name}: nothing like it comes out"] if check.structure else []
            continue
        faults += _unlike(check, found)
    failing = any(wanted[name].judged and wanted[name].verdict == "fails" for name in wanted)
    # A frame may also be held for its case's sake: such a reason has no figures.
    if failing is not any(reason.found for reason in crate.held_for):
        faults.append(f"{'a' if failing else 'no'} check fails, and it is held for {crate.held_for}")
    if bool(crate.held_for) is (crate.standing == "good"):
        faults.append(f"it stands as {crate.standing}, and is held for {crate.held_for}")
    return faults

"""How the parts of a crate lie beside each other, proved from its own record, sharing no code with the program.

Closed and battened crates and travel frames: nothing meets, every screw stands in wood and stops short of what it must
not reach at the worst thickness, battens lie so that a crate lies flat and its seams are covered, and no saw is asked
for a part by itself that is shorter than its hand's distance. Exact integers; strength is for
:mod:`tests.structure_verifier`.
"""

from collections.abc import Callable, Sequence
from itertools import combinations, pairwise
from typing import Any, Final

from tests.gear_verifier import gear_faults
from tests.structure_verifier import INCH, LESS, Behind, screw_of

SHORTEST: Final = 12 * INCH
"""Least length of a part that a saw takes by itself: saw makers' manuals (structure, section 7)."""

Span = tuple[int, int]


def covered(stretches: Sequence[Span]) -> list[Span]:
    """Join stretches that touch."""
    joined: list[Span] = []
    for low, high in sorted(stretches):
        if joined and low <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(high, joined[-1][1]))
        else:
            joined.append((low, high))
    return joined


def over(box: Any, x: int, y: int) -> bool:
    """Whether a point lies inside the outline of a box, seen from the front."""
    return bool(box.x < x < box.x + box.dx and box.y < y < box.y + box.dy)


Outline = Sequence[tuple[int, int]]


def apart(one: Outline, other: Outline) -> bool:
    """Whether a side of one of two convex outlines divides them (touching counts as divided)."""
    for shape, rest in ((one, other), (other, one)):
        turn = sum(a[0] * b[1] - a[1] * b[0] for a, b in zip(shape, (*shape[1:], shape[0]), strict=True))
        for a, b in zip(shape, (*shape[1:], shape[0]), strict=True):
            out = [(b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]) for p in rest]
            if all(each * turn <= 0 for each in out):
                return True
    return False


def outline(placed: Any, box: Any) -> Outline:
    """Return a part's outline across x: its bevels, or its box."""
    if placed is not None and placed.profile:
        return tuple(placed.profile)
    y, z = box.y, box.z
    return ((y, z), (y + box.dy, z), (y + box.dy, z + box.dz), (y, z + box.dz))


class Geometry:
    """One crate with its pieces."""

    def __init__(self, crate: Any, pieces: Sequence[Any], shop: Any) -> None:
        self.crate, self.shop = crate, shop
        self.behind = {p.piece: Behind(p, shop) for p in pieces}
        self.goods = {part.name: shop.good(part.good) for part in crate.parts}
        self.boxes = dict(crate.pieces_placed)
        self.wide, self.high = crate.shell.width, crate.shell.height
        self.rails = min(p.box.z for p in self.of("rail"))
        self.faults: list[str] = []

    def of(self, *roles: str) -> list[Any]:
        """Return placed parts."""
        return [p for p in self.crate.placed if p.role in roles]

    def fault(self, text: str) -> None:
        """Note a fault."""
        self.faults.append(text)

    def solids(self) -> list[tuple[str, Any, Outline, Span]]:
        """Return what takes room: name, box, outline across x, and stretch along x; a piece as body and own cleats."""
        found = [(p.part, p.box, outline(p, p.box), (p.box.x, p.box.x + p.box.dx)) for p in self.crate.placed]
        for name, box in self.boxes.items():
            own = self.behind[name].own
            thick = self.behind[name].piece.back.cleat_thickness if own else 0
            top, foot, front, back = box.y + box.dy, box.y, box.z + box.dz, box.z + thick
            found.append((name, box, ((foot, back), (top, back), (top, front), (foot, front)), (box.x, box.x + box.dx)))
            for x, y, long, wide in own:
                low, z = foot + y, box.z
                across = ((low, z), (low + wide, z), (low + wide, z + thick), (low, z + thick))
                found.append((f"a cleat of {name}", box, across, (box.x + x, box.x + x + long)))
        return found

    def nothing_meets(self) -> None:
        """No part meets another, nor a piece; all but gear lies within the body."""
        solids, under = self.solids(), {p.part for p in self.of("skid", "skid pad")}
        for (one, _, a, (ax, az)), (other, _, b, (bx, bz)) in combinations(solids, 2):
            if ax < bz and bx < az and not apart(a, b):
                self.fault(f"{one} meets {other}")
        for name, box, *_ in solids:
            ends = (box.x + box.dx, box.y + box.dy, box.z + box.dz)
            size = self.crate.shell
            if name in under:
                continue
            if min(box.x, box.y, box.z) < 0 or any(a > b for a, b in zip(ends, (size.width, size.height, size.depth),
                                                                         strict=True)):  # fmt: skip
                self.fault(f"{name} lies outside of its crate")

    def stack(self, x: int, y: int) -> list[Any]:
        """Return what a mounting screw goes through at a point, from the outside, before its cleat."""
        flat = self.of("back", "batten", "seam batten", "slat")
        return sorted((p for p in flat if p.box.z < self.rails and over(p.box, x, y)), key=lambda p: p.box.z)

    def rows(self, name: str) -> list[tuple[int, int, int, int, int, list[Any]]]:
        """Return the cleats of a piece: x, y, length, width, least depth, and its layers; none for its own."""
        at, behind = self.boxes[name], self.behind[name]
        if behind.own:
            least = behind.piece.back.cleat_thickness - LESS
            return [(at.x + x, at.y + y, long, wide, least, []) for x, y, long, wide in behind.own]
        lies: dict[tuple[int, int, int, int], list[Any]] = {}
        for p in self.of("cleat"):
            b = p.box
            if at.x <= b.x and b.x + b.dx <= at.x + at.dx and at.y <= b.y and b.y + b.dy <= at.y + at.dy:
                lies.setdefault((b.x, b.y, b.dx, b.dy), []).append(p)
        return [
            (*row, sum(self.least(p) for p in layers), sorted(layers, key=lambda p: p.box.z))
            for row, layers in lies.items()
        ]

    def least(self, placed: Any) -> int:
        """Return the least thickness of a part."""
        good = self.goods[placed.part]
        return int(good.least or good.thickness)

    def greatest(self, placed: Any) -> int:
        """Return the greatest thickness of a part."""
        good = self.goods[placed.part]
        return int(good.greatest or good.thickness)

    def mounting(self) -> None:
        """Every mounting screw goes through back and batten into the middle of its cleat, and stops short of it."""
        rules = self.shop.cleats
        washer = INCH // 16 if any(item.good == rules.washer for item in self.crate.piecework) else 0
        every = [row for name in self.boxes for row in self.rows(name)]
        stacks = set()
        for d in self.crate.drill:
            x, y = self.wide - d.x, d.y
            where = f"mounting screw at {d.x / INCH:g}, {d.y / INCH:g}"
            through = self.stack(x, y)
            stacks.add(tuple(self.goods[p.part].good for p in through))
            backs = [p.role for p in through]
            if backs.count("back") != 1 or backs[-1] != "back":
                self.fault(f"{where} goes through {backs}")
                continue
            for p in through:
                near = min(x - p.box.x, p.box.x + p.box.dx - x)
                if near < INCH // 4 and p.box.dx < self.wide:
                    self.fault(f"{where} stands {near / INCH:.2f} in from an end of {p.part}")
            into = [row for row in every if row[0] < x < row[0] + row[2] and row[1] < y < row[1] + row[3]]
            if len(into) != 1:
                self.fault(f"{where} goes into {len(into)} cleats")
                continue
            left, low, long, wide, deep, layers = into[0]
            if abs(2 * y - 2 * low - wide) > 1:
                self.fault(f"{where} is not in the middle of its cleat")
            if not left + INCH // 2 <= x <= left + long - INCH // 2:
                self.fault(f"{where} is near the end of its cleat")
            if layers and d.into != layers[-1].part:
                self.fault(f"{where} says it goes into {d.into}")
            length = round(screw_of(d.screw)[1] * INCH)
            margin = sum(self.least(p) for p in through) + deep - length
            thread = length - washer - sum(self.greatest(p) for p in through)
            # Cleats that came with a piece are as thick as they are: there the least thread will do.
            self.screw(where, d, margin, thread - (0 if layers else rules.thread_least - rules.thread), rules)
        if len(stacks) > 1:
            self.fault(f"mounting screws go through unlike panels: {stacks}")

    def heads(self) -> None:
        """Heads of mounting screws stand clear of each other, and their washers of the sides of battens."""
        rules = self.shop.cleats
        heads = [(d.x, d.y) for d in self.crate.drill]
        if any(max(abs(a[0] - b[0]), abs(a[1] - b[1])) < rules.screw_apart for a, b in combinations(heads, 2)):
            self.fault("two mounting screws stand too near each other")
        washers = max(self.shop.good(rules.washer).breadth // 2, 1)
        for d in self.crate.drill:
            x, y = self.wide - d.x, d.y
            through = self.stack(x, y)
            for p in self.of("batten", "seam batten"):
                b = p.box
                beside = b.x - washers < x < b.x + b.dx + washers and b.y < y < b.y + b.dy
                if b.z < self.rails and beside and p not in through and len(through) == 1:
                    self.fault(f"the washer at {d.x / INCH:g}, {d.y / INCH:g} lies on {p.part}")

    def screw(self, where: str, d: Any, margin: int, thread: int, rules: Any) -> None:
        """Hold a mounting screw's tip and thread, and its drills, against the rules."""
        # In a set one screw serves all, and the margin is that of the thinnest cleat.
        if d.tip_margin < rules.tip_short or margin < d.tip_margin:
            self.fault(f"{where} stops {margin / INCH:.3f} in short, and says {d.tip_margin / INCH:.3f}")
        if thread < rules.thread:
            self.fault(f"{where} has {thread / INCH:.3f} in of thread")
        if len(d.bores) != 3:
            self.fault(f"{where} has no bores")
            return
        clear, pilot, stop = d.bores
        diameter, length = screw_of(d.screw)
        if not pilot < diameter * INCH <= clear:
            self.fault(f"{where}: drills {clear}, {pilot}")
        if not 0 < stop <= margin + round(length * INCH) - rules.tip_short:
            self.fault(f"{where}: its pilot comes through its cleat")

    def into_pieces(self) -> None:
        """Every screw into a piece stands in wood that is there, through a cleat, and stops short of the face."""
        rules = self.shop.cleats
        for d in self.crate.cleat_drill:
            x, y = self.wide - d.x, d.y
            where = f"screw into {d.into} at {d.x / INCH:g}, {d.y / INCH:g}"
            behind, at = self.behind[d.into], self.boxes[d.into]
            self.in_wood(where, behind, x - at.x, y - at.y)
            cleats = [row for row in self.rows(d.into) if row[0] < x < row[0] + row[2] and row[1] < y < row[1] + row[3]]
            if len(cleats) != 1 or not cleats[0][5]:
                self.fault(f"{where} goes through {len(cleats)} cleats")
                continue
            row = cleats[0]
            if min(x - row[0], row[0] + row[2] - x, y - row[1], row[1] + row[3] - y) < round(INCH * 0.37):
                self.fault(f"{where} is near an edge of its cleat")
            tip = round(screw_of(d.screw)[1] * INCH) + rules.piece_sink - self.least(row[5][-1])
            margin = behind.face - tip
            if margin < rules.piece_tip or margin != d.tip_margin:
                self.fault(f"{where} stops {margin / INCH:.3f} in short of the face, says {d.tip_margin / INCH:.3f}")
            for other in self.crate.drill:
                if (other.x - d.x) ** 2 + (other.y - d.y) ** 2 < round(0.57 * INCH) ** 2:
                    self.fault(f"{where} meets a mounting screw")
        for name, behind in self.behind.items():
            told = sum(d.into == name for d in self.crate.cleat_drill)
            if bool(told) is bool(behind.own) and self.crate.method != "travel":
                self.fault(f"{name} has {told} screws into it")

    def in_wood(self, where: str, behind: Behind, x: int, y: int) -> None:
        """Hold a point of a piece's back against the wood that is there: a screw in a bar keeps nearly 2 D of it."""
        edge = round(0.36 * INCH)
        for left, low, long, high in behind.wood:
            if left + edge <= x <= left + long - edge and low + edge <= y <= low + high - edge:
                return
            # Where bars meet a screw may stand in both.
        if behind.bars and self._in_corner(behind, x, y, edge):
            return
        self.fault(f"{where} stands in no wood")

    def _in_corner(self, behind: Behind, x: int, y: int, edge: int) -> bool:
        return all(
            any(a <= x + dx <= a + w and b <= y + dy <= b + h for a, b, w, h in behind.wood)
            for dx in (-edge, 0, edge)
            for dy in (-edge, 0, edge)
        )

    def battens(self) -> None:
        """Battens of a face lie flat on it, from edge to edge, over its seams, no further apart than the rule."""
        for role in ("back", "lid"):
            on_back = role == "back"
            flat = [p for p in self.of("batten", "seam batten") if (p.box.z < self.rails) is on_back]
            face = self.of(role)
            if self.crate.method == "closed":
                if flat or len(face) > 1:
                    self.fault(f"a closed crate's {role} has battens or seams")
                continue
            if len({self.goods[p.part].good for p in flat}) != 1 or len({p.box.dz for p in flat}) != 1:
                self.fault(f"battens of the {role} are not of one thickness")
            surface = face[0].box.z if on_back else face[0].box.z + face[0].box.dz
            if any((p.box.z + p.box.dz if on_back else p.box.z) != surface for p in flat):
                self.fault(f"battens do not lie on the {role}")
            self.edge_to_edge(role, [p.box for p in flat])
            self.seams(role, [p.box for p in face], flat)

    def edge_to_edge(self, role: str, flat: Sequence[Any]) -> None:
        """Two battens at the least run from edge to edge, and between them and the frame nothing is open too far."""
        t = self.shop.good(self.shop.frame.frame_good).thickness
        ways: list[tuple[list[Span], int]] = []
        for up, along, across in ((True, self.high, self.wide), (False, self.wide, self.high)):
            bands: dict[Span, list[Span]] = {}
            for b in flat:
                level, upright = (b.x, b.x + b.dx), (b.y, b.y + b.dy)
                bands.setdefault(level if up else upright, []).append(upright if up else level)
            ways.append(([band for band, runs in bands.items() if covered(runs) == [(0, along)]], across))
        bands_, across = max(ways, key=lambda way: len(way[0]))
        if len(bands_) < 2:
            self.fault(f"{len(bands_)} battens of the {role} run from edge to edge")
        edges = [(0, t), *sorted(bands_), (across - t, across)]
        widest = max(b[0] - a[1] for a, b in pairwise(edges))
        if widest > self.shop.battens.clear:
            self.fault(f"{widest / INCH:.2f} in of the {role} are open between battens")

    def seams(self, role: str, face: Sequence[Any], flat: Sequence[Any]) -> None:
        """Every seam is covered all along, by a wide batten that is centred on it wherever no other crosses."""
        wide = self.shop.battens.seam_width
        looks: tuple[Callable[[Any], tuple[int, int, int, int]], ...] = (
            lambda b: (b.x, b.x + b.dx, b.y, b.y + b.dy),
            lambda b: (b.y, b.y + b.dy, b.x, b.x + b.dx),
        )
        for look in looks:
            for one, other in combinations(face, 2):
                a, b = sorted((look(one), look(other)))
                low, high = max(a[2], b[2]), min(a[3], b[3])
                if a[1] != b[0] or low >= high:
                    continue
                crossing = [look(p.box) for p in flat if look(p.box)[0] < a[1] < look(p.box)[1]]
                runs = covered([(start, end) for _, _, start, end in crossing])
                if not any(start <= low and high <= end for start, end in runs):
                    self.fault(f"a seam of the {role} at {a[1] / INCH:g} is not covered")
                own = [look(p.box) for p in flat if p.role == "seam batten"]
                if not any(z - s == wide and abs(s + z - 2 * a[1]) <= 1 for s, z, *_ in own):
                    self.fault(f"no batten is centred on the seam of the {role} at {a[1] / INCH:g}")

    def short_parts(self) -> None:
        """Where a part is shorter than a saw takes, the step that cuts the parts has it come off a longer strip."""
        short = [p for p in self.crate.parts if max(p.length, p.width) < SHORTEST]
        told = any(step.check.startswith("parts under") and "stop block" in step.check for step in self.crate.steps)
        for part in short:
            if not told:
                self.fault(f"{part.name} is {max(part.length, part.width) / INCH:g} in long, and no step says so")

    def travel(self) -> None:
        """Every removal screw goes through a slat into a half of a cleat; those into the piece stand in its wood."""
        rules = self.shop.cleats
        for d in self.crate.drill:
            x, y = self.wide - d.x, d.y
            where = f"screw at {d.x / INCH:g}, {d.y / INCH:g}"
            halves = [p for p in self.of("french cleat") if over(p.box, x, y)]
            slats = self.stack(x, y)
            if len(halves) != 1 or halves[0].part != d.into or len(slats) != 1:
                self.fault(f"{where} goes through {len(slats)} slats into {len(halves)} halves")
                continue
            margin = self.least(slats[0]) + self.least(halves[0]) - round(screw_of(d.screw)[1] * INCH)
            if margin < rules.tip_short or margin != d.tip_margin:
                self.fault(f"{where} stops {margin / INCH:.3f} in short")
        ((name, behind),) = self.behind.items()
        at = self.boxes[name]
        for d in self.crate.cleat_drill:
            self.in_wood(
                f"a screw of a half at {d.x / INCH:g}, {d.y / INCH:g}", behind, self.wide - d.x - at.x, d.y - at.y
            )
            halves = [p for p in self.of("french cleat") if p.half == "piece" and over(p.box, self.wide - d.x, d.y)]
            if len(halves) != 1:
                self.fault(f"a screw at {d.x / INCH:g}, {d.y / INCH:g} goes through {len(halves)} halves")
        (driven,) = [step.screw for step in self.crate.steps if "screw the halves" in step.text]
        if int(driven.split()[0]) != len(self.crate.cleat_drill):
            self.fault(f"{len(self.crate.cleat_drill)} screws into {name} are placed, and {driven} driven")

    def checked(self) -> list[str]:
        """Return every fault."""
        self.nothing_meets()
        if self.crate.method == "travel":
            self.travel()
        else:
            self.mounting()
            self.heads()
            self.into_pieces()
            self.battens()
            self.faults += gear_faults(self.crate, self.shop)
        self.short_parts()
        return self.faults


def geometry_faults(crate: Any, pieces: Sequence[Any], shop: Any) -> list[str]:
    """Say what does not lie as it must in a closed or battened crate or a travel frame."""
    return Geometry(crate, pieces, shop).checked()

"""The shell: what closed and battened crates have in common, built from the outside of the back to the lid.

A method calls the steps in the order in which the crate is built; the shell remembers the depth reached so far.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Final

from nesting.advice.check import table_pounds
from nesting.advice.lifting import team_for
from nesting.base.measure import INCH, MM, format_length
from nesting.base.own_length import OwnLength
from nesting.crates.bench import Bench
from nesting.crates.gear.climate import BAND, Bag, air_inside, bag_places, bags_wanted
from nesting.crates.gear.lid import BORED, HOLE, LEDGE, Rim, bolt_places, gasket_length, reopened, unfit_bolt
from nesting.crates.load import Hung, Load
from nesting.crates.model import Bolt, Box, Drill, Fitting, Frees, Role
from nesting.crates.shells.battens import Grid, place_grid
from nesting.crates.shells.catalogue import Design, Judged, fixings_of
from nesting.crates.shells.faces import Face, around, hidden, longest_hidden, place_face
from nesting.crates.shells.frame import Frame, frame_for, strip_width, widest_strip, with_ledge
from nesting.crates.shells.liner import line
from nesting.crates.shells.mounting import Cleat, Screw, layers, pilot_text
from nesting.crates.shells.plan import Plan
from nesting.crates.traits import Packing, Refused, reason
from nesting.shop.goods import Good
from nesting.shop.needs import HOLD, PANEL, PART, THREAD, refuse_unfit
from nesting.shop.supports import unfit_back

_INNER: Final[tuple[Role, ...]] = ("lid ledge", "corner block", "gusset")
_THICK: Final = OwnLength(INCH // 2, 13 * MM)
"""Faces thicker than this take the longer of the two screws."""
_SOFT: Final[tuple[Role, ...]] = ("liner", "rail", "stile", "corner block", "back")
"""What is no wood that a bolt's tip meets behind the ledge: foam gives, and bolts keep clear of the rest."""


@dataclass(frozen=True, slots=True)
class MountedPiece:
    """How one piece is held.

    Attributes
    ----------
    hung : Hung
        The piece.
    per_cleat : int
        Mounting screws in each of its cleats.
    drill : tuple of Drill
        Where they go.
    piece_screw : Screw or None
        What holds the cleats to the piece; None where it brought its own.
    piece_drill : tuple of Drill
        Where those go, as seen from outside the back.
    blocks : int
        Setting blocks under it.
    held_by : int
        Mounting screws in its outer rows, which carry its weight.
    """

    hung: Hung
    per_cleat: int
    drill: tuple[Drill, ...]
    piece_screw: Screw | None
    piece_drill: tuple[Drill, ...]
    blocks: int
    held_by: int


@dataclass(slots=True)
class Shell:
    """A closed or battened crate while it is built.

    Attributes
    ----------
    plan : Plan
        The pieces where they hang, and their rows.
    judged : Judged
        The design that it is built to, and what was found of it.
    frame : Frame
        Strips, blocks, gussets.
    z : int
        Depth reached, from the outside of the back.
    crowded : bool
        Whether a cleat has no room for as many mounting screws as asked.
    unbolted : str
        Why its lid is screwed although it is to be opened again; empty where it is bolted or needs no bolts.
    rim : Rim or None
        The front edge as bolts of the lid see it; None where the lid is screwed.
    air : float
        Air inside, cubic metres, as it is closed.
    bags : tuple of (int, int)
        Bags of silica gel in it, and how many were wanted.
    """

    plan: Plan
    judged: Judged
    frame: Frame
    bench: Bench
    z: int = 0
    back_inside: int = 0
    glued: int = 0
    glue_runs: int = 0
    staples: int = 0
    crowded: bool = False
    drill: list[Drill] = field(default_factory=list)
    mounted: list[MountedPiece] = field(default_factory=list)
    unbolted: str = ""
    rim: Rim | None = None
    air: float = 0.0
    bags: tuple[int, int] = (0, 0)

    @classmethod
    def begin(cls, plan: Plan, judged: Judged) -> "Shell":
        """Frame the pieces of a plan for a design."""
        packing, load = plan.packing, plan.load
        behind = behind_of(plan, judged.design.layers)
        frame = frame_for(load.width, load.height, load.depth, packing.shop, packing.units, behind=behind)
        return cls(plan, judged, frame, Bench(packing.crate, packing.shop))

    @property
    def packing(self) -> Packing:
        """What was asked."""
        return self.plan.packing

    @property
    def load(self) -> Load:
        """The pieces where they hang."""
        return self.plan.load

    @property
    def cleats(self) -> tuple[tuple[Cleat, ...], ...]:
        """Rows of each piece."""
        return self.plan.cleats

    @property
    def design(self) -> Design:
        """What it is built to."""
        return self.judged.design

    @property
    def held(self) -> tuple[Good, ...]:
        """What mounting screws go through, from the outside."""
        return self.design.held

    @property
    def screw(self) -> Screw:
        """The mounting screw."""
        return self.design.screw

    @property
    def stack(self) -> tuple[Good, ...]:
        """Layers of a cleat, from the back to the piece."""
        return layers(self.design.layers, self.packing.shop)

    @property
    def behind(self) -> int:
        """From the back to a piece that hangs on cleats of the crate's making."""
        return sum(good.thickness for good in self.stack)

    def glue(self, area: int, joints: int = 1) -> None:
        """Count a glued joint."""
        self.glued += area
        self.glue_runs += joints

    def lay_grid(self, grid: Grid, face: Face, *, outwards: int) -> int:
        """Put battens on a face and count what holds them; return the thickness that they add."""
        if grid.good is None:
            return 0
        shop, units = self.packing.shop, self.packing.units
        rules = shop.battens
        add = grid.good.thickness
        at = self.z + add if outwards < 0 else self.z
        place_grid(self.bench, grid, face.name, at, outwards=outwards)
        count = {"batten": 0, "seam batten": 0}
        for batten in grid.battens:
            count[batten.role] += fixings_of(batten.rect.dx, batten.rect.dy, rules, seam=batten.role == "seam batten")
            self.glue(batten.rect.dx * batten.rect.dy)
        purposes = {
            "batten": f"battens to the {face.name}, from outside",
            "seam batten": f"seam battens, both sides of each {face.name} seam",
        }
        if rules.staple:
            for role, purpose in purposes.items():
                self.bench.fix(rules.staple, count[role], purpose)
                self.staples += count[role]
        else:
            names = (rules.screw, rules.seam_screw, *shop.cleats.screws)
            screw = longest_hidden(tuple(dict.fromkeys(names)), shop, units, grid.good, face.good)
            pilot = pilot_text(screw, units)
            for role, purpose in purposes.items():
                self.bench.fix(screw.good, count[role], purpose, pilot)
        self.z += add
        return add

    def lay_back(self, face: Face) -> None:
        """Put the back down and glue and screw it to the frame, between the ends of its battens."""
        place_face(self.bench, face, self.z)
        self.z += face.good.thickness
        self.back_inside = self.z
        self._screw_face((face.good,), "back to the frame, glued")
        frame = self.frame
        self.glue(2 * (frame.width + frame.height) * frame.thickness)

    def _screw_face(self, through: tuple[Good, ...], purpose: str, frees: Frees = "") -> None:
        joinery = self.packing.shop.joinery
        thick = sum(good.thickness for good in through) > self.packing.shop.own(_THICK)
        screw = self.packing.shop.good(joinery.face_screw_long if thick else joinery.face_screw)
        count = around(self.frame, joinery.face_screws_apart)
        self.bench.fix(screw.good, count, purpose, pilot_text(screw, self.packing.units), frees=frees)

    def stand_frame(self) -> None:
        """Stand the frame on the back: rails, stiles, corner blocks, gussets, all glued."""
        shop, frame, bench = self.packing.shop, self.frame, self.bench
        joinery = shop.joinery
        frame.place(bench, self.z)
        strip, t = frame.strip, frame.thickness
        wood = shop.good(shop.frame.frame_good)
        block = shop.good(joinery.block_good)
        corner = shop.good(joinery.corner_screw)
        bench.fix(
            corner.good,
            4 * max(2, -(-strip // (3 * joinery.corner_leg // 2))),
            "rails to stiles, clamping the glue",
            pilot_text(corner, self.packing.units),
        )
        inner = hidden(shop.good(joinery.frame_screw), self.packing.units, wood, block)
        pilot = pilot_text(inner, self.packing.units)
        blocks, gussets = frame.of("corner block"), frame.of("gusset")
        bench.fix(inner.good, 2 * len(blocks), "stiles to corner blocks", pilot)
        bench.fix(inner.good, 8 * len(gussets), "gussets, four each side of the joint", pilot)
        self.glue(4 * t * strip, 4)
        for m in blocks:
            self.glue((m.box.dx + m.box.dy) * m.box.dz)
        for m in gussets:
            self.glue(max(m.box.dx, m.box.dy) * m.box.dz)
        ledge = frame.of("lid ledge")
        for m in ledge:
            self.glue(max(m.box.dx, m.box.dy) * m.box.dz)
        around = sum(max(m.box.dx, m.box.dy) // joinery.face_screws_apart + 1 for m in ledge)
        bench.fix(inner.good, around, "frame to the lid's ledge, clear of its T-nuts", pilot)

    def line_frame(self) -> None:
        """Glue the liner into the frame; the lower strip leaves room for the setting blocks."""
        shop = self.packing.shop
        length = line(self.bench, self.frame, self.z, behind=self.behind)
        grams = -(-int(shop.joinery.foam_glue_g_m * length) // (1000 * MM))
        self.bench.use(shop.joinery.foam_glue, max(1, grams))

    def plan_lid(self, lid: Face, grid: Grid | None) -> None:
        """Give the frame a ledge for bolts, where the lid is to be opened again and has room for them."""
        if not reopened(self.packing):
            return
        shop, frame = self.packing.shop, self.frame
        self.unbolted = unfit_bolt(lid.good, frame.clear, shop, self.packing.units)
        if self.unbolted:
            return
        made = with_ledge(frame, shop.own(LEDGE), shop)
        battens = tuple(Box(r.x, r.y, 0, r.dx, r.dy, 1) for r in (b.rect for b in (grid.battens if grid else ())))
        ledge, blocks, gussets = (tuple(m.box for m in made.of(role)) for role in _INNER)
        rim = Rim(frame.width, frame.height, frame.thickness, ledge, battens, gussets, blocks, shop.units)
        if not bolt_places(rim, shop.gear.lid_apart, shop.joinery.snap):
            self.unbolted = "battens on the lid leave no places for bolts"
            return
        self.frame, self.rim = made, rim

    def close(self, lid: Face, grid: Grid | None) -> None:
        """Put the lid on over a gasket, screwed or bolted, never glued; seal what is inside it."""
        shop, frame = self.packing.shop, self.frame
        if shop.gear.climate:
            self._seal()
        self.z += frame.strip
        place_face(self.bench, lid, self.z)
        self.z += lid.good.thickness
        front = self.z
        if grid is not None:
            self.lay_grid(grid, lid, outwards=1)
        if self.rim is None:
            self._screw_face((lid.good,), "lid, never glued", "crate")
            gasket = 2 * (frame.width + frame.height)
        else:
            self._bolt_lid(self.rim, front, lid)
            gasket = gasket_length(frame.width, frame.height, frame.thickness, shop.units)
        if shop.joinery.gasket:
            self.bench.use(shop.joinery.gasket, -(-gasket // MM))

    def _bolt_lid(self, rim: Rim, front: int, lid: Face) -> None:
        """Set the bolts of the lid, whose front is at ``front``; what wood lies behind the ledge is bored for tips."""
        shop, bench = self.packing.shop, self.bench
        gear, behind = shop.gear, front - lid.good.thickness - self.frame.ledge
        bored = shop.own(BORED)
        wood = [p for p in bench.placed if p.box.z < behind <= p.box.z + p.box.dz + bored and p.role not in _SOFT]
        self.rim = rim = replace(rim, gussets=tuple(p.box for p in wood))
        for x, y in bolt_places(rim, gear.lid_apart, shop.joinery.snap):
            # The tip stands out behind the ledge: in foam, or in wood that is bored for it.
            through = (self._ending_at(front, x, y), self._ending_at(front - lid.good.thickness, x, y))
            bolt = Bolt(gear.lid_bolt, x, y, front, (0, 0, -1), through, gear.nut, hole=shop.own(HOLE), frees="crate")
            bench.bolt(bolt, "lid, bolted, never glued")

    def _ending_at(self, front: int, x: int, y: int) -> str:
        """Return the part that a point lies on, seen from the front."""
        for p in self.bench.placed:
            b = p.box
            if b.z + b.dz == front and b.x <= x <= b.x + b.dx and b.y <= y <= b.y + b.dy:
                return p.part
        raise LookupError(f"no part ends at {x}, {y}, {front}")

    def _seal(self) -> None:
        """Seal the corners, and lay silica gel behind the pieces of a crate that goes abroad."""
        packing, bench, frame = self.packing, self.bench, self.frame
        shop = packing.shop
        bead = -(-int(shop.joinery.foam_glue_g_m * 4 * frame.strip) // (1000 * MM))
        bench.use(shop.joinery.foam_glue, max(1, bead))
        solids = [p.box for p in bench.placed]
        pieces = [(hung, piece_box(self, hung)) for hung in self.load.hung]
        t = frame.thickness
        inside = Box(t, t, self.back_inside, frame.inside.width, frame.inside.height, frame.strip)
        self.air = air_inside(inside, [*solids, *(box for _, box in pieces)])
        if not shop.abroad(packing.country):
            return
        bag = Bag.of(shop.good(shop.gear.gel), shop.units)
        wanted = bags_wanted(self.air, bag, packing)
        room = [
            Box(box.x, box.y, self.back_inside, box.dx, box.dy, box.z - self.back_inside)
            for _, box in pieces
            if box.z > self.back_inside
        ]
        places = bag_places(bag, room, solids, wanted)
        self.bags = (len(places), wanted)
        for box in places:
            where = (
                f"inside of the back, left edge {format_length(box.x, packing.units, mark=True)} from the left "
                f"outside, lower edge {format_length(box.y, packing.units, mark=True)} up, seen from the front"
            )
            bench.fit(Fitting(bag.good, "gel", box, where))
            bench.use(shop.wrap.tape_good, 2 * (bag.length + 2 * shop.own(BAND)) // MM)

    def handles(self, gross_kg: float) -> int:
        """Put handles on the stiles of a crate that is neither light nor one for forks; return how many."""
        joinery = self.packing.shop.joinery
        longest = max(self.frame.width, self.frame.height)
        if team_for(gross_kg, longest, self.packing.shop.lifting) == "forks":
            return 0
        if not joinery.handle or table_pounds(gross_kg) < joinery.handles_from_lb:
            return 0
        self.bench.use(joinery.handle, 2)
        shop, units = self.packing.shop, self.packing.units
        screw = hidden(shop.good(joinery.handle_screw), units, shop.good(shop.frame.frame_good))
        pilot = pilot_text(screw, units)
        self.bench.fix(screw.good, 8, "two handles, at the height of the centre of gravity", pilot)
        return 2


def behind_of(plan: Plan, count: int) -> int:
    """Return the room from the back to the pieces: their cleats, or none where all of them bring their own."""
    if all(cleat.own for own in plan.cleats for cleat in own):
        return 0
    return sum(good.thickness for good in layers(count, plan.packing.shop))


def piece_box(shell: Shell, hung: Hung) -> Box:
    """Return the cuboid of a piece in the crate: on its cleats or its own, clear of frame and lid."""
    own = any(cleat.own for each in shell.cleats for cleat in each if cleat.hung is hung)
    a = hung.artwork
    # Cleats of its own are part of its depth: setting blocks reach under them into its cuboid.
    return Box(hung.x, hung.y, shell.back_inside + (0 if own else shell.behind), a.width, a.height, a.depth)


def refuse_deep(plan: Plan, behind: int) -> None:
    """Refuse pieces so deep that no sheet gives strips for the sides of their crate."""
    load, packing = plan.load, plan.packing
    shop = packing.shop
    strip = strip_width(load.width, load.height, load.depth, shop, behind=behind)
    widest = widest_strip(shop.frame.frame_good, shop)
    if strip > widest:
        deep, needed, most = (format_length(v, packing.units, mark=True) for v in (load.depth, strip, widest))
        accepted = (
            f"a thinner piece, or a wider sheet of {shop.frame.frame_good}: the crate's sides would be {needed} deep, "
            f"and sheets give {most}"
        )
        raise Refused(*(reason(h.artwork, "depth", f"{deep} deep", accepted) for h in load.hung))


def ask(plan: Plan, backs: Sequence[Good], battens: Sequence[Good]) -> None:
    """Refuse, all at once, what the designs of a shell ask of their materials and nobody stated.

    Raises
    ------
    UnfitMaterialError
        Every good and property.
    """
    shop = plan.packing.shop
    cleat = shop.cleats.good
    parts = (
        *(good.good for good in backs),
        cleat,
        *(name for name in (shop.cleats.second,) if name in shop.by_name),
        shop.frame.frame_good,
        shop.joinery.block_good,
        shop.frame.liner_good,
        shop.frame.lid,
    )
    first = battens[0] if battens else backs[0]
    refuse_unfit(
        shop,
        (
            *((good.good, PANEL) for good in (*backs, *battens)),
            (first.good, HOLD),
            (cleat, (*THREAD, *PANEL)),
            *((name, PART) for name in (*parts, *(good.good for good in battens))),
        ),
        (fault for hung in plan.load.hung for fault in unfit_back(hung.artwork, shop)),
    )


def too_large(plan: Plan, what: str, accepted: str) -> Refused:
    """Return the refusal of a face that no sheet takes, for each piece of the crate."""
    return Refused(*(reason(h.artwork, "method", what, accepted) for h in plan.load.hung))

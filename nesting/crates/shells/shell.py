"""The shell: what closed and battened crates have in common, built from the outside of the back to the lid.

A method calls the steps in the order in which the crate is built; the shell remembers the depth reached so far.
"""

from dataclasses import dataclass, field, replace

from nesting.advice.bending import Battens, check_back
from nesting.advice.bending import Hung as HungBack
from nesting.advice.check import Check, table_pounds
from nesting.advice.lifting import team_for
from nesting.base.measure import INCH, MM, format_length
from nesting.crates.bench import Bench
from nesting.crates.load import Hung, Load, load_of
from nesting.crates.model import Box, Drill, Frees
from nesting.crates.shells.battens import Grid, place_grid
from nesting.crates.shells.faces import Face, around, hidden, place_face
from nesting.crates.shells.frame import Frame, frame_for, strip_width, widest_strip
from nesting.crates.shells.liner import line
from nesting.crates.shells.mounting import Cleat, Screw, cleats_for, pilot_text
from nesting.crates.traits import Packing, Reason, Refused, reason
from nesting.shop.goods import Good
from nesting.shop.needs import HOLD, PANEL, PART, THREAD, panel_of, refuse_unfit
from nesting.shop.supports import unfit_back

PLAIN = Battens()
"""A back that nothing stiffens."""


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
    piece_screw : Screw
        What holds the cleats to the piece.
    piece_drill : tuple of Drill
        Where those go, as seen from outside the back.
    blocks : int
        Setting blocks under it.
    """

    hung: Hung
    per_cleat: int
    drill: tuple[Drill, ...]
    piece_screw: Screw
    piece_drill: tuple[Drill, ...]
    blocks: int


@dataclass(slots=True)
class Shell:
    """A closed or battened crate while it is built.

    Attributes
    ----------
    packing : Packing
        What was asked.
    load : Load
        The pieces where they hang.
    cleats : tuple of tuple of Cleat
        Lower and upper cleats of each piece.
    frame : Frame
        Strips, blocks, gussets.
    z : int
        Depth reached, from the outside of the back.
    """

    packing: Packing
    load: Load
    cleats: tuple[tuple[Cleat, ...], ...]
    frame: Frame
    bench: Bench
    z: int = 0
    back_inside: int = 0
    glued: int = 0
    glue_runs: int = 0
    liner: int = 0
    held: tuple[Good, ...] = ()
    screw: Screw | None = None
    drill: list[Drill] = field(default_factory=list)
    mounted: list[MountedPiece] = field(default_factory=list)
    checks: list[Check] = field(default_factory=list)

    @classmethod
    def begin(cls, packing: Packing) -> "Shell":
        """Hang the pieces, lay their cleats and frame them.

        Raises
        ------
        Refused
            Every reason why a piece cannot be mounted.
        """
        shop = packing.shop
        load = load_of(packing)
        cleats: list[tuple[Cleat, ...]] = []
        reasons: list[Reason] = []
        for hung in load.hung:
            prefix = f"{hung.artwork.piece}." if len(load.hung) > 1 else ""
            try:
                cleats.append(cleats_for(hung, shop, packing.units, prefix=prefix))
            except Refused as refused:
                reasons += refused.reasons
        if reasons:
            raise Refused(*reasons)
        behind = shop.good(shop.cleats.good).thickness
        _refuse_deep(load, packing, behind)
        frame = frame_for(load.width, load.height, load.depth, shop, packing.units, behind=behind)
        return cls(packing, load, tuple(cleats), frame, Bench(packing.crate, shop))

    @property
    def lines(self) -> tuple[int, ...]:
        """Heights of the rows of mounting screws."""
        return tuple(sorted({cleat.line for own in self.cleats for cleat in own}))

    def back_case(self, battens: Battens) -> HungBack:
        """Return how the pieces bear on the back, all together: the case that the advice judges.

        Where pieces hang one above the other, all of them are taken to bear where the farthest row from a rail does.
        """
        t = self.frame.thickness
        inside = self.frame.inside
        low = [cleat for own in self.cleats for cleat in own if not cleat.upper]
        high = [cleat for own in self.cleats for cleat in own if cleat.upper]
        below = min(max(cleat.line for cleat in low) - t, inside.height // 2)
        above = min(max(self.frame.height - t - cleat.line for cleat in high), inside.height - below)
        return HungBack(
            self.load.kg,
            inside.height,
            inside.width,
            _reach([(cleat.x, cleat.x + cleat.length) for cleat in low]),
            below,
            above,
            battens,
        )

    def by_thickness(self, *names: str) -> list[Good]:
        """Return these goods, the thinnest first, each once."""
        return sorted(map(self.packing.shop.good, dict.fromkeys(names)), key=lambda good: good.thickness)

    def check_back(self, face: Face, battens: Battens = PLAIN, over: tuple[Good, ...] = ()) -> Check:
        """Judge a back in bending, at its least thickness and with the grain that its panels must have.

        Parameters
        ----------
        over : tuple of Good
            What mounting screws go through before the back.

        Raises
        ------
        UnfitMaterialError
            All that a shell with this back asks of its materials and nobody stated.
        """
        good, shop = face.good, self.packing.shop
        self._ask(good, over)
        check = check_back(
            self.back_case(battens),
            panel_of(shop, good),
            good.least_thickness,
            shop.mounting.handling_factor,
            face.grain(shop),
            self.packing.units,
        )
        if face.seamed:
            note = f"{check.note}; the back has seams, which the formula leaves out"
            check = replace(check, note=note, verdict="watch" if check.verdict == "ok" else check.verdict)
        return check

    def _ask(self, back: Good, over: tuple[Good, ...]) -> None:
        """Refuse, all at once, what a shell with that back asks of its materials and nobody stated."""
        shop = self.packing.shop
        cleat = shop.cleats.good
        parts = (
            back.good,
            cleat,
            shop.frame.frame_good,
            shop.joinery.block_good,
            shop.frame.liner_good,
            shop.frame.lid,
        )
        refuse_unfit(
            shop,
            (
                (back.good, PANEL),
                ((*over, back)[0].good, HOLD),
                (cleat, THREAD),
                *((name, PART) for name in (*parts, *(good.good for good in over))),
            ),
            (fault for hung in self.load.hung for fault in unfit_back(hung.artwork, shop)),
        )

    def glue(self, area: int, joints: int = 1) -> None:
        """Count a glued joint."""
        self.glued += area
        self.glue_runs += joints

    def lay_grid(self, grid: Grid, face: Face, *, outwards: int) -> int:
        """Put battens on a face and count what holds them; return the thickness that they add."""
        shop, units = self.packing.shop, self.packing.units
        rules = shop.battens
        seam = bool(grid.of("seam batten"))
        plain, over = shop.good(rules.good), shop.good(rules.seam_good)
        add = over.thickness if seam else plain.thickness
        at = self.z + add if outwards < 0 else self.z
        place_grid(self.bench, grid, face.name, at, outwards=outwards)
        thin, thick = hidden(shop.good(rules.screw), units, plain, face.good), shop.good(rules.seam_screw)
        count = {"batten": 0, "seam batten": 0}
        for batten in grid.battens:
            length = max(batten.rect.dx, batten.rect.dy)
            per_row = max(2, -(-length // rules.screws_apart) + 1)
            count[batten.role] += 2 * per_row if batten.role == "seam batten" else per_row
            self.glue(batten.rect.dx * batten.rect.dy)
        pilot = pilot_text(thin, units)
        self.bench.fix(thin.good, count["batten"], f"battens to the {face.name}, from outside", pilot)
        if seam:
            hidden(thick, units, over, face.good)
            purpose = f"seam battens, both sides of each {face.name} seam"
            self.bench.fix(thick.good, count["seam batten"], purpose, pilot_text(thick, units))
        self.z += add
        return add

    def lay_back(self, face: Face, *battens: Good) -> None:
        """Put the back down and glue and screw it to the frame, through the battens that lie along its edges."""
        place_face(self.bench, face, self.z)
        self.z += face.good.thickness
        self.back_inside = self.z
        self._screw_face((face.good, *battens), "back to the frame, glued")
        frame = self.frame
        self.glue(2 * (frame.width + frame.height) * frame.thickness)

    def _screw_face(self, through: tuple[Good, ...], purpose: str, frees: Frees = "") -> None:
        joinery = self.packing.shop.joinery
        thick = sum(good.thickness for good in through) > INCH // 2
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
            self.glue((m.box.dx + m.box.dy) * strip)
        for m in gussets:
            self.glue(max(m.box.dx, m.box.dy) * strip)

    def line_frame(self) -> None:
        """Glue the liner into the frame; the lower strip leaves room for the setting blocks."""
        shop = self.packing.shop
        behind = shop.good(shop.cleats.good).thickness
        self.liner = line(self.bench, self.frame, self.z, behind=behind)
        grams = -(-int(shop.joinery.foam_glue_g_m * self.liner) // (1000 * MM))
        self.bench.use(shop.joinery.foam_glue, max(1, grams))

    def close(self, lid: Face, grid: Grid | None) -> None:
        """Put the lid on: screwed, never glued, over a gasket."""
        shop = self.packing.shop
        self.z += self.frame.strip
        place_face(self.bench, lid, self.z)
        self.z += lid.good.thickness
        through: tuple[Good, ...] = (lid.good,)
        if grid is not None:
            self.lay_grid(grid, lid, outwards=1)
            through = (lid.good, shop.good(shop.battens.good))
        self._screw_face(through, "lid, never glued", "crate")
        if shop.joinery.gasket:
            self.bench.use(shop.joinery.gasket, -(-2 * (self.frame.width + self.frame.height) // MM))

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


def _reach(stretches: list[tuple[int, int]]) -> int:
    """Return how much of a line is covered by stretches that may overlap."""
    total, at = 0, min(low for low, _ in stretches)
    for low, high in sorted(stretches):
        total += max(0, high - max(low, at))
        at = max(at, high)
    return total


def piece_box(shell: Shell, hung: Hung) -> Box:
    """Return the cuboid of a piece in the crate: on its cleats, clear of frame and lid."""
    cleat = shell.packing.shop.good(shell.packing.shop.cleats.good).thickness
    a = hung.artwork
    return Box(hung.x, hung.y, shell.back_inside + cleat, a.width, a.height, a.depth)


def _refuse_deep(load: Load, packing: Packing, behind: int) -> None:
    """Refuse pieces so deep that no sheet gives strips for the sides of their crate."""
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


def too_large(shell: Shell, what: str, accepted: str) -> Refused:
    """Return the refusal of a face that no sheet takes, for each piece of the crate."""
    return Refused(*(reason(h.artwork, "method", what, accepted) for h in shell.load.hung))

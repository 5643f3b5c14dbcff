"""Travel frame: the crate's frame, open, with slats behind and before the piece, which hangs on French cleats.

From the back: slats, one behind each pair of cleats; the frame's strips; the piece on its cleats, a finger's width of
air before its face; slats; film stapled over all of it. Nothing touches the face. The half of each French cleat that
stays on the buyer's wall travels screwed to its slat, so the piece hangs in its frame as it will hang on the wall, and
screws through the slat into the other half keep it from jumping off.
"""

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from math import ceil

from nesting.advice.bending import bending_stress, greatest_moment
from nesting.advice.check import Check, compare, table_pounds
from nesting.advice.lifting import check_lifting, lift_of_crate, team_for
from nesting.advice.mounting import check_mounting
from nesting.advice.panels import PANELS
from nesting.base.measure import INCH, MM, format_length, inches
from nesting.crates.bench import Bench
from nesting.crates.cartons.wrapping import cover
from nesting.crates.load import Hung, load_of
from nesting.crates.model import Box, Crate, Drill, Layer, Size, Work
from nesting.crates.registry import Packing, Refused, RulesClash, reason
from nesting.crates.shells.faces import longest_hidden
from nesting.crates.shells.frame import Frame, frame_for, longest_strip, splice
from nesting.crates.shells.liner import line
from nesting.crates.shells.mounting import (
    Screw,
    mounting_case,
    mounting_screw,
    mounting_stop,
    piece_screw,
    pilot_text,
    screws_a_cleat,
)
from nesting.crates.travel.french import Pair
from nesting.crates.travel.hanging import Rows, back_slat, front_slat, pairs_for, rows_for
from nesting.crates.travel.travel_steps import travel_steps
from nesting.crates.weigh import weigh
from nesting.cutting.parts import RollPart
from nesting.shop.goods import Good
from nesting.shop.surfaces import earliest_packing

_STEP = INCH // 2
_WIDEN = 4 * INCH
"""How much wider than usual a slat behind a heavy piece may get; beyond that another method serves better."""


def travel(packing: Packing) -> Crate:
    """Make the travel frame of one piece.

    Raises
    ------
    Refused
        For more than one piece (a set shares an outer case, not a frame), a piece too low for two pairs of cleats, or
        one without wood behind its face.
    RulesClash
        Where the shop's rules leave less room before the face than they ask for.
    """
    if len(packing.pieces) > 1:
        raise Refused(
            *(
                reason(each, "method", "several pieces in one travel frame", "one piece a frame; frames share a case")
                for each in packing.pieces
            )
        )
    return Made(packing).crate()


class Made:
    """A travel frame being made."""

    def __init__(self, packing: Packing) -> None:
        shop = packing.shop
        self.packing, self.shop, self.units = packing, shop, packing.units
        self.bench = Bench(packing.crate, shop)
        self.load = load_of(packing)
        self.hung: Hung = self.load.hung[0]
        self.piece = self.hung.artwork
        self.slat: Good = shop.good(shop.travel.slat_good)
        self.cleat: Good = shop.good(shop.cleats.good)
        piece = self.piece
        self.frame: Frame = frame_for(
            piece.width, piece.height, piece.depth, shop, packing.units, behind=self.cleat.thickness
        )
        self.z = self.slat.thickness
        self.air = self.frame.strip - self.cleat.thickness - piece.depth
        self.joints = splice(self.frame.width, longest_strip(self.slat.good, shop), shop.joinery.snap)
        # A plate on a back slat lies between the cleats' height and the piece, so it is thinner than they are.
        plate = shop.good(shop.travel.plate_good).thickness if self.joints else 0
        if self.air - plate < shop.wrap.film_clear or plate >= self.cleat.thickness:
            raise RulesClash(
                f"{self.mark(self.air - plate)} of air before the face of {piece.piece} in its travel frame",
                f"wrap.film_clear of {self.mark(shop.wrap.film_clear)}: enlarge frame.depth_over, or a thinner "
                "travel.plate_good than the cleat",
            )
        lift = self.frame.clear - shop.good(shop.frame.liner_good).thickness
        if lift < self.cleat.thickness:
            raise RulesClash(
                f"{self.mark(lift)} over {piece.piece} to lift it off its French cleats",
                f"{self.mark(self.cleat.thickness)} or more: enlarge frame.larger_by",
            )
        half = shop.joinery.gusset_length // 2
        self.plates = [(at - half, at + half) for at in self.joints]
        self.rows = self._rows()

    def mark(self, value: int) -> str:
        """Write a length in the order's units."""
        return format_length(value, self.units, mark=True)

    def _rows(self) -> tuple[Rows, Rows]:
        """Lay the cleats and choose their screws."""
        shop = self.shop
        self.mount: Screw = mounting_screw([self.slat], shop, self.units)
        self.behind = back_slat(self.piece, shop)
        widest = self.behind + _WIDEN
        low, high = pairs_for(self.hung, shop, self.units, self.z, self.joints, self.behind)
        # A heavier piece hangs before a wider slat, up to what still looks like a slat.
        while self._slat_stress(low) > PANELS["plywood"].along_psi and self.behind < widest:
            self.behind += _STEP
            try:
                low, high = pairs_for(self.hung, shop, self.units, self.z, self.joints, self.behind)
            except Refused:  # no room for a wider one on a low piece: the check tells
                self.behind -= _STEP
                break
        self.fix: Screw = piece_screw(self.piece, shop, self.units)
        count = screws_a_cleat(self.load.kg, self.mount, [self.slat], shop)
        return tuple(  # type: ignore[return-value]  # two in, two out
            rows_for(pair, self.hung, count, self.fix, shop, self.units) for pair in (low, high)
        )

    def _slat_stress(self, pair: Pair) -> float:
        """Return the bending stress in the slat behind a pair of cleats, in psi, with the handling factor."""
        load = table_pounds(self.load.kg) * self.shop.mounting.handling_factor / 2
        span = inches(self.frame.inside.width)
        reach = inches(sum(pair.runs[-1]) - pair.runs[0][0])
        gap = max(0.0, (span - reach) / 2)
        return bending_stress(
            load * greatest_moment(gap, gap, span), inches(self.behind), inches(self.slat.least_thickness)
        )

    def crate(self) -> Crate:
        """Put everything on the bench, weigh it and describe it."""
        shop, bench, frame = self.shop, self.bench, self.frame
        frame.place(bench, self.z)
        liner = line(bench, frame, self.z, behind=0)
        slats = self._slats()
        for rows in self.rows:
            rows.pair.place(bench, self.cleat.good, shop.saw.kerf)
        outside = Size(frame.width, frame.height, frame.strip + 2 * self.slat.thickness)
        film = shop.good(shop.wrap.film_good)
        covered = cover(outside, film, shop.wrap)
        rolls = (
            RollPart(
                f"{self.packing.crate}.film",
                covered.sheet.around,
                covered.sheet.along,
                film.good,
                lap=shop.wrap.roll_lap,
            ),
        )
        self._fixings(slats, liner, covered.staples)
        place = Box(
            self.hung.x,
            self.hung.y,
            self.z + self.cleat.thickness,
            self.piece.width,
            self.piece.height,
            self.piece.depth,
        )
        # Both halves of a French cleat are placed, so each blank counts twice on the scales, each half by its profile.
        halves = {placed.part for placed in bench.placed if placed.half}
        weighing = weigh(
            parts=[replace(part, count=2 * part.count) if part.name in halves else part for part in bench.parts],
            rolls=rolls,
            piecework=bench.piecework,
            placed=bench.placed,
            pieces=[(self.hung.weight, place)],
            outside=Box(0, 0, 0, outside.width, outside.height, outside.depth),
            shop=shop,
        )
        gross = weighing.net_kg + weighing.tare_kg
        longest = max(outside.width, outside.height)
        lift = lift_of_crate(outside.height, outside.depth, shop.lifting, handles=False)
        when, cured = earliest_packing(self.packing.pieces, shop, touches_face=False)
        checks = (*self._checks(), check_lifting(gross, longest, lift, shop.lifting, self.units))
        screws = bench.screws()
        team = team_for(gross, longest, shop.lifting)
        return Crate(
            crate=self.packing.crate,
            method="travel",
            reason=self.packing.reason,
            pieces=(self.piece.piece,),
            outside=outside,
            inside=frame.inside,
            net_kg=weighing.net_kg,
            tare_kg=weighing.tare_kg,
            destination=self.packing.destination,
            spread_kg=weighing.spread_kg,
            centre=weighing.centre,
            parts=bench.parts,
            rolls=rolls,
            piecework=bench.piecework,
            placed=tuple(bench.placed),
            pieces_placed=((self.piece.piece, place),),
            for_buyer=self._for_buyer(),
            drill=self._drill(),
            fixings=bench.fixings,
            layers=self._layers(film),
            steps=travel_steps(self, cured, slats, team),
            checks=checks,
            warnings=self._warnings(checks),
            lift=team,
            earliest_packing=when,
            work=Work(
                holes=screws,
                screws=screws,
                staples=covered.staples,
                glue_runs=len(frame.members) + 2 * len(slats[0]),
                mountings=1,
                assemblies=1,
            ),
        )

    def _slats(self) -> tuple[list[Box], list[Box]]:
        """Put down the slats; return those at the back and those at the front."""
        shop, frame, t = self.shop, self.frame, self.slat.thickness
        width, behind = front_slat(self.piece, shop), self.behind
        centres = [rows.pair.y + rows.pair.height // 2 for rows in self.rows]
        back = [self._across(centre, behind, 0) for centre in centres]
        front_z = t + frame.strip
        front = [self._across(centre, width, front_z) for centre in centres]
        if self.piece.height > shop.travel.third_from:
            middle = sum(centres) // 2
            for slats, z in ((back, 0), (front, front_z)):
                third = self._across(middle, width, z)
                if not any(third.y < slat.y + slat.dy and slat.y < third.y + third.dy for slat in slats):
                    slats.append(third)
        for slat in back:
            # Cleats run across the joint of their slat; a slat without them has plates.
            self._lay("slat-back", slat, plated=slat in back[2:])
        for slat in front:
            self._lay("slat-front", slat, plated=True)
        return back, front

    def _across(self, centre: int, width: int, z: int) -> Box:
        """Return a slat right across the frame, its middle at a height, kept within the frame."""
        y = max(0, min(centre - width // 2, self.frame.height - width))
        return Box(0, y, z, self.frame.width, width, self.slat.thickness)

    def _lay(self, name: str, slat: Box, *, plated: bool) -> None:
        """Put a slat on the bench, in several lengths where no sheet is long enough, with plates on its inner face."""
        ends = [0, *self.joints, self.frame.width]
        for start, end in pairwise(ends):
            box = Box(start, slat.y, slat.z, end - start, slat.dy, slat.dz)
            self.bench.panel(name, self.slat.good, box, "slat", flat="z", along="x")
        if not plated:
            return
        plate = self.shop.good(self.shop.travel.plate_good)
        z = slat.z + slat.dz if slat.z == 0 else slat.z - plate.thickness
        for start, end in self.plates:
            box = Box(start, slat.y, z, end - start, slat.dy, plate.thickness)
            self.bench.panel("slat-plate", plate.good, box, "gusset", flat="z", along="x")

    def _fixings(self, slats: tuple[list[Box], list[Box]], liner: int, staples: int) -> None:
        """Count screws, glue and staples."""
        shop, bench, frame = self.shop, self.bench, self.frame
        joinery, rules = shop.joinery, shop.travel
        pilot = pilot_text(shop.good(rules.slat_screw), self.units)
        ends = 2 * rules.slat_screws
        bench.fix(rules.slat_screw, ends * len(slats[0]), "back slats to the frame, glued", pilot)
        bench.fix(rules.slat_screw, ends * len(slats[1]), "front slats to the frame, not glued", pilot, frees="crate")
        bench.fix(
            joinery.corner_screw, 8, "rails to stiles, glued", pilot_text(shop.good(joinery.corner_screw), self.units)
        )
        blocks, gussets = len(frame.of("corner block")), len(frame.of("gusset"))
        joint = pilot_text(shop.good(joinery.frame_screw), self.units)
        bench.fix(joinery.frame_screw, 4 * blocks, "strips to corner blocks, glued", joint)
        bench.fix(joinery.frame_screw, 8 * gussets, "gussets over splices of the frame, glued", joint)
        if self.plates:
            # Tips must not show behind a slat: frames slide along each other.
            short = longest_hidden(shop.cleats.screws, shop, self.units, shop.good(shop.travel.plate_good), self.slat)
            plates = len(self.plates) * len([*slats[0][2:], *slats[1]])
            bench.fix(short.good, 8 * plates, "plates over splices of slats, glued", pilot_text(short, self.units))
        removal = sum(len(rows.removal) for rows in self.rows)
        mount = pilot_text(self.mount.good, self.units)
        bench.fix(
            self.mount.good.good,
            removal,
            "removal screws: slats to the piece's halves",
            mount,
            frees="piece",
            piece=self.piece.piece,
        )
        bench.fix(
            self.mount.good.good, sum(len(rows.hanging) for rows in self.rows), "slats to the buyer's halves", mount
        )
        if self.mount.washer:
            bench.use(shop.cleats.washer, removal + sum(len(rows.hanging) for rows in self.rows))
        into = sum(len(rows.into_piece) for rows in self.rows)
        bench.fix(self.fix.good.good, into, "halves to the piece", pilot_text(self.fix.good, self.units))
        bench.fix(shop.wrap.staple_good, staples, "film to the edges of the frame", frees="crate")
        glued = sum(m.box.dy * m.box.dz for m in frame.of("corner block", "gusset"))
        glued += 2 * self.frame.thickness * sum(slat.dy for slat in slats[0])
        glued += sum((b - a) * slat.dy for a, b in self.plates for slat in (*slats[0][2:], *slats[1]))
        square_metres = glued / (1000 * MM) ** 2
        bench.use(joinery.glue, ceil(square_metres * joinery.glue_g_m2))
        bench.use(joinery.foam_glue, ceil(liner / (1000 * MM) * joinery.foam_glue_g_m))

    def _drill(self) -> tuple[Drill, ...]:
        """Return the screws through the back slats, seen from outside: left and right change places."""
        wide = self.frame.width
        pilot = pilot_text(self.mount.good, self.units)
        stop = mounting_stop([self.slat], self.shop, self.units)
        points = []
        for rows in self.rows:
            blanks = sorted(
                {(p.box.x, p.box.x + p.box.dx, p.part) for p in self.bench.placed if p.half and p.box.y == rows.pair.y}
            )
            for y, xs in ((rows.pair.piece_line, rows.removal), (rows.pair.hanging_line, rows.hanging)):
                for x in xs:
                    into = next(part for low, high, part in blanks if low <= x <= high)
                    points.append(Drill(wide - x, y, into, self.mount.short, pilot, self.mount.margin, stop))
        return tuple(points)

    def _for_buyer(self) -> tuple[str, ...]:
        """List what hangs the piece on the buyer's wall."""
        told = []
        for rows in self.rows:
            for _, length in rows.pair.runs:
                told.append(
                    f"{self.piece.piece}: hanging half of a French cleat, {self.mark(length)} long, "
                    f"{self.mark(rows.pair.width)} wide, {self.cleat.title}; wall screws to suit the wall"
                )
        return tuple(told)

    def _layers(self, film: Good) -> tuple[Layer, ...]:
        """Say what lies round the piece; nothing touches its face."""
        clear = self.mark(self.air)
        return (
            Layer(self.piece.piece, "air", f"nothing touches the face: {clear} of air before it"),
            Layer(self.piece.piece, film.good, f"{film.title}, over slats and frame, stapled at the edges only"),
        )

    def _warnings(self, checks: Sequence[Check]) -> tuple[str, ...]:
        """Say what to mind."""
        name = self.piece.piece
        said = [f"{name}: {note}" for note in self.hung.weight.notes(self.units)]
        if self.piece.back.kind == "cleated":
            said.append(
                f"{name}: its own cleats are taken to be at least as deep as the shop's rule for wood; measure them"
            )
        said += [check.sentence() for check in checks if check.verdict == "fails"]
        return tuple(said)

    def _checks(self) -> tuple[Check, ...]:
        """Hold the removal screws and the slats against the hung piece."""
        shop, kg = self.shop, self.load.kg
        count = sum(len(rows.removal) for rows in self.rows)
        case = mounting_case(kg, self.mount, [self.slat])
        pulled, pulled_through, lateral = check_mounting(case, count, shop.mounting, self.units)
        held = sum(len(rows.into_piece) for rows in self.rows)
        own, _, _ = check_mounting(mounting_case(kg, self.fix, [self.cleat]), held, shop.mounting, self.units)
        factor = shop.mounting.handling_factor
        panel = PANELS["plywood"]
        stress = self._slat_stress(self.rows[0].pair)
        # Nothing hangs on these screws sideways: the piece stands on the halves below it.
        carried = "the piece stands on the hanging halves of its French cleats, which carry it"
        if self.piece.turn:
            carried += "; where the frame travels on its side, only these screws carry it along the cleats"
        return (
            pulled,
            pulled_through,
            replace(lateral, note=carried),
            replace(own, name="cleats to the piece, withdrawal", structure=False),
            compare(
                "back slat, bending",
                stress,
                panel.along_psi,
                "psi",
                formula="load x a / 2 over b t^2 / 6, a from the stile to the end of the cleat",
                source=panel.source,
                limits="a piece stiffer than its slat, which bears at the ends of its cleats; grain along the slat; at "
                "the joint of a long slat, piece and cleats must be stiff enough",
                note=f"half the piece's weight x handling factor {factor:g} on each of two slats",
                structure=True,
            ).in_system(self.units),
        )

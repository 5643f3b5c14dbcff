"""A travel frame being made: where strips, slats, cleats and the piece lie, all of it on the bench."""

from collections.abc import Sequence
from itertools import pairwise
from math import ceil

from nesting.advice.bending import bending_stress, greatest_moment
from nesting.advice.check import table_pounds
from nesting.base.measure import INCH, MM, format_length, inches
from nesting.base.own_length import OwnLength
from nesting.crates.bench import Bench
from nesting.crates.cartons.wrapping import Cover, cover
from nesting.crates.load import Hung, load_of
from nesting.crates.model import Box, Size
from nesting.crates.shells.faces import longest_hidden
from nesting.crates.shells.frame import Frame, frame_for
from nesting.crates.shells.liner import line
from nesting.crates.shells.mounting import (
    Screw,
    mounting_screw,
    pads_across,
    piece_screw,
    pilot_text,
    rows_between,
    screws_a_cleat,
)
from nesting.crates.splices import longest_strip, splice
from nesting.crates.traits import Packing, Refused, RulesClash
from nesting.crates.travel.french import Pair
from nesting.crates.travel.hanging import Rows, back_slat, front_slat, pairs_for, rows_for
from nesting.shop.goods import Good
from nesting.shop.materials import Figure
from nesting.shop.needs import HOLD, PART, SLAT, THREAD, WEIGHT, refuse_unfit, slat_of, thread_in
from nesting.shop.supports import unfit_back, wood_behind

_STEP = OwnLength(INCH // 2, 10 * MM)
_WIDEN = OwnLength(4 * INCH, 100 * MM)
"""How much wider than usual a slat behind a heavy piece may get; beyond that another method serves better."""


class TravelFrame:
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
        self._ask()
        self.bears: Figure = slat_of(shop, self.slat)
        piece = self.piece
        self.frame: Frame = frame_for(
            self.load.width, self.load.height, piece.depth, shop, packing.units, behind=self.cleat.thickness
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
        half = shop.whole(shop.joinery.gusset_length // 2)
        self.plates = [(at - half, at + half) for at in self.joints]
        self.rows = self._rows()

    def _ask(self) -> None:
        """Refuse, all at once, what the frame asks of its materials and nobody stated; its case asks for the border."""
        shop = self.shop
        others = (shop.frame.frame_good, shop.joinery.block_good, shop.frame.liner_good)
        refuse_unfit(
            shop,
            (
                (self.slat.good, (*SLAT, *HOLD)),
                (self.cleat.good, THREAD),
                *((name, PART) for name in (self.slat.good, self.cleat.good, *others)),
                (shop.wrap.film_good, WEIGHT),
            ),
            unfit_back(self.piece, shop),
        )

    def mark(self, value: int) -> str:
        """Write a length in the order's units."""
        return format_length(value, self.units, mark=True)

    def _rows(self) -> tuple[Rows, Rows]:
        """Lay the cleats and choose their screws."""
        shop = self.shop
        self.mount: Screw = mounting_screw([self.slat], shop, self.units)
        self.behind = back_slat(self.piece, shop)
        widest, step = self.behind + shop.own(_WIDEN), shop.own(_STEP)
        low, high = pairs_for(self.hung, shop, self.units, self.z, self.joints, self.behind)
        # A heavier piece hangs before a wider slat, up to what still looks like a slat.
        while self.slat_stress(low) > self.bears.value and self.behind < widest:
            self.behind += step
            try:
                low, high = pairs_for(self.hung, shop, self.units, self.z, self.joints, self.behind)
            except Refused:  # no room for a wider one on a low piece: the check tells
                self.behind -= step
                break
        self.fix: Screw = piece_screw(self.piece, shop, self.units)
        count = screws_a_cleat(self.load.kg, self.mount, [self.slat], shop)
        return tuple(  # type: ignore[return-value]  # two in, two out
            rows_for(pair, self.hung, count, self.fix, shop, self.units) for pair in (low, high)
        )

    def slat_stress(self, pair: Pair) -> float:
        """Return the bending stress in the slat behind a pair of cleats, in psi, with the handling factor."""
        load = table_pounds(self.load.kg) * self.shop.mounting.handling_factor / 2
        span = inches(self.frame.inside.width)
        reach = inches(sum(pair.runs[-1]) - pair.runs[0][0])
        gap = max(0.0, (span - reach) / 2)
        return bending_stress(
            load * greatest_moment(gap, gap, span), inches(self.behind), inches(self.slat.least_thickness)
        )

    @property
    def outside(self) -> Size:
        """Outside of the frame, slats included."""
        return Size(self.frame.width, self.frame.height, self.frame.strip + 2 * self.slat.thickness)

    @property
    def place(self) -> Box:
        """Where the piece is."""
        piece, hung = self.piece, self.hung
        return Box(hung.x, hung.y, self.z + self.cleat.thickness, piece.width, piece.height, piece.depth)

    def build(self) -> None:
        """Put everything on the bench."""
        shop, bench, frame = self.shop, self.bench, self.frame
        frame.place(bench, self.z)
        liner = line(bench, frame, self.z, behind=0)
        self.slats = self._slats()
        for rows in self.rows:
            rows.pair.place(bench, self.cleat.good, shop.saw.kerf)
        self._lay_pads()
        self.cover: Cover = cover(self.outside, shop.good(shop.wrap.film_good), shop.wrap)
        self._fixings(liner)

    def _slats(self) -> tuple[list[Box], list[Box]]:
        """Put down the slats; return those at the back and those at the front."""
        shop, frame, t = self.shop, self.frame, self.slat.thickness
        width, behind = front_slat(self.piece, shop), self.behind
        centres = [rows.pair.y + shop.whole(rows.pair.height // 2) for rows in self.rows]
        back = [self._across(centre, behind, 0) for centre in centres]
        front_z = t + frame.strip
        front = [self._across(centre, width, front_z) for centre in centres]
        for middle in self._between(centres):
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

    def _between(self, centres: Sequence[int]) -> list[int]:
        """Return the heights of slats between the two rows: as many as keep the piece's own span within the rule."""
        rows = rows_between(min(centres), max(centres), self.shop)
        if not rows and self.piece.height > self.shop.travel.third_from:
            return [self.shop.whole(sum(centres) // 2)]
        return rows

    def _lay_pads(self) -> None:
        """Put bearing pads on the slats between the rows, as thick as the cleats, clear of plates."""
        shop, bench, cleat = self.shop, self.bench, self.cleat
        count = 0
        for slat in self.slats[0][2:]:
            for x, length in pads_across(self.hung, shop):
                if any(start < x + length and x < end for start, end in self.plates):
                    continue
                wide = min(slat.dy, shop.cleats.width)
                box = Box(x, slat.y + shop.whole((slat.dy - wide) // 2), self.z, length, wide, cleat.thickness)
                bench.panel("pad", cleat.good, box, "bearing pad", flat="z", along="x")
                count += 1
        if count:
            screw = longest_hidden(shop.cleats.piece_screws, shop, self.units, cleat, self.slat)
            pilot = pilot_text(screw, self.units)
            bench.fix(screw.good, 2 * count, "bearing pads to the slats, from inside", pilot)
        self.pads = count

    def _across(self, centre: int, width: int, z: int) -> Box:
        """Return a slat right across the frame, its middle at a height, kept within the frame."""
        y = max(0, min(centre - self.shop.whole(width // 2), self.frame.height - width))
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

    def _fixings(self, liner: int) -> None:
        """Count screws, glue and staples."""
        shop, bench, frame, slats = self.shop, self.bench, self.frame, self.slats
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
        mount = pilot_text(self.mount.good, self.units, thread_in(shop, self.cleat))
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
        fixed = pilot_text(self.fix.good, self.units, wood_behind(self.piece, shop))
        bench.fix(self.fix.good.good, into, "halves to the piece", fixed)
        bench.fix(shop.wrap.staple_good, self.cover.staples, "film to the edges of the frame", frees="crate")
        glued = sum(m.box.dy * m.box.dz for m in frame.of("corner block", "gusset"))
        glued += 2 * self.frame.thickness * sum(slat.dy for slat in slats[0])
        glued += sum((b - a) * slat.dy for a, b in self.plates for slat in (*slats[0][2:], *slats[1]))
        square_metres = glued / (1000 * MM) ** 2
        bench.use(joinery.glue, ceil(square_metres * joinery.glue_g_m2))
        bench.use(joinery.foam_glue, ceil(liner / (1000 * MM) * joinery.foam_glue_g_m))

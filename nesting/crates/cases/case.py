"""An outer case being made: where its board, lumber, skids, foam and the frames in it lie, all of it on the bench."""

from dataclasses import replace
from math import ceil

from nesting.advice.tipping import half_for
from nesting.base.measure import INCH, MM, format_length
from nesting.base.own_length import OwnLength
from nesting.crates.bench import Bench
from nesting.crates.cases.attitudes import stand, standing_slats
from nesting.crates.cases.bolting import Runners, bolted, moved, reach_of, settled
from nesting.crates.cases.case_cushion import CaseCushion, Ride
from nesting.crates.cases.case_shell import CaseShell, Opening, Room, door_pull, door_screws, leaning_lbf
from nesting.crates.cases.handles import Handles, Sides, handled
from nesting.crates.cases.pads import least_pad
from nesting.crates.cases.sizes import Sizes, section_for, sizes_of
from nesting.crates.cases.upright import Footing, Upright, girdle, outriggers_for, strap, upright
from nesting.crates.gear.handles import PROUD
from nesting.crates.gear.members import Lumber, Section
from nesting.crates.gear.skids import Skids
from nesting.crates.model import Box, Frees, Size, Work
from nesting.crates.shells.mounting import pilot_text
from nesting.crates.traits import Casing, Refused, reason
from nesting.crates.weigh import PieceWeight, Weighing, part_kg, weigh
from nesting.cutting.parts import StickPart
from nesting.shop.needs import BORDER, CUSHION, HOLD, PART, WEIGHT, refuse_unfit

_M2 = (1000 * MM) ** 2
_METRE = 1000 * MM
_STEP = OwnLength(INCH // 8, 5 * MM)


class Case:
    """A case being made."""

    def __init__(
        self, casing: Casing, skids: Skids | None, *, outward: bool = False, sizes: Sizes | None = None
    ) -> None:
        shop = casing.shop
        # Whether skids that have to be moved aside for their bolts are moved outward only.
        self.outward = outward
        self.casing, self.shop, self.skids = casing, shop, skids
        self.bench = Bench(casing.crate, shop)
        self.section: Section = section_for(casing)
        self._ask()
        # The same with and without skids.
        self.sizes: Sizes = sizes or sizes_of(casing)
        self.lying: Section = self.sizes.lying
        self.contents = self.sizes.contents_kg
        self.longest = max(artwork.longest_side for artwork in casing.artworks)
        self.limit = self.sizes.limit
        self.cushion = self.sizes.least_foam
        self.board = self.sizes.board
        self.turned = self.sizes.turned
        self.opening: Opening = self.sizes.opening
        self.sides: Sides = "ends" if self.opening == "front" else "front and back"
        self.handled = skids is None and handled(self.contents, shop)
        self.reach = reach_of(self.lying, self.board, shop) if skids else 0
        self.room = self._room()
        self.rides = self._rides()

    def _ask(self) -> None:
        """Refuse, all at once, what the case asks of its materials and nobody stated."""
        rules = self.shop.case
        refuse_unfit(
            self.shop,
            (
                (rules.cushion_good, CUSHION),
                (self.section.good, (*HOLD, *WEIGHT, *BORDER)),
                *((name, PART) for name in (rules.face_good, rules.cushion_good)),
            ),
        )

    def _room(self) -> Room:
        """Return the inside of the strand board."""
        raised = self.skids.height if self.skids else 0
        aside, ahead = self._proud
        inside = self.sizes.inside
        t = self.board
        return Room(aside + t, raised + t, ahead + t, inside.width, inside.height, inside.depth)

    def _rides(self) -> tuple[Ride, ...]:
        """Stand the frames side by side on the foam, against the foam of the end that stays shut."""
        room, beds = self.room, self.sizes.beds
        x, y, z = (at + bed.depth for at, bed in zip((room.x, room.y, room.z), beds, strict=True))
        made = []
        for frame, size, turned in zip(self.casing.frames, self.sizes.frames, self.turned, strict=True):
            slats = [_moved(slat, x, y, z) for slat in standing_slats(frame, turned=turned)]
            box = Box(x, y, z, size.width, size.height, size.depth)
            back = tuple(slat for slat in slats if slat.z == z)
            made.append(Ride(frame.crate, box, back, tuple(slat for slat in slats if slat.z != z)))
            z += size.depth + self.sizes.spacer
        return tuple(made)

    @property
    def _proud(self) -> tuple[int, int]:
        """How far something reaches out at either side, and at front and back."""
        proud = self.shop.own(PROUD)
        aside = proud if self.handled and self.sides == "ends" else 0
        ahead = proud if self.handled and not aside else 0
        return aside, max(ahead, self.reach, self.skids.over if self.skids else 0)

    @property
    def body(self) -> Size:
        """Outside of the strand board."""
        return self.sizes.body

    @property
    def outside(self) -> Size:
        """Extremes, skids, outriggers and handles included."""
        body, (aside, ahead) = self.sizes.body, self._proud
        raised = self.skids.height if self.skids else 0
        return Size(body.width + 2 * aside, body.height + raised, body.depth + 2 * ahead)

    @property
    def carried(self) -> Size:
        """Its outside as it goes through a door: outriggers are off."""
        out, body = self.outside, self.body
        deep = body.depth + 2 * self.reach if self.skids else out.depth
        return Size(out.width, out.height, deep)

    @property
    def shell_box(self) -> Box:
        """Where the strand board is."""
        body, room, t = self.body, self.room, self.board
        return Box(room.x - t, room.y - t, room.z - t, body.width, body.height, body.depth)

    def footing(self, weighing: Weighing) -> Footing:
        """Return what it stands on: its skids with their outriggers, or its base."""
        body, skids = self.shell_box, self.skids
        if skids is None:
            return Footing(body.x, body.z, body.dx, body.dz, weighing.centre)
        x, y, z = weighing.centre
        found = _on_skids(skids, body.dz, max(self.reach, skids.over), (x - body.x, y, z - body.z))
        return replace(found, x=found.x + body.x, z=found.z + body.z, centre=weighing.centre)

    def braced(self, skids: Skids, weighing: Weighing) -> Skids:
        """Return skids far enough apart, with outriggers long enough, to let this case without skids stand on them.

        Their own weight lowers the centre of gravity; that of outriggers and bolts is left out, and lowers it more.
        """
        shop, body, (x, y, z) = self.shop, self.body, weighing.centre
        wood = part_kg(StickPart("skid", body.depth, shop.case.skid_good), shop) * 2 * skids.plies
        whole = weighing.net_kg + weighing.tare_kg
        height = round((whole * (y + skids.height) + wood * skids.height / 2) / (whole + wood))
        half = half_for(shop.gear.tilt, height)
        reach = reach_of(self.lying, self.board, shop)
        at = (x - self.shell_box.x, height, z - self.shell_box.z)
        left, right, _, _ = _on_skids(skids, body.depth, reach, at).halves()
        # Bolts may ask for skids a little aside, and lumber behind seams for a little more.
        step = shop.own(_STEP)
        out = min(skids.starts[0], -(-max(0, half - min(left, right)) // step) * step)
        skids = moved(skids, out)
        over = outriggers_for(_on_skids(skids, body.depth, reach, at), shop)
        return replace(skids, over=over + reach) if over else skids

    def lacking(self, weighing: Weighing) -> int:
        """Return how far outriggers must reach in all, where they are too short or missing; 0 where they do."""
        already = max(self.reach, self.skids.over if self.skids else 0)
        more = outriggers_for(self.footing(weighing), self.shop, already - self.reach) if self.skids else 0
        return already + more if more else 0

    @property
    def door_load(self) -> float:
        """What would lean on the opening face in a fall, pounds-force."""
        return leaning_lbf(self.contents, self.shop)

    @property
    def door_bears(self) -> float:
        """What the screws of the opening face bear alone, pounds-force."""
        return self.door * door_pull(self.section.good, self.shop)

    def girdled(self, found: Upright) -> bool:
        """Whether straps go level round it: those over the top of a strapped case hold its front, but no end."""
        return self.door_load > self.door_bears and not (found.on and self.opening == "front")

    def stand(self, weighing: Weighing) -> Upright:
        """Find out how it keeps upright, and put on the straps that it needs for that and for its opening face."""
        body = self.body
        found = upright(self.footing(weighing), (body.width, body.depth + 2 * self.reach), self.skids, self.shop)
        if found.on:
            strap(self.bench, self.shell_box)
        # A shop of before, which knows no gear, brings straps of its own.
        if self.girdled(found) and self.shop.gear.standing:
            girdle(self.bench, self.shell_box)
        return found

    def build(self) -> Weighing:
        """Put everything on the bench and weigh it."""
        # Foam on a slat may be taller than the slat, to either side.
        more = self.shop.whole_up(least_pad(self.sizes.beds[2].foam, self.shop) // 2)
        clear = {
            name: tuple(
                (slat.y - more - self.room.y, slat.y + slat.dy + more - self.room.y)
                for slat in slats
                if slat.dx > slat.dy
            )
            for name, slats in (("back", self.rides[0].back), ("front", self.rides[-1].front))
        }
        lumber = Lumber(self.bench, self.section)
        patterns = dict(self.casing.design.patterns)
        self.shell = CaseShell(
            self.bench, lumber, self.room, self.opening, self.lying, keep_clear=clear, patterns=patterns,
            cuts=self.casing.design.seams,
        )  # fmt: skip
        try:
            self.shell.build()
        except LookupError as error:
            size = self.body
            found = " x ".join(
                format_length(v, self.casing.units, mark=True) for v in (size.width, size.height, size.depth)
            )
            raise Refused(
                *(
                    reason(
                        artwork,
                        "method",
                        f"an outer case of {found} whose {error.args[0]} no seams divide",
                        "another method, or larger sheets of strand board",
                    )
                    for artwork in self.casing.artworks
                )
            ) from error
        self.runners: Runners | None = None
        if self.skids is not None:
            self.skids = settled(self.bench, self.skids, self.room, self.lying, outward=self.outward)
            self.runners = Runners(self.bench, self.skids, self.room, self.lying, self.board, [])
            self.runners.build()
        self.foam = CaseCushion(
            self.bench,
            self.room,
            self.rides,
            self.sizes.beds,
            self.sizes.bearing,
            self.sizes.cut,
            self.shell.lumber.boxes,
            self._over_skids(),
        )
        self.foam.build()
        self._fixings()
        self.handles: Handles | None = None
        sheets, sticks = self.bench.goods
        refuse_unfit(self.shop, ((good, PART) for good in sheets))
        refuse_unfit(self.shop, ((good, (*WEIGHT, *BORDER)) for good in sticks))
        return self.weigh()

    def grip(self, weighing: Weighing) -> Weighing:
        """Put handles on, where it has any, and weigh it again."""
        if self.handled:
            self.handles = Handles(self.bench, self.room, self.lying, self.board, self.sides)
            self.handles.build(weighing.centre[1])
        return self.weigh()

    def weigh(self) -> Weighing:
        """Weigh it as it stands on the bench."""
        outside = self.outside
        return weigh(
            parts=self.bench.parts,
            sticks=self.bench.sticks,
            piecework=self.bench.piecework,
            placed=self.bench.placed,
            pieces=[
                (PieceWeight(frame.net_kg), box)
                for frame, (_, box) in zip(self.casing.frames, self.pieces(), strict=True)
            ],
            inner=[
                (frame.tare_kg, frame.spread_kg, ride.box)
                for frame, ride in zip(self.casing.frames, self.rides, strict=True)
            ],
            outside=Box(0, 0, 0, outside.width, outside.height, outside.depth),
            shop=self.shop,
        )

    @property
    def work(self) -> Work:
        """What is done by hand."""
        bench, screws = self.bench, self.bench.screws()
        return Work(
            holes=screws,
            screws=screws,
            glue_runs=len(self.shell.lumber.boxes) + sum(1 for placed in bench.placed if placed.role == "cushion"),
            assemblies=1,
            bolts=len(bench.bolts),
            fittings=len(bench.fittings),
            seals=int(bool(self.shop.joinery.gasket)),
        )

    def _over_skids(self) -> tuple[int, ...]:
        """Return the middle of each skid, over which the foam of the base lies."""
        skids = self.skids
        return tuple(start + skids.wide // 2 for start in skids.starts) if skids else ()

    def pieces(self) -> list[tuple[str, Box]]:
        """Return where the artworks are."""
        return [
            (piece, _moved(stand(box, frame.outside, turned=turned), ride.box.x, ride.box.y, ride.box.z))
            for frame, ride, turned in zip(self.casing.frames, self.rides, self.turned, strict=True)
            for piece, box in frame.pieces_placed
        ]

    def _fixings(self) -> None:
        """Count screws, glue, gasket and handles."""
        shop, bench, shell, units = self.shop, self.bench, self.shell, self.casing.units
        joinery, rules = shop.joinery, shop.case

        def fix(good: str, count: int, purpose: str, frees: Frees = "") -> None:
            bench.fix(good, count, purpose, pilot_text(shop.good(good), units), frees=frees)

        # Two at each of the four corners of both rings and at each end of the four posts.
        fix(joinery.corner_screw, 2 * 8 + 2 * 8, "lumber to lumber, glued")
        seam_members = sum(len(face.pattern.seams) for face in shell.faces if not face.opens)
        fix(joinery.corner_screw, 4 * seam_members, "seam lumber to the edges, glued")
        fix(
            joinery.frame_screw, 8 * shell.lumber.splices if not self.section.plies else 0, "plates over splices, glued"
        )
        apart = joinery.face_screws_apart
        fixed = sum(-(-face.perimeter // apart) for face in shell.faces if not face.opens)
        fix(joinery.face_screw, fixed, "strand board to lumber, glued")
        fix(joinery.face_screw, 2 * -(-shell.seam_run // apart), "both sides of the seams, glued")
        self.door = door_screws(shell.door.perimeter, shop, ceil(self.door_load / door_pull(self.section.good, shop)))
        fix(rules.door_screw, self.door, f"opening {'end' if self.opening == 'end' else 'front'}, never glued", "crate")
        bench.use(shop.cleats.washer, self.door)
        if joinery.gasket:
            bench.use(joinery.gasket, ceil(shell.door.perimeter / MM))
        glued = shell.lumber.glued + sum(
            max(box.dx, box.dy, box.dz) * self.section.breadth for box in shell.lumber.boxes
        )
        if self.skids is not None and self.runners is not None:
            plies = self.skids.plies
            if bolted(self.runners.spots):
                fix(joinery.corner_screw, 8 * (plies - 1), "pieces of a skid to each other, glued")
                fix(joinery.corner_screw, 4, "skids from inside through the base, to hold them while they are drilled")
            else:
                fix(joinery.corner_screw, 8 * plies, "skids from inside through the base, and each other")
            glued += self.runners.glued
        bench.use(joinery.glue, ceil(glued / _M2 * joinery.glue_g_m2))
        bench.use(joinery.foam_glue, ceil(self.foam.run / _METRE * joinery.foam_glue_g_m))


def _on_skids(skids: Skids, depth: int, over: int, centre: tuple[int, int, int]) -> Footing:
    """Return what a case on skids stands on, from the lower left corner of its back."""
    wide = skids.starts[1] + skids.wide - skids.starts[0]
    return Footing(skids.starts[0], -over, wide, depth + 2 * over, centre)


def _moved(box: Box, x: int, y: int, z: int) -> Box:
    """Return a box moved by so much."""
    return Box(box.x + x, box.y + y, box.z + z, box.dx, box.dy, box.dz)

"""The catalogue of shells: which backs, battens, cleats and screws are tried together, and the few worth building.

Every design of a family is held against the same checks; those that pass are ordered by a judge that somebody hands in
(:class:`nesting.crates.judge.Judge`). Only designs that no other beats in both cost and weight are kept. Where none
passes, the one that comes nearest is built, and its crate is held.
"""

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import inf
from typing import Final

from nesting.advice.backs import LID, Back, Ribs, Row, Way, check_back, check_joint, check_row
from nesting.advice.check import KG_PER_LB, Check, table_pounds
from nesting.advice.weights import cuboid_kg
from nesting.base.measure import INCH, format_length, format_weight
from nesting.crates.judge import Bill, Judge
from nesting.crates.model import Designed
from nesting.crates.shells.battens import (
    FEWEST,
    Grid,
    Lay,
    bands_of,
    fits,
    grid_for,
    longest_batten,
    open_most,
    set_out,
)
from nesting.crates.shells.faces import Face, around
from nesting.crates.shells.frame import Frame, strip_width
from nesting.crates.shells.mounting import (
    BESIDE,
    Cleat,
    Depth,
    Screw,
    depth_of,
    layers,
    mounting_screw,
    screw_edge,
    screws_a_cleat,
)
from nesting.crates.shells.plan import Plan
from nesting.crates.traits import Refused, RulesClash, reason
from nesting.shop.goods import Good
from nesting.shop.house_rules import BattenRules
from nesting.shop.needs import density_of, panel_of
from nesting.shop.shop import Shop

MORE: Final = 5
"""How many battens beyond the fewest are tried."""

_LAYERS: Final = (1, 2, 3)
"""Cleats of one layer, with a thin second one, and of two alike."""


@dataclass(frozen=True, slots=True)
class Design:
    """One design of a shell.

    Attributes
    ----------
    back : Face
        Back and how it is divided.
    lay : Lay or None
        Its battens; None for a plain back.
    layers : int
        Of its cleats, as for :func:`nesting.crates.shells.mounting.layers`.
    screw : Screw
        Mounting screw.
    """

    back: Face
    lay: Lay | None
    layers: int
    screw: Screw

    @property
    def held(self) -> tuple[Good, ...]:
        """What mounting screws go through, from the outside."""
        return held_of(self.back, self.lay)

    @property
    def key(self) -> str:
        """Equal for equal designs."""
        battens = ""
        if self.lay is not None:
            over = len({s.at for s in self.back.pattern.seams if s.runs == self.lay.runs})
            way = "u" if self.lay.runs == "y" else "b" if self.lay.beside else "l"
            cross = "x" if self.lay.rows else ""
            battens = f"-{way}{_digits(self.lay.good)}w{self.lay.width * 100 // INCH}n{len(self.lay.at) + over}{cross}"
        return f"b{_digits(self.back.good)}{battens}-c{self.layers}"

    def text(self, plan: Plan) -> str:
        """Say in a few words what it is."""
        units = plan.packing.units
        cleat = " + ".join(good.good for good in layers(self.layers, plan.packing.shop))
        told = [f"back {self.back.good.good}", f"cleats {cleat}", f"screws {self.screw.told}"]
        if self.lay is not None:
            over = len({s.at for s in self.back.pattern.seams if s.runs == self.lay.runs})
            way = "uprights" if self.lay.runs == "y" else "crosspieces"
            wide = format_length(self.lay.width, units, mark=True)
            told.insert(1, f"{len(self.lay.at) + over} {way} {self.lay.good.good} {wide} wide")
            if self.lay.rows:
                told.insert(2, "crosspieces under the rows of screws")
        if smaller := plan.packing.shell.larger_by:
            told.append(f"frame {format_length(smaller, units, mark=True)} larger than what hangs in it")
        return ", ".join(told)


def _digits(good: Good) -> str:
    return "".join(c for c in good.good if c.isdigit()) or good.good


@dataclass(frozen=True, slots=True)
class Judged:
    """A design with what was found of it.

    Attributes
    ----------
    design : Design
        It.
    back : Back
        Its back as the advice judges it.
    checks : tuple of Check
        Of its structure.
    worst : float
        The greatest ratio of demand to capacity; it passes up to 1.
    bill : Bill
        What it takes beside the lid, which is the same for all.
    cost : int
        By the judge.
    minutes : float
        Of work by hand, by the judge's lights.
    """

    design: Design
    back: Back
    checks: tuple[Check, ...]
    worst: float
    bill: Bill
    cost: int
    minutes: float

    @property
    def passes(self) -> bool:
        """Whether every check holds."""
        return all(check.verdict != "fails" for check in self.checks)

    def designed(self, plan: Plan, than: "Judged", tare_kg: float) -> Designed:
        """Return what the crate bears of it, its tare told from that of the design that was built."""
        design = self.design
        return Designed(
            design.key,
            design.back.good.good,
            design.lay.good.good if design.lay is not None else "",
            1 if design.layers == 1 else 2,
            design.text(plan),
            tare_kg + (self.bill.grams - than.bill.grams) / 1000,
            round(self.minutes, 1),
            self.cost,
        )


@dataclass(frozen=True)
class Catalogue:
    """What designs of one shell are made of and judged by.

    Attributes
    ----------
    plan : Plan
        Pieces and rows.
    backs : tuple of Face
        The backs that may be taken, the thinnest first.
    frame : Frame
        With one layer of cleats; its faces are the same for all designs.
    battened : bool
        Whether the back has battens.
    """

    plan: Plan
    backs: tuple[Face, ...]
    frame: Frame
    battened: bool

    @property
    def judge(self) -> Judge:
        """Who judges."""
        return self.plan.packing.judge

    @cached_property
    def goods(self) -> tuple[Good, ...]:
        """What battens may be ripped from, the thinnest first."""
        shop = self.plan.packing.shop
        rules = shop.battens
        # A good of the list that the shop does not stock is passed over; the one good is asked for by name.
        names = (rules.good,) if rules.good else [name for name in rules.goods if name in shop.by_name]
        return tuple(sorted(map(shop.good, dict.fromkeys(names)), key=lambda good: good.thickness))

    def short_list(self) -> tuple[Judged, ...]:
        """Return the designs that pass and that none beats in cost and weight, the cheapest first; then all others.

        Those that pass come before those that do not, the nearest of these first.

        Raises
        ------
        RulesClash
            Where no screw and no batten of the shop's rules go together with any back.
        """
        found: list[Judged] = []
        clash: RulesClash | None = None
        for family in self._families():
            for design in family:
                if isinstance(design, RulesClash):
                    clash = design
                    continue
                found.append(judged := self.judged(design))
                if judged.passes:
                    # More battens of the same kind only cost more.
                    break
        if not found and clash is not None:
            self._refuse_thin(clash)
        if not found:
            raise clash or RulesClash("no battens of the shop's rules lie on this face", "other rules under [battens]")
        passing = sorted((each for each in found if each.passes), key=lambda j: (j.cost, j.bill.grams, j.design.key))
        failing = sorted(
            (each for each in found if not each.passes), key=lambda j: (j.worst, j.cost, j.bill.grams, j.design.key)
        )
        kept: list[Judged] = []
        for each in passing:
            if all(each.bill.grams < other.bill.grams for other in kept):
                kept.append(each)
        return (*kept, *(each for each in passing if each not in kept), *failing)

    def _refuse_thin(self, clash: RulesClash) -> None:
        """Refuse pieces whose own cleats take no screw of the shop's: no rule of the shop mends them."""
        units = self.plan.packing.units
        own = {cleat.hung.artwork.piece: cleat for each in self.plan.cleats for cleat in each if cleat.own}
        if own:
            raise Refused(
                *(
                    reason(
                        cleat.hung.artwork,
                        "back",
                        f"cleats of its own {format_length(cleat.own, units, mark=True)} thick: {clash.found}",
                        f"thicker ones, or {clash.accepted}",
                    )
                    for cleat in own.values()
                )
            )

    def _families(self) -> Iterator[Iterator[Design | RulesClash]]:
        """Yield designs that differ in the number of battens only, the fewest first."""
        shop = self.plan.packing.shop
        for back in self.backs:
            if not self.battened:
                yield self._with_cleats(back, None)
                continue
            thinnest = shop.good(shop.battens.seam_good).thickness if back.seamed else 0
            goods = [g for g in self.goods if g.thickness >= thinnest] or [shop.good(shop.battens.seam_good)]
            for good in goods:
                for width in dict.fromkeys((shop.battens.width, shop.battens.seam_width)):
                    for cross in (False, True):
                        yield self._uprights(back, good, width, cross=cross)
                    yield self._level(back, good, width)
                    yield self._level(back, good, width, beside=True)

    def _uprights(self, back: Face, good: Good, width: int, *, cross: bool) -> Iterator[Design | RulesClash]:
        """Yield designs with more and more uprights."""
        plan, shop = self.plan, self.plan.packing.shop
        seams = sorted({s.at for s in back.pattern.seams if s.runs == "y"})
        tried = 0
        for extra in range(max(0, FEWEST - len(seams)), 40):
            lay = Lay(
                "y",
                set_out(plan.width, self.frame.thickness, seams, extra, width, shop),
                width,
                good,
                plan.lines if cross else (),
            )
            if not fits(lay, back.pattern, plan.width, shop):
                return
            if not self.near_enough(lay, back, plan.width):
                continue
            yield from self._with_cleats(back, lay)
            tried += 1
            if tried > MORE:
                return

    def _level(self, back: Face, good: Good, width: int, *, beside: bool = False) -> Iterator[Design | RulesClash]:
        """Yield the design with a crosspiece under or beside every row, and as many between as the rule asks."""
        plan, shop = self.plan, self.plan.packing.shop
        seams = {s.at for s in back.pattern.seams if s.runs == "x"}
        half = shop.whole(width // 2)
        room = -(-(half + room_for_washers(shop)) // shop.joinery.snap) * shop.joinery.snap
        at = list(plan.lines)
        if beside:
            upper = {cleat.line for each in plan.cleats for cleat in each if cleat.upper}
            at = [line - room if line in upper else line + room for line in plan.lines]
        for _ in range(40):
            lay = Lay("x", tuple(sorted(at)), width, good, beside=beside)
            if not fits(lay, back.pattern, plan.height, shop):
                return
            near = room - half
            if beside and any(
                low - near < line < high + near
                for low, high in bands_of(lay, back.pattern, shop)
                for line in plan.lines
            ):
                return
            if self.near_enough(lay, back, plan.height):
                yield from self._with_cleats(back, lay)
                return
            bands = bands_of(lay, back.pattern, shop)
            edges = [(0, self.frame.thickness), *bands, (plan.height - self.frame.thickness, plan.height)]
            low, high = max(itertools.pairwise(edges), key=lambda pair: pair[1][0] - pair[0][1])
            middle = (low[1] + high[0]) // 2 // shop.joinery.snap * shop.joinery.snap
            if middle in at or middle in seams:
                return
            at.append(middle)

    def near_enough(self, lay: Lay, face: Face, across: int) -> bool:
        """Whether the battens of a face lie as near as the shop's rules ask, and are enough to lie flat on."""
        shop = self.plan.packing.shop
        bands = bands_of(lay, face.pattern, shop)
        centres = [0, *((a + z) // 2 for a, z in bands), across]
        apart = max(b - a for a, b in itertools.pairwise(centres))
        return (
            len(bands) >= FEWEST
            and open_most(across, self.frame.thickness, bands) <= shop.battens.clear
            and (not shop.battens.spacing or apart <= shop.battens.spacing + shop.joinery.snap)
        )

    def _with_cleats(self, back: Face, lay: Lay | None) -> Iterator[Design | RulesClash]:
        """Yield the design with the least layers of cleats that a mounting screw goes into."""
        held = held_of(back, lay)
        # Hundreds of designs differ in their battens, and screws go through the same few panels.
        names = tuple(good.good for good in held)
        if names not in self._screws:
            self._screws[names] = self._screwed(held)
        found = self._screws[names]
        if isinstance(found, RulesClash):
            yield found
        elif found is not None:
            yield Design(back, lay, *found)

    @cached_property
    def _screws(self) -> dict[tuple[str, ...], tuple[int, Screw] | RulesClash | None]:
        """Layers of cleats and mounting screw by the goods that the screws go through."""
        return {}

    def _screwed(self, held: tuple[Good, ...]) -> tuple[int, Screw] | RulesClash | None:
        """Return the least layers of cleats that a mounting screw through these goes into, and the screw."""
        plan = self.plan
        shop, units = plan.packing.shop, plan.packing.units
        every = [cleat for each in plan.cleats for cleat in each]
        clash: RulesClash | None = None
        for count in _LAYERS:
            if count == 2 and shop.cleats.second not in shop.by_name:
                continue
            stack = layers(count, shop)
            into = depth_of(stack, every, shop.units)
            if any(not cleat.own for cleat in every):
                into = Depth(min(into.least, Depth.of(stack).least), into.greatest)
            try:
                return count, mounting_screw(held, shop, units, into=into, own=all(cleat.own for cleat in every))
            except RulesClash as found:
                clash = found
        return clash

    def grid(self, design: Design) -> Grid | None:
        """Return the battens of a design."""
        if design.lay is None:
            return None
        return grid_for(design.back.pattern, self.plan.width, self.plan.height, design.lay, self.plan.packing.shop)

    def judged(self, design: Design) -> Judged:
        """Hold a design against its checks and its cost."""
        back = self.back_of(design)
        checks = self.checks(design, back)
        worst = max((inf if check.ratio is None else check.ratio for check in checks), default=0.0)
        bill = self.bill(design)
        return Judged(design, back, checks, worst, bill, self.judge.cost(bill), self.judge.hand_minutes(bill))

    def back_of(self, design: Design) -> Back:
        """Return a design's back as the advice judges it."""
        plan, shop, face, lay = self.plan, self.plan.packing.shop, design.back, design.lay
        seams: set[Way] = {"up" if s.runs == "x" else "level" for s in face.pattern.seams}
        ribs: Ribs | None = None
        if lay is not None:
            way: Way = "up" if lay.runs == "y" else "level"
            length = plan.height if way == "up" else plan.width
            if length <= longest_batten(lay.good, shop):
                bands = bands_of(lay, face.pattern, shop)
                ribs = Ribs(
                    way,
                    widest_lane([(a + z) // 2 for a, z in bands], plan.span),
                    lay.width if lay.at else shop.battens.seam_width,
                    lay.good.least_thickness,
                    panel_of(shop, lay.good),
                    whole=way not in seams,
                )
        return Back(panel_of(shop, face.good), face.good.least_thickness, face.grain(shop), ribs, frozenset(seams))

    def checks(self, design: Design, back: Back) -> tuple[Check, ...]:
        """Return what a design's back, cleats and joints are found to bear."""
        plan, shop, units = self.plan, self.plan.packing.shop, self.plan.packing.units
        pull = plan.pull
        factor, duration = shop.mounting.handling_factor, shop.mounting.duration_factor
        made = list(check_back(pull, back, factor, duration, units))
        if back.ribs is not None and back.ribs.way == "up":
            lay = design.lay
            cross: tuple[int, int] | tuple[()] = (lay.width, lay.good.least_thickness) if lay and lay.rows else ()
            row = Row(
                back.ribs.lane,
                min(c.width for own in plan.cleats for c in own),
                min(depth_of(layers(design.layers, shop), own, shop.units).least for own in plan.cleats),
                panel_of(shop, shop.good(shop.cleats.good)),
                cross,
                back.ribs.panel,
            )
            found = check_row(pull, back, row, factor, duration, units)
            made += [found] if found is not None else []
        made.append(check_joint(pull, self.frame.thickness, factor, duration, units))
        return tuple(made)

    def bill(self, design: Design) -> Bill:
        """Return what a design takes; what is the same for every design is left out."""
        plan, shop = self.plan, self.plan.packing.shop
        areas: dict[str, int] = {}

        def add(good: Good, area: int) -> None:
            areas[good.good] = areas.get(good.good, 0) + area

        add(design.back.good, plan.width * plan.height)
        parts = len(design.back.pattern.panels)
        grid = self.grid(design)
        screws = glue = staples = 0
        if grid is not None and grid.good is not None:
            for batten in grid.battens:
                add(grid.good, batten.rect.dx * batten.rect.dy)
                count = fixings_of(batten.rect.dx, batten.rect.dy, shop.battens, seam=batten.role == "seam batten")
                screws, staples = (screws, staples + count) if shop.battens.staple else (screws + count, staples)
            glue += len(grid.battens)
            parts += len(grid.battens)
        stack = layers(design.layers, shop)
        for own in plan.cleats:
            for cleat in own:
                if not cleat.own:
                    for good in stack:
                        add(good, cleat.length * cleat.width)
                    parts += len(stack)
                    glue += len(stack) - 1
        behind = sum(good.thickness for good in stack)
        strip = strip_width(plan.load.width, plan.load.height, plan.load.depth, shop, behind=behind)
        add(shop.good(shop.frame.frame_good), 2 * (plan.width + plan.height) * strip)
        add(shop.good(shop.frame.liner_good), 2 * (plan.width + plan.height) * strip)
        holes = screws
        for hung, own in zip(plan.load.hung, plan.cleats, strict=True):
            count = len(own) * screws_a_cleat(hung.weight.kg, design.screw, design.held, shop, cleats=outer_rows(own))
            screws += count
            holes += 2 * count
        screws += around(self.frame, shop.joinery.face_screws_apart)
        grams = sum(
            round(cuboid_kg(density_of(shop, shop.good(good)), area, 1, shop.good(good).thickness) * 1000)
            for good, area in areas.items()
        )
        each = {design.screw.good.good: screws}
        return Bill(
            areas, each, {"hole": holes, "screw": screws, "staple": staples, "glue_run": glue, "part": parts}, grams
        )


def held_of(back: Face, lay: Lay | None) -> tuple[Good, ...]:
    """Return what mounting screws go through, from the outside: the back, and battens that lie under their rows."""
    return (lay.good, back.good) if lay is not None and lay.through else (back.good,)


def room_for_washers(shop: Shop) -> int:
    """Return how far from a batten that it does not go through a mounting screw stands."""
    washer = shop.good(shop.cleats.washer).breadth // 2 if shop.cleats.washer else 0
    return shop.whole_up(max(washer, screw_edge(shop)) + shop.own(BESIDE))


def outer_rows(own: Sequence[Cleat]) -> int:
    """Return how many cleats of a piece lie in its outer rows: what the whole of its weight hangs on."""
    return sum(not cleat.middle for cleat in own)


def fixings_of(dx: int, dy: int, rules: BattenRules, *, seam: bool) -> int:
    """Return how many screws or staples clamp a batten while its glue sets; two rows over a seam."""
    apart = rules.staples_apart if rules.staple else rules.screws_apart
    row = max(2, -(-max(dx, dy) // apart) + 1)
    return 2 * row if seam else row


def widest_lane(centres: Sequence[int], span: tuple[int, int]) -> int:
    """Return the widest strip that one of some lines serves of a span, each as far as half-way to the next."""
    start, end = span
    inner = sorted(at for at in centres if start < at < end) or [(start + end) // 2]
    bounds = [start, *((a + b) // 2 for a, b in itertools.pairwise(inner)), end]
    return max(b - a for a, b in itertools.pairwise(bounds))


def would_pass(checks: Sequence[Check], plan: Plan) -> str:
    """Say what would pass where no design does."""
    units = plan.packing.units
    failing = [check for check in checks if check.structure and check.verdict == "fails" and check.name != LID]
    if not failing:
        return "a thicker lid in the shop's rules, or a battened one"
    worst = max(check.ratio or inf for check in failing)
    most = format_weight(table_pounds(plan.load.kg / worst) // 1 * KG_PER_LB, units, mark=True)
    if worst == inf:
        return "sheets as long as the back, or battens as long, among the shop's goods"
    several = ", one crate for each piece" if len(plan.load.hung) > 1 else ""
    goods = "thicker or larger sheets among the shop's goods"
    return f"at most {most} in a crate of this size{several}, or {goods}"

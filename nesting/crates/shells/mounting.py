"""Mounting: cleats on the back of a piece, screws through the crate's back into them, blocks under the lower one.

Every screw is chosen so that its tip stays short of the artwork at the least thickness that the panels may have, and so
that enough thread is left at their greatest. Points keep away from cleat ends, joints, seam battens and other screws.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from nesting.advice.fasteners import Wood, distances, pilot_hole, screw_number
from nesting.advice.mounting import Mounting, screws_needed
from nesting.base.measure import INCH, MM, UnitSystem, format_length, inches
from nesting.base.own_length import OwnLength
from nesting.crates.load import Hung
from nesting.crates.shells.piece_back import (
    FACE_LESS,
    back_stated,
    bar_rects,
    own_cleats,
    refuse_hollow,
    screw_row,
    to_face,
    wood_depth,
)
from nesting.crates.shells.seams import Interval
from nesting.crates.splices import longest_strip, splice
from nesting.crates.traits import Refused, RulesClash, reason
from nesting.order import Artwork
from nesting.shop.goods import Good
from nesting.shop.needs import en_values, gravity_of, thread_in
from nesting.shop.shop import Shop
from nesting.shop.supports import wood_behind

_SPACINGS: Final = 16
_STARTS: Final = 24
"""Spacings, and first places for each, that are tried before screws are set out one by one."""

BESIDE: Final = OwnLength(INCH // 8, 3 * MM)
"""What a washer keeps from the side of a batten, beyond its own half."""

WASHER: Final = OwnLength(INCH // 16, 3 * MM // 2)
"""What the washer under a mounting screw's head takes off its reach, at the most."""


THIN: Final = OwnLength(3 * INCH // 8, 9 * MM)
"""Thickest panel that is never countersunk."""


@dataclass(frozen=True, slots=True)
class Cleat:
    """A mounting cleat, in frame coordinates.

    Attributes
    ----------
    name : str
        Short name, such as ``"cleat-low"``.
    x, y, length, width : int
        Where it lies on the back.
    line, piece_line : int
        Heights of the row of mounting screws and of the row of screws into the piece.
    upper : bool
        Whether it is of the upper row.
    middle : bool
        Whether it is of a row between the lower and the upper one.
    own : int
        Thickness of a cleat that came with the piece, which the crate does not make; 0 for one that it does.
    """

    name: str
    hung: Hung
    x: int
    y: int
    length: int
    width: int
    line: int
    piece_line: int
    upper: bool
    middle: bool = False
    own: int = 0


@dataclass(frozen=True, slots=True)
class Screw:
    """A screw chosen for its length.

    Attributes
    ----------
    good : Good
        What it is.
    thread : int
        Least thread in what holds it.
    margin : int
        Least distance of its tip from what it must not reach.
    washer : bool
        Whether a loose washer goes under its head.
    """

    good: Good
    thread: int
    margin: int
    washer: bool = False

    @property
    def number(self) -> int:
        """Number of the screw."""
        return screw_number(self.good.diameter_in)

    @property
    def short(self) -> str:
        """How a builder writes it by inches, and the build's file of any screw: ``#10 x 1-1/4``."""
        return f"#{self.number} x {format_length(self.good.breadth).replace(' ', '-')}"

    @property
    def told(self) -> str:
        """How people read it: ``5 x 30`` where it is sold by millimetres."""
        if self.good.is_metric:
            return f"{self.good.diameter_in * 25.4:.3g} x {format_length(self.good.breadth, 'metric')}"
        return self.short


def pilot_drill(screw: Good, units: UnitSystem, into: Wood | None = None) -> int:
    """Return the pilot drill for a screw in plywood and softwood, or into a wood that is known."""
    pilot = pilot_hole(screw_number(screw.diameter_in), hard=into is not None and into.hard)
    return pilot.drill_metric if units == "metric" else pilot.drill


def pilot_text(screw: Good, units: UnitSystem, into: Wood | None = None) -> str:
    """Write the pilot drill for a screw."""
    return format_length(pilot_drill(screw, units, into), units, denominator=64, mark=True)


def screw_edge(shop: Shop) -> int:
    """Return the distance that screws keep from an edge along the grain, for the thickest screw that may be used."""
    numbers = [screw_number(shop.good(n).diameter_in) for n in (*shop.cleats.screws, *shop.cleats.piece_screws)]
    return distances(max(numbers)).edge


@dataclass(frozen=True, slots=True)
class Pad:
    """A bearing pad behind a piece, which pushes and never pulls; in frame coordinates."""

    name: str
    x: int
    y: int
    length: int
    width: int


def cleats_for(hung: Hung, shop: Shop, units: UnitSystem, *, prefix: str = "", tied: bool = False) -> tuple[Cleat, ...]:
    """Lay the mounting cleats across the back of a piece, end to end where the stock is short.

    Parameters
    ----------
    tied : bool
        Whether cleats, and not pads, lie between the lower and the upper one.

    Raises
    ------
    Refused
        Where the piece has no wood for their screws, or is too small for two cleats.
    """
    rules, piece, snap = shop.cleats, hung.artwork, shop.joinery.snap
    reasons = refuse_hollow(piece, shop, units)
    if own := own_cleats(piece):
        if reasons:
            raise Refused(*reasons)
        return tuple(
            Cleat(
                name=f"{prefix}own-cleat-{'high' if number else 'low'}",
                hung=hung,
                x=hung.x,
                y=hung.y + y,
                length=piece.width,
                width=width,
                line=shop.near(hung.y + y + width // 2),
                piece_line=shop.near(hung.y + y + width // 2),
                upper=number > 0,
                own=thickness,
            )
            for number, (y, width, thickness) in enumerate(own)
        )
    bars = back_stated(piece, shop).bar_width
    inset = rules.inset_edge
    if bars:
        # The row of screws stands in the middle of the bar, and the cleat keeps its own wood round it.
        inset = max(0, min(inset, shop.whole(bars // 2 - screw_edge(shop))))
    wide, high = shop.whole(piece.width), shop.whole(piece.height)
    inset = min(inset, shop.whole((high - rules.gap_least - 2 * rules.width_least) // 2))
    ends = min(rules.inset_ends, max(0, shop.whole((wide - rules.length_least) // 2)))
    length = wide - 2 * ends
    if inset < 0 or length < rules.length_least:
        least = [rules.length_least, 2 * rules.width_least + rules.gap_least]
        across, up = (format_length(v, units, mark=True) for v in least)
        reasons.append(
            reason(
                piece, "method", "a piece too small for two mounting cleats", f"carton, or {across} wide and {up} high"
            )
        )
    if reasons:
        raise Refused(*reasons)
    width = min(rules.width, (high - 2 * inset - rules.gap_least) // 2 // snap * snap)
    half = shop.whole(width // 2)
    bottom, top = (
        _on_step(y, hung.y + half, shop.cleats.step, outwards=way)
        for y, way in ((inset, -1), (high - inset - width, 1))
    )
    bottom, top = max(0, bottom), min(high - width, top)
    heights = [("low", bottom, False), ("high", top, True)]
    if tied:
        between = rows_between(bottom, top, shop)
        heights[1:1] = [
            (f"middle-{number}" if len(between) > 1 else "middle", y, False)
            for number, y in enumerate(between, start=1)
        ]
    ends_at = [0, *splice(length, longest_strip(rules.good, shop), snap), length]
    cleats: list[Cleat] = []
    for row, y, upper in heights:
        name = f"{prefix}cleat-{row}"
        outer = row in ("low", "high")
        line = screw_row(piece, shop, upper=upper, cleat_edge=y, cleat_width=width) if outer or not bars else y + half
        # Between the outer rows only the bars take screws: the cleat reaches over those at the sides.
        over = ends if outer or not bars else 0
        cuts = ends_at if over == ends else [0, *splice(wide, longest_strip(rules.good, shop), snap), wide]
        for number, (a, z) in enumerate(pairwise(cuts), start=1):
            cleats.append(
                Cleat(
                    name=name if len(cuts) == 2 else f"{name}-{number}",
                    hung=hung,
                    x=hung.x + over + a,
                    y=hung.y + y,
                    length=z - a,
                    width=width,
                    line=hung.y + y + half,
                    piece_line=shop.near(hung.y + line),
                    upper=upper,
                    middle=not outer,
                )
            )
    return tuple(cleats)


def _on_step(y: int, more: int, step: int, *, outwards: int) -> int:
    """Return a height moved so that with what is added it stands on the step, towards the piece's nearer edge."""
    off = (y + more) % step
    return y - off if outwards < 0 or not off else y + step - off


def rows_between(bottom: int, top: int, shop: Shop) -> list[int]:
    """Return where rows stand between two, evenly, so that a piece spans no more than the rule from row to row."""
    count = -(-(top - bottom) // shop.cleats.apart_most) - 1
    snap = shop.joinery.snap
    return [bottom + (top - bottom) * k // (count + 1) // snap * snap for k in range(1, count + 1)]


def pads_for(hung: Hung, own: Sequence[Cleat], shop: Shop, *, prefix: str = "") -> tuple[Pad, ...]:
    """Lay bearing pads between the rows of cleats of a piece: all along a solid back, behind the bars of another."""
    low, high = min(c.y for c in own), max(c.y for c in own)
    rows = rows_between(low, high, shop)
    if not rows or any(c.own for c in own):
        return ()
    width = own[0].width
    return tuple(Pad(f"{prefix}pad", x, y, length, width) for y in rows for x, length in pads_across(hung, shop))


def pads_across(hung: Hung, shop: Shop) -> list[tuple[int, int]]:
    """Return where the bearing pads of one row lie, start and length: behind upright bars, or along a solid back."""
    rules, piece = shop.cleats, hung.artwork
    uprights = [g for g in bar_rects(piece, shop) if g.dy > g.dx and g.dx < piece.width and g.dy < piece.height]
    if uprights and back_stated(piece, shop).bar_width:
        return [(shop.near(hung.x + g.x), shop.whole(g.dx)) for g in uprights]
    wide = shop.whole(piece.width)
    length = min(rules.pad_length, wide - 2 * rules.inset_ends)
    start, end = hung.x + rules.inset_ends, hung.x + wide - rules.inset_ends - length
    if end - start < length:
        # No room for two: one in the middle.
        return [((start + end) // 2 // shop.joinery.snap * shop.joinery.snap, length)]
    count = -(-(end - start) // rules.apart_most)
    return [(start + shop.whole((end - start) * k // count), length) for k in range(count + 1)]


def layers(count: int, shop: Shop) -> tuple[Good, ...]:
    """Return the goods of a mounting cleat from the back to the piece: one layer, a thin second one, or two alike."""
    cleat = shop.good(shop.cleats.good)
    return (cleat,) if count == 1 else (shop.good(shop.cleats.second), cleat) if count == 2 else (cleat, cleat)


@dataclass(frozen=True, slots=True)
class Depth:
    """How deep a screw finds wood behind what it goes through: at its least and at its greatest."""

    least: int
    greatest: int

    @classmethod
    def of(cls, goods: Sequence[Good]) -> "Depth":
        """Add goods up."""
        return cls(sum(g.least_thickness for g in goods), sum(g.greatest_thickness for g in goods))


def depth_of(stack: Sequence[Good], cleats: Sequence[Cleat], sizes: UnitSystem = "inch") -> Depth:
    """Return how deep the cleats of a piece are: their layers, or its own, which may be less than told."""
    own = [cleat.own for cleat in cleats if cleat.own]
    made = Depth.of(stack)
    less = FACE_LESS.of(sizes)
    return Depth(min(own) - less, max(own) + less) if own else made


def mounting_screw(
    held: Sequence[Good], shop: Shop, units: UnitSystem, *, into: Depth | None = None, own: bool = False
) -> Screw:
    """Choose the mounting screw through these panels into a cleat: the one with most thread whose tip stays short.

    Parameters
    ----------
    into : Depth, optional
        The cleat of a piece that hangs by these screws, whose thread is then as long as the shop's rule asks and whose
        head has a washer; a single cleat under a screw that only keeps a piece from lifting off where not given.
    own : bool
        Whether it is a cleat that came with the piece, which nobody can make thicker: then the least thread will do.

    Raises
    ------
    RulesClash
        If no stocked screw holds without coming too near the artwork.
    """
    rules = shop.cleats
    through = Depth.of(held)
    deep = into or Depth.of(layers(1, shop))
    # A thin panel is never countersunk: too little would be left under the head.
    sink = rules.countersink if min(g.thickness for g in held) > shop.own(THIN) else 0
    wanted = max(rules.thread_least, rules.thread) if into is not None and not own else rules.thread_least
    best: Screw | None = None
    for name in rules.screws:
        good = shop.good(name)
        margin = through.least + deep.least - good.breadth - sink
        washer = not sink and (into is not None or name not in rules.washer_heads)
        thread = good.breadth + sink - (shop.own(WASHER) if washer else 0) - through.greatest
        if margin < rules.tip_short or thread < wanted:
            continue
        if best is None or thread > best.thread:
            best = Screw(good, thread, margin, washer=washer)
    if best is None:
        names = " and ".join(g.good for g in held)
        raise RulesClash(
            f"no mounting screw of {', '.join(rules.screws)} goes through {names} into {rules.good}, has "
            f"{format_length(wanted, units, mark=True)} of thread there and stays "
            f"{format_length(rules.tip_short, units, mark=True)} short of the artwork",
            "another length in cleats.screws, or a thicker cleat",
        )
    return best


def piece_screw(artwork: Artwork, shop: Shop, units: UnitSystem) -> Screw:
    """Choose the screw that holds a cleat to its piece: the longest whose tip stays short of the face.

    It goes through the layer that lies on the piece; a second one is bored out for its head.

    Raises
    ------
    RulesClash
        If no stocked screw does.
    """
    rules = shop.cleats
    cleat = shop.good(rules.good)
    wood, face = wood_depth(artwork, shop), to_face(artwork, shop)
    best: Screw | None = None
    for name in rules.piece_screws:
        good = shop.good(name)
        tip = good.breadth + rules.piece_sink - cleat.least_thickness
        thread = min(good.breadth + rules.piece_sink - cleat.greatest_thickness, wood)
        if tip > face - rules.piece_tip or thread <= 0:
            continue
        if best is None or thread > best.thread:
            best = Screw(good, thread, face - tip)
    if best is None:
        raise RulesClash(
            f"no screw of {', '.join(rules.piece_screws)} holds a cleat of {cleat.good} to {artwork.piece} and stays "
            f"{format_length(rules.piece_tip, units, mark=True)} short of its face",
            "another length in cleats.piece_screws",
        )
    return best


def mounting_depth(held: Sequence[Good], shop: Shop, into: Depth | None = None) -> int:
    """Return how deep the drill for mounting holes may go: through what is held, short of the artwork."""
    deep = into or Depth.of(layers(1, shop))
    return _down(Depth.of(held).least + deep.least - shop.cleats.tip_short, shop)


def mounting_stop(held: Sequence[Good], shop: Shop, units: UnitSystem, into: Depth | None = None) -> str:
    """Write where the stop of the drill stands for mounting holes."""
    return format_length(mounting_depth(held, shop, into), units, 64, mark=True)


def piece_stop(screw: Screw, shop: Shop, units: UnitSystem, *, sunk: bool = False) -> str:
    """Write where the stop stands for pilots through a cleat into its piece: as deep as the screw's sunk tip.

    Measured from the face of the cleat, or from the bottom of the bore where the head is ``sunk`` in one.
    """
    deep = screw.good.breadth + (0 if sunk else shop.cleats.piece_sink)
    return format_length(_down(deep, shop), units, 64, mark=True)


def _down(depth: int, shop: Shop) -> int:
    """Round a depth down, so that the drill never goes deeper."""
    step = max(shop.joinery.snap // 4, shop.grain)
    return depth // step * step


def mounting_case(kg: float, screw: Screw, held: Sequence[Good], shop: Shop) -> Mounting:
    """Return the case that the advice judges: the piece's weight on screws through these panels into its cleats."""
    return _case(kg, screw, held, thread_in(shop, shop.good(shop.cleats.good)), shop)


def piece_case(hung: Hung, screw: Screw, shop: Shop) -> Mounting:
    """Return the case that the advice judges: the piece's weight on screws through a cleat into the piece itself."""
    return _case(hung.weight.kg, screw, [shop.good(shop.cleats.good)], wood_behind(hung.artwork, shop), shop)


def _case(kg: float, screw: Screw, held: Sequence[Good], into: Wood, shop: Shop) -> Mounting:
    """Return the case of screws whose heads, or washers, bear on the first of what they hold."""
    thick = sum(good.least_thickness for good in held)
    washer = inches(shop.good(shop.cleats.washer).breadth) if screw.washer and shop.cleats.washer else 0.0
    dense, lasts = en_values(shop.material(held[0].material))
    return Mounting(
        kg, screw.number, screw.thread, thick, into, gravity_of(shop, held[0]), washer_head=True, washer_in=washer,
        diameter_in=screw.good.diameter_in, under_density_k=dense, under_k_mod=lasts,
    )  # fmt: skip


def screws_a_cleat(kg: float, screw: Screw, held: Sequence[Good], shop: Shop, *, cleats: int = 2) -> int:
    """Return how many mounting screws each of a piece's cleats takes."""
    return screws_needed(mounting_case(kg, screw, held, shop), shop.mounting, cleats=cleats) // cleats


def spread(low: int, high: int, count: int, apart: int, taken: Sequence[Interval], snap: int) -> list[int] | None:
    """Spread points along a line, evenly where nothing is in the way.

    Parameters
    ----------
    low, high : int
        Where the first and the last may stand.
    count : int
        How many.
    apart : int
        Least distance between two.
    taken : sequence of (int, int)
        Open stretches where none may stand.
    snap : int
        Step to which they are set.

    Returns
    -------
    list of int or None
        Rising positions; None where there is no room.
    """
    if count == 1:
        middle = _aside((low + high) // 2 // snap * snap, low, high, taken, snap)
        return None if middle is None else [middle]
    targets = [min(high, -(-(low + (high - low) * k // (count - 1)) // snap) * snap) for k in range(count)]
    chosen = [at for at in (_aside(target, low, high, taken, snap) for target in targets) if at is not None]
    even = len(chosen) == count and min(b - a for a, b in pairwise(chosen)) >= apart
    if even and chosen == targets:
        return chosen
    packed = _packed_widest(low, high, count, apart, taken, snap)
    if even and (packed is None or _closest(chosen) >= _closest(packed)):
        return chosen
    return packed


def evenly(low: int, high: int, count: int, apart: int, taken: Sequence[Interval], step: int) -> list[int] | None:
    """Place points that anybody can set out: the first, then every so much, all on the step and clear of what is taken.

    The widest spacing that finds room in a few tries, as near the middle as may be; None where none does.
    """
    first_low, last = -(-low // step) * step, high // step * step
    if count == 1 or last - first_low < apart * (count - 1):
        return None
    widest = (last - first_low) // (count - 1) // step * step
    least = max(-(-apart // step) * step, widest - _SPACINGS * step)
    for every in range(widest, least - 1, -step):
        slack = last - first_low - every * (count - 1)
        starts = range(first_low, first_low + slack + 1, step)
        for first in sorted(starts, key=lambda at: abs(2 * (at - first_low) - slack))[:_STARTS]:
            places = [first + every * k for k in range(count)]
            if all(not a < at < z for at in places for a, z in taken):
                return places
    return None


def _closest(places: Sequence[int]) -> int:
    """Return the least distance between two neighbours."""
    return min(b - a for a, b in pairwise(places))


def _packed_widest(
    low: int, high: int, count: int, apart: int, taken: Sequence[Interval], snap: int
) -> list[int] | None:
    """Pack points from the left at the widest spacing, on the step, that still finds room."""
    least = -(-apart // snap)
    most = max(least, (high - low) // snap + 1)
    best = _packed(low, high, count, least * snap, taken, snap)
    while best is not None and least < most:
        middle = (least + most + 1) // 2
        wider = _packed(low, high, count, middle * snap, taken, snap)
        if wider is None:
            most = middle - 1
        else:
            best, least = wider, middle
    return None if best is None else _stretched(best, high, taken, snap)


def _stretched(places: list[int], high: int, taken: Sequence[Interval], snap: int) -> list[int]:
    """Spread the points behind the last obstacle out to the next one or the end, so that no slack is left there."""
    high = min([high, *(a // snap * snap for a, z in taken if z > places[-1])])
    behind = max((z for _, z in taken if z <= places[-1]), default=places[0])
    start = next(n for n, at in enumerate(places) if at >= behind)
    rest = len(places) - 1 - start
    if rest == 0:
        return places
    at = places[start]
    return [
        *places[: start + 1],
        *((at + (high - at) * k // rest) // snap * snap for k in range(1, rest)),
        high,
    ]


def _aside(at: int, low: int, high: int, taken: Sequence[Interval], snap: int) -> int | None:
    """Return the free place on the step nearest to a point."""
    places = [at, *(p for a, z in taken for p in (a // snap * snap, -(-z // snap) * snap))]
    free = [p for p in places if low <= p <= high and all(not a < p < z for a, z in taken)]
    return min(free, key=lambda p: (abs(p - at), p)) if free else None


def _packed(low: int, high: int, count: int, gap: int, taken: Sequence[Interval], snap: int) -> list[int] | None:
    """Pack points from the left, each as soon as the gap and what is taken allow; None where they do not fit."""
    found: list[int] = []
    at = -(-low // snap) * snap
    while len(found) < count and at <= high:
        blocked = next((z for a, z in sorted(taken) if a < at < z), None)
        if blocked is None:
            found.append(at)
            at += gap
        else:
            at = -(-blocked // snap) * snap
    return found if len(found) == count else None

"""Mounting: cleats on the back of a piece, screws through the crate's back into them, blocks under the lower one.

Every screw is chosen so that its tip stays short of the artwork at the least thickness that the panels may have, and so
that enough thread is left at their greatest. Points keep away from cleat ends, joints, seam battens and other screws.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from nesting.advice.fasteners import Wood, distances, pilot_hole, screw_number
from nesting.advice.mounting import Mounting, screws_needed
from nesting.base.measure import INCH, UnitSystem, format_length
from nesting.crates.load import Hung
from nesting.crates.shells.frame import longest_strip, splice
from nesting.crates.shells.piece_back import refuse_hollow, screw_row, wood_depth
from nesting.crates.shells.seams import Interval
from nesting.crates.traits import Refused, RulesClash, reason
from nesting.order import Artwork
from nesting.shop.goods import Good
from nesting.shop.needs import gravity_of, thread_in
from nesting.shop.shop import Shop
from nesting.shop.supports import wood_behind


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
        """How a builder writes it: ``#10 x 1-1/4``."""
        return f"#{self.number} x {format_length(self.good.breadth).replace(' ', '-')}"


def pilot_text(screw: Good, units: UnitSystem, into: Wood | None = None) -> str:
    """Return the pilot drill for a screw in plywood and softwood, or into a wood that is known."""
    pilot = pilot_hole(screw_number(screw.diameter_in), hard=into is not None and into.hard)
    drill = pilot.drill_metric if units == "metric" else pilot.drill
    return format_length(drill, units, denominator=64, mark=True)


def screw_edge(shop: Shop) -> int:
    """Return the distance that screws keep from an edge along the grain, for the thickest screw that may be used."""
    numbers = [screw_number(shop.good(n).diameter_in) for n in (*shop.cleats.screws, *shop.cleats.piece_screws)]
    return distances(max(numbers)).edge


def cleats_for(hung: Hung, shop: Shop, units: UnitSystem, *, prefix: str = "") -> tuple[Cleat, ...]:
    """Lay the lower and the upper mounting cleats across the back of a piece, end to end where the stock is short.

    Raises
    ------
    Refused
        Where the piece has no wood for their screws, or is too small for two cleats.
    """
    rules, piece = shop.cleats, hung.artwork
    reasons = refuse_hollow(piece, shop, units)
    edge = screw_edge(shop)
    inset = rules.inset_edge
    if piece.back.kind == "strainer":
        inset = max(rules.inset_least, min(inset, piece.back.bar_width - 2 * edge))
    low = min(inset, (piece.height - rules.gap_least - 2 * rules.width_least) // 2)
    ends = min(rules.inset_ends, max(0, (piece.width - rules.length_least) // 2))
    length = piece.width - 2 * ends
    if low < 0 or length < rules.length_least:
        least = [rules.length_least, 2 * rules.width_least + rules.gap_least]
        wide, high = (format_length(v, units, mark=True) for v in least)
        reasons.append(
            reason(
                piece, "method", "a piece too small for two mounting cleats", f"carton, or {wide} wide and {high} high"
            )
        )
    if reasons:
        raise Refused(*reasons)
    inset = low
    snap = shop.joinery.snap
    width = min(rules.width, (piece.height - 2 * inset - rules.gap_least) // 2 // snap * snap)
    bottom = hung.y + inset
    top = hung.y + piece.height - inset - width
    ends_at = [0, *splice(length, longest_strip(rules.good, shop), snap), length]
    cleats: list[Cleat] = []
    for upper, y in ((False, bottom), (True, top)):
        name = f"{prefix}cleat-{'high' if upper else 'low'}"
        row = hung.y + screw_row(piece, shop, upper=upper, cleat_edge=y - hung.y, cleat_width=width)
        for number, (a, z) in enumerate(pairwise(ends_at), start=1):
            own = name if len(ends_at) == 2 else f"{name}-{number}"
            cleats.append(
                Cleat(
                    name=own,
                    hung=hung,
                    x=hung.x + ends + a,
                    y=y,
                    length=z - a,
                    width=width,
                    line=y + width // 2,
                    piece_line=row,
                    upper=upper,
                )
            )
    return tuple(cleats)


def mounting_screw(held: Sequence[Good], shop: Shop, units: UnitSystem) -> Screw:
    """Choose the mounting screw through these panels into a cleat: the one with most thread whose tip stays short.

    Raises
    ------
    RulesClash
        If no stocked screw holds without coming too near the artwork.
    """
    rules = shop.cleats
    cleat = shop.good(rules.good)
    least = sum(g.least_thickness for g in held)
    most = sum(g.greatest_thickness for g in held)
    # A thin panel is never countersunk: too little would be left under the head.
    sink = rules.countersink if min(g.thickness for g in held) > 3 * INCH // 8 else 0
    best: Screw | None = None
    for name in rules.screws:
        good = shop.good(name)
        margin = least + cleat.least_thickness - good.breadth - sink
        thread = good.breadth + sink - most
        if margin < rules.tip_short or thread < rules.thread_least:
            continue
        if best is None or thread > best.thread:
            best = Screw(good, thread, margin, washer=name not in rules.washer_heads and not sink)
    if best is None:
        through = " and ".join(g.good for g in held)
        raise RulesClash(
            f"no mounting screw of {', '.join(rules.screws)} goes through {through} into {cleat.good} and stays "
            f"{format_length(rules.tip_short, units, mark=True)} short of the artwork",
            "another length in cleats.screws, or a thicker cleat",
        )
    return best


def piece_screw(artwork: Artwork, shop: Shop, units: UnitSystem) -> Screw:
    """Choose the screw that holds a cleat to its piece: the longest whose tip stays short of the face.

    Raises
    ------
    RulesClash
        If no stocked screw does.
    """
    rules = shop.cleats
    cleat = shop.good(rules.good)
    wood = wood_depth(artwork, shop)
    best: Screw | None = None
    for name in rules.piece_screws:
        good = shop.good(name)
        tip = good.breadth + rules.piece_sink - cleat.least_thickness
        thread = good.breadth + rules.piece_sink - cleat.greatest_thickness
        if tip > wood - rules.piece_tip or thread <= 0:
            continue
        if best is None or thread > best.thread:
            best = Screw(good, thread, wood - tip)
    if best is None:
        raise RulesClash(
            f"no screw of {', '.join(rules.piece_screws)} holds a cleat of {cleat.good} to {artwork.piece} and stays "
            f"{format_length(rules.piece_tip, units, mark=True)} short of its face",
            "another length in cleats.piece_screws",
        )
    return best


def mounting_stop(held: Sequence[Good], shop: Shop, units: UnitSystem) -> str:
    """Write where the stop of the drill stands for mounting holes: through what is held, short of the artwork."""
    cleat = shop.good(shop.cleats.good)
    return _stop(sum(g.least_thickness for g in held) + cleat.least_thickness - shop.cleats.tip_short, shop, units)


def piece_stop(screw: Screw, shop: Shop, units: UnitSystem) -> str:
    """Write where the stop stands for pilots through a cleat into its piece: as deep as the screw's sunk tip."""
    return _stop(screw.good.breadth + shop.cleats.piece_sink, shop, units)


def _stop(depth: int, shop: Shop, units: UnitSystem) -> str:
    """Write a depth rounded down, so that the drill never goes deeper."""
    step = shop.joinery.snap // 4
    return format_length(depth // step * step, units, 64, mark=True)


def mounting_case(kg: float, screw: Screw, held: Sequence[Good], shop: Shop) -> Mounting:
    """Return the case that the advice judges: the piece's weight on screws through these panels into its cleats."""
    return _case(kg, screw, held, thread_in(shop, shop.good(shop.cleats.good)), shop)


def piece_case(hung: Hung, screw: Screw, shop: Shop) -> Mounting:
    """Return the case that the advice judges: the piece's weight on screws through a cleat into the piece itself."""
    return _case(hung.weight.kg, screw, [shop.good(shop.cleats.good)], wood_behind(hung.artwork, shop), shop)


def _case(kg: float, screw: Screw, held: Sequence[Good], into: Wood, shop: Shop) -> Mounting:
    """Return the case of screws whose heads bear on the first of what they hold."""
    thick = sum(good.least_thickness for good in held)
    return Mounting(kg, screw.number, screw.thread, thick, into, gravity_of(shop, held[0]), washer_head=True)


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

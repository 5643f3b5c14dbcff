"""Hanging: where the French cleats of a travel frame go, and where their screws find wood in the piece."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from nesting.advice.fasteners import distances
from nesting.advice.mounting import screws_needed
from nesting.base.measure import INCH, MM, UnitSystem, format_length
from nesting.base.own_length import OwnLength
from nesting.crates.load import Hung
from nesting.crates.shells.mounting import Screw, evenly, piece_case, spread
from nesting.crates.shells.piece_back import back_stated, refuse_hollow
from nesting.crates.shells.screwing import SEPARATE
from nesting.crates.splices import longest_strip
from nesting.crates.traits import Refused, reason
from nesting.crates.travel.french import Pair
from nesting.order import Artwork
from nesting.shop.shop import Shop

Interval = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Rows:
    """Screws of one pair of halves, in frame coordinates.

    Attributes
    ----------
    pair : Pair
        The pair.
    into_piece : tuple of (int, int)
        x, y of the screws that hold the upper half to the piece.
    removal : tuple of int
        x of the screws through the slat into the upper half, at its ``piece_line``.
    hanging : tuple of int
        x of the screws through the slat into the lower half, at its ``hanging_line``.
    """

    pair: Pair
    into_piece: tuple[tuple[int, int], ...]
    removal: tuple[int, ...]
    hanging: tuple[int, ...]


_SLAT_STEP = OwnLength(INCH // 2, 10 * MM)
_HANGING, _INTO = OwnLength(24 * INCH, 600 * MM), OwnLength(12 * INCH, 300 * MM)
"""A screw into the lower half for each such length of it, and one into the piece."""


def front_slat(artwork: Artwork, shop: Shop) -> int:
    """Return the width of a front slat, by the size of the piece."""
    rules = shop.travel
    return rules.slat_width_large if artwork.longest_side > rules.large_from else rules.slat_width


def back_slat(artwork: Artwork, shop: Shop) -> int:
    """Return the width of a slat behind a pair of French cleats: it backs both halves, in steps of 1/2 in or 10 mm."""
    step = shop.own(_SLAT_STEP)
    height = 2 * shop.travel.cleat_width - shop.good(shop.cleats.good).thickness
    return max(front_slat(artwork, shop), -(-height // step) * step)


def pairs_for(
    hung: Hung, shop: Shop, units: UnitSystem, z: int, joints: Sequence[int], slat: int = 0
) -> tuple[Pair, Pair]:
    """Lay the lower and the upper pair of French cleats across the back of a piece.

    Parameters
    ----------
    hung : Hung
        The piece where it hangs.
    shop, units
        Rules, and how messages write lengths.
    z : int
        Inner face of the slats.
    joints : sequence of int
        Where slats longer than a sheet are joined. The cleats run across: piece and cleat keep the joint straight.
    slat : int
        Width of the slats behind, where the weight asks for more than :func:`back_slat`.

    Raises
    ------
    Refused
        Where the piece is too small for two pairs, or has no wood for their screws.
    """
    rules, piece = shop.travel, hung.artwork
    reasons = refuse_hollow(piece, shop, units)
    if piece.back.says_where:
        own = format_length(piece.back.cleat_thickness, units, mark=True)
        reasons.append(
            reason(
                piece,
                "method",
                f"a travel frame for a piece with cleats of its own, {own} thick: French cleats lie flat on a back",
                "closed or battened, which screws into the piece's own cleats",
            )
        )
    thick = shop.good(shop.cleats.good).thickness
    height = 2 * rules.cleat_width - thick
    slat, snap = slat or back_slat(piece, shop), shop.joinery.snap
    wide, high = shop.whole(piece.width), shop.whole(piece.height)
    inset = min(rules.cleat_inset, shop.whole((high - height - slat - snap) // 2))
    if back_stated(piece, shop).has_bars:
        # The upper row of screws goes into the upper bar where that is wide enough for it.
        short = rules.cleat_width - thick
        middle = shop.whole(back_stated(piece, shop).bar_width // 2 - short // 2)
        inset = min(inset, max(shop.cleats.inset_least, middle))
    # A cleat on a narrow piece needs its length for its screws.
    short_by = min(rules.cleat_short, shop.whole(wide // 8))
    if back_stated(piece, shop).has_bars:
        short_by = min(short_by, shop.cleats.inset_least)
    short_by = min(short_by, max(0, shop.whole((wide - shop.cleats.length_least) // 2)))
    if inset < 0 or wide - 2 * short_by < shop.cleats.length_least:
        least = format_length(height + slat + snap, units, mark=True)
        across = format_length(shop.cleats.length_least, units, mark=True)
        reasons.append(
            reason(
                piece,
                "method",
                f"a travel frame for a piece {format_length(piece.width, units)} wide and "
                f"{format_length(piece.height, units, mark=True)} high",
                f"a piece {across} wide and {least} high for two pairs of French cleats, or method closed",
            )
        )
    if reasons:
        raise Refused(*reasons)
    runs = _runs(hung.x + short_by, hung.x + wide - short_by, joints, shop)
    top = (hung.y + high - inset - height) // snap * snap
    return (
        Pair("french-cleat-low", hung.y + inset, z, rules.cleat_width, thick, runs, tuple(joints), shop.grain),
        Pair("french-cleat-high", top, z, rules.cleat_width, thick, runs, tuple(joints), shop.grain),
    )


def _runs(start: int, end: int, joints: Sequence[int], shop: Shop) -> tuple[Interval, ...]:
    """Return the lengths (start, length) that cleats are cut in: one, or several whose joints are not the slat's."""
    if end - start <= longest_strip(shop.cleats.good, shop):
        return ((start, end - start),)
    cuts = [at + shop.travel.cleat_past for at in joints]
    ends = [start, *(at for at in cuts if start < at < end - shop.cleats.length_least), end]
    return tuple((a, b - a) for a, b in pairwise(ends))


_FLANK = (OwnLength(2 * INCH, 50 * MM), OwnLength(5 * INCH, 130 * MM))


def _flanks(joints: Sequence[int], x: int, length: int, shop: Shop) -> list[int]:
    """Return where screws stand on both sides of the slat's joints, two and two, within a cleat."""
    ends = shop.cleats.screw_ends
    places = sorted(at + side * away for at in joints for side in (-1, 1) for away in map(shop.own, _FLANK))
    return [place for place in places if x + ends <= place <= x + length - ends]


def _set_out(low: int, high: int, count: int, taken: Sequence[Interval], shop: Shop) -> list[int] | None:
    """Place screws of the drill map: evenly on the step that a rule is read to, else as near as they find room."""
    apart, step = shop.cleats.screw_apart, shop.cleats.step
    return evenly(low, high, count, apart, taken, step) or spread(low, high, count, apart, taken, shop.joinery.snap)


def rows_for(pair: Pair, hung: Hung, screws: int, fix: Screw, shop: Shop, units: UnitSystem) -> Rows:
    """Place the screws of a pair.

    Parameters
    ----------
    screws : int
        How many removal screws the pair takes at the least.
    fix : Screw
        Through the half on the piece into the piece.
    shop, units
        Rules, and how messages write lengths.

    Raises
    ------
    Refused
        Where they find no room.
    """
    rules, piece = shop.cleats, hung.artwork
    into = _into_piece(pair, hung, fix, shop, units)
    off = shop.own(SEPARATE)
    taken = [(x - off, x + off) for x, y in into if abs(y - pair.piece_line) < off]
    removal: list[int] = []
    total = sum(length for _, length in pair.runs)
    for x, length in pair.runs:
        share = max(2, -(-screws * length // total)) if len(pair.runs) > 1 else screws
        flanks = _flanks(pair.joints, x, length, shop)
        clear = [*taken, *((at - rules.screw_apart, at + rules.screw_apart) for at in flanks)]
        places = _set_out(x + rules.screw_ends, x + length - rules.screw_ends, share, clear, shop)
        if places is None:
            raise Refused(
                reason(
                    piece,
                    "method",
                    f"a French cleat {format_length(length, units, mark=True)} long has no room for {share} removal "
                    "screws",
                    "a wider piece, or method closed or battened",
                )
            )
        removal += sorted([*places, *flanks])
    hanging: list[int] = []
    for x, length in pair.runs:
        hold = max(shop.travel.hanging_screws, -(-length // shop.own(_HANGING)))
        ends = max(rules.screw_ends, length // 8 // shop.joinery.snap * shop.joinery.snap)
        flanks = _flanks(pair.joints, x, length, shop)
        clear = [(at - rules.screw_apart, at + rules.screw_apart) for at in flanks]
        places = _set_out(x + ends, x + length - ends, hold, clear, shop)
        hanging += sorted([*(places or [x + shop.whole(length // 2)]), *flanks])
    return Rows(pair, into, tuple(removal), tuple(hanging))


def _into_piece(pair: Pair, hung: Hung, fix: Screw, shop: Shop, units: UnitSystem) -> tuple[tuple[int, int], ...]:
    """Place the screws into the piece: along the half where there is wood all along, else into the bars at its ends."""
    rules, piece, snap = shop.cleats, hung.artwork, shop.joinery.snap
    room = distances(fix.number)
    line = pair.piece_line
    bar = back_stated(piece, shop).bar_width
    below, above = line - hung.y, hung.y + piece.height - line
    along = not back_stated(piece, shop).has_bars or any(
        room.edge <= away <= bar - room.edge for away in (below, above)
    )
    needed = screws_needed(piece_case(hung, fix, shop), shop.mounting, cleats=2) // 2
    points: list[tuple[int, int]] = []
    # Two screws one over the other in each upright bar, each in the middle of its half of the short face: clear of the
    # bevel and of the upper edge, and twice that apart, which is what splitting asks across the grain.
    step, off = shop.whole(pair.short // 4), shop.own(SEPARATE)
    if not along and step < room.edge:
        raise Refused(
            reason(
                piece,
                "method",
                f"French cleats with a short face {format_length(pair.short, units, mark=True)} high, which have no "
                f"room for two screws {fix.told} one over the other in an upright bar",
                "wider French cleats (cleat_width of [travel] in shop.toml), or method closed or battened",
            )
        )
    for x, length in pair.runs:
        if along:
            share = -(-needed * length // sum(each for _, each in pair.runs))
            hold = max(shop.mounting.screws_least, share, -(-length // shop.own(_INTO)))
            clear = [(at - off, at + off) for at in _flanks(pair.joints, x, length, shop)]
            places = spread(x + rules.screw_ends, x + length - rules.screw_ends, hold, rules.screw_apart, clear, snap)
            if places is None:
                raise Refused(
                    reason(
                        piece,
                        "method",
                        f"a French cleat {format_length(length, units, mark=True)} long has no room for the {hold} "
                        f"screws {fix.told} that hold it to the piece",
                        "a wider or lighter piece, or method closed or battened",
                    )
                )
            points += [(place, line) for place in places]
            continue
        for side in (shop.near(hung.x + bar // 2), shop.near(hung.x + piece.width - bar // 2)):
            if x + room.edge <= side <= x + length - room.edge:
                points += [(side, line - step), (side, line + step)]
    if len(points) < 4 and not along:
        raise Refused(
            reason(
                piece,
                "back",
                f"bars {format_length(bar, units, mark=True)} wide that no screw of the lower French cleat reaches",
                "wider bars, a crossbar behind the lower cleat with back = cleated, or method closed",
            )
        )
    return tuple(points)

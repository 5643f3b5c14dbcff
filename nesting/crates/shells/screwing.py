"""Screwing a piece in: its cleats and setting blocks on the bench, every drill point, every screw counted."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import isqrt

from nesting.advice.fasteners import distances
from nesting.advice.mounting import screws_needed
from nesting.base.counts import plural
from nesting.base.measure import INCH, MM, format_length, format_weight
from nesting.base.own_length import OwnLength
from nesting.crates.load import Hung
from nesting.crates.model import Box, Drill
from nesting.crates.shells.battens import Grid
from nesting.crates.shells.catalogue import outer_rows, room_for_washers
from nesting.crates.shells.faces import longest_hidden
from nesting.crates.shells.mounting import (
    Cleat,
    Pad,
    Screw,
    depth_of,
    evenly,
    mounting_depth,
    piece_case,
    piece_screw,
    pilot_drill,
    pilot_text,
    screws_a_cleat,
    spread,
)
from nesting.crates.shells.piece_back import back_stated, bar_rects
from nesting.crates.shells.seams import Interval
from nesting.crates.shells.shell import MountedPiece, Shell
from nesting.crates.traits import Reason, Refused, reason
from nesting.shop.goods import Good
from nesting.shop.needs import thread_in
from nesting.shop.shop import Shop

SEPARATE = OwnLength(19 * INCH // 32, 15 * MM)
"""Least distance between a mounting screw and a screw into the piece, in one cleat: 3 D of a No. 10, rounded up."""


def mount(shell: Shell, grid: Grid | None) -> None:
    """Screw the pieces to the back: cleats, bearing pads, drill points, setting blocks.

    Parameters
    ----------
    grid : Grid or None
        Battens on the back.

    Raises
    ------
    Refused
        Where a cleat has no room for any screw.
    """
    reasons: list[Reason] = []
    for hung, own, pads in zip(shell.load.hung, shell.cleats, shell.plan.pads, strict=True):
        try:
            mounted = _mount_piece(shell, hung, own, grid)
        except Refused as refused:
            reasons += refused.reasons
            continue
        shell.mounted.append(mounted)
        shell.drill += mounted.drill
        _lay_pads(shell, pads)
    if reasons:
        raise Refused(*reasons)


def _mount_piece(shell: Shell, hung: Hung, cleats: Sequence[Cleat], grid: Grid | None) -> MountedPiece:
    """Mount one piece with as many screws a cleat as its weight needs, or as find room: the checks tell."""
    shop, bench, screw, units = shell.packing.shop, shell.bench, shell.screw, shell.packing.units
    rules, piece = shop.cleats, hung.artwork.piece
    width, outer = shell.frame.width, outer_rows(cleats)
    per_cleat = screws_a_cleat(hung.weight.kg, screw, shell.held, shop, cleats=outer)
    drilling = drilling_of(shell, cleats)
    drill: list[Drill] = []
    into_piece: list[Drill] = []
    made = [cleat for cleat in cleats if not cleat.own]
    fix = piece_screw(hung.artwork, shop, units) if made else None
    for cleat in cleats:
        name = f"{bench.crate}.{cleat.name}" if cleat.own else _lay_cleat(shell, cleat)
        low, high = width - cleat.x - cleat.length + rules.screw_ends, width - cleat.x - rules.screw_ends
        # Set out as seen from outside, where the drill map is read.
        taken = _taken(shell, cleat, grid)
        for count in range(per_cleat, 0, -1):
            places = _spread(low, high, count, taken, shop)
            if places is None:
                continue
            own = _into_piece(shell, cleat, fix, [width - x for x in places], outer) if fix and not cleat.own else []
            if own or fix is None or cleat.own:
                break
        else:
            raise Refused(_too_heavy(hung, per_cleat, screw, shell))
        shell.crowded |= count < per_cleat
        drill += [drilling.at(x, cleat.line, name, screw) for x in places]
        into_piece += own
    bench.fix(
        screw.good.good, len(drill), f"mounting {piece}, from outside", drilling.pilot, frees="piece", piece=piece
    )
    if screw.washer:
        bench.use(rules.washer, len(drill))
    if fix is not None:
        bench.fix(
            fix.good.good,
            len(into_piece),
            f"cleats to {piece}, {_heads(shell)}",
            pilot_text(fix.good, units, piece_case(hung, fix, shop).into),
        )
    blocks = sum(_blocks(shell, cleat) for cleat in cleats if not cleat.upper and not cleat.middle)
    counted = {cleat.line for cleat in cleats if not cleat.middle}
    held_by = sum(d.y in counted for d in drill)
    return MountedPiece(hung, per_cleat, tuple(drill), fix, tuple(into_piece), blocks, held_by)


def _heads(shell: Shell) -> str:
    """Say where the heads of screws into a piece lie: in a bore through the outer layer, or sunk in a single one."""
    units, sink = shell.packing.units, shell.packing.shop.cleats.piece_sink
    if len(shell.stack) == 1:
        return f"heads sunk {format_length(sink, units, mark=True)}"
    return f"heads in bores {format_length(shell.stack[0].thickness + sink, units, mark=True)} deep"


@dataclass(frozen=True, slots=True)
class Drilling:
    """How the mounting holes of a piece are drilled.

    Attributes
    ----------
    clearance, pilot, stop : str
        Drills and stop, for people.
    bores : tuple of int
        The same as lengths.
    """

    clearance: str
    pilot: str
    stop: str
    bores: tuple[int, int, int]

    def at(self, x: int, y: int, into: str, screw: Screw) -> Drill:
        """Return one hole."""
        return Drill(x, y, into, screw.short, self.pilot, screw.margin, self.stop, self.clearance, self.bores)


def drilling_of(shell: Shell, cleats: Sequence[Cleat]) -> Drilling:
    """Return how the mounting holes into these cleats are drilled: through back and cleat together."""
    shop, units = shell.packing.shop, shell.packing.units
    depth = mounting_depth(shell.held, shop, depth_of(shell.stack, cleats, shop.units))
    bit = pilot_drill(shell.screw.good, units, thread_in(shop, shop.good(shop.cleats.good)))
    clear = shop.cleats.clearance
    return Drilling(
        format_length(clear, units, 64, mark=True) if clear else "",
        format_length(bit, units, denominator=64, mark=True),
        format_length(depth, units, 64, mark=True),
        (clear, bit, depth),
    )


def _taken(shell: Shell, cleat: Cleat, grid: Grid | None) -> list[Interval]:
    """Return where no mounting screw of a cleat may go, as seen from outside."""
    if grid is None:
        return []
    edge = distances(shell.screw.number).edge
    beside = room_for_washers(shell.packing.shop)
    return [(shell.frame.width - z, shell.frame.width - a) for a, z in grid.breaks(cleat.line, edge, beside)]


def _lay_cleat(shell: Shell, cleat: Cleat) -> str:
    """Put a cleat on the bench, its layers glued; return the name of the one that lies on the piece."""
    z, name = shell.back_inside, ""
    for number, good in enumerate(shell.stack):
        last = number == len(shell.stack) - 1
        box = Box(cleat.x, cleat.y, z, cleat.length, cleat.width, good.thickness)
        name = shell.bench.panel(
            cleat.name if last else f"{cleat.name}-layer", good.good, box, "cleat", flat="z", along="x"
        )
        z += good.thickness
    if len(shell.stack) > 1:
        shell.glue(cleat.length * cleat.width)
    return name


def _lay_pads(shell: Shell, pads: Sequence[Pad]) -> None:
    """Glue and screw bearing pads to the inside of the back, as thick as the cleats."""
    if not pads:
        return
    shop = shell.packing.shop
    for pad in pads:
        z = shell.back_inside
        for number, good in enumerate(shell.stack):
            box = Box(pad.x, pad.y, z, pad.length, pad.width, good.thickness)
            name = pad.name if number == len(shell.stack) - 1 else f"{pad.name}-layer"
            shell.bench.panel(name, good.good, box, "bearing pad", flat="z", along="x")
            z += good.thickness
            shell.glue(pad.length * pad.width)
    screw = longest_hidden(shop.cleats.piece_screws, shop, shell.packing.units, *shell.stack, shell.design.back.good)
    pilot = pilot_text(screw, shell.packing.units)
    shell.bench.fix(screw.good, 2 * len(pads), "bearing pads to the back, from inside", pilot)


def _spread(low: int, high: int, count: int, taken: Sequence[Interval], shop: Shop) -> list[int] | None:
    """Place as many screws as asked, evenly where that can be; None where there is less room."""
    apart, step, snap = shop.cleats.screw_apart, shop.cleats.step, shop.joinery.snap
    return evenly(low, high, count, apart, taken, step) or spread(low, high, count, apart, taken, snap)


def _into_piece(shell: Shell, cleat: Cleat, fix: Screw, mounting: Sequence[int], outer: int) -> list[Drill]:
    """Place the screws of a cleat into its piece: along the wood behind it, or into each bar that it crosses.

    Fewer where there is no room for all; none where there is not even room for the least number.
    """
    shop, hung, width = shell.packing.shop, cleat.hung, shell.frame.width
    into = piece_case(hung, fix, shop)
    pilot = pilot_text(fix.good, shell.packing.units, into.into)
    uprights = [g for g in bar_rects(hung.artwork, shop) if g.dy > g.dx and g.dy < hung.artwork.height]
    points: list[tuple[int, int]] = []
    if cleat.middle and back_stated(hung.artwork, shop).bar_width:
        edge = shop.whole_up(distances(fix.number).edge)
        for bar in uprights:
            x, end = shop.near(hung.x + bar.x + bar.dx // 2), min(edge, bar.dx // 2)
            if cleat.x + end <= x <= cleat.x + cleat.length - end:
                points += [(x, cleat.y + edge), (x, cleat.y + cleat.width - edge)]
    else:
        wanted = max(shop.mounting.screws_least, screws_needed(into, shop.mounting, cleats=outer) // outer)
        for number in range(wanted, min(wanted, shop.mounting.screws_least) - 1, -1):
            row = _row_into_piece(cleat, mounting, number, shell)
            if row is not None:
                points = [(x, cleat.piece_line) for x in row]
                break
    return [Drill(width - x, y, hung.artwork.piece, fix.short, pilot, fix.margin) for x, y in points]


def _row_into_piece(cleat: Cleat, mounting: Sequence[int], count: int, shell: Shell) -> list[int] | None:
    """Place the screws of a cleat into its piece, clear of the mounting screws; nearer to the ends on a short cleat."""
    shop = shell.packing.shop
    rules, snap, apart_from = shop.cleats, shop.joinery.snap, shop.own(SEPARATE)
    rise = abs(cleat.piece_line - cleat.line)
    beside = 0 if rise >= apart_from else isqrt(apart_from**2 - rise**2) + 1
    taken: list[Interval] = [(x - beside, x + beside) for x in mounting] if beside else []
    halved = shop.whole(rules.screw_ends // 2), shop.whole(rules.screw_apart // 2)
    for ends, apart in ((rules.screw_ends, rules.screw_apart), halved):
        row = spread(cleat.x + ends, cleat.x + cleat.length - ends, count, apart, taken, snap)
        if row is not None:
            return row
    return None


def _blocks(shell: Shell, cleat: Cleat) -> int:
    """Set blocks under a cleat, thinner than it, so that they clear the piece.

    They stand on the lower rail; under a piece that hangs above another they are glued and screwed to the back alone.
    """
    shop, bench = shell.packing.shop, shell.bench
    rules, frame = shop.cleats, shell.frame
    good = _block_good(shell, cleat)
    if good is None:
        return 0
    width = min(rules.block_width, cleat.length // 3 // shop.joinery.snap * shop.joinery.snap)
    count = max(2, -(-cleat.length // rules.block_spacing) + 1)
    on_rail = cleat.hung.y == shop.frame.larger_by // 2
    foot = frame.thickness if on_rail else cleat.y - min(rules.block_height, shop.whole(shop.cleats.set_gap // 2))
    # Under a cleat of the piece's own, whose height may be a fraction, a block ends just short of it.
    half, tall = shop.whole(width // 2), shop.whole(cleat.y - foot)
    gussets = [m.box for m in frame.of("gusset") if m.box.dx > m.box.dy and m.box.y < frame.height // 2]
    taken = [(g.x - half, g.x + g.dx + width - half) for g in gussets]
    low, high, step = cleat.x + half, cleat.x + cleat.length - width + half, shop.grain
    middles = spread(low, high, count, width, taken, step) or spread(low, high, 2, width, taken, step) or []
    screw = longest_hidden(rules.piece_screws, shop, shell.packing.units, good, shell.design.back.good)
    for at in middles:
        box = Box(at - half, foot, shell.back_inside, width, tall, good.thickness)
        bench.panel("setting-block", good.good, box, "setting block", flat="z", along="y")
        shell.glue(width * tall)
    bench.fix(
        screw.good,
        (2 if on_rail else 4) * len(middles),
        "setting blocks to the back, from inside",
        pilot_text(screw, shell.packing.units),
    )
    return len(middles)


def _block_good(shell: Shell, cleat: Cleat) -> Good | None:
    """Choose the setting blocks' good: one that the crate uses anyway, so that no sheet is bought for a few blocks.

    It is thinner than the cleat, so that the blocks clear the piece, and at least half as thick, so that the cleat has
    a ledge to stand on. Where none is, the shop's rule says which good; none where a cleat of the piece's own is
    thinner than every good.
    """
    shop = shell.packing.shop
    thick = cleat.own or shell.behind
    crate = (*shell.stack, shell.design.back.good, shop.good(shop.frame.lid), shop.good(shop.frame.frame_good))
    used = [good for good in crate if thick <= 2 * good.thickness < 2 * thick]
    ruled = shop.good(shop.cleats.block_good)
    return max(used, key=lambda good: good.thickness, default=ruled if ruled.thickness < thick else None)


def _too_heavy(hung: Hung, count: int, screw: Screw, shell: Shell) -> Reason:
    """Say that a cleat has no room for the screws that the weight needs."""
    weight = format_weight(hung.weight.kg, shell.packing.units, mark=True)
    width = format_length(hung.artwork.width, shell.packing.units, mark=True)
    return reason(
        hung.artwork,
        "method",
        f"{weight}, {width} wide",
        "a lighter or wider piece, or longer screws in the rules: no room for "
        f"{plural(count, 'screw')} {screw.told} a cleat",
    )

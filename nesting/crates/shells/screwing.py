"""Screwing a piece in: its cleats and setting blocks on the bench, every drill point, every screw counted."""

from collections.abc import Sequence
from math import isqrt

from nesting.advice.fasteners import distances
from nesting.advice.mounting import screws_needed
from nesting.base.measure import INCH, format_length, format_weight
from nesting.crates.load import Hung
from nesting.crates.model import Box, Drill
from nesting.crates.shells.battens import Grid
from nesting.crates.shells.faces import longest_hidden
from nesting.crates.shells.mounting import (
    Cleat,
    Screw,
    mounting_screw,
    mounting_stop,
    piece_case,
    piece_screw,
    pilot_text,
    screws_a_cleat,
    spread,
)
from nesting.crates.shells.seams import Interval
from nesting.crates.shells.shell import MountedPiece, Shell
from nesting.crates.traits import Reason, Refused, reason
from nesting.shop.goods import Good
from nesting.shop.needs import thread_in

SEPARATE = 19 * INCH // 32
"""Least distance between a mounting screw and a screw into the piece, in one cleat: 3 D of a No. 10, rounded up."""


def mount(shell: Shell, held: tuple[Good, ...], grid: Grid | None) -> None:
    """Screw the pieces to the back: cleats, drill points, setting blocks.

    Parameters
    ----------
    held : tuple of Good
        What a mounting screw goes through: the back, and the batten over it.
    grid : Grid or None
        Battens on the back.

    Raises
    ------
    Refused
        Where cleats have no room for the screws that their piece's weight needs.
    """
    shell.held = held
    shell.screw = mounting_screw(held, shell.packing.shop, shell.packing.units)
    reasons: list[Reason] = []
    for hung, own in zip(shell.load.hung, shell.cleats, strict=True):
        try:
            mounted = _mount_piece(shell, shell.screw, hung, own, grid)
        except Refused as refused:
            reasons += refused.reasons
            continue
        shell.mounted.append(mounted)
        shell.drill += mounted.drill
    if reasons:
        raise Refused(*reasons)


def _mount_piece(shell: Shell, screw: Screw, hung: Hung, cleats: Sequence[Cleat], grid: Grid | None) -> MountedPiece:
    """Mount one piece with as many screws a cleat as its weight needs."""
    shop, bench = shell.packing.shop, shell.bench
    rules, snap = shop.cleats, shop.joinery.snap
    good = shop.good(rules.good)
    width = shell.frame.width
    per_cleat = screws_a_cleat(hung.weight.kg, screw, shell.held, shop, cleats=len(cleats))
    margin = distances(screw.number).edge  # from joints and seam battens
    fix = piece_screw(hung.artwork, shop, shell.packing.units)
    into = piece_case(hung, fix, shop)
    own = max(
        shop.mounting.screws_least,
        screws_needed(into, shop.mounting, cleats=len(cleats)) // len(cleats),
    )
    drill: list[Drill] = []
    into_piece: list[Drill] = []
    fix_pilot = pilot_text(fix.good, shell.packing.units, into.into)
    pilot = pilot_text(screw.good, shell.packing.units, thread_in(shop, good))
    stop = mounting_stop(shell.held, shop, shell.packing.units)
    for cleat in cleats:
        box = Box(cleat.x, cleat.y, shell.back_inside, cleat.length, cleat.width, good.thickness)
        name = bench.panel(cleat.name, good.good, box, "cleat", flat="z", along="x")
        taken = [(width - z, width - a) for a, z in (grid.breaks(cleat.line, margin) if grid else ())]
        low, high = width - cleat.x - cleat.length + rules.screw_ends, width - cleat.x - rules.screw_ends
        # Set out as seen from outside, where the drill map is read.
        places = spread(low, high, per_cleat, rules.screw_apart, taken, snap)
        if places is None:
            raise Refused(_too_heavy(hung, per_cleat, screw, shell))
        drill += [Drill(x, cleat.line, name, screw.short, pilot, screw.margin, stop) for x in places]
        row = _row_into_piece(cleat, [width - x for x in places], own, shell)
        if row is None:
            raise Refused(_too_heavy(hung, own, fix, shell))
        into_piece += [
            Drill(width - x, cleat.piece_line, hung.artwork.piece, fix.short, fix_pilot, fix.margin) for x in row
        ]
    piece = hung.artwork.piece
    bench.fix(screw.good.good, len(drill), f"mounting {piece}, from outside", pilot, frees="piece", piece=piece)
    if screw.washer:
        bench.use(rules.washer, len(drill))
    bench.fix(
        fix.good.good,
        len(into_piece),
        f"cleats to {hung.artwork.piece}, heads sunk {format_length(rules.piece_sink, shell.packing.units, mark=True)}",
        fix_pilot,
    )
    blocks = sum(_blocks(shell, cleat) for cleat in cleats if not cleat.upper)
    return MountedPiece(hung, per_cleat, tuple(drill), fix, tuple(into_piece), blocks)


def _row_into_piece(cleat: Cleat, mounting: Sequence[int], count: int, shell: Shell) -> list[int] | None:
    """Place the screws of a cleat into its piece, clear of the mounting screws; nearer to the ends on a short cleat."""
    rules, snap = shell.packing.shop.cleats, shell.packing.shop.joinery.snap
    rise = abs(cleat.piece_line - cleat.line)
    beside = 0 if rise >= SEPARATE else isqrt(SEPARATE**2 - rise**2) + 1
    taken: list[Interval] = [(x - beside, x + beside) for x in mounting] if beside else []
    for ends, apart in ((rules.screw_ends, rules.screw_apart), (rules.screw_ends // 2, rules.screw_apart // 2)):
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
    good = _block_good(shell)
    width = min(rules.block_width, cleat.length // 3 // shop.joinery.snap * shop.joinery.snap)
    count = max(2, -(-cleat.length // rules.block_spacing) + 1)
    on_rail = cleat.hung.y == shop.frame.larger_by // 2
    foot = frame.thickness if on_rail else cleat.y - min(rules.block_height, shop.cleats.set_gap // 2)
    gussets = [m.box for m in frame.of("gusset") if m.box.dx > m.box.dy and m.box.y < frame.height // 2]
    taken = [(g.x - width // 2, g.x + g.dx + width - width // 2) for g in gussets]
    low, high = cleat.x + width // 2, cleat.x + cleat.length - width + width // 2
    middles = spread(low, high, count, width, taken, 1) or spread(low, high, 2, width, taken, 1) or []
    screw = longest_hidden(rules.piece_screws, shop, shell.packing.units, good, shell.held[-1])
    for at in middles:
        box = Box(at - width // 2, foot, shell.back_inside, width, cleat.y - foot, good.thickness)
        bench.panel("setting-block", good.good, box, "setting block", flat="z", along="y")
        shell.glue(width * (cleat.y - foot))
    bench.fix(
        screw.good,
        (2 if on_rail else 4) * len(middles),
        "setting blocks to the back, from inside",
        pilot_text(screw, shell.packing.units),
    )
    return len(middles)


def _block_good(shell: Shell) -> Good:
    """Choose the setting blocks' good: one that the crate uses anyway, so that no sheet is bought for a few blocks.

    It is thinner than the cleat, so that the blocks clear the piece, and at least half as thick, so that the cleat has
    a ledge to stand on. Where neither back nor lid is, the shop's rule says which good.
    """
    shop = shell.packing.shop
    cleat = shop.good(shop.cleats.good).thickness
    used = [good for good in (shell.held[-1], shop.good(shop.frame.lid)) if cleat <= 2 * good.thickness < 2 * cleat]
    return max(used, key=lambda good: good.thickness, default=shop.good(shop.cleats.block_good))


def _too_heavy(hung: Hung, count: int, screw: Screw, shell: Shell) -> Reason:
    """Say that a cleat has no room for the screws that the weight needs."""
    weight = format_weight(hung.weight.kg, shell.packing.units, mark=True)
    width = format_length(hung.artwork.width, shell.packing.units, mark=True)
    return reason(
        hung.artwork,
        "method",
        f"{weight}, {width} wide",
        f"a lighter or wider piece, or longer screws in the rules: no room for {count} screws {screw.short} a cleat",
    )

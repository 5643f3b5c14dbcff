"""Screwing a piece in: its cleats and setting blocks on the bench, every drill point, every screw counted."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from nesting.advice.mounting import screws_needed
from nesting.crates.battens import Grid
from nesting.crates.faces import longest_hidden
from nesting.crates.load import Hung
from nesting.crates.model import Box, Drill
from nesting.crates.mounting import Cleat, Screw, mounting_case, piece_screw, pilot_text, spread
from nesting.crates.registry import Reason, Refused, reason
from nesting.crates.seams import Interval
from nesting.measure import INCH, format_length, format_weight

if TYPE_CHECKING:
    from nesting.crates.shell import Shell

SEPARATE = 5 * INCH // 8
"""Least distance between a mounting screw and a screw into the piece, in one cleat: over 3 D of both."""


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
    piece_screws : tuple of (int, int)
        Where those go, in crate coordinates.
    """

    hung: Hung
    per_cleat: int
    drill: tuple[Drill, ...]
    piece_screw: Screw
    piece_screws: tuple[tuple[int, int], ...]
    blocks: int


def mount_piece(
    shell: "Shell",
    hung: Hung,
    cleats: Sequence[Cleat],
    per_cleat: int,
    grid: Grid | None,
    gussets: Sequence[Box],
    margin: int,
) -> MountedPiece:
    """Mount one piece.

    Parameters
    ----------
    gussets : sequence of Box
        On the lower rail, where no setting block stands.
    margin : int
        Distance that mounting screws keep from joints and seam battens.

    Raises
    ------
    Refused
        Where its cleats have no room for the screws that its weight needs.
    """
    shop, bench = shell.packing.shop, shell.bench
    rules, snap = shop.cleats, shop.joinery.snap
    good = shop.good(rules.good)
    screw = shell.screw
    if screw is None:
        raise AssertionError("the mounting screw is chosen before a piece is mounted")
    width = shell.frame.width
    fix = piece_screw(hung.artwork, shop)
    own = max(
        shop.mounting.screws_least,
        screws_needed(mounting_case(hung.weight.kg, fix, (good,)), shop.mounting, cleats=len(cleats)) // len(cleats),
    )
    drill: list[Drill] = []
    into_piece: list[tuple[int, int]] = []
    pilot = pilot_text(screw.good, shell.packing.units)
    for cleat in cleats:
        box = Box(cleat.x, cleat.y, shell.back_inside, cleat.length, cleat.width, good.thickness)
        name = bench.panel(cleat.name, good.good, box, "cleat", flat="z", along="x")
        taken = [(width - z, width - a) for a, z in (grid.breaks(cleat.line, margin) if grid else ())]
        low, high = width - cleat.x - cleat.length + rules.screw_ends, width - cleat.x - rules.screw_ends
        # Set out as seen from outside, where the drill map is read.
        places = spread(low, high, per_cleat, rules.screw_apart, taken, snap)
        if places is None:
            raise Refused(_too_heavy(hung, per_cleat, screw, shell))
        drill += [Drill(x, cleat.line, name, screw.short, pilot, screw.margin) for x in places]
        near = abs(cleat.piece_line - cleat.line) < SEPARATE
        holes: list[Interval] = [(width - x - SEPARATE, width - x + SEPARATE) for x in places] if near else []
        ends = (cleat.x + rules.screw_ends, cleat.x + cleat.length - rules.screw_ends)
        row = spread(*ends, own, rules.screw_apart, holes, snap)
        if row is None:
            row = spread(*ends, own, rules.screw_apart // 2, holes, snap)
        if row is None:
            raise Refused(_too_heavy(hung, own, fix, shell))
        into_piece += [(x, cleat.piece_line) for x in row]
    bench.fix(screw.good.good, len(drill), f"mounting {hung.artwork.piece}, from outside", pilot)
    if screw.washer:
        bench.use(rules.washer, len(drill))
    bench.fix(
        fix.good.good,
        len(into_piece),
        f"cleats to {hung.artwork.piece}, heads sunk {format_length(rules.piece_sink, mark=True)}",
        pilot_text(fix.good, shell.packing.units),
    )
    blocks = sum(_blocks(shell, cleat, gussets) for cleat in cleats if not cleat.upper)
    return MountedPiece(hung, per_cleat, tuple(drill), fix, tuple(into_piece), blocks)


def _blocks(shell: "Shell", cleat: Cleat, gussets: Sequence[Box]) -> int:
    """Stand setting blocks on the lower rail under a cleat: thinner than the cleat, so that they clear the piece."""
    shop, bench = shell.packing.shop, shell.bench
    rules, t = shop.cleats, shell.frame.thickness
    good = shop.good(rules.block_good)
    width = min(rules.block_width, cleat.length // 3)
    count = max(2, -(-cleat.length // rules.block_spacing) + 1)
    taken = [(g.x - width // 2, g.x + g.dx + width - width // 2) for g in gussets]
    low, high = cleat.x + width // 2, cleat.x + cleat.length - width + width // 2
    middles = spread(low, high, count, width, taken, 1) or spread(low, high, 2, width, taken, 1) or []
    screw = longest_hidden(rules.screws, shop, good, shell.held[-1])
    for at in middles:
        box = Box(at - width // 2, t, shell.back_inside, width, cleat.y - t, good.thickness)
        bench.panel("setting-block", good.good, box, "setting block", flat="z", along="y")
        shell.glue(width * (cleat.y - t))
    bench.fix(
        screw.good, 2 * len(middles), "setting blocks to the back, from inside", pilot_text(screw, shell.packing.units)
    )
    return len(middles)


def _too_heavy(hung: Hung, count: int, screw: Screw, shell: "Shell") -> Reason:
    """Say that a cleat has no room for the screws that the weight needs."""
    weight = format_weight(hung.weight.kg, shell.packing.units, mark=True)
    width = format_length(hung.artwork.width, shell.packing.units, mark=True)
    return reason(
        hung.artwork,
        "method",
        f"{weight} on cleats of a piece {width} wide, which needs {count} screws {screw.short} in each",
        "a method with a thicker back, longer screws or thicker cleats in the shop's rules, or a lighter piece",
    )

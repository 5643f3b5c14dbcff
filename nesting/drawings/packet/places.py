"""Places: where every part of a crate goes, measured from the outside of the crate, in as few lines as say it all."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import replace

from nesting.crates.model import Bolt, Box, Crate
from nesting.crates.registry import method_of
from nesting.drawings.explode import gear
from nesting.drawings.packet.page import Column, Flow
from nesting.drawings.packet.printing import Printing

Point = tuple[int, int, int]
Block = tuple[tuple[int, ...], tuple[int, ...], tuple[int, ...]]
"""Places along x, y and z; a copy of the part stands at every combination."""

_HALVES = {"": "", "hanging": ", buyer's half", "piece": ", piece's half"}


def blocks(points: Iterable[Point]) -> list[Block]:
    """Gather places into blocks, each of which stands for all combinations of its figures.

    Places that agree in two ways are put together first along x, then along y, then along z. Nothing is lost or added:
    the combinations of all blocks are exactly the points.
    """
    made: list[Block] = [((x,), (y,), (z,)) for x, y, z in sorted(set(points))]
    for axis in range(3):
        groups: dict[tuple[tuple[int, ...], ...], set[int]] = defaultdict(set)
        for block in made:
            groups[tuple(own for way, own in enumerate(block) if way != axis)].update(block[axis])
        made = []
        for others, found in groups.items():
            ways = list(others)
            ways.insert(axis, tuple(sorted(found)))
            made.append((ways[0], ways[1], ways[2]))
    return made


def _rows(printing: Printing, crate: Crate, numbers: dict[str, str]) -> Iterator[list[str]]:
    """Yield the rows of the table, in the order of the list of parts."""
    stands: dict[tuple[str, str, Point], list[Box]] = defaultdict(list)
    for placed in (*crate.placed, *gear(crate)):
        box = placed.box
        stands[placed.part, _HALVES[placed.half], (box.dx, box.dy, box.dz)].append(box)
    for name, box in crate.rides or crate.pieces_placed:
        stands[name, "", (box.dx, box.dy, box.dz)].append(box)
    order = sorted(stands, key=lambda each: int(numbers.get(each[0]) or 999))
    for name, half, extent in order:
        size = printing.size(*extent)
        for xs, ys, zs in blocks((box.x, box.y, box.z) for box in stands[name, half, extent]):
            count = len(xs) * len(ys) * len(zs)
            along = (", ".join(printing.length(value) for value in way) for way in (xs, ys, zs))
            yield [numbers.get(name, ""), name + half, str(count), size, *along]


def places_table(flow: Flow, printing: Printing, crate: Crate, numbers: dict[str, str]) -> None:
    """Write where each part goes."""
    if not crate.placed:
        return
    flow.heading("Where each part goes", keep=80)
    flow.paragraph(
        f"Seen from the front, in {printing.unit}, from the outside of the {method_of(crate).whole}: from its left "
        "side to the part's left side, from its bottom to the part's lower side, from its back to the part's rear "
        "side. What lies below the back or behind it, such as skids, has a minus. Several figures in one line: a copy "
        "stands at each of them, in every combination.",
        size=7.5,
    )
    columns = [
        Column("no.", 0.4, "end", bold=True),
        Column("part", 1.7, bold=True),
        Column("copies", 0.5, "end"),
        Column("it takes, width × height × depth", 1.7),
        Column("from left", 1.3),
        Column("from bottom", 1.3),
        Column("from back", 1.1),
    ]
    flow.table(columns, _rows(printing, crate, numbers), size=7.5)


_WAYS = {
    (1, 0, 0): "to the right", (-1, 0, 0): "to the left", (0, 1, 0): "up", (0, -1, 0): "down",
    (0, 0, 1): "to the front", (0, 0, -1): "to the back",
}  # fmt: skip


def bolts_table(flow: Flow, printing: Printing, crate: Crate) -> None:
    """Write where each bolt goes: its head, which way, through what, with what drill."""
    if not crate.bolts:
        return
    kinds: dict[Bolt, list[Point]] = defaultdict(list)
    for bolt in crate.bolts:
        kinds[replace(bolt, x=0, y=0, z=0)].append((bolt.x, bolt.y, bolt.z))
    rows = []
    for bolt, heads in kinds.items():
        held = ", ".join(good for good in (bolt.washer, bolt.nut) if good) or "its nut"
        sunk = f", sunk {printing.length(bolt.bore)}" if bolt.bore else ""
        through = ", ".join(part.partition(".")[2] for part in bolt.through)
        for xs, ys, zs in blocks(heads):
            along = (", ".join(printing.length(value) for value in way) for way in (xs, ys, zs))
            count = str(len(xs) * len(ys) * len(zs))
            drill = printing.length(bolt.hole, mark=True)
            rows.append([count, f"{bolt.good}, {held}{sunk}", drill, f"{_WAYS[bolt.way]} through {through}", *along])
    flow.heading("Bolts", keep=60)
    flow.paragraph(
        f"Heads, in {printing.unit}, measured as the parts below. Drill square to the face, from the head's side.",
        size=7.5,
    )
    columns = [
        Column("bolts", 0.4, "end", bold=True),
        Column("bolt, and what it is drawn against", 1.9, bold=True),
        Column("drill", 0.6),
        Column("goes", 1.9),
        Column("from left", 1.1),
        Column("from bottom", 1.0),
        Column("from back", 0.9),
    ]
    flow.table(columns, rows, size=7.5)

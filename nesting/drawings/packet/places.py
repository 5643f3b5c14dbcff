"""Places: where every part of a crate goes, measured from the outside of the crate, in as few lines as say it all."""

from collections import defaultdict
from collections.abc import Container, Iterator, Mapping

from nesting.crates.model import Box, Crate
from nesting.crates.registry import method_of
from nesting.drawings.blocks import Point, blocks
from nesting.drawings.explode import gear
from nesting.drawings.packet.page import Column, Flow
from nesting.drawings.packet.phrases import said
from nesting.drawings.packet.printing import Printing

_HALVES = {"": "", "hanging": ", buyer's half", "piece": ", piece's half"}


def _rows(printing: Printing, crate: Crate, numbers: Mapping[str, int], but: Container[str]) -> Iterator[list[str]]:
    """Yield the rows of the table, in the order of the list of parts."""
    stands: dict[tuple[str, str, Point], list[Box]] = defaultdict(list)
    for placed in (*crate.placed, *gear(crate)):
        box = placed.box
        stands[placed.part, _HALVES[placed.half], (box.dx, box.dy, box.dz)].append(box)
    for name, box in crate.rides or crate.pieces_placed:
        stands[name, "", (box.dx, box.dy, box.dz)].append(box)
    order = sorted((each for each in stands if each[0] not in but), key=lambda each: numbers.get(each[0], 999))
    for name, half, extent in order:
        size = printing.size(*extent)
        for xs, ys, zs in blocks((box.x, box.y, box.z) for box in stands[name, half, extent]):
            count = len(xs) * len(ys) * len(zs)
            along = (", ".join(printing.length(value) for value in way) for way in (xs, ys, zs))
            yield [str(numbers.get(name, "")), name + half, str(count), size, *along]


def places_table(
    flow: Flow, printing: Printing, crate: Crate, numbers: Mapping[str, int], *, but: Container[str] = ()
) -> None:
    """Write where each part goes, but for those whose places a drawing tells."""
    rows = list(_rows(printing, crate, numbers, but))
    if not rows:
        return
    told = "Where the other parts go" if but else "Where each part goes"
    flow.heading(f"{told}, in {printing.unit}", keep=80)
    flow.paragraph(said("places", "read").format(whole=method_of(crate).whole), size=8)
    columns = [
        Column("no.", 0.4, "end", bold=True),
        Column("part", 1.7, bold=True),
        Column("copies", 0.6, "end"),
        Column("it takes, width × height × depth", 1.7),
        Column("from left", 1.3),
        Column("from bottom", 1.3),
        Column("from back", 1.1),
    ]
    flow.table(columns, rows)

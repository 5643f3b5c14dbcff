"""The first page: what is made, and on which page each part of the packet begins."""

from collections.abc import Sequence

from nesting.crates.registry import method_of
from nesting.drawings.packet.page import Column, Draft, Flow
from nesting.drawings.packet.phrases import said
from nesting.drawings.packet.printing import Printing


def cover_pages(printing: Printing, sections: Sequence[tuple[str, str, int]]) -> list[Draft]:
    """Return the first pages.

    Parameters
    ----------
    printing : Printing
        What is printed.
    sections : sequence of (str, str, int)
        Name, who takes it where, and the first page of each part, counted after this cover.
    """
    drafts = _drafts(printing, sections, 0)
    # The cover's own length moves every page number that it shows.
    return _drafts(printing, sections, len(drafts))


def _drafts(printing: Printing, sections: Sequence[tuple[str, str, int]], before: int) -> list[Draft]:
    flow = Flow(printing.paper, "Shop packet", f"Shop packet: {printing.name}", printing.build.shop.studio.name)
    flow.table(
        [Column("part", 1.4, bold=True), Column("take it to", 3.0), Column("from page", 0.8, "end")],
        [[name, where, str(first + before)] for name, where, first in sections],
        size=10,
    )
    flow.heading("Crates")
    rows = [
        [
            crate.crate,
            method_of(crate).one + (f", in {crate.inside_of}" if crate.inside_of else ""),
            ", ".join(crate.pieces),
            printing.size(crate.outside.width, crate.outside.height, crate.outside.depth),
            printing.weight(crate.gross_kg),
            crate.lift,
            crate.destination,
        ]
        for crate in printing.build.crates
    ]
    columns = [
        Column("crate", 0.6, bold=True),
        Column("what", 1.3),
        Column("pieces", 1.6),
        Column(f"width × height × depth, {printing.unit}", 1.8),
        Column("gross", 0.8, "end"),
        Column("lifted by", 0.9),
        Column("to", 1.0),
    ]
    flow.table(columns, rows)
    flow.caution(said("caution", "packet"))
    return flow.pages

"""The first page: what is made, and on which page each part of the packet begins."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from nesting.crates.held import accepted_line, held_rows
from nesting.crates.registry import method_of
from nesting.crates.unpacked import unpacked_rows
from nesting.drawings.packet.page import Column, Draft, Flow
from nesting.drawings.packet.phrases import said
from nesting.drawings.packet.printing import Printing

_GUTTER: Final = 18.0
_LARGE = 17.0
"""Letter size of what is lacking: no letters of the cover are larger."""


@dataclass(frozen=True, slots=True)
class Begun:
    """A section as the cover tells of it: name, who takes it where, and its first page."""

    title: str
    where: str
    first: int


def cover_pages(printing: Printing, sections: Sequence[Begun]) -> list[Draft]:
    """Return the first pages by themselves, with links to the sections."""
    flow = Flow(printing.paper, "Shop packet", cover_title(printing))
    write_cover(flow, printing, sections)
    return flow.pages


def cover_title(printing: Printing) -> str:
    """Return the title of the first page: it names what is left out, on pages that go on from the first too."""
    return ", ".join(filter(None, (f"Shop packet: {printing.name}", printing.build.without)))


def write_cover(flow: Flow, printing: Printing, sections: Sequence[Begun]) -> None:
    """Write what is made, and on which page each part of the packet begins, with links to them."""
    build = printing.build
    _lacking(flow, printing)
    if build.shop.studio.name:
        flow.paragraph(build.shop.studio.name, size=9.5)
        flow.space(3)
    if not build.crates:
        _held(flow, printing)
        _unpacked(flow, printing)
        return
    _contents(flow, sections)
    flow.heading("Crates")
    flow.table(
        [
            Column("crate", 0.6, bold=True),
            Column("what", 1.3),
            Column("pieces", 1.5),
            Column(f"width × height × depth, {printing.unit}", 2.1),
            Column("gross", 0.8, "end"),
            Column("lifted by", 0.9),
            Column("to", 1.0),
        ],
        [
            [
                crate.crate,
                method_of(crate).one + (f", in {crate.inside_of}" if crate.inside_of else ""),
                ", ".join(crate.pieces),
                printing.size(crate.outside.width, crate.outside.height, crate.outside.depth),
                printing.weight(crate.gross_kg),
                crate.lift,
                crate.destination,
            ]
            for crate in build.crates
        ],
    )
    for crate in build.crates:
        if told := accepted_line(crate):
            flow.paragraph(told, bold=True)
    _held(flow, printing)
    _unpacked(flow, printing)
    flow.caution(said("caution", "packet"))


def _contents(flow: Flow, sections: Sequence[Begun]) -> None:
    """Write where each section goes and begins, in two columns side by side, with links."""
    columns = [Column("part", 1.75, bold=True), Column("take it to", 2.7), Column("page", 0.65, "end")]
    half = -(-len(sections) // 2)
    whole, top = flow.region, flow.y
    wide = (whole.width - _GUTTER) / 2
    lowest = top
    for left, some in ((whole.left, sections[:half]), (whole.left + wide + _GUTTER, sections[half:])):
        flow.regions[0], flow.y = replace(whole, left=left, width=wide), top
        rows = flow.table(columns, [[each.title, each.where, str(each.first)] for each in some]) if some else []
        for (page, area), each in zip(rows, some, strict=True):
            page.links.append((area, each.first))
        lowest = min(lowest, flow.y)
    flow.regions[0], flow.y = whole, lowest


def write_held(flow: Flow, printing: Printing) -> None:
    """Write what is lacking and what is held or unpacked, where no cover says so."""
    _lacking(flow, printing)
    _held(flow, printing)
    _unpacked(flow, printing)


def _lacking(flow: Flow, printing: Printing) -> None:
    """Write what the packet or its quote lacks, first and in the largest letters."""
    build = printing.build
    if build.is_lacking:
        flow.paragraph(build.lacking_line, size=_LARGE, bold=True)
    if printing.incomplete:
        flow.paragraph(f"Incomplete: {'; '.join(printing.incomplete)}.", size=_LARGE, bold=True)


def _held(flow: Flow, printing: Printing) -> None:
    """List what is held: no page, no part and no label of it is in the packet."""
    build = printing.build
    if not build.held:
        return
    flow.heading("Held: not cut, and nothing of it in this packet", keep=60)
    columns = [
        Column("crate", 0.6, bold=True),
        Column("what", 1.2),
        Column("pieces", 1.2),
        Column("fails", 1.6),
        Column("found", 0.8),
        Column("allowed", 0.8),
        Column("would pass", 1.5),
        Column("to accept it", 1.8),
    ]
    rows = []
    for row in held_rows(build.held):
        crate = build.crate(row.crate)
        what = method_of(crate).one + (f", in {crate.inside_of}" if crate.inside_of else "")
        rows.append(
            [row.crate, what, ", ".join(crate.pieces), row.check, row.found, row.allowed, row.would_pass, row.how]
        )
    flow.table(columns, rows)


def _unpacked(flow: Flow, printing: Printing) -> None:
    """List the pieces that nothing packs."""
    rows = unpacked_rows(printing.build.unpacked)
    if not rows:
        return
    flow.heading("Packed by nothing: not in this packet", keep=60)
    columns = [Column("pieces", 1.2, bold=True), Column("why", 3.6), Column("would mend it", 2.6)]
    flow.table(columns, [[row.pieces, row.why, row.accepted] for row in rows])

"""What is cut already, at the head of the saw's pages: which existing part is used for which, and what is left."""

from nesting.drawings.packet.crates import part_size
from nesting.drawings.packet.page import Column, Flow
from nesting.drawings.packet.printing import Printing


def write_existing(flow: Flow, printing: Printing) -> None:
    """Write which parts are there already; nothing where none was given."""
    build = printing.build
    if not (build.used or build.left_over):
        return
    flow.heading("Cut already: not to cut again", keep=80)
    flow.paragraph(build.given_told)
    sizes = [Column(f"size, {printing.unit_of_parts}", 1.5), Column("good", 1.1)]
    if build.used:
        flow.heading("Take these", keep=60)
        rows = [
            ["☐", each.label, str(each.part.count), each.part.name, part_size(printing, each.part), each.part.good]
            for each in build.used
        ]
        columns = [Column("", 0.3), Column("label", 1.7, bold=True), Column("count", 0.5, "end")]
        flow.table([*columns, Column("used as", 1.7), *sizes], rows)
    if build.left_over:
        flow.heading("Left over", keep=60)
        rows = [[part.name, str(part.count), part_size(printing, part), part.good] for part in build.left_over]
        flow.table([Column("label", 1.7, bold=True), Column("count", 0.5, "end"), *sizes], rows)

"""The last pages: what the figures of the crates are reckoned by, each kind of check once."""

from collections.abc import Iterable

from nesting.advice.check import ADVICE, Check
from nesting.crates.model import Crate
from nesting.drawings.packet.page import Column, Flow
from nesting.drawings.packet.printing import Printing


def kinds(crates: Iterable[Crate]) -> dict[tuple[str, str, str], int]:
    """Number the kinds of checks, from 1, in the order of their first appearance: name, source, limits of use."""
    found: dict[tuple[str, str, str], int] = {}
    for crate in crates:
        for check in crate.checks:
            found.setdefault(kind(check), len(found) + 1)
    return found


def kind(check: Check) -> tuple[str, str, str]:
    """Return what makes checks the same but for their figures."""
    return check.name, check.source, check.limits_of_use


def write_figures(flow: Flow, printing: Printing) -> None:
    """Write of each kind of check what it is reckoned by, and how far that goes."""
    flow.paragraph(ADVICE, bold=True)
    columns = [
        Column("no.", 0.3, "end", bold=True),
        Column("check", 1.3, bold=True),
        Column("formula and its source", 2.6),
        Column("limits of use", 2.6),
    ]
    rows = [[str(number), name, source, limits] for (name, source, limits), number in kinds(printing.build.crates).items()]
    flow.table(columns, rows)

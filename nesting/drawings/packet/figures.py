"""The last pages: what the figures of the crates are reckoned by, each kind of check once."""

from collections.abc import Iterable

from nesting.advice.check import ADVICE, Check
from nesting.crates.model import Crate
from nesting.drawings.packet.page import Column, Flow
from nesting.drawings.packet.printing import Printing

Kind = tuple[str, str]
"""What checks share that are reckoned in the same way: source and limits of use."""


def kind(check: Check) -> Kind:
    """Return how a check is reckoned."""
    return check.source, check.limits_of_use


def numbers(crates: Iterable[Crate]) -> dict[Kind, int]:
    """Return a number for each kind of check, from 1, in the order of their first appearance."""
    found: dict[Kind, int] = {}
    for crate in crates:
        for check in crate.checks:
            found.setdefault(kind(check), len(found) + 1)
    return found


def _names(crates: Iterable[Crate]) -> dict[Kind, list[str]]:
    """Return what is reckoned in each way, without the piece that it is reckoned for."""
    found: dict[Kind, dict[str, None]] = {}
    for crate in crates:
        for check in crate.checks:
            name = next((check.name[: -len(f", {p}")] for p in crate.pieces if check.name.endswith(f", {p}")), "")
            found.setdefault(kind(check), {})[name or check.name] = None
    return {each: list(names) for each, names in found.items()}


def write_figures(flow: Flow, printing: Printing) -> None:
    """Write of each kind of check what it is reckoned by, and how far that goes."""
    flow.paragraph(ADVICE, bold=True)
    columns = [
        Column("no.", 0.3, "end", bold=True),
        Column("check", 1.3, bold=True),
        Column("formula and its source", 2.6),
        Column("limits of use", 2.6),
    ]
    named = _names(printing.build.crates)
    rows = [[str(number), "; ".join(named[each]), *each] for each, number in numbers(printing.build.crates).items()]
    flow.table(columns, rows)

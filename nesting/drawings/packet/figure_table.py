"""A crate's figures in one short table: what was checked, found, allowed, and how it stands."""

from collections.abc import Sequence
from itertools import zip_longest

from nesting.advice.check import ADVICE, Check, figure
from nesting.drawings.packet.page import Column, Flow


def figures_table(flow: Flow, checks: Sequence[Check]) -> None:
    """Write the figures, and what to do where one asks for it; formulas and sources stand at the end of the packet."""
    measured = [each for each in checks if each.demand is not None or each.verdict in ("watch", "fails")]
    if not measured:
        return
    half = -(-len(measured) // 2)
    flow.heading("Figures", keep=60 + 14 * half)
    rows = [
        [*_cells(one), *(_cells(other) if other else ["", "", "", ""])]
        for one, other in zip_longest(measured[:half], measured[half:])
        if one
    ]
    columns = [Column("what", 1.9), Column("found", 0.75), Column("allowed", 0.75), Column("", 0.5, bold=True)]
    flow.table(columns * 2, rows, after=3)
    for each in checks:
        if each.verdict in ("watch", "fails") and each.note:
            flow.paragraph(f"{each.name}: {each.note}.", size=8, after=1)
    flow.paragraph(ADVICE, size=8)


def _cells(check: Check) -> list[str]:
    found, allowed = (
        "" if value is None else f"{figure(value)} {check.unit}".strip() for value in (check.demand, check.capacity)
    )
    return [check.name, found, allowed, check.verdict]

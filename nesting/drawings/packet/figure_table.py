"""A crate's figures in one short table: what was checked, found, allowed, and how it stands."""

from collections.abc import Sequence
from itertools import zip_longest

from nesting.advice.check import Check, figure
from nesting.drawings.packet.page import Column, Flow

_ACROSS = 2
"""Findings beside each other."""


def figures_table(flow: Flow, checks: Sequence[Check]) -> None:
    """Write the figures, and what to do where one asks for it; formulas and sources stand at the end of the packet."""
    measured = [each for each in checks if each.demand is not None or each.verdict in ("watch", "fails")]
    if not measured:
        return
    part = -(-len(measured) // _ACROSS)
    flow.heading("Figures: found of allowed", keep=13.2 * min(part, 6))
    parts = (measured[start : start + part] for start in range(0, len(measured), part))
    rows = [[cell for check in row for cell in _cells(check)] for row in zip_longest(*parts)]
    rows = [[*row, *[""] * (3 * _ACROSS - len(row))] for row in rows]
    columns = [Column("", 1.7), Column("", 1.1), Column("", 0.4, bold=True)]
    flow.table(columns * _ACROSS, rows, after=3)
    for each in checks:
        if each.verdict in ("watch", "fails") and each.note:
            flow.paragraph(f"{each.name}: {each.note}.", size=8, after=1)


def _cells(check: Check | None) -> list[str]:
    if check is None:
        return ["", "", ""]
    told = [figure(value) for value in (check.demand, check.capacity) if value is not None]
    return [check.name, f"{' of '.join(told)} {check.unit}".strip() if told else "", check.verdict]

"""What a crate's figures ask of the bench; the figures themselves stand at the end of the packet, by their formulas."""

from collections.abc import Sequence

from nesting.advice.check import Check, figure
from nesting.drawings.packet.page import Flow


def found_of(check: Check, *, mark: bool = True) -> str:
    """Write what a check found, of what is allowed, with the unit where it is wanted."""
    if check.demand is None:
        return ""
    unit = check.unit if mark else ""
    if not check.capacity:
        told = f"{figure(check.demand)} {unit}".strip()
        return told if check.capacity is None else f"{told}, where nothing is allowed"
    return f"{figure(check.demand)} of {figure(check.capacity)} {unit}".strip()


def figure_notes(flow: Flow, checks: Sequence[Check]) -> None:
    """Write each figure that asks for care, with what to do."""
    for check in checks:
        if check.verdict in ("watch", "fails"):
            told = ", ".join(filter(None, (f"{check.name}: {found_of(check)}".rstrip(": "), check.verdict)))
            note = f": {check.note.rstrip('.')}" if check.note else ""
            flow.paragraph(f"Figure to heed. {told}{note}.", size=8, after=1)

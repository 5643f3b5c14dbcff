"""The list of cuts as people read it at the saw: where the fence is set, and what a cut makes."""

from nesting.base.measure import UnitSystem, format_length, parse_length
from nesting.cutting.sawing.model import Outcome


def fence(value: int, units: UnitSystem) -> str:
    """Write where a fence is set: one figure, since it is set from one scale.

    To 1/64 in where that is exact, else as all lengths of the shop, to the nearest 1/32 in or 0.1 mm.
    """
    fine = format_length(value, units, 64)
    return fine if parse_length(fine, units) == value else format_length(value, units)


def outcome(result: Outcome) -> str:
    """Return a side of a cut in words."""
    if result.kind == "panel":
        return f"panel {result.name}"
    return {"part": result.name, "offcut": "offcut", "waste": "waste", "dust": "nothing"}[result.kind]

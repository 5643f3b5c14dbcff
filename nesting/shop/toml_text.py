"""What every part of the shop file is read and written with: tables, lengths, faults with table and key."""

from collections.abc import Mapping
from typing import Any

from nesting.base.faults import Fault
from nesting.base.measure import MeasureError, UnitSystem, parse_length


def fault_in(file: str, where: str, found: str, accepted: str) -> Fault:
    """Make a fault of this file; ``where`` names the table and key."""
    return Fault(file, None, where or None, found, accepted, row_word="table")


def tables(value: Any) -> list[Mapping[str, Any]]:
    """Return the tables of an array of tables, passing over anything else."""
    return [each for each in value if isinstance(each, Mapping)] if isinstance(value, list) else []


def read_length(raw: Any, file: str, where: str, faults: list[Fault], units: UnitSystem = "inch") -> int:
    """Read a length given as text with a unit; a bare number is inches, or millimetres in a file that goes by them."""
    try:
        return parse_length(str(raw), units)
    except MeasureError as error:
        faults.append(fault_in(file, where, error.found, error.accepted))
        return 0

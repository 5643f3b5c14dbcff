"""The 2-D optimiser: lay the parts of one good on sheets as cuts a saw can make, at the lowest cost.

:func:`nest` is the one entry. Importing this package is light: what needs compiled code or a solver loads it when it
runs.
"""

from nesting.cutting.sheets.model import (
    Cut,
    Layout,
    NestError,
    Node,
    Offcut,
    PartLeaf,
    Sheet,
    SheetLayout,
    Trim,
    Waste,
)
from nesting.cutting.sheets.solve import at_stake, many, nest

__all__ = [
    "Cut",
    "Layout",
    "NestError",
    "Node",
    "Offcut",
    "PartLeaf",
    "Sheet",
    "SheetLayout",
    "Trim",
    "Waste",
    "at_stake",
    "many",
    "nest",
]

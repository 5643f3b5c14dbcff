"""Handling marks that crates ask for, by what is true of them; names are those of ISO 780, from memory.

A method states the marks of its own kind; what its gear asks for besides (forks, handles) is added here, for all.
"""

from dataclasses import replace
from typing import Final

from nesting.crates.model import Crate

CARTON_MARKS: Final = ("this way up", "fragile", "keep away from rain")
CRATE_MARKS: Final = (*CARTON_MARKS, "do not stack", "centre of gravity")
FORKS: Final = "forks here"
LIFT: Final = "lift here"


def with_marks(crate: Crate) -> Crate:
    """Return a crate with the marks that its gear asks for: where forks go, and where hands do."""
    more = []
    if crate.lift == "forks" and any(placed.role == "skid" for placed in crate.placed):
        more.append(FORKS)
    if any(fitting.role == "handle" for fitting in crate.gear):
        more.append(LIFT)
    new = tuple(mark for mark in more if mark not in crate.marks)
    return replace(crate, marks=(*crate.marks, *new)) if new else crate

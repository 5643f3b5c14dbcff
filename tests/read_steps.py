"""Reading the steps of a crate: everything that a step says, whichever of its fields it stands in."""

from typing import Any


def all_of(step: Any) -> str:
    """Return all that a step says."""
    return " | ".join(said for said in (step.text, step.drill, step.stop, step.screw, step.check, step.caution) if said)


def read(crate: Any) -> str:
    """Return all that the steps of a crate say."""
    return " || ".join(all_of(step) for step in crate.steps)

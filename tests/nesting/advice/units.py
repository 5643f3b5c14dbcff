"""Unit conversion by pint, the independent judge of ours."""

from typing import Any

import pint

_REGISTRY: "pint.UnitRegistry[Any]" = pint.UnitRegistry()


def convert(value: float, unit: str, to: str) -> float:
    """Return ``value`` of one unit in another."""
    return float(_REGISTRY.Quantity(value, unit).to(to).magnitude)

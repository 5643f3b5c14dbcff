"""Packing methods: what each is asked, how it refuses, and the table where a new one is entered by one line."""

from collections.abc import Mapping
from importlib import import_module
from typing import Any

from nesting.crates.model import Method
from nesting.crates.traits import CaseMaker, PackingMethod

METHODS: Mapping[Method, str] = {
    "carton": "nesting.crates.cartons.carton:carton",
    "closed": "nesting.crates.shells.closed:closed",
    "battened": "nesting.crates.shells.battened:battened",
    "travel": "nesting.crates.travel.travel:travel",
}
"""Method by name: the module and function that make it. A new method is its file and one line here."""


OUTER = "nesting.crates.cases.outer:outer"
"""What makes an outer case; not a method that an order asks for, so not in the table."""


def case_maker() -> CaseMaker:
    """Return the maker of outer cases."""
    made: CaseMaker = _load(OUTER)
    return made


def method(name: str) -> PackingMethod:
    """Return the packing method of that name.

    Raises
    ------
    KeyError
        If there is none.
    """
    made: PackingMethod = _load(METHODS[name])  # type: ignore[index]  # any text may be asked for
    return made


def _load(where: str) -> Any:
    """Import ``"module:function"``, so that a method's libraries load only where it is used."""
    module, function = where.split(":")
    return getattr(import_module(module), function)

"""Carriage: who takes a crate on its way, which says how far it may fall and what foam it must have at least."""

from typing import Final, Literal

Carriage = Literal["own van", "art carrier", "common carrier"]

COMMON: Final[Carriage] = "common carrier"
"""What is reckoned with where nobody says who takes it: the roughest."""

"""Carriage: who takes a crate on its way, which says how far it may fall and what foam it must have at least.

A common carrier's hands and belts are what ISTA 1A's steps and the mechanical handling of ASTM D4169 stand for. Whoever
carries nothing but works of art, and the studio's own people, put things down: for them the manual drops of ASTM D4169,
section 10.2.3, are taken, which were not at hand (from memory, fairly sure). Which of its levels stands for whom is a
rule of the shop: no source says so.
"""

from collections.abc import Iterable
from typing import Final, Literal, get_args

Carriage = Literal["own van", "art carrier", "common carrier"]

CARRIAGES: Final[tuple[Carriage, ...]] = get_args(Carriage)
"""From the gentlest to the roughest."""
COMMON: Final[Carriage] = "common carrier"
"""What is reckoned with where nobody says who takes it: the roughest."""

Level = Literal["I", "II", "III"]

_MANUAL: Final[dict[str, tuple[tuple[float, int], ...]]] = {
    "I": ((20, 24), (40, 21), (60, 18), (80, 15), (100, 12), (200, 10)),
    "II": ((20, 15), (40, 13), (60, 12), (80, 10), (100, 9), (200, 7)),
    "III": ((20, 9), (40, 8), (60, 7), (80, 6), (100, 5), (200, 5)),
}
"""Up to how many pounds, and the drop in inches, by assurance level."""


def by_hand(level: str, pounds: float) -> int:
    """Return the drop in inches from the hands of those who carry works of art only; the last step stays beyond it."""
    steps = _MANUAL[level]
    return next((drop for below, drop in steps if pounds < below), steps[-1][1])


def roughest(carriages: Iterable[Carriage]) -> Carriage:
    """Return the roughest of those who take it, one after the other; a common carrier where there are none."""
    return max(carriages, key=CARRIAGES.index, default=COMMON)

"""Lengths of the carpentry's own choosing: each stated twice, where a shop goes by inches and where by millimetres.

A shop by millimetres prints whole ones: what is chosen is stated so (:class:`OwnLength`), and what is reckoned, such as
a middle or a third, is set to its grain (:func:`grain_of`). In a shop by inches the grain is the exact grid itself, so
that nothing is rounded there.
"""

from dataclasses import dataclass

from nesting.base.measure import MM, UnitSystem


@dataclass(frozen=True, slots=True)
class OwnLength:
    """A length that nobody orders and no rule states: the same choice by inches and by millimetres.

    Attributes
    ----------
    inch, metric : int
        Exact grid; the second in whole millimetres, or halves of what is bought in them.
    """

    inch: int
    metric: int

    def of(self, sizes: UnitSystem) -> int:
        """Return it as a shop by these sizes has it."""
        return self.metric if sizes == "metric" else self.inch


def grain_of(sizes: UnitSystem) -> int:
    """Return the finest step of positions and parts that are reckoned in a shop by these sizes."""
    return MM if sizes == "metric" else 1


def whole(value: int, grain: int) -> int:
    """Round down to a grain."""
    return value // grain * grain


def whole_up(value: int, grain: int) -> int:
    """Round up to a grain."""
    return -(-value // grain) * grain


def near(value: int, grain: int) -> int:
    """Round to the nearest of a grain, halves up."""
    return (2 * value + grain) // (2 * grain) * grain if grain > 1 else value

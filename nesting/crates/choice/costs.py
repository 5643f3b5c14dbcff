"""What the search for designs is told of costs: whole numbers of one unit, whose meaning is the front office's."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Protocol

from nesting.advice.carriage import Carriage
from nesting.crates.case_choice import CostsFor
from nesting.crates.cases.consignment import Grouping
from nesting.crates.judge import Judge
from nesting.crates.sketch import Sketch
from nesting.cutting.yardstick import Yard


class Pricer(Protocol):
    """Costs one crate by its sketch, but for what the yard cuts."""

    def __call__(self, sketch: Sketch, destination: str | None, /) -> int | None:
        """Return the whole cost of all but parts of goods that the yard measures.

        Parameters
        ----------
        sketch : Sketch
            What the crate takes.
        destination : str or None
            Where it travels; empty where nobody said. None where it rides in a case: then it bears no freight.

        Returns
        -------
        int or None
            None where no carrier or door takes it, or something in it has no price.
        """


class Whole(Protocol):
    """Costs a whole order by making it."""

    def __call__(self, grouping: Grouping, /) -> int | None:
        """Return what the order costs with these choices, or None where it cannot be made so."""


@dataclass(frozen=True, slots=True)
class Costs:
    """Everything that a search is told of costs.

    Attributes
    ----------
    cases : CostsFor
        Estimates very many cases at once, from their frames alone.
    pricer : Pricer
        Costs one design.
    yard : Yard
        What sheets and sticks cost.
    whole : Whole or None
        Costs the best few choices for good; None: the best by estimate is taken.
    """

    cases: CostsFor
    pricer: Pricer
    yard: Yard
    whole: Whole | None = None


@dataclass(frozen=True, slots=True)
class Goes:
    """How an order goes out.

    Attributes
    ----------
    countries : mapping of str to str
        Country of each destination, where known.
    carriage : mapping of str to str
        Who takes crates to each destination; a common carrier where it says nothing.
    judge : Judge
        What designs of shells are judged by before the order is looked at.
    """

    countries: Mapping[str, str] = field(default_factory=dict)
    carriage: Mapping[str, Carriage] = field(default_factory=dict)
    judge: Judge = field(default_factory=Judge)

"""Methods: what each way of packing a piece costs and asks of people, and the cheapest ways over a whole order."""

from pricing.methods.combine import Combination, combine
from pricing.methods.compare import Comparison, Row, compare
from pricing.methods.pricer import Outcome, Pricer, Refusal
from pricing.methods.units import METHODS, Unit, units_of, with_methods

__all__ = [
    "METHODS",
    "Combination",
    "Comparison",
    "Outcome",
    "Pricer",
    "Refusal",
    "Row",
    "Unit",
    "combine",
    "compare",
    "units_of",
    "with_methods",
]

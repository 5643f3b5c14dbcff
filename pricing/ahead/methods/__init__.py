"""Methods: what each way of packing a piece costs and asks of people, and the cheapest ways over a whole order."""

from pricing.ahead.methods.combine import Combination, combine
from pricing.ahead.methods.compare import Comparison, Row, compare
from pricing.ahead.methods.pricer import Outcome, Pricer, Refusal
from pricing.ahead.methods.units import Unit, units_of, with_methods

__all__ = [
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

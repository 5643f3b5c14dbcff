"""Ready: the compiled search loaded before the first order needs it, so that nobody waits for it then."""

from nesting.cutting.parts import Part
from nesting.cutting.sheets.effort import SETTINGS
from nesting.cutting.sheets.key_costs import Prices
from nesting.cutting.sheets.model import Sheet
from nesting.cutting.sheets.problem import read_problem


def get_ready() -> None:
    """Load the compiled search, or compile it where it never was, and let it run a few steps as a quick search does.

    The search is called by itself and not through :func:`nesting.cutting.sheets.nest`: an order small enough for this
    is proven before any search, today or by the next bound that is found.
    """
    from nesting.cutting.sheets.search import RuinAndRecreate  # loads numba

    problem = read_problem([Part("ready", 16, 23, "ready", 3)], [Sheet("ready", 31, 23, 100, good="ready")], 1)
    prices, settings = Prices(problem), SETTINGS["quick"]
    search = RuinAndRecreate(problem, prices, 0)
    search.begin(settings)
    solution = search.solution()
    search.load(solution.placed())
    search.aim(solution.key(prices) - 1, settings.history)
    search.run(1, settings, pooling=settings.rounds > 0)

"""Keys of numbers of sheets: cost first, ties after, and never beyond 64 bits."""

from nesting.base.search import QUICK
from nesting.cutting.parts import Part
from nesting.cutting.sheets import Sheet, nest
from nesting.cutting.sheets.key_costs import Prices, rate
from nesting.cutting.sheets.problem import read_problem
from nesting.cutting.stock import DEAREST
from tests.layout_verifier import verify

BUY = Sheet("buy", 100, 50, 700, breaks=((3, 500), (10, 450)))
RACK = Sheet("rack", 90, 50, 700, 4, source="rack")


def test_the_break_reached_applies_to_all_and_one_more_can_be_cheaper() -> None:
    # 2 x 7.00 = 14.00; 3 x 5.00 = 15.00; 9 x 5.00 = 45.00; 10 x 4.50 = 45.00, the lesser number at equal cost.
    assert [BUY.purchase(n) for n in (0, 1, 2, 3, 9, 10)] == [
        (0, 0),
        (700, 1),
        (1400, 2),
        (1500, 3),
        (4500, 9),
        (4500, 10),
    ]
    limited = Sheet("few", 100, 50, 700, 2, breaks=((3, 100),))
    assert limited.purchase(2) == (1400, 2)
    deep = Sheet("deep", 100, 50, 700, breaks=((3, 200),))
    assert deep.purchase(2) == (600, 3)


def test_keys_order_by_cost_then_bought_then_sheets() -> None:
    problem = read_problem([Part("a", 45, 25, "g", 12)], [BUY, RACK], 0)
    prices = Prices(problem)
    names = [stock.sheet.name for stock in problem.stocks]
    buy, rack = names.index("buy"), names.index("rack")
    assert prices.cost(prices.key(buy, 2)) == 1400
    assert prices.key(rack, 1) < prices.key(buy, 1)
    assert prices.key(buy, 2) < prices.key(buy, 3)
    assert rate(problem, buy) == 450


def test_the_dearest_sheets_do_not_overflow() -> None:
    sheet = Sheet("gold", 100, 50, DEAREST)
    parts = [Part("a", 51, 26, "g", 120), Part("b", 40, 20, "g", 90)]
    layout = nest(parts, [sheet], search=QUICK)
    verify(layout, parts, [sheet], 0)
    assert layout.cost == layout.sheet_count * DEAREST

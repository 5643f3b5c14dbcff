"""What designs of crates are judged by: area prices, prices of one, and paid minutes, as whole numbers.

This is where money leaves, as in :mod:`pricing.quoting.supply`: the shop floor sees thousandths of a cent. Sheets are
judged by their area at the price of one sheet, the cheapest size of each good; how they are cut is for the layouts.
"""

from decimal import Decimal
from typing import Final

from nesting.base.measure import MM, UnitSystem
from nesting.crates.designs import Beside, next_best
from nesting.crates.judge import Judge
from nesting.crates.model import Crate
from nesting.cutting.sawing.model import TITLES, SawCosts
from nesting.cutting.sawing.weighing import Weighing
from nesting.cutting.sheets.model import MILLE
from pricing.money import half_up, show
from pricing.quoting.charging import Charging
from pricing.quoting.labour import Operation, paid_as
from pricing.studio.office import Office

_UNIT: Final = 100_000
"""Thousandths of a cent in one unit of a currency of two decimals."""
_M2: Final = (1000 * MM) ** 2


def judge_of(office: Office) -> Judge:
    """Return the judge of a studio's prices and rates; what has no price is judged by nothing."""
    shop, book, rules = office.shop, office.book, office.rates.labour
    prices = {row.stock: row.price for row in book.rows}
    areas: dict[str, int] = {}
    each: dict[str, int] = {}
    for good in shop.goods:
        stocked = [(size, prices[size.stock]) for size in good.sizes if size.stock in prices]
        if good.form == "sheet" and stocked:
            areas[good.good] = min(_whole(price * _M2 / (size.length * size.width)) for size, price in stocked)
        elif good.form == "stick" and stocked:
            each[good.good] = min(_whole(price * MM / size.length) for size, price in stocked)
        elif good.form == "each" and stocked:
            each[good.good] = min(_whole(price / size.holds) for size, price in stocked)
    minutes = {name: int(getattr(rules, name) * 1000) for name in ("hole", "screw", "staple", "glue_run", "bolt")}
    hour = prices.get(rules.bench_hour, Decimal(0))
    return Judge(areas, each, _whole(hour / 60), 0, {**minutes, "part": int((rules.rip + rules.crosscut) * 1000)})


def saw_costs_of(office: Office) -> SawCosts:
    """Return what settings, passes, turns and carries of a plan of the saw cost by a studio's rates."""
    rules = office.rates.labour
    hour = next((row.price for row in office.book.rows if row.stock == rules.saw_hour), Decimal(0))

    def cost(operation: Operation | None) -> int:
        return 0 if operation is None else _whole(hour * getattr(rules, operation) / 60)

    paid = {tool: paid_as(tool, rules) for tool in TITLES}
    return SawCosts(
        settings={tool: cost(each.setting) for tool, each in paid.items()},
        rips={tool: cost(each.rip) for tool, each in paid.items()},
        crosscuts={tool: cost(each.crosscut) for tool, each in paid.items()},
        load=cost("load"),
        turn=cost("turn"),
        carry=cost("carry"),
    )


def weighing_of(office: Office) -> Weighing:
    """Return what is weighed beside goods: the saw's work, and offcuts as far as the job gets their value back."""
    charging = Charging.of(office.rates)
    kept = int(office.rates.price.offcut_value * MILLE)
    sheets = (good.good for good in office.shop.goods if good.form == "sheet")
    return Weighing(saw_costs_of(office), {good: kept for good in sheets if charging.rule_of(good) == "used"})


def next_priced(crate: Crate, units: UnitSystem, currency: str) -> str:
    """Return which designs came next to a crate's own, with weight and cost; empty where none did."""

    def dearer(each: Beside) -> str:
        cost = half_up(Decimal(each.cost) / _UNIT)
        return f"{show(abs(cost), currency)} {'more' if cost > 0 else 'less'}" if cost else "at the same cost"

    return next_best(crate, units, dearer)


def _whole(price: Decimal) -> int:
    """Return a price in thousandths of a cent, rounded down."""
    return int(price * _UNIT)

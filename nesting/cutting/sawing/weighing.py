"""Weighing the saw's work beside goods: what costs and a shop's tools make of a good's sheets."""

from collections.abc import Hashable, Mapping
from dataclasses import dataclass, field, replace

from nesting.cutting.sawing.limits import Limits
from nesting.cutting.sawing.model import SawCosts
from nesting.cutting.sawing.plan import alone_of, effort_of
from nesting.cutting.sheets import SheetLayout
from nesting.cutting.sheets.front import Alone, Bench
from nesting.shop.needs import blade_of, kerf_of
from nesting.shop.shop import Shop


@dataclass(frozen=True, slots=True)
class Weighing:
    """What is weighed beside goods, by whoever knows money.

    Attributes
    ----------
    costs : SawCosts
        Of the saw's work, in thousandths of the unit that sheets cost in.
    kept : mapping of str to int
        By good, thousandths of its part of a sheet's cost that a kept offcut is worth; nothing where not named.
    """

    costs: SawCosts = field(default_factory=SawCosts)
    kept: Mapping[str, int] = field(default_factory=dict)

    def _key(self, good: str) -> tuple[object, ...]:
        costs = self.costs
        tables = (costs.settings, costs.rips, costs.crosscuts)
        return (
            *(tuple(sorted(table.items())) for table in tables),
            costs.load,
            costs.turn,
            costs.carry,
            self.kept.get(good, 0),
        )

    def bench(self, shop: Shop, name: str) -> Bench:
        """Return what stands beside a good in a shop."""
        good = shop.good(name)
        limits = Limits.of(good.thickness, kerf_of(shop, good), shop.saw, shop.tools, blade_of(shop, good))

        costs = self.costs

        def work(sheets: tuple[SheetLayout, ...]) -> int:
            return costs.cost(effort_of(sheets, limits))

        def alone(sheet: SheetLayout) -> Alone:
            effort, settings = alone_of(sheet, limits)
            each: dict[Hashable, int] = {(tool, at): costs.settings.get(tool, 0) for tool, at in settings}
            return Alone(costs.cost(replace(effort, settings={})), each)

        return Bench(work, self.kept.get(name, 0), shop.saw.least_goods, (*self._key(name), limits), alone)

"""``python -m tests.benchmarks.saw_before --out FILE`` writes what a version cuts of the generated orders.

It is run in a tree of the version that is held against the present one (commit e3ba2bb), with this file and
``tests/saw_simulation.py`` laid into it, and takes nothing that is not there: sheets, cut lists and each sheet's cuts
come out as plain numbers, a line of JSON an order. :mod:`tests.benchmarks.saw_minutes` reads them.
"""

import argparse
import json
from collections.abc import Iterator, Mapping
from importlib import import_module
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Final

from nesting.base.faults import FaultsFound
from nesting.base.search import QUICK
from nesting.build import Build, to_cut
from pricing.output.job import read_both
from pricing.quoting.work import work
from tests.generated_orders import KINDS, ON, GeneratedOrder
from tests.saw_simulation import lots_of

COUNTS: Final[Mapping[str, int]] = {"consignment": 200, "sale": 100}
_PLACES: Final = ("tests.benchmarks.cut_order", "nesting.cutting.sawing.cut_order", "nesting.drawings.cut_order")
"""Where versions keep the order of a single sheet's cuts: the present one first."""

Data = dict[str, Any]


def chosen(share: str) -> Iterator[GeneratedOrder]:
    """Yield the orders, or every so manyth: ``1/15``."""
    first, every = (int(each) for each in share.split("/"))
    for kind, count in COUNTS.items():
        yield from (KINDS[kind](seed) for seed in range(count) if seed % every < first)


def made(order: GeneratedOrder, place: Path) -> Build | None:
    """Make an order with the least search; None where it is refused."""
    try:
        read, office = read_both(order.write(place), None, None)
        return work(read, office, on=ON, search=QUICK).build
    except FaultsFound:
        return None


def steps_of(layout: Any, handle: int) -> list[list[Any]]:
    """Return each sheet's cuts in the order of a single sheet: layout, action, panel, fence, edge, what comes off."""
    module = next(found for found in map(_module, _PLACES) if found is not None)
    rows = []
    for index, each in enumerate(layout.sheets):
        for step in module.order_cuts(each.sheet, each.cuts, layout.kerf, handle):
            sides = [[side.kind, side.name, side.dx, side.dy] for side in (step.off, step.stays)]
            rows.append([index, step.action, step.panel, step.fence, step.edge, *sides, list(step.line)])
    return rows


def _module(name: str) -> Any:
    try:
        return import_module(name)
    except ModuleNotFoundError:
        return None


def data_of(name: str, build: Build) -> Data:
    """Return what is cut of an order."""
    parts, sticks = to_cut(build)
    sheets = [
        {
            "good": layout.good,
            "thickness": build.shop.good(layout.good).thickness,
            "kerf": layout.kerf,
            "cost": layout.cost,
            "lots": [[lot.length, lot.width, lot.repeat, lot.offcuts] for lot in lots_of(layout)],
            "parts": [[p.name, p.length, p.width, p.count, p.grain] for p in parts[layout.good]],
            "steps": steps_of(layout, build.shop.saw.panel_area),
        }
        for layout in build.layouts
    ]
    lumber = [
        {
            "good": plan.good,
            "kerf": plan.kerf,
            "cost": plan.cost,
            "sticks": [[each.stick.length, each.stick.trim, each.repeat, list(each.parts)] for each in plan.sticks],
            "parts": [[p.name, p.length, p.count] for p in sticks[plan.good]],
        }
        for plan in build.stick_plans
    ]
    return {"order": name, "sheets": sheets, "sticks": lumber}


def main() -> None:
    """Write a line for each order."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--share", default="1/1", help="every so manyth order of each kind")
    given = parser.parse_args()
    with given.out.open("w", encoding="utf-8") as file, TemporaryDirectory() as place:
        for order in chosen(given.share):
            build = made(order, Path(place))
            if build is not None:
                print(json.dumps(data_of(order.name, build), separators=(",", ":")), file=file, flush=True)


if __name__ == "__main__":
    main()

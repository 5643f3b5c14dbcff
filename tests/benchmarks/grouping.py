"""``python -m tests.benchmarks.grouping`` times the search for outer cases, and compares it with plainer ways.

The costs are the front office's estimates of candidate cases; a case each and near sizes (first fit) are costed by the
same function.
"""

import argparse
import time

from nesting.cases import CostsFor, cheapest_cases, riders
from nesting.consignment import Grouping, near_sizes
from nesting.order import Order
from nesting.partition import CaseCosts
from pricing.methods import with_methods
from pricing.office import Office
from tests.benchmarks.consignments import large, office


def cost_of(grouping: Grouping, order: Order, studio: Office, costs: CaseCosts, names: list[str]) -> int | None:
    """Cost a grouping; None where a case of it is not allowed."""
    import numpy as np

    most = studio.shop.method.case_most
    table = np.full((len(grouping.cases), most), len(names), dtype=np.int16)
    for row, case in enumerate(grouping.cases):
        table[row, : len(case.pieces)] = sorted(names.index(piece) for piece in case.pieces)
    found = costs(table)
    return None if (found < 0).any() else int(found.sum())


def measure(seed: int, count: int) -> None:
    """Search one consignment and print a line."""
    studio = office()
    plain = large(seed, count)
    order = with_methods(plain, {work.piece: "travel" for work in plain.artworks})
    kept: list[tuple[CaseCosts, list[str]]] = []
    maker: CostsFor = studio.case_costs()

    def costs_for(artworks, frames, destination):  # type: ignore[no-untyped-def]  # the protocol names the types
        costs = maker(artworks, frames, destination)
        kept.append((costs, [artwork.piece for artwork in artworks]))
        return costs

    wall, processor = time.perf_counter(), time.process_time()
    found = cheapest_cases(order, studio.shop, costs_for)
    wall, processor = time.perf_counter() - wall, time.process_time() - processor
    (place,) = found.places
    costs, names = kept[0]
    copies = riders(order, studio.shop)
    fit = cost_of(near_sizes(copies, studio.shop, order.source), order, studio, costs, names)
    single = sum(int(cost) for cost in costs(_alone(len(names), studio.shop.method.case_most)))
    bound = place.partition.bound
    gap = "no bound" if bound is None else f"{place.partition.cost / bound - 1:.2%} above the bound"
    print(
        f"{count} pieces, seed {seed}: {place.partition.considered} cases considered, {len(found.grouping.cases)} chosen, "
        f"{place.partition.cost / 100:.2f} ({gap}); a case each {single / 100:.2f}, first fit "
        f"{'not allowed' if fit is None else f'{fit / 100:.2f}'}; {wall:.1f} s on the wall, {processor:.1f} s of processor",
        flush=True,
    )
    if place.partition.cost > min(single, fit or single):
        raise AssertionError("worse than a plainer way")


def _alone(count: int, most: int):  # type: ignore[no-untyped-def]  # an array of numpy, imported where it runs
    import numpy as np

    table = np.full((count, most), count, dtype=np.int16)
    table[:, 0] = range(count)
    return table


def main() -> None:
    """Measure what the command line asks for."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.grouping", description=__doc__)
    parser.add_argument("--pieces", type=int, nargs="+", default=[5, 10, 20, 40])
    parser.add_argument("--seeds", type=int, nargs="+", default=[0, 1])
    asked = parser.parse_args()
    for count in asked.pieces:
        for seed in asked.seeds:
            measure(seed, count)


if __name__ == "__main__":
    main()

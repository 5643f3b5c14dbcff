"""``python -m tests.benchmarks.grouping`` times the search for outer cases, and compares it with plainer ways.

The costs are the front office's estimates of candidate cases; a case each and near sizes (first fit) are costed by the
same function.
"""

import argparse
import time
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from nesting.crates.case_choice import cheapest_cases
from nesting.crates.cases.consignment import near_sizes
from nesting.crates.cases.partition import CaseCosts
from nesting.crates.expand import riding
from nesting.crates.model import Crate
from nesting.order import Artwork
from pricing.ahead.methods import with_methods
from pricing.quoting.case_costs import CaseCostMaker, case_costs_of
from tests.benchmarks.consignments import large, office


@dataclass
class Kept:
    """Makes cost functions and keeps the last with its pieces, so that other groupings are costed by it too."""

    maker: CaseCostMaker
    names: list[str] = field(default_factory=list)
    costs: CaseCosts | None = None

    def __call__(self, artworks: Sequence[Artwork], frames: Sequence[Crate], destination: str, /) -> CaseCosts:
        """Make the cost function of a destination."""
        self.costs = self.maker(artworks, frames, destination)
        self.names = [artwork.piece for artwork in artworks]
        return self.costs

    def cost(self, cases: Sequence[Sequence[str]], most: int) -> int | None:
        """Cost cases; None where one of them is not allowed."""
        if self.costs is None:
            raise AssertionError("nothing was searched")
        table = np.full((len(cases), most), len(self.names), dtype=np.int16)
        for row, case in enumerate(cases):
            table[row, : len(case)] = sorted(self.names.index(piece) for piece in case)
        found = self.costs(table)
        return None if (found < 0).any() else int(found.sum())


def measure(seed: int, count: int) -> None:
    """Search one consignment and print a line."""
    studio = office()
    plain = large(seed, count)
    order = with_methods(plain, {work.piece: "travel" for work in plain.artworks})
    kept = Kept(case_costs_of(studio))
    wall, processor = time.perf_counter(), time.process_time()
    found = cheapest_cases(order, studio.shop, kept)
    wall, processor = time.perf_counter() - wall, time.process_time() - processor
    (place,) = found.places
    most = studio.shop.method.case_most
    fit = kept.cost(
        [c.pieces for c in near_sizes([piece for piece, _ in riding(order, studio.shop)], studio.shop).cases], most
    )
    single = kept.cost([(piece,) for piece in kept.names], most)
    cost, bound = place.partition.cost, place.partition.bound
    gap = "no bound" if bound is None else "proven" if place.partition.proven else f"{cost / bound - 1:.2%} over bound"
    print(
        f"{count} pieces, seed {seed}: {place.partition.considered} cases considered, "
        f"{len(found.grouping.cases)} chosen, {cost / 100:.2f} ({gap}); a case each {_money(single)}, "
        f"first fit {_money(fit)}; {wall:.1f} s on the wall, {processor:.1f} s of processor",
        flush=True,
    )
    if any(other is not None and cost > other for other in (single, fit)):
        raise AssertionError("worse than a plainer way")


def _money(cost: int | None) -> str:
    return "not allowed" if cost is None else f"{cost / 100:.2f}"


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

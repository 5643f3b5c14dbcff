"""``python -m tests.benchmarks.combinations`` measures what the search over methods saves on generated consignments.

Each consignment is priced as the shop's rules choose, as every piece's cheapest row says, and as the search finds.
Results go to a file as they come (``--log``), so that a long run may be cut short and taken up again.
"""

import argparse
import csv
import statistics
import time
from decimal import Decimal
from pathlib import Path

from nesting.base.faults import FaultsFound
from pricing.ahead.methods import Outcome, Pricer, combine
from tests.benchmarks.consignments import ON, consignment, office

HEAD = (
    "seed", "pieces", "chosen", "each_cheapest", "found", "whole_orders_priced", "complete", "changed", "seconds",
    "troubles", "troubles_left",
)  # fmt: skip


def measure(seed: int, budget: int) -> list[object] | None:
    """Return one row of results; None where the consignment cannot be built."""
    order = consignment(seed)
    began = time.process_time()
    try:
        found = combine(Pricer(order, office(), ON), budget=budget)
    except FaultsFound:
        return None
    each = found.each_cheapest
    now = found.comparison.now
    if (len(found.best.troubles), found.best.total) > (len(now.troubles), now.total):
        raise AssertionError(f"seed {seed}: worse than what the shop chose")
    fair = isinstance(each, Outcome) and found.against_each is not None
    return [
        seed,
        len(order.artworks),
        now.total,
        each.total if fair and isinstance(each, Outcome) else "",
        found.best.total,
        found.evaluations,
        found.complete,
        len(found.changed),
        f"{time.process_time() - began:.1f}",
        len(now.troubles),
        len(found.best.troubles),
    ]


def main() -> None:
    """Measure, and print the summary."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.combinations", description=__doc__)
    parser.add_argument("--count", type=int, default=100)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--budget", type=int, default=30, help="prices beyond those of the comparison")
    parser.add_argument("--log", type=Path, default=Path("combinations.csv"))
    asked = parser.parse_args()
    rows: list[dict[str, str]] = []
    if asked.log.exists():
        with asked.log.open(newline="", encoding="utf-8") as file:
            rows = list(csv.DictReader(file))
    done = {int(row["seed"]) for row in rows}
    seed = asked.first
    while len(rows) < asked.count:
        if seed not in done and (row := measure(seed, asked.budget)) is not None:
            with asked.log.open("a", newline="", encoding="utf-8") as file:
                writer = csv.writer(file, lineterminator="\n")
                if not rows:
                    writer.writerow(HEAD)
                writer.writerow(row)
            rows.append({key: str(value) for key, value in zip(HEAD, row, strict=True)})
        seed += 1
    summary(rows)


def summary(rows: list[dict[str, str]]) -> None:
    """Print what was saved."""
    # Where the shop's choice cannot go out (a failed check, a refused carrier), its price is no price to save from.
    mended = [row for row in rows if int(row["troubles_left"]) < int(row["troubles"])]
    saved = [1 - Decimal(row["found"]) / Decimal(row["chosen"]) for row in rows if row not in mended]
    against = [1 - Decimal(row["found"]) / Decimal(row["each_cheapest"]) for row in rows if row["each_cheapest"]]
    pieces = sum(int(row["pieces"]) for row in rows)
    print(f"{len(rows)} consignments, {pieces} pieces; in {len(mended)} it mends troubles")
    for title, values in (("against the shop's rules", saved), ("against each piece's cheapest row", against)):
        print(
            f"saved {title}: mean {statistics.mean(values):.1%}, median {statistics.median(values):.1%}, "
            f"most {max(values):.1%}, least {min(values):.1%}; in {sum(v > 0 for v in values)} of {len(values)}"
        )
    priced = [int(row["whole_orders_priced"]) for row in rows]
    seconds = [float(row["seconds"]) for row in rows]
    print(f"whole orders priced: mean {statistics.mean(priced):.0f}, most {max(priced)}")
    print(f"processor seconds: mean {statistics.mean(seconds):.1f}, most {max(seconds):.1f}")
    print(f"every combination priced: {sum(row['complete'] == 'True' for row in rows)}")


if __name__ == "__main__":
    main()

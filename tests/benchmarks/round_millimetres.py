"""``python -m tests.benchmarks.round_millimetres`` packs every recorded order by millimetres and looks for fractions.

Each order is written in whole millimetres and packed in the built-in metric shop, and once more as it is, by inches, in
the same shop. It writes ``data/round_millimetres_0.3.csv``: for each way and method how many crates there are, how many
lengths and places they state, and how many of these are a fraction of a millimetre, with the first of each kind.
"""

import argparse
import csv
from collections import Counter, defaultdict
from pathlib import Path
from typing import Final

from nesting.base.faults import FaultsFound
from nesting.base.measure import MM, UnitSystem
from nesting.crates.expand import expand
from nesting.intake.reading import read_upload
from nesting.shop.shop_file import default_shop
from tests.generated_orders import KINDS, RECORDED, GeneratedOrder
from tests.round_millimetres import fractions_of, lengths_of, metric_text

TABLE: Final = Path(__file__).parent / "data" / "round_millimetres_0.3.csv"
HEAD: Final = ("written in", "method", "crates", "lengths", "fractions", "kinds")
COUNTRIES: Final = {"Canal Gallery": "NL"}


def text_of(order: GeneratedOrder, units: UnitSystem) -> str:
    """Return an order as a file, in millimetres or as it is."""
    return metric_text(order) if units == "metric" else order.text()


def measured(orders: list[GeneratedOrder], units: UnitSystem) -> list[tuple[object, ...]]:
    """Pack orders in the metric shop; return a row for each method."""
    shop = default_shop("metric")
    sheets = (value for good in shop.goods for value in (good.thickness, good.least, good.greatest))
    known = frozenset(f"{value / MM:g} mm" for value in sheets if value % MM)
    crates: Counter[str] = Counter()
    lengths: Counter[str] = Counter()
    odd: Counter[str] = Counter()
    kinds: dict[str, dict[str, str]] = defaultdict(dict)
    refused = 0
    for order in orders:
        try:
            read = read_upload(f"{order.name}.csv", text_of(order, units).encode(), units=units)
            made = expand(read, shop, countries=COUNTRIES, unpacked=[])
        except FaultsFound:
            refused += 1
            continue
        for crate in made:
            crates[crate.method] += 1
            lengths[crate.method] += sum(1 for _ in lengths_of(crate))
            for what, value in fractions_of(crate, known):
                odd[crate.method] += 1
                kinds[crate.method].setdefault(what, f"{what} {value} ({order.name} {crate.crate})")
    print(f"{len(orders)} orders in {units} lengths, {refused} refused")
    return [
        ("mm" if units == "metric" else "in", method, crates[method], lengths[method], odd[method],
         "; ".join(kinds[method].values()))
        for method in sorted(crates)
    ]  # fmt: skip


def main() -> None:
    """Measure and write the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--each", type=int, default=1000, help="orders of each kind, from the first")
    parser.add_argument("--table", type=Path, default=TABLE)
    asked = parser.parse_args()
    orders = [KINDS[kind](seed) for kind, count in RECORDED.items() for seed in range(min(count, asked.each))]
    rows = [row for units in ("metric", "inch") for row in measured(orders, units)]
    with asked.table.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerows([HEAD, *rows])
    for row in rows:
        print(*row, sep=" | ")


if __name__ == "__main__":
    main()

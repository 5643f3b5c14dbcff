"""``python -m tests.benchmarks.marginals --out FILE`` asks of generated orders what each piece adds, a row a line.

What :func:`pricing.quoting.marginal.marginal_prices` says is held against the difference of two quotes made from
files: of the order, and of the order with one copy of the line less. ``data/marginals_0.3.csv`` holds a run.
"""

import argparse
import csv
import sys
from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

from nesting.base.faults import FaultsFound
from nesting.base.search import QUICK
from pricing.output.job import Request
from pricing.quoting.marginal import marginal_prices
from pricing.quoting.quote import Quote
from pricing.quoting.work import work
from tests.generated_orders import KINDS, ON, GeneratedOrder

HEAD: Final = ("order", "piece", "total", "adds", "without", "why", "as_a_file", "differs")
_WISHES: Final = ("together", "apart")


def quoted(order: GeneratedOrder, folder: Path) -> Quote:
    """Quote an order from its file, as the command does."""
    return Request(order.write(folder), ON, search=QUICK).priced()[0]


def fewer(order: GeneratedOrder, piece: str) -> GeneratedOrder:
    """Return the order with one copy of a line less, as its file would be changed; wishes about it go with it."""
    rows = []
    for row in order.rows:
        if row["piece"] != piece:
            rows.append(row)
        elif int(row.get("quantity") or 1) > 1:
            rows.append({**row, "quantity": str(int(row["quantity"]) - 1)})
    left = {row["piece"] for row in rows}
    for at, row in enumerate(rows):
        rows[at] = dict(row)
        for key in (key for key in _WISHES if key in row):
            rows[at][key] = ", ".join(name for name in row[key].split(", ") if name in left)
    return replace(order, rows=tuple(rows))


def rows_of(order: GeneratedOrder, folder: Path) -> Iterator[dict[str, object]]:
    """Yield a row for every line of an order that can be made."""
    try:
        whole = quoted(order, folder)
    except FaultsFound:
        return
    office, search = whole.office, replace(QUICK, memory={})
    for each in marginal_prices(whole, lambda rest: work(rest, office, on=ON, search=search)):
        try:
            told = quoted(fewer(order, each.piece), folder) if len(order.rows) > 1 else None
        except FaultsFound:
            told = None
        alone = Decimal("0.00") if told is None else told.total
        differs = "" if each.price is None else whole.total - alone - each.price
        yield {
            "order": order.name, "piece": each.piece, "total": whole.total, "adds": each.price,
            "without": each.without, "why": each.why, "as_a_file": whole.total - alone, "differs": differs,
        }  # fmt: skip


def main() -> None:
    """Ask, write, and say how many differ."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.marginals", description=__doc__)
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--orders", type=int, default=50, help="of each kind")
    parser.add_argument("--most", type=int, default=12, help="no orders of more lines")
    asked = parser.parse_args()
    lines = known = wrong = less = 0
    with asked.out.open("w", newline="", encoding="utf-8") as file, TemporaryDirectory(prefix="marginals-") as place:
        writer = csv.DictWriter(file, HEAD, restval="", lineterminator="\n")
        writer.writeheader()
        for kind in ("sale", "consignment"):
            orders = [order for order in map(KINDS[kind], range(asked.orders)) if len(order.rows) <= asked.most]
            for order in orders:
                for row in rows_of(order, Path(place)):
                    writer.writerow(row)
                    lines += 1
                    known += row["adds"] is not None
                    wrong += bool(row["differs"])
                    less += isinstance(row["adds"], Decimal) and row["adds"] < 0
                file.flush()
    print(f"{lines} lines, {known} told, {less} less than nothing, {wrong} differ from two quotes")
    sys.exit(bool(wrong))


if __name__ == "__main__":
    main()

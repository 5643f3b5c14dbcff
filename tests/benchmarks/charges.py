"""``python -m tests.benchmarks.charges`` prices small sales as before materials were charged by use, and as today.

It writes ``data/charges.csv``, a row for one panel of 8 x 8 in and for each of the 100 recorded sales: hours, what is
charged for materials, and the price of the work without freight, insurance and tax, by the rates that were built in
before files bore a form and by today's; what must be laid out at the yard; and what today's price would be by each
other rule. Prices and works are invented.
"""

import argparse
import csv
from collections.abc import Iterator, Sequence
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from typing import Final

from nesting.base.measure import INCH
from nesting.base.search import QUICK
from nesting.order import Artwork, Back, Order
from pricing.money import total
from pricing.output.job import read_both
from pricing.quoting.quote import Quote, quote
from pricing.quoting.work import work
from pricing.studio.office import Office
from pricing.studio.rates import Rates
from pricing.studio.rates_file import default_rates, former_rates
from tests.benchmarks import spread
from tests.generated_orders import KINDS, ON, RECORDED

FILE: Final = Path(__file__).parent / "data" / "charges.csv"
HEAD: Final = (
    "order", "pieces", "hours_before", "materials_before", "price_before", "hours", "materials", "price", "to_lay_out",
    "price_as_bought", "price_by_area",
)  # fmt: skip
Row = dict[str, str]


def small() -> Order:
    """Return an order of one panel of 8 x 8 in, 1 in deep."""
    side = 8 * INCH
    piece = Artwork("A-01", side, side, INCH, surface="resin", support="birch panel", back=Back("solid"))
    return Order("8 x 8 in", (piece,), currency="USD")


def price_of(made: Quote) -> Decimal:
    """Return the price of the work, before freight, insurance and tax pass through."""
    return made.step("rounding").running


def materials_of(made: Quote) -> Decimal:
    """Return what is charged for materials."""
    return total(line.amount for line in made.lines if line.taken is not None)


def worked(order: Order, office: Office, rates: Rates) -> Quote:
    """Return an order worked at other rates."""
    return work(order, replace(office, rates=rates), on=ON, search=QUICK)


def row_of(order: Order, office: Office) -> Row:
    """Return the figures of an order."""
    before, after = (worked(order, office, rates) for rates in (former_rates(), default_rates()))
    others = {rule: quote(after.build, after.office, on=ON, charge=rule) for rule in after.otherwise}
    return {
        "order": order.name,
        "pieces": str(len(order.copies())),
        "hours_before": f"{before.hours:.2f}",
        "materials_before": str(materials_of(before)),
        "price_before": str(price_of(before)),
        "hours": f"{after.hours:.2f}",
        "materials": str(materials_of(after)),
        "price": str(price_of(after)),
        "to_lay_out": str(after.takeoff.bought_amount),
        "price_as_bought": str(price_of(others["bought"])),
        "price_by_area": str(price_of(others["area"])),
    }


def rows(count: int, every: int) -> Iterator[Row]:
    """Yield the row of the small panel, then those of the sales, or of every so manyth."""
    yield row_of(small(), Office())
    with TemporaryDirectory(prefix="charges-") as place:
        for seed in range(0, count, every):
            order, office = read_both(KINDS["sale"](seed).write(Path(place)), None, None)
            yield row_of(order, office)


def told(found: Sequence[Row]) -> str:
    """Return what the table says in one paragraph."""
    small_one, *sales = found
    parts = [Decimal(row["price"]) / Decimal(row["price_before"]) for row in sales if Decimal(row["price_before"])]
    return (
        f"{small_one['order']}: {small_one['price_before']} -> {small_one['price']}; sales, "
        f"{spread.told((row['order'] for row in found), 'sale', RECORDED['sale'])}: price after over before, median "
        f"{median(parts):.2f}, least {min(parts):.2f}, most {max(parts):.2f}"
    )


def main() -> None:
    """Write the table and say what it says."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.charges", description=__doc__)
    parser.add_argument("--most", type=int, default=RECORDED["sale"], help="no more sales than so many")
    parser.add_argument("--every", type=int, default=1, help="every so manyth sale alone")
    parser.add_argument("--out", type=Path, default=FILE)
    asked = parser.parse_args()
    found = list(rows(asked.most, asked.every))
    with asked.out.open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, HEAD, lineterminator="\n")
        writer.writeheader()
        writer.writerows(found)
    print(told(found))


if __name__ == "__main__":
    main()

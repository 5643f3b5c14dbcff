"""``python -m tests.benchmarks.both_shops`` packs the same works in a shop by inches and in one by millimetres.

It writes ``data/both_shops.csv``, a row for each order: what is built, bought and weighed in either shop. The works are
generated (:mod:`tests.generated_orders`), with sizes to the next whole millimetre in both, so that neither shop has an
easier order. Plans are those of a quick search. Money is told by each shop's own invented prices: it does not compare.
"""

import argparse
import csv
import json
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Final

from nesting.base.faults import FaultsFound
from nesting.base.measure import MM, UnitSystem
from nesting.base.search import QUICK
from nesting.order import Artwork, Order
from nesting.shop.shop_file import default_shop
from pricing.output.handover import build_document
from pricing.output.job import read_both
from pricing.quoting.quote import Quote
from pricing.quoting.work import work
from pricing.studio.office import Office
from pricing.studio.pricebook_file import default_price_book
from pricing.studio.rates_file import default_rates
from tests.build_verifier import verify_build
from tests.generated_orders import KINDS, ON

DATA: Final = Path(__file__).parent / "data" / "both_shops.csv"
FIGURES: Final = (
    "crates", "held", "unpacked", "failing", "sheets_m2", "parts_m2", "sticks_m", "screws", "tare_kg", "outside_m3",
    "hours", "material", "faults",
)  # fmt: skip
SIDES: Final[Sequence[UnitSystem]] = ("inch", "metric")
HEAD: Final = ("order", "pieces", *(f"{figure}_{side}" for figure in FIGURES for side in SIDES))
LOTS: Final = (("consignment", 8), ("sale", 6), ("single", 6))
_LENGTHS: Final = ("width", "height", "depth")
_OF_A_BACK: Final = (
    "bar_width", "bar_depth", "face", "cleat_thickness", "cleat_width", "cleat_low", "cleat_high",
)  # fmt: skip

Row = dict[str, Any]


def office_of(sizes: UnitSystem) -> Office:
    """Return the built-in studio of either kind, where no place is known: freight is no matter here."""
    return Office(default_shop(sizes), default_price_book(sizes), default_rates(sizes))


def whole(order: Order, units: UnitSystem) -> Order:
    """Return an order whose sizes are whole millimetres, read by people of either kind."""
    return replace(order, artworks=tuple(map(_whole, order.artworks)), units=units, currency=None)


def _whole(artwork: Artwork) -> Artwork:
    sizes = {name: -(-getattr(artwork, name) // MM) * MM for name in _LENGTHS}
    back = artwork.back
    if back is not None:
        bars = {name: getattr(back, name) for name in _OF_A_BACK if getattr(back, name)}
        back = replace(back, **{name: -(-value // MM) * MM for name, value in bars.items()})
    return replace(artwork, **sizes, back=back)


def figures_of(made: Quote) -> Row:
    """Return what one shop came to."""
    build = made.build
    alone = [crate for crate in build.crates if crate.inside_of is None]
    sheets = [sheet for layout in build.layouts for sheet in layout.sheets]
    parts = [part for crate in build.crates for part in crate.parts]
    sticks = [stick for crate in build.crates for stick in crate.sticks]
    square = (1000 * MM) ** 2
    return {
        "crates": len(alone),
        "held": len(build.held),
        "unpacked": len(build.unpacked),
        "failing": sum(check.verdict == "fails" and check.structure for crate in alone for check in crate.checks),
        "sheets_m2": round(sum(s.repeat * s.sheet.length * s.sheet.width for s in sheets) / square, 2),
        "parts_m2": round(sum(part.length * part.width * part.count for part in parts) / square, 2),
        "sticks_m": round(sum(stick.length * stick.count for stick in sticks) / (1000 * MM), 2),
        "screws": sum(crate.work.screws for crate in build.crates),
        "tare_kg": round(sum(crate.tare_kg for crate in alone), 1),
        "outside_m3": round(
            sum(c.outside.width * c.outside.height * c.outside.depth for c in alone) / (1000 * MM) ** 3, 3
        ),
        "hours": made.hours,
        "material": f"{sum(row.used_amount for row in made.takeoff.rows)} {made.currency}",
        "faults": len(verify_build(json.loads(json.dumps(build_document(build, made.currency))))),
    }


def worked(order: Order) -> Row:
    """Pack an order in both shops."""
    row: Row = {"pieces": len(order.copies())}
    for side in SIDES:
        try:
            found = figures_of(work(whole(order, side), office_of(side), on=ON, search=QUICK))
        except FaultsFound as refused:
            found = {"faults": refused.faults[0].message}
        row |= {f"{figure}_{side}": value for figure, value in found.items()}
    return row


def rows(lots: Sequence[tuple[str, int]] = LOTS) -> Iterator[Row]:
    """Work order after order."""
    with TemporaryDirectory(prefix="both-shops-") as place:
        for kind, count in lots:
            for seed in range(count):
                made = KINDS[kind](seed)
                order, _ = read_both(made.write(Path(place)), None, None)
                yield {"order": made.name} | worked(order)


def main() -> None:
    """Write the table."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.both_shops", description=__doc__)
    parser.add_argument("--out", type=Path, default=DATA)
    with parser.parse_args().out.open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, HEAD, restval="", lineterminator="\n")
        writer.writeheader()
        for row in rows():
            writer.writerow(row)
            file.flush()


if __name__ == "__main__":
    main()

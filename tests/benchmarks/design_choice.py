"""``python -m tests.benchmarks.design_choice`` holds the chosen designs of recorded orders against those of before.

Both sides are worked from the same files, with the same rates, minutes, gear and limits of shock, and cut with the
least search; what is chosen is chosen as the command's ``normal`` does. ``data/design_before.csv`` is what the program
came to whose crates were made as the rules alone have them (commit cf3aac6, by ``--before`` there: this file and
``spread.py``, laid into a tree of it, use nothing that it has not); ``data/design_choice.csv`` holds both, a row an
order. ``--share 1/4`` works every fourth order of each kind, in a quarter of the time. Since the program of before
counted other minutes at the saw, each order is also made as today's rules alone have it, with today's minutes and cuts:
what is chosen over that is the choice alone, and what came into the rules since (soft foam in cartons) is not in it.

Then it prints, by kind: of which of the recorded orders the table is; the price before freight, after over before, of
orders that were sound before, with those that are dearer by name; the use of strand board and its sheets over the bound
of their area; and what 0.1.0 charged (``data/figures_0.1.0.csv``), apart, since that had another rule of charge. Orders
that failed a check before, or had a piece held, are listed apart, since what was missing cost nothing.
"""

import argparse
import csv
import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from math import ceil
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from typing import Any, Final

from nesting.base.faults import FaultsFound
from nesting.base.search import QUICK, USUAL
from pricing.output.job import read_both
from pricing.quoting.quote import Quote
from pricing.quoting.troubles import troubles
from pricing.quoting.work import work
from tests.benchmarks.spread import told
from tests.generated_orders import KINDS, ON, GeneratedOrder

DATA: Final = Path(__file__).parent / "data"
COUNTS: Final[Mapping[str, int]] = {"consignment": 200, "sale": 100, "single": 100}
"""Orders of each kind; the single pieces only for what 0.1.0 charged."""
BOARD: Final = "osb-7/16"
FIGURES: Final = (
    "refused", "troubles", "held", "total", "price", "freight", "board", "board_use", "board_bound", "seconds",
)  # fmt: skip
HEAD: Final = (
    "order", "pieces", "methods", *(f"{each}_before" for each in FIGURES), *FIGURES, "designs", "price_0.1.0",
    "price_ruled", "total_ruled",
)  # fmt: skip

Row = dict[str, str]


def figures(made: Quote, seconds: float) -> Row:
    """Return the figures of a quote that both sides have."""
    board = [layout for layout in made.build.layouts if layout.good == BOARD]
    sheets = sum(layout.sheet_count for layout in board)
    filled = sum(float(layout.use) * layout.sheet_count for layout in board)
    return {
        "refused": "",
        "troubles": str(len(troubles(made))),
        "held": str(len(made.build.held_pieces)),
        "total": str(made.total),
        "price": str(made.step("rounding").running),
        "freight": str(made.section("freight")),
        "board": str(sheets or ""),
        "board_use": f"{filled / sheets:.3f}" if sheets else "",
        "board_bound": str(ceil(filled - 1e-9)) if sheets else "",
        "seconds": f"{seconds:.2f}",
    }


def before(order: GeneratedOrder, place: Path) -> Row:
    """Return the figures of an order as this program makes it by itself."""
    row = {"order": order.name, "pieces": "", "methods": ""}
    began = time.process_time()
    try:
        read, office = read_both(order.write(place), None, None)
        made = work(read, office, on=ON, search=QUICK)
    except FaultsFound as found:
        return row | {"refused": found.faults[0].message.partition("found ")[2]}
    row["pieces"] = str(len(read.copies()))
    row["methods"] = " ".join(sorted({crate.method for crate in made.build.crates}))
    return row | figures(made, time.process_time() - began)


def chosen(order: GeneratedOrder, place: Path) -> Row:
    """Return the figures of an order whose designs were chosen."""
    from nesting.crates.cases.consignment import Grouping
    from pricing.quoting.work import cheapest_grouping, choose

    began = time.process_time()
    try:
        read, office = read_both(order.write(place), None, None)
        search = replace(USUAL, memory={})
        design = choose(read, office, search, on=ON)
        quick = replace(search, effort="quick")
        made = work(read, office, on=ON, search=quick, design=design)
        spent = time.process_time() - began
        by_rule = work(read, office, on=ON, search=quick, design=cheapest_grouping(read, office) or Grouping(()))
    except FaultsFound as found:
        return {"refused": found.faults[0].message.partition("found ")[2]}
    kinds = {"pieces": str(len(read.copies())), "methods": " ".join(sorted({c.method for c in made.build.crates}))}
    ruled = {"price_ruled": str(by_rule.step("rounding").running), "total_ruled": str(by_rule.total)}
    return kinds | figures(made, spent) | {"designs": str(design.tried if design else 0)} | ruled


def orders(kinds: Sequence[str], most: int | None, share: str) -> list[GeneratedOrder]:
    """Return the orders that are asked for."""
    number, shares = (int(part) for part in share.split("/"))
    return [
        KINDS[kind](seed)
        for kind in kinds
        for seed in range(number - 1, min(COUNTS[kind], most or COUNTS[kind]), shares)
    ]


def read_rows(file: Path) -> dict[str, Row]:
    """Return recorded rows by order."""
    with file.open(newline="", encoding="utf-8") as text:
        return {row["order"]: row for row in csv.DictReader(text)}


def priced_0_1_0(row: Row) -> str:
    """Return what 0.1.0 charged before freight and insurance; empty where it refused the order."""
    if row.get("refused") or not row.get("total"):
        return ""
    return str(Decimal(row["total"]) - Decimal(row["freight"]) - Decimal(row["insurance"]))


def both(wanted: Sequence[GeneratedOrder]) -> Iterator[Row]:
    """Yield a row for each order: before, as chosen, and what 0.1.0 charged."""
    old, first = read_rows(DATA / "design_before.csv"), read_rows(DATA / "figures_0.1.0.csv")
    with TemporaryDirectory(prefix="designs-") as place:
        for order in wanted:
            was = old[order.name]
            row = {f"{name}_before": was[name] for name in FIGURES}
            yield {
                "order": order.name, "pieces": was["pieces"], "methods": was["methods"], **row,
                **chosen(order, Path(place)), "price_0.1.0": priced_0_1_0(first[order.name]),
            }  # fmt: skip


def sound(row: Row, when: str = "") -> bool:
    """Whether an order was made whole, without a crate that fails or is held."""
    return not row[f"refused{when}"] and row[f"troubles{when}"] == row[f"held{when}"] == "0"


def ratio(row: Row, name: str, other: str) -> float:
    """Return one figure over another."""
    return float(Decimal(row[name]) / Decimal(row[other]))


def tell(rows: Sequence[Row]) -> Iterator[str]:
    """Yield what the rows come to."""
    for kind in COUNTS:
        mine = [row for row in rows if row["order"].startswith(kind)]
        if not mine:
            continue
        held_to = [row for row in mine if sound(row, "_before") and not row["refused"]]
        yield f"{kind}: {told((row['order'] for row in mine), kind, COUNTS[kind])}; {len(held_to)} sound before"
        yield from _against(held_to)
        apart = [row["order"] for row in mine if row not in held_to]
        if apart:
            yield f"  apart, since something failed or was held before: {len(apart)}: {' '.join(apart)}"
        worse = [row["order"] for row in held_to if not sound(row)]
        yield f"  sound before and not now: {len(worse)} {' '.join(worse)}"
        yield from _board(mine)
        yield from _first(mine)


def _against(rows: Sequence[Row]) -> Iterator[str]:
    if not rows:
        return
    price = [ratio(row, "price", "price_before") for row in rows]
    whole = [ratio(row, "total", "total_before") for row in rows]
    yield f"  before freight, after over before: median {median(price):.3f}, {min(price):.2f} to {max(price):.2f}"
    yield f"  in all: median {median(whole):.3f}, {min(whole):.2f} to {max(whole):.2f}"
    ruled = [row for row in rows if row.get("price_ruled")]
    if ruled:
        for what, name in (("before freight", "price"), ("in all", "total")):
            parts = [ratio(row, name, f"{name}_ruled") for row in ruled]
            yield f"  {what}, over the rules alone: median {median(parts):.3f}, {min(parts):.2f} to {max(parts):.2f}"
        above = [row["order"] for row in ruled if Decimal(row["total"]) > Decimal(row["total_ruled"])]
        yield f"  dearer in all than today's rules alone: {len(above)} {' '.join(above)}"
    dearer = [row for row in rows if Decimal(row["total"]) > Decimal(row["total_before"])]
    named = (f"{row['order']} {Decimal(row['total']) - Decimal(row['total_before'])}" for row in dearer)
    yield f"  dearer in all: {len(dearer)} {', '.join(named)}"
    seconds = sorted(float(row["seconds"]) for row in rows)
    yield f"  processor seconds, chosen and cut quickly: median {median(seconds):.2f}, most {seconds[-1]:.2f}"


def _board(rows: Sequence[Row]) -> Iterator[str]:
    for when in ("_before", ""):
        cut = [row for row in rows if not row["refused"] and row.get(f"board{when}")]
        if cut:
            use = median(float(row[f"board_use{when}"]) for row in cut)
            near = sum(int(row[f"board{when}"]) <= int(row[f"board_bound{when}"]) + 1 for row in cut)
            sheets = sum(int(row[f"board{when}"]) for row in cut)
            filled = f"use in the median {use:.0%}, at most one sheet over its area in {near / len(cut):.0%}"
            yield f"  strand board {'before' if when else 'now'}: {sheets} sheets in {len(cut)} orders, {filled}"


def _first(rows: Sequence[Row]) -> Iterator[str]:
    """Yield prices over those of 0.1.0, of orders that went in cartons alone, and of the others."""
    charged = [row for row in rows if row["price_0.1.0"] and not row["refused"] and Decimal(row["price_0.1.0"])]
    for what, mine in (
        ("cartons alone", [row for row in charged if row["methods"] == "carton"]),
        (
            "one crate alone",
            [row for row in charged if row["methods"] in ("closed", "battened") and row["pieces"] == "1"],
        ),
        ("others", [row for row in charged if row["methods"] not in ("carton", "closed", "battened")]),
    ):
        if mine:
            least = median(ratio(row, "price", "price_0.1.0") for row in mine)
            yield f"  before freight over 0.1.0 as it charged, {what}: {len(mine)}, median {least:.2f}"


def write(file: Path, head: Sequence[str], rows: Iterator[Row]) -> list[Row]:
    """Write rows as they come, those that stand in the file already left as they are; return all."""
    known: dict[str, Any] = read_rows(file) if file.exists() else {}
    with file.open("a", newline="", encoding="utf-8") as text:
        writer = csv.DictWriter(text, head, restval="", lineterminator="\n")
        if not known:
            writer.writeheader()
        for row in rows:
            writer.writerow(row)
            text.flush()
    return list(read_rows(file).values())


def main() -> None:
    """Work the orders and say what they come to."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.design_choice", description=__doc__)
    parser.add_argument("--out", type=Path, default=DATA / "design_choice.csv", help="rows in it are not worked again")
    parser.add_argument("--before", action="store_true", help="record what this program makes, to hold others against")
    parser.add_argument("--kinds", nargs="*", default=list(COUNTS))
    parser.add_argument("--most", type=int, help="no more orders than so many of each kind")
    parser.add_argument("--share", default="1/1", help="which share of the orders of each kind, such as 1/4")
    asked = parser.parse_args()
    known = read_rows(asked.out) if asked.out.exists() else {}
    wanted = [order for order in orders(asked.kinds, asked.most, asked.share) if order.name not in known]
    if asked.before:
        with TemporaryDirectory(prefix="designs-") as place:
            head = ("order", "pieces", "methods", *FIGURES)
            write(asked.out, head, (before(order, Path(place)) for order in wanted))
        return
    print("\n".join(tell(write(asked.out, HEAD, both(wanted)))))


if __name__ == "__main__":
    main()

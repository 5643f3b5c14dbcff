"""``python -m tests.benchmarks.figures --out FILE`` works every recorded order and writes its figures, a row an order.

``data/figures_0.1.0.csv`` holds what 0.1.0 (commit 1363a3b) came to: every later "before" is read from it.
``--against FILE`` tells in which of the figures two versions differ. Seconds are processor seconds, divided by those
that ``for i in range(10**7): s += i`` takes in the same run; digests are of whole files, what names the version aside.
"""

import argparse
import csv
import hashlib
import io
import re
import sys
import time
import zipfile
from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import date
from decimal import Decimal
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

from nesting.base.faults import FaultsFound
from nesting.base.progress import silent
from nesting.base.search import Search
from pricing.output.job import Extras, Request, quote_contents
from pricing.quoting.quote import Quote
from tests.generated_orders import ON, RECORDED, GeneratedOrder, recorded

SAMPLES: Final = Path(__file__).parents[2] / "sample_orders"
SAMPLE_ORDERS: Final = ("gallery_consignment.csv", "small_sale.csv", "giant_panel.toml", "metric_pair.xlsx")
BOARD: Final = "osb-7/16"
FIXING: Final = frozenset({"hole", "screw", "staple", "glue_run"})
CUTS: Final = ("rip", "crosscut", "track_cut", "chop_cut", "knife_cut", "stick_cut")
SAWING: Final = frozenset({"load", "carry", "turn", "setup", "stop_setup", *CUTS})
SECTIONS: Final = ("sheets", "sticks", "rolls", "hardware", "purchase tax", "labour", "freight", "insurance")
METHODS: Final = ("carton", "closed", "battened", "travel", "outer")
HEAD: Final = (
    "order", "refused", "pieces", *METHODS, "failing", "watched", "unsuited", "flags",
    "total", *SECTIONS, "bought", "used",
    "net_kg", "tare_kg", "sheets_bought", "board_sheets", "board_use", "goods", "goods_proven", "over_bound",
    "hours", "fixing_hours", "saw_hours", "cuts", "setups", "screws", "batten_fixings", "pages",
    "seconds", "seconds_priced", "build_digest", "quote_digest", "tables_digest", "workbook_digest", "packet_digest",
)  # fmt: skip
UNLIKE: Final = frozenset({"seconds", "seconds_priced"})
"""Figures that differ from run to run."""

Figures = dict[str, object]


def loop_seconds() -> float:
    """Return what the loop takes here that seconds are told against."""
    began = time.process_time()
    s = 0
    for i in range(10**7):
        s += i
    return time.process_time() - began


def digest(*contents: bytes) -> str:
    """Return the first letters of the digest of files."""
    return hashlib.sha256(b"\0".join(contents)).hexdigest()[:16]


def _members(workbook: bytes) -> bytes:
    """Return what a workbook holds, one file of it after the other."""
    with zipfile.ZipFile(io.BytesIO(workbook)) as packed:
        return b"\0".join(name.encode() + b"\0" + packed.read(name) for name in sorted(packed.namelist()))


def work(file: Path, on: date, effort: str, loop: float, *, papers: bool = True) -> Figures:
    """Return the figures of one order; where it is refused, only why."""
    began = time.process_time()
    try:
        made, _ = Request(file, on, search=Search(effort=effort)).priced()  # type: ignore[arg-type]  # one of three words
    except FaultsFound as found:
        return {"refused": found.faults[0].message.partition("found ")[2]}
    priced = time.process_time() - began
    figures: Figures = _crates(made) | _money(made) | _goods(made) | _work(made)
    contents = quote_contents(made, Extras(packet=papers, tables=True, document=True), silent)
    build = re.sub(rb'"made_by": "[^"]*"', b"", contents["build.json"])
    figures |= {
        "seconds": f"{(time.process_time() - began) / loop:.2f}",
        "seconds_priced": f"{priced / loop:.2f}",
        "build_digest": digest(build),
        "quote_digest": digest(re.sub(rb'"made_by": "[^"]*"', b"", contents["quote.json"])),
        "tables_digest": digest(*(contents[name] for name in sorted(contents) if name.startswith("tables/"))),
        "workbook_digest": digest(_members(contents["quote.xlsx"])),
    }
    if papers:
        packet = contents["packet.pdf"]
        figures |= {"pages": len(re.findall(rb"/Type /Page\b(?!s)", packet)), "packet_digest": digest(packet)}
    return figures


def _crates(made: Quote) -> Figures:
    """Return how many packages of each kind there are, what they weigh, and which checks they do not pass."""
    crates = made.build.crates
    kinds = Counter(str(crate.method) for crate in crates)
    verdicts = Counter(check.verdict for crate in crates for check in crate.checks)
    alone = [crate for crate in crates if crate.inside_of is None]
    return {
        "pieces": len(made.build.order.copies()),
        **{kind: kinds[kind] for kind in METHODS},
        "failing": verdicts["fails"],
        "watched": verdicts["watch"],
        "unsuited": len(made.unsuited),
        "flags": len(made.lacks),
        "net_kg": f"{sum(crate.net_kg for crate in alone):.1f}",
        "tare_kg": f"{sum(crate.tare_kg for crate in alone):.1f}",
    }


def _money(made: Quote) -> Figures:
    """Return the total, each kind of cost, and what materials cost bought and used."""
    rows = made.takeoff.rows
    return {
        "total": made.total,
        **{section: sum((line.amount for line in (*made.lines, *made.passed) if line.section == section), Decimal(0))
           for section in SECTIONS},
        "bought": sum((row.bought_amount for row in rows), Decimal(0)),
        "used": sum((row.used_amount for row in rows), Decimal(0)),
    }  # fmt: skip


def _goods(made: Quote) -> Figures:
    """Return sheets, their use, and how many goods are proven to be laid out at the least cost."""
    layouts, plans = made.build.layouts, made.build.stick_plans
    board = [layout for layout in layouts if layout.good == BOARD]
    open_by = [each.cost - each.bound for each in layouts] + [each.cost - each.bound for each in plans]
    return {
        "sheets_bought": sum(each.repeat for layout in layouts for each in layout.sheets if each.sheet.source == "buy"),
        "board_sheets": sum(layout.sheet_count for layout in board),
        "board_use": f"{board[0].use:.3f}" if board else "",
        "goods": len(open_by),
        "goods_proven": sum(gap == 0 for gap in open_by),
        "over_bound": sum(open_by),
    }


def _work(made: Quote) -> Figures:
    """Return hours, and counts of cuts and fixings."""
    count = {row.operation: row.count for row in made.labour}
    hours = {str(row.operation): row.hours for row in made.labour}
    fixings = [fixing for crate in made.build.crates for fixing in crate.fixings]
    return {
        "hours": made.hours,
        "fixing_hours": sum((hours[each] for each in hours if each in FIXING), Decimal(0)),
        "saw_hours": sum((hours[each] for each in hours if each in SAWING), Decimal(0)),
        "cuts": sum(count.get(name, 0) for name in CUTS),
        "setups": count.get("setup", 0) + count.get("stop_setup", 0),
        "screws": count.get("screw", 0),
        "batten_fixings": sum(fixing.count for fixing in fixings if "batten" in fixing.purpose),
    }


def rows(orders: Sequence[GeneratedOrder], effort: str, *, papers: bool, samples: bool) -> Iterator[Figures]:
    """Work order after order."""
    loop = loop_seconds()
    if samples:
        for name in SAMPLE_ORDERS:
            yield {"order": name} | work(SAMPLES / name, date(2026, 11, 28), effort, loop, papers=papers)
    with TemporaryDirectory(prefix="figures-") as place:
        for order in orders:
            yield {"order": order.name} | work(order.write(Path(place)), ON, effort, loop, papers=papers)


def read(file: Path) -> dict[str, dict[str, str]]:
    """Return recorded figures by order."""
    with file.open(newline="", encoding="utf-8") as text:
        return {row["order"]: row for row in csv.DictReader(text)}


def compare(before: dict[str, dict[str, str]], after: dict[str, dict[str, str]]) -> list[str]:
    """Return a line for every order of both that came out otherwise, with the figures that differ."""
    told = []
    for name in (name for name in after if name in before):
        unlike = [key for key in HEAD if key not in UNLIKE and before[name].get(key, "") != after[name].get(key, "")]
        if unlike:
            told.append(f"{name}: " + ", ".join(f"{k} {before[name].get(k)} -> {after[name].get(k)}" for k in unlike))
    return told


def main() -> None:
    """Record figures, or compare them with recorded ones."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.figures", description=__doc__)
    parser.add_argument("--out", type=Path, required=True, help="CSV to write; what stands in it is not worked again")
    parser.add_argument("--effort", default="normal")
    parser.add_argument("--kinds", nargs="*", default=list(RECORDED), help=f"of {', '.join(RECORDED)}")
    parser.add_argument("--share", default="1/1", help="which share of the orders to work, such as 1/2")
    parser.add_argument("--most", type=int, help="no more orders than so many of each kind")
    parser.add_argument("--without-packet", action="store_true")
    parser.add_argument("--against", type=Path, help="recorded figures to compare with")
    asked = parser.parse_args()
    number, shares = (int(part) for part in asked.share.split("/"))
    known = read(asked.out) if asked.out.exists() else {}
    wanted = [
        order for order in recorded() if order.kind in asked.kinds and (asked.most is None or order.seed < asked.most)
    ][number - 1 :: shares]
    wanted = [order for order in wanted if order.name not in known]
    with asked.out.open("a", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, HEAD, restval="", lineterminator="\n")
        if not known:
            writer.writeheader()
        for row in rows(wanted, asked.effort, papers=not asked.without_packet, samples=number == 1 and not known):
            writer.writerow(row)
            file.flush()
    if asked.against:
        told = compare(read(asked.against), read(asked.out))
        print("\n".join(told) or "no figure differs")
        sys.exit(bool(told))


if __name__ == "__main__":
    main()

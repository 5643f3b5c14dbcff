"""A swap at the yard: how soon a first figure is there, and how soon the one that compares with the job's own.

Run ``python -m tests.benchmarks.yard_swap``; ``--write`` keeps the table in ``data/yard_swap.csv``, ``--whole`` works
each swap through with a search for designs as well, which is what the desk would have to wait for without
:mod:`pricing.desk.trials`. The job has twelve pieces and has settled; each sheet that the yard might not have is
swapped for the goods that the page offers. Seconds are of the processor, divided by those of a plain loop that is timed
before and after, so that they are those of a machine on which it takes 1.0 s; beside them stands what the trial took on
the machine at hand, and how long the loop takes there.
"""

import argparse
import csv
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Final, TypeVar

from nesting.base.garbage import collect_seldom
from nesting.base.progress import silent
from nesting.base.stop import Stop
from pricing.desk.content import Content
from pricing.desk.desk import Desk, Sheaf
from pricing.desk.studio import alternatives
from pricing.desk.trials import Trying
from pricing.output.tables import buying
from pricing.store import Store
from tests.benchmarks.desk_first import loop_seconds
from tests.pricing.desk.orders import DAY, HEADINGS, twelve

TABLE: Final = Path(__file__).parent / "data" / "yard_swap.csv"
OFFERED: Final = 4
"""Goods that the page offers instead of one."""
T = TypeVar("T")


def timed(work: Callable[[], T]) -> tuple[T, float, float]:
    """Return what comes of work, how long it takes where the plain loop takes a second, and how long the loop takes."""
    before, begun = loop_seconds(), time.process_time()
    made = work()
    took = time.process_time() - begun
    loop = min(before, loop_seconds())
    return made, took / loop, loop


def settled_job(desk: Desk) -> Sheaf:
    """Return a job of twelve pieces whose figure has settled."""
    job = desk.store.jobs.add("Yard")
    content = Content(headings=HEADINGS, rows=tuple(map(tuple, twelve())))
    answer = desk.save(job, content, based_on=0, what="begun").answer
    if answer is None or answer.asked is None:
        raise RuntimeError("no figure")
    desk.floor.keep(job, answer, answer.asked.run(silent, Stop()), stopped=False)
    return desk.sheaf(job)


def swapped(desk: Desk, sheaf: Sheaf, stock: str, good: str, instead: str, *, whole: bool) -> dict[str, str] | None:
    """Return a line of the table; None where the job cannot be made so."""
    if sheaf.answer is None:
        raise RuntimeError("no figure")
    content = replace(sheaf.content, missing=(stock,), swaps={good: instead})
    tried, first_took, _ = timed(lambda: desk.work(sheaf.row, sheaf.document, content))
    first, now = tried.answer, sheaf.answer.quote
    if first is None or first.asked is None:
        return None
    asked = first.asked
    made, took, loop = timed(lambda: Trying(asked, now.build.grouping).run(silent, Stop()))
    desk.floor.keep_trial(sheaf.row.id, first, made)
    again = desk.work(sheaf.row, sheaf.document, content).answer
    if again is None:
        raise RuntimeError("the trial is lost")
    line = {
        "none": stock, "instead": instead, "now": f"{now.total}", "first": f"{first.quote.total}",
        "first s": f"{first_took:.1f}", "trial": f"{again.quote.total}", "trial s": f"{took:.1f}",
        "here s": f"{took * loop:.1f}", "loop here s": f"{loop:.2f}",
    }  # fmt: skip
    if whole:
        found, longer, _ = timed(lambda: asked.run(silent, Stop()))
        line |= {"whole search": f"{found.total}", "whole search s": f"{longer:.1f}"}
    return line


def main() -> None:
    """Time every swap that can be made."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--write", action="store_true", help="keep the table")
    parser.add_argument("--whole", action="store_true", help="time a search for designs too")
    options = parser.parse_args()
    lines = []
    collect_seldom()  # as the worker does, in which trials run
    with tempfile.TemporaryDirectory() as folder:
        desk = Desk(Store(Path(folder)), today=lambda: DAY, patience=1e6)
        sheaf = settled_job(desk)
        if sheaf.answer is None:
            raise RuntimeError("no figure")
        build = sheaf.answer.quote.build
        for row in buying(sheaf.answer.quote):
            for instead in alternatives(build.shop, row.good)[:OFFERED] if row.form == "sheet" else ():
                line = swapped(desk, sheaf, row.stock, row.good, instead, whole=options.whole)
                if line is not None:
                    lines.append(line)
                    print(line, flush=True)
        desk.searches.close()
    if options.write:
        with TABLE.open("w", newline="", encoding="utf-8") as file:
            writer = csv.DictWriter(file, list(lines[0]), lineterminator="\n")
            writer.writeheader()
            writer.writerows(lines)


if __name__ == "__main__":
    main()

"""``python -m tests.benchmarks.stages`` times each stage of a quote at ``quick`` as an order grows to 2,000 pieces.

Each order is quoted in a process of its own, as ``casewright quote --effort quick`` does it, the cheaper way and the
lines on the terminal included. Seconds are processor seconds without what stages within a stage take, scaled to a
machine on which ``for i in range(10**7): s += i`` takes 1.0 s. An order that takes longer than ``--most`` is ended
there and told so: its seconds are then the least that each stage takes. Between two sizes stands the exponent: 1 where
a stage is linear, 2 where it is quadratic.
"""

import argparse
import csv
import importlib
import io
import json
import math
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import redirect_stdout
from functools import wraps
from pathlib import Path
from random import Random
from types import FrameType
from typing import Any, Final

from tests.generated_orders import COLUMNS, ON, PLACES

DATA: Final = Path(__file__).parent / "data" / "stages.csv"
HEAD: Final = ("when", "order", "pieces", "stage", "calls", "seconds", "exponent")
SIZES: Final = (250, 500, 1000, 2000)
MOST: Final = 400.0
"""Scaled seconds after which an order is ended."""
_COPIES: Final = 999
"""Most copies of one line."""

STAGES: Final[Mapping[str, tuple[str, ...]]] = {
    "read": ("pricing.output.job:read_both",),
    "frames": ("nesting.crates.expand:riding",),
    "group cases": ("nesting.crates.case_choice:cheapest_cases",),
    "near sizes": ("nesting.crates.cases.consignment:near_sizes", "nesting.crates.cases.consignment:check_grouping"),
    "choose methods": ("nesting.crates.choose:packed_as",),
    "expand": ("nesting.crates.expand:expand",),
    "share cartons": ("nesting.crates.choice.shared:Sharing.group",),
    "combine designs": ("nesting.crates.choice.combos:best_combinations",),
    "choose designs": ("nesting.crates.choice.search:design_order",),
    "nest": ("nesting.cutting.sheets:nest", "nesting.cutting.sheets:at_stake"),
    "order of cuts": ("nesting.cutting.sawing.plan:saw_plan", "nesting.cutting.sawing.plan:effort_in"),
    "small parts": ("nesting.cutting.sawing.blanks:made_safe",),
    "sticks": ("nesting.cutting.laying:Laying.sticks",),
    "rolls": ("nesting.cutting.laying:Laying.rolls",),
    "build": ("nesting.build:build",),
    "takeoff": ("pricing.quoting.takeoff:take_off",),
    "labour": ("pricing.quoting.labour:labour",),
    "freight": ("pricing.quoting.shipments:ship",),
    "lines": ("pricing.quoting.lines:material_line", "pricing.quoting.lines:labour_line",
              "pricing.quoting.shares:piece_weights"),
    "shares": ("pricing.quoting.shares:divide", "pricing.quoting.shares:Division.shares",
               "pricing.quoting.taxes:levy"),
    "quote": ("pricing.quoting.quote:quote",),
    "lacks": ("pricing.quoting.lacks:lacks_of",),
    "cheaper": ("pricing.ahead.cheaper:cheaper",),
    "dates": ("pricing.ahead.calendar.dates:plan_dates",),
    "workbook": ("pricing.output.workbook:workbook_bytes",),
    "build.json": ("pricing.output.handover:build_text",),
    "terminal": ("pricing.output.summary:summary", "pricing.ahead.calendar.table:due_lines"),
}  # fmt: skip
"""The functions that are a stage; what they call that is another stage counts there."""


class TooLong(BaseException):
    """An order took longer than it may."""


class Clock:
    """Seconds and calls of each stage, without those within."""

    def __init__(self) -> None:
        self.seconds: dict[str, float] = {}
        self.calls: dict[str, int] = {}
        self._open: list[str] = ["the rest"]
        self._since = time.process_time()

    def turn(self) -> None:
        """Give what passed to the stage that is on."""
        now = time.process_time()
        self.seconds[self._open[-1]] = self.seconds.get(self._open[-1], 0.0) + now - self._since
        self._since = now

    def stage(self, name: str, work: Callable[..., Any]) -> Callable[..., Any]:
        """Return a function that counts as a stage."""

        @wraps(work)
        def counted(*given: Any, **named: Any) -> Any:
            self.turn()
            self.calls[name] = self.calls.get(name, 0) + 1
            self._open.append(name)
            try:
                return work(*given, **named)
            finally:
                self.turn()
                self._open.pop()

        return counted


def watched(clock: Clock) -> None:
    """Put a clock round every stage, wherever it was imported."""
    for name, places in STAGES.items():
        for place in places:
            module, _, path = place.partition(":")
            holder: Any = importlib.import_module(module)
            *outer, last = path.split(".")
            for each in outer:
                holder = getattr(holder, each)
            old = getattr(holder, last)
            new = clock.stage(name, old)
            if outer:
                setattr(holder, last, new)
                continue
            for other in [each for key, each in sys.modules.items() if key.startswith(("nesting", "pricing"))]:
                for key, value in list(vars(other).items()):
                    if value is old:
                        setattr(other, key, new)


# Orders


def _copies(row: Mapping[str, str], count: int) -> list[dict[str, str]]:
    """Return lines of so many copies of one piece."""
    full, rest = divmod(count, _COPIES)
    return [
        {"piece": f"W-{n:02d}", "title": f"Invented work {n}", "quantity": str(each), **row}
        for n, each in enumerate([_COPIES] * full + [rest] * bool(rest), 1)
    ]


def crates(count: int) -> list[dict[str, str]]:
    """Return copies of a panel, each in a crate of its own."""
    row = {"width": "30", "height": "40", "depth": "1 1/2", "weight": "18 lb", "surface": "resin", "price": "1800",
           "support": "birch panel", "back": "strainer 1 1/2 x 1 1/2", "destination": "Quay Gallery"}  # fmt: skip
    return _copies(row, count)


def frames(count: int) -> list[dict[str, str]]:
    """Return copies of the same panel in travel frames, which share outer cases."""
    return [{**row, "method": "travel"} for row in crates(count)]


def cartons(count: int) -> list[dict[str, str]]:
    """Return copies of a small panel, which cartons are shared by."""
    row = {"width": "10", "height": "12", "depth": "1", "weight": "2 lb", "surface": "paint", "price": "300",
           "support": "birch panel", "back": "solid", "destination": "Hall"}  # fmt: skip
    return _copies(row, count)


def different(count: int) -> list[dict[str, str]]:
    """Return pieces of many sizes, no two alike, to five places."""
    random = Random(f"different {count}")
    places = ("Quay Gallery", "Terrace Gallery", "Hall", "Canal Gallery", "Buyer at home")
    rows = []
    for n in range(1, count + 1):
        low, high = random.choice(((6, 16), (18, 40), (36, 60)))
        width, height = (random.randint(8 * low, 8 * high) / 8 for _ in range(2))
        rows.append(
            {
                "piece": f"W-{n:04d}", "title": f"Invented work {n}", "width": str(width), "height": str(height),
                "depth": random.choice(("1", "1 1/2", "2")), "weight": f"{width * height / 50 + 1:.1f} lb",
                "surface": random.choice(("resin", "paint", "bare")), "support": "birch panel",
                "back": "solid" if max(width, height) < 30 else "strainer 2 1/2 x 1 1/4" ,
                "price": str(200 + n), "destination": random.choice(places),
            }
        )  # fmt: skip
    for row in rows:
        if row["back"].startswith("strainer"):
            row["depth"] = "2"
    return rows


ORDERS: Final[Mapping[str, Callable[[int], list[dict[str, str]]]]] = {
    "equal crates": crates,
    "equal frames": frames,
    "equal cartons": cartons,
    "all different": different,
}


def written(kind: str, count: int, folder: Path) -> Path:
    """Write an order and its places."""
    (folder / "destinations.csv").write_text(PLACES, encoding="utf-8")
    file = folder / "order.csv"
    with file.open("w", newline="", encoding="utf-8") as text:
        writer = csv.DictWriter(text, COLUMNS, restval="", lineterminator="\n")
        writer.writeheader()
        writer.writerows(ORDERS[kind](count))
    return file


# Measuring


def loop_seconds() -> float:
    """Return what the loop takes that all seconds are scaled by."""
    began = time.process_time()
    exec("s = 0\nfor i in range(10**7):\n    s += i", {})  # noqa: S102 - a loop of a program, which is slower than a function's
    return time.process_time() - began


def quote_once(file: Path, out: Path) -> None:
    """Quote an order as the command does."""
    from nesting.base.search import Search
    from pricing.ahead.calendar import dates, table
    from pricing.output import job, summary

    request = job.Request(file, ON, search=Search(effort="quick"))
    done = job.run_quote(request, out, job.Extras(cheaper=True))
    told = [summary.summary(done.quote, done.cheaper), *table.due_lines(dates.plan_dates(done.quote))]
    print("\n".join(told))


def measure(kind: str, count: int, most: float) -> dict[str, Any]:
    """Quote one order in this process; return seconds and calls by stage, and whether it was ended."""
    from nesting.base.garbage import collect_seldom

    each = loop_seconds()
    collect_seldom()  # as the command does
    with tempfile.TemporaryDirectory(prefix="stages-") as place:
        folder = Path(place)
        quote_once(written("equal crates", 2, folder), folder / "warm")  # compiled code and imports
        file = written(kind, count, folder)
        clock = Clock()
        watched(clock)

        def late(_number: int, _frame: FrameType | None) -> None:
            raise TooLong

        signal.signal(signal.SIGPROF, late)
        signal.setitimer(signal.ITIMER_PROF, most * each)
        how = "whole"
        try:
            with redirect_stdout(io.StringIO()):
                quote_once(file, folder / "out")
        except TooLong:
            how = "ended"
        except Exception as error:  # noqa: BLE001 - what a stage cannot take is what is looked for
            how = f"{type(error).__name__}: {str(error)[:80]}"
        finally:
            signal.setitimer(signal.ITIMER_PROF, 0)
        clock.turn()
    seconds = {name: round(took / each, 3) for name, took in clock.seconds.items()}
    return {"seconds": seconds, "calls": clock.calls, "loop": each, "how": how}


def rows_of(when: str, kind: str, sizes: Sequence[int], most: float) -> Iterator[tuple[object, ...]]:
    """Yield the rows of one kind of order as it grows."""
    before: dict[str, float] = {}
    smaller = 0
    for count in sizes:
        command = [sys.executable, "-m", "tests.benchmarks.stages", "--one", kind, str(count), "--most", str(most)]
        done = subprocess.run(command, capture_output=True, text=True, check=True)
        found = json.loads(done.stdout.splitlines()[-1])
        seconds: dict[str, float] = {**found["seconds"], "all": round(sum(found["seconds"].values()), 3)}
        for stage in ("all", "the rest", *STAGES):
            if stage not in seconds:
                continue
            took, was = seconds[stage], before.get(stage, 0.0)
            exponent = ""
            if was >= 0.05 and took >= 0.05 and found["how"] == "whole":
                exponent = f"{math.log(took / was) / math.log(count / smaller):.2f}"
            said = {"whole": exponent, "ended": "ended: took longer"}.get(found["how"], found["how"])
            calls = found["calls"].get(stage, "")
            yield when, kind, count, stage, calls, f"{took:.2f}", said if stage == "all" or exponent else ""
        if found["how"] != "whole":
            return
        before, smaller = seconds, count


def main() -> None:
    """Measure what is asked for, and write it."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.stages", description=__doc__)
    parser.add_argument("--one", nargs=2, metavar=("ORDER", "PIECES"), help="in this process; JSON on the terminal")
    parser.add_argument("--orders", nargs="+", default=list(ORDERS))
    parser.add_argument("--sizes", nargs="+", type=int, default=list(SIZES))
    parser.add_argument("--most", type=float, default=MOST, help="scaled seconds after which an order is ended")
    parser.add_argument("--when", default="now", help="what the rows are called: before, after")
    parser.add_argument("--out", type=Path, default=DATA)
    asked = parser.parse_args()
    if asked.one:
        print(json.dumps(measure(asked.one[0], int(asked.one[1]), asked.most)))
        return
    new = not asked.out.exists()
    with asked.out.open("a", newline="", encoding="utf-8") as text:
        writer = csv.writer(text, lineterminator="\n")
        if new:
            writer.writerow(HEAD)
        for kind in asked.orders:
            for row in rows_of(asked.when, kind, asked.sizes, asked.most):
                writer.writerow(row)
                text.flush()
                if row[3] == "all" or float(str(row[5])) >= 1:
                    print(*row, sep=" | ", flush=True)


if __name__ == "__main__":
    main()

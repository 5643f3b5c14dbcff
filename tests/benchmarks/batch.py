"""``python -m tests.benchmarks.batch`` works many generated orders at ``quick``, a row each and no workbooks.

Each way is a program of its own: a plain loop over the orders in one process, without any of the batch;
``casewright batch`` with one process, and with two; and a Dask cluster of a scheduler and two workers on loopback.
Seconds on the wall are those of the whole command, its start and the tables of all included; processor seconds are
those of all processes that it needs (of the cluster without the start of scheduler and workers, which stand before).
Megabytes are the most that any worker ever held. All ways must give the same table, byte for byte.

``kill`` works fifty orders, kills a worker and then the run at three moments (kill -9), in processes and on the
cluster, and compares the tables. ``simulate`` takes the measured processor seconds of every order
(``data/batch_timings.csv``), what the client needs for each and what a worker's start takes, and plays the same queue
with more workers: where it bends. It counts no network, and every worker as fast as the measured one.
"""

import argparse
import csv
import heapq
import os
import resource
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from statistics import mean, median
from tempfile import TemporaryDirectory
from typing import Final

from pricing.batch.run import AHEAD
from tests.benchmarks.__main__ import table
from tests.generated_orders import KINDS, ON
from tests.pricing.batch.test_batch_command import (
    FILES,
    children,
    disturbed,
    started,
    surroundings,
    wait_for,
    words,
    workers_of,
)

DATA: Final = Path(__file__).parent / "data"
RESULTS: Final = DATA / "batch.csv"
TIMINGS: Final = DATA / "batch_timings.csv"
HEAD: Final = ("way", "orders", "wall_s", "processor_s", "client_s", "worker_mb", "fixed_s")
MIX: Final = (("consignment", 1), ("sale", 1), ("single", 3))
"""How many of each kind of order in five."""
PORT: Final = 8797
NAMES: Final = {"loop": "plain loop", "1": "one process", "2": "two processes", "cluster": "cluster, two workers"}
_LOOP: Final = """
import sys
from pathlib import Path
from nesting.base.search import QUICK
from pricing.batch.edition import edition
from pricing.batch.listing import list_orders
from pricing.batch.working import Setting, bought_only, work_task
from pricing.output.job import Extras
from pricing.studio.office import read_office
from tests.generated_orders import ON
folder = Path(sys.argv[1])
setting = Setting(bought_only(read_office(None, folder)), ON, QUICK, Extras(), False)
for task in list_orders(folder).tasks():
    work_task(setting, task, edition())
"""


@dataclass(frozen=True, slots=True)
class Measured:
    """What one way took: seconds on the wall, of all processors, of the command's own process; and megabytes.

    ``fixed`` are seconds of the command's own process for two orders: what it needs however many there are.
    """

    way: str
    orders: int
    wall: float
    processor: float
    client: float
    megabytes: int
    fixed: float = 0.0

    @property
    def hand(self) -> float:
        """Seconds of the command's own process for each order more."""
        return max(0.0, self.client - self.fixed) / self.orders


def write_orders(folder: Path, count: int) -> Path:
    """Write so many orders of the mix, the same for ever."""
    folder.mkdir()
    seeds = dict.fromkeys(KINDS, 0)
    made = 0
    while made < count:
        for kind, often in MIX:
            for _ in range(min(often, count - made)):
                KINDS[kind](seeds[kind]).write(folder)
                seeds[kind] += 1
                made += 1
    return folder


def spent(process: int) -> float:
    """Return the processor seconds of a process so far."""
    cells = Path(f"/proc/{process}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
    return (int(cells[11]) + int(cells[12])) / os.sysconf("SC_CLK_TCK")


def ran(said: Sequence[str], others: Sequence[int] = ()) -> tuple[float, float, float]:
    """Run a command; return its seconds on the wall, those of all processors, and those of its own process."""
    before, began, at = sum(map(spent, others)), resource.getrusage(resource.RUSAGE_CHILDREN), time.monotonic()
    process = subprocess.Popen(said, env=surroundings(), stdout=subprocess.DEVNULL)
    own = 0.0
    while process.poll() is None:
        with suppress(OSError, IndexError):
            own = spent(process.pid)
        time.sleep(0.05)
    if process.returncode not in (0, 1, 3):
        raise AssertionError(f"{said}: ended with {process.returncode}")
    wall, after = time.monotonic() - at, resource.getrusage(resource.RUSAGE_CHILDREN)
    used = after.ru_utime + after.ru_stime - began.ru_utime - began.ru_stime
    return wall, used + sum(map(spent, others)) - before, own


@contextmanager
def two_workers() -> Iterator[list[int]]:
    """Start a scheduler and two workers on loopback; yield their processes."""
    with TemporaryDirectory() as folder:
        log = Path(folder) / "log"
        scheduler = started("cluster", "scheduler", "--port", str(PORT))
        nannies = started("cluster", "worker", f"tcp://127.0.0.1:{PORT}", "--workers", "2", log=log)
        try:
            wait_for(lambda: log.read_bytes().count(b"Registered to:") >= 2, "two workers")
            yield [scheduler.pid, nannies.pid, *children(nannies.pid)]
        finally:
            for each in (nannies, scheduler):
                each.terminate()
                each.wait()


def measure(orders: Path, few: Path, count: int, ways: Sequence[str]) -> Iterator[Measured]:
    """Work the orders each way, and a few for what the command itself needs; the tables of all must be the same."""
    first: dict[str, bytes] = {}
    for way in ways:
        if way == "loop":
            yield Measured(way, count, *ran([sys.executable, "-c", _LOOP, str(orders)]), 0)
            continue
        out = orders.parent / way
        how = ["--effort", "quick", "--rows-only", "--date", ON.isoformat()]
        said: list[str | Path] = ["batch", orders, "--out", out, *how]
        short: list[str | Path] = ["batch", few, "--out", orders.parent / f"few-{way}", *how]
        if way == "cluster":
            by = ["--cluster", f"tcp://127.0.0.1:{PORT}"]
            with two_workers() as processes:
                *_, fixed = ran(words(*short, *by), processes)
                took = ran(words(*said, *by), processes)
        else:
            by = ["--workers", way]
            *_, fixed = ran(words(*short, *by))
            took = ran(words(*said, *by))
        found = {name: (out / name).read_bytes() for name in FILES}
        if (first := first or found) != found:
            raise AssertionError(f"{way}: another table")
        with (out / "timings.csv").open(encoding="utf-8", newline="") as file:
            most = max(int(row["process_mb"] or 0) for row in csv.DictReader(file))
        if way == "1":
            shutil.copy(out / "timings.csv", orders.parent / "timings.csv")
        yield Measured(way, count, *took, most, fixed)


def show(rows: Sequence[Measured]) -> None:
    """Print what was measured, with what each way is beside one process and beside the loop."""
    by = {row.way: row for row in rows}

    def cells(row: Measured) -> Iterator[object]:
        yield NAMES.get(row.way, row.way)
        yield f"{row.wall:.1f}"
        yield f"{by['1'].wall / row.wall:.2f}" if "1" in by else ""
        yield f"{row.processor:.1f}"
        yield f"{100 * (row.processor / by['loop'].processor - 1):.1f} %" if "loop" in by else ""
        yield f"{1000 * row.hand:.1f}" if row.way != "loop" else ""
        yield row.megabytes or ""

    heads = (
        "way",
        "s on the wall",
        "times one process",
        "processor s",
        "above the loop",
        "client, ms an order",
        "MB a worker",
    )
    print(f"\n{rows[0].orders:,} orders\n")
    table(heads, (tuple(cells(row)) for row in rows))


@dataclass(frozen=True, slots=True)
class Played:
    """A simulated run: so many workers, seconds until the last is kept, and how busy workers and client are."""

    workers: int
    seconds: float
    busy: float
    client: float


def play(seconds: Sequence[float], workers: int, *, start: float, hand: float) -> Played:
    """Play the queue of :mod:`pricing.batch.run` with so many workers.

    The client is one process: it hands a task in and keeps an answer, `hand` seconds for both together, at most
    :data:`~pricing.batch.run.AHEAD` tasks a worker under way; an answer comes before a new task. A worker needs
    `start` seconds before its first task.
    """
    free = [(start, number) for number in range(workers)]  # when each worker is free
    heapq.heapify(free)
    waiting = list(seconds)[::-1]
    done: list[float] = []  # when answers come in
    clock = busy = 0.0
    under_way = 0
    while waiting or done:
        if waiting and under_way < AHEAD * workers and not (done and done[0] <= clock):
            clock += hand / 2
            busy += hand / 2
            at, number = heapq.heappop(free)
            end = max(at, clock) + waiting.pop()
            heapq.heappush(free, (end, number))
            heapq.heappush(done, end)
            under_way += 1
            continue
        clock = max(clock, heapq.heappop(done)) + hand / 2
        busy += hand / 2
        under_way -= 1
    return Played(workers, clock, sum(seconds) / (workers * clock), busy / clock)


def simulate(counts: Sequence[int], start: float, hand: float) -> None:
    """Print the same orders, and ten times as many, with more workers."""
    with TIMINGS.open(encoding="utf-8", newline="") as file:
        took = [float(row["processor_s"]) for row in csv.DictReader(file) if row["processor_s"]]
    print(
        f"\n{len(took):,} orders measured: {sum(took):.0f} s, mean {mean(took):.3f}, median {median(took):.3f}, "
        f"longest {max(took):.1f}; {hand * 1000:.1f} ms of the client an order, {start:.1f} s to start a worker\n"
    )
    rows = []
    for often in (1, 10):
        one = play(took * often, 1, start=start, hand=hand).seconds
        for workers in counts:
            made = play(took * often, workers, start=start, hand=hand)
            rows.append((
                f"{often * len(took):,}", workers, f"{made.seconds:.1f}", f"{one / made.seconds:.1f}",
                f"{100 * made.busy:.0f} %", f"{100 * made.client:.0f} %",
            ))  # fmt: skip
    table(("orders", "workers", "seconds", "times one", "workers busy", "client busy"), rows)


def kill(count: int) -> None:
    """Kill workers and runs at three moments, and compare the tables."""
    with TemporaryDirectory() as folder:
        orders = write_orders(Path(folder) / "orders", count)
        plain, moments = Path(folder) / "plain", (count // 8, count * 3 // 8, count * 5 // 8)
        ran(words("batch", orders, "--out", plain, "--workers", "1", "--effort", "quick", "--rows-only", "--date",
                  ON.isoformat()))  # fmt: skip
        disturbed(orders, Path(folder) / "pool", ["--workers", "2"], workers_of, moments)
        with two_workers() as (_, nannies, *_rest):
            by = ["--cluster", f"tcp://127.0.0.1:{PORT}"]
            disturbed(orders, Path(folder) / "cluster", by, lambda _: workers_of(nannies), moments)
        for out in ("pool", "cluster"):
            same = all((Path(folder) / out / name).read_bytes() == (plain / name).read_bytes() for name in FILES)
            print(f"{count} orders, {out}, killed at {moments}: the table is {'the same' if same else 'ANOTHER'}")


def main() -> None:
    """Run what the command line asks for."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.batch", description=__doc__)
    parser.add_argument("what", nargs="*", default=["measure", "simulate"], help="measure, simulate, kill")
    parser.add_argument("--orders", type=int, default=1000)
    parser.add_argument("--ways", nargs="+", default=["loop", "1", "2", "cluster"])
    parser.add_argument("--workers", type=int, nargs="+", default=[1, 2, 16, 64, 256])
    parser.add_argument("--keep", action="store_true", help="write what was measured into data/")
    parser.add_argument("--start", type=float, default=2.0, help="seconds that a worker needs to start")
    asked = parser.parse_args()
    if "measure" in asked.what:
        with TemporaryDirectory() as folder:
            orders = write_orders(Path(folder) / "orders", asked.orders)
            few = write_orders(Path(folder) / "few", 2)
            ran([sys.executable, "-c", _LOOP, str(few)])  # compiled code is there then
            rows = list(measure(orders, few, asked.orders, asked.ways))
            show(rows)
            if asked.keep:
                shutil.copy(Path(folder) / "timings.csv", TIMINGS)
                with RESULTS.open("w", encoding="utf-8", newline="") as file:
                    writer = csv.writer(file, lineterminator="\n")
                    writer.writerow(HEAD)
                    for row in rows:
                        seconds = (f"{each:.2f}" for each in (row.wall, row.processor, row.client))
                        writer.writerow((row.way, row.orders, *seconds, row.megabytes, f"{row.fixed:.2f}"))
    if "kill" in asked.what:
        kill(min(asked.orders, 50))
    if "simulate" in asked.what:
        with RESULTS.open(encoding="utf-8", newline="") as file:
            kept = {row["way"]: row for row in csv.DictReader(file)}
        for way in ("2", "cluster"):
            if way in kept:
                print(f"\nclient of {NAMES[way]}")
                hand = (float(kept[way]["client_s"]) - float(kept[way]["fixed_s"])) / int(kept[way]["orders"])
                simulate(asked.workers, asked.start, hand)


if __name__ == "__main__":
    main()

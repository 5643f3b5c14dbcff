"""A desk just started: its first change, how soon figures settle, and each page's first showing.

Run ``python -m tests.benchmarks.desk_first``; ``--after`` says how long somebody looks at the page first. What the desk
loads meanwhile is :meth:`pricing.desk.desk.Desk.warm`; the changes after the first one are what it should be like. The
job has twelve pieces; each change waits until the one before it has settled, whose seconds count from its answer until
a paper of it is handed out. A page's first showing is the first request for it after the job was priced.

With ``--processor`` the same changes are worked through in this process, without server, waiting and other programs:
processor seconds of each first figure, and of what the worker does until it has settled; the last settled figure is
held against what the command comes to.
"""

import argparse
import statistics
import tempfile
import time
from pathlib import Path
from typing import Final

import httpx

from nesting.base.progress import silent
from nesting.base.stop import Stop
from pricing.desk.content import Content
from pricing.desk.desk import Desk
from pricing.desk.floor import Answer
from pricing.quoting.work import work
from pricing.store import Store
from tests.desk.running import started
from tests.pricing.desk.orders import DAY, HEADINGS, twelve

STILL_SETTLING: Final = 409
PAGES: Final = ("", "rack", "prices", "rules", "keep")
OF_A_JOB: Final = (
    "artworks", "crates", "sheets", "money", "plan", "yard", "record", "ways", "what-if", "returns",
)  # fmt: skip


def first_showings(client: httpx.Client, job: str) -> dict[str, int]:
    """Return the milliseconds of the first showing of each page."""
    took = {}
    for path in (*PAGES, *(f"jobs/{job}/{name}" for name in OF_A_JOB)):
        begun = time.perf_counter()
        client.get(f"/{path}", headers={"accept": "text/html"}).raise_for_status()
        took[path.rpartition("/")[2] or "jobs"] = round(1000 * (time.perf_counter() - begun))
    return took


def settled_after(client: httpx.Client, job: str) -> float:
    """Return the seconds after which a job's figure has settled."""
    begun = time.perf_counter()
    while client.get(f"/jobs/{job}/files/quote.json").status_code == STILL_SETTLING:
        time.sleep(0.05)
    return round(time.perf_counter() - begun, 1)


def changes(after: float, count: int = 4) -> tuple[list[int], list[float], dict[str, int]]:
    """Return the milliseconds of the first changes of a fresh desk, the seconds to settle, and pages' milliseconds."""
    with tempfile.TemporaryDirectory() as folder, started(Path(folder)) as desk:
        headers = {"origin": desk, "accept": "application/json", **desk.entry}
        with httpx.Client(base_url=desk, headers=headers, timeout=120, trust_env=False) as client:
            client.get("/")
            time.sleep(after)
            job = client.post("/jobs", data={"name": "First"}).headers["location"].split("/")[2]
            took, settled = [], []
            for number in range(1, count + 1):
                rows = [list(row) for row in twelve()]
                rows[0][2] = str(30 + number)
                table = {"headings": HEADINGS, "rows": rows, "revision": number}
                begun = time.perf_counter()
                told = client.post(f"/jobs/{job}/artworks", json=table).raise_for_status().json()
                took.append(round(1000 * (time.perf_counter() - begun)))
                if not told["slip"]["total"]:
                    raise RuntimeError(f"no total: {told}")
                settled.append(settled_after(client, job))
            return took, settled, first_showings(client, job)


def loop_seconds() -> float:
    """Return the processor seconds of a plain loop, by which machines are compared."""
    begun, total = time.process_time(), 0
    for number in range(10**7):
        total += number
    return time.process_time() - begun


def by_processor(count: int) -> None:
    """Print the processor seconds of first figures and of settling, each change after the one before has settled."""
    never = 1e6
    loops = [loop_seconds()]
    with tempfile.TemporaryDirectory() as folder:
        desk = Desk(Store(Path(folder)), today=lambda: DAY, patience=never)
        desk.warm()
        job, last, firsts, settling = desk.store.jobs.add("First"), None, [], []
        for number in range(count):
            rows = [list(row) for row in twelve()]
            rows[number % 12][2] = str(30 + number)
            content = Content(headings=HEADINGS, rows=tuple(map(tuple, rows)))
            begun = time.process_time()
            sheaf = desk.save(job, content, based_on=number, what="changed")
            firsts.append(time.process_time() - begun)
            first = sheaf.answer
            if first is None or first.asked is None:
                raise RuntimeError(f"no figure: {sheaf.faults}")
            begun = time.process_time()
            found = first.asked.run(silent, Stop())
            settling.append(time.process_time() - begun)
            last = desk.floor.keep(job, first, found, stopped=False)
            loops.append(loop_seconds())
            print(f"first {firsts[-1]:.2f} s, settled {settling[-1]:.2f} s, loop {loops[-1]:.2f} s", flush=True)
        desk.close()
    loop = statistics.median(loops)
    told = (f"{statistics.median(each):.2f} s, {statistics.median(each) / loop:.2f} at a loop of 1.0 s"
            for each in (firsts[1:], settling))  # fmt: skip
    print("| loop s | first figure, median | settling, median |\n|---|---|---|")
    print(f"| {loop:.2f} | {' | '.join(told)} |")
    print(_held_against_the_command(last))


def _held_against_the_command(settled: Answer | None) -> str:
    if settled is None or settled.asked is None:
        raise RuntimeError("nothing settled")
    asked = settled.asked
    command = work(asked.order, asked.office, on=asked.on, number=asked.number)
    told = "the same" if command.total == settled.quote.total else "OTHERWISE"
    return f"settled {settled.quote.total}, command {command.total}: {told}"


def main() -> None:
    """Measure a few fresh desks and print their first changes."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--after", type=float, default=4.0, help="seconds between the page and the first change")
    parser.add_argument("--desks", type=int, default=3, help="how many desks are started, one after the other")
    parser.add_argument("--processor", type=int, default=0, help="changes whose processor seconds are measured")
    given = parser.parse_args()
    if given.processor:
        by_processor(given.processor)
        return
    print("| desk | first change ms | the next ones ms | settled after s | pages at first, ms |\n|---|---|---|---|---|")
    for number in range(1, given.desks + 1):
        (first, *later), settled, pages = changes(given.after)
        shown = ", ".join(f"{name} {took}" for name, took in pages.items())
        print(f"| {number} | {first} | {', '.join(map(str, later))} | {', '.join(map(str, settled))} | {shown} |")


if __name__ == "__main__":
    main()

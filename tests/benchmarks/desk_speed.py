"""How soon the desk answers: a pasted table, every page, a large job after a restart, a huge one, and others meanwhile.

Run ``python -m tests.benchmarks.desk_speed``; it writes ``data/desk_speed.csv``. The desk is started by its own command
in a process of its own, as in use, and asked over loopback. Seconds are those of the clock at the client. The loop of
10^7 is measured before and after in this process; `scaled` is what a machine would take whose loop takes 1.0 s, and
`load` how many programs wanted its processors meanwhile.
"""

import argparse
import csv
import io
import os
import re
import statistics
import sys
import tempfile
import time
import zipfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from threading import Event, Thread
from typing import Final

import httpx

from pricing.desk.content import Content
from pricing.desk.desk import Desk
from pricing.money import show
from pricing.store import Store
from tests.benchmarks.desk_first import OF_A_JOB, PAGES
from tests.desk.running import started
from tests.pricing.desk.orders import HEADINGS, twelve

JSON: Final = {"accept": "application/json"}
TABLE: Final = Path(__file__).parent / "data" / "desk_speed.csv"
_PLACES: Final = ("Harbour Gallery", "Hillside Gallery", "")
_MORE: Final = ("client", "papers", "saw")
_EIGHTHS: Final = 8


_LOOP: Final = compile("s = 0\nfor i in range(10**7): s += i", "loop", "exec")


def loop_seconds() -> float:
    """Return the processor seconds of the loop by which machines are compared; its names are global ones."""
    begun = time.process_time()
    exec(_LOOP, {})  # noqa: S102 - our own
    return time.process_time() - begun


def many(count: int) -> list[list[str]]:
    """Return so many pieces of differing sizes, of invented works for two places and for nobody yet."""
    rows = []
    for n in range(count):
        width, height = 16 + (n * 7) % 33, 20 + (n * 11) % 41
        sizes = (f"{width} {n % _EIGHTHS}/8" if n % _EIGHTHS else str(width), str(height))
        rows.append([f"M-{n + 1:04d}", f"Work {n + 1}", *sizes, "1 1/2", "", "auto", _PLACES[n % len(_PLACES)]])
    return rows


@dataclass
class Table:
    """What was measured.

    Attributes
    ----------
    rows : list of (str, str, list of float, float)
        What, how it is meant, seconds of each time, and what is promised.
    """

    rows: list[tuple[str, list[float], float]] = field(default_factory=list)

    def add(self, what: str, took: list[float], promised: float) -> None:
        """Note what something took."""
        self.rows.append((what, took, promised))
        print(f"{what}: median {statistics.median(took):.3f} s, worst {max(took):.3f} s of {len(took)}", flush=True)


@contextmanager
def asking(folder: Path) -> Iterator[httpx.Client]:
    """Start a desk and ask it."""
    with started(folder) as desk:
        headers = {"origin": desk, **desk.entry}
        with httpx.Client(base_url=desk, headers=headers, timeout=600, trust_env=False) as client:
            yield client


def timed(ask: Callable[[], httpx.Response]) -> tuple[float, httpx.Response]:
    """Return the seconds of a request, and its answer."""
    begun = time.perf_counter()
    answer = ask()
    return time.perf_counter() - begun, answer


def begin(client: httpx.Client, name: str) -> str:
    """Begin a job; return its address."""
    return client.post("/jobs", data={"name": name}).headers["location"].removesuffix("/artworks")


def paste(client: httpx.Client, job: str, rows: list[list[str]], revision: int) -> tuple[float, dict[str, object]]:
    """Save a table; return the seconds and what was told of the total."""
    table = {"headings": HEADINGS, "rows": rows, "revision": revision}
    took, answer = timed(lambda: client.post(f"{job}/artworks", json=table, headers=JSON))
    slip: dict[str, object] = answer.raise_for_status().json()["slip"]
    if not slip["total"]:
        raise RuntimeError(f"no total: {answer.json()}")
    return took, slip


def figured(client: httpx.Client, job: str) -> float:
    """Return the seconds after which a job has a figure that is not only rough or the last one."""
    begun = time.perf_counter()
    while client.post(f"{job}/settle", headers=JSON).raise_for_status().json()["slip"].get("pending"):
        time.sleep(0.1)
    return time.perf_counter() - begun


def pages(client: httpx.Client, job: str, times: int) -> dict[str, list[float]]:
    """Return the seconds of each page, shown so many times."""
    took: dict[str, list[float]] = {}
    for _ in range(times):
        for path in (*PAGES, *(f"{job[1:]}/{name}" for name in (*OF_A_JOB, *_MORE))):
            seconds, answer = timed(lambda path=path: client.get(f"/{path}", headers={"accept": "text/html"}))  # type: ignore[misc]
            answer.raise_for_status()
            took.setdefault(path.rpartition("/")[2] or "jobs", []).append(seconds)
    return took


def looked_at(client: httpx.Client, path: str, until: Event, pause: float = 0.05) -> list[float]:
    """Ask for a page again and again until something is over; return the seconds of each time."""
    took = []
    while not until.is_set():
        seconds, answer = timed(lambda: client.get(path))
        answer.raise_for_status()
        took.append(seconds)
        time.sleep(pause)
    return took


def meanwhile(heavy: Callable[[], object], look: Callable[[Event], list[float]]) -> list[float]:
    """Do something heavy in a thread; return what looking at something else took meanwhile."""
    over = Event()

    def run() -> None:
        try:
            heavy()
        finally:
            over.set()

    thread = Thread(target=run, daemon=True)
    thread.start()
    took = look(over)
    thread.join()
    return took


def expanding(bytes_: int) -> bytes:
    """Return an archive that says it is the desk's, of few bytes that unpack to so many."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("about.json", '{"format": "casewright-desk/2", "version": 1}')
        with packed.open("tables/jobs.jsonl", "w", force_zip64=True) as part:
            block = b" " * 10_000_000
            for _ in range(bytes_ // len(block)):
                part.write(block)
    return out.getvalue()


def small(table: Table, times: int) -> None:
    """Measure the work on twelve pieces: pasting and changing them, and every page."""
    with tempfile.TemporaryDirectory() as folder, asking(Path(folder)) as client:
        client.get("/")
        time.sleep(6.0)  # somebody looks at the page first; the desk loads meanwhile
        table.add("paste of 12 rows to a total that settles", [
            paste(client, begin(client, f"Twelve {n}"), [list(row) for row in twelve()], 1)[0] for n in range(3)
        ], 1.5)  # fmt: skip
        job = begin(client, "Twelve")
        changed = []
        for number in range(1, 9):
            rows = [list(row) for row in twelve()]
            rows[number][2] = str(30 + number)
            changed.append(paste(client, job, rows, number)[0])
        table.add("a cell changed among 12 rows, to a total that settles", changed, 1.5)
        took = pages(client, job, times)
        table.add("each page of 12 pieces, shown the first time", [each[0] for each in took.values()], 0.2)
        later = {name: statistics.median(each[1:]) for name, each in took.items()}
        table.add("each page of 12 pieces, median of its other times", list(later.values()), 0.2)
        slowest = max(later, key=lambda name: later[name])
        table.add(f"the slowest of them ({slowest})", took[slowest][1:], 0.2)


def kept(folder: Path) -> tuple[str, str]:
    """Make a desk with a job of 120 pieces whose first figure stands as settled; return its address and total.

    How long a longer search takes for it is nothing of what is measured here.
    """
    desk = Desk(Store(folder), patience=1e9)
    desk.floor.light = sys.maxsize
    content = Content(headings=HEADINGS, rows=tuple(map(tuple, many(120))))
    answer = desk.save(desk.store.jobs.add("Large"), content, based_on=0, what="begun").answer
    if answer is None:
        raise RuntimeError("no figure")
    found = replace(answer.quote, build=replace(answer.quote.build, effort="normal"))
    desk.floor.keep(1, answer, found, stopped=False)
    desk.list_again(desk.sheaf(1))
    desk.close()
    return "/jobs/1", show(found.total, found.currency)


def large(table: Table, times: int) -> None:
    """Measure 120 pieces: the first look after a restart, and every page once the figure is there."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        job, total = kept(folder)
        looks, whole = [], []
        for _ in range(3):
            with asking(folder) as client:
                seconds, answer = timed(lambda: client.get(f"{job}/money"))
                if slip_of(answer.raise_for_status().text) != total:
                    raise RuntimeError("another figure after the restart")
                looks.append(seconds)
                whole.append(seconds + figured(client, job))
        table.add("120 pieces, first look after a restart", looks, 0.5)
        table.add("120 pieces, until all its pages are there after a restart", whole, 5.0)
        with asking(folder) as client:
            client.get(f"{job}/money")
            figured(client, job)
            took = pages(client, job, times)
            later = {name: statistics.median(each[1:]) for name, each in took.items()}
            table.add("each page of 120 pieces, median of its times", list(later.values()), 0.2)
            print({name: round(each, 3) for name, each in later.items()})
            other = begin(client, "Another")
            table.add("paste of 120 rows to a marked figure", [paste(client, other, many(120), 1)[0]], 5.0)


def slip_of(page: str) -> str:
    """Return the total that a page shows."""
    found = re.search(r'id="slip-total"[^>]*>([^<]*)<', page)
    return found[1] if found else ""


def huge(table: Table) -> None:
    """Measure 1,000 pieces, and what others notice of them; and of an archive that expands."""
    with tempfile.TemporaryDirectory() as folder, asking(Path(folder)) as client:
        client.get("/")
        time.sleep(6.0)
        other = begin(client, "Other")
        rows = [list(row) for row in twelve()]
        paste(client, other, rows, 1)
        pages(client, other, 1)
        job = begin(client, "Huge")
        firsts: list[float] = []
        slips: list[dict[str, object]] = []

        def all_of_it() -> None:
            seconds, slip = paste(client, job, many(1000), 1)
            firsts.append(seconds)
            slips.append(slip)
            firsts.append(seconds + figured(client, job))

        pause = 0.2
        took = meanwhile(all_of_it, lambda over: looked_at(client, f"{other}/money", over, pause))
        shown, real = slips[0]["total"], slip_of(client.get(f"{job}/money").text)
        print(f"rough {shown}, first figure {real}")
        table.add("1,000 pieces, to a marked first figure", firsts[:1], 5.0)
        table.add("1,000 pieces, until the first figure itself", firsts[1:], 120.0)
        table.add("a page of another job while 1,000 pieces are worked out", took, 0.2)
        archive = expanding(3_900_000_000)
        files = {"file": ("everything.zip", archive, "application/zip")}
        refused: list[float] = []

        def upload() -> None:
            seconds, answer = timed(lambda: client.post("/keep", files=files, data={"sure": "yes"}, headers=JSON))
            if answer.status_code < httpx.codes.BAD_REQUEST:
                raise RuntimeError("an archive that expands was taken")
            refused.append(seconds)

        took = meanwhile(upload, lambda over: looked_at(client, f"{other}/money", over, 0.0))
        table.add("an archive that lists 3.9 GB, until it is refused", refused, 0.5)
        table.add("a page of another job meanwhile", took, 0.2)


def main() -> None:
    """Measure, and write the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("parts", nargs="*", default=["small", "large", "huge"])
    parser.add_argument("--times", type=int, default=6, help="how often each page is shown")
    given = parser.parse_args()
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)  # a studio's Python compiles a module once
    table, loops = Table(), [loop_seconds()]
    if "small" in given.parts:
        small(table, given.times)
    if "large" in given.parts:
        large(table, given.times)
    if "huge" in given.parts:
        huge(table)
    loops.append(loop_seconds())
    loop, load = statistics.mean(loops), os.getloadavg()[1]
    print(f"loop {loop:.2f} s, load {load:.1f}")
    with TABLE.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(["what", "times", "median s", "worst s", "scaled median s", "promised s", "loop s", "load"])
        for what, took, promised in table.rows:
            median = statistics.median(took)
            seconds = [f"{each:.3f}" for each in (median, max(took), median / loop)]
            writer.writerow([what, len(took), *seconds, promised, f"{loop:.2f}", f"{load:.1f}"])


if __name__ == "__main__":
    main()

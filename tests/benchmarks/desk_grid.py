"""The table of artworks under the fingers: milliseconds from a key until the browser has painted what it did.

Run ``python -m tests.benchmarks.desk_grid``; ``--rows`` gives other sizes, ``--write`` puts the figures into
``data/desk_grid.csv``. A real browser types into a desk that its own command started. A key's time runs from the
event's own time stamp until after the next frame was painted: a task that is queued in the frame's animation callback
runs when that frame is done. One cell of the table is left wrong, so that no search of the desk takes processor time
from the browser: how long the desk works is measured by ``desk_load``.
"""

import argparse
import csv
import statistics
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from playwright.sync_api import Page, sync_playwright

from tests.desk.conftest import DESKTOP, FLAGS
from tests.desk.running import WINDOWS, Address, started

DATA: Final = Path(__file__).parent / "data" / "desk_grid.csv"
MOST: Final = 50.0
"""Milliseconds that a key may take at 500 rows."""
HEADINGS: Final = (
    "piece", "title", "width", "height", "depth", "weight", "quantity", "method", "surface", "back", "poured", "price",
    "destination", "buyer", "notes",
)  # fmt: skip
_WATCH: Final = """() => {
  window.keys = [];
  addEventListener("keydown", (event) => {
    const began = event.timeStamp;
    requestAnimationFrame(() => {
      const after = new MessageChannel();
      after.port1.onmessage = () => window.keys.push(performance.now() - began);
      after.port2.postMessage(null);
    });
  }, true);
}"""


@dataclass(frozen=True, slots=True)
class Timed:
    """What one kind of key took.

    Attributes
    ----------
    rows : int
        Of the table.
    what : str
        What the keys did.
    keys : int
        How many were measured.
    work : float
        Milliseconds of processor time of the page's own thread for a key, on the average, saving included.
    median, high, worst : float
        Milliseconds by the clock: the median, the time that 95 of 100 keys keep, the longest. What else the machine
        does is in them.
    """

    rows: int
    what: str
    keys: int
    work: float
    median: float
    high: float
    worst: float


def lines(count: int) -> list[list[str]]:
    """Return rows of an invented job, the last of them with a width that is none."""
    made = [
        [
            f"A-{number:04}", "Harbour at dusk", "30 1/2", "40", "1 1/2", "18 lb", "1", "auto", "paint", "solid",
            "2026-11-24", "1,200.00", "Harbour Gallery", "Ann Example", "hang low",
        ]
        for number in range(count)
    ]  # fmt: skip
    made[-1][2] = "wide"
    return made


def timed(page: Page, rows: int, what: str, keys: Sequence[str]) -> Timed:
    """Press keys, each when the one before it has been painted."""
    session = page.context.new_cdp_session(page)
    session.send("Performance.enable", {"timeDomain": "threadTicks"})

    def worked() -> float:
        metrics = session.send("Performance.getMetrics")["metrics"]
        return 1000 * float(next(each["value"] for each in metrics if each["name"] == "TaskDuration"))

    page.evaluate("window.keys = []")
    before = worked()
    for number, key in enumerate(keys, start=1):
        page.keyboard.press(key)
        page.wait_for_function("count => window.keys.length >= count", arg=number)
    took = sorted(page.evaluate("window.keys"))
    work = (worked() - before) / len(keys)
    session.detach()
    return Timed(rows, what, len(took), work, statistics.median(took), took[int(0.95 * (len(took) - 1))], took[-1])


def measured(page: Page, address: Address, rows: int) -> Iterator[Timed]:
    """Type into a table of so many rows."""
    page.goto(f"{address}/")
    page.get_by_label("New job").fill(f"{rows} rows")
    page.get_by_role("button", name="Begin").click()
    page.wait_for_load_state()
    revision = int(page.locator(".job").get_attribute("data-revision") or 0)
    table = {"headings": HEADINGS, "rows": lines(rows), "revision": revision}
    answer = page.request.post(page.url, data=table, headers={"origin": address, "accept": "application/json"})
    if answer.status != 200:
        raise RuntimeError(answer.text())
    page.goto(f"{page.url.partition('?')[0]}?all=1")
    page.wait_for_load_state()
    page.evaluate(_WATCH)
    words = [*("over the large table by the door" * 2).replace(" ", "")]
    page.get_by_label(f"notes, row {rows // 2}", exact=True).click()
    yield timed(page, rows, "letters in a cell, its column growing", words)
    page.get_by_label("title, row 2", exact=True).click()
    yield timed(page, rows, "letters in a cell", words)
    page.get_by_label("destination, row 3", exact=True).click()
    yield timed(page, rows, "letters in a cell with choices", words)
    page.get_by_label("width, row 4", exact=True).click()
    yield timed(page, rows, "figures and Enter, each row saved", ["3", "1", "Enter"] * 12)
    page.get_by_label("piece, row 5", exact=True).click()
    yield timed(page, rows, "the arrow keys", ["ArrowDown", "ArrowRight"] * 20)
    page.get_by_label("piece, row 6", exact=True).click()
    yield timed(page, rows, "a row moved, its table saved", ["Alt+Shift+ArrowDown"] * 8)


def main() -> None:
    """Measure and show."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rows", type=int, nargs="*", default=[12, 120, 500])
    parser.add_argument("--browser", default="/usr/bin/chromium")
    parser.add_argument("--write", action="store_true")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder, started(Path(folder)) as address, sync_playwright() as play:
        browser = play.chromium.launch(executable_path=options.browser, args=list(FLAGS))
        window = browser.new_context(viewport=DESKTOP, locale="en-US")
        WINDOWS.append(window)
        address.admit(window)
        found = [each for rows in options.rows for each in measured(window.new_page(), address, rows)]
        WINDOWS.remove(window)
        browser.close()
    table = [["rows", "what", "keys", "work_ms", "median_ms", "p95_ms", "worst_ms"]]
    table += [
        [
            str(each.rows),
            each.what,
            str(each.keys),
            *(f"{ms:.1f}" for ms in (each.work, each.median, each.high, each.worst)),
        ]
        for each in found
    ]
    for line in table:
        print("  ".join(cell.ljust(width) for cell, width in zip(line, (5, 40, 5, 8, 9, 7, 8), strict=True)))
    if options.write:
        with DATA.open("w", newline="") as file:
            csv.writer(file, lineterminator="\n").writerows(table)


if __name__ == "__main__":
    main()

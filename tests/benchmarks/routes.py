"""Every page of a large job that is looked at, and what it takes: 300 and 1,000 pieces.

Run ``python -m tests.benchmarks.routes``; it writes ``data/routes.csv``. The desk runs in this process; the first
figure is taken for the one that settles. Seconds are those of the clock at the client, after the figure is there, and
beside them those of this process's processor: what is done in another process is not among these. The rows "before"
are of the code before requests had budgets, on a machine at a load of 12 to 14.
"""

import csv
import sys
import tempfile
import time
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Final

from pricing.desk.desk import Desk
from pricing.output.papers.files import batches
from pricing.store import Store
from tests.benchmarks.desk_speed import many
from tests.pricing.desk.conftest import served
from tests.pricing.desk.orders import HEADINGS

DATA: Final = Path(__file__).parent / "data" / "routes.csv"
HEAD: Final = ("code", "address", "pieces", "status", "seconds", "processor s of the desk")
PATHS: Final = (
    "artworks", "crates", "crates?rule=frame.larger_by&value=9 in", "crates?piece=M-0001&method=travel",
    "crates/{crate}.svg", "crates/{crate}", "designs/{crate}", "designs/{crate}/drawing.svg", "ways", "sheets",
    "drawing.svg?good={good}&number=1", "saw", "money", "client", "client?kind=sale", "client/1/offer.pdf", "papers",
    "papers/{paper}", "yard", "yard?none=ply-3/8 4x8", "record", "plan", "plan/1.svg", "returns", "what-if",
    "what-if/text", "unpin", "from?hours=saw", "from?piece=M-0001", "from?weight={crate}",
    "from?crate={crate}&design=x", "files/quote.xlsx", "files/packet.pdf", "files/tables.zip", "files/quote.json",
    "files/build.json", "files/calendar.ics", "files/papers.zip",
)  # fmt: skip
"""Of a job, without its own address."""


def measured(pieces: int, folder: Path) -> list[tuple[str, int, int, str, str]]:
    """Return a row of each page of a job of so many pieces."""
    desk = Desk(Store(folder), today=lambda: date(2026, 12, 1), patience=1e6)
    rows = []
    with served(desk) as client:
        client.headers["origin"] = str(client.base_url).rstrip("/")
        client.post("/jobs", data={"name": f"{pieces} pieces"})
        table = {"headings": HEADINGS, "rows": many(pieces), "revision": 1}
        client.post("/jobs/1/artworks", json=table, headers={"accept": "application/json"})
        begun = time.perf_counter()
        while desk.sheaf(1, wait=False).pending:
            time.sleep(2)
        rows.append(("the figure itself, behind the pages", pieces, 200, f"{time.perf_counter() - begun:.2f}", ""))
        print(*rows[-1], sep=" | ", flush=True)
        answer = desk.sheaf(1).answer
        if answer is None:
            raise RuntimeError(desk.sheaf(1).faults)
        desk.floor._note(replace(answer, settled=True))  # noqa: SLF001 - to settle it would take minutes
        build = answer.quote.build
        papers = [name for each in batches(answer.quote) for name in each.names]
        known = {"crate": build.crates[0].crate, "good": build.layouts[0].good, "paper": papers[0] if papers else "x"}
        for path in PATHS:
            begun, used = time.perf_counter(), time.process_time()
            status = client.get(f"/jobs/1/{path.format(**known)}", timeout=900).status_code
            seconds, used = time.perf_counter() - begun, time.process_time() - used
            rows.append((path, pieces, status, f"{seconds:.2f}", f"{used:.2f}"))
            print(*rows[-1], sep=" | ", flush=True)
    desk.close()
    return rows


def main() -> None:
    """Measure jobs of so many pieces as are named, 300 and 1,000 where none is; what was measured before stays."""
    with DATA.open(newline="", encoding="utf-8") as file:
        before = [row for row in csv.reader(file) if row[0] == "before"]
    rows = []
    for pieces in [int(each) for each in sys.argv[1:]] or [300, 1000]:
        with tempfile.TemporaryDirectory() as place:
            rows += measured(pieces, Path(place))
    with DATA.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(HEAD)
        writer.writerows([*before, *(("now", *row) for row in rows)])


if __name__ == "__main__":
    main()

"""Twenty people at one desk for a minute: how long each kind of request takes, and whether any fails.

Run ``python -m tests.benchmarks.desk_load``; ``--seconds`` and ``--users`` change it. The desk is started by its own
command in a process of its own, as in use; each user has a job of twelve pieces, looks at pages and changes cells with
a pause between. Then one user alone changes an order of twelve pieces again and again: the time to the new total.
"""

import argparse
import random
import statistics
import tempfile
import time
from collections import defaultdict
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path

import httpx

from tests.desk.running import Address, started
from tests.pricing.desk.orders import HEADINGS, twelve

PAGES = ("artworks", "crates", "sheets", "money", "yard", "record")
LEAST = 3
"""Requests that a user sends after beginning a job, however short the run."""
PAUSE = (1.0, 5.0)
"""Seconds that a user looks at what came before asking for more."""


@dataclass
class Tally:
    """What was measured.

    Attributes
    ----------
    took : dict of str to list of float
        Seconds of every request, by kind.
    errors : list of str
        Every answer that was not as it should be.
    """

    took: dict[str, list[float]] = field(default_factory=lambda: defaultdict(list))
    errors: list[str] = field(default_factory=list)

    def ask(self, client: httpx.Client, kind: str, method: str, path: str, **more: object) -> httpx.Response | None:
        """Send a request and note how long it took."""
        began = time.perf_counter()
        try:
            answer = client.request(method, path, **more)  # type: ignore[arg-type]  # httpx takes many kinds of content
        except httpx.HTTPError as error:
            self.errors.append(f"{kind} {path}: {error!r}")
            return None
        self.took[kind].append(time.perf_counter() - began)
        if answer.status_code not in (200, 303):
            self.errors.append(f"{kind} {path}: {answer.status_code}")
            return None
        return answer

    def percentile(self, kind: str, part: float) -> float:
        """Return the value below which a part of the times lies, in milliseconds."""
        times = sorted(self.took[kind])
        return 1000 * times[min(len(times) - 1, int(part * len(times)))]


def new_job(client: httpx.Client, tally: Tally, name: str) -> str:
    """Begin a job of twelve pieces; return its address."""
    answer = tally.ask(client, "begin", "POST", "/jobs", data={"name": name})
    job = answer.headers["location"].removesuffix("/artworks") if answer else "/jobs/0"
    change(client, tally, job, [list(row) for row in twelve()], 1)
    return job


def change(client: httpx.Client, tally: Tally, job: str, rows: list[list[str]], revision: int) -> int:
    """Save the table; return the new revision."""
    table = {"headings": HEADINGS, "rows": rows, "revision": revision}
    answer = tally.ask(client, "change", "POST", f"{job}/artworks", json=table, headers={"accept": "application/json"})
    return int(answer.json()["slip"]["revision"]) if answer else revision


def user(address: Address, number: int, seconds: float, tally: Tally, pause: tuple[float, float] = PAUSE) -> None:
    """Work at a job of one's own, with a pause between two requests."""
    chance = random.Random(number)
    rows = [list(row) for row in twelve()]
    headers = {"origin": address, **address.entry}
    with httpx.Client(base_url=address, headers=headers, timeout=300, trust_env=False) as client:
        end = time.monotonic() + seconds
        time.sleep(chance.uniform(0, min(10.0, seconds / 2)))
        job, revision = new_job(client, tally, f"Job of user {number}"), 2
        done = 0
        while time.monotonic() < end or done < LEAST:
            done += 1
            time.sleep(chance.uniform(*pause))
            if chance.random() < 0.3:
                rows[chance.randrange(12)][2] = f"{chance.randrange(18, 50)} 1/{chance.choice((2, 4, 8))}"
                revision = change(client, tally, job, rows, revision)
            else:
                tally.ask(client, "page", "GET", f"{job}/{chance.choice(PAGES)}")


def run(users: int, seconds: float, changes: int = 25, pause: tuple[float, float] = PAUSE) -> Tally:
    """Run the load, then one user alone with so many changes; return what was measured."""
    tally = Tally()
    with tempfile.TemporaryDirectory(prefix="casewright-load-") as folder, started(Path(folder)) as address:
        with ThreadPoolExecutor(users) as pool:
            list(pool.map(lambda number: user(address, number, seconds, tally, pause), range(users)))
        if changes:
            alone(address, tally, changes)
    return tally


def alone(address: Address, tally: Tally, times: int) -> None:
    """Change an order of twelve pieces again and again, waiting for each search to end first."""
    own = Tally()
    rows = [list(row) for row in twelve()]
    headers = {"origin": address, **address.entry}
    with httpx.Client(base_url=address, headers=headers, timeout=300, trust_env=False) as client:
        job, revision = new_job(client, own, "Alone"), 2
        for number in range(times):
            client.post(f"{job}/stop")
            rows[number % 12][2] = f"{20 + number} 1/4"
            revision = change(client, own, job, rows, revision)
    tally.took["change, alone"] = own.took["change"][2:]
    tally.errors += own.errors


def main() -> None:
    """Print a table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--users", type=int, default=20)
    parser.add_argument("--seconds", type=float, default=60.0)
    given = parser.parse_args()
    tally = run(given.users, given.seconds)
    print(f"{given.users} users, {given.seconds:.0f} s, {len(tally.errors)} errors")
    print(f"{'request':<16}{'count':>7}{'median ms':>11}{'p95 ms':>9}{'worst ms':>10}")
    for kind, times in tally.took.items():
        middle, worst = 1000 * statistics.median(times), 1000 * max(times)
        print(f"{kind:<16}{len(times):>7}{middle:>11.0f}{tally.percentile(kind, 0.95):>9.0f}{worst:>10.0f}")
    for error in tally.errors[:20]:
        print(error)


if __name__ == "__main__":
    main()

"""A desk killed with SIGKILL again and again, warm-up on: what it acknowledged is there, and nothing stays behind.

Run ``python -m tests.benchmarks.desk_kills 1000``. The desk is started by its own command on one folder, jobs are begun
through its pages, and it is killed at a moment drawn at random, while it starts, warms up or saves. After each kill the
store is opened: it must be whole and hold all that was acknowledged, and processes that the desk began must be gone.
"""

import csv
import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from contextlib import closing, suppress
from dataclasses import dataclass, field
from pathlib import Path
from threading import Thread

import httpx

from pricing.desk.guard import cookie_of
from pricing.store import Store

DATA = Path(__file__).parent / "data" / "desk_kills.csv"
LATEST = 3.0
EARLY = 0.3
"""Seconds until which a desk may live, counted from its start in this part of the kills, else from its address on."""
GONE = 20.0
"""Seconds that children of a killed desk may take to notice."""


@dataclass
class Killed:
    """What came of it.

    Attributes
    ----------
    kills, starting : int
        Kills in all, and of those before the desk had told its address.
    acknowledged : set of str
        Names of jobs that a page was answered for.
    lost, damaged, left : int
        Acknowledged and not there; kills after which the store was not whole; processes that stayed.
    """

    kills: int = 0
    starting: int = 0
    acknowledged: set[str] = field(default_factory=set)
    lost: int = 0
    damaged: int = 0
    left: int = 0


def kill(folder: Path, times: int, seed: int, latest: float = LATEST) -> Killed:
    """Start and kill a desk so many times."""
    dice, told = random.Random(seed), Killed()
    for _ in range(times):
        _one(folder, dice.uniform(0.02, latest), told, early=dice.random() < EARLY)
    return told


def _one(folder: Path, moment: float, told: Killed, *, early: bool) -> None:
    """Start a desk, save while it lives, kill it, and look at what it left."""
    arguments = [
        sys.executable,
        "-c",
        "from pricing.cli import main; main()",
        "desk",
        "--data",
        str(folder),
        "--no-browser",
    ]
    with subprocess.Popen(arguments, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True) as desk:
        assert desk.stdout is not None
        children: set[int] = set()

        def end() -> None:
            time.sleep(moment)
            children.update(_children(desk.pid))
            desk.send_signal(signal.SIGKILL)

        killer = Thread(target=end)
        if early:
            killer.start()
        line = desk.stdout.readline()
        if not early:
            killer.start()
        if line.strip():
            _save(line, told)
        else:
            told.starting += 1
        killer.join()
    told.kills += 1
    _look(folder, told)
    until = time.monotonic() + GONE
    while any(map(_lives, children)) and time.monotonic() < until:
        time.sleep(0.05)
    told.left += sum(map(_lives, children))


def _save(line: str, told: Killed) -> None:
    """Begin jobs until nobody answers any more."""
    address, _, key = line.rpartition(" ")[2].strip().partition("/?key=")
    headers = {"origin": address, "cookie": f"{cookie_of(address.partition('//')[2])}={key}"}
    with suppress(httpx.HTTPError), httpx.Client(base_url=address, headers=headers, trust_env=False) as client:
        while True:
            name = f"Job {told.kills}-{len(told.acknowledged)}"
            if client.post("/jobs", data={"name": name}).status_code != 303:
                raise AssertionError(f"{name} was refused")
            told.acknowledged.add(name)


def _look(folder: Path, told: Killed) -> None:
    """Open the store that was left."""
    with closing(Store(folder)) as store:
        told.damaged += store.database.rows("PRAGMA integrity_check")[0][0] != "ok"
        there = {row["name"] for row in store.database.rows("SELECT name FROM jobs")}
    told.lost += len(told.acknowledged - there)


def _children(of: int) -> set[int]:
    """Return the processes that a process began, theirs too."""
    found: set[int] = set()
    with suppress(OSError):
        for each in Path(f"/proc/{of}/task/{of}/children").read_text().split():
            found |= {int(each)} | _children(int(each))
    return found


def _lives(process: int) -> bool:
    """Whether a process is there and no zombie."""
    try:
        return Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False


def main() -> None:
    """Kill as often as asked, in runs of fifty; write the figures after each, below those of runs before."""
    times = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    earlier = list(csv.reader(DATA.read_text(encoding="utf-8").splitlines()))[1:] if DATA.exists() else []
    rows: list[tuple[object, ...]] = [tuple(row) for row in earlier]
    first = 1 + max((int(row[0]) for row in earlier), default=-1)
    with tempfile.TemporaryDirectory() as folder:
        for n in range(-(-times // 50)):
            run = first + n
            began = time.monotonic()
            told = kill(Path(folder) / str(run), min(50, times - 50 * n), run)
            rows.append(
                (run, told.kills, told.starting, len(told.acknowledged), told.lost, told.damaged, told.left,
                 round(time.monotonic() - began))
            )  # fmt: skip
            print(*rows[-1], flush=True)
            with DATA.open("w", newline="", encoding="utf-8") as file:
                writer = csv.writer(file, lineterminator="\n")
                writer.writerow(
                    ("run", "kills", "before it told its address", "acknowledged", "lost", "damaged", "left", "s")
                )
                writer.writerows(rows)


if __name__ == "__main__":
    if os.name != "posix":
        raise SystemExit("SIGKILL is a signal of POSIX systems")
    main()

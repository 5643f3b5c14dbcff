"""Half-open connections against a desk as its command starts it: who has the key is answered, or not, and how soon.

Run ``python -m tests.benchmarks.half_open``. Attackers, in a process of their own, hold connections that send nothing,
or a head that never ends (a letter every second), from one address or from many, or from that of who asks, and open
another as soon as one is closed. Meanwhile somebody with the key asks for the list of jobs ten times a second. Each row
of ``data/half_open.csv`` is one attack.
"""

import csv
import selectors
import signal
import socket
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from multiprocessing import get_context
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Final

import httpx

from pricing.desk.guard import cookie_of

DATA: Final = Path(__file__).parent / "data" / "half_open.csv"
HEAD: Final = (
    "attack", "addresses", "held at once", "opened in all", "closed by the desk", "asked", "answered", "median ms",
    "95 % ms", "worst ms", "answered after",
)  # fmt: skip
SECONDS: Final = 20.0
EVERY: Final = 0.1
WARMED: Final = 60.0
"""Seconds at the most until a desk that was just started has loaded ahead what it does."""
OWN: Final = 0
"""Attackers from so many addresses: from the one that asks."""
ATTACKS: Final = (
    ("none", 0, 0, False),
    ("silent", 420, 1, False),
    ("silent", 2000, 1, False),
    ("a letter a second", 2000, 1, True),
    ("silent, from who asks", 2000, OWN, False),
    ("a letter a second, from who asks", 2000, OWN, True),
    ("silent", 4000, 40, False),
    ("a letter a second", 4000, 200, True),
    ("silent", 6000, 1, False),
    ("a letter a second", 12000, 200, True),
)
"""Name, connections at once, addresses, whether they send letters."""


@dataclass
class Attack:
    """So many half-open connections, kept up until told to end.

    Attributes
    ----------
    port, wanted, addresses : int
        Of the desk; connections at once; from so many addresses of loopback.
    dribbles : bool
        Whether they send a head letter by letter, or nothing.
    opened, closed, most : int
        Connections opened in all, closed by the other end, held at once.
    """

    port: int
    wanted: int
    addresses: int
    dribbles: bool
    opened: int = 0
    closed: int = 0
    most: int = 0

    @property
    def address(self) -> str:
        """From where the next one comes."""
        return f"127.0.1.{1 + self.opened % self.addresses}" if self.addresses else "127.0.0.1"

    def run(self, link_to: Connection) -> None:
        """Hold them until something is said; say then what came of it."""
        selector = selectors.DefaultSelector()
        held: set[socket.socket] = set()
        spoke = time.monotonic()
        while not link_to.poll():
            while len(held) < self.wanted:
                link = socket.socket()
                link.settimeout(0)
                with suppress(OSError):
                    link.bind((self.address, 0))
                    with suppress(BlockingIOError):
                        link.connect(("127.0.0.1", self.port))
                    selector.register(link, selectors.EVENT_READ)
                    held.add(link)
                    self.opened += 1
                if link not in held:
                    link.close()
                    break
                if self.opened % 50 == 0:
                    break
            self.most = max(self.most, len(held))
            for key, _ in selector.select(0.02):
                gone = key.fileobj
                assert isinstance(gone, socket.socket)
                with suppress(OSError):
                    if gone.recv(4096):
                        continue
                selector.unregister(gone)
                held.discard(gone)
                gone.close()
                self.closed += 1
            if self.dribbles and time.monotonic() - spoke > 1:
                spoke = time.monotonic()
                for link in held:
                    with suppress(OSError):
                        link.send(b"GET /"[self.opened % 5 :][:1] or b"G")
        link_to.send((self.opened, self.closed, self.most))
        for link in held:
            link.close()


@contextmanager
def attacked(attack: Attack | None) -> Iterator[None]:
    """Attack while the context lasts; the attack has its counts after that."""
    if attack is None:
        yield
        return
    context = get_context("spawn")
    link, other = context.Pipe()
    process = context.Process(target=attack.run, args=(other,), daemon=True)
    process.start()
    time.sleep(3)
    yield
    link.send("end")
    attack.opened, attack.closed, attack.most = link.recv()
    process.join()


@contextmanager
def desk(folder: Path) -> Iterator[tuple[str, dict[str, str], int]]:
    """Start a desk; yield its address, the headers of who has the key, and its port."""
    start = "import resource; _, most = resource.getrlimit(resource.RLIMIT_NOFILE); "
    start += "resource.setrlimit(resource.RLIMIT_NOFILE, (most, most)); from pricing.cli import main; main()"
    command = [sys.executable, "-c", start, "desk", "--data", str(folder), "--no-browser"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True) as process:
        try:
            assert process.stdout is not None
            line = process.stdout.readline()
            address, _, key = line.rpartition(" ")[2].strip().partition("/?key=")
            name = address.partition("//")[2]
            yield address, {"cookie": f"{cookie_of(name)}={key}"}, int(name.rpartition(":")[2])
        finally:
            process.send_signal(signal.SIGINT)
            with suppress(subprocess.TimeoutExpired):
                process.wait(timeout=15)
            process.kill()


def asked(address: str, headers: dict[str, str], seconds: float) -> list[float | None]:
    """Ask for a page again and again, each time by a new connection; return seconds, None where nothing good came."""
    found: list[float | None] = []
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        began = time.perf_counter()
        took: float | None = None
        with suppress(httpx.HTTPError):
            good = httpx.get(address + "/", headers=headers, trust_env=False, timeout=5).status_code
            took = time.perf_counter() - began if good == httpx.codes.OK else None
        found.append(took)
        time.sleep(EVERY)
    return found


def row(name: str, attack: Attack | None, found: Sequence[float | None], after: str) -> tuple[object, ...]:
    """Return what is written of one attack."""
    good = sorted(1000 * each for each in found if each is not None)
    shown = (statistics.median(good), good[-1 - len(good) // 20], good[-1]) if good else ()
    told = [f"{each:.0f}" for each in shown] or ["", "", ""]
    counts = (attack.addresses, attack.most, attack.opened, attack.closed) if attack else (0, 0, 0, 0)
    return (name, *counts, len(found), len(good), *told, after)


def warmed(address: str, headers: dict[str, str]) -> None:
    """Wait until a desk that was just started answers as it will."""
    until = time.monotonic() + WARMED
    while time.monotonic() < until:
        found = asked(address, headers, 3.0)
        if all(each is not None for each in found) and statistics.median(map(float, filter(None, found))) < EVERY:
            return


def main() -> None:
    """Attack in several ways; write the figures."""
    rows = []
    with tempfile.TemporaryDirectory() as place, desk(Path(place)) as (address, headers, port):
        warmed(address, headers)
        for name, wanted, addresses, dribbles in ATTACKS:
            attack = Attack(port, wanted, addresses, dribbles) if wanted else None
            with attacked(attack):
                found = asked(address, headers, SECONDS)
            after = asked(address, headers, 1.0) if attack else []
            told = f"{sum(each is not None for each in after)} of {len(after)}" if attack else ""
            rows.append(row(name, attack, found, told))
            print(*rows[-1], sep=" | ", flush=True)
    with DATA.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(HEAD)
        writer.writerows(rows)


if __name__ == "__main__":
    main()

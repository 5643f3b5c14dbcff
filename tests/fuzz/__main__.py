"""Run many cases and write the table: ``python -m tests.fuzz CASES [SEED] [READER ...]``.

Cases are run in parts, each of another seed, beginning with the one that is given; after each part the table in the
benchmarks' data holds what this run came to so far, below the rows of earlier runs. Bytes that show something wrong are
put into the folder ``fuzz-found``.
"""

import csv
import sys
import time
from dataclasses import dataclass, field
from pathlib import Path

from tests.fuzz.readers import READERS
from tests.fuzz.running import Told, fuzz, name_of, shares

TABLE = Path(__file__).parents[1] / "benchmarks" / "data" / "fuzz.csv"
HEADING = (
    "seed",
    "reader",
    "cases",
    "read",
    "refused",
    "past first check",
    "kept",
    "kinds wrong",
    "wrong",
    "slowest s",
    "total s",
)
PART = 20_000
"""Cases of one part: what is kept to be changed further is kept within it."""


@dataclass
class Sum:
    """What the parts of a run came to for one reader."""

    told: Told = field(default_factory=Told)
    seconds: float = 0.0

    def add(self, told: Told, seconds: float) -> None:
        """Add a part."""
        for name in ("cases", "read", "refused", "past", "kept"):
            setattr(self.told, name, getattr(self.told, name) + getattr(told, name))
        self.told.slowest = max(self.told.slowest, told.slowest)
        for kind, (count, data) in told.wrong.items():
            before, first = self.told.wrong.get(kind, (0, data))
            self.told.wrong[kind] = (before + count, first)
        self.seconds += seconds


def main(cases: int, seed: int, names: list[str]) -> None:
    """Fuzz every reader, or those named; print and write the figures."""
    sums = {reader.name: Sum() for reader in READERS if not names or reader.name in names}
    earlier = list(csv.reader(TABLE.read_text(encoding="utf-8").splitlines()))[1:] if TABLE.exists() else []
    parts = -(-cases // PART)
    for part in range(parts):
        size = min(PART, cases - PART * part)
        for reader in READERS:
            if reader.name not in sums:
                continue
            began = time.process_time()
            told = fuzz(reader, shares(size)[reader.name], seed + part)
            sums[reader.name].add(told, time.process_time() - began)
            _keep(reader.name, told)
        seeds = str(seed) if part == 0 else f"{seed} to {seed + part}"
        rows = [_row(seeds, name, each) for name, each in sums.items()]
        with TABLE.open("w", newline="", encoding="utf-8") as file:
            csv.writer(file, lineterminator="\n").writerows([HEADING, *earlier, *rows])
        done = sum(each.told.cases for each in sums.values())
        took = sum(each.seconds for each in sums.values())
        wrong = sum(len(each.told.wrong) for each in sums.values())
        print(f"seeds {seeds}: {done} cases, {1000 * took / done:.2f} ms each, {wrong} kinds wrong", flush=True)


def _keep(reader: str, told: Told) -> None:
    """Keep the bytes that show something wrong."""
    found = Path("fuzz-found")
    for kind, (count, data) in told.wrong.items():
        found.mkdir(exist_ok=True)
        (found / f"{reader.replace(' ', '-')}-{name_of(data)}").write_bytes(data)
        print(f"    {reader}: {count} x {kind}: {name_of(data)}", flush=True)


def _row(seeds: str, name: str, each: Sum) -> tuple[str, ...]:
    told = each.told
    wrong = sum(count for count, _ in told.wrong.values())
    figures = (told.cases, told.read, told.refused, told.past, told.kept, len(told.wrong), wrong)
    return (seeds, name, *map(str, figures), f"{told.slowest:.2f}", f"{each.seconds:.0f}")


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 0, sys.argv[3:])

"""Run many cases and write the table: ``python -m tests.fuzz CASES [SEED] [READER ...]``.

Bytes that show something wrong are put into the folder ``fuzz-found``; the table goes to the benchmarks' data.
"""

import csv
import sys
import time
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


def main(cases: int, seed: int, names: list[str]) -> None:
    """Fuzz every reader, or those named; print and write the figures."""
    found = Path("fuzz-found")
    rows: list[tuple[str, ...]] = []
    for reader in READERS:
        if names and reader.name not in names:
            continue
        began = time.process_time()
        told = fuzz(reader, shares(cases)[reader.name], seed)
        rows.append(_row(reader.name, told, time.process_time() - began))
        print(" | ".join(rows[-1]), flush=True)
        for kind, (count, data) in told.wrong.items():
            found.mkdir(exist_ok=True)
            (found / f"{reader.name.replace(' ', '-')}-{name_of(data)}").write_bytes(data)
            print(f"    {count} x {kind}: {name_of(data)}", flush=True)
    if not names:
        with TABLE.open("w", newline="", encoding="utf-8") as file:
            csv.writer(file, lineterminator="\n").writerows([HEADING, *((str(seed), *row) for row in rows)])


def _row(name: str, told: Told, seconds: float) -> tuple[str, ...]:
    wrong = sum(count for count, _ in told.wrong.values())
    figures = (told.cases, told.read, told.refused, told.past, told.kept, len(told.wrong), wrong)
    return (name, *map(str, figures), f"{told.slowest:.2f}", f"{seconds:.0f}")


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 0, sys.argv[3:])

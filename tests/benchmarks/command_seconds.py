"""``python -m tests.benchmarks.command_seconds`` times ``casewright quote``, a new process for each order.

Seconds are processor seconds of that process, imports and the workbook included, with compiled code and byte code
cached (one order is quoted first and not counted); no packet is printed. In the same run ``for i in range(10**7):
s += i`` is timed as a program of its own, before and after each order: ``scaled`` are the seconds of a machine on
which that takes 1.0 s, so that a loaded or slower machine tells much the same. A processor shared with other work is
slower at large programs than at small loops, and scaled seconds are the higher for it.

The sample consignment comes first, then generated consignments of at most 24 pieces, with ``--every 4`` of every
fourth one, so that a few are spread over all; what is printed says which. Rows already in the file are kept.
"""

import argparse
import csv
import os
import resource
import subprocess
import sys
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from typing import Final

from nesting.intake import read_order
from pricing.cli.options import HELD
from tests.generated_orders import ON, consignment

DATA: Final = Path(__file__).parent / "data"
SAMPLE: Final = Path(__file__).parents[2] / "sample_orders" / "gallery_consignment.csv"
HEAD: Final = ("order", "pieces", "seconds", "loop", "scaled")
MOST: Final = 24
"""Pieces of the largest order that is timed."""
_LOOP: Final = "s = 0\nfor i in range(10**7):\n    s += i"
_NOTHING: Final = "pass"

Row = dict[str, str]


def spent(command: Sequence[str], environment: Mapping[str, str]) -> float:
    """Return the processor seconds of a process and all that it starts."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    done = subprocess.run(command, env=environment, stdout=subprocess.DEVNULL, check=False)
    if done.returncode not in (0, HELD):
        raise RuntimeError(f"{command} ended with {done.returncode}")
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def loop(environment: Mapping[str, str]) -> float:
    """Return what the loop takes, without the start of a process."""
    python = [sys.executable, "-c"]
    return spent([*python, _LOOP], environment) - spent([*python, _NOTHING], environment)


def quoted(file: Path, out: Path, environment: Mapping[str, str]) -> float:
    """Return the processor seconds of quoting an order."""
    run = "from pricing.cli import main; main()"
    command = [sys.executable, "-c", run, "quote", str(file), "--out", str(out), "--date", ON.isoformat()]
    return spent(command, environment)


def orders(count: int, every: int, folder: Path) -> Iterator[Path]:
    """Yield the files of the orders: the sample, then as many generated ones, of every so manyth seed."""
    yield SAMPLE
    seed = 0
    while count:
        file = consignment(seed).write(folder)
        if len(read_order(file).copies()) <= MOST:
            count -= 1
            yield file
        seed += every


def rows(count: int, every: int, known: Mapping[str, Row]) -> Iterator[Row]:
    """Yield a row for each order that is not known."""
    with TemporaryDirectory(prefix="seconds-") as place:
        folder = Path(place)
        environment = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
        environment.setdefault("PYTHONPYCACHEPREFIX", str(folder / "bytes"))
        out = folder / "out"
        quoted(SAMPLE, out, environment)
        for file in orders(count, every, folder):
            if file.stem in known:
                continue
            before = loop(environment)
            seconds = quoted(file, out, environment)
            each = (before + loop(environment)) / 2
            yield {
                "order": file.stem,
                "pieces": str(len(read_order(file).copies())),
                "seconds": f"{seconds:.2f}",
                "loop": f"{each:.2f}",
                "scaled": f"{seconds / each:.2f}",
            }


def tell(found: Sequence[Row]) -> Iterator[str]:
    """Yield of which orders the rows are, and what they come to."""
    seeds = [int(row["order"].rpartition("-")[2]) for row in found if row["order"] != SAMPLE.stem]
    if seeds:
        yield f"consignments of at most {MOST} pieces: {len(seeds)} of seeds {min(seeds)} to {max(seeds)}"
    for name in ("seconds", "scaled"):
        took = sorted(float(row[name]) for row in found if row["order"] != SAMPLE.stem)
        sample = next((row[name] for row in found if row["order"] == SAMPLE.stem), "")
        if took:
            nearly = took[max(0, -(-len(took) * 95 // 100) - 1)]
            yield (
                f"{name}: {len(took)} orders, median {median(took):.1f}, 95 % {nearly:.1f}, "
                f"most {took[-1]:.1f}; sample {sample}"
            )


def main() -> None:
    """Time the orders that are asked for, and say what they come to."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.command_seconds", description=__doc__)
    parser.add_argument("--out", type=Path, default=DATA / "command_seconds.csv")
    parser.add_argument("--count", type=int, default=30, help="how many generated orders")
    parser.add_argument("--every", type=int, default=1, help="of every so manyth seed")
    asked = parser.parse_args()
    known: dict[str, Row] = {}
    if asked.out.exists():
        with asked.out.open(newline="", encoding="utf-8") as text:
            known = {row["order"]: row for row in csv.DictReader(text)}
    with asked.out.open("a", newline="", encoding="utf-8") as text:
        writer = csv.DictWriter(text, HEAD, lineterminator="\n")
        if not known:
            writer.writeheader()
        for row in rows(asked.count, asked.every, known):
            known[row["order"]] = row
            writer.writerow(row)
            text.flush()
    print("\n".join(tell(list(known.values()))))


if __name__ == "__main__":
    main()

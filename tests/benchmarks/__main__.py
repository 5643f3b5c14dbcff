"""``python -m tests.benchmarks`` runs the optimiser over reference instances and generated orders, and prints tables.

Seconds are processor seconds of one core; every layout passes the independent verifier.
"""

import argparse
import csv
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from os import environ
from pathlib import Path
from random import Random

from nesting.base.search import Effort, Search
from nesting.cutting.parts import Part
from nesting.cutting.sheets import Layout, Sheet, nest
from tests.benchmarks.instances import Reference, references
from tests.benchmarks.orders import INCH, KERF, orders
from tests.benchmarks.rival import RECORDED, fewest, recorded
from tests.layout_verifier import verify


def table(head: Sequence[str], rows: Iterable[Sequence[object]]) -> None:
    """Print a table in Markdown."""
    print("| " + " | ".join(head) + " |")
    print("|" + "---|" * len(head))
    for row in rows:
        print("| " + " | ".join(str(cell) for cell in row) + " |")
    print(flush=True)


def timed(work: Callable[[], Layout]) -> tuple[Layout, float]:
    """Run, with processor seconds."""
    start = time.process_time()
    layout = work()
    return layout, time.process_time() - start


def warm() -> None:
    """Compile and load everything once, so that no table counts it."""
    random = Random(0)
    parts = [Part(f"p{k}", random.randint(10, 60), random.randint(10, 60), "g") for k in range(30)]
    nest(parts, [Sheet("s", 100, 100, 1)])


def family(name: str, effort: Effort, seeds: Sequence[int], only: str, log: Path | None) -> None:
    """Table of a family of reference instances, by class."""
    rival = recorded()
    rows: dict[str, list[list[float]]] = defaultdict(list)
    worse: list[str] = []
    for each in references(name):
        if only and not each.name.startswith(tuple(only.split(","))):
            continue
        costs, bounds, seconds = [], [], []
        for seed in seeds:
            search = Search(seed, effort)
            layout, took = timed(lambda each=each, search=search: nest(each.parts, [each.sheet], search=search))  # type: ignore[misc]  # mypy cannot infer a defaulted lambda
            verify(layout, each.parts, [each.sheet], 0)
            costs.append(layout.cost)
            bounds.append(max(layout.bound, each.bound))
            seconds.append(took)
        if max(bounds) > min(costs):
            raise AssertionError(f"{each.name}: bound {max(bounds)} above {min(costs)}")
        if each.name in rival and max(costs) > rival[each.name]:
            worse.append(each.name)
        rows[each.group].append(
            [
                statistics.mean(costs),
                rival.get(each.name, 0),
                max(bounds),
                each.bound,
                statistics.mean(seconds),
                max(seconds),
                *costs,
            ]
        )
        if log:
            with log.open("a", encoding="utf-8") as file:
                print(each.name, costs, max(bounds), each.bound, [round(s, 2) for s in seconds], file=file)
    print(f"\n{name}, {effort}, seeds {', '.join(map(str, seeds))}\n")
    groups = [*rows.items(), ("all", [row for group in rows.values() for row in group])]
    table(
        (
            "class",
            "instances",
            "ours (mean of seeds)",
            "each seed",
            "rectpack's best",
            "our bound",
            "published bound",
            "s mean",
            "s max",
        ),
        (
            (
                group,
                len(each),
                f"{sum(r[0] for r in each):.1f}",
                " ".join(str(int(sum(r[k] for r in each))) for k in range(6, 6 + len(seeds))),
                int(sum(r[1] for r in each)) or "-",
                int(sum(r[2] for r in each)),
                int(sum(r[3] for r in each)),
                f"{statistics.mean(r[4] for r in each):.2f}",
                f"{max(r[5] for r in each):.1f}",
            )
            for group, each in groups
        ),
    )
    print(f"worse than rectpack's best on: {', '.join(worse) or 'none'}\n", flush=True)


def studio(effort: Effort, count: int) -> None:
    """Table of generated studio orders."""
    found: dict[str, list[tuple[bool, bool, float, int]]] = defaultdict(list)
    for order in orders(count):
        layout, took = timed(
            lambda order=order: nest(
                order.parts, order.sheets, kerf=KERF, search=Search(effort=effort), offcut_min=(12 * INCH, 6 * INCH)
            )  # type: ignore[misc]  # mypy cannot infer a defaulted lambda
        )
        verify(layout, order.parts, order.sheets, KERF)
        near = layout.cost - layout.bound <= max(s.cost for s in order.sheets)
        found[order.kind].append((layout.proven, near, took, sum(p.count for p in order.parts)))
    print(f"\nstudio orders, {effort}\n")
    table(
        ("kind", "goods", "proven", "within a sheet", "s median", "s median of 30 to 50 parts", "s mean", "s max"),
        (
            (
                kind,
                len(each),
                f"{100 * statistics.mean(p for p, *_ in each):.1f}%",
                f"{100 * statistics.mean(n for _, n, *_ in each):.1f}%",
                f"{statistics.median(s for _, _, s, _ in each):.2f}",
                f"{statistics.median([s for _, _, s, k in each if 30 <= k <= 50] or [0]):.2f}",
                f"{statistics.mean(s for _, _, s, _ in each):.2f}",
                f"{max(s for _, _, s, _ in each):.1f}",
            )
            for kind, each in (*found.items(), ("all", [row for rows in found.values() for row in rows]))
        ),
    )


def many(count: int, sizes: int = 200) -> list[Part]:
    """Make an order of many parts of few sizes."""
    random = Random(1)
    shapes = [(random.randint(96, 1280) // 4 * 4, random.randint(64, 512) // 4 * 4) for _ in range(sizes)]
    counts = [count // sizes + (k < count % sizes) for k in range(sizes)]
    return [Part(f"p{k}", a, b, "g", n) for k, ((a, b), n) in enumerate(zip(shapes, counts, strict=True)) if n]


def scaling(effort: Effort) -> None:
    """Time against the number of parts, 200 sizes."""
    sheet = Sheet("4x8", 96 * INCH, 48 * INCH, 1)
    rows = []
    for count in (50, 100, 200, 500, 1000, 2000, 5000, 10_000, 20_000):
        parts = many(count)
        layout, took = timed(lambda parts=parts: nest(parts, [sheet], kerf=KERF, search=Search(effort=effort)))  # type: ignore[misc]  # mypy cannot infer a defaulted lambda
        verify(layout, parts, [sheet], KERF)
        memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
        gap = 100 * (layout.cost / layout.bound - 1)
        rows.append(
            (count, layout.cost, layout.bound, f"{gap:.2f}%", f"{took:.1f}", f"{1000 * took / count:.2f}", memory)
        )
    print(f"\nmany parts, {effort}\n")
    table(("parts", "sheets", "bound", "gap", "s", "ms a part", "MB at most"), rows)


def first_use() -> None:
    """Time what the first call costs on a fresh machine, and a later process's first."""
    code = "from tests.benchmarks.__main__ import warm; warm()"
    with tempfile.TemporaryDirectory() as cache:
        rows = []
        for label in ("nothing compiled yet", "compiled before"):
            start, before = time.perf_counter(), resource.getrusage(resource.RUSAGE_CHILDREN)
            subprocess.run([sys.executable, "-c", code], check=True, env={**environ, "NUMBA_CACHE_DIR": cache})
            after = resource.getrusage(resource.RUSAGE_CHILDREN)
            used = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
            rows.append((label, f"{used:.1f}", f"{time.perf_counter() - start:.1f}"))
    print("\nfirst use: a process that nests one order needing every stage\n")
    table(("state", "processor s", "s on the wall"), rows)


def rectpack(names: Sequence[str]) -> None:
    """Run rectpack over the reference instances and keep its results beside this file."""
    found = recorded()
    each: Reference
    for name in names:
        for each in references(name):
            if each.name not in found:
                found[each.name] = fewest(each.parts, each.sheet, enough=each.bound)
    with RECORDED.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(("instance", "sheets"))
        writer.writerows(sorted(found.items()))


def main() -> None:
    """Run what the command line asks for."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks", description=__doc__)
    parser.add_argument("what", nargs="*", default=["classic", "industrial", "studio", "scaling", "first-use"])
    parser.add_argument("--effort", default="normal", choices=("quick", "normal", "thorough"))
    parser.add_argument("--seeds", type=int, nargs="+", default=[0])
    parser.add_argument("--only", default="", help="instances whose names begin so, by commas")
    parser.add_argument("--orders", type=int, default=300, help="how many studio orders")
    parser.add_argument("--log", type=Path, help="file that gets one line an instance")
    asked = parser.parse_args()
    if set(asked.what) - {"rectpack", "first-use"}:
        warm()
    for what in asked.what:
        if what in ("classic", "industrial"):
            family(what, asked.effort, asked.seeds, asked.only, asked.log)
        elif what == "studio":
            studio(asked.effort, asked.orders)
        elif what == "scaling":
            scaling(asked.effort)
        elif what == "first-use":
            first_use()
        elif what == "rectpack":
            rectpack(("classic", "industrial"))
        else:
            parser.error(f"unknown benchmark {what}")


if __name__ == "__main__":
    main()

"""``python -m tests.benchmarks.record --log FILE``: the classic instances that `normal` leaves open, with more steps.

FILE is what ``python -m tests.benchmarks classic --log FILE`` wrote. An instance gets, until its cost is proven: sheets
that the program over patterns asks for and the exact program over sets (:mod:`closing`), then `thorough`. All is
counted in steps. A row an instance goes to a table; layouts that cost less than `normal`'s go to a file
of plain JSON each: sheet, parts with sizes and places, cuts in order. Every layout passes the independent verifier, and
is replayed as it was written.
"""

import argparse
import csv
import json
import platform
import re
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from nesting.base.search import Search
from nesting.cutting.sheets import Cut, Layout, PartLeaf, nest
from nesting.cutting.sheets.column_generation import Columns
from nesting.cutting.sheets.cover import trimmed
from nesting.cutting.sheets.cutting import lay
from nesting.cutting.sheets.key_costs import Prices
from nesting.cutting.sheets.model import Node, SheetLayout
from nesting.cutting.sheets.pattern import contents
from nesting.cutting.sheets.problem import read_problem
from nesting.cutting.sheets.pursuits import drive
from nesting.cutting.sheets.relaxation import Column
from nesting.cutting.sheets.report import describe
from nesting.cutting.sheets.run import Run
from nesting.cutting.sheets.search import RuinAndRecreate
from nesting.cutting.sheets.solution import Placed, Solution
from tests.benchmarks.instances import Reference, references
from tests.benchmarks.real_orders import loop
from tests.benchmarks.record.closing import Work, close
from tests.benchmarks.record.replay import replayed
from tests.benchmarks.record.sets import laid_out
from tests.layout_verifier import verify

DATA = Path(__file__).parents[1] / "data"
TABLE = DATA / "record.csv"
LAYOUTS = DATA / "record"

HEAD = (
    "instance", "parts", "published_bound", "bound_before", "normal", "bound", "record", "relaxed", "how", "seed",
    "seconds", "loop", "machine",
)  # fmt: skip

# Classes whose sheets hold most parts: they come last, since they take longest.
LAST = ("cl03", "cl04", "cl05", "cl06")

# Steps of search before sheets are asked for, and how often the program asks.
_STEPS = 20_000
_ASKS = 150

# Steps of search for parts that chosen sheets lack.
_LAST = 200_000


@dataclass(frozen=True, slots=True)
class Before:
    """What `normal` found of an instance."""

    cost: int
    bound: int
    published: int


def read_log(file: Path) -> dict[str, Before]:
    """Read what each instance came to at `normal`."""
    found = {}
    for line in file.read_text(encoding="utf-8").splitlines():
        match = re.match(r"(\S+) \[(\d+)", line)
        rest = re.search(r"\] (\d+) (\d+) \[", line)
        if match and rest:
            found[match[1]] = Before(int(match[2]), int(rest[1]), int(rest[2]))
    return found


def known_sheets(run: Run) -> dict[Column, Placed]:
    """Search, and ask the program over patterns for sheets; what was met, by what it holds."""
    search = RuinAndRecreate(run.problem, run.prices, run.seed)
    if search.begin(run.settings):
        run.offer(search.solution())
    for _ in drive(run, search, _STEPS):
        pass
    columns = Columns(run, search.pool(run.settings.columns))
    columns.price(_ASKS)
    placed = columns.nearest(1 << 30)
    return {(stock, frozenset(contents(pattern).items())): (stock, pattern) for stock, pattern in placed}


def completed(run: Run, placed: list[Placed], sheets: int) -> Solution | None:
    """Put in what sheets that were chosen for some parts lack of the others."""
    search = RuinAndRecreate(run.problem, run.prices, run.seed, pooling=False)
    search.load(trimmed(run.problem, placed).placed())
    search.aim(run.prices.key(0, sheets), run.settings.history)
    return search.solution() if search.complete() or search.pursue(_LAST, run, pooling=False) else None


def pursue(
    each: Reference, before: Before, seed: int, work: Work, runs: Sequence[Search], *, sets: bool
) -> tuple[dict[str, object], Layout | None]:
    """Close an instance as far as the work goes; its row, and its layout where that is cheaper than before."""
    began = time.process_time()
    problem = read_problem(each.parts, [each.sheet], 0)
    prices = Prices(problem)
    best: Layout | None = None
    cost, bound, how, relaxed = before.cost, max(before.bound, before.published), [], 0.0

    def tell(text: str) -> None:
        print(f"  {time.process_time() - began:.1f} s: {text}", flush=True)

    def better(layout: Layout) -> None:
        nonlocal cost, bound, best
        verify(layout, each.parts, [each.sheet], 0)
        bound = max(bound, layout.bound)
        if layout.cost < cost:
            cost, best = layout.cost, layout

    run = Run(problem, prices, Search(seed, "thorough"))
    placed = known_sheets(run) if sets else {}
    if sets and problem.total <= before.cost * 12:  # with more parts to a sheet their sets are too many
        closed = close(problem, cost, placed, seed, work, tell)
        relaxed, bound = closed.relaxed, max(bound, closed.bound)
        how.append(closed.how)
        if closed.columns:
            chosen = [placed.get(column) or (0, laid_out(problem, column)) for column in closed.columns]
            solution = completed(run, [(stock, pattern) for stock, pattern in chosen if pattern is not None], cost - 1)
            if solution is not None:
                better(describe(problem, prices, solution, lay(problem, solution, (0, 0)), bound))
    for search in runs:
        if cost > bound:
            better(nest(each.parts, [each.sheet], search=search))
            how.append(f"{search.effort}, seed {search.seed}")
            tell(f"{how[-1]}: {cost}, bound {bound}")
    if bound > cost:
        raise AssertionError(f"{each.name}: bound {bound} above {cost}")
    row = {
        "instance": each.name,
        "parts": problem.total,
        "published_bound": before.published,
        "bound_before": max(before.bound, before.published),
        "normal": before.cost,
        "bound": bound,
        "record": cost,
        "relaxed": f"{relaxed:.4f}",
        "how": "; ".join(how),
        "seed": seed,
        "seconds": f"{time.process_time() - began:.1f}",
        "loop": f"{loop():.2f}",
        "machine": f"{platform.machine()}, Python {platform.python_version()}",
    }
    return row, best


def written(each: Reference, layout: Layout) -> dict[str, Any]:
    """Return a layout as plain values: anybody can replay its cuts."""
    sizes = {part.name: (part.length, part.width) for part in each.parts}
    sheets = []
    for made in layout.sheets:
        sheets += [
            {
                "cuts": list(_cuts(made.cuts)),
                "parts": [
                    {"part": node.part, "size": sizes[node.part], "x": x, "y": y, "length": length, "width": width}
                    for x, y, length, width, node in _single(made).pieces(0)
                    if isinstance(node, PartLeaf)
                ],
            }
        ] * made.repeat
    return {
        "instance": each.name,
        "sheet": [each.sheet.length, each.sheet.width],
        "wanted": [{"part": part.name, "size": sizes[part.name], "count": part.count} for part in each.parts],
        "cuts": "each cuts the piece on top of a pile: `cross` splits its length, `rip` its width, `at` from its lower "
        "or left side; the rest is put on the pile first, then the first piece; `keep` takes the top piece as a part, "
        "`drop` throws it away",
        "sheets": sheets,
    }


def _single(made: SheetLayout) -> SheetLayout:
    return SheetLayout(made.sheet, made.cuts, 1)


def _cuts(node: Node) -> Iterator[list[object]]:
    if isinstance(node, Cut):
        yield [node.direction, node.at]
        yield from _cuts(node.first)
        yield from _cuts(node.rest)
    elif isinstance(node, PartLeaf):
        yield ["keep", node.part]
    else:
        yield ["drop"]


def main() -> None:
    """Run what the command line asks for."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.record", description=__doc__)
    parser.add_argument("--log", type=Path, required=True, help="what `normal` found, one line an instance")
    parser.add_argument("--only", default="", help="instances whose names begin so, by commas")
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--joins", type=int, default=Work().joins, help="pairs of sets joined for an instance, at most")
    parser.add_argument("--seeds", type=int, default=1, help="how many seeds of --effort follow, from --seed on")
    parser.add_argument("--effort", choices=("normal", "thorough"), default="thorough")
    parser.add_argument("--no-sets", action="store_true", help="only those, for an instance that the program left open")
    parser.add_argument("--table", type=Path, default=TABLE)
    parser.add_argument("--layouts", type=Path, default=LAYOUTS)
    asked = parser.parse_args()
    before = read_log(asked.log)
    asked.layouts.mkdir(parents=True, exist_ok=True)
    fresh = not asked.table.exists()
    for each in sorted(references("classic"), key=lambda each: (each.group in LAST, len(each.parts), each.name)):
        was = before.get(each.name)
        if was is None or was.cost <= max(was.bound, was.published):
            continue
        if asked.only and not each.name.startswith(tuple(asked.only.split(","))):
            continue
        print(each.name, flush=True)
        runs = [Search(asked.seed + number, asked.effort) for number in range(asked.seeds)]
        row, layout = pursue(each, was, asked.seed, Work(joins=asked.joins), runs, sets=not asked.no_sets)
        if layout is not None:
            file = asked.layouts / f"{each.name}.json"
            text = json.dumps(written(each, layout))
            replayed(json.loads(text))
            file.write_text(text + "\n", encoding="utf-8")
        with asked.table.open("a", newline="", encoding="utf-8") as out:
            writer = csv.DictWriter(out, HEAD, lineterminator="\n")
            if fresh:
                writer.writeheader()
                fresh = False
            writer.writerow(row)
        print(" ", {name: row[name] for name in ("normal", "record", "bound", "relaxed", "how", "seconds")}, flush=True)


if __name__ == "__main__":
    main()

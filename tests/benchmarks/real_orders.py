"""``python -m tests.benchmarks.real_orders`` lays the sheet goods of generated orders and tells what is proven of them.

Consignments and sales of the one generator go through readers, expander and the choice of designs by estimates
(``--make``); what sheet goods they then ask for is kept in a file, the corpus, so that laying alone can be timed again
and again. A line of it is an order: its goods with parts, stock, kerf and the least offcut worth keeping, plain numbers
all. :func:`read_corpus` loads it for other uses.

Every good is laid as a build lays it, strips of small parts and the work at the saw included, and counted on the plan
whose goods cost least. Each layout passes the independent verifier. Seconds are processor seconds of laying alone, all
imported and compiled before; beside each order ``for i in range(10**6): s += i`` is timed ten times over, and *scaled*
seconds are those of a machine on which ``10**7`` turns take 1.0 s.

``--before FOLDER`` lays each order by the program in another worktree too, in turns with this one, so that both see the
same load. ``data/real_orders.csv`` holds a row a good.
"""

import argparse
import csv
import gc
import json
import os
import subprocess
import sys
import time
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict, dataclass, replace
from importlib import import_module
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory, gettempdir
from typing import IO, Any, Final

from nesting.base.faults import Fault
from nesting.base.search import QUICK, Effort, Search
from nesting.cutting.parts import Part, RollPart, StickPart
from nesting.cutting.rolls import Roll
from nesting.cutting.sheets import Layout, Sheet, Trim
from nesting.cutting.sticks import Stick
from tests.generated_orders import KINDS, ON
from tests.layout_verifier import verify

DATA: Final = Path(__file__).parent / "data"
CORPUS: Final = Path(gettempdir()) / "casewright-real-orders.jsonl"
COUNTS: Final = {"consignment": 100, "sale": 50}
"""Orders of each kind, from seed 0."""
_LOOP: Final = compile("s = 0\nfor i in range(10**6):\n    s += i", "loop", "exec")
HEAD: Final = (
    "order", "good", "parts", "sizes", "area", "sheet_cost",
    "sheets_before", "cost_before", "bound_before", "proven_before", "seconds_before",
    "sheets", "cost", "bound", "proven", "gap", "seconds", "loop",
)  # fmt: skip

Row = dict[str, str]


@dataclass(frozen=True, slots=True)
class Wanted:
    """What an order asks of one sheet good.

    Attributes
    ----------
    order, good : str
        Names.
    kerf : int
        What a cut takes.
    keep : (int, int)
        Least length and width of an offcut worth keeping.
    parts : tuple of Part
        What is laid out.
    sheets : tuple of Sheet
        On what.
    """

    order: str
    good: str
    kerf: int
    keep: tuple[int, int]
    parts: tuple[Part, ...]
    sheets: tuple[Sheet, ...]

    @property
    def sizes(self) -> int:
        """How many sizes there are."""
        return len({(max(p.length, p.width), min(p.length, p.width), p.grain) for p in self.parts})

    @property
    def sheet_cost(self) -> int:
        """Cost of the dearest sheet."""
        return max(sheet.cost for sheet in self.sheets)

    @property
    def area(self) -> float:
        """Area of all parts with their kerfs, in largest sheets."""
        room = max((s.usable_length + self.kerf) * (s.usable_width + self.kerf) for s in self.sheets)
        return sum(p.count * (p.length + self.kerf) * (p.width + self.kerf) for p in self.parts) / room


def make(order_name: str) -> str | None:
    """Return the line of an order in the corpus: as chosen by estimates; None where it is refused."""
    from nesting.base.faults import FaultsFound
    from nesting.build import to_cut
    from nesting.shop.needs import kerf_of
    from pricing.output.job import read_both
    from pricing.quoting.work import build_order, choose

    kind, seed = order_name.split("-")
    with TemporaryDirectory(prefix="orders-") as place:
        order, office = read_both(KINDS[kind](int(seed)).write(Path(place)), None, None)
    search = replace(QUICK, memory={})
    try:
        made = build_order(order, office, on=ON, search=search, design=choose(order, office, search, on=ON))
    except FaultsFound:
        return None
    shop, keep = made.shop, (made.shop.saw.offcut_length, made.shop.saw.offcut_width)
    goods = [
        {
            "good": good,
            "kerf": kerf_of(shop, shop.good(good)),
            "keep": keep,
            "parts": [asdict(part) for part in parts],
            "sheets": [asdict(sheet) for sheet in made.supply.sheets[good]],
        }
        for good, parts in to_cut(made)[0].items()
    ]
    return json.dumps({"order": order_name, "pieces": len(order.copies()), "goods": goods})


def read_corpus(file: Path = CORPUS) -> list[list[Wanted]]:
    """Load a corpus: for each order what it asks of each good."""
    with file.open(encoding="utf-8") as lines:
        return [_read(json.loads(line)) for line in lines]


def _read(line: dict[str, Any]) -> list[Wanted]:
    return [
        Wanted(
            line["order"],
            each["good"],
            each["kerf"],
            (each["keep"][0], each["keep"][1]),
            tuple(Part(**part) for part in each["parts"]),
            tuple(_sheet(sheet) for sheet in each["sheets"]),
        )
        for each in line["goods"]
    ]


def _sheet(fields: dict[str, Any]) -> Sheet:
    trim, breaks = fields.pop("trim"), fields.pop("breaks")
    return Sheet(**fields, trim=Trim(**trim) if trim else None, breaks=tuple((n, cost) for n, cost in breaks))


def loop() -> float:
    """Return what the loop takes as a program of its own has it, scaled to its ten million turns."""
    took = []
    for _ in range(3):
        began = time.process_time()
        exec(_LOOP, {})  # noqa: S102 - names of a module are slower than those of a function
        took.append(time.process_time() - began)
    return 10 * median(took)


class Fits:
    """What is in a corpus was cut once, so all of it fits."""

    source = ""

    def sheets(self, _good: str, _parts: Iterable[Part], _stock: Iterable[Sheet], /) -> list[Fault]:
        return []

    def sticks(self, _good: str, _parts: Iterable[StickPart], _stock: Iterable[Stick], /) -> list[Fault]:
        return []

    def rolls(self, _parts: Iterable[RollPart], _stock: Sequence[Roll], /) -> dict[str, Fault]:
        return {}


class Bench:
    """Lays goods as a build of the built-in studio lays them.

    Parameters
    ----------
    effort : {"quick", "normal", "thorough"}
        Of all searches.
    """

    def __init__(self, effort: Effort) -> None:
        from pricing.quoting.judging import weighing_of
        from pricing.studio.office import Office

        self.effort: Effort = effort
        self._shop = Office().shop
        self._weighing = weighing_of(Office())

    def lay(self, goods: Sequence[Wanted]) -> list[dict[str, Any]]:
        """Return what comes of each good of an order."""
        from nesting.shop.needs import blade_of

        laying: Any = import_module("nesting.cutting.laying")
        found: dict[str, dict[str, Any]] = {}
        alone: dict[str, list[Layout]] = {each.good: [] for each in goods}
        wanted = {each.good: each for each in goods}
        plain = laying.nest

        class Timed(laying.Laying):  # type: ignore[misc]  # of this worktree or another
            """Times each good."""

            def sheets(self, good: str, parts: Sequence[Part], stock: tuple[Sheet, ...]) -> Layout | None:
                began = time.process_time()
                layout: Layout | None = super().sheets(good, parts, stock)
                found[good] = {"good": good, "seconds": time.process_time() - began, "layout": layout}
                return layout

        def watched(parts: Sequence[Part], sheets: Sequence[Sheet], **how: Any) -> Layout:
            layout: Layout = plain(parts, sheets, **how)
            good = parts[0].good
            if tuple(parts) == wanted[good].parts:
                alone[good].append(layout)
            return layout

        shop = self._shop
        kinds = [shop.good(each.good) for each in goods]
        timed = Timed(
            shop.saw,
            Fits(),
            Search(effort=self.effort, memory={}),
            searches=len(goods),
            kerfs={each.good: each.kerf for each in goods},
            sawing={
                good.good: laying.Sawing(good.thickness, shop.saw, shop.tools)
                for good in kinds
                if blade_of(shop, good) == "saw"
            },
            benches={each.good: self._weighing.bench(shop, each.good) for each in goods},
        )
        pace = loop()
        laying.nest = watched  # to see the plan of the parts alone, whose goods cost least
        try:
            if hasattr(timed, "all_sheets"):  # worktrees of before lay good by good
                timed.all_sheets(
                    {g: each.parts for g, each in wanted.items()}, {g: w.sheets for g, w in wanted.items()}
                )
            else:
                for each in goods:
                    timed.sheets(each.good, each.parts, each.sheets)
        finally:
            laying.nest = plain
        return [
            {**_least(each, found[each.good].pop("layout"), alone[each.good]), **found[each.good], "loop": pace}
            for each in goods
        ]


def _least(each: Wanted, layout: Layout | None, alone: Sequence[Layout]) -> dict[str, Any]:
    """Verify what was laid, and return the figures of the plan whose goods cost least."""
    if layout is None:
        raise AssertionError(f"{each.order}, {each.good} was not laid")
    for made in (layout, *alone):
        verify(made, each.parts, each.sheets, each.kerf)
    cost, sheets = min((made.cost - made.over, made.sheet_count) for made in (layout, *alone))
    bound = max(made.bound for made in (layout, *alone))
    if bound > cost:
        raise AssertionError(f"{each.order}, {each.good}: bound {bound} above {cost}")
    return {"cost": cost, "bound": bound, "sheets": sheets}


def serve(effort: Effort) -> None:
    """Lay the orders whose lines come in, and write what comes of each to a line."""
    bench = Bench(effort)
    gc.freeze()
    gc.set_threshold(200_000, 100, 100)  # about as in the command
    for line in sys.stdin:
        print(json.dumps(bench.lay(_read(json.loads(line)))), flush=True)


class Server:
    """A program of its own that lays orders, of this worktree or another."""

    def __init__(self, worktree: Path, effort: Effort) -> None:
        python = worktree / ".venv" / "bin" / "python"
        command = [str(python if python.exists() else sys.executable), str(Path(__file__)), "--serve"]
        self._process = subprocess.Popen(
            [*command, "--effort", effort],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            cwd=worktree,
            env={**os.environ, "PYTHONPATH": str(worktree)},
        )

    def ask(self, line: str) -> list[dict[str, Any]]:
        """Return what comes of an order."""
        into, out = self._process.stdin, self._process.stdout
        if into is None or out is None:
            raise RuntimeError("the server has no pipes")
        into.write(line.strip() + "\n")
        into.flush()
        found: list[dict[str, Any]] = json.loads(out.readline())
        return found

    def close(self) -> None:
        """End it."""
        self._process.communicate()


def rows(lines: Sequence[str], before: Path | None, effort: Effort) -> Iterator[list[Row]]:
    """Yield the rows of each order."""
    here = Server(Path(__file__).parents[2], effort)
    there = Server(before.resolve(), effort) if before else None
    servers = [server for server in (there, here) if server]
    for server in servers:  # all is loaded and compiled before anything is timed
        for line in lines[:3]:
            server.ask(line)
    for line in lines:
        was = there.ask(line) if there else []
        made = here.ask(line)
        yield [
            _row(each, found, was[k] if was else None)
            for k, (each, found) in enumerate(zip(_read(json.loads(line)), made, strict=True))
        ]
    for server in servers:
        server.close()


def _row(each: Wanted, found: dict[str, Any], was: dict[str, Any] | None) -> Row:
    row = {
        "order": each.order,
        "good": each.good,
        "parts": str(sum(part.count for part in each.parts)),
        "sizes": str(each.sizes),
        "area": f"{each.area:.3f}",
        "sheet_cost": str(each.sheet_cost),
        "gap": f"{(found['cost'] - found['bound']) / each.sheet_cost:.2f}",
        "loop": f"{found['loop']:.2f}",
    }
    for made, when in ((was, "_before"), (found, "")):
        if made:
            row |= {f"{name}{when}": str(made[name]) for name in ("sheets", "cost", "bound")}
            row |= {
                f"proven{when}": "yes" if made["cost"] == made["bound"] else "no",
                f"seconds{when}": f"{made['seconds'] / made['loop']:.3f}",
            }
    return row


def tell(found: Sequence[Row]) -> Iterator[str]:
    """Yield what the rows come to."""
    for when in ("_before", ""):
        mine = [row for row in found if row[f"seconds{when}"]]
        if not mine:
            continue
        proven = [row for row in mine if row[f"proven{when}"] == "yes"]
        gaps = [(int(row[f"cost{when}"]) - int(row[f"bound{when}"])) / int(row["sheet_cost"]) for row in mine]
        took = seconds(mine, when)
        cost, bound = (sum(int(row[f"{name}{when}"]) for row in mine) for name in ("cost", "bound"))
        yield (
            f"{when.strip('_') or 'now'}: {len(took)} orders, {len(mine)} goods, {len(proven)} proven "
            f"({100 * len(proven) / len(mine):.1f} %), {sum(gap <= 1 for gap in gaps)} within a sheet; "
            f"cost {cost}, bound {bound}"
        )
        yield (
            f"  seconds of an order (loop 1.0): median {median(took):.2f}, 95 % {part(took, 95):.2f}, "
            f"99 % {part(took, 99):.2f}, most {took[-1]:.2f}, mean {sum(took) / len(took):.2f}"
        )
    for row in found:
        if row["proven"] != "yes":
            yield (
                f"open: {row['order']} {row['good']}, {row['parts']} parts of {row['sizes']} sizes, "
                f"area {row['area']}, {row['sheets']} sheets, {row['cost']} against {row['bound']}, gap {row['gap']}"
            )
        if row["cost_before"] and row["cost_before"] != row["cost"]:
            yield f"cost: {row['order']} {row['good']}, {row['cost_before']} before, {row['cost']} now"


def seconds(found: Sequence[Row], when: str) -> list[float]:
    """Return the scaled seconds of the orders, ascending."""
    orders: dict[str, float] = {}
    for row in found:
        orders[row["order"]] = orders.get(row["order"], 0.0) + float(row[f"seconds{when}"])
    return sorted(orders.values())


def part(took: Sequence[float], hundredths: int) -> float:
    """Return what so many hundredths of the orders do not go beyond."""
    return took[max(0, -(-len(took) * hundredths // 100) - 1)]


def _make_all(file: Path, first: int, counts: dict[str, int]) -> None:
    with file.open("a", encoding="utf-8") as text:
        for kind, count in counts.items():
            for seed in range(first, first + count):
                if line := make(f"{kind}-{seed:04d}"):
                    print(line, file=text, flush=True)


def _write(out: IO[str], lines: Sequence[str], before: Path | None, effort: Effort) -> list[Row]:
    writer = csv.DictWriter(out, HEAD, restval="", lineterminator="\n")
    writer.writeheader()
    found: list[Row] = []
    for made in rows(lines, before, effort):
        full = [{name: row.get(name, "") for name in HEAD} for row in made]
        writer.writerows(full)
        out.flush()
        found += full
    return found


def main() -> None:
    """Make a corpus where there is none, lay it, and say what comes of it."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.real_orders", description=__doc__)
    parser.add_argument("--corpus", type=Path, default=CORPUS)
    parser.add_argument("--make", action="store_true", help="make the corpus and end")
    parser.add_argument("--first", type=int, default=0, help="first seed of a corpus that is made")
    parser.add_argument("--count", type=int, help="orders of each kind in a corpus that is made, instead of 100 and 50")
    parser.add_argument("--before", type=Path, help="another worktree to lay each order by too")
    parser.add_argument("--only", default="", help="names of orders, with commas between")
    parser.add_argument("--effort", default="normal", choices=("quick", "normal", "thorough"))
    parser.add_argument("--out", type=Path, default=DATA / "real_orders.csv")
    parser.add_argument("--serve", action="store_true", help="lay what comes in, for another process")
    asked = parser.parse_args()
    if asked.serve:
        serve(asked.effort)
        return
    if asked.make or not asked.corpus.exists():
        _make_all(asked.corpus, asked.first, dict.fromkeys(COUNTS, asked.count) if asked.count else dict(COUNTS))
        if asked.make:
            return
    with asked.corpus.open(encoding="utf-8") as text:
        lines = list(text)
    if asked.only:
        lines = [line for line in lines if json.loads(line)["order"] in asked.only.split(",")]
    with asked.out.open("w", newline="", encoding="utf-8") as out:
        found = _write(out, lines, asked.before, asked.effort)
    print("\n".join(tell(found)))


if __name__ == "__main__":
    main()

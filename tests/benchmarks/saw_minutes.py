"""``python -m tests.benchmarks.saw_minutes --before FILE`` holds minutes at the saw against those of before.

FILE comes from :mod:`tests.benchmarks.saw_before`, run in a tree of the version that is held against (commit e3ba2bb):
its sheets, and the order in which it cut each sheet by itself, with one fence for all. What no fence can do by the
limits of the shop's tools is given to the track saw. Both sides are carried out by the simulation of
``tests/saw_simulation.py``, which counts turns and armfuls, and both are paid by the same minutes, today's.

Three times: each side with its own sheets; the same with the chop saw and its stop given to the old order too, which
asked for neither; and today's sheets cut in the old order, so that the order alone is compared.
``data/saw_minutes.csv`` has a row an order. A fault that the simulation finds in today's order is printed.
``--share 1/4`` works every fourth order of each kind, and what is printed says so; FILE may hold more.
"""

import argparse
import csv
import json
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from typing import Any, Final

from nesting.base.faults import FaultsFound
from nesting.base.search import QUICK
from nesting.build import Build, to_cut
from nesting.cutting.sawing.model import Effort, Outcome, SawCut, SawPlan, Setting, Tool
from nesting.cutting.sawing.plan import plan_in
from nesting.cutting.sawing.sticks import stick_work
from nesting.shop.needs import blade_of
from nesting.shop.shop import Shop
from pricing.output.job import read_both
from pricing.quoting.labour import saw_minutes
from pricing.quoting.quote import Quote
from pricing.quoting.work import work
from pricing.studio.rates import LabourRules
from tests.benchmarks.saw_before import COUNTS, Data, chosen, data_of
from tests.benchmarks.spread import told
from tests.generated_orders import ON
from tests.saw_simulation import Limits, Lot, Stuff, carried_out, limits_of, lots_of

TABLE: Final = Path(__file__).parent / "data" / "saw_minutes.csv"
HEAD: Final = (
    "order", "cuts_before", "impossible_before", "settings_before", "passes_before", "minutes_before", "goods_before",
    "sum_before", "minutes_charged_before", "minutes_kindest_before", "minutes_same_sheets", "refused", "faults",
    "settings", "passes", "minutes", "goods", "sum",
)  # fmt: skip
AGAINST: Final[Mapping[str, str]] = {
    "own sheets": "minutes_before",
    "own sheets, the chop saw given to the old order too": "minutes_kindest_before",
    "same sheets": "minutes_same_sheets",
}
Row = dict[str, str]


@dataclass(slots=True)
class Counts:
    """What an order asks at the saw, its goods together."""

    effort: list[Effort] = field(default_factory=list)
    minutes: Decimal = Decimal(0)
    cost: int = 0
    cuts: int = 0
    impossible: int = 0
    refused: int = 0
    faults: list[str] = field(default_factory=list)

    @property
    def settings(self) -> int:
        """How often anything is set."""
        return sum(sum(each.settings.values()) for each in self.effort)

    @property
    def passes(self) -> int:
        """How often anything goes through."""
        return sum(sum(each.passes.values()) for each in self.effort)

    def add(self, effort: Effort, rules: LabourRules) -> None:
        """Add a good of sheets."""
        self.effort.append(effort)
        self.minutes += saw_minutes(effort, rules)

    def add_sticks(self, effort: Effort, rules: LabourRules) -> None:
        """Add a good of lumber, which has its own minutes."""
        self.effort.append(effort)
        self.minutes += sum(effort.settings.values()) * (rules.stop_setup or rules.setup)
        self.minutes += sum(effort.passes.values()) * rules.stick_cut

    def sum(self, hour: Decimal) -> Decimal:
        """Return goods and minutes together, in money."""
        return Decimal(self.cost) / 100 + self.minutes * hour / 60


def at_fence(limits: Limits, along: int, across: int, at: int) -> Tool:
    """Return what makes a cut that was meant for a fence: the table saw, or the track saw where no fence does it."""
    fence = limits.narrowest <= at <= min(limits.rip, along) and along >= limits.along_fence
    return "table" if fence and along * across <= limits.one_person else "track"


def at_best(limits: Limits, along: int, across: int, at: int) -> Tool:
    """Return what a kind reader gives a cut to: the chop saw and its stop too, where the piece is narrow enough."""
    held = max(at, across - at) >= limits.narrowest
    return "chop" if held and along <= limits.chop else at_fence(limits, along, across, at)


def old_plan(good: Data, limits: Limits, tool_of: Callable[[Limits, int, int, int], Tool]) -> SawPlan:
    """Return the old order of a good's sheets, each cut with the tool that makes it."""
    sizes = {(index, "A"): (lot[0], lot[1]) for index, lot in enumerate(good["lots"])}
    settings: list[Setting] = []
    was: tuple[int, Tool, str, int] | None = None
    for number, (index, action, panel, at, edge, off, stays, line) in enumerate(good["steps"]):
        dx, dy = sizes[index, panel]
        along, across = (dx, dy) if edge in ("bottom", "top") else (dy, dx)
        sides = [Outcome(kind, name, *size) for kind, name, *size in (off, stays)]
        for side in sides:
            if side.kind == "panel":
                sizes[index, side.name] = (side.dx, side.dy)
        tool = tool_of(limits, along, across, at)
        repeat = good["lots"][index][2]
        cut = SawCut(
            number=number + 1, action=action, panel=f"{index + 1}{panel}", fence=at, edge=edge, off=sides[0],
            stays=sides[1], line=tuple(line), layout=index, repeat=repeat, tool=tool, along=along, across=across,
        )  # fmt: skip
        now = (index, tool, action, at)
        if now == was:
            last = settings.pop()
            settings.append(Setting(tool, action, at, (*last.cuts, cut), last.passes + repeat))
        else:
            settings.append(Setting(tool, action, at, (cut,), repeat))
        was = now
    return SawPlan(good["good"], good["kerf"], tuple(settings), Effort())


def old_effort(plan: SawPlan, lots: Sequence[Lot], limits: Limits, stuff: Stuff) -> Effort:
    """Count what an old order asks, by carrying it out."""
    bench = carried_out(plan, lots, (), limits, stuff)
    settings, passes = Counter[Tool](), Counter[Tool]()
    for each in plan.settings:
        settings[each.tool] += 1
        passes[each.tool] += each.passes
    rips: Any = bench.rips
    return Effort(settings, passes, rips, bench.sheets, bench.turns, bench.carries)


def in_old_order(data: Data, shop: Shop, rules: LabourRules, *, kindly: bool = False) -> Counts:
    """Count an order whose sheets are cut one by one, as before.

    Foam and board are cut by what cuts them today, so that no saving is made of that.
    """
    limits, counts = limits_of(shop), Counts()
    for good in data["sheets"]:
        blade = blade_of(shop, shop.good(good["good"]))
        tool_of = at_best if kindly else at_fence
        plan = old_plan(good, limits, tool_of if blade == "saw" else lambda *_, blade=blade: blade)
        lots = [Lot(length, width, repeat) for length, width, repeat, _ in good["lots"]]
        counts.add(old_effort(plan, lots, limits, Stuff(good["thickness"], blade != "saw")), rules)
        counts.cost += good["cost"]
        counts.cuts += sum(cut.repeat for cut in plan.cuts)
        counts.impossible += sum(cut.repeat for cut in plan.cuts if cut.tool == "track")
    for lumber in data["sticks"]:
        counts.add_sticks(old_sticks(lumber), rules)
        counts.cost += lumber["cost"]
    return counts


def charged(data: Data, rules: LabourRules) -> Decimal:
    """Return the minutes that were charged before: one fence for all, whether or not it can make a cut."""
    minutes = Decimal(0)
    for good in data["sheets"]:
        minutes += rules.load * sum(good["lots"][index][2] for index in {step[0] for step in good["steps"]})
        was = None
        for index, action, _, at, edge, *_ in good["steps"]:
            minutes += rules.setup * ((index, action, at) != was)
            minutes += (rules.rip if edge in ("bottom", "top") else rules.crosscut) * good["lots"][index][2]
            was = (index, action, at)
    for lumber in data["sticks"]:
        effort = old_sticks(lumber)
        minutes += sum(effort.settings.values()) * rules.setup + sum(effort.passes.values()) * rules.stick_cut
    return minutes


def old_sticks(lumber: Data) -> Effort:
    """Count stops and cuts of lumber as before: one by one, the stop set as often as the length changes."""
    lengths = {name: length for name, length, _ in lumber["parts"]}
    cut = [lengths[part] for *_, parts in lumber["sticks"] for part in parts]
    stops = sum(1 for before, now in zip([None, *cut], cut, strict=False) if before != now)
    return Effort({"chop": stops}, {"chop": sum(repeat * len(parts) for _, _, repeat, parts in lumber["sticks"])})


def today(build: Build, rules: LabourRules) -> Counts:
    """Count an order in today's order of cuts, each good replayed."""
    counts, limits = Counts(), limits_of(build.shop)
    parts, sticks = to_cut(build)
    for layout in build.layouts:
        good = build.shop.good(layout.good)
        plan = plan_in(build.shop, layout)
        stuff = Stuff(good.thickness, blade_of(build.shop, good) != "saw")
        found = carried_out(plan, lots_of(layout), parts[layout.good], limits, stuff).faults
        counts.faults += [f"{layout.good}: {each}" for each in found]
        counts.add(plan.effort, rules)
        counts.cost += layout.cost
        counts.cuts += sum(cut.repeat for cut in plan.cuts)
        counts.refused += sum(cut.repeat for each in plan.refused for cut in each.cuts)
    for lumber in build.stick_plans:
        lengths = {part.name: part.length for part in sticks[lumber.good]}
        good = build.shop.good(lumber.good)
        made = stick_work(lumber, lengths, (good.thickness, good.breadth), build.shop.tools)
        counts.add_sticks(made.effort, rules)
        counts.cost += lumber.cost
    return counts


def compared(name: str, before: Data, made: Quote, hour: Decimal, rules: LabourRules) -> tuple[Row, list[str]]:
    """Return an order's row, and what the simulation finds wrong today."""
    build = made.build
    old = in_old_order(before, build.shop, rules)
    kind = in_old_order(before, build.shop, rules, kindly=True)
    same = in_old_order(data_of(name, build), build.shop, rules)
    now = today(build, rules)
    row = {
        "order": name,
        "cuts_before": old.cuts,
        "impossible_before": old.impossible,
        "settings_before": old.settings,
        "passes_before": old.passes,
        "minutes_before": f"{old.minutes:.2f}",
        "goods_before": f"{old.cost / 100:.2f}",
        "sum_before": f"{old.sum(hour):.2f}",
        "minutes_charged_before": f"{charged(before, rules):.2f}",
        "minutes_kindest_before": f"{kind.minutes:.2f}",
        "minutes_same_sheets": f"{same.minutes:.2f}",
        "refused": now.refused,
        "faults": len(now.faults),
        "settings": now.settings,
        "passes": now.passes,
        "minutes": f"{now.minutes:.2f}",
        "goods": f"{now.cost / 100:.2f}",
        "sum": f"{now.sum(hour):.2f}",
    }
    return {key: str(value) for key, value in row.items()}, now.faults


def rows(before: Mapping[str, Data], share: str) -> Iterator[Row]:
    """Work the orders that were not refused before, and yield a row each; print what is wrong."""
    with TemporaryDirectory() as place:
        for order in chosen(share):
            if order.name not in before:
                continue
            try:
                read, office = read_both(order.write(Path(place)), None, None)
                made = work(read, office, on=ON, search=QUICK)
            except FaultsFound as found:
                print(f"{order.name}: {found.faults[0].message}", flush=True)
                continue
            rules = office.rates.labour
            row, faults = compared(order.name, before[order.name], made, office.book.price(rules.saw_hour).price, rules)
            for fault in faults:
                print(f"{order.name}, {fault}", flush=True)
            yield row


def fewer(rows_: Iterable[Row], key: str) -> list[float]:
    """Return by which part the minutes of each order with any work are fewer than in a column."""
    return [1 - float(row["minutes"]) / float(row[key]) for row in rows_ if float(row[key])]


def report(made: Sequence[Row], refused: Sequence[str]) -> None:
    """Print of which orders the table is, medians, and orders whose sum went up."""
    for kind, count in COUNTS.items():
        print(f"{kind}: {told((row['order'] for row in made), kind, count, refused)}")
    print(f"refused, before or now: {len(refused)} {' '.join(refused)}")
    for kind in ("consignment", "sale", ""):
        mine = [row for row in made if row["order"].startswith(kind)]
        if not mine:
            continue
        print(f"{kind or 'all'}: {len(mine)} orders")
        for title, key in AGAINST.items():
            saved = fewer(mine, key)
            if saved:
                print(f"  {100 * median(saved):.1f} % fewer in the median, least {100 * min(saved):.1f} %; {title}")
        for key in ("cuts_before", "impossible_before", "settings_before", "settings", "passes_before", "passes"):
            print(f"  {key}: {sum(int(row[key]) for row in mine)}")
        for key in (
            "minutes_before",
            "minutes_charged_before",
            "minutes_kindest_before",
            "minutes_same_sheets",
            "minutes",
            "goods_before",
            "goods",
            "sum_before",
            "sum",
        ):
            print(f"  {key}: {sum(float(row[key]) for row in mine):.2f}")
        print(
            f"  refused cuts: {sum(int(row['refused']) for row in mine)}, faults: {sum(int(r['faults']) for r in mine)}"
        )
    dearer = [row for row in made if Decimal(row["sum"]) > Decimal(row["sum_before"])]
    print(f"dearer: {len(dearer)}")
    for row in dearer:
        print(
            f"  {row['order']}: goods {row['goods_before']} to {row['goods']}, sum {row['sum_before']} to {row['sum']}"
        )


def main() -> None:
    """Write the table and print what it comes to."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--before", type=Path, required=True)
    parser.add_argument("--share", default="1/1", help="every so manyth order of each kind")
    parser.add_argument("--out", type=Path, default=TABLE)
    given = parser.parse_args()
    before = {data["order"]: data for data in map(json.loads, given.before.read_text(encoding="utf-8").splitlines())}
    made = []
    with given.out.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, HEAD, lineterminator="\n")
        writer.writeheader()
        for row in rows(before, given.share):
            writer.writerow(row)
            file.flush()
            made.append(row)
    named = {row["order"] for row in made}
    report(made, [order.name for order in chosen(given.share) if order.name not in named])


if __name__ == "__main__":
    main()

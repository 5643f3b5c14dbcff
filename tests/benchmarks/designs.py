"""``python -m tests.benchmarks.designs`` designs the closed and battened crates of every recorded order, uncut.

It writes ``data/designs_0.2.csv``, a row a crate: design, standing, weight, fixings, minutes, what it costs at area
prices, and what :mod:`tests.structure_verifier` and :mod:`tests.structure_geometry` say of it. Then it holds the single
pieces against 0.1.0 (``data/figures_0.1.0.csv``, and ``data/crates_0.1.0.jsonl``, what :mod:`tests.benchmarks.areas_of`
told of its crates): medians by kind, of the crates that passed before, are good now and are of the same kind.

Cost at area prices is that of sheet parts by their area at the price of one sheet, with washers; nothing is laid out.
"""

import argparse
import csv
import json
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from typing import Any, Final

from nesting.base.faults import FaultsFound
from nesting.crates.expand import expand
from nesting.crates.judge import Judge
from nesting.crates.model import Crate
from nesting.crates.weigh import piece_weight
from nesting.shop.shop import Shop
from pricing.output.job import read_both
from pricing.quoting.judging import judge_of
from tests.benchmarks.areas_of import areas_of
from tests.benchmarks.figures import read
from tests.generated_orders import KINDS, RECORDED
from tests.structure_geometry import geometry_faults
from tests.structure_verifier import faults_of

DATA: Final = Path(__file__).parent / "data"
JUDGED: Final = ("closed", "battened")
MONEY: Final = 100_000
"""Judged units in one of the currency."""
HEAD: Final = (
    "order", "crate", "method", "standing", "held_for", "key", "tare_kg", "screws", "batten_fixings", "fixing_minutes",
    "worst", "cost", "area_cost", "faults", "before", "tare_before", "batten_fixings_before", "minutes_before",
    "area_cost_before", "dearer_by", "required", "dearer_for",
)  # fmt: skip
GEAR: Final = ("skid", "skid block", "backing block", "lid ledge", "skid pad", "outrigger")
REQUIRED: Final = ("second layer", "bearing pad", "cleat", "washers", *GEAR)
"""What rules newly ask for: thread, no piece that spans more than 30 in between rows, holes clear of threads."""
DEEPER: Final = ("frame", "liner", "setting block", "corner block")
"""What a second layer of the cleats makes deeper or thicker."""

Row = dict[str, Any]


def cost_of(areas: Mapping[str, float], judge: Judge) -> dict[str, float]:
    """Return what sheet parts cost at area prices, by what they do."""
    found: dict[str, float] = defaultdict(float)
    for key, area in areas.items():
        does, _, good = key.partition("/")
        found[does] += area * judge.areas.get(good, 0) / MONEY
    return found


def row_of(order: str, crate: Crate, judge: Judge, faults: Sequence[str], shop: Shop) -> Row:
    """Return the figures of one crate."""
    costs = cost_of(areas_of(crate), judge)
    washers = sum(item.count for item in crate.piecework if item.good == shop.cleats.washer)
    costs["washers"] = washers * judge.each.get(shop.cleats.washer, 0) / MONEY
    work = {name: getattr(crate.work, f"{name}s") for name in ("hole", "screw", "staple", "glue_run")}
    worst = max((check.ratio or 0.0 for check in crate.checks if check.structure), default=0.0)
    return {
        "order": order,
        "crate": crate.crate,
        "method": crate.method,
        "standing": crate.standing,
        "held_for": "; ".join(reason.check for reason in crate.held_for),
        "key": crate.design.key if crate.design else "",
        "tare_kg": round(crate.tare_kg, 2),
        "screws": crate.work.screws,
        "batten_fixings": sum(fixing.count for fixing in crate.fixings if "batten" in fixing.purpose),
        "fixing_minutes": round(sum(judge.minutes.get(name, 0) * count for name, count in work.items()) / 1000, 1),
        "worst": round(worst, 3),
        "cost": crate.design.cost if crate.design else "",
        "area_cost": round(sum(costs.values()), 2),
        "faults": "; ".join(faults),
        "costs": costs,
    }


def worked(kinds: Sequence[str], most: int | None) -> Iterator[Row]:
    """Design order after order; one that is refused is a row that says why."""
    with TemporaryDirectory(prefix="designs-") as place:
        for kind in kinds:
            for seed in range(RECORDED[kind] if most is None else min(most, RECORDED[kind])):
                made = KINDS[kind](seed)
                order, office = read_both(made.write(Path(place)), None, None)
                judge, shop = judge_of(office), office.shop
                try:
                    crates = expand(order, shop, countries=office.countries, judge=judge)
                except FaultsFound as refused:
                    yield {"order": made.name, "standing": "refused", "held_for": refused.faults[0].message}
                    continue
                pieces = {piece.piece: piece for piece in order.copies()}
                for crate in crates:
                    if crate.method not in JUDGED:
                        continue
                    inside = [pieces[name] for name in crate.pieces]
                    kg = {piece.piece: piece_weight(piece, shop).kg for piece in inside}
                    faults = faults_of(crate, inside, kg, shop) + geometry_faults(crate, inside, shop)
                    yield row_of(made.name, crate, judge, faults, shop)


def held_against(row: Row, figures: Mapping[str, str], old: Row, judge: Judge) -> None:
    """Enter what 0.1.0 made of the same piece, where it passed and is of the same kind."""
    row["before"] = "failed" if old["failing"] else old["method"]
    if row["standing"] != "good" or row["before"] != row["method"]:
        return
    before = cost_of(old["areas"], judge)
    row["tare_before"] = old["tare_kg"]
    row["batten_fixings_before"] = int(figures["batten_fixings"])
    row["minutes_before"] = round(float(figures["fixing_hours"]) * 60, 1)
    row["area_cost_before"] = round(sum(before.values()), 2)
    by = {does: row["costs"].get(does, 0.0) - before.get(does, 0.0) for does in {*row["costs"], *before}}
    row["dearer_by"] = round(sum(by.values()), 2)
    row["required"] = round(sum(max(0.0, by.get(does, 0.0)) for does in REQUIRED), 2)
    if by.get("second layer"):
        row["required"] = round(row["required"] + sum(max(0.0, by.get(does, 0.0)) for does in DEEPER), 2)
    if row["dearer_by"] > 0:
        told = sorted(by.items(), key=lambda each: -abs(each[1]))
        row["dearer_for"] = "; ".join(f"{does} {cost:+.2f}" for does, cost in told if abs(cost) >= 0.01)


def tell(rows: Sequence[Row]) -> None:
    """Print medians by kind, the worst news first."""
    wrong = [row for row in rows if row.get("faults")]
    print(f"{len(wrong)} crates in which something does not come out again")
    for row in wrong[:10]:
        print(f"  {row['order']} {row['key']}: {row['faults'][:200]}")
    refused = [row for row in rows if row["standing"] == "refused"]
    print(f"{len(refused)} orders refused")
    for row in refused[:10]:
        print(f"  {row['order']}: {row['held_for'][:200]}")
    for method in JUDGED:
        mine = [row for row in rows if row.get("method") == method]
        single = [row for row in mine if row["order"].startswith("single")]
        held = [row for row in single if row["standing"] == "held"]
        why = Counter(row["held_for"] for row in held)
        print(f"{method}: {len(mine)} crates; of {len(single)} single pieces {len(held)} held: {why.most_common(6)}")
        newly = [row["order"] for row in held if row.get("before") == method]
        print(f"  held now and passed before: {len(newly)} {newly[:12]}")
        both = [row for row in mine if "tare_before" in row]
        if not both:
            continue
        print(f"  good now, passed before and of the same kind: {len(both)}")
        _medians(both)


def _medians(both: Sequence[Row]) -> None:
    """Print how crates of one kind compare with those of 0.1.0."""
    for name, now, before in (
        ("tare", "tare_kg", "tare_before"),
        ("batten fixings", "batten_fixings", "batten_fixings_before"),
        ("fixing minutes", "fixing_minutes", "minutes_before"),
        ("cost at area prices", "area_cost", "area_cost_before"),
    ):
        ratios = [float(row[now]) / float(row[before]) for row in both if float(row[before])]
        if ratios:
            print(f"  {name}: median {median(ratios):.3f}, from {min(ratios):.2f} to {max(ratios):.2f}")
    dearer = [row for row in both if row["dearer_by"] > 0.005]
    without = sorted((row for row in dearer if row["dearer_by"] > row["required"] + 0.02),
                     key=lambda row: row["required"] - row["dearer_by"])  # fmt: skip
    print(f"  dearer: {len(dearer)}, of these by more than newly required parts: {len(without)}")
    for row in without[:8]:
        told = f"{row['area_cost_before']} -> {row['area_cost']}, required {row['required']}"
        print(f"    {row['order']} {row['key']}: {told}: {row['dearer_for']}")


def main() -> None:
    """Record designs and compare them with 0.1.0."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.designs", description=__doc__)
    parser.add_argument("--out", type=Path, default=DATA / "designs_0.2.csv")
    parser.add_argument("--kinds", nargs="*", default=list(RECORDED))
    parser.add_argument("--most", type=int, help="no more orders than so many of each kind")
    asked = parser.parse_args()
    figures = read(DATA / "figures_0.1.0.csv")
    lines = (DATA / "crates_0.1.0.jsonl").read_text(encoding="utf-8").splitlines()
    old = {told["order"]: told for told in map(json.loads, lines)}
    with TemporaryDirectory(prefix="designs-") as place:
        _, office = read_both(KINDS["single"](0).write(Path(place)), None, None)
    judge = judge_of(office)
    rows = []
    with asked.out.open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, HEAD, restval="", extrasaction="ignore", lineterminator="\n")
        writer.writeheader()
        for row in worked(asked.kinds, asked.most):
            if row["order"] in old and "costs" in row:
                held_against(row, figures[row["order"]], old[row["order"]], judge)
            rows.append(row)
            writer.writerow(row)
    tell(rows)


if __name__ == "__main__":
    main()

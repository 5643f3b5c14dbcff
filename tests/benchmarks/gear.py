"""``python -m tests.benchmarks.gear`` fits out the crates of every recorded order, with gear and as before it.

It writes ``data/gear_0.2.csv``, a row for each crate that travels by itself: who lifts it, its handles, skids, bolts,
how it stands and up to which tilt, its weight and outside with gear and without, and what :mod:`tests.gear_verifier`
says. "Without" is the same order in the same shop whose rules of gear are those of before
(:data:`nesting.shop.former.BEFORE_GEAR`).
"""

import argparse
import csv
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from math import atan2, degrees
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from typing import Any, Final

from nesting.base.faults import FaultsFound
from nesting.base.measure import INCH
from nesting.crates.expand import expand
from nesting.crates.model import Crate
from nesting.shop.former import BEFORE_GEAR
from nesting.shop.shop import Shop
from pricing.output.job import read_both
from pricing.quoting.judging import judge_of
from tests.gear_verifier import gear_faults
from tests.generated_orders import KINDS, RECORDED

DATA: Final = Path(__file__).parent / "data"
HEAD: Final = (
    "order", "crate", "method", "standing", "held_for", "lift", "gross_lb", "handles", "skids", "bolts", "gel",
    "stands", "tilt", "gear_lb", "tare_lb", "tare_lb_without", "outside_in", "outside_in_without", "faults",
)  # fmt: skip

METHODS: Final = ("closed", "battened", "outer")
PALLET: Final = (40 * INCH, 11 * INCH // 2)
"""Narrower side and height of the common pallet, 48 x 40 x 5-1/2 in (common practice, no source)."""
A_FRAME: Final = 48 * INCH
"""Greatest depth of one."""
LB: Final = 0.45359237

Row = dict[str, Any]


def gross_lb(crate: Any) -> float:
    """Return what it weighs with its pieces."""
    return float(round(crate.net_kg, 1) + round(crate.tare_kg, 1)) / LB


def floor_of(crate: Any) -> int:
    """Return the height of the floor in the crate's own coordinates."""
    lowest: int = min([0, *(p.box.y for p in crate.placed)])
    return lowest


def tilt_of(crate: Any) -> float:
    """Return the tilt in degrees at which it falls, by itself or by what it is strapped to."""
    floor, centre = floor_of(crate), crate.centre
    high = centre[1] - floor
    if crate.stands == "pallet":
        return degrees(atan2(PALLET[0] / 2, high + PALLET[1]))
    if crate.stands == "A-frame":
        return degrees(atan2(A_FRAME / 2, high))
    on = [p.box for p in crate.placed if p.box.y == floor]
    found = []
    for at, low, by in ((centre[2], "z", "dz"), (centre[0], "x", "dx")):
        least = min(getattr(b, low) for b in on)
        most = max(getattr(b, low) + getattr(b, by) for b in on)
        found.append(degrees(atan2(min(at - least, most - at), high)))
    return min(found)


def _inches(crate: Crate) -> str:
    size = crate.outside
    return " x ".join(f"{value / INCH:.2f}" for value in (size.width, size.height, size.depth))


def _skids(crate: Crate) -> int:
    """Count skids, plies side by side as one."""
    ends = sorted({(each.box.x, each.box.x + each.box.dx) for each in crate.placed if each.role == "skid"})
    return sum(not number or start > ends[number - 1][1] for number, (start, _) in enumerate(ends))


def row_of(order: str, crate: Crate, before: Crate | None, shop: Shop) -> Row:
    """Return the figures of one crate."""
    tare = crate.tare_kg / LB
    without = before.tare_kg / LB if before else None
    return {
        "order": order,
        "crate": crate.crate,
        "method": crate.method,
        "standing": crate.standing,
        "held_for": "; ".join(reason.check for reason in crate.held_for),
        "lift": crate.lift,
        "gross_lb": round(gross_lb(crate), 1),
        "handles": sum(each.role == "handle" for each in crate.gear),
        "skids": _skids(crate),
        "bolts": len(crate.bolts),
        "gel": sum(each.role == "gel" for each in crate.gear),
        "stands": crate.stands,
        "tilt": round(tilt_of(crate), 1) if crate.method in METHODS else "",
        "gear_lb": round(tare - without, 1) if without is not None else "",
        "tare_lb": round(tare, 1),
        "tare_lb_without": round(without, 1) if without is not None else "",
        "outside_in": _inches(crate),
        "outside_in_without": _inches(before) if before else "",
        "faults": "; ".join(gear_faults(crate, shop)) if crate.method in METHODS[:2] else "",
    }


def worked(kinds: Sequence[str], most: int | None) -> Iterator[Row]:
    """Fit out order after order; one that is refused is a row that says why."""
    with TemporaryDirectory(prefix="gear-") as place:
        for kind in kinds:
            for seed in range(RECORDED[kind] if most is None else min(most, RECORDED[kind])):
                made = KINDS[kind](seed)
                order, office = read_both(made.write(Path(place)), None, None)
                judge, shop = judge_of(office), office.shop
                try:
                    crates, plain = (
                        expand(order, each, countries=office.countries, judge=judge)
                        for each in (shop, replace(shop, gear=BEFORE_GEAR))
                    )
                except FaultsFound as refused:
                    yield {"order": made.name, "standing": "refused", "held_for": refused.faults[0].message}
                    continue
                same = {(crate.method, crate.pieces): crate for crate in plain}
                for crate in crates:
                    if not crate.inside_of:
                        yield row_of(made.name, crate, same.get((crate.method, crate.pieces)), shop)


def tell(rows: Sequence[Row]) -> None:
    """Print what came out, the worst news first."""
    wrong = [row for row in rows if row.get("faults")]
    print(f"{len(wrong)} crates whose gear does not come out again")
    for row in wrong[:20]:
        print(f"  {row['order']} {row['crate']} {row['method']}: {row['faults'][:200]}")
    refused = [row for row in rows if row["standing"] == "refused"]
    print(f"{len(refused)} orders refused")
    for row in refused[:10]:
        print(f"  {row['order']}: {row['held_for'][:200]}")
    for method in ("closed", "battened", "outer"):
        mine = [row for row in rows if row.get("method") == method]
        if not mine:
            continue
        for name in ("standing", "lift", "stands"):
            print(f"{method}, {name}: {dict(Counter(row[name] or 'not said' for row in mine))}")
        print(f"{method}, held for: {Counter(row['held_for'] for row in mine if row['held_for']).most_common(5)}")
        forks = [row for row in mine if row["lift"] == "forks" and row["standing"] == "good"]
        told = dict(Counter((row["skids"], row["stands"]) for row in forks))
        print(f"{method}, good and for forks: {len(forks)}; skids and how they stand: {told}")
        more = sorted(row["gear_lb"] for row in mine if row["gear_lb"] != "")
        if more:
            print(f"{method}, gear weighs {median(more):.1f} lb in the median, up to {more[-1]:.1f}")


def main() -> None:
    """Fit out and record."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.gear", description=__doc__)
    parser.add_argument("--out", type=Path, default=DATA / "gear_0.2.csv")
    parser.add_argument("--kinds", nargs="*", default=list(RECORDED))
    parser.add_argument("--most", type=int, help="no more orders than so many of each kind")
    asked = parser.parse_args()
    rows = list(worked(asked.kinds, asked.most))
    with asked.out.open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, HEAD, restval="", lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)
    tell(rows)


if __name__ == "__main__":
    main()

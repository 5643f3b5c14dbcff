"""``python tests/benchmarks/areas_of.py FOLDER`` tells what the closed and battened crates of order files are made of.

It runs on this version and, with ``PYTHONPATH`` at a checkout of it, on 0.1.0: what it asks both answer. One line of
JSON an order: kind, tare, and square metres by what a part does and what it is of.
"""

import json
import sys
from collections import defaultdict
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from typing import Any, Final

M2: Final = 8_000_000**2
"""Square grid units in a square metre."""
FRAME: Final = ("rail", "stile", "gusset", "corner block")


def shop() -> Any:
    """Return the built-in shop, wherever this version keeps it."""
    kept = "nesting.shop.shop_file" if find_spec("nesting.shop").submodule_search_locations else "nesting.shop_file"  # type: ignore[union-attr]  # both versions have it
    return import_module(kept).default_shop()


def areas_of(crate: Any) -> dict[str, float]:
    """Return square metres of a crate's sheet parts, by what they do and what they are of: ``back/ply-3/8``."""
    goods = {part.name: part.good for part in crate.parts}
    rails = min((p.box.z for p in crate.placed if p.role == "rail"), default=0)
    found: dict[str, float] = defaultdict(float)
    for placed in crate.placed:
        box, does = placed.box, placed.role
        if placed.part not in goods:
            continue
        if does in ("batten", "seam batten"):
            does = "back batten" if box.z < rails else "lid batten"
        elif does == "cleat" and "-layer" in placed.part:
            does = "second layer"
        elif does in FRAME:
            does = "frame"
        sides = sorted((box.dx, box.dy, box.dz))
        found[f"{does}/{goods[placed.part]}"] += sides[1] * sides[2] / M2
    return {key: round(area, 5) for key, area in sorted(found.items())}


def main(folder: Path) -> None:
    """Expand every order of a folder."""
    read_order = import_module("nesting.intake").read_order
    expand = import_module("nesting.crates.expand").expand
    faults_found = next(
        error
        for name in ("nesting.base.faults", "nesting.faults")
        if find_spec(name.rpartition(".")[0]) is not None and find_spec(name) is not None
        for error in [import_module(name).FaultsFound]
    )
    stock = shop()
    for file in sorted(folder.glob("*-*.csv")):
        try:
            crates = expand(read_order(file), stock)
        except faults_found:
            continue
        for crate in crates:
            if crate.method in ("closed", "battened"):
                told = {
                    "order": file.stem,
                    "crate": crate.crate,
                    "method": crate.method,
                    "failing": sum(check.verdict == "fails" for check in crate.checks),
                    "tare_kg": round(crate.tare_kg, 2),
                    "areas": areas_of(crate),
                }
                print(json.dumps(told), flush=True)


if __name__ == "__main__":
    main(Path(sys.argv[1]))

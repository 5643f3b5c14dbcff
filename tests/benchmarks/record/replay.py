"""Replay written layouts with nothing but arithmetic: ``python -m tests.benchmarks.record.replay FILE ...``."""

import json
import sys
from collections import Counter
from pathlib import Path
from typing import Any


def replayed(written: dict[str, Any]) -> int:
    """Cut a layout as it is written down; returns its number of sheets.

    Raises
    ------
    ValueError
        When a cut, a part, a place or a count is wrong.
    """
    sizes = {each["part"]: tuple(each["size"]) for each in written["wanted"]}
    kept: Counter[str] = Counter()
    for sheet in written["sheets"]:
        places = {(p["part"], p["x"], p["y"], p["length"], p["width"]) for p in sheet["parts"]}
        if _cut(sheet["cuts"], written["sheet"], sizes, kept) != places:
            raise ValueError("parts lie elsewhere")
    if kept != Counter({each["part"]: each["count"] for each in written["wanted"]}):
        raise ValueError("there are too many or too few parts")
    return len(written["sheets"])


def _cut(
    cuts: list[list[Any]], sheet: list[int], sizes: dict[str, tuple[int, ...]], kept: Counter[str]
) -> set[tuple[Any, ...]]:
    """Cut one sheet, count its parts, and return where they lay."""
    pile = [(0, 0, sheet[0], sheet[1])]
    found = set()
    for kind, *how in cuts:
        x, y, length, width = pile.pop()
        if kind == "keep":
            if (length, width) not in (sizes[how[0]], sizes[how[0]][::-1]):
                raise ValueError(f"{how[0]} is {length} x {width}")
            kept[how[0]] += 1
            found.add((how[0], x, y, length, width))
        elif kind == "cross" and 0 < how[0] <= length:
            pile += [(x + how[0], y, length - how[0], width), (x, y, how[0], width)]
        elif kind == "rip" and 0 < how[0] <= width:
            pile += [(x, y + how[0], length, width - how[0]), (x, y, length, how[0])]
        elif kind != "drop":
            raise ValueError(f"{kind} {how} of {length} x {width}")
    if pile:
        raise ValueError("pieces are left")
    return found


if __name__ == "__main__":
    for name in sys.argv[1:]:
        print(name, replayed(json.loads(Path(name).read_text(encoding="utf-8"))))

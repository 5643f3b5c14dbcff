"""rectpack's guillotine packers, every variant and sort, without merging free rectangles: what they need at best.

With merging, which is their default, some of their layouts cannot be cut from edge to edge, so it is off here.
"""

import csv
from functools import partial
from pathlib import Path
from typing import Any

import rectpack
from rectpack import guillotine

from nesting.cutting.parts import Part
from nesting.cutting.sheets import Sheet

RECORDED = Path(__file__).with_name("rectpack.csv")

RULES = ("Bssf", "Blsf", "Baf")
SPLITS = ("Sas", "Las", "Slas", "Llas", "Maxas", "Minas")
SORTS = (
    rectpack.SORT_AREA,
    rectpack.SORT_PERI,
    rectpack.SORT_DIFF,
    rectpack.SORT_SSIDE,
    rectpack.SORT_LSIDE,
    rectpack.SORT_RATIO,
    rectpack.SORT_NONE,
)
WAYS = (rectpack.PackingBin.BFF, rectpack.PackingBin.BBF)


def fewest(parts: tuple[Part, ...], sheet: Sheet, *, enough: int = 0) -> int:
    """Fewest sheets over all variants; stops as soon as `enough` is reached."""
    best = sum(part.count for part in parts)
    for rule in RULES:
        for split in SPLITS:
            algorithm: Any = partial(getattr(guillotine, f"Guillotine{rule}{split}"), merge=False)
            for sort in SORTS:
                for way in WAYS:
                    packer = rectpack.newPacker(
                        mode=rectpack.PackingMode.Offline,
                        bin_algo=way,
                        pack_algo=algorithm,
                        sort_algo=sort,
                        rotation=True,
                    )
                    for part in parts:
                        for _ in range(part.count):
                            packer.add_rect(part.length, part.width)
                    packer.add_bin(sheet.length, sheet.width, count=float("inf"))
                    packer.pack()
                    if len(packer.rect_list()) == sum(part.count for part in parts):
                        best = min(best, len(packer))
                    if best <= enough:
                        return best
    return best


def recorded() -> dict[str, int]:
    """Read the results of the last full run, by instance."""
    if not RECORDED.exists():
        return {}
    with RECORDED.open(newline="", encoding="utf-8") as file:
        return {row["instance"]: int(row["sheets"]) for row in csv.DictReader(file)}

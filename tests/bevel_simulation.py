"""Blanks ripped in two with the blade tilted, worked out from their section alone: both halves must be alike.

A tilted blade leaves each half a short face and a long one, a thickness longer at 45 degrees; it eats its kerf aslant.
See :mod:`tests.saw_simulation` for the square cuts before.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from math import sqrt
from typing import Any, Final

from tests.saw_simulation import Limits, inches_of

NEAR: Final = 4
"""How far halves may differ by rounding, in units of the grid."""


def bevel_faults(
    settings: Iterable[Any], blanks: Mapping[str, Any], thickness: int, kerf: int, limits: Limits
) -> list[str]:
    """Carry bevel rips out, and hold the blanks that are ripped against those of the cut list."""
    faults = []
    ripped = Counter[str]()
    seen = set[int]()
    for setting in settings:
        wrong = [] if setting.bevel == 45 else [f"a blade tilted by {setting.bevel} degrees"]
        if setting.at in seen:
            wrong.append("the fence stood there before")
        seen.add(setting.at)
        if setting.passes != sum(cut.repeat for cut in setting.cuts):
            wrong.append(f"{setting.passes} passes told")
        for cut in setting.cuts:
            blank = blanks.get(cut.panel)
            if blank is None:
                wrong.append(f"{cut.panel} is no blank")
                continue
            ripped[cut.panel] += cut.repeat
            wrong += (f"{cut.panel}: {each}" for each in _rip(setting, cut, blank, (thickness, kerf), limits))
        if wrong:
            faults.append(f"bevel at {inches_of(setting.at)}: {'; '.join(wrong)}")
    wanted = Counter({name: blank.count for name, blank in blanks.items()})
    faults += [
        f"{ripped[name]} of blank {name} ripped, of {wanted[name]}" for name in wanted if ripped[name] != wanted[name]
    ]
    return faults


def _rip(setting: Any, cut: Any, blank: Any, section: tuple[int, int], limits: Limits) -> Iterator[str]:
    """Yield what is wrong with one rip of a blank."""
    thickness, kerf = section
    if (cut.along, cut.across) != (blank.length, blank.width):
        yield f"told {inches_of(cut.along)} x {inches_of(cut.across)}"
    long = blank.width - setting.at - kerf * sqrt(2)
    if abs(long - setting.at - thickness) > NEAR:
        yield f"one half is {inches_of(setting.at + thickness)} at its long face, the other {inches_of(long)}"
    if setting.tool == "none":
        yield "no tool"
    # A short blank is ripped while it still hangs together with others, and the page must say so.
    if cut.along < limits.along_fence and "strip" not in setting.reason:
        yield f"{inches_of(cut.along)} along the fence"
    if setting.tool == "table":
        if not limits.narrowest <= setting.at <= limits.rip:
            yield f"{inches_of(setting.at)} between fence and blade"
        if setting.with_block is not (setting.at < limits.push_below):
            yield "push block"
    if setting.tool not in ("table", "track", "none"):
        yield f"{setting.tool} rips no bevel"

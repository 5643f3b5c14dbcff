"""The table of a crate's handling marks: which, how large, and where on each side; with the sides drawn."""

from collections.abc import Sequence

from nesting.base.measure import MM
from nesting.crates.driving import listed
from nesting.crates.handling import FORKS, LIFT
from nesting.crates.model import Crate
from nesting.drawings.mark_sides import sides_scene
from nesting.drawings.marking import GRAVITY, GROSS, SIDES, Mark, Side, marks_of, nearest, sides_of
from nesting.drawings.marks import NAMES
from nesting.drawings.packet.page import Column, Flow
from nesting.drawings.packet.printing import Printing

_HIGH = 78.0
_ABOUT = "After ISO 780, drawn by us from memory; {} the shop's own."
_BODY = " Places are on the side without skids."


def marks_table(flow: Flow, printing: Printing, crate: Crate, *, drawn: bool) -> None:
    """Write the table, and draw the four sides where that is wanted; nothing for a crate without marks."""
    marks = marks_of(crate)
    if not crate.marks:
        return
    flow.heading(f"Handling marks: which, how large, where (in {printing.unit})", keep=90)
    if drawn:
        scene = sides_scene(crate, flow.width, min(_HIGH, flow.room * 0.5), printing.shop_units)
        if scene is not None:
            flow.drawing(scene, after=4)
    sides = sides_of(crate)
    rows = [
        [NAMES.get(name, name.capitalize()), _sizes(mine), _where(printing, crate, name, mine, sides)]
        for name in (*dict.fromkeys(crate.marks), GROSS)
        if (mine := [mark for mark in marks if mark.name == name])
    ]
    flow.table(
        [
            Column("mark", 1.1, bold=True),
            Column("size", 0.8),
            Column("where: from the left, from the top", 4.4),
        ],
        rows,
        size=8,
    )
    bare = [side.name for side in sides if not any(mark.side == side.name for mark in marks)]
    if bare:
        flow.paragraph(f"Too small for marks: {', '.join(bare)}.", size=8, after=2)
    own = [NAMES[name] for name in (FORKS, LIFT) if name in crate.marks]
    stands = any(each.role.startswith("skid") for each in crate.placed)
    about = _ABOUT.format(f"{listed([*own, 'the weight'])} {'are' if own else 'is'}")
    flow.paragraph(about + (_BODY if stands else ""), size=8)


def _sizes(marks: Sequence[Mark]) -> str:
    """Return the sizes of a mark, the largest first."""
    sizes = sorted({mark.size // MM for mark in marks}, reverse=True)
    return f"{', '.join(map(str, sizes))} mm"


def _where(printing: Printing, crate: Crate, name: str, marks: Sequence[Mark], sides: Sequence[Side]) -> str:
    """Say where a mark goes, side by side, those alike together."""
    by_name = {side.name: side for side in sides}
    told: dict[str, list[str]] = {}
    for mark in marks:
        told.setdefault(_place(printing, name, mark, by_name[mark.side]), []).append(mark.side)
    parts = []
    for place, names in told.items():
        which = list(dict.fromkeys(names))
        on = "all four sides" if len(which) == len(SIDES) else listed(which)
        parts.append(f"{on} {place}")
    if name == GRAVITY and (bare := [side.name for side in sides if side.name not in {mark.side for mark in marks}]):
        parts.append(f"none on {listed(bare)}, where a handle covers its place")
    text = "; ".join(parts)
    return f"{printing.gross(crate.gross_kg)}. {text}" if name == GROSS else text


def _place(printing: Printing, name: str, mark: Mark, side: Side) -> str:
    """Say where a mark is on a side."""

    def told(value: int) -> str:
        return printing.length(nearest(value) if printing.units == "inch" else value)

    if name == GRAVITY:
        x, y = side.centre
        if abs(mark.x + mark.size // 2 - x) > 1:
            return f"beside the handle, at its height: {told(y)} up"
        behind = {"left side": x, "right side": side.width - x}.get(side.name)
        back = f" ({told(behind)} from the back)" if side.name == "right side" and behind is not None else ""
        return f"its middle {told(x)} from the left{back}, {told(y)} up"
    if name == LIFT:
        return "above each handle"
    if name == FORKS:
        return f"at the lower edge, its middle {told(mark.x + mark.size // 2)} from the left, between the skids"
    return f"{told(mark.x)}, {told(side.height - mark.y - mark.size)}"

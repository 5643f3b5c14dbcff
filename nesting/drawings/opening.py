"""The view that shows a gallery which side of a crate opens: the crate as it stands, that side drawn apart."""

from nesting.crates.model import Crate
from nesting.crates.opening import Side
from nesting.crates.registry import method_of
from nesting.drawings.explode import solid_of
from nesting.drawings.scene import POINT, Arrow, Item, Line, Pen, Scene
from nesting.drawings.sheet import fitting_scale
from nesting.drawings.solid import View, visible_lines

_APART = 0.42
"""How far the side is drawn off, as a part of the crate's longest measure."""
_LINE = Pen(0.6)
_ARROW = Pen(1.6)


def opening_side(crate: Crate) -> Side | None:
    """Return which way a crate opens, and the indices in ``placed`` of what comes off, by its method.

    Returns
    -------
    tuple or None
        None where no side is known to come off, or where nothing is placed.
    """
    return method_of(crate).opens(crate.placed)


def opening_scene(crate: Crate, room_width: float, room_height: float) -> Scene | None:
    """Draw a crate as it stands, with the side that opens drawn off and an arrow where it goes.

    Parameters
    ----------
    crate : Crate
        With its parts placed.
    room_width, room_height : float
        What the drawing may take on paper, in points.

    Returns
    -------
    Scene or None
        None where no side is known to open.
    """
    found = opening_side(crate)
    if found is None:
        return None
    (dx, dy, dz), off = found
    view = View()
    longest = max(crate.outside.width, crate.outside.height, crate.outside.depth)
    apart = _APART * longest
    solids = [solid_of(each) for each in crate.placed]
    solids = [
        solid.moved(dx * apart, dy * apart, dz * apart) if index in off else solid for index, solid in enumerate(solids)
    ]
    corners = [view.flat(corner) for solid in solids for corner in solid.corners]
    left, low = min(p[0] for p in corners), min(p[1] for p in corners)
    width, height = max(p[0] for p in corners) - left, max(p[1] for p in corners) - low
    scale = fitting_scale(width, height, (room_width - 8) * POINT, (room_height - 8) * POINT)
    unit = POINT * scale
    edge = 4 * unit

    def at(point: tuple[float, float]) -> tuple[float, float]:
        return point[0] - left + edge, point[1] - low + edge

    items: list[Item] = [Line(at(a), at(b), _LINE) for _, a, b in visible_lines(solids, view, slack=0.05 * unit)]
    mean = [sum(solids[i].centre[axis] for i in off) / len(off) for axis in range(3)]
    start = (mean[0] - dx * apart * 0.55, mean[1], mean[2] - dz * apart * 0.55)
    end = (mean[0] - dx * apart * 0.12, mean[1], mean[2] - dz * apart * 0.12)
    items.append(Arrow(at(view.flat(start)), at(view.flat(end)), _ARROW))
    return Scene(width + 2 * edge, height + 2 * edge, tuple(items), scale, f"{crate.crate}, the side that opens")

"""Sheet layouts as DXF for a studio with a router: sheet, parts, offcuts, holes and names on a layer each.

Model space is in inches or in millimetres, 1:1, origin at the sheet's lower left corner, and the header says which. The
outlines are what remains after cutting, so that a kerf's width lies between neighbours. The release is that of the year
2000 (AC1015), the first whose header has the unit and which every reader of the last twenty years takes.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from io import StringIO
from typing import Any, Final

from ezdxf import options  # type: ignore[attr-defined]  # documented, though not in __all__
from ezdxf.document import Drawing
from ezdxf.enums import TextEntityAlignment

from nesting.base.measure import INCH, MM, UnitSystem
from nesting.drawings.layers import CUTS, DRILL, LAYERS, NAMES, OFFCUTS, SHEET
from nesting.drawings.scene import POINT, Circle, Polygon, Scene, Text

_RELEASE: Final = "R2000"
_UNIT: Final[dict[UnitSystem, tuple[int, int, int]]] = {"inch": (INCH, 1, 0), "metric": (MM, 4, 1)}
"""Grid lines in a drawing unit; its number in $INSUNITS; English or metric in $MEASUREMENT."""
_COLOURS: Final = {SHEET: 8, CUTS: 7, OFFCUTS: 3, DRILL: 1, NAMES: 5}
"""Of the index that the format has: grey, black on white, green, red, blue."""
_PLACES: Final = 9


def to_dxf(scene: Scene, units: UnitSystem) -> bytes:
    """Return a scene of scale 1:1 as a DXF file.

    Parameters
    ----------
    scene : Scene
        Its polygons, circles and texts on the layers of :mod:`nesting.drawings.layers` are written, in its own
        coordinates. At a circle stand a point and a circle of its width.
    units : {"inch", "metric"}
        What a drawing unit is: an inch or a millimetre.
    """
    with _no_clock():
        return _written(scene, units)


@contextmanager
def _no_clock() -> Iterator[None]:
    """Have the library write the same bytes for the same drawing: neither the time nor a random identity."""
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def _written(scene: Scene, units: UnitSystem) -> bytes:
    unit, insert, measurement = _UNIT[units]
    document = Drawing.new(_RELEASE)
    for name, colour in _COLOURS.items():
        document.layers.add(name, color=colour)
    space = document.modelspace()

    def at(x: float, y: float) -> tuple[float, float]:
        return round(x / unit, _PLACES), round(y / unit, _PLACES)

    ends: list[tuple[float, float]] = []
    for item in scene.items:
        layer: dict[str, Any] = {"layer": item.layer}
        if isinstance(item, Polygon) and item.layer in LAYERS:
            outline = [at(*point) for point in item.points]
            space.add_lwpolyline(outline, close=True, dxfattribs=layer)
            ends += outline
        elif isinstance(item, Circle) and item.layer in LAYERS:
            space.add_circle(at(*item.centre), round(item.radius * POINT / unit, _PLACES), dxfattribs=layer)
            space.add_point(at(*item.centre), dxfattribs=layer)
        elif isinstance(item, Text) and item.layer in LAYERS:
            height, turn = item.size * POINT / unit, 90.0 if item.turned else 0.0
            text = space.add_text(item.text, height=height, rotation=turn, dxfattribs=layer)
            text.set_placement(at(*item.at), align=TextEntityAlignment.MIDDLE_CENTER)
    low, high = (tuple(pick(values) for values in zip(*ends, strict=True)) for pick in (min, max))
    space.reset_extents((*low, 0), (*high, 0))
    # The library takes a corner at the origin for none, and leaves the header without extents.
    document.header["$EXTMIN"], document.header["$EXTMAX"] = (*low, 0), (*high, 0)
    space.reset_limits(low, high)
    document.header["$INSUNITS"], document.header["$MEASUREMENT"] = insert, measurement
    document.header["$LUNITS"] = 2  # decimal: no reader shows feet where the file says inches
    stream = StringIO()
    document.write(stream)
    return document.encode(stream.getvalue())

"""Sheet layouts as DXF R12 for a studio with a router: the outlines of the pieces on one layer, names on another.

Model space is in inches or in millimetres, 1:1, origin at the sheet's lower left corner. The outlines are what remains
after cutting, so that a kerf's width lies between neighbours.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from io import StringIO

from ezdxf import options  # type: ignore[attr-defined]  # documented, though not in __all__
from ezdxf.document import Drawing
from ezdxf.enums import TextEntityAlignment

from nesting.base.measure import INCH, MM, UnitSystem
from nesting.drawings.layers import CUTS, NAMES
from nesting.drawings.scene import POINT, Polygon, Scene, Text


def to_dxf(scene: Scene, units: UnitSystem) -> str:
    """Return the outlines and names of a scene of scale 1:1 as a DXF R12 document.

    Parameters
    ----------
    scene : Scene
        Its polygons on the layer ``CUTS`` and its texts on the layer ``NAMES`` are written, in its own coordinates.
    units : {"inch", "metric"}
        What a drawing unit is: an inch or a millimetre.
    """
    unit = INCH if units == "inch" else MM
    with _no_clock():
        return _written(scene, unit)


@contextmanager
def _no_clock() -> Iterator[None]:
    """Have the library write the same bytes for the same drawing: neither the time nor a random identity."""
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def _written(scene: Scene, unit: int) -> str:
    # Not through ezdxf.new, which warns that R12 cannot say its units: the file's reader is told by its name.
    document = Drawing.new("R12")
    for layer in (CUTS, NAMES):
        document.layers.add(layer)
    space = document.modelspace()
    for item in scene.items:
        if isinstance(item, Polygon) and item.layer == CUTS:
            space.add_polyline2d([(x / unit, y / unit) for x, y in item.points], close=True, dxfattribs={"layer": CUTS})
        elif isinstance(item, Text) and item.layer == NAMES:
            text = space.add_text(
                item.text,
                height=item.size * POINT / unit,
                rotation=90.0 if item.turned else 0.0,
                dxfattribs={"layer": NAMES},
            )
            text.set_placement((item.at[0] / unit, item.at[1] / unit), align=TextEntityAlignment.MIDDLE_CENTER)
    stream = StringIO()
    document.write(stream)
    return stream.getvalue()

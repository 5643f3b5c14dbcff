"""DXF R12, read back with the library: the same rectangles, on two layers, and the same bytes each time."""

from collections import Counter
from io import StringIO
from typing import Any

import ezdxf
import pytest

from nesting.base.measure import INCH, MM, UnitSystem
from nesting.cutting.sawing.panels import panels
from nesting.cutting.sheets import Offcut, SheetLayout
from nesting.drawings.dxf import to_dxf
from nesting.drawings.sheet import router_scene
from tests.nesting.drawings.cut_trees import random_layout

KERF = INCH // 8


def expected(layout: SheetLayout) -> Counter[tuple[str, int, int, int, int]]:
    """Return parts and offcuts by the optimiser's own walk: name, corner, size."""
    found = Counter[tuple[str, int, int, int, int]]()
    for x, y, dx, dy, node in layout.pieces(KERF):
        if min(dx, dy) > 0 and (hasattr(node, "part") or isinstance(node, Offcut)):
            found[getattr(node, "part", "offcut"), x, y, dx, dy] += 1
    return found


def read(text: str) -> Any:
    return ezdxf.read(StringIO(text))  # type: ignore[attr-defined]  # exported by name, which mypy does not see


@pytest.mark.parametrize("seed", range(10))
@pytest.mark.parametrize("units", ["inch", "metric"])
def test_the_rectangles_come_back(seed: int, units: UnitSystem) -> None:
    layout = random_layout(seed)
    document = read(to_dxf(router_scene(layout, KERF), units))
    unit = INCH if units == "inch" else MM
    assert document.dxfversion == "AC1009"  # R12
    space = document.modelspace()
    names = {}
    for text in space.query("TEXT"):
        assert text.dxf.layer == "NAMES"
        names[round(text.dxf.align_point.x * unit), round(text.dxf.align_point.y * unit)] = text.dxf.text
    found = Counter[tuple[str, int, int, int, int]]()
    for outline in space.query("POLYLINE"):
        assert outline.dxf.layer == "CUTS"
        assert outline.is_closed
        points = [(round(v.dxf.location.x * unit), round(v.dxf.location.y * unit)) for v in outline.vertices]
        xs, ys = sorted({p[0] for p in points}), sorted({p[1] for p in points})
        assert len(points) == 4
        assert len(xs) == len(ys) == 2
        name = next(word for (x, y), word in names.items() if xs[0] <= x <= xs[1] and ys[0] <= y <= ys[1])
        found[name, xs[0], ys[0], xs[1] - xs[0], ys[1] - ys[0]] += 1
    assert found == expected(layout)
    assert not document.audit().errors


def test_panels_agree_with_the_optimisers_walk() -> None:
    for seed in range(40):
        layout = random_layout(seed)
        mine = Counter(
            (leaf.name, leaf.x, leaf.y, leaf.dx, leaf.dy)
            for leaf in panels(layout.sheet, layout.cuts, KERF).leaves()
            if leaf.name != "waste" and min(leaf.dx, leaf.dy) > 0
        )
        assert mine == expected(layout)


def test_the_same_drawing_gives_the_same_bytes() -> None:
    scene = router_scene(random_layout(2), KERF)
    assert to_dxf(scene, "inch") == to_dxf(scene, "inch")

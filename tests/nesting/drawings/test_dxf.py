"""DXF, read back by two other readers and measured: units, extents, each thing on its layer, holes where they are.

What header variables mean: DXF Reference, section HEADER: $INSUNITS (1 inches, 4 millimetres), $MEASUREMENT (0 English,
1 metric), $EXTMIN and $EXTMAX (corners of the drawing's extents). Group codes: same, "Group codes in numerical order".
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from io import BytesIO, StringIO
from typing import Any

import ezdxf
import pytest
from ezdxf import recover
from trimesh.path.exchange.dxf import load_dxf

from nesting.base.measure import INCH, MM, UnitSystem
from nesting.build import Build
from nesting.crates.model import Crate
from nesting.cutting.sawing.panels import panels
from nesting.cutting.sheets import Offcut, SheetLayout
from nesting.drawings.dxf import to_dxf
from nesting.drawings.layers import LAYERS
from nesting.drawings.router import Bored, Hole, bored, router_scene
from nesting.drawings.scene import Text
from pricing.output.handover import build_document
from tests.nesting.drawings.builds import random_builds
from tests.nesting.drawings.cut_trees import random_layout

KERF = INCH // 8
Found = Counter[tuple[str, int, int, int, int]]


def expected(layout: SheetLayout) -> Found:
    """Return parts and offcuts by the optimiser's own walk: name, corner, size."""
    found = Found()
    for x, y, dx, dy, node in layout.pieces(KERF):
        if min(dx, dy) > 0 and (hasattr(node, "part") or isinstance(node, Offcut)):
            found[getattr(node, "part", "offcut"), x, y, dx, dy] += 1
    return found


def read(data: bytes) -> Any:
    return ezdxf.read(StringIO(data.decode("cp1252")))  # type: ignore[attr-defined]  # exported by name


def loaded(data: bytes) -> dict[str, Any]:
    """Return what trimesh makes of a file."""
    made: dict[str, Any] = load_dxf(BytesIO(data))  # type: ignore[no-untyped-call]  # its reader has no types
    return made


def second(data: bytes) -> dict[str, list[tuple[float, float, float, float]]]:
    """Read with trimesh, which has a parser of its own: corner and extents of the outlines and circles by layer."""
    drawing = loaded(data)
    found: dict[str, list[tuple[float, float, float, float]]] = {}
    for entity in drawing["entities"]:
        if type(entity).__name__ == "Text":
            continue
        points = drawing["vertices"][entity.points]
        low, high = points.min(axis=0), points.max(axis=0)
        if type(entity).__name__ == "Arc":  # a circle comes as its right, its upper and its left point
            low = low - (0, points[1][1] - points[0][1])
        found.setdefault(str(entity.layer), []).append((low[0], low[1], high[0] - low[0], high[1] - low[1]))
    return found


def header(data: bytes) -> dict[str, tuple[float | str, ...]]:
    """Read the header by its group codes alone: pairs of lines, a code and a value; 9 names a variable."""
    lines = data.decode("cp1252").splitlines()
    pairs = [(int(code), value.strip()) for code, value in zip(lines[::2], lines[1::2], strict=True)]
    found: dict[str, tuple[float | str, ...]] = {}
    name = ""
    for code, value in pairs[: pairs.index((0, "ENDSEC"))]:
        if code == 9:
            name = value
        elif name:
            found[name] = (*found.get(name, ()), float(value) if 10 <= code <= 79 else value)
    return found


def squared(points: list[tuple[int, int]]) -> tuple[int, int, int, int]:
    """Return corner and extents of an upright rectangle's corners."""
    xs, ys = sorted({p[0] for p in points}), sorted({p[1] for p in points})
    assert (len(points), len(xs), len(ys)) == (4, 2, 2)
    return xs[0], ys[0], xs[1] - xs[0], ys[1] - ys[0]


@pytest.mark.parametrize("seed", range(10))
@pytest.mark.parametrize("units", ["inch", "metric"])
def test_the_rectangles_come_back(seed: int, units: UnitSystem) -> None:
    layout = random_layout(seed)
    document = read(to_dxf(router_scene(layout, KERF), units))
    unit = INCH if units == "inch" else MM
    space = document.modelspace()
    names = {}
    for text in space.query("TEXT"):
        assert text.dxf.layer == "NAMES"
        names[round(text.dxf.align_point.x * unit), round(text.dxf.align_point.y * unit)] = text.dxf.text
    found = Found()
    sheets: list[tuple[int, int, int, int]] = []
    for outline in space.query("LWPOLYLINE"):
        assert outline.closed
        at = squared([(round(x * unit), round(y * unit)) for x, y, *_ in outline.get_points()])
        if outline.dxf.layer == "SHEET":
            sheets.append(at)
            continue
        name = next(
            word for (x, y), word in names.items() if at[0] <= x <= at[0] + at[2] and at[1] <= y <= at[1] + at[3]
        )
        assert outline.dxf.layer == ("OFFCUTS" if name == "offcut" else "CUTS")
        found[name, *at] += 1
    assert found == expected(layout)
    assert sheets == [(0, 0, layout.sheet.length, layout.sheet.width)]
    assert not document.audit().errors
    assert {layer.dxf.name for layer in document.layers} >= set(LAYERS)


@pytest.mark.parametrize(("units", "insert", "measurement", "unit"), [("inch", 1, 0, INCH), ("metric", 4, 1, MM)])
def test_the_header_has_the_unit_and_the_extents_of_the_sheet(
    units: UnitSystem, insert: int, measurement: int, unit: int
) -> None:
    layout = random_layout(4)
    said = header(to_dxf(router_scene(layout, KERF), units))
    assert said["$ACADVER"] == ("AC1015",), "the release of 2000 is the first that has $INSUNITS"
    assert (said["$INSUNITS"], said["$MEASUREMENT"]) == ((insert,), (measurement,))
    assert said["$EXTMIN"] == pytest.approx((0, 0, 0), abs=0)
    assert said["$EXTMAX"] == pytest.approx((layout.sheet.length / unit, layout.sheet.width / unit, 0), abs=1e-9)
    assert said["$LIMMAX"] == said["$EXTMAX"][:2]


@pytest.mark.parametrize(("units", "word", "unit"), [("inch", "inches", INCH), ("metric", "millimeters", MM)])
def test_another_reader_finds_the_same_sizes_on_the_same_layers(units: UnitSystem, word: str, unit: int) -> None:
    layout = random_layout(3)
    data = to_dxf(router_scene(layout, KERF), units)
    assert loaded(data)["metadata"]["units"] == word
    read_back = second(data)
    wanted = expected(layout)
    for layer, mine in (
        ("SHEET", [(0, 0, layout.sheet.length, layout.sheet.width)]),
        ("CUTS", [each[1:] for each, count in wanted.items() if each[0] != "offcut" for _ in range(count)]),
        ("OFFCUTS", [each[1:] for each, count in wanted.items() if each[0] == "offcut" for _ in range(count)]),
    ):
        found = sorted(tuple(round(value * unit) for value in each) for each in read_back.get(layer, []))
        assert found == sorted(mine), layer


@cache
def builds() -> tuple[Build, ...]:
    """Return a few builds whose backs are of one part and of two."""
    return tuple(random_builds(3, 4))


def test_holes_lie_where_the_build_says_on_every_sheet() -> None:
    """Measured against ``build.json``: each mounting hole of a back, from the left and lower edge of the back."""
    seen = Counter[str]()
    for build in builds():
        drilled = bored(build.crates)
        points = {crate["crate"]: crate["drill"] for crate in build_document(build, "USD")["crates"]}
        for layout in build.layouts:
            for each in layout.sheets:
                data = to_dxf(router_scene(each, layout.kerf, drilled), "metric")
                middles = [
                    (round((x + w / 2) * MM), round((y + h / 2) * MM), round(w * MM))
                    for x, y, w, h in second(data).get("DRILL", [])
                ]
                drawn = read(data).modelspace().query("POINT")
                assert {point.dxf.layer for point in drawn} <= {"DRILL"}
                at = [(round(p.dxf.location.x * MM), round(p.dxf.location.y * MM)) for p in drawn]
                assert Counter(at) == Counter((x, y) for x, y, _ in middles)
                for x, y, dx, dy, leaf in each.pieces(layout.kerf):
                    name = getattr(leaf, "part", "")
                    if name in drilled:
                        crate = next(c for c in build.crates if any(part.name == name for part in c.parts))
                        wanted = Counter(_told(crate, points[crate.crate], name, (x, y, dx, dy)))
                        assert Counter(m for m in middles if x < m[0] < x + dx and y < m[1] < y + dy) == wanted, name
                        seen[name.split(".")[1]] += wanted.total()
    assert seen["back"] > 6
    assert seen["back-1"] + seen["back-2"] > 6
    for build in builds():
        every = sum(len(part.holes) for part in bored(build.crates).values())
        assert every == sum(len(crate.drill) for crate in build.crates if any(p.role == "back" for p in crate.placed))


def _told(
    crate: Crate, points: list[dict[str, int]], name: str, at: tuple[int, int, int, int]
) -> Iterator[tuple[int, int, int]]:
    """Yield where on the sheet the mounting points that go through a part lie, and how wide the document has them."""
    backs = [part for part in crate.placed if part.role == "back"]
    right, low = max(part.box.x + part.box.dx for part in backs), min(part.box.y for part in backs)
    box = next(part.box for part in backs if part.part == name)
    x, y, dx, dy = at
    for point in points:
        across, up = point["x"] - (right - box.x - box.dx), point["y"] - (box.y - low)
        if 0 < across < box.dx and 0 < up < box.dy:
            # Turned by a quarter to the right, what was up is across, and what was left is up.
            turned = (dx, dy) != (box.dx, box.dy)
            place = (x + up, y + dy - across) if turned else (x + across, y + up)
            yield *place, point["clearance"]


def test_a_part_turned_on_the_sheet_takes_its_holes_with_it() -> None:
    """A hole 3 mm from the left, 1 mm from below: turned to the right, 1 mm from the left, 3 mm from above."""
    layout = random_layout(3)
    name, x, y, dx, dy = next(each for each in expected(layout) if each[0] != "offcut" and each[3] != each[4])
    hole = Hole(3 * MM, MM, MM)

    def at(wide: int, high: int) -> set[tuple[int, int, int]]:
        circles = second(to_dxf(router_scene(layout, KERF, {name: Bored(wide, high, (hole,))}), "metric"))["DRILL"]
        return {(round((a + w / 2) * MM), round((b + h / 2) * MM), round(w * MM)) for a, b, w, h in circles}

    assert (x + 3 * MM, y + MM, MM) in at(dx, dy)
    assert (x + MM, y + dy - 3 * MM, MM) in at(dy, dx)
    with pytest.raises(KeyError):
        at(dx + 1, dy)  # on its edge: no hole goes through its side


def test_parts_of_which_there_are_several_bear_no_holes() -> None:
    for build in builds():
        several = {part.name for crate in build.crates for part in crate.parts if part.count > 1}
        assert several
        assert not several & set(bored(build.crates))


def test_letters_beyond_the_code_page_are_written_as_the_format_has_them() -> None:
    r"""DXF Reference, "Unicode in DXF": before 2007 a letter beyond the code page is ``\U+`` and four digits."""
    scene = router_scene(random_layout(2), KERF)
    item = next(each for each in scene.items if isinstance(each, Text))
    data = to_dxf(replace(scene, items=(*scene.items, replace(item, text="Ночь"))), "inch")
    assert rb"\U+041d" in data.lower().replace(b"u+", b"U+")
    document, _ = recover.read(BytesIO(data))  # the reader of the library that takes bytes as they are
    assert "Ночь" in {text.dxf.text for text in document.modelspace().query("TEXT")}


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

"""SVG: well formed, escaped, of the right size, at the scene's coordinates, and nothing a strict page refuses."""

import pytest
from defusedxml import ElementTree

from nesting.base.measure import INCH
from nesting.drawings.scene import Arrow, Circle, Line, Scene, Text, rectangle
from nesting.drawings.sheet import sheet_drawing
from nesting.drawings.svg import to_svg
from tests.benchmarks.cut_order import order_cuts
from tests.nesting.drawings.cut_trees import random_layout, wanted

NS = {"s": "http://www.w3.org/2000/svg"}


def test_text_from_people_is_escaped() -> None:
    scene = Scene(INCH, INCH, (Text((0, 0), "<b>&\"'"), rectangle(0, 0, 9, 9, tip="<script>")), title="a < b & c")
    root = ElementTree.fromstring(to_svg(scene))
    assert [each.text for each in root.findall("s:text", NS)] == ["<b>&\"'"]
    assert [each.text for each in root.iter(f"{{{NS['s']}}}title")] == ["a < b & c", "<script>"]


def test_size_and_coordinates_in_millimetres_of_paper() -> None:
    items = (
        Line((0, 0), (24 * INCH, 12 * INCH)),
        Circle((12 * INCH, 0), 3.0),
        Arrow((0, 0), (12 * INCH, 0), both=True),
    )
    root = ElementTree.fromstring(to_svg(Scene(96 * INCH, 48 * INCH, items, scale=12)))
    assert (root.get("width"), root.get("height")) == ("203.2mm", "101.6mm")
    line = root.find("s:line", NS)
    assert line is not None
    assert [float(line.get(key, "")) for key in ("x1", "y1", "x2", "y2")] == pytest.approx([0, 101.6, 50.8, 76.2])
    assert len(root.findall("s:polygon", NS)) == 2


def test_nothing_needs_style_or_script() -> None:
    layout = random_layout(3)
    drawing = sheet_drawing(
        layout, order_cuts(layout.sheet, layout.cuts, INCH // 8), INCH // 8, scale=12, units="inch", grain=True
    )
    text = to_svg(drawing.scene)
    assert "style=" not in text
    assert "<script" not in text
    assert "href" not in text


@pytest.mark.parametrize("seed", range(8))
def test_every_part_is_a_rectangle_with_a_tip(seed: int) -> None:
    layout = random_layout(seed)
    steps = order_cuts(layout.sheet, layout.cuts, INCH // 8)
    drawing = sheet_drawing(layout, steps, INCH // 8, scale=12, units="inch", grain=False)
    root = ElementTree.fromstring(to_svg(drawing.scene))
    tips = [each.text or "" for each in root.iter(f"{{{NS['s']}}}title")]
    for (name, _, _), count in wanted(layout, INCH // 8).items():
        assert sum(1 for tip in tips if tip.startswith(f"{name}, ")) >= count


def test_the_same_scene_gives_the_same_text() -> None:
    scene = Scene(INCH, INCH, (Text((0, 0), "K1"),))
    assert to_svg(scene) == to_svg(scene)

"""Scenes: what is refused, and where things come to stand on paper."""

import pytest

from nesting.base.measure import INCH
from nesting.drawings.scene import (
    POINT,
    Bounds,
    Inset,
    Line,
    Polygon,
    Scene,
    Text,
    bounds,
    hatch,
    head,
    rectangle,
)


def test_bad_values_are_refused_at_birth() -> None:
    with pytest.raises(ValueError, match="three corners"):
        Polygon(((0, 0), (1, 1)))
    with pytest.raises(ValueError, match="letters"):
        Text((0, 0), "")
    with pytest.raises(ValueError, match="extent"):
        Scene(0, 1)
    with pytest.raises(ValueError, match="scale 1"):
        Scene(1, 1, scale=2, insets=(Inset(Scene(1, 1), (0, 0)),))


def test_a_drawing_at_one_to_twelve_is_an_inch_a_foot() -> None:
    drawing = Scene(96 * INCH, 48 * INCH, (Line((0, 0), (12 * INCH, 0)),), scale=12)
    page = Scene(17 * INCH // 2, 11 * INCH, insets=(Inset(drawing, (INCH, 2 * INCH)),))
    ((line, frame),) = page.on_paper()
    assert isinstance(line, Line)
    assert frame.place(line.start) == pytest.approx((72, 144))
    assert frame.place(line.end) == pytest.approx((144, 144))


def test_the_box_of_a_text_follows_its_anchor_and_turn() -> None:
    text = Text((1000 * POINT, 1000 * POINT), "K1.rail", 10.0)
    box = text.box(1)
    assert (box.left / POINT, box.width / POINT) == pytest.approx((1000, text.width))
    end = Text(text.at, text.text, 10.0, "end").box(1)
    assert end.right / POINT == pytest.approx(1000)
    turned = Text(text.at, text.text, 10.0, "middle", turned=True).box(1)
    assert (turned.height, turned.width) == pytest.approx((box.width, box.height))
    assert (turned.bottom + turned.top) / 2 / POINT == pytest.approx(1000)


def test_hatching_stays_inside_and_reaches_everywhere() -> None:
    lines = hatch(100, 200, 3000, 1000, 100)
    assert len(lines) == 39
    ends = [p for line in lines for p in (line.start, line.end)]
    assert bounds(ends) == Bounds(100, 200, 3100, 1200)
    assert all(abs((each.end[1] - each.start[1]) + (each.end[0] - each.start[0])) < 1e-6 for each in lines)


def test_an_arrow_of_no_length_has_no_head() -> None:
    assert head((1, 1), (1, 1), 5) is None
    tip = head((0, 0), (10, 0), 5)
    assert tip is not None
    assert [round(x) for x, _ in tip] == [10, 5, 5]


def test_a_layer_is_taken_out_alone() -> None:
    scene = Scene(10, 10, (rectangle(0, 0, 5, 5, layer="a"), rectangle(5, 5, 5, 5, layer="b")))
    assert len(scene.layer("a").items) == 1

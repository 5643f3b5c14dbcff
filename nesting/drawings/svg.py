"""Scenes as SVG: size in millimetres of paper, text as text.

Only presentation attributes are used, no style and no script, so that a page with a strict content security policy may
set a drawing into itself. The face is not embedded: every text says how long it is, so that another face fits too.
"""

from html import escape
from typing import Any

import svg

from nesting.base.measure import MM
from nesting.drawings.scene import Arrow, Circle, Frame, Item, Line, Pen, Point, Polygon, Scene, Text, head
from nesting.drawings.typeface import FAMILY

_MM = 25.4 / 72
"""Millimetres in a point."""

HEAD = 5.0
"""Length of an arrow's head in points."""


def to_svg(scene: Scene) -> str:
    """Return a scene as an SVG document of its size on paper."""
    width, height = (each / MM for each in scene.paper)
    elements: list[svg.Element] = [svg.Title(text=escape(scene.title))] if scene.title else []
    for item, frame in scene.on_paper():
        elements.extend(_elements(item, frame, height))
    document = svg.SVG(
        width=svg.Length(_round(width), "mm"),
        height=svg.Length(_round(height), "mm"),
        viewBox=svg.ViewBoxSpec(0, 0, _round(width), _round(height)),
        elements=elements,
    )
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{document}\n'


def _round(value: float) -> float:
    """Round to a tenth of a micrometre of paper, whole numbers without a point."""
    rounded = round(value, 4)
    return int(rounded) if rounded == int(rounded) else rounded


def _grey(level: float) -> str:
    part = format(round(255 * level), "02x")
    return f"#{part * 3}"


def _elements(item: Item, frame: Frame, height: float) -> list[svg.Element]:
    """Return one item as SVG elements."""

    def at(point: Point) -> tuple[float, float]:
        x, y = frame.place(point)
        return _round(x * _MM), _round(height - y * _MM)

    if isinstance(item, Line):
        return [_line(at(item.start), at(item.end), item.pen)]
    if isinstance(item, Polygon):
        corners: list[float] = [value for point in item.points for value in at(point)]
        return [_polygon(corners, item.pen, item.fill, item.tip)]
    if isinstance(item, Circle):
        x, y = at(item.centre)
        return [
            svg.Circle(
                cx=x,
                cy=y,
                r=_round(item.radius * _MM),
                fill="none" if item.fill is None else _grey(item.fill),
                stroke="none" if item.pen is None else _grey(item.pen.grey),
                stroke_width=None if item.pen is None else _round(item.pen.width * _MM),
            )
        ]
    if isinstance(item, Arrow):
        start, end = at(item.start), at(item.end)
        made: list[svg.Element] = [_line(start, end, item.pen)]
        for one, other in ((start, end), (end, start)) if item.both else ((start, end),):
            corners = [_round(value) for point in head(one, other, HEAD * _MM) or () for value in point]
            if corners:
                made.append(_polygon(corners, None, item.pen.grey, ""))
        return made
    return [_text(item, at(item.at))]


def _line(start: tuple[float, float], end: tuple[float, float], pen: Pen) -> svg.Line:
    return svg.Line(
        x1=start[0],
        y1=start[1],
        x2=end[0],
        y2=end[1],
        stroke=_grey(pen.grey),
        stroke_width=_round(pen.width * _MM),
        stroke_dasharray=[_round(each * _MM) for each in pen.dashes] or None,
    )


def _polygon(corners: list[float], pen: Pen | None, fill: float | None, tip: str) -> svg.Polygon:
    points: list[Any] = list(corners)  # the library types pairs, and writes plain numbers alike
    return svg.Polygon(
        points=points,
        fill="none" if fill is None else _grey(fill),
        stroke="none" if pen is None else _grey(pen.grey),
        stroke_width=None if pen is None else _round(pen.width * _MM),
        stroke_dasharray=None if pen is None else [_round(each * _MM) for each in pen.dashes] or None,
        stroke_linejoin="round",
        elements=[svg.Title(text=escape(tip))] if tip else None,
    )


def _text(item: Text, at: tuple[float, float]) -> svg.Text:
    x, y = at
    return svg.Text(
        x=x,
        y=y,
        text=escape(item.text),
        font_family=f"{FAMILY}, DejaVu Sans, sans-serif",
        font_size=_round(item.size * _MM),
        font_weight="bold" if item.bold else None,
        text_anchor=item.anchor,
        textLength=_round(item.width * _MM),
        lengthAdjust="spacingAndGlyphs",
        fill=_grey(item.grey),
        transform=[svg.Rotate(-90, x, y)] if item.turned else None,
    )

"""Scenes: drawings as plain frozen values, made once and rendered to the screen, to paper or for a router.

A scene's coordinates are in the unit of the exact grid (1/8 micrometre), ``x`` to the right and ``y`` upward. A drawing
of a thing keeps the thing's own measure and says by ``scale`` how many times smaller it stands on paper; a page is a
scene of scale 1, since paper is measured on the same grid. Pens and letters do not scale: they are in points of paper.

Every text carries the width it was measured at (see :mod:`nesting.drawings.typeface`), so that what fits is decided
where the scene is made and holds in every renderer.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

from nesting.base.measure import INCH
from nesting.base.writing import Writing
from nesting.drawings.typeface import ASCENT, DESCENT, text_width

Point = tuple[float, float]
Anchor = Literal["start", "middle", "end"]

POINT = INCH / 72
"""One point of paper in grid units."""

BLACK = 0.0
WHITE = 1.0


@dataclass(frozen=True, slots=True)
class Pen:
    """How a line is drawn: its width in points, its grey (0 black, 1 white), and dashes in points (none: solid)."""

    width: float = 0.6
    grey: float = BLACK
    dashes: tuple[float, ...] = ()


THIN = Pen(0.35)
PLAIN = Pen(0.6)
BOLD = Pen(1.4)
HIDDEN = Pen(0.45, dashes=(2.5, 1.8))
FAINT = Pen(0.35, grey=0.55)


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line."""

    start: Point
    end: Point
    pen: Pen = PLAIN
    layer: str = ""


@dataclass(frozen=True, slots=True)
class Polygon:
    """A closed outline, filled with a grey or not at all, drawn or only filled; ``tip`` explains it under a pointer."""

    points: tuple[Point, ...]
    pen: Pen | None = PLAIN
    fill: float | None = None
    layer: str = ""
    tip: str = ""

    def __post_init__(self) -> None:
        if len(self.points) < 3:
            raise ValueError(f"a polygon needs three corners at least, not {len(self.points)}")


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle; its radius is in points of paper, so that marks keep their size at every scale."""

    centre: Point
    radius: float
    pen: Pen | None = PLAIN
    fill: float | None = None
    layer: str = ""


@dataclass(frozen=True, slots=True)
class Arrow:
    """A line with a head at its end, and at its start too where ``both``."""

    start: Point
    end: Point
    pen: Pen = PLAIN
    both: bool = False
    layer: str = ""


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text.

    Attributes
    ----------
    at : Point
        The anchor on the baseline.
    text : str
        What is written; never empty.
    size : float
        Letter size in points.
    anchor : {"start", "middle", "end"}
        Which end of the text stands at ``at``.
    bold : bool
        Heavier face.
    turned : bool
        Read from below upward (turned a quarter to the left).
    """

    at: Point
    text: str
    size: float = 8.0
    anchor: Anchor = "start"
    bold: bool = False
    turned: bool = False
    grey: float = BLACK
    layer: str = ""

    def __post_init__(self) -> None:
        if not self.text or self.size <= 0:
            raise ValueError(f"text needs letters and a size, not {self.text!r} at {self.size}")

    @property
    def width(self) -> float:
        """Measured length in points of paper."""
        return text_width(self.text, self.size, bold=self.bold)

    def box(self, scale: float) -> "Bounds":
        """Bounds in the scene's own units, from the face's ascent and descent."""
        unit = POINT * scale
        before = {"start": 0.0, "middle": 0.5, "end": 1.0}[self.anchor] * self.width * unit
        after = self.width * unit - before
        up, down = ASCENT * self.size * unit, DESCENT * self.size * unit
        x, y = self.at
        if self.turned:
            return Bounds(x - up, y - before, x + down, y + after)
        return Bounds(x - before, y - down, x + after, y + up)


@dataclass(frozen=True, slots=True)
class Bounds:
    """An upright rectangle from its lower left to its upper right corner."""

    left: float
    bottom: float
    right: float
    top: float

    @property
    def width(self) -> float:
        """Extent along x."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Extent along y."""
        return self.top - self.bottom

    def meets(self, other: "Bounds", gap: float = 0.0) -> bool:
        """Whether two rectangles come nearer than ``gap`` both ways."""
        return (
            self.left < other.right + gap
            and other.left < self.right + gap
            and self.bottom < other.top + gap
            and other.bottom < self.top + gap
        )

    def holds(self, other: "Bounds", slack: float = 0.0) -> bool:
        """Whether the other lies within, up to ``slack`` beyond."""
        return (
            other.left >= self.left - slack
            and other.bottom >= self.bottom - slack
            and other.right <= self.right + slack
            and other.top <= self.top + slack
        )


Item = Line | Polygon | Circle | Arrow | Text


@dataclass(frozen=True, slots=True)
class Inset:
    """A scene set into another, its lower left corner at ``at``; scales multiply, layers stay."""

    scene: "Scene"
    at: Point


@dataclass(frozen=True, slots=True)
class Bookmark:
    """A line of a document's outline: its level, from 0, and what it says; it leads to the page that bears it."""

    level: int
    title: str


@dataclass(frozen=True, slots=True)
class Link:
    """An area of a page that leads to another page, by its number from 1."""

    area: "Bounds"
    page: int


@dataclass(frozen=True, slots=True)
class Scene:
    """A drawing.

    Attributes
    ----------
    width, height : float
        Extent in the scene's own units; every item lies in it.
    items : tuple of Item
        Drawn in this order, later ones over earlier ones.
    scale : float
        How many times the thing is larger than its drawing on paper.
    title : str
        For the page's heading and a reader who cannot see the drawing.
    insets : tuple of Inset
        Drawn after the items. Only a scene of scale 1 (a page) has them.
    bookmarks, links : tuple of Bookmark, tuple of Link
        Of a page of a document, for who reads it on a screen.
    """

    width: float
    height: float
    items: tuple[Item, ...] = ()
    scale: float = 1.0
    title: str = ""
    insets: tuple[Inset, ...] = field(default=())
    bookmarks: tuple[Bookmark, ...] = ()
    links: tuple[Link, ...] = ()

    def __post_init__(self) -> None:
        if min(self.width, self.height, self.scale) <= 0:
            raise ValueError(f"a scene must have extent and a scale, not {self.width} x {self.height} at {self.scale}")
        if self.insets and self.scale != 1:
            raise ValueError("only a page, a scene of scale 1, takes other scenes in")

    @property
    def paper(self) -> Point:
        """Width and height on paper, in grid units."""
        return self.width / self.scale, self.height / self.scale

    def on_paper(self) -> Iterator[tuple[Item, "Frame"]]:
        """Yield every item, insets included, with the frame that takes its coordinates to paper."""
        own = Frame(0.0, 0.0, self.scale)
        for item in self.items:
            yield item, own
        for inset in self.insets:
            for item, frame in inset.scene.on_paper():
                yield item, Frame(inset.at[0] + frame.x, inset.at[1] + frame.y, frame.scale)

    def layer(self, name: str) -> "Scene":
        """Return the scene with the items of one layer only."""
        return replace(self, items=tuple(item for item in self.items if item.layer == name), insets=())

    def written(self, writing: Writing) -> "Scene":
        """Return the scene with figures and days of its texts as they are written somewhere; nothing is moved."""
        if writing.is_plain:
            return self
        said = writing.told
        return replace(
            self,
            items=tuple(
                replace(item, text=said(item.text)) if isinstance(item, Text)
                else replace(item, tip=said(item.tip)) if isinstance(item, Polygon) and item.tip
                else item
                for item in self.items
            ),
            title=said(self.title),
            insets=tuple(replace(inset, scene=inset.scene.written(writing)) for inset in self.insets),
            bookmarks=tuple(replace(each, title=said(each.title)) for each in self.bookmarks),
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Frame:
    """Where a scene's origin stands on the page, and its scale."""

    x: float
    y: float
    scale: float

    def place(self, point: Point) -> Point:
        """Return a point of the scene in points of paper, ``y`` upward."""
        return (self.x + point[0] / self.scale) / POINT, (self.y + point[1] / self.scale) / POINT


# arguments: place and looks, by keyword from there on
def rectangle(
    x: float,
    y: float,
    dx: float,
    dy: float,
    *,
    pen: Pen | None = PLAIN,
    fill: float | None = None,
    layer: str = "",
    tip: str = "",
) -> Polygon:
    """Return an upright rectangle, from its lower left corner, counterclockwise."""
    return Polygon(((x, y), (x + dx, y), (x + dx, y + dy), (x, y + dy)), pen, fill, layer, tip)


# arguments: where the rectangle lies, and how its lines look
def hatch(x: float, y: float, dx: float, dy: float, step: float, pen: Pen = FAINT, layer: str = "") -> list[Line]:
    """Return slanted lines (45 degrees) that fill an upright rectangle, ``step`` apart along its sides."""
    lines = []
    offset = step
    while offset < dx + dy:
        start = (x + min(offset, dx), y + max(0.0, offset - dx))
        end = (x + max(0.0, offset - dy), y + min(offset, dy))
        lines.append(Line(start, end, pen, layer))
        offset += step
    return lines


def head(start: Point, end: Point, size: float) -> tuple[Point, Point, Point] | None:
    """Return the corners of an arrow's head, its length in the unit of the points; None for a line of no length."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    length = (dx * dx + dy * dy) ** 0.5
    if length == 0:
        return None
    ux, uy = dx / length * size, dy / length * size
    back = (end[0] - ux, end[1] - uy)
    return end, (back[0] - uy * 0.35, back[1] + ux * 0.35), (back[0] + uy * 0.35, back[1] - ux * 0.35)


def bounds(points: Sequence[Point]) -> Bounds:
    """Return the smallest upright rectangle around points."""
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return Bounds(min(xs), min(ys), max(xs), max(ys))

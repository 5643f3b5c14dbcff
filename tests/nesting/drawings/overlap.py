"""What must not be on a page: texts over each other, anything beyond the paper, a drawing over a text."""

from nesting.drawings.scene import POINT, Arrow, Bounds, Circle, Line, Polygon, Scene, Text

_SLACK = 0.6
"""Points that two texts may come into each other: side bearings of letters, and rounding."""


def text_boxes(scene: Scene) -> list[tuple[str, Bounds]]:
    """Return every text of a page with its bounds in points of paper, from the letters' own widths."""
    found = []
    for item, frame in scene.on_paper():
        if isinstance(item, Text):
            box = item.box(frame.scale)
            left, bottom = frame.place((box.left, box.bottom))
            right, top = frame.place((box.right, box.top))
            found.append((item.text, Bounds(left, bottom, right, top)))
    return found


def beyond_paper(scene: Scene, margin: float = 0.0) -> list[str]:
    """Return what lies nearer to the paper's edge than a margin in points."""
    width, height = (each / POINT for each in scene.paper)
    room = Bounds(margin, margin, width - margin, height - margin)
    found = [text for text, box in text_boxes(scene) if not room.holds(box, 0.5)]
    for item, frame in scene.on_paper():
        points = []
        if isinstance(item, Line | Arrow):
            points = [item.start, item.end]
        elif isinstance(item, Polygon):
            points = list(item.points)
        elif isinstance(item, Circle):
            points = [item.centre]
        for point in points:
            x, y = frame.place(point)
            if not room.holds(Bounds(x, y, x, y), 0.5):
                found.append(f"{type(item).__name__} at {x:.1f}, {y:.1f}")
    return found


def overlaps(scene: Scene) -> list[tuple[str, str]]:
    """Return pairs of texts that lie over each other, and texts of the page under a drawing set into it."""
    boxes = sorted(text_boxes(scene), key=lambda each: each[1].bottom)
    found = []
    for index, (text, box) in enumerate(boxes):
        for other, over in boxes[index + 1 :]:
            if over.bottom > box.top:
                break
            if box.meets(over, -_SLACK):
                found.append((text, other))
    page = Scene(scene.width, scene.height, scene.items)
    insets = []
    for inset in scene.insets:
        width, height = (each / POINT for each in inset.scene.paper)
        x, y = inset.at[0] / POINT, inset.at[1] / POINT
        insets.append((inset.scene.title, Bounds(x, y, x + width, y + height)))
    found += [(title, text) for title, area in insets for text, box in text_boxes(page) if area.meets(box, -_SLACK)]
    found += [
        (title, other)
        for index, (title, area) in enumerate(insets)
        for other, over in insets[index + 1 :]
        if area.meets(over, -_SLACK)
    ]
    return found


def numbers_over_text(scene: Scene) -> list[str]:
    """Return texts that lie under a numbered circle, its own number aside."""
    unit = POINT * scene.scale
    circles = [item for item in scene.items if isinstance(item, Circle) and item.radius > 3]
    texts = [item for item in scene.items if isinstance(item, Text)]
    found = []
    for circle in circles:
        reach = circle.radius * unit * 0.9
        x, y = circle.centre
        area = Bounds(x - reach, y - reach, x + reach, y + reach)
        for text in texts:
            box = text.box(scene.scale)
            own = area.holds(Bounds(*_middle(box), *_middle(box))) and text.anchor == "middle"
            if not own and box.meets(area, -0.5 * unit):
                found.append(text.text)
    return found


def _middle(box: Bounds) -> tuple[float, float]:
    return (box.left + box.right) / 2, (box.bottom + box.top) / 2

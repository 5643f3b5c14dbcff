"""The drawing of a sheet: every part once, names inside their parts, numbers over no text, scales that rulers have."""

import re
from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.base.measure import INCH, UnitSystem
from nesting.cutting.sheets import Cut, Offcut, PartLeaf, Sheet, SheetLayout
from nesting.drawings.scene import POINT, Bounds, Circle, Inset, Scene, Text
from nesting.drawings.sheet import SCALES, SheetDrawing, fitting_scale, sheet_drawing
from nesting.drawings.typeface import LEAST
from tests.benchmarks.cut_order import order_cuts
from tests.nesting.drawings.cut_trees import layouts, random_layout, wanted
from tests.nesting.drawings.overlap import beyond_paper, numbers_over_text, overlaps

KERF = INCH // 8


def draw(layout: SheetLayout, scale: float = 12.0) -> SheetDrawing:
    steps = order_cuts(layout.sheet, layout.cuts, KERF)
    return sheet_drawing(layout, steps, KERF, scale=scale, units="inch", grain=True)


@given(layouts(), st.sampled_from([10.0, 12.0, 16.0, 24.0]))
def test_every_part_is_named_once_where_it_lies(layout: SheetLayout, scale: float) -> None:
    drawing = draw(layout, scale)
    letters = {letter: name for letter, name, _, _ in drawing.key}
    names = Counter[str]()
    for item in drawing.scene.items:
        if isinstance(item, Text) and item.bold:
            # Parts alike side by side bear their name once, with their count.
            word, _, times = item.text.partition(" ")
            names[letters.get(word, word)] += int(times.removesuffix("×") or 1)
    for name, _ in drawing.unnamed:
        names[name] += 1
    parts = Counter[str]()
    for (name, _, _), count in wanted(layout, KERF).items():
        parts[name] += count
    assert names == parts
    assert min(item.size for item in drawing.scene.items if isinstance(item, Text)) == LEAST


@given(layouts())
def test_names_lie_inside_their_parts(layout: SheetLayout) -> None:
    drawing = draw(layout)
    rooms: dict[str, list[Bounds]] = {}
    for x, y, dx, dy, node in layout.pieces(KERF):
        if hasattr(node, "part"):
            rooms.setdefault(node.part, []).append(Bounds(x, y, x + dx, y + dy))
    for item in drawing.scene.items:
        if isinstance(item, Text) and item.text in rooms:
            assert any(room.holds(item.box(12), POINT) for room in rooms[item.text])


@given(layouts(), st.sampled_from([10.0, 16.0, 30.0]))
def test_nothing_lies_over_anything(layout: SheetLayout, scale: float) -> None:
    scene = draw(layout, scale).scene
    page = Scene(*scene.paper, insets=(Inset(scene, (0, 0)),))
    assert not overlaps(page)
    assert not beyond_paper(page)
    assert not numbers_over_text(scene)


@given(layouts())
def test_every_cut_has_its_number_or_is_told(layout: SheetLayout) -> None:
    drawing = draw(layout)
    steps = order_cuts(layout.sheet, layout.cuts, KERF)
    told = list(drawing.unnumbered)
    for item in drawing.scene.items:
        if isinstance(item, Text) and re.fullmatch(r"\d+(–\d+)?", item.text):
            first, _, last = item.text.partition("–")
            told += range(int(first), int(last or first) + 1)
    assert sorted(told) == [step.number for step in steps]


@given(st.integers(INCH, 400 * INCH), st.integers(INCH, 200 * INCH))
def test_scales_fit_and_are_the_largest_that_do(width: int, height: int) -> None:
    room = (700 * POINT, 400 * POINT)
    scale = fitting_scale(width, height, *room)
    assert width / scale <= room[0] * 1.000001
    assert height / scale <= room[1] * 1.000001
    if scale in SCALES and scale > SCALES[0]:
        smaller = SCALES[SCALES.index(int(scale)) - 1]
        assert width / smaller > room[0] or height / smaller > room[1]


def test_grain_is_shown_only_where_there_is_one() -> None:
    layout = random_layout(1)
    steps = order_cuts(layout.sheet, layout.cuts, KERF)

    def words(*, grain: bool) -> list[str]:
        drawn = sheet_drawing(layout, steps, KERF, scale=12.0, units="inch", grain=grain)
        return [item.text for item in drawn.scene.items if isinstance(item, Text)]

    assert "grain" in words(grain=True)
    assert "grain" not in words(grain=False)


def test_the_checks_would_see_an_overlap() -> None:
    twice = Scene(INCH, INCH, (Text((0, 0), "K1.rail"), Text((20 * POINT, 2 * POINT), "K2.rail")))
    assert overlaps(twice) == [("K1.rail", "K2.rail")]
    assert beyond_paper(Scene(20 * POINT, INCH, (Text((0, 0), "K1.rail"),))) == ["K1.rail"]
    covered = Scene(INCH, INCH, (Circle((10 * POINT, 3 * POINT), 5.0), Text((0, 0), "K1.rail")))
    assert numbers_over_text(covered) == ["K1.rail"]


@pytest.mark.parametrize(("units", "size"), [("inch", "36 × 4 1/2"), ("metric", "914.4 × 114.3")])
def test_sizes_are_written_in_the_units_asked_for(units: UnitSystem, size: str) -> None:
    sheet = Sheet("board 4x8", 96 * INCH, 48 * INCH, 1)
    cuts = Cut("cross", 36 * INCH, Cut("rip", 9 * INCH // 2, PartLeaf("K1.rail", turned=False), Offcut()), Offcut())
    layout = SheetLayout(sheet, cuts, 1)
    steps = order_cuts(sheet, cuts, KERF)
    drawn = sheet_drawing(layout, steps, KERF, scale=10.0, units=units, grain=False)
    assert size in [item.text for item in drawn.scene.items if isinstance(item, Text)]

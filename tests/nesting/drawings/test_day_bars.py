"""Bars under their days: every mark where its day is, late ones marked, everything inside the drawing."""

from datetime import date, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.drawings.day_bars import Bar, bar_scenes
from nesting.drawings.packet import Days
from nesting.drawings.packet.book import packet_scenes
from nesting.drawings.packet.printing import Printing
from nesting.drawings.pdf import to_pdf
from nesting.drawings.scene import POINT, Bounds, Polygon, Scene, Text, bounds
from nesting.drawings.typeface import text_width
from tests.nesting.drawings.pdf_reading import words_of
from tests.pricing.builds import small_build

MONDAY = date(2027, 3, 29)


def texts(scene: Scene) -> list[str]:
    return [item.text for item in scene.items if isinstance(item, Text)]


def boxes(scene: Scene) -> list[Polygon]:
    """Return the bars themselves: the only shapes that explain themselves."""
    return [item for item in scene.items if isinstance(item, Polygon) and item.tip]


def test_a_day_is_as_wide_wherever_it_stands() -> None:
    """Across the end of a month and the change of clocks of 28 March 2027 in Europe: pure dates, equal days."""
    bars = [Bar("a", date(2027, 3, 27), date(2027, 3, 29)), Bar("b", date(2027, 3, 30), date(2027, 4, 1))]
    (scene,) = bar_scenes(bars, 400, 200)
    one, other = (bounds(box.points) for box in boxes(scene))
    assert one.width == pytest.approx(other.width)
    assert one.right == pytest.approx(other.left)
    assert other.right == pytest.approx(scene.width - 2 * POINT)
    assert [box.tip for box in boxes(scene)] == ["a: 2027-03-27 to 2027-03-29", "b: 2027-03-30 to 2027-04-01"]


def test_what_is_late_says_by_how_much_and_shows_its_due_day() -> None:
    late = Bar("hand over", date(2027, 4, 8), date(2027, 4, 8), "moment", date(2027, 4, 5))
    (scene,) = bar_scenes([Bar("cut", MONDAY, MONDAY), late], 400, 200)
    assert late.late == 3
    assert "3 days late" in texts(scene)
    assert scene.title.endswith("2 lines, 1 late")
    (single,) = bar_scenes([Bar("x", MONDAY, MONDAY + timedelta(days=1), "work", MONDAY)], 400, 200)
    assert "1 day late" in texts(single)
    (in_time,) = bar_scenes([Bar("x", MONDAY, MONDAY, "work", MONDAY)], 400, 200)
    assert not [text for text in texts(in_time) if "late" in text]


def test_looks_differ_without_colour() -> None:
    bars = [Bar("a", MONDAY, MONDAY, look) for look in ("passing", "work", "moment")]
    (scene,) = bar_scenes(bars, 400, 200)
    assert len({box.fill for box in boxes(scene)}) == 3


def test_days_off_are_shaded_in_one_piece() -> None:
    off = frozenset({date(2027, 4, 3), date(2027, 4, 4)})
    (scene,) = bar_scenes([Bar("a", MONDAY, date(2027, 4, 9))], 400, 200, off=off)
    shades = [item for item in scene.items if isinstance(item, Polygon) and item.pen is None and not item.tip]
    assert len(shades) == 1
    (bar,) = boxes(scene)
    assert bounds(shades[0].points).width == pytest.approx(bounds(bar.points).width * 2 / 12)


def test_nothing_gives_nothing_and_nonsense_is_refused() -> None:
    assert bar_scenes([], 400, 200) == []
    with pytest.raises(ValueError, match="before it begins"):
        Bar("a", MONDAY, MONDAY - timedelta(days=1))
    with pytest.raises(ValueError, match="too small"):
        bar_scenes([Bar("a", MONDAY, MONDAY)], 400, 20)
    with pytest.raises(ValueError, match="40000 at the most"):
        bar_scenes([Bar("a", MONDAY, MONDAY + timedelta(days=40_000))], 400, 200)


def test_a_year_that_was_mistyped_is_drawn_too() -> None:
    """Days of orders lie from 2000 to 2100; there is no room then to shade the days off, nor for a word a month."""
    first, last = date(2000, 1, 1), date(2100, 12, 31)
    off = frozenset(first + timedelta(days=number) for number in range(0, 36_000, 7))
    (scene,) = bar_scenes([Bar("a", first, first), Bar("b", last, last)], 400, 200, off=off)
    assert len(scene.items) < 400
    heads = sorted(
        (item.at[0], item.at[0] + text_width(item.text, item.size, bold=True) * POINT)
        for item in scene.items
        if isinstance(item, Text) and item.bold
    )
    assert len(heads) > 3
    assert all(end <= start for (_, end), (start, _) in pairwise(heads))


spans = st.tuples(
    st.text("abcdefg hijk", min_size=1, max_size=60),
    st.integers(0, 300),
    st.integers(0, 60),
    st.sampled_from(["passing", "work", "moment"]),
    st.none() | st.integers(0, 300),
)


@given(st.lists(spans, min_size=1, max_size=30), st.integers(200, 600), st.integers(60, 700))
def test_everything_lies_in_the_drawing(
    raw: list[tuple[str, int, int, str, int | None]], width: int, height: int
) -> None:
    bars = [
        Bar(
            name,
            MONDAY + timedelta(days=first),
            MONDAY + timedelta(days=first + length),
            look,  # type: ignore[arg-type]  # drawn from the three words
            None if due is None else MONDAY + timedelta(days=due),
        )
        for name, first, length, look, due in raw
    ]
    scenes = bar_scenes(bars, width, height)
    assert sum(len(boxes(scene)) for scene in scenes) == len(bars)
    for scene in scenes:
        assert scene.height <= height * POINT + 1
        paper = Bounds(0, 0, scene.width, scene.height)
        for item in scene.items:
            box = item.box(1.0) if isinstance(item, Text) else None
            if isinstance(item, Polygon):
                box = bounds(item.points)
            assert box is None or paper.holds(box, slack=4 * POINT), item
        names = [item.box(1.0) for item in scene.items if isinstance(item, Text)]
        for index, one in enumerate(names):
            assert not any(one.meets(other, gap=-0.5 * POINT) for other in names[index + 1 :])


def test_the_packet_has_a_page_of_the_calendar_where_days_are_known() -> None:
    build = small_build()
    assert not packet_scenes(Printing(build), sections=["wall"])
    bars = (
        Bar("cut everything", MONDAY, MONDAY, group="cut"),
        Bar("hand over Harbour Gallery", date(2027, 4, 8), date(2027, 4, 8), "moment", date(2027, 4, 5), "hand over"),
    )
    days = Days(bars, frozenset(), {"cut everything": "2.5"}, {"cut everything": "all sheets"}, ("Planned by hand.",))
    (scene,) = packet_scenes(Printing(build, days=days), sections=["wall"])
    import io

    import pdfplumber

    with pdfplumber.open(io.BytesIO(bytes(to_pdf([scene], title="t", count=1)))) as pdf:
        said = " ".join(word["text"] for word in words_of(pdf.pages[0]))
    for words in ("Planned by hand.", "cut everything", "2027-04-08", "2027-04-05", "3 d", "2.5", "all sheets"):
        assert words in said

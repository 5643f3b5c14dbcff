"""The drawing of a stick: marks that a person can measure from one end, kerfs in the numbers."""

from nesting.base.measure import INCH
from nesting.cutting.sticks import Stick
from nesting.cutting.sticks.plan import StickLayout
from nesting.drawings.scene import Polygon, Scene, Text
from nesting.drawings.stick import marks, stick_scene, unnamed
from tests.nesting.drawings.overlap import beyond_paper, overlaps

KERF = INCH // 8
LENGTHS = {"K1.long": 40 * INCH, "K1.short": 27 * INCH // 2, "K1.block": 2 * INCH}
EIGHT = Stick("2x3 8ft", 96 * INCH, 410)


def scene(*parts: str, scale: float = 15.0) -> Scene:
    return stick_scene(StickLayout(EIGHT, parts, 1), LENGTHS, KERF, scale=scale, units="inch")


def test_marks_have_the_kerfs_in_them() -> None:
    placed = marks(StickLayout(EIGHT, ("K1.long", "K1.long", "K1.short"), 1), LENGTHS, KERF)
    # 40; then 40 1/8 to 80 1/8; then 80 1/4 to 93 3/4.
    assert [(a * 8 / INCH, b * 8 / INCH) for _, a, b in placed] == [(0, 320), (321, 641), (642, 750)]
    assert placed[-1][2] <= EIGHT.length


def test_trim_comes_off_first() -> None:
    trimmed = Stick("2x3 8ft", 96 * INCH, 410, trim=INCH)
    placed = marks(StickLayout(trimmed, ("K1.long",), 1), LENGTHS, KERF)
    assert placed == [("K1.long", INCH, 41 * INCH)]


def test_each_part_and_mark_is_written() -> None:
    texts = [item.text for item in scene("K1.long", "K1.long", "K1.short").items if isinstance(item, Text)]
    assert texts.count("K1.long") == 2
    assert texts.count("K1.short") == 1
    assert {"40", "80 1/8", "93 3/4"} <= set(texts)
    # Of 13 1/2 in drawn 1:15 the letters' least size leaves room for the name alone; 1:14 has room for the length too.
    assert "13 1/2" not in texts
    larger = scene("K1.long", "K1.long", "K1.short", scale=14)
    assert {"40", "80 1/8", "93 3/4", "13 1/2"} <= {item.text for item in larger.items if isinstance(item, Text)}


def test_the_bar_is_to_scale_and_the_rest_is_drawn() -> None:
    drawn = scene("K1.long")
    assert drawn.width == EIGHT.length
    boxes = [item for item in drawn.items if isinstance(item, Polygon)]
    rest = boxes[-1]
    assert [rest.points[0][0], rest.points[1][0]] == [40 * INCH + KERF, 96 * INCH]


def test_a_last_cut_that_runs_off_the_end_leaves_no_rest() -> None:
    lengths = {"K1.all": 96 * INCH - KERF // 2}
    drawn = stick_scene(StickLayout(EIGHT, ("K1.all",), 1), lengths, KERF, scale=15, units="inch")
    assert len([item for item in drawn.items if isinstance(item, Polygon)]) == 2


def test_many_short_parts_do_not_write_over_each_other() -> None:
    drawn = scene(*["K1.block"] * 45, scale=20)
    assert not overlaps(Scene(*drawn.paper, items=drawn.items)) or not overlaps(drawn)
    assert not overlaps(drawn)
    assert not beyond_paper(drawn)


def test_a_stick_taken_whole() -> None:
    drawn = scene()
    assert [item.text for item in drawn.items if isinstance(item, Text)] == ["rest", "96"]


def test_parts_too_short_for_their_names_are_told_of() -> None:
    lengths = {"K1.edge-long": 46 * INCH, "K1.edge-deep": 6 * INCH}
    layout = StickLayout(Stick("2x2 8ft", 96 * INCH, 1), ("K1.edge-long", "K1.edge-deep", "K1.edge-deep"), 1)
    short = unnamed(layout, lengths, scale=15, units="inch")
    assert short == ("K1.edge-deep", "K1.edge-deep")
    drawn = stick_scene(layout, lengths, INCH // 8, scale=15, units="inch")
    written = {item.text for item in drawn.items if isinstance(item, Text)}
    assert "K1.edge-long" in written
    assert "K1.edge-deep" not in written

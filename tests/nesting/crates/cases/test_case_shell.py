"""The shell of an outer case: six faces that close, whichever of them opens."""

from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.base.measure import INCH
from nesting.crates.cases.case_shell import Opening, Room, door_screws, face_boxes, in_plane, plane
from nesting.crates.model import Box
from nesting.shop.shop_file import default_shop

SHOP = default_shop()
sides = st.integers(8 * INCH, 140 * INCH)


@given(sides, sides, sides, st.integers(INCH // 4, INCH), st.sampled_from(get_args(Opening)))
def test_six_faces_close_the_room_exactly(width: int, height: int, depth: int, t: int, opening: Opening) -> None:
    room = Room(t, t, t, width, height, depth)
    faces = face_boxes(room, t, opening)
    shell = Box(0, 0, 0, width + 2 * t, height + 2 * t, depth + 2 * t)
    inside = Box(t, t, t, width, height, depth)
    boxes = [box for _, box, _, _ in faces]
    assert sum(box.volume for box in boxes) == shell.volume - inside.volume
    assert not any(box.meets(inside) for box in boxes)
    assert not any(one.meets(other) for n, one in enumerate(boxes) for other in boxes[n + 1 :])
    ((name, door, flat, _),) = [face for face in faces if face[3]]
    assert name == ("right" if opening == "end" else "front")
    # What opens lies over the edges of all others, so that it comes off whole.
    over = {"x": (depth, height), "z": (width, height)}[flat]
    assert plane(door, flat) == (over[0] + 2 * t, over[1] + 2 * t)


@given(st.sampled_from(["x", "y", "z"]), st.integers(0, INCH), st.integers(0, INCH))
def test_a_rectangle_in_a_face_keeps_its_sides(flat: str, a: int, b: int) -> None:
    thin = {"x": Box(0, 0, 0, 1, 9 * INCH, 9 * INCH), "y": Box(0, 0, 0, 9 * INCH, 1, 9 * INCH)}
    face = thin.get(flat, Box(0, 0, 0, 9 * INCH, 9 * INCH, 1))
    part = in_plane(face, flat, (a, b, 2 * INCH, 3 * INCH))  # type: ignore[arg-type]  # one of the three axes
    assert plane(part, flat) == (2 * INCH, 3 * INCH)  # type: ignore[arg-type]  # the same
    assert part.volume == 6 * INCH * INCH


@pytest.mark.parametrize(("perimeter", "screws"), [(48, 5), (80, 5), (96, 6), (160, 10), (240, 15), (400, 15)])
def test_the_opening_face_takes_five_to_fifteen_screws(perimeter: int, screws: int) -> None:
    """One face that unscrews, 5 to 15 screws, by perimeter: common practice, no source."""
    assert door_screws(perimeter * INCH, SHOP, 0) == screws


@pytest.mark.parametrize(("holding", "screws"), [(9, 10), (14, 14), (15, 15), (16, 10)])
def test_the_opening_face_takes_as_many_screws_as_hold_it_or_else_straps_must(holding: int, screws: int) -> None:
    assert door_screws(160 * INCH, SHOP, holding) == screws

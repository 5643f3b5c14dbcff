"""The view of a crate: every part numbered once, numbers apart, nothing beyond the drawing."""

from dataclasses import replace

import pytest

from nesting.crates.model import Box, Crate, Placed
from nesting.drawings.crate import crate_drawing
from nesting.drawings.explode import things
from nesting.drawings.scene import Circle, Line, Text
from tests.nesting.drawings.builds import random_builds
from tests.nesting.drawings.overlap import beyond_paper, overlaps


@pytest.fixture(scope="module")
def crates() -> list[Crate]:
    return [crate for build in random_builds(8, start=70) for crate in build.crates]


def test_numbers_stand_for_every_part_that_can_be_seen(crates: list[Crate]) -> None:
    numbered = wanted = 0
    for crate in crates:
        drawing = crate_drawing(crate, 540, 380)
        assert drawing is not None
        assert set(drawing.names) == {each.part for each in things(crate)}
        texts = [item.text for item in drawing.scene.items if isinstance(item, Text)]
        assert len(set(texts)) == len(texts)
        assert set(texts) <= {str(n + 1) for n in range(len(drawing.names))}
        numbered += len(texts)
        wanted += len(drawing.names)
    assert numbered > 0.93 * wanted


def test_the_drawing_fits_and_nothing_overlaps(crates: list[Crate]) -> None:
    for crate in crates:
        drawing = crate_drawing(crate, 540, 380)
        assert drawing is not None
        assert drawing.scene.paper[0] / 203_200 * 72 <= 540.5
        assert not overlaps(drawing.scene)
        assert not beyond_paper(drawing.scene)
        circles = [i for i in drawing.scene.items if isinstance(i, Circle) and i.radius > 3]
        for i, one in enumerate(circles):
            for other in circles[:i]:
                gap = ((one.centre[0] - other.centre[0]) ** 2 + (one.centre[1] - other.centre[1]) ** 2) ** 0.5
                assert gap > 2 * one.radius * 203_200 / 72 * drawing.scene.scale


def test_the_largest_crate_is_drawn(crates: list[Crate]) -> None:
    largest = max(crates, key=lambda c: len(c.placed))
    drawing = crate_drawing(largest, 540, 380)
    assert drawing is not None
    assert sum(isinstance(i, Line) for i in drawing.scene.items) > 50


def test_nothing_placed_gives_no_drawing(crates: list[Crate]) -> None:
    assert crate_drawing(replace(crates[0], placed=(), pieces_placed=(), rides=()), 540, 380) is None


def test_very_many_parts_still_fit_their_room(crates: list[Crate]) -> None:
    many = tuple(
        Placed(
            f"K1.part-{i}",
            0,
            Box((i % 12) * 3_000_000, (i // 12) * 3_000_000, 0, 2_000_000, 2_000_000, 900_000),
            "other",
        )
        for i in range(140)
    )
    drawing = crate_drawing(replace(crates[0], placed=many, pieces_placed=(), rides=()), 540, 380)
    assert drawing is not None
    assert drawing.scene.paper[1] / 203_200 * 72 <= 381
    assert not overlaps(drawing.scene)
    assert not beyond_paper(drawing.scene)
    assert len([item for item in drawing.scene.items if isinstance(item, Text)]) == 140

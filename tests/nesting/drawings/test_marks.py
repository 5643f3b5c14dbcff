"""Handling marks: those that crates ask for are drawn; the mark of ISPM 15 never is."""

import pytest

from nesting.drawings.marks import NAMES, mark_scene
from nesting.drawings.scene import POINT
from tests.nesting.drawings.builds import random_builds
from tests.nesting.drawings.overlap import beyond_paper


@pytest.mark.parametrize("name", sorted(NAMES))
def test_every_named_mark_is_drawn_inside_its_square(name: str) -> None:
    scene = mark_scene(name, 54)
    assert scene is not None
    assert scene.width == scene.height == 54 * POINT
    assert len(scene.items) > 2
    assert not beyond_paper(scene)


def test_crates_ask_only_for_marks_that_there_are() -> None:
    asked = {mark for build in random_builds(10) for crate in build.crates for mark in crate.marks}
    assert {"fragile", "this way up"} <= asked
    assert {mark for mark in asked if mark_scene(mark) is None} == set()


@pytest.mark.parametrize("name", ["ispm 15", "ippc", "HT"])
def test_the_treatment_mark_is_never_drawn(name: str) -> None:
    assert mark_scene(name) is None

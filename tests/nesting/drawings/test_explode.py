"""Taking apart: parts that share no space assembled share none apart, and all keep their size."""

from itertools import pairwise

import pytest

from nesting.crates.model import Box, Crate
from nesting.drawings.explode import contents, explode, layers, lifted_out, things
from nesting.drawings.solid import Solid
from tests.nesting.drawings.builds import random_builds


@pytest.fixture(scope="module")
def crates() -> list[Crate]:
    return [crate for build in random_builds(10) for crate in build.crates]


def bounding(solid: Solid) -> tuple[tuple[float, float], ...]:
    return tuple((min(c[i] for c in solid.corners), max(c[i] for c in solid.corners)) for i in range(3))


def share_space(one: Solid, other: Solid) -> bool:
    """Whether two upright boxes share more than a touch."""
    return all(a[0] < b[1] - 2 and b[0] < a[1] - 2 for a, b in zip(bounding(one), bounding(other), strict=True))


def test_nothing_shares_space_apart(crates: list[Crate]) -> None:
    checked = 0
    for crate in crates:
        placed = things(crate)
        solids = explode(placed, contents(crate))
        for i, one in enumerate(solids):
            for j in range(i):
                if placed[i].profile or placed[j].profile:
                    continue  # halves of a French cleat hook into each other: their boxes overlap, they do not
                if not placed[i].box.meets(placed[j].box):
                    checked += 1
                    assert not share_space(one, solids[j]), f"{crate.crate}: {placed[i].part}, {placed[j].part}"
    assert checked > 1000


def test_parts_keep_their_size(crates: list[Crate]) -> None:
    for crate in crates:
        for placed, solid in zip(things(crate), explode(things(crate), contents(crate)), strict=True):
            assert solid.name == placed.part
            sizes = [round(high - low) for low, high in bounding(solid)]
            assert sizes == [placed.box.dx, placed.box.dy, placed.box.dz]


def test_layers_run_from_back_to_front(crates: list[Crate]) -> None:
    for crate in crates:
        groups = layers(crate.placed)
        assert sorted(i for group in groups for i in group) == list(range(len(crate.placed)))
        for behind, before in pairwise(groups):
            assert max(crate.placed[i].box.z + crate.placed[i].box.dz for i in behind) <= min(
                crate.placed[i].box.z for i in before
            )


def test_what_lies_before_the_contents_is_lifted_out_with_them() -> None:
    piece, pad, frame = Box(0, 0, 10, 50, 50, 5), Box(10, 10, 15, 5, 5, 5), Box(60, 0, 0, 5, 50, 30)
    assert lifted_out([piece, pad, frame], [0]) == {0, 1}


def test_nothing_to_take_apart() -> None:
    assert explode([]) == []

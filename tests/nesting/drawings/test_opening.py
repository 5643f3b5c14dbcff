"""The side that opens: what comes off is the lid, the front slats, or the case face that lies over all the others."""

import pytest

from nesting.crates.model import Crate
from nesting.crates.opening import FRONT, RIGHT
from nesting.drawings.opening import opening_scene, opening_side
from nesting.drawings.scene import Arrow
from tests.nesting.drawings.builds import random_builds
from tests.nesting.drawings.overlap import beyond_paper


@pytest.fixture(scope="module")
def crates() -> list[Crate]:
    return [crate for build in random_builds(25, start=300) for crate in build.crates]


def test_lids_and_front_slats_come_off_to_the_front(crates: list[Crate]) -> None:
    seen = set()
    for crate in crates:
        if crate.method in ("closed", "battened", "travel"):
            found = opening_side(crate)
            assert found is not None
            side, off = found
            assert side == FRONT
            roles = {crate.placed[i].role for i in off}
            assert roles <= {"lid", "batten", "seam batten", "slat"}
            assert ("slat" if crate.method == "travel" else "lid") in roles
            # Skids reach under the lid, which clears them: it begins at the body's lower edge.
            rest = [p.box.z + p.box.dz for i, p in enumerate(crate.placed) if i not in off and p.role != "skid"]
            assert min(crate.placed[i].box.z for i in off) >= max(rest)
            assert min(crate.placed[i].box.y for i in off) >= 0
            seen.add(crate.method)
    assert seen == {"closed", "battened", "travel"}


def test_the_opening_face_of_a_case_can_leave_without_passing_through_wood(crates: list[Crate]) -> None:
    sides = set()
    for crate in crates:
        if crate.method != "outer":
            continue
        found = opening_side(crate)
        assert found is not None
        side, off = found
        sides.add(side)
        for i in off:
            a = crate.placed[i].box
            for j, other in enumerate(crate.placed):
                if j in off or other.role in ("skid", "outrigger"):
                    continue
                b = other.box
                if side == FRONT:
                    ahead = (
                        b.z + b.dz > a.z
                        and b.x < a.x + a.dx
                        and a.x < b.x + b.dx
                        and b.y < a.y + a.dy
                        and a.y < b.y + b.dy
                    )
                else:
                    ahead = (
                        b.x + b.dx > a.x
                        and b.z < a.z + a.dz
                        and a.z < b.z + b.dz
                        and b.y < a.y + a.dy
                        and a.y < b.y + b.dy
                    )
                assert not ahead, f"{crate.crate}: {other.part} is before {crate.placed[i].part}"
    assert sides
    assert sides <= {FRONT, RIGHT}


def test_the_view_fits_and_has_an_arrow(crates: list[Crate]) -> None:
    for crate in crates[:30]:
        scene = opening_scene(crate, 500, 170)
        assert (scene is None) == (crate.method == "carton")
        if scene is not None:
            assert scene.paper[1] * 72 / 203_200 <= 170.5
            assert sum(isinstance(item, Arrow) for item in scene.items) == 1
            assert not beyond_paper(scene)

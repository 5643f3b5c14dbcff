"""The drill map: mirrored as seen from outside, to scale, every point where its coordinates say."""

import pytest

from nesting.base.measure import INCH, LB_KG
from nesting.crates.expand import expand
from nesting.crates.model import Crate
from nesting.drawings.crate import crate_drawing
from nesting.drawings.drill import drill_scene, half_held
from nesting.drawings.scene import BOLD, HIDDEN, Circle, Polygon, Scene, Text, bounds
from nesting.order import Artwork, Back, Order
from nesting.shop.shop_file import default_shop
from tests.nesting.drawings.builds import random_builds
from tests.nesting.drawings.overlap import beyond_paper, overlaps


@pytest.fixture(scope="module")
def crates() -> list[Crate]:
    return [crate for build in random_builds(8, start=40) for crate in build.crates if crate.drill]


def drawn(crate: Crate) -> Scene:
    scene = drill_scene(crate, 540, 480, "inch")
    assert scene is not None
    return scene


def back_of(scene: Scene) -> tuple[float, float]:
    """Return the lower left corner of the back in its drawing."""
    outline = next(item for item in scene.items if isinstance(item, Polygon) and item.pen == BOLD)
    box = bounds(outline.points)
    return box.left, box.bottom


def test_points_are_where_they_say(crates: list[Crate]) -> None:
    assert len(crates) > 5
    for crate in crates:
        scene = drawn(crate)
        left, bottom = back_of(scene)
        found = sorted(
            (round(i.centre[0] - left), round(i.centre[1] - bottom))
            for i in scene.items
            if isinstance(i, Circle) and i.radius == 2.0
        )
        assert found == sorted((each.x, each.y) for each in crate.drill)


def test_points_lie_in_the_part_that_takes_the_screw_seen_from_behind(crates: list[Crate]) -> None:
    checked = 0
    for crate in crates:
        scene = drawn(crate)
        left, bottom = back_of(scene)
        for point in crate.drill:
            cleats = [i for i in scene.items if isinstance(i, Polygon) and i.tip == point.into and i.pen == HIDDEN]
            assert cleats, f"{crate.crate}: {point.into} is not on the map"
            assert any(
                box.left < left + point.x < box.right and box.bottom < bottom + point.y < box.top
                for box in (bounds(cleat.points) for cleat in cleats)
            )
            checked += 1
    assert checked > 40


def test_every_point_is_numbered_and_nothing_overlaps(crates: list[Crate]) -> None:
    for crate in crates:
        scene = drawn(crate)
        numbers = [i.text for i in scene.items if isinstance(i, Text) and i.bold]
        assert set(numbers) <= {str(n + 1) for n in range(len(crate.drill))}
        assert len(numbers) >= 0.9 * len(crate.drill)
        assert not overlaps(scene)
        assert not beyond_paper(scene)


def test_a_crate_without_screws_has_no_map() -> None:
    carton = next(c for b in random_builds(12) for c in b.crates if c.method == "carton")
    assert drill_scene(carton, 500, 400, "inch") is None


def test_screws_of_the_buyers_halves_have_squares_and_the_others_none(crates: list[Crate]) -> None:
    """A travel frame's removal screws are as many as its fixings say; only the other ones are squared."""
    frames = [crate for crate in crates if crate.method == "travel"]
    assert frames
    for crate in crates:
        held = [half_held(crate, point) for point in crate.drill]
        removal = sum(fixing.count for fixing in crate.fixings if fixing.purpose.startswith("removal screws"))
        kept = sum(fixing.count for fixing in crate.fixings if fixing.purpose == "slats to the buyer's halves")
        assert (held.count("piece"), held.count("hanging")) == (removal, kept)
        scene = drawn(crate)
        left, bottom = back_of(scene)
        squares = [
            box
            for item in scene.items
            if isinstance(item, Polygon) and not item.tip and item.pen not in (BOLD, HIDDEN, None)
            for box in (bounds(item.points),)
        ]
        for point, half in zip(crate.drill, held, strict=True):
            x, y = left + point.x, bottom + point.y
            own = [b for b in squares if abs(b.left + b.right - 2 * x) < 4 and abs(b.bottom + b.top - 2 * y) < 4]
            assert len(own) == (half == "hanging")


@pytest.mark.parametrize("method", ["battened", "travel"])
def test_bearing_pads_are_dashed_and_take_no_screw(method: str) -> None:
    piece = Artwork(
        "A-01", 40 * INCH, 72 * INCH, 7 * INCH // 4, weight_kg=60 * LB_KG, back=Back("solid"), method=method
    )
    crate = next(crate for crate in expand(Order("o", (piece,)), default_shop()) if crate.drill)
    pads = {(p.box.x, p.box.y) for p in crate.placed if p.role == "bearing pad"}
    assert pads
    scene = drawn(crate)
    left, bottom = back_of(scene)
    dashed = [(i.tip, bounds(i.points)) for i in scene.items if isinstance(i, Polygon) and i.pen == HIDDEN]
    assert len({box for _, box in dashed}) == len(dashed), "each layer of a pad or cleat is not drawn again"
    shown = [box for tip, box in dashed if ".pad" in tip]
    assert len(shown) == len(pads)
    for point in crate.drill:
        x, y = left + point.x, bottom + point.y
        assert not any(box.left < x < box.right and box.bottom < y < box.top for box in shown)
    assert not overlaps(scene)
    taken_apart = crate_drawing(crate, 540, 480)
    assert taken_apart is not None
    assert f"{crate.crate}.pad" in taken_apart.names
    assert not overlaps(taken_apart.scene)

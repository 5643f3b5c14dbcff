"""Corners of frames as they are drawn: every screw that the bench counts, in the middle of what it goes into."""

from dataclasses import replace

import pytest

from nesting.base.measure import INCH
from nesting.crates.expand import expand
from nesting.crates.model import Crate
from nesting.drawings.corner import corner_faces
from nesting.order import Artwork, Back, Order
from nesting.shop.shop import Shop
from nesting.shop.shop_file import default_shop

SHOP = default_shop()


def made(method: str, shop: Shop = SHOP, depth: int = 2) -> Crate:
    back = Back("strainer", bar_width=3 * INCH, bar_depth=3 * INCH // 2)
    work = Artwork("A-01", 36 * INCH, 48 * INCH, depth * INCH, method=method, back=back)
    return next(crate for crate in expand(Order("o", (work,)), shop) if crate.method == method)


def counted(crate: Crate, purpose: str) -> int:
    return sum(each.count for each in crate.fixings if each.purpose.startswith(purpose))


@pytest.mark.parametrize("method", ["closed", "battened", "travel"])
@pytest.mark.parametrize("through", [True, False])
@pytest.mark.parametrize("depth", [2, 5])
def test_every_screw_of_a_corner_is_drawn_in_the_middle_of_what_it_goes_into(
    method: str, through: bool, depth: int
) -> None:
    shop = replace(SHOP, frame=replace(SHOP.frame, rails_run_through=through))
    crate = made(method, shop, depth)
    upper, *others = corner_faces(crate)
    assert upper.key == ("corner rail" if through else "corner stile")
    spots = [spot for face in (upper, *others) for spot in face.spots]
    drawn = 4 * len(spots)
    assert drawn == sum(
        counted(crate, purpose) for purpose in ("rails to stiles", "strips to corner", "stiles to corner")
    )
    thickness = shop.good(shop.frame.frame_good).thickness
    joint = [spot for spot in upper.spots if spot.y < thickness]
    assert {spot.y for spot in joint} == {thickness // 2}
    assert len(joint) == counted(crate, "rails to stiles") // 4
    assert min(spot.x for spot in joint) == upper.width - max(spot.x for spot in joint) == INCH
    for face in (upper, *others):
        under = [shown.at for shown in face.shown if shown.look == "hidden"]
        for spot in face.spots:
            assert INCH // 2 <= spot.x <= face.width - INCH // 2
            assert any(
                left <= spot.x <= left + wide and 2 * spot.y == 2 * low + high - high % 2
                for left, low, wide, high in under
            )
    block = [spot for spot in spots if spot not in joint]
    assert all(abs(one.x - other.x) >= 3 * INCH // 8 for one in block for other in joint)


def test_what_has_no_frame_has_no_corners() -> None:
    work = Artwork("A-01", 9 * INCH, 12 * INCH, INCH, method="carton", surface="paint")
    assert corner_faces(expand(Order("o", (work,)), SHOP)[0]) == ()

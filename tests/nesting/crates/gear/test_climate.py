"""Air inside a crate, and bags of silica gel behind a piece: worked by hand, placed, told, or left out with a word."""

from dataclasses import replace
from decimal import Decimal

import pytest

from nesting.base.measure import INCH, MM
from nesting.crates.gear.climate import Bag, air_inside, bag_places, bags_wanted
from nesting.crates.model import Box, Crate
from nesting.crates.registry import method_of
from nesting.crates.shells.battened import battened
from nesting.crates.shells.closed import closed
from nesting.crates.traits import Packing
from nesting.order import Artwork, Back
from nesting.shop.shop import Shop
from nesting.shop.shop_file import default_shop
from tests.read_steps import read
from tests.structure_geometry import geometry_faults

SHOP = default_shop()
BAG = Bag.of(SHOP.good("silica-gel"))
OFF = replace(SHOP, gear=replace(SHOP.gear, climate=False))
PIECE = Artwork("A-01", 36 * INCH, 40 * INCH, 3 * INCH // 2, weight_kg=Decimal(9), back=Back("solid"))


def packing(piece: Artwork = PIECE, country: str = "GB", shop: Shop = SHOP) -> Packing:
    return Packing("K1", (piece,), shop, "test", country=country)


def bags(crate: Crate) -> int:
    return sum(item.count for item in crate.piecework if item.good == "silica-gel")


def test_a_bag_weighs_ten_grams_more_than_its_gel() -> None:
    assert (BAG.gel_g, BAG.length, BAG.width, BAG.thickness) == (250.0, 7 * INCH, 5 * INCH, INCH // 2)
    larger = Bag.of(replace(SHOP.good("silica-gel"), each_g=510.0))
    assert (larger.gel_g, larger.length) == (500.0, 14 * INCH)


def test_air_is_what_solids_leave() -> None:
    """A cubic metre, a block of a tenth of it inside, half of another of the same that stands out of it."""
    metre = 1000 * MM
    room = Box(0, 0, 0, metre, metre, metre)
    block = Box(0, 0, 0, metre, metre, metre // 10)
    beside = Box(metre // 2, 0, metre // 2, metre, metre, metre // 10)
    assert air_inside(room, [block, beside, Box(2 * metre, 0, 0, metre, metre, metre)]) == pytest.approx(0.85)


@pytest.mark.parametrize(("air", "wanted"), [(0.324, 4), (0.05, 1), (0.0843, 2), (0.0842, 1)])
def test_whole_bags(air: float, wanted: int) -> None:
    """0.324 m3 ask for 0.961 kg: four of 250 g; one bag does for 0.25 x 35 / (30 x 17.3 x 0.2) = 0.0843 m3."""
    assert bags_wanted(air, BAG, packing()) == wanted


def test_bags_lie_beside_what_lies_there() -> None:
    """Between a lower and an upper row in a room of 20 x 20 in: 1/2 in from rows, edges and each other."""
    rows = [Box(0, 0, 0, 20 * INCH, 3 * INCH, 3 * INCH // 4), Box(0, 17 * INCH, 0, 20 * INCH, 3 * INCH, 3 * INCH // 4)]
    room = Box(0, 0, 0, 20 * INCH, 20 * INCH, 3 * INCH // 4)
    placed = bag_places(BAG, [room], rows, 3)
    half = INCH // 2
    assert [(b.x, b.y, b.dx, b.dy) for b in placed[:2]] == [
        (half, 3 * INCH + half, 7 * INCH, 5 * INCH), (8 * INCH, 3 * INCH + half, 7 * INCH, 5 * INCH),
    ]  # fmt: skip
    assert placed[2].y == 9 * INCH
    assert len(bag_places(BAG, [room], rows, 9)) == 4, "no more than there is room for"
    thin = replace(room, dz=BAG.thickness + INCH // 8 - 1)
    assert bag_places(BAG, [thin], [], 1) == []
    assert len(bag_places(BAG, [thin, room], rows, 1)) == 1, "behind the next piece"


@pytest.mark.parametrize("country", ["", "US"])
def test_gel_goes_abroad_only(country: str) -> None:
    crate = closed(packing(country=country))
    assert bags(crate) == 0
    assert not any(check.name.startswith("air inside") for check in crate.checks)


def test_a_crate_abroad_has_its_gel_behind_the_piece() -> None:
    crate = closed(packing())
    assert bags(crate) == sum(each.role == "gel" for each in crate.gear) == 1
    assert geometry_faults(crate, [PIECE], SHOP) == []
    told = next(step for step in crate.steps if "silica gel" in step.text)
    assert "1 bag of silica gel" in told.text
    assert "two bands of tape over each" in read(crate)
    (check,) = [check for check in crate.checks if check.name == "air inside, humidity"]
    assert check.verdict == "info"
    home = closed(packing(country=""))
    assert crate.tare_kg - home.tare_kg == pytest.approx(0.26, abs=0.02), "a bag of 260 g, and its tape"
    assert crate.work.fittings == home.work.fittings + 1
    tape = {item.good: item.count for item in crate.piecework}["tape"]
    assert tape == 2 * round(15 * 25.4), "two bands over 7 in and 4 in at both ends"


def test_a_large_crate_has_several() -> None:
    piece = replace(PIECE, width=60 * INCH, height=90 * INCH, depth=2 * INCH)
    crate = battened(packing(piece))
    assert bags(crate) > 2
    assert geometry_faults(crate, [piece], SHOP) == []


def test_without_room_behind_a_word_and_no_price() -> None:
    """Cleats of its own are part of the piece: how much room there is behind it nobody measured."""
    piece = replace(PIECE, back=Back("cleated", cleat_thickness=3 * INCH // 4, cleat_width=3 * INCH))
    crate = closed(packing(piece))
    assert bags(crate) == 0
    assert any(
        text.startswith("silica gel: 1 bag wanted, and behind the pieces is room for 0") for text in crate.warnings
    )


def test_what_is_told_of_climate() -> None:
    crate = closed(packing(country=""))
    texts = read(crate)
    for words in ("6 to 10 % moisture", "Seal the inside", "butted tight at a lower corner"):
        assert words in texts
    assert not any(text.startswith("climate") for text in crate.warnings)
    # That it waits before it is opened is for whoever opens it: on the page that rides in it.
    assert any("24 hours" in line for line in method_of(crate).texts_for(crate).opening)


def test_turned_off_it_is_left_to_people() -> None:
    crate = closed(packing(shop=OFF))
    texts = read(crate)
    for words in ("moisture", "Seal", "butted", "24 hours", "silica"):
        assert words not in texts
    assert len([text for text in crate.warnings if text.startswith("climate is left to you")]) == 1
    assert bags(crate) == 0


def test_turned_off_it_takes_no_more_than_before() -> None:
    """All but the bead of hot glue is as before: four corners of 4-1/8 in at 20 g a metre are 8.4 g."""
    on, off = closed(packing(country="")), closed(packing(country="", shop=OFF))
    assert (on.parts, on.sticks, on.placed, on.bolts, on.fixings) == (
        off.parts, off.sticks, off.placed, off.bolts, off.fixings,
    )  # fmt: skip
    more = {item.good: item.count for item in on.piecework}
    for item in off.piecework:
        more[item.good] -= item.count
    assert {good: count for good, count in more.items() if count} == {"hot-glue": 9}

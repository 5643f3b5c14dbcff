"""Three crates of a shop by millimetres, worked by hand from its rules: a closed one, frames in a case, a carton.

Each figure has its sum beside it. What a rule is stands in ``nesting/shop/rules_metric.toml``; what is reckoned is set
to whole millimetres, up for what must hold something and down for what must stay short of something.
"""

from collections import Counter
from decimal import Decimal
from functools import cache
from typing import Any

import pytest

from nesting.base.measure import MM
from nesting.crates.expand import expand
from nesting.crates.model import Crate
from nesting.order import Artwork, Order
from nesting.shop.shop_file import default_shop

SHOP = default_shop("metric")


@cache
def crates(method: str, sides: tuple[int, int, int], kg: str, count: int = 1) -> tuple[Crate, ...]:
    """Pack so many alike pieces of resin on panel by a method."""
    width, height, depth = (side * MM for side in sides)
    pieces = tuple(
        Artwork(f"A-{number}", width, height, depth, weight_kg=Decimal(kg), method=method)
        for number in range(1, count + 1)
    )
    return expand(Order("by hand", pieces, "metric"), SHOP)


def cut(crate: Crate) -> dict[str, Any]:
    """Return good, length, width and number of every part of sheets, by its name without the crate's."""
    return {p.name.partition(".")[2]: (p.good, p.length / MM, p.width / MM, p.count) for p in crate.parts}


def sticks(crate: Crate) -> dict[str, Any]:
    return {s.name.partition(".")[2]: (s.good, s.length / MM, s.count) for s in crate.sticks}


def bought(crate: Crate) -> Counter[str]:
    return Counter({item.good: item.count for item in crate.piecework})


def outside(crate: Crate) -> tuple[float, ...]:
    size = crate.outside
    return size.width / MM, size.height / MM, size.depth / MM


# -- a closed crate: 760 x 760 x 38 mm, 4.5 kg -------------------------------------------------------------------------


def test_parts_of_a_closed_crate() -> None:
    (crate,) = crates("closed", (760, 760, 38), "4.5")
    parts = cut(crate)
    # Frame 760 + 150 = 910, rails over the ends of stiles of 18: 910 - 2 x 18 = 874. Cleats of 18 and 9 mm, so strips
    # of 38 + 27 + 25 = 90 (under 900 mm of piece: 25 over its depth).
    assert parts["rail"] == ("ply-18", 910, 90, 2)
    assert parts["stile"] == ("ply-18", 874, 90, 2)
    assert parts["back"] == ("ply-9", 910, 910, 1)
    assert parts["lid"] == ("ply-9", 910, 910, 1)
    assert parts["corner-block"] == ("ply-18", 90, 50, 4)
    # Cleats keep 25 mm from each end of the piece: 760 - 50.
    assert parts["cleat-low"] == parts["cleat-high"] == ("ply-18", 710, 75, 1)
    assert parts["cleat-low-layer"] == parts["cleat-high-layer"] == ("ply-9", 710, 75, 1)
    # The piece begins (910 - 760) / 2 = 75 mm up. Its lower row: 75 + 12 + 75 / 2 = 124.5, down to a step of 5: 120.
    # The cleat's lower edge is 120 - 37.5 = 82.5, set to 83; from the rail's 18 mm a setting block is 65 high.
    assert parts["setting-block"] == ("ply-18", 65, 75, 2)
    # Foam below and above between the corner blocks: 910 - 4 x 18. Below it keeps free of the blocks: 90 - 27.
    assert parts["liner-bottom"] == ("foam-board-25", 838, 63, 1)
    assert parts["liner-top"] == ("foam-board-25", 838, 90, 1)
    # At the sides 874 - 2 x 50 = 774 between the corner blocks, in two round the handle's backing block of 150.
    assert parts["backing-block"] == ("ply-18", 150, 90, 2)
    assert {parts[side][2:] for side in ("liner-side", "liner-side-2")} == {(90, 2)}
    assert parts["liner-side"][1] + parts["liner-side-2"][1] == 774 - 150
    assert len(parts) == 15


def test_places_of_a_closed_crate() -> None:
    (crate,) = crates("closed", (760, 760, 38), "4.5")
    # Handles stand 25 mm off either side: 910 + 50. Back, strips and lid: 9 + 90 + 9.
    assert outside(crate) == (960, 910, 108)
    ((_, box),) = crate.pieces_placed
    assert (box.x, box.y, box.z) == (75 * MM, 75 * MM, 36 * MM)  # 9 + 27 from the back
    # Rows 25 mm from the cleats' ends (100 + 25, 810 - 25) and in the middle; the upper one 835 - 12 - 37.5 = 785.5,
    # down to 785. Stop: the least that back and cleat have, 8.5 + 8.5 + 17.1 = 34.1, less 3 that the tip stays short:
    # 31.
    assert [(point.x / MM, point.y / MM) for point in crate.drill] == [
        (125, 120), (455, 120), (785, 120), (125, 785), (455, 785), (785, 785),
    ]  # fmt: skip
    assert {point.stop for point in crate.drill} == {"31 mm"}
    low, high = (next(p.box for p in crate.placed if p.part.endswith(name)) for name in ("cleat-low", "cleat-high"))
    assert (high.y - low.y) / MM == 748 - 83  # 785 - 37.5 = 747.5, set to 748 as 82.5 is to 83
    # Handles within 5 mm of the centre of gravity.
    assert all(abs(each.box.y + each.box.dy / 2 - crate.centre[1]) <= 5 * MM for each in crate.gear)


def test_screws_and_weight_of_a_closed_crate() -> None:
    (crate,) = crates("closed", (760, 760, 38), "4.5")
    # Back and lid: screws 9 mm from the edge, 910 - 18 = 892 a side; 5 spaces of 178 keep to 200: 4 x 5 each. Two a
    # corner block, six that mount the piece: 20 + 20 + 8 + 6 = 54. Corners: two each, 8. Setting blocks two each, 4.
    assert {good: bought(crate)[good] for good in bought(crate) if good.startswith("screw")} == {
        "screw 5x30": 54, "screw 4.5x60": 8, "screw 5x40": 6, "screw 5x25": 4,
    }  # fmt: skip
    assert bought(crate)["washer-5"] == 6
    assert bought(crate)["gasket"] == 4 * 910
    thin = 2 * 910 * 910 + 2 * 710 * 75
    thick = 2 * 910 * 90 + 2 * 874 * 90 + 4 * 90 * 50 + 2 * 710 * 75 + 2 * 65 * 75 + 2 * 150 * 90
    foam = 838 * 63 + 838 * 90 + 2 * (774 - 150) * 90
    wood_kg = 560 * (thin * 9 + thick * 18) / 1000**3  # 13.746
    foam_kg = 25 * foam * 25 / 1000**3  # 0.150
    hardware_kg = sum(SHOP.good(good).each_g * count for good, count in bought(crate).items()) / 1000
    assert wood_kg == pytest.approx(13.746, abs=0.001)
    assert crate.tare_kg == pytest.approx(wood_kg + foam_kg + hardware_kg, abs=0.005)
    assert all(check.verdict != "fails" for check in crate.checks)


# -- two travel frames in a case: 1000 x 1200 x 40 mm, 14 kg each ------------------------------------------------------


def test_parts_of_a_travel_frame() -> None:
    frame, other, _ = crates("travel", (1000, 1200, 40), "14", 2)
    parts = cut(frame)
    assert cut(other) == parts
    # 1000 + 150 by 1200 + 150; stiles 1350 - 2 x 18. One half of a cleat behind: 40 + 18 + 40 (over 900 mm) = 98.
    assert parts["rail"] == ("ply-18", 1150, 98, 2)
    assert parts["stile"] == ("ply-18", 1314, 98, 2)
    assert parts["liner-bottom"] == parts["liner-top"] == ("foam-board-25", 1150 - 4 * 18, 98, 1)
    assert parts["liner-side"] == ("foam-board-25", 1314 - 2 * 50, 98, 2)
    # Three slats each side from 900 mm; from 1200 mm those that carry are 140 wide.
    assert parts["slat-back"] == ("ply-18", 1150, 140, 2)
    assert parts["slat-back-2"] == ("ply-18", 1150, 90, 1)
    assert parts["slat-front"] == ("ply-18", 1150, 90, 3)
    # Halves 50 mm short of each side of the piece. Both of one blank, ripped at 45 degrees: 2 x 75 - 18 + 1.41421 x 3.2
    # = 136.5, up to 137.
    assert parts["french-cleat-low"] == parts["french-cleat-high"] == ("ply-18", 1000 - 2 * 50, 137, 1)
    halves = sorted(p.box.y / MM for p in frame.placed if p.part.endswith("french-cleat-low"))
    assert halves[1] - halves[0] == 75 - 18  # they overlap by their thickness
    assert outside(frame) == (1150, 1350, 18 + 98 + 18)
    # Film: around 2 x (1150 + 134) + 75, along 1350 + 2 x 134.
    (film,) = frame.rolls
    assert (film.length / MM, film.width / MM) == (2643, 1618)
    assert sum(len(each.drill) for each in (frame, other)) == 2 * 12  # four and two to each of two halves


def test_parts_of_their_case() -> None:
    *_, case = crates("travel", (1000, 1200, 40), "14", 2)
    parts, lumber = cut(case), sticks(case)
    # Around the frames on each side board 11, a shim of 18 and foam of 50: 79 mm; the foam alone would not clear lumber
    # of 63. Width 1150 + 158 = 1308, height 1350 + 158 = 1508 on skids of 89, depth 2 x 134 + 25 + 158 = 451.
    deep = 2 * 134 + 25 + 158
    assert case.outside.width == 1308 * MM
    assert case.outside.height == (1508 + 89) * MM
    first, second = (ride for _, ride in case.rides)
    assert first.x == second.x == 79 * MM
    assert second.z - first.z == (134 + 25) * MM
    # The end on the right closes over all: the long faces are 1308 - 11 = 1297, more than 1250: two panels on a seam.
    # Top, bottom and the other end lie between them: 451 - 22 = 429; that end between top and bottom: 1508 - 22.
    assert parts["right"] == ("osb-11", 1508, deep, 1)
    assert parts["top"] == parts["bottom"] == ("osb-11", 1297, deep - 22, 1)
    assert parts["left"] == ("osb-11", 1486, deep - 22, 1)
    for face in ("front", "back"):
        assert parts[face][:2] == parts[f"{face}-2"][:2] == ("osb-11", 1508)
        assert parts[face][2] + parts[f"{face}-2"][2] == 1297
    # Lumber inside the boards: 1297 - 11; uprights between the long ones, 1486 - 2 x 63; deep ones between both, 429 -
    # 76.
    assert lumber["edge-long"] == ("timber 38x63", 1286, 4)
    assert lumber["edge-upright"] == ("timber 38x63", 1360, 4)
    assert lumber["seam-lumber"] == ("timber 38x63", 1360, 2)
    assert lumber["edge-deep"] == ("timber 38x63", 353, 4)
    # A spacer of 25 at either side, as high as the frames; foam under them along the row of 2 x 134 + 25 = 293.
    assert parts["spacer"] == ("foam-board-25", 1350, 75, 2)
    assert parts["pad-base"] == ("pe-plank-50", 293, 110, 2)
    assert parts["shim-base"] == ("ply-18", 293, 110, 2)
    assert all(check.verdict != "fails" for check in case.checks)


# -- a carton: 300 x 400 x 30 mm, 2.5 kg -------------------------------------------------------------------------------


def test_a_carton() -> None:
    (crate,) = crates("carton", (300, 400, 30), "2.5")
    # Glassine of 0.05: around 2 x (400 + 30) + 75 = 935, along 300 + 2 x 30 = 360. From 1.5 to 3 kg three layers of
    # foam of 3 mm, each over the last: 300.1 x 400.1 x 30.1, then 6 mm more each way. Around 2 x 430.2 + 75 = 935.4, 2
    # x 442.2 + 75 = 959.4, 2 x 454.2 + 75 = 983.4; along 300.1 + 60.2 = 360.3, 306.1 + 72.2 = 378.3, 312.1 + 84.2 =
    # 396.3: all up.
    sheets = [(each.good, each.length / MM, each.width / MM) for each in crate.rolls]
    assert sheets[:4] == [
        ("glassine", 935, 360), ("foam-wrap", 936, 361), ("foam-wrap", 960, 379), ("foam-wrap", 984, 397),
    ]  # fmt: skip
    # Wrapped it is 318.1 x 418.1 x 48.1: boards to the next 2 mm, 320 x 420, and 9 + 49 + 9 = 67 deep. Three sheets of
    # soft foam, 60 mm on each side: 440 x 540 x 187. The carton of 450 x 600 is drawn out to 190; its two parts lie
    # one in the other, four walls of 7 mm each way: 450 + 28, 600 + 28, 190 + 28.
    parts = cut(crate)
    assert parts["board"] == ("ply-9", 420, 320, 2)
    assert parts["pad"] == ("soft-foam-20", 125, 67, 2 * 4 * 3)  # on four edges, as deep as the parcel, three layers
    assert parts["pad-2"][0] == "soft-foam-20"
    assert parts["pad-2"][3] == 4 * 2 * 3  # in four corners of both faces
    assert bought(crate)["telescoping carton 600x450"] == 1
    assert outside(crate) == (478, 628, 218)
    ((_, box),) = crate.pieces_placed
    # In the middle: 14 + (450 - 300) / 2 = 89, 14 + (600 - 400) / 2 = 114.
    assert (box.x / MM, box.y / MM) == (89, 114)
    boards_kg = 2 * 420 * 320 * 9 * 560 / 1000**3
    foam_kg = sum(n * a * b * 20 * 32 for _, a, b, n in (parts["pad"], parts["pad-2"])) / 1000**3
    carton_kg = 1.4
    paper_kg = sum(
        each.length * each.width * SHOP.good(each.good).thickness * SHOP.good(each.good).density / MM**3
        for each in crate.rolls
    ) / 1000**3  # fmt: skip
    tape_kg = bought(crate)["tape"] * 0.003 / 1000
    assert boards_kg + foam_kg + carton_kg == pytest.approx(1.355 + 0.227 + 1.4, abs=0.001)
    assert crate.tare_kg == pytest.approx(boards_kg + foam_kg + carton_kg + paper_kg + tape_kg, abs=0.02)
    assert all(check.verdict != "fails" for check in crate.checks)

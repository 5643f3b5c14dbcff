"""The battened crate: facts of common practice, a seamed giant, mounting through back and batten."""

from dataclasses import replace
from decimal import Decimal

from nesting.base.measure import INCH
from nesting.crates.model import Crate
from nesting.crates.shells.battened import battened
from nesting.crates.traits import Packing
from nesting.order import Artwork, Back
from nesting.shop.shop_file import default_shop

SHOP = default_shop()


def make(width: float, height: float, kg: float, depth: float = 2, back: Back | None = None) -> Crate:
    piece = Artwork(
        "A-01",
        int(width * INCH),
        int(height * INCH),
        int(depth * INCH),
        weight_kg=Decimal(str(kg)),
        back=back or Back("strainer", 5 * INCH // 2, 3 * INCH // 2),
    )
    return battened(Packing("K1", (piece,), SHOP, "test"))


def goods(crate: Crate, *roles: str) -> set[str]:
    parts = {part.name: part for part in crate.parts}
    return {parts[p.part].good for p in crate.placed if p.role in roles}


def test_faces_and_battens_are_three_eighths() -> None:
    # Common practice, no source: 3/8 in back and lid, each stiffened with 3/8 in battens.
    crate = make(60, 40, 18)
    assert goods(crate, "back", "lid", "batten") == {"ply-3/8"}
    assert {check.verdict for check in crate.checks if check.name == "back, bending"} == {"ok"}


def test_mounting_screws_pass_through_the_back_beside_its_uprights() -> None:
    # 1-1/4 in: 0.344 + 0.688 + 0.344 in of back and cleats at the least, less 1/8 in, is 1.251 in; its washer of 1 in
    # keeps 1/8 in from the sides of uprights.
    crate = make(60, 40, 18)
    assert {drill.screw for drill in crate.drill} == {"#10 x 1-1/4"}
    uprights = [p.box for p in crate.placed if p.part.startswith("K1.back-upright")]
    assert len(uprights) == 2
    for drill in crate.drill:
        x = crate.shell.width - drill.x
        assert all(x <= box.x - 5 * INCH // 8 or x >= box.x + box.dx + 5 * INCH // 8 for box in uprights)


def test_screws_through_the_faces_reach_the_frame() -> None:
    crate = make(60, 40, 18)
    by_face = {
        face: [fixing for fixing in crate.fixings if fixing.purpose.startswith(purpose)]
        for face, purpose in (("back", "back to the frame"), ("lid", "lid,"))
    }
    for (found,), face in zip(by_face.values(), ("back", "lid"), strict=True):
        through = SHOP.good(next(iter(goods(crate, face)))).thickness
        assert SHOP.good(found.good).breadth - through >= 3 * INCH // 4


def test_a_60_by_100_in_piece_comes_out_right() -> None:
    crate = make(60, 100, 18)
    assert (crate.shell.width, crate.shell.height) == (66 * INCH, 106 * INCH)
    for face in ("back", "lid"):
        panels = [part for part in crate.parts if part.panel_of == f"K1.{face}"]
        assert sum(part.length * part.width * part.count for part in panels) == 66 * INCH * 106 * INCH
    # Seams: 23/32 in battens, 5-1/2 in wide, one over each; all battens of the face are as thick.
    seam = [p for p in crate.placed if p.role == "seam batten"]
    assert goods(crate, "batten", "seam batten") == {"ply-23/32"}
    assert {min(p.box.dx, p.box.dy) for p in seam} == {11 * INCH // 2}
    # Stiles of 104-9/16 in are longer than a sheet: spliced, with a gusset over each joint.
    assert len([p for p in crate.placed if p.role == "stile"]) == 4
    assert len([p for p in crate.placed if p.role == "gusset"]) == 2
    seam_screws = [f for f in crate.fixings if f.purpose.startswith("seam battens")]
    assert {f.good for f in seam_screws} == {"screw 10x1"}


def test_depth_counts_the_thickest_batten_on_either_side() -> None:
    plain, seamed = make(60, 40, 18), make(60, 100, 18)
    for crate, batten in ((plain, 3 * INCH // 8), (seamed, 23 * INCH // 32)):
        strip = next(p.box.dz for p in crate.placed if p.role == "rail")
        back = next(p.box.dz for p in crate.placed if p.role == "back")
        assert crate.outside.depth == strip + back + 3 * INCH // 8 + 2 * batten


def test_a_giant_that_no_door_passes_is_said_before_anything_is_cut() -> None:
    crate = make(60, 100, 18)
    assert any("passage" in warning for warning in crate.warnings)


def test_a_back_that_does_not_hold_is_said_with_the_way_out() -> None:
    pieces = tuple(
        Artwork(name, 48 * INCH, 72 * INCH, 5 * INCH // 2, weight_kg=Decimal(181), set_name="d") for name in "LR"
    )
    crate = battened(Packing("K1", pieces, SHOP, "an 800 lb diptych"))
    failing = [check for check in crate.checks if check.structure and check.verdict == "fails"]
    assert failing
    assert all("one crate for each piece" in check.would_pass for check in failing)
    assert crate.lift == "forks"
    assert "handle" not in {item.good for item in crate.piecework}
    names = [check.name for check in crate.checks]
    assert {"mounting screws, withdrawal, L", "mounting screws, withdrawal, R"} <= set(names)


def test_a_piece_too_heavy_for_the_screws_that_find_room_fails_its_check() -> None:
    crate = make(12, 30, 90)
    failing = {check.name for check in crate.checks if check.structure and check.verdict == "fails"}
    assert "mounting screws, withdrawal" in failing


def test_a_shop_may_staple_its_battens_while_the_glue_sets() -> None:
    piece = Artwork("A-01", 60 * INCH, 40 * INCH, 2 * INCH, weight_kg=Decimal(18))
    stapled = replace(SHOP, battens=replace(SHOP.battens, staple="staple"))
    crate = battened(Packing("K1", (piece,), stapled, "test"))
    fixings = [fixing for fixing in crate.fixings if "battens to the" in fixing.purpose]
    assert {fixing.good for fixing in fixings} == {"staple"}
    # Three inches apart, both ends: 46 in of upright take 16 steps and one.
    uprights = [p for p in crate.placed if p.role == "batten"]
    assert sum(fixing.count for fixing in fixings) == crate.work.staples
    assert crate.work.staples == sum(-(-max(p.box.dx, p.box.dy) // (3 * INCH)) + 1 for p in uprights)


def test_a_shop_may_tie_a_piece_to_its_back_where_it_would_not_bear_its_own_span() -> None:
    soft = Back("strainer", 3 * INCH // 2, INCH)
    piece = Artwork("A-01", 40 * INCH, 60 * INCH, 2 * INCH, weight_kg=Decimal(20), back=soft)
    loose, tied = (
        battened(Packing("K1", (piece,), replace(SHOP, cleats=replace(SHOP.cleats, tie=tie)), "test"))
        for tie in (False, True)
    )
    own = [next(check for check in crate.checks if check.name == "the piece's own span") for crate in (loose, tied)]
    assert own[0].verdict == "watch"
    assert "a bar across its middle" in own[0].note
    assert own[0].ratio is not None
    assert own[1].ratio is not None
    assert own[1].ratio < own[0].ratio
    assert {p.role for p in loose.placed} - {p.role for p in tied.placed} == {"bearing pad"}
    assert [p.part for p in tied.placed if "cleat-middle" in p.part and "layer" not in p.part] == ["K1.cleat-middle"]

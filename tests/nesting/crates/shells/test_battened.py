"""The battened crate: facts of common practice, a seamed giant, mounting through back and batten."""

from decimal import Decimal

import pytest

from nesting.base.measure import INCH, format_length
from nesting.crates.model import Crate
from nesting.crates.shells.battened import battened
from nesting.crates.traits import Packing, Refused
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
    assert {check.verdict for check in crate.checks if check.name == "back, bending"} <= {"ok", "watch"}


def test_cleat_screws_pass_through_back_and_batten() -> None:
    # Common practice, no source. 1-1/4 in: 0.344 + 0.344 + 0.688 in at the least, less 1/8 in, is 1.251 in.
    crate = make(60, 40, 18)
    assert {drill.screw for drill in crate.drill} == {"#10 x 1-1/4"}
    assert {part.good for part in crate.parts if part.name == "K1.back-crosspiece"} == {"ply-3/8"}


def test_screws_through_batten_and_back_reach_the_frame() -> None:
    # The battens are on before back meets frame, and lie along its edges: 3/8 and 3/8 in to go through, as in the lid.
    crate = make(60, 40, 18)
    by_face = {
        face: [fixing for fixing in crate.fixings if fixing.purpose.startswith(purpose)]
        for face, purpose in (("back", "back to the frame"), ("lid", "lid,"))
    }
    assert [[each.good for each in found] for found in by_face.values()] == [["screw 8x2-1/2"], ["screw 8x2-1/2"]]
    for (found,), face in zip(by_face.values(), ("back", "lid"), strict=True):
        through = SHOP.good("ply-3/8").thickness + SHOP.good(next(iter(goods(crate, face)))).thickness
        assert SHOP.good(found.good).breadth - through >= INCH


def test_a_60_by_100_in_piece_comes_out_right() -> None:
    crate = make(60, 100, 18)
    assert (crate.outside.width, crate.outside.height) == (66 * INCH, 106 * INCH)
    for face in ("back", "lid"):
        panels = [part for part in crate.parts if part.panel_of == f"K1.{face}"]
        assert [(p.name, format_length(p.length), format_length(p.width)) for p in panels] == [
            (f"K1.{face}-1", "94", "33"),
            (f"K1.{face}-2", "94", "33"),
            (f"K1.{face}-3", "66", "12"),
        ]
        assert [p.seam for p in panels] == [33 * INCH, 33 * INCH, 94 * INCH]
    # Seams: 23/32 in battens, 5-1/2 in wide, one over each.
    seam = [p for p in crate.placed if p.role == "seam batten"]
    assert len(seam) == 4
    assert goods(crate, "seam batten") == {"ply-23/32"}
    assert {min(p.box.dx, p.box.dy) for p in seam} == {11 * INCH // 2}
    # Stiles of 104-9/16 in are longer than a sheet: spliced, with a gusset over each joint.
    assert len([p for p in crate.placed if p.role == "stile"]) == 4
    assert len([p for p in crate.placed if p.role == "gusset"]) == 2
    seam_screws = [f for f in crate.fixings if f.purpose.startswith("seam battens")]
    assert {f.good for f in seam_screws} == {"screw 10x1"}


def test_depth_counts_the_thickest_batten_on_either_side() -> None:
    plain, seamed = make(60, 40, 18), make(60, 100, 18)
    strips = [p.box.dz for c in (plain, seamed) for p in c.placed if p.role == "rail"]
    assert plain.outside.depth == strips[0] + 4 * 3 * INCH // 8
    back = next(SHOP.good(part.good).thickness for part in seamed.parts if part.panel_of == "K1.back")
    assert seamed.outside.depth == strips[-1] + back + 3 * INCH // 8 + 2 * 23 * INCH // 32


def test_a_giant_that_no_door_passes_is_said_before_anything_is_cut() -> None:
    crate = make(60, 100, 18)
    assert any("passage" in warning for warning in crate.warnings)


def test_a_back_that_does_not_hold_is_said_with_the_way_out() -> None:
    pieces = tuple(
        Artwork(name, 48 * INCH, 72 * INCH, 5 * INCH // 2, weight_kg=Decimal("90.7"), set_name="d") for name in "LR"
    )
    crate = battened(Packing("K1", pieces, SHOP, "a 400 lb diptych"))
    assert next(check for check in crate.checks if check.name == "back, bending").verdict == "fails"
    assert any("one crate for each piece" in warning for warning in crate.warnings)
    assert crate.lift == "forks"
    assert "handle" not in {item.good for item in crate.piecework}
    names = [check.name for check in crate.checks]
    assert {"mounting screws, withdrawal, L", "mounting screws, withdrawal, R"} <= set(names)


def test_a_piece_too_heavy_for_its_cleats_is_refused() -> None:
    with pytest.raises(Refused, match="no room for") as refused:
        make(12, 30, 90)
    assert refused.value.reasons[0].piece == "A-01"

"""Faces of a case divided although a sheet takes them whole."""

from dataclasses import replace

from nesting.base.measure import INCH
from nesting.crates.cases.case_cuts import divided
from nesting.crates.cases.shape import sketch
from nesting.crates.chosen import CaseDesign
from nesting.crates.traits import Casing
from nesting.cutting.parts import Part
from nesting.cutting.sheets import Sheet
from nesting.cutting.yardstick import fill
from tests.nesting.crates.cases.test_shape import SHOP, casing, piece

BOARD = SHOP.case.face_good


def faces(chosen: Casing) -> list[Part]:
    return [part for part in sketch(chosen).parts if part.good == BOARD]


def sheets(chosen: Casing) -> int:
    found = fill(faces(chosen), [Sheet("4x8", 96 * INCH, 48 * INCH, cost=1)], SHOP.saw.kerf)
    assert found is not None
    return found


def test_divided_faces_come_out_of_fewer_sheets_and_of_panels_as_broad_as_the_rule() -> None:
    several = casing(piece("A", 56, 54), piece("B", 54, 50))
    ruled = replace(several, design=CaseDesign(post="2x2"))
    found = [replace(ruled, design=design) for design in divided(ruled, 4)]
    assert 0 < len(found) <= 4
    assert all(each.design.seams and each.design.post == "2x2" for each in found)
    assert min(map(sheets, found)) < sheets(ruled)
    whole = len(faces(ruled))
    for each in found:
        assert len(faces(each)) > whole
        narrow = [part for part in faces(each) if min(part.length, part.width) < SHOP.battens.panel_least]
        assert not narrow
    assert divided(replace(ruled, crate="K1"), 4) == divided(ruled, 4)


def test_faces_that_fill_their_sheets_are_not_divided() -> None:
    """Front and back of three frames of 42 in take one sheet, the other faces another: 93 % of both."""
    three = casing(*(piece(name, 36, 36, 2.25) for name in "ABC"))
    two = 2 * INCH
    assert divided(replace(three, design=CaseDesign(foam=(two, two, two), post="2x2")), 4) == ()

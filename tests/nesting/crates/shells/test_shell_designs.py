"""Designs to choose from: each is what the crate takes that is built to it, holds every proof, and bears as much."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, note, reject, settings
from hypothesis import strategies as st

from nesting.base.measure import INCH
from nesting.crates.cases.consignment import Grouping
from nesting.crates.chosen import SHELL_AS_RULED, ShellDesign
from nesting.crates.expand import expand
from nesting.crates.model import Crate
from nesting.crates.registry import maker, method
from nesting.crates.shells.frame import framed
from nesting.crates.shells.seams import Stock
from nesting.crates.shells.shell_designs import designs, sketch
from nesting.crates.sketch import sketch_of
from nesting.crates.traits import Packing, Refused
from nesting.cutting.parts import Part
from nesting.order import Artwork, Back, Order
from nesting.shop.shop_file import default_shop, shop_from
from tests.nesting.crates.proofs import prove
from tests.nesting.crates.test_shell_geometry import SHOP, pieces

STOCK = Stock.of(SHOP.good("ply-3/8"), SHOP.saw)
BATTENED, CLOSED = method("battened"), method("closed")


def piece(width: float, height: float, name: str = "A-01", *, by: str = "auto", kg: float = 12) -> Artwork:
    """Make a piece on a strainer, 2 in deep, its sides in inches."""
    sides = (int(width * INCH), int(height * INCH), 2 * INCH)
    return Artwork(name, *sides, weight_kg=Decimal(str(kg)), back=Back("strainer", 5 * INCH // 2, INCH), method=by)


def packing(made: Artwork, crate: str = "K1") -> Packing:
    return Packing(crate, (made,), default_shop(), "test")


def faces(parts: Sequence[Part]) -> Counter[tuple[float, float]]:
    """Return the sizes of backs and lids and their panels, in inches, each as often as it is cut."""
    found: Counter[tuple[float, float]] = Counter()
    for part in parts:
        if part.name.split(".")[1].split("-")[0] in ("back", "lid") and part.grain == "any":
            found[part.length / INCH, part.width / INCH] += part.count
    return found


def test_what_the_rules_give_comes_first_and_is_what_is_made() -> None:
    wanted = packing(piece(44, 60))
    first, *others = designs(wanted, BATTENED)
    assert first == SHELL_AS_RULED
    assert len(others) >= 5
    assert sketch(wanted, BATTENED, first) == sketch_of(maker("battened")(wanted))


def test_designs_differ_in_what_is_cut() -> None:
    wanted = packing(piece(44, 60))
    told = [made for design in designs(wanted, BATTENED) if (made := sketch(wanted, BATTENED, design)) is not None]
    assert len({made.parts for made in told}) == len(told) > 5


def test_a_seamed_face_may_have_a_panel_as_wide_as_every_sheet() -> None:
    # 44 + 6 in is 2 in more than a sheet is wide, 47-15/16 in being what every sheet of plywood has.
    wanted = packing(piece(44, 60))
    assert faces(maker("battened")(wanted).parts).total() == 4
    told = [made for design in designs(wanted, BATTENED) if (made := sketch(wanted, BATTENED, design)) is not None]
    assert {(50, 47.9375): 2, (50, 18.0625): 2} in [faces(made.parts) for made in told]


def test_faces_a_little_larger_than_a_sheet_are_brought_within_it() -> None:
    # 43 + 6 = 49 in; with 4-7/8 in, 2-7/16 in a side, they are 47-7/8 x 64-7/8 in: one sheet each.
    wanted = packing(piece(43, 60))
    (smaller,) = [design for design in designs(wanted, BATTENED) if design.larger_by]
    assert smaller == ShellDesign(larger_by=39 * INCH // 8)
    made = sketch(wanted, BATTENED, smaller)
    assert made is not None
    assert faces(made.parts) == {(64.875, 47.875): 2}
    crate = maker("battened")(replace(wanted, shell=smaller))
    assert crate.design is not None
    assert crate.design.text.endswith("frame 4 7/8 in larger than what hangs in it")
    prove(crate, framed(replace(wanted, shell=smaller)).shop)


@pytest.mark.parametrize(("width", "smaller"), [(42, False), (43.4375, True), (43.5, False), (46, False)])
def test_a_frame_leaves_room_beside_its_liner(width: float, smaller: bool) -> None:
    # 23/32 in of strip, 1 in of liner, 1/2 in free, twice: 4-7/16 in at the least; borders go by 1/16 in, so 4-1/2 in
    # larger, and 43-7/16 in is the widest that comes within 47-15/16.
    found = [design.larger_by for design in designs(packing(piece(width, 60)), BATTENED) if design.larger_by]
    assert found == ([9 * INCH // 2] if smaller else [])


def test_faces_a_little_larger_than_half_a_sheet_are_brought_within_it() -> None:
    # 36 x 43 in: faces of 42 x 49, one from a sheet. With 4-7/8 in they are 40-7/8 x 47-7/8, and two lie on one, since
    # (95-15/16 - 1/8) / 2 = 47-29/32.
    wanted = packing(piece(36, 43))
    (smaller,) = [design for design in designs(wanted, CLOSED) if design.larger_by]
    assert smaller == ShellDesign(larger_by=39 * INCH // 8)
    made = sketch(wanted, CLOSED, smaller)
    assert made is not None
    assert faces(made.parts) == {(47.875, 40.875): 2}
    assert [STOCK.takes(49 * INCH, 42 * INCH), STOCK.sure.takes(383 * INCH // 8, 327 * INCH // 8)] == [1, 2]


@pytest.mark.parametrize(("rule", "smaller"), [("0 in", False), ("1 in", False), ("1 1/8 in", True)])
def test_a_shop_says_how_much_smaller_a_frame_may_be(rule: str, smaller: bool) -> None:
    # 43 + 6 in is 1-1/16 in more than every sheet has; the border goes by 1/16 in, so it takes 1-1/8 in less.
    shop = shop_from({"frame": {"smaller_by": rule}}, "shop.toml")
    wanted = replace(packing(piece(43, 60)), shop=shop)
    assert any(design.larger_by for design in designs(wanted, BATTENED)) == smaller
    asked = replace(wanted, shell=ShellDesign(larger_by=39 * INCH // 8))
    assert (maker("battened")(asked).shell.width == 383 * INCH // 8) == smaller


def test_a_closed_crate_a_little_larger_than_a_sheet_is_made_within_one() -> None:
    made = maker("closed")(packing(piece(42.5, 60)))
    assert faces(made.parts) == {(65.375, 47.875): 2}
    with pytest.raises(Refused, match="larger than every"):
        maker("closed")(packing(piece(44, 60)))


def test_a_chosen_design_of_the_short_list_is_built() -> None:
    wanted = packing(piece(30, 40))
    chosen = [design for design in designs(wanted, CLOSED) if design.design]
    assert chosen
    for design in chosen:
        made = maker("closed")(replace(wanted, shell=design))
        assert made.design is not None
        assert made.design.key == design.design
        assert sketch(wanted, CLOSED, design) == sketch_of(made)


def test_a_design_that_is_on_no_list_is_passed_over() -> None:
    wanted = packing(piece(30, 40))
    nowhere = ShellDesign((("back", 4), ("roof", 2)), "b9-c9")
    assert maker("closed")(replace(wanted, shell=nowhere)) == maker("closed")(wanted)
    assert sketch(wanted, CLOSED, nowhere) is None


@pytest.mark.parametrize("by", ["carton", "travel"])
def test_other_methods_have_the_one_design(by: str) -> None:
    wanted = packing(piece(20, 16, kg=2))
    assert designs(wanted, method(by)) == (SHELL_AS_RULED,)
    assert sketch(wanted, method(by), SHELL_AS_RULED) == sketch_of(maker(by)(wanted))


def test_what_cannot_be_made_has_no_sketch() -> None:
    wanted = packing(piece(60, 100))
    assert designs(wanted, CLOSED) == (SHELL_AS_RULED,)
    assert sketch(wanted, CLOSED, SHELL_AS_RULED) is None


def test_equal_pieces_share_what_was_found_under_names_of_their_own() -> None:
    first, second = packing(piece(44, 60)), packing(piece(44, 60, "A-02"), "K2")
    second = replace(second, memory=first.memory)
    for design in designs(first, BATTENED)[1::4]:
        one = sketch(first, BATTENED, design)
        known = len(first.memory)
        other = sketch(second, BATTENED, design)
        assert len(first.memory) == known
        if one is None or other is None:
            assert one is other
            continue
        assert {part.name.split(".")[0] for part in other.parts} == {"K2"}
        assert other == sketch_of(maker("battened")(replace(second, shell=design, memory={})))


def test_an_order_is_built_to_what_was_chosen_for_its_crates() -> None:
    order = Order("invented", (piece(44, 60), piece(44, 60, "A-02")))
    wanted = packing(piece(44, 60))
    chosen = next(design for design in designs(wanted, BATTENED) if design.patterns)
    ruled, other = expand(order, default_shop(), grouping=Grouping((), shells=(("A-02", chosen),)))
    told = sketch(wanted, BATTENED, chosen)
    assert told is not None
    assert faces(ruled.parts) == faces(maker("battened")(wanted).parts)
    assert faces(other.parts) == faces(told.parts) != faces(ruled.parts)


def failing(crate: Crate) -> set[str]:
    return {check.name for check in crate.checks if check.verdict == "fails"}


@given(piece=pieces(110 * INCH), plain=st.booleans(), number=st.integers(0, 15))
@settings(max_examples=6)
def test_any_design_that_is_told_is_built_as_told_and_holds_every_proof(
    piece: Artwork, plain: bool, number: int
) -> None:
    by = CLOSED if plain else BATTENED
    wanted = Packing("K1", (piece,), SHOP, "test")
    try:
        ruled = maker(by.name)(wanted)
    except Refused as refused:
        note(str(refused))
        reject()
    told = designs(wanted, by)
    design = told[number % len(told)]
    found = sketch(wanted, by, design)
    if found is None:
        return
    crate = maker(by.name)(replace(wanted, shell=design, memory={}))
    assert found == sketch_of(crate)
    assert failing(crate) <= failing(ruled)
    prove(crate, framed(replace(wanted, shell=design)).shop)

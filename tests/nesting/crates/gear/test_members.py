"""Members of a case: sawn or laminated, spliced where they are long."""

from hypothesis import given
from hypothesis import strategies as st

from nesting.base.measure import INCH
from nesting.crates.bench import Bench
from nesting.crates.gear.members import Lumber, part_of, section_of
from nesting.crates.model import Box
from nesting.shop.shop_file import default_shop

SHOP = default_shop()


def test_laminated_members_are_about_as_thick_as_lumber() -> None:
    sawn, glued = (section_of("2x3", SHOP, laminated=laminated) for laminated in (False, True))
    assert (glued.plies, glued.breadth) == (2, sawn.breadth)
    assert glued.thick == 2 * SHOP.good("ply-23/32").thickness
    assert abs(glued.thick - sawn.thick) <= INCH // 8


@given(st.integers(10 * INCH, 400 * INCH), st.booleans())
def test_every_length_is_made_of_stock(length: int, laminated: bool) -> None:
    """Strips fill the member exactly, none longer than the stock; sawn joints are plated, laminated ones staggered."""
    section = section_of("2x3", SHOP, laminated=laminated)
    bench = Bench("K1", SHOP)
    lumber = Lumber(bench, section)
    whole = Box(0, 0, 0, length, section.breadth, section.thick)
    lumber.put("edge", whole, along="x", flat="z")
    wood = [p.box for p in bench.placed if p.role == "case lumber"]
    assert sum(box.volume for box in wood) == whole.volume
    assert max(box.dx for box in wood) <= section.longest
    assert not any(one.meets(other) for n, one in enumerate(wood) for other in wood[n + 1 :])
    plates = [p.box for p in bench.placed if p.role == "gusset"]
    if laminated:
        assert not plates
        joints = [{box.x for box in wood if box.z == z and box.x} for z in sorted({box.z for box in wood})]
        assert not set.intersection(*joints) or not joints[0]
    else:
        ends = sorted(box.x for box in wood if box.x)
        assert sorted(plate.x + plate.dx // 2 for plate in plates) == ends
        assert all(plate.z == section.thick for plate in plates)


@given(st.integers(146 * INCH, 200 * INCH), st.integers(20 * INCH, 130 * INCH))
def test_a_plate_keeps_clear_of_other_lumber(length: int, at: int) -> None:
    section = section_of("2x3", SHOP, laminated=False)
    bench = Bench("K1", SHOP)
    avoid = (at, at + 5 * INCH // 2)
    Lumber(bench, section).put(
        "edge", Box(0, 0, 0, length, section.breadth, section.thick), along="x", flat="z", avoid=[avoid]
    )
    (plate,) = [p.box for p in bench.placed if p.role == "gusset"]
    assert plate.x + plate.dx <= avoid[0] or avoid[1] <= plate.x
    assert max(stick.length for stick in bench.sticks) <= section.longest


def test_a_part_of_a_box_is_cut_along_its_axis() -> None:
    assert part_of(Box(1, 2, 3, 10, 20, 30), "y", 5, 7) == Box(1, 7, 3, 10, 7, 30)

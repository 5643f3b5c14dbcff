"""Steps: in the order of the work, with the cautions where they belong, with the counts of the hardware."""

from dataclasses import replace
from decimal import Decimal
from itertools import pairwise

import pytest

from nesting.base.measure import INCH, MM, UnitSystem, format_length
from nesting.crates.expand import expand
from nesting.crates.model import Crate
from nesting.crates.shells.battened import battened
from nesting.crates.shells.closed import closed
from nesting.crates.traits import Packing
from nesting.order import Artwork, Order
from nesting.shop.shop_file import default_shop

SHOP = default_shop()


def make(width: int, height: int, units: UnitSystem = "inch", name: str = "closed") -> Crate:
    piece = Artwork("A-01", width * INCH, height * INCH, 3 * INCH // 2, weight_kg=Decimal(9))
    packing = Packing("K1", (piece,), SHOP, "test", units=units)
    return closed(packing) if name == "closed" else battened(packing)


def at(crate: Crate, *words: str) -> int:
    """Return which step says all of these words."""
    (number,) = [n for n, step in enumerate(crate.steps) if all(word in step.text for word in words)]
    return number


def test_the_order_of_the_work() -> None:
    crate = make(60, 100, name="battened")
    order = [
        at(crate, "label each"),
        at(crate, "Splice"),
        at(crate, "screw the frame"),
        at(crate, "over each seam"),
        at(crate, "battens", "outside of the back"),
        at(crate, "battens", "outside of the lid"),
        # Back and cleats are drilled together while the back lies free; the pieces come last.
        at(crate, "Clamp the cleats", "drill back and cleat through together"),
        at(crate, "Open the", "holes in the back"),
        at(crate, "screw the back to the frame"),
        at(crate, "setting blocks to the back"),
        at(crate, "bearing pads to the inside"),
        at(crate, "Make two skids"),
        at(crate, "skid blocks"),
        at(crate, "Bolt the skids on"),
        at(crate, "foam liner"),
        at(crate, "cleats across its back"),
        at(crate, "on its setting blocks"),
        at(crate, "lid on"),
    ]
    assert order == sorted(order)
    # What stands by itself is ready when its lid is on; this one is moved by forks, and strapped to what holds it up.
    assert order[-1] == len(crate.steps) - 3
    assert "go in from the front or the back" in crate.steps[-2].text
    assert "A-frame" in crate.steps[-1].text


def test_cautions_stand_where_the_work_is() -> None:
    crate = make(30, 30)
    assert "Eye and ear protection" in crate.steps[0].caution
    assert "Nothing touches the face" in crate.steps[at(crate, "cleats across its back")].caution
    assert "not in the crate while anybody drills" in crate.steps[at(crate, "Clamp the cleats")].caution
    assert "never a short piece against the fence" in crate.steps[at(crate, "Short parts")].caution
    assert "lower screws come out first" in crate.steps[at(crate, "lid on")].caution
    assert "feet and forks clear" in crate.steps[-1].caution


def test_counts_agree_with_the_hardware() -> None:
    crate = make(30, 30)
    lid = next(fixing for fixing in crate.fixings if fixing.purpose.startswith("lid"))
    assert f"with {lid.count} screws" in crate.steps[at(crate, "lid on")].text
    assert f"Open the {len(crate.drill)} holes in the back" in crate.steps[at(crate, "Open the")].text
    assert f"with {len(crate.cleat_drill)} screws" in crate.steps[at(crate, "cleats across its back")].text


@pytest.mark.parametrize(("units", "says", "never"), [("inch", " in x ", " mm"), ("metric", " mm x ", " in x ")])
def test_lengths_are_written_in_the_orders_units(units: UnitSystem, says: str, never: str) -> None:
    text = " ".join(step.text for step in make(30, 30, units).steps)
    assert says in text
    assert never not in text


def test_the_stop_of_the_drill_never_lets_it_reach_the_artwork() -> None:
    # Closed, 3/8 in back, cleat of 3/8 and 23/32 in: 0.344 + 0.344 + 0.688 - 1/8 = 1.251 in, to the next lower 1/64 in.
    crate = make(30, 30)
    assert "drill 7/64 in, stop at 1 1/4 in" in crate.steps[at(crate, "Clamp the cleats")].text
    assert {(point.clearance, point.pilot, point.stop) for point in crate.drill} == {("1/4 in", "7/64 in", "1 1/4 in")}
    assert {point.bores for point in crate.drill} == {(INCH // 4, 7 * INCH // 64, 5 * INCH // 4)}


def test_holes_are_set_out_from_one_edge_the_first_and_then_every_so_much() -> None:
    crate = make(48, 30)
    text = crate.steps[at(crate, "Clamp the cleats")].text
    rows = sorted({point.y for point in crate.drill})
    for row in rows:
        across = sorted(point.x for point in crate.drill if point.y == row)
        every = across[1] - across[0]
        assert {b - a for a, b in pairwise(across)} == {every}
        assert across[0] % (INCH // 8) == every % (INCH // 8) == row % (INCH // 8) == 0
        said = f"row {format_length(row, mark=True)} up: first at {format_length(across[0], mark=True)}, then every"
        assert f"{said} {format_length(every, mark=True)}, {len(across)} in all" in text


def test_in_metric_units_holes_stand_on_steps_of_5_mm() -> None:
    piece = Artwork("A-01", 900 * MM, 600 * MM, 40 * MM, weight_kg=Decimal(9))
    (crate,) = expand(Order("o", (replace(piece, method="closed"),), units="metric"), SHOP)
    assert crate.drill
    assert {value % (5 * MM) for point in crate.drill for value in (point.x, point.y)} == {0}


def test_the_stop_for_pilots_into_the_piece_has_a_figure() -> None:
    # A screw of 1-1/2 in, its head 1/8 in below the cleat's face: its tip is 1-5/8 in from there.
    crate = make(30, 30)
    text = crate.steps[at(crate, "cleats across its back")].text
    assert "#10 x 1-1/2, heads sunk 1/8 in" in text
    # The second layer is bored out, so that the head lies as deep in the first one.
    assert "(bored out 1/2 in deep for the heads, through the second layer)" in text
    assert "into the piece with a stop at 1 5/8 in from there." in text
    assert "gauge stick: 26 in from lower edge to lower edge" in text


def test_places_are_measured_on_the_piece_itself() -> None:
    """A piece of 30 in: cleats 28 in long, 1 in from its sides; the drill map's rows are where they then lie."""
    crate = make(30, 30)
    text = crate.steps[at(crate, "cleats across its back")].text
    (_, place) = crate.pieces_placed[0]
    cleats = [placed.box for placed in crate.placed if placed.role == "cleat" and "-layer" not in placed.part]
    for box in cleats:
        up, side = (format_length(v, mark=True) for v in (box.y - place.y, box.x - place.x))
        assert f"lower edge {up} up, left end {side} from the left edge" in text
    assert len(cleats) == text.count("): lower edge") == 2
    for drill in crate.cleat_drill:
        right = crate.shell.width - place.x - place.dx
        box = next(b for b in cleats if b.y < drill.y < b.y + b.dy)
        left = crate.shell.width - box.x - box.dx
        assert left - right >= 0
        assert f"screws {format_length(drill.y - box.y, mark=True)} above its lower edge" in text
        assert drill.x > left


def test_blocks_handles_and_screws_have_figures() -> None:
    crate = make(30, 30)
    blocks = [placed.box for placed in crate.placed if placed.role == "setting block"]
    text = crate.steps[at(crate, "setting blocks to the back")].text
    assert all(format_length(box.x, mark=True) in text for box in blocks)
    lid = next(fixing for fixing in crate.fixings if fixing.purpose.startswith("lid"))
    apart = 2 * (crate.shell.width + crate.shell.height) // lid.count
    assert f"about {format_length(apart, denominator=2, mark=True)} apart" in crate.steps[at(crate, "lid on")].text
    heavy = make(40, 40)
    handles = [step.text for step in heavy.steps if "handles" in step.text]
    assert handles
    assert all(f"{format_length(heavy.centre[1], denominator=8, mark=True)} up" in text for text in handles)
    assert crate.lift in crate.steps[at(crate, "lid on")].text

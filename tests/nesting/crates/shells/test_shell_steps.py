"""Steps: in the order of the work, with the cautions where they belong, with the counts of the hardware."""

from dataclasses import replace
from decimal import Decimal
from itertools import pairwise

import pytest

from nesting.base.measure import INCH, MM, UnitSystem, format_length
from nesting.crates.expand import expand
from nesting.crates.model import Crate
from nesting.crates.registry import method_of
from nesting.crates.shells.battened import battened
from nesting.crates.shells.closed import closed
from nesting.crates.traits import Packing
from nesting.order import Artwork, Back, Order
from nesting.shop.shop_file import default_shop
from tests.read_steps import read

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
        at(crate, "gusset over each joint"),
        at(crate, "screw the frame"),
        at(crate, "panels of the back", "over each seam"),
        at(crate, "battens", "outside of the back"),
        at(crate, "panels of the lid", "over each seam"),
        at(crate, "battens", "outside of the lid"),
        # Back and cleats are drilled together while the back lies free; the pieces come last.
        at(crate, "clamp it inside the back", "drill back and cleat together"),
        at(crate, "open the", "holes in the back alone"),
        at(crate, "lay the back on"),
        at(crate, "Turn the crate over"),
        at(crate, "setting blocks to the inside"),
        at(crate, "bearing pads", "to the inside"),
        at(crate, "Make two skids"),
        at(crate, "skid blocks"),
        at(crate, "Bolt the skids on"),
        at(crate, "foam liner"),
        at(crate, "cleats lie across its back"),
        at(crate, "screw the cleats across its back"),
        at(crate, "Stand the crate upright and wedge it"),
        at(crate, "its lower cleat on the setting blocks"),
        at(crate, "Put the lid on"),
    ]
    assert order == sorted(order)
    # What stands by itself is ready when its lid is on; this one is moved by forks, and strapped to what holds it up.
    assert order[-1] == len(crate.steps) - 4
    assert "go in from the front or the back" in crate.steps[-3].text
    assert "A-frame" in crate.steps[-2].text
    assert "Strap it at once" in crate.steps[-1].text


def test_cautions_stand_where_the_work_is() -> None:
    crate = make(30, 30)
    assert "riving knife on" in crate.steps[0].caution
    assert "under 12 in come off a longer strip, at a stop block" in crate.steps[0].check
    assert "nothing touches the face" in crate.steps[at(crate, "cleats lie across its back")].caution
    assert "not in the crate while anybody drills" in crate.steps[at(crate, "clamp it inside the back")].caution
    assert "never stands free" in crate.steps[-2].caution
    # Who opens it again reads so on the page that rides in it.
    assert any("bottom screws first" in line for line in method_of(crate).texts_for(crate).opening)


def test_counts_agree_with_the_hardware() -> None:
    crate = make(30, 30)
    lid = next(fixing for fixing in crate.fixings if fixing.purpose.startswith("lid"))
    assert crate.steps[at(crate, "Put the lid on")].screw == f"{lid.count} × {lid.good}, in their pilots"
    assert crate.steps[at(crate, "Lay the lid on")].check.startswith(f"{lid.count} holes, about ")
    assert f"open the {len(crate.drill)} holes in the back" in crate.steps[at(crate, "open the")].text
    into = crate.steps[at(crate, "screw the cleats across its back")]
    assert into.screw == f"{len(crate.cleat_drill)} × screw 10x1-1/2"


@pytest.mark.parametrize(("units", "says", "never"), [("inch", " in x ", " mm"), ("metric", " mm x ", " in x ")])
def test_lengths_are_written_in_the_orders_units(units: UnitSystem, says: str, never: str) -> None:
    text = read(make(30, 30, units))
    assert says in text
    assert never not in text


def test_the_stop_of_the_drill_never_lets_it_reach_the_artwork() -> None:
    # Closed, 3/8 in back, cleat of 3/8 and 23/32 in: 0.344 + 0.344 + 0.688 - 1/8 = 1.251 in, to the next lower 1/64 in.
    crate = make(30, 30)
    step = crate.steps[at(crate, "clamp it inside the back")]
    assert (step.drill, step.stop) == ("7/64 in pilot", "1 1/4 in")
    assert {(point.clearance, point.pilot, point.stop) for point in crate.drill} == {("1/4 in", "7/64 in", "1 1/4 in")}
    assert {point.bores for point in crate.drill} == {(INCH // 4, 7 * INCH // 64, 5 * INCH // 4)}


def test_holes_are_set_out_from_one_edge_the_first_and_then_every_so_much() -> None:
    crate = make(48, 30)
    step = crate.steps[at(crate, "clamp it inside the back")]
    assert step.check == f"{len(crate.drill)} holes, each where drawn"
    for row in {point.y for point in crate.drill}:
        across = sorted(point.x for point in crate.drill if point.y == row)
        every = across[1] - across[0]
        assert {b - a for a, b in pairwise(across)} == {every}
        assert across[0] % (INCH // 8) == every % (INCH // 8) == row % (INCH // 8) == 0


def test_in_metric_units_holes_stand_on_steps_of_5_mm() -> None:
    piece = Artwork("A-01", 900 * MM, 600 * MM, 40 * MM, weight_kg=Decimal(9))
    (crate,) = expand(Order("o", (replace(piece, method="closed"),), units="metric"), SHOP)
    assert crate.drill
    assert {value % (5 * MM) for point in crate.drill for value in (point.x, point.y)} == {0}


def test_the_stop_for_pilots_into_the_piece_has_a_figure() -> None:
    # A screw of 1-1/2 in from the bottom of its bore, which goes through the outer layer and 1/8 in into the inner one.
    crate = make(30, 30)
    bore = crate.steps[at(crate, "bore its cleats")]
    assert (bore.drill, bore.stop) == ("1/2 in wide", "1/2 in")
    screwed = crate.steps[at(crate, "screw the cleats across its back")]
    assert (screwed.drill, screwed.stop) == ("7/64 in pilot", "1 1/2 in from the bore's bottom")
    assert "heads on the bottom of the bores" in screwed.text
    assert any(each.purpose.endswith("heads in bores 1/2 in deep") for each in crate.fixings)
    assert "from its ends" in bore.text
    assert crate.steps[at(crate, "cleats lie across its back")].check.startswith("gauge stick: 26 in, from")


def test_pieces_with_cleats_of_their_own_are_marked_and_drilled_out_of_the_crate() -> None:
    """Nobody drills towards a piece that stands in the crate: its pilots are marked through the back first."""
    back = Back("cleated", cleat_thickness=3 * INCH // 4, cleat_width=3 * INCH, cleat_low=2 * INCH, cleat_high=2 * INCH)
    piece = Artwork("A-01", 40 * INCH, 30 * INCH, 2 * INCH, weight_kg=Decimal(14), back=back)
    crate = closed(Packing("K1", (piece,), SHOP, "test"))
    through, mark, drill, fix = (
        at(crate, words)
        for words in ("through the back alone", "lift it out again", "pilots at the marks", "drives its screws")
    )
    assert through < mark < drill < fix
    assert crate.steps[through].drill == "1/4 in"
    point = crate.drill[0]
    held = SHOP.good(next(part.good for part in crate.parts if part.name == "K1.back")).greatest_thickness
    assert point.bores
    deep = point.bores[2] - held
    assert crate.steps[drill].stop == format_length(deep, "inch", 64, mark=True)
    # No deeper than the screw would come, and never through the cleat into what is before it.
    assert INCH // 4 < deep < back.cleat_thickness


def test_blocks_handles_and_screws_have_figures() -> None:
    crate = make(30, 30)
    # A block is nearly as high as it is wide: which way up it goes is said, and is what brings its top under the cleat.
    (low,) = {p.box.y for p in crate.placed if p.part == "K1.cleat-low"}
    (foot,) = {p.box.y for p in crate.placed if p.part == "K1.setting-block"}
    upright = f"{format_length(low - foot, denominator=32, mark=True)} upright"
    assert crate.steps[at(crate, "setting blocks to the inside")].text.endswith(f"as drawn, {upright}.")
    lid = next(fixing for fixing in crate.fixings if fixing.purpose.startswith("lid"))
    apart = 2 * (crate.shell.width + crate.shell.height) // lid.count
    step = crate.steps[at(crate, "Lay the lid on")]
    assert f"about {format_length(apart, denominator=2, mark=True)} apart" in step.check
    # What is only about so much is written to 5 mm, as a rule is read: here 182.9 mm.
    (about,) = [step.check for step in make(30, 30, "metric").steps if step.text.startswith("Lay the lid on")]
    assert about.startswith(f"{lid.count} holes, about 185 mm apart")
    heavy = make(40, 40)
    (handles,) = [step for step in heavy.steps if "handles to the outside" in step.text]
    assert f"{format_length(heavy.centre[1], denominator=8, mark=True)} up" in handles.check
    assert crate.lift in crate.steps[at(crate, "Put the lid on")].caution

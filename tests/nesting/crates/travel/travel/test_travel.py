"""Travel frames: the piece hangs between slats, and nothing touches its face."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import event, given, note
from hypothesis import strategies as st

from nesting.base.measure import INCH, MM, format_length
from nesting.crates.shells.piece_back import wood_depth
from nesting.crates.traits import Packing, Refused, RulesClash
from nesting.crates.travel.travel import travel
from nesting.crates.travel.travel_texts import TEXTS
from nesting.order import Artwork, Back
from nesting.shop.shop import Shop
from nesting.shop.shop_file import default_shop
from tests.nesting.crates.case_proofs import of, prove_disjoint, prove_hung, prove_parts_placed, prove_weight
from tests.read_steps import read
from tests.strategies import lengths

SHOP = default_shop()


def piece(width: float = 30, height: float = 40, depth: float = 2, **facts: Any) -> Artwork:
    facts.setdefault("weight_kg", Decimal(8))
    return Artwork("A-01", int(width * INCH), int(height * INCH), int(depth * INCH), **facts)


def packing(artwork: Artwork, shop: Shop = SHOP, **facts: Any) -> Packing:
    return Packing("K1", (artwork,), shop, "asked for", **facts)


@st.composite
def hangable(draw: st.DrawFn, longest: int = 110 * INCH) -> Artwork:
    """Pieces that hang on two pairs of French cleats."""
    width, height = draw(lengths(10 * INCH, longest)), draw(lengths(11 * INCH, longest))
    depth = draw(lengths(INCH, 6 * INCH))
    back = draw(
        st.one_of(
            st.just(Back("solid")),
            st.just(Back("cleated")),
            st.builds(
                lambda wide, deep: Back("strainer", wide, deep),
                lengths(3 * INCH // 2, 3 * INCH),
                lengths(3 * INCH // 4, depth),
            ),
        )
    )
    kg = Decimal(draw(st.integers(5, 400))) / 10
    return Artwork(
        "A-01", width, height, depth, weight_kg=kg, back=back, surface=draw(st.sampled_from(["resin", "bare"]))
    )


def measured(plywood: int, *, rails_run_through: bool) -> Shop:
    """Make a shop with its own measured plywood and corner joints."""
    goods = tuple(replace(g, thickness=plywood) if g.good == "ply-23/32" else g for g in SHOP.goods)
    return replace(SHOP, goods=goods, frame=replace(SHOP.frame, rails_run_through=rails_run_through))


SHOPS = (SHOP, measured(18 * MM, rails_run_through=False), measured(3 * INCH // 4, rails_run_through=True))


@given(hangable(), st.sampled_from(SHOPS))
def test_every_travel_frame_holds(artwork: Artwork, shop: Shop) -> None:
    """Nothing meets, everything comes off the stock, cleats hang on slats, screws stop short, the weight adds up."""
    note(str(artwork))
    try:
        crate = travel(packing(artwork, shop))
    except Refused:
        # A heavy piece may want more screws than short cleats have room for; a thin one may have no wood.
        heavy = float(artwork.weight_kg or 0) > artwork.width / INCH / 2
        event("refused")
        assert heavy or wood_depth(artwork, SHOP) < SHOP.cleats.piece_wood
        return
    prove_parts_placed(crate, shop)
    prove_disjoint(crate)
    prove_hung(crate, shop)
    prove_weight(crate, shop)


def test_the_same_frame_with_slats_and_cleats() -> None:
    """Two or three 3/4 in slats behind and before, French cleats top and bottom: common practice, no source."""
    crate = travel(packing(piece(30, 30)))
    assert (crate.outside.width, crate.outside.height) == (36 * INCH, 36 * INCH)
    slats = of(crate, "slat")
    assert len(slats) == 4
    assert {p.box.dz for p in slats} == {SHOP.good("ply-23/32").thickness}
    assert sum(1 for p in slats if p.box.z == 0) == 2
    assert len(of(crate, "french cleat")) == 4
    blanks = [part for part in crate.parts if "french-cleat" in part.name]
    assert [round(part.width / INCH, 3) for part in blanks] == [5.458, 5.458]
    third = travel(packing(piece(30, 60)))
    assert len(of(third, "slat")) == 6


def test_a_piece_that_may_travel_on_its_side_is_not_said_to_stand_on_its_cleats_alone() -> None:
    def told(*, turn: bool) -> str:
        return next(c.note for c in travel(packing(piece(30, 40, turn=turn))).checks if "lateral" in c.name)

    assert "on its side, only these screws carry it" in told(turn=True)
    assert "on its side" not in told(turn=False)


def test_the_frame_strips_keep_the_house_rule() -> None:
    """Depth 2, cleat 23/32, 1 in more: 3.72, up to the next 1/8: 3-3/4 in; over 36 in it is 1-1/2 in more: 4-1/4 in."""
    rails = [p.box.dz for p in of(travel(packing(piece(30, 30))), "rail")]
    assert set(rails) == {15 * INCH // 4}
    large = [p.box.dz for p in of(travel(packing(piece(30, 40))), "rail")]
    assert set(large) == {17 * INCH // 4}


def test_film_goes_over_the_outside_and_the_hanging_halves_to_the_buyer() -> None:
    """6-mil polyethylene stapled over the outside and never touching the surface: common practice, no source."""
    crate = travel(packing(piece(30, 30)))
    (film,) = crate.rolls
    deep = crate.outside.depth
    assert (film.good, film.length, film.width) == ("poly-6mil", 75 * INCH + 2 * deep, 36 * INCH + 2 * deep)
    assert crate.work.staples == next(item.count for item in crate.piecework if item.good == "staple") > 20
    assert len(crate.for_buyer) == 2
    assert all("buyer's half" in text for text in crate.for_buyer)


def test_stops_of_the_drill_have_figures() -> None:
    # Slat and half: 0.688 + 0.688 - 1/8 = 1.251 in at the most. Half and piece: 1-1/2 in and a head 1/8 in deep.
    crate = travel(packing(piece(30, 40)))
    assert {point.stop for point in crate.drill} == {"1 1/4 in"}
    (slats,) = [step for step in crate.steps if "from outside where drawn" in step.text]
    (halves,) = [step for step in crate.steps if "drill and screw the halves" in step.text]
    assert slats.stop == "1 1/4 in"
    assert (halves.drill, halves.stop) == ("7/64 in pilot", "1 5/8 in from the half's face")
    assert halves.screw == f"{len(crate.cleat_drill)} × screw 10x1-1/2"
    assert {(point.screw, point.stop) for point in crate.cleat_drill} == {("#10 x 1-1/2", "1 5/8 in")}


def test_unpacking_takes_the_lower_screws_first() -> None:
    """Bottom screws first, top ones last, one person holding the piece: common practice, no source."""
    opening = " ".join(TEXTS.opening)
    assert "One person holds the piece" in opening
    assert "the bottom screws first, the top ones last" in opening


def test_a_pour_waits_seventy_two_hours_since_nothing_touches_it() -> None:
    crate = travel(packing(piece(poured=date(2026, 6, 1))))
    assert crate.earliest_packing is not None
    assert f"{crate.earliest_packing:%Y-%m-%d %H:%M}" == "2026-06-05 00:00"


def test_a_slat_longer_than_a_sheet_is_joined_behind_its_cleat() -> None:
    """Cleats run across the joint with two screws on either side; plates lie only where nothing hangs."""
    crate = travel(packing(piece(110, 50)))
    assert max(part.length for part in crate.parts) <= 96 * INCH
    slats = [p.box for p in of(crate, "slat") if p.box.z == 0]
    joint = next(box.x for box in slats if box.x)
    cleats = of(crate, "french cleat")
    for half in ("hanging", "piece"):
        over = [p.box for p in cleats if p.half == half and p.box.x < joint < p.box.x + p.box.dx]
        assert len(over) == 2
        assert all(min(joint - box.x, box.x + box.dx - joint) >= 8 * INCH for box in over)
    rows = {drill.y for drill in crate.drill}
    assert len(rows) == 4
    for y in rows:
        near = [crate.outside.width - d.x - joint for d in crate.drill if d.y == y and d.into]
        assert len([x for x in near if 0 < x <= 6 * INCH]) >= 2
        assert len([x for x in near if -6 * INCH <= x < 0]) >= 2
    plates = [p for p in of(crate, "gusset") if "slat-plate" in p.part]
    assert len(plates) == 4
    purposes = {fixing.purpose: fixing.good for fixing in crate.fixings}
    short = SHOP.good(purposes["plates over splices of slats, glued"])
    assert short.breadth < SHOP.good("ply-3/8").least_thickness + SHOP.good("ply-23/32").least_thickness


def test_what_cannot_hang_is_refused_with_its_reason() -> None:
    with pytest.raises(Refused, match="for two pairs of French cleats"):
        travel(packing(piece(30, 8)))
    with pytest.raises(Refused, match="wood"):
        travel(packing(piece(depth=1.5, support="hollow-core panel")))
    with pytest.raises(Refused, match="one piece a frame"):
        travel(Packing("K1", (piece(), replace(piece(), piece="B")), SHOP, "set"))


def test_no_air_before_the_face_is_a_clash_of_rules() -> None:
    tight = replace(SHOP, frame=replace(SHOP.frame, depth_over=INCH // 2, depth_over_large=INCH // 2))
    with pytest.raises(RulesClash, match="air before the face"):
        travel(packing(piece(30, 40, 3), tight))


def test_no_room_to_lift_the_piece_off_is_a_clash_of_rules() -> None:
    """A French cleat lets go when it is lifted by its thickness: the bevel is at 45 degrees."""
    tight = replace(SHOP, frame=replace(SHOP.frame, larger_by=9 * INCH // 2))
    with pytest.raises(RulesClash, match="to lift it off"):
        travel(packing(piece(), tight))


def test_a_metric_order_reads_in_millimetres() -> None:
    crate = travel(packing(piece(), units="metric"))
    assert "parts under 304.8 mm" in crate.steps[0].check
    assert any("914.4 mm x 1168.4 mm" in step.text for step in crate.steps)


def test_the_waiting_comes_before_anything_touches_the_piece() -> None:
    crate = travel(packing(piece(surface="resin", poured=date(2026, 6, 1))))
    waits = next(n for n, step in enumerate(crate.steps) if "not packed before" in step.text)
    touches = next(n for n, step in enumerate(crate.steps) if "Stand A-01 upright" in step.text)
    assert waits < touches


def test_slats_and_halves_have_their_heights_in_the_steps() -> None:
    crate = travel(packing(piece(height=60)))
    text = read(crate)
    assert len(of(crate, "slat")) == 6
    for slat in of(crate, "slat"):
        assert format_length(slat.box.y, mark=True) in text
    (place,) = (box for _, box in crate.pieces_placed)
    tops = {p.box.y + p.box.dy for p in of(crate, "french cleat") if p.half == "piece"}
    assert len(tops) == 2
    upper = [format_length(top - place.y, mark=True) for top in sorted(tops)]
    assert f"square upper edges {' and '.join(upper)} up from its lower edge" in text
    # The drawing of the piece's back is made of these.
    assert {point.into for point in crate.cleat_drill} == {"A-01"}

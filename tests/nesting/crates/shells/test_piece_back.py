"""The back of a piece: where its wood is, how deep, how far its face, and what it bears itself."""

from dataclasses import replace
from itertools import combinations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from nesting.advice.estimate import HOLLOW_WORDS
from nesting.base.measure import INCH
from nesting.crates.shells.mounting import screw_edge
from nesting.crates.shells.piece_back import (
    FACE_LESS,
    Ground,
    OwnBending,
    back_stated,
    bar_rects,
    own_bending,
    own_cleats,
    refuse_hollow,
    screw_row,
    to_face,
    wood_depth,
)
from nesting.order import Artwork, Back
from nesting.shop.shop import Shop
from nesting.shop.shop_file import default_shop
from tests.strategies import artworks, lengths

SHOP = default_shop()
CRADLE = Back("cradle", 3 * INCH // 4, 3 * INCH // 2, INCH // 4)
RULED = replace(SHOP, cleats=replace(SHOP.cleats, hollow_backs=("cradled = cradle 3/4 x 1 1/2, face 1/4",)))


def piece(width: float = 30, height: float = 40, depth: float = 2, **fixed: object) -> Artwork:
    made = {"support": "birch panel", "surface": "bare", **fixed}
    return Artwork("A", *(int(side * INCH) for side in (width, height, depth)), **made)  # type: ignore[arg-type]


# -- where and how deep ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("fixed", "wood", "face"),
    [
        # A solid piece is measured, so that nothing but resin (1/8 in where nobody says) and glazing is taken off.
        ({"depth": 1.5}, 1.5, 1.5),
        ({"depth": 1.5, "surface": "resin"}, 1.375, 1.375),
        # Bars 1-1/2 in deep and a face called 1/4 in, which may be 7/32 in.
        ({"back": CRADLE}, 1.5, 1.71875),
        ({"back": replace(CRADLE, kind="strainer")}, 1.5, 1.71875),
        ({"back": replace(CRADLE, face=0)}, 1.5, 1.5),
        # 1-3/4 in in all, of which 1/4 in of resin: no more than 1-1/2 in lies behind it, whatever the sizes say.
        ({"depth": 1.75, "back": CRADLE, "pour_depth": INCH // 4}, 1.28125, 1.5),
        ({"back": Back("cleated")}, 0.75, 0.75),
        ({"back": Back("cleated", cleat_thickness=INCH, cleat_width=3 * INCH)}, 0.96875, 0.96875),
    ],
)
def test_wood_and_face_at_the_worst(fixed: dict[str, float], wood: float, face: float) -> None:
    made = piece(**fixed)
    assert wood_depth(made, SHOP) / INCH == wood
    assert to_face(made, SHOP) / INCH == face


@given(artworks(), st.booleans())
def test_no_tip_may_go_where_resin_or_glazing_begins(made: Artwork, ruled: bool) -> None:
    shop = RULED if ruled else SHOP
    made = replace(made, support="cradled birch" if ruled else made.support)
    front = made.pour_depth or (shop.estimate.resin if made.surface == "resin" else 0)
    front += shop.estimate.glazing if made.surface == "glazed" else 0
    back = back_stated(made, shop)
    assert 0 <= wood_depth(made, shop) <= to_face(made, shop)
    if back.kind != "cleated":
        assert to_face(made, shop) <= max(0, made.depth - front)
    if back.has_bars:
        assert wood_depth(made, shop) <= back.bar_depth
        assert to_face(made, shop) <= back.bar_depth + max(0, back.face - FACE_LESS.inch)


def test_bars_stand_round_the_back_and_between() -> None:
    rects = bar_rects(piece(30, 40, 2, back=replace(CRADLE, middle_bars=2)), SHOP)
    as_inches = [tuple(v / INCH for v in (r.x, r.y, r.dx, r.dy)) for r in rects]
    # 30 - 4 bars of 3/4 leave three gaps of 9: uprights at 3/4 + 9 and 3/4 + 9 + 3/4 + 9.
    assert as_inches == [
        (0, 0, 30, 0.75),
        (0, 39.25, 30, 0.75),
        (0, 0.75, 0.75, 38.5),
        (9.75, 0.75, 0.75, 38.5),
        (19.5, 0.75, 0.75, 38.5),
        (29.25, 0.75, 0.75, 38.5),
    ]


def test_own_cleats_lie_where_the_order_says() -> None:
    back = Back("cleated", 0, 0, 0, 0, 3 * INCH // 4, 3 * INCH, 2 * INCH, INCH)
    made = piece(30, 40, 2, back=back)
    assert own_cleats(made) == ((2 * INCH, 3 * INCH, 3 * INCH // 4), (36 * INCH, 3 * INCH, 3 * INCH // 4))
    assert bar_rects(made, SHOP) == (
        Ground(0, 2 * INCH, 30 * INCH, 3 * INCH),
        Ground(0, 36 * INCH, 30 * INCH, 3 * INCH),
    )
    assert own_cleats(piece(back=Back("cleated"))) == ()
    assert bar_rects(piece(back=Back("cleated")), SHOP) == (Ground(0, 0, 30 * INCH, 40 * INCH),)


@given(artworks())
def test_grounds_lie_inside_the_piece_and_never_over_one_another(made: Artwork) -> None:
    grounds = bar_rects(made, SHOP)
    for each in grounds:
        assert 0 <= each.x < each.x + each.dx <= made.width
        assert 0 <= each.y < each.y + each.dy <= made.height
    for a, b in combinations(grounds, 2):
        assert a.x + a.dx <= b.x or b.x + b.dx <= a.x or a.y + a.dy <= b.y or b.y + b.dy <= a.y
    if len(grounds) > 2:
        bar = made.back.bar_width
        holes = (made.width - bar * (2 + made.back.middle_bars)) * (made.height - 2 * bar)
        assert sum(each.dx * each.dy for each in grounds) == made.width * made.height - holes


@pytest.mark.parametrize("upper", [False, True])
def test_screws_go_into_the_middle_of_a_narrow_bar(upper: bool) -> None:
    edge = INCH // 8 if not upper else (40 - 3) * INCH - INCH // 8
    row = screw_row(piece(back=CRADLE), SHOP, upper=upper, cleat_edge=edge, cleat_width=3 * INCH)
    assert row / INCH == (40 - 0.375 if upper else 0.375)


@given(bar=lengths(3 * INCH // 4, 6 * INCH), inset=lengths(0, INCH // 2), upper=st.booleans())
def test_a_row_keeps_the_edges_of_bar_and_cleat_where_there_is_room(bar: int, inset: int, upper: bool) -> None:
    made, wide = piece(back=Back("strainer", bar, INCH)), 3 * INCH
    lower_edge = made.height - inset - wide if upper else inset
    row = screw_row(made, SHOP, upper=upper, cleat_edge=lower_edge, cleat_width=wide)
    away = made.height - row if upper else row
    edge = screw_edge(SHOP)
    if bar >= inset + 2 * edge:
        assert inset + edge <= away <= min(bar, inset + wide) - edge
    else:
        assert away in (bar // 2, (inset + bar) // 2)
    assert 0 < away < bar


def test_a_row_in_a_solid_back_stands_apart_from_the_mounting_screws() -> None:
    low = screw_row(piece(), SHOP, upper=False, cleat_edge=INCH // 2, cleat_width=3 * INCH)
    high = screw_row(piece(), SHOP, upper=True, cleat_edge=36 * INCH, cleat_width=3 * INCH)
    assert (low / INCH, high / INCH) == (1.25, 38.25)


def test_a_row_through_own_cleats_is_in_their_middle() -> None:
    made = piece(back=Back("cleated", 0, 0, 0, 0, 3 * INCH // 4, 3 * INCH, 2 * INCH, INCH))
    rows = [screw_row(made, SHOP, upper=upper, cleat_edge=0, cleat_width=3 * INCH) for upper in (False, True)]
    assert rows == [int(3.5 * INCH), int(37.5 * INCH)]


# -- words of a hollow build -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("word", HOLLOW_WORDS)
def test_a_hollow_word_is_refused_with_one_clear_fault_unless_the_back_is_stated(word: str) -> None:
    made = piece(support=f"Birch panel, {word.upper()}")
    (told,) = refuse_hollow(made, SHOP, "inch")
    assert (told.column, told.found) == (
        "back",
        f"no word where screws find wood in its back: solid, of Birch panel, {word.upper()}",
    )
    assert "cradle 3/4 x 1 1/2, face 1/4" in told.accepted
    assert "hollow_backs" in told.accepted
    assert f"does not say {word}" in told.accepted
    for back in (CRADLE, Back("cleated"), Back("strainer", INCH, INCH)):
        assert refuse_hollow(replace(made, back=back), SHOP, "inch") == []


@pytest.mark.parametrize(
    "support", ["solid birch", "slab of oak", "boxwood", "unbraced birch", "birch, not hollow", "paper in a frame", ""]
)
def test_other_words_are_wood_all_through(support: str) -> None:
    assert refuse_hollow(piece(support=support), SHOP, "inch") == []


@pytest.mark.parametrize("support", ["solid birch panel, cradled", "hollow slab", "Hollow-core door"])
def test_solid_beside_a_hollow_word_does_not_help(support: str) -> None:
    assert len(refuse_hollow(piece(support=support), SHOP, "inch")) == 1


def test_the_shops_rule_gives_the_back_of_a_word() -> None:
    made = piece(support="cradled birch panel")
    assert back_stated(made, SHOP) == Back()
    assert back_stated(made, RULED) == CRADLE
    assert refuse_hollow(made, RULED, "inch") == []
    assert wood_depth(made, RULED) == CRADLE.bar_depth
    assert len(bar_rects(made, RULED)) == 4
    # What the order states goes before the rule; other words have none.
    stated = Back("strainer", 2 * INCH, INCH)
    assert back_stated(replace(made, back=stated), RULED) == stated
    assert len(refuse_hollow(piece(support="braced panel"), RULED, "inch")) == 1


def test_a_rule_that_does_not_fit_the_piece_is_told_with_both() -> None:
    (told,) = refuse_hollow(piece(30, 40, 1, support="cradled birch panel"), RULED, "inch")
    assert "cradle 3/4 in x 1 1/2 in, face 1/4 in, does not fit: it needs bars no deeper than the piece" in told.found


def test_a_material_without_wood_is_one_fault() -> None:
    assert len(refuse_hollow(piece(support="aluminium honeycomb panel"), SHOP, "inch")) == 1


@pytest.mark.parametrize(("bar", "refused"), [(0.7, True), (0.75, False)])
def test_the_narrowest_bar_is_a_rule(bar: float, refused: bool) -> None:
    made = piece(back=Back("cradle", int(bar * INCH), INCH))
    told = refuse_hollow(made, SHOP, "inch")
    assert bool(told) is refused
    assert all("bars at least 3/4 in wide" in each.accepted for each in told)


# -- what a piece bears itself -----------------------------------------------------------------------------------------


def test_a_cradle_wider_than_high_by_hand() -> None:
    """40 x 40 in, bars 3/4 x 1-1/2 in, 100 lbf: a side bar bears the triangle of 100 x 40/(4 x 40) = 25 lbf.

    M = P L / 6 = 25 x 40 / 6 = 166.7 lbf in (beam tables); S = 0.75 x 1.5^2 / 6 = 0.28125 in3; 592.6 of 750 psi.
    """
    bears = own_bending(piece(40, 40, back=CRADLE), SHOP)
    assert bears.greatest_moment_of(100, 40) == pytest.approx(166.667, abs=1e-3)
    assert bears.section == pytest.approx(0.28125)
    assert bears.stress(100, 40) == pytest.approx(592.593, abs=1e-3)
    assert bears.allowable_psi == 750
    # E I = 1.2e6 x 0.75 x 1.5^3 / 12 of one bar.
    assert bears.ei == pytest.approx(253_125)


def test_a_cradle_higher_than_wide_by_hand() -> None:
    """24 x 48 in, 80 lbf: a trapezoid with ramps of 12 in and 80 / (2 x 48) = 0.8333 lbf/in between.

    M = w (L^2 / 8 - a^2 / 6) = 0.8333 (288 - 24) = 220 lbf in: 782 psi are more than 750.
    """
    bears = own_bending(piece(24, 48, back=CRADLE), SHOP)
    assert bears.greatest_moment_of(80, 48) == pytest.approx(220)
    assert bears.stress(80, 48) == pytest.approx(782.2, abs=0.1)


def test_middle_bars_by_hand() -> None:
    """24 x 48 in with two middle bars, 80 lbf: fields of 8 in, an inner bar bears two ramps of 4 in.

    Peak 2 x 80 / (24 x 48) x 4 = 0.5556 lbf/in; M = 0.5556 (288 - 16 / 6) = 158.5 lbf in.
    """
    bears = own_bending(piece(24, 48, back=replace(CRADLE, middle_bars=2)), SHOP)
    assert bears.greatest_moment_of(80, 48) == pytest.approx(158.52, abs=0.01)


def test_a_panel_by_hand() -> None:
    """30 in wide, 3/4 in thick, two cleats 56 in apart, 160 lbf: M = 160 x 56 / 8 = 1120; S = 30 x 0.75^2 / 6 = 2.8125.

    398 psi of the 815 that plywood bears along its grain (APA); MDF, of which nobody states it, counts as plywood.
    """
    for support in ("birch plywood", "MDF", ""):
        bears = own_bending(piece(30, 60, 0.75, support=support), SHOP)
        assert bears.greatest_moment_of(160, 56) == pytest.approx(1120)
        assert bears.stress(160, 56) == pytest.approx(398.2, abs=0.1)
        assert (bears.allowable_psi, bears.fields) == (815, 0)
        assert bears.ei == pytest.approx(1.18e6 * 30 * 0.75**3 / 12)


def test_a_cleated_piece_bends_without_its_cleats() -> None:
    back = Back("cleated", cleat_thickness=3 * INCH // 4, cleat_width=3 * INCH)
    bears = own_bending(piece(30, 60, 1.5, back=back), SHOP)
    assert bears.section == pytest.approx(30 * (0.75 - 1 / 32) ** 2 / 6)
    assert own_bending(piece(30, 60, 1.5, back=Back("cleated")), SHOP).section == pytest.approx(30 * 0.75**2 / 6)


def integrated(width: float, height: float, middle: int, load: float, span: float) -> float:
    """Add up the moment in the middle of one upright from the strips of the face nearest to it, in many steps."""
    steps, field, sides = 4000, width / (middle + 1), 2 if middle else 1
    step, start = span / steps, (height - span) / 2
    pulls = []
    for n in range(steps):
        y = start + (n + 0.5) * step
        pulls.append(sides * min(field / 2, y, height - y) * load / (width * span) * step)
    half = sum(pulls) / 2
    return half * span / 2 - sum(p * (span / 2 - (n + 0.5) * step) for n, p in enumerate(pulls[: steps // 2]))


@given(
    width=st.floats(8, 120),
    height=st.floats(8, 120),
    middle=st.integers(0, 5),
    part=st.floats(0.1, 1),
    load=st.floats(1, 5000),
)
def test_the_moment_is_that_of_the_face_nearest_to_a_bar(
    width: float, height: float, middle: int, part: float, load: float
) -> None:
    bears = OwnBending(1, 1, 1, width, height, middle + 1, "", "")
    span = part * height
    assert bears.greatest_moment_of(load, span) == pytest.approx(
        integrated(width, height, middle, load, span), rel=1e-4
    )


@given(artworks(), st.floats(1, 3000), st.floats(0.1, 1))
def test_more_load_and_more_span_bend_more(made: Artwork, load: float, part: float) -> None:
    bears, high = own_bending(made, SHOP), made.height / INCH
    assume(bears.section > 0)
    assert 0 < bears.stress(load, part * high) < bears.stress(2 * load, part * high)
    assert bears.stress(load, part * high) <= bears.stress(load, high) * (1 + 1e-9)
    assert bears.moment_factor
    assert bears.source


def test_a_piece_that_is_all_resin_bears_nothing() -> None:
    bears = own_bending(piece(30, 40, 0.5, pour_depth=INCH // 2), SHOP)
    assert bears.stress(1, 1) == float("inf")


def test_figures_of_the_shops_own_material_count() -> None:
    plywood = SHOP.material("plywood")
    assert plywood.bending_along_psi is not None
    stronger = replace(plywood, bending_along_psi=replace(plywood.bending_along_psi, value=900.0))
    shop: Shop = replace(SHOP, materials=tuple(stronger if m is plywood else m for m in SHOP.materials))
    assert own_bending(piece(), shop).allowable_psi == 900

"""What may touch a face, in which order layers go, and when a pour may be packed."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import get_args
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.base.measure import INCH
from nesting.order import Artwork, Surface
from nesting.shop.goods import Good, StockSize
from nesting.shop.house_rules.packing import CureRules
from nesting.shop.materials import Material
from nesting.shop.needs import UnfitMaterialError
from nesting.shop.shop import Shop
from nesting.shop.shop_file import default_shop
from nesting.shop.surfaces import (
    PAPERS,
    SurfaceError,
    check_layers,
    cure,
    cure_hours,
    earliest_packing,
    face_layer,
    kind_of,
    may_touch,
)

SHOP = default_shop()
NEW_YORK = ZoneInfo("America/New_York")
BUBBLE = Good(
    "bubble-1/2", "Bubble wrap 1/2 in", "roll", "film", (StockSize("bubble-1/2 48in", 3000 * INCH, 48 * INCH),)
)


def piece(name: str = "A-01", **facts: object) -> Artwork:
    return replace(Artwork(name, 12 * INCH, 12 * INCH, 3 * INCH // 2, weight_kg=Decimal(2)), **facts)  # type: ignore[arg-type]  # a test names fields freely


def without(*names: str) -> Shop:
    return replace(SHOP, goods=tuple(good for good in SHOP.goods if good.good not in names))


@pytest.mark.parametrize("name", ["foam-wrap", "poly-6mil", "pe-plank-2", "foam-board-1", "tape"])
@pytest.mark.parametrize("surface", ["resin", "paint"])
def test_no_plastic_and_no_tape_touches_resin_or_paint(name: str, surface: Surface) -> None:
    """Common practice, no source."""
    ruling = may_touch(SHOP.good(name), surface, SHOP)
    assert not ruling.allowed
    assert ruling.reason


@pytest.mark.parametrize("surface", ["resin", "paint"])
def test_bubble_wrap_is_never_against_a_cured_surface(surface: Surface) -> None:
    """Common practice, no source."""
    assert kind_of(BUBBLE, SHOP) == "bubble wrap"
    assert not may_touch(BUBBLE, surface, SHOP).allowed
    assert "rings" in may_touch(BUBBLE, surface, SHOP).reason


def test_wood_and_tape_and_hardware_touch_no_face() -> None:
    for surface in get_args(Surface):
        for name in ("ply-3/8", "2x3", "tape", "handle", "carton 20x16x8"):
            assert not may_touch(SHOP.good(name), surface, SHOP).allowed


NEVER, BARE, GLAZED_OR_BARE = "", "bare", "glazed bare"
EVERY = "resin paint glazed bare"


@pytest.mark.parametrize(
    ("name", "faces"),
    [
        ("glassine", EVERY),
        ("silicone-parchment", EVERY),
        ("butcher-paper", EVERY),
        ("kraft", EVERY),
        ("foam-wrap", GLAZED_OR_BARE),
        ("pe-plank-2", GLAZED_OR_BARE),
        ("foam-board-1", GLAZED_OR_BARE),
        ("poly-6mil", NEVER),
        ("tape", NEVER),
        ("ply-3/8", NEVER),
        ("osb-7/16", NEVER),
        ("handle", NEVER),
    ],
)
def test_which_face_each_good_may_lie_against(name: str, faces: str) -> None:
    """The whole table by hand, common practice, no source: what is not named may not."""
    found = {surface: may_touch(SHOP.good(name), surface, SHOP).allowed for surface in get_args(Surface)}
    assert found == {surface: surface in faces.split() for surface in get_args(Surface)}


@pytest.mark.parametrize("surface", ["glazed", "bare"])
def test_film_sticks_to_glass_and_to_bare_wood_too_and_the_reason_is_its_own(surface: Surface) -> None:
    assert "film holds moisture" in may_touch(SHOP.good("poly-6mil"), surface, SHOP).reason


@pytest.mark.parametrize("surface", ["glazed", "bare"])
def test_foam_on_glass_or_a_bare_face_is_allowed_with_advice_to_put_paper_under_it(surface: Surface) -> None:
    for good in (SHOP.good("foam-wrap"), SHOP.good("pe-plank-2"), SHOP.good("foam-board-1"), BUBBLE):
        ruling = may_touch(good, surface, SHOP)
        assert ruling.allowed
        assert ruling.reason.startswith("paper under it is better")
    assert check_layers(SHOP, piece(surface=surface), ("foam-wrap",)) == (ruling.reason,)


def test_a_material_of_which_nobody_said_what_it_is_to_a_face_is_refused() -> None:
    felt = Good("felt", "Felt", "roll", "felt", (StockSize("felt 48in", 3000 * INCH, 48 * INCH),))
    shop = replace(SHOP, goods=(*SHOP.goods, felt))
    for goods in (("felt",), ("glassine", "felt")):
        with pytest.raises(UnfitMaterialError, match="felt, of felt: nothing states surface, what it is to a face"):
            check_layers(shop, piece(), goods)
    stated = replace(shop, materials=(Material("felt", surface="foam wrap"), *shop.materials))
    assert check_layers(stated, piece(), ("glassine", "felt")) == ()
    with pytest.raises(SurfaceError, match="Felt may not touch its face"):
        check_layers(stated, piece(), ("felt",))


def test_papers_touch_every_face_and_kraft_warns_of_scuffing() -> None:
    for surface in get_args(Surface):
        for name in PAPERS:
            assert may_touch(SHOP.good(name), surface, SHOP).allowed
    assert "scuff" in may_touch(SHOP.good("kraft"), "resin", SHOP).reason
    assert may_touch(SHOP.good("glassine"), "resin", SHOP).reason == ""


def test_kraft_scuffs_every_finished_face_but_not_a_bare_one() -> None:
    warned = {surface: "scuff" in may_touch(SHOP.good("kraft"), surface, SHOP).reason for surface in get_args(Surface)}
    assert warned == {"resin": True, "paint": True, "glazed": True, "bare": False}
    (said,) = check_layers(SHOP, piece(), ("kraft", "foam-wrap"))
    assert said.startswith("Kraft paper 40 lb may scuff the surface")
    assert check_layers(SHOP, piece(surface="bare"), ("kraft", "foam-wrap")) == ()


def test_what_the_shop_lacks_decides_the_paper() -> None:
    """Glassine, silicone parchment, butcher paper, kraft last with a warning: common practice, no source."""
    chosen = [face_layer(without(*PAPERS[:missing]), piece()) for missing in range(len(PAPERS))]
    assert [layer.good.good for layer in chosen] == ["glassine", "silicone-parchment", "butcher-paper", "kraft"]
    assert chosen[0].warning == ""
    assert "scuff" in chosen[3].warning
    assert all("no glassine is stocked" in layer.warning for layer in chosen[1:])
    with pytest.raises(SurfaceError, match="A-01: nothing stocked"):
        face_layer(without(*PAPERS), piece())


def test_the_last_paper_left_warns_of_what_is_missing_and_of_scuffing_each_by_itself() -> None:
    left = without(*PAPERS[:3])
    missing, scuffs = face_layer(left, piece()).warning.split("; ")
    assert missing == "no glassine is stocked: Kraft paper 40 lb is used instead"
    assert scuffs.startswith("Kraft paper 40 lb may scuff")
    # a bare face does not scuff, so only what is missing is said
    assert face_layer(left, piece(surface="bare")).warning == missing


def test_a_shop_without_paper_is_told_which_papers_would_do() -> None:
    with pytest.raises(SurfaceError, match=r"stock one of glassine, silicone-parchment, butcher-paper, kraft$"):
        face_layer(without(*PAPERS), piece())


def test_layers_go_paper_foam_boards_plank() -> None:
    good_order = ("glassine", "foam-wrap", "foam-wrap", "ply-3/8", "pe-plank-2")
    assert check_layers(SHOP, piece(), good_order) == ()
    with pytest.raises(SurfaceError, match="A-01: Polyethylene foam roll 1/8 in may not touch its face"):
        check_layers(SHOP, piece(), ("foam-wrap", "glassine"))
    with pytest.raises(SurfaceError, match="belongs inside"):
        check_layers(SHOP, piece(), ("glassine", "pe-plank-2", "foam-wrap"))
    assert check_layers(SHOP, piece(), ()) == ()


def test_a_refused_layer_is_told_with_its_piece_its_good_and_the_reason() -> None:
    with pytest.raises(SurfaceError, match="leaves its cells in it"):
        check_layers(SHOP, piece(), ("foam-wrap", "glassine"))
    with pytest.raises(SurfaceError, match=r"^A-01: foam-wrap may not touch its face: it belongs inside pe-plank-2"):
        check_layers(SHOP, piece(), ("glassine", "pe-plank-2", "foam-wrap"))


OUTWARDS = ("glassine", "foam-wrap", "bubble-1/2", "ply-3/8", "pe-plank-2")


@pytest.mark.parametrize(
    ("inner", "outer"), [(a, b) for n, a in enumerate(OUTWARDS) for b in OUTWARDS[n:] if "glassine" != a != b]
)
def test_each_layer_goes_inside_the_next_whichever_two_are_there(inner: str, outer: str) -> None:
    """Foam, then bubbles, then boards, then plank."""
    shop = replace(SHOP, goods=(*SHOP.goods, BUBBLE))
    assert check_layers(shop, piece(), ("glassine", inner, outer)) == ()
    with pytest.raises(SurfaceError, match=f"{inner} may not touch its face: it belongs inside {outer}"):
        check_layers(shop, piece(), ("glassine", outer, inner))


def test_boards_of_wood_and_of_foam_go_in_either_order_and_tape_anywhere_but_on_the_face() -> None:
    for goods in (("ply-3/8", "foam-board-1"), ("foam-board-1", "ply-3/8"), ("foam-wrap", "tape", "ply-3/8")):
        assert check_layers(SHOP, piece(), ("glassine", *goods)) == ()


def test_paper_over_foam_is_refused_since_paper_goes_inside() -> None:
    with pytest.raises(SurfaceError, match="kraft may not touch its face: it belongs inside foam-wrap"):
        check_layers(SHOP, piece(), ("glassine", "foam-wrap", "kraft"))


def test_seventy_two_hours_at_the_least() -> None:
    """72 h from pour to packing (24 h is enough to hang, not to pack), 7 days before the face: common practice."""
    found = cure(piece(poured=datetime.fromisoformat("2026-01-12T10:00")), CureRules(), NEW_YORK)
    assert found is not None
    assert found.packing == datetime(2026, 1, 15, 10, 0, tzinfo=NEW_YORK)
    assert found.face == datetime(2026, 1, 19, 10, 0, tzinfo=NEW_YORK)
    assert cure(piece(), CureRules(), NEW_YORK) is None


def test_a_date_alone_counts_from_the_end_of_that_day() -> None:
    found = cure(piece(poured=date(2026, 1, 12)), CureRules(), NEW_YORK)
    assert found is not None
    assert found.packing == datetime(2026, 1, 16, 0, 0, tzinfo=NEW_YORK)


def test_hours_are_counted_across_a_change_of_clocks() -> None:
    """Clocks in New York go forward on 8 March 2026 at 2:00 and back on 1 November 2026 at 2:00 (tz database)."""
    spring = cure(piece(poured=datetime.fromisoformat("2026-03-07T12:00")), CureRules(), NEW_YORK)
    autumn = cure(piece(poured=datetime.fromisoformat("2026-10-31T12:00")), CureRules(), NEW_YORK)
    assert spring is not None
    assert autumn is not None
    assert spring.packing.replace(tzinfo=None) == datetime.fromisoformat("2026-03-10T13:00")
    assert autumn.packing.replace(tzinfo=None) == datetime.fromisoformat("2026-11-03T11:00")
    whole = cure(piece(poured=date(2026, 10, 31)), CureRules(), NEW_YORK)
    assert whole is not None
    assert whole.packing.astimezone(UTC) - datetime(2026, 11, 1, 4, 0, tzinfo=UTC) == timedelta(hours=72)


def test_an_hour_that_comes_twice_is_taken_as_the_later_one() -> None:
    found = cure(piece(poured=datetime.fromisoformat("2026-11-01T01:30")), CureRules(), NEW_YORK)
    assert found is not None
    assert found.packing.astimezone(UTC) == datetime(2026, 11, 1, 6, 30, tzinfo=UTC) + timedelta(hours=72)


@given(
    pours=st.integers(0, 12),
    depth=st.integers(0, 3 * INCH),
    more=st.integers(0, 2 * INCH),
)
def test_thicker_pours_and_more_of_them_never_take_less_time(pours: int, depth: int, more: int) -> None:
    base, _ = cure_hours(piece(pours=pours, pour_depth=depth), CureRules())
    assert base >= 72
    thicker, _ = cure_hours(piece(pours=pours, pour_depth=depth + more), CureRules())
    assert thicker >= base
    same_layers, _ = cure_hours(piece(pours=2 * max(1, pours), pour_depth=2 * depth), CureRules())
    assert same_layers >= base


def test_a_thick_pour_and_a_second_pour_add_hours() -> None:
    rules = CureRules()
    assert cure_hours(piece(pours=1, pour_depth=INCH // 8), rules)[0] == 72
    assert cure_hours(piece(pours=1, pour_depth=INCH // 4), rules)[0] == 72 + 24
    assert cure_hours(piece(pours=2, pour_depth=INCH // 4), rules)[0] == 72 + 12
    hours, reason = cure_hours(piece(pours=2, pour_depth=INCH), rules)
    assert hours == 72 + 3 * 24 + 12
    assert reason == "72 h at the least, 72 h for the depth of a pour, 12 h for 2 pours"
    assert cure_hours(piece(pours=1), rules) == (72, "72 h at the least")  # one pour adds nothing, nor a word


def test_the_hours_told_are_those_counted() -> None:
    found = cure(piece(poured=date(2026, 1, 12), pours=2, pour_depth=INCH // 8), CureRules(), NEW_YORK)
    assert found is not None
    assert (found.hours, found.reason) == (84, "72 h at the least, 12 h for 2 pours")
    assert found.packing - datetime(2026, 1, 13, tzinfo=NEW_YORK) == timedelta(hours=found.hours)
    assert found.face_reason == "7 days before anything may lie against the face"


def test_the_face_never_comes_before_the_packing() -> None:
    found = cure(piece(poured=date(2026, 1, 12), pours=1, pour_depth=3 * INCH), CureRules(), NEW_YORK)
    assert found is not None
    assert found.face == found.packing > datetime(2026, 1, 20, tzinfo=NEW_YORK)


def test_a_shared_crate_waits_for_its_latest_piece() -> None:
    both = (piece("A", poured=date(2026, 1, 12)), piece("B", poured=date(2026, 1, 20)), piece("C"))
    when, said = earliest_packing(both, SHOP, touches_face=False)
    assert when == datetime(2026, 1, 24, tzinfo=NEW_YORK)
    assert len(said) == 2
    assert said[0].startswith("A: not packed before 2026-01-16 00:00")
    face, said = earliest_packing(both, SHOP, touches_face=True)
    assert face == datetime(2026, 1, 28, tzinfo=NEW_YORK)
    assert "7 days" in said[0]


def test_where_nothing_touches_the_face_the_seven_days_are_not_spoken_of() -> None:
    _, (said,) = earliest_packing((piece(poured=date(2026, 1, 12)),), SHOP, touches_face=False)
    assert said == "A-01: not packed before 2026-01-16 00:00 (72 h at the least)"


def test_a_piece_without_a_pour_hides_no_other_piece_of_its_crate() -> None:
    """A painting listed first does not make the resin beside it ready, whatever the order of the table."""
    painting, resin = piece("A", surface="paint"), piece("B", poured=date(2026, 1, 12))
    for both in ((painting, resin), (resin, painting)):
        when, said = earliest_packing(both, SHOP, touches_face=False)
        assert when == datetime(2026, 1, 16, tzinfo=NEW_YORK)
        assert len(said) == 1


def test_nothing_poured_may_be_packed_at_once() -> None:
    assert earliest_packing((piece(),), SHOP, touches_face=True) == (None, ())

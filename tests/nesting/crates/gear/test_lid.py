"""A lid that is opened again: when, where its bolts stand (by hand), what it takes, what is said where it cannot."""

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from typing import Final

import pytest
from hypothesis import example, given, note, reject
from hypothesis import strategies as st

from nesting.base.measure import INCH
from nesting.crates.gear.lid import Rim, bolt_places, gasket_length, reopened, unfit_bolt
from nesting.crates.model import Box, Crate
from nesting.crates.shells.battened import battened
from nesting.crates.shells.closed import closed
from nesting.crates.traits import Packing, Refused
from nesting.order import Artwork, Back
from nesting.shop.shop import Shop
from nesting.shop.shop_file import default_shop
from tests.lid_verifier import lid_faults
from tests.nesting.crates.proofs import prove
from tests.nesting.crates.test_shell_geometry import Tweak, pieces, tweaks
from tests.structure_geometry import geometry_faults

SHOP = default_shop()
PLAIN = replace(SHOP, gear=replace(SHOP.gear, handles="none", standing=False))
CONSIGNED: Final = (("Consigned or sold", "on consignment"),)
PIECE = Artwork("A-01", 36 * INCH, 40 * INCH, 3 * INCH // 2, weight_kg=Decimal(9), back=Back("solid"), extra=CONSIGNED)
T = 23 * INCH // 32


def with_gear(shop: Shop = SHOP, **rules: object) -> Shop:
    return replace(shop, gear=replace(shop.gear, **rules))  # type: ignore[arg-type]  # a test names fields freely


def packing(piece: Artwork = PIECE, shop: Shop = PLAIN) -> Packing:
    return Packing("K1", (piece,), shop, "test")


def used(crate: Crate) -> dict[str, int]:
    return {item.good: item.count for item in crate.piecework}


# -- when --------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rule", "terms", "studio", "bolts"),
    [
        ("auto", "consigned", "", True),
        ("auto", "not sold", "sold", True),
        ("auto", "sold", "consigned", False),
        ("auto", "", "consigned", True),
        ("auto", "", "", False),
        ("auto", "to be seen", "", False),
        ("bolts", "sold", "", True),
        ("screws", "consigned", "consigned", False),
    ],
)
def test_a_lid_is_bolted_where_a_piece_is_consigned(rule: str, terms: str, studio: str, *, bolts: bool) -> None:
    shop = with_gear(replace(SHOP, studio=replace(SHOP.studio, terms=studio)), lid=rule)
    piece = replace(PIECE, extra=(("terms", terms),) if terms else ())
    assert reopened(packing(piece, shop)) is bolts


def test_one_consigned_piece_of_a_set_is_enough() -> None:
    both = (replace(PIECE, extra=()), replace(PIECE, piece="A-02"))
    assert reopened(Packing("K1", both, SHOP, "test"))


# -- by hand -----------------------------------------------------------------------------------------------------------


def test_the_worked_case() -> None:
    """Outside 42 x 46 in, strips 23/32 in thick.

    Below and above: the first clear of the corner block, 23/32 + 23/32 + 1/2 = 1-15/16 in; to 40-1/16 in are 38-1/8 in,
    three gaps of at most 14 in: four bolts, 12-11/16 in apart and less. At the sides: round the corner from 1-3/32 less
    27/32, 1/4 in, to 45-3/4 in are 45-1/2 in, four gaps of 11-3/8 in: three bolts. 14 in all; screws were 24.
    """
    crate = closed(packing())
    found = [(bolt.x / INCH, bolt.y / INCH) for bolt in crate.bolts]
    below = [x for x, y in found if y == 23 / 32 + 3 / 8]
    left = [y for x, y in found if x == 23 / 32 + 3 / 8]
    assert below == [1 + 15 / 16, 14 + 5 / 8, 27 + 5 / 16, 40 + 1 / 16]
    assert left == [11 + 5 / 8, 23.0, 34 + 3 / 8]
    assert len(found) == 14 == crate.work.bolts
    assert geometry_faults(crate, [PIECE], PLAIN) == []


def test_what_a_bolted_lid_takes_and_what_it_takes_no_more() -> None:
    """Ledge 1 in wide round an opening of 40-9/16 x 44-9/16 in; gasket 1/2 in within it: 39-9/16 x 43-9/16 in."""
    crate, before = closed(packing()), closed(packing(shop=with_gear(PLAIN, lid="screws")))
    assert (used(crate)["bolt 1/4x1-1/2"], used(crate)["t-nut 1/4"]) == (14, 14)
    (lid,) = [each for each in crate.fixings if each.frees == "crate"]
    assert (lid.good, lid.count) == ("bolt 1/4x1-1/2", 14)
    (screws,) = [each for each in before.fixings if each.frees == "crate"]
    assert (screws.good, screws.count, before.bolts) == ("screw 10x1-1/4", 24, ())
    ledge = [part for part in crate.parts if part.name.startswith("K1.lid-ledge")]
    assert [(part.length / INCH, part.width / INCH, part.count, part.good) for part in ledge] == [
        (40 + 9 / 16, 1.0, 2, "ply-23/32"), (42 + 9 / 16, 1.0, 2, "ply-23/32"),
    ]  # fmt: skip
    assert gasket_length(42 * INCH, 46 * INCH, T) == 2 * (39 * INCH + 43 * INCH + 2 * 9 * INCH // 16)
    assert used(crate)["gasket"] == -(-gasket_length(42 * INCH, 46 * INCH, T) // 8000)
    block, gone = (next(p.box.dz for p in each.placed if p.role == "corner block") for each in (crate, before))
    assert gone - block == T
    assert crate.outside == before.outside


def test_screwed_it_is_as_it_was() -> None:
    """What no piece asks for changes nothing: the same crate whether its piece is consigned or sold."""
    shop = with_gear(lid="screws", climate=False)
    sold = closed(packing(replace(PIECE, extra=()), with_gear(climate=False)))
    consigned = closed(packing(shop=shop))
    (told,) = set(consigned.warnings) - set(sold.warnings)
    assert told.startswith("lid screwed although it may come home")
    assert replace(consigned, warnings=sold.warnings) == sold
    assert used(sold) == {
        "screw 10x1": 4, "screw 10x1-1/2": 6, "screw 10x1-1/4": 66, "screw 8x2-1/2": 8, "washer-10": 6,
        "bolt 1/4x1-1/2": 8, "t-nut 1/4": 8, "handle": 4, "strapping": 9906, "strap buckle": 2,
        "wood-glue": 67, "hot-glue": 69, "gasket": 4471,
    }  # fmt: skip


# -- where -------------------------------------------------------------------------------------------------------------


def rim(*battens: Box, gussets: tuple[Box, ...] = (), width: int = 42, height: int = 46) -> Rim:
    """Return the rim of a frame, its ledge of four strips."""
    wide, high = width * INCH, height * INCH
    across, up = wide - 2 * T, high - 2 * T - 2 * INCH
    ledge = (
        Box(T, T, 0, across, INCH, 1), Box(T, high - T - INCH, 0, across, INCH, 1),
        Box(T, T + INCH, 0, INCH, up, 1), Box(wide - T - INCH, T + INCH, 0, INCH, up, 1),
    )  # fmt: skip
    return Rim(wide, high, T, ledge, battens, gussets, ())


def test_bolts_stand_beside_battens() -> None:
    upright = Box(13 * INCH, 0, 0, 3 * INCH, 46 * INCH, 1)
    for x, _ in bolt_places(rim(upright), 14 * INCH, INCH // 16):
        assert x <= 13 * INCH - INCH // 2 or x >= 16 * INCH + INCH // 2


def test_a_batten_along_an_edge_leaves_no_places() -> None:
    edge = Box(0, 0, 0, 42 * INCH, 3 * INCH, 1)
    assert bolt_places(rim(edge), 14 * INCH, INCH // 16) == ()


def test_gussets_are_kept_clear_of_or_bored() -> None:
    """One of 12 in leaves 13 in between two bolts; of 20 in it cannot be passed at 14 in, so one stands over it."""
    short = Box(15 * INCH, T, 0, 12 * INCH, T, 1)
    long = Box(11 * INCH, T, 0, 20 * INCH, T, 1)
    for gusset, over in ((short, False), (long, True)):
        made = rim(gussets=(gusset,))
        placed = bolt_places(made, 14 * INCH, INCH // 16)
        assert any(made.over_gusset(x, y) for x, y in placed) is over


# -- where it cannot ---------------------------------------------------------------------------------------------------


def stocked(**changes: object) -> Shop:
    """Return a shop with another lid bolt."""
    goods = tuple(
        replace(good, **changes) if good.good == SHOP.gear.lid_bolt else good  # type: ignore[arg-type]  # by name
        for good in SHOP.goods
    )
    return replace(SHOP, goods=goods)


@pytest.mark.parametrize(
    ("shop", "lid", "clear", "told"),
    [
        (SHOP, "ply-3/8", 9 * INCH // 8, ""),
        (SHOP, "ply-3/8", 9 * INCH // 8 - 1, "takes 1 1/8 in"),
        (SHOP, "ply-23/32", 2 * INCH, ""),
        (stocked(breadth=INCH), "ply-3/8", 2 * INCH, "too short"),
        (stocked(breadth=2 * INCH), "ply-3/8", 2 * INCH, "stand out"),
        (stocked(diameter_in=0.375), "ply-3/8", 2 * INCH, "thicker than 1/4 in"),
    ],
)
def test_why_a_bolt_does_not_suit(shop: Shop, lid: str, clear: int, told: str) -> None:
    found = unfit_bolt(shop.good(lid), clear, shop, "inch")
    assert told in found
    assert bool(found) is bool(told)


def test_without_room_it_is_screwed_and_said() -> None:
    shop = replace(PLAIN, frame=replace(PLAIN.frame, larger_by=7 * INCH // 2))
    crate = closed(packing(shop=shop))
    assert crate.bolts == ()
    assert any(text.startswith("lid screwed although it is opened again") for text in crate.warnings)
    assert lid_faults(crate, shop) == []


# -- what is told ------------------------------------------------------------------------------------------------------


def test_steps_and_checks_of_a_bolted_lid() -> None:
    crate = closed(packing())
    ledge, drilled, nuts, back, gasket, lid = (
        next(n for n, s in enumerate(crate.steps) if w in s.text)
        for w in (
            "ledge's strips",
            "drill lid and ledge",
            "T-nut (t-nut",
            "lay the back on",
            "Stick the gasket",
            "Lid on",
        )
    )
    assert ledge < drilled < nuts < back, "T-nuts go in from behind, while the frame is open there"
    assert (crate.steps[drilled].drill, crate.steps[drilled].check) == ("9/32 in, right through", "14 holes")
    assert sorted(bolt.x for bolt in crate.bolts if bolt.y == min(b.y for b in crate.bolts))[:2] == [
        31 * INCH // 16, 117 * INCH // 8
    ]  # fmt: skip
    assert "start all 14 bolts by hand" in crate.steps[lid].text
    assert "14 × bolt" in crate.steps[lid].screw
    assert "never on a T-nut" in crate.steps[gasket].check
    (check,) = [check for check in crate.checks if check.name == "lid bolts, T-nuts"]
    assert (check.verdict, check.structure) == ("info", False)
    assert "250 lb" in check.note
    assert "falling out" in check.note
    assert not any(check.name == "lid screws, withdrawal" for check in crate.checks)


# -- any piece ---------------------------------------------------------------------------------------------------------


@given(
    piece=pieces(110 * INCH),
    tweak=tweaks,
    make=st.sampled_from([closed, battened]),
    country=st.sampled_from(["", "DE"]),
)
# Bolts stand before the blocks of skids and before gussets, which are bored for their tips.
@example(
    piece=Artwork(
        "A-01", 117 * INCH // 2, 101 * INCH, 107 * INCH // 32, weight_kg=Decimal("55.51"), surface="resin",
        back=Back("solid"),
    ),
    tweak=Tweak(45 * INCH // 64, INCH // 4, spacing=16 * INCH),
    make=battened,
    country="DE",
)  # fmt: skip
def test_any_bolted_crate_holds_every_proof(
    piece: Artwork, tweak: Tweak, make: Callable[[Packing], Crate], country: str
) -> None:
    shop, consigned = tweak.shop(), replace(piece, extra=CONSIGNED)
    try:
        crate = make(Packing("K1", (consigned,), shop, "test", country=country))
    except Refused as refused:
        note(str(refused))
        reject()
    prove(crate, shop)
    assert lid_faults(crate, shop) == []
    if not any(text.startswith("lid screwed") for text in crate.warnings):
        assert crate.bolts

"""Rules as they were built in once: an old shop file keeps its meaning, and one remark says what binds."""

import tomllib
from dataclasses import replace
from decimal import Decimal
from itertools import pairwise

import pytest

from nesting.base.measure import INCH, LB_KG
from nesting.base.rules import rules_of
from nesting.crates.expand import expand
from nesting.crates.model import Crate
from nesting.order import Artwork, Back, Order
from nesting.shop.former import FORMER, remarks
from nesting.shop.shop import Shop
from nesting.shop.shop_file import default_shop, read_shop, shop_from, shop_text
from tests.pricing.made_by_0_1_0 import PLACE

SHOP = default_shop()


def shop(text: str) -> Shop:
    return shop_from(tomllib.loads(text), "shop.toml")


def made(kept: Shop, method: str, side: int, lb: int) -> Crate:
    piece = Artwork(
        "A-01", side * INCH, side * INCH, 3 * INCH // 2, weight_kg=Decimal(lb) * LB_KG, method=method,
        back=Back("solid"),
    )  # fmt: skip
    (crate,) = expand(Order("o", (piece,)), kept)
    return crate


def test_former_values_are_those_of_the_file_that_0_1_0_wrote_and_of_no_rule_today() -> None:
    document = tomllib.loads((PLACE / "studio" / "shop.toml").read_text(encoding="utf-8"))
    old = shop_from(document, "shop.toml")
    for (group, name), former in FORMER.items():
        assert name in document[group]
        assert getattr(getattr(old, group), name) == former != getattr(getattr(SHOP, group), name)
    unlike = {
        (group, facts.name)
        for group in document
        if group in ("frame", "battens", "cleats")
        for facts in rules_of(getattr(old, group))
        if getattr(getattr(old, group), facts.name) != facts.default
    }
    # A rule that the file does not know means what was done when it was written: every frame was as large as it says.
    assert unlike == {*FORMER, ("frame", "smaller_by")}, "nobody changed a rule of that file"


def test_a_file_of_0_1_0_gets_one_remark_that_names_each_such_rule_as_it_stands_there() -> None:
    told, foam, frames = remarks(read_shop(PLACE / "studio" / "shop.toml"))
    assert "fixed at 4 in on each side, as cushion.thickness" in foam
    assert "6 in larger than its pieces, as frame.larger_by" in frames
    for line in (
        "frame.back_heavy_lb = 40.0", "frame.back_middling_lb = 20.0", 'battens.good = "ply-3/8"',
        'battens.spacing = "24 in"',
    ):  # fmt: skip
        assert line in told
    old = read_shop(PLACE / "studio" / "shop.toml")
    assert remarks(old, designed=False) == (foam, frames), "cases and cartons are cushioned, though of no catalogue"
    assert remarks(SHOP) == ()
    assert remarks(shop('[battens]\ngood = "ply-23/32"\nspacing = "20 in"\n[cleats]\nthread_least = "1/4 in"\n')) == ()


def test_a_file_that_says_how_thick_foam_is_and_not_how_it_is_found_means_that_thickness() -> None:
    for text, rule in (
        ('[cushion]\nthickness = "4 in"\n', "fixed"),
        ('[cushion]\nthickness = "2 in"\n[case]\nnear_size = 0.2\n', "fixed"),
        ('[cushion]\nthickness = "2 in"\n[case]\ncushion = "checked"\n', "checked"),
        ("[cushion]\nfactor = 3.5\n", "checked"),
        ("", "checked"),
    ):
        kept = shop(text)
        assert kept.case.cushion == rule
        assert len(remarks(kept)) == (rule == "fixed")
        assert shop(shop_text(kept)).case.cushion == rule, "what is written says so by itself"


def test_a_file_that_says_how_large_frames_are_and_not_how_much_smaller_means_that_size() -> None:
    for text, smaller_by in (
        ('[frame]\nlarger_by = "6 in"\n', 0),
        ('[frame]\nlarger_by = "6 in"\nsmaller_by = "1 in"\n', INCH),
        ('[frame]\nlid = "ply-15/32"\n', 3 * INCH // 2),
        ("", 3 * INCH // 2),
    ):
        kept = shop(text)
        assert kept.frame.smaller_by == smaller_by
        assert len(remarks(kept)) == (smaller_by == 0)
        assert shop(shop_text(kept)).frame.smaller_by == smaller_by, "what is written says so by itself"


def test_one_good_of_battens_is_taken_alone_as_it_was() -> None:
    free = made(SHOP, "battened", 40, 30)
    ruled = made(shop('[battens]\ngood = "ply-23/32"\n'), "battened", 40, 30)
    assert {part.good for part in ruled.parts if "upright" in part.name or "crosspiece" in part.name} == {"ply-23/32"}
    assert free.design is not None
    assert free.design.battens == "ply-3/8"


def test_battens_stand_no_further_apart_than_their_old_rule_says() -> None:
    for kept, most in ((SHOP, None), (shop('[battens]\nspacing = "12 in"\n'), 12 * INCH)):
        crate = made(kept, "battened", 40, 20)
        uprights = sorted(
            placed.box.x + placed.box.dx // 2 for placed in crate.placed if placed.part == "K1.back-upright"
        )
        apart = [b - a for a, b in pairwise(uprights)]
        assert apart
        assert most is None or max(apart) <= most + kept.joinery.snap
        assert most is not None or max(apart) > 12 * INCH + kept.joinery.snap


def test_a_back_by_weight_is_as_thick_as_its_old_rule_says_at_the_least() -> None:
    old = shop("[frame]\nback_heavy_lb = 40\nback_middling_lb = 20\n")
    for lb, least in ((45, "ply-23/32"), (25, "ply-15/32"), (10, "ply-3/8")):
        designed = made(old, "closed", 24, lb).design
        assert designed is not None
        assert SHOP.good(designed.back).thickness >= SHOP.good(least).thickness


@pytest.mark.parametrize("thread", [1, 2, 7])
def test_a_least_thread_still_binds(thread: int) -> None:
    kept = shop(f'[cleats]\nthread_least = "{thread}/8 in"\n')
    assert kept.cleats.thread == SHOP.cleats.thread
    crate = made(kept, "closed", 24, 20)
    stack = sum(SHOP.good(p.good).greatest_thickness for p in crate.parts if "cleat-low" in p.name)
    (fixing,) = [f for f in crate.fixings if f.frees == "piece"]
    assert crate.design is not None
    into = kept.good(fixing.good).breadth - kept.good(crate.design.back).greatest_thickness - INCH // 16
    assert into >= max(thread * INCH // 8, kept.cleats.thread)
    assert into < stack


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('[battens]\ngood = "nonesuch"\n', "battens.good: found no good named nonesuch; accepted: a sheet"),
        ('[battens]\ngood = "2x4"\n', "battens.good: found 2x4, a stick; accepted: a sheet"),
        ('[battens]\nstaple = "ply-3/8"\n', "battens.staple: found ply-3/8, a sheet; accepted: a hardware"),
        ('[battens]\ngoods = ["ply-3/8", "2x4"]\n', "battens.goods: found 2x4, a stick; accepted: a sheet"),
    ],
)
def test_a_rule_that_names_no_good_as_built_in_is_held_against_its_kind_too(text: str, said: str) -> None:
    with pytest.raises(Exception, match="found") as caught:
        shop(text)
    assert said in str(caught.value).replace('"', "")


def test_goods_that_an_old_file_does_not_stock_are_passed_over() -> None:
    """A file written when nothing named 3/8 in plywood beside these three rules still gives crates."""
    old = shop(
        '[battens]\ngood = "ply-15/32"\n[frame]\nlid = "ply-15/32"\nback_light = "ply-15/32"\n'
        '[[good]]\ngood = "ply-3/8"\nstocked = false\n'
    )
    assert made(old, "battened", 40, 30).standing == "good"
    plain = replace(old, battens=replace(old.battens, good=""))
    crate = made(plain, "battened", 40, 30)
    assert crate.standing == "good"
    assert "ply-3/8" not in {part.good for part in crate.parts}

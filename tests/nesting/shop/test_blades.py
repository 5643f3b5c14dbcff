"""What cuts a sheet of each good, and what a cut takes: of wood the widest blade, of a knife nothing."""

from dataclasses import replace

import pytest

from nesting.base.measure import INCH
from nesting.shop.former import remarks
from nesting.shop.needs import blade_of, kerf_of
from nesting.shop.shop import Shop
from nesting.shop.shop_file import default_shop, shop_from

SHOP = default_shop()


def tooled(**rules: int) -> Shop:
    return replace(SHOP, tools=replace(SHOP.tools, **rules))


@pytest.mark.parametrize(
    ("good", "blade", "kerf"),
    [
        ("ply-3/8", "saw", INCH // 8),
        ("osb-7/16", "saw", INCH // 8),
        ("foam-board-1", "knife", 0),
        ("pe-plank-1", "knife", 0),
        ("corrugated-pad", "knife", 0),
        ("soft-foam-1", "knife", 0),
        ("soft-foam-1-1/2", "band", INCH // 16),
        ("pe-plank-2", "band", INCH // 16),
    ],
)
def test_a_knife_cuts_foam_and_board_up_to_its_reach_and_a_band_what_is_thicker(
    good: str, blade: str, kerf: int
) -> None:
    assert (blade_of(SHOP, SHOP.good(good)), kerf_of(SHOP, SHOP.good(good))) == (blade, kerf)


def test_the_reach_of_the_knife_is_the_shops() -> None:
    shop = tooled(knife=2 * INCH)
    assert kerf_of(shop, shop.good("pe-plank-2")) == 0
    shop = tooled(knife=INCH // 2)
    assert [blade_of(shop, shop.good(good)) for good in ("pe-plank-1/2", "pe-plank-1")] == ["knife", "band"]
    shop = tooled(knife=INCH // 2, band=INCH)
    assert [blade_of(shop, shop.good(good)) for good in ("pe-plank-1", "pe-plank-2")] == ["band", "none"]


def test_a_board_takes_the_widest_kerf_of_the_saws_that_may_cut_it() -> None:
    wide = replace(SHOP, saw=replace(SHOP.saw, stick_kerf=3 * INCH // 16))
    assert kerf_of(wide, wide.good("ply-3/8")) == 3 * INCH // 16
    none = replace(wide, tools=replace(wide.tools, chop=0))
    assert kerf_of(none, none.good("ply-3/8")) == INCH // 8
    thin = replace(SHOP, saw=replace(SHOP.saw, stick_kerf=INCH // 16))
    assert kerf_of(thin, thin.good("ply-3/8")) == INCH // 8


def test_what_a_shop_file_says_of_a_material_stays_and_one_remark_says_what_it_costs() -> None:
    said = {"material": [{"material": "rigid foam", "cut_by": "saw"}, {"material": "cushion foam", "cut_by": "knife"}]}
    shop = shop_from(said, "shop.toml")
    assert kerf_of(shop, shop.good("foam-board-1")) == SHOP.saw.kerf
    # A knife that is stated cuts whatever is made of it, as it always did.
    assert kerf_of(shop, shop.good("pe-plank-2")) == 0
    (told,) = remarks(shop)
    assert 'shop.toml says cut_by = "saw" for rigid foam: so each cut through it takes 1/8 in' in told
    assert not remarks(SHOP)

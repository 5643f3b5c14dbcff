from dataclasses import replace
from decimal import Decimal

import pytest

from nesting.base.faults import FaultsFound
from nesting.base.measure import INCH
from nesting.cutting.sheets import Sheet, Trim
from nesting.cutting.sticks import Stick
from nesting.shop.shop_file import default_shop
from pricing.money import CurrencyError
from pricing.quoting.supply import make_supply, supply_of
from pricing.studio.office import Office
from pricing.studio.pricebook import PriceBook
from pricing.studio.pricebook_file import default_price_book
from pricing.studio.rack import Rack, RackOffcut


def test_every_good_that_is_cut_is_supplied_at_the_books_prices_in_cents() -> None:
    shop, book = default_shop(), default_price_book()
    supply = make_supply(shop, book)
    assert {*supply.sheets, *supply.sticks, *supply.rolls} == {g.good for g in shop.goods if g.form != "each"}
    sheet = supply.sheets["ply-23/32"][0]
    assert (sheet.cost, sheet.breaks, sheet.trim) == (5800, ((10, 5400), (30, 5150)), None)
    assert (sheet.length, sheet.width, sheet.good) == (96 * INCH, 48 * INCH, "ply-23/32")
    assert [stick.cost for stick in supply.sticks["2x3"]] == [410, 535, 660]
    assert supply.rolls["poly-6mil"][0].cost == 7900


def test_rack_stock_comes_at_book_value_and_untrimmed() -> None:
    shop = default_shop()
    shop = replace(shop, saw=replace(shop.saw, trim_left=INCH // 4, trim_bottom=INCH // 4))
    offcuts = (
        RackOffcut("R-1", "ply-3/8", 40 * INCH, 36 * INCH, Decimal("12.50"), 2),
        RackOffcut("R-2", "2x3", 50 * INCH),
    )
    supply = make_supply(shop, default_price_book(), Rack(offcuts, currency="USD"))
    bought, kept = supply.sheets["ply-3/8"]
    assert bought.trim == Trim(INCH // 4, 0, INCH // 4, 0)
    assert kept == Sheet("R-1", 40 * INCH, 36 * INCH, 1250, 2, None, "rack", (), "ply-3/8")
    assert supply.sticks["2x3"][-1] == Stick("R-2", 50 * INCH, 0, 1, "rack")


def test_breaks_beyond_the_suppliers_limit_are_not_offered() -> None:
    book = default_price_book()
    rows = tuple(replace(row, limit=20) if row.stock == "ply-23/32 4x8" else row for row in book.rows)
    sheet = make_supply(default_shop(), replace(book, rows=rows)).sheets["ply-23/32"][0]
    assert (sheet.count, sheet.breaks) == (20, ((10, 5400),))


def test_missing_prices_are_one_error_that_lists_them_all() -> None:
    with pytest.raises(FaultsFound) as caught:
        make_supply(default_shop(), PriceBook("USD", default_price_book().rows[:1]))
    sizes = sum(len(good.sizes) for good in default_shop().goods)
    assert len(caught.value.faults) == sizes - 1


def test_an_office_without_a_price_for_a_good_and_an_hour_hears_of_both_at_once() -> None:
    book = default_price_book()
    gone = {"ply-3/8 4x8", "hour bench"}
    thin = replace(book, rows=tuple(row for row in book.rows if row.stock not in gone))
    with pytest.raises(FaultsFound) as caught:
        supply_of(Office(book=thin))
    assert {fault.found for fault in caught.value.faults} == {f"no price for {stock}" for stock in gone}


def test_rack_and_prices_must_be_in_one_currency() -> None:
    with pytest.raises(CurrencyError, match="EUR"):
        make_supply(default_shop(), default_price_book(), Rack(currency="EUR"))

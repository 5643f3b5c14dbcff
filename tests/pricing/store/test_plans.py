from dataclasses import replace

import pytest

from pricing.quoting.quote import Quote
from pricing.store import Store
from pricing.store.plans import plan_keys
from tests.pricing.desk.orders import ROWS, quick_quote


@pytest.fixture(scope="module")
def quote() -> Quote:
    return quick_quote()


def test_the_same_parts_on_the_same_stock_have_the_same_key(quote: Quote) -> None:
    assert plan_keys(quote.build) == plan_keys(quick_quote().build)


def test_what_a_search_looks_at_is_in_the_key(quote: Quote) -> None:
    keys = plan_keys(quote.build)
    wider = plan_keys(quick_quote((("A-01", "First", "31", *ROWS[0][3:]), ROWS[1])).build)
    titled = plan_keys(quick_quote((("A-01", "Another title", *ROWS[0][2:]), ROWS[1])).build)
    assert wider["ply-23/32"] != keys["ply-23/32"]
    assert titled == keys
    shop = quote.build.shop
    coarse = replace(quote.build, shop=replace(shop, saw=replace(shop.saw, offcut_width=shop.saw.offcut_width * 2)))
    assert plan_keys(coarse)["ply-23/32"] != keys["ply-23/32"]


def test_a_longer_search_is_never_replaced_by_a_shorter(store: Store, quote: Quote) -> None:
    layout = quote.build.layouts[0]
    store.plans.keep({"key": layout}, "normal")
    store.plans.keep({"key": replace(layout, setups=99)}, "quick")
    assert store.plans.find("key") == ("normal", layout)
    better = replace(layout, setups=1)
    store.plans.keep({"key": better}, "thorough")
    assert store.plans.find("key") == ("thorough", better)
    assert store.plans.find("another") is None

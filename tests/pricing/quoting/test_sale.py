from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pricing.quoting.sale import list_price, sale_price
from pricing.studio.rates import Payer, SaleRules

money = st.integers(0, 10_000_000).map(lambda c: Decimal(c).scaleb(-2))
commissions = st.decimals(0, Decimal("0.95"), places=3)


def test_1000_at_half_with_100_to_ship_lists_at_1200() -> None:
    """The issue's own example: P' = P + S / (1 - c); at 1100 the artist would net 450 and not 500."""
    assert list_price(Decimal(1000), Decimal(100), Decimal("0.5")) == 1200
    sale = sale_price("A-01", Decimal(1000), Decimal(100), SaleRules())
    assert (sale.list_price, sale.gallery, sale.artist) == (Decimal(1200), Decimal(600), Decimal(500))


@pytest.mark.parametrize(
    ("payer", "listed", "gallery", "artist", "delivered"),
    [
        ("list price", "1200.00", "600.00", "500.00", "1284.00"),
        ("buyer", "1000.00", "500.00", "500.00", "1170.00"),
        ("artist", "1000.00", "500.00", "400.00", "1070.00"),
        ("gallery", "1000.00", "400.00", "500.00", "1070.00"),
    ],
)
def test_who_pays_for_shipping(payer: Payer, listed: str, gallery: str, artist: str, delivered: str) -> None:
    """Worked by hand with 7 % tax on the list price, which bears no commission."""
    rules = SaleRules(shipping_paid_by=payer, art_tax=Decimal("0.07"))
    sale = sale_price("A-01", Decimal("1000.00"), Decimal("100.00"), rules)
    got = [str(each) for each in (sale.list_price, sale.gallery, sale.artist, sale.delivered)]
    assert got == [listed, gallery, artist, delivered]


@given(money, money, commissions, st.sampled_from(["list price", "buyer", "artist", "gallery"]))
def test_nobody_loses_a_cent_on_the_way(price: Decimal, shipping: Decimal, commission: Decimal, payer: Payer) -> None:
    """What the buyer pays is what gallery, artist, tax office and shipper get."""
    rules = SaleRules(commission=commission, shipping_paid_by=payer, art_tax=Decimal("0.0825"))
    sale = sale_price("A-01", price, shipping, rules)
    assert sale.delivered == sale.gallery + sale.artist + sale.tax + shipping


@given(money, money, commissions)
def test_the_list_price_nets_the_same_to_the_cent(price: Decimal, shipping: Decimal, commission: Decimal) -> None:
    with_shipping = sale_price("A-01", price, shipping, SaleRules(commission=commission))
    without = sale_price("A-01", price, Decimal("0.00"), SaleRules(commission=commission))
    assert abs(with_shipping.artist - without.artist) <= Decimal("0.01")

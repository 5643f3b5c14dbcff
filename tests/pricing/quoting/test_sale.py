from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.base.measure import INCH
from nesting.order import Artwork, Order
from pricing.quoting.sale import Said, list_price, sale_price, sold
from pricing.studio.destinations import Destination
from pricing.studio.rates import Payer, Rates, SaleRules
from pricing.studio.sale_terms import SaleTerms

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


@pytest.mark.parametrize(
    ("percent", "net"), [(15, "8500.00"), (25, "7500.00"), (30, "7000.00"), (35, "6500.00"), (40, "6000.00"),
                         (50, "5000.00"), (60, "4000.00")],
)  # fmt: skip
def test_the_net_is_the_price_less_the_commission(percent: int, net: str) -> None:
    """``shared/freight-and-papers.md``, 4: net is price x (1 - c); 15 to 50 % in six public terms."""
    rules = SaleRules(commission=Decimal(percent).scaleb(-2))
    for shipping in ("0.00", "100.00"):
        sale = sale_price("A-01", Decimal("10000.00"), Decimal(shipping), rules)
        assert abs(sale.artist - Decimal(net)) <= Decimal("0.01")


PIECE = Artwork("A-01", 30 * INCH, 30 * INCH, 2 * INCH, price=Decimal(1000), destination="Pier Hall")


@pytest.mark.parametrize(
    ("piece", "order", "place", "taken", "said"),
    [
        (None, None, None, "0.5", "rates"),
        (None, None, "0.4", "0.4", "place"),
        (None, "0.3", "0.4", "0.3", "order"),
        ("0", "0.3", "0.4", "0", "piece"),
        (None, "0", "0.4", "0", "order"),
        (None, None, "0", "0", "place"),
    ],
)
def test_the_commission_said_nearest_to_the_piece_is_taken(
    piece: str | None, order: str | None, place: str | None, taken: str, said: Said
) -> None:
    parts = [None if each is None else Decimal(each) for each in (piece, order, place)]
    copy = replace(PIECE, commission=parts[0])
    where = Destination("Pier Hall", terms=SaleTerms(commission=parts[2]))
    sale = sold(copy, Order("one", (copy,), commission=parts[1]), where, Rates("USD"), Decimal("100.00"))
    assert sale.commission == Decimal(taken)
    assert sale.said == said


def test_a_direct_sale_is_not_grossed_up_for_a_gallery() -> None:
    """A buyer's price of 1000 with 100 to ship lists at 1100, all of it the artist's but the way; not at 1200."""
    where = Destination("A buyer at home", terms=SaleTerms(commission=Decimal(0)))
    sale = sold(PIECE, Order("one", (PIECE,)), where, Rates("USD"), Decimal("100.00"))
    assert [str(each) for each in (sale.list_price, sale.gallery, sale.artist)] == ["1100.00", "0.00", "1000.00"]


def test_a_place_says_who_pays_the_way_and_what_the_art_is_taxed_with() -> None:
    terms = SaleTerms(Decimal("0.4"), "buyer", "VAT", Decimal("0.2"), ("art", "work"))
    sale = sold(PIECE, Order("one", (PIECE,)), Destination("Pier Hall", terms=terms), Rates("USD"), Decimal("100.00"))
    assert (sale.paid_by, sale.tax_name) == ("buyer", "VAT")
    assert [str(each) for each in (sale.list_price, sale.tax, sale.artist, sale.delivered)] == [
        "1000.00", "200.00", "600.00", "1300.00",
    ]  # fmt: skip


@pytest.mark.parametrize("wrong", ["-0.1", "0.96", "NaN"])
def test_a_commission_beyond_all_bounds_is_refused(wrong: str) -> None:
    with pytest.raises(ValueError, match=r"commission must be from 0 to 0\.95"):
        replace(PIECE, commission=Decimal(wrong))
    with pytest.raises(ValueError, match=r"commission must be from 0 to 0\.95"):
        Order("one", (PIECE,), commission=Decimal(wrong))

from dataclasses import replace
from decimal import Decimal
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.base.measure import INCH
from nesting.order import Artwork, Order
from pricing.quoting.sale import Agreed, Dealing, Said, Shipping, list_price, sale_price, sold
from pricing.studio.destinations import Destination
from pricing.studio.parties import Party
from pricing.studio.rates import Payer, Rates
from pricing.studio.sale_terms import SaleTerms

money = st.integers(0, 10_000_000).map(lambda c: Decimal(c).scaleb(-2))
commissions = st.decimals(0, Decimal("0.95"), places=3)


def test_1000_at_half_with_100_to_ship_lists_at_1200() -> None:
    """The issue's own example: P' = P + S / (1 - c); at 1100 the artist would net 450 and not 500."""
    assert list_price(Decimal(1000), Decimal(100), Decimal("0.5")) == 1200
    sale = sale_price("A-01", Decimal(1000), Shipping(Decimal(100)), Agreed())
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
    agreed = Agreed(packing_by=payer, freight_by=payer, insurance_by=payer, art_tax=Decimal("0.07"))
    sale = sale_price("A-01", Decimal("1000.00"), Shipping(Decimal("100.00")), agreed)
    got = [str(each) for each in (sale.list_price, sale.gallery, sale.artist, sale.delivered)]
    assert got == [listed, gallery, artist, delivered]


@given(money, st.tuples(money, money, money), commissions, st.tuples(*[st.sampled_from(get_args(Payer))] * 3))
def test_nobody_loses_a_cent_on_the_way(
    price: Decimal, parts: tuple[Decimal, Decimal, Decimal], commission: Decimal, payers: tuple[Payer, Payer, Payer]
) -> None:
    """What the buyer pays is what gallery, artist, tax office and shipper get."""
    agreed = Agreed(commission, *payers, art_tax=Decimal("0.0825"))
    shipping = Shipping(sum(parts, Decimal(0)), *parts[1:])
    sale = sale_price("A-01", price, shipping, agreed)
    assert sale.delivered == sale.gallery + sale.artist + sale.tax + shipping.whole
    assert sale.divided == (len(set(payers)) > 1)


@given(money, money, commissions)
def test_the_list_price_nets_the_same_to_the_cent(price: Decimal, shipping: Decimal, commission: Decimal) -> None:
    with_shipping = sale_price("A-01", price, Shipping(shipping), Agreed(commission))
    without = sale_price("A-01", price, Shipping(Decimal("0.00")), Agreed(commission))
    assert abs(with_shipping.artist - without.artist) <= Decimal("0.01")


@pytest.mark.parametrize(
    ("percent", "net"), [(15, "8500.00"), (25, "7500.00"), (30, "7000.00"), (35, "6500.00"), (40, "6000.00"),
                         (50, "5000.00"), (60, "4000.00")],
)  # fmt: skip
def test_the_net_is_the_price_less_the_commission(percent: int, net: str) -> None:
    """``shared/freight-and-papers.md``, 4: net is price x (1 - c); 15 to 50 % in six public terms."""
    agreed = Agreed(Decimal(percent).scaleb(-2))
    for shipping in ("0.00", "100.00"):
        sale = sale_price("A-01", Decimal("10000.00"), Shipping(Decimal(shipping)), agreed)
        assert abs(sale.artist - Decimal(net)) <= Decimal("0.01")


HUNDRED = Shipping(Decimal("100.00"))
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
    sale = sold(Dealing(copy, Order("one", (copy,), commission=parts[1]), where, Rates("USD")), HUNDRED)
    assert sale.commission == Decimal(taken)
    assert sale.said == said


def test_a_direct_sale_is_not_grossed_up_for_a_gallery() -> None:
    """A buyer's price of 1000 with 100 to ship lists at 1100, all of it the artist's but the way; not at 1200."""
    where = Destination("A buyer at home", terms=SaleTerms(commission=Decimal(0)))
    sale = sold(Dealing(PIECE, Order("one", (PIECE,)), where, Rates("USD")), HUNDRED)
    assert [str(each) for each in (sale.list_price, sale.gallery, sale.artist)] == ["1100.00", "0.00", "1000.00"]


def test_a_place_says_who_pays_the_way_and_what_the_art_is_taxed_with() -> None:
    terms = SaleTerms(Decimal("0.4"), "buyer", "VAT", Decimal("0.2"), ("art", "work"))
    sale = sold(Dealing(PIECE, Order("one", (PIECE,)), Destination("Pier Hall", terms=terms), Rates("USD")), HUNDRED)
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


GALLERY = Party("Pier Hall", commission=Decimal("0.4"), freight_by="buyer", insurance_by="gallery")


def test_each_bears_the_part_that_was_agreed_with_the_gallery() -> None:
    """By hand: 60 of packing in the list price 1000 + 60 / 0.6 = 1100; 30 of freight the buyer's, 10 the gallery's."""
    dealing = Dealing(PIECE, Order("one", (PIECE,)), Destination("Pier Hall"), Rates("USD"), gallery=GALLERY)
    sale = sold(dealing, Shipping(Decimal("100.00"), Decimal("30.00"), Decimal("10.00")))
    assert (sale.said, sale.commission, sale.divided) == ("gallery", Decimal("0.4"), True)
    assert (sale.paid_by, sale.freight_by, sale.insurance_by) == ("list price", "buyer", "gallery")
    assert [str(each) for each in (sale.list_price, sale.gallery, sale.artist, sale.delivered)] == [
        "1100.00", "430.00", "600.00", "1130.00",
    ]  # fmt: skip


def test_what_is_agreed_with_the_buyer_goes_before_the_gallery_and_the_gallery_before_the_place() -> None:
    place = Destination("Pier Hall", terms=SaleTerms(Decimal("0.3"), "artist"))
    order = Order("one", (PIECE,))
    alone = Dealing(PIECE, order, place, Rates("USD"), gallery=GALLERY).agreed
    assert alone == Agreed(Decimal("0.4"), "artist", "buyer", "gallery")
    buyer = Party("A. Collector", commission=Decimal("0.1"), insurance_by="buyer")
    both = Dealing(PIECE, order, place, Rates("USD"), buyer, GALLERY)
    assert both.agreed == Agreed(Decimal("0.4"), "artist", "buyer", "buyer"), "a buyer keeps no commission"
    assert Dealing(PIECE, order, place, Rates("USD"), buyer).said == "place"
    assert Dealing(PIECE, replace(order, commission=Decimal(0)), place, Rates("USD"), buyer, GALLERY).said == "order"

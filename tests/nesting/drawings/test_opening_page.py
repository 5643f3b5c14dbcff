"""The page that rides in a crate, read back from the PDF: opened and closed again as its lid is held."""

from dataclasses import replace
from decimal import Decimal
from io import BytesIO

import pdfplumber
import pytest

from nesting.base.measure import INCH
from nesting.crates.expand import expand
from nesting.drawings.packet import packet_bytes
from nesting.order import Artwork, Back, Order
from nesting.shop.shop_file import default_shop
from tests.nesting.drawings.builds import plain_build

SHOP = default_shop()


def page(terms: str, method: str = "closed", country: str = "") -> str:
    """Return the opening page of a crate with one piece, as one line."""
    wide, kg = (10, 1) if method == "carton" else (30, 9)
    piece = Artwork(
        "A-01", wide * INCH, wide * INCH * 6 // 5, 2 * INCH, weight_kg=Decimal(kg), back=Back("solid"), method=method,
        destination="Far Hall", extra=(("terms", terms),),
    )  # fmt: skip
    order = Order("test", (piece,))
    made = plain_build(order)
    if country:
        made = replace(made, crates=tuple(expand(order, SHOP, countries={"Far Hall": country})))
    with pdfplumber.open(BytesIO(packet_bytes(made))) as document:
        texts = [" ".join((each.extract_text() or "").split()) for each in document.pages]
    return " ".join(text for text in texts if text.startswith("Opening and return"))


@pytest.fixture(scope="module")
def consigned() -> str:
    return page("consigned", country="GB")


@pytest.fixture(scope="module")
def sold() -> str:
    return page("sold")


def in_order(text: str, *words: str) -> None:
    """Hold that words stand in a text, one after the other."""
    at = -1
    for each in words:
        found = text.find(each, at + 1)
        assert found > at, f"{each!r} does not follow in {text!r}"
        at = found


def test_a_consigned_crate_is_opened_and_closed_again_by_its_page(consigned: str) -> None:
    count = len(expand(Order("test", (Artwork(
        "A-01", 30 * INCH, 36 * INCH, 2 * INCH, weight_kg=Decimal(9), back=Back("solid"), method="closed",
        extra=(("terms", "consigned"),)),)), SHOP)[0].bolts)  # fmt: skip
    assert count
    in_order(
        consigned,
        "leave it unopened in the room where it will hang for 24 hours",
        "bolts and without mounting screws",
        "7/16 in (11 mm) socket",
        "the bottom row first and the two upper corners last",
        "bag that is tied to the crate",
        "the bottom screws first, the top ones last",
        "Packing it again",
        "Run a finger round the gasket",
        "bolts by hand, four turns each, before any is tightened",
        "never with a driver",
    )
    assert "screws along its edges out" not in consigned
    assert "{" not in consigned


def test_gel_is_told_where_it_lies(consigned: str, sold: str) -> None:
    in_order(consigned, "Packing it again", "Silica gel lies behind the piece", "same weight")
    assert "Silica gel" not in sold


def test_a_sold_crate_is_opened_by_its_screws(sold: str) -> None:
    in_order(sold, "for 24 hours", "screws along its edges out", "Packing it again", "lid on, all its screws")
    assert "socket" not in sold


@pytest.mark.parametrize("method", ["travel", "carton"])
def test_frames_cases_and_cartons_wait_a_day_too(method: str) -> None:
    text = page("consigned", method)
    assert text.count("24 hours") == (2 if method == "travel" else 1)
    assert "socket" not in text

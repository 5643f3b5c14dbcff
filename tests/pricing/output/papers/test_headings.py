"""Headings as advice, and export filing in the United States, held against rulings and regulations."""

from dataclasses import replace
from decimal import Decimal

import pytest

from nesting.order import Artwork
from pricing.output.papers.filing import export_filing
from pricing.output.papers.headings import advised
from tests.pricing.builds import small_build

FIRST = small_build().order.artworks[0]


def piece(medium: str, year: str = "2026", edition: str = "") -> Artwork:
    return replace(FIRST, medium=medium, year=year, edition=edition, support="")


@pytest.mark.parametrize(
    ("work", "kind", "code"),
    [
        (piece("Oil on canvas"), "original", "9701.91"),  # Harmonized System 2022: paintings, not above 100 years
        (piece("oil on canvas", "1919"), "original", "9701.21"),  # above 100 years
        (piece("oil on canvas", "1926"), "original", "9701.91"),  # exactly 100
        (piece("resin and pigment on birch panel"), "", "9701.91"),
        (piece("Colour lithograph"), "original", "9702.90"),
        (piece("etching and aquatint", "c. 1890"), "original", "9702.10"),
        (piece("bronze", edition="3 of 8"), "original", "9703.90"),
        (piece("bronze", edition="12/20"), "original", "9703.90"),  # 19 CFR 10.48: the first twelve
        (piece("bronze", edition="13/20"), "original", ""),  # the thirteenth is none
        (piece("bronze"), "replica", ""),
        (piece("giclée print"), "original", "4911.91"),
        (piece("C-print, face-mounted"), "original", "4911.91"),
        (piece("inkjet print"), "original", "4911.91"),
        (piece("acrylic over a giclée print"), "original", ""),  # ruling NY 854208: a printed base is 4911
        (piece("oil on canvas"), "reproduction", ""),
        (piece(""), "original", ""),
    ],
)
def test_what_the_medium_suggests(work: Artwork, kind: str, code: str) -> None:
    found = advised(work, kind, 2026)
    assert found.code == code
    assert found.about
    assert "advice" in found.line


@pytest.mark.parametrize(
    ("by_heading", "country", "told"),
    [
        # trade.gov; 15 CFR 30.37(a): more than 2,500 of one number
        (
            {"9701.91": ["1250", "1250"]},
            "GB",
            "none up to 2,500.00 US dollars under one heading; legend",
        ),
        ({"9701.91": ["900", "900", "900"]}, "GB", "needed, since more than 2,500.00"),
        ({"9701.91": ["2400"], "9703.90": ["2400"]}, "GB", "legend NOEEI 30.37(a)"),
        ({"9701.91": ["2500.01"]}, "PR", "goes to one consignee: 9701.91 USD 2,500.01"),  # Puerto Rico: not exempt
        ({"9701.91": ["90000"]}, "CA", "none for Canada; legend NOEEI 30.36"),
        ({"9701.91": ["900", None]}, "GB", "not all values are known"),
        ({"9701.91": ["2400"], "": ["2400"]}, "GB", "not all headings are known"),
    ],
)
def test_when_an_export_is_filed(by_heading: dict[str, list[str | None]], country: str, told: str) -> None:
    values = {
        heading: [None if each is None else Decimal(each) for each in mine] for heading, mine in by_heading.items()
    }
    text = export_filing(values, "USD", country)
    assert told in text
    assert "as advice" in text
    assert text.endswith("ask the carrier or a broker.")


def test_what_comes_back_and_what_is_in_another_currency() -> None:
    values = {"9701.91": [Decimal(90_000)]}
    assert "legend NOEEI 30.37(q)" in export_filing(values, "USD", "GB", carnet=True)
    assert "these values are in EUR" in export_filing(values, "EUR", "GB")

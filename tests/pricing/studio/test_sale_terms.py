"""Commission, who pays, and tax of a place, as its row says them."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.base.faults import FaultsFound
from nesting.base.ratio import parse_ratio, ratio_text
from pricing.studio.destinations import Destination, Destinations, destinations_csv, destinations_from
from pricing.studio.rates_file import default_rates
from pricing.studio.sale_terms import TERMS, SaleTerms

RATES = default_rates()


def read(heading: str, *rows: str) -> Destinations:
    """Read a table typed by hand."""
    return destinations_from("\n".join([heading, *rows]).encode(), "destinations.csv", RATES)


def test_every_column_is_read() -> None:
    table = read(
        f"destination,{','.join(TERMS)}",
        'Pier Hall,40 %,buyer,VAT,20 %,"freight, work and art",',
        "A buyer,0,list price,,0.0875,nothing,",
        "Canal House,,,VAT,,all,zero-rated: shipped abroad",
        "Hill Rooms,,,,,,",
    )
    assert [row.terms for row in table.rows] == [
        SaleTerms(Decimal("0.4"), "buyer", "VAT", Decimal("0.2"), ("art", "work", "freight")),
        SaleTerms(Decimal(0), "list price", "", Decimal("0.0875"), ()),
        SaleTerms(None, None, "VAT", None, ("art", "work", "freight", "insurance"), "zero-rated: shipped abroad"),
        SaleTerms(),
    ]
    assert table.warnings == ()


def test_a_table_without_these_columns_says_nothing_of_them() -> None:
    """Old meaning: the one rate of the rates holds for all."""
    assert read("destination,country", "Pier Hall,US").rows[0].terms == SaleTerms()
    assert not SaleTerms(commission=Decimal(0)).says_tax
    assert all(
        terms.says_tax for terms in (SaleTerms(tax_rate=Decimal(0)), SaleTerms(tax_on=()), SaleTerms(export="abroad"))
    )


def test_what_cannot_be_read_is_told_cell_by_cell() -> None:
    with pytest.raises(FaultsFound) as caught:
        read(
            f"destination,{','.join(TERMS)}",
            f"Pier Hall,40,nobody,VAT,120 %,paintings,{'x' * 201}",
            "Canal House,96 %,,,,none,",
        )
    assert [(fault.row, fault.column) for fault in caught.value.faults] == [
        (2, "commission"), (2, "tax rate"), (2, "paid by"), (2, "tax on"), (2, "export"), (3, "commission"),
        (3, "tax on"),
    ]  # fmt: skip
    assert caught.value.faults[0].accepted == "a part such as 40 % or 0.4, 95 % at the most"


def test_what_no_file_could_say_is_refused() -> None:
    with pytest.raises(ValueError, match="commission"):
        SaleTerms(commission=Decimal("0.96"))
    with pytest.raises(ValueError, match="tax rate"):
        SaleTerms(tax_rate=Decimal("1.1"))


parts = st.none() | st.integers(0, 95_000).map(lambda part: Decimal(part).scaleb(-5))
terms = st.builds(
    SaleTerms,
    parts,
    st.none() | st.sampled_from(["list price", "buyer", "artist", "gallery"]),
    st.sampled_from(["", "VAT", "=1+1"]),
    parts,
    st.none()
    | st.lists(st.booleans(), min_size=4, max_size=4).map(
        lambda on: tuple(k for k, yes in zip(("art", "work", "freight", "insurance"), on, strict=True) if yes)
    ),
    st.sampled_from(["", "zero-rated, shipped abroad"]),
)


@given(st.lists(terms, min_size=1, max_size=4))
def test_every_table_reads_back(drawn: list[SaleTerms]) -> None:
    table = Destinations(tuple(Destination(f"P{at}", terms=each) for at, each in enumerate(drawn)))
    back = destinations_from(destinations_csv(table).encode(), "destinations.csv", RATES)
    assert [row.terms for row in back.rows] == [replace(each) for each in drawn]


@pytest.mark.parametrize(
    ("text", "percent", "part"),
    [("40 %", False, "0.4"), ("40%", True, "0.4"), ("0.4", False, "0.4"), (".5", False, "0.5"), ("0", True, "0"),
     ("1", False, "1"), ("40", True, "0.4"), ("8.875 %", False, "0.08875"),
     ("0.333333333333333", False, "0.333333333333333")],
)  # fmt: skip
def test_parts_of_one(text: str, percent: bool, part: str) -> None:
    assert parse_ratio(text, percent=percent) == Decimal(part)
    assert parse_ratio(ratio_text(Decimal(part))) == Decimal(part)


@pytest.mark.parametrize(
    ("text", "percent"), [("40", False), ("0.4", True), ("-1 %", False), ("1e2 %", False), ("", False), ("half", True)]
)
def test_parts_that_may_be_meant_otherwise_are_refused(text: str, percent: bool) -> None:
    with pytest.raises(ValueError, match="part"):
        parse_ratio(text, percent=percent)

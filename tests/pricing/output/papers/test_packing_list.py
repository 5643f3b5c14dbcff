"""The packing list, held against export.gov's guide to exporting (2016).

Each package with its contents, kind, net, tare and gross weight and size in both systems, and marks; no prices.
"""

import re
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.base.measure import MM
from pricing.output.papers.consignment import consignments
from pricing.output.papers.packing_list import PackingList, Weights, packing_list, weights
from pricing.output.papers.pages import packing_list_pdf
from pricing.output.papers.paper import Look
from tests.pricing.output.papers.orders import HOME, abroad, bare, mixed, priced, text_of, work

POUND = Decimal("0.45359237")
"""International pound in kilograms, exact (yard and pound agreement of 1959)."""


@pytest.fixture(scope="module")
def listed() -> PackingList:
    return packing_list(abroad(mixed()))


def test_every_package_with_its_contents_kind_and_marks(listed: PackingList) -> None:
    assert [(each.mark, each.number, each.kind) for each in listed.packages] == [
        (f"K{n}", f"{n} of 4", "Closed crate") for n in range(1, 5)
    ]  # fmt: skip
    assert listed.packages[0].holds == (
        "A-01: Z. Ångström, “Tidal Study No. 1”, 2026, resin and pigment on birch panel",
    )  # fmt: skip


def test_net_and_tare_are_the_gross_of_each_and_in_sum_in_both_systems(listed: PackingList) -> None:
    every = [each.pounds for each in listed.packages], [each.kilograms for each in listed.packages]
    for each, whole in zip(every, (listed.pounds, listed.kilograms), strict=True):
        for one in (*each, whole):
            assert one.net + one.tare == one.gross
        for key in ("net", "tare", "gross"):
            assert sum(getattr(one, key) for one in each) == getattr(whole, key)
    assert listed.packages[0].kilograms == Weights(Decimal(8), Decimal("14.2"), Decimal("22.2"))


@given(st.decimals(0, 500, places=3), st.decimals(0, 500, places=3))
def test_both_systems_agree_to_rounding(net: Decimal, tare: Decimal) -> None:
    pounds, kilograms = weights(net, net + tare)
    assert abs(pounds.gross * POUND - kilograms.gross) <= Decimal("0.05") * (1 + POUND)
    assert abs(pounds.net * POUND - kilograms.net) <= Decimal("0.05") * (1 + POUND)
    assert pounds.net + pounds.tare == pounds.gross


def test_size_and_volume_by_hand(listed: PackingList) -> None:
    """27 x 36 x 5 in: 4,860 cubic inches, of which 1,728 are a cubic foot, 2.8125; 685.8 x 914.4 x 127 mm: 0.0796."""
    first = listed.packages[0]
    assert first.size == "27 × 36 × 5 in\n686 × 914 × 127 mm"
    assert (first.cubic_feet, first.cubic_metres) == (Decimal("2.8"), Decimal("0.080"))
    outside = abroad(mixed()).crates[0].outside
    exact = Fraction(outside.width * outside.height * outside.depth, (1000 * MM) ** 3)
    assert abs(Fraction(first.cubic_metres) - exact) <= Fraction(5, 10_000)
    assert listed.cubic_feet == sum(each.cubic_feet for each in listed.packages)


def test_the_page_says_the_same_and_no_price(listed: PackingList) -> None:
    text = text_of(packing_list_pdf(listed, Look("a4")))
    for wanted in ("Packing list", "Shipper", "Consignee", "Pier 4", "K1", "1 of 4", "Closed crate", "27 × 36 × 5 in",
                   "686 × 914 × 127 mm", "2.8 ft³", "0.080 m³", "8.0 kg", "14.2 kg", "22.2 kg", "48.9 lb", "Together",
                   "raw wood in K3; none in the others", "fragile and this way up", "page 1 of 1"):  # fmt: skip
        assert wanted in text
    assert not re.search(r"\d\.\d\d\b(?! m³)", text.replace("0.", "")), "nothing that looks like money"
    assert "USD" not in text
    assert "EUR" not in text


def test_wood_at_home_asks_for_no_mark_and_what_is_not_known_is_told() -> None:
    home = next(each for each in consignments(mixed()) if not each.border)
    assert packing_list(home).missing == ()
    assert "Marks of ISPM 15 on the packages" not in dict(packing_list(home).closing)
    told = packing_list(abroad(bare())).missing
    assert told == ("a number", "address of the studio ([studio] of shop.toml)", "title of A-01 (order)")


def test_a_package_with_very_many_works_of_long_names_runs_on(listed: PackingList) -> None:
    """A row that is higher than its page cannot be set."""
    full = replace(listed.packages[0], holds=tuple(f"A-{n}: {'long words ' * 60}" for n in range(40)))
    text = text_of(packing_list_pdf(replace(listed, packages=(full,)), Look()))
    assert all(f"A-{n}: long words" in text for n in range(40))
    assert text.count("K1, more") == 5
    assert "page 3 of 3" in text


def test_copies_that_travel_together_are_named_once() -> None:
    made = priced(work(1, "consigned", HOME, quantity=12))
    (consignment,) = consignments(made)
    crate = replace(consignment.crates[0], pieces=tuple(each.piece for each in consignment.works))
    build = replace(made.build, crates=(crate,))
    for count, told in ((12, "A-01#1 to #12, 12 pieces: "), (3, "A-01#1, #2, #3: ")):
        one = replace(crate, pieces=crate.pieces[:count])
        some = replace(consignment, quote=replace(made, build=replace(build, crates=(one,))))
        (package,) = packing_list(some).packages
        assert len(package.holds) == 1
        assert package.holds[0].startswith(told)

"""The schedule of works, held against worked values, the fields that statutes ask for, and the page it is laid on."""

import io
import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pdfminer.high_level import extract_pages, extract_text

from pricing.output.papers.consignment import consignments
from pricing.output.papers.files import papers_contents
from pricing.output.papers.missing import missing_lines, papers_missing
from pricing.output.papers.schedule import STATUTES, Division, Schedule, schedules
from pricing.output.papers.schedule_pages import schedule_pdf
from pricing.quoting.quote import Quote, quote
from pricing.studio.consignment_rules import DiscountBy, Side
from pricing.studio.parties import Party
from tests.pricing.output.offer.orders import PLACE, office, priced

D = Decimal
GALLERY = Party(
    PLACE, "N. Registrar", ("Pier 4", "Harbor Town, ME 04101"), "US", phone="+1 207 555 0100", commission=D("0.4"),
    freight_by="gallery", insurance_by="gallery", way_back_by="gallery", back_on=date(2027, 3, 31),
)  # fmt: skip
"""Invented."""


def consigned(count: int = 2, party: Party = GALLERY, **facts: Any) -> Quote:
    """Price so many works that a gallery takes to sell, each with the same further facts."""
    at = office(party)
    made = priced(count, at, buyers=("",))
    works = tuple(replace(work, **({"gallery": PLACE} | facts)) for work in made.build.order.artworks)
    build = replace(made.build, order=replace(made.build.order, artworks=works))
    return quote(build, at, on=made.on, number="Q-17")


def schedule_of(made: Quote) -> Schedule:
    (consignment,) = consignments(made)
    (schedule,) = schedules(consignment)
    return schedule


def text_of(data: bytes) -> str:
    """Return what stands in a PDF, line breaks as blanks."""
    return " ".join(extract_text(io.BytesIO(data)).split())


@pytest.mark.parametrize(
    ("rule", "artist", "gallery"),
    [("in proportion", 5400, 3600), ("gallery", 6000, 3000), ("half each", 5500, 3500)],
)
def test_a_discount_divides_as_three_public_rules_say(rule: DiscountBy, artist: int, gallery: int) -> None:
    """10,000 at 40 % less 10 %; a gallery's terms, a template of contracts, an arts council's sample (rules read)."""
    assert Division(D("0.4"), rule).of(D(10_000), D(1_000)) == (D(artist), D(gallery))


def test_cost_of_production_comes_back_first() -> None:
    """10,000 at 50 %, framing 800 by the artist: 5,400 and 4,600 (arts council's sample agreement)."""
    assert Division(D("0.5"), production=D(800)).of(D(10_000)) == (D(5400), D(4600))
    assert Division(D("0.5"), production=D(800), production_by="gallery").of(D(10_000)) == (D(4600), D(5400))
    assert Division(D("0.5"), production=D(800)).of(D(500)) == (D(500), D(0)), "less than it cost: no commission"


@given(
    st.decimals(0, 1_000_000, places=2),
    st.integers(0, 950),
    st.integers(0, 100),
    st.decimals(0, 10_000, places=2),
    st.sampled_from(["in proportion", "gallery", "half each"]),
    st.sampled_from(["artist", "gallery"]),
)
def test_both_parts_are_whole_cents_and_sum_to_what_is_paid(
    price: Decimal, part: int, off: int, production: Decimal, rule: DiscountBy, side: Side
) -> None:
    discount = (price * off / 100).quantize(D("0.01"))
    artist, gallery = Division(D(part) / 1000, rule, production, side).of(price, discount)
    assert artist + gallery == price - discount
    assert gallery == gallery.quantize(D("0.01"))


@pytest.mark.parametrize("payer", ["list price", "artist", "gallery", "buyer"])
def test_what_is_left_to_the_artist_is_what_the_sale_price_of_the_quote_says(payer: Any) -> None:
    party = replace(GALLERY, packing_by=payer, freight_by="artist", insurance_by=payer)
    made = consigned(3, party)
    for work, sale in zip(schedule_of(made).works, made.sales, strict=True):
        assert (work.price, work.net) == (sale.list_price, sale.artist)
        assert work.gallery is not None
        assert work.gallery - work.bears("gallery") == sale.gallery


def held(schedule: Schedule) -> dict[str, str]:
    return {each.label: each.text for each in schedule.held}


OREGON: dict[str, Callable[[Schedule], Any]] = {
    "retail value": lambda made: all(work.price for work in made.works),
    "time of payment": lambda made: "within 30 days after a sale" in held(made)["Payment"],
    "least price": lambda made: [work.least for work in made.works] == [D(800), D(800)],
    "commission": lambda made: {work.division.commission for work in made.works} == {D("0.4")},
}
"""The four fields of a contract by ORS 359.220, as read in its text."""


@pytest.mark.parametrize("field", OREGON)
def test_the_four_fields_of_oregon_stand_in_it(field: str) -> None:
    assert OREGON[field](schedule_of(consigned(least_price=D(800))))


def test_what_other_statutes_ask_for_stands_in_it() -> None:
    made = schedule_of(consigned(least_price=D(800)))
    terms = held(made)
    assert "in trust for the artist" in terms["Title"], "New York 12.01, California 1738.5 to 1738.7: trust property"
    assert "paid for it in full" in terms["Title"], "the same, until paid in full"
    assert "The gallery answers" in terms["Loss and damage"], "California 1738.5 to 1738.7, Missouri 407.902"
    assert "the artist's part" in terms["Loss and damage"], "Oregon 359.210(1)(c): value where none was agreed"
    assert "below its least price" in terms["Sale"], "Missouri 407.902: no sale below the agreed amount"
    assert "who bought" in terms["Sale"], "Oregon 359.210: the buyer's name on demand"
    assert "consent" in terms["Shown elsewhere"], "Missouri 407.902"
    assert [each.where for each in made.statutes] == ["New York", "California", "Oregon", "Missouri"]
    oregon = made.statutes[2].says
    assert "here 2027-04-30" in oregon, "Oregon 359.210: 30 days after the agreed removal, 31 March and 30 days"


def test_laws_of_the_united_states_are_for_those_who_are_there() -> None:
    at = replace(GALLERY, country="NL")
    made = consigned(party=at)
    assert schedule_of(made).statutes, "the studio is in the United States"
    shop = replace(made.build.shop, studio=replace(made.build.shop.studio, country="NL"))
    assert schedule_of(replace(made, build=replace(made.build, shop=shop))).statutes == ()
    assert {each.cited for each in STATUTES} >= {"ORS 359.210 and 359.220", "RSMo 407.902"}


def test_what_nobody_said_is_a_line_to_write_on_and_is_told() -> None:
    made = consigned(party=Party(PLACE), price=None)
    schedule = schedule_of(made)
    assert held(schedule)["Way back"] == held(schedule)["Unsold works are back"] == ""
    said = "(parties.csv, or [consignment] of rates.toml)"
    assert schedule.missing == (
        f"address of {PLACE} (parties.csv)", "address of the studio ([studio] of shop.toml)",
        "price of A-01, A-02 (order)", "least price of A-01, A-02 (order)", "value if it is lost of A-01, A-02 (order)",
        f"way back {said}", f"unsold works are back {said}",
    )  # fmt: skip
    assert schedule.example == ""
    (told,) = (each for each in papers_missing(made) if "Schedule" in each.title)
    assert told.lacks == schedule.missing
    text = text_of(schedule_pdf(schedule, {}))
    assert "Sums are written when every list price is." in text
    assert text.count("_________") >= 6


def test_what_is_odd_is_told() -> None:
    made = consigned(1, replace(GALLERY, commission=D("0.15"), discount_by="gallery"), least_price=D(700))
    assert schedule_of(made).doubts == (
        "A-01: a commission of 15 % is unusual; 25 % to 60 % are common",
        "A-01: at its least price, 700.00, nothing is left for the gallery",
    )
    (told,) = schedule_of(consigned(1, least_price=D(5000))).doubts
    assert re.fullmatch(r"A-01: a least price of 5,000\.00 is above its list price of [\d,.]+", told)


def test_what_the_gallery_agreed_comes_before_the_rates() -> None:
    party = replace(GALLERY, discount_by="half each", loss_by="artist", paid_within=10, back_on=None, back_after=90)
    terms = held(schedule_of(consigned(party=party, declared=D(650))))
    assert "half of it each" in terms["Discount"]
    assert terms["Loss and damage"].startswith("The artist answers for them, for the value declared of each work above")
    assert "within 10 days" in terms["Payment"]
    assert terms["Unsold works are back"].startswith("90 days after they arrive")


def test_works_that_are_sold_and_works_of_another_gallery_stand_apart() -> None:
    made = consigned(4)
    first, second, third, fourth = made.build.order.artworks
    works = (
        replace(first, extra=(("terms", "sold"),)),
        replace(second, buyer="Bay Foundation"),
        replace(third, gallery="Hillside Gallery", extra=(("terms", "consigned"),)),
        fourth,
    )
    (consignment,) = consignments(
        replace(made, build=replace(made.build, order=replace(made.build.order, artworks=works)))
    )
    found = schedules(consignment)
    assert [(each.gallery[0], [work.piece for work in each.works]) for each in found] == [
        ("Hillside Gallery", ["A-03"]), (PLACE, ["A-04"]),
    ]  # fmt: skip
    assert [each.destination for each in found] == [PLACE, ""]


@pytest.mark.parametrize(("count", "pages"), [(1, 1), (5, 2), (12, 2), (40, 4)])
def test_the_page_says_it(count: int, pages: int) -> None:
    made = consigned(count, least_price=D(800), production_cost=D(80), edition="3 of 8")
    schedule = schedule_of(made)
    data = schedule_pdf(schedule, {})
    text = text_of(data)
    for work in schedule.works:
        assert work.artist is not None
        for said in (work.piece, work.title, f"{work.price:,.2f}", f"{work.artist:,.2f}", f"{work.kept:,.2f}"):
            assert said in text
    for said in (
        "Schedule of works on consignment", made.build.shop.studio.name, "Harbor Town, ME 04101", "+1 207 555 0100",
        "edition 3 of 8, cost of production 80.00", "30 × 30 × 2 in, 762 × 762 × 51 mm", "Z. Ångström, 2026, resin",
        "For the artist", "For the gallery", "ask a lawyer", "ORS 359.210 and 359.220", "Signature",
    ):  # fmt: skip
        assert said in text
    assert len(list(extract_pages(io.BytesIO(data)))) == pages


def test_it_is_among_the_papers_of_an_order_where_works_are_consigned() -> None:
    name = "schedule-of-works-harbour-gallery.pdf"
    assert text_of(papers_contents(consigned(1))[name]).count(PLACE)
    assert name not in papers_contents(consigned(1, extra=(("terms", "sold"),)))


def test_a_title_that_would_fill_a_page_leaves_room_for_what_counts() -> None:
    made = consigned(1, title="word " * 399, medium="m" * 200, edition="3 of 8", least_price=D(800))
    text = text_of(schedule_pdf(schedule_of(made), {}))
    assert "…" in text
    for said in ("762 × 762 × 51 mm", "edition 3 of 8", "800.00"):
        assert said in text
    assert "Title not given" in text_of(schedule_pdf(schedule_of(consigned(1, title="")), {}))


def test_works_of_which_nobody_says_how_they_go_are_on_no_schedule_and_told() -> None:
    lines = [*missing_lines(consigned(5, gallery=""))]
    assert lines[-1] == (
        "On no schedule of works: A-01, A-02, A-03, A-04 and 1 more; whether consigned or sold (column terms) and who "
        "sells (column gallery) is not said."
    )
    for said in ({"extra": (("terms", "sold"),)}, {"buyer": "Bay Foundation"}, {"gallery": PLACE}):
        facts: dict[str, Any] = {"gallery": ""} | said
        assert not any("On no schedule" in line for line in missing_lines(consigned(1, **facts)))


def test_a_gallery_abroad_sees_the_sum_in_its_own_currency() -> None:
    """By hand: 0.9137 EUR for 1 USD, the sum half up to the cent."""
    made = consigned(2, replace(GALLERY, currency="EUR"))
    schedule = schedule_of(made)
    whole = sum((work.price for work in schedule.works if work.price), D(0))
    euros = (whole * D("0.9137")).quantize(D("0.01"), ROUND_HALF_UP)
    assert schedule.other == (
        f"EUR {euros:,} at 0.9137 EUR for 1 USD (rate of 2026-11-27, our bank); rounded half up to 0.01 EUR"
    )
    assert f"The list prices are {schedule.other}." in text_of(schedule_pdf(schedule, {}))
    other = schedule_of(consigned(1, replace(GALLERY, currency="CHF")))
    assert (other.other, "rate of CHF ([currencies] of rates.toml)" in other.missing) == ("", True)


def test_amounts_that_lack_freight_say_so_on_the_page() -> None:
    made = consigned(1)
    refused = [
        replace(each, chosen=replace(each.chosen, charges=(), refused=("too large",))) for each in made.shipments
    ]
    schedule = schedule_of(replace(made, shipments=tuple(refused)))
    assert schedule.warning == f"The amounts are not complete: no freight to {PLACE}."
    assert schedule.doubts == (schedule.warning[:-1],)
    assert schedule_of(made).warning == ""

"""Condition reports that are sent, read back from the page."""

import io
from dataclasses import replace
from typing import Any

import pytest
from pdfminer.high_level import extract_pages, extract_text
from PIL import Image

from pricing.output.papers.condition import CONDITION, condition_pdf, sent
from pricing.output.papers.consignment import Consignment, consignments
from pricing.output.papers.paper import Look
from pricing.studio.parties import Party
from tests.pricing.output.offer.orders import BUYER, PLACE, office, priced

GALLERY = Party(PLACE, "N. Registrar", ("Pier 4", "Harbor Town, ME 04101"), "US")


def consigned(count: int = 1, **facts: Any) -> Consignment:
    made = priced(count, office(GALLERY, BUYER), buyers=("",))
    works = tuple(replace(work, **({"gallery": PLACE} | facts)) for work in made.build.order.artworks)
    build = replace(made.build, order=replace(made.build.order, artworks=works))
    (consignment,) = consignments(replace(made, build=build))
    return consignment


def pages_of(data: bytes) -> list[str]:
    count = len(list(extract_pages(io.BytesIO(data))))
    return [" ".join(extract_text(io.BytesIO(data), page_numbers=[page]).split()) for page in range(count)]


def picture() -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (40, 30), (90, 140, 150)).save(out, "JPEG")
    return out.getvalue()


def test_a_report_says_all_that_is_known_and_leaves_room_for_the_rest() -> None:
    """Fields of a report by two museums' forms; signatures of lender and borrower, out and in (registrar's list)."""
    consignment = consigned(edition="3 of 8", surface="glazed")
    (page,) = pages_of(CONDITION.make(consignment, Look())[0])
    for said in (
        "Condition report", "A-01, Tidal Study No. 1", "Z. Ångström", "2026", "resin and pigment on birch panel",
        "3 of 8", "30 × 30 × 2 in", "762 × 762 × 51 mm", "glazed", "G at the most", "K1", consignment.studio.name,
        "Harbor Town, ME 04101", "Q-17", "2026-11-28", "2 (n + 1)", "Damage is measured from the lower left.",
        "face and glazing", "earlier repairs",
    ):  # fmt: skip
        assert said in page
    for twice in (
        "excellent", "good", "fair", "poor", "examined by", "for the lender", "for the borrower", "Going out: the face",
    )[:7]:  # fmt: skip
        assert page.count(twice) == 2, twice


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_each_work_has_a_page_of_its_own(paper: Any) -> None:
    consignment = consigned(5, title="Tidal Study, " * 150, medium="resin, " * 25, artist="A" * 200)
    pages = pages_of(condition_pdf(consignment, sent(consignment), {}, paper))
    assert len(pages) == 5
    assert all(f"A-{number:02}, Tidal Study" in page for number, page in enumerate(pages, start=1))


def test_the_picture_of_a_work_stands_on_its_page_and_on_no_other() -> None:
    consignment = consigned(2)
    data = condition_pdf(consignment, sent(consignment), {"A-02": picture()})
    assert data.count(b"/Subtype /Image") == 1
    assert b"/Subtype /Image" not in condition_pdf(consignment, sent(consignment), {})


def test_a_sold_work_is_its_buyers() -> None:
    (made,) = sent(consigned(buyer=BUYER.name, extra=(("terms", "sold"),)))
    assert made.lender[:2] == (BUYER.name, BUYER.contact)
    consignment = consigned()
    (made,) = sent(consignment)
    assert made.lender[0] == consignment.studio.name
    assert made.borrower[0] == PLACE


def test_what_is_left_to_write_is_told() -> None:
    assert CONDITION.missing(consigned(2, artist="", medium="")) == [
        "artist of A-01, A-02 (order)", "medium of A-01, A-02 (order)", "weight of A-01, A-02 (order)",
    ]  # fmt: skip

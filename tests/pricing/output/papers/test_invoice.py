"""The invoice for customs, held field by field against what customs ask of it, and read back from the page.

Sources, as excerpted in the project's notes: 19 CFR 141.86 (2002 edition), 19 CFR 10.48, directive 2006/112/EC article
226, the export page of a US state on pro-forma invoices, the European Commission's page on EORI.
"""

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from pricing.output.offer.content import clients, offer_of
from pricing.output.papers.consignment import consignments
from pricing.output.papers.files import batches, papers_contents
from pricing.output.papers.invoice import NOT_SOLD, SOLD, UNSOLD, Invoice
from pricing.output.papers.invoicing import invoices
from pricing.output.papers.pages import invoice_pdf
from pricing.output.papers.paper import Look
from pricing.output.papers.said import WRITE
from pricing.quoting.quote import quote
from pricing.studio.offer_rules import Exchange
from tests.pricing.output.offer.orders import DAY
from tests.pricing.output.offer.test_offer import inside
from tests.pricing.output.papers.orders import ABROAD, STUDIO, abroad, bare, mixed, priced, text_of, work

PLANTED = ("37.13", "0.3713", "Zanzibar", "markup", "overhead", "contingency", "supplier", "profit")


def both() -> tuple[Invoice, Invoice]:
    """Return the invoice of what is sold and of what is not."""
    sold, unsold = invoices(abroad(mixed()))
    assert (sold.sold, unsold.sold) == (True, False)
    return sold, unsold


@pytest.fixture(scope="module")
def pages() -> tuple[str, str]:
    """Return both as they are read back from their PDF."""
    sold, unsold = (text_of(invoice_pdf(each, Look())) for each in both())
    return sold, unsold


FIELDS_OF_A_SALE = [
    ("19 CFR 141.86(a)(1) port of entry", ("Port of entry", "London Heathrow Airport")),
    ("19 CFR 141.86(a)(2) time and place of sale", ("Day and place of sale",)),
    ("19 CFR 141.86(a)(2) seller", ("Seller and shipper", "Our Studio (invented)", "1 Yard (invented), Tide Town, ME")),
    ("19 CFR 141.86(a)(2) buyer", ("Buyer and consignee", "Pier Hall", "M. Example", "Pier 4", "Far Town FT1 2AB")),
    ("19 CFR 141.86(a)(3) full description", ("Title: “Tidal Study No. 1”, year: 2026",
                                             "Medium: resin and pigment on birch panel")),
    ("19 CFR 141.86(a)(3) marks and packages", ("A-01", "in K1", "in K2", "2 packages: K1, K2")),
    ("19 CFR 141.86(a)(4) quantities", ("No.", "762 × 762 × 51 mm", "30 × 30 × 2 in")),
    ("19 CFR 141.86(a)(5) price of each", ("Price of each, USD", "901.00", "902.00")),
    ("19 CFR 141.86(a)(7) kind of currency", ("Price of each, USD", "Amount, EUR")),
    ("19 CFR 141.86(a)(8) charges by name", ("Packing: crates, materials and work", "Freight, an estimate",
                                            "Insurance, an estimate")),
    ("19 CFR 141.86(a)(9) rebates", ("Discounts, rebates", "none in these amounts")),
    ("19 CFR 141.86(a)(10) country of origin", ("Country of origin", "US")),
    ("19 CFR 141.86(j), letter from memory: responsible person", ("Responsible person", "R. Nobody")),
    ("19 CFR 10.48 original or copy, artist's name", ("Artist: Z. Ångström", "Original work")),
    ("2006/112 art. 226(1) day of issue", ("Date", "2026-11-28")),
    ("2006/112 art. 226(2) sequential number", ("Number", "Q-17/1")),
    ("2006/112 art. 226(3) supplier's number", ("Tax number: 12-3456789",)),
    ("2006/112 art. 226(4) customer's number", ("Tax number: GB 999 9999 73",)),
    ("2006/112 art. 226(7) day of supply", ("Day of supply", "as planned")),
    ("2006/112 art. 226(8)-(10) taxable amount, rate, tax", ("VAT: zero-rated, shipped abroad by the seller", "0.00")),
    ("pro-forma: expiry of the quote", ("Holds until", "2026-12-28")),
    ("pro-forma: terms of payment", ("50 % with the order; the rest before the works leave; By transfer",)),
    ("pro-forma: delivery term with its place (Incoterms 2020)", ("FCA Our Studio (Incoterms 2020)",)),
    ("EORI of who receives", ("EORI: GB123456789000",)),
    ("heading as advice", ("heading 9701.91 as advice", "a licensed customs broker decides")),
    ("ISPM 15", ("Wood packing", "no raw wood over 6 mm (ISPM 15)")),
]  # fmt: skip


@pytest.mark.parametrize(("wanted", "texts"), FIELDS_OF_A_SALE, ids=[name for name, _ in FIELDS_OF_A_SALE])
def test_a_sale_says_what_customs_ask(pages: tuple[str, str], wanted: str, texts: tuple[str, ...]) -> None:
    assert SOLD in pages[0]
    for text in texts:
        assert text in pages[0], wanted


FIELDS_WITHOUT_A_SALE = [
    ("19 CFR 141.86(a)(2) place and time shipped", ("Shipped from", "Tide Town, ME, US", "Shipped on", "as planned")),
    ("19 CFR 141.86(a)(2) shipper and receiver", ("Shipper", "Receiver and consignee", "Pier Hall")),
    ("19 CFR 141.86(a)(6) value of each", ("Value of each, USD", "903.00", "904.00", "Total value for customs")),
    ("no sale: a value for customs purposes only", (NOT_SOLD,)),
    ("terms", ("consigned, not sold",)),
    ("ISPM 15: raw wood is marked", ("raw wood in K3", "Marks of ISPM 15 on the packages")),
]  # fmt: skip


@pytest.mark.parametrize(("wanted", "texts"), FIELDS_WITHOUT_A_SALE, ids=[name for name, _ in FIELDS_WITHOUT_A_SALE])
def test_what_is_not_sold_has_a_value_and_no_price(pages: tuple[str, str], wanted: str, texts: tuple[str, ...]) -> None:
    assert UNSOLD in pages[1]
    assert SOLD not in pages[1]
    assert "Price" not in pages[1]
    assert "Payment" not in pages[1]
    for text in texts:
        assert text in pages[1], wanted


def test_the_total_of_a_sale_is_that_of_the_offer_and_its_rows_sum_to_it() -> None:
    sold, unsold = both()
    made = mixed()
    pieces = {item.piece for item in sold.items}
    buyer = next(each for each in clients(made) if pieces <= set(each.pieces))
    offer = offer_of(made, replace(buyer, pieces=tuple(sorted(pieces))), "sale")
    texts = [*(item.amount for item in sold.items), *(charge.amount for charge in sold.added)]
    amounts = [Decimal(text.replace(",", "")) for text in texts]
    assert sum(amounts) == offer.total
    assert sold.total == f"USD {offer.total:,.2f}"
    assert not sold.within, "the buyer pays packing and freight on top of the prices"
    assert unsold.total == "USD 1,807.00", "903 + 904: charges stand beside the values, not in them"
    assert [each.title for each in unsold.within] == [each.title for each in sold.added][:3]


def test_a_price_that_holds_packing_has_it_by_its_name_all_the_same() -> None:
    """19 CFR 141.86(a)(8): charges by name whether or not they are in the price."""
    made = mixed()
    places = tuple(
        replace(each, terms=replace(each.terms, paid_by="list price")) for each in made.destinations.rows
    )  # fmt: skip
    at = replace(made.office, destinations=replace(made.destinations, rows=places))
    sold, _ = invoices(abroad(quote(made.build, at, on=DAY, number="Q-17")))
    assert [each.title for each in sold.within] == [
        "Packing: crates, materials and work", "Freight, an estimate", "Insurance, an estimate",
    ]  # fmt: skip
    assert [each.title for each in sold.added] == ["VAT: zero-rated, shipped abroad by the seller"]
    assert sum(Decimal(item.amount.replace(",", "")) for item in sold.items) > 1803


def test_a_second_currency_by_hand() -> None:
    """901.00 x 0.9137 = 823.2437, half up 823.24; rate, day and source stand with it."""
    sold, _ = both()
    assert (sold.other, sold.items[0].amount, sold.items[0].other) == ("EUR", "901.00", "823.24")
    assert sold.exchange.startswith("0.9137 EUR for 1 USD (rate of 2026-11-27, our bank)")
    whole = Decimal(sold.total.removeprefix("USD ").replace(",", ""))
    assert sold.total_other == Exchange("EUR", Decimal("0.9137"), DAY).show(whole)


def test_no_value_is_nothing() -> None:
    """A gift, a loan, a return: the value is more than nothing, or a line to write on (a parcel firm's page)."""
    made = priced(work(1, "consigned", price=Decimal(0)), work(2, "consigned", declared=Decimal(0)))
    (invoice,) = invoices(abroad(made))
    assert [item.amount for item in invoice.items] == ["", ""]
    assert invoice.total == ""
    assert "declared value or price, more than 0, of A-01, A-02 (order)" in invoice.missing
    assert "0.00" not in [item.each for item in invoice.items]


def test_what_is_not_known_is_a_line_to_write_on_and_is_told() -> None:
    (invoice,) = invoices(abroad(bare()))
    (item,) = invoice.items
    assert item.about[:3] == (f"Artist: {WRITE}", f"Title: {WRITE}, year: {WRITE}", f"Medium: {WRITE}")
    assert item.about[4] == f"Kind: {WRITE}, no heading as advice: the medium is not known"
    told = " ".join(invoice.missing)
    for wanted in ("a number", "address of the studio", "artist of A-01 (order)", "title of A-01", "medium of A-01",
                   "kind of work (original, replica, reproduction or copy) of A-01", "country of origin of A-01",
                   "declared value or price, more than 0, of A-01", "terms (order, column terms"):  # fmt: skip
        assert wanted in told
    text = text_of(invoice_pdf(invoice, Look()))
    assert text.count("____") > 10
    sold, unsold = both()
    assert sold.missing == ("day and place of sale (written by hand)",)
    assert unsold.missing == ("marks of ISPM 15 on the packages (written by hand)",)


def test_each_buyer_has_an_invoice_of_their_own() -> None:
    made = priced(work(1, "sold"), work(2, "sold", buyer="Somebody Else"), work(3, ""), work(4, "", buyer="Pier Hall"))
    found = invoices(abroad(made))
    assert [(each.sold, [item.piece for item in each.items]) for each in found] == [
        (True, ["A-01", "A-04"]), (True, ["A-02"]), (False, ["A-03"]),
    ]  # fmt: skip
    assert [each.number for each in found] == ["Q-17/1", "Q-17/2", "Q-17/3"], "article 226(2): each its own"
    assert [role for role, _ in found[1].parties] == ["Seller and shipper", "Buyer", "Consignee"]
    assert found[1].parties[1][1] == ("Somebody Else", WRITE, WRITE)
    assert any("address of Somebody Else" in text for text in found[1].missing)
    assert [name for batch in batches(made) for name in batch.names if name.startswith("invoice")] == [
        "invoice-pier-hall-far-town_1.pdf", "invoice-pier-hall-far-town_2.pdf", "invoice-pier-hall-far-town_3.pdf",
    ]  # fmt: skip


def test_copies_that_are_alike_are_one_line() -> None:
    made = priced(work(1, "consigned", quantity=3, edition="1 to 3 of 8"))
    (invoice,) = invoices(abroad(made))
    (item,) = invoice.items
    assert (item.piece, item.count, item.each, item.amount) == ("A-01", 3, "901.00", "2,703.00")
    assert item.marks == "K1, K2, K3"
    assert any("edition 1 to 3 of 8" in line for line in item.about)


def test_what_a_carnet_covers_says_that_it_comes_back() -> None:
    made = priced(work(1, "consigned", extra={"carnet": "Yes"}))
    (invoice,) = invoices(abroad(made))
    assert dict(invoice.facts)["Reason for export"] == (
        "exhibition; temporary export under carnet, to be returned within a year"
    )
    assert any("NOEEI 30.37(q)" in text for text in invoice.advice)
    odd = priced(work(1, "consigned", extra={"carnet": "perhaps"}))
    assert "carnet, yes or no, of A-01 (order)" in invoices(abroad(odd))[0].missing


def test_no_invoice_at_home_and_nothing_internal_anywhere() -> None:
    made = papers_contents(mixed())
    assert sorted(name for name in made if "harbour" in name) == [
        "condition-reports-harbour-gallery.pdf", "packing-list-harbour-gallery.pdf",
        "schedule-of-works-harbour-gallery.pdf",
    ]  # fmt: skip
    assert {each.destination for each in consignments(mixed())} == {ABROAD, "Harbour Gallery"}
    for name, pdf in made.items():
        found = inside(pdf).lower()
        assert "our studio" in found
        for planted in PLANTED:
            assert planted.lower() not in found, (name, planted)


def test_a_draft_says_so() -> None:
    made = mixed()
    at = replace(made.office, book=replace(made.book, invented=True))
    sold, _ = invoices(abroad(quote(made.build, at, on=DAY)))
    assert sold.warning.startswith("Draft: its prices are invented examples")
    assert both()[0].warning == ""


def test_very_long_words_are_cut_and_everything_else_stays() -> None:
    extra = {"reason": "r " * 900, "tariff": "9" * 700}
    long: dict[str, Any] = {"title": "Words " * 330, "artist": "Z" * 500, "extra": extra}
    (invoice,) = invoices(abroad(priced(work(1, "consigned", **long))))
    text = text_of(invoice_pdf(invoice, Look()))
    for wanted in (
        "Words Words",
        "…",
        "Medium: resin and pigment",
        "30 × 30 × 2 in",
        "901.00",
        "Total value for customs",
    ):
        assert wanted in text


def test_freight_that_nobody_knows_is_a_line_to_write_on() -> None:
    made = mixed()
    far = tuple(replace(each, km=None) for each in made.destinations.rows)
    at = replace(made.office, destinations=replace(made.destinations, rows=far))
    sold, _ = invoices(abroad(quote(made.build, at, on=DAY)))
    assert [each.amount for each in sold.added if "Freight" in each.title] == [""]
    assert sold.total == ""
    assert f"freight to {ABROAD}, not known yet (destinations.csv)" in sold.missing


def test_a_party_of_the_place_s_own_name_receives_there() -> None:
    made = mixed()
    rows = tuple(replace(each, party="") for each in made.destinations.rows)
    hall = replace(made.parties.rows[0], name=ABROAD)
    at = replace(
        made.office, destinations=replace(made.destinations, rows=rows), parties=replace(made.parties, rows=(hall,))
    )
    receiver = abroad(quote(made.build, at, on=DAY)).receiver
    assert receiver == hall
    bare_places = replace(made.destinations, rows=())
    unknown = quote(made.build, replace(at, destinations=bare_places), on=DAY)
    assert abroad(unknown).country == "GB", "the table of places lacks it, and who receives there says its country"


def test_a_studio_in_the_european_union_states_its_eori_and_files_nothing_in_the_united_states() -> None:
    """European Commission on EORI: operators in the Union need one; a private person abroad may need none."""
    made = priced(work(1, "consigned"), studio={**STUDIO, "country": "DE"})
    (invoice,) = invoices(abroad(made))
    assert f"EORI: {WRITE}" in dict(invoice.parties)["Shipper"]
    assert "eori of the studio ([studio] of shop.toml)" in invoice.missing
    assert not any("Export filing" in text for text in invoice.advice)
    known = priced(work(1, "consigned"), studio={**STUDIO, "country": "DE", "eori": "DE123456789"})
    assert "EORI: DE123456789" in dict(invoices(abroad(known))[0].parties)["Shipper"]


def test_between_the_united_states_and_canada_raw_wood_needs_no_mark_and_nothing_is_filed() -> None:
    """15 CFR 30.36; the exemption of wood is the trade's word, from memory, and a rule of the shop."""
    made = priced(work(1, "consigned"), raw="K1")
    rows = tuple(replace(each, country="CA") for each in made.destinations.rows)
    at = replace(made.office, destinations=replace(made.destinations, rows=rows))
    (invoice,) = invoices(abroad(quote(made.build, at, on=DAY, number="Q-17")))
    assert "between US and CA no mark is asked for at present" in dict(invoice.closing)["Wood packing"]
    assert "Marks of ISPM 15 on the packages" not in dict(invoice.closing)
    assert any("NOEEI 30.36" in text for text in invoice.advice)

import zipfile
import zlib
from dataclasses import replace
from datetime import date
from decimal import Decimal
from io import BytesIO
from itertools import combinations
from pathlib import Path

import pdfplumber
import pytest
from openpyxl import load_workbook
from pdfminer.high_level import extract_text
from pdfminer.pdfdocument import PDFDocument
from pdfminer.pdfparser import PDFParser
from pdfminer.pdftypes import PDFStream
from PIL import Image

from nesting.base.faults import FaultsFound
from nesting.order import Artwork
from pricing.money import total
from pricing.output.offer.content import INVENTED, LOGO, Kind, clients, offer_of
from pricing.output.offer.files import offer_contents, offers
from pricing.output.offer.letter import letter
from pricing.output.offer.pages import offer_pdf
from pricing.output.offer.pictures import offer_pictures, read_picture, small
from pricing.output.offer.sheet import offer_xlsx
from pricing.quoting.quote import quote
from pricing.studio.offer_rules import Exchange
from pricing.studio.office import Office
from pricing.studio.parties import Party
from tests.pricing.output.offer.orders import BUYER, DAY, office, priced

PLANTED = (
    "37.13", "0.3713", "Zanzibar", "43.17", "Quagga", "markup", "overhead", "contingency", "supplier",
    "orders_export_7",
)  # fmt: skip
"""A markup, a supplier, an hour's price and a note to oneself, with words and a file's name that stay inside."""


def picture(size: tuple[int, int] = (1200, 900), kind: str = "JPEG", mode: str = "RGB") -> bytes:
    """Return a picture with something internal stored beside it."""
    out, exif = BytesIO(), Image.Exif()
    exif[0x010E] = "Zanzibar Odd Lumber"
    exif[0x0112] = 6
    Image.new(mode, size, "teal").save(out, kind, exif=exif)
    return out.getvalue()


def pages(pdf: bytes) -> list[str]:
    with pdfplumber.open(BytesIO(pdf)) as found:
        return [" ".join(page.extract_text().split()) for page in found.pages]


def words(pdf: bytes) -> str:
    return " ".join(pages(pdf))


def cells(xlsx: bytes) -> list[object]:
    book = load_workbook(BytesIO(xlsx))
    assert book.sheetnames == ["Offer"]
    return [cell for row in book["Offer"].iter_rows(values_only=True) for cell in row if cell is not None]


def test_the_rows_sum_to_the_total_of_the_quote_and_are_read_back_from_the_pdf() -> None:
    made = priced(3)
    (offer,) = offers(made)
    assert [row.title for row in offer.rows] == [
        "Packing: crates, materials and work", "Freight, an estimate", "Insurance, an estimate", "VAT 20 %",
    ]  # fmt: skip
    assert offer.total == total(row.amount for row in offer.rows if row.amount is not None) == made.total
    text = words(offer_pdf(offer, {}))
    for row in offer.rows:
        assert f"{row.amount:,.2f}" in text
    assert f"USD {made.total:,.2f}" in text
    numbers = [cell for cell in cells(offer_xlsx(offer)) if isinstance(cell, float)]
    assert numbers[-1] == pytest.approx(float(made.total))


@pytest.mark.parametrize(
    ("kind", "prices", "deposit", "rate", "total_", "paid", "other"),
    [
        # 900.00 + 901.00 = 1,801.00; a half is 900.50; x 150.5 = 271,050.5 yen, of which there is no half.
        ("sale", (900, 901), "0.5", ("JPY", "150.5"), "1801.00", ("900.50", "900.50"), "JPY 271,051"),
        # 1,000.00; a third, as 33.33 %, is 333.30; x 0.3070005 = 307.0005 dinars of a thousand fils each.
        ("sale", (1000,), "0.3333", ("KWD", "0.3070005"), "1000.00", ("333.30", "666.70"), "KWD 307.001"),
        # 1,000.01; 12.5 % is 125.00125; x 0.5 = 500.005 euros.
        ("sale", ("1000.01",), "0.125", ("EUR", "0.5"), "1000.01", ("125.00", "875.01"), "EUR 500.01"),
        # Packing 499.00, van 60.00 + 2 x 120 km x 0.95 = 288.00, insurance 0.006 x 2,706 = 16.236, tax 0.2 x 787.00 =
        # 157.40: 960.64; 33 % is 317.0112; x 0.9137 = 877.736768 euros.
        ("packing", (901, 902, 903), "0.33", ("EUR", "0.9137"), "960.64", ("317.01", "643.63"), "EUR 877.74"),
    ],
)  # fmt: skip
# arguments: an offer worked by hand, from what is typed to what the client reads
def test_offers_in_two_currencies_by_hand(
    kind: Kind, prices: tuple[int | str, ...], deposit: str, rate: tuple[str, str], total_: str,
    paid: tuple[str, str], other: str,
) -> None:  # fmt: skip
    """Half up to each currency's own smallest sum, the rounding of a deposit on the rest.

    ``shared/freight-and-papers.md``, 5 (deposit + balance = total to the cent) and 6 (ISO 4217; HMRC VATREC12030).
    Each of the first three lies on a half, where rounding to even, as Python's ``round`` does, comes to less.
    """
    buyer = replace(
        BUYER, currency=rate[0], deposit=Decimal(deposit), packing_by="artist", freight_by="artist",
        insurance_by="artist",
    )  # fmt: skip
    at = office(buyer)
    worth = Exchange(rate[0], Decimal(rate[1]), date(2026, 11, 27), "our bank")
    at = replace(at, rates=replace(at.rates, currencies=(worth,)))
    made = priced(len(prices), at)
    works = [replace(work, price=Decimal(price)) for work, price in zip(made.build.order.artworks, prices, strict=True)]
    order = replace(made.build.order, artworks=tuple(works))
    (offer,) = offers(quote(replace(made.build, order=order), at, on=DAY, number="Q-17"), kind)
    assert offer.total == Decimal(total_)
    assert [text for _, text in offer.payment[:2]] == [f"USD {Decimal(each):,}" for each in paid]
    assert sum(map(Decimal, paid)) == offer.total
    assert offer.other.startswith(f"{other} at {rate[1]} {rate[0]} for 1 USD (rate of 2026-11-27, our bank); ")
    smallest = {"JPY": "1", "KWD": "0.001", "EUR": "0.01"}[rate[0]]
    assert offer.other.endswith(f"rounded half up to {smallest} {rate[0]}")
    found = [words(offer_pdf(offer, {})), " ".join(map(str, cells(offer_xlsx(offer))))]
    for text in found:
        assert offer.other in text
        assert all(f"USD {Decimal(each):,}" in text for each in paid)


@pytest.mark.parametrize(
    ("code", "amount", "shown"),
    [
        ("JPY", "1234.50", "JPY 1,235"),
        ("KWD", "1234.5", "KWD 1,234.500"),
        ("EUR", "0.125", "EUR 0.13"),
    ],
)
def test_a_currency_is_rounded_to_its_own_smallest_sum(code: str, amount: str, shown: str) -> None:
    """``shared/freight-and-papers.md``, 6: ISO 4217 minor units; half up (HMRC VATREC12030)."""
    assert Exchange(code, Decimal(1), date(2026, 11, 28)).show(Decimal(amount)) == shown


def inside(pdf: bytes) -> str:
    """Return all that a PDF holds for whoever looks: its text, its own facts, and every stream unpacked."""
    document = PDFDocument(PDFParser(BytesIO(pdf)))
    found = [extract_text(BytesIO(pdf)), *map(str, document.info)]
    for number in {number for xref in document.xrefs for number in xref.get_objids()}:
        each = document.getobj(number)
        found.append(str(getattr(each, "attrs", each)))
        if isinstance(each, PDFStream):
            raw = each.get_rawdata() or b""
            data = zlib.decompress(raw) if "FlateDecode" in str(each.attrs.get("Filter")) else raw
            found += [data.decode("latin-1"), data.decode("utf-16-be", "ignore")]
    assert b"/Encrypt" not in pdf
    return "\n".join(found)


@pytest.mark.parametrize("kind", ["packing", "sale"])
def test_nothing_internal_is_in_the_files_their_properties_or_their_pictures(kind: Kind) -> None:
    made = priced(2)
    pictures = {"A-01": small(picture()), LOGO: small(picture((900, 300), "PNG", "RGBA"))}
    files = offer_contents(made, kind, pictures)
    assert sorted(files) == ["offer.pdf", "offer.xlsx"]
    found = inside(files["offer.pdf"])
    assert "Bay Foundation" in found
    with zipfile.ZipFile(BytesIO(files["offer.xlsx"])) as book:
        parts = book.namelist()
        texts = [book.read(name).decode("latin-1") for name in parts]
    assert not [name for name in parts if "comment" in name or "vml" in name or "external" in name or "bin" in name]
    assert [name for name in parts if "media" in name] == ["xl/media/image1.png"], "the logo"
    assert any("Bay Foundation" in text for text in texts)
    for planted in PLANTED:
        assert planted.lower() not in "\n".join([found, *texts]).lower(), planted
    assert "Zanzibar" not in small(picture()).decode("latin-1")
    hidden = load_workbook(BytesIO(files["offer.xlsx"]))
    assert not hidden.defined_names
    assert [sheet.sheet_state for sheet in hidden.worksheets] == ["visible"]
    assert not any(cell.comment for row in hidden["Offer"].iter_rows() for cell in row)
    assert not [name for name, facts in hidden["Offer"].column_dimensions.items() if facts.hidden]
    assert not any(str(cell).startswith("=") for cell in cells(files["offer.xlsx"]))


def test_what_is_planted_would_be_found_inside() -> None:
    """So that the search above sees something: in text, in a file's facts, in what is packed."""
    (offer,) = offers(priced(1))
    told = replace(offer, terms=("Zanzibar in the text",), studio=("Quagga Studio",))
    found = inside(offer_pdf(told, {}))
    assert "Zanzibar" in found
    assert "Quagga" in str(PDFDocument(PDFParser(BytesIO(offer_pdf(told, {})))).info)


@pytest.mark.parametrize(("count", "most"), [(1, 1), (5, 1), (12, 2), (40, 6)])
def test_it_is_one_page_where_it_fits_and_two_for_twelve_works(count: int, most: int) -> None:
    (offer,) = offers(priced(count))
    pictures = {item.piece: small(picture()) for item in offer.items}
    for paper in ("letter", "a4"):
        found = pages(offer_pdf(offer, pictures, "a4" if paper == "a4" else "letter"))
        assert len(found) <= most
        assert "Signature" in found[-1]
        assert all(f"page {number} of {len(found)}" in page for number, page in enumerate(found, start=1))


def test_no_letters_are_under_8_pt_none_leave_the_page_and_none_overlap() -> None:
    made = priced(12)
    long = replace(made.build.order.artworks[2], title="A title that goes on for much longer than titles do " * 3)
    works = (*made.build.order.artworks[:2], long, *made.build.order.artworks[3:])
    made = quote(replace(made.build, order=replace(made.build.order, artworks=works)), made.office, on=DAY)
    (offer,) = offers(made)
    with pdfplumber.open(BytesIO(offer_pdf(offer, {"A-01": small(picture())}))) as found:
        for page in found.pages:
            assert min(char["size"] for char in page.chars) > 7.99
            assert all(char["x0"] >= 40 and char["x1"] <= page.width - 40 for char in page.chars)
            assert all(char["top"] >= 30 and char["bottom"] <= page.height - 24 for char in page.chars)
            lines = page.extract_words(keep_blank_chars=True, use_text_flow=True)
            for one, other in combinations(lines, 2):
                wide = min(one["x1"], other["x1"]) - max(one["x0"], other["x0"])
                high = min(one["bottom"], other["bottom"]) - max(one["top"], other["top"])
                assert wide < 1 or high < 3, (one["text"], other["text"])


def test_letters_that_the_typeface_lacks_are_marked_and_long_words_broken(caplog: pytest.LogCaptureFixture) -> None:
    made = priced(1)
    (work,) = made.build.order.artworks
    odd = replace(work, title="漢字 🎨\tTide " + "W" * 200, medium="resin  and\nglass")
    made = quote(
        replace(made.build, order=replace(made.build.order, artworks=(odd,))), made.office, on=DAY, number="9" * 90
    )
    (offer,) = offers(made)
    pdf = offer_pdf(offer, {})
    assert "missing" not in caplog.text
    with pdfplumber.open(BytesIO(pdf)) as found:
        assert all(char["x1"] <= page.width - 40 for page in found.pages for char in page.chars)
    text = words(pdf)
    assert "\ufffd\ufffd \ufffd Tide" in text
    assert text.replace(" ", "").count("W") >= 200


def test_a_title_of_many_lines_is_cut_where_it_is_told_and_leaves_its_page(caplog: pytest.LogCaptureFixture) -> None:
    made = priced(2)
    works = [
        replace(work, title=text, medium=text, destination="Quay " * 80)
        for work, text in zip(made.build.order.artworks, ("Tide " * 400, "W" * 2000), strict=True)
    ]
    order = replace(made.build.order, artworks=tuple(works))
    made = quote(replace(made.build, order=order), made.office, on=DAY, number="Q-17")
    (offer,) = offers(made, "sale")
    found = pages(offer_pdf(offer, {item.piece: small(picture()) for item in offer.items}))
    assert "…" in found[0]
    assert "Signature" in found[-1]
    assert offer_xlsx(offer)
    assert not caplog.text


def test_each_client_gets_an_offer_of_its_own_and_they_sum_to_the_quote() -> None:
    made = priced(4, office(BUYER, Party("Pier Hall")), ("Bay Foundation", "pier hall", ""))
    assert [(each.party.name if each.party else "", len(each.pieces)) for each in clients(made)] == [
        ("Pier Hall", 2), ("", 1), ("Bay Foundation", 1),
    ]  # fmt: skip
    found = offers(made)
    assert total(offer.total for offer in found) == made.total
    assert [offer.client for offer in found] == ["Pier Hall", "orders_export_7", "Bay Foundation"]
    assert sorted(offer_contents(made, "packing", {})) == [
        "offer-bay-foundation.pdf", "offer-bay-foundation.xlsx", "offer-orders-export-7.pdf",
        "offer-orders-export-7.xlsx", "offer-pier-hall.pdf", "offer-pier-hall.xlsx",
    ]  # fmt: skip


def test_a_sale_of_the_works_by_hand() -> None:
    """Two works of 901 and 902; the buyer bears packing and way beside the list price, with their tax."""
    buyer = replace(BUYER, packing_by="buyer", freight_by="buyer", insurance_by="buyer")
    made = priced(2, office(buyer))
    (offer,) = offers(made, "sale")
    by_title = {row.title: row.amount for row in offer.rows}
    assert by_title["Artworks"] == Decimal(1803)
    assert offer.total == Decimal(1803) + made.total == total(sale.delivered for sale in made.sales)
    assert by_title["VAT 20 %"] == made.step("tax").amount
    assert [item.price for item in offer.items] == [Decimal(901), Decimal(902)]
    list_price = priced(2, office(replace(BUYER, packing_by="list price")))
    (within,) = offers(list_price, "sale")
    assert [row.title for row in within.rows] == ["Artworks"]
    assert within.total == total(sale.list_price for sale in list_price.sales)


def test_works_without_a_price_cannot_be_sold_and_are_all_named() -> None:
    made = priced(3)
    works = tuple(replace(work, price=None, row=n) for n, work in enumerate(made.build.order.artworks[:2], start=2))
    order = replace(made.build.order, artworks=(*works, made.build.order.artworks[2]))
    bare = quote(replace(made.build, order=order), made.office, on=DAY)
    with pytest.raises(FaultsFound) as found:
        offers(bare, "sale")
    assert [(fault.row, fault.column) for fault in found.value.faults] == [(2, "price"), (3, "price")]


def test_freight_that_no_carrier_takes_is_quoted_apart_and_never_nothing() -> None:
    at = office(BUYER)
    places = replace(at.destinations, rows=(replace(at.destinations.rows[0], km=None),))
    (offer,) = offers(priced(2, replace(at, destinations=places)))
    assert [row.title for row in offer.rows if row.amount is None] == ["No freight to Harbour Gallery: quoted apart"]
    assert "The total is not complete" in offer.warning
    assert "to be quoted" in words(offer_pdf(offer, {}))


def test_invented_prices_are_said_first_and_an_unknown_client_too() -> None:
    own, built = office(BUYER), Office()
    (offer,) = offers(priced(1, replace(own, book=built.book, parties=built.parties)))
    assert INVENTED in offer.warning
    assert "Bay Foundation is not in the book of parties" in offer.warning
    assert INVENTED in words(offer_pdf(offer, {}))
    assert offers(priced(1))[0].warning == ""


def test_the_letter_says_price_day_and_how_to_accept() -> None:
    (offer,) = offers(priced(2))
    text = letter(offer)
    assert text.startswith("Subject: Offer: packing and shipping, Q-17\n\nDear M. Example,\n")
    for wanted in (f"USD {offer.total:,.2f}", f"That is {offer.other}.", offer.until, "Deposit 50 %", "sign the line"):
        assert wanted in text
    known = letter(replace(offer, email="m@example.org", warning="It bears no studio's name yet."))
    assert known.startswith("To: m@example.org\nSubject: Draft: Offer: packing and shipping, Q-17\n")


def test_a_picture_goes_out_small_and_bare() -> None:
    made = small(picture((3000, 1000)))
    with Image.open(BytesIO(made)) as found:
        assert found.size == (80, 240), "turned as it was taken"
        assert not dict(found.getexif())
    for wrong in (b"", b"%PDF-1.4", b"\x89PNG\r\n\x1a\n" + b"0" * 50):
        with pytest.raises(ValueError, match="no picture"):
            small(wrong)


def test_pictures_come_from_the_orders_own_folder_only(tmp_path: Path) -> None:
    folder = tmp_path / "order"
    folder.mkdir()
    (tmp_path / "secret.jpg").write_bytes(picture())
    (folder / "one.jpg").write_bytes(picture())
    (folder / "two.jpg").symlink_to(tmp_path / "secret.jpg")
    (folder / "text.jpg").write_text("no picture")
    assert read_picture(folder, "one.jpg")
    for path, told in (("two.jpg", "lies elsewhere"), ("none.png", "no file"), ("text.jpg", "no picture")):
        with pytest.raises(ValueError, match=told):
            read_picture(folder, path)
    first = priced(2).build.order
    works = tuple(
        replace(work, photo=path, row=3) for work, path in zip(first.artworks, ("two.jpg", "one.jpg"), strict=True)
    )
    with pytest.raises(FaultsFound, match=r"row 3, column photo: found .*two\.jpg, which lies elsewhere"):
        offer_pictures(replace(first, artworks=works, source="o.csv"), folder, priced(1).build.shop.studio, None)
    for path in ("../secret.jpg", "/etc/one.jpg", "a\\..\\b.jpg", "C:one.jpg", "photo.gif", "a//b.png"):
        with pytest.raises(ValueError, match="photo must be"):
            replace(first.artworks[0], photo=path)
    assert replace(first.artworks[0], photo="photos/a b.JPG").photo == "photos/a b.JPG"
    assert isinstance(first.artworks[0], Artwork)
    assert offer_of(priced(1), clients(priced(1))[0]).kind == "packing"


def test_a_photo_that_is_no_path_is_told_at_its_row(tmp_path: Path) -> None:
    (tmp_path / "round.jpg").symlink_to("again.jpg")
    (tmp_path / "again.jpg").symlink_to("round.jpg")
    for path in ("round.jpg", f"{'x' * 400}.jpg", "a\0.jpg"):
        with pytest.raises(ValueError, match=r"which is no path|no file"):
            read_picture(tmp_path, path)

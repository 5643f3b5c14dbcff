"""The studio's own files as its spreadsheet saves them: other encodings, marks and days, all faults at once."""

import csv
import io

import httpx

from pricing.desk.desk import Desk
from pricing.desk.studio import PARTIES, PLACES
from pricing.studio.pricebook_file import default_prices_text

SHOP = '[studio]\nname = "Werkstatt"\ncountry = "DE"\n'
PLACE = "destination;deadline;quoted;quoted until\nKöln;03/04/2027;420,50;5.6.27\n"
PARTY = "party;contact;unsold back;commission\nGalerie Süd;Büro;03.04.2027;12,5 %\n"


def prices() -> str:
    """Return the built-in prices as a spreadsheet with decimal commas saves them."""
    rows = [row for row in csv.reader(io.StringIO(default_prices_text())) if not row[0].startswith("#")]
    amounts = [place for place, head in enumerate(rows[0]) if head.startswith("price") and head != "priced"]
    out = io.StringIO()
    writer = csv.writer(out, delimiter=";")
    for row in rows:
        writer.writerow(cell.replace(".", ",") if place in amounts else cell for place, cell in enumerate(row))
    return out.getvalue()


def test_files_are_read_as_the_country_of_the_shop_beside_them_writes(client: httpx.Client, desk: Desk) -> None:
    files = {
        "a": ("shop.toml", SHOP.encode("utf-8-sig")), "b": ("prices.csv", prices().encode("utf-16")),
        "c": ("destinations.csv", PLACE.encode("cp1252")), "d": ("parties.csv", PARTY.encode("utf-8-sig")),
    }  # fmt: skip
    before = {row.stock: row.price for row in desk.papers.book.rows}
    answer = client.post("/rules/files", files=files)
    assert answer.status_code == 200
    assert "destinations.csv: not UTF-8; read as Windows-1252" in answer.text
    assert "days such as 03/04/2027 (3 April 2027)" in answer.text
    assert {row.stock: row.price for row in desk.papers.book.rows} == before
    place, party = desk.papers.places.rows[0], desk.papers.parties.rows[0]
    assert (place.name, str(place.deadline), str(place.quoted_until)) == ("Köln", "2027-04-03", "2027-06-05")
    assert (party.name, str(party.back_on), str(party.commission)) == ("Galerie Süd", "2027-04-03", "0.125")
    assert "2027-04-03" in desk.papers.document(PLACES).content
    assert "2027-04-03" in desk.papers.document(PARTIES).content


def test_every_fault_of_every_file_stands_with_its_row(client: httpx.Client, desk: Desk) -> None:
    files = {
        "a": ("destinations.csv", b"destination,dock\nA,maybe\n"), "b": ("parties.csv", b"party,country\nB,Narnia\n"),
        "c": ("prices.csv", b"stock,good,form,price,currency\nx,x,each,sixty,USD\n"),
        "d": ("rates.toml", b"\xff\xfe\xfa"),
    }  # fmt: skip
    answer = client.post("/rules/files", files=files, headers={"accept": "application/json"})
    assert answer.status_code == 422
    told = answer.json()["message"]
    for where in ("destinations.csv, row 2, column dock", "parties.csv, row 2", "prices.csv, row 2", "rates.toml"):
        assert where in told
    assert desk.papers.places.rows == ()


def test_days_typed_in_rows_are_the_countrys(client: httpx.Client, desk: Desk) -> None:
    assert client.post("/rules/files", files={"a": ("shop.toml", SHOP)}).status_code == 303
    row = {"party": "Galerie Süd", "unsold back": "03/04/2027", "revision": "0"}
    assert client.post("/parties", data=row).status_code == 303
    assert str(desk.papers.parties.rows[0].back_on) == "2027-04-03"
    typed = {"old": "Galerie Süd", "unsold back": "05/06/2027", "revision": "1"}
    answer = client.post("/parties", data=typed, headers={"accept": "application/json"})
    assert answer.json()["values"]["unsold back"] == "2027-06-05"
    assert client.post("/rules/place", data={"destination": "A", "deadline": "03/04/2027", "revision": "0"}).is_redirect
    assert str(desk.papers.places.rows[0].deadline) == "2027-04-03"

"""A desk by millimetres: chosen while it is empty, with the sample, the fields and the files of such a shop."""

import re

import httpx

from nesting.base.measure import INCH, MM
from nesting.shop.shop_file import default_shop
from pricing.desk.desk import Desk
from pricing.desk.pages.beginning import may_choose
from pricing.studio.office import office_texts
from pricing.studio.pricebook_file import default_price_book
from pricing.studio.rates_file import default_rates
from tests.pricing.desk.test_learned import plain


def post(client: httpx.Client, path: str, /, **fields: object) -> httpx.Response:
    return client.post(path, data={name: str(value) for name, value in fields.items()})


def test_an_empty_desk_may_go_by_millimetres(client: httpx.Client, desk: Desk) -> None:
    """The journey: choose, look at the sample, and find no inch, pound or dollar on its pages."""
    assert "Go by millimetres, kilograms and EUR" in plain(client.get("/").text)
    assert post(client, "/sizes", sizes="metric", revision=0).status_code == 303
    page = plain(client.get("/").text)
    assert "go by millimetres, kilograms and EUR" in page
    assert "Go by inches, pounds and USD" in page
    assert '<option value="metric" selected>' in client.get("/").text
    # What `casewright start --sizes metric` writes.
    office = desk.papers.office()
    assert office.shop == default_shop("metric")
    assert office.book == default_price_book("metric")
    assert office.rates == default_rates("metric")

    address = client.post("/sample").headers["location"]
    sheaf = desk.sheaf(int(address.split("/")[2]))
    assert sheaf.faults == ()
    assert sheaf.content.units == "metric"
    assert sheaf.answer is not None
    quote = sheaf.answer.quote
    assert quote.currency == "EUR"
    assert quote.total > 0
    assert not quote.incomplete
    assert quote.build.order.artworks[0].width == 760 * MM
    (place,) = desk.papers.places.rows
    assert (place.door_width, place.door_height) == (860 * MM, 2000 * MM)
    for path in ("artworks", "sheets", "yard", "money"):
        page = client.get(f"/jobs/1/{path}").text
        told = plain(re.sub(r"(?s)<datalist.*?</datalist>", "", page))  # rules name doors and trailers of both systems
        assert not re.search(r"\d (in|lb|ft)\b|\$|USD", told), (path, re.findall(r".{30}\d (?:in|lb|ft)\b", told)[:5])
    assert not may_choose(desk)
    assert post(client, "/sizes", sizes="inch", revision=1).status_code == 422


def test_the_choice_has_a_way_back_while_the_desk_is_empty(client: httpx.Client, desk: Desk) -> None:
    post(client, "/rules", kind="studio", rule="name", value="Deich", revision=0)
    assert may_choose(desk)
    post(client, "/sizes", sizes="metric", revision=1)
    assert (desk.papers.units, desk.papers.shop.studio.name) == ("metric", "Deich")
    post(client, "/rules/step", way="undo", revision=2)
    assert (desk.papers.units, desk.papers.book.currency) == ("inch", "USD")
    assert post(client, "/sizes", sizes="cubits", revision=3).status_code == 422
    assert post(client, "/rules", kind="studio", rule="sizes", value="metric", revision=3).status_code == 422
    post(client, "/rack", good="ply-3/8", length="24", width="24")
    assert not may_choose(desk)


def test_bare_numbers_typed_in_a_desk_by_millimetres(client: httpx.Client, desk: Desk) -> None:
    post(client, "/sizes", sizes="metric", revision=0)
    post(client, "/rules", rule="frame.larger_by", value="140", revision=1)
    post(client, "/rules", kind="thickness", rule="ply-9", value="9.2", revision=2)
    post(client, "/rules", rule="cleats.hollow_backs", value="cradled = cradle 20 x 40", revision=3)
    shop, kept = desk.papers.shop, desk.papers.rulings
    assert (shop.frame.larger_by, shop.by_name["ply-9"].thickness * 10) == (140 * MM, 92 * MM)
    assert kept.rules["frame.larger_by"] == "140 mm"
    assert "20 mm x 40 mm" in kept.rules["cleats.hollow_backs"]
    post(client, "/rack", good="ply-9", length="600", width="400", name="R-9")
    post(client, "/rack", good="ply-9", length="24 in", width="400", name="R-10")
    assert {each.offcut.length for each in desk.store.rack.all()} == {600 * MM, 24 * INCH}
    assert "600 × 400 mm" in client.get("/rack").text
    assert "600 mm,400 mm" in client.get("/rack/rack.csv").text
    fields = {"good": "ply-9", "stock": "ply-9 1500x1500", "length": "1500", "width": "1500", "price": "30"}
    post(client, "/prices/size", **fields, revision=0)
    assert desk.papers.sizes["ply-9 1500x1500"].length == 1500 * MM
    assert desk.papers.book.currency == "EUR"
    assert client.get("/prices/history").status_code == 200
    place = {"destination": "Quay", "door width": "860", "door height": "2000", "dock": "no", "forklift": "no",
             "residential": "no", "inside": "no", "limited access": "no"}  # fmt: skip
    post(client, "/rules/place", **place, revision=0)
    assert desk.papers.places.rows[0].door_width == 860 * MM
    assert 'value="860 mm"' in client.get("/rules").text


def test_files_by_millimetres_taken_over_bring_their_prices(client: httpx.Client, desk: Desk) -> None:
    files = {name: (name, text) for name, text in office_texts("metric").items() if name in ("shop.toml", "rates.toml")}
    assert client.post("/rules/files", files=files).status_code == 303
    assert (desk.papers.units, desk.papers.book.currency) == ("metric", "EUR")
    assert not may_choose(desk)

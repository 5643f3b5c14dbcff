"""Stock sizes that the studio adds: with their prices in one paper, so that one undo takes both back."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

import httpx

from nesting.base.measure import INCH
from pricing.desk.desk import Desk
from pricing.desk.studio import OwnSize, Rulings, book_text, with_sizes
from pricing.studio.office import office_texts
from tests.pricing.desk.orders import HEADINGS, ROWS


def begin(client: httpx.Client) -> int:
    """Begin a job of two pieces; return its number."""
    job = int(client.post("/jobs", data={"name": "Sizes"}).headers["location"].split("/")[2])
    table = {"headings": HEADINGS, "rows": ROWS, "revision": 1}
    client.post(f"/jobs/{job}/artworks", json=table, headers={"accept": "application/json"})
    return job


def post(client: httpx.Client, path: str, /, **fields: Any) -> httpx.Response:
    return client.post(path, data={name: str(value) for name, value in fields.items()})


def test_a_size_is_added_and_cut_from(client: httpx.Client, desk: Desk) -> None:
    job = begin(client)
    fields = {"good": "ply-3/8", "stock": "ply-3/8 5x5", "length": "60", "width": "60", "price": "9.00"}
    assert post(client, "/prices/size", **fields, revision=0).status_code == 303
    answer = desk.sheaf(job).answer
    assert answer is not None
    assert "ply-3/8 5x5" in {row.stock for row in answer.quote.takeoff.rows if row.bought}
    assert "other sizes: ply-3/8 4x8" in client.get(f"/jobs/{job}/yard").text
    for bad in (
        {"stock": "ply-3/8 4x8"},
        {"stock": "x", "width": ""},
        {"stock": "x", "length": "long"},
        {"good": "screw"},
    ):
        assert post(client, "/prices/size", **{**fields, **bad}, revision=1).status_code == 422
    post(client, "/rack", good="ply-3/8", length="9", width="9", name="ply-3/8 6x6")
    assert post(client, "/prices/size", **{**fields, "stock": "ply-3/8 6x6"}, revision=1).status_code == 422
    # One change, one way back: size and price go and come together, and the rules were never touched.
    assert desk.papers.document("rules").revision == 0
    post(client, "/prices/row", stock="ply-3/8 5x5", price="9.50", revision=1)
    assert "ply-3/8 5x5" in desk.papers.sizes, "a changed price keeps the size"
    post(client, "/prices/step", way="undo", revision=2)
    post(client, "/prices/step", way="undo", revision=3)
    assert not desk.papers.document("prices").can_undo
    stocks = {size.stock for size in desk.papers.shop.good("ply-3/8").sizes}
    assert ("ply-3/8 5x5" in stocks, "ply-3/8 5x5" in desk.papers.book.by_stock) == (False, False)
    without = desk.sheaf(job).answer
    assert without is not None
    assert without.quote.total > answer.quote.total, "the small cheap sheet is not cut from any more"
    post(client, "/prices/step", way="redo", revision=4)
    again = desk.sheaf(job).answer
    assert again is not None
    assert again.quote.total == answer.quote.total


def test_a_size_added_from_an_old_page_is_offered_both(client: httpx.Client, desk: Desk) -> None:
    fields = {"good": "ply-3/8", "stock": "ply-3/8 5x5", "length": "60", "width": "60", "price": "9.00"}
    post(client, "/prices/row", stock="hour saw", price="50", revision=0)
    refused = post(client, "/prices/size", **fields, revision=0)
    assert refused.status_code == 409
    assert "ply-3/8 5x5 added" in refused.text
    assert desk.papers.sizes == {}
    assert post(client, "/prices/size", **fields, revision=1).status_code == 303
    assert desk.papers.book.price("hour saw").price == 50
    assert list(desk.papers.sizes) == ["ply-3/8 5x5"]


def test_sizes_that_an_older_desk_kept_with_its_rules_are_still_there(client: httpx.Client, desk: Desk) -> None:
    job = begin(client)
    book, own = desk.papers.book, OwnSize("ply-3/8", 60 * INCH, 60 * INCH)
    row = replace(book.price("ply-3/8 4x8"), stock="ply-3/8 5x5", price=Decimal("9.00"), breaks=())
    desk.papers.save("rules", Rulings(sizes={"ply-3/8 5x5": own}).text(), based_on=0, what="ply-3/8 5x5 added")
    assert desk.sheaf(job).faults, "a size without a price is told, not guessed"
    desk.papers.save("prices", book_text(replace(book, rows=(*book.rows, row)), {}), based_on=0, what="added")
    answer = desk.sheaf(job).answer
    assert answer is not None
    assert "ply-3/8 5x5" in {row.stock for row in answer.quote.takeoff.rows if row.bought}
    twice = with_sizes(desk.papers.shop, {"ply-3/8 5x5": own})
    assert twice == desk.papers.shop, "no size stands twice"


def test_a_shop_file_stands_in_place_of_sizes_too(client: httpx.Client, desk: Desk) -> None:
    fields = {"good": "ply-3/8", "stock": "ply-3/8 5x5", "length": "60", "width": "60", "price": "9.00"}
    post(client, "/prices/size", **fields, revision=0)
    client.post("/rules/files", files=[("a", ("shop.toml", office_texts()["shop.toml"]))])
    assert "ply-3/8 5x5" not in {size.stock for size in desk.papers.shop.good("ply-3/8").sizes}
    post(client, "/prices/step", way="undo", revision=2)
    assert "ply-3/8 5x5" in {size.stock for size in desk.papers.shop.good("ply-3/8").sizes}

"""Looking changes nothing: after every GET of every page the store holds what it held, and no search was begun."""

import hashlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

import httpx
import pytest
from starlette.routing import Route

from pricing.desk.app import make_app
from pricing.desk.desk import Desk
from pricing.desk.pages import ROUTES
from pricing.output.papers.files import batches
from pricing.store import Store
from tests.pricing.desk.conftest import served
from tests.pricing.desk.orders import DAY, ROWS
from tests.pricing.made_by_0_1_0 import data_folder

pytestmark = pytest.mark.slow
ADDRESSES: Final = {
    "/static/{name}": ("/static/desk.js",),
    "/": ("/", "/?q=sale", "/?away=1", "/?put=1"),
    "/jobs/{job:int}/artworks": ("/jobs/1/artworks", "/jobs/1/artworks?all=1", "/jobs/4/artworks", "/jobs/6/artworks"),
    "/jobs/{job:int}/crates": ("/jobs/1/crates", "/jobs/1/crates?rule=frame.larger_by&value=9 in"),
    "/jobs/{job:int}/crates/{crate}.svg": ("/jobs/1/crates/{crate}.svg",),
    "/jobs/{job:int}/crates/{crate}": ("/jobs/1/crates/{crate}",),
    "/jobs/{job:int}/designs/{crate}": ("/jobs/1/designs/{crate}", "/jobs/1/designs/{away}"),
    "/jobs/{job:int}/designs/{crate}/drawing.svg": ("/jobs/1/designs/{away}/drawing.svg?design={design}",),
    "/jobs/{job:int}/ways": ("/jobs/1/ways", "/jobs/1/ways?all=1"),
    "/jobs/{job:int}/sheets": ("/jobs/1/sheets",),
    "/jobs/{job:int}/saw": ("/jobs/1/saw", "/jobs/1/saw?at=2"),
    "/jobs/{job:int}/drawing.svg": ("/jobs/1/drawing.svg?good={good}&number=1",),
    "/jobs/{job:int}/money": ("/jobs/1/money", "/jobs/2/money"),
    "/jobs/{job:int}/client": ("/jobs/1/client", "/jobs/1/client?kind=sale", "/jobs/2/client"),
    "/jobs/{job:int}/client/{number:int}/offer.{ending}": ("/jobs/1/client/1/offer.pdf",),
    "/jobs/{job:int}/papers": ("/jobs/1/papers", "/jobs/2/papers"),
    "/jobs/{job:int}/papers/{paper}": ("/jobs/1/papers/{paper}",),
    "/jobs/{job:int}/yard": ("/jobs/1/yard", "/jobs/1/yard?none=ply-3/8 4x8"),
    "/jobs/{job:int}/record": ("/jobs/1/record",),
    "/jobs/{job:int}/versions/{version:int}": ("/jobs/1/versions/1",),
    "/jobs/{job:int}/plan": ("/jobs/1/plan",),
    "/jobs/{job:int}/unpin": ("/jobs/1/unpin",),
    "/jobs/{job:int}/plan/{number:int}.svg": ("/jobs/1/plan/1.svg",),
    "/jobs/{job:int}/returns": ("/jobs/1/returns",),
    "/jobs/{job:int}/what-if": ("/jobs/1/what-if",),
    "/jobs/{job:int}/what-if/text": ("/jobs/1/what-if/text",),
    "/jobs/{job:int}/files/{name}": ("/jobs/1/files/build.json",),
    "/jobs/{job:int}/versions/{version:int}/files/{name}": (
        "/jobs/1/versions/1/files/quote.json", "/jobs/1/versions/1/files/packet.pdf",
    ),
    "/jobs/{job:int}/versions/{version:int}/offers.zip": ("/jobs/1/versions/1/offers.zip",),
    "/jobs/{job:int}/live": ("/jobs/1/live",),
    "/jobs/{job:int}/photo": ("/jobs/1/photo?piece={photo}",),
    "/rack": ("/rack",),
    "/rack/rack.csv": ("/rack/rack.csv",),
    "/prices": ("/prices",),
    "/parties": ("/parties", "/parties?add=Pier Hall"),
    "/prices/history": ("/prices/history",),
    "/rules": ("/rules", "/rules?q=saw", "/rules?place=Pier Hall"),
    "/rules/logo": ("/rules/logo",),
    "/keep": ("/keep",),
    "/learned": ("/learned",),
    "/help": ("/help",),
    "/jobs/{job:int}/from": ("/jobs/1/from?weight={away}", "/jobs/1/from?hours=saw"),
    "/keep/everything.zip": ("/keep/everything.zip",),
}  # fmt: skip
"""For every route that is looked at, what is looked at here."""
LATER: Final = "/jobs/1/versions/1/files/packet.pdf"
"""A paper that is not made yet, which is said."""
OFFER: Final = "/jobs/1/client/1/offer.pdf"
AFTERWARDS: Final = "/jobs/1/versions/1/offers.zip"
"""Offers of a quote whose figures do not come out again, which is said."""
WAITS: Final = "/jobs/1/files/build.json"
"""A paper that waits for a figure to settle, and begins nothing for itself."""


@pytest.fixture(scope="module")
def old(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Desk, httpx.Client, list[str]]]:
    """Open the desk that 0.1.0 left behind, where much is to be settled: searches, papers, prices that moved."""
    desk = Desk(Store(data_folder(tmp_path_factory.mktemp("old") / "data")), today=lambda: DAY, patience=1e6)
    begun: list[str] = []
    for thing in (desk.searches, desk.conversion):
        _noted(thing, begun)
    with served(desk) as client:
        client.headers["origin"] = str(client.base_url).rstrip("/")
        row = {"stock": "ply-3/8 4x8", "price": "99.00", "revision": desk.papers.document("prices").revision}
        assert client.post("/prices/row", data=row).status_code == 303
        assert begun == [], "to change a price begins nothing by itself"
        yield desk, client, begun
    desk.close()


def _noted(thing: Any, begun: list[str]) -> None:
    begin = thing.begin

    def noting(*those: Any, **named: Any) -> Any:
        begun.append(type(thing).__name__)
        return begin(*those, **named)

    thing.begin = noting


def held(desk: Desk) -> str:
    """Return a digest of everything that the store holds."""
    digest = hashlib.sha256()
    for table in (*desk.store.database.tables, "sqlite_sequence"):
        for row in desk.store.database.rows(f"SELECT rowid, * FROM {table} ORDER BY rowid"):  # noqa: S608 - our own names
            digest.update(repr((table, tuple(row))).encode())
    return digest.hexdigest()


def routes(desk: Desk) -> set[str]:
    """Return every address of the application that can be looked at."""
    found = set()
    for route in make_app(desk).routes:
        assert isinstance(route, Route)
        if "GET" in (route.methods or ("GET",)):
            found.add(route.path)
    return found


def test_every_address_is_looked_at_here(desk: Desk) -> None:
    assert routes(desk) == ADDRESSES.keys()
    assert all(isinstance(route, Route) for route in ROUTES)


@pytest.mark.parametrize("address", [each for those in ADDRESSES.values() for each in those])
def test_looking_changes_nothing(old: tuple[Desk, httpx.Client, list[str]], address: str) -> None:
    desk, client, begun = old
    answer = desk.sheaf(1).answer
    assert answer is not None
    build = answer.quote.build
    photo = next(iter(desk.sheaf(1).content.photos))
    paper = batches(answer.quote)[0].names[0]
    away = build.travelling[0]
    path = address.format(
        crate=build.crates[0].crate, good=build.layouts[0].good, photo=photo, paper=paper, away=away.crate,
        design=desk.floor.short_list(answer, away)[0].stamp,
    )  # fmt: skip
    before = held(desk)
    for _ in range(2):
        assert client.get(path).status_code == {
            LATER: 503, WAITS: 409, OFFER: 409, f"/jobs/1/papers/{paper}": 409, AFTERWARDS: 422, "/rules/logo": 404,
        }.get(path, 200)  # fmt: skip
    assert held(desk) == before
    assert begun == []


def test_what_is_unsettled_is_settled_when_it_is_asked_for(old: tuple[Desk, httpx.Client, list[str]]) -> None:
    """So that the tests above would see something: it is there to be done."""
    desk, client, begun = old
    assert not desk.settled(desk.sheaf(1))
    assert "data-unsettled" in client.get("/jobs/1/money").text
    before = held(desk)
    assert client.post("/jobs/1/settle").status_code == 303
    assert begun == ["Searches"]
    assert held(desk) != before
    assert desk.settled(desk.sheaf(1))
    assert "data-unsettled" not in client.get("/jobs/1/money").text
    desk.conversion.begin()
    desk.conversion.stop()
    assert begun == ["Searches", "Conversion"]


def test_a_search_that_ran_when_the_desk_was_closed_is_begun_again(tmp_path: Path) -> None:
    """Opened again, the desk knows of no search; the first page that is shown asks for it."""
    folder = tmp_path / "data"
    for _ in range(2):
        desk = Desk(Store(folder), today=lambda: DAY, patience=1e6)
        with served(desk) as client:
            client.headers["origin"] = str(client.base_url).rstrip("/")
            if not desk.store.jobs.count():
                client.post("/jobs", data={"name": "One"})
                table = {"headings": ["piece", "width", "height", "depth"], "rows": [[ROWS[0][0], *ROWS[0][2:5]]]}
                client.post("/jobs/1/artworks", json={**table, "revision": 1}, headers={"accept": "application/json"})
            else:
                assert desk.searches.of(1) is None
                assert "data-unsettled" in client.get("/jobs/1/artworks").text
                client.post("/jobs/1/settle")
            assert desk.searches.pending(1, "settling") is not None
        desk.close()

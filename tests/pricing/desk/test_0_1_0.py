"""A desk that 0.1.0 left behind: every job, sent quote and comparison is there with the figures it had.

Crates are designed since, and come to other figures than those of 0.1.0. What it sent stands as it was kept; a job that
is still open is quoted anew.
"""

import html
import json
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any, Final

import httpx
import pytest

from nesting.base.version import made_by
from nesting.intake import read_order
from pricing.desk.content import Content
from pricing.desk.conversion import Conversion
from pricing.desk.desk import Desk
from pricing.desk.frozen import outgoing, print_afterwards, thaw
from pricing.desk.pins import from_rack
from pricing.money import show
from pricing.output.outgoing import KINDS
from pricing.output.tables import quote_document
from pricing.quoting.work import work
from pricing.store import Store, StoreError
from pricing.store.quotes import SentQuote
from pricing.studio.office import Office, read_office
from pricing.studio.pricebook_file import default_price_book
from tests.pricing.desk.conftest import served
from tests.pricing.desk.orders import HEADINGS, ROWS, SAMPLES, quick_quote
from tests.pricing.made_by_0_1_0 import DAY, FIGURES, PLACE, data_folder, digest
from tests.pricing.store.archives import exported, restored

SENT: Final = [(quote["job"], quote["version"]) for quote in FIGURES["quotes"]]
PAGES: Final = (
    "artworks", "crates", "ways", "sheets", "money", "yard", "record", "plan", "returns", "what-if", "what-if/text",
)  # fmt: skip
PRINTERS: Final = ("fpdf2", "fonttools", "pillow", "XlsxWriter", "icalendar")
"""The libraries whose versions show in the bytes of papers."""

pytestmark = pytest.mark.slow


@contextmanager
def opened(folder: Path) -> Iterator[tuple[Desk, httpx.Client]]:
    """Open a desk on a folder on the day of the figures, and close it."""
    desk = Desk(Store(folder), today=lambda: DAY, patience=1e6, effort="quick")
    try:
        with served(desk) as client:
            client.headers["origin"] = str(client.base_url).rstrip("/")
            client.timeout = 600.0
            yield desk, client
    finally:
        desk.close()


@pytest.fixture(scope="module")
def old(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Desk, httpx.Client]]:
    """Open the data folder for tests that only look; quotes that were sent are converted behind the pages."""
    with opened(data_folder(tmp_path_factory.mktemp("old") / "data")) as (desk, client):
        desk.conversion.begin()
        yield desk, client


def plain(page: str) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", page)).split())


def figures(document: dict[str, Any]) -> dict[str, Any]:
    """Return a quote's document without what it says in words of what its total lacks, which versions say otherwise."""
    tables = {name: rows for name, rows in document["tables"].items() if name != "notes"}
    return {**{key: value for key, value in document.items() if key != "lacks"}, "tables": tables}


@pytest.mark.parametrize("told", FIGURES["jobs"], ids=lambda told: str(told["id"]))
def test_every_job_opens_with_the_figures_that_it_had(old: tuple[Desk, httpx.Client], told: dict[str, Any]) -> None:
    desk, client = old
    job, store = told["id"], desk.store
    for page in PAGES:
        assert client.get(f"/jobs/{job}/{page}").status_code == 200, page
    sheaf = desk.sheaf(job)
    row, answer = store.jobs.get(job), sheaf.answer
    crates = [[c.crate, c.method, list(c.pieces), c.inside_of] for c in answer.quote.build.every] if answer else None
    found = {
        "id": job, "name": row.name, "client": row.client, "archived": row.archived, "standing": row.standing,
        "versions": row.versions, "revision": sheaf.document.revision,
        "content_sha256": digest(sheaf.document.content),
        "can_undo": sheaf.document.can_undo, "can_redo": sheaf.document.can_redo, "latest": sheaf.document.what,
        "listed_total": row.total, "pieces": row.pieces, "units": sheaf.content.units,
        "crates": crates,
        "faults": [[fault.row, fault.column, fault.text, fault.missing] for fault in sheaf.faults],
        "standings": [
            [s.standing, s.on_day.isoformat(), None if s.amount is None else str(s.amount), s.note]
            for s in store.jobs.standings(job)
        ],
        "standings_out": len(store.jobs.standings(job, gone=True)),
        "actuals": [[a.kind, a.on_day.isoformat(), a.what, str(a.amount), a.note] for a in store.took.of(job)],
        "actuals_out": len(store.took.of(job, gone=True)),
        "fetched": {stock: str(count) for stock, count in sorted(store.jobs.fetched(job).items())},
        "taken": dict(store.rack.taken(job)),
        "photos": {piece: digest(store.jobs.picture(number) or b"") for piece, number in sheaf.content.photos.items()},
    }  # fmt: skip
    anew = ("quick_total", "live_total", "efforts")
    wanted = {name: value for name, value in told.items() if name not in anew}
    assert (answer is None) == (told["live_total"] is None or sheaf.pinned is not None)
    if sheaf.pinned is not None:  # it was accepted: what was sent stands, without a plan to cut by
        assert sheaf.pinned.quote is None
        assert show(Decimal(sheaf.pinned.result["total"]), "USD") == told["listed_total"]
        assert "comes to other figures than were sent as version" in plain(client.get(f"/jobs/{job}/sheets").text)
        del found["crates"], wanted["crates"]
    own = {each["name"] for each in FIGURES["rack"] if each["from_job"] == job}
    if own:  # 0.1.0 let a job cut from what it had left itself
        assert answer is not None
        assert not own & from_rack(answer.quote).keys()
        assert answer.quote.total > Decimal(told["live_total"])
    assert found == wanted
    for piece, wanted in told["photos"].items():
        assert digest(client.get(f"/jobs/{job}/photo", params={"piece": piece}).content) == wanted


def test_the_studio_s_papers_are_as_they_were(old: tuple[Desk, httpx.Client]) -> None:
    desk, client = old
    for path in ("/", "/?away=1", "/prices", "/prices/history", "/rules", "/rack", "/rack/rack.csv", "/keep"):
        assert client.get(path).status_code == 200, path
    papers, built_in = desk.papers, default_price_book().by_stock
    before = {stock: (row.price, row.breaks) for stock, row in built_in.items()}
    changed = [
        {"stock": row.stock, "before": str(built_in[row.stock].price) if row.stock in built_in else None,
         "price": str(row.price), "breaks": [[start, str(each)] for start, each in row.breaks]}
        for row in papers.book.rows
        if before.get(row.stock) != (row.price, row.breaks)
    ]  # fmt: skip
    assert changed == FIGURES["prices_changed"]
    assert {name: [s.good, s.length, s.width] for name, s in papers.sizes.items()} == FIGURES["own_sizes"]
    rulings, told = papers.rulings, FIGURES["rulings"]
    for name in ("studio", "rules", "thickness"):
        assert dict(getattr(rulings, name)) == told[name]
    assert digest(rulings.shop_file) == told["shop_file_sha256"]
    assert digest(rulings.rates_file) == told["rates_file_sha256"]
    places = [[p.name, p.country, p.profile, str(p.km), str(p.handler_rate)] for p in papers.places.rows]
    assert places == FIGURES["destinations"]
    rows = desk.store.database.rows
    assert [dict(row) for row in rows("SELECT * FROM offcuts ORDER BY name")] == FIGURES["rack"]
    assert [dict(row) for row in rows("SELECT offcut, job, count FROM takings ORDER BY offcut, job")] == FIGURES[
        "takings"
    ]
    assert [dict(row) for row in rows("SELECT * FROM shelf ORDER BY name")] == FIGURES["shelf"]


@pytest.mark.parametrize("told", FIGURES["answers"]["ways"], ids=lambda told: str(told["job"]))
def test_comparisons_are_shown_and_told_as_those_of_0_1_0(old: tuple[Desk, httpx.Client], told: dict[str, Any]) -> None:
    desk, client = old
    key = desk.comparison_key(desk.sheaf(told["job"]))
    made = desk.comparisons.of(told["job"], key)
    assert made is not None
    assert made.key != key, "another program may come to other figures"
    found, table = made.found, made.found.comparison
    assert (made.wish.by, made.wish.free, made.stopped) == (told["by"], told["free"], told["stopped"])
    assert (found.complete, found.evaluations) == (told["complete"], told["evaluations"])
    assert [str(table.now.total), str(found.best.total), str(found.best.a_trip), str(found.saving)] == [
        told[name] for name in ("now_total", "best_total", "best_a_trip", "saving")
    ]
    assert [unit.name for unit in table.units] == told["units"]
    assert [list(table.now.choice), list(found.best.choice)] == [told["now"], told["best"]]
    assert [list(each) for each in found.changed] == told["changed"]
    totals = [[[r.method, None if r.order_total is None else str(r.order_total)] for r in rows] for rows in table.rows]
    assert totals == told["rows"]
    page = plain(client.get(f"/jobs/{told['job']}/ways").text)
    if desk.sheaf(told["job"]).pinned is None:
        assert "compared by casewright 0.1.0" in page
        assert f"{found.best.total:,.2f}" in page
    else:  # it was accepted, and comes to other figures now: what was sent is shown, and no combination to take
        assert "comes to other figures than were sent" in page
    assert "Use this combination" not in page


@pytest.mark.parametrize("told", FIGURES["answers"]["scenarios"], ids=lambda told: str(told["job"]))
def test_scenarios_are_shown_and_told_as_those_of_0_1_0(old: tuple[Desk, httpx.Client], told: dict[str, Any]) -> None:
    desk, client = old
    made = desk.weighings.of(told["job"], "")
    assert made is not None
    assert made.key != desk.scenarios_key(desk.sheaf(told["job"]))
    found = [
        {"name": w.name, "title": w.title, "total": None if w.total is None else str(w.total),
         "figures": {name: str(value) for name, value in w.figures.items()}, "late_days": w.late_days,
         "refused": list(w.refused)}
        for w in made.found
    ]  # fmt: skip
    assert found == told["found"]
    page = plain(client.get(f"/jobs/{told['job']}/what-if").text)
    pinned = desk.sheaf(told["job"]).pinned is not None
    assert ("comes to other figures than were sent" if pinned else "quoted by casewright 0.1.0") in page
    assert "Make the job so" not in page


@pytest.mark.parametrize("told", FIGURES["quotes"], ids=lambda told: told["number"])
def test_what_was_sent_stands_by_its_tables_though_crates_are_built_otherwise(
    old: tuple[Desk, httpx.Client], told: dict[str, Any]
) -> None:
    desk, client = old
    desk.conversion.wait()
    address = f"/jobs/{told['job']}/versions/{told['version']}"
    sent = desk.store.quotes.get(told["job"], told["version"])
    assert json.loads(sent.result) == told["result"]
    got = client.get(f"{address}/files/quote.json")
    assert digest(got.content) == told["papers"]["quote.json"]["sha256"], "this one is kept from the first"
    assert client.get(f"{address}/files/packet.pdf").status_code == 410
    page = plain(client.get(address).text)
    assert f"Its papers cannot be made any more: {made_by()} comes to a total of" in page
    assert f"{sent.total:,.2f}" in page


def sent_now(change: Callable[[dict[str, Any]], None] = lambda _: None) -> SentQuote:
    """Return a quote as this program freezes it, its tables changed."""
    office, quote = Office(), quick_quote()
    out = outgoing("A job", Content(headings=HEADINGS, rows=ROWS), quote, office, {})
    result = json.loads(out.result)
    change(result)
    return SentQuote(
        1, 1, out.number, out.sent_on, out.total, out.currency, out.content, out.office, out.plans, json.dumps(result),
        "now",
    )  # fmt: skip


def test_the_same_figures_are_worked_through_again_and_a_later_column_is_none(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("pricing.desk.frozen.papers_of", lambda *_: {})

    def earlier(result: dict[str, Any]) -> None:
        """Take out what a later version tells beside the same figures."""
        result["lacks"] = []
        del result["charges"], result["tables"]["sales"]
        for row in result["tables"]["crates"]:
            del row["built to"], row["next best"]

    assert thaw(sent_now()).total == thaw(sent_now(earlier)).total == quick_quote().total


@pytest.mark.parametrize("what", ["its head", "crates", "labour"])
def test_the_same_total_of_other_figures_will_not_do(what: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Papers would contradict the tables that were kept."""
    monkeypatch.setattr("pricing.desk.frozen.papers_of", lambda *_: {})

    def other(result: dict[str, Any]) -> None:
        if what == "its head":
            result["hours"] = "0"
        elif what == "crates":
            result["tables"]["crates"][0]["tare"] = "1 lb"
        else:
            del result["tables"]["labour"][-1]

    with pytest.raises(StoreError, match=f"comes to other figures than were sent \\({what}\\)"):
        thaw(sent_now(other))


@pytest.fixture
def same(monkeypatch: pytest.MonkeyPatch) -> None:
    """Play a version that comes to what 0.1.0 sent, and makes short work of its papers."""
    monkeypatch.setattr("pricing.desk.frozen.thaw", lambda sent: replace(quick_quote(), number=sent.number))


@pytest.mark.usefixtures("same")
def test_conversion_goes_on_where_it_was_interrupted_and_is_never_done_twice(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = data_folder(tmp_path / "data")
    made: list[str] = []

    def paper(_quote: object, name: str) -> bytes:
        made.append(name)
        if len(made) == len(KINDS) + 2:
            conversion.stop()
        return name.encode()

    monkeypatch.setattr("pricing.desk.frozen.paper", paper)
    store = Store(folder)
    conversion = Conversion(store)
    conversion.run()
    assert len(made) == len(KINDS) + 2
    assert store.sent_papers.wanting(made_by()) == SENT[1:], "nothing of what was interrupted is kept"
    assert len(store.database.rows("SELECT 1 FROM sent_papers")) == len(KINDS)
    store.close()
    store = Store(folder)
    conversion = Conversion(store)
    conversion.begin()
    conversion.wait()
    assert store.sent_papers.wanting(made_by()) == []
    assert len(made) == len(KINDS) + 2 + 2 * len(KINDS)
    conversion.begin()
    conversion.wait()
    assert len(made) == len(KINDS) + 2 + 2 * len(KINDS)
    store.close()


def test_what_comes_to_another_total_shows_its_tables_and_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with opened(data_folder(tmp_path / "data")) as (desk, client):
        sent = desk.store.quotes.get(2, 1)
        with pytest.raises(StoreError) as caught:
            thaw(sent)
        desk.conversion.begin()
        paper = client.get("/jobs/2/versions/1/files/packet.pdf")
        assert f"{made_by()} comes to a total of" in str(caught.value)
        assert "not to the 1115.00 that was sent" in str(caught.value)
        said = f"Its papers cannot be made any more: {caught.value}. What was sent stands, as its tables show it."
        assert (paper.status_code, paper.text) == (410, f"{said}\n")
        told = client.get("/jobs/2/versions/1/files/quote.xlsx", headers={"accept": "application/json"})
        assert told.json() == {"message": said}
        page = client.get("/jobs/2/versions/1")
        assert page.status_code == 200
        assert said in plain(page.text)
        assert "What each piece bears" in page.text
        assert "packet.pdf" not in page.text
        kept = client.get("/jobs/2/versions/1/files/quote.json").content
        assert digest(kept) == FIGURES["quotes"][2]["papers"]["quote.json"]["sha256"], "this one is kept from the first"
        assert json.loads(kept) == json.loads(sent.result)
        assert client.get("/jobs/2/record").status_code == 200
        # The same program does not try again; another one may, and can.
        monkeypatch.setattr("pricing.desk.frozen.thaw", lambda sent: replace(quick_quote(), number=sent.number))
        assert client.get("/jobs/2/versions/1/files/packet.pdf").status_code == 410
        monkeypatch.setattr("pricing.desk.conversion.made_by", lambda: "casewright 9")
        desk.conversion.run()
        assert client.get("/jobs/2/versions/1/files/packet.pdf").content.startswith(b"%PDF-")
        print_afterwards(desk.store, sent)  # as where two make them at a time: what is kept is kept
        assert "cannot be made" not in plain(client.get("/jobs/2/versions/1").text)


@pytest.mark.usefixtures("same")
def test_papers_of_what_was_replaced_meanwhile_are_not_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Another store is put in place of everything while the papers of a quote are made."""
    monkeypatch.setattr("pricing.desk.frozen.paper", lambda _quote, name: name.encode())
    store = Store(data_folder(tmp_path / "data"))
    print_afterwards(store, replace(store.quotes.get(2, 1), at="another moment"))
    assert store.sent_papers.printing(2, 1) is None
    store.close()


@pytest.mark.parametrize("error", [KeyError("density"), TypeError("found int; wanted str"), RecursionError()])
def test_what_cannot_be_read_keeps_no_desk_from_opening(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, error: Exception
) -> None:
    def fail(*_: object) -> None:
        raise error

    monkeypatch.setattr("pricing.desk.frozen.decode", fail)
    store = Store(data_folder(tmp_path / "data"))
    Conversion(store).run()
    for job, number in SENT:
        printing = store.sent_papers.printing(job, number)
        assert printing is not None
        assert f"{made_by()} cannot work through what was frozen with it ({type(error).__name__}" in printing.trouble
    store.close()


@pytest.mark.usefixtures("same")
def test_papers_that_are_not_made_yet_are_told_and_not_begun(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("pricing.desk.frozen.paper", lambda _quote, name: name.encode())
    with opened(data_folder(tmp_path / "data")) as (desk, client):
        wanting = desk.store.sent_papers.wanting(made_by())
        assert "They are made behind the pages whenever the desk is opened" in plain(
            client.get("/jobs/2/versions/1").text
        )
        paper = client.get("/jobs/2/versions/1/files/packet.pdf")
        assert (paper.status_code, paper.text.partition(".")[0]) == (503, "Its papers are not made yet")
        assert client.get("/jobs/2/versions/1/files/quote.json").status_code == 200, "this one is kept from the first"
        assert desk.store.sent_papers.wanting(made_by()) == wanting
        desk.conversion.begin()
        desk.conversion.wait()
        assert desk.store.sent_papers.wanting(made_by()) == []
        assert "They were made on" in plain(client.get("/jobs/2/versions/1").text)


@pytest.mark.usefixtures("same")
def test_what_came_from_an_archive_is_converted_and_goes_out_with_its_papers(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("pricing.desk.frozen.paper", lambda quote, name: f"{name} of {quote.number}".encode())
    with opened(tmp_path / "new") as (desk, client):
        sent = {"file": ("archive.zip", (PLACE / "archive.zip").read_bytes())}
        assert client.post("/keep", data={"sure": "yes"}, files=sent).status_code == 303
        desk.conversion.wait()
        assert desk.store.sent_papers.get(2, 1, "packet.pdf") == b"packet.pdf of 2-1"
        archive = exported(desk.store.database)
        other = Store(tmp_path / "other")
        restored(other.database, archive)
        assert exported(other.database) == archive
        assert other.sent_papers.get(2, 1, "packet.pdf") == b"packet.pdf of 2-1"
        other.close()


@pytest.mark.parametrize("studio", ["studio", "studio_changed"])
def test_a_studio_folder_loads_with_the_same_prices_rates_and_steps(studio: str) -> None:
    """Its closed crate is built otherwise; its carton, prices, rates, days and freight are those of then."""
    file = SAMPLES / "small_sale.csv"
    quote = work(read_order(file), read_office(PLACE / studio, beside=file.parent), on=DAY)
    then, now = (json.loads((PLACE / f"{studio}.json").read_text(encoding="utf-8")), quote_document(quote))
    for key in ("currency", "date", "valid_until", "units", "charges", "markup", "margin"):
        assert now[key] == then[key], key

    def rows(document: dict[str, Any], table: str, *columns: str) -> list[tuple[Any, ...]]:
        return [tuple(row[each] for each in columns) for row in document["tables"][table]]

    steps = [rows(each, "totals", "step", "rate", "rule") for each in (then, now)]
    assert steps[0] == steps[1]
    prices = [{row[0]: row for row in rows(each, "prices", "stock", "price", "price breaks")} for each in (then, now)]
    both = prices[0].keys() & prices[1].keys()
    assert len(both) > 15
    assert all(prices[0][stock] == prices[1][stock] for stock in both)
    labour = [
        {row[0]: row for row in rows(each, "labour", "operation", "minutes each", "rate")} for each in (then, now)
    ]
    assert all(labour[1].get(title, row) == row for title, row in labour[0].items())
    (closed, carton), (closed_now, carton_now) = (each["tables"]["crates"] for each in (then, now))
    assert {name: carton_now[name] for name in carton} == carton
    for name in ("crate", "method", "pieces", "width", "height", "net", "destination", "reason"):
        assert closed_now[name] == closed[name], name

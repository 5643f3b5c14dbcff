"""Somebody else writes in the moment between a write and its answer: the answer names what it wrote itself.

Otherwise it would name somebody else's revision, and the next save that is based on it would overwrite theirs without a
conflict. The moment is a hook of the database, so that every run of these tests is the same.
"""

import csv
import io
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from threading import get_ident
from typing import Any, Final

import httpx
import pytest
from PIL import Image

from nesting.base.measure import INCH
from pricing.desk.content import content_from
from pricing.desk.desk import Desk
from pricing.store.documents import Document, Documents
from pricing.studio.office import office_texts
from pricing.studio.rack import RackOffcut
from tests.pricing.desk.orders import HEADINGS, ROWS

JSON: Final = {"accept": "application/json"}
STOCK: Final = "ply-3/8 4x8"


@pytest.fixture
def job(client: httpx.Client, desk: Desk) -> int:
    """Begin the desk's first job, and put an offcut on the rack."""
    client.post("/jobs", data={"name": "Spring show", "client": "Harbour"})
    desk.store.rack.put([RackOffcut("R-1", "ply-3/8", 40 * INCH, 30 * INCH)])
    return 1


@contextmanager
def meanwhile(desk: Desk, name: str, write: Callable[[], None]) -> Iterator[list[Document]]:
    """Have somebody else write once, as soon as the next revision of a document is on the disk; note that revision."""
    first = desk.store.documents.get(name).revision
    seen: list[Document] = []

    def committed() -> None:
        if not seen and (document := desk.store.documents.get(name)).revision > first:
            seen.append(document)
            write()

    desk.store.database.committed = committed
    yield seen
    desk.store.database.committed = None


@dataclass(frozen=True)
class Kind:
    """A kind of document: how a page saves it and steps back, and the field that bears the revision.

    Attributes
    ----------
    name : str
        Of the document.
    address : str
        Where it is saved.
    fields : callable
        What is sent, for a value.
    values : tuple of str
        That differ from each other and from what is there.
    step : str
        Where undo and redo are asked for.
    key : str
        How the form calls the revision.
    paper : str
        Which of the papers of a page is stepped.
    """

    name: str
    address: str
    fields: Callable[[str], dict[str, str]]
    values: tuple[str, str, str]
    step: str
    key: str = "revision"
    paper: str = ""

    def save(self, client: httpx.Client, value: str, revision: int) -> httpx.Response:
        data = {**self.fields(value), self.key: str(revision)}
        return client.post(self.address, data=data, headers=JSON)

    def go(self, client: httpx.Client, way: str, revision: int) -> httpx.Response:
        data = {"way": way, "paper": self.paper, self.key: str(revision)}
        return client.post(self.step, data=data, headers=JSON)


class Table(Kind):
    """The table of artworks, which a script sends as a whole."""

    def save(self, client: httpx.Client, value: str, revision: int) -> httpx.Response:
        rows = [("A-01", value, *ROWS[0][2:]), ROWS[1]]
        return client.post(self.address, json={"headings": HEADINGS, "rows": rows, "revision": revision}, headers=JSON)


class Dropped(Kind):
    """The table of artworks, read from a file."""

    def save(self, client: httpx.Client, value: str, revision: int) -> httpx.Response:
        text = io.StringIO()
        csv.writer(text).writerows([HEADINGS, ("A-01", value, *ROWS[0][2:])])
        files = {"file": ("table.csv", text.getvalue().encode())}
        return client.post(self.address, data={"revision": str(revision)}, files=files, headers=JSON)


def _none(_: str) -> dict[str, str]:
    return {}


WORDS: Final = ("One", "Other", "Third")
RATES: Final = ("0.21", "0.22", "0.23")
PRICES: Final = ("61.00", "62.00", "63.00")
KINDS: Final = (
    Table("job:1", "/jobs/1/artworks", _none, WORDS, "/jobs/1/step"),
    Dropped("job:1", "/jobs/1/artworks/file", _none, WORDS, "/jobs/1/step"),
    Kind("job:1", "/jobs/1/rate", lambda value: {"rule": "price.overhead", "value": value}, RATES, "/jobs/1/step"),
    Kind("job:1", "/jobs/1/what-if/text", lambda value: {"scenarios": f"# {value}"}, WORDS, "/jobs/1/step"),
    Kind("prices", "/prices/row", lambda value: {"stock": STOCK, "price": value}, PRICES, "/prices/step"),
    Kind("rules", "/rules", lambda value: {"rule": "price.overhead", "value": value}, RATES, "/rules/step"),
    Kind(
        "destinations", "/rules/place",
        lambda value: {"destination": value, **dict.fromkeys(("dock", "forklift", "residential", "inside"), "no")},
        WORDS, "/rules/step", paper="destinations",
    ),
    Kind("rack", "/rack/change", lambda value: {"name": "R-1", "count": value}, ("2", "3", "4"), "/rack/step"),
    Kind("name:1", "/jobs/1/name", lambda value: {"name": value}, WORDS, "/jobs/1/name/step", key="names"),
)  # fmt: skip


def revision_of(answer: httpx.Response) -> int:
    """Return the revision that an answer names."""
    assert answer.status_code == 200, answer.text
    told = answer.json()
    return int(told["slip"]["revision"] if "slip" in told else told["revision"])


@pytest.fixture(params=KINDS, ids=lambda kind: kind.address.strip("/").replace("/", " "))
def kind(request: pytest.FixtureRequest, job: int) -> Kind:
    """Return each kind of document in turn."""
    assert job == 1
    found: Kind = request.param
    return found


def refused(kind: Kind, client: httpx.Client, desk: Desk, revision: int) -> None:
    """Check that a save on a revision that another has followed is a conflict, and that what stands stays."""
    stands = desk.store.documents.get(kind.name)
    assert kind.save(client, kind.values[2], revision).status_code == 409
    assert desk.store.documents.get(kind.name) == stands


def test_a_save_names_what_it_wrote_and_the_next_one_conflicts(kind: Kind, client: httpx.Client, desk: Desk) -> None:
    mine, theirs, _ = kind.values

    def write() -> None:
        revision = desk.store.documents.get(kind.name).revision
        assert kind.save(client, theirs, revision).status_code == 200

    with meanwhile(desk, kind.name, write) as seen:
        answer = kind.save(client, mine, desk.store.documents.get(kind.name).revision)
    assert revision_of(answer) == seen[0].revision < desk.store.documents.get(kind.name).revision
    refused(kind, client, desk, revision_of(answer))


@pytest.mark.parametrize("way", ["undo", "redo"])
def test_a_step_names_what_it_wrote_and_the_next_one_conflicts(
    kind: Kind, way: str, client: httpx.Client, desk: Desk
) -> None:
    mine, theirs, _ = kind.values
    revision = desk.store.documents.get(kind.name).revision
    revision = revision_of(kind.save(client, mine, revision))
    if way == "redo":
        revision = revision_of(kind.go(client, "undo", revision))

    def write() -> None:
        now = desk.store.documents.get(kind.name).revision
        assert kind.save(client, theirs, now).status_code == 200

    with meanwhile(desk, kind.name, write) as seen:
        answer = kind.go(client, way, revision)
    assert revision_of(answer) == seen[0].revision == revision + 1
    other = "redo" if way == "undo" else "undo"
    stands = desk.store.documents.get(kind.name)
    assert kind.go(client, other, revision_of(answer)).status_code == 409
    assert desk.store.documents.get(kind.name) == stands
    refused(kind, client, desk, revision_of(answer))


def test_the_answer_to_a_save_is_of_what_it_wrote(client: httpx.Client, desk: Desk, job: int) -> None:
    """Faults and total are those of its own table, and the list has those of what stands."""
    table = KINDS[0]
    revision = revision_of(table.save(client, "One", 1))

    def write() -> None:
        wrong = [("A-01", "Other", "wide", *ROWS[0][3:])]
        data = {"headings": HEADINGS, "rows": wrong, "revision": revision + 1}
        assert client.post(table.address, json=data, headers=JSON).json()["slip"]["total"] == ""

    with meanwhile(desk, table.name, write):
        told = table.save(client, "Two", revision).json()
    assert told["faults"] == []
    assert told["slip"]["total"].startswith("USD ")
    assert desk.store.jobs.get(job).total == ""


def picture(colour: str) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (20, 20), colour).save(out, "PNG")
    return out.getvalue()


def test_a_photo_names_what_it_wrote(client: httpx.Client, desk: Desk, job: int) -> None:
    def send(colour: str, had: int) -> httpx.Response:
        files = {"photo": ("p.png", picture(colour), "image/png")}
        return client.post(f"/jobs/{job}/photo", data={"piece": "A-01", "had": had}, files=files, headers=JSON)

    def shown() -> int:
        return content_from(desk.store.documents.get(f"job:{job}").content).photos["A-01"]

    numbers: list[int] = []

    def write() -> None:
        numbers.append(shown())
        assert send("red", numbers[0]).status_code == 200

    with meanwhile(desk, f"job:{job}", write) as seen:
        answer = send("navy", 0)
    assert revision_of(answer) == seen[0].revision
    assert send("white", numbers[0]).status_code == 409, "the photo itself is another by now"
    assert shown() == numbers[0] + 1
    refused(KINDS[0], client, desk, revision_of(answer))


@pytest.mark.usefixtures("job")
def test_own_files_name_what_they_wrote_and_pass_over_nothing(client: httpx.Client, desk: Desk) -> None:
    prices, text = KINDS[4], office_texts()["prices.csv"].encode()

    def take(**revisions: int) -> httpx.Response:
        data = {name: str(number) for name, number in revisions.items()}
        return client.post("/rules/files", data=data, files={"prices": ("prices.csv", text)}, headers=JSON)

    with meanwhile(desk, "prices", lambda: _ok(prices.save(client, "61.00", 1))) as seen:
        answer = take(prices=0)
    assert answer.json() == {"revisions": {"prices": seen[0].revision}, "told": []}
    stands = desk.store.documents.get("prices")
    assert take(prices=1).status_code == 409
    assert desk.store.documents.get("prices") == stands
    refused(prices, client, desk, 1)


@pytest.mark.usefixtures("job")
def test_own_files_pass_over_nothing_that_was_saved_while_they_were_read(
    client: httpx.Client, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Also of a program that sends files alone, without the revisions that a page showed."""
    from pricing.desk.pages import own_files

    check = own_files.check

    def slow(*those: Any) -> None:
        check(*those)
        _ok(KINDS[4].save(client, "61.00", 0))

    monkeypatch.setattr(own_files, "check", slow)
    files = {"prices": ("prices.csv", office_texts()["prices.csv"].encode())}
    assert client.post("/rules/files", files=files).status_code == 409
    assert desk.papers.book.by_stock[STOCK].price == desk.papers.book.by_stock[STOCK].price.__class__("61.00")


def _ok(answer: httpx.Response) -> None:
    assert answer.status_code == 200, answer.text


PAGES: Final = {
    "/prices": (KINDS[4], r'action="/prices/row".*?name="revision" value="(\d+)"', 'value="62.00"'),
    "/rules?q=overhead": (KINDS[5], r'action="/rules" .*?name="revision" value="(\d+)"', 'value="0.22"'),
    "/rules": (KINDS[6], r'action="/rules/place".*?name="revision" value="(\d+)"', 'value="{}"'),
    "/rack": (KINDS[7], r'action="/rack/change".*?name="revision" value="(\d+)"', 'aria-label="count of R-1"'),
    "/jobs/1/money": (KINDS[2], r'data-revision="(\d+)"', 'value="0.22"'),
    "/jobs/1/record": (KINDS[8], r'name="names" value="(\d+)"', 'value="Other"'),
}
"""Pages, with what is saved on each, where it has the revision, and how it shows the other one's value."""


@pytest.mark.usefixtures("job")
@pytest.mark.parametrize("page", PAGES)
def test_a_page_never_names_a_revision_that_it_does_not_show(
    page: str, client: httpx.Client, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Somebody else saves after each in turn of the reads that the page makes of the store."""
    kind, where, shows = PAGES[page]
    _ok(KINDS[0].save(client, "One", 1))
    _ok(kind.save(client, kind.values[0], desk.store.documents.get(kind.name).revision))
    if kind.name == "rack":
        shows = f'value="{kind.values[1]}" {shows}'
    moments, here = 0, get_ident()

    def value(which: int) -> str:  # a destination is added each time, and each needs a name of its own
        return f"{kind.values[which]} {moments}" if kind.name == "destinations" else kind.values[which]

    left, busy, at = 0, False, Documents._at  # noqa: SLF001 - the moment after a read is what is tested

    def read(self: Documents, name: str, revision: int | None) -> Document | None:
        nonlocal left, busy
        found = at(self, name, revision)
        if not busy and get_ident() != here:
            left -= 1
            if left == 0:
                busy = True
                _ok(kind.save(client, value(1), at_once(kind.name)))
        return found

    def at_once(name: str) -> int:
        document = at(desk.store.documents, name, None)
        return document.revision if document else 0

    monkeypatch.setattr(Documents, "_at", read)
    while True:
        before = at_once(kind.name)
        left, busy = moments + 1, False
        text = client.get(page).text
        if not busy:
            break
        named = re.search(where, text, re.DOTALL)
        assert named is not None
        assert int(named[1]) == before or shows.format(value(1)) in text, f"after read {moments + 1}"
        left, moments = 0, moments + 1
        _ok(kind.save(client, value(0), at_once(kind.name)))
    assert moments >= 2


@pytest.mark.usefixtures("job")
def test_a_conflicting_undo_says_what_it_would_take_back(client: httpx.Client) -> None:
    """Whoever wanted to take their own change back is not made to take another's back unseen."""
    rate, text = KINDS[2], KINDS[3]
    revision = revision_of(rate.save(client, "0.21", 1))
    _ok(text.save(client, "One", revision))
    page = client.post(rate.step, data={"way": "undo", "revision": revision})
    assert page.status_code == 409
    assert "Take back: scenarios written, on What if" in page.text


@pytest.mark.usefixtures("job")
def test_kinds_are_of_every_document(desk: Desk, client: httpx.Client) -> None:
    """Whatever has revisions is tested here."""
    for kind in {kind.name: kind for kind in KINDS}.values():
        _ok(kind.save(client, kind.values[0], desk.store.documents.get(kind.name).revision))
    names = {row["name"] for row in desk.store.database.rows("SELECT name FROM documents")}
    assert names == {kind.name for kind in KINDS}


@pytest.mark.usefixtures("job")
def test_a_save_of_the_same_again_names_what_stands(client: httpx.Client, desk: Desk) -> None:
    table = KINDS[0]
    revision = revision_of(table.save(client, "One", 1))
    assert revision_of(table.save(client, "One", revision)) == revision
    assert desk.store.documents.get(table.name).revision == revision

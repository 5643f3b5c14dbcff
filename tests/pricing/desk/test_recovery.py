"""A desk whose store cannot be used: told on a page, and mended with no help but that page."""

import errno
import os
import re
import shutil
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import httpx
import pytest

from pricing.desk.desk import Desk
from pricing.desk.front import Front
from pricing.desk.guard import Door, OneTimeKey, cookie_of
from pricing.store import Store
from pricing.store.folder import ASIDE, FILE
from tests.pricing.desk.conftest import answering, served
from tests.pricing.desk.orders import DAY
from tests.pricing.desk.test_guard import own


def _begun(folder: Path, *, backup: bool = True) -> Path:
    """Begin a desk with a job, back it up, and add another; return the store's file."""
    with closing(Store(folder)) as store:
        store.jobs.add("Kept in the backup")
        if backup:
            store.database.back_up("daily")
        store.jobs.add("After the backup")
    return folder / FILE


@contextmanager
def _at(folder: Path, door: Door | None = None) -> Iterator[tuple[Front, httpx.Client]]:
    front = Front(folder, door or Door(), today=lambda: DAY, warm=False)
    front.open()
    with answering(front) as client:
        client.headers["origin"] = own(client)
        try:
            yield front, client
        finally:
            front.close()


def _plain(text: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", text).split())


@pytest.mark.parametrize(
    ("spoilt", "said"),
    [
        (lambda path: path.write_bytes(b"nonsense" * 1000), "is damaged"),
        (lambda path: path.write_bytes(b""), "is empty: 0 bytes are left of it"),
        (lambda path: path.unlink(), "is gone, though a desk was begun here"),
    ],
    ids=["damaged", "emptied", "deleted"],
)
def test_as_a_new_user_would_from_the_page_alone(tmp_path: Path, spoilt: Callable[[Path], object], said: str) -> None:
    """Open the desk, read what is wrong, press the one button; go on."""
    path = _begun(tmp_path)
    spoilt(path)
    left = path.read_bytes() if path.exists() else None
    with _at(tmp_path) as (_, client):
        for address in ("/", "/jobs/1/money", "/keep"):
            page = client.get(address)
            assert page.status_code == 503
            assert said in _plain(page.text)
        assert "1 job" in _plain(page.text)
        assert client.get("/static/desk.css").status_code == 200
        (action, fields) = _main_button(page.text)
        answer = client.post(action, data=fields)
        assert (answer.status_code, answer.headers["location"]) == (303, "/keep")
        assert "The desk is back as the backup of" in _plain(client.get("/keep").text)
        jobs = client.get("/").text
        assert "Kept in the backup" in jobs
        assert "After the backup" not in jobs
        assert client.post("/jobs", data={"name": "Goes on"}).status_code == 303
        if left is not None:
            (aside,) = (tmp_path / ASIDE).iterdir()
            assert (aside / FILE).read_bytes() == left, "nothing was removed"


def _main_button(page: str) -> tuple[str, dict[str, str]]:
    """Return what pressing the page's main button sends."""
    (form,) = [each for each in re.findall(r"<form.*?</form>", page, re.DOTALL) if 'class="main"' in each]
    action = re.search(r'action="([^"]+)"', form)
    assert action is not None
    return action[1], dict(re.findall(r'name="([^"]+)" value="([^"]*)"', form))


def test_no_page_of_it_has_an_inline_script_or_style(tmp_path: Path) -> None:
    _begun(tmp_path).write_bytes(b"")
    with _at(tmp_path) as (_, client):
        answer = client.get("/")
        assert "default-src 'none'" in answer.headers["content-security-policy"]
        assert " style=" not in answer.text
        assert "<script" not in answer.text


@pytest.mark.parametrize(
    ("happens", "said"),
    [
        (lambda path: path.unlink(), "is gone: it was deleted or moved while the desk was open"),
        (lambda path: shutil.copyfile(path, path.with_suffix(".x")).replace(path), "it was replaced while the desk"),
        (lambda path: os.truncate(path, 0), "was emptied while the desk was open"),
    ],
    ids=["deleted", "replaced", "emptied"],
)
def test_what_happens_while_it_is_open_is_told_at_the_next_step(
    tmp_path: Path, happens: Callable[[Path], object], said: str
) -> None:
    """What the open desk can still read, though the file's name is gone, is saved as a backup; here, all of it."""
    path = _begun(tmp_path)
    with _at(tmp_path) as (front, client):
        assert client.post("/jobs", data={"name": "A moment before"}).status_code == 303
        happens(path)
        answer = client.post("/jobs", data={"name": "Lost"}, headers={"accept": "application/json"})
        assert answer.status_code == 503
        assert said in answer.json()["message"]
        page = client.get("/").text
        assert said in _plain(page)
        assert "saved from the open desk when its file went" in page
        assert front.desk is None
        action, fields = _main_button(page)
        assert client.post(action, data=fields).status_code == 303
        jobs = client.get("/").text
        assert "Kept in the backup" in jobs
        assert "A moment before" in jobs
        assert "Lost" not in jobs


def test_a_folder_that_was_removed_whole_is_no_new_desk(tmp_path: Path) -> None:
    """Looking again begins none; what the open desk could still read lies in the folder, made anew."""
    folder = tmp_path / "data"
    _begun(folder)
    with _at(folder) as (_, client):
        shutil.rmtree(folder)
        assert "is gone" in _plain(client.get("/").text)
        assert client.post("/recovery/again").status_code == 303
        page = client.get("/")
        assert page.status_code == 503
        action, fields = _main_button(page.text)
        assert client.post(action, data=fields).status_code == 303
        assert "After the backup" in client.get("/").text
        assert folder.stat().st_mode & 0o077 == 0


def test_damage_that_the_keeper_finds_ends_the_desk(tmp_path: Path) -> None:
    _begun(tmp_path)
    with _at(tmp_path) as (front, client):
        assert front.desk is not None
        front.desk.store.database.trouble = "The file is damaged."  # what a check behind the pages leaves
        answer = client.get("/")
        assert answer.status_code == 503
        assert "The file is damaged." in answer.text
        assert front.desk is None


def test_a_file_that_was_moved_by_mistake_is_put_back(tmp_path: Path) -> None:
    path = _begun(tmp_path, backup=False)
    away = path.rename(tmp_path.parent / f"{tmp_path.name}-away")
    with _at(tmp_path) as (_, client):
        assert "There is no backup in" in client.get("/").text
        assert client.post("/recovery", data={}).status_code == 422
        assert client.post("/recovery", data={"backup": "../x"}).status_code == 422
        assert client.post("/recovery/again").status_code == 303
        assert client.get("/").status_code == 503
        away.rename(path)
        assert client.post("/recovery/again").status_code == 303
        assert "After the backup" in client.get("/").text


def test_an_empty_desk_is_begun_where_nothing_can_be_brought_back(tmp_path: Path) -> None:
    _begun(tmp_path, backup=False).write_bytes(b"nonsense" * 1000)
    with _at(tmp_path) as (_, client):
        assert client.post("/recovery", data={"empty": "yes"}).headers["location"] == "/keep"
        assert "An empty desk was begun. What was there before was put aside" in _plain(client.get("/keep").text)
        assert client.post("/jobs", data={"name": "x"}).status_code == 303


def test_a_damaged_backup_is_named_and_not_offered(tmp_path: Path) -> None:
    path = _begun(tmp_path)
    (backup,) = (tmp_path / "backups").iterdir()
    backup.write_bytes(b"nonsense" * 1000)
    path.write_bytes(b"")
    with _at(tmp_path) as (_, client):
        page = client.get("/").text
        assert "None of the backups can be used." in page
        assert 'class="main"' not in page
        answer = client.post("/recovery", data={"backup": backup.name})
        assert answer.status_code == 422
        assert "it is damaged; nothing was changed" in _plain(answer.text)
        assert path.read_bytes() == b""


def test_another_desk_on_the_folder_is_told_and_nothing_is_offered_that_would_harm_it(tmp_path: Path) -> None:
    _begun(tmp_path)
    with closing(Store(tmp_path)) as first, _at(tmp_path) as (_, client):
        page = client.get("/")
        assert page.status_code == 503
        assert f"Another desk (process {os.getpid()}) is open on" in _plain(page.text)
        assert "Bring it back" not in page.text
        assert "empty desk" not in page.text
        answer = client.post("/recovery", data={"empty": "yes"})
        assert answer.status_code == 422
        assert first.jobs.count() == 2
        first.close()
        assert client.post("/recovery/again").status_code == 303
        assert client.get("/").status_code == 200


def test_whoever_has_no_key_gets_nothing_of_it(tmp_path: Path) -> None:
    _begun(tmp_path).write_bytes(b"")
    with _at(tmp_path, Door(token="a-key")) as (_, client):  # noqa: S106 - of this test alone
        assert client.get("/").status_code == 401
        assert client.post("/recovery", data={"empty": "yes"}).status_code == 401
        assert (tmp_path / FILE).read_bytes() == b""
        assert client.post("/recovery", headers={"origin": "http://evil.example"}).status_code == 403


# The disk, while pages are used.


@pytest.mark.parametrize(
    ("spoil", "status", "said"),
    [
        ("PRAGMA max_page_count=1", 507, "is full. Nothing of this was kept; all that was kept before stands."),
        ("PRAGMA query_only=ON", 503, "can only be read"),
    ],
)
def test_a_save_that_the_disk_refuses_says_why(
    client: httpx.Client, desk: Desk, monkeypatch: pytest.MonkeyPatch, spoil: str, status: int, said: str
) -> None:
    client.post("/jobs", data={"name": "Before"})
    monkeypatch.setattr("pricing.store.database.os.access", lambda *_: False)  # it stays protected
    desk.store.database.rows(spoil)
    table = b"piece,width,height,depth,notes\n" + b"".join(b"A-%d,20,20,1,%s\n" % (n, b"x" * 3000) for n in range(30))
    for headers in ({}, {"accept": "application/json"}):
        answer = client.post("/jobs", data={"name": ""}, files={"file": ("big.csv", table)}, headers=headers)
        assert answer.status_code == status
        assert said in _plain(answer.text)
    assert [job.name for job in desk.store.jobs.find()] == ["Before"]
    assert client.get("/").status_code == 200, "what is there can still be read"


def test_a_full_disk_elsewhere_says_so_too(client: httpx.Client, desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object, **__: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device", str(desk.store.folder))

    monkeypatch.setattr("pricing.desk.pages.keep.mkstemp", full)
    answer = client.get("/keep/everything.zip")
    assert answer.status_code == 507
    assert "is full" in answer.text


# Keys.


def test_the_key_that_opens_the_page_is_good_once(desk: Desk) -> None:
    """The command line of a browser shows the address to every account of the machine."""
    once = OneTimeKey()
    with served(desk, Door(frozenset({"127.0.0.1"}), "secret-key", once)) as client:
        assert client.head(f"/?key={once.text}").status_code == 401, "it is not used up by looking ahead"
        entered = client.get(f"/jobs?key={once.text}")
        assert (entered.status_code, entered.headers["location"]) == (303, "/jobs")
        assert once.text not in entered.headers["set-cookie"]
        assert client.get("/").status_code == 200
        client.cookies.clear()
        assert client.get(f"/?key={once.text}").status_code == 401
        assert client.get(f"{own(client)}//evil.example/?key=secret-key").headers["location"] == "/evil.example/"


def test_a_key_that_nobody_used_lapses() -> None:
    moments = iter([0.0, 61.0])
    late = OneTimeKey(60, lambda: next(moments))
    assert not late.take(late.text)


def test_two_desks_of_one_machine_keep_their_keys_apart() -> None:
    """Browsers send a cookie to every port of a host."""
    assert cookie_of("127.0.0.1:8001") != cookie_of("127.0.0.1:8002")
    assert cookie_of("127.0.0.1:x") == cookie_of("127.0.0.1")

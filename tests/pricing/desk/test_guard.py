from collections.abc import Iterator
from contextlib import closing
from http.client import HTTPConnection

import httpx
import pytest

from pricing.desk.desk import Desk
from pricing.desk.guard import MOST_ARCHIVE, MOST_BYTES, Door
from pricing.desk.pages import ROUTES
from tests.pricing.desk.conftest import served


def own(client: httpx.Client) -> str:
    """Return the origin of the desk's own pages."""
    return str(client.base_url).rstrip("/")


@pytest.mark.parametrize(
    "host", ["evil.example", "evil.example:8000", "127.0.0.1.evil.example", "", "[::1", "localhost.x"]
)
def test_a_foreign_name_that_points_here_is_not_answered(bare: httpx.Client, host: str) -> None:
    assert bare.get("/", headers={"host": host}).status_code == 421


@pytest.mark.parametrize("host", ["127.0.0.1:8000", "localhost:8000", "LOCALHOST", "[::1]:8000"])
def test_this_machine_is_answered_by_its_names(bare: httpx.Client, host: str) -> None:
    assert bare.get("/", headers={"host": host}).status_code == 200


@pytest.mark.parametrize(
    ("headers", "allowed"),
    [
        ({}, False),
        ({"origin": "own"}, True),
        ({"origin": "null"}, False),
        ({"origin": "http://127.0.0.1:9"}, False),
        ({"origin": "https own"}, False),
        ({"origin": "http://evil.example"}, False),
        ({"sec-fetch-site": "same-origin"}, True),
        ({"sec-fetch-site": "same-origin", "origin": "own"}, True),
        ({"sec-fetch-site": "cross-site", "origin": "own"}, False),
        ({"sec-fetch-site": "same-site"}, False),
        ({"sec-fetch-site": "none"}, False),
    ],
)
def test_a_write_must_come_from_our_own_page(
    bare: httpx.Client, desk: Desk, headers: dict[str, str], allowed: bool
) -> None:
    known = {"own": own(bare), "https own": own(bare).replace("http:", "https:")}
    sent = {name: known.get(value, value) for name, value in headers.items()}
    answer = bare.post("/jobs", data={"name": "x"}, headers=sent)
    assert answer.status_code == (303 if allowed else 403)
    assert desk.store.jobs.count() == int(allowed)


def test_every_route_that_writes_refuses_a_write_from_elsewhere(bare: httpx.Client) -> None:
    tried = 0
    for route in ROUTES:
        if "POST" in (route.methods or ()):
            path = route.path.replace("{job:int}", "1").replace("{version:int}", "1")
            assert bare.post(path, headers={"origin": "http://evil.example"}).status_code == 403, path
            tried += 1
    assert tried > 25


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "OPTIONS"])
def test_other_methods_get_nowhere(bare: httpx.Client, method: str) -> None:
    assert bare.request(method, "/jobs").status_code == 403


def test_every_answer_binds_the_page(client: httpx.Client) -> None:
    for path in ("/", "/static/desk.js", "/nothing", "/jobs/9/money"):
        headers = client.get(path).headers
        policy = headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "script-src 'self'" in policy
        assert "unsafe" not in policy
        assert "frame-ancestors 'none'" in policy
        assert headers["x-content-type-options"] == "nosniff"


def test_no_page_has_an_inline_script_or_style(client: httpx.Client) -> None:
    client.post("/jobs", data={"name": "x"})
    for path in ("/", "/jobs/1/artworks", "/jobs/1/money", "/rack", "/prices", "/rules", "/keep"):
        text = client.get(path).text
        assert " style=" not in text
        assert " onclick=" not in text
        assert "<style" not in text
        assert "http://" not in text
        assert "https://" not in text


def test_too_much_is_refused_by_its_header_and_by_count(client: httpx.Client, desk: Desk) -> None:
    assert client.post("/jobs", content=b"x" * (MOST_BYTES + 1)).status_code == 413

    def chunks() -> Iterator[bytes]:
        for _ in range(MOST_BYTES // 1_000_000 + 2):
            yield b"x" * 1_000_000

    answer = client.post("/jobs", content=chunks(), headers={"content-type": "application/json"})
    assert answer.status_code == 413
    assert desk.store.jobs.count() == 0


def test_everything_that_was_kept_may_be_larger_but_not_without_bound(client: httpx.Client) -> None:
    address = client.base_url
    with closing(HTTPConnection(address.host, address.port or 80, timeout=20)) as link:
        link.putrequest("POST", "/keep")
        link.putheader("origin", own(client))
        link.putheader("content-length", str(MOST_ARCHIVE + 1))
        link.endheaders()
        assert link.getresponse().status == 413, "refused before it arrives"


def test_a_key_is_asked_for_on_a_network(desk: Desk) -> None:
    with served(desk, Door(frozenset({"127.0.0.1"}), "secret-key")) as client:
        ours, theirs = {"origin": own(client)}, {"origin": "http://evil.example"}
        assert client.get("/").status_code == 401
        assert client.get("/?key=wrong").status_code == 401
        assert client.post("/jobs?key=secret-key", data={"name": "x"}, headers=ours).status_code == 401
        entered = client.get("/?key=secret-key")
        assert (entered.status_code, entered.headers["location"]) == (303, "/")
        cookie = entered.headers["set-cookie"].lower()
        assert "httponly" in cookie
        assert "samesite=strict" in cookie
        assert client.get("/").status_code == 200
        assert client.post("/jobs", data={"name": "x"}, headers=ours).status_code == 303
        assert client.post("/jobs", data={"name": "x"}, headers=theirs).status_code == 403


def test_no_path_of_a_client_is_followed(client: httpx.Client) -> None:
    for path in (
        "/static/../serve.py",
        "/static/..%2fserve.py",
        "/static/%2e%2e/app.py",
        "/jobs/1/files/..%2f..%2fetc",
    ):
        assert client.get(path).status_code == 404
    answer = client.post("/jobs", data={"name": ""}, files={"file": ("../../etc/evil.csv", b"piece,width\nA,1\n")})
    assert answer.status_code == 303
    assert "evil" in client.get("/").text
    assert "../" not in client.get("/").text


@pytest.mark.parametrize("back", ["//evil.example", "https://evil.example", "/\\evil.example", "javascript:1"])
def test_nobody_is_led_away(client: httpx.Client, back: str) -> None:
    client.post("/jobs", data={"name": "x"})
    answer = client.post("/jobs/1/name", data={"name": "y", "back": back, "names": "0"})
    assert answer.headers["location"] == "/jobs/1/artworks"


def test_all_requests_together_may_send_only_so_much(client: httpx.Client, monkeypatch: pytest.MonkeyPatch) -> None:
    """Bodies wait in memory until they are answered; what is answered counts no more."""
    monkeypatch.setattr("pricing.desk.guard.MOST_AT_ONCE", 300_000)
    full = client.post("/jobs", data={"name": "x", "client": "y" * 400_000})
    assert (full.status_code, full.headers["retry-after"]) == (503, "2")
    assert "nothing was kept" in full.text
    for _ in range(4):
        assert client.post("/jobs", data={"name": "x", "client": "y" * 200_000}).status_code == 422
    assert client.post("/jobs", data={"name": "x"}).status_code == 303

"""The guard by itself, asked as a server asks it: quick enough to be run for every small change of its code."""

import asyncio
from dataclasses import dataclass, field
from typing import Any

import pytest
from starlette.datastructures import Headers
from starlette.responses import PlainTextResponse
from starlette.types import Message, Receive, Scope, Send

from pricing.desk import guard
from pricing.desk.guard import Door, Guard, OneTimeKey, cookie_of, from_here

PLAIN = Door(frozenset({"127.0.0.1", "localhost", "::1"}))
KEY = "the-key"
LOCKED = Door(frozenset({"127.0.0.1"}), KEY)
OWN = {"host": "127.0.0.1:80", "origin": "http://127.0.0.1:80"}


@dataclass
class Told:
    """What came back of one request."""

    status: int = 0
    headers: Headers = field(default_factory=lambda: Headers({}))
    body: bytes = b""
    reached: bool = False


@dataclass
class Ask:
    """A guard, what stands behind it, and requests of it."""

    door: Door = PLAIN
    cached: bool = False
    scheme: str = "http"
    client: tuple[str, int] | None = ("10.0.0.9", 5)

    def __post_init__(self) -> None:
        self.reached = 0
        self.taken: list[bytes] = []
        self.guard = Guard(self._app, self.door)

    async def _app(self, scope: Scope, receive: Receive, send: Send) -> None:
        self.reached += 1
        if scope["type"] != "http":
            return
        body = b""
        while True:
            message = await receive()
            body += message.get("body", b"")
            if not message.get("more_body"):
                break
        self.taken.append(body)
        headers = {"cache-control": "max-age=9"} if self.cached else {}
        await PlainTextResponse("in", headers=headers)(scope, receive, send)

    async def ask(  # 6 arguments: what a request is made of
        self, method: str = "GET", path: str = "/", query: str = "", body: tuple[bytes, ...] = (b"",), **headers: str
    ) -> Told:
        told, before = Told(), self.reached
        named = {name.replace("_", "-"): value for name, value in headers.items()} or {"host": "127.0.0.1:80"}
        waiting = [
            {"type": "http.request", "body": part, "more_body": at < len(body)} for at, part in enumerate(body, 1)
        ]
        scope: dict[str, Any] = {
            "type": "http", "method": method, "path": path, "query_string": query.encode(), "scheme": self.scheme,
            "headers": [(name.encode(), value.encode("latin-1")) for name, value in named.items()],
            "client": self.client,
        }  # fmt: skip

        async def receive() -> Message:
            return waiting.pop(0)

        async def send(message: Message) -> None:
            if message["type"] == "http.response.start":
                told.status, told.headers = message["status"], Headers(raw=message["headers"])
            else:
                told.body += message["body"]

        await self.guard(scope, receive, send)
        told.reached = self.reached > before
        return told

    def __call__(self, method: str = "GET", path: str = "/", query: str = "", **headers: str) -> Told:
        """Ask once."""
        return asyncio.run(self.ask(method, path, query, (b"",), **headers))

    def sent(self, *body: bytes, path: str = "/") -> Told:
        """Send something from our own page."""
        return asyncio.run(self.ask("POST", path, "", body, host=OWN["host"], origin=OWN["origin"]))


@pytest.fixture(autouse=True)
def waits(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """Note what is waited for instead of waiting."""
    found: list[float] = []

    async def sleep(seconds: float) -> None:
        found.append(seconds)

    monkeypatch.setattr(asyncio, "sleep", sleep)
    return found


def test_a_one_time_key_lets_one_in_within_its_minute() -> None:
    now = [100.0]
    key = OneTimeKey(60.0, lambda: now[0])
    assert len(key.text) == 32, "24 bytes by chance"
    assert key.text != OneTimeKey().text
    assert not key.take("another")
    assert not key.take("an öther")
    now[0] = 160.0
    assert key.take(key.text)
    assert not key.take(key.text)
    late = OneTimeKey(60.0, lambda: now[0])
    now[0] = 220.1
    assert not late.take(late.text)
    now[0] = 161.0
    assert not late.take(late.text), "a key that came too late is used up"
    assert OneTimeKey().take("") is False
    usual = OneTimeKey(clock=lambda: now[0])
    now[0] += 60.0
    assert usual.take(usual.text), "a minute unless another time is asked for"
    slower = OneTimeKey(clock=lambda: now[0])
    now[0] += 60.5
    assert not slower.take(slower.text)


def test_a_door_opens_by_its_key_or_by_the_one_time_key() -> None:
    once = OneTimeKey()
    door = Door(token=KEY, once=once)
    assert door.hosts == {"127.0.0.1", "localhost", "::1"}
    assert door.opens("the-key")
    assert door.opens("the-key")
    assert not door.opens("the-keyx")
    assert not door.opens("ké")
    assert door.opens(once.text)
    assert not door.opens(once.text)
    assert not Door(token=KEY).opens("b")
    assert Door().token == ""


@pytest.mark.parametrize(
    ("host", "status"),
    [("127.0.0.1", 200), ("LOCALHOST:1", 200), ("[::1]:9", 200), ("evil.example", 421), ("[::1", 421), ("", 421)],
)
def test_only_names_of_this_machine_are_answered(host: str, status: int) -> None:
    ask = Ask()
    told = ask(host=host)
    assert told.status == status
    assert told.reached == (status == 200)
    assert told.body == (b"in" if told.reached else b"This desk does not answer to that name.")
    assert asyncio.run(ask.ask(accept="*/*")).status == 421, "no name at all"


def test_writes_come_from_our_own_page_and_reads_from_anywhere() -> None:
    ask = Ask()
    assert ask("POST", **OWN).status == 200
    for method in ("POST", "PUT", "DELETE", "PATCH", "OPTIONS"):
        told = ask(method)
        assert (told.status, told.reached) == (403, False), method
        assert told.body == b"This write does not come from the desk's own page; nothing was changed."
    assert ask("HEAD").status == ask("GET").status == 200


@pytest.mark.parametrize(
    ("headers", "ours"),
    [
        ({}, False),
        ({"origin": "http://a:1"}, True),
        ({"origin": "HTTP://A:1"}, True),
        ({"origin": "http://a:2"}, False),
        ({"origin": "null"}, False),
        ({"sec-fetch-site": "same-origin"}, True),
        ({"sec-fetch-site": "none"}, False),
        ({"sec-fetch-site": "same-origin", "origin": "http://b"}, False),
        ({"sec-fetch-site": "cross-site", "origin": "http://a:1"}, False),
    ],
)
def test_where_a_write_says_that_it_comes_from(headers: dict[str, str], ours: bool) -> None:
    assert from_here(Headers(headers), "A:1", "http") is ours


def test_a_write_to_a_desk_behind_https_comes_from_https() -> None:
    secure = {"host": "127.0.0.1", "origin": "https://127.0.0.1"}
    assert Ask(scheme="https")("POST", **secure).status == 200
    assert Ask(scheme="http")("POST", **secure).status == 403
    assert Ask(scheme="https")("POST", host="127.0.0.1", origin="http://127.0.0.1").status == 403


def test_https_is_another_origin() -> None:
    assert from_here(Headers({"origin": "https://a:1"}), "a:1", "https")
    assert not from_here(Headers({"origin": "http://a:1"}), "a:1", "https")


def test_the_cookie_is_called_by_the_port() -> None:
    assert cookie_of("127.0.0.1:81") == "casewright-81"
    assert cookie_of("127.0.0.1") == cookie_of("127.0.0.1:80") == "casewright-80"
    assert cookie_of("a:b") == cookie_of("a:99999") == "casewright-80"


def test_every_answer_binds_the_page_and_is_kept_by_nobody() -> None:
    policy = (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; "
        "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    )
    wanted = {
        "content-security-policy": policy, "x-content-type-options": "nosniff", "referrer-policy": "same-origin",
        "cross-origin-opener-policy": "same-origin", "cross-origin-resource-policy": "same-origin",
        "x-frame-options": "DENY", "permissions-policy": "camera=(), microphone=(), geolocation=(), payment=()",
    }  # fmt: skip
    ask = Ask()
    for told in (ask(), ask(host="evil.example"), ask("POST"), Ask(LOCKED)(), ask.sent(b"x" * (guard.MOST_BYTES + 1))):
        assert {name: told.headers[name] for name in wanted} == wanted
        assert told.headers["cache-control"] == "no-store"
    assert Ask(cached=True)().headers["cache-control"] == "max-age=9"


def test_what_is_no_request_goes_by() -> None:
    ask = Ask()

    async def receive() -> Message:
        return {"type": "lifespan.startup"}

    async def send(_: Message) -> None:
        return

    asyncio.run(ask.guard({"type": "lifespan"}, receive, send))
    assert ask.reached == 1


def test_too_much_is_refused_by_its_header_before_it_comes() -> None:
    ask = Ask()
    for path, most, text in (
        ("/jobs", 12_000_000, b"More than 12,000,000 bytes; nothing was kept."),
        ("/keep", 1_000_000_000, b"More than 1,000,000,000 bytes; nothing was kept."),
    ):
        told = ask("POST", path, **OWN, content_length=str(most + 1))
        assert (told.status, told.reached, told.body) == (413, False, text)
        assert ask("POST", path, **OWN, content_length=str(most)).status == 200


def test_too_much_is_refused_by_count(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(guard, "MOST_BYTES", 1000)
    monkeypatch.setattr(guard, "MOST_ARCHIVE", 5000)
    ask = Ask()
    assert ask.sent(b"x" * 600, b"x" * 400).status == 200
    told = ask.sent(b"x" * 600, b"x" * 401)
    assert (told.status, told.body) == (413, b"More than 1,000 bytes were sent; nothing was kept.")
    assert ask.sent(b"x" * 5000, path="/keep").status == 200
    assert ask.sent(b"x" * 5001, path="/keep").status == 413
    assert [len(each) for each in ask.taken] == [1000, 5000]


def test_all_together_may_send_only_so_much(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(guard, "MOST_AT_ONCE", 1000)
    ask = Ask()
    told = ask.sent(b"x" * 600, b"x" * 401)
    assert (told.status, told.headers["retry-after"]) == (503, "2")
    assert told.body == (
        b"The desk is taking in as much as it can at once; nothing was kept. Send it again in a moment."
    )
    for _ in range(3):
        assert ask.sent(b"x" * 600, b"x" * 400).status == 200, "what is answered counts no more"
    assert ask.sent(b"x" * 1001, path="/keep").status == 200, "an archive goes to disk"

    async def together() -> list[Told]:
        ask.guard.take(500)
        try:
            return [await ask.ask("POST", "/", "", (part,), **OWN) for part in (b"x" * 500, b"x" * 501)]
        finally:
            ask.guard._taken -= 500  # noqa: SLF001 - as a request does that is answered

    assert [told.status for told in asyncio.run(together())] == [200, 503]
    assert ask.guard._taken == 0  # noqa: SLF001 - nothing is left counted


def test_whoever_has_no_key_gets_nothing(waits: list[float]) -> None:
    ask = Ask(LOCKED)
    told = ask()
    assert (told.status, told.reached) == (401, False)
    assert b"This desk is locked" in told.body
    assert waits == [], "who brings no key guesses nothing"
    assert ask("POST", **OWN).status == 401
    assert ask("POST", "/", "key=the-key", **OWN).status == 401, "a key is taken from a read alone"


def test_a_key_becomes_a_cookie() -> None:
    ask = Ask(LOCKED)
    told = ask("GET", "//jobs/1", "x=1&key=the-key")
    assert (told.status, told.headers["location"], told.reached) == (303, "/jobs/1", False)
    cookie = told.headers["set-cookie"]
    assert cookie.startswith("casewright-80=the-key;")
    assert {"httponly", "samesite=strict", "max-age=2592000"} <= {part.strip().lower() for part in cookie.split(";")}
    host = {"host": "127.0.0.1:80"}
    assert ask(**host, cookie="casewright-80=the-key").status == 200
    assert ask(**host, cookie="casewright-81=the-key").status == 401
    assert ask(**host, cookie="casewright-80=the-kex").status == 401


def test_wrong_keys_wait_longer_each_time_and_right_ones_never(waits: list[float]) -> None:
    ask = Ask(LOCKED)
    assert ask("GET", "/", "key=wrong").status == 401
    assert ask(host="127.0.0.1:80", cookie="casewright-80=w").status == 401
    assert waits == [0.25, 0.5]
    assert ask("GET", "/", "key=the-key").status == 303
    assert ask(host="127.0.0.1:80", cookie="casewright-81=w").status == 401, "the cookie of another desk"
    assert waits == [0.25, 0.5]


def test_wrong_keys_are_counted_by_address(waits: list[float]) -> None:
    ask = Ask(LOCKED)
    for client in (("10.0.0.9", 5), ("10.0.0.9", 6), ("10.0.0.8", 5), None, None):
        ask.client = client
        assert ask("GET", "/", "key=wrong").status == 401
    assert waits == [0.25, 0.5, 0.25, 0.25, 0.5], "ports are none, and who has no address is one"


def test_the_cookie_of_a_desk_at_another_port_is_asked_for() -> None:
    ask = Ask(LOCKED)
    told = ask("GET", "/", "key=the-key", host="127.0.0.1:8123")
    assert told.headers["set-cookie"].startswith("casewright-8123=the-key;")
    assert ask(host="127.0.0.1:8123", cookie="casewright-8123=the-key").status == 200
    assert ask(host="127.0.0.1:8123", cookie="casewright-80=the-key").status == 401


def test_a_wrong_cookie_of_another_port_is_a_guess(waits: list[float]) -> None:
    ask = Ask(LOCKED)
    assert ask(host="127.0.0.1:8123", cookie="casewright-80=w").status == 401
    assert waits == []
    assert ask(host="127.0.0.1:8123", cookie="casewright-8123=w").status == 401
    assert waits == [0.25]


def test_guesses_that_wait_are_few() -> None:
    ask = Ask(LOCKED)

    async def many() -> list[Told]:
        gate = asyncio.Event()

        async def hold(_: float) -> None:
            await gate.wait()

        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(asyncio, "sleep", hold)
            tasks = [asyncio.create_task(ask.ask("GET", "/", "key=wrong")) for _ in range(10)]
            for _ in range(20):
                await asyncio.wait(tasks, timeout=0.001)
            early = [task for task in tasks if task.done()]
            assert len(early) == 2
            gate.set()
            return [await task for task in tasks]

    told = asyncio.run(many())
    refused = [each for each in told if each.status == 429]
    assert len(refused) == 2
    assert {each.body for each in refused} == {b"Too many wrong keys at once."}
    assert {each.headers["connection"] for each in refused} == {"close"}
    assert sorted(each.status for each in told) == [401] * 8 + [429] * 2
    assert ask("GET", "/", "key=wrong").status == 401, "whose answers came wait no more"

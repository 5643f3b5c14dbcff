"""Connections within limits: half-open ones, slow heads, readers that do not read, and streams that wait for news."""

import asyncio
import socket
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, suppress
from threading import Thread

import httpx
import pytest
import uvicorn
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route

from pricing.desk.anteroom import AnteroomServer, Seats
from pricing.desk.connections import Connection, Limits
from pricing.desk.desk import Desk
from pricing.desk.places import Places
from pricing.desk.serve import bind
from tests.pricing.desk.conftest import served
from tests.pricing.desk.orders import HEADINGS, ROWS

SMALL = Limits(head=0.4, stuck=0.5, most=12, by_address=8)
SEATS = Seats(most=12, by_address=8, head=0.4)


async def hello(_: Request) -> Response:
    """Answer at once."""
    return PlainTextResponse("hello")


async def slow(_: Request) -> Response:
    """Answer after a while."""
    await asyncio.sleep(1.5)
    return PlainTextResponse("late")


async def much(_: Request) -> Response:
    """Answer with more than a socket holds."""
    return PlainTextResponse("x" * 50_000_000)


@contextmanager
def serving(*, behind_an_anteroom: bool) -> Iterator[int]:
    """Serve within small limits; yield the port."""

    class Tight(Connection):
        limits = SMALL

    app = Starlette(routes=[Route("/", hello), Route("/slow", slow), Route("/much", much)])
    listening = bind("127.0.0.1", 0)
    config = uvicorn.Config(app, log_level="error", lifespan="off", ws="none", http=Tight, loop="asyncio")
    server = AnteroomServer(config, SEATS) if behind_an_anteroom else uvicorn.Server(config)
    thread = Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
    thread.start()
    try:
        while not server.started:
            time.sleep(0.005)
        yield listening.getsockname()[1]
    finally:
        server.should_exit = True
        thread.join(timeout=10)
        listening.close()


@pytest.fixture(scope="module")
def port() -> Iterator[int]:
    """Return where an application answers within small limits."""
    with serving(behind_an_anteroom=True) as made:
        yield made


@pytest.fixture(scope="module", params=[True, False], ids=["anteroom", "bare"])
def either(request: pytest.FixtureRequest) -> Iterator[int]:
    """Return where one answers, as the desk has it here and as it has it on systems without an anteroom."""
    with serving(behind_an_anteroom=request.param) as made:
        yield made


def ended(link: socket.socket, seconds: float = 5.0) -> bytes:
    """Return what comes until the other end closes; TimeoutError where it does not."""
    link.settimeout(seconds)
    found = b""
    try:
        while piece := link.recv(65_536):
            found += piece
    except ConnectionResetError:
        pass
    return found


def test_half_open_connections_keep_nobody_out(either: int) -> None:
    """Four hundred and twenty of them shut the desk until each was closed by its own end."""
    with ExitStack() as held:
        for number in range(60):
            link = held.enter_context(socket.create_connection(("127.0.0.1", either)))
            link.sendall(b"GET / HT" if number % 2 else b"")
        begun = time.perf_counter()
        assert httpx.get(f"http://127.0.0.1:{either}/", trust_env=False, timeout=5).text == "hello"
        assert time.perf_counter() - begun < 1.0


@pytest.mark.parametrize(("sent", "answered"), [(b"", b""), (b"GET / HTTP/1.1\r\nhost: x\r\nslow", b"HTTP/1.1 408")])
def test_a_head_that_does_not_come_ends_the_connection(either: int, sent: bytes, answered: bytes) -> None:
    with socket.create_connection(("127.0.0.1", either)) as link:
        link.sendall(sent)
        begun = time.perf_counter()
        found = ended(link)
        assert found.startswith(answered)
        assert bool(found) == bool(sent)
        assert SMALL.head * 0.8 < time.perf_counter() - begun < 3.0


def test_a_head_that_dribbles_gains_no_time(either: int) -> None:
    with socket.create_connection(("127.0.0.1", either)) as link:
        begun = time.perf_counter()
        with suppress(BrokenPipeError, ConnectionResetError):
            while time.perf_counter() - begun < 5.0:
                link.sendall(b"G")
                time.sleep(0.05)
        assert time.perf_counter() - begun < 3.0


def test_a_second_head_must_come_in_time_too(port: int) -> None:
    with socket.create_connection(("127.0.0.1", port)) as link:
        link.sendall(b"GET / HTTP/1.1\r\nhost: x\r\n\r\n")
        link.settimeout(5)
        assert link.recv(65_536).startswith(b"HTTP/1.1 200")
        time.sleep(2 * SMALL.head)  # nothing asked for is no half request
        link.sendall(b"GET /")
        assert b"408" in ended(link)


def test_what_goes_on_is_never_closed_for_others(port: int) -> None:
    with ExitStack() as held:
        busy = held.enter_context(socket.create_connection(("127.0.0.1", port)))
        busy.sendall(b"GET /slow HTTP/1.1\r\nhost: x\r\nconnection: close\r\n\r\n")
        time.sleep(0.1)
        for _ in range(30):
            held.enter_context(socket.create_connection(("127.0.0.1", port)))
        assert b"late" in ended(busy)


def test_an_address_whose_connections_are_all_at_work_is_told_so(port: int) -> None:
    with ExitStack() as held:
        for _ in range(SMALL.by_address):
            busy = held.enter_context(socket.create_connection(("127.0.0.1", port)))
            busy.sendall(b"GET /slow HTTP/1.1\r\nhost: x\r\nconnection: close\r\n\r\n")
        time.sleep(0.2)
        with socket.create_connection(("127.0.0.1", port)) as link:
            link.sendall(b"GET / HTTP/1.1\r\nhost: x\r\n\r\n")
            assert b"503" in ended(link)
        assert b"late" in ended(busy)


def test_who_does_not_read_is_given_up(port: int) -> None:
    with socket.create_connection(("127.0.0.1", port)) as link:
        link.sendall(b"GET /much HTTP/1.1\r\nhost: x\r\n\r\n")
        time.sleep(SMALL.stuck + 1.0)
        assert len(ended(link)) < 50_000_000


def test_places_are_counted_in_all_and_for_each() -> None:
    places = Places(3, 2)
    with places.one("a") as first, places.one("a") as second, places.one("a") as third:
        assert (first, second, third) == (True, True, False)
        with places.one("b") as other, places.one("c") as none_left:
            assert (other, none_left) == (True, False)
    with places.one("a") as again:
        assert again


def test_streams_are_limited_apart_from_requests(waiting: Desk) -> None:
    """However many pages wait for news, others are answered; a stream too many is told to ask again."""
    with served(waiting) as client, ExitStack() as held:
        client.headers["origin"] = str(client.base_url).rstrip("/")
        job = client.post("/jobs", data={"name": "Streams"}).headers["location"].split("/")[2]
        client.post(f"/jobs/{job}/artworks", json={"headings": HEADINGS, "rows": ROWS, "revision": 1})
        transport = client._transport  # noqa: SLF001 - the limits of the client itself must not be met first
        assert transport is not None
        wide = held.enter_context(
            httpx.Client(base_url=client.base_url, limits=httpx.Limits(max_connections=200), trust_env=False)
        )
        waiting_for = [held.enter_context(wide.stream("GET", f"/jobs/{job}/live")).status_code for _ in range(34)]
        assert waiting_for == [200] * 32 + [503] * 2
        assert client.get("/").status_code == 200

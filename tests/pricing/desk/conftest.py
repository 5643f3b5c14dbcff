"""A desk in a folder of its own, served on loopback and asked without a browser."""

import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import Thread

import httpx
import pytest
import uvicorn
from starlette.types import ASGIApp

from pricing.desk.app import make_app
from pricing.desk.desk import Desk
from pricing.desk.guard import Door
from pricing.desk.serve import bind
from pricing.store import Store
from tests.pricing.desk.orders import DAY


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """Open a desk whose first figure is the last, so that it stands still and nothing waits for another."""
    made = Desk(Store(tmp_path / "data"), today=lambda: DAY, patience=60.0, effort="quick")
    yield made
    made.close()


@pytest.fixture
def waiting(tmp_path: Path) -> Iterator[Desk]:
    """Open a desk whose figures settle only after a long wait, so that the first one stands still, and waits."""
    made = Desk(Store(tmp_path / "waiting"), today=lambda: DAY, patience=1e6)
    yield made
    made.close()


@contextmanager
def served(desk: Desk, door: Door | None = None) -> Iterator[httpx.Client]:
    """Serve a desk in a thread; the client sends nothing of its own that a browser would."""
    with answering(make_app(desk, door)) as client:
        yield client


@contextmanager
def answering(app: ASGIApp) -> Iterator[httpx.Client]:
    """Serve an application in a thread."""
    listening = bind("127.0.0.1", 0)
    server = uvicorn.Server(
        uvicorn.Config(app, log_level="error", lifespan="off", ws="none", http="h11", timeout_keep_alive=120)
    )
    thread = Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
    thread.start()
    address = f"http://127.0.0.1:{listening.getsockname()[1]}"
    try:
        while not server.started:
            time.sleep(0.005)
        with httpx.Client(base_url=address, timeout=300.0, trust_env=False) as client:
            yield client
    finally:
        server.should_exit = True
        thread.join(timeout=10)
        listening.close()


@pytest.fixture
def bare(desk: Desk) -> Iterator[httpx.Client]:
    """Return a client that does not say where it comes from."""
    with served(desk) as client:
        yield client


@pytest.fixture
def client(bare: httpx.Client) -> httpx.Client:
    """Return a client that sends what the desk's own page would send."""
    bare.headers["origin"] = str(bare.base_url).rstrip("/")
    return bare


@pytest.fixture
def waiting_client(waiting: Desk) -> Iterator[httpx.Client]:
    """Return what the page of a desk whose figures have still to settle would send."""
    with served(waiting) as client:
        client.headers["origin"] = str(client.base_url).rstrip("/")
        yield client

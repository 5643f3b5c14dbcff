"""A desk started by its own command, and the system's Chromium to go through it as a person would."""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Final

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, ViewportSize, expect, sync_playwright

from nesting.cutting.sheets.ready import get_ready
from tests.desk.running import WINDOWS, Address, let_in, started
from tests.desk.walk import PATIENCE

FLAGS: Final = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
)  # fmt: skip
DESKTOP: Final[ViewportSize] = {"width": 1280, "height": 850}
PHONE: Final[ViewportSize] = {"width": 390, "height": 844}
# A refused save (409, 422) is told by the browser's console too; that is how those journeys begin. And a desk that a
# journey has closed, or closes and starts again, may leave a page asking for something still.
EXPECTED: Final = re.compile(r"status of 4|net::ERR_(CONNECTION_|EMPTY_RESPONSE|INCOMPLETE_CHUNKED)")
SAMPLES: Final = Path(__file__).parents[2] / "sample_orders"


@pytest.fixture(scope="session", autouse=True)
def compiled() -> None:
    """Compile the search once, as a first use on a fresh machine does, so that no journey waits for it."""
    get_ready()


@pytest.fixture(scope="session")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Address]:
    """Address of a desk that the journeys share; each begins a job of its own."""
    with started(tmp_path_factory.mktemp("desk")) as address:
        yield address


@pytest.fixture
def empty_desk(tmp_path: Path) -> Iterator[Address]:
    """Address of a desk with nothing on it."""
    with started(tmp_path / "data") as address:
        yield address


@pytest.fixture(scope="session")
def chromium(browser: str) -> Iterator[Browser]:
    """Start the system's Chromium."""
    expect.set_options(timeout=PATIENCE)
    with sync_playwright() as play:
        running = play.chromium.launch(executable_path=browser, args=list(FLAGS))
        yield running
        running.close()


def opened(chromium: Browser, viewport: ViewportSize) -> Iterator[BrowserContext]:
    """Open a window; whatever a page complains of fails the test."""
    complaints: list[str] = []
    context = chromium.new_context(viewport=viewport, locale="en-US")
    context.set_default_timeout(PATIENCE)
    context.on(
        "console",
        lambda said: complaints.append(said.text) if said.type == "error" and not EXPECTED.search(said.text) else None,
    )
    context.on("weberror", lambda error: complaints.append(str(error.error)))
    WINDOWS.append(context)
    let_in(context)
    yield context
    WINDOWS.remove(context)
    context.close()
    assert not complaints


@pytest.fixture
def window(chromium: Browser) -> Iterator[BrowserContext]:
    """Open a window of a desktop's size."""
    yield from opened(chromium, DESKTOP)


@pytest.fixture
def phone(chromium: Browser) -> Iterator[BrowserContext]:
    """Open a window of a phone's size."""
    yield from opened(chromium, PHONE)


@pytest.fixture
def page(window: BrowserContext) -> Page:
    """Open a page in a window of a desktop's size."""
    return window.new_page()

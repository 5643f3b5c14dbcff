"""Steps that several journeys take."""

import re
from collections.abc import Sequence
from pathlib import Path
from typing import Final

from playwright.sync_api import Locator, Page, expect

PATIENCE: Final = 120_000
"""Milliseconds for whatever a page is to come to: nothing waits so long where it comes, however busy the machine."""
LONG: Final = 300_000
"""The same for what whole orders are worked through for."""
PRICE: Final = re.compile(r"USD [\d,]+\.\d\d")
ROWS: Final = (
    {"piece": "A-01", "title": "First", "width": "30", "height": "30", "depth": "1 1/2", "weight": "18 lb"},
    {"piece": "A-02", "title": "Second", "width": "36", "height": "48", "depth": "1 1/2", "weight": "33 lb"},
)


def begin(page: Page, desk: str, name: str, file: Path | None = None) -> str:
    """Begin a job; return its address."""
    page.goto(f"{desk}/")
    page.get_by_label("New job").fill(name)
    if file is not None:
        page.get_by_label("from a table").set_input_files(file)
    page.get_by_role("button", name="Begin").click()
    expect(page.get_by_role("heading", name="Artworks")).to_be_visible()
    return page.url.removesuffix("/artworks")


def cell(page: Page, column: str, row: int) -> Locator:
    """Return a cell of the table of artworks; rows count from 1."""
    return page.get_by_label(f"{column}, row {row}", exact=True)


def type_rows(page: Page, rows: Sequence[dict[str, str]] = ROWS) -> None:
    """Type rows into the table as a person does, cell by cell."""
    for number, row in enumerate(rows, start=1):
        for column, text in row.items():
            field = cell(page, column, number)
            field.click()
            field.press_sequentially(text)
    page.keyboard.press("Tab")


def priced(page: Page) -> str:
    """Wait until the slip shows a price for what was last saved; return it."""
    expect(page.locator("#slip:not(.stale) #slip-total")).to_have_text(PRICE)
    if page.locator("#saved").count():
        expect(page.locator("#saved")).to_have_text("All saved")
    return page.locator("#slip-total").inner_text()


def settled(page: Page) -> str:
    """Wait until the figure of what was last saved has settled; return it."""
    priced(page)
    expect(page.locator("#slip-settling")).to_have_text("", timeout=LONG)
    return priced(page)


def stands_above(page: Page, upper: str, lower: str) -> None:
    """Wait until one thing stands above another and covers nothing of it, both measured at one moment.

    Figures come in while a page is looked at, and move what stands below them.
    """
    page.wait_for_function(
        """([upper, lower]) => {
          const [one, other] = [upper, lower].map((each) => document.querySelector(each).getBoundingClientRect());
          return one.height > 0 && other.height > 0 && one.bottom <= other.top + 1;
        }""",
        arg=[upper, lower],
    )


def fits(page: Page) -> None:
    """Wait until a page is as wide as the window at the most."""
    page.wait_for_function("document.documentElement.scrollWidth <= window.innerWidth")

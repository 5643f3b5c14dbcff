"""What a total lacks stands beside it on every page, and leads to the field that mends it."""

from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from tests.desk.walk import begin, cell, priced, settled
from tests.generated_orders import consignment

pytestmark = pytest.mark.browser


def test_each_lack_leads_to_what_mends_it_and_goes_when_it_is_mended(page: Page, desk: str, tmp_path: Path) -> None:
    """The seventh work of this order has neither a price nor a declared value; its places are not known."""
    file = consignment(5).write(tmp_path)
    job = begin(page, desk, "Lacking", file)
    priced(page)
    lacks = page.locator("#slip-lacks")
    expect(lacks.get_by_role("link", name="no freight to 2 places")).to_be_visible()
    page.goto(f"{job}/sheets")
    lacks.get_by_role("link", name="1 work not insured").click()
    expect(cell(page, "declared", 7)).to_be_focused()
    page.keyboard.type("900")
    page.keyboard.press("Tab")
    expect(lacks.get_by_role("link", name="not insured")).to_have_count(0)
    priced(page)
    settled(page)
    lacks.get_by_role("link", name="invented price").click()
    expect(page.get_by_role("heading", name="Prices", exact=True)).to_be_visible()
    assert page.url.partition("#")[2].startswith("stock-")


def test_on_a_phone_it_stands_above_the_figures_and_covers_none(phone: BrowserContext, desk: str) -> None:
    page = phone.new_page()
    begin(page, desk, "Lacking on a phone", None)
    page.goto(page.url)
    for column, text in {"piece": "A-01", "width": "30", "height": "30", "depth": "2", "destination": "Far"}.items():
        cell(page, column, 1).fill(text)
    page.keyboard.press("Tab")
    priced(page)
    lacks, lines = page.locator("#slip-lacks").bounding_box(), page.locator("#slip-lines").bounding_box()
    assert lacks
    assert lines
    assert lacks["height"] > 0
    assert lacks["y"] + lacks["height"] <= lines["y"]
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")

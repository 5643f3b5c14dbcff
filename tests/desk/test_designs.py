"""Designs side by side at three widths, one taken and taken back; a swap at the yard that comes to compare."""

from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from tests.desk.test_ways_in import faults
from tests.desk.walk import LONG, begin, fits, settled

pytestmark = pytest.mark.browser
WIDTHS = (1280, 820, 390)
SALE = Path(__file__).parents[2] / "sample_orders" / "small_sale.csv"


def test_a_design_is_taken_and_a_swap_compares(page: Page, phone: BrowserContext, desk: str) -> None:
    job = begin(page, desk, "Designs", SALE)
    before = settled(page)
    page.goto(f"{job}/crates")
    page.get_by_role("link", name="Designs side by side, of K1").click()
    expect(page.locator(".design.is-now")).to_have_count(1)
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 850})
        fits(page)
    assert faults(page) == []
    words = page.locator(".design:not(.is-now) h2").first.inner_text()
    page.get_by_role("button", name="Take this design").first.click()
    expect(page.locator(".gone")).to_contain_text(words)
    expect(page.locator(".design.is-now h2")).to_have_text(words)
    page.locator("#step-undo").click()
    expect(page.locator(".gone")).to_have_count(0)
    assert settled(page) == before

    hand = phone.new_page()
    hand.goto(f"{job}/yard")
    line = hand.locator(".fetch li").filter(has_text="ply-3/8 4x8")
    line.get_by_text("They have none").click()
    line.get_by_role("button", name="Cut it anew").click()
    expect(hand.locator(".swap-sum:not(.is-first)")).to_be_visible(timeout=LONG)
    expect(hand.get_by_text("so the two compare")).to_be_visible()
    fits(hand)
    assert faults(hand) == []
    expect(hand.locator("#slip-total")).to_have_text(before)

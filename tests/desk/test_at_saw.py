"""At the saw with keyboard, finger and a second window, on a phone and after a restart."""

from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from tests.desk.running import started
from tests.desk.test_ways_in import faults
from tests.desk.walk import begin, fits, settled, type_rows

pytestmark = pytest.mark.browser


def at(page: Page, number: int) -> None:
    expect(page.locator(".stop-place")).to_contain_text(f"Setting {number} of")
    page.wait_for_load_state()  # keys are heard by a script of the page, which comes after its text


def test_cut_by_keyboard_and_on_a_phone_and_gone_on_after_a_restart(
    page: Page, phone: BrowserContext, tmp_path: Path
) -> None:
    with started(tmp_path / "data") as desk:
        job = begin(page, desk, "Spring show")
        type_rows(page)
        settled(page)
        page.get_by_role("link", name="At the saw").click()
        at(page, 1)
        page.keyboard.press("ArrowRight")
        at(page, 2)
        page.keyboard.press("ArrowLeft")
        at(page, 1)
        page.keyboard.press("Space")
        at(page, 2)
        expect(page.locator("#slip-pinned")).to_contain_text("first cut: as it stood.")

        # The phone goes on from there; a tap in the list of places leads to one, and a tick stays on it.
        hand = phone.new_page()
        hand.goto(f"{job}/saw")
        at(hand, 2)
        fits(hand)
        hand.get_by_role("link", name="Places to go to").click()
        hand.locator(".places a").nth(3).click()
        at(hand, 4)
        hand.locator(".row-tick").first.click()
        expect(hand.locator(".row-tick").first).to_have_attribute("aria-pressed", "true")
        boxes = [hand.locator(each).first.bounding_box() for each in (".row-tick", "#stop-before", "#stop-tick button")]
        assert all(box and min(box["width"], box["height"]) >= 44 for box in boxes)
        assert faults(hand) == []

        # The window that saw nothing of it ticks its own, and both stand.
        page.keyboard.press("Space")
        at(page, 3)
        expect(page.locator(".places a.made")).to_have_count(2 + hand.locator(".places a.made").count() - 1)
    with started(tmp_path / "data") as desk:
        page.goto(f"{desk}/jobs/1/saw")
        at(page, 3)
        page.locator("#stop-after").click()
        at(page, 4)
        expect(page.locator(".row-tick").first).to_have_attribute("aria-pressed", "true")
        fits(page)
        assert faults(page) == []

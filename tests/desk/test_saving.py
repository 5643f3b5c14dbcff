"""One way to save, as a person meets it: typed and saved, the fault at its field, and nothing typed is lost."""

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from tests.desk.conftest import PHONE
from tests.desk.test_ways_in import faults, told
from tests.desk.walk import begin, fits

pytestmark = pytest.mark.browser
PRICE = "price of ply-3/8 4x8"


def test_a_price_saves_as_typed_and_what_will_not_do_is_kept(window: BrowserContext, empty_desk: str) -> None:
    page = window.new_page()
    page.goto(f"{empty_desk}/prices")
    mark, price = page.locator("#saved"), page.get_by_label(PRICE, exact=True)
    stood = price.input_value()
    expect(mark).to_have_text("All saved")
    price.fill("$65")
    page.keyboard.press("Tab")
    expect(price).to_have_value("65.00")
    expect(mark).to_have_text("All saved")
    price.fill("sixty")
    page.keyboard.press("Tab")
    expect(mark).to_have_text(f"Not saved: {PRICE}")
    expect(price).to_have_value("sixty")
    expect(price).to_have_attribute("aria-invalid", "true")
    expect(page.locator(".fault")).to_contain_text("Write an amount in USD, such as 58.00.")
    # The others of its row are saved all the same.
    page.get_by_label("supplier of ply-3/8 4x8", exact=True).fill("Mill Lane")
    page.keyboard.press("Tab")
    # It outlives a reload, and another window sees what is saved, and that this was typed.
    page.reload()
    expect(page.get_by_label("supplier of ply-3/8 4x8", exact=True)).to_have_value("Mill Lane")
    expect(price).to_have_value("sixty")
    expect(mark).to_have_text(f"Not saved: {PRICE}")
    assert not told(faults(page))
    page.set_viewport_size(PHONE)
    fits(page)
    mark.get_by_role("button").click()
    expect(price).to_be_focused()
    page.get_by_role("button", name="Back to 65.00").click()
    expect(price).to_have_value("65.00")
    expect(mark).to_have_text("All saved")
    expect(page.locator(".fault")).to_have_count(0)
    page.get_by_role("button", name="Take back:").click()
    page.get_by_role("button", name="Take back:").click()
    expect(price).to_have_value(stood)


def test_two_windows_on_one_paper(window: BrowserContext, empty_desk: str) -> None:
    one, other = window.new_page(), window.new_page()
    for each in (one, other):
        each.goto(f"{empty_desk}/prices")
        each.wait_for_load_state()
    one.get_by_label(PRICE, exact=True).fill("61")
    one.keyboard.press("Tab")
    expect(one.get_by_label(PRICE, exact=True)).to_have_value("61.00")
    # Another field of the same paper is no matter, and shows what was saved meanwhile.
    other.get_by_label("price of ply-23/32 4x8", exact=True).fill("91")
    other.keyboard.press("Tab")
    expect(other.get_by_label(PRICE, exact=True)).to_have_value("61.00")
    # The same field is asked about.
    one.get_by_label("price of ply-23/32 4x8", exact=True).fill("92")
    one.keyboard.press("Tab")
    clash = one.get_by_role("dialog", name="Somebody else changed")
    expect(clash.locator("#clash-mine")).to_contain_text("92.00")
    clash.get_by_role("button", name="Put mine in place of it").click()
    expect(one.get_by_label("price of ply-23/32 4x8", exact=True)).to_have_value("92.00")
    expect(one.locator("#saved")).to_have_text("All saved")


def test_what_is_half_typed_outlives_a_reload(page: Page, desk: str) -> None:
    job = begin(page, desk, "Half typed")
    page.goto(f"{job}/record")
    page.wait_for_load_state()
    page.get_by_label("hours", exact=True).fill("two")
    page.reload()
    expect(page.get_by_label("hours", exact=True)).to_have_value("two")
    # A deed that will not do comes back as its page, with the text and the fault.
    page.get_by_role("button", name="Note hours").click()
    expect(page.get_by_label("hours", exact=True)).to_have_value("two")
    expect(page.locator(".fault")).to_be_visible()
    expect(page.locator("#saved")).to_have_text("Not saved: see what is marked")
    assert page.url == f"{job}/record"
    assert not told(faults(page))
    page.get_by_label("hours", exact=True).fill("2")
    page.get_by_role("button", name="Note hours").click()
    expect(page.locator("#took ~ ul")).to_contain_text("2 h")
    expect(page.get_by_label("hours", exact=True)).to_have_value("")
    # The job's own name is a field like any other.
    page.locator(".names summary").click()
    page.get_by_label("Client", exact=True).fill("Pier Hall")
    page.keyboard.press("Tab")
    expect(page.locator(".names summary .client")).to_have_text("Pier Hall")
    expect(page.locator("#saved")).to_have_text("All saved")

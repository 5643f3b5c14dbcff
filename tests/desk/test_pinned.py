"""A job that is accepted stays as it is, whatever the prices come to; unpinned, it follows them again."""

import re

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from tests.desk.walk import begin, settled, type_rows

pytestmark = pytest.mark.browser


def test_accepted_then_dearer_then_unpinned(page: Page, window: BrowserContext, empty_desk: str) -> None:
    job = begin(page, empty_desk, "Spring show")
    type_rows(page)
    total = settled(page)
    page.get_by_role("link", name="Record").click()
    page.get_by_label("It was").select_option("accepted")
    page.get_by_role("button", name="Note it").click()
    expect(page.locator("#slip-pinned")).to_contain_text("accepted: as it stood.")
    before = {name: window.request.get(f"{job}/files/{name}").body() for name in ("quote.xlsx", "packet.pdf")}

    # The price book moves; the job does not.
    page.goto(f"{empty_desk}/prices")
    page.get_by_label("price of ply-3/8 4x8", exact=True).fill("99.00")
    with page.expect_response(re.compile("/prices/row$")):
        page.keyboard.press("Tab")
    expect(page.locator("#saved")).to_have_text("All saved")
    page.goto(f"{job}/money")
    expect(
        page.get_by_text("This is what was pinned, whatever prices, rules and rack have come to since.")
    ).to_be_visible()
    expect(page.locator("#slip-total")).to_have_text(total)
    expect(page.locator("#page-total")).to_have_text(total.removeprefix("USD "))
    assert {name: window.request.get(f"{job}/files/{name}").body() for name in before} == before

    # A sheet is cut; then it is unpinned all the same, and undone.
    page.get_by_role("link", name="Sheets", exact=True).click()
    page.get_by_role("button", name="It is cut").first.click()
    expect(page.locator(".sawn").first).to_contain_text("cut 1 of")
    page.get_by_role("link", name="Unpin").click()
    expect(page.get_by_text("The total that is pinned")).to_be_visible()
    page.get_by_label("a new plan may know nothing of that").check()
    page.get_by_role("button", name="Unpin").click()
    expect(page.locator("#slip-pinned")).to_be_hidden()
    expect(page.locator("#slip-total")).not_to_have_text(total)
    page.get_by_role("button", name="Take back: the last pin or tick").click()
    expect(page.locator("#slip-pinned")).to_contain_text("Pinned since")
    expect(page.locator("#slip-total")).to_have_text(total)
    expect(page.locator(".sawn").first).to_contain_text("cut 1 of")

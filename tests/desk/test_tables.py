"""Tables of figures where they stand: sorted, narrowed, copied, downloaded; from a figure to where it comes from."""

import re
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Locator, Page, expect

from tests.desk.conftest import SAMPLES
from tests.desk.walk import begin, fits, settled

pytestmark = pytest.mark.browser


def amounts(table: Locator) -> list[float]:
    """Return the last column of the rows that show and are no sums, from above."""
    texts = table.locator("tbody tr:not(.all, .part):not([hidden]) td:last-child").all_inner_texts()
    return [float(text.replace(",", "")) for text in texts]


def copied(page: Page, table: str) -> str:
    """Copy a table as CSV and return what came to the clipboard."""
    page.get_by_role("button", name=f"Copy as CSV: {table}").click()
    expect(page.locator("#told")).to_contain_text("Copied as CSV")
    text: str = page.evaluate("navigator.clipboard.readText()")
    return text


def test_costs_are_sorted_narrowed_copied_and_stay_so(window: BrowserContext, page: Page, desk: str) -> None:
    window.grant_permissions(["clipboard-read", "clipboard-write"], origin=desk)
    job = begin(page, desk, "Figures", SAMPLES / "small_sale.csv")
    settled(page)
    page.goto(f"{job}/money")
    page.wait_for_load_state()
    costs = page.locator('table[data-table="costs"]')
    before = amounts(costs)
    with page.expect_download() as downloaded:
        page.get_by_role("link", name="Download as CSV: Every cost").click()
    whole = Path(downloaded.value.path()).read_text(encoding="utf-8")
    assert copied(page, "Every cost").splitlines() == whole.splitlines()
    # By a heading: up, down, and as it was.
    heading = costs.get_by_role("columnheader", name="amount")
    heading.get_by_role("button").focus()
    page.keyboard.press("Enter")
    expect(heading).to_have_attribute("aria-sort", "ascending")
    assert amounts(costs) == sorted(before)
    page.keyboard.press("Space")
    expect(heading).to_have_attribute("aria-sort", "descending")
    assert amounts(costs) == sorted(before, reverse=True)
    assert costs.locator("tbody tr").last.get_attribute("class") == "part", "sums stand at the foot"
    # By a text; sums are of all, and what is copied is what shows.
    page.get_by_label("Only rows with, Every cost").fill("ply")
    shown = amounts(costs)
    assert 0 < len(shown) < len(before)
    expect(page.locator('.table-tools[data-for="costs"] .table-count')).to_have_text(
        f"{len(shown)} of {len(before)} rows; sums are of all"
    )
    assert len(copied(page, "Every cost").splitlines()) == 1 + len(shown)
    # A change fetches the page's figures anew: order, text and place stay.
    total = page.locator("#page-total").inner_text()
    field = page.get_by_label("price of ply-23/32 4x8", exact=True)
    field.fill("97.50")
    page.keyboard.press("Enter")
    expect(page.locator("#page-total")).not_to_have_text(total)
    settled(page)
    expect(costs.get_by_role("columnheader", name="amount")).to_have_attribute("aria-sort", "descending")
    expect(page.get_by_label("Only rows with, Every cost")).to_have_value("ply")
    assert amounts(costs) == sorted(amounts(costs), reverse=True)
    assert len(amounts(costs)) == len(shown)
    page.get_by_label("Only rows with, Every cost").fill("")
    heading.get_by_role("button").click()
    expect(heading).not_to_have_attribute("aria-sort", re.compile("."))
    assert len(amounts(costs)) == len(before)


def test_from_the_total_to_a_sheet_and_to_a_check(phone: BrowserContext, desk: str) -> None:
    page = phone.new_page()
    begin(page, desk, "From", SAMPLES / "small_sale.csv")
    settled(page)
    page.locator("#slip-total").click()
    expect(page).to_have_url(re.compile(r"/money#climb$"))
    page.get_by_role("link", name="sum of the lines").click()
    page.locator('table[data-table="costs"] a.from').first.click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Plywood")
    fits(page)
    page.wait_for_load_state()
    page.locator('table[data-table="parts"] a').first.click()
    expect(page.get_by_role("heading", name="Checks")).to_be_visible()
    expect(page.locator(".formula").first).to_contain_text("with its numbers")
    fits(page)

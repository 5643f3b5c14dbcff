"""A crate that is held: named before the total, accepted with a reason by keyboard alone, lapsed, and put back."""

from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from tests.desk.running import let_in
from tests.desk.walk import begin, cell, fits, priced, settled, stands_above
from tests.pricing.desk.orders import HELD_HEADINGS, HELD_ROWS

pytestmark = pytest.mark.browser
REASON = "the owner knows and agreed in writing"


def table(folder: Path) -> Path:
    """Write the order as a file."""
    file = folder / "slab.csv"
    file.write_text("\n".join(map(",".join, (HELD_HEADINGS, *HELD_ROWS))), encoding="utf-8")
    return file


def test_it_is_held_accepted_and_lapses(page: Page, desk: str, tmp_path: Path) -> None:
    job = begin(page, desk, "Slab", table(tmp_path))
    without = settled(page)
    first = page.locator("#slip-held")
    expect(first).to_contain_text("K2 is held: ")
    expect(page.locator("#slip-without")).to_have_text("without K2, held")
    page.goto(f"{job}/sheets")
    expect(page.locator(".held-line")).to_contain_text("These sheets are without K2, held.")
    expect(page.get_by_role("button", name="K2.")).to_have_count(0)
    first.get_by_role("link").click()
    # A browser that is led to a place in a page takes the focus away once more when all of the page has come.
    page.wait_for_url("**/crates#K2", wait_until="load")
    expect(page.get_by_role("heading", name="K2 held")).to_be_visible()

    # Accepted, by keyboard.
    page.get_by_label("Why K2 is taken all the same").focus()
    page.keyboard.type(REASON)
    page.keyboard.press("Enter")
    expect(page.get_by_text("Accepted all the same.")).to_be_visible()
    expect(page.locator("#slip-without")).to_be_hidden()
    assert settled(page) != without

    # Lapsed by what is typed into the table, where its cell stands in the last column.
    page.goto(f"{job}/artworks")
    expect(cell(page, "accept_held", 2)).to_have_value(f"{_code(page)}: {REASON}")
    cell(page, "weight", 2).fill("389 lb")
    page.keyboard.press("Tab")
    expect(first).to_contain_text("What accepted it has lapsed.")
    assert settled(page) == without
    page.goto(f"{job}/crates")
    expect(page.get_by_text(f"was accepted with “{REASON}”")).to_be_visible()
    expect(page.get_by_label("Why K2 is taken all the same")).to_have_value(REASON)
    page.get_by_role("button", name="Accept K2 as it stands").click()
    expect(page.get_by_text("Accepted all the same.")).to_be_visible()

    # Put back, and that undone.
    page.get_by_role("button", name="hold K2 again").click()
    expect(page.locator("#slip-without")).to_have_text("without K2, held")
    page.get_by_role("button", name="Take back: K2 held again").click()
    expect(page.get_by_text("Accepted all the same.")).to_be_visible()


def _code(page: Page) -> str:
    return cell(page, "accept_held", 2).input_value().partition(":")[0]


def test_on_a_phone_it_stands_before_the_total_and_covers_none(
    phone: BrowserContext, desk: str, tmp_path: Path
) -> None:
    page = phone.new_page()
    begin(page, desk, "Slab on a phone", table(tmp_path))
    priced(page)
    expect(page.locator("#slip-held")).to_contain_text("K2 is held: ")
    stands_above(page, "#slip-held", "#slip-total")
    fits(page)


def test_without_scripts_it_is_accepted_too(page: Page, desk: str, tmp_path: Path) -> None:
    job = begin(page, desk, "Slab, plain", table(tmp_path))
    settled(page)
    browser = page.context.browser
    assert browser
    plain = browser.new_context(java_script_enabled=False, locale="en-US")
    let_in(plain)
    other = plain.new_page()
    other.goto(f"{job}/crates/K2")
    other.get_by_label("Why K2 is taken all the same").fill(REASON)
    other.get_by_role("button", name="Accept K2 as it stands").click()
    expect(other.get_by_text("Accepted all the same.")).to_be_visible()
    assert other.url == f"{job}/crates/K2"
    plain.close()

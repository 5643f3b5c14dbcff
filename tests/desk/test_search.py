"""A longer search: reported while it runs, stopped on the word, the best kept."""

import pytest
from playwright.sync_api import Page, expect

from tests.desk.walk import LONG, begin, priced

pytestmark = pytest.mark.browser


def hard_rows(count: int = 40) -> list[tuple[str, ...]]:
    """Return pieces of many sizes, whose sheets no bound proves quickly."""
    return [
        (
            f"H-{n:02d}",
            f"Work {n}",
            f"{17 + (n * 7) % 23} {n % 8 or 1}/8",
            f"{19 + (n * 11) % 27} 3/8",
            "1 1/2",
            "closed",
        )
        for n in range(1, count + 1)
    ]


def test_a_search_reports_and_is_stopped(page: Page, desk: str) -> None:
    job = begin(page, desk, "Hard")
    table = {"headings": ["piece", "title", "width", "height", "depth", "method"], "rows": hard_rows(), "revision": 1}
    answer = page.request.post(f"{job}/artworks", data=table, headers={"origin": desk, "accept": "application/json"})
    assert answer.ok
    page.goto(f"{job}/sheets")
    before = priced(page)
    expect(page.locator("#slip-settling")).to_have_text("Settling: a first figure; sending and printing wait.")
    expect(page.locator("#hunt-text")).to_contain_text("The figure is settling")
    page.get_by_role("link", name="Record").click()
    out = page.get_by_role("button", name="Freeze it as version 1: it goes out")
    expect(out).to_be_disabled()
    page.get_by_role("button", name="Stop, keep the best").click()
    expect(page.locator("#hunt-news")).to_contain_text("Stopped; the best found is kept.", timeout=LONG)
    expect(page.locator("#slip-settling")).to_contain_text("Its search was stopped")
    expect(out).to_be_enabled()
    after = page.locator("#slip-total").inner_text()
    assert amount(after) <= amount(before)
    page.goto(f"{job}/sheets")
    page.get_by_role("button", name="Search longer").click()
    expect(page.locator("#hunt-text")).to_contain_text("Looking for a better answer")
    page.get_by_role("button", name="Stop, keep the best").click()
    expect(page.locator("#hunt")).to_be_hidden(timeout=LONG)
    assert amount(page.locator("#slip-total").inner_text()) <= amount(after)


def amount(text: str) -> float:
    return float(text.removeprefix("USD ").replace(",", ""))


def test_a_part_is_explained_under_the_pointer_and_the_keyboard(page: Page, desk: str) -> None:
    from tests.desk.conftest import SAMPLES

    job = begin(page, desk, "Pointed at", SAMPLES / "small_sale.csv")
    priced(page)
    page.goto(f"{job}/sheets")
    sheet = page.locator("figure.sheet").first
    sheet.locator("svg polygon:has(title)").filter(has_text="K1.").first.hover()
    expect(page.locator("#about")).to_contain_text("of K1 (closed crate), for S-01 Low Tide.")
    page.mouse.move(0, 0)
    button = sheet.locator(".names-list").get_by_role("button").last
    button.focus()
    expect(page.locator("#about")).to_contain_text(button.inner_text())
    expect(sheet.locator("polygon.lit")).not_to_have_count(0)

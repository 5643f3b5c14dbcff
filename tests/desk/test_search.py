"""A longer search: reported while it runs, stopped on the word, the best kept."""

import pytest
from playwright.sync_api import Page, expect

from tests.desk.walk import begin, priced

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
    page.get_by_role("button", name="Search longer").click()
    expect(page.locator("#hunt")).to_be_visible()
    expect(page.locator("#hunt-text")).to_contain_text("Looking for a better answer: ")
    expect(page.locator("#hunt-bar")).not_to_have_js_property("value", 0)
    page.get_by_role("button", name="Stop, keep the best").click()
    expect(page.locator("#hunt")).to_be_hidden(timeout=20_000)
    expect(page.locator("#hunt-news")).to_contain_text("Stopped; the best found is kept.")
    after = page.locator("#slip-total").inner_text()
    assert amount(after) <= amount(before)
    page.reload()
    expect(page.locator("#slip-total")).to_have_text(after)


def amount(text: str) -> float:
    return float(text.removeprefix("USD ").replace(",", ""))


def test_a_part_is_explained_under_the_pointer_and_the_keyboard(page: Page, desk: str) -> None:
    from tests.desk.conftest import SAMPLES

    job = begin(page, desk, "Pointed at", SAMPLES / "small_sale.csv")
    priced(page)
    page.goto(f"{job}/sheets")
    sheet = page.locator("figure.sheet").first
    sheet.locator("svg polygon:has(title)").filter(has_text="K1.").first.hover()
    expect(page.locator("#about")).to_contain_text("of K1 (closed crate), for S-01.")
    page.mouse.move(0, 0)
    button = sheet.locator(".names-list").get_by_role("button").last
    button.focus()
    expect(page.locator("#about")).to_contain_text(button.inner_text())
    expect(sheet.locator("polygon.lit")).not_to_have_count(0)

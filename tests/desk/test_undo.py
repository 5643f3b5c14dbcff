"""Taking back: the button names the step and its page, and the page says afterwards what was taken back, and where."""

import re

import pytest
from playwright.sync_api import Page, Route, expect

from tests.desk.conftest import SAMPLES
from tests.desk.walk import begin, cell, settled

pytestmark = pytest.mark.browser
PRICE = "price of ply-23/32 4x8: 97.50"


def test_a_step_of_another_page_is_named_taken_back_and_led_to(page: Page, desk: str) -> None:
    job = begin(page, desk, "Taken back", SAMPLES / "small_sale.csv")
    settled(page)
    undo, redo = page.locator("#step-undo"), page.locator("#step-redo")
    expect(undo).to_have_text("Nothing to take back")
    expect(undo).to_be_disabled()
    page.goto(f"{job}/money")
    price = page.get_by_label("price of ply-23/32 4x8", exact=True)
    before = price.input_value()
    price.fill("97.50")
    page.keyboard.press("Enter")
    # At once on the page where it is done, and on every other page of the job.
    expect(undo).to_have_text(f"Take back: {PRICE}, on Money")
    page.locator(".steps").get_by_role("link", name="Artworks").click()
    expect(undo).to_have_text(f"Take back: {PRICE}, on Money")
    page.get_by_role("button", name=f"Take back: {PRICE}, on Money").click()
    said = page.locator("#slip .stepped")
    expect(said).to_have_text(f"Taken back: {PRICE}, on Money")
    expect(page).to_have_url(re.compile("/artworks$"))
    expect(redo).to_have_text(f"Do again: {PRICE}, on Money")
    said.get_by_role("link", name="Money").click()
    expect(price).to_have_value(before)
    # The next change of the table is told in its place.
    page.locator(".steps").get_by_role("link", name="Artworks").click()
    cell(page, "title", 1).fill("Another")
    cell(page, "title", 1).press("Enter")
    expect(undo).to_have_text("Take back: table edited, on Artworks")
    expect(said).to_be_empty()
    expect(redo).to_be_disabled()


def test_a_price_of_the_book_is_named_as_it_is_kept(page: Page, empty_desk: str) -> None:
    page.goto(f"{empty_desk}/prices")
    price = page.get_by_label("price of ply-3/8 4x8", exact=True)
    before = price.input_value()
    price.fill("61.00")
    page.keyboard.press("Enter")
    name = f"Take back: ply-3/8 4x8: {before} → 61.00, on Prices"
    page.get_by_role("button", name=name).click()
    expect(page.locator(".stepped")).to_have_text(f"Taken back: ply-3/8 4x8: {before} → 61.00, on Prices")
    expect(price).to_have_value(before)


def test_a_job_is_searched_on_when_its_page_is_shown_after_prices_moved(page: Page, desk: str) -> None:
    """The page asks by itself, once; the list has the total that it brings."""
    job = begin(page, desk, "Searched on", SAMPLES / "small_sale.csv")
    before = settled(page)
    page.goto(f"{desk}/prices")
    page.get_by_label("price of ply-3/8 4x8", exact=True).fill("161.00")
    page.keyboard.press("Enter")
    expect(page.get_by_label("price of ply-3/8 4x8", exact=True)).to_have_value("161.00")
    expect(page.locator("#saved")).to_have_text("All saved")
    with page.expect_response(re.compile("/settle$")) as asked:
        page.goto(f"{job}/money")
    assert asked.value.status == 200
    settled(page)
    expect(page.locator("#slip-total")).not_to_have_text(before)
    page.reload()
    expect(page.locator(".job[data-unsettled]")).to_have_count(0)
    total = page.locator("#slip-total").inner_text()
    page.goto(f"{desk}/")
    expect(page.locator(".card").filter(has_text="Searched on")).to_contain_text(total)
    page.goto(f"{desk}/prices")
    page.get_by_role("button", name="Take back: ply-3/8 4x8").click()


def test_what_is_typed_before_the_page_has_all_of_its_scripts_is_saved(page: Page, desk: str) -> None:
    """A slow line shows a table long before it brings what saves it."""
    job = begin(page, desk, "Typed early", SAMPLES / "small_sale.csv")
    settled(page)
    held: list[Route] = []

    def hold(route: Route) -> None:
        held.append(route)

    page.route("**/static/table.js", hold)
    page.goto(f"{job}/artworks", wait_until="commit")
    cell(page, "title", 1).fill("Early")
    cell(page, "title", 1).press("Tab")
    expect(page.locator("#saved")).to_have_text("All saved")
    held[0].continue_()
    expect(page.locator("#step-undo")).to_have_text("Take back: table edited, on Artworks")
    page.unroute("**/static/table.js")
    page.reload()
    expect(cell(page, "title", 1)).to_have_value("Early")

    held.clear()
    page.route("**/static/desk.js", hold)
    page.goto(f"{job}/money", wait_until="commit")
    price = page.get_by_label("price of ply-23/32 4x8", exact=True)
    price.fill("97.50")
    price.press("Tab")
    held[0].continue_()
    expect(page.locator("#step-undo")).to_have_text(f"Take back: {PRICE}, on Money")

"""What a total lacks stands beside it on every page, and leads to the field that mends it."""

import re
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from tests.desk.walk import begin, cell, fits, priced, settled, stands_above
from tests.generated_orders import consignment

pytestmark = pytest.mark.browser


def test_each_lack_leads_to_what_mends_it_and_goes_when_it_is_mended(page: Page, desk: str, tmp_path: Path) -> None:
    """The seventh work of this order has neither a price nor a declared value; its places are not known."""
    file = consignment(5).write(tmp_path)
    job = begin(page, desk, "Lacking", file)
    priced(page)
    lacks = page.locator("#slip-lacks")
    expect(lacks.get_by_role("link", name="no freight to 2 destinations")).to_be_visible()
    page.goto(f"{job}/sheets")
    lacks.get_by_role("link", name="1 work not insured").click()
    expect(cell(page, "declared", 7)).to_be_focused()
    page.keyboard.type("900")
    page.keyboard.press("Tab")
    expect(lacks.get_by_role("link", name="not insured")).to_have_count(0)
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
    stands_above(page, "#slip-lacks", "#slip-lines")
    fits(page)


def test_freight_that_nobody_takes_makes_the_total_incomplete_until_its_place_is_mended(
    page: Page, desk: str, tmp_path: Path
) -> None:
    """A van goes to a place of an invented studio, and nobody has entered how far it is."""
    page.goto(f"{desk}/rules#places")
    place = page.locator("#places form.place").last
    if not place.is_visible():
        page.get_by_text("A new destination").click()
    place.get_by_label("Destination", exact=True).fill("Quay Hall")
    place.get_by_label("Goes by").fill("van")
    place.get_by_role("button", name="Add destination").click()
    expect(page.locator("#places summary", has_text="Quay Hall")).to_be_visible()
    table = tmp_path / "one.csv"
    table.write_text("piece,width,height,depth,weight,destination\nQ-1,20,24,1,8 lb,Quay Hall\n", encoding="utf-8")
    job = begin(page, desk, "Incomplete", table)
    total = settled(page)
    without = page.locator("#slip-without")
    expect(without).to_have_text("incomplete: no freight to Quay Hall")
    page.goto(f"{job}/money")
    expect(page.get_by_role("row", name="Total, USD, incomplete: no freight to Quay Hall")).to_be_visible()
    page.goto(desk)
    listed = page.get_by_role("listitem").filter(has=page.get_by_role("link", name="Incomplete", exact=True))
    expect(listed).to_contain_text(f"{total}, incomplete")
    page.goto(f"{job}/money")
    page.locator("#slip-lacks").get_by_role("link", name="no freight to 1 destination").click()
    mended = page.locator("#places form.place").first
    expect(mended.get_by_label("Destination", exact=True)).to_have_value("Quay Hall")
    mended.get_by_label("distance").fill("40 km")
    with page.expect_response(re.compile("/rules/place$")):
        page.keyboard.press("Tab")
    expect(page.locator("#saved")).to_have_text("All saved")
    page.goto(f"{job}/money")
    expect(without).to_be_empty()
    expect(page.locator("#slip-total")).not_to_have_text(total)

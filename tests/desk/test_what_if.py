"""What if, as a person does it: scenarios added, quoted, taken out; and the way back of what is not sold."""

import re

import pytest
from playwright.sync_api import Page, expect

from tests.desk.conftest import SAMPLES
from tests.desk.walk import LONG, begin, priced, settled

pytestmark = pytest.mark.browser


def test_scenarios_are_added_quoted_and_taken_out(page: Page, desk: str) -> None:
    job = begin(page, desk, "What if", SAMPLES / "small_sale.csv")
    total = settled(page)
    page.goto(f"{job}/plan")
    page.get_by_role("link", name="What if: scenarios side by side").click()
    name = page.get_by_label("Name", exact=True)
    what, how = page.get_by_label("What differs"), page.get_by_label("would be").first
    # What will not do is told, and what was typed stays.
    name.fill("Small one crated")
    what.fill("S-77")
    how.fill("closed")
    page.keyboard.press("Enter")
    expect(page.locator(".fault")).to_contain_text("S-77: there is no piece, rule, stock or destination of that name")
    expect(name).to_have_value("Small one crated")
    what.fill("S-02")
    page.keyboard.press("Enter")
    expect(page.get_by_role("button", name="Take out Small one crated")).to_be_visible()
    expect(name).to_have_value("")
    name.fill("Without the large one")
    what.fill("S-01")
    how.fill("0")
    page.get_by_role("button", name="Add it").click()
    expect(page.get_by_role("button", name="Take out Without the large one")).to_be_visible()
    page.get_by_role("button", name="Quote them side by side").click()
    table = page.get_by_role("region", name="Scenarios side by side")
    expect(table.get_by_role("row")).to_have_count(4, timeout=LONG)
    settled(page)
    expect(table.get_by_role("row", name=re.compile("as it is"))).to_contain_text(total.removeprefix("USD "))
    expect(table.get_by_role("row", name=re.compile("Small one crated"))).to_contain_text(re.compile("[+−]"))
    # Nothing of a scenario is in the job until it is said so; undo takes it out again.
    expect(page.locator("#slip-total")).to_have_text(total)
    page.get_by_role("button", name="Make the job so: Small one crated").click()
    expect(page.get_by_text("The figures are those of before.")).to_be_visible()
    expect(page.get_by_role("button", name="Take out Small one crated")).to_have_count(0)
    expect(page.locator("#slip-total")).not_to_have_text(total)
    page.locator("#step-undo").click()
    expect(page.locator("#slip-total")).to_have_text(total)
    page.get_by_role("button", name="Take out Small one crated").click()
    expect(page.get_by_text("The figures are those of before.")).to_be_visible()
    page.get_by_role("link", name="Write more than that as text").click()
    expect(page.get_by_label("Scenarios", exact=True)).to_have_value(re.compile("^.scenario.without-the-large-one."))
    page.get_by_label("Scenarios", exact=True).fill("[scenario.a]\norder.without = ['S-99']")
    page.keyboard.press("Tab")
    expect(page.get_by_role("heading", name=re.compile("It is kept as written"))).to_be_visible()
    expect(page.get_by_role("listitem").filter(has_text="S-99")).to_have_count(1)


def test_the_way_back_of_what_is_not_sold(page: Page, desk: str) -> None:
    job = begin(page, desk, "The way back", SAMPLES / "gallery_consignment.csv")
    priced(page)
    page.goto(f"{job}/plan")
    page.get_by_role("link", name="The way back of what is not sold").click()
    board = page.get_by_role("region", name="Crates that come back from Harbour Gallery")
    expect(board.get_by_role("row").filter(has_text="G-02")).not_to_contain_text("sold:")
    page.get_by_role("checkbox", name="G-02").uncheck()
    page.get_by_role("button", name="Show their way back").click()
    expect(board.get_by_role("row").filter(has_text="sold: G-02")).to_contain_text("empty frames")

"""Changing a job: methods and rules side by side, money at once, the yard's swap, undo, and two tabs."""

import re

import pytest
from playwright.sync_api import BrowserContext, Page, Route, expect

from tests.desk.conftest import SAMPLES
from tests.desk.walk import PRICE, begin, cell, priced, settled, type_rows

pytestmark = pytest.mark.browser


def test_switching_methods_side_by_side(page: Page, desk: str) -> None:
    job = begin(page, desk, "Methods", SAMPLES / "small_sale.csv")
    before = settled(page)
    page.goto(f"{job}/crates")
    card = page.get_by_role("article").filter(has_text="S-01")
    expect(card).to_contain_text("closed")
    card.get_by_label("S-01 packed as").select_option("battened")
    card.get_by_role("button", name="See what it does to S-01").click()
    rows = page.get_by_role("region", name="Side by side").get_by_role("row")
    total = rows.filter(has=page.get_by_role("rowheader", name="Total")).get_by_role("cell")
    expect(total.nth(0)).to_have_text(before)
    expect(total.nth(1)).to_have_text(PRICE)
    then = total.nth(1).inner_text()
    assert then != before
    for label in ("Gross weight", "Sheets", "S-01 bears", "Packed size of S-01"):
        expect(rows.filter(has=page.get_by_role("rowheader", name=label))).to_have_count(1)
    # Nothing is saved until it is taken.
    expect(page.locator("#slip-total")).to_have_text(before)
    page.get_by_role("button", name="Do it so").click()
    expect(page.locator("#slip-total")).to_have_text(then)
    expect(page.get_by_role("article").filter(has_text="S-01")).to_contain_text("the order asks for it")
    page.get_by_role("link", name="Artworks").click()
    expect(cell(page, "method", 1)).to_have_value("battened")


def test_a_rule_tried_and_left(page: Page, desk: str) -> None:
    job = begin(page, desk, "Rules", SAMPLES / "small_sale.csv")
    before = settled(page)
    page.goto(f"{job}/crates?rule=frame.larger_by&value=9 in")
    tried = "If it were Frames and faces: Frame larger than the piece by = 9 in"
    expect(page.get_by_role("heading", name=tried)).to_be_visible()
    page.get_by_role("link", name="Leave it as it is").click()
    expect(page.locator("#slip-total")).to_have_text(before)
    expect(page.get_by_role("heading", name=re.compile("If it were"))).to_have_count(0)


def test_money_follows_a_price_a_rate_and_a_quantity_at_once(page: Page, desk: str) -> None:
    job = begin(page, desk, "Money", SAMPLES / "small_sale.csv")
    settled(page)
    page.goto(f"{job}/money")
    seen = [page.locator("#page-total").inner_text()]

    def moved() -> str:
        expect(page.locator("#page-total")).not_to_have_text(seen[-1])
        total = settled(page)  # a first figure is no figure to come back to
        seen.append(total.removeprefix("USD "))
        expect(page.locator("#page-total")).to_have_text(seen[-1])
        return seen[-1]

    page.get_by_label("price of ply-23/32 4x8", exact=True).fill("97.50")
    page.keyboard.press("Enter")
    moved()
    expect(page.get_by_label("price of ply-23/32 4x8", exact=True)).to_have_value("97.50")
    page.get_by_label("Overhead", exact=True).fill("20%")
    page.keyboard.press("Tab")
    moved()
    page.get_by_role("spinbutton", name=re.compile("^S-02")).fill("3")
    page.keyboard.press("Enter")
    moved()
    expect(page.locator("#slip-lines")).to_contain_text("4 pieces")
    page.get_by_label("Overhead", exact=True).fill("a lot")
    page.keyboard.press("Tab")
    expect(page.locator(".fault")).to_contain_text("such as 12 %")
    expect(page.get_by_label("Overhead", exact=True)).to_have_value("a lot")
    page.keyboard.press("Escape")
    # Undo takes the three back, one after the other.
    for back in reversed(seen[:-1]):
        page.get_by_role("button", name="Take back:").click()
        expect(page.locator("#page-total")).to_have_text(back)
    page.get_by_role("button", name="Do again:").click()
    expect(page.locator("#page-total")).to_have_text(seen[1])


def test_the_yard_has_none(phone: BrowserContext, desk: str) -> None:
    page = phone.new_page()
    job = begin(page, desk, "Yard", SAMPLES / "gallery_consignment.csv")
    before = settled(page)
    page.goto(f"{job}/yard")
    line = page.get_by_role("listitem").filter(has_text="ply-3/8 4x8")
    line.get_by_role("checkbox").check()
    expect(page.locator("#done")).to_have_text("1")
    page.reload()
    expect(line.get_by_role("checkbox")).to_be_checked()
    line.get_by_role("checkbox").uncheck()
    expect(page.locator("#done")).to_have_text("0")
    # A part that was fetched outlives a full tick, and a number that will not do stays to be mended.
    some = line.get_by_label("ply-3/8 4x8: how many are fetched")
    expect(some).to_have_value("")
    some.fill("one")
    some.press("Enter")
    expect(line.locator(".fault")).to_contain_text("a number such as 2")
    expect(some).to_have_value("one")
    some.fill("1")
    some.press("Enter")
    line.get_by_role("checkbox").check()
    expect(page.locator("#done")).to_have_text("1")
    expect(some).not_to_have_value("1")
    line.get_by_role("checkbox").uncheck()
    expect(some).to_have_value("1")
    page.reload()
    expect(some).to_have_value("1")
    expect(page.locator("#done")).to_have_text("0")
    line.get_by_text("They have none").click()
    line.get_by_label(re.compile("Plywood 15/32 in")).check()
    line.get_by_role("button", name="Cut it anew").click()
    expect(page.get_by_role("heading", name="Cut anew without ply-3/8 4x8, ply-15/32 instead")).to_be_visible()
    page.get_by_role("button", name="Buy it so").click()
    expect(page.get_by_text("Not to be had: ply-3/8 4x8")).to_be_visible()
    expect(page.locator(".fetch")).not_to_contain_text(["ply-3/8 4x8"])
    expect(page.locator("#slip-total")).not_to_have_text(before)
    page.goto(f"{job}/sheets")
    expect(page.get_by_role("heading", name="Plywood 15/32 in (sold as 1/2)")).to_be_visible()
    expect(page.get_by_role("heading", name="Plywood 3/8 in")).to_have_count(0)


def test_a_tick_while_a_number_is_on_its_way_is_kept(phone: BrowserContext, desk: str) -> None:
    page = phone.new_page()
    job = begin(page, desk, "A slow yard", SAMPLES / "gallery_consignment.csv")
    priced(page)
    page.goto(f"{job}/yard")
    line = page.get_by_role("listitem").filter(has_text="ply-3/8 4x8")
    some = line.get_by_label("ply-3/8 4x8: how many are fetched")
    held: list[Route] = []

    def hold(route: Route) -> None:
        if held:
            route.continue_()
        else:
            held.append(route)

    page.route("**/tick", hold)
    with page.expect_request("**/tick"):
        some.fill("1")
        some.press("Enter")
    line.get_by_role("checkbox").check()
    with page.expect_response("**/tick"):
        held[0].continue_()
    expect(some).not_to_have_value("1")
    expect(line.get_by_role("checkbox")).to_be_checked()
    expect(page.locator("#done")).to_have_text("1")
    page.reload()
    expect(line.get_by_role("checkbox")).to_be_checked()
    expect(some).not_to_have_value("1")


def test_two_tabs_on_one_job_are_offered_both(window: BrowserContext, desk: str) -> None:
    one = window.new_page()
    job = begin(one, desk, "Two tabs")
    type_rows(one)
    priced(one)
    other = window.new_page()
    other.goto(f"{job}/artworks")
    cell(one, "title", 1).fill("From the first tab")
    cell(one, "title", 1).press("Enter")
    expect(one.locator("#saved")).to_have_text("All saved")
    cell(other, "title", 2).fill("From the second tab")
    cell(other, "title", 2).press("Enter")
    clash = other.get_by_role("dialog", name="Somebody else changed this job")
    expect(clash).to_be_visible()
    expect(clash.locator("#clash-theirs")).to_contain_text("row 1, title: First → From the first tab")
    expect(clash.locator("#clash-mine")).to_contain_text("row 2, title: Second → From the second tab")
    clash.get_by_role("button", name="Put mine in place of it").click()
    expect(other.locator("#saved")).to_have_text("All saved")
    one.reload()
    expect(cell(one, "title", 1)).to_have_value("First")
    expect(cell(one, "title", 2)).to_have_value("From the second tab")
    # Nothing is lost: undo brings the other one back.
    one.get_by_role("button", name="Take back:").click()
    expect(cell(one, "title", 1)).to_have_value("From the first tab")


def test_two_tabs_on_a_small_form(window: BrowserContext, desk: str) -> None:
    one = window.new_page()
    job = begin(one, desk, "Two forms", SAMPLES / "small_sale.csv")
    priced(one)
    other = window.new_page()
    for tab in (one, other):
        tab.goto(f"{job}/money")
    one.get_by_label("Overhead", exact=True).fill("0.2")
    one.keyboard.press("Tab")
    expect(one.get_by_role("button", name="Take back:")).to_be_enabled()
    other.get_by_label("Contingency", exact=True).fill("0.3")
    other.keyboard.press("Tab")
    clash = other.get_by_role("dialog", name="Somebody else changed this job")
    expect(clash.locator("#clash-theirs")).to_contain_text("Overhead: as usual → 20 %")
    clash.get_by_role("button", name="Put mine in place of it").click()
    expect(other.get_by_label("Contingency", exact=True)).to_have_value("30 %")
    expect(other.get_by_label("Overhead", exact=True)).to_have_value("20 %")


def test_a_quote_that_was_sent_is_frozen(page: Page, desk: str) -> None:
    job = begin(page, desk, "Sent", SAMPLES / "small_sale.csv")
    settled(page)
    page.goto(f"{job}/record")
    sent = page.locator("#slip-total").inner_text()
    for word in page.get_by_label("Why it goes out so").all():
        word.fill("The client has been told.")
    page.get_by_role("button", name="Freeze it as version 1: it goes out").click()
    expect(page.get_by_role("link", name="Version 1")).to_be_visible()
    page.goto(f"{job}/money")
    page.get_by_label("price of ply-23/32 4x8", exact=True).fill("99.00")
    page.keyboard.press("Enter")
    expect(page.locator("#slip-total")).not_to_have_text(sent)
    page.goto(f"{job}/record")
    expect(page.locator(".since")).to_contain_text("price of ply-23/32 4x8: 58.00")
    page.get_by_role("link", name="Version 1").click()
    expect(page.get_by_text("as it was sent")).to_contain_text(sent)
    expect(page.get_by_role("listitem").filter(has_text="invented price")).to_contain_text("The client has been told.")


LATE = """
const ask = window.fetch;
window.fetch = async (...what) => {
  const answer = await ask(...what);
  await new Promise((done) => setTimeout(done, 900));
  return answer;
};
"""


def test_an_undo_waits_for_what_is_being_saved(page: Page, desk: str) -> None:
    """The desk answers late: what is typed meanwhile is not told as saved, and an undo is no clash with oneself."""
    begin(page, desk, "In a hurry", SAMPLES / "small_sale.csv")
    priced(page)
    page.add_init_script(LATE)
    page.reload()
    settled(page)
    weight, title = cell(page, "weight", 1), cell(page, "title", 1)
    before, called = weight.input_value(), title.input_value()
    weight.fill("21 lb")
    weight.press("Tab")
    expect(page.locator("#slip.stale")).to_be_visible()
    expect(page.locator("#saved")).to_have_text("Saving …")
    title.press_sequentially("x")
    expect(page.locator("#slip:not(.stale)")).to_be_visible()
    expect(page.locator("#saved")).to_have_text("Saving …")
    page.locator("#step-undo").click()
    expect(title).to_have_value(called)
    expect(weight).to_have_value("21 lb")
    page.wait_for_load_state()
    weight.fill("22 lb")
    weight.press("Tab")
    expect(page.locator("#saved")).to_have_text("Saving …")
    page.locator("body").press("ControlOrMeta+z")
    expect(weight).to_have_value("21 lb")
    page.wait_for_load_state()
    page.locator("body").press("ControlOrMeta+z")
    expect(weight).to_have_value(before)

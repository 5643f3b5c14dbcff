"""Ways to pack: compared while one watches, taken together or one by one, taken back, and stopped on the word."""

import re
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Page, Route, expect

from tests.desk.conftest import SAMPLES
from tests.desk.test_search import hard_rows
from tests.desk.walk import LONG, begin, priced, settled

pytestmark = pytest.mark.browser


def compared(page: Page, job: str) -> None:
    """Compare the ways of a job and wait for the page to fill."""
    page.goto(f"{job}/crates")
    page.get_by_role("link", name="Compare every way to pack each piece").click()
    page.get_by_role("button", name="Compare all ways").click()
    expect(page.get_by_role("heading", name="The cheapest ways together")).to_be_visible(timeout=LONG)
    settled(page)


def test_the_cheapest_combination_is_taken_and_taken_back(page: Page, desk: str, tmp_path: Path) -> None:
    """Three works of an invented studio, one of them upright, which its rules gather though other crates cost less."""
    table = tmp_path / "three.csv"
    lines = [f"T-{n},{sides},1 1/2,30 lb,Hall" for n, sides in enumerate(("50,40", "40,50", "50,40"), start=1)]
    table.write_text("\n".join(["piece,width,height,depth,weight,destination", *lines]), encoding="utf-8")
    job = begin(page, desk, "Ways", table)
    before = settled(page)
    compared(page, job)
    expect(page.locator("#hunt-news")).to_contain_text("The ways to pack are compared.")
    one = page.get_by_role("region", name="Ways to pack T-1")
    expect(one.get_by_role("columnheader", name="travel frame now")).to_be_visible()
    expect(one.get_by_role("row", name=re.compile("how near hands come"))).to_contain_text("hands hold the edges only")
    expect(page.get_by_role("article", name="T-1")).to_contain_text("carton: cannot be made: no stocked carton")
    together = page.get_by_role("region", name="The cheapest ways together")
    best = together.get_by_role("row", name=re.compile("Cheapest combination found")).get_by_role("cell").first
    cheapest = f"USD {best.inner_text()}"
    assert cheapest != before
    # Everything can be reached and done by the keyboard.
    page.get_by_role("button", name="Use this combination").focus()
    page.keyboard.press("Enter")
    expect(page.locator("#slip-total")).to_have_text(cheapest)
    expect(page.get_by_text("The job is packed so now.")).to_be_visible()
    expect(page.get_by_role("button", name="Use this combination")).to_have_count(0)
    settled(page)
    page.get_by_role("button", name="Take back:").click()
    expect(page.locator("#slip-total")).to_have_text(before)
    expect(page.get_by_role("button", name="Use this combination")).to_be_visible()


def test_one_way_is_taken_and_two_tabs_are_offered_both(window: BrowserContext, desk: str) -> None:
    one = window.new_page()
    job = begin(one, desk, "One way", SAMPLES / "small_sale.csv")
    priced(one)
    compared(one, job)
    other = window.new_page()
    other.goto(f"{job}/ways")
    one.get_by_role("button", name="Use this way: S-01 as battened crate").click()
    expect(one.get_by_role("region", name="Ways to pack S-01").get_by_role("columnheader", name="now")).to_contain_text(
        "battened crate"
    )
    other.get_by_role("button", name="Use this way: S-02 as closed crate").click()
    expect(other.get_by_role("heading", name="Somebody else changed this meanwhile")).to_be_visible()
    expect(other.get_by_text("S-01 as battened crate")).to_be_visible()
    expect(other.get_by_text("S-02 as closed crate")).to_be_visible()
    other.get_by_role("button", name="Make my change on top of it").click()
    expect(other).to_have_url(f"{job}/ways#way-2")
    for piece, way in (("S-01", "battened crate"), ("S-02", "closed crate")):
        table = other.get_by_role("region", name=f"Ways to pack {piece}")
        expect(table.get_by_role("columnheader", name="now")).to_contain_text(way)


def test_a_comparison_reports_and_is_stopped(page: Page, desk: str) -> None:
    job = begin(page, desk, "Many ways")
    table = {"headings": ["piece", "title", "width", "height", "depth", "method"], "rows": hard_rows(12), "revision": 1}
    assert page.request.post(f"{job}/artworks", data=table, headers={"origin": desk, "accept": "application/json"}).ok
    page.goto(f"{job}/ways")
    page.get_by_label("other ways also where the table asks for one").check()
    page.get_by_role("button", name="Compare all ways").click()
    expect(page.locator("#going")).to_be_visible()
    expect(page.locator("#hunt-text")).to_contain_text(
        re.compile(r"Comparing ways to pack: \d+ whole orders priced"), timeout=LONG
    )
    # Other pages work meanwhile, and show how far it is.
    page.get_by_role("link", name="Money").click()
    expect(page.get_by_role("heading", name=re.compile("^Money "))).to_be_visible()
    expect(page.locator("#hunt-text")).to_contain_text("Comparing ways to pack")
    page.go_back()
    page.get_by_role("button", name="Stop, keep the best").click()
    expect(page.get_by_text("It was stopped early")).to_be_visible(timeout=LONG)
    expect(page.locator("#hunt-news")).to_contain_text("Stopped; what was compared is kept.")
    expect(page.get_by_role("button", name="Compare again")).to_be_visible()


def test_a_comparison_fits_a_phone(phone: BrowserContext, desk: str) -> None:
    page = phone.new_page()
    job = begin(page, desk, "Ways on a phone", SAMPLES / "small_sale.csv")
    priced(page)
    page.goto(f"{job}/ways")
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    compared(page, job)
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    # What a piece is called by its figures stays in sight when the table is moved sideways.
    table = page.get_by_role("region", name="Ways to pack S-01")
    table.evaluate("each => each.scrollTo(9999, 0)")
    label = table.get_by_role("rowheader", name="bears", exact=True)
    box, frame = label.bounding_box(), table.bounding_box()
    assert box is not None
    assert frame is not None
    assert box["x"] >= frame["x"] - 1


def test_the_end_of_another_search_does_not_hide_a_comparison(page: Page, desk: str) -> None:
    """News of one search that end while another begins: the page asks again, and fills."""
    job = begin(page, desk, "News that crossed", SAMPLES / "small_sale.csv")
    settled(page)
    held: list[Route] = []
    page.route("**/live", lambda route: held.append(route) if not held else route.continue_())

    def as_if_it_went_on(route: Route) -> None:
        text = route.fetch().text().replace('id="hunt" hidden', 'id="hunt"')
        if "data-live" not in text:
            text = text.replace('<div class="job" ', '<div class="job" data-live ', 1)
        route.fulfill(content_type="text/html", body=text)

    page.route("**/ways", as_if_it_went_on, times=1)
    with page.expect_request("**/live"):
        page.goto(f"{job}/ways")
    ended = page.request.get(f"{job}/live", headers={"accept": "text/event-stream"})
    assert "event: over" in ended.text()
    page.get_by_role("button", name="Compare all ways").click()
    expect(page.locator("#going")).to_be_visible()
    held[0].fulfill(content_type="text/event-stream", body=ended.text())
    expect(page.get_by_role("heading", name="The cheapest ways together")).to_be_visible(timeout=LONG)

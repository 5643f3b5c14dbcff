"""Ways to use the desk: the keyboard alone, a phone's width, and what a program finds wrong for people who need aid."""

import json
import re
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from tests.desk.conftest import SAMPLES
from tests.desk.walk import LONG, ROWS, begin, cell, priced, type_rows

pytestmark = pytest.mark.browser

AXE = Path(__file__).parent / "data" / "axe.min.js"
JOB_PAGES = (
    "artworks",
    "crates",
    "ways",
    "sheets",
    "saw",
    "money",
    "papers",
    "plan",
    "what-if",
    "what-if/text",
    "returns",
    "yard",
    "record",
)
DESK_PAGES = ("/", "/rack", "/prices", "/prices/history", "/parties", "/rules?group=frame", "/keep")


def test_a_quote_by_keyboard_alone(page: Page, desk: str) -> None:
    page.goto(desk)
    keys = page.keyboard

    def tab_to(name: str, most: int = 160) -> None:
        page.wait_for_load_state()  # a page that has still to come takes the focus away once more
        for _ in range(most):
            keys.press("Tab")
            found = page.evaluate(
                "(e => e.getAttribute('aria-label') || e.labels?.[0]?.innerText || e.innerText)(document.activeElement)"
            )
            if (found or "").strip().startswith(name):
                return
        raise AssertionError(f"no way by Tab to {name}")

    tab_to("New job")
    keys.type("By keyboard")
    keys.press("Enter")
    expect(page.get_by_role("heading", name="Artworks")).to_be_visible()
    tab_to("piece, row 1")
    for number, row in enumerate(ROWS, start=1):
        for text in row.values():
            keys.type(text)
            keys.press("Tab")
        if number < len(ROWS):
            cell(page, "weight", number).press("Enter")
            expect(cell(page, "weight", number + 1)).to_be_focused()
            keys.press("Home")
            for _ in range(len(row) - 1):
                keys.press("ArrowLeft")
            expect(cell(page, "piece", number + 1)).to_be_focused()
    keys.press("Tab")
    assert priced(page)
    expect(cell(page, "weight", 2)).to_have_value("33 lb")
    weight = ["33 lb"]
    while weight[-1]:  # what is typed slowly is saved in more than one step
        page.locator("body").press("ControlOrMeta+z")
        expect(cell(page, "weight", 2)).not_to_have_value(weight[-1])
        page.wait_for_load_state()
        weight.append(cell(page, "weight", 2).input_value())
        assert weight[-2].startswith(weight[-1])
    for typed in reversed(weight[:-1]):
        page.locator("body").press("ControlOrMeta+y")
        expect(cell(page, "weight", 2)).to_have_value(typed)
        page.wait_for_load_state()
    cell(page, "weight", 2).press("Escape")  # out of the table, which is a long way by Tab
    tab_to("Money")
    keys.press("Enter")
    expect(page.get_by_role("heading", name=re.compile("^Money "))).to_be_visible()
    tab_to("Overhead")
    keys.type("0.2")
    keys.press("Enter")
    expect(page.get_by_role("button", name="the shop's, for Overhead")).to_have_count(1)


def test_the_first_stop_leads_past_the_menu(page: Page, desk: str) -> None:
    page.goto(f"{desk}/rack")
    page.keyboard.press("Tab")
    expect(page.get_by_role("link", name="To the page")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator("#board")).to_be_focused()


def test_every_page_fits_a_phone(phone: BrowserContext, desk: str) -> None:
    page = phone.new_page()
    job = begin(page, desk, "On a phone", SAMPLES / "gallery_consignment.csv")
    priced(page)
    addresses = [f"{job}/{name}" for name in JOB_PAGES] + [f"{desk}{path}" for path in DESK_PAGES]
    for address in addresses:
        page.goto(address)
        page.wait_for_load_state("networkidle")
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), f"{address} is wider than a phone"
        assert page.evaluate("parseFloat(getComputedStyle(document.body).fontSize)") >= 14
        if (here := page.locator(".steps [aria-current]")).count():
            place = here.bounding_box()
            assert place is not None
            assert 0 <= place["x"] <= place["x"] + place["width"] <= 390, f"{address}: the menu does not show this page"
        small = page.evaluate(
            """[...document.querySelectorAll('#board button, #board input:not([type=radio]), .steps a')]
                .filter(e => e.getClientRects().length && !e.closest('.grid'))
                .map(e => [e.getBoundingClientRect().height, e.innerText]).filter(([h]) => h < 24)"""
        )
        # WCAG 2.2, 2.5.8: a target is at least 24 by 24 CSS pixels.
        assert not [text for height, text in small if height < 24 and text], address


def faults(page: Page) -> list[dict[str, Any]]:
    """Return what axe-core finds serious or worse; run in an isolated world, since the page lets no script in."""
    session = page.context.new_cdp_session(page)
    tree = session.send("Page.getFrameTree")
    world = session.send("Page.createIsolatedWorld", {"frameId": tree["frameTree"]["frame"]["id"], "worldName": "axe"})
    place = {"contextId": world["executionContextId"]}
    session.send("Runtime.evaluate", {"expression": AXE.read_text(encoding="utf-8") + ";0", **place})
    run = "axe.run({resultTypes: ['violations']}).then(found => JSON.stringify(found.violations))"
    answer = session.send("Runtime.evaluate", {"expression": run, "awaitPromise": True, "returnByValue": True, **place})
    found: list[dict[str, Any]] = json.loads(answer["result"]["value"])
    return [each for each in found if each["impact"] in ("serious", "critical")]


def told(found: list[dict[str, Any]]) -> str:
    return "\n".join(f"{each['id']}: {each['help']}: {[n['html'] for n in each['nodes']][:3]}" for each in found)


def test_axe_sees_a_fault_that_is_planted(page: Page, desk: str) -> None:
    page.goto(desk)
    page.evaluate("document.querySelector('#board').insertAdjacentHTML('beforeend', '<img src=\"/static/mark.svg\">')")
    assert [each["id"] for each in faults(page)] == ["image-alt"]


def test_axe_finds_no_serious_fault(page: Page, desk: str) -> None:
    job = begin(page, desk, "Looked at", SAMPLES / "small_sale.csv")
    priced(page)
    addresses = [f"{job}/{name}" for name in JOB_PAGES] + [f"{desk}{path}" for path in DESK_PAGES]
    addresses += [f"{job}/crates?piece=S-01&method=battened", f"{job}/yard?none=ply-3/8 4x8&instead=ply-15/32"]
    addresses += [f"{job}/crates/K1", f"{desk}/nowhere"]
    for address in addresses:
        page.goto(address)
        page.wait_for_load_state("networkidle")
        assert not told(faults(page)), address
    page.goto(f"{job}/ways")
    page.get_by_role("button", name="Compare all ways").click()
    expect(page.get_by_role("heading", name="The cheapest ways together")).to_be_visible(timeout=LONG)
    assert not told(faults(page))
    page.goto(f"{job}/what-if")
    page.get_by_label("Name", exact=True).fill("Small one crated")
    page.get_by_label("What differs").fill("S-02")
    page.get_by_label("would be").first.fill("closed")
    page.get_by_role("button", name="Add it").click()
    page.get_by_role("button", name="Quote it beside the job").click()
    expect(page.get_by_role("region", name="Scenarios side by side")).to_be_visible(timeout=LONG)
    assert not told(faults(page))


def test_axe_finds_no_serious_fault_in_a_table_with_faults(page: Page, desk: str) -> None:
    begin(page, desk, "Faults looked at")
    type_rows(page, [{**ROWS[0], "width": "thirty"}, {"piece": "A-02"}])
    expect(page.locator("td.wrong")).to_have_count(1)
    assert not told(faults(page))

"""The table of artworks: what stays in view, menus of rows and columns, choices, parties from the cell, the strip."""

from collections.abc import Sequence
from typing import Final

import pytest
from playwright.sync_api import Browser, Locator, Page, ViewportSize, expect

from tests.desk.conftest import DESKTOP, PHONE, opened
from tests.desk.running import Address
from tests.desk.test_ways_in import faults, told
from tests.desk.walk import begin, cell, fits, priced

pytestmark = pytest.mark.browser
HEADINGS: Final = (
    "piece", "title", "width", "height", "depth", "weight", "quantity", "method", "surface", "back", "poured", "price",
    "destination", "buyer", "notes",
)  # fmt: skip
LAPTOP: Final[ViewportSize] = {"width": 820, "height": 1100}
LONG_PLACE: Final = "Hillside Gallery at the Old Customs House"


def row(number: int, **other: str) -> list[str]:
    """Return a row of an invented job."""
    facts = {
        "piece": f"A-{number:02}", "title": "Harbour at dusk, second state", "width": "30 1/2", "height": "40",
        "depth": "1 1/2", "weight": "18 lb", "quantity": "1", "method": "auto", "surface": "paint", "back": "solid",
        "poured": "2026-11-24", "price": "1,200.00", "destination": LONG_PLACE, "buyer": "Ann Example", "notes": "",
    }  # fmt: skip
    return list({**facts, **other}.values())


def laid(page: Page, desk: str, name: str, rows: Sequence[list[str]], headings: Sequence[str] = HEADINGS) -> str:
    """Begin a job with rows, and show its table; return its address."""
    job = begin(page, desk, name)
    revision = int(page.locator(".job").get_attribute("data-revision") or 0)
    table = {"headings": list(headings), "rows": rows, "revision": revision}
    answer = page.request.post(f"{job}/artworks", data=table, headers={"origin": desk, "accept": "application/json"})
    assert answer.status == 200
    page.goto(f"{job}/artworks")
    page.wait_for_load_state()
    return job


def column(page: Page, name: str, count: int = 3) -> list[str]:
    """Return what the first cells of a column say."""
    return [cell(page, name, number + 1).input_value() for number in range(count)]


def open_menu(page: Page, number: int) -> Locator:
    """Open the menu of a row by its number."""
    page.get_by_role("button", name=f"Row {number}", exact=True).click()
    return page.get_by_role("menu", name=f"Row {number}")


def saved(page: Page, step: str) -> None:
    """Wait until a change is saved under its name."""
    expect(page.locator("#step-undo")).to_have_text(f"Take back: {step}, on Artworks")
    expect(page.locator("#saved")).to_have_text("All saved")


@pytest.mark.parametrize("viewport", [DESKTOP, LAPTOP, PHONE], ids=["desktop", "laptop", "phone"])
def test_name_and_head_stay_and_columns_are_as_wide_as_what_they_hold(
    chromium: Browser, desk: Address, viewport: ViewportSize
) -> None:
    for context in opened(chromium, viewport):
        page = context.new_page()
        laid(page, desk, f"Kept in view {viewport['width']}", [row(number) for number in range(1, 31)])
        frame = page.locator("#frame")
        frame.evaluate("frame => frame.scrollTo(420, 500)")
        box = frame.bounding_box()
        name = page.locator("#grid thead th.named").bounding_box()
        number = page.locator("#grid tbody tr").nth(16).locator("th").bounding_box()
        own = cell(page, "piece", 17).bounding_box()
        assert box
        assert name
        assert number
        assert own
        assert abs(name["y"] - box["y"]) < 3
        assert abs(number["x"] - box["x"]) < 3
        assert abs(own["x"] - number["x"] - number["width"]) < 3
        if viewport is not PHONE:
            for text in ("poured", "destination", "price"):
                assert cell(page, text, 1).evaluate("input => input.scrollWidth <= input.clientWidth"), text
        assert cell(page, "poured", 1).evaluate("input => input.scrollWidth <= input.clientWidth")
        fits(page)


def test_a_rows_menu_by_mouse_and_by_keys(page: Page, desk: Address) -> None:
    laid(page, desk, "Rows moved", [row(1), row(2, weight=""), row(3, weight="")])
    cell(page, "weight", 1).click()
    open_menu(page, 1).get_by_role("menuitem", name="Fill weight down, blank cells").click()
    saved(page, "weight filled down to 2 cells")
    assert column(page, "weight") == ["18 lb"] * 3
    # By keys alone: Shift F10 opens it, arrows go along it, Enter takes what is meant, and the cell is there again.
    cell(page, "title", 1).focus()
    page.keyboard.press("Shift+F10")
    expect(page.get_by_role("menuitem", name="Insert a row above")).to_be_focused()
    assert not told(faults(page))
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Enter")
    saved(page, "row 1 copied")
    expect(cell(page, "piece", 2)).to_be_focused()
    assert column(page, "piece", 4) == ["A-01", "A-04", "A-02", "A-03"]
    page.keyboard.press("Alt+Shift+ArrowUp")
    saved(page, "row 2 moved up")
    assert column(page, "piece") == ["A-04", "A-01", "A-02"]
    page.keyboard.press("Control+Delete")
    saved(page, "row 1 taken out")
    open_menu(page, 2).get_by_role("menuitem", name="Insert a row above").click()
    saved(page, "row 2 put in")
    assert column(page, "piece", 4) == ["A-01", "", "A-02", "A-03"]
    expect(cell(page, "piece", 2)).to_be_visible()
    page.keyboard.press("Control+d")
    expect(cell(page, "piece", 2)).to_have_value("A-01")
    expect(page.locator("#strip-count")).to_contain_text("cell to mend")
    page.locator("#step-undo").click()
    page.wait_for_load_state()
    open_menu(page, 1)
    page.keyboard.press("Escape")
    expect(page.get_by_role("menu", name="Row 1")).to_be_hidden()


def test_a_rows_menu_by_touch(chromium: Browser, desk: Address) -> None:
    context = chromium.new_context(viewport=PHONE, locale="en-US", has_touch=True, is_mobile=True)
    desk.admit(context)
    page = context.new_page()
    laid(page, desk, "Rows tapped", [row(1), row(2)])
    page.get_by_role("button", name="Row 2", exact=True).tap()
    page.get_by_role("menuitem", name="Move it up").tap()
    expect(cell(page, "piece", 1)).to_have_value("A-02")
    page.get_by_role("button", name="Column title").tap()
    expect(page.get_by_role("dialog", name="Column “title”")).to_be_visible()
    expect(page.locator("#saved")).to_have_text("All saved")
    context.close()


def test_a_heading_is_offered_as_what_it_means_and_columns_are_renamed_and_taken_out(page: Page, desk: Address) -> None:
    headings = ["piece", "width", "height", "depth", "Retail (EUR)", "Shelf"]
    rows = [["A-01", "30", "40", "1", "1,200", "bay 2"], ["A-02", "20", "20", "1", "900", "bay 3"]]
    job = laid(page, desk, "Retail", rows, headings)
    page.get_by_role("button", name="Read it as price").click()
    saved(page, "Retail (EUR) read as price")
    expect(page.locator("#offers li")).to_have_count(0)
    assert column(page, "price (EUR)", 2) == ["1,200", "900"]
    # A note is renamed; a heading is mapped by hand; a column is taken out, and comes back.
    page.get_by_role("button", name="Column Shelf").click()
    assert not told(faults(page))
    page.get_by_label("Heading", exact=True).fill("Bay")
    page.get_by_role("button", name="Save", exact=True).click()
    saved(page, "column Shelf called Bay")
    expect(page.get_by_role("button", name="Column Bay")).to_be_focused()
    page.keyboard.press("Enter")
    page.get_by_label("Reads as").select_option("notes")
    page.get_by_role("button", name="Save", exact=True).click()
    saved(page, "Bay read as notes")
    assert column(page, "notes", 2) == ["bay 2", "bay 3"]
    page.get_by_role("button", name="Column notes").click()
    page.get_by_role("button", name="Take it out").click()
    saved(page, "column notes taken out")
    expect(page.get_by_role("button", name="Column notes", exact=True)).to_have_count(0)
    page.locator("#step-undo").click()
    page.wait_for_load_state()
    assert column(page, "notes", 2) == ["bay 2", "bay 3"]
    page.goto(f"{job}/artworks")
    assert column(page, "price (EUR)", 2) == ["1,200", "900"]


def add_place(page: Page) -> None:
    """Add a place from a cell, as a party is added."""
    cell(page, "destination", 1).focus()
    page.keyboard.type("Harbour Gallery")
    page.keyboard.press("Alt+Enter")
    place = page.get_by_role("dialog", name="A new destination")
    expect(place.get_by_label("Destination", exact=True)).to_have_value("Harbour Gallery")
    place.get_by_label("Distance").fill("40 mi")
    place.get_by_role("button", name="Add destination").click()
    expect(place).to_be_hidden()
    expect(cell(page, "destination", 1)).to_have_value("Harbour Gallery")


def test_choices_and_a_party_opened_from_its_cell(page: Page, empty_desk: Address) -> None:
    laid(page, empty_desk, "Opened", [row(1, buyer="", method="", destination=""), row(2, buyer="", destination="")])
    cell(page, "method", 1).focus()
    page.keyboard.press("Alt+ArrowDown")
    expect(page.get_by_role("option", name="closed")).to_be_visible()
    priced(page)  # what is being worked out stands paler for that moment
    assert not told(faults(page))
    page.keyboard.press("Escape")
    page.keyboard.type("bat")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Enter")
    expect(cell(page, "method", 1)).to_have_value("battened")
    # A name that nobody has yet is typed and opened at once, before the cell was left: nothing of it is lost.
    cell(page, "buyer", 2).focus()
    page.keyboard.type("Ann Example")
    page.keyboard.press("Alt+Enter")
    dialog = page.get_by_role("dialog", name="A new party")
    expect(dialog).to_be_visible()
    priced(page)
    assert not told(faults(page))
    expect(dialog.get_by_label("Name", exact=True)).to_have_value("Ann Example")
    dialog.get_by_label("Commission").fill("much")
    dialog.get_by_label("Address").fill("1 Sample Street")
    dialog.get_by_role("button", name="Add party").click()
    expect(dialog.locator(".fault").first).to_be_visible()
    expect(dialog.get_by_label("Address")).to_have_value("1 Sample Street")
    dialog.get_by_label("Commission").fill("")
    dialog.get_by_role("button", name="Add party").click()
    expect(dialog).to_be_hidden()
    expect(cell(page, "buyer", 2)).to_be_focused()
    expect(cell(page, "buyer", 2)).to_have_value("Ann Example")
    expect(page.locator("#saved")).to_have_text("All saved")
    # It is offered in the next cell, and opened again it is changed as it is typed.
    cell(page, "buyer", 1).focus()
    page.keyboard.press("Alt+ArrowDown")
    page.get_by_role("option", name="Ann Example").click()
    page.keyboard.press("Alt+Enter")
    known = page.get_by_role("dialog", name="Ann Example")
    expect(known.get_by_label("Address")).to_have_value("1 Sample Street")
    known.get_by_label("Phone").fill("555 0100")
    known.get_by_label("Phone").press("Tab")
    expect(page.locator("#saved")).to_have_text("All saved")
    known.get_by_role("button", name="Back to the cell").click()
    expect(cell(page, "buyer", 1)).to_be_focused()
    add_place(page)
    assert priced(page)
    for address, text in (("/parties", "555 0100"), ("/rules", "Harbour Gallery")):
        assert text in page.request.get(f"{empty_desk}{address}").text()


def test_the_strip_leads_to_each_fault_and_rows_keep_their_height(page: Page, desk: Address) -> None:
    laid(page, desk, "Faulty rows", [row(1), row(2), row(3)])
    heights = "Array.from(document.querySelectorAll('#grid tbody tr'), row => row.getBoundingClientRect().height)"
    before = page.evaluate(heights)
    cell(page, "width", 1).fill("thirty")
    cell(page, "poured", 3).fill("some day")
    cell(page, "poured", 3).press("Enter")
    expect(page.locator("#strip-count")).to_have_text("2 cells to mend")
    assert page.evaluate(heights)[:3] == before[:3]
    page.get_by_role("button", name="To the next one").click()
    expect(cell(page, "width", 1)).to_be_focused()
    expect(page.locator("#tip")).to_contain_text("“thirty” cannot be read here.")
    page.get_by_role("button", name="To the next one").click()
    expect(cell(page, "poured", 3)).to_be_focused()
    page.get_by_role("link", name="Row 1, width").click()
    page.keyboard.type("30")
    page.keyboard.press("Enter")
    expect(page.locator("#strip-count")).to_have_text("1 cell to mend")

"""From an empty desk to the first quote: by typing, by pasting, from a dropped file, with a fault mended on the way."""

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from tests.desk.conftest import SAMPLES
from tests.desk.walk import ROWS, begin, cell, priced, settled, type_rows

pytestmark = pytest.mark.browser


def test_by_typing_on_an_empty_desk(page: Page, empty_desk: str) -> None:
    page.goto(empty_desk)
    expect(page.get_by_text("No job is at hand.")).to_be_visible()
    job = begin(page, empty_desk, "Spring show")
    type_rows(page)
    total = settled(page)
    expect(page.locator("#slip-lines")).to_contain_text("2 pieces")
    page.get_by_role("link", name="Money").click()
    expect(page.locator("#slip-total")).to_have_text(total)
    expect(page.locator("#page-total")).to_have_text(total.removeprefix("USD "))
    page.reload()
    expect(page.locator("#page-total")).to_have_text(total.removeprefix("USD "))
    page.goto(empty_desk)
    expect(page.get_by_role("listitem").filter(has_text="Spring show")).to_contain_text(total)
    assert job.endswith("/jobs/1")


def test_by_pasting_from_a_spreadsheet(page: Page, window: BrowserContext, desk: str) -> None:
    window.grant_permissions(["clipboard-read", "clipboard-write"], origin=desk)
    begin(page, desk, "Pasted")
    lines = ["\t".join(ROWS[0])] + ["\t".join(row.values()) for row in ROWS]
    page.evaluate("text => navigator.clipboard.writeText(text)", "\n".join(lines))
    cell(page, "piece", 1).click()
    page.keyboard.press("ControlOrMeta+v")
    priced(page)
    expect(cell(page, "title", 2)).to_have_value("Second")
    expect(page.locator("#slip-lines")).to_contain_text("2 pieces")
    # A second block, without a heading, goes where the cursor is.
    page.evaluate("text => navigator.clipboard.writeText(text)", "A-03\tThird\t20\t20\t1\t6 lb\n")
    cell(page, "piece", 3).click()
    page.keyboard.press("ControlOrMeta+v")
    expect(page.locator("#slip-lines")).to_contain_text("3 pieces")
    assert priced(page)
    expect(cell(page, "weight", 3)).to_have_value("6 lb")
    # A block with a heading goes to the columns that mean the same, wherever the cursor is in its row, or to new ones.
    block = "H\tD\tW\tShelf\tRef\n24\t1\t18\tbay 2\tA-04\n"
    page.evaluate("text => navigator.clipboard.writeText(text)", block)
    cell(page, "title", 4).click()
    page.keyboard.press("ControlOrMeta+v")
    expect(page.locator("#slip-lines")).to_contain_text("4 pieces")
    assert priced(page)
    placed = {"piece": "A-04", "title": "", "width": "18", "height": "24", "depth": "1", "Shelf": "bay 2"}
    for column, text in placed.items():
        expect(cell(page, column, 4)).to_have_value(text)


def test_from_a_dropped_workbook(page: Page, desk: str) -> None:
    begin(page, desk, "Dropped")
    data = (SAMPLES / "metric_pair.xlsx").read_bytes()
    carried = page.evaluate_handle(
        """bytes => {
            const carried = new DataTransfer();
            carried.items.add(new File([new Uint8Array(bytes)], "metric_pair.xlsx"));
            return carried;
        }""",
        list(data),
    )
    page.dispatch_event("#board", "dragover", {"dataTransfer": carried})
    page.dispatch_event("#board", "drop", {"dataTransfer": carried})
    page.wait_for_load_state()
    priced(page)
    expect(page.locator("#slip-lines")).to_contain_text("pieces")
    expect(page.locator("#grid tbody tr").first.locator("input").first).not_to_have_value("")


def test_a_fault_shows_at_its_cell_and_goes_when_mended(page: Page, desk: str) -> None:
    begin(page, desk, "Faulty")
    type_rows(page, [{**ROWS[0], "width": "thirty"}, ROWS[1]])
    field = cell(page, "width", 1)
    expect(field).to_have_attribute("aria-invalid", "true")
    expect(page.locator("td.wrong .why")).to_contain_text("“thirty” cannot be read here.")
    expect(page.locator("#slip-total")).to_have_text("–")
    page.get_by_role("link", name="Row 1, width").click()
    expect(field).to_be_focused()
    page.keyboard.type("2' 6\"")
    page.keyboard.press("Enter")
    assert priced(page)
    expect(field).not_to_have_attribute("aria-invalid", "true")
    expect(page.locator("td.wrong")).to_have_count(0)


def test_escape_brings_back_what_the_cell_held_when_it_was_entered(page: Page, desk: str) -> None:
    """And not what it held when the page was opened, which is long replaced by then."""
    job = begin(page, desk, "Escaped")
    type_rows(page)
    priced(page)
    field = cell(page, "title", 1)
    field.click()
    field.press("Escape")
    expect(field).to_have_value("First")
    field.press_sequentially("Thrown away")
    field.press("Escape")
    expect(field).to_have_value("First")
    expect(page.locator("#saved")).to_have_text("All saved")
    page.goto(f"{job}/artworks")
    expect(cell(page, "title", 1)).to_have_value("First")


def test_a_row_that_is_half_typed_is_only_hinted_at(page: Page, desk: str) -> None:
    begin(page, desk, "Half typed")
    type_rows(page, [{"piece": "A-01", "width": "30"}])
    expect(page.locator("td.blank")).to_have_count(2)
    expect(page.locator("td.wrong")).to_have_count(0)
    expect(page.locator("#slip-note")).to_have_text("2 things to mend")

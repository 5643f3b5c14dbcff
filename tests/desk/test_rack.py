"""The rack in a browser: what was taken off comes back, two tabs are offered both, the command's file is mended."""

from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from playwright.sync_api import BrowserContext, Page, ViewportSize, expect

from nesting.shop.shop_file import default_shop
from pricing.studio.rack import read_rack
from tests.desk.conftest import PHONE
from tests.desk.running import let_in, started
from tests.desk.test_ways_in import faults, told
from tests.desk.walk import begin, priced, type_rows

pytestmark = pytest.mark.browser


def put(page: Page, name: str, length: str = "40", place: str = "bay 1") -> None:
    """Put an offcut on the rack by typing."""
    form = page.locator("form").filter(has=page.get_by_role("heading", name="Put on the rack"))
    for label, text in (("length", length), ("width (sheets)", "36"), ("place", place), ("name", name)):
        form.get_by_label(label).fill(text)
    form.get_by_role("button", name="Put it there").click()
    expect(page.get_by_role("row", name=name)).to_be_visible()
    expect(form.get_by_label("name")).to_have_value("")


def test_an_offcut_that_was_taken_off_comes_back_after_a_restart(page: Page, tmp_path: Path) -> None:
    with started(tmp_path / "data") as desk:
        page.goto(f"{desk}/rack")
        put(page, "R-1")
        put(page, "R-2", "20")
        page.get_by_label("place of R-2").fill("bay 5")
        page.get_by_label("length, along the grain").fill("77")
        page.get_by_role("button", name="Gone: R-1").click()
        expect(page.get_by_role("row", name="R-1")).to_have_count(0)
        expect(page.get_by_text("Latest change: R-1 taken off the list")).to_be_visible()
        expect(page.get_by_label("place of R-2")).to_have_value("bay 5")
        expect(page.get_by_label("length, along the grain")).to_have_value("77")
    with started(tmp_path / "data") as desk:
        page.goto(f"{desk}/rack")
        expect(page.get_by_role("row", name="R-1")).to_have_count(0)
        page.get_by_role("button", name="Take back:").click()
        expect(page.get_by_label("place of R-1")).to_have_value("bay 1")
        page.get_by_role("button", name="Do again:").click()
        expect(page.get_by_role("row", name="R-1")).to_have_count(0)
        page.get_by_text("Taken off the list: 1").click()
        page.get_by_role("button", name="Put R-1 back").click()
        expect(page.get_by_label("place of R-1")).to_have_value("bay 1")


def test_two_tabs_on_one_offcut(window: BrowserContext, empty_desk: str) -> None:
    one = window.new_page()
    one.goto(f"{empty_desk}/rack")
    put(one, "R-1")
    put(one, "R-2", "20")
    other = window.new_page()
    other.goto(f"{empty_desk}/rack")
    one.get_by_label("place of R-1").fill("bay 7")
    one.get_by_label("place of R-1").press("Enter")
    expect(one.get_by_text("Latest change: R-1: place bay 1 → bay 7")).to_be_visible()
    # A change of another offcut is no matter.
    other.get_by_label("place of R-2").fill("bay 3")
    other.get_by_label("place of R-2").press("Enter")
    expect(other.get_by_text("Latest change: R-2: place bay 1 → bay 3")).to_be_visible()
    one.get_by_label("place of R-2").fill("bay 4")
    one.get_by_label("place of R-2").press("Enter")
    clash = one.get_by_role("dialog", name="Somebody else changed this rack")
    expect(clash.locator("#clash-theirs")).to_have_text("R-2: place: bay 1 → bay 3")
    expect(clash.locator("#clash-mine")).to_have_text("R-2: place: bay 1 → bay 4")
    clash.get_by_role("button", name="Put mine in place of it").click()
    expect(one.get_by_text("Latest change: R-2: place bay 3 → bay 4")).to_be_visible()
    other.get_by_label("count of R-2").fill("4")
    other.get_by_label("count of R-2").press("Tab")
    clash = other.get_by_role("dialog", name="Somebody else changed this rack")
    expect(clash.locator("#clash-theirs")).to_have_text("R-2: place: bay 3 → bay 4")
    clash.get_by_role("button", name="Show theirs, drop mine").click()
    expect(other.get_by_label("place of R-2")).to_have_value("bay 4")
    expect(other.get_by_label("count of R-2")).to_have_value("1")
    expect(other.locator("#saved")).to_have_text("All saved")


def test_two_tabs_without_a_script(chromium: Any, empty_desk: str) -> None:
    with chromium.new_context(java_script_enabled=False) as window:
        let_in(window)
        one = window.new_page()
        one.goto(f"{empty_desk}/rack")
        put(one, "R-1")
        other = window.new_page()
        other.goto(f"{empty_desk}/rack")
        one.get_by_label("place of R-1").fill("bay 7")
        one.get_by_role("button", name="Save R-1").click()
        other.get_by_label("count of R-1").fill("4")
        other.get_by_role("button", name="Save R-1").click()
        expect(other.get_by_role("heading", name="Somebody else changed this meanwhile")).to_be_visible()
        expect(other.locator("main")).to_contain_text("R-1: place: bay 1 → bay 7")
        other.get_by_role("button", name="Make my change on top of it").click()
        expect(other.get_by_label("place of R-1")).to_have_value("bay 7")
        expect(other.get_by_label("count of R-1")).to_have_value("4")


def test_the_commands_file_is_pasted_mended_taken_along_and_dropped(
    page: Page, empty_desk: str, tmp_path: Path
) -> None:
    page.goto(f"{empty_desk}/rack")
    page.get_by_text("Read such a file, or paste its rows").click()
    rows = "name\tgood\tlength\twidth\tcount\tplace\nR-1\tply-3/8\tforty\t36\t2\tbay 1\nR-2\tply-9/9\t20\t20\t1\t\n"
    page.get_by_label("Rows with their heading").fill(rows)
    page.get_by_role("button", name="Read it").click()
    expect(page.get_by_role("heading", name="To mend in rack.csv")).to_be_visible()
    expect(page.get_by_role("row", name="2 R-1")).to_contain_text('column length: found "forty"')
    expect(page.get_by_role("row", name="3 R-2")).to_contain_text("ply-9/9")
    assert not told(faults(page))
    page.set_viewport_size(PHONE)
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    page.get_by_label("Rows with their heading").fill(rows.replace("forty", "40").replace("ply-9/9", "ply-3/8"))
    page.get_by_role("button", name="Read it").click()
    expect(page.get_by_text("Latest change: read from rack.csv: 2 new, 0 changed, 0 taken off")).to_be_visible()
    with page.expect_download() as coming:
        page.get_by_role("link", name="Take rack.csv along").click()
    coming.value.save_as(tmp_path / "rack.csv")
    rack = read_rack(tmp_path / "rack.csv", default_shop(), "USD")
    assert [(each.name, each.count, each.place) for each in rack.offcuts] == [("R-1", 2, "bay 1"), ("R-2", 1, "")]
    page.get_by_role("button", name="Take back:").click()
    expect(page.get_by_text("The rack is empty.")).to_be_visible()
    page.get_by_text("Read such a file, or paste its rows").click()
    page.get_by_label("or a file").set_input_files(tmp_path / "rack.csv")
    page.get_by_role("button", name="Read it").click()
    expect(page.get_by_label("count of R-1")).to_have_value("2")
    page.wait_for_load_state()


def test_a_photo_that_was_taken_out_comes_back(page: Page, desk: str, tmp_path: Path) -> None:
    begin(page, desk, "Photos")
    type_rows(page)
    priced(page)
    page.reload()
    Image.new("RGB", (300, 200), "navy").save(tmp_path / "photo.jpg")
    shown = page.get_by_role("img", name="A-01")
    page.locator("li").filter(has_text="A-01").get_by_label("A-01").set_input_files(tmp_path / "photo.jpg")
    expect(shown).to_be_visible()
    page.get_by_role("button", name="Take it out").click()
    expect(shown).to_have_count(0)
    page.get_by_role("button", name="Take back:").click()
    expect(shown).to_be_visible()
    assert shown.evaluate("image => image.decode().then(() => image.naturalWidth)") == 300


def test_the_rack_with_much_on_it_is_for_everybody(phone: BrowserContext, empty_desk: str) -> None:
    page = phone.new_page()
    page.goto(f"{empty_desk}/rack")
    put(page, "R-1", place="<script>document.title = 'taken over'</script>")
    put(page, "R-2", "20")
    page.get_by_role("button", name="Gone: R-2").click()
    expect(page.get_by_role("row", name="R-2")).to_have_count(0)
    for size in (PHONE, ViewportSize(width=1280, height=850)):
        page.set_viewport_size(size)
        page.get_by_text("Read such a file, or paste its rows").click()
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
        assert not told(faults(page))
    assert page.title() == "Rack"

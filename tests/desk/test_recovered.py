"""A damaged store, brought back from a backup by somebody who has nothing to go by but the page that says so."""

from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from pricing.store import Store
from pricing.store.folder import ASIDE, FILE
from tests.desk.conftest import DESKTOP
from tests.desk.running import started
from tests.desk.walk import PATIENCE

pytestmark = pytest.mark.browser


@pytest.fixture
def plain(chromium: Browser) -> Iterator[Page]:
    """Open a window of its own: the browser complains of the status 503 that the page is sent with."""
    with chromium.new_context(viewport=DESKTOP, locale="en-US") as window:
        window.set_default_timeout(PATIENCE)
        yield window.new_page()


def test_a_backup_is_brought_back_with_no_help_but_the_page(plain: Page, tmp_path: Path) -> None:
    page = plain
    folder = tmp_path / "data"
    with closing(Store(folder)) as store:
        store.jobs.add("Spring show")
        store.database.back_up("daily")
        store.jobs.add("Begun after the backup")
    store_file = folder / FILE
    damaged = b"\x07" * store_file.stat().st_size
    store_file.write_bytes(damaged)
    with started(folder) as desk:
        assert "damaged" in desk.line
        page.goto(f"{desk}/?key={desk.key}")  # the address that the command told
        expect(page.get_by_role("heading", name="The desk cannot use its store")).to_be_visible()
        expect(page.get_by_role("alert")).to_contain_text("damaged")
        expect(page.get_by_role("main")).to_contain_text("1 job")
        page.goto(f"{desk}/rack")  # whichever page was open before
        page.get_by_role("button", name="Bring it back", exact=True).click()
        expect(page.get_by_role("main")).to_contain_text("backup")
        page.wait_for_load_state()
        page.get_by_role("link", name="Casewright").first.click()
        expect(page.get_by_role("link", name="Spring show")).to_be_visible()
        expect(page.get_by_text("Begun after the backup")).to_have_count(0)
        page.get_by_label("New job").fill("Goes on")
        page.get_by_role("button", name="Begin").click()
        expect(page.get_by_role("heading", name="Artworks")).to_be_visible()
    assert damaged in [each.read_bytes() for each in (folder / ASIDE).rglob("*") if each.is_file()]
    with closing(Store(folder)) as store:
        assert {job.name for job in store.jobs.find()} == {"Spring show", "Goes on"}

"""What three jobs took becomes a rate by hand: put under its operation, taken, seen in the shop, taken back."""

import json
import re
from collections.abc import Iterator
from contextlib import closing
from datetime import date
from decimal import Decimal

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from pricing.desk.content import Content
from pricing.output.tables import quote_document
from pricing.quoting.quote import quote
from pricing.store import Store
from pricing.store.pins import Pinning
from pricing.store.took import Noting
from pricing.studio.office import Office
from tests.desk.running import started
from tests.desk.test_ways_in import faults, told
from tests.desk.walk import fits
from tests.pricing.builds import small_build

pytestmark = pytest.mark.browser
ON = date(2026, 11, 1)


@pytest.fixture(scope="module")
def past(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Address of a desk with three jobs that were delivered; of one the hours were typed in words of its own."""
    folder = tmp_path_factory.mktemp("past")
    made = json.dumps(quote_document(quote(small_build(), Office(), on=ON)))
    with closing(Store(folder)) as store:
        for name, hours, under in (("Spring show", 2, "screw"), ("Pier hall", 3, "screw"), ("Autumn fair", 4, "other")):
            job = store.jobs.add(name)
            store.pins.pin(job, Pinning("accepted", ON, 0, Content().text(), None, made), "test", based_on=0)
            store.jobs.stand(job, "delivered", ON)
            store.took.add(job, Noting("hours", ON, "two of us, screws", Decimal(hours), under=under))
    with started(folder) as address:
        yield address


def test_what_jobs_took_is_taken_by_hand_and_taken_back(page: Page, past: str) -> None:
    page.goto(f"{past}/learned")
    row = page.locator("tr", has_text="Screws driven")
    expect(row).to_contain_text("suggested from 3 jobs on")
    page.get_by_role("link", name="Autumn fair").click()
    entry = page.locator("#noted-3")
    entry.get_by_label("under").select_option(label="Screws driven")
    entry.get_by_role("button", name="Put it there").click()
    expect(entry).to_contain_text("4 h, Screws driven (typed: two of us, screws)")
    page.get_by_role("link", name="what jobs say of the rates").click()
    before = row.locator("td").first.inner_text()
    wanted = row.locator("strong").inner_text()
    assert before != wanted
    row.get_by_text("3 jobs").click()
    expect(row.locator("li")).to_have_count(3)
    row.get_by_role("button", name="Take it").click()
    expect(row).to_contain_text("as it stands")
    expect(row.locator("td").first).to_have_text(wanted)
    page.goto(f"{past}/rules?q=labour+screw")
    expect(page.locator('[id="r-labour.screw"]')).to_have_value(wanted.removesuffix(" min"))
    page.goto(f"{past}/learned")
    page.get_by_role("button", name="Take back: Screws driven").click()
    expect(row.locator("td").first).to_have_text(before)
    expect(page.locator(".stepped")).to_have_text(re.compile("Taken back: Screws driven.* on Learnt from jobs"))


def test_on_a_phone_the_suggestion_and_its_button_stand_within_the_page(phone: BrowserContext, past: str) -> None:
    page = phone.new_page()
    page.goto(f"{past}/learned")
    fits(page)
    take = page.locator("tr", has_text="Screws driven").get_by_role("button", name="Take it")
    expect(take).to_be_in_viewport(ratio=1)
    assert not told(faults(page))
    page.goto(f"{past}/jobs/3/record")
    fits(page)
    assert not told(faults(page))

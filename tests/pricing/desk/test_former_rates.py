"""A data folder that was begun before rates had a form goes on with those of then, until the studio takes today's."""

import html
import re
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import httpx
import pytest

from nesting.base.measure import INCH
from nesting.shop.shop_file import default_shop
from pricing.desk.content import Content
from pricing.desk.desk import Desk
from pricing.desk.studio import Rulings, for_job
from pricing.store import Store
from pricing.store.database import Database
from pricing.store.schema import MIGRATIONS
from pricing.studio.office import office_texts
from pricing.studio.rates_file import default_rates, former_rates
from tests.pricing.desk.conftest import served
from tests.pricing.desk.orders import DAY
from tests.pricing.desk.test_pages import begin


@pytest.fixture
def old(tmp_path: Path) -> Iterator[Desk]:
    """Open a desk on a folder that 0.2.0 left with one job and no rates of its own."""
    with closing(Database(tmp_path, migrations=MIGRATIONS[:8])) as database, database.writing() as link:
        link.execute("INSERT INTO jobs (name, created, changed) VALUES ('Old job', 'a', 'b')")
    made = Desk(Store(tmp_path), today=lambda: DAY, patience=60.0, effort="quick")
    yield made
    made.close()


def money_page(client: httpx.Client, job: int) -> str:
    page = client.get(f"/jobs/{job}/money").text
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", page)).split())


def test_an_old_folder_goes_on_with_its_rates_until_todays_are_taken_and_back(old: Desk) -> None:
    assert old.papers.rates == former_rates()
    with served(old) as client:
        client.headers["origin"] = str(client.base_url).rstrip("/")
        job = begin(client)
        page = money_page(client, job)
        assert "Materials are charged as bought; by use it would be USD" in page
        assert page.count("begun with") == 1
        files = [("a", ("rates.toml", office_texts()["rates.toml"]))]
        assert client.post("/rules/files", files=files).status_code == 303
        assert old.papers.rates == default_rates()
        assert "begun with" not in money_page(client, job)
        old.store.documents.undo("rules", based_on=1)
        assert old.papers.rates == former_rates()


def test_frames_of_an_old_folder_are_as_large_as_was_typed_there(old: Desk, tmp_path: Path) -> None:
    """Typed on the desk it means what it means in a file of then; a folder of today, and who types both, says so."""
    old.papers.save("rules", Rulings(rules={"frame.larger_by": "6 in"}).text(), based_on=0, what="as of before")
    assert (old.papers.shop.frame.larger_by, old.papers.shop.frame.smaller_by) == (6 * INCH, 0)
    both = {"frame.larger_by": "6 in", "frame.smaller_by": "1 in"}
    old.papers.save("rules", Rulings(rules=both).text(), based_on=1, what="both")
    assert old.papers.shop.frame.smaller_by == INCH
    old.papers.save("rules", Rulings().text(), based_on=2, what="none")
    job = for_job(old.papers.office(), Content(rules={"frame.larger_by": "6 in"}))
    assert job.shop.frame.smaller_by == 0
    with closing(Desk(Store(tmp_path / "today"), today=lambda: DAY, patience=60.0, effort="quick")) as today:
        today.papers.save("rules", Rulings(rules={"frame.larger_by": "6 in"}).text(), based_on=0, what="today")
        assert today.papers.shop.frame.smaller_by == default_shop().frame.smaller_by > 0


def test_a_rule_of_an_old_folder_is_changed_over_the_rates_of_then(old: Desk) -> None:
    with served(old) as client:
        client.headers["origin"] = str(client.base_url).rstrip("/")
        form = {"rule": "price.charge", "value": "used", "revision": "0"}
        assert client.post("/rules", data=form).status_code == 303
        assert old.papers.rates.price.charge == "used"
        assert old.papers.rates.labour == former_rates().labour
        client.post("/rules", data={"rule": "price.charge", "value": "", "revision": "1"})
        assert old.papers.rates == former_rates()


def test_a_new_folder_charges_by_use_and_says_what_the_other_rules_would_give(client: httpx.Client, desk: Desk) -> None:
    assert desk.papers.rates == default_rates()
    page = money_page(client, begin(client))
    assert re.search(r"Materials are charged by use.*; as bought it would be USD [\d,.]+, by area USD [\d,.]+\.", page)
    assert "begun with" not in page

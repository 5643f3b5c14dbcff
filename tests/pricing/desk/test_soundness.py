"""What comes in from an archive is decoded document by document before it stands in for anything."""

import json
import time
from contextlib import closing
from pathlib import Path

import httpx
import pytest

from pricing.desk.content import Content
from pricing.desk.desk import Desk
from pricing.desk.soundness import unsound
from pricing.desk.studio import Rulings
from pricing.store import Store
from pricing.store.folder import PASSING
from tests.pricing.made_by_0_1_0 import PLACE, data_folder
from tests.pricing.store.archives import exported

GOOD = Content(rows=(("A-01", "Ebb"),)).text()
BROKEN = json.dumps({"units": "inch", "headings": ["piece"]})


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("job:1", BROKEN, ["job:1, revision 2: no job that can be read"]),
        ("job:1", "[]", ["job:1, revision 2: no job that can be read"]),
        ("job:1", Content(photos={"A-01": 7}).text(), ["job:1, revision 2: picture 7 is missing"]),
        ("job:1", Content(photos={"A-01": 1}).text(), []),
        # Found by fuzzing: a number without end is none that a seed can be.
        ("job:1", GOOD.replace('"seed":0', '"seed":Infinity'), ["job:1, revision 2: no job that can be read"]),
        ("cut:1", '{"pins": 4}', ["cut:1, revision 1: no list of what is pinned and sawn that can be read"]),
        ("prices", "{", ["prices, revision 1: no price book that can be read"]),
        ("rules", '{"is": "Another"', ["rules, revision 1: no list of rules that can be read"]),
        ("rules", Rulings(logo=9).text(), ["rules, revision 1: picture 9 is missing"]),
        ("rules", Rulings(logo=1).text(), []),
        ("rack", "[]", ["rack, revision 1: no rack that can be read"]),
        ("destinations", "a person's own text, which the page Shop reads", []),
        ("of a later program", "{", []),
    ],
)
def test_each_document_is_read_as_its_page_would(tmp_path: Path, name: str, content: str, said: list[str]) -> None:
    with closing(Store(tmp_path)) as store:
        job = store.jobs.add("Job")
        store.jobs.keep_picture(b"jpeg")
        store.documents.save(f"job:{job}", GOOD, based_on=0, what="begun")
        store.documents.save(name, content, based_on=store.documents.get(name).revision, what="changed")
    assert list(unsound(tmp_path)) == said


def test_all_that_0_1_0_left_is_sound(tmp_path: Path) -> None:
    assert list(unsound(data_folder(tmp_path / "data"))) == []


def test_an_archive_with_a_broken_document_is_refused_by_its_name(
    client: httpx.Client, desk: Desk, tmp_path: Path
) -> None:
    client.post("/jobs", data={"name": "Job"})
    with closing(Store(tmp_path / "other")) as other:
        other.documents.save(f"job:{other.jobs.add('Broken')}", BROKEN, based_on=0, what="begun")
        archive = exported(other.database)
    answer = client.post("/keep", data={"sure": "yes"}, files={"file": ("a.zip", archive)})
    assert answer.status_code == 422
    assert "job:1, revision 1: no job that can be read; nothing was changed" in answer.text
    assert desk.store.jobs.count() == 1
    assert list((desk.store.folder / PASSING).iterdir()) == [], "nothing is left of the attempt"


def test_an_archive_of_before_comes_in_with_one_remark(client: httpx.Client) -> None:
    files = {"file": ("archive.zip", (PLACE / "archive.zip").read_bytes())}
    answer = client.post("/keep", data={"sure": "yes"}, files=files)
    assert answer.headers["location"] == "/keep?read=former"
    page = client.get("/keep?read=former").text
    assert page.count('class="doubts"') == 1
    assert "had no manifest" in page


def test_an_archive_leaves_no_file_behind(client: httpx.Client, desk: Desk) -> None:
    client.post("/jobs", data={"name": "Job"})
    answer = client.get("/keep/everything.zip")
    assert answer.content.startswith(b"PK")
    assert 'filename="casewright-desk-' in answer.headers["content-disposition"]
    end = time.monotonic() + 5
    while list((desk.store.folder / PASSING).iterdir()):  # it goes after the last byte went out
        assert time.monotonic() < end
        time.sleep(0.01)

"""The studio's logo on the desk: looked at before it is taken, shown on offers, taken out, with a way back."""

from io import BytesIO

import httpx
import pdfplumber
import pytest
from PIL import Image

from pricing.desk.desk import Desk
from pricing.store.store import Store
from tests.pricing.desk.orders import HEADINGS, ROWS
from tests.pricing.desk.test_parties import begin_with
from tests.pricing.store.archives import exported, restored


def picture(kind: str, size: tuple[int, int] = (900, 300), mode: str = "RGBA") -> bytes:
    out = BytesIO()
    Image.new(mode, size, "teal").save(out, kind)
    return out.getvalue()


def send(client: httpx.Client, data: bytes, revision: int, **fields: str) -> httpx.Response:
    files = {"logo": ("logo.png", data, "image/png")}
    return client.post("/rules/logo", data={"revision": str(revision), **fields}, files=files)


def images(client: httpx.Client, job: int) -> int:
    with pdfplumber.open(BytesIO(client.get(f"/jobs/{job}/client/1/offer.pdf").content)) as found:
        return len(found.pages[0].images)


def test_a_logo_stands_on_offers_until_it_is_taken_out(
    client: httpx.Client, desk: Desk, tmp_path_factory: pytest.TempPathFactory
) -> None:
    job = begin_with(client, [list(HEADINGS), list(ROWS[0])])
    assert images(client, job) == 0
    assert client.get("/rules/logo").status_code == 404
    assert send(client, picture("PNG"), 0).headers["location"] == "/rules#studio"
    shown = client.get("/rules/logo")
    assert shown.headers["content-type"] == "image/png"
    with Image.open(BytesIO(shown.content)) as kept:
        assert kept.size == (600, 200)
    assert images(client, job) == 1
    other = Store(tmp_path_factory.mktemp("other"))
    restored(other.database, exported(desk.store.database))
    assert other.jobs.picture(desk.papers.rulings.logo) == shown.content, "it goes along with everything"
    other.close()
    assert send(client, picture("JPEG", mode="RGB"), 0).status_code == 409, "somebody else saved meanwhile"
    assert send(client, b"", 1, remove="1").status_code == 303
    assert images(client, job) == 0
    assert client.post("/rules/step", data={"way": "undo", "revision": "2", "paper": "rules"}).status_code == 303
    assert images(client, job) == 1


@pytest.mark.parametrize(
    ("data", "found"),
    [
        (b"", "found no file"),
        (b"%PDF-1.4 no picture", "found a file that is no picture"),
        (picture("GIF", mode="P"), "found a file that is no picture"),
        (picture("PNG")[:200], "found a file that is no picture"),
        (picture("PNG", (1, 1)) + b"\0" * 10_000_001, "found a file of 10 MB"),
    ],
)
def test_what_is_no_logo_is_refused_and_nothing_kept(client: httpx.Client, desk: Desk, data: bytes, found: str) -> None:
    answer = send(client, data, 0)
    assert answer.status_code == 422
    assert f"logo: {found}" in answer.text
    assert "accepted: a PNG or JPEG, 10 MB and 80 million points at the most" in answer.text
    assert desk.papers.document("rules").revision == 0
    assert not desk.store.database.rows("SELECT 1 FROM pictures")


def test_a_picture_of_too_many_points_is_told_before_it_is_unpacked(client: httpx.Client) -> None:
    """9,000 x 9,000 points of one colour: small as a file, 243 MB as it is shown."""
    answer = send(client, picture("PNG", (9_000, 9_000), "1"), 0)
    assert answer.status_code == 422
    assert "found a picture of more than 80 million points" in answer.text

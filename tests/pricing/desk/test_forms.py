"""Every form of every page is typed or a deed: what shows what is saved saves as it is typed over."""

import re
from typing import Final

import httpx
import pytest

from pricing.desk.typed_back import read_forms
from tests.pricing.desk.orders import HEADINGS, ROWS

JSON: Final = {"accept": "application/json"}
PAGES: Final = (
    "/", "/prices", "/prices/history", "/rules?all=1", "/parties", "/rack", "/keep", "/learned",
    *(f"/jobs/1/{name}" for name in (
        "artworks", "crates", "sheets", "saw", "money", "client", "papers", "plan", "yard", "record", "ways", "what-if",
        "what-if/text", "returns",
    )),
)  # fmt: skip
DEEDS: Final = {
    "/prices/size": "adds a size", "/rules/currency": "adds a currency", "/rules/place": "adds a destination",
    "/parties": "adds a party", "/rack": "puts an offcut on the rack", "/rack/shelf": "puts a box on the shelf",
    "/rack/file": "reads a file", "/jobs": "begins a job", "/jobs/1/put": "puts offcuts on the rack",
    "/jobs/1/client": "sends an offer", "/jobs/1/client/sent": "marks it as sent",
    "/jobs/1/client/named": "writes into the artworks who buys or sells", "/jobs/1/send": "sends a quote",
    "/jobs/1/stand": "notes where it stands", "/jobs/1/took": "notes hours or a receipt",
    "/jobs/1/took/put": "puts what was noted under another heading",
    "/jobs/1/ways": "begins a comparison", "/jobs/1/what-if/add": "adds a scenario",
}  # fmt: skip
"""Forms whose fields hold what is proposed, such as today, and not what is saved, by where they go."""
BUTTONLESS: Final = ("file", "radio", "checkbox", "hidden")


@pytest.fixture
def full(client: httpx.Client) -> httpx.Client:
    """Return a client of a desk that has something of everything."""

    def post(path: str, /, **fields: object) -> None:
        answer = client.post(path, data={name.replace("__", " "): str(value) for name, value in fields.items()})
        assert answer.status_code == 303, answer.text

    post("/jobs", name="Forms")
    table = {"headings": [*HEADINGS, "price"], "rows": [[*row, "900"] for row in ROWS], "revision": 1}
    assert client.post("/jobs/1/artworks", json=table, headers=JSON).status_code == 200
    post("/rack", good="ply-3/8", length="40", width="20", count=2)
    post("/parties", old="", party="Pier Hall", revision=0)
    no = dict.fromkeys(("dock", "forklift", "residential", "inside", "limited__access"), "no")
    post("/rules/place", old="", destination="Quay", revision=0, **no)
    post("/rules/currency", currency="EUR", rate="0.9", day="2026-11-01", source="bank", revision=0)
    post("/jobs/1/took", kind="hours", amount=2, under="bench", on="2026-11-01")
    post("/jobs/1/took", kind="receipt", amount=20, what="mill", under="sheets", on="2026-11-01")
    return client


def test_every_form_is_typed_or_a_deed(full: httpx.Client) -> None:
    typed, wrong = set(), []
    for page in PAGES:
        answer = full.get(page)
        assert answer.status_code == 200, page
        assert answer.text.count('id="saved"') == 1, f"{page}: the one mark"
        assert re.search(r'<p class="saved" id="saved"[^>]*>All saved</p>\s*<p class="paper-head">', answer.text), page
        for form in read_forms(answer.text):
            if form.attributes.get("method") != "post":
                continue
            where = (form.attributes.get("action") or "").partition("#")[0]
            shows = [
                each for each in form.controls
                if each.attributes.get("type") not in BUTTONLESS
                and (each.attributes.get("value") or each.tag != "input")
            ]  # fmt: skip
            sends = any("data-send" in each.attributes for each in form.controls)
            if "data-typed" in form.attributes:
                typed.add(where)
            elif shows and not sends and where not in DEEDS:
                wrong.append(f"{page}: {where}")
    assert not wrong
    assert typed >= {
        "/prices/row",
        "/rules",
        "/rules/currency",
        "/rules/place",
        "/parties",
        "/rack/change",
        "/jobs/1/name",
    }

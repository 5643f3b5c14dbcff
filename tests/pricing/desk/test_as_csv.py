"""Tables as CSV: what stands on a page, numbers as numbers, nothing that a spreadsheet takes for a formula."""

import csv
import io
import re
from html import unescape

import httpx

from pricing.desk.as_csv import table_csv
from tests.pricing.desk.orders import HEADINGS, ROWS

PAGE = """<p>before</p><table data-table="other"><tbody><tr><td>no</td></tr></tbody></table>
<table class="sums" data-table="costs" data-group="kind"><thead><tr><th>what</th><th>+/−</th><th>each</th>
<th class="keeping">keep</th><th><span class="unseen">out</span></th></tr></thead>
<tbody><tr class="part"><th colspan="4">sheets</th><td>1,234.50</td></tr>
<tr><th>=A1 &amp; <b>more</b></th><td>− 1,234.50</td><td><form><input type="hidden" name="a" value="no">
<input value="58.00"></form><button>Take</button></td><td><button>Keep</button></td><td>no</td></tr></tbody>
<tbody><tr class="part"><th colspan="4">rolls</th><td>0.00</td></tr>
<tr><th>007<br>two</th><td data-value="2026-04-24">24 April 2026</td><td><select><option>a</option>
<option selected>b b</option></select></td><td></td><td></td></tr><tr><td colspan="2">across</td><td>12.5 %</td></tr>
<tr class="all"><th colspan="4">All</th><td>9</td></tr></tbody></table>"""


def test_a_table_says_what_its_cells_and_fields_say() -> None:
    text = table_csv(PAGE, "costs")
    assert text is not None
    assert list(csv.reader(io.StringIO(text))) == [
        ["kind", "what", "'+/−", "each"],
        ["sheets", "'=A1 & more", "-1234.50", "58.00"],
        ["rolls", "007 two", "2026-04-24", "b b"],
        ["rolls", "across", "", "12.5 %"],
    ]
    assert text.endswith("\r\n")
    assert table_csv(PAGE, "none") is None


def begun(client: httpx.Client) -> int:
    """Begin a job with a piece whose title a spreadsheet would take for a formula; return its number."""
    job = int(client.post("/jobs", data={"name": "Spring show", "client": ""}).headers["location"].split("/")[2])
    rows = [("A-01", "=1+1", *ROWS[0][2:]), ROWS[1]]
    client.post(f"/jobs/{job}/artworks", json={"headings": HEADINGS, "rows": rows, "revision": 1})
    return job


def test_every_table_of_money_is_downloaded_by_the_link_above_it(client: httpx.Client) -> None:
    job = begun(client)
    page = client.get(f"/jobs/{job}/money").text
    names = {unescape(name) for name in re.findall(r'data-table="([^"]*)"', page)}
    links = [unescape(link) for link in re.findall(r'href="(\?csv=[^"]*)"', page)]
    assert {"steps", "costs", "bearing"} <= names
    assert len(links) == len(names)
    tables = {}
    for link in links:
        answer = client.get(f"/jobs/{job}/money{link}")
        assert answer.headers["content-type"].startswith("text/csv")
        assert answer.headers["content-disposition"].startswith("attachment")
        tables[link] = list(csv.DictReader(io.StringIO(answer.text)))
    bearing = tables["?csv=bearing"]
    assert [row["title"] for row in bearing] == ["'=1+1", "Second"]
    steps = {row["step"]: row for row in tables["?csv=steps"]}
    costs = tables["?csv=costs"]
    passed = [row for row in costs if row["kind"] in ("freight", "insurance")]
    direct = sum(float(row["amount"]) for row in costs) - sum(float(row["amount"]) for row in passed)
    assert round(direct, 2) == float(steps["Direct cost"]["adds"])
    total = re.search(r'id="page-total">([\d,.]+)<', page)
    assert total is not None
    assert round(sum(float(row["total"]) for row in bearing), 2) == float(total[1].replace(",", ""))


def test_a_table_of_the_studio_leaves_out_its_buttons_and_none_is_said_so(client: httpx.Client) -> None:
    rows = list(csv.DictReader(io.StringIO(client.get("/prices?csv=sheet").text)))
    assert float(rows[0]["price"]) > 0
    assert "keep" not in rows[0]
    for path in ("/rules?csv=costs", "/?csv=x"):
        answer = client.get(path)
        assert answer.status_code == 404
        assert "no table" in answer.text

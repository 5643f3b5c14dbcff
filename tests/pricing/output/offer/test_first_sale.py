"""The first sale of README, done as it is written there: what it says to type makes an offer, and nothing lacks."""

import re
from datetime import date
from io import BytesIO
from pathlib import Path
from typing import Final

import pdfplumber
from PIL import Image

from nesting.base.search import QUICK
from pricing.output.job import Extras, Request, run_quote, start_folder

README: Final = (Path(__file__).parents[4] / "README.md").read_text(encoding="utf-8")
PART: Final = README.partition("## A first sale")[2].partition("\n## ")[0]


def test_what_readme_says_to_type_makes_an_offer(tmp_path: Path) -> None:
    order = re.search(r"```\n(piece,.+?)```", PART, re.DOTALL)
    party, place = (re.search(rf"`{name}`, such as `([^`]+)`", PART) for name in ("parties.csv", "destinations.csv"))
    assert order
    assert party
    assert place
    (tmp_path / "sale.csv").write_text(order[1], encoding="utf-8")
    (tmp_path / "photos").mkdir()
    out = BytesIO()
    Image.new("RGB", (300, 400), "teal").save(out, "JPEG")
    (tmp_path / "photos" / "blue.jpg").write_bytes(out.getvalue())
    studio = tmp_path / "my-studio"
    start_folder(studio)
    for name, line in (("parties.csv", party[1]), ("destinations.csv", place[1])):
        with (studio / name).open("a", encoding="utf-8") as table:
            table.write(f"{line}\n")
    request = Request(tmp_path / "sale.csv", date(2026, 11, 30), studio, search=QUICK)
    done = run_quote(request, tmp_path / "offers" / "2026-1", Extras(offer="packing"), number="2026-1")
    assert {"offer.pdf", "offer.xlsx"} <= {path.name for path in (tmp_path / "offers" / "2026-1").iterdir()}
    assert [lack.kind for lack in done.quote.lacks if lack.grave] == ["invented"], "nothing else is left to be guessed"
    assert done.quote.sales[0].commission == 0
    with pdfplumber.open(tmp_path / "offers" / "2026-1" / "offer.pdf") as found:
        (page,) = found.pages
        words = page.extract_text()
        assert len(page.images) == 1
    for wanted in ("Vera Example", "Port Example", "2026-1", "Blue Morning", "Freight to Lake House", "Draft:"):
        assert wanted in words

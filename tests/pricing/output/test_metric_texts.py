"""What people read of a job by millimetres: one order of several methods, all of its papers, its workbook, its pages.

No inch, no pound, no dollar, and no fraction of a millimetre but of sheets' thickness, screws, drills and kerfs. Days
and decimals are those of the studio's country, files for programs keep points and ISO days.
"""

import csv
import html
import io
import json
import re
import shutil
import subprocess
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any, Final

import httpx
import pytest
from openpyxl import load_workbook
from pdfminer.high_level import extract_text

from nesting.base.search import QUICK
from nesting.base.whole_files import replace_files
from pricing.desk.desk import Desk
from pricing.output.job import Extras, all_contents, start_folder
from pricing.output.summary import summary
from pricing.quoting.quote import Quote
from pricing.store import Store
from tests.pricing.desk.conftest import served

ON: Final = date(2027, 3, 1)
HEAD: Final = (
    "piece,title,width,height,depth,weight,method,surface,support,poured,quantity,destination,ship by,price,terms"
)
ORDER: Final = f"""{HEAD}
A-01,First Frost,760,1020,40,9.5,closed,resin,birch panel,2027-03-02,1,Nordhalle,2027-04-26,2400,consigned
A-02,Second Frost,900,1200,40,14,battened,resin,birch panel,2027-03-02,1,Nordhalle,2027-04-26,3900,consigned
A-03,Thaw,1200,1500,50,24,travel,resin,birch panel,2027-03-02,1,Galerie du Pont,2027-04-26,6800,consigned
A-04,Pebble,200,200,25,0.8,carton,resin,birch panel,2027-03-01,2,Nordhalle,2027-04-26,260,sold
A-05,Study,450,600,32,4,auto,glazed,paper in a wooden frame,,1,Pier Hall,2027-04-26,900,consigned
"""
PLACES: Final = """destination,country,door width,door height,dock,residential,distance,profile,address
Nordhalle,DE,1700 mm,2300 mm,yes,no,420 km,road,"Kai 12 (invented)"
Galerie du Pont,FR,860 mm,2050 mm,no,no,95 km,van,"3 rue Exemple (invented)"
Pier Hall,US,900 mm,2100 mm,yes,no,,air,"1 Pier (invented)"
"""


def _studio(folder: Path) -> Path:
    """Write a studio's files as ``start --sizes metric`` does, of a studio in Germany."""
    start_folder(folder, "metric")
    text = (folder / "shop.toml").read_text(encoding="utf-8")
    assert 'country = "DE"' in text
    assert 'time_zone = "Europe/Berlin"' in text
    (folder / "destinations.csv").write_text(PLACES, encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Desk, httpx.Client]]:
    """Open a desk with the studio's files and the order, its first figure the last."""
    root = tmp_path_factory.mktemp("metric")
    studio = _studio(root / "studio")
    opened = Desk(Store(root / "data"), today=lambda: ON, patience=60.0, effort="quick")
    with served(opened) as client:
        client.headers["origin"] = str(client.base_url).rstrip("/")
        names = ("shop.toml", "prices.csv", "rates.toml", "destinations.csv")
        sent = client.post("/rules/files", files={name: (name, (studio / name).read_bytes()) for name in names})
        assert sent.status_code == 303, sent.text
        order = {"file": ("order.csv", ORDER.encode())}
        assert client.post("/jobs", files=order, data={"units": "metric"}).status_code == 303
        yield opened, client
    opened.close()


@pytest.fixture(scope="module")
def made(desk: tuple[Desk, httpx.Client], tmp_path_factory: pytest.TempPathFactory) -> tuple[Quote, Path]:
    """Return the desk's quote of the order, and the folder with all that is written of it."""
    answer, folder = desk[0].sheaf(1).answer, tmp_path_factory.mktemp("written") / "out"
    assert answer is not None
    extras = Extras(packet=True, tables=True, document=True, offer="packing", papers=True)
    contents, _ = all_contents(answer.quote, extras, QUICK)
    replace_files(folder, contents)
    return answer.quote, folder


# -- what is looked for ---------------------------------------------------------------------------------------------

_MEASURED: Final = (
    "wide|high|long|deep|thick|apart|from|x|×|larger|clear|each|or|over|to|of|and|up|beyond|behind|against"
)
WRONG: Final = {
    "inch": re.compile(
        rf"(?<![\w.-])[0-9][0-9./ -]* ?in(?=[.,;:)]|$|\s(?:{_MEASURED})\b|\s[0-9])|[0-9] ?[\"″”]|\binch(?:es)?\b"
        r"|[0-9] ?(?:ft|feet|foot)\b|\bsq (?:ft|in)\b|[0-9] [0-9]+/[0-9]+\b"
        r"|(?<![\w/.,-])[0-9]+/(?:2|4|8|16|32|64)\b(?!/)"
    ),
    "pound": re.compile(r"\blbs?\b|\blbf\b|\bpsi\b|\bpounds?\b|\bounces?\b|[0-9] ?oz\b"),
    "dollar": re.compile(r"\$|\bUSD\b|\bdollars?\b"),
    "fraction of a millimetre": re.compile(
        r"[0-9][.,][0-9]+(?= mm\b)|\b[0-9]{2,}[.,][0-9]\b(?= ?[×x] ?[0-9])"
        r"|(?<=[×x] )[0-9]{2,}[.,][0-9]\b(?! ?(?:kg|k?N|kPa))"
    ),
    "point": re.compile(r"(?<![\w.,:/#^-])[0-9]+\.(?![0-9]{3}\b)[0-9]+(?![\w]|[.,:/-]\w)"),
    "ISO day": re.compile(r"\b[0-9]{4}-[0-9]{2}-[0-9]{2}\b"),
}
_MAY: Final = {
    # Containers are called by their feet everywhere.
    "inch": re.compile(r"container [0-9]{2} ft"),
    # What a law of a place there says of itself.
    "dollar": re.compile(r"first 2.500 dollars in twelve|sales of 100 dollars and more"),
    # Screws, drills, the thickness of sheets, film and washers, kerfs; what is reckoned in a formula.
    "fraction of a millimetre": re.compile(
        r"screw|pilot|drill|film|kerf|softwood|plywood|nails| = [0-9.,]+ N|N/mm2|sqrt|on G ="
        r"|of the blade|the blade eats|what a cut takes|side of a square|^[0-9],[0-9] mm$",
        re.IGNORECASE,
    ),
    # Places in books.
    "point": re.compile(r"section [0-9]|\bEq\. [0-9]|\beq\. [0-9]|Table [0-9]|RSMo"),
}
"""What may stand all the same, each with its reason: where this stands beside it."""


def found(text: str, *kinds: str) -> list[str]:
    """Return what a text says of some kinds that nobody is to read, with what stands around it."""
    flat = " ".join(text.split())
    met = (
        (kind, flat[max(0, each.start() - 60) : each.end() + 60])
        for kind in kinds or WRONG
        for each in WRONG[kind].finditer(flat)
    )
    return [f"{kind}: {beside}" for kind, beside in met if kind not in _MAY or not _MAY[kind].search(beside)]


def printed(path: Path) -> str:
    """Return what stands in a PDF."""
    if program := shutil.which("pdftotext"):
        done = subprocess.run([program, str(path), "-"], capture_output=True, check=True)
        return done.stdout.decode()
    return extract_text(path)


def cells(path: Path) -> Iterator[tuple[str, Any, str]]:
    """Yield sheet, value and number format of every cell of a workbook."""
    for page in load_workbook(path, data_only=True):
        for row in page.iter_rows():
            yield from ((page.title, cell.value, cell.number_format) for cell in row if cell.value is not None)


BOTH: Final = re.compile(r"^offer|packing-list")
"""What is asked for in both systems: it goes to people of any country."""
JOB_PAGES: Final = (
    "artworks", "crates", "ways", "sheets", "saw", "money", "client", "papers", "yard", "record", "plan", "returns",
    "what-if", "from?hours=all",
)  # fmt: skip
OWN_PAGES: Final = ("/", "/rack", "/prices", "/parties", "/rules", "/keep", "/learned", "/help")
_TYPED: Final = {"inch", "pound", "dollar", "ISO day"}
DESK: Final[dict[str, set[str]]] = {
    # What may be typed there: an order may be in either unit, in any currency's sign.
    "/": {"inch", "pound"},
    "/help": _TYPED,
    "/jobs/1/artworks": _TYPED,
    # The offer, which goes to people of any country.
    "/jobs/1/client": {"inch", "pound"},
    # Several strips come off in a row, and their kerfs are in the figures.
    "/jobs/1/saw": {"fraction of a millimetre"},
}
"""What is not looked for on a page, each with its reason."""


# -- papers ---------------------------------------------------------------------------------------------------------


def test_the_order_is_packed_in_several_ways(made: tuple[Quote, Path]) -> None:
    quote, _ = made
    assert {crate.method for crate in quote.build.every} >= {"closed", "battened", "travel", "carton", "outer"}
    assert not quote.build.is_lacking


def test_the_packet(made: tuple[Quote, Path]) -> None:
    told = printed(made[1] / "packet.pdf")
    assert "01.03.2027" in told
    assert found(told) == []


def test_offer_and_papers(made: tuple[Quote, Path]) -> None:
    folder = made[1]
    papers = sorted((folder / "papers").glob("*.pdf"))
    assert {path.stem.rsplit("-", 1)[0] for path in papers}
    for path in (*folder.glob("offer*.pdf"), *papers):
        told = printed(path)
        kinds = WRONG if not BOTH.search(path.name) else set(WRONG) - {"inch", "pound"}
        assert found(told, *kinds) == [], path.name


def test_the_workbooks(made: tuple[Quote, Path]) -> None:
    for path in made[1].glob("*.xlsx"):
        kinds = WRONG if not BOTH.search(path.name) else set(WRONG) - {"inch", "pound"}
        wrong = [
            f"{sheet}: {each}"
            for sheet, value, form in cells(path)
            if isinstance(value, str)
            for each in found(value, *kinds)
        ]
        forms = {form for _, _, form in cells(path)}
        assert wrong == [], path.name
        assert not [form for form in forms if "?/" in form or "yyyy-mm" in form or "$" in form or "USD" in form]


def test_the_summary(made: tuple[Quote, Path]) -> None:
    quote, _ = made
    told = quote.build.writing.told(summary(quote))
    assert found(told) == []


def test_files_for_programs_keep_points_and_iso_days(made: tuple[Quote, Path]) -> None:
    _, folder = made
    kept = json.loads((folder / "quote.json").read_text(encoding="utf-8"))
    assert kept["date"] == "2027-03-01"
    rows = list(csv.DictReader(io.StringIO((folder / "tables" / "crates.csv").read_text(encoding="utf-8-sig"))))
    assert all(float(row["gross_kg"]) > 0 for row in rows)


# -- the desk -------------------------------------------------------------------------------------------------------


_UNREAD: Final = re.compile(r"<(script|style)\b.*?</\1>", re.DOTALL)
_SAID: Final = re.compile(r"""\b(?:title|aria-label)="([^"]*)\"""")


def read(page: str) -> str:
    """Return what people read on a page: its texts, what its fields hold, and what is said of them."""
    page = _UNREAD.sub(" ", page)
    said = " | ".join(html.unescape(each) for each in _SAID.findall(page))
    return f"{html.unescape(re.sub(r'<[^>]*>', ' ', page))} | {said}"


def test_the_pages(desk: tuple[Desk, httpx.Client]) -> None:
    opened, client = desk
    answer = opened.sheaf(1).answer
    assert answer is not None
    crate = answer.quote.build.travelling[-1].crate
    pages = [f"/jobs/1/{name}" for name in JOB_PAGES] + [
        f"/jobs/1/crates/{crate}",
        f"/jobs/1/designs/{crate}",
        *OWN_PAGES,
    ]
    wrong = []
    for page in pages:
        got = client.get(page)
        assert got.status_code == 200, page
        wrong += [f"{page}: {each}" for each in found(read(got.text), *(set(WRONG) - DESK.get(page, set())))]
    assert wrong == [], "\n".join(wrong)

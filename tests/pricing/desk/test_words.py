"""Words for people: no key of a rule, a column or a method, no "1 sheets" and no rate as 0.2, on any page or tab."""

import re
from collections.abc import Iterable, Iterator, Mapping
from html.parser import HTMLParser
from io import BytesIO
from typing import Final

import httpx
import openpyxl
import pytest

from nesting.base.measure import INCH
from nesting.crates.registry import called, methods
from nesting.order import Artwork, Order
from pricing.cli.studio import HOLDS
from pricing.desk.desk import Desk
from pricing.desk.rulebook import is_part, rate_rules, shop_rules
from pricing.output.summary import summary
from pricing.output.workbook import workbook_bytes
from pricing.quoting.quote import Quote
from pricing.store import Store
from pricing.studio.office import office_texts
from tests.pricing.desk.conftest import served
from tests.pricing.desk.orders import DAY

NOT_READ: Final = {"script", "style", "kbd", "textarea", "code"}
"""What is no text of ours for people: programs, and what is typed as it stands there."""
SAID: Final = ("aria-label", "title", "placeholder", "alt")
FOLLOWED: Final = re.compile(r"[^\w.]1 ([a-z]+s)\b")
NO_PLURAL: Final = frozenset(
    {"is", "was", "has", "as", "its", "this", "cross", "glass", "class", "press", "plus", "less", "needs", "goes",
     "costs", "takes", "does", "fails", "bears", "rides", "stays", "comes", "says", "gives", "pass"}
)  # fmt: skip
KEY: Final = re.compile(r"\b[a-z][a-z0-9]*(?:_[a-z0-9]+)+\b")
RATE: Final = re.compile(
    r"\b(?:waste|overhead|contingency|markup|margin|commission|deposit|discount|profit|tax|premium)\b[^.;%\d]{0,30}"
    r"\b0\.\d+(?! ?%)",
    re.IGNORECASE,
)
FILES: Final = re.compile(r"Mended in: .*|\S+\.(?:toml|csv|xlsx|json)\b.*")
"""Where something is mended in files, which are written by their keys."""


class Shown(HTMLParser):
    """Reads what a page says: its text, and what is said of its fields and pictures."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.said: list[str] = [""]
        self.fields: list[tuple[str, str]] = []
        self._within: list[str] = []
        self._rule = ""
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Take what is said of an element, and which rule a field holds."""
        told = {name: value or "" for name, value in attrs}
        self.said += [told[name] for name in SAID if told.get(name)]
        if tag in NOT_READ:
            self._within.append(tag)
        elif tag == "input" and told.get("name") == "rule":
            self._rule = told.get("value", "")
        elif tag == "input" and told.get("name") == "value" and told.get("type") != "hidden":
            self.fields.append((self._rule, told.get("value", "")))
        if tag in {"td", "th", "li", "p", "dt", "dd", "h1", "h2", "h3", "tr", "label", "option", "summary", "div"}:
            self.said.append("")

    def handle_endtag(self, tag: str) -> None:
        """Leave what is not read."""
        if self._within and tag == self._within[-1]:
            self._within.pop()

    def handle_data(self, data: str) -> None:
        """Take text for people."""
        if not self._within:
            self.said[-1] += data


def wrong(texts: Iterable[str]) -> set[str]:
    """Return what is no word for people in some texts."""
    found: set[str] = set()
    for text in texts:
        plain = FILES.sub("", " ".join(text.split()))
        found |= set(KEY.findall(plain)) | {each[0] for each in RATE.finditer(plain)}
        found |= {f"1 {word}" for word in FOLLOWED.findall(f" {plain} ") if word not in NO_PLURAL}
    return found


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("Heaviest carton_lb of all", {"carton_lb"}), ("in all 1 sheets of it", {"1 sheets"}), ("21 sheets", set()),
        ("overhead is 0.2 of cost", {"overhead is 0.2"}), ("overhead 20 %, and 1 is enough", set()),
        ("1 crate needs it; 1 needs it", set()), ("Mended in: charge under [price], or on_pallets", set()),
    ],
)  # fmt: skip
def test_the_reader_sees_what_it_is_for(text: str, found: set[str]) -> None:
    assert wrong([text]) == found


ADDRESSES: Final = (
    "/", "/rack", "/prices", "/parties", "/rules?all=1", "/learned", "/keep", "/help",
    *(f"/jobs/1/{page}" for page in (
        "artworks", "crates", "crates/K1", "sheets", "saw", "money", "client", "client?kind=sale", "papers", "plan",
        "yard", "record", "ways", "what-if", "returns", "from?hours=all",
    )),
)  # fmt: skip


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """Open a desk with the sample job, once for all tests here, which change nothing."""
    made = Desk(Store(tmp_path_factory.mktemp("words") / "data"), today=lambda: DAY, patience=60.0, effort="quick")
    with served(made) as client:
        client.post("/sample", headers={"origin": str(client.base_url).rstrip("/")})
    yield made
    made.close()


@pytest.fixture(scope="module")
def sampled(desk: Desk) -> Quote:
    """Return the quote of the sample job."""
    answer = desk.sheaf(1).answer
    assert answer is not None
    return answer.quote


def test_pages_speak_to_people(client: httpx.Client, desk: Desk, sampled: Quote) -> None:
    shop, rates = desk.papers.office().shop, desk.papers.office().rates
    parts = {rule.name for rule in (*shop_rules(shop, shop), *rate_rules(rates, rates)) if is_part(rule)}
    bad: dict[str, set[str]] = {}
    seen: set[str] = set()
    for address in ADDRESSES:
        page = client.get(address.replace("K1", sampled.build.crates[0].crate))
        assert page.status_code == 200, address
        shown = Shown(page.text)
        if found := wrong(shown.said):
            bad[address] = found
        fields: Mapping[str, str] = {rule: value for rule, value in shown.fields if rule in parts and value}
        seen |= set(fields)
        if bare := {f"{rule}: {value}" for rule, value in fields.items() if not value.endswith("%")}:
            bad[address] = bad.get(address, set()) | bare
    assert bad == {}
    assert "price.overhead" in seen, "fields of rates were read at all"


def test_the_workbook_and_the_summary_speak_to_people(sampled: Quote) -> None:
    book = openpyxl.load_workbook(BytesIO(workbook_bytes(sampled)), data_only=True)
    texts = [
        cell.value
        for sheet in book
        for row in sheet.iter_rows()
        for cell in row
        if isinstance(cell.value, str) and not cell.value.startswith("=")
    ]
    assert len(texts) > 500
    assert wrong(texts) == set()
    assert wrong(summary(sampled).split("\n")) == set()
    rates = {
        cell.value: row[1].number_format
        for row in book["Assumptions"].iter_rows()
        for cell in row[:1]
        if cell.value in {"Overhead", "Contingency", "Discount", "Insurance rate"}
    }
    assert len(rates) == 4
    assert all("%" in each for each in rates.values())


def test_a_method_is_called_as_the_trade_does() -> None:
    assert [called(name) for name in methods()] == [each.one for each in methods().values()]
    assert called("auto") == "auto"


def test_a_work_is_called_by_its_title_where_that_says_more() -> None:
    side = 30 * INCH
    works = (
        Artwork("A", side, side, INCH, title="Low Water"),
        Artwork("B", side, side, INCH),
        Artwork("C", side, side, INCH, title="C", quantity=2),
    )
    assert Order("o", works).called() == {"A": "A Low Water", "B": "B", "C#1": "C#1", "C#2": "C#2"}


def test_start_says_what_each_file_is_for() -> None:
    assert list(HOLDS) == list(office_texts())

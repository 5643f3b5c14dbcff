"""Every page on paper: what the text of its printed PDF says, and that it lies within the sheet."""

import io
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Final

import pdfplumber
import pytest
from playwright.sync_api import Browser, Page, expect

from pricing.desk.views import day
from tests.desk.conftest import DESKTOP, SAMPLES
from tests.desk.running import let_in, started
from tests.desk.walk import LONG, begin, priced, settled
from tests.pricing.desk.orders import HELD_HEADINGS, HELD_ROWS

pytestmark = pytest.mark.browser

MANY: Final = 125
"""More rows than the page of artworks shows at once."""
SIZES: Final = {"A4": (595, 842), "Letter": (612, 792)}
HEAD: Final = (
    ".plain .paper-head > *, .rail .paper-head > *, #slip-held li, #slip-total, #slip-without:not(:empty), "
    "#slip-lacks li"
)
ON_PAPER: Final = {
    "/jobs/1/artworks": "#grid input", "/jobs/1/crates": ".crate h2, .crate dd, .crate li",
    "/jobs/1/crates/K1": "ol > li", "/jobs/1/designs/K1": ".design > h2, .design > dl > dd",
    "/jobs/1/ways": ".ways td, .sums td",
    "/jobs/1/sheets": "figcaption strong, .part, .plainlist label",
    "/jobs/1/saw": ".stop h1, .stop-hands, .row-off, .places a",
    "/jobs/1/money": ".levers input, .levers select, .sums input, .sums td", "/jobs/1/plan": ".sums td",
    "/jobs/1/yard": ".fetch .many, .fetch strong", "/jobs/1/record": ".versions, .history time, .sums td",
    "/jobs/1/what-if": ".sums td", "/jobs/1/what-if/text": "textarea", "/jobs/1/returns": ".sums td",
    "/jobs/1/versions/1": ".sums td", "/": ".card-name, .card-total", "/rack": ".sums th, .sums td, .sums input",
    "/prices": ".sums input, .sums th strong", "/prices/history": "time", "/keep": "main kbd",
    "/jobs/3/crates": ".crate h2, .standing p, .standing li",
    "/jobs/3/crates/K2": "h1, .standing p, .standing li, .checks li",
    "/jobs/3/sheets": ".held-line", "/jobs/3/money": ".held-line, .sums td",
    "/rules?all=1": ".rule input, .rule select, .place[id] input, .place[id] select", "/rules": "a.group strong",
}  # fmt: skip
"""What must be on paper of each page: the values of fields, the text of anything else."""
VALUES: Final = """(selector) => [...document.querySelectorAll(selector)].map((each) => {
  if (each.closest('.screen, .none') || each.type === 'hidden') return '';
  if (each.matches('select')) return each.selectedOptions[0].text;
  if (each.matches('input, textarea')) return each.value;
  const copy = each.cloneNode(true);
  copy.querySelectorAll('button, input, select, .screen, .unseen').forEach((part) => part.replaceWith(' '));
  copy.querySelectorAll('br, li, p, span').forEach((part) => part.before(' '));
  return copy.textContent;
})"""
ONLY_SCREEN: Final = """() => {
  const controls = 'button:not(.part, .sort), a.button, nav a, .house, .skip';
  const words = [...document.querySelectorAll(controls)].map((each) => each.textContent.trim()).filter(Boolean);
  const rest = document.body.cloneNode(true);
  rest.querySelectorAll(controls + ', script').forEach((each) => each.remove());
  return [...new Set(words)].filter((text) => !rest.textContent.includes(text) && !document.title.includes(text));
}"""


@dataclass(frozen=True)
class Printed:
    """A printed page: the text of each sheet, its words, and its size in points."""

    sheets: Sequence[str]
    words: Counter[str]
    size: tuple[int, int]

    @property
    def text(self) -> str:
        """Text of all sheets, every blank one space."""
        return " ".join(" ".join(self.sheets).split())


def printed(page: Page, format_: str = "A4") -> Printed:
    """Print a page as the browser does, and read it back; nothing may lie outside the margins."""
    sheets, words = [], Counter[str]()
    with pdfplumber.open(io.BytesIO(page.pdf(format=format_))) as pdf:
        for sheet in pdf.pages:
            found = sheet.extract_words(use_text_flow=True)
            outside = [word["text"] for word in found if word["x0"] < 30 or word["x1"] > sheet.width - 30]
            assert not outside
            words += words_of([word["text"] for word in found])
            sheets.append(" ".join(word["text"] for word in found))
        return Printed(sheets, words, (int(pdf.pages[0].width), int(pdf.pages[0].height)))


def words_of(texts: Sequence[str]) -> Counter[str]:
    """Count words; a line may end after a hyphen, which parts a word on paper."""
    return Counter(word for text in texts for word in re.split(r"[\s-]+", text) if word)


@pytest.fixture(scope="module")
def paper(chromium: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Page]:
    """Prepare a desk with a job that is priced, compared and sent, a long table that is not, and a rack."""
    folder = tmp_path_factory.mktemp("paper")
    with started(folder / "data") as desk:
        context = chromium.new_context(
            viewport=DESKTOP, locale="en-US", base_url=desk, extra_http_headers={"origin": desk}
        )
        let_in(context)
        page = context.new_page()
        for length, place in (("40 1/2", "bay 2, upper"), ("61", "behind the door")):
            page.request.post("/rack", form={"good": "ply-3/8", "length": length, "width": "24", "count": "3",
                                             "value": "9.50", "place": place})  # fmt: skip
        job = begin(page, desk, "Paper sale", SAMPLES / "small_sale.csv")
        priced(page)
        _compared(page, f"{job}/ways", "Compare all ways")
        page.goto(f"{job}/what-if")
        for label, text in (("Name", "Dearer board"), ("What differs", "ply-3/8 4x8"), ("would be", "60.00")):
            page.get_by_label(label, exact=True).first.fill(text)
        page.get_by_role("button", name="Add it").click()
        expect(page.locator(".scenarios").get_by_text("Dearer board")).to_be_visible()
        _compared(page, f"{job}/what-if", "Quote it")
        page.goto(f"{job}/record")
        for field in page.locator(".lacks-list input").all():
            field.fill("the buyer knows")
        page.get_by_role("button", name="Freeze").click()
        begin(page, desk, "Long table", _long(folder))
        begin(page, desk, "Held", _held(folder))
        priced(page)
        yield page
        context.close()


def _compared(page: Page, address: str, button: str) -> None:
    page.goto(address)
    page.get_by_role("button", name=button).click()
    expect(page.locator("table.sums").first).to_be_visible(timeout=LONG)
    settled(page)


def _held(folder: Path) -> Path:
    """Write a table of works of which the second is too heavy for its crate."""
    file = folder / "held.csv"
    file.write_text("\n".join(map(",".join, (HELD_HEADINGS, *HELD_ROWS))), encoding="utf-8")
    return file


def _long(folder: Path) -> Path:
    """Write a table of works without sizes, whose notes take several lines."""
    lines = ["piece,title,notes"]
    lines += [
        f"P-{n:03},Title{n:03},{' '.join([f'note{n:03}'] * (40 if n % 8 == 0 else 1))}" for n in range(1, MANY + 1)
    ]
    file = folder / "long.csv"
    file.write_text("\n".join(lines), encoding="utf-8")
    return file


@pytest.mark.parametrize("address", ON_PAPER)
def test_a_page_has_its_figures_its_head_and_no_buttons(paper: Page, address: str) -> None:
    paper.goto(address)
    expected = words_of(paper.evaluate(VALUES, ON_PAPER[address]))
    controls, head = paper.evaluate(ONLY_SCREEN), paper.locator(HEAD).all_inner_texts()
    sheet = printed(paper)
    assert expected or address == "/prices/history"
    assert expected - sheet.words == Counter()
    assert [text for text in controls if text in sheet.text] == []
    for each in sheet.sheets:
        # A line may end after a hyphen.
        top = each[:600].replace("- ", "-")
        assert [part for part in head if part.replace("- ", "-") not in top] == []


def test_the_head_names_job_page_day_total_and_what_it_lacks(paper: Page) -> None:
    paper.goto("/jobs/1/money")
    today = day(date.today())  # noqa: DTZ011 the desk's own day is the machine's
    (first, *_) = printed(paper).sheets
    assert re.search(rf"Money · Paper sale · printed {today} USD [\d,.]+ · no freight to 1 destination", first)
    paper.goto("/jobs/1/versions/1")
    (first, *_) = printed(paper).sheets
    assert re.search(r"Version 1 · Paper sale · USD [\d,.]+ · no freight to 1 destination.*? · printed", first)


def test_a_long_table_prints_all_rows_whole_with_its_heading_on_each_sheet(paper: Page) -> None:
    paper.goto("/jobs/2/artworks")
    assert paper.locator("#grid tbody").first.locator("tr").count() < MANY
    sheet = printed(paper)
    assert sheet.size == tuple(reversed(SIZES["A4"]))
    assert len(sheet.sheets) > 2
    for number in range(1, MANY + 1):
        (home,) = (each.split() for each in sheet.sheets if f"P-{number:03}" in each)
        assert home.count(f"Title{number:03}") == 1
        assert home.count(f"note{number:03}") == (40 if number % 8 == 0 else 1)
    assert all("piece title notes" in each for each in sheet.sheets)


@pytest.mark.parametrize("address", ["/jobs/1/artworks", "/jobs/1/money"])
def test_letter_paper_takes_it_too(paper: Page, address: str) -> None:
    paper.goto(address)
    expected = words_of(paper.evaluate(VALUES, ON_PAPER[address]))
    sheet = printed(paper, "Letter")
    assert set(sheet.size) == set(SIZES["Letter"])
    assert expected - sheet.words == Counter()


@pytest.mark.parametrize("address", ["/jobs/1/artworks", "/jobs/1/yard", "/rack"])
def test_it_prints_without_scripts(paper: Page, chromium: Browser, address: str) -> None:
    paper.goto(address)
    expected = words_of(paper.evaluate(VALUES, ON_PAPER[address]))
    context = chromium.new_context(java_script_enabled=False, locale="en-US")
    let_in(context)
    page = context.new_page()
    page.goto(paper.url)
    sheet = printed(page)
    context.close()
    assert expected
    assert expected - sheet.words == Counter()


def test_what_is_typed_is_printed_as_it_stands_and_can_be_typed_on(paper: Page) -> None:
    paper.goto("/prices")
    field = paper.get_by_label("price of ply-3/8 4x8", exact=True)
    field.fill("77.31")
    assert "77.31" in printed(paper).words
    expect(field).to_be_visible()
    expect(paper.locator(".written")).to_have_count(0)


@pytest.mark.parametrize("address", ["/jobs/1/crates", "/jobs/1/plan"])
def test_drawings_lie_whole_within_the_sheet(paper: Page, address: str) -> None:
    paper.goto(address)
    drawings = paper.locator(".drawn, .drawing, .large").count()
    with pdfplumber.open(io.BytesIO(paper.pdf(format="Letter"))) as pdf:
        drawn = [[*sheet.lines, *sheet.curves, *sheet.rects] for sheet in pdf.pages]
        assert sum(map(len, drawn)) > 4 * drawings
        for sheet, strokes in zip(pdf.pages, drawn, strict=True):
            assert all(stroke["x0"] >= 30 and stroke["x1"] <= sheet.width - 30 for stroke in strokes)
            assert all(stroke["top"] >= 30 and stroke["bottom"] <= sheet.height - 30 for stroke in strokes)


def test_what_is_pinned_is_printed_as_pinned(paper: Page) -> None:
    """The last of these: from here on the first job is pinned."""
    paper.request.post("/jobs/1/stand", form={"standing": "accepted", "on": "", "amount": "", "note": ""})
    paper.goto("/jobs/1/yard")
    said = paper.locator("#slip-pinned").inner_text()
    expected = words_of(paper.evaluate(VALUES, ON_PAPER["/jobs/1/yard"]))
    sheet = printed(paper)
    assert said
    assert all(said in each for each in sheet.sheets)
    assert "Unpin" not in sheet.text
    assert expected - sheet.words == Counter()

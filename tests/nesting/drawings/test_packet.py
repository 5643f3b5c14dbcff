"""The printed packet, read back from the PDF alone."""

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

import pdfplumber
import pytest

from nesting.advice.check import figure
from nesting.base.search import QUICK
from nesting.build import Build, build
from nesting.cutting.sawing.plan import plan_in
from nesting.cutting.sheets import PartLeaf, SheetLayout
from nesting.drawings.dimensions import told
from nesting.drawings.packet import packet_bytes
from nesting.drawings.packet.crates import alike
from nesting.intake import read_order
from nesting.shop.shop_file import default_shop
from tests.nesting.drawings.builds import supply_of
from tests.nesting.drawings.pdf_reading import (
    columns_of,
    cut_by_list,
    names_on_sheets,
    read_goods,
    same_parts,
    scales_told,
    sheet_outlines,
)

SAMPLES = Path(__file__).parents[3] / "sample_orders"
PAPER = {"letter": (612.0, 792.0), "a4": (595.28, 841.89)}


@dataclass(frozen=True)
class Printed:
    """A packet on paper, and the build that it is of."""

    build: Build
    pages: list[Any]
    path: Path
    paper: str


@pytest.fixture(
    scope="module",
    params=[
        ("small_sale.csv", "letter", "inch"),
        ("giant_panel.toml", "letter", "inch"),
        ("metric_pair.xlsx", "a4", "metric"),
        ("gallery_consignment.csv", "a4", "inch"),
    ],
    ids=["small", "giant", "metric", "gallery"],
)
def printed(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Printed]:
    name, paper, units = request.param
    shop = default_shop()
    made = build(read_order(SAMPLES / name, units=units), shop, supply_of(shop), search=QUICK)
    path = tmp_path_factory.mktemp("packet") / "packet.pdf"
    path.write_bytes(packet_bytes(made, paper=paper))
    with pdfplumber.open(path) as document:
        pages = list(document.pages)
        assert f"page 1 of {len(pages)}" in (pages[0].extract_text() or "")
        yield Printed(made, pages, path, paper)


def title(page: Any) -> str:
    """Return a page's first line."""
    return str((page.extract_text() or "").split("\n")[0])


def saw_pages(printed: Printed) -> list[Any]:
    """Return the pages of the saw."""
    return [page for page in printed.pages if re.search(r" [Ss]aw page \d+ of", " ".join(page.extract_text().split()))]


def parts_of(each: SheetLayout, kerf: int) -> Counter[tuple[str, Fraction, Fraction]]:
    found = Counter[tuple[str, Fraction, Fraction]]()
    for _, _, dx, dy, node in each.pieces(kerf):
        if isinstance(node, PartLeaf):
            found[node.part, Fraction(dx), Fraction(dy)] += 1
    return found


def test_every_part_is_told_of_once_for_each_time_it_is_cut_from_a_layout(printed: Printed) -> None:
    expected = Counter[str]()
    for layout in printed.build.layouts:
        for each in layout.sheets:
            for (name, _, _), count in parts_of(each, layout.kerf).items():
                expected[name] += count
    found = Counter[str]()
    for page in saw_pages(printed):
        found += names_on_sheets(page, expected)
    assert found == expected


def test_the_printed_list_alone_cuts_the_parts(printed: Printed) -> None:
    goods = read_goods(saw_pages(printed), metric=printed.build.order.units == "metric")
    assert len(goods) == len(printed.build.layouts)
    cut = 0
    for layout, good in zip(printed.build.layouts, goods, strict=True):
        plan = plan_in(printed.build.shop, layout)
        assert [row.first for row in good.rows[:1]] == [1] * bool(plan.cuts)
        assert (good.settings, good.passes) == (len(plan.settings), sum(each.passes for each in plan.settings))
        wanted = Counter[tuple[str, Fraction, Fraction]]()
        for each in layout.sheets:
            if not isinstance(each.cuts, PartLeaf):
                wanted += parts_of(each, layout.kerf)
        whole = {f"{i}A" for i, each in enumerate(layout.sheets, start=1) if not plan.of_layout(i - 1)}
        assert not whole, "a sheet that is used whole is not cut by these orders"
        assert same_parts(cut_by_list(good), wanted)
        cut += len(good.rows)
    assert cut > 8


def test_the_scale_measured_on_paper_is_the_one_written(printed: Printed) -> None:
    scales = [scale for page in saw_pages(printed) for scale in scales_told(page)]
    drawn = [outline for page in saw_pages(printed) for outline in sheet_outlines(page)]
    sheets = [each.sheet for layout in printed.build.layouts for each in layout.sheets]
    assert len(scales) == len(drawn) == len(sheets)
    for scale, outline, sheet in zip(scales, drawn, sheets, strict=True):
        for measured, real in ((outline["width"], sheet.length), (outline["height"], sheet.width)):
            # A point is 1/72 in; the PDF rounds to 1/100 point.
            assert measured * scale / 72 == pytest.approx(real / 203_200, abs=scale * 0.02 / 72 + 1e-6)


def test_every_copy_of_every_part_has_one_label(printed: Printed) -> None:
    """Copies that lie inside share one: it says how many are tied together; a blank that is ripped in two has two."""
    expected = Counter[str]()
    for crate in printed.build.crates:
        halved = {placed.part for placed in crate.placed if placed.half}
        for part in crate.parts:
            expected[part.name] += part.count * (2 if part.name in halved else 1)
        for stick in crate.sticks:
            expected[stick.name] += stick.count
    found = Counter[str]()
    for page in printed.pages:
        if re.search(r"page \d+ of \d+", page.extract_text() or ""):
            continue  # a numbered page is no label sheet
        words = page.extract_words(keep_blank_chars=True, x_tolerance=3, extra_attrs=["fontname"])
        for name in (word for word in words if "Bold" in word["fontname"] and word["text"] in expected):
            below = " ".join(
                w["text"] for w in words if 0 < w["top"] - name["top"] < 34 and abs(w["x0"] - name["x0"]) < 1.5
            )
            bundle = re.search(r"(\d+), bundled", below)
            found[name["text"]] += int(bundle[1]) if bundle else 1
    assert found == expected


def test_nothing_lies_over_another_text_or_beyond_the_paper(printed: Printed) -> None:
    for page in printed.pages:
        boxes = []
        for word in page.extract_words(char_dir_rotated="btt", x_tolerance=1.5, y_tolerance=1.5, keep_blank_chars=True):
            assert word["x0"] >= 10
            assert word["x1"] <= float(page.width) - 10
            assert word["top"] >= 10
            assert word["bottom"] <= float(page.height) - 10
            # Between baseline and capitals: a font's own box is higher than its letters.
            high = word["bottom"] - word["top"]
            slim = 0.28 * high if word["upright"] else 0.0
            thin = 0.28 * (word["x1"] - word["x0"]) if not word["upright"] else 0.6
            boxes.append(
                (word["x0"] + thin, word["top"] + slim, word["x1"] - thin, word["bottom"] - slim, word["text"])
            )
        boxes.sort(key=lambda b: b[1])
        for index, (x0, top, x1, bottom, text) in enumerate(boxes):
            for other in boxes[index + 1 :]:
                if other[1] >= bottom:
                    break
                assert not (x0 < other[2] and other[0] < x1 and top < other[3]), f"{text!r} over {other[4]!r}"


def test_paper_and_ink(printed: Printed) -> None:
    size = PAPER[printed.paper]
    for page in printed.pages:
        assert sorted((float(page.width), float(page.height))) == pytest.approx(sorted(size), abs=0.1)
        for thing in (*page.chars[:200], *page.lines, *page.rects):
            for key in ("stroking_color", "non_stroking_color"):
                colour = thing.get(key)
                assert not isinstance(colour, tuple | list) or len(colour) == 1, "only black, white and greys"
    data = printed.path.read_bytes()
    assert data.count(b"/FontFile2") == 2
    assert {char["fontname"].split("+")[-1] for page in printed.pages for char in page.chars} == {
        "DejaVuSansCondensed", "DejaVuSansCondensedBold"
    }  # fmt: skip


def test_every_crate_has_its_pages(printed: Printed) -> None:
    explained = [first for first, *_ in alike(printed.build.crates)]
    whole = "\n".join(page.extract_text() or "" for page in printed.pages)
    for crate in printed.build.crates:
        name = crate.crate
        own = [page for page in printed.pages if title(page).startswith(f"{name}: ")]
        assert bool(own) == (crate in explained)
        assert len(re.findall(rf"^Opening and return: {name}$", whole, re.MULTILINE)) == 1
        assert re.search(rf"^Packing and check .*\b{name}\b.*: ", whole, re.MULTILINE)
        if own:
            of_crate = "\n".join(page.extract_text() for page in own)
            fixings = ["Screws, bolts and other fixings"] if crate.fixings else []
            for heading in ("Step by step", *fixings):
                assert len(re.findall(rf"^{heading}", of_crate, re.MULTILINE)) == 1
            assert ("Back, from outside" in of_crate) == bool(crate.drill)
    for copy in printed.build.order.copies():
        assert f"Condition report: {copy.piece}\n" in whole


def test_every_figure_of_the_build_stands_by_its_formula(printed: Printed) -> None:
    """What was found, of what is allowed, as ``build.json`` has it, once for crates made alike."""
    begun = next(i for i, page in enumerate(printed.pages) if "What the figures are reckoned by" in page.extract_text())
    text = " ".join(columns_of(printed.pages[begun:]).split())
    counted = 0
    for crates in alike(printed.build.crates):
        names = ", ".join(crate.crate for crate in crates)
        for check in crates[0].checks:
            if check.demand is not None:
                of = f" of {figure(check.capacity)}" if check.capacity else ""
                assert re.search(rf"\b{names} [^;:]*\b{re.escape(figure(check.demand) + of)}\b", text), check.name
                counted += 1
        own = [page for page in printed.pages if title(page).startswith(f"{crates[0].crate}: ")]
        of_crate = " ".join(" ".join(page.extract_text().split()) for page in own)
        for check in crates[0].checks:
            assert (f"Figure to heed. {check.name}: " in of_crate) == (check.verdict in ("watch", "fails"))
    assert counted > 10


def test_drill_coordinates_are_printed(printed: Printed) -> None:
    """Each row of holes is on the drawing of the back, as its first hole and its step or as all its places."""
    for crate, *_ in alike(printed.build.crates):
        if crate.drill:
            own = [page for page in printed.pages if title(page).startswith(f"{crate.crate}: ")]
            text = " ".join(" ".join(page.extract_text().split()) for page in own)
            for row in {tuple(sorted({p.x for p in crate.drill if p.y == each.y})) for each in crate.drill}:
                for word, _, _ in told(row, printed.build.order.units):
                    assert word in text
            for point in crate.drill:
                assert f"Pilot hole: {point.pilot}, stop on the drill at {point.stop}" in text


def test_opening_says_which_screws_come_last(printed: Printed) -> None:
    """A short page shares its sheet with the next, to be cut apart: each is what stands under its own title."""
    opening = (p.extract_text() for p in printed.pages if title(p).startswith("Opening and return: "))
    pages = re.split(r"^Opening and return: (.+)$", "\n".join(opening), flags=re.MULTILINE)[1:]
    own = dict(zip(pages[::2], pages[1::2], strict=True))
    for crate in printed.build.crates:
        text = " ".join(own[crate.crate].split())
        if crate.method in ("closed", "battened", "travel"):
            assert "the bottom screws first, the top ones last" in text
            assert "One person holds the piece" in text
        assert crate.pieces[0] in text


def test_sticks_are_counted_in_words_that_fit(printed: Printed) -> None:
    text = " ".join(" ".join((page.extract_text() or "").split()) for page in saw_pages(printed))
    for plan in printed.build.stick_plans:
        if plan.sticks:
            wanted = "1 stick" if plan.count == 1 else f"{plan.count} sticks"
            assert f"{printed.build.shop.good(plan.good).title}: {wanted} " in text


def test_steps_are_all_there_and_numbered(printed: Printed) -> None:
    for crate, *_ in alike(printed.build.crates):
        own = [page for page in printed.pages if title(page).startswith(f"{crate.crate}: ")]
        text = " ".join(" ".join(page.extract_text().split()) for page in own)
        for number, step in enumerate(crate.steps, start=1):
            assert f"{number} {' '.join(step.text.split()[:3])}" in text
            assert " ".join(step.caution.split()[:4]) in text


def test_the_cover_names_the_right_pages(printed: Printed) -> None:
    text = printed.pages[0].extract_text()
    expected = {"Yard": "To buy", "Saw": "At the saw", "Papers": "Consignment list"}
    for part, first in expected.items():
        found = re.search(rf"\b{part} [^0-9]*?(\d+)(?: |$)", text, re.MULTILINE)  # two columns side by side
        assert found
        begun = (printed.pages[int(found[1]) - 1].extract_text() or "").split("\n")
        assert any(line.startswith(first) for line in begun), part  # short sections share pages

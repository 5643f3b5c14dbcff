"""The packet as paper, read back: letters that can be read, pages that are filled, sections, bookmarks and links."""

import io
import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pdfplumber
import pytest
from pdfminer.pdftypes import resolve1

from nesting.base.measure import INCH, LB_KG
from nesting.base.search import QUICK
from nesting.build import Build, build
from nesting.cutting.sawing.blanks import strips_in
from nesting.drawings.packet import packet_bytes
from nesting.drawings.packet.book import packet_scenes
from nesting.drawings.packet.labels import Label, label_scene
from nesting.drawings.packet.names import SECTION_NAMES, listed
from nesting.drawings.packet.paper import PAPERS
from nesting.drawings.packet.printing import LabelSheet, Printing
from nesting.drawings.packet.sheets import plans, setting_rows
from nesting.drawings.packet.side_by_side import Band
from nesting.drawings.scene import POINT, Scene, Text
from nesting.drawings.typeface import LEAST
from nesting.intake import read_order
from nesting.order import Artwork, Order
from nesting.shop.house_rules.printing import GRIDS, LabelRules
from nesting.shop.shop_file import default_shop
from tests.nesting.drawings.builds import plain_build, supply_of
from tests.nesting.drawings.overlap import beyond_paper, overlaps
from tests.weakened import weaken

SAMPLES = Path(__file__).parents[3] / "sample_orders"
ON = date(2027, 3, 2)


@pytest.fixture(scope="module")
def gallery() -> Build:
    shop = default_shop()
    return build(read_order(SAMPLES / "gallery_consignment.csv"), shop, supply_of(shop), search=QUICK)


@pytest.fixture(scope="module", params=["letter", "a4"])
def paper(request: pytest.FixtureRequest, gallery: Build) -> Iterator[Any]:
    with pdfplumber.open(io.BytesIO(packet_bytes(gallery, paper=request.param, on=ON))) as document:
        yield document


def one_crate() -> Build:
    """Return a build of one closed crate alone."""
    work = Artwork("A-01", 30 * INCH, 40 * INCH, 2 * INCH, weight_kg=20 * LB_KG, method="closed")
    return plain_build(Order("one", (work,)))


def filled(page: Any) -> float:
    """Return how far down a page is filled between half-inch margins, its foot left out."""
    foot = float(page.height) - 36 - 14
    things = [*page.chars, *page.rects, *page.lines, *page.curves]
    low = max((float(each["bottom"]) for each in things if each["bottom"] < foot), default=0.0)
    return (low - 36) / (float(page.height) - 72)


def section_of(page: Any) -> str:
    """Return what stands in a page's foot; empty for label paper, which has none."""
    found = re.search(r" · (.+?) page \d+ of \d+", " ".join((page.extract_text() or "").split()))
    return found[1] if found else ""


def test_no_letter_is_smaller_than_eight_points(paper: Any) -> None:
    for page in paper.pages:
        for char in page.chars:
            high = char["size"] if char["upright"] else char["width"]
            assert high >= LEAST - 0.01, f"page {page.page_number}: {char['text']} at {high:.1f}"


def test_no_page_is_nearly_empty(paper: Any) -> None:
    """Pages to open by are cards for one crate each, and label paper ends where the labels do."""
    for page in paper.pages:
        where = section_of(page)
        if where and not where.startswith("Opening"):
            assert filled(page) > 0.33, f"page {page.page_number}, {where}"


def test_the_sample_takes_as_few_sheets_as_promised(paper: Any) -> None:
    """Figures of 0.1.0: 149 pages in all, 31 of them for sheets, 13 of labels; here 77, at normal effort 75."""
    sections = [section_of(page) for page in paper.pages]
    assert len(sections) <= 77
    assert sum(1 for each in sections if each.startswith(("Shop", "Calendar", "Yard"))) <= 3
    assert sum(1 for each in sections if "saw" in each.lower()) <= 14
    assert sum(1 for each in sections if "saw" in each.lower() or each.startswith("Crate")) <= 42
    assert sections.count("") <= 10
    assert sum(1 for each in sections if each.startswith(("Consignment", "Condition", "Figures"))) <= 8


def test_it_says_its_language_title_and_day_and_opens_with_its_outline(paper: Any) -> None:
    catalog = paper.doc.catalog
    assert resolve1(catalog["Lang"]) == b"en-GB"
    assert catalog["PageMode"].name == "UseOutlines"
    assert resolve1(catalog["ViewerPreferences"])["DisplayDocTitle"] is True
    assert paper.metadata["Title"] == "Shop packet: gallery consignment"
    assert paper.metadata["CreationDate"].startswith("D:20270302")


def test_bookmarks_name_sections_and_crates(paper: Any, gallery: Build) -> None:
    found = [(level, title) for level, title, *_ in paper.doc.get_outlines()]
    sections = [title for level, title in found if level == 1]
    assert sections == [title for title in SECTION_NAMES.values() if title != "Calendar"]
    crates = {title for level, title in found if level == 2}
    assert {crate.crate for crate in gallery.crates} == {name for title in crates for name in title.split(", ")}


def test_the_cover_leads_to_every_section(gallery: Build) -> None:
    scenes = packet_scenes(Printing(gallery))
    cover = scenes[0]
    titles = [mark.title for scene in scenes for mark in scene.bookmarks if mark.level == 0][1:]
    assert len(cover.links) == len(titles) > 6
    for link, title in zip(cover.links, titles, strict=True):
        assert title in [mark.title for mark in scenes[link.page - 1].bookmarks]
        assert 0 < link.area.left < link.area.right < cover.width


@pytest.mark.parametrize("name", [name for name in SECTION_NAMES if name != "wall"])
def test_each_section_comes_alone(name: str) -> None:
    made = one_crate()
    scenes = packet_scenes(Printing(made), sections=[name])
    assert [mark.title for scene in scenes for mark in scene.bookmarks if mark.level == 0] == [SECTION_NAMES[name]]
    together = packet_scenes(Printing(made), sections=[name, "truck"])
    assert len(together) >= len(scenes) + (name != "truck")


def test_an_unknown_section_is_told_with_those_there_are() -> None:
    with pytest.raises(ValueError, match=r"found section 'roof'; accepted: cover, wall, yard, saw"):
        packet_bytes(one_crate(), sections=["roof"])
    with pytest.raises(ValueError, match="accepted"):
        listed("saw,roof")
    with pytest.raises(ValueError, match="found no section"):
        listed(" , ")
    assert listed("Saw, bench") == ("saw", "bench")
    assert listed("") == ()


def test_a_single_crate_takes_few_pages() -> None:
    scenes = packet_scenes(Printing(one_crate()))
    assert len(scenes) <= 11


def test_which_small_parts_come_off_strips_is_told_once_where_they_are_cut() -> None:
    made = one_crate()
    printing = Printing(made)
    told = 0
    for layout, plan in plans(printing):
        parts = {part.name: part for crate in made.crates for part in crate.parts if part.good == layout.good}
        strips = strips_in(layout, parts, made.shop.tools)
        bands = [row.more for row in setting_rows(plan, printing, strips) if isinstance(row, Band)]
        counted = sum(int(n) for text in bands for n in re.findall(r"(\d+) small parts? off", text))
        fenced = plan.settings[0].tool in {"track", "table", "chop"}
        assert counted == (sum(len(strip.parts) for strip in strips) if fenced else 0)
        told += counted
        assert all("small part" not in row.more for row in setting_rows(plan, printing) if isinstance(row, Band))
    assert told


def test_every_setting_has_a_box_to_tick_and_a_fence_set_again_says_so() -> None:
    made = one_crate()
    for _, plan in plans(Printing(made)):
        assert all(row.tick for row in setting_rows(plan, Printing(made)) if isinstance(row, Band))
    plan = next(plan for _, plan in plans(Printing(made)) if any(len(each.cuts) > 1 for each in plan.settings))
    setting = next(each for each in plan.settings if len({cut.panel for cut in each.cuts}) > 1)
    fence = replace(setting, tool="table", at=3 * INCH)
    twice = replace(plan, settings=(fence, replace(fence, at=4 * INCH), fence))
    bands = [row.text for row in setting_rows(twice, Printing(made)) if isinstance(row, Band)]
    assert [", again" in text for text in bands] == [False, False, True]


def test_what_is_held_or_incomplete_stands_in_the_largest_letters_of_the_cover(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    weaken(monkeypatch, "A-1")
    work = Artwork("A-1", 24 * INCH, 24 * INCH, 2 * INCH, weight_kg=Decimal(5), method="closed")
    other = Artwork("A-2", 24 * INCH, 24 * INCH, 2 * INCH, weight_kg=Decimal(5), method="closed")
    made = plain_build(Order("weak", (work, other)))
    assert made.held
    cover = packet_scenes(Printing(made, incomplete=("no freight to Far Gallery",)))[0]
    largest = max(text.size for text in texts(cover))
    told = " ".join(text.text for text in texts(cover) if text.size == largest)
    assert made.lacking_line in told
    assert "Incomplete: no freight to Far Gallery." in told


def texts(scene: Scene) -> list[Text]:
    """Return the texts of a page."""
    return [item for item in scene.items if isinstance(item, Text)]


@pytest.mark.parametrize("grid", list(GRIDS))
def test_common_label_paper_is_named_by_its_rows_and_columns(grid: str) -> None:
    sheet = LabelSheet.of(LabelRules(grid=grid))
    assert f"{sheet.rows}x{sheet.columns}" == grid
    assert sheet.paper
    page = PAPERS[sheet.paper]
    scenes = packet_scenes(Printing(one_crate(), labels=sheet), sections=["labels"])
    for scene in scenes:
        assert (scene.width, scene.height) == (page.width, page.height)
        assert not overlaps(scene)
        assert not beyond_paper(scene)
        assert min(item.size for item, _ in scene.on_paper() if isinstance(item, Text)) >= LEAST
    with pytest.raises(ValueError, match="grid"):
        LabelRules(grid="3x3x3")


@pytest.mark.parametrize("height", [27.0, 36.0, 48.0, 60.0, 72.0])
def test_a_low_label_has_fewer_lines_not_smaller_ones(height: float) -> None:
    label = Label("K1.back-batten", "30 × 3 in", "ply-23/32", "2 of 4", "K1", "back", "face")
    scene = label_scene(label, 180.0, height)
    written = texts(scene)
    assert written[0].text.startswith("K1.back-batten")
    assert min(text.size for text in written) >= LEAST
    assert min(text.at[1] for text in written) >= 0
    assert scene.height == height * POINT

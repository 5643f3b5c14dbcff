"""Writing the packet: same bytes, whole files, values handed in, and pages where nothing overlaps for many orders."""

import os
import re
from collections import Counter
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pdfplumber
import pytest

from nesting.base.measure import INCH, LB_KG, format_length, format_weight, pounds
from nesting.build import Build
from nesting.crates.designs import design_lines
from nesting.crates.expand import expand
from nesting.crates.model import Crate
from nesting.cutting.sawing.plan import plan_in
from nesting.drawings.packet import BuyingLine, LabelSheet, Party, Strapped, TravelPapers, packet_bytes
from nesting.drawings.packet.book import packet_scenes
from nesting.drawings.packet.crates import alike, bore_lines
from nesting.drawings.packet.labels import label_pages, labels, outward
from nesting.drawings.packet.paper import PAPERS
from nesting.drawings.packet.printing import Printing
from nesting.drawings.packet.yard import plain_buying, stock_kg
from nesting.drawings.scene import POINT, Scene, Text
from nesting.order import Artwork, Back, Order
from nesting.shop.house_rules.printing import LabelRules
from nesting.shop.shop_file import default_shop
from tests.nesting.drawings.builds import plain_build, random_builds, random_order
from tests.nesting.drawings.overlap import beyond_paper, numbers_over_text, overlaps
from tests.weakened import weaken


@pytest.fixture(scope="module")
def small() -> Build:
    return plain_build(random_order(3, most=2))


def text_of(path: Path) -> str:
    return " ".join(read_pages(path))


def read_pages(path: Path) -> list[str]:
    """Return the text of each page, with one space between words."""
    with pdfplumber.open(path) as document:
        return [" ".join((page.extract_text() or "").split()) for page in document.pages]


def faults_of(build: Build, paper: str) -> list[str]:
    """Return what lies over something else, or beyond the paper's margin, on any page of a packet."""
    printing = Printing(build, PAPERS["a4" if paper == "a4" else "letter"], build.order.units)
    found = []
    for number, scene in enumerate(packet_scenes(printing), start=1):
        margin = 0.0 if scene.title == "Labels" else printing.paper.margin / POINT
        found += [f"page {number}: {pair}" for pair in overlaps(scene)]
        found += [f"page {number}: beyond, {what}" for what in beyond_paper(scene, margin)]
        found += [f"page {number}: {text}" for inset in scene.insets for text in numbers_over_text(inset.scene)]
    return found


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_nothing_overlaps_or_leaves_the_page(paper: str) -> None:
    for build in random_builds(6, start=1000 if paper == "a4" else 0):
        assert not faults_of(build, paper), build.order.name


@pytest.mark.slow
def test_nothing_overlaps_or_leaves_the_page_for_many_orders() -> None:
    """200 orders in the deep profile; each time 18, which with the twelve above are 30."""
    count = 200 if os.environ.get("HYPOTHESIS_PROFILE") == "deep" else 18
    for index, build in enumerate(random_builds(count, start=5000)):
        assert not faults_of(build, "a4" if index % 2 else "letter"), build.order.name


@pytest.mark.slow
def test_forty_crates_tell_of_their_progress() -> None:
    works = tuple(
        Artwork(
            f"A-{i:02d}",
            (24 + i % 15) * INCH,
            (26 + 2 * i % 14) * INCH,
            3 * INCH // 2,
            title=f"Work {i}",
            method="battened" if i % 3 == 0 else "closed",
        )
        for i in range(40)
    )
    build = plain_build(Order("forty crates", works))
    assert len(build.crates) == 40
    told: list[float] = []
    packet_bytes(build, progress=lambda _stage, fraction, *_: told.append(fraction))
    assert len(told) > 20
    assert all(0 <= fraction <= 1 for fraction in told)
    assert told == sorted(told)


def test_the_same_build_gives_the_same_bytes(small: Build) -> None:
    assert packet_bytes(small) == packet_bytes(small)


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_nothing_overlaps_where_crates_are_held_or_accepted(paper: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """The reason stands on every page of an accepted crate, pages that go on from another included."""
    weaken(monkeypatch, "A-1", "A-2")
    work = Artwork("A-1", 24 * INCH, 24 * INCH, 2 * INCH, weight_kg=Decimal(5), method="closed")
    works = (work, replace(work, piece="A-2"), replace(work, piece="A-3"))
    code = plain_build(Order("weak", works)).crate("K2").code
    reason = "the owner knows, and agreed in a letter that is longer than a line of this page has room for, by far"
    build = plain_build(Order("weak", (work, replace(works[1], accept_held=f"{code}: {reason}"), works[2])))
    assert [crate.standing for crate in (*build.held, *build.crates)] == ["held", "accepted", "good"]
    assert faults_of(build, paper) == []
    scenes = packet_scenes(Printing(build, PAPERS["letter"], "inch"))
    told = [
        any("Accepted: the owner knows" in text for text in texts)
        for scene in scenes
        if scene.title.startswith(
            ("Crate K2", "Packing K2", "Opening and return K2", "Consignment", "Condition report A-2")
        )
        for texts in [[written(scene)]]
    ]
    assert len(told) >= 6
    assert all(told)
    stuck = [label for label in labels(Printing(build)) if label.accepted]
    assert {label.crate for label in stuck} == {"K2"}
    sheets = " ".join(written(inset.scene) for page in label_pages(Printing(build)) for inset in page.insets)
    assert sheets.count("crate K2, accepted") == len(stuck)
    assert "Fails, accepted: the owner know" in sheets


@pytest.mark.parametrize("section", ["yard", "saw", "bench", "opening"])
def test_sections_without_the_cover_open_with_what_is_held(section: str, monkeypatch: pytest.MonkeyPatch) -> None:
    weaken(monkeypatch, "A-1")
    work = Artwork("A-1", 24 * INCH, 24 * INCH, 2 * INCH, weight_kg=Decimal(5), method="closed")
    build = plain_build(Order("weak", (work, replace(work, piece="A-2"))))
    first, *_ = packet_scenes(Printing(build), sections=[section])
    assert build.lacking_line in written(first)
    whole = plain_build(Order("whole", (replace(work, piece="A-2"),)))
    assert "Left out" not in packet_scenes(Printing(whole), sections=[section])[0].title


def test_every_crate_of_a_shared_packing_page_has_its_bookmark() -> None:
    works = tuple(
        Artwork(f"C-{i}", (8 + 2 * i) * INCH, 8 * INCH, INCH, weight_kg=Decimal(1), method="carton", surface="paint")
        for i in range(3)
    )
    build = plain_build(Order("cartons", works))
    scenes = packet_scenes(Printing(build), sections=["packing"])
    named = [mark.title for scene in scenes for mark in scene.bookmarks if mark.level == 1]
    assert [name for title in named for name in title.split(", ")] == [crate.crate for crate in build.crates]


def written(scene: Scene) -> str:
    """Return what a scene itself says, in the order of writing."""
    return " ".join(item.text for item in scene.items if isinstance(item, Text))


def test_pages_from_which_several_accepted_crates_are_made_bear_the_reason_of_each(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    weaken(monkeypatch, "A-1", "A-2")
    work = Artwork("A-1", 24 * INCH, 24 * INCH, 2 * INCH, weight_kg=Decimal(5), method="closed")
    works = (work, replace(work, piece="A-2"))
    weak = plain_build(Order("weak", works))
    told = [
        replace(each, accept_held=f"{weak.crate(name).code}: they agreed")
        for each, name in zip(works, ("K1", "K2"), strict=True)
    ]
    build = plain_build(Order("weak", tuple(told)))
    assert [[crate.standing for crate in group] for group in alike(build.crates)] == [["accepted", "accepted"]]
    scenes = packet_scenes(Printing(build, PAPERS["letter"], "inch"), sections=["bench", "packing"])
    assert len(scenes) >= 2
    for scene in scenes:
        text = " ".join(item.text for item in scene.items if isinstance(item, Text))
        assert all(f"{crate.crate} fails and is built all the same" in text for crate in build.crates), scene.title


def test_an_unknown_paper_is_refused(small: Build) -> None:
    with pytest.raises(ValueError, match="accepted: letter, a4"):
        packet_bytes(small, paper="folio")  # type: ignore[arg-type]  # what a user may type


def titled(pages: list[str], title: str) -> list[str]:
    """Return the pages that begin with a title."""
    return [page for page in pages if page.startswith(title)]


def pieces_of(build: Build) -> set[str]:
    """Return the names of all pieces."""
    return {copy.piece for copy in build.order.copies()}


@pytest.fixture(scope="module")
def two_places() -> Build:
    """Three pieces for one place, one for another, one that nobody gave a place."""
    places = ("Far Gallery", "Near Gallery", "Far Gallery", None, "Far Gallery")
    works = tuple(
        Artwork(f"A-0{i}", (20 + i) * INCH, 24 * INCH, 3 * INCH // 2, method="closed", destination=place)
        for i, place in enumerate(places, start=1)
    )
    return plain_build(Order("two places", works))


def test_values_and_statements_come_from_outside_as_text(two_places: Build, tmp_path: Path) -> None:
    far = TravelPapers(
        destination="Far Gallery",
        pieces=("A-01", "A-03", "A-05"),
        number="2026-17",
        date="2 March 2026",
        receiver=Party("Far Gallery (invented)", ("1 Quay Street",)),
        border=True,
        terms={"A-01": "consigned", "A-03": "consigned", "A-05": "sold"},
        currency="USD",
        values={"A-01": "2,400.00", "A-03": "1,100.00", "A-05": "6,499.00"},
        total="9,999.00",
    )
    near = TravelPapers(destination="Near Gallery", pieces=("A-02",), receiver=Party("Near Gallery (invented)"))
    lines = (
        BuyingLine("North Yard (invented)", "Plywood 3/8 in", "ply-3/8 4x8", 3, "at 36.00", 49.0),
        BuyingLine("Paper House (invented)", "Glassine", "glassine 48in", 1, amount="3 1/2 ft"),
    )
    path = tmp_path / "p.pdf"
    path.write_bytes(packet_bytes(two_places, buying=lines, papers=(far, near)))
    pages = read_pages(path)
    text = " ".join(pages)
    for wanted in ("North Yard (invented)", "Paper House (invented)", "at 36.00", "3 1/2 ft"):
        assert wanted in text
    assert "Weight from here: about 108 lb" in text  # 49 kg is 108.03 lb
    (listed,) = titled(pages, "Consignment list: Far Gallery")
    assert "Consigned: A-01, A-03. They remain the sender's" in listed
    for wanted in ("Far Gallery (invented), 1 Quay Street", "Together 9,999.00 USD", "Invoice for customs, packing",
                   "each a file of its own."):  # fmt: skip
        assert wanted in listed
    assert not titled(pages, "Pro-forma invoice"), "customs keep it: it is a paper of its own"
    assert "A-02" not in listed
    (other,) = titled(pages, "Consignment list: Near Gallery")
    assert "A-02" in other
    assert not re.search("A-0[1345]", other)
    assert "remain the sender's" not in other
    assert "Invoice for customs" not in other


def test_what_goes_on_a_pallet_is_told_with_its_weight(two_places: Build, tmp_path: Path) -> None:
    """A carrier weighs what it is handed: the crates' own weights stand in the table, that with the pallet below."""
    crates = [crate for crate in two_places.travelling if crate.destination == "Far Gallery"]
    one = crates[0]
    on = Strapped((one.crate,), "Pallet (invented)", 48 * INCH, 50 * INCH, 40 * INCH, one.gross_kg + 20)
    pieces = ("A-01", "A-03", "A-05")
    far = TravelPapers(destination="Far Gallery", pieces=pieces, border=True, strapped=(on,))
    (tmp_path / "p.pdf").write_bytes(packet_bytes(two_places, papers=(far,)))
    pages = read_pages(tmp_path / "p.pdf")
    (listed,) = titled(pages, "Consignment list: Far Gallery")
    with_it = format_weight(one.gross_kg + 20, "inch", mark=True)
    assert f"Handed over strapped: {one.crate} on Pallet (invented); 48 × 50 × 40 in, gross {with_it}" in listed
    assert format_weight(one.gross_kg, "inch", mark=True) in listed


def test_by_itself_each_destination_has_its_own_papers(two_places: Build, tmp_path: Path) -> None:
    (tmp_path / "p.pdf").write_bytes(packet_bytes(two_places))
    pages = read_pages(tmp_path / "p.pdf")
    text = " ".join(pages)
    assert "Pro-forma" not in text
    assert "Handed over strapped" not in text
    assert "value" not in text.lower().replace("great value", "")
    lists = titled(pages, "Consignment list")
    # The place whose papers leave most of their last page to the figures comes last.
    assert sorted(re.findall(r"(A-0\d) ", page.partition("Crates crate")[0]) for page in lists) == [
        ["A-01", "A-03", "A-05"], ["A-02"], ["A-04"]
    ]  # fmt: skip
    assert sorted(page.partition("Order: ")[0].strip() for page in lists) == [
        "Consignment list", "Consignment list: Far Gallery", "Consignment list: Near Gallery"
    ]  # fmt: skip
    told = re.findall(r"Condition report: (\S+)", text)
    assert sorted(name for name in told if name in pieces_of(two_places)) == ["A-01", "A-02", "A-03", "A-04", "A-05"]


def test_the_buying_list_counts_what_the_layouts_cut(small: Build) -> None:
    lines = {line.stock: line for line in plain_buying(small)}
    for layout in small.layouts:
        bought = sum(each.repeat for each in layout.sheets)
        assert sum(lines[name].count for name in {each.sheet.name for each in layout.sheets}) == bought
    screws = sum(p.count for crate in small.crates for p in crate.piecework if p.good == "screw 10x1-1/4")
    if screws:
        assert lines["screw 10x1-1/4 box 100"].count == -(-screws // 100)


def test_weights_of_stock() -> None:
    shop = default_shop()
    plywood = shop.good("ply-23/32")
    # 3.0 lb/ft2 per inch of thickness (panel trade figure, goods table): 32 ft2 x 23/32 x 3.0 = 69 lb.
    assert pounds(stock_kg(plywood, plywood.sizes[0])) == pytest.approx(69.0, rel=0.005)
    stick = shop.good("2x3")
    inches = 1.5 * 2.5 * (stick.sizes[0].length / INCH)
    assert stock_kg(stick, stick.sizes[0]) == pytest.approx(inches * 0.0254**3 * stick.density)


def crate_with(crates: tuple[Crate, ...], method: str) -> Crate:
    return next(crate for crate in crates if crate.method == method)


def test_labels_say_which_side_looks_outward() -> None:
    build = plain_build(Order("two", (Artwork("A-01", 30 * INCH, 30 * INCH, 2 * INCH, method="closed"),)))
    crate = crate_with(build.crates, "closed")
    told = {(label.name, label.copy): (label.out, label.edge) for label in labels(Printing(build))}
    assert told["K1.back", ""] == ("back", "face")
    assert told["K1.lid", ""] == ("front", "face")
    rails = {told["K1.rail", "1 of 2"][0], told["K1.rail", "2 of 2"][0]}
    assert rails == {"bottom", "top"}
    assert {told["K1.stile", "1 of 2"][0], told["K1.stile", "2 of 2"][0]} == {"left side", "right side"}
    inside = next(each for each in crate.placed if each.role == "cleat")
    assert outward(crate, inside) is None
    assert told[inside.part, ""] == ("", "")


def test_labels_come_in_the_order_in_which_the_cuts_make_the_parts(small: Build) -> None:
    """By a plain reading of the plans: each name's labels stand where its parts come off."""
    made: list[str] = []
    for layout in small.layouts:
        for cut in plan_in(small.shop, layout).cuts:
            made += [side.name for side in (cut.off, cut.stays) if side.kind == "part"] * cut.repeat
    told = [label for label in labels(Printing(small)) if label.cut]
    assert {label.name for label in told} == set(made)
    first = [made.index(name) for name in dict.fromkeys(label.name for label in told)]
    assert first == sorted(first)
    goods = [label.good for label in told]
    assert list(dict.fromkeys(goods)) == [layout.good for layout in small.layouts if layout.good in goods]
    for good in set(goods):
        cuts = [label.cut for label in told if label.good == good]
        assert cuts == sorted(cuts)


def test_each_half_of_a_french_cleat_has_its_label_after_the_rip() -> None:
    build = plain_build(Order("hung", (Artwork("A-01", 36 * INCH, 48 * INCH, 2 * INCH, method="travel"),)))
    halved = {placed.part for crate in build.crates for placed in crate.placed if placed.half}
    told = [label for label in labels(Printing(build)) if label.name in halved]
    assert Counter(label.name for label in told) == dict.fromkeys(halved, 2)
    assert Counter(label.copy for label in told) == {"buyer's half": len(halved), "piece's half": len(halved)}
    good = told[0].good
    (layout,) = [each for each in build.layouts if each.good == good]
    assert all(label.cut > len(plan_in(build.shop, layout).cuts) for label in told)
    long_face = build.shop.travel.cleat_width
    assert all(label.size.endswith(f"× {format_length(long_face, 'inch', mark=True)}") for label in told)


def test_labels_of_battens_say_that_they_lie_outside() -> None:
    """All battens of a face are of one thickness, so that each reaches the crate's back or front."""
    sizes = ((40, 60, 30), (100, 60, 140), (90, 90, 200))
    order = Order("o", tuple(flat(f"A-{n}", *size) for n, size in enumerate(sizes)))
    seen = set()
    for crate in expand(order, default_shop()):
        for placed in crate.placed:
            if placed.role in ("batten", "seam batten"):
                out = outward(crate, placed)
                assert out == ((0, 0, -1 if ".back-" in placed.part else 1), "face"), placed.part
                seen.add((placed.role, out[0]))
    assert len(seen) == 4


def test_the_drawing_of_the_back_tells_pilot_stop_and_clearance() -> None:
    build = plain_build(Order("o", (flat("A-01", 30, 60, 40),)))
    (crate,) = build.crates
    printing = Printing(build, PAPERS["letter"], "inch")
    (page,) = [scene for scene in packet_scenes(printing) if "Pilot hole: " in words(scene)]
    point = crate.drill[0]
    assert f"Pilot hole: {point.pilot}, stop on the drill at {point.stop}" in words(page)
    assert f"Clearance hole: {point.clearance}, through the back alone" in words(page)
    (key,) = [scene for scene in packet_scenes(printing) if "Dashed: behind the back." in words(scene)]
    assert "Back, from outside" in [inset.scene.title for inset in key.insets]


def test_holes_of_two_kinds_are_told_apart_by_their_numbers() -> None:
    build = plain_build(Order("o", (flat("A-01", 30, 40, 40),)))
    crate = build.crates[0]
    first, second, *rest = crate.drill
    mixed = replace(crate, drill=(first, replace(second, stop="1 1/64 in"), *rest, replace(second, stop="1 1/64 in")))
    told = list(bore_lines(mixed))
    last = len(mixed.drill)
    assert told[0].startswith(f"Pilot hole 1, 3 to {last - 1}: ")
    assert told[2] == f"Pilot hole 2, {last}: {second.pilot}, stop on the drill at 1 1/64 in"


def test_the_first_page_of_a_crate_says_what_it_is_built_to_and_what_came_next() -> None:
    build = plain_build(Order("o", (flat("A-01", 30, 40, 40),)))
    (crate,) = build.crates
    printing = Printing(build, PAPERS["letter"], "inch")
    page = next(scene for scene in packet_scenes(printing) if "Why this way" in words(scene))
    for line in design_lines(crate, "inch"):
        assert line in words(page)
    assert len(list(design_lines(crate, "inch"))) == 2


def flat(piece: str, width: int, height: int, lb: int) -> Artwork:
    """Return a solid panel of so many inches and pounds."""
    return Artwork(
        piece,
        width * INCH,
        height * INCH,
        3 * INCH // 2,
        weight_kg=Decimal(lb) * LB_KG,
        back=Back("solid"),
        method="battened",
    )


def words(scene: Scene) -> str:
    """Return the text of a page in one line."""
    return " ".join(item.text for item in scene.items if isinstance(item, Text))


def test_label_paper_is_settable(small: Build) -> None:
    count = sum(1 for _ in labels(Printing(small)))
    for rows, columns in ((10, 3), (7, 2), (4, 1)):
        sheet = LabelSheet(rows, columns, top=30.0, side=20.0, row_gap=4.0, column_gap=8.0)
        pages = list(label_pages(Printing(small, labels=sheet)))
        assert len(pages) == -(-count // (rows * columns))
        first = pages[0].insets[0]
        assert first.at[0] / POINT == pytest.approx(20.0)
        assert (first.at[1] + first.scene.height) / POINT == pytest.approx(792 - 30.0)
        assert all(not beyond_paper(p.scene(1, 1, "")) and not overlaps(p.scene(1, 1, "")) for p in pages)
    with pytest.raises(ValueError, match="rows"):
        LabelSheet(rows=0)
    shop = replace(small.shop, labels=LabelRules(rows=7, columns=2, top=30 * INCH // 72, side=INCH // 4))
    pages = list(label_pages(Printing(replace(small, shop=shop))))
    assert len(pages) == -(-count // 14)
    assert pages[0].insets[0].at[0] == INCH // 4


@pytest.mark.parametrize("wrong", [{"columns": 8}, {"rows": 30, "row_gap": INCH // 4}, {"columns": 9}, {"top": -1}])
def test_label_paper_with_no_room_for_labels_is_refused(wrong: dict[str, Any]) -> None:
    with pytest.raises(ValueError, match="accepted"):
        LabelRules(**wrong)


def test_cartons_made_alike_share_their_pages_and_are_checked_each(tmp_path: Path) -> None:
    """Three copies of a small piece and one for another place: made once, each checked in a box of its own."""
    work = Artwork("A-01", 8 * INCH, 8 * INCH, INCH, weight_kg=Decimal(1), quantity=3, method="carton")
    other = replace(work, piece="B-01", quantity=1, destination="Hillside Gallery")
    larger = replace(work, piece="C-01", width=9 * INCH, quantity=1)
    built = plain_build(Order("alike", (work, other, larger)))
    names = [crate.crate for crate in built.crates]
    assert [[crate.crate for crate in group] for group in alike(built.crates)] == [names[:4], names[4:]]
    (tmp_path / "p.pdf").write_bytes(packet_bytes(built))
    text = text_of(tmp_path / "p.pdf")
    assert f"4 are made alike, from these pages: {names[0]}, and {names[1]} for A-01#2, {names[2]} for A-01#3" in text
    assert text.count("Step by step") == 2
    assert f"{', '.join(names[:4])}: check before closing" in text
    assert f"The right piece: {names[0]}: A-01#1; {names[1]}: A-01#2; {names[2]}: A-01#3; {names[3]}: B-01." in text
    assert all(f"{name} by" in text for name in names[:4])


def test_crates_that_are_made_otherwise_are_not_alike() -> None:
    works = [flat(f"A-0{n}", 30, 40, kg) for n, kg in ((1, 10), (2, 10), (3, 10))]
    first, second, third = plain_build(Order("o", tuple(works))).crates
    assert len(alike((first, second, third))) == 1
    deeper = replace(second, outside=replace(second.outside, depth=second.outside.depth + 1))
    drilled = replace(third, drill=third.drill[1:])
    assert len(alike((first, deeper, drilled))) == 3
    assert len(alike((first, replace(second, destination="Far Gallery"), replace(third, net_kg=11)))) == 1


def test_a_glazed_face_is_whole_and_another_one_cured(tmp_path: Path) -> None:
    glazed = Artwork("A-01", 8 * INCH, 8 * INCH, INCH, weight_kg=Decimal(1), method="carton", surface="glazed")
    for works, cured, whole in (
        ((glazed,), 0, 1),
        ((replace(glazed, surface="resin"),), 1, 0),
        ((glazed, replace(glazed, piece="B-01", surface="paint")), 1, 1),
    ):
        (tmp_path / "p.pdf").write_bytes(packet_bytes(plain_build(Order("faces", works))))
        text = text_of(tmp_path / "p.pdf")
        assert text.count("Surface cured, clean and dry") == cured
        assert text.count("check that the surface is cured before you pack") == cured
        assert text.count("Glazing whole, clean and dry") == whole


def test_a_frame_alone_in_its_case_is_opened_and_packed_as_one() -> None:
    work = Artwork("A-01", 40 * INCH, 50 * INCH, 2 * INCH, weight_kg=Decimal(15), method="travel")
    built = plain_build(Order("alone", (work,)))
    case = next(crate for crate in built.crates if crate.method == "outer")
    text = " ".join(words(scene) for scene in packet_scenes(Printing(built)))
    assert "Slide the travel frame out" in text
    assert "spacers" not in text
    assert "Two people or forks" not in text
    assert f"To be lifted by {case.lift}, as it says above" in text
    assert "removal screws are in, into the halves on the piece" in text

"""What a condition report says before anybody looks at the work, and how the packet writes it."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from nesting.base.measure import INCH
from nesting.drawings.condition import GRADES, OFTEN, Report, face_size, report_of
from nesting.drawings.packet.condition import report_title, write_report
from nesting.drawings.packet.page import Flow
from nesting.drawings.packet.paper import PAPERS
from nesting.drawings.scene import Polygon, Text
from nesting.order import Artwork, Back
from tests.pricing.builds import small_build

WORK = Artwork(
    "A-01", 40 * INCH, 30 * INCH, 2 * INCH, "Tidal Study", artist="Z. Ångström", year="2026",
    medium="resin on birch panel", poured=date(2026, 11, 2), pours=1,
)  # fmt: skip


def report(work: Artwork) -> Report:
    return report_of(work, small_build())


def known(work: Artwork) -> dict[str, str]:
    made = report(work)
    return {fact.label: fact.text for fact in (*made.made, *made.known)}


def test_what_the_order_says_is_filled_in() -> None:
    """Fields of two museums' forms (National Trust, Illinois State Museum), as far as an order knows them."""
    facts = known(replace(WORK, edition="3 of 8", support="birch panel", back=Back("strainer", 2 * INCH, INCH)))
    assert facts == {
        "Artist": "Z. Ångström", "Year": "2026", "Medium": "resin on birch panel", "Edition": "3 of 8",
        "Surface": "resin; nothing lies against it before 2026-11-10",
        "Shock": "30 G at the most, taken from its size", "Support": "birch panel", "Back": "strainer",
    }  # fmt: skip
    assert GRADES == ("excellent", "good", "fair", "poor")
    assert "2 (n + 1)" in OFTEN


def test_what_nobody_said_is_left_to_write() -> None:
    facts = known(replace(WORK, artist="", medium="", poured=None))
    assert (facts["Artist"], facts["Year"], facts["Medium"]) == ("", "2026", "")
    assert facts["Surface"] == "resin, day of its last pour not known"
    assert report(replace(WORK, title="")).title == "Title not given"


@pytest.mark.parametrize(
    ("limit", "told"),
    [("20", "20 G at the most, as the order says"), ("45", "30 G at the most, taken from its size")],
)
def test_a_stated_limit_of_shock_counts_where_it_is_less(limit: str, told: str) -> None:
    assert known(replace(WORK, shock_limit=Decimal(limit)))["Shock"] == told


def test_what_is_looked_at_hangs_on_what_the_work_is() -> None:
    assert report(WORK).aspects == ("face, surface", "edges and corners", "back, cleats, labels", "earlier repairs")
    cradle = replace(WORK, surface="glazed", back=Back("cradle", INCH, INCH))
    assert report(cradle).aspects[:2] == ("face and glazing", "edges and cradle")


@pytest.mark.parametrize(("room", "drawn"), [((100.0, 100.0), (100.0, 75.0)), ((400.0, 30.0), (40.0, 30.0))])
def test_a_face_is_drawn_in_proportion(room: tuple[float, float], drawn: tuple[float, float]) -> None:
    assert face_size(WORK, *room) == pytest.approx(drawn)


def test_the_packet_writes_it_with_the_face_and_boxes_to_tick() -> None:
    flow = Flow(PAPERS["letter"], "Condition report A-01", report_title(WORK), size=12.0)
    before = len(flow.page.items)
    work = replace(WORK, artist="")
    write_report(flow, report(work), size="30 × 40 × 2 in", crate="K1", lender="Our Studio", accepted="")
    items = flow.page.items[before:]
    texts = [item.text for item in items if isinstance(item, Text)]
    whole = " ".join(texts)
    for said in (
        "Tidal Study; 2026, resin on birch panel.", "Lent by Our Studio.", "before 2026-11-10", "30 G at the most",
        "Going out: condition", "Coming in: what changed", "lower left", "artist", "signature, borrower",
    ):  # fmt: skip
        assert said in whole
    assert [texts.count(word) for word in GRADES] == [2, 2, 2, 2]
    sides = [
        (max(x for x, _ in each.points) - min(x for x, _ in each.points),
         max(y for _, y in each.points) - min(y for _, y in each.points))
        for each in items if isinstance(each, Polygon)
    ]  # fmt: skip
    wide, high = max(sides)
    assert wide / high == pytest.approx(40 / 30), "the face, in proportion"
    assert len(sides) == 9, "eight boxes to tick and the face"
    assert len(flow.pages) == 1

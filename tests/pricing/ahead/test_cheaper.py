"""The cheaper way: a real quote behind it, words for what it costs in protection, and silence where there is none."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from io import BytesIO

import pytest
from openpyxl import load_workbook

from nesting.base.measure import INCH
from nesting.base.search import QUICK
from nesting.order import Artwork, Back, Order
from pricing.ahead.cheaper import QUOTED, cheaper
from pricing.ahead.methods import with_methods
from pricing.ahead.swaps import swaps
from pricing.output.summary import summary
from pricing.output.workbook import workbook_bytes
from pricing.quoting.quote import Quote
from pricing.quoting.sawn import Sawn
from pricing.quoting.work import work
from pricing.studio.destinations import Destination, Destinations
from pricing.studio.office import Office

ON = date(2027, 4, 1)


def work_of(name: str, width: int, height: int, method: str = "auto", **facts: object) -> Artwork:
    """Make one panel; sizes in inches."""
    made = Artwork(
        name, width * INCH, height * INCH, 3 * INCH // 2, weight_kg=Decimal(3), support="birch panel", surface="paint",
        back=Back("solid"), method=method,
    )  # fmt: skip
    return replace(made, **facts)  # type: ignore[arg-type]  # plain keywords


def studio() -> Office:
    """Return a studio whose own door lets every case out."""
    plain = Office()
    ways = replace(plain.shop.passage, door_width=94 * INCH, door_height=108 * INCH)
    return replace(plain, shop=replace(plain.shop, passage=ways))


def quoted(*works: Artwork) -> Quote:
    return work(Order("pieces", works, currency="USD"), studio(), on=ON, search=QUICK)


@pytest.fixture(scope="module")
def asked() -> Quote:
    """Quote a small piece for which the order asks a closed crate, beside one in a carton."""
    return quoted(work_of("A-01", 12, 12, "closed"), work_of("A-02", 14, 16))


def test_the_way_is_what_a_quote_of_it_says(asked: Quote) -> None:
    found = cheaper(asked)
    assert found is not None
    assert found.words == "A-01 in a carton instead of a closed crate"
    assert found.protection.startswith("a carton protects less than a closed crate")
    other = work(with_methods(asked.build.order, {"A-01": "carton"}), studio(), on=ON, search=QUICK)
    assert found.saves == asked.total - other.total > 0
    assert 1 <= found.tried <= QUOTED["quick"]


def test_it_is_told_in_the_summary_and_in_the_workbook(asked: Quote) -> None:
    found = cheaper(asked)
    assert found is not None
    assert found.line in " ".join(summary(asked, found).split())
    book = load_workbook(BytesIO(workbook_bytes(asked, cheaper=found)))
    assert found.line in {cell.value for row in book["Assumptions"].iter_rows() for cell in row}
    assert "cheaper way" not in summary(asked)


def test_snug_is_no_dearer_than_what_the_check_asks_for() -> None:
    """Three frames by the studio's own van: with 2x2 lumber thin foam on thick boards came out 26 dearer."""
    frames = tuple(work_of(f"A-{n}", 37, 37, "travel", destination="Hall") for n in range(3))
    van = replace(studio(), destinations=Destinations((Destination("Hall", profile="van", km=Decimal(50)),)))
    checked, snug = (
        work(Order("frames", frames, currency="USD", cushion=rule), van, on=ON, search=QUICK).total
        for rule in ("checked", "snug")
    )
    assert snug <= checked


def test_nothing_is_told_where_nothing_saves() -> None:
    assert cheaper(quoted(work_of("A-02", 14, 16))) is None


def test_a_job_that_was_cut_in_part_has_no_other_way(asked: Quote) -> None:
    assert cheaper(replace(asked, sawn=Sawn())) is None


def test_equal_pieces_are_quoted_once_and_the_most_promising_first(asked: Quote) -> None:
    both = quoted(work_of("A-01", 12, 12, "closed"), work_of("A-03", 12, 12, "closed"))
    found = swaps(both)
    assert [each.words.split()[0] for each in found].count("A-03") == 0
    assert [each.promise for each in found] == sorted((each.promise for each in found), reverse=True)
    assert all(each.promise > 0 for each in swaps(asked))


def test_what_the_order_keeps_apart_may_be_named() -> None:
    pair = (
        work_of("A-01", 40, 40, "travel", destination="Gallery", apart=("A-02",)),
        work_of("A-02", 40, 40, "travel", destination="Gallery"),
    )
    made = quoted(*pair)
    words = {each.words: each for each in swaps(made)}
    swap = words["A-01 no longer kept apart from others"]
    other = work(swap.order, swap.office, on=ON, search=QUICK)
    assert len(other.build.travelling) == len(made.build.travelling) - 1
    assert swap.protection == "pieces that the order keeps apart share a case"


def test_a_frame_more_in_each_case_makes_one_case_fewer() -> None:
    """Six frames, five to a case by the shop's rule: two cases, which are one where six may share it."""
    six = tuple(work_of(f"A-{n:02}", 20, 24, "travel", destination="Gallery") for n in range(6))
    made = quoted(*six)
    assert len(made.build.travelling) == 2
    swap = next(each for each in swaps(made) if "frames in a case" in each.words)
    assert swap.words == "up to 6 frames in a case instead of 5 to Gallery"
    assert len(work(swap.order, swap.office, on=ON, search=QUICK).build.travelling) == 1

"""The quick answer, and that it is what the command line would say."""

from dataclasses import is_dataclass, replace
from decimal import Decimal
from pathlib import Path

import pytest

from nesting.base.measure import INCH
from nesting.base.rules import rules_of
from nesting.shop.shop_file import default_shop
from pricing.desk.content import Content
from pricing.desk.desk import Desk, Sheaf
from pricing.desk.studio import alternatives, for_job, swapped
from pricing.desk.table import read
from pricing.quoting.plans import with_plans
from pricing.store import Store
from tests.pricing.desk.orders import DAY, HEADINGS, ROWS, quick_quote, twelve


def _job(desk: Desk, content: Content) -> Sheaf:
    job = desk.store.jobs.add("A job")
    return desk.save(job, content, based_on=0, what="begun")


SMALL = Content(headings=HEADINGS, rows=ROWS)


def test_the_quick_answer_is_that_of_the_command_line(desk: Desk) -> None:
    answer = _job(desk, SMALL).answer
    assert answer is not None
    assert answer.quote.total == quick_quote().total
    assert answer.effort == "quick"


def test_a_jobs_own_prices_rules_and_shortages_reach_the_quote(desk: Desk) -> None:
    base = _job(desk, SMALL).answer
    dear = _job(desk, replace(SMALL, prices={"ply-23/32 4x8": "99.00"}, rules={"price.overhead": "20%"})).answer
    assert base is not None
    assert dear is not None
    assert dear.quote.book.price("ply-23/32 4x8").price == Decimal("99.00")
    assert dear.quote.rates.price.overhead == Decimal("0.2")
    assert dear.quote.total > base.quote.total
    instead = _job(desk, replace(SMALL, missing=("ply-3/8 4x8",), swaps={"ply-3/8": "ply-15/32"})).answer
    assert instead is not None
    bought = {row.good for row in instead.quote.takeoff.rows}
    assert "ply-15/32" in bought
    assert "ply-3/8" not in bought


def test_what_is_not_to_be_had_is_not_bought(desk: Desk) -> None:
    """2 x 3 in lumber is stocked in two lengths: without one, all is cut from the other."""
    sheaf = _job(desk, replace(SMALL, missing=("2x3 8ft",)))
    assert sheaf.answer is not None
    assert "2x3 8ft" not in {row.stock for row in sheaf.answer.quote.takeoff.rows if row.bought}


def test_nothing_left_to_cut_from_is_a_fault_and_no_traceback(desk: Desk) -> None:
    sheaf = _job(desk, replace(SMALL, missing=("ply-3/8 4x8",)))
    assert sheaf.answer is None
    assert any("ply-3/8" in fault.text for fault in sheaf.faults)


def test_alternatives_are_of_the_same_kind_nearest_first(desk: Desk) -> None:
    assert list(alternatives(desk.papers.shop, "ply-3/8"))[:2] == ["ply-15/32", "ply-23/32"]


def test_faults_of_the_jobs_own_settings_are_told(desk: Desk) -> None:
    sheaf = _job(desk, replace(SMALL, rules={"frame.larger_by": "90 in"}, prices={"ply-3/8 4x8": "cheap"}))
    assert sheaf.answer is None
    assert len(sheaf.faults) == 2


def test_with_plans_passes_over_what_is_not_cut(desk: Desk) -> None:
    sheaf = _job(desk, SMALL)
    assert sheaf.answer is not None
    build = sheaf.answer.quote.build
    assert with_plans(build, {"another good": build.layouts[0]}) == build


def test_every_change_to_twelve_pieces_is_priced_at_once(tmp_path: Path) -> None:
    """Each save answers with its own new total; how soon is measured by ``tests.benchmarks.desk_load``."""
    desk = Desk(Store(tmp_path / "data"), today=lambda: DAY, patience=60.0, effort="quick")
    try:
        rows = [list(row) for row in twelve()]
        job = desk.store.jobs.add("Twelve")
        totals = []
        for number in range(7):
            rows[number][2] = f"{20 + number} 1/4"
            content = Content(headings=HEADINGS, rows=tuple(map(tuple, rows)))
            sheaf = desk.save(job, content, based_on=number, what="wider")
            assert sheaf.answer is not None
            assert sheaf.answer.quote.build.order.artworks[number].width == INCH * (20 + number) + INCH // 4
            totals.append(sheaf.answer.quote.total)
        assert len(set(totals)) > 1
    finally:
        desk.close()


def test_reading_and_building_agree_on_the_office(desk: Desk) -> None:
    office = for_job(desk.papers.office(), Content())
    assert office == desk.papers.office()
    assert read(SMALL, "x").order is not None


@pytest.mark.parametrize("rows", [(), (("", "", ""),)])
def test_an_empty_job_has_no_answer_and_no_fault(desk: Desk, rows: tuple[tuple[str, ...], ...]) -> None:
    sheaf = _job(desk, Content(rows=rows))
    assert sheaf.answer is None
    assert sheaf.faults == ()


def test_a_good_that_stands_in_does_so_in_lists_of_goods_too() -> None:
    """Battens are of any of a list of goods: the one that is not to be had leaves it."""
    shop = default_shop()
    now = swapped(shop, "ply-3/8", "ply-15/32")
    assert now.battens.goods == ("ply-15/32", "ply-23/32")
    assert (now.frame.back_light, now.frame.lid, now.cleats.second) == ("ply-15/32",) * 3
    assert "ply-3/8" not in {
        each
        for group in vars(now).values()
        if is_dataclass(group)
        for facts in rules_of(group)
        for value in (getattr(group, facts.name),)
        for each in (value if isinstance(value, tuple) else (value,))
    }
    assert now.cleats.screws == shop.cleats.screws

"""Pages and columns that come only with what they need: the calendar, the methods, marginal prices."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from functools import cache
from typing import Any

from nesting.crates.registry import called
from pricing.ahead.calendar.dates import Calendar, plan_dates
from pricing.ahead.methods.combine import Combination, combine
from pricing.ahead.methods.pricer import Pricer
from pricing.output.job import read_both
from pricing.output.workbook import workbook_bytes
from pricing.output.workbook.binder import TABS
from pricing.quoting.marginal import Marginal
from tests.pricing.output.workbook.support import DAY, SAMPLES, differences, in_office, opened, sample, table, written


@cache
def found() -> Combination:
    order, office = read_both(SAMPLES / "small_sale.csv", None, None)
    return combine(Pricer(order, in_office(office), DAY))


def test_both_pages_stand_before_the_prices() -> None:
    quote = sample("small_sale.csv")
    content = workbook_bytes(quote, plan=plan_dates(quote), methods=found())
    tabs = opened(content, values=False).sheetnames
    assert tabs == [*TABS[:9], "Calendar", "Methods", *TABS[9:]]
    assert differences(content, quote) == []


def test_the_calendar_says_every_day_and_what_is_late() -> None:
    quote = sample("small_sale.csv")
    plan = plan_dates(quote)
    first = plan.entries[0]
    late = replace(first, due=first.last - timedelta(days=3))
    plan = Calendar(plan.on, (late, *plan.entries[1:]), plan.last_day_to_buy)
    content = workbook_bytes(quote, plan=plan)
    sheet: Any = opened(content, values=True)["Calendar"]
    rows = [row for row in sheet.iter_rows(values_only=True) if hasattr(row[2], "date") and hasattr(row[3], "date")]
    assert [(row[0], row[1], row[2].date(), row[3].date()) for row in rows] == [
        (entry.kind, entry.what, entry.first, entry.last) for entry in plan.entries
    ]
    assert rows[0][5] == 3
    told = [str(cell) for row in sheet.iter_rows(values_only=True) for cell in row if cell is not None]
    assert any(text.startswith(f"Late: {first.kind} {first.what}: 3 days") for text in told)
    drawn: Any = opened(content, values=False)["Calendar"]
    assert len(drawn._charts) == 1  # noqa: SLF001 - no other way to count charts


def test_the_methods_page_has_every_way_of_every_piece() -> None:
    quote, combination = sample("small_sale.csv"), found()
    sheet = opened(workbook_bytes(quote, methods=combination), values=True)["Methods"]
    methods = {called(method) for method in ("carton", "closed", "battened", "travel")}
    shown = [str(row[0]).removesuffix(", now") for row in sheet.iter_rows(values_only=True)]
    assert [name for name in shown if name in methods] == [
        called(row.method) for rows in combination.comparison.rows for row in rows
    ]
    now = [row for row in sheet.iter_rows(values_only=True) if str(row[0]).endswith(", now")]
    wanted = [row.bearing for rows in combination.comparison.rows for row in rows if row.chosen]
    assert [Decimal(str(row[1])) for row in now] == [bearing.cost for bearing in wanted if bearing]


def test_marginal_prices_stand_beside_the_shares() -> None:
    quote = sample("small_sale.csv")
    marginals = [
        Marginal(each.piece, quote.total - 40 - n, Decimal(40 + n)) for n, each in enumerate(quote.build.order.artworks)
    ]
    content = workbook_bytes(quote, marginals=marginals)
    rows = table(opened(content, values=True)["Shares"], "Piece", "Adds to the total")
    assert [rows[each.piece]["Adds to the total"] for each in marginals] == [40, 41]
    assert differences(content, quote) == []


def test_the_crates_page_says_who_lifts_what() -> None:
    quote = sample("small_sale.csv")
    sheet: Any = opened(written("small_sale.csv"), values=True)["Crates"]
    rows = list(sheet.iter_rows(values_only=True))
    column = next(row for row in rows if row[0] == "Crate").index("Who lifts it")
    shown = {row[0]: row[column] for row in rows if row[0] and row[12]}
    assert [shown[crate.crate] for crate in quote.build.crates] == [crate.lift for crate in quote.build.crates]


def test_what_is_bought_is_told_in_words_that_go_with_the_count() -> None:
    sheet: Any = opened(written("gallery_consignment.csv"), values=True)["Buying"]
    told = {(row[1] == 1, row[2]) for row in sheet.iter_rows(values_only=True) if isinstance(row[1], int | float)}
    assert {(True, "sheet"), (False, "sheets"), (True, "box")} <= told
    assert not told & {(True, "sheets"), (False, "sheet"), (False, "box"), (True, "boxes")}

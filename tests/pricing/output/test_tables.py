import csv
import io
import json
from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from nesting.base.measure import UnitSystem
from pricing.output.tables import buying, csv_files, quote_document, quote_json, quote_tables
from pricing.quoting.quote import Quote, quote
from pricing.studio.destinations import Destination, Destinations
from pricing.studio.office import Office
from pricing.studio.rates_file import default_rates
from tests.pricing.builds import small_build

PLACES = Destinations((Destination("Harbour Gallery", km=Decimal(120), profile="van"),))


@pytest.fixture(scope="module")
def made() -> Quote:
    """Price the small build."""
    return quote(small_build(), Office(destinations=PLACES), on=date(2026, 11, 1))


def rows_of(made: Quote, name: str) -> list[dict[str, str]]:
    """Read one CSV file back."""
    return list(csv.DictReader(io.StringIO(csv_files(made)[f"{name}.csv"])))


def test_each_table_is_a_csv_file_as_wide_as_its_heading(made: Quote) -> None:
    assert set(csv_files(made)) == {f"{table.name}.csv" for table in quote_tables(made)}
    for table in quote_tables(made):
        for row in csv.reader(io.StringIO(csv_files(made)[f"{table.name}.csv"])):
            assert len(row) == len(table.headings)


def test_costs_sum_to_the_totals(made: Quote) -> None:
    costs = rows_of(made, "costs")
    direct = sum(Decimal(row["amount"]) for row in costs if row["section"] not in ("freight", "insurance"))
    totals = {row["step"]: row for row in rows_of(made, "totals")}
    assert direct == Decimal(totals["Direct cost"]["amount"])
    freight = sum(Decimal(row["amount"]) for row in costs if row["section"] == "freight")
    assert freight == Decimal(totals["Freight (estimate)"]["amount"])
    assert Decimal(rows_of(made, "totals")[-1]["running total"]) == made.total


def test_shares_end_in_a_row_that_sums_them(made: Quote) -> None:
    *pieces, last = rows_of(made, "shares")
    assert sum(Decimal(row["total"]) for row in pieces) == Decimal(last["total"]) == made.total


def test_the_buying_list_holds_every_sheet_by_supplier(made: Quote) -> None:
    rows = rows_of(made, "buying")
    assert [row["supplier"] for row in rows] == sorted(row["supplier"] for row in rows)
    assert sum(Decimal(row["amount"]) for row in rows) == made.takeoff.bought_amount
    for layout in made.build.layouts:
        count = sum(each.repeat for each in layout.sheets)
        stock = layout.sheets[0].sheet.name
        assert next(row["quantity"] for row in rows if row["stock"] == stock) == str(count)
    assert len(buying(made)) == len(rows)


def test_the_cut_list_holds_every_part_once(made: Quote) -> None:
    crates = made.build.crates
    parts = [part.name for crate in crates for part in crate.parts]
    parts += [stick.name for crate in crates for stick in crate.sticks]
    parts += [roll.name for crate in crates for roll in crate.rolls]
    assert sorted(row["part"] for row in rows_of(made, "cut-list")) == sorted(parts)


def test_every_profile_stands_in_the_freight_table(made: Quote) -> None:
    rows = rows_of(made, "freight")
    whole_ways = [profile for profile in default_rates().freight if profile.kind != "handler"]
    assert len(rows) == len(whole_ways)
    assert [row["amount"] for row in rows if row["standing"] == "charged"] == ["288.00"]
    assert all(not row["amount"] for row in rows if row["refused"])


def test_programs_get_strings_for_figures_and_the_same_rows(made: Quote) -> None:
    document = json.loads(quote_json(made))
    assert document == quote_document(made)
    assert (document["total"], document["currency"], document["charges"]) == (str(made.total), "USD", "used")
    assert document["total_otherwise"] == {rule: str(total) for rule, total in made.otherwise.items()}
    by_area = ["foam-board-1", "pe-plank-2", "pe-plank-1", "pe-plank-1/2"]
    by_area += ["soft-foam-1", "soft-foam-1-1/2", "corrugated-pad"]
    assert document["charges_by_good"] == dict.fromkeys(by_area, "area")
    assert (document["markup"], document["margin"]) == ("0.2500", "0.2000")
    assert len(document["tables"]["costs"]) == len(made.lines) + len(made.passed)
    assert document["tables"]["costs"][0]["amount"] == str(made.lines[0].amount)


@pytest.mark.parametrize(("units", "said"), [("inch", "inches, weights in pounds"), ("metric", "millimetres")])
def test_the_unit_of_bare_sizes_is_said_once(made: Quote, units: UnitSystem, said: str) -> None:
    shown = replace(made, build=replace(made.build, order=replace(made.build.order, units=units)))
    assert said in next(row["note"] for row in rows_of(shown, "notes") if row["kind"] == "units")
    assert quote_document(shown)["units"] == units


def test_the_takeoff_says_what_is_charged_of_each_stock_and_by_which_rule(made: Quote) -> None:
    rows = rows_of(made, "takeoff")
    assert {row["charged by"] for row in rows} == {"used"}
    lines = {line.stock: line.amount for line in made.lines if line.taken}
    assert {row["stock"]: row["charged amount"] for row in rows} == {stock: str(each) for stock, each in lines.items()}

import csv
import io
import json
import re
import subprocess
import zipfile
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pandas as pd
import pytest
from defusedxml import ElementTree

from nesting.base.measure import INCH, MM, UnitSystem, format_length, format_weight
from pricing.output.columns import Column, Terms, as_text
from pricing.output.tables import buying, csv_files, quote_document, quote_json, quote_tables
from pricing.quoting.quote import Quote, quote
from pricing.studio.destinations import Destination, Destinations
from pricing.studio.office import Office
from pricing.studio.rates_file import default_rates
from pricing.studio.table_file import csv_text
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
    direct = sum(Decimal(row["amount_usd"]) for row in costs if row["section"] not in ("freight", "insurance"))
    totals = {row["step"]: row for row in rows_of(made, "totals")}
    assert direct == Decimal(totals["Direct cost"]["amount_usd"])
    freight = sum(Decimal(row["amount_usd"]) for row in costs if row["section"] == "freight")
    assert freight == Decimal(totals["Freight (estimate)"]["amount_usd"])
    assert Decimal(rows_of(made, "totals")[-1]["running_total_usd"]) == made.total


def test_shares_end_in_a_row_that_sums_them(made: Quote) -> None:
    *pieces, last = rows_of(made, "shares")
    assert sum(Decimal(row["total_usd"]) for row in pieces) == Decimal(last["total_usd"]) == made.total


def test_the_buying_list_holds_every_sheet_by_supplier(made: Quote) -> None:
    rows = rows_of(made, "buying")
    assert [row["supplier"] for row in rows] == sorted(row["supplier"] for row in rows)
    assert sum(Decimal(row["amount_usd"]) for row in rows) == made.takeoff.bought_amount
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
    assert [row["amount_usd"] for row in rows if row["standing"] == "charged"] == ["288.00"]
    assert all(not row["amount_usd"] for row in rows if row["refused"])


def test_what_is_kept_has_strings_for_figures_as_every_quote_that_was_sent(made: Quote) -> None:
    document = json.loads(json.dumps(quote_document(made)))
    assert document["format"] == "casewright-quote/1"
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
    assert {row["charged_by"] for row in rows} == {"used"}
    lines = {line.stock: line.amount for line in made.lines if line.taken}
    assert {row["stock"]: row["charged_amount_usd"] for row in rows} == {
        stock: str(each) for stock, each in lines.items()
    }


def as_metric(made: Quote) -> Quote:
    """Return the quote as an order in millimetres has it."""
    return replace(made, build=replace(made.build, order=replace(made.build.order, units="metric")))


def test_programs_get_numbers_for_figures_and_the_rows_of_the_csv(made: Quote) -> None:
    document = json.loads(quote_json(made), parse_float=Decimal, parse_int=Decimal)
    assert document["format"] == "casewright-quote/2"
    assert (document["total"], document["currency"]) == (made.total, "USD")
    assert document["total_otherwise"] == dict(made.otherwise)
    assert (document["markup"], document["margin"]) == (Decimal("0.25"), Decimal("0.2"))
    assert {type(document[name]) for name in ("total", "bought", "from_the_rack", "used", "hours")} == {Decimal}
    assert set(document["tables"]) == {table.name for table in quote_tables(made)}
    for table in quote_tables(made):
        written = rows_of(made, table.name)
        assert [tuple(row) for row in document["tables"][table.name]] == [table.headings] * len(table.rows)
        for mine, theirs in zip(written, document["tables"][table.name], strict=True):
            for name, cell in theirs.items():
                if isinstance(cell, Decimal):
                    assert Decimal(mine[name]) == cell
                else:
                    assert mine[name].removeprefix("'") == (cell or "").removeprefix("'")


def test_a_heading_is_a_word_and_says_what_its_numbers_count(made: Quote) -> None:
    headings = {table.name: table.headings for table in quote_tables(made)}
    for each in headings.values():
        assert all(name.isidentifier() and name.islower() for name in each), each
        assert len(set(each)) == len(each)
    assert headings["crates"][4:13] == (
        "width_in", "width_fraction", "height_in", "height_fraction", "depth_in", "depth_fraction", "net_lb",
        "tare_lb", "gross_lb",
    )  # fmt: skip
    assert {"unit_price_usd", "amount_usd", "weight_lb"} <= set(headings["buying"])
    assert {"minutes_each", "hours", "rate_usd_per_hour"} <= set(headings["labour"])
    metric = {table.name: table.headings for table in quote_tables(as_metric(made))}
    assert {"width_mm", "height_mm", "depth_mm", "net_kg", "tare_kg", "gross_kg"} <= set(metric["crates"])
    assert not any("fraction" in name or name.endswith(("_in", "_lb")) for each in metric.values() for name in each)


@pytest.mark.parametrize(("units", "grid"), [("inch", INCH), ("metric", MM)])
def test_a_length_is_a_number_that_gives_the_exact_one_back(made: Quote, units: UnitSystem, grid: int) -> None:
    shown = made if units == "inch" else as_metric(made)
    unit = "in" if units == "inch" else "mm"
    parts = {part.name: part for crate in made.build.crates for part in crate.parts}
    seen = 0
    for row in rows_of(shown, "cut-list"):
        if part := parts.get(row["part"]):
            assert round(Fraction(row[f"length_{unit}"]) * grid) == part.length
            assert round(Fraction(row[f"width_{unit}"]) * grid) == part.width
            if units == "inch":
                assert row["length_fraction"] == format_length(part.length, mark=True)
            seen += 1
    assert seen == len(parts)
    (crate, *_) = made.build.crates
    (row, *_) = rows_of(shown, "crates")
    assert row[f"gross_{'lb' if units == 'inch' else 'kg'}"] == f"{float(format_weight(crate.gross_kg, units)):.1f}"


@pytest.mark.parametrize("grid", [1, 3, 3175, 203_199, 14_020_801])
@pytest.mark.parametrize("units", ["inch", "metric"])
def test_six_places_hold_every_line_of_the_grid(grid: int, units: UnitSystem) -> None:
    value = Column("length", "length").cells(grid, Terms(units, "USD"))[0]
    assert round(Fraction(value) * (INCH if units == "inch" else MM)) == grid


def test_lines_end_and_quotes_double_as_the_standard_says(made: Quote) -> None:
    """RFC 4180, section 2: rules 1 (CRLF), 2 (the last record too), 4 (as many fields), 6 and 7 (quotes doubled)."""
    for text in csv_files(named(made, 'a "fine", work\nof two lines')).values():
        lines = text.replace("\r\n", "")
        assert text.endswith("\r\n")
        assert "\r" not in lines
    assert '"a ""fine"", work\nof two lines"' in csv_files(named(made, 'a "fine", work\nof two lines'))["shares.csv"]


def named(made: Quote, name: str) -> Quote:
    """Return the quote with another title for its first piece."""
    (first, *others) = made.shares
    return replace(made, shares=(replace(first, title=name), *others))


DAY_LIKE = (
    "3/8", "1-3/8", "46-7/8", "5 11/16", "3-4", "1/2/3", "2-3-4", "Mar 8", "8 March", "MAY-5", "5 Mai", "12:30",
    "007", "1E5", "1.2.2026", "10. 5.", "2-Okt-26", "sep 2026",
)  # fmt: skip
PLAIN = ("K1", "G-01", "3/8 in", "46-7/8 in", "12", "Study 3/8", "Marble 5 and a half", "2026-10-01", "3 to 5", "a/b")


def test_what_looks_like_a_day_is_guarded_and_what_does_not_is_left_alone() -> None:
    assert [as_text(each) for each in DAY_LIKE] == [f"'{each}" for each in DAY_LIKE]
    assert [as_text(each) for each in PLAIN] == list(PLAIN)
    assert as_text(Decimal("3.5")) == Decimal("3.5")


def test_prices_from_a_count_on_are_numbers_in_a_table_of_their_own(made: Quote) -> None:
    rows = rows_of(made, "price-breaks")
    used = {row.stock for row in made.takeoff.rows} | {row.hour for row in made.labour}
    wanted = [(p.stock, Decimal(start), each) for p in made.book.rows if p.stock in used for start, each in p.breaks]
    assert [(row["stock"], Decimal(row["from"]), Decimal(row["price_usd"])) for row in rows] == wanted
    assert wanted
    assert "price-breaks" not in quote_document(made)["tables"], "what was sent before has no such table"


def test_another_reader_finds_numbers_days_and_texts(made: Quote) -> None:
    """Read by pandas: figures as numbers, days in ISO 8601 (extended form, YYYY-MM-DD), fractions as texts."""
    read = {name: pd.read_csv(io.StringIO(text)) for name, text in csv_files(made).items()}
    for name, frame in read.items():
        for column in map(str, frame.columns):
            told = frame[column].dropna()
            if re.search(r"_(in|lb|usd|usd_per_hour)$", column) and len(told):
                assert pd.api.types.is_numeric_dtype(frame[column]), (name, column)
            if column.endswith("_fraction"):
                assert told.astype(str).str.fullmatch(r"(\d+( \d+/\d+)?|\d+/\d+) in").all(), (name, column)
    assert read["costs.csv"]["amount_usd"].sum() == pytest.approx(
        float(sum(line.amount for line in (*made.lines, *made.passed)))
    )
    days = pd.to_datetime(read["buying.csv"]["priced"], format="%Y-%m-%d")
    assert days.dt.date.tolist() == [row.price.priced for row in buying(made) if row.price]
    again = pd.DataFrame(json.loads(quote_json(made))["tables"]["crates"])
    assert (again["gross_lb"] == read["crates.csv"]["gross_lb"]).all()


@pytest.mark.parametrize("locale", [2057, 1031])
def test_no_text_becomes_a_day_or_a_number_in_a_spreadsheet(
    made: Quote, office: str, tmp_path: Path, locale: int
) -> None:
    """Opened by LibreOffice with its search for days on, in British English and in German: types of cells."""
    (tmp_path / "odd.csv").write_text(csv_text(("odd",), [(as_text(each),) for each in DAY_LIKE]), "utf-8")
    (tmp_path / "bare.csv").write_text("bare\n3/8\n5/6\n", "utf-8")
    (tmp_path / "cut-list.csv").write_text(csv_files(made)["cut-list.csv"], "utf-8")
    (tmp_path / "buying.csv").write_text(csv_files(made)["buying.csv"], "utf-8")
    subprocess.run(
        [office, f"-env:UserInstallation=file://{tmp_path}/profile", "--headless", "--convert-to", "ods:calc8",
         f"--infilter=CSV:44,34,76,1,,{locale},false,true", "--outdir", tmp_path, *tmp_path.glob("*.csv")],
        check=True, capture_output=True, timeout=300,
    )  # fmt: skip
    assert set(types(tmp_path / "odd.ods")) == {"string"}
    if locale != 1031:  # where a comma marks decimals a point does not
        assert "date" in types(tmp_path / "bare.ods"), "the reader does turn what is not guarded into a day"
        assert set(types(tmp_path / "cut-list.ods", "_in")) == {"float"}
        assert set(types(tmp_path / "buying.ods", "_usd")) == {"float"}
    for name in ("_fraction", "part", "good", "crate"):
        assert set(types(tmp_path / "cut-list.ods", name)) == {"string"}, name
    assert set(types(tmp_path / "buying.ods", "priced")) == {"date"}


def types(path: Path, column: str = "") -> list[str]:
    """Return the types of the cells below the headings that end so, as a spreadsheet has them; empty ones left out."""
    with zipfile.ZipFile(path) as packed:
        root = ElementTree.fromstring(packed.read("content.xml"))
    names = {"t": "urn:oasis:names:tc:opendocument:xmlns:table:1.0"}
    kind, repeated = (
        f"{{urn:oasis:names:tc:opendocument:xmlns:{at}:1.0}}{name}"
        for at, name in (("office", "value-type"), ("table", "number-columns-repeated"))
    )
    rows = []
    for row in root.iterfind(".//t:table-row", names):
        cells = [
            (cell.get(kind, ""), "".join(cell.itertext()))
            for cell in row.iterfind("t:table-cell", names)
            for _ in range(min(int(cell.get(repeated, "1")), 60))
        ]
        rows.append(cells)
    places = [at for at, (_, text) in enumerate(rows[0]) if text.endswith(column) and text]
    return [row[at][0] for row in rows[1:] for at in places if at < len(row) and row[at][0]]

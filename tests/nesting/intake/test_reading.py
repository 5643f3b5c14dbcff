from collections.abc import Sequence
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path

import pytest

from nesting.base.faults import FaultsFound
from nesting.base.measure import INCH, MM, UnitSystem
from nesting.base.tables.cells import Cell
from nesting.base.tables.table import MOST_ROWS
from nesting.intake import COLUMNS, order_from_rows, read_order
from nesting.order import Artwork, Back, Order
from tests.nesting.intake.support import HEAD, faults_of, one


def test_only_four_columns_are_required() -> None:
    artwork = one()
    assert (artwork.piece, artwork.width, artwork.height, artwork.depth) == (
        "A-01",
        30 * INCH,
        40 * INCH,
        3 * INCH // 2,
    )
    assert (artwork.surface, artwork.quantity, artwork.method, artwork.weight_kg) == ("resin", 1, "auto", None)
    assert {column.name for column in COLUMNS if column.required} == set(HEAD)


def test_every_optional_column_is_read() -> None:
    rows: list[list[Cell]] = [
        ["piece", "width", "height", "depth", "title", "weight", "quantity", "method", "surface", "support",
         "back", "set", "poured",
         "pours", "pour_depth", "price", "declared", "destination", "ship_by", "together", "apart", "turn", "notes"],
        ["A-01", "30", "40", "2", "Tide", "18 lb", "2", "Travel frame", "Epoxy resin", "birch panel",
         "strainer 1 1/2 x 3/4", "S",
         "2026-03-01 14:30", "3", "1/8", "$1,200.00", "900", "Harbour Gallery", "2026-04-01", "A-02", "A-03; A-04",
         "yes", "Mind!"],
        ["A-02", "30", "40", "2", *[""] * 13, "Harbour Gallery"],
        ["A-03", "30", "40", "2"],
        ["A-04", "30", "40", "2"],
    ]  # fmt: skip
    artwork = order_from_rows(rows).artworks[0]
    assert artwork == Artwork(
        "A-01", 30 * INCH, 40 * INCH, 2 * INCH, "Tide", Decimal("8.16466266"), 2, "travel", "resin", "birch panel",
        Back("strainer", 3 * INCH // 2, 3 * INCH // 4), "S", datetime(2026, 3, 1, 14, 30), 3, INCH // 8, Decimal(1200),  # noqa: DTZ001 - local
        Decimal(900), "Harbour Gallery", date(2026, 4, 1), ("A-02",), ("A-03", "A-04"), turn=True, notes="Mind!",
    )  # fmt: skip
    assert artwork.row == 2


def test_columns_come_in_any_order_case_and_spelling() -> None:
    order = order_from_rows(
        [["D", "QTY", " Ref. ", "Ht", "W", "Ship-To"], ["1", "3", "X", "20", "10", "Harbour  Gallery"]]
    )
    artwork = order.artworks[0]
    assert (artwork.width, artwork.height, artwork.depth, artwork.quantity) == (10 * INCH, 20 * INCH, INCH, 3)
    assert artwork.destination == "Harbour Gallery"
    assert [copy.piece for copy in order.copies()] == ["X#1", "X#2", "X#3"]


def test_unknown_columns_are_named_in_a_warning_and_kept() -> None:
    order = order_from_rows([[*HEAD, "Shelf", "wieght"], ["A-01", "30", "40", "1", "B 12", ""]], source="o.csv")
    assert order.artworks[0].extra == (("Shelf", "B 12"),)
    assert order.warnings == (
        'o.csv: column "Shelf" is not understood and kept as a note',
        'o.csv: column "wieght" is not understood and kept as a note; did you mean weight?',
    )


def test_bare_numbers_are_in_the_units_of_the_order() -> None:
    row: list[Cell] = ["A-01", "775", "30 in", "3.8 cm", "8.4"]
    artwork = order_from_rows([[*HEAD, "weight"], row], units="metric").artworks[0]
    assert (artwork.width, artwork.height, artwork.depth) == (775 * MM, 30 * INCH, 38 * MM)
    assert artwork.weight_kg == Decimal("8.4")


def test_every_fault_is_told_at_once() -> None:
    said = faults_of(
        [*HEAD, "weight", "method", "poured"],
        ["A-01", "thirty", "", "0", "heavy", "box", "03/04/2026"],
        ["a-01", "-3", "1e999", "nan", "inf", "", "soon"],
        source="order.csv",
    )
    assert (
        said[0] == 'order.csv, row 2, column width: found "thirty"; accepted: a length such as 30 1/2, 2\' 6", 775 mm'
    )
    places = [sentence.split(":")[0] for sentence in said]
    first = [f"order.csv, row 2, column {c}" for c in ("width", "depth", "weight", "method", "poured", "height")]
    second = [f"order.csv, row 3, column {c}" for c in ("width", "height", "depth", "weight", "poured", "piece")]
    assert places == first + second
    assert "found nothing" in said[5]
    assert "2026-03-04 or 2026-04-03" in said[4]
    assert "row 2 has it" in said[-1]


def test_columns_that_are_missing_are_told_with_what_they_may_be_called() -> None:
    said = faults_of(["ref", "widht", "height"], ["A-01", "30", "40"], source="o.csv")
    assert said == [
        'o.csv, row 1, column width: found "widht"; accepted: a column width, also called w, wide, artwork width',
        "o.csv, row 1, column depth: found nothing; accepted: a column depth, also called d, deep, thick",
    ]


def test_columns_that_stand_twice_are_told() -> None:
    said = faults_of([*HEAD, "ref", "W"], ["A-01", "30", "40", "1", "A-01", "30"])
    assert said[0].endswith(
        'row 1, column piece: found "ref"; accepted: one column for piece; "piece" is read as piece too; call the '
        "one piece, the other title or notes"
    )
    assert 'found "W"; accepted: one column for width' in said[1]


def test_cells_beyond_the_heading_are_told() -> None:
    # An unquoted decimal comma in a file that is split at commas.
    assert faults_of(HEAD, ["A-01", "77", "5", "40", "2"]) == [
        'table, row 2: found "2"; accepted: nothing in cell 5, which has no heading above it'
    ]


def test_blank_rows_are_passed_over_and_counted() -> None:
    rows: list[Sequence[Cell]] = [HEAD, ["", " "], [], ["A-01", "30", "40", "1"], [None], ["A-02", "x", "40", "1"]]
    assert faults_of(*rows)[0].startswith("table, row 6, column width")
    assert len(order_from_rows(rows[:4]).artworks) == 1


def test_a_title_above_the_heading_is_left_out_with_a_warning() -> None:
    order = order_from_rows([["Works for spring"], [], HEAD, ["A-01", "30", "40", "1"]])
    assert order.artworks[0].row == 4
    assert order.warnings == ("table: row 3 is taken as the heading; what stands above it was left out",)


@pytest.mark.parametrize("rows", [[], [[]], [["", ""]], [HEAD], [["hello"]], [HEAD, ["", ""]]])
def test_tables_without_artworks_are_refused(rows: list[list[Cell]]) -> None:
    assert faults_of(*rows)


@pytest.mark.parametrize(
    ("column", "cell"),
    [("width", "775"), ("width", "241"), ("width", "1/4"), ("depth", "0"), ("weight", "4410 lb"), ("weight", "0"),
     ("quantity", "0"),
     ("quantity", "1000"), ("quantity", "1.5"), ("quantity", "-1"), ("quantity", "٣"), ("pours", "100"),
      ("pour_depth", "7"),
     ("price", "-5"), ("price", "1e6"), ("price", "9999999999"), ("price", "1.234"), ("poured", "1999-12-31"),
      ("ship_by", "2101-01-01"),
     ("ship_by", "2026-03-04 10:00"), ("turn", "perhaps"), ("method", "box"), ("surface", "wax"), ("piece", "x" * 61),
     ("shock_limit", "4.9 G"), ("shock_limit", "501"), ("shock_limit", "0"), ("shock_limit", "-30"),
     ("shock_limit", "30 kg"), ("shock_limit", "gentle"), ("shock_limit", "1e2"),
     ("commission", "40"), ("commission", "96 %"), ("commission", "none"), ("commission", "-5 %"),
     ("title", "bell\x07"), ("notes", "\ud800"), ("notes", "x" * 2001)],
)  # fmt: skip
def test_values_beyond_the_limits_are_refused(column: str, cell: str) -> None:
    good = {"piece": "A-01", "width": "30", "height": "40", "depth": "1 1/2"}
    said = faults_of([*(good | {column: ""})], [*(good | {column: cell}).values()])
    assert len(said) == 1
    assert f"row 2, column {column}: found" in said[0]


def test_millimetres_taken_for_inches_are_hinted_at() -> None:
    assert "metric units" in faults_of(HEAD, ["A", "775", "40", "1"])[0]
    assert "metric units" not in faults_of(HEAD, ["A", "775 in", "40", "1"])[0]


def test_an_order_has_a_limit_of_rows_and_pieces() -> None:
    row = ["30", "40", "1"]
    assert "2000 rows at the most" in faults_of(HEAD, *[[f"A{n}", *row] for n in range(MOST_ROWS)])[0]
    assert "copies counted" in faults_of([*HEAD, "qty"], *[[f"A{n}", *row, "999"] for n in range(3)])[0]
    assert "columns at the most" in faults_of([*HEAD, *[f"c{n}" for n in range(300)]])[0]


@pytest.mark.parametrize(
    ("rows", "said"),
    [([HEAD, ["A", "30", "40", "50"]], "deeper than it is wide or high (30 in x 40 in x 50 in)"),
     ([[*HEAD, "weight"], ["A", "4", "4", "1", "40 lb"]], "heavier than steel"),
     ([HEAD, ["A", "220", "201", "2"]], "centimetres")],
)  # fmt: skip
def test_what_looks_like_a_slip_is_warned_of(rows: list[list[Cell]], said: str) -> None:
    warnings = order_from_rows(rows).warnings
    assert len(warnings) == 1
    assert said in warnings[0]


def test_inches_taken_for_millimetres_are_warned_of() -> None:
    assert "were these inches" in order_from_rows([HEAD, ["A", "30", "40", "2"]], units="metric").warnings[0]


@pytest.mark.parametrize(
    ("name", "units", "pieces"),
    [("small_sale.csv", "inch", 2), ("gallery_consignment.csv", "inch", 13), ("giant_panel.toml", "inch", 2),
     ("metric_pair.xlsx", "metric", 2)],
)  # fmt: skip
def test_samples_are_read_without_a_doubt(name: str, units: UnitSystem, pieces: int) -> None:
    order = read_order(Path(__file__).parents[3] / "sample_orders" / name, units=units)
    assert all(f'{name}: read "' in told for told in order.warnings)
    assert len(order.copies()) == pieces
    assert all(artwork.weight_kg and artwork.destination and artwork.ship_by for artwork in order.artworks)
    # Wood with a coat of resin floats or nearly so: over its whole box a panel has 100 to 900 kg/m3 (from memory).
    for artwork in order.artworks:
        litres = artwork.width * artwork.height * artwork.depth / (100 * MM) ** 3
        assert 0.1 < float(artwork.weight_kg or 0) / litres < 0.9


def test_the_samples_show_what_they_are_for() -> None:
    folder = Path(__file__).parents[3] / "sample_orders"
    giant = read_order(folder / "giant_panel.toml").artworks[0]
    assert min(giant.width, giant.height) > 48 * INCH  # no 4 x 8 ft sheet covers it
    consignment = read_order(folder / "gallery_consignment.csv")
    assert len(consignment.artworks) >= 8
    assert {artwork.set_name for artwork in consignment.artworks} == {None, "Estuary"}
    assert {artwork.surface for artwork in consignment.artworks} == {"resin", "glazed"}


def test_a_rule_that_was_forgotten_is_still_a_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(_: object) -> Artwork:
        raise ValueError("something else is wrong")

    monkeypatch.setattr("nesting.intake.reading.artwork_of", broken)
    assert faults_of(HEAD, ["A-01", "30", "40", "1"]) == [
        'table: found "something else is wrong"; accepted: an order within the limits'
    ]


@pytest.mark.parametrize(
    ("cell", "limit"),
    [("30 G", "30"), ("30g", "30"), ("30", "30"), (30, "30"), (27.5, "27.5"), ("5", "5"), ("500 G", "500"), ("", None),
     ("none", None), ("-", None), (None, None)],
)  # fmt: skip
def test_limits_of_shock_are_read(cell: Cell, limit: str | None) -> None:
    artwork = order_from_rows([[*HEAD, "shock limit"], ["A-01", "30", "40", "2", cell]]).artworks[0]
    assert artwork.shock_limit == (None if limit is None else Decimal(limit))


def test_each_bad_limit_of_shock_is_one_fault_that_says_what_is_accepted() -> None:
    said = faults_of([*HEAD, "Shock limit (G)"], ["A-01", "30", "40", "2", "4"], ["A-02", "30", "40", "2", "much"])
    assert [sentence.partition(": found")[2] for sentence in said] == [
        ' "4"; accepted: a shock from 5 to 500 G, such as 30 G',
        ' "much"; accepted: a shock from 5 to 500 G, such as 30 G',
    ]


@pytest.mark.parametrize(
    ("heading", "cell", "part"),
    [
        ("commission", "40 %", "0.4"),
        ("commission", "0.4", "0.4"),
        ("commission", 0.4, "0.4"),
        ("commission", "0", "0"),
        ("commission", "", None),
        ("commission", "-", None),
        ("commission (%)", "40", "0.4"),
        ("commission (%)", "40 %", "0.4"),
        ("commission (%)", "0", "0"),
    ],
)
def test_commissions(heading: str, cell: Cell, part: str | None) -> None:
    artwork = order_from_rows([[*HEAD, heading], ["A-01", "30", "40", "2", cell]]).artworks[0]
    assert artwork.commission == (None if part is None else Decimal(part))


def test_a_part_below_a_heading_of_per_cent_is_not_guessed() -> None:
    """A spreadsheet holds 40 % as 0.4: below ``commission (%)`` that may be 40 % or 0.4 %."""
    said = faults_of([*HEAD, "commission (%)"], ["A-01", "30", "40", "2", "0.4"])
    assert len(said) == 1
    assert said[0].startswith('table, row 2, column commission: found "0.4"; accepted: a part such as 40 %')


def test_an_order_says_once_how_its_cases_are_cushioned(tmp_path: Path) -> None:
    def read(name: str, text: str) -> Order:
        (tmp_path / name).write_text(text, encoding="utf-8")
        return read_order(tmp_path / name)

    head, row = "piece,width,height,depth,cushion\n", "{},30,40,2,{}\n"
    assert read("o.csv", head + row.format("A", "") + row.format("B", "Snug")).cushion == "snug"
    assert read("p.csv", head + row.format("A", "")).cushion == ""
    with pytest.raises(FaultsFound) as found:
        read("q.csv", head + row.format("A", "snug") + row.format("B", "fixed") + row.format("C", "soft"))
    assert [(fault.row, fault.column) for fault in found.value.faults] == [(3, "cushion"), (4, "cushion")]
    piece = '[[artwork]]\npiece = "A"\nwidth = 30\nheight = 40\ndepth = 2\n'
    assert read("o.toml", f'cushion = "fixed"\n{piece}').cushion == "fixed"
    assert read("p.toml", piece).cushion == ""
    with pytest.raises(FaultsFound, match="one for the whole order"):
        read("q.toml", f'cushion = "thick"\n{piece}')
    with pytest.raises(FaultsFound, match="fixed, as the order says before"):
        read("r.toml", f'cushion = "fixed"\n{piece}cushion = "snug"\n')


def test_papers_of_a_consignment_have_columns_of_their_own() -> None:
    head = ["Piece", "Width", "Height", "Depth", "Edition number", "Minimum price (USD)", "Framing cost"]
    (work,) = order_from_rows([head, ["A-01", "30", "30", "2", "3 of 8", "1,200", "$80.50"]]).artworks
    assert (work.edition, work.least_price, work.production_cost) == ("3 of 8", Decimal(1200), Decimal("80.50"))
    with pytest.raises(FaultsFound) as found:
        order_from_rows([head, ["A-01", "30", "30", "2", "e" * 61, "ask", "-1"]])
    assert [fault.column for fault in found.value.faults] == ["edition", "least_price", "production_cost"]

"""The studio's small tables by themselves: what each cell may hold, at its ends, and what is said otherwise."""

import io
from collections.abc import Callable
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from openpyxl import Workbook

from nesting.base.faults import Faults, FaultsFound
from nesting.base.measure import INCH, MM
from nesting.shop.shop_file import default_shop
from pricing.desk.supplier import Offered, read_list, with_prices
from pricing.studio.pricebook_file import default_price_book
from pricing.studio.rack import MOST, OnShelf, Rack, RackOffcut, rack_csv, rack_from
from pricing.studio.table_file import (
    Table,
    TableRow,
    csv_text,
    days_told,
    guarded,
    heading,
    missing_columns,
    note_error,
    read_choice,
    read_day,
    read_part,
    read_words,
    stop_at_all,
    table_from,
    unguarded,
    unknown_columns,
    yes_or_no,
)


def said(read: Callable[[], Any]) -> list[str]:
    """Return every sentence of what is refused."""
    with pytest.raises(FaultsFound) as caught:
        read()
    return [fault.message for fault in caught.value.faults]


def one(value: str, days: Any = None) -> TableRow:
    """Return a row with one cell, `a`."""
    return TableRow(7, {"a": value} if value else {}, days)


def noted(read: Callable[[Faults], Any]) -> tuple[Any, list[str]]:
    """Return what is read, and the sentences that are noted."""
    faults = Faults("t.csv")
    made = read(faults)
    return made, [fault.message for fault in faults]


# Tables.


def test_which_files_are_tables() -> None:
    assert said(lambda: table_from(b"a", "t.pdf")) == [
        't.pdf: found "a file that ends in .pdf"; accepted: a table in .csv or .xlsx'
    ]
    assert said(lambda: table_from(b"a", "t")) == [
        't: found "a file that ends in nothing"; accepted: a table in .csv or .xlsx'
    ]
    assert said(lambda: table_from(b"x" * 8_000_001, "t.csv")) == [
        't.csv: found "more than 8,000,000 bytes"; accepted: a table in .csv or .xlsx of 8,000,000 bytes at the most'
    ]
    nothing = "found nothing; accepted: a heading and at least one row"
    assert said(lambda: table_from(b"# a\n", "t.CSV")) == [f"t.CSV: {nothing}"]
    stream = io.BytesIO()
    Workbook().save(stream)
    assert said(lambda: table_from(stream.getvalue(), "t.XLSX")) == [f"t.XLSX: {nothing}"]


def test_twenty_thousand_rows_of_a_text() -> None:
    assert len(table_from(b"a\n" + b"1\n" * 19_999, "t.csv").rows) == 19_999
    assert (
        "20000 rows at the most, the heading counted" in said(lambda: table_from(b"a\n" + b"1\n" * 20_000, "t.csv"))[0]
    )


def test_two_thousand_rows_are_no_end_of_a_workbook() -> None:
    book = Workbook(write_only=True)
    page = book.create_sheet()
    for _ in range(2_002):
        page.append(["a"])
    stream = io.BytesIO()
    book.save(stream)
    assert len(table_from(stream.getvalue(), "t.xlsx").rows) == 2_001


def test_the_shape_of_a_table() -> None:
    table = table_from(b"Door_Width,NAME,,name\n\n1,2,3,4,,5,6\n#x,y\n7\n", "t.csv", "day first")
    assert table.headings == ("door width", "name", "name")
    assert [(row.row, dict(row.cells), row.days) for row in table.rows] == [
        (3, {"door width": "1", "name": "4"}, "day first"),
        (5, {"door width": "7"}, "day first"),
    ]
    assert [fault.message for fault in table.wrong] == [
        't.csv, row 1, column name: found "2 columns of that name"; accepted: each column once',
        't.csv, row 3: found "5 beyond the last column"; accepted: as many cells as the heading has',
    ]
    assert (table.file, table.unread, table.warnings) == ("t.csv", (), ())
    assert TableRow(1, {"a": "b"}).get("x") == ""
    assert heading(" Door__WIDTH \t of") == "door width of"


def test_a_cell_that_holds_no_value_is_no_comment_and_is_told() -> None:
    stream, book = io.BytesIO(), Workbook()
    page = book.worksheets[0]
    for row in (["# yes", "a"], ["name", "a"], [None, "#N/A"], ["#N/A", 1.25], ["#no", 2]):
        page.append(row)
    book.save(stream)
    table = table_from(stream.getvalue(), "t.xlsx")
    assert [(row.row, dict(row.cells)) for row in table.rows] == [
        (3, {"a": "#N/A"}), (4, {"name": "#N/A", "a": "1.25"}),
    ]  # fmt: skip
    assert [(fault.row, fault.column, fault.found) for fault in table.unread] == [
        (3, "a", "#N/A"), (4, "name", "#N/A"),
    ]  # fmt: skip


def test_a_cell_has_one_kind_of_line_end() -> None:
    assert table_from(b'a,b\n"x\r\ny\rz\nw",1\n', "t.csv").rows[0].get("a") == "x\ny\nz\nw"
    assert csv_text(("a",), [["x\r\ny\rz"]]) == 'a\n"x\ny\nz"\n'


def test_what_is_written() -> None:
    assert csv_text(("a", "b"), [[None, Decimal("1E+3")], [-1, "-1"], ["", "#x"]], ("yes",), "\r\n") == (
        "# yes\r\na,b\r\n,1000\r\n-1,'-1\r\n,'#x\r\n"
    )
    assert (
        csv_text(("a", "b"), [["#x", "#y"], ["'#x", "y"], [], [1, "#z"], ["", ""]])
        == "a,b\n'#x,#y\n''#x,y\n\n1,#z\n,\n"
    )
    back = table_from(csv_text(("a", "b"), [["#x", "#y"], ["'#x", "'y"], ["'=1", "=2"]]).encode(), "t.csv").rows
    assert [(row.get("a"), row.get("b")) for row in back] == [("#x", "#y"), ("'#x", "'y"), ("'=1", "=2")]
    for sign in "=+-@\t\r\uff1d\uff0b\uff0d\uff20":
        assert guarded(f"{sign}1") == f"'{sign}1"
        assert guarded(f"'{sign}1") == f"''{sign}1"
        assert unguarded(f"'{sign}1") == f"{sign}1"
    assert (guarded("a=1"), unguarded("'a=1"), unguarded("=1")) == ("a=1", "'a=1", "=1")


@pytest.mark.parametrize(
    ("text", "value"),
    [("yes", True), ("Y", True), (" true ", True), ("1", True), ("x", True), ("no", False), ("N", False),
     ("False", False), ("0", False), ("-", False)],
)  # fmt: skip
def test_yes_and_no_in_all_their_words(text: str, value: bool) -> None:
    assert yes_or_no(text) is value


def test_what_is_neither_yes_nor_no() -> None:
    with pytest.raises(ValueError, match=r"^'maybe' is neither yes nor no$"):
        yes_or_no("maybe")


def test_cells_that_are_read_one_by_one() -> None:
    assert noted(lambda faults: read_part(one("40 %"), "a", Decimal(1), faults)) == (Decimal("0.4"), [])
    assert noted(lambda faults: read_part(one("0.5"), "a", Decimal("0.5"), faults)) == (Decimal("0.5"), [])
    assert noted(lambda faults: read_part(one(""), "a", Decimal(1), faults)) == (None, [])
    for text in ("0.51", "much"):
        assert noted(lambda faults, text=text: read_part(one(text), "a", Decimal("0.5"), faults)) == (
            None,
            [f't.csv, row 7, column a: found "{text}"; accepted: a part such as 40 % or 0.4, 50 % at the most'],
        )
    words = {"by road": 1, "by air": 2}
    assert noted(lambda faults: read_choice(one(" By  ROAD"), "a", words, faults)) == (1, [])
    assert noted(lambda faults: read_choice(one(""), "a", words, faults)) == (None, [])
    assert noted(lambda faults: read_choice(one("Sea"), "a", words, faults)) == (
        None, ['t.csv, row 7, column a: found "Sea"; accepted: one of by road, by air'],
    )  # fmt: skip
    assert noted(lambda faults: read_words(one(" a \n b "), "a", faults, 3)) == ("a b", [])
    assert noted(lambda faults: read_words(one("a bc"), "a", faults, 3)) == (
        "", ['t.csv, row 7, column a: found "4 characters"; accepted: 3 at the most'],
    )  # fmt: skip
    assert noted(lambda faults: note_error(faults, 7, ValueError("found x; accepted: y"))) == (
        None, ['t.csv, row 7: found "x"; accepted: y'],
    )  # fmt: skip


def test_days_are_read_as_the_country_writes_them_with_a_remark() -> None:
    assert noted(lambda faults: read_day(one("2026-04-03"), "a", faults)) == (date(2026, 4, 3), [])
    assert noted(lambda faults: read_day(one(""), "a", faults)) == (None, [])
    assert noted(lambda faults: read_day(one("03/04/2026", "day first"), "a", faults))[0] == date(2026, 4, 3)
    made, (fault,) = noted(lambda faults: read_day(one("soon"), "a", faults))
    assert made is None
    assert fault.startswith('t.csv, row 7, column a: found "soon"; accepted: ')
    table = Table("t.csv", ("a", "b"), (one("2026-01-01", "day first"), one("03/04/2026", "day first")))
    assert days_told(table, ("b", "a")) == (
        (
            "t.csv: days such as 03/04/2026 (3 April 2026) are read as the studio's country writes them; 2026-03-14 "
            "leaves no doubt"
        ),
    )
    assert days_told(table, ("b",)) == ()


def test_columns_that_lack_are_told_once_and_no_row_of_theirs() -> None:
    table = table_from(b"name,colour\nx,red\n", "t.csv")
    assert [fault.message for fault in missing_columns(table, ("name", "price"))] == [
        "t.csv, column price: found nothing; accepted: a column price; this table has name, colour"
    ]
    faults = Faults("t.csv")
    faults.add(None, "price", "", "a column price")
    faults.add(2, "price", "", "a price")
    faults.add(2, "name", "x", "another name")
    assert [line.partition(";")[0] for line in said(lambda: stop_at_all(faults, table, ("name", "price")))] == [
        "t.csv, column price: found nothing", 't.csv, row 2, column name: found "x"',
    ]  # fmt: skip
    assert unknown_columns(table, iter(("name",))) == ("t.csv: column colour is not known and was passed over",)
    stop_at_all(Faults("t.csv"), table, ("name",))


def test_a_cell_without_a_value_is_told_as_that_alone() -> None:
    stream, book = io.BytesIO(), Workbook()
    book.worksheets[0].append(["name", "price", "other"])
    book.worksheets[0].append(["x", "#N/A", "#N/A"])
    book.save(stream)
    table = table_from(stream.getvalue(), "t.xlsx")
    faults = Faults("t.xlsx")
    faults.found.extend(missing_columns(table, ("name",), ("price",)))
    faults.add(2, "price", "#N/A", "a price")
    (line,) = said(lambda: stop_at_all(faults, table, ("name",)))
    assert line == 't.xlsx, row 2, column price: found "#N/A"; accepted: a value; the spreadsheet shows an error here'


# The rack.

HEAD = "name,good,length,width,count,value,place\n"
AT_MOST = "a whole number from 1 to 1000000"
LENGTH = "a length such as 30 1/2 in, 775 mm"


def racked(rows: str, head: str = HEAD) -> Rack:
    """Read a rack of the usual columns."""
    return rack_from((head + rows).encode(), "rack.csv", default_shop(), "USD")


@pytest.mark.parametrize(
    ("row", "column", "found", "accepted"),
    [
        (",ply-3/8,1,1,,,", "name", "", "a name of its own"),
        ("ply-3/8 4x8,ply-3/8,1,1,,,", "name", "ply-3/8 4x8", "a name that is not that of a bought size"),
        ("a,ply-3/8,,1,,,", "length", "", LENGTH),
        ("a,ply-3/8,0,1,,,", "length", "0", LENGTH),
        ("a,ply-3/8,1,,,,", "width", "", LENGTH),
        ("a,ply-3/8,1,0 mm,,,", "width", "0 mm", LENGTH),
        ("a,ply-3/8,20001 mm,1,,,", "length", "20001 mm", "20000 mm at the most"),
        ("a,ply-3/8,1,20001 mm,,,", "width", "20001 mm", "20000 mm at the most"),
        ("a,2x3,20001 mm,,,,", "length", "20001 mm", "20000 mm at the most"),
        ("a,ply-3/8,1,1,0,,", "count", "0", AT_MOST),
        ("a,ply-3/8,1,1,1000001,,", "count", "1000001", AT_MOST),
        ("a,ply-3/8,1,1,1.0,,", "count", "1.0", AT_MOST),
        ("a,ply-3/8,1,1,²,,", "count", "²", AT_MOST),
        ("a,ply-3/8,1,1,000000000000000000001,,", "count", "000000000000000000001", AT_MOST),
        ("a,ply-3/8,1,1,,-0.01,", "value", "-0.01", "an amount such as 12.50, 10000000 at the most"),
        ("a,ply-3/8,1,1,,0.001,", "value", "0.001", "an amount such as 12.50, 10000000 at the most"),
        ("a,ply-3/8,1,1,,10000000.01,", "value", "10000000.01", "an amount such as 12.50, 10000000 at the most"),
        ("a,ply-3/8,1,1,,dear,", "value", "dear", "an amount such as 12.50, 10000000 at the most"),
        ("a,screw 8x2-1/2,,,,,", "count", "", AT_MOST),
        ("a,glassine,,,,,", "length", "", LENGTH),
        ("a,glassine,1,0,,,", "width", "0", LENGTH),
    ],
)
def test_what_the_rack_does_not_take(row: str, column: str, found: str, accepted: str) -> None:
    quoted = f'"{found}"' if found else "nothing"
    assert said(lambda: racked(row)) == [f"rack.csv, row 2, column {column}: found {quoted}; accepted: {accepted}"]


def test_what_the_rack_takes_at_its_ends() -> None:
    rack = racked(
        "a,ply-3/8,20000 mm,20000 mm,1000000,10000000,\nb,2x3,1,,00000000000000000001,0.01,\n"
        "c,screw 8x2-1/2,,,1000000,,\n"
        "d,glassine,30000 mm,,,,\n"
    )
    assert rack.offcuts == (
        RackOffcut("a", "ply-3/8", 20_000 * MM, 20_000 * MM, Decimal(10_000_000), 1_000_000),
        RackOffcut("b", "2x3", INCH, 0, Decimal("0.01"), 1),
    )
    assert [each.quantity for each in rack.shelf] == [1_000_000, 30_000 * MM]
    assert str(rack.offcuts[0].value) == "10000000.00"


def test_the_rack_tells_names_and_goods_and_columns() -> None:
    goods = ", ".join(default_shop().by_name)
    assert said(lambda: racked("a,ply-3/8,1,1,,,\nb,ply-9/9,1,1,,,\na,2x3,1,,,,\nb,2x3,1,,,,\n"))[1:] == [
        'rack.csv, row 4, column name: found "a"; accepted: a name of its own; row 2 has it too',
        'rack.csv, row 5, column name: found "b"; accepted: a name of its own; row 3 has it too',
    ]
    (line,) = said(lambda: racked("b,ply-9/9,1,1,,,\n"))
    assert line.startswith('rack.csv, row 2, column good: found "ply-9/9"; accepted: one of ')
    assert line.endswith(goods[-30:])
    columns = "name, good, length, width, count, value, place"
    assert said(lambda: racked("a,2x3,1,red\n", "name,good,length,colour\n")) == [
        f'rack.csv, column colour: found "a column that is not known"; accepted: the columns {columns}'
    ]
    assert said(lambda: racked("2x3,1\n", "good,length\n")) == [
        "rack.csv, column name: found nothing; accepted: a column name; this table has good, length"
    ]


def test_so_many_different_offcuts_of_one_good() -> None:
    def rows(count: int) -> str:
        return "".join(f"o{number},ply-3/8,20,10,1,1,\n" for number in range(count))

    assert len(racked(rows(300) + "x,2x3,1,,,,\n").offcuts) == 301
    assert said(lambda: racked(rows(301))) == [
        (
            'rack.csv, column good: found "301 rows of ply-3/8"; accepted: 300 at the most; equal ones share a row '
            "by their count, and small ones may go"
        )
    ]


def test_offcuts_and_the_shelf_hold_what_can_be() -> None:
    assert RackOffcut("x", "g", 1, 0, Decimal(10_000_000), MOST).count == MOST
    for bad in ({"width": -1}, {"count": 0}, {"count": MOST + 1}, {"length": 0}):
        with pytest.raises(ValueError, match=r"^offcut x: needs a size and a count$"):
            RackOffcut(**{"name": "x", "good": "g", "length": 1, **bad})
    for value in ("-0.01", "10000000.01", "NaN", "Infinity"):
        with pytest.raises(ValueError, match=rf"^offcut x: value must be from 0 to 10000000, not {value}$"):
            RackOffcut("x", "g", 1, 0, Decimal(value))
    with pytest.raises(ValueError, match=r"0\.001"):
        RackOffcut("x", "g", 1, 0, Decimal("0.001"))
    for name, good in (("", "g"), ("x", "")):
        with pytest.raises(ValueError, match=r"^an offcut needs a name and a good$"):
            RackOffcut(name, good, 1)
        with pytest.raises(ValueError, match=r"^a thing on the shelf needs a name and a good$"):
            OnShelf(name, good, 1)
    assert OnShelf("x", "g", 1).quantity == 1
    for bad in ({"quantity": 0}, {"width": -1}):
        with pytest.raises(ValueError, match=r"^x: needs a quantity of more than zero$"):
            OnShelf(**{"name": "x", "good": "g", "quantity": 1, **bad})
    with pytest.raises(ValueError, match=r"^each thing in store has a name of its own$"):
        Rack((RackOffcut("x", "g", 1), RackOffcut("x", "g", 2)))


def test_the_rack_is_asked_by_name_and_good() -> None:
    rolls = [
        OnShelf("b", "film", 5, 9),
        OnShelf("a", "film", 5, 9),
        OnShelf("c", "film", 7, 9),
        OnShelf("d", "film", 8, 3),
    ]
    rack = Rack(
        (RackOffcut("x", "g", 1), RackOffcut("y", "g", 2)), (*rolls, OnShelf("e", "screw", 4), OnShelf("f", "screw", 3))
    )
    assert rack.offcut("y").length == 2
    with pytest.raises(KeyError, match="no offcut 'z' on the rack"):
        rack.offcut("z")
    assert (rack.on_shelf("screw"), rack.on_shelf("none")) == (7, 0)
    assert [each.name for each in rack.rolls("film", 9)] == ["c", "a", "b"]
    assert rack.rolls("screw", 9) == ()


def test_the_rack_as_it_is_written() -> None:
    rack = Rack(
        (RackOffcut("R", "ply-3/8", 10 * INCH, 5 * INCH, Decimal("1.50"), 2, "bay"), RackOffcut("S", "2x3", INCH)),
        (OnShelf("roll", "glassine", 24 * INCH, 48 * INCH, "p"), OnShelf("box", "screw 8x2-1/2", 9)),
    )
    assert rack_csv(rack).splitlines() == [
        "# What is in store. Lengths with their unit; a thing by number has only a count.",
        "name,good,length,width,count,value,place",
        "R,ply-3/8,10 in,5 in,2,1.50,bay",
        "S,2x3,1 in,,1,0.00,",
        "roll,glassine,24 in,48 in,,,p",
        "box,screw 8x2-1/2,,,9,,",
    ]
    assert "R,ply-3/8,254 mm,127 mm," in rack_csv(rack, "metric")


# A supplier's list.


@pytest.mark.parametrize("stock", ["stock", "item", "article", "product", "code", "what"])
@pytest.mark.parametrize("price", ["price", "unit price", "price each", "each", "net price", "net"])
def test_headings_of_a_suppliers_list(stock: str, price: str) -> None:
    book = default_price_book()
    first, second = book.rows[:2]
    text = f"{stock};{price}\n{first.stock.upper()};{first.price}\n{second.stock};{second.price + 1}\nx;1\nx;2\n"
    found = read_list("l.csv", text.encode(), book)
    assert (found.same, found.unknown, found.told) == (1, ("x",), ())
    assert found.changed == (Offered(second.stock, second.price, second.price + 1),)


def test_a_suppliers_list_without_its_columns_tells_both() -> None:
    assert said(lambda: read_list("l.csv", b"a,b\n1,2\n", default_price_book())) == [
        "l.csv, column stock: found nothing; accepted: a column stock; this list has a, b",
        "l.csv, column price: found nothing; accepted: a column price; this list has a, b",
    ]


def test_prices_of_a_suppliers_list_that_cannot_be_read() -> None:
    book = default_price_book()
    stock = book.rows[0].stock
    rows = f"{stock},dear,\n{stock},5.00,eur\n{stock},-1,usd\nx,dear,\n"
    amount = "an amount in USD, such as 58.00 or 58,00"
    assert said(lambda: read_list("l.csv", f"stock,price,currency\n{rows}".encode(), book)) == [
        f'l.csv, row 2, column price: found "dear"; accepted: {amount}',
        'l.csv, row 3, column currency: found "EUR"; accepted: USD, the price book\'s currency',
        f'l.csv, row 4, column price: found "-1"; accepted: {amount}',
    ]


def test_decimal_commas_of_a_suppliers_list() -> None:
    book = default_price_book()
    first, second = book.rows[:2]
    text = f"stock;price\n{first.stock};5,50\n{second.stock};1.234\n"
    found = read_list("l.csv", text.encode(), book)
    assert [each.after for each in found.changed] == [Decimal("5.50"), Decimal(1234)]
    assert found.told == ("l.csv, row 3: 1.234 is read as 1234, since others have decimal commas",)
    text = f"stock;price\n{first.stock};5,50\n{second.stock};1,234\n"
    assert said(lambda: read_list("l.csv", text.encode(), book)) == [
        'l.csv, row 3, column price: found "1,234"; accepted: 1234 or 1,23: the comma may be either'
    ]


def test_a_book_takes_new_prices_of_a_day() -> None:
    book = default_price_book()
    first, second = book.rows[:2]
    made = with_prices(book, {first.stock: "7.00"}, date(2026, 6, 1), "Yard")
    assert (made.rows[0].price, made.rows[0].priced, made.rows[0].supplier) == (
        Decimal("7.00"),
        date(2026, 6, 1),
        "Yard",
    )
    assert made.rows[1:] == book.rows[1:]
    assert not made.invented
    assert with_prices(book, {second.stock: "7.00"}, date(2026, 6, 1)).rows[1].supplier == second.supplier

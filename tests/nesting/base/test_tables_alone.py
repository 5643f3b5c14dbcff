"""Tables by themselves: every limit at its last allowed value and one beyond it, every sentence in full."""

import io
import re
import zipfile
from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook
from openpyxl.worksheet.formula import ArrayFormula

from nesting.base.faults import FaultsFound
from nesting.base.tables import table, text, workbook
from nesting.base.tables.cells import Cell, Unreadable, is_blank, text_of, without_control
from nesting.base.tables.table import Row, check_size, content_of, gather
from nesting.base.tables.text import decode, read_csv, read_own_csv, split_text
from nesting.base.tables.workbook import read_workbook
from nesting.intake import read_upload
from tests.workbooks import MAIN, SHEET, book_of, changed, entities, locked, parts, rows_xml, saved

NO_TEXT = 'found "bytes that are no text"; accepted: a table as CSV in UTF-8, or XLSX or TOML'
XLSX = "accepted: a workbook saved as XLSX, without a password"


def said(read: Any, *how: Any, **named: Any) -> str:
    """Return the one sentence of what is refused."""
    with pytest.raises(FaultsFound) as caught:
        read(*how, **named)
    (fault,) = caught.value.faults
    return fault.message


@pytest.mark.parametrize(
    ("cell", "shown"),
    [
        (None, ""), ("", ""), (" a b \n", "a b"), (" \ufeff\u200b x\u200b \ufeff ", "x"), (True, "yes"), (False, "no"),
        (0, "0"), (-3, "-3"), (10**30 - 1, "9" * 30), (1 - 10**30, "-" + "9" * 30),
        (10**30, "a number of more than 30 digits"), (-(10**30), "a number of more than 30 digits"),
        (30.299999999999997, "30.3"), (0.1 + 0.2, "0.3"), (123456789.123456, "123456789.123456"), (1e300, "1e+300"),
        (Decimal("1.50"), "1.50"), (datetime(2026, 6, 1, 8, 30), "2026-06-01 08:30:00"),  # noqa: DTZ001 - a cell has no zone
        (date(2026, 6, 1), "2026-06-01"), (time(8, 30), "08:30:00"), (timedelta(hours=1), "1:00:00"),
        (Unreadable("#REF!", "a value"), "#REF!"), ([1, None, "b "], "1, , b"), ({"a": 1.5, "b": "x "}, "a 1.5, b x"),
    ],
)  # fmt: skip
def test_what_a_person_would_see_in_a_cell(cell: object, shown: str) -> None:
    assert text_of(cell) == shown
    assert is_blank(cell) is (shown == "")


def test_what_is_nested_is_shown_by_its_beginning() -> None:
    assert text_of(list(range(300))) == ", ".join(map(str, range(200)))
    assert text_of({f"k{number}": number for number in range(30)}) == ", ".join(f"k{n} {n}" for n in range(20))


def test_control_characters_of_a_heading_become_blanks() -> None:
    assert without_control("\x00a\x08b\x0bc\x0cd\x0ee\x1ff\x7fg\x80h\x9fi\n") == "a b c d e f g h i"
    assert without_control("a\tb\nc\rd e\xa0f") == "a\tb\nc\rd e\xa0f"


def test_a_row_keeps_its_number_and_its_cells_to_the_last_that_holds_anything() -> None:
    made = gather("t.csv", [["a", "b", ""], [], [None, " "], ["", "x", None, ""]], ["odd"])
    assert made.rows == (Row(1, ("a", "b")), Row(4, ("", "x")))
    assert (made.file, made.warnings) == ("t.csv", ("odd",))


def test_only_so_many_rows_and_columns() -> None:
    assert len(gather("t.csv", [["x"]] * 2_000).rows) == 2_000
    assert len(gather("t.csv", [["x"], *[["", ""]] * 9, ["x"]], most_rows=2).rows) == 2
    assert said(gather, "t.csv", [["x"]] * 2_001) == (
        't.csv: found "more than 2000 rows"; accepted: 2000 rows at the most, the heading counted'
    )
    assert said(gather, "t.csv", [["x"]] * 4, most_rows=3) == (
        't.csv: found "more than 3 rows"; accepted: 3 rows at the most, the heading counted'
    )
    wide: Sequence[Cell] = [*[""] * 199, "x"]
    assert len(gather("t.csv", [[*wide, "", ""]]).rows[0].cells) == 200
    assert said(gather, "t.csv", [["x"], ["", *wide]]) == (
        't.csv: found "201 columns in row 2"; accepted: 200 columns at the most'
    )


def test_a_file_is_read_to_one_byte_beyond_what_is_taken(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert table.MOST_BYTES == 8_000_000
    monkeypatch.setattr(table, "MOST_BYTES", 10)
    file = tmp_path / "t.csv"
    file.write_bytes(b"x" * 30)
    assert content_of(file, "t.csv", "a table") == b"x" * 11
    check_size("t.csv", b"x" * 10, "a table")
    assert said(check_size, "t.csv", b"x" * 11, "a table") == (
        't.csv: found "more than 10 bytes"; accepted: a table of 10 bytes at the most'
    )


@pytest.mark.parametrize(
    ("name", "found"),
    [("none.csv", "no such file"), (".", "a folder"), ("x" * 5000, "File name too long"),
     ("a\0b.csv", "a path that cannot be opened")],
)  # fmt: skip
def test_why_a_file_cannot_be_opened(tmp_path: Path, name: str, found: str) -> None:
    assert said(content_of, tmp_path / name, "t.csv", "a table") == f't.csv: found "{found}"; accepted: a table'


def test_encodings() -> None:
    for encoding in ("utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be"):
        mark = {"utf-16-le": b"\xff\xfe", "utf-16-be": b"\xfe\xff"}.get(encoding, b"")
        assert decode("t.csv", mark + "é,b".encode(encoding)) == ("é,b", [])
    assert decode("t.csv", b"\xe9,b") == (
        "é,b", ["t.csv: not UTF-8; read as Windows-1252, so look at accented letters"],
    )  # fmt: skip
    assert decode("t.csv", b"a\xff\xfe") == (
        "aÿþ",
        ["t.csv: not UTF-8; read as Windows-1252, so look at accented letters"],
    )
    for bad in (b"a\0b", b"\x81\x8d", b"\xff\xfe\x00"):
        assert said(decode, "t.csv", bad) == f"t.csv: {NO_TEXT}"


@pytest.mark.parametrize(
    ("written", "rows"),
    [
        ("", []),
        ("a", [["a"]]),
        ("sep=;\na,b;c", [[], ["a,b", "c"]]),
        ("SEP=|\r\na;b|c", [[], ["a;b", "c"]]),
        ("sep=,\n\na,b", [[], [], ["a", "b"]]),
        ("sep=:\na:b,c", [["sep=:"], ["a:b", "c"]]),
        ("xsep=;\na;b", [["xsep=", ""], ["a", "b"]]),
        ("sep=;;\na,b;c", [["sep=", "", ""], ["a,b", "c"]]),
        ("a,b,c;d", [["a", "b", "c;d"]]),
        ("a;b\n1,5;2,5\n1,5;2,5", [["a", "b"], ["1,5", "2,5"], ["1,5", "2,5"]]),
        ("a|b\n1|2", [["a", "b"], ["1", "2"]]),
        ("a\tb\n1,2,3\t4", [["a", "b"], ["1,2,3", "4"]]),
        ('"a,b,c";d\n1;2', [["a,b,c", "d"], ["1", "2"]]),
        ("A list of crates\n\na;b\n1;2", [["A list of crates"], [], ["a", "b"], ["1", "2"]]),
        ('"30 1/2""",x', [['30 1/2"', "x"]]),
        ("a,b\r1,2\r\n3,4", [["a", "b"], ["1", "2"], ["3", "4"]]),
    ],
)
def test_text_is_split_at_what_its_heading_uses(written: str, rows: list[list[str]]) -> None:
    assert split_text(written) == rows


def test_the_heading_counts_twice_and_ten_lines_are_looked_at() -> None:
    # Two bars in the heading are worth six, being in a line as well: five commas of a line below are less, six are not.
    assert split_text("a|b|c\n,,,,,")[0] == ["a", "b", "c"]
    assert split_text("a|b|c\n,,,,,,") == [["a|b|c"], [""] * 7]
    # The tenth line is looked at, the eleventh is not.
    assert split_text("a\n" * 9 + "1;2")[-1] == ["1", "2"]
    assert split_text("a\n" * 10 + "1;2")[-1] == ["1;2"]
    # Nor is what stands beyond twenty thousand characters.
    assert split_text("a" * 19_998 + "\n1;2")[-1] == ["1;2"]
    assert split_text("a" * 19_990 + "\n1;2")[-1] == ["1", "2"]


def test_what_stands_in_quotes_or_is_blank_says_nothing_of_the_delimiter() -> None:
    assert split_text('"a,b";c') == [["a,b", "c"]]
    assert split_text('"a,b";"c,d"') == [["a,b", "c,d"]]
    assert split_text("  \n" * 10 + "a;b")[-1] == ["a", "b"]
    own = read_own_csv("t.csv", b"a;b\n1,2,3,4,5,6\n", 9)
    assert own.rows[0].cells == ("a", "b"), "the heading alone tells, in a table of the studio's own"


def test_remarks_say_nothing_of_the_delimiter() -> None:
    assert split_text("# a,b,c,d,e,f\nx;y")[-1] == ["x", "y"]
    assert split_text('"# a,b,c,d,e,f"\nx;y')[-1] == ["x", "y"]
    assert split_text("#,b,c\n1;2")[0] == ["#", "b", "c"], "a column of an order may be headed #"
    assert split_text("# a;b")[0] == ["# a", "b"], "where there is nothing else, a remark is looked at"
    own = read_own_csv("t.csv", b"#a,b,c,d\nx;y\n1,1,1,1;2\n", 9)
    assert own.rows[1:] == (Row(2, ("x", "y")), Row(3, ("1,1,1,1", "2")))
    assert read_csv("t.csv", b"#a,b,c,d\nx;y").rows[1].cells == ("x;y",)


def test_what_cannot_be_split_is_told_by_its_row(monkeypatch: pytest.MonkeyPatch) -> None:
    quotes = 'accepted: quotes in pairs, with inches doubled inside them ("30 1/2""")'
    assert said(split_text, '"a') == f'table: found "row 1 that cannot be split"; {quotes}'
    assert said(split_text, 'a\n1\n"2', file="t.csv") == f't.csv: found "row 3 that cannot be split"; {quotes}'
    assert said(split_text, "a\n" + "x" * 140_000) == (
        'table: found "row 2 that cannot be split"; accepted: cells of a few words; is a quote not closed?'
    )
    assert text._MOST_LINES == 100_000  # noqa: SLF001 - tried with a smaller one
    monkeypatch.setattr(text, "_MOST_LINES", 5)
    assert len(split_text("a\n" * 4)) == 4
    assert said(split_text, "a\n" * 5) == 'table: found "more than 5 lines"; accepted: 2000 rows at the most'
    assert said(read_own_csv, "t.csv", b"a\n" * 5, 7) == (
        't.csv: found "more than 5 lines"; accepted: 7 rows at the most'
    )


def test_a_file_of_text_is_decoded_split_and_counted() -> None:
    made = read_csv("t.csv", b"a,b\n\n\xe9,2\n")
    assert made.rows == (Row(1, ("a", "b")), Row(3, ("é", "2")))
    assert made.warnings == ("t.csv: not UTF-8; read as Windows-1252, so look at accented letters",)
    own = read_own_csv("t.csv", b"a,b\n\xe9,2\n", 2)
    assert (own.rows[1], own.warnings) == (Row(2, ("é", "2")), made.warnings)
    assert "more than 1 rows" in said(read_own_csv, "t.csv", b"a,b\n1,2\n", 1)
    assert "more than 2000 rows" in said(read_csv, "t.csv", b"a\n" * 2_001)


# Workbooks.

GOOD = book_of(["a", "b"], [1, 2.5])


def sheets(*, names: Sequence[str], hidden: Sequence[str] = ()) -> bytes:
    """Return a workbook of several sheets that hold their names."""
    book = Workbook()
    book.remove(book["Sheet"])
    for name in names:
        book.create_sheet(name).append([name])
    for name in hidden:
        book[name].sheet_state = "hidden"
    return saved(book)


def test_a_sheet_is_named_where_there_are_several() -> None:
    assert [made.file for made in read_workbook("t.xlsx", GOOD)] == ["t.xlsx"]
    two = sheets(names=["One", "Two", "Three"], hidden=["Three"])
    assert [(made.file, made.rows[0].cells) for made in read_workbook("t.xlsx", two)] == [
        ("t.xlsx, sheet One", ("One",)),
        ("t.xlsx, sheet Two", ("Two",)),
    ]
    assert [made.file for made in read_workbook("t.xlsx", two, first=True)] == ["t.xlsx"]
    assert [made.file for made in read_workbook("t.xlsx", sheets(names=["One", "Two"], hidden=["One"]))] == ["t.xlsx"]
    empty = Workbook()
    empty.create_sheet("Two").append(["x"])
    assert [made.file for made in read_workbook("t.xlsx", saved(empty))] == ["t.xlsx, sheet Two"]
    assert read_workbook("t.xlsx", saved(empty), first=True) == []


def test_only_so_many_sheets_and_rows(monkeypatch: pytest.MonkeyPatch) -> None:
    assert workbook.MOST_SHEETS == 50
    monkeypatch.setattr(workbook, "MOST_SHEETS", 2)
    names = ["One", "Two"]
    assert len(read_workbook("t.xlsx", sheets(names=names))) == 2
    assert said(read_workbook, "t.xlsx", sheets(names=[*names, "Three"])) == (
        't.xlsx: found "3 sheets"; accepted: 2 sheets at the most'
    )
    three = book_of(["a"], ["b"], ["c"])
    assert len(read_workbook("t.xlsx", three, most_rows=3)[0].rows) == 3
    assert "more than 2 rows" in said(read_workbook, "t.xlsx", three, most_rows=2)


def test_two_thousand_rows_are_the_most_of_a_sheet() -> None:
    rows = b"<row><c><v>1</v></c></row>" * 2_001
    assert "more than 2000 rows" in said(read_workbook, "t.xlsx", changed(GOOD, SHEET, rows_xml(rows)))


def test_a_part_that_is_no_xml_and_a_style_that_lacks_are_no_harm() -> None:
    """A photograph in a workbook; and what openpyxl would warn of reaches nobody, for it changes no value."""
    for data in (
        changed(GOOD, "xl/media/image1.png", lambda _: b"\x89PNG\r\n\x1a\n<"),
        changed(GOOD, "xl/styles.xml", lambda _: b'<styleSheet xmlns="' + MAIN.encode() + b'"/>'),
    ):
        assert read_workbook("t.xlsx", data)[0].rows[1].cells == (1, 2.5)


def test_what_a_sheet_says_of_its_extent_is_not_believed() -> None:
    small = changed(GOOD, SHEET, lambda xml: re.sub(b'<dimension ref="[^"]*"', b'<dimension ref="A1:A1"', xml))
    assert small != GOOD
    assert [row.cells for row in read_workbook("t.xlsx", small)[0].rows] == [("a", "b"), (1, 2.5)]


@pytest.mark.parametrize(
    ("data", "found"),
    [(b"hello", "a file that is no workbook"),
     (b"\xd0\xcf\x11\xe0" + b"0" * 600, "an old XLS file or a workbook with a password"),
     (b"x\xd0\xcf\x11\xe0", "a file that is no workbook"), (locked(GOOD), "a workbook with a password"),
     (changed(GOOD, SHEET, entities), f"an XML document type in {SHEET}"),
     (changed(GOOD, SHEET, lambda _: b"<worksheet>"), "a workbook that cannot be read (ParseError)")],
)  # fmt: skip
def test_what_is_no_workbook_for_us(data: bytes, found: str) -> None:
    assert said(read_workbook, "t.xlsx", data) == f't.xlsx: found "{found}"; {XLSX}'


def test_one_locked_part_locks_a_workbook() -> None:
    made = bytearray(GOOD)
    at = made.find(b"PK\x01\x02")
    made[at + 8] |= 1
    assert "a workbook with a password" in said(read_workbook, "t.xlsx", bytes(made))
    whole = bytearray(GOOD)
    whole[whole.find(b"PK\x01\x02") + 8] |= 2  # how hard it was packed: no password
    assert read_workbook("t.xlsx", bytes(whole))


def test_how_much_a_workbook_may_unpack_to(monkeypatch: pytest.MonkeyPatch) -> None:
    assert (workbook.MOST_PARTS, workbook.MOST_UNPACKED, workbook.MOST_TAGS) == (2_000, 24_000_000, 400_000)
    with zipfile.ZipFile(io.BytesIO(GOOD)) as archive:
        within = archive.infolist()
        size = sum(part.file_size for part in within)
        tags = sum(archive.read(part).count(b"<") for part in within)
    for name, bound in (("MOST_PARTS", len(within)), ("MOST_UNPACKED", size), ("MOST_TAGS", tags)):
        with monkeypatch.context() as patch:
            patch.setattr(workbook, name, bound)
            assert read_workbook("t.xlsx", GOOD), name
            patch.setattr(workbook, name, bound - 1)
            told = said(read_workbook, "t.xlsx", GOOD)
        most = f"a workbook of {size - 1 if name == 'MOST_UNPACKED' else 24_000_000:,} bytes unpacked at the most"
        assert told == {
            "MOST_TAGS": f't.xlsx: found "more than {tags - 1:,} tags"; accepted: a sheet without so many cells',
        }.get(name, f't.xlsx: found "{len(within)} parts that unpack to {size:,} bytes"; accepted: {most}')
    assert "3,000 parts that unpack to 0 bytes" in said(read_workbook, "t.xlsx", parts(3_000))


def test_blank_rows_are_counted_where_they_are_written_down(monkeypatch: pytest.MonkeyPatch) -> None:
    assert (workbook.MOST_WRITTEN_ROWS, workbook._LAST_ROW) == (20_000, 1_048_576)  # noqa: SLF001 - what a sheet has
    monkeypatch.setattr(workbook, "MOST_WRITTEN_ROWS", 5)
    cell = b"<c><v>1</v></c>"
    assert (
        len(read_workbook("t.xlsx", changed(GOOD, SHEET, rows_xml(b"<row>" + cell + b"</row>" * 1 + b"<row/>" * 4))))
        == 1
    )
    assert said(
        read_workbook, "t.xlsx", changed(GOOD, SHEET, rows_xml(b"<row>" + cell + b"</row>" + b"<row/>" * 5))
    ) == ('t.xlsx: found "more than 5 rows"; accepted: 5 at the most, blank ones counted')
    far = changed(GOOD, SHEET, rows_xml(b'<row r="2">' + cell + b'</row><row r="900">' + cell + b"</row>"))
    (made,) = read_workbook("t.xlsx", far)
    assert [row.number for row in made.rows] == [2, 900], "a gap is not written down"
    monkeypatch.setattr(workbook, "_LAST_ROW", 900)
    assert read_workbook("t.xlsx", far)
    monkeypatch.setattr(workbook, "_LAST_ROW", 899)
    assert said(read_workbook, "t.xlsx", far) == (
        't.xlsx: found "rows beyond 899"; accepted: 5 at the most, blank ones counted'
    )


def test_cells_give_their_values_or_why_they_have_none() -> None:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(["=1+1", "#DIV/0!", "text", None, 3])
    sheet["F1"] = ArrayFormula("F1:F2", "=A1:A2*2")
    (made,) = read_workbook("t.xlsx", saved(book))
    save = "a value; save the file in a spreadsheet, which stores it"
    assert made.rows[0].cells == (
        Unreadable("=1+1", save),
        Unreadable("#DIV/0!", "a value; the spreadsheet shows an error here"),
        "text",
        None,
        3,
        Unreadable("an array formula", save),
    )
    stored = rows_xml(b'<row><c><f>1+1</f><v>2</v></c><c t="str"><f>A1</f><v> </v></c></row>')
    (made,) = read_workbook("t.xlsx", changed(GOOD, SHEET, stored))
    assert made.rows[0].cells == (2, Unreadable("=A1", save))
    alone = rows_xml(b"<row><c><f>1+1</f></c></row>")
    (made,) = read_workbook("t.xlsx", changed(GOOD, SHEET, alone))
    assert made.rows[0].cells == (Unreadable("=1+1", save),)


@pytest.mark.parametrize("ending", [".csv", ".tsv", ".tab", ".txt", ".CSV"])
def test_the_names_that_texts_end_with(ending: str) -> None:
    assert read_upload(f"o{ending}", b"piece\twidth\theight\tdepth\nA\t1\t1\t1\n").artworks


@pytest.mark.parametrize("ending", [".xlsx", ".xlsm", ".xltx", ".XLSX"])
def test_the_names_that_workbooks_end_with(ending: str) -> None:
    assert read_upload(f"o{ending}", book_of(["piece", "width", "height", "depth"], ["A", 1, 1, 1])).artworks

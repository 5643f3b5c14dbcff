"""The worksheet writes what the library writes, and no workbook draws more layouts than it can hold."""

from datetime import UTC, datetime
from io import BytesIO
from typing import Any
from zipfile import ZipFile

import xlsxwriter
from xlsxwriter.worksheet import Worksheet

from pricing.output.workbook.sheets import how_many_drawn
from pricing.output.workbook.worksheet import PlainWorksheet

TEXTS = ("plain", "a < b & \"c\" > 'd'", " space ", "two\nlines", "_x0041_", "K1.back", "plain", "😀" * 9_000)
FORMULAS: tuple[tuple[str, Any], ...] = (
    ("A1+1", 2.5), ('IF(A1<>"x",1,0)', 1), ("A1&B1", "a < b & c"), ("A1", ""), ("NA()", "#N/A"), ("A1=A1", True),
    ("1/3", 1 / 3), ("-B2", -1e-17), ("10^21", 1e21),
)  # fmt: skip


def parts(kind: type[Any]) -> dict[str, bytes]:
    """Write one sheet with a class of worksheets; return the parts of the file."""
    out = BytesIO()
    with xlsxwriter.Workbook(out, {"in_memory": True, "strings_to_formulas": False}) as book:
        book.set_properties({"created": datetime(2027, 4, 1, tzinfo=UTC).replace(tzinfo=None)})
        sheet = book.add_worksheet("One", kind)
        bold, none = book.add_format({"bold": True}), book.add_format({"num_format": "0.00"})
        plain = isinstance(sheet, PlainWorksheet)
        for column, text in enumerate(TEXTS):
            (sheet.put_text if plain else sheet.write_string)(3, column, text, bold)
        for column, (text, value) in enumerate(FORMULAS):
            if plain:
                sheet.put_formula(4, column, text, none, value)
            else:
                sheet.write_formula(4, column, f"={text}", none, value)
        for column, number in enumerate((0, 1, -2.5, 0.1 + 0.2, 1e15 / 7, 46_113)):
            (sheet.put_number if plain else sheet.write_number)(1, 700 + column, number, none)
        (sheet.put_blank(2, 2, bold) if plain else sheet.write_blank(2, 2, None, bold))
        across = [(None, 1.5), ("A1*2", 3.0), ("B1<C1", 0.25)]
        if plain:
            sheet.write_across(9, 1, across, none)
        for column, (formula, value) in enumerate(across, start=1):
            if not plain:
                (
                    sheet.write_formula(9, column, formula, none, value)
                    if formula
                    else sheet.write_number(9, column, value, none)
                )
        sheet.write_number(12, 0, 5)
    with ZipFile(out) as file:
        return {name: file.read(name) for name in file.namelist()}


def test_it_writes_what_the_library_writes() -> None:
    ours, theirs = parts(PlainWorksheet), parts(Worksheet)
    assert ours.keys() == theirs.keys()
    for name in ours:
        assert ours[name] == theirs[name], name
    assert b'r="AAD2"' in ours["xl/worksheets/sheet1.xml"]


def test_few_layouts_are_all_drawn_and_many_share_what_there_is() -> None:
    assert how_many_drawn([]) == []
    assert how_many_drawn([10, 41, 6]) == [10, 41, 6]
    assert how_many_drawn([300]) == [100]
    assert how_many_drawn([226, 1033, 110]) == [50, 50, 50]
    assert how_many_drawn([3, 226, 5, 1033]) == [3, 71, 5, 71]
    assert sum(how_many_drawn([60, 20, 90, 1, 400])) == 150

"""A worksheet that stores formulas as they stand, and is written cell by cell without asking what each might be."""

from collections import namedtuple
from collections.abc import Iterable
from typing import Any

from xlsxwriter.utility import xl_col_to_name
from xlsxwriter.worksheet import Worksheet

# The library tells its cells apart by the names of their classes.
_Formula = namedtuple("Formula", ("formula", "format", "value"))  # noqa: PYI024 - what it is by the library
_Number = namedtuple("Number", ("number", "format"))  # noqa: PYI024
_String = namedtuple("String", ("string", "format"))  # noqa: PYI024
_Blank = namedtuple("Blank", ("format",))  # noqa: PYI024
_SHORT = 16_383
"""Letters of a text that a cell takes whatever they are: it takes 32,767 halves of them."""


class PlainWorksheet(Worksheet):  # type: ignore[misc]  # the library has no types
    """Takes formulas as they are written.

    The library looks through each for thirty functions that are younger than the file format, to mark them; none is
    used here, and the looking took a quarter of the time that a workbook takes. What it writes for a cell of ours is
    the same as here, only that it asks of each cell again how its column is called and its format numbered.
    """

    def __init__(self) -> None:
        super().__init__()
        self._columns: list[str] = []
        self._numbers: dict[Any, str] = {}

    def put_formula(self, row: int, column: int, formula: str, style: Any, value: Any) -> None:
        """Write a formula that begins without an equals sign."""
        self._reach(row, column)
        self.table[row][column] = _Formula(formula, style, value)

    def put_number(self, row: int, column: int, number: float, style: Any) -> None:
        """Write a number that is one."""
        self._reach(row, column)
        self.table[row][column] = _Number(number, style)

    def put_text(self, row: int, column: int, text: str, style: Any) -> None:
        """Write a text; what may be too long for a cell, as the library cuts it."""
        if len(text) > _SHORT:
            self.write_string(row, column, text, style)
            return
        self._reach(row, column)
        self.table[row][column] = _String(self.str_table._get_shared_string_index(text), style)  # noqa: SLF001

    def put_blank(self, row: int, column: int, style: Any) -> None:
        """Write a style alone."""
        self._reach(row, column)
        self.table[row][column] = _Blank(style)

    def _reach(self, row: int, column: int) -> None:
        """Keep how far the sheet reaches; most cells lie within what is known."""
        if self.dim_rowmax is None or not (
            self.dim_rowmin <= row <= self.dim_rowmax and self.dim_colmin <= column <= self.dim_colmax
        ):
            self._check_dimensions(row, column)

    def write_across(self, row: int, column: int, cells: Iterable[tuple[str | None, float]], style: Any) -> None:
        """Write figures beside each other, each with its formula or without one."""
        end, line = column, self.table[row]
        for formula, value in cells:
            line[end] = _Number(value, style) if formula is None else _Formula(formula, style, value)
            end += 1
        if end > column:
            self._reach(row, column)
            self._reach(row, end - 1)

    def _write_cell(self, row: int, col: int, cell: Any) -> None:
        kind, style = cell.__class__.__name__, cell.format
        if not style or kind not in ("Formula", "Number", "String", "Blank"):
            super()._write_cell(row, col, cell)
            return
        while col >= len(self._columns):
            self._columns.append(xl_col_to_name(len(self._columns)))
        if style not in self._numbers:
            self._numbers[style] = f'" s="{style._get_xf_index()}"'  # noqa: SLF001 - as the library does it
        head = f'<c r="{self._columns[col]}{row + 1}{self._numbers[style]}'
        if kind == "Formula":
            value, told = cell.value, ""
            if isinstance(value, str):
                if not value or value[0] == "#":
                    super()._write_cell(row, col, cell)
                    return
                value, told = _escaped(value), ' t="str"'
            elif isinstance(value, bool):
                super()._write_cell(row, col, cell)
                return
            self.fh.write(f"{head}{told}><f>{_escaped(cell.formula)}</f><v>{value}</v></c>")
        elif kind == "String":
            self.fh.write(f'{head} t="s"><v>{cell.string}</v></c>')
        elif kind == "Number":
            self.fh.write(f"{head}><v>{cell.number:.16G}</v></c>")
        else:
            self.fh.write(f"{head}/>")

    def _prepare_formula(self, formula: str, expand_future_functions: bool = False) -> str:  # noqa: ARG002
        return formula.removeprefix("=")


def _escaped(text: str) -> str:
    if "&" in text:
        text = text.replace("&", "&amp;")
    if "<" in text:
        text = text.replace("<", "&lt;")
    return text.replace(">", "&gt;") if ">" in text else text

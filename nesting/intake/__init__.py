"""Reading orders: CSV, XLSX, TOML, or a table typed in, with every fault told at once by row and column.

The way of a table: :mod:`~nesting.intake.tables` (text), :mod:`~nesting.intake.workbook` or
:mod:`~nesting.intake.tomlfile` read it; :mod:`~nesting.intake.headings` finds out which column is which;
:mod:`~nesting.intake.lines` reads the cells of each row by the readers that :mod:`~nesting.intake.columns` names;
:mod:`~nesting.intake.cross_checks` compares the rows; :mod:`~nesting.intake.reading` leads and builds the order.
"""

from nesting.intake.columns import COLUMNS, Column
from nesting.intake.reading import order_from_rows, read_order, read_upload
from nesting.intake.tables import split_text

__all__ = [
    "COLUMNS",
    "Column",
    "order_from_rows",
    "read_order",
    "read_upload",
    "split_text",
]

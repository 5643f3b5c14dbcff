"""Reading orders: CSV, XLSX, TOML, or a table typed in, with every fault told at once by row and column.

The way of a table: :mod:`nesting.base.tables` or :mod:`~nesting.intake.tomlfile` reads it;
:mod:`~nesting.intake.headings` finds out which column is which;
:mod:`~nesting.intake.lines` reads the cells of each row by the readers that :mod:`~nesting.intake.columns` names;
:mod:`~nesting.intake.cross_checks` compares the rows; :mod:`~nesting.intake.reading` leads and builds the order.
"""

from nesting.base.tables.text import split_text
from nesting.intake.columns import COLUMNS, Column
from nesting.intake.reading import order_from_rows, order_from_table, read_order, read_upload

__all__ = [
    "COLUMNS",
    "Column",
    "order_from_rows",
    "order_from_table",
    "read_order",
    "read_upload",
    "split_text",
]

"""A tree written as the bytes of a file: CSV, workbook, TOML, JSON. Whatever a change made of it, bytes come out."""

import csv
import io
import json
from datetime import date
from typing import Any

from openpyxl import Workbook
from openpyxl.utils.exceptions import IllegalCharacterError

from tests.workbooks import saved


def _rows(tree: Any) -> list[list[Any]]:
    rows = tree if isinstance(tree, list) else [tree]
    return [row if isinstance(row, list) else [row] for row in rows]


def _said(value: Any) -> str:
    return "" if value is None else str(value)


def as_csv(tree: Any) -> bytes:
    """Write rows as CSV."""
    out = io.StringIO()
    csv.writer(out).writerows([[_said(cell) for cell in row] for row in _rows(tree)])
    return out.getvalue().encode("utf-8", "surrogatepass")


def as_book(tree: Any) -> bytes:
    """Write rows as a workbook; what no cell holds is left out."""
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    for number, row in enumerate(_rows(tree), 1):
        for place, cell in enumerate(row, 1):
            try:
                sheet.cell(number, place, cell if isinstance(cell, str | int | float | bool | None) else _said(cell))
            except (IllegalCharacterError, ValueError):
                continue
    try:
        return saved(book)
    except UnicodeEncodeError:
        return b"PK"


def as_json(tree: Any) -> bytes:
    """Write a tree as JSON; NaN and Infinity as Python's own reader takes them."""
    return json.dumps(tree).encode()


def as_toml(tree: Any) -> bytes:
    """Write a table as TOML: each key at the top, and below it all on one line."""
    if not isinstance(tree, dict):
        return _toml(tree).encode("utf-8", "surrogatepass")
    lines = [f"{_toml(str(key))} = {_toml(value)}\n" for key, value in tree.items()]
    return "".join(lines).encode("utf-8", "surrogatepass")


def _toml(value: Any) -> str:
    match value:
        case bool():
            return "true" if value else "false"
        case int() | float():
            return str(value)
        case date():
            return value.isoformat()
        case dict():
            return "{" + ", ".join(f"{_toml(str(key))} = {_toml(each)}" for key, each in value.items()) + "}"
        case list():
            return "[" + ", ".join(map(_toml, value)) + "]"
        case _:
            return json.dumps(_said(value), ensure_ascii=False).replace("\x7f", "\\u007f")

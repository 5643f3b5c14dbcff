"""A table of a page as CSV: what stands on the page is what is taken along, whichever page it is.

A table that takes part says ``data-table``. A cell's value is its ``data-value``, else what its fields and text say;
sums (rows of class ``all`` or ``part``) are left out, as a spreadsheet sums itself, but where the table says
``data-group`` the sums that head groups name a first column. A column whose heading is unseen, kept for where no
script runs, or says ``data-plain`` holds buttons alone, and so does a row that says ``data-acts``.
``static/tables.js`` copies by the same rules.
"""

import re
from decimal import Decimal
from html.parser import HTMLParser
from typing import Final

from starlette.responses import Response

from pricing.studio.table_file import csv_text, guarded

_PLAIN: Final = re.compile(r"[+\u2212-]?\s*([1-9]\d{0,2}(,\d{3})+|0|[1-9]\d*)(\.\d+)?")
"""A number as people write it; what begins with an idle 0 is a name."""
_UNSAID: Final = frozenset({"button", "script", "datalist"})
_APART: Final = frozenset({"br", "li", "p", "summary", "input", "select"})
_VOID: Final = frozenset({"br", "hr", "img", "input", "wbr", "meta", "link"})

Attributes = dict[str, str | None]


class _Reader(HTMLParser):
    """Reads the table of a name."""

    def __init__(self, name: str) -> None:
        super().__init__()
        self.name = name
        self.found = self.inside = False
        self.group = ""
        self.heads: list[tuple[str, bool]] = []
        self.rows: list[tuple[str, list[str]]] = []
        self._under = ""
        self._row: list[str] | None = None
        self._sums = self._parts = self._heading = self._plain = False
        self._cell: Attributes | None = None
        self._text: list[str] = []
        self._unsaid = 0
        self._options: list[tuple[bool, list[str]]] | None = None

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Take in what begins."""
        given: Attributes = dict(attrs)
        if tag == "table":
            self.inside = given.get("data-table") == self.name and not self.found
            self.found = self.found or self.inside
            self.group = (given.get("data-group") or "") if self.inside else self.group
        if not self.inside:
            return
        if tag == "thead":
            self._heading = True
        elif tag == "tr":
            classes = (given.get("class") or "").split()
            sums = "all" in classes or ("part" in classes and "data-row" not in given)
            self._row, self._sums = [], sums or "data-acts" in given
            self._parts = "part" in classes
        elif tag in ("td", "th"):
            self._cell, self._text = given, []
            self._plain = "data-plain" in given or "keeping" in (given.get("class") or "").split()
        elif self._cell is not None:
            self._said(tag, given)

    def _said(self, tag: str, given: Attributes) -> None:
        """Take in what begins inside a cell."""
        self._plain = self._plain or (given.get("class") or "") == "unseen"
        if tag in _UNSAID:
            self._unsaid += 1
        elif tag == "select":
            self._options = []
        elif tag == "option" and self._options is not None:
            self._options.append(("selected" in given, []))
        elif tag == "input":
            kind = given.get("type") or "text"
            if kind == "checkbox":
                self._text.append(" yes " if "checked" in given else " ")
            elif kind != "hidden":
                self._text.append(f" {given.get('value') or ''} ")
        if tag in _APART and tag in _VOID:
            self._text.append(" ")

    def handle_data(self, data: str) -> None:
        """Take in text."""
        if self._cell is None or self._unsaid:
            return
        if self._options is None:
            self._text.append(data)
        elif self._options:
            self._options[-1][1].append(data)

    def handle_endtag(self, tag: str) -> None:
        """Take in what ends."""
        if not self.inside:
            return
        if tag == "table":
            self.inside = False
        elif tag == "thead":
            self._heading = False
        elif tag == "tr" and self._row is not None:
            self._end_of_row()
        elif tag in ("td", "th") and self._cell is not None:
            self._end_of_cell(self._cell)
        elif tag in _UNSAID and self._unsaid:
            self._unsaid -= 1
        elif tag == "select" and self._options is not None:
            chosen = next((words for selected, words in self._options if selected), None)
            self._text += [" ", *(chosen or (self._options[0][1] if self._options else [])), " "]
            self._options = None
        elif tag in _APART:
            self._text.append(" ")

    def _end_of_cell(self, cell: Attributes) -> None:
        value = cell.get("data-value")
        text = " ".join("".join(self._text).split()) if value is None else value
        self._cell = None
        if self._heading:
            self.heads.append((text, self._plain))
        elif self._row is not None:
            self._row += [text, *[""] * (int(cell.get("colspan") or 1) - 1)]

    def _end_of_row(self) -> None:
        row, self._row = self._row, None
        if not row:
            return
        if self._sums:
            self._under = row[0] if self._parts else self._under
        else:
            self.rows.append((self._under, row))


def _value(text: str) -> str | Decimal:
    """Return a number as one, without what is written into it for people; other text as it is."""
    return Decimal(re.sub(r"[,\s+]", "", text).replace("\u2212", "-")) if _PLAIN.fullmatch(text) else text


def table_csv(page: str, name: str) -> str | None:
    """Return the table of a name on a page as CSV (RFC 4180); None where there is no such table."""
    reader = _Reader(name)
    reader.feed(page)
    reader.close()
    if not reader.found:
        return None
    taken = [not plain for _, plain in reader.heads]
    heads = [guarded(text) for (text, _), keep in zip(reader.heads, taken, strict=True) if keep]
    rows = []
    for under, row in reader.rows:
        cells = [_value(text) for text, keep in zip(row, taken, strict=False) if keep]
        rows.append([under, *cells] if reader.group else cells)
    return csv_text([reader.group, *heads] if reader.group else heads, rows, end="\r\n")


def as_csv(page: Response, name: str) -> Response:
    """Answer with a table of a page instead of the page."""
    text = table_csv(bytes(page.body).decode(), name)
    if text is None:
        raise LookupError(f"this page has no table {name[:40]!r} to download now")
    plain = re.sub(r"[^A-Za-z0-9]+", "-", name).strip("-").lower() or "table"
    headers = {"content-disposition": f'attachment; filename="{plain}.csv"'}
    return Response(text, media_type="text/csv", headers=headers)

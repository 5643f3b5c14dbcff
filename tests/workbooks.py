"""Workbooks for tests: well-formed ones, and what a stranger might send in place of one."""

import io
import zipfile
from collections.abc import Callable
from typing import Any

from openpyxl import Workbook

from nesting.base.tables.workbook import MOST_UNPACKED

SHEET = "xl/worksheets/sheet1.xml"
MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"


def saved(book: Workbook) -> bytes:
    """Return a workbook as the bytes of its file."""
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def book_of(*rows: list[Any]) -> bytes:
    """Return a workbook of one sheet."""
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    for row in rows:
        sheet.append(row)
    return saved(book)


def changed(
    data: bytes, part: str, change: Callable[[bytes], bytes], *, compression: int = zipfile.ZIP_DEFLATED
) -> bytes:
    """Return a workbook with one of its parts changed or added."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w", compression) as new:
        for name in old.namelist():
            new.writestr(name, change(old.read(name)) if name == part else old.read(name))
        if part not in old.namelist():
            new.writestr(part, change(b""))
    return out.getvalue()


def entities(xml: bytes) -> bytes:
    """Put a document type with an entity in front of a part."""
    head, _, rest = xml.partition(b"?>") if xml.startswith(b"<?xml") else (b"", b"", xml)
    return (head + b"?>" if head else b"") + b'<!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;">]>' + rest


def rows_xml(rows: bytes) -> Callable[[bytes], bytes]:
    """Put rows in place of a sheet's own."""
    return lambda _: b'<worksheet xmlns="' + MAIN.encode() + b'"><sheetData>' + rows + b"</sheetData></worksheet>"


def lying(data: bytes) -> bytes:
    """Return a workbook of which one part says that it is smaller than it is."""
    bomb = changed(data, SHEET, lambda xml: xml.replace(b"</sheetData>", b" " * (MOST_UNPACKED + 1) + b"</sheetData>"))
    with zipfile.ZipFile(io.BytesIO(bomb)) as archive:
        size = archive.getinfo(SHEET).file_size.to_bytes(4, "little")
    assert bomb.count(size) == 2
    return bomb.replace(size, (1000).to_bytes(4, "little"))


def locked(data: bytes) -> bytes:
    """Return a workbook that asks for a password."""
    made = bytearray(data)
    for mark, offset in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        at = made.find(mark)
        while at >= 0:
            made[at + offset] |= 1
            at = made.find(mark, at + 1)
    return bytes(made)


def parts(count: int) -> bytes:
    """Return an archive of very many parts."""
    many = io.BytesIO()
    with zipfile.ZipFile(many, "w") as archive:
        for number in range(count):
            archive.writestr(f"part{number}.xml", b"")
    return many.getvalue()

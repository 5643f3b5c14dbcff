"""Anchors: pictures are tied to one corner and keep their own size.

The workbook writer ties a picture to two cells, so that a viewer whose default face is wider or narrower than the one
assumed stretches it with the columns. A drawing to scale must not be stretched: here each picture gets the other
anchor of the format (ECMA-376 part 1, 20.5.2.24, ``oneCellAnchor``), which states a corner and a size. Charts stay as
they are.
"""

import re
from typing import Any, Final

from xlsxwriter import Workbook
from xlsxwriter.packager import Packager

_ANCHOR: Final = re.compile(
    r"<xdr:twoCellAnchor[^>]*>(?P<start><xdr:from>.*?</xdr:from>)<xdr:to>.*?</xdr:to>(?P<picture><xdr:pic>.*?</xdr:pic>)"
    r"(?P<rest>.*?)</xdr:twoCellAnchor>",
    re.DOTALL,
)
_SIZE: Final = re.compile(r'<a:ext cx="(\d+)" cy="(\d+)"/>')


class PlainWorkbook(Workbook):  # type: ignore[misc]  # the library has no types
    """A workbook, made in memory, whose pictures keep their size whatever width its columns come to."""

    def _get_packager(self) -> Packager:
        return _Packager()


class _Packager(Packager):  # type: ignore[misc]  # the library has no types
    """Gives pictures the other anchor before they are packed; to pack all of it again took as long as packing it."""

    def _create_package(self) -> list[Any]:
        files: list[Any] = super()._create_package()
        for file, name, _ in files:
            if name.startswith("xl/drawings/drawing"):
                text = _ANCHOR.sub(_one_cell, file.getvalue())
                file.seek(0)
                file.truncate()
                file.write(text)
        return files


def _one_cell(found: re.Match[str]) -> str:
    """Return the anchor with a corner and the size that the picture states."""
    size = _SIZE.search(found["picture"])
    if size is None:
        return found[0]
    return (
        f'<xdr:oneCellAnchor>{found["start"]}<xdr:ext cx="{size[1]}" cy="{size[2]}"/>{found["picture"]}{found["rest"]}'
        "</xdr:oneCellAnchor>"
    )

"""Anchors: pictures are tied to one corner and keep their own size.

The workbook writer ties a picture to two cells, so that a viewer whose default face is wider or narrower than the one
assumed stretches it with the columns. A drawing to scale must not be stretched: here each picture gets the other
anchor of the format (ECMA-376 part 1, 20.5.2.24, ``oneCellAnchor``), which states a corner and a size. Charts stay as
they are.
"""

import re
from io import BytesIO
from typing import Final
from zipfile import ZIP_DEFLATED, ZipFile

_ANCHOR: Final = re.compile(
    r"<xdr:twoCellAnchor[^>]*>(?P<start><xdr:from>.*?</xdr:from>)<xdr:to>.*?</xdr:to>(?P<picture><xdr:pic>.*?</xdr:pic>)"
    r"(?P<rest>.*?)</xdr:twoCellAnchor>",
    re.DOTALL,
)
_SIZE: Final = re.compile(r'<a:ext cx="(\d+)" cy="(\d+)"/>')


def keep_proportions(workbook: bytes) -> bytes:
    """Return a workbook whose pictures keep their size whatever width its columns come to."""
    out = BytesIO()
    with ZipFile(BytesIO(workbook)) as old, ZipFile(out, "w", ZIP_DEFLATED) as new:
        for entry in old.infolist():
            content = old.read(entry)
            if entry.filename.startswith("xl/drawings/drawing"):
                content = _ANCHOR.sub(_one_cell, content.decode()).encode()
            new.writestr(entry, content, compress_type=entry.compress_type)
    return out.getvalue()


def _one_cell(found: re.Match[str]) -> str:
    """Return the anchor with a corner and the size that the picture states."""
    size = _SIZE.search(found["picture"])
    if size is None:
        return found[0]
    return (
        f'<xdr:oneCellAnchor>{found["start"]}<xdr:ext cx="{size[1]}" cy="{size[2]}"/>{found["picture"]}{found["rest"]}'
        "</xdr:oneCellAnchor>"
    )

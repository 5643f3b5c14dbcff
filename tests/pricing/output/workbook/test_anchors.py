"""Pictures keep their proportions: one corner and a size, in every sample."""

import re
from io import BytesIO
from zipfile import ZipFile

from PIL import Image

from tests.pricing.output.workbook.support import written


def test_pictures_have_one_corner_and_their_own_size() -> None:
    with ZipFile(BytesIO(written("small_sale.csv"))) as book:
        drawings = {name: book.read(name).decode() for name in book.namelist() if "drawings/drawing" in name}
        media = sorted(name for name in book.namelist() if "media/" in name)
        shapes = [Image.open(BytesIO(book.read(name))).size for name in media]
    pictures = [text for text in drawings.values() if "<xdr:pic>" in text]
    assert pictures
    assert shapes
    for text in pictures:
        assert "twoCellAnchor" not in text
        sizes = re.findall(r'<xdr:ext cx="(\d+)" cy="(\d+)"/>', text)
        assert len(sizes) == text.count("<xdr:pic>")
        for (cx, cy), (width, height) in zip(sizes, shapes, strict=True):
            assert abs(int(cx) / int(cy) - width / height) < 0.01


def test_charts_stay_tied_to_their_cells() -> None:
    with ZipFile(BytesIO(written("small_sale.csv"))) as book:
        drawings = [book.read(name).decode() for name in book.namelist() if "drawings/drawing" in name]
    charts = [text for text in drawings if "graphicFrame" in text]
    assert len(charts) == 1
    assert "twoCellAnchor" in charts[0]

"""Pictures keep their proportions: one corner and a size, in every sample."""

import re
from io import BytesIO
from zipfile import ZipFile

from PIL import Image

from tests.pricing.output.workbook.support import written


def test_pictures_have_one_corner_and_their_own_size() -> None:
    """Two foams of which the same pads are cut have the same picture, which the file holds once."""
    told = 0
    with ZipFile(BytesIO(written("small_sale.csv"))) as book:
        for name in (name for name in book.namelist() if "drawings/drawing" in name):
            text = book.read(name).decode()
            links = book.read(f"xl/drawings/_rels/{name.rpartition('/')[2]}.rels").decode()
            places = dict(re.findall(r'Id="(\w+)"[^>]*Target="\.\./(media/[^"]*)"', links))
            shapes = {link: Image.open(BytesIO(book.read(f"xl/{place}"))).size for link, place in places.items()}
            anchors = re.findall(
                r'<xdr:oneCellAnchor>.*?<xdr:ext cx="(\d+)" cy="(\d+)"/><xdr:pic>.*?r:embed="(\w+)"', text, re.DOTALL
            )
            assert len(anchors) == text.count("<xdr:pic>")
            for cx, cy, link in anchors:
                width, height = shapes[link]
                assert abs(int(cx) / int(cy) - width / height) < 0.01
            told += len(anchors)
    assert told > 3


def test_charts_stay_tied_to_their_cells() -> None:
    with ZipFile(BytesIO(written("small_sale.csv"))) as book:
        drawings = [book.read(name).decode() for name in book.namelist() if "drawings/drawing" in name]
    charts = [text for text in drawings if "graphicFrame" in text]
    assert len(charts) == 1
    assert "twoCellAnchor" in charts[0]

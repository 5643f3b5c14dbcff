import os
from pathlib import Path

import pytest

from nesting.base.faults import FaultsFound
from nesting.base.measure import INCH
from nesting.base.tables.table import MOST_BYTES
from nesting.intake import read_order, read_upload, split_text
from tests.nesting.intake.support import HEAD


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_text_files_of_many_makes(delimiter: str, encoding: str, ending: str) -> None:
    text = ending.join(
        delimiter.join(cells) for cells in [[*HEAD, "title"], ["A-01", '"30 1/2"""', "40", "1½", "Café"], [""]]
    )
    order = read_upload("o.csv", text.encode(encoding))
    assert (order.artworks[0].width, order.artworks[0].depth) == (61 * INCH // 2, 3 * INCH // 2)
    assert order.artworks[0].title == "Café"
    assert [w for w in order.warnings if "Windows-1252" in w] == list(order.warnings)
    assert bool(order.warnings) == (encoding == "cp1252")


def test_very_many_blank_lines_are_refused() -> None:
    assert len(read_upload("o.csv", b"piece,width,height,depth\nA,1,1,1\n" + b"\n" * 90_000).artworks) == 1
    with pytest.raises(FaultsFound, match="100,000 lines"):
        read_upload("o.csv", b"piece,width,height,depth\nA,1,1,1\n" + b"\n" * 100_000)


def test_a_line_may_say_the_delimiter() -> None:
    rows = split_text("sep=;\npiece;width\nA,1;30")
    assert rows == [[], ["piece", "width"], ["A,1", "30"]]


def test_inch_marks_need_no_quoting() -> None:
    artwork = read_upload("o.csv", b'piece,width,height,depth\nA,30",2\' 6",1 1/2"\n').artworks[0]
    assert (artwork.width, artwork.height, artwork.depth) == (30 * INCH, 30 * INCH, 3 * INCH // 2)


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [("o.csv", b"", "found nothing"), ("o.csv", b" \n\n", "found nothing"), ("o.csv", b"\x00\x01\x02", "no text"),
     ("o.csv", b"\x81\x8d", "no text"), ("o.csv", b'piece,width\n"A,30\n', "quotes in pairs"),
      ("o.csv", b"\xff\xfe\x00", "no text"),
     ("o.csv", b"piece\n" + b"x" * 140_000, "is a quote not closed"),
      ("o.csv", b"x" * (MOST_BYTES + 1), "bytes at the most"),
     ("o.xls", b"\xd0\xcf\x11\xe0", "the ending .xls"), ("o", b"x", "the ending (none)"), ("o.pdf", b"x",
      "the ending .pdf"),
     ("o.xlsx", b"\xd0\xcf\x11\xe0" + b"0" * 600, "old XLS"), ("o.xlsx", b"hello", "no workbook"),
      ("o.toml", b"a = [", "TOML"),
     ("o.toml", b"a = " + b"[" * 100_000, "nested"), ("o.toml", b"a = " + b"9" * 10_000, "TOML"),
     ("o.toml", b"a = 1e9999999999999999999", "beyond all bounds"),
      ("o.toml", b"name = 'x'", "[[artwork]]"),
     ("o.toml", b"artwork = 3", "[[artwork]]"), ("o.toml", b"[artwork]\npiece = 'A'", "[[artwork]]"),
      ("o.toml", b"artwork = []", "[[artwork]]")],
)  # fmt: skip
def test_files_that_are_no_orders_are_refused(name: str, data: bytes, said: str) -> None:
    with pytest.raises(FaultsFound) as caught:
        read_upload(name, data)
    assert len(caught.value.faults) == 1
    assert said in str(caught.value)


def test_paths_that_cannot_be_opened_are_faults(tmp_path: Path) -> None:
    for path in (tmp_path / "none.csv", tmp_path, tmp_path / ("x" * 5000), Path("a\0b.csv")):
        with pytest.raises(FaultsFound):
            read_order(path)
    if os.path.exists("/dev/zero"):  # noqa: PTH110 - a device, not a file of ours
        with pytest.raises(FaultsFound):
            read_order("/dev/zero")

"""Which orders a folder or a long table holds, and that none is opened before its turn."""

from pathlib import Path

import pytest
from openpyxl import Workbook

from nesting.base.faults import FaultsFound
from nesting.base.tables.table import MOST_ROWS
from pricing.batch.listing import list_orders
from pricing.studio.office import Office

HEAD = "order,piece,width,height,depth\n"


def rows(*cells: str) -> str:
    """Return a long table."""
    return HEAD + "".join(f"{each},20,16,1 1/2\n" for each in cells)


def test_a_folder_lists_its_tables_and_not_the_studios_files(tmp_path: Path) -> None:
    for name in ("b.csv", "a.toml", "a.csv", "destinations.csv", "scenarios.toml", ".hidden.csv", "~$a.xlsx", "c.pdf"):
        (tmp_path / name).write_text("x", encoding="utf-8")
    (tmp_path / "d.csv").mkdir()
    listing = list_orders(tmp_path)
    assert listing.count == 3
    assert [task.name for task in listing.tasks()] == ["a.csv", "a.toml", "b"]


def test_files_are_read_one_by_one_when_their_turn_comes(tmp_path: Path) -> None:
    for name in ("a.csv", "b.csv", "c.csv"):
        (tmp_path / name).write_text(name, encoding="utf-8")
    tasks = list_orders(tmp_path).tasks()
    assert next(tasks).content == b"a.csv"
    (tmp_path / "b.csv").unlink()
    (tmp_path / "c.csv").write_text("later", encoding="utf-8")
    gone, later = tasks
    assert len(gone.faults) == 1
    assert "b.csv: found" in gone.faults[0]
    assert later.content == b"later"


def test_a_long_table_is_cut_into_orders_and_keeps_its_row_numbers(tmp_path: Path) -> None:
    path = tmp_path / "season.csv"
    path.write_text(rows("North,A", "North,B") + "\n" + rows("South,A").removeprefix(HEAD), encoding="utf-8")
    listing = list_orders(path)
    north, south = listing.tasks()
    assert (listing.count, north.name, north.source) == (2, "North", "season.csv, rows 2 to 3")
    assert south.source == "season.csv, row 5"
    assert [artwork.piece for artwork in north.read(Office()).artworks] == ["A", "B"]
    assert south.read(Office()).artworks[0].piece == "A"


def test_a_fault_in_a_long_table_names_the_tables_own_row(tmp_path: Path) -> None:
    path = tmp_path / "season.csv"
    path.write_text(rows("North,A", "South,B") + "South,C,thirty,16,1\n", encoding="utf-8")
    *_, south = list_orders(path).tasks()
    with pytest.raises(FaultsFound, match=r"season\.csv, row 4, column width"):
        south.read(Office())


def test_rows_that_do_not_adjoin_make_their_order_faulty_and_stop_no_other(tmp_path: Path) -> None:
    path = tmp_path / "season.csv"
    path.write_text(rows("North,A", "South,B", "north,C", ",D", ",E"), encoding="utf-8")
    listing = list_orders(path)
    found = list(listing.tasks())
    assert listing.count == len(found) == 5
    assert [bool(task.faults) for task in found] == [True, False, True, True, True]
    assert "North, in 2 places" in found[0].faults[0]
    assert "row 5, column order" in found[3].faults[0]
    assert len({task.name for task in found}) == 5


def test_an_order_of_too_many_rows_is_told_and_not_held_in_memory(tmp_path: Path) -> None:
    path = tmp_path / "season.csv"
    path.write_text(rows(*(f"North,A{number}" for number in range(MOST_ROWS))), encoding="utf-8")
    (only,) = list_orders(path).tasks()
    assert "2,000 rows" in only.faults[0]
    assert only.content == b""


@pytest.mark.parametrize(
    "content",
    [
        rows("Süd,A").replace(",", ";").encode(),
        b"\xef\xbb\xbf" + rows("Süd,A").encode(),
        rows("Süd,A").encode("cp1252"),
        rows("Süd,A").encode("utf-16"),
        ("sep=;\n" + rows("Süd,A").replace(",", ";")).encode(),
    ],
    ids=["semicolons", "mark", "1252", "utf-16", "sep"],
)
def test_a_long_table_is_read_however_it_was_saved(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "season.csv"
    path.write_bytes(content)
    (task,) = list_orders(path).tasks()
    assert task.name == "Süd"
    assert task.read(Office()).artworks[0].piece == "A"


def test_a_workbook_is_a_long_table_too(tmp_path: Path) -> None:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    for row in (("Lot", "piece", "width", "height", "depth"), ("N", "A", 20, 16, 1.5), ("S", "A", 20, 16, 1.5)):
        sheet.append(row)
    book.save(tmp_path / "season.xlsx")
    north, south = list_orders(tmp_path / "season.xlsx", column="lot").tasks()
    assert (north.name, south.name) == ("N", "S")
    assert south.read(Office()).artworks[0].piece == "A"


@pytest.mark.parametrize(
    ("name", "text", "told"),
    [
        ("season.csv", "piece,width\nA,2\n", "a heading with one column order"),
        ("season.csv", HEAD, "no row below the heading"),
        ("season.csv", "", "no row below the heading"),
        ("season.csv", HEAD + '"North,A\n', "cannot be split"),
        ("season.pdf", "x", "the ending .pdf"),
    ],
)
def test_what_is_no_long_table_is_one_clear_fault(tmp_path: Path, name: str, text: str, told: str) -> None:
    (tmp_path / name).write_text(text, encoding="utf-8")
    with pytest.raises(FaultsFound, match=told) as found:
        list_orders(tmp_path / name)
    assert len(found.value.faults) == 1


def test_nothing_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(FaultsFound, match="no order"):
        list_orders(tmp_path)
    with pytest.raises(FaultsFound, match="No such file"):
        list_orders(tmp_path / "gone.csv")

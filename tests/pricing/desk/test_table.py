import pytest

from nesting.base.faults import Fault, FaultsFound
from nesting.intake import read_order, read_upload
from pricing.desk.content import HEADINGS, Content, changes, content_from
from pricing.desk.table import cell_faults, dropped, pasted, read, with_cell
from tests.pricing.desk.orders import SAMPLES


def _content(*rows: tuple[str, ...]) -> Content:
    return Content(headings=("piece", "width", "height", "depth"), rows=rows)


def test_nothing_typed_is_no_fault() -> None:
    assert read(Content(), "x").empty
    assert read(_content(("", " ", "", "")), "x").empty


def test_faults_stand_at_their_cells() -> None:
    reading = read(_content(("A-01", "thirty", "30", "1"), ("A-01", "30", "", "1")), "x")
    assert reading.order is None
    places = {(fault.row, fault.column): fault for fault in reading.faults}
    assert places[0, 1].text.startswith("“thirty” cannot be read here. Write ")
    assert places[1, 2].missing
    assert (1, 0) in places, "a name that stands twice"


@pytest.mark.parametrize(
    ("accepted", "told"),
    [
        (
            "track of 36 in or more under [tools] in shop.toml",
            "Write track of 36 in or more under “tools” on the page Shop.",
        ),
        (
            "wider French cleats (cleat_width of [travel] in shop.toml), or method closed",
            "Write wider French cleats (cleat_width under “travel” on the page Shop), or method closed.",
        ),
    ],
)
def test_a_rule_is_named_by_the_page_on_which_it_is_changed(accepted: str, told: str) -> None:
    (fault,) = cell_faults(Content(), [Fault("shop", None, None, "K1.lid is too long", accepted)])
    assert fault.text == f"shop: K1.lid is too long. {told}"


def test_blank_rows_between_do_not_move_a_fault() -> None:
    reading = read(_content(("A-01", "30", "30", "1"), ("", "", "", ""), ("A-02", "x", "30", "1")), "x")
    assert [(fault.row, fault.column) for fault in reading.faults] == [(2, 1)]


@pytest.mark.parametrize("name", ["gallery_consignment.csv", "small_sale.csv", "metric_pair.xlsx", "giant_panel.toml"])
def test_a_dropped_file_reads_as_the_command_reads_it(name: str) -> None:
    title, units, headings, rows = dropped(name, (SAMPLES / name).read_bytes())
    own = read(Content(units=units or "inch").with_rows(headings, rows), title).order
    assert own is not None
    assert own.artworks == read_order(SAMPLES / name).artworks


def test_pasted_cells_without_a_heading_take_the_first_columns() -> None:
    headings, rows = pasted("A-01\tFirst\t30\t30\nA-02\tSecond\t20\t20")
    assert headings == HEADINGS[:4]
    assert rows == (("A-01", "First", "30", "30"), ("A-02", "Second", "20", "20"))


def test_pasted_cells_with_a_heading_keep_it() -> None:
    headings, rows = pasted("Ref\tW\tH\tD\tFrame colour\nA-01\t30\t30\t1\tblack\n")
    assert headings == ("Ref", "W", "H", "D", "Frame colour")
    assert read(Content().with_rows(headings, rows), "x").order is not None


@pytest.mark.parametrize(("file", "data"), [("a.pdf", b"%PDF"), ("a.xlsx", b"PK"), ("a.csv", b""), ("a", b"x,y")])
def test_what_is_no_table_is_refused(file: str, data: bytes) -> None:
    with pytest.raises(FaultsFound):
        dropped(file, data)


def test_too_long_a_paste_is_refused_before_it_is_spread() -> None:
    rows = "A\t1\t1\t1\n" * 2000
    assert len(pasted(rows)[1]) == 2000
    assert len(pasted(f"piece\twidth\n{rows}")[1]) == 2000
    with pytest.raises(FaultsFound, match="2000 rows at the most"):
        pasted(f"{rows}B\t1\t1\t1\n")


def test_a_cell_is_changed_by_piece_and_column() -> None:
    content = with_cell(_content(("A-01", "30", "30", "1")), "A-01", "method", "closed")
    assert content.headings[-1] == "method"
    assert content.rows == (("A-01", "30", "30", "1", "closed"),)
    with pytest.raises(LookupError):
        with_cell(content, "B-01", "method", "closed")


def test_content_comes_back_equal_and_its_changes_are_told() -> None:
    before = _content(("A-01", "30", "30", "1"))
    after = Content("metric", before.headings, (("A-01", "31", "30", "1"),), {"hour saw": "50"}, {}, ("ply",), {}, 3)
    assert content_from(after.text()) == after
    told = {(each.row, each.column, each.before, each.after) for each in changes(before, after)}
    assert told == {
        (1, "width", "30", "31"), (0, "units", "inch", "metric"), (0, "hour saw", "", "50"),
        (0, "not to be had", "", "ply"),
    }  # fmt: skip


def test_a_monstrous_table_is_refused() -> None:
    with pytest.raises(ValueError, match="2000 rows"):
        Content(rows=(("x",),) * 2001)
    with pytest.raises(ValueError, match="characters"):
        Content(rows=(("x" * 5000,),))


@pytest.mark.parametrize(
    "back",
    [
        '{ kind = "cradle", bar_width = "3/4", bar_depth = "1 in", face = 0.25, middle_bars = 2 }',
        '{ kind = "strainer", bar_width = 3, bar_depth = "2 cm" }',
        '{ kind = "cleated", cleat_thickness = "18 mm", cleat_width = 3, cleat_low = 0, cleat_high = "5 cm" }',
        '{ kind = "cleated" }',
        '"cradle 3/4 x 1, face 1/4"',
    ],
)
def test_a_back_of_a_dropped_table_is_a_cell_that_reads_the_same(back: str) -> None:
    data = f'[[artwork]]\npiece = "A"\nwidth = 30\nheight = 40\ndepth = 2\nback = {back}\n'.encode()
    title, _, headings, rows = dropped("o.toml", data)
    order = read(Content().with_rows(headings, rows), title).order
    assert order is not None
    assert order.artworks[0].back == read_upload("o.toml", data).artworks[0].back

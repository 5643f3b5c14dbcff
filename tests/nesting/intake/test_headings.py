import pytest

from nesting.base.measure import INCH
from nesting.intake import COLUMNS, order_from_rows
from nesting.intake.columns import SPELLINGS
from nesting.intake.headings import read_heading
from tests.nesting.intake.support import faults_of


@pytest.mark.parametrize(
    ("heading", "cell"),
    [("dimensions (h x w x d)", "40 x 30 x 1 1/2"), ("Dimensions (H × W × D, in)", '40"×30"×1.5"'), ("HxWxD",
     "40x30x1.5"),
     ("size, height by width by depth", "40 by 30 by 1 1/2"), ("dims w x h x d (cm)", "76.2 x 101.6 x 3.81"),
     ("DxWxH inches", "1-1/2 X 30 X 40"), ("dimensions [h*w*d] mm", "1016 x 762 x 38.1"), ("hxwxd",
      "101.6 x 76.2 x 3.81 cm"),
     ("dimensions", "40 h x 30 w x 1 1/2 d"), ("Dimensions (cm)", "W 76.2 x H 101.6 x D 3.81"), ("size",
      '40"H x 30"W x 1.5"D')],
)  # fmt: skip
def test_dimensions_whose_order_is_stated_are_read(heading: str, cell: str) -> None:
    artwork = order_from_rows([["piece", heading], ["A-01", cell]]).artworks[0]
    assert (artwork.width, artwork.height, artwork.depth) == (30 * INCH, 40 * INCH, 3 * INCH // 2)


def test_two_dimensions_go_with_a_column_for_the_third() -> None:
    artwork = order_from_rows([["piece", "size (h x w)", "depth"], ["A-01", "40 x 30", "1 1/2"]]).artworks[0]
    assert (artwork.width, artwork.height, artwork.depth) == (30 * INCH, 40 * INCH, 3 * INCH // 2)


@pytest.mark.parametrize("heading", ["dimensions", "Size (in)", "L x W x H", "dimensions (w x w x d)"])
def test_dimensions_without_a_stated_order_are_asked_about_once(heading: str) -> None:
    said = faults_of(["piece", heading], ["A-01", "40 x 30 x 2"], ["A-02", "40 x 30 x 2"])
    assert len(said) == 1
    assert "row 1, column dimensions" in said[0]
    assert "dimensions (h x w x d)" in said[0]


@pytest.mark.parametrize("cell", ["40 x 30", "40 x 30 x 2 x 1", "40 x x 2", "40 x wide x 2", "40", "",
"400 x 30 x 2", "0 x 30 x 2",
                                  "40h x 30h x 2d", "x", "1x" * 100])  # fmt: skip
def test_dimensions_that_do_not_fit_their_heading_are_told(cell: str) -> None:
    said = faults_of(["piece", "dimensions (h x w x d)"], ["A-01", cell])
    assert said
    assert all("row 2, column dimensions" in sentence for sentence in said)


def test_dimensions_and_width_contradict() -> None:
    said = faults_of(["piece", "dimensions (h x w x d)", "width"], ["A-01", "40 x 30 x 2", "30"])
    assert len(said) == 1
    assert said[0].endswith(
        'found "width"; accepted: one column for width; "dimensions (h x w x d)" is read as width too'
    )


@pytest.mark.parametrize(
    ("text", "name", "unit"),
    [
        ("Width", "width", None),
        ("  WIDTH*: ", "width", None),
        ("W", "width", None),
        ("Width (in)", "width", "in"),
        ("width_in", "width", "in"),
        ('Width"', "width", "in"),
        ('Width (")', "width", "in"),
        ("width, cm", "width", "cm"),
        ("Height [mm]", "height", "mm"),
        ("depth in inches", "depth", "in"),
        ("depth (in inches)", "depth", "in"),
        ("width (framed)", "width", None),
        ("width (framed, cm)", "width", "cm"),
        ("width (image)", None, None),
        ("width (kg)", None, None),
        ("Weight (lbs.)", "weight", "lb"),
        ("weight kg", "weight", "kg"),
        ("kg", "weight", "kg"),
        ("LBS", "weight", "lb"),
        ("Weight (total)", None, None),
        ("weight each (kg)", "weight", "kg"),
        ("Price (USD)", "price", "USD"),
        ("price $", "price", "$"),
        ("Declared value (€)", "declared", "EUR"),
        ("Art. No.", "piece", None),
        ("Ref.", "piece", None),
        ("No", "piece", None),
        ("Artist’s price", "price", None),
        ("Ship-by", "ship_by", None),
        ("pour depth (mm)", "pour_depth", "mm"),
        ("QTY", "quantity", None),
        ("Shock limit (G)", "shock_limit", "G"),
        ("max. shock", "shock_limit", None),
        ("shock (kg)", None, None),
        ("Gallery's commission (%)", "commission", "%"),
        ("commission, kg", None, None),
        ("Made of", "support", None),
        ("length", None, None),
        ("", None, None),
        ("x" * 500, None, None),
    ],
)
def test_headings(text: str, name: str | None, unit: str | None) -> None:
    heading = read_heading(3, text)
    assert (heading.place, heading.name, heading.unit) == (3, name, unit)


@pytest.mark.parametrize("text", ["dimensions (h x w x d) of image", "h x w x d, kg", "size (h x w) in cm and mm"])
def test_dimensions_with_words_that_are_not_understood_are_not_guessed(text: str) -> None:
    assert read_heading(0, text).name is None


def test_letters_in_the_cells_may_state_the_order_and_still_be_wrong() -> None:
    said = faults_of(
        ["piece", "size"], ["A-01", "40 h x many w x 2 d"], ["A-02", "40 x 30 x 2"], ["A-03", "9 h x 1 w x 1 d" * 20]
    )
    assert ["column dimensions" in sentence for sentence in said] == [True] * 3


def test_no_two_columns_share_a_spelling() -> None:
    spelled = [
        spelling for column in COLUMNS for spelling in (column.name.replace("_", " "), *column.others, *column.lately)
    ]
    assert len(spelled) == len(set(spelled)) == len(SPELLINGS)
    for column in COLUMNS:
        for spelling in (column.name, *column.others, *column.lately):
            assert read_heading(0, spelling.upper()).name == column.name

import pytest

from nesting.base.faults import FaultsFound
from nesting.base.measure import INCH, MM
from nesting.base.tables.cells import Cell
from nesting.intake import order_from_rows
from nesting.order import Back
from tests.nesting.intake.support import HEAD, faults_of, one


def test_companions_must_be_in_the_order_and_agree() -> None:
    said = faults_of(
        [*HEAD, "together", "apart", "set", "destination"],
        ["A", "30", "40", "1", "B, Z", "", "", "Harbour"],
        ["B", "30", "40", "1", "", "a", "", "Hill"],
        ["C", "30", "40", "1", "c", "D", "S", ""],
        ["D", "30", "40", "1", "", "", "S", "Hill"],
    )
    assert len(said) == 6
    assert 'row 2, column together: found "Z"' in said[0]
    assert 'row 3, column apart: found "a"; accepted: either together or apart for A and B, not both' in said[1]
    assert 'row 3, column together: found "Harbour and Hill"; accepted: one destination for A and B' in said[2]
    assert "row 4, column together" in said[3]
    assert "not its own companion" in said[3]
    assert "row 5, column destination" in said[4]
    assert "one destination for all pieces of the set S" in said[4]
    assert 'row 5, column apart: found "C and D"' in said[5]


def test_companions_are_written_as_their_rows_are() -> None:
    rows: list[list[Cell]] = [
        [*HEAD, "together", "qty"],
        ["A-01", "30", "40", "1", "b-02#2", ""],
        ["B-02", "30", "40", "1", "", "2"],
    ]
    assert order_from_rows(rows).artworks[0].together == ("B-02#2",)


def test_companions_of_a_row_without_a_name_are_still_read() -> None:
    said = faults_of([*HEAD, "together"], ["", "30", "40", "1", "B"], ["B", "30", "40", "1", ""])
    assert said == ["table, row 2, column piece: found nothing; accepted: a name that no other row has, such as A-01"]


def test_a_set_is_packed_one_way() -> None:
    said = faults_of(
        [*HEAD, "set", "method"],
        ["A", "30", "40", "1", "S", "closed"],
        ["B", "30", "40", "1", "s", "travel"],
        ["C", "9", "9", "1", "S", ""],
    )
    assert len(said) == 1
    assert "one method for all pieces of the set S" in said[0]


def test_destinations_that_differ_in_capitals_are_one() -> None:
    order = order_from_rows(
        [[*HEAD, "destination"], ["A", "30", "40", "1", "Harbour Gallery"], ["B", "30", "40", "1", "harbour gallery"]]
    )
    assert {artwork.destination for artwork in order.artworks} == {"Harbour Gallery"}
    assert order.warnings == (
        'table: destination "harbour gallery" is read as "Harbour Gallery", as it was written first',
    )


def test_names_of_copies_may_not_be_taken() -> None:
    said = faults_of(
        [*HEAD, "qty"], ["A", "30", "40", "1", "3"], ["A#2", "30", "40", "1", ""], ["A#4", "30", "40", "1", ""]
    )
    assert len(said) == 1
    assert "row 3, column piece" in said[0]


def test_an_order_has_one_currency() -> None:
    def code(*cells: str, stated: str | None = None) -> str | None:
        rows = [[f"P{n}", "30", "40", "1", cell] for n, cell in enumerate(cells)]
        return order_from_rows([[*HEAD, "price"], *rows], currency_code=stated).currency

    assert code("100", "$200") is None
    assert code("100 EUR", "€200", "300") == "EUR"
    assert code("$100", "CAD 200", "$ 5") == "CAD"
    assert code("$100", stated="USD") == "USD"
    with pytest.raises(FaultsFound, match="one currency"):
        code("€100", "£100")
    with pytest.raises(FaultsFound, match="one currency"):
        code("€100", "$100")
    with pytest.raises(FaultsFound, match="one currency"):
        code("$100", stated="EUR")
    assert order_from_rows([[*HEAD, "price (GBP)"], ["A", "30", "40", "1", "5"]]).currency == "GBP"


def test_strainers_need_bars_that_fit() -> None:
    assert one(back="strainer", bar_width="1 1/2", bar_depth="3/4").back == Back(
        "strainer", 3 * INCH // 2, 3 * INCH // 4
    )
    assert one(back="Strainer 40 x 20 mm").back == Back("strainer", 40 * MM, 20 * MM)
    assert one(back="strainer (1 1/2 wide, 3/4 deep)").back == Back("strainer", 3 * INCH // 2, 3 * INCH // 4)
    assert one(back="cleated").back == Back("cleated")
    for back, bars in (
        ("strainer", []),
        ("strainer 1 x 2", []),
        ("solid", ["1", "1"]),
        ("strainer 1", []),
        ("strainer 0 x 1", []),
    ):
        head = [*HEAD, "back", *["bar width", "bar depth"][: len(bars)]]
        assert "back" in faults_of(head, ["A", "30", "40", "1 1/2", back, *bars])[0]


def test_cradles_and_own_cleats_are_read_with_their_sizes() -> None:
    cradle = Back("cradle", 3 * INCH // 4, INCH, INCH // 4, 2)
    assert one(back="cradle 3/4 x 1, face 1/4, 2 middle bars").back == cradle
    assert one(back="cradle, face 1/4, 2 middle bars", bar_width="3/4", bar_depth="1").back == cradle
    assert one(back="cradle 3/4 x 1, face 1/4, 2 middle bars", bar_width="2", bar_depth="1/2").back == cradle
    cleated = Back("cleated", 0, 0, 0, 0, 3 * INCH // 4, 3 * INCH, 2 * INCH, 2 * INCH)
    assert one(back="cleated 3/4 thick, 3 wide, 2 up, 2 down").back == cleated


@pytest.mark.parametrize(
    ("back", "bars", "column", "found", "accepted"),
    [
        ("cradle", [], "back", "cradle", "cradle 3/4 x 1 1/2, face 1/4"),
        ("cradle", ["1", ""], "back", "cradle", "cradle 3/4 x 1 1/2, face 1/4"),
        ("cleated", ["1", "1"], "back", "cleated", "strainer or cradle, since widths or depths of bars are given"),
        ("", ["1", "1"], "back", "", "strainer or cradle, since widths or depths of bars are given"),
        ("cradle 3/4 x 2", [], "back", "cradle 3/4 in x 2 in", "bars no deeper than the piece"),
        ("cradle", ["3/4", "2"], "bar_depth", "2", "bars no deeper than the piece"),
        ("cradle 3/4 x 1 1/2, face 1/4", [], "back", "face 1/4 in", "bars and face together no deeper than the piece"),
        ("cradle 7 1/2 x 1, 3 middle bars", [], "back", "3 middle bars", "bars that all fit beside one another"),
        ("cleated 2 thick, 3 wide, 2 up, 2 down", [], "back", "2 in thick", "cleats thinner than the piece is deep"),
        (
            "cleated 3/4 thick, 3 wide, 20 up, 20 down",
            [],
            "back",
            "3 in wide, 20",
            "cleats that fit one above the other",
        ),
        ("cleated 3/4 thick", [], "back", "cleated 3/4 thick", "all four of thick, wide, up and down"),
        ("solid 3/4", [], "back", "solid 3/4", "solid, strainer or cradle"),
    ],
)
def test_backs_that_lack_something_or_do_not_fit_are_one_fault_each(
    back: str, bars: list[str], column: str, found: str, accepted: str
) -> None:
    head = [*HEAD, "back", *["bar width", "bar depth"][: len(bars)]]
    said = faults_of(head, ["A", "30", "40", "1 1/2", back, *bars])
    assert len(said) == 1
    assert f"column {column}: found" in said[0]
    assert found in said[0]
    assert accepted in said[0]


def test_every_back_that_is_wrong_is_told_at_once() -> None:
    said = faults_of(
        [*HEAD, "back"],
        ["A", "30", "40", "1", "cradle 3/4 x 2"],
        ["B", "30", "40", "wide", "cradle 3/4 x 2"],
        ["C", "30", "40", "1", "wood"],
    )
    assert [row for row in (2, 3, 4) if any(f"row {row}" in each for each in said)] == [2, 3, 4]
    assert len(said) == 3


def test_resin_is_part_of_the_depth() -> None:
    said = faults_of([*HEAD, "pour depth"], ["A", "30", "40", "1", "1 1/4"])
    assert 'column pour_depth: found "1 1/4"' in said[0]


@pytest.mark.parametrize("other", ["a-01", "A\u200b-01", "\u202eA-01", " A-01 ", "\ufeffA-01"])
def test_names_that_look_alike_are_one_name(other: str) -> None:
    said = faults_of(HEAD, ["A-01", "30", "40", "1"], [other, "30", "40", "1"])
    assert len(said) == 1
    assert "row 2 has it" in said[0]


def test_an_accent_may_be_written_in_two_ways() -> None:
    assert "row 2 has it" in faults_of(HEAD, ["Caf\u00e9", "30", "40", "1"], ["Cafe\u0301", "30", "40", "1"])[0]

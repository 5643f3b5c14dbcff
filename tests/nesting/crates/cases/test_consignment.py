"""Which travel frames share an outer case."""

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.base.faults import FaultsFound
from nesting.base.measure import INCH
from nesting.crates.cases.consignment import CaseLoad, Grouping, check_grouping, clusters, faults_of, near, near_sizes
from nesting.order import Artwork
from nesting.shop.shop_file import default_shop

SHOP = default_shop()


def piece(name: str, width: int = 40, height: int = 50, **facts: Any) -> Artwork:
    return Artwork(name, width * INCH, height * INCH, 2 * INCH, **facts)


def grouped(*artworks: Artwork) -> list[set[str]]:
    return [set(case.pieces) for case in near_sizes(artworks, SHOP).cases]


def test_frames_of_one_destination_share_cases() -> None:
    """Travel frames of one destination share cases, near sizes together: common practice, no source."""
    artworks = (
        piece("A", destination="Oslo"),
        piece("B", destination="Boston"),
        piece("C", 42, 50, destination="Oslo"),
        piece("D", 20, 24, destination="Oslo"),
    )
    assert grouped(*artworks) == [{"A", "C"}, {"B"}, {"D"}]
    assert [case.destination for case in near_sizes(artworks, SHOP).cases] == ["Oslo", "Boston", "Oslo"]


def test_one_to_five_ride_in_a_case() -> None:
    """1 to 5 travel frames side by side: common practice, no source."""
    assert [len(case) for case in grouped(*(piece(f"A{n}") for n in range(12)))] == [5, 5, 2]
    three = replace(SHOP, method=replace(SHOP.method, case_most=3))
    assert [len(case.pieces) for case in near_sizes([piece(f"A{n}") for n in range(7)], three).cases] == [3, 3, 1]


def test_copies_of_one_line_answer_to_its_name() -> None:
    first, second = piece("A", quantity=2, apart=("B",)).copies()
    third = piece("B")
    assert grouped(first, second, third) == [{"A#1", "A#2"}, {"B"}]
    tied = piece("T", 20, 20, together=("A",))
    assert grouped(*piece("A", quantity=2).copies(), third, tied) == [{"A#1", "A#2", "T"}, {"B"}]


def test_together_and_sets_share_a_case_whatever_their_size() -> None:
    a, b, c, d = (
        piece("A", 60, 60, together=("B",)),
        piece("B", 20, 20),
        piece("C", set_name="pair"),
        piece("D", 12, 12),
    )
    d = replace(d, set_name="pair")
    assert {frozenset(case) for case in grouped(a, b, c, d)} == {frozenset("AB"), frozenset("CD")}


def test_pieces_apart_ride_in_two_cases() -> None:
    assert grouped(piece("A", apart=("B",)), piece("B")) == [{"A"}, {"B"}]
    assert grouped(piece("A"), piece("B", apart=("A",))) == [{"A"}, {"B"}]


def test_what_cannot_be_is_told_all_at_once() -> None:
    artworks = (
        piece("A", together=("B",), destination="Oslo", row=2),
        piece("B", destination="Boston", row=3),
        piece("C", together=("D",), apart=("D",), row=4),
        piece("D", row=5),
        *(piece(f"S{n}", set_name="six", row=6 + n) for n in range(6)),
        piece("E", together=("small",), row=12),
    )
    with pytest.raises(FaultsFound) as caught:
        near_sizes(artworks, SHOP, "order.csv")
    assert [(fault.row, fault.column) for fault in caught.value.faults] == [
        (12, "together"),
        (2, "together"),
        (4, "apart"),
        (6, "set"),
    ]
    assert "6 pieces" in caught.value.faults[3].found
    assert all(fault.file == "order.csv" for fault in caught.value.faults)


def test_near_is_each_way() -> None:
    assert near(piece("A", 40, 40), piece("B", 30, 30), 0.25)
    assert not near(piece("A", 40, 40), piece("B", 29, 40), 0.25)
    assert not near(piece("A", 40, 40), piece("B", 40, 29), 0.25)


def test_a_piece_that_may_turn_is_near_either_way_round() -> None:
    assert not near(piece("A", 60, 40), piece("B", 40, 60), 0.25)
    assert near(piece("A", 60, 40), piece("B", 40, 60, turn=True), 0.25)
    assert grouped(piece("A", 60, 40), piece("B", 48, 60, turn=True)) == [{"A", "B"}]


def test_a_wrong_grouping_is_found_out() -> None:
    artworks = (piece("A", together=("B",)), piece("B"), piece("C", apart=("A",)), piece("E", destination="Oslo"))
    grouping = Grouping((CaseLoad(("A", "C")), CaseLoad(("E", "X"))))
    wrong = "\n".join(check_grouping(grouping, artworks, SHOP))
    for told in (
        "B rides in no case",
        "X goes in no travel frame",
        "must travel apart",
        "must travel together",
        "E, X: not",
    ):
        assert told in wrong
    with pytest.raises(ValueError, match="two cases"):
        Grouping((CaseLoad(("A",)), CaseLoad(("A",))))
    with pytest.raises(ValueError, match="at least one"):
        CaseLoad(())


@st.composite
def consignments(draw: st.DrawFn) -> list[Artwork]:
    count = draw(st.integers(1, 14))
    names = [f"P{n}" for n in range(count)]
    other = st.lists(st.sampled_from(names), max_size=2).map(tuple)
    return [
        piece(
            name,
            draw(st.integers(12, 100)),
            draw(st.integers(12, 100)),
            destination=draw(st.sampled_from([None, "Oslo", "Boston"])),
            apart=draw(other),
            together=draw(other) if draw(st.integers(0, 4)) == 0 else (),
            set_name=draw(st.sampled_from([None, None, None, "s"])),
        )
        for name in names
    ]


@given(consignments())
def test_every_grouping_holds(artworks: list[Artwork]) -> None:
    """Each copy once, one destination a case, not too many, together and apart kept, or a refusal that says why."""
    if faults_of(artworks, SHOP):
        with pytest.raises(FaultsFound):
            near_sizes(artworks, SHOP)
        return
    grouping = near_sizes(artworks, SHOP)
    assert check_grouping(grouping, artworks, SHOP) == []
    assert near_sizes(artworks, SHOP) == grouping
    tied = {index for cluster in clusters(artworks) if len(cluster) > 1 for index in cluster}
    loose = {artwork.piece: artwork for index, artwork in enumerate(artworks) if index not in tied}
    for case in grouping.cases:
        inside = [loose[name] for name in case.pieces if name in loose]
        assert all(near(one, other, SHOP.case.near_size) for one in inside for other in inside)

"""The cell of a destination that names its ways: one grammar, old cells with their old meaning."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pricing.studio.freight_ways import MOST_LEGS, MOST_WAYS, Way, ways_of, written

NAMES = ("parcel", "van", "air", "local handler", "a, b then c")


@pytest.mark.parametrize(
    ("cell", "ways"),
    [
        ("parcel", [("parcel",)]),
        ("parcel, van", [("parcel",), ("van",)]),
        ("van then air then local handler", [("van", "air", "local handler")]),
        ("parcel ,van  THEN air", [("parcel",), ("van", "air")]),
        ("a, b then c", [("a, b then c",)]),
    ],
    ids=["one", "in turn", "legs", "both", "a profile of that name, as before there were ways"],
)
def test_a_cell_is_read(cell: str, ways: list[Way]) -> None:
    assert ways_of(cell, NAMES) == tuple(ways)


@pytest.mark.parametrize(
    ("cell", "found"),
    [
        ("balloon", "found balloon; accepted: a freight profile"),
        ("van then balloon", "found balloon; "),
        ("van,", "found van,; "),
        ("van then then air", "found then air; "),
        ("van, van", "found van, van; accepted: each way once"),
        (" then ".join(["van"] * (MOST_LEGS + 1)), f"at most {MOST_WAYS} ways of at most {MOST_LEGS} legs"),
    ],
)
def test_a_cell_that_names_no_way_is_refused(cell: str, found: str) -> None:
    with pytest.raises(ValueError, match="found ") as caught:
        ways_of(cell, NAMES)
    assert found in str(caught.value)


_WAY = st.lists(st.sampled_from(NAMES[:4]), min_size=1, max_size=MOST_LEGS).map(tuple)


@given(st.lists(_WAY, min_size=1, max_size=MOST_WAYS, unique=True))
def test_ways_read_back_as_they_are_written(ways: list[Way]) -> None:
    assert ways_of(written(ways), NAMES) == tuple(ways)

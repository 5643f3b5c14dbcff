"""First fit among many bins: the first number that is small enough, held against a plain look at all of them."""

from hypothesis import given
from hypothesis import strategies as st

from nesting.base.least import Least


@given(st.lists(st.tuples(st.integers(0, 12), st.integers(0, 9)), max_size=30), st.integers(0, 10), st.integers(0, 14))
def test_the_first_that_is_small_enough(sets: list[tuple[int, int]], most: int, start: int) -> None:
    row, plain = Least(13), dict[int, int]()
    for place, number in sets:
        row.set(place, number)
        plain[place] = number
    wanted = min((place for place, number in plain.items() if place >= start and number <= most), default=None)
    assert row.first(most, start) == wanted


def test_a_row_of_one_and_of_none() -> None:
    assert Least(0).first(5) is None
    one = Least(1)
    assert one.first(5) is None
    one.set(0, 5)
    assert (one.first(5), one.first(4), one.first(5, 1)) == (0, None, None)

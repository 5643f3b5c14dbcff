"""How to search, as one value: refused at birth where it is wrong, the same wherever it comes to the same answer."""

import pickle
from math import inf, nan
from typing import Any, get_args

import pytest

from nesting.base.progress import silent
from nesting.base.search import EFFORTS, QUICK, USUAL, Effort, Search
from nesting.base.stop import Stop
from nesting.cutting.sheets.effort import SETTINGS


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"seed": -1}, "seed must be a whole number from 0 on, not -1"),
        ({"seed": 0.5}, "seed must be a whole number from 0 on, not 0.5"),
        ({"effort": "heroic"}, "effort must be one of quick, normal, thorough, not 'heroic'"),
        ({"deadline": -0.1}, "deadline must be seconds from 0 on, not -0.1"),
        ({"deadline": nan}, "deadline must be seconds from 0 on, not nan"),
        ({"deadline": inf}, "deadline must be seconds from 0 on, not inf"),
    ],
)
def test_what_is_wrong_is_refused_at_birth(wrong: dict[str, Any], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        Search(**wrong)


def test_what_is_usual() -> None:
    assert Search(0, "normal", None, silent, None, None) == USUAL
    assert Search(0, "quick") == QUICK
    assert Search(deadline=0.0).deadline == 0


def test_every_effort_is_known_to_the_optimiser_of_sheets() -> None:
    assert tuple(SETTINGS) == EFFORTS == get_args(Effort)


def test_two_are_equal_that_come_to_the_same_answer() -> None:
    told = Search(3, "quick", Stop(), print, memory={})
    assert told == Search(3, "quick")
    assert hash(told) == hash(Search(3, "quick"))
    assert told != Search(4, "quick")
    assert told != Search(3, "quick", deadline=1.0)


def test_for_another_process_it_leaves_behind_what_belongs_to_this_one() -> None:
    other = Search(3, "quick", Stop(), lambda *_: None, 5.0, {}).elsewhere
    assert (other.seed, other.effort, other.deadline) == (3, "quick", 5.0)
    assert (other.stop, other.progress, other.memory) == (None, silent, None)
    assert pickle.loads(pickle.dumps(other)) == other  # noqa: S301 - our own


def test_the_stop_hears_of_a_search_and_of_searches_in_turn() -> None:
    stop = Stop()
    with Search(stop=stop).in_turn(), Search(stop=stop).interruptible():
        assert (stop.soon, stop.searching) == (True, True)
    assert (stop.soon, stop.searching) == (False, False)
    with USUAL.in_turn(), USUAL.interruptible():
        pass

"""What cannot be cut is refused before any search, every fault at once."""

from dataclasses import replace

import pytest

import nesting.cutting.sticks
from nesting.cutting.parts import StickPart
from nesting.cutting.sticks import Stick, StickError, cut_sticks
from tests.nesting.cutting.sticks.lumber import IN, YARD, stick_part


@pytest.mark.parametrize(
    ("parts", "sticks", "kerf", "words"),
    [
        ([stick_part("p", 145 * IN)], YARD, 0, "part p is longer than every stick; the longest is 2x3 12ft"),
        ([stick_part("p", 1)], (), 0, "there are no sticks"),
        ([stick_part("p", 1)], (Stick("s", 9, 1, count=0),), 0, "there are no sticks"),
        ([stick_part("p", 5), StickPart("q", 5, "2x4")], YARD, 0, "one call cuts one good, not 2x3, 2x4"),
        ([stick_part("p", 5), stick_part("p", 6)], YARD, 0, "part p is named twice"),
        ([stick_part("p", 5)], (YARD[0], YARD[0]), 0, "stick 2x3 8ft is named twice"),
        ([stick_part("p", 5)], YARD, -1, "kerf must be from 0"),
        ([stick_part("p", 5, 10**9)], YARD, 0, "more than 1000000 in one call"),
        ([stick_part("p", 2**50)], YARD, 0, "is more than"),
        (
            [stick_part("p", 60, 3), stick_part("q", 40), stick_part("r", 19)],
            (Stick("s", 119, 1, count=2), Stick("t", 40, 1, count=1)),
            0,
            "of the 3 longest parts 2 find room",
        ),
        ([stick_part("p", 30, 7)], (Stick("s", 100, 1, count=2),), 0, "all of them are 85% of the parts"),
    ],
)
def test_what_cannot_be_cut_is_refused_before_any_search(
    monkeypatch: pytest.MonkeyPatch,
    parts: list[StickPart],
    sticks: tuple[Stick, ...],
    kerf: int,
    words: str,
) -> None:
    def no_search(*_: object) -> None:
        pytest.fail("a search was begun")

    monkeypatch.setattr(nesting.cutting.sticks.solve, "Decomposition", no_search)
    with pytest.raises(StickError, match=words):
        cut_sticks(parts, sticks, kerf=kerf)


def test_all_faults_are_told_at_once() -> None:
    parts = [stick_part("p", 145 * IN), stick_part("q", 146 * IN), stick_part("q", 1)]
    with pytest.raises(StickError) as error:
        cut_sticks(parts, YARD)
    assert len(error.value.faults) == 3


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"name": ""}, "needs a name"),
        ({"length": 0}, "length must be from 1"),
        ({"length": 1.5}, "length must be an integer"),
        ({"cost": -1}, "cost must be from 0"),
        ({"cost": True}, "cost must be an integer"),
        ({"count": -1}, "count must be from 0"),
        ({"trim": 96}, "trim 96 leaves nothing"),
        ({"source": "found"}, "source must be"),
        ({"source": "rack"}, "rack stock needs a count"),
        ({"source": "rack", "count": 1, "breaks": ((2, 5),)}, "rack stock has one price"),
        ({"breaks": ((1, 5),)}, "a price break's count must be from 2"),
        ({"breaks": ((5, 5), (5, 4))}, "a price break's count must be from 6"),
        ({"breaks": ((5, -5),)}, "a price break's cost must be from 0"),
    ],
)
def test_a_wrong_stick_is_refused_at_birth(change: dict[str, object], words: str) -> None:
    with pytest.raises(StickError, match=words):
        replace(Stick("s", 96, 410), **change)  # type: ignore[arg-type]  # wrong on purpose


def test_too_few_sticks_that_only_a_search_can_tell() -> None:
    # Room and places are enough, and still no three parts share a stick: 50 + 47 leaves 3, and 30 + 50 leaves 20.
    parts = [stick_part("a", 50, 2), stick_part("b", 47), stick_part("c", 45)]
    with pytest.raises(StickError, match="there are too few sticks"):
        cut_sticks(parts, [Stick("s", 96, 1, count=2)])

"""2,000 cases over every reader: each is read or refused, none hangs, and many get behind the first check."""

from random import Random

import pytest

from nesting.base.faults import refuse
from tests.fuzz.changing import changed, words_of
from tests.fuzz.readers import READERS, Reader
from tests.fuzz.running import Told, fuzz, shares

CASES = 2_000
SHARES = shares(CASES)


@pytest.mark.parametrize("reader", READERS, ids=lambda reader: reader.name)
def test_whatever_comes_is_read_or_refused(reader: Reader) -> None:
    told = fuzz(reader, SHARES[reader.name], seed=21)
    assert told.wrong == {}, [(kind, count, data[:2000]) for kind, (count, data) in told.wrong.items()]
    assert told.cases == SHARES[reader.name]
    assert told.read + told.refused == told.cases
    assert told.kept >= 3, "a fuzzer of which every case falls at the door tries nothing"


def _planted(data: bytes) -> object:
    """Read as a careless reader would: it fails on a cell that is no number, behind a check of the heading."""
    text = data.decode("utf-8", "replace")
    if not text.startswith("good,count"):
        raise refuse("table", "another heading", "good, count")
    return int(text.splitlines()[1].partition(",")[2])


def test_a_planted_fault_and_a_planted_hang_are_found() -> None:
    from tests.fuzz.forms import as_csv

    good = [["good", "count"], ["ply", "3"]]
    careless = Reader("careless", lambda: good, as_csv, _planted)
    told = fuzz(careless, 200, seed=1)
    assert any(kind.startswith("ValueError") for kind in told.wrong)

    def endless(data: bytes) -> object:
        while b"3" not in data:
            pass
        return None

    assert any(
        kind.startswith("Hangs") for kind in _fuzzed_briefly(Reader("endless", lambda: good, as_csv, endless)).wrong
    )


def _fuzzed_briefly(reader: Reader) -> Told:
    from tests.fuzz import running

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(running, "HANGS", 0.02)
        return fuzz(reader, 60, seed=1)


def test_the_same_seed_gives_the_same_cases_and_a_change_leaves_the_original() -> None:
    rows = [["a", "b"], ["1", "2"]]
    words = words_of({"rows": rows})
    one, other = ([changed(rows, Random(seed), words) for seed in range(50)] for _ in range(2))
    assert repr(one) == repr(other)
    assert rows == [["a", "b"], ["1", "2"]]
    assert len({repr(each) for each in one}) > 20

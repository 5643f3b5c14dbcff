"""Many at one desk: the minute-long run is ``tests/benchmarks/desk_load.py``; here it is held to work at all."""

from tests.benchmarks.desk_load import LEAST, run


def test_twenty_users_meet_no_error() -> None:
    tally = run(users=20, seconds=1.0, changes=0, pause=(0.1, 0.8))  # as many requests, at a faster pace
    assert tally.errors == []
    assert len(tally.took["begin"]) == 20
    assert len(tally.took["change"]) + len(tally.took["page"]) >= 20 * (LEAST + 1)
    assert tally.percentile("page", 0.5) > 0

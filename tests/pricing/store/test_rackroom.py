from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from decimal import Decimal
from pathlib import Path

import pytest

from nesting.measure import INCH
from pricing.rack import OnShelf, RackOffcut
from pricing.store import Store, StoreError
from pricing.store.rackroom import TakenError

BIG = RackOffcut("R-1", "ply-3/8", 48 * INCH, 24 * INCH, Decimal("9.00"), 2, "bay 1")


def test_what_a_job_takes_is_off_the_rack_for_others_only(store: Store) -> None:
    one, other = store.jobs.add("One"), store.jobs.add("Other")
    store.rack.put([BIG])
    store.rack.take(one, {"R-1": 2})
    assert store.rack.rack("USD", one).offcuts == (BIG,)
    assert store.rack.rack("USD", other).offcuts == ()
    assert store.rack.rack("USD").offcuts == ()
    store.rack.take(one, {"R-1": 1})
    assert store.rack.rack("USD", other).offcut("R-1").count == 1
    store.rack.take(one, {})
    assert store.rack.rack("USD", other).offcuts == (BIG,)


def test_taking_is_all_or_nothing(store: Store) -> None:
    one, other = store.jobs.add("One"), store.jobs.add("Other")
    store.rack.put([BIG, RackOffcut("R-2", "ply-3/8", 30 * INCH, 20 * INCH)])
    store.rack.take(one, {"R-1": 2})
    with pytest.raises(TakenError, match="R-1"):
        store.rack.take(other, {"R-2": 1, "R-1": 1})
    assert store.rack.taken(other) == {}
    assert store.rack.taken(one) == {"R-1": 2}


def test_no_offcut_is_sold_twice_when_many_take_at_once(tmp_path: Path) -> None:
    """Eight stores on one file, as eight programs: of 16 jobs that want the last piece, one has it."""
    with closing(Store(tmp_path)) as store:
        store.rack.put([RackOffcut("R-1", "ply-3/8", 48 * INCH, 24 * INCH)])
        jobs = [store.jobs.add(f"Job {number}") for number in range(16)]

    def take(job: int) -> bool:
        with closing(Store(tmp_path)) as own:
            try:
                own.rack.take(job, {"R-1": 1})
            except TakenError:
                return False
            return True

    with ThreadPoolExecutor(8) as pool:
        won = list(pool.map(take, jobs))
    assert sum(won) == 1
    with closing(Store(tmp_path)) as store:
        assert store.rack.taken(jobs[won.index(True)]) == {"R-1": 1}


def test_the_tables_themselves_refuse_a_second_taking(store: Store) -> None:
    one, other = store.jobs.add("One"), store.jobs.add("Other")
    store.rack.put([BIG])
    store.rack.take(one, {"R-1": 2})
    with pytest.raises(Exception, match="taken twice"), store.database.writing() as link:
        link.execute("INSERT INTO takings VALUES ('R-1', ?, 1, 'now')", (other,))


def test_what_is_taken_cannot_be_struck_or_lessened(store: Store) -> None:
    job = store.jobs.add("One")
    store.rack.put([BIG])
    store.rack.take(job, {"R-1": 2})
    with pytest.raises(StoreError, match="taken by a job"):
        store.rack.strike("R-1")
    with pytest.raises(StoreError, match="2 of R-1"):
        store.rack.change("R-1", count=1, place="", value=Decimal(0))
    store.rack.take(job, {})
    store.rack.strike("R-1")
    assert store.rack.all() == []
    store.rack.strike("R-1", gone=False)
    assert store.rack.all()[0].offcut == BIG


def test_names_are_unique_and_new_ones_free(store: Store) -> None:
    store.rack.put([BIG, RackOffcut("R-9", "ply-3/8", INCH), RackOffcut("R-x", "ply-3/8", INCH)])
    assert store.rack.free_name() == 10
    with pytest.raises(StoreError, match="name"):
        store.rack.put([BIG])


def test_the_shelf_is_kept(store: Store) -> None:
    things = (OnShelf("foam", "foam-wrap", 12 * INCH, 48 * INCH, "bay 3"), OnShelf("screws", "screw-10x1", 40))
    store.rack.set_shelf(things)
    assert store.rack.shelf() == things
    assert store.rack.rack("USD").shelf == things

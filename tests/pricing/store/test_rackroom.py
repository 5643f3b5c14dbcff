from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from decimal import Decimal
from pathlib import Path

import pytest

from nesting.base.measure import INCH
from pricing.store import Conflict, Store, StoreError
from pricing.store.database import Database
from pricing.store.documents import Documents
from pricing.store.rackroom import RackRoom, TakenError
from pricing.store.rackstate import RackDifference, differences, state_from
from pricing.store.time import now
from pricing.studio.rack import MOST_OFFCUTS, OnShelf, RackOffcut

BIG = RackOffcut("R-1", "ply-3/8", 48 * INCH, 24 * INCH, Decimal("9.00"), 2, "bay 1")


def _now(store: Store) -> int:
    return store.rack.document().revision


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


def test_a_job_never_sees_what_it_left_itself(store: Store) -> None:
    one, other = store.jobs.add("One"), store.jobs.add("Other")
    store.rack.put([BIG], from_job=one)
    assert store.rack.rack("USD", one).offcuts == ()
    assert store.rack.for_job(one) == []
    assert store.rack.rack("USD", other).offcuts == (BIG,)
    assert store.rack.rack("USD").offcuts == (BIG,)


def test_taking_is_all_or_nothing(store: Store) -> None:
    one, other = store.jobs.add("One"), store.jobs.add("Other")
    store.rack.put([BIG, RackOffcut("R-2", "ply-3/8", 30 * INCH, 20 * INCH)])
    store.rack.take(one, {"R-1": 2})
    with pytest.raises(TakenError, match="R-1"):
        store.rack.take(other, {"R-2": 1, "R-1": 1})
    assert store.rack.taken(other) == {}
    assert store.rack.taken(one) == {"R-1": 2}


def test_no_offcut_is_sold_twice_when_many_take_at_once(tmp_path: Path) -> None:
    """Eight connections to one file, as eight programs: of 16 jobs that want the last piece, one has it."""
    with closing(Store(tmp_path)) as store:
        store.rack.put([RackOffcut("R-1", "ply-3/8", 48 * INCH, 24 * INCH)])
        jobs = [store.jobs.add(f"Job {number}") for number in range(16)]

    def take(job: int) -> bool:
        with closing(Database(tmp_path)) as own:
            try:
                RackRoom(own, now, Documents(own, now)).take(job, {"R-1": 1})
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
    with pytest.raises(StoreError, match="taken by jobs"):
        store.rack.strike("R-1", based_on=_now(store))
    with pytest.raises(StoreError, match="2 of R-1"):
        store.rack.change("R-1", based_on=_now(store), count=1)
    store.rack.take(job, {})
    store.rack.strike("R-1", based_on=_now(store))
    assert store.rack.all() == []
    store.rack.strike("R-1", based_on=_now(store), gone=False)
    assert store.rack.all()[0].offcut == BIG


def test_names_are_unique_and_new_ones_free(store: Store) -> None:
    store.rack.put([BIG, RackOffcut("R-9", "ply-3/8", INCH), RackOffcut("R-x", "ply-3/8", INCH)])
    assert store.rack.free_name() == 10
    with pytest.raises(StoreError, match="name"):
        store.rack.put([BIG])


def test_the_shelf_is_kept(store: Store) -> None:
    things = (OnShelf("foam", "foam-wrap", 12 * INCH, 48 * INCH, "bay 3"), OnShelf("screws", "screw-10x1", 40))
    for thing in things:
        store.rack.shelve(thing, based_on=_now(store))
    assert store.rack.shelf() == things
    assert store.rack.rack("USD").shelf == things


def test_every_change_is_undone_and_redone_after_a_restart_too(tmp_path: Path) -> None:
    """Each state of the rack comes back exactly, one after the other, from a store that was closed in between."""
    states = []
    with closing(Store(tmp_path)) as store:
        states.append((store.rack.all(), store.rack.shelf()))
        rack = store.rack
        changes: list[Callable[[], object]] = [
            lambda: rack.put([BIG, RackOffcut("R-2", "2x3", 50 * INCH)]),
            lambda: rack.change("R-1", based_on=_now(store), place="bay 9", count=5, value=Decimal("2.50")),
            lambda: rack.strike("R-1", based_on=_now(store)),
            lambda: rack.strike("R-1", based_on=_now(store), gone=False),
            lambda: rack.shelve(OnShelf("screws", "screw-10x1", 40), based_on=_now(store)),
            lambda: rack.shelve(OnShelf("screws", "screw-10x1", 7), based_on=_now(store)),
            lambda: rack.unshelve("screws", based_on=_now(store)),
        ]
        for change in changes:
            change()
            states.append((rack.all(), rack.shelf()))
    for way, wanted in (("undo", states[-2::-1]), ("redo", states[1:])):
        for state in wanted:
            with closing(Store(tmp_path)) as store:
                store.rack.step("undo" if way == "undo" else "redo", based_on=_now(store))
                assert (store.rack.all(), store.rack.shelf()) == state
    with closing(Store(tmp_path)) as store, pytest.raises(LookupError, match="redo"):
        store.rack.step("redo", based_on=_now(store))


def test_what_stood_on_the_rack_before_its_history_began_comes_back(store: Store) -> None:
    """A store of an earlier version has offcuts, and no revision of the list."""
    with store.database.writing() as link:
        link.execute("INSERT INTO offcuts VALUES ('R-1', 'ply-3/8', 8000, 8000, '1.00', 2, 'bay 1', NULL, 0)")
    assert _now(store) == 0
    before = store.rack.all()
    store.rack.strike("R-1", based_on=0)
    assert [each.what for each in store.rack.history()] == ["R-1 taken off the list", "as it was"]
    store.rack.step("undo", based_on=_now(store))
    assert store.rack.all() == before
    assert not store.rack.document().can_undo


def test_an_undo_never_takes_from_a_job(store: Store) -> None:
    job = store.jobs.add("One")
    store.rack.put([BIG])
    store.rack.change("R-1", based_on=_now(store), count=3)
    store.rack.take(job, {"R-1": 3})
    before = store.rack.all(), store.rack.document()
    with pytest.raises(StoreError, match="3 of R-1 taken by jobs"):
        store.rack.step("undo", based_on=_now(store))
    assert (store.rack.all(), store.rack.document()) == before, "nothing was changed"
    store.rack.take(job, {"R-1": 2})
    store.rack.step("undo", based_on=_now(store))
    with pytest.raises(StoreError, match="2 of R-1 taken by jobs"):
        store.rack.step("undo", based_on=_now(store))
    assert store.rack.taken(job) == {"R-1": 2}


def test_a_change_of_another_offcut_is_no_conflict_and_one_of_the_same_is(store: Store) -> None:
    store.rack.put([BIG, RackOffcut("R-2", "ply-3/8", 30 * INCH, 20 * INCH)])
    seen = _now(store)
    store.rack.change("R-2", based_on=seen, place="bay 2")
    store.rack.change("R-1", based_on=seen, place="bay 3")
    with pytest.raises(Conflict) as caught:
        store.rack.change("R-1", based_on=seen, count=9)
    assert caught.value.base is not None
    assert differences(state_from(caught.value.base.content), store.rack.state(), ("R-1",)) == [
        RackDifference("R-1", "place", "bay 1", "bay 3")
    ]
    too_late: list[Callable[[], object]] = [
        lambda: store.rack.strike("R-1", based_on=seen),
        lambda: store.rack.step("undo", based_on=seen),
        lambda: store.rack.change("R-1", based_on=99, count=9),
    ]
    for late in too_late:
        with pytest.raises(Conflict):
            late()
    assert [each.offcut.place for each in store.rack.all()] == ["bay 3", "bay 2"]


def test_a_name_stands_for_one_thing(store: Store) -> None:
    store.rack.put([BIG])
    with pytest.raises(StoreError, match="name of an offcut"):
        store.rack.shelve(OnShelf("R-1", "screw-10x1", 40), based_on=_now(store))
    store.rack.shelve(OnShelf("screws", "screw-10x1", 40), based_on=_now(store))
    with pytest.raises(StoreError, match="screws"):
        store.rack.put([RackOffcut("screws", "ply-3/8", INCH, INCH)])
    assert len(store.rack.rack("USD").offcuts) == 1


def test_a_good_has_no_more_kinds_than_a_plan_is_searched_over(store: Store) -> None:
    store.rack.put([RackOffcut(f"R-{n}", "ply-3/8", n * INCH, INCH) for n in range(1, MOST_OFFCUTS + 1)])
    with pytest.raises(StoreError, match=f"at most {MOST_OFFCUTS}"):
        store.rack.put([RackOffcut("R-x", "ply-3/8", INCH, INCH)])
    store.rack.put([RackOffcut("R-x", "ply-15/32", INCH, INCH)])
    store.rack.strike("R-1", based_on=_now(store))
    assert len(store.rack.all()) == MOST_OFFCUTS

"""Searches: one at a time for each job, the rest queue, each can be stopped and keeps the best."""

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import pytest

from nesting.base.measure import INCH
from nesting.base.progress import Progress
from nesting.base.search import Search
from nesting.base.stop import Stop
from nesting.cutting.parts import Part
from nesting.cutting.sheets import Layout, Sheet, nest
from pricing.desk.search import Found, Searches


@dataclass(frozen=True)
class Task:
    """A good to be laid out."""

    name: str
    parts: tuple[Part, ...]
    stock: tuple[Sheet, ...]
    search: Search

    def run(self, report: Progress, stop: Stop) -> Layout:
        """Search; an interrupt leaves its best."""
        search = replace(self.search, progress=report, stop=stop)
        return nest(self.parts, self.stock, kerf=25400, search=search, offcut_min=(6 * INCH, 6 * INCH))


@pytest.fixture(scope="module")
def searches() -> Iterator[Searches]:
    made = Searches()
    yield made
    made.close()


def _task(good: str = "ply", *, hard: bool = False) -> Task:
    sizes = [(17 + (7 * n) % 23, 11 + (5 * n) % 19) for n in range(36 if hard else 3)]
    parts = tuple(Part(f"{good}.{n}", dx * INCH + n * 3175, dy * INCH, good, 2) for n, (dx, dy) in enumerate(sizes))
    stock = (
        Sheet(f"{good} 4x8", 96 * INCH, 48 * INCH, 5800, good=good),
        Sheet(f"{good} 5x5", 60 * INCH, 60 * INCH, 4900, good=good),
    )
    return Task(good, parts, stock, Search(effort="thorough" if hard else "normal"))


def _wait(done: Callable[[], bool], seconds: float = 60.0) -> None:
    end = time.monotonic() + seconds
    while not done():
        assert time.monotonic() < end, "it took too long"
        time.sleep(0.02)


def test_a_search_brings_a_plan_for_every_task(searches: Searches) -> None:
    found: dict[str, object] = {}

    def finished(plans: Found, stopped: bool) -> str:
        found.update(plans)
        return "stopped" if stopped else "all done"

    search = searches.begin(1, (_task("one"), _task("two")), finished, patience=0.0)
    assert search is not None
    _wait(lambda: search.over)
    assert (search.state, search.news) == ("done", "all done")
    assert sorted(found) == ["one", "two"]
    assert all(isinstance(plan, Layout) for plan in found.values())


def test_a_search_is_stopped_and_the_best_is_kept(searches: Searches) -> None:
    kept: list[Found] = []

    def finished(plans: Found, stopped: bool) -> str:
        kept.append(dict(plans))
        return str(stopped)

    search = searches.begin(2, (_task("hard", hard=True), _task("after", hard=True)), finished, patience=0.0)
    assert search is not None
    _wait(lambda: search.state == "running" and search.stage not in ("", "begin"))
    began = time.monotonic()
    searches.stop(2)
    _wait(lambda: search.over)
    assert time.monotonic() - began < 10.0
    assert (search.state, search.news) == ("stopped", "True")
    assert list(kept[0]) == ["hard"], "the good that was searched has a plan, the one after it was not begun"


def _noting() -> tuple[list[str], Callable[[str], Callable[[Found, bool], str]]]:
    """Return a list, and what makes searches that note their names in it when they are finished."""
    order: list[str] = []

    def note(name: str) -> Callable[[Found, bool], str]:
        def finished(_: Found, __: bool) -> str:
            order.append(name)
            return name

        return finished

    return order, note


def test_one_search_at_a_time_and_the_newest_of_a_job(searches: Searches) -> None:
    order, note = _noting()
    first = searches.begin(3, (_task("hard", hard=True),), note("first"), patience=0.0)
    assert first is not None
    _wait(lambda: first.state == "running")
    old = searches.begin(4, (_task("old"),), note("old"), patience=0.0)
    new = searches.begin(4, (_task("new"),), note("new"), patience=0.0)
    assert old is not None
    assert new is not None
    assert old.state == "stopped", "a search that waits gives way to a newer one of its job"
    assert new.state == "waiting"
    assert searches.waiting() == 1
    searches.stop(3)
    _wait(lambda: new.over)
    assert order == ["first", "new"]


def test_kinds_queue_beside_each_other_and_better_answers_come_first(searches: Searches) -> None:
    order, note = _noting()
    blocking = searches.begin(9, (_task("hard", hard=True),), note("blocking"), patience=0.0, kind="scenarios")
    assert blocking is not None
    _wait(lambda: blocking.state == "running")
    ways = searches.begin(10, (_task("ways"),), note("ways"), patience=0.0, kind="ways")
    cuts = searches.begin(10, (_task("cuts"),), note("cuts"), patience=0.0, kind="cuts")
    assert ways is not None
    assert cuts is not None
    assert (ways.state, cuts.state) == ("waiting", "waiting"), "a search of another kind does not take its place"
    assert searches.pending(10, "ways") is ways
    assert searches.pending(10, "cuts") is cuts
    settling = searches.begin(10, (_task("settling"),), note("settling"), patience=0.0)
    assert settling is not None
    assert searches.of(10) is settling, "what settles is shown first"
    _wait(lambda: settling.over)
    assert blocking.state == "running", "a figure settles beside what takes long"
    searches.stop(9)
    _wait(lambda: ways.over)
    assert order == ["settling", "blocking", "cuts", "ways"]
    assert searches.of(10) is ways
    assert searches.pending(10, "ways") is None


def test_what_nobody_asked_for_gives_way_and_begins_again(searches: Searches) -> None:
    order, note = _noting()
    cheaper = searches.begin(14, (_task("hard", hard=True),), note("cheaper"), patience=0.0, kind="cheaper")
    assert cheaper is not None
    _wait(lambda: cheaper.state == "running")
    late = searches.begin(15, (_task("late"),), note("late"), patience=0.0, kind="cheaper")
    asked = searches.begin(16, (_task("asked"),), note("asked"), patience=0.2, kind="scenarios")
    assert late is not None
    assert asked is not None
    _wait(lambda: asked.over)
    assert order == ["asked"]
    assert (late.over, cheaper.over) == (False, False)
    _wait(lambda: late.over and cheaper.state == "running")
    searches.stop(14)
    _wait(lambda: cheaper.over)
    assert (cheaper.state, order) == ("stopped", ["asked", "late", "cheaper"])


def test_who_asks_for_another_kind_has_done_with_typing(searches: Searches) -> None:
    settling = searches.begin(11, (_task("settling"),), lambda *_: "", patience=600.0)
    ways = searches.begin(11, (_task("ways"),), lambda *_: "", patience=0.0, kind="ways")
    assert settling is not None
    assert ways is not None
    _wait(lambda: ways.over and settling.over)
    assert settling.state == "done"


def test_the_word_stops_what_is_shown_and_leaves_the_next(searches: Searches) -> None:
    first = searches.begin(12, (_task("hard", hard=True),), lambda *_: "", patience=0.0, kind="cuts")
    after = searches.begin(12, (_task("after"),), lambda *_: "", patience=0.0, kind="ways")
    assert first is not None
    assert after is not None
    _wait(lambda: first.state == "running")
    assert searches.of(12) is first
    searches.stop(12)
    _wait(lambda: after.over)
    assert (first.state, after.state) == ("stopped", "done")


def test_a_dropped_search_is_shown_no_more_and_brings_nothing(searches: Searches) -> None:
    order, note = _noting()
    search = searches.begin(13, (_task("hard", hard=True),), note("dropped"), patience=0.0, kind="ways")
    assert search is not None
    _wait(lambda: search.state == "running")
    searches.drop(13, "ways")
    assert searches.of(13) is None
    _wait(lambda: search.over)
    assert searches.of(13) is None
    assert search.state == "stopped"
    assert order == [], "what was broken off is nobody's answer"


def test_a_search_is_stopped_while_its_worker_starts() -> None:
    made = Searches()
    try:
        search = made.begin(
            1, (_task("hard", hard=True), _task("after", hard=True)), lambda *_: "ended well", patience=0.0
        )
        assert search is not None
        _wait(lambda: search.state == "running")
        made.stop(1)
        _wait(lambda: search.over)
        assert (search.state, search.news) == ("stopped", "ended well")
    finally:
        made.close()


def test_a_search_waits_a_little_for_more_typing(searches: Searches) -> None:
    search = searches.begin(5, (_task("late"),), lambda *_: "", patience=30.0)
    assert search is not None
    time.sleep(0.1)
    assert search.facts()["state"] == "waiting"
    searches.stop(5)
    assert search.facts()["state"] == "stopped"
    assert searches.of(5) is search


def test_nothing_to_search_is_no_search(searches: Searches) -> None:
    assert searches.begin(6, (), lambda *_: "", patience=0.0) is None
    assert searches.of(6) is None


def test_a_worker_that_dies_is_replaced(searches: Searches) -> None:
    search = searches.begin(7, (_task("hard", hard=True),), lambda *_: "", patience=0.0)
    assert search is not None
    _wait(lambda: search.state == "running" and search.stage != "")
    process = searches._lanes[0].process  # noqa: SLF001 - the death of the worker is what is tested
    assert process is not None
    process.kill()
    _wait(lambda: search.over)
    assert search.state == "failed"
    again = searches.begin(8, (_task("next"),), lambda *_: "fine", patience=0.0)
    assert again is not None
    _wait(lambda: again.over)
    assert (again.state, again.news) == ("done", "fine")


@dataclass(frozen=True)
class Restless:
    """Work that changes while it is written for the worker, the first few times, as an order does that is looked at."""

    times: list[int]
    name: str = "restless"

    def __getstate__(self) -> dict[str, object]:
        """Return what is written; Python says so where that changed meanwhile."""
        self.times[0] += 1
        if self.times[0] <= 3:
            raise RuntimeError("dictionary changed size during iteration")
        return dict(self.__dict__)

    def run(self, _report: Progress, _stop: Stop) -> int:
        """Return a number."""
        return self.times[0]


def test_work_that_changes_while_it_is_sent_is_sent_again(searches: Searches) -> None:
    """Of a large job that is looked at while its figure begins, the search failed and the page showed no figure."""
    search = searches.begin(9, (Restless([0]),), lambda found, _: str(found), patience=0.0)
    assert search is not None
    _wait(lambda: search.over)
    assert (search.state, search.news) == ("done", "{'restless': 4}")

"""Large orders, worked out behind the pages: what stands there meanwhile, what comes of it, and that none holds others.

The searches are run by hand here, so that a page is surely asked before and after; one order goes through a process.
"""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import httpx
import pytest

from nesting.base.progress import silent
from nesting.base.stop import Stop
from pricing.desk import behind
from pricing.desk.behind import SettlingError
from pricing.desk.content import Content
from pricing.desk.desk import Desk, Sheaf
from pricing.desk.search import Kind, Search
from pricing.desk.settling import figure
from pricing.store import Store
from tests.pricing.desk.conftest import served
from tests.pricing.desk.orders import DAY, HEADINGS, ROWS, quick_quote

JSON = {"accept": "application/json"}
GIANT = ("A-01", "First", "230", "235", "1 1/2", "18 lb", "carton", "Harbour Gallery")
"""A piece that no carton takes."""


class ByHand:
    """Notes what is to be worked out until somebody says that it goes on."""

    def __init__(self, desk: Desk) -> None:
        self.asked: list[Search] = []
        self._begin = desk.searches.begin
        desk.searches.begin = self.begin  # type: ignore[method-assign]  # what goes to no process is what is tested

    # As of the searches.
    def begin(self, job: int, tasks: Any, finished: Any, **how: Any) -> Search | None:
        """Note a first figure; leave all else to the searches."""
        if how.get("kind") not in ("figure", "tried"):
            return self._begin(job, tasks, finished, **how)
        for each in self.asked:
            if (each.job, each.kind, each.over) == (job, how["kind"], False):
                each.state, each.dropped = "stopped", True
        self.asked.append(Search(job, tasks, finished, 0.0, how["kind"]))
        return self.asked[-1]

    def go_on(self) -> None:
        """Work out what is asked for last."""
        search = self.asked[-1]
        (task,) = search.tasks
        search.news = search.finished({task.name: task.run(silent, Stop())}, not task)
        search.state = "done"


@pytest.fixture
def large(tmp_path: Path) -> Iterator[Desk]:
    """Open a desk on which an order of two pieces is large."""
    made = Desk(Store(tmp_path / "large"), today=lambda: DAY, patience=60.0, effort="quick")
    made.floor.light = 1
    yield made
    made.close()


@pytest.fixture
def client(large: Desk) -> Iterator[httpx.Client]:
    with served(large) as made:
        made.headers["origin"] = str(made.base_url).rstrip("/")
        yield made


def begun(desk: Desk, rows: tuple[tuple[str, ...], ...] = ROWS) -> Sheaf:
    return desk.save(desk.store.jobs.add("Large"), Content(headings=HEADINGS, rows=rows), based_on=0, what="begun")


def test_a_page_is_there_at_once_with_a_rough_figure_and_fills_later(large: Desk, client: httpx.Client) -> None:
    hand = ByHand(large)
    first = begun(large)
    job = first.row.id
    assert first.answer is None
    assert first.pending is not None
    assert first.pending.total.startswith("about USD ")
    assert large.store.jobs.get(job).total == f"{first.pending.total}, settling"
    for name in ("money", "crates", "sheets", "saw", "plan", "yard", "record", "client", "papers", "ways", "what-if"):
        page = client.get(f"/jobs/{job}/{name}")
        assert page.status_code == 200, name
        assert first.pending.total in page.text, name
        assert "A rough figure. The figure itself follows." in page.text, name
        assert "data-pending" in page.text, name
    assert len(hand.asked) == 1, "it is worked out once, however often it is looked at"
    assert not large.settled(large.sheaf(job, wait=False))
    hand.go_on()
    then = large.sheaf(job)
    assert then.answer is not None
    assert then.answer.quote.total == quick_quote().total
    assert large.store.jobs.get(job).total == f"USD {quick_quote().total:,}"
    for name in ("money", "crates", "sheets", "record", "client"):
        page = client.get(f"/jobs/{job}/{name}")
        assert "data-pending" not in page.text, name
    assert len(hand.asked) == 1


def test_after_a_restart_and_after_a_change_the_last_figure_stands_marked(large: Desk, client: httpx.Client) -> None:
    hand = ByHand(large)
    job = begun(large).row.id
    hand.go_on()
    total = large.store.jobs.get(job).total
    large.floor.forget()  # as a desk that is opened again has nothing in mind
    slip = client.post(f"/jobs/{job}/settle", headers=JSON).json()["slip"]
    assert (slip["total"], slip["pending"], slip["waits"]) == (total, True, True)
    assert slip["settling"].startswith("As it was worked out last.")
    assert large.store.jobs.get(job).total == f"{total}, settling"
    hand.go_on()
    assert large.store.jobs.get(job).total == total
    sheaf = large.sheaf(job)
    dear = replace(sheaf.content, rules={"price.overhead": "30%"})
    changed = large.save(job, dear, based_on=sheaf.document.revision, what="dear")
    assert changed.pending is not None
    assert changed.pending.total == total
    hand.go_on()
    then = large.sheaf(job).answer
    assert then is not None
    assert sheaf.answer is not None
    assert then.quote.total > sheaf.answer.quote.total
    assert large.store.jobs.get(job).total == f"USD {then.quote.total:,}"


def test_what_cannot_be_built_is_told_once_it_is_found(large: Desk, client: httpx.Client) -> None:
    hand = ByHand(large)
    job = begun(large, (GIANT, ROWS[1])).row.id
    hand.go_on()
    sheaf = large.sheaf(job, wait=False)
    assert (sheaf.answer, sheaf.pending) == (None, None)
    assert sheaf.faults
    assert {fault.row for fault in sheaf.faults} == {0}
    told = client.post(f"/jobs/{job}/settle", headers=JSON).json()
    assert told["faults"]
    assert told["slip"]["note"] == "1 thing to mend" if len(sheaf.faults) == 1 else "things to mend"
    assert "To mend before there is a price" in client.get(f"/jobs/{job}/money").text
    assert len(hand.asked) == 1, "what is known to be wrong is not worked out again"
    live = client.get(f"/jobs/{job}/live").text
    assert '"faults": [{"row": 0' in live, "a page that waits is told too"


def test_a_later_change_takes_the_place_of_an_earlier_one(large: Desk) -> None:
    hand = ByHand(large)
    first = begun(large)
    wider = replace(first.content, rows=((*ROWS[0][:2], "31", *ROWS[0][3:]), ROWS[1]))
    large.save(first.row.id, wider, based_on=first.document.revision, what="wider")
    earlier, later = hand.asked
    assert (earlier.state, later.state) == ("stopped", "waiting")
    hand.go_on()
    answer = large.sheaf(first.row.id).answer
    assert answer is not None
    assert answer.quote.total == quick_quote(wider.rows).total


def test_whoever_needs_the_figure_waits_for_it_but_not_for_ever(
    large: Desk, client: httpx.Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    hand = ByHand(large)
    monkeypatch.setattr(behind, "LONGEST", 0.05)
    first = begun(large)
    job = first.row.id
    with pytest.raises(SettlingError):
        large.sheaf(job)
    with pytest.raises(SettlingError):
        large.work(first.row, first.document, replace(first.content, rules={"price.overhead": "30%"}))
    assert {each.kind for each in hand.asked} == {"figure", "tried"}
    for path in ("files/quote.json", "crates/K1", "papers/packing-list-1.pdf"):
        assert client.get(f"/jobs/{job}/{path}", headers=JSON).status_code == 409, path
    sending = client.post(f"/jobs/{job}/send", data={"revision": "1", "version": "1"}, headers=JSON)
    assert sending.status_code == 409
    assert large.store.quotes.of(job) == []


def test_a_process_that_breaks_off_is_told_and_not_begun_again_and_again(large: Desk, client: httpx.Client) -> None:
    hand = ByHand(large)
    job = begun(large).row.id
    hand.asked[-1].state = "failed"
    assert client.get(f"/jobs/{job}/money").status_code == 200
    page = client.get(f"/jobs/{job}/money").text
    assert "The program failed on this job (The process that worked it out ended early." in page
    assert len(hand.asked) == 1


def test_our_own_mistake_is_told_and_ends_no_process(large: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object, **__: object) -> None:
        raise KeyError("birch")

    hand = ByHand(large)
    job = begun(large).row.id
    monkeypatch.setattr("pricing.desk.settling.work", broken)
    hand.go_on()
    (fault,) = large.sheaf(job, wait=False).faults
    assert "KeyError: 'birch'" in fault.text


@pytest.mark.parametrize(
    ("kind", "heavy", "lane"),
    [
        ("figure", True, "figures"), ("tried", True, "figures"), ("settling", False, "settling"),
        ("trial", False, "settling"), ("settling", True, "large"), ("ways", True, "large"), ("ways", False, "search"),
        ("cuts", False, "search"), ("cheaper", True, "large"),
    ],
)  # fmt: skip
def test_large_orders_have_lanes_of_their_own(kind: Kind, heavy: bool, lane: str) -> None:
    assert Search(1, (), lambda *_: "", kind=kind, large=heavy).lane == lane


def test_one_is_worked_out_by_its_own_process(tmp_path: Path) -> None:
    desk = Desk(Store(tmp_path), today=lambda: DAY, patience=1e6)
    desk.floor.light = 1
    try:
        job = begun(desk).row.id
        answer = desk.sheaf(job).answer
        assert answer is not None
        assert (answer.settled, answer.effort) == (False, "quick")
        assert answer.asked is not None
        assert answer.quote == figure(answer.asked, None, None, {}).quote
        desk.floor.keep(job, answer, answer.quote, stopped=False)  # as if a longer search had found nothing better
        desk.floor.forget()
        processes = {lane.name: lane.process for lane in desk.searches._lanes}  # noqa: SLF001 - where it runs is tested
        again = desk.sheaf(job).answer
        assert again is not None
        assert again.settled
        assert again.quote == answer.quote
        assert {lane.name: lane.process for lane in desk.searches._lanes} == processes  # noqa: SLF001
    finally:
        desk.close()

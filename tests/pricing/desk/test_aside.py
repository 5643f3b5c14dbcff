"""What is made aside for large jobs: kept, waited for so long, stopped, and the same as what small ones get at once."""

import pickle
from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from threading import Thread, Timer
from typing import Any

import httpx
import pytest

from nesting.base.faults import Fault, FaultsFound
from nesting.base.progress import silent
from nesting.base.stop import Stop
from pricing.desk.aside import Aside, AsideError
from pricing.desk.desk import Desk
from pricing.desk.search import Search, Searches
from tests.pricing.desk.conftest import served
from tests.pricing.desk.orders import HEADINGS, ROWS, looked_at


class Held(Searches):
    """Searches that run when the test says so, in its own thread."""

    def __init__(self) -> None:
        self.begun: list[Search] = []

    def begin(self, job: int, tasks: Any, finished: Any, **named: Any) -> Search:
        self.begun.append(Search(job, tasks, finished, kind=named["kind"]))
        return self.begun[-1]

    def end(self, *, stopped: bool = False) -> None:
        """End the latest."""
        search = self.begun[-1]
        search.found = {} if stopped else {each.name: each.run(silent, Stop()) for each in search.tasks}
        search.finished(search.found, stopped)
        search.state = "stopped" if stopped else "done"


class Written(Held):
    """Searches that write what is to be done as for a worker, read it again, and do it at once."""

    def begin(self, job: int, tasks: Any, finished: Any, **named: Any) -> Search:
        search = super().begin(job, pickle.loads(pickle.dumps(tasks)), finished, **named)  # noqa: S301 - our own
        Thread(target=self.end, daemon=True).start()
        return search


def test_what_takes_longer_than_a_page_waits_goes_on_and_is_there_later() -> None:
    searches = Held()
    aside = Aside(searches, longest=0.1)
    for _ in range(2):
        with pytest.raises(AsideError, match="longer than the 0 seconds that a page waits") as told:
            aside.get(1, "key", "paper", "The packet", partial(int, "7"))
        assert told.value.going == "paper"
    assert len(searches.begun) == 1
    searches.end()
    assert aside.get(1, "key", "paper", "The packet", partial(int, "8")) == 7
    assert len(searches.begun) == 1
    aside.forget()
    with pytest.raises(AsideError):
        aside.get(1, "key", "paper", "The packet", partial(int, "8"))
    assert len(searches.begun) == 2


def test_one_that_is_stopped_comes_to_nothing_and_says_so() -> None:
    searches = Held()
    aside = Aside(searches, longest=20.0)
    Timer(0.2, searches.end, kwargs={"stopped": True}).start()
    with pytest.raises(AsideError, match="The packet: it was stopped, and nothing came of it") as told:
        aside.get(1, "key", "paper", "The packet", partial(int, "7"))
    assert told.value.going is None


def _fault() -> None:
    raise FaultsFound((Fault("order", None, None, "nothing of it", "something"),))


def test_faults_and_failures_are_told_as_if_it_was_made_at_once() -> None:
    searches = Held()
    aside = Aside(searches, longest=5.0)
    for make, error in ((_fault, FaultsFound), (partial(int, "x"), AsideError)):
        Timer(0.2, searches.end).start()
        with pytest.raises(error):
            aside.get(1, make, "paper", "The packet", make)


def test_another_of_the_kind_waits_for_the_one_that_is_being_made() -> None:
    """Whoever asks for the workbook must not end the packet of somebody else."""
    searches = Held()
    aside = Aside(searches, longest=0.15)
    with pytest.raises(AsideError):
        aside.get(1, "packet", "paper", "The packet", partial(int, "1"))
    with pytest.raises(AsideError):
        aside.get(1, "workbook", "paper", "The workbook", partial(int, "2"))
    assert len(searches.begun) == 1
    searches.end()
    with pytest.raises(AsideError):
        aside.get(1, "workbook", "paper", "The workbook", partial(int, "2"))
    searches.end()
    assert aside.get(1, "packet", "paper", "The packet", partial(int, "0")) == 1
    assert aside.get(1, "workbook", "paper", "The workbook", partial(int, "0")) == 2


@pytest.fixture
def large(desk: Desk) -> Iterator[tuple[Desk, httpx.Client]]:
    """Open a desk with a job that is worked out, and is large from now on."""
    with served(desk) as client:
        client.headers["origin"] = str(client.base_url).rstrip("/")
        client.post("/jobs", data={"name": "Large"})
        client.post("/jobs/1/artworks", json={"headings": HEADINGS, "rows": ROWS, "revision": 1})
        yield desk, client


def test_a_large_job_has_the_same_designs_and_papers_as_a_small_one(large: tuple[Desk, httpx.Client]) -> None:
    """Written as for another process, and until it is there a sentence and a status, never part of it."""
    desk, client = large
    answer = desk.sheaf(1).answer
    assert answer is not None
    crate = next(each for each in answer.quote.build.travelling if each.standing == "good")
    if not answer.settled:
        desk.floor._note(replace(answer, settled=True))  # noqa: SLF001 - to settle it would take long
    paths = (f"/jobs/1/designs/{crate.crate}", "/jobs/1/files/packet.pdf", "/jobs/1/client/1/offer.pdf")
    at_once = [client.get(path) for path in paths]
    assert [each.status_code for each in at_once] == [200] * 3
    desk.floor.light = 1
    desk.aside = Aside(Held(), longest=0.0)
    told = client.get(paths[0])
    assert (told.status_code, told.headers["retry-after"]) == (503, "10")
    assert "It is made behind the pages" in told.text
    assert 'action="/jobs/1/stop"><input type="hidden" name="kind" value="designs">' in told.text
    assert client.get("/jobs/1/files/quote.json").status_code == 200  # which draws nothing, and waits for no other
    desk.aside = Aside(Written(), longest=20.0)
    aside = [client.get(path) for path in paths]
    assert [each.status_code for each in aside] == [200] * 3
    assert [each.content for each in aside[1:]] == [each.content for each in at_once[1:]]
    assert aside[0].text.count('class="design') == at_once[0].text.count('class="design') > 1


def test_a_large_job_is_sent_once_its_papers_are_there(large: tuple[Desk, httpx.Client]) -> None:
    desk, client = large
    answer = desk.sheaf(1).answer
    assert answer is not None
    desk.floor._note(replace(answer, settled=True))  # noqa: SLF001 - as above
    desk.floor.light = 1
    searches = Held()
    desk.aside = Aside(searches, longest=0.05)
    facts = {"revision": "2", **looked_at(desk, 1)}
    for what in ("offers", "papers"):
        waits = client.post("/jobs/1/send", data=facts, headers={"accept": "application/json"})
        assert waits.status_code == 503
        assert waits.json()["message"].startswith(f"Nothing was sent yet. The {what} that go out with it: ")
        assert desk.store.quotes.of(1) == []
        searches.end()
    assert client.post("/jobs/1/send", data=facts).status_code == 303
    assert [each.version for each in desk.store.quotes.of(1)] == [1]

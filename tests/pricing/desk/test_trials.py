"""Trials at the yard: a first figure that says so, then one worked through as long as the job's own, which is kept."""

import html
from dataclasses import replace

import httpx
import pytest

from nesting.base.progress import silent
from nesting.base.stop import Stop
from pricing.desk import trials
from pricing.desk.content import Content
from pricing.desk.desk import Desk, Sheaf
from pricing.desk.trials import Trying
from pricing.output.tables import buying
from pricing.quoting.quote import Quote
from tests.pricing.desk.orders import HEADINGS

ONE = (("A-01", "First", "30", "30", "1 1/2", "18 lb", "closed", "Harbour Gallery"),)
GONE = {"none": "ply-3/8 4x8", "instead": "ply-15/32"}
JSON = {"accept": "application/json"}


@pytest.fixture
def sheaf(waiting: Desk) -> Sheaf:
    """Begin a job whose figure has settled."""
    job = waiting.store.jobs.add("Yard")
    first = waiting.save(job, Content(headings=HEADINGS, rows=ONE), based_on=0, what="begun")
    assert first.answer is not None
    assert first.answer.asked is not None
    waiting.floor.keep(job, first.answer, first.answer.asked.run(silent, Stop()), stopped=False)
    return waiting.sheaf(job)


def tried(desk: Desk, sheaf: Sheaf) -> Sheaf:
    """Return the job with the stand-in, not saved."""
    content = replace(sheaf.content, missing=(GONE["none"],), swaps={"ply-3/8": GONE["instead"]})
    return desk.work(sheaf.row, sheaf.document, content)


def worked(desk: Desk, sheaf: Sheaf) -> Quote:
    """Work a trial through as the worker does, and keep it; return what it came to."""
    first = tried(desk, sheaf).answer
    assert sheaf.answer is not None
    assert first is not None
    assert first.asked is not None
    made = Trying(first.asked, sheaf.answer.quote.build.grouping).run(silent, Stop())
    desk.floor.keep_trial(sheaf.row.id, first, made)
    return made


def dearer(quote: Quote, more: int) -> Quote:
    """Return a quote that comes to so much more."""
    *steps, last = quote.steps
    return replace(quote, steps=(*steps, replace(last, running=last.running + more)))


def page(client: httpx.Client, sheaf: Sheaf) -> str:
    return html.unescape(client.get(f"/jobs/{sheaf.row.id}/yard", params=GONE).text)


def test_a_trial_is_first_marked_then_compares_and_stands_once_it_is_taken(
    waiting: Desk, waiting_client: httpx.Client, sheaf: Sheaf
) -> None:
    assert not trials.has_settled(waiting, tried(waiting, sheaf))
    assert "it does not compare yet" in page(waiting_client, sheaf)
    assert not trials.goes_on(waiting, sheaf.row.id), "a page that is looked at begins nothing"

    made = worked(waiting, sheaf)
    assert made.build.effort == "normal"
    assert trials.has_settled(waiting, tried(waiting, sheaf))
    shown = page(waiting_client, sheaf)
    assert "so the two compare" in shown
    assert "first figure" not in shown
    assert waiting.sheaf(sheaf.row.id).answer == sheaf.answer, "nothing of it is saved"

    revision = {"revision": sheaf.document.revision}
    waiting_client.post(f"/jobs/{sheaf.row.id}/swap", data={**GONE, **revision})
    taken = waiting.sheaf(sheaf.row.id).answer
    assert taken is not None
    assert (taken.quote.total, taken.settled) == (min(made.total, taken.quote.total), False)
    assert "ply-15/32 4x8" in {row.stock for row in buying(taken.quote)}

    # A search that comes to more leaves it as it is; one that comes to less takes its place.
    more = dearer(made, 500)
    assert more.total > taken.quote.total
    stands = waiting.floor.keep(sheaf.row.id, taken, more, stopped=False)
    assert (stands.quote.total, stands.settled) == (taken.quote.total, True)
    assert waiting.sheaf(sheaf.row.id).answer == stands


def test_less_takes_the_place_of_a_trial_that_was_taken(waiting: Desk, sheaf: Sheaf) -> None:
    made = worked(waiting, sheaf)
    content = tried(waiting, sheaf).content
    taken = waiting.save(sheaf.row.id, content, based_on=sheaf.document.revision, what="swapped").answer
    assert taken is not None
    less = dearer(made, -500)
    assert waiting.floor.keep(sheaf.row.id, taken, less, stopped=False).quote.total == less.total


def test_the_cheaper_of_first_figure_and_trial_is_shown(waiting: Desk, sheaf: Sheaf) -> None:
    first = tried(waiting, sheaf).answer
    assert first is not None
    waiting.floor.keep_trial(sheaf.row.id, first, dearer(first.quote, 9))
    again = tried(waiting, sheaf).answer
    assert again is not None
    assert (again.quote.total, again.effort) == (first.quote.total, "normal")


def test_designs_that_do_not_suit_what_is_there_are_made_anew(waiting: Desk, sheaf: Sheaf) -> None:
    first = tried(waiting, sheaf).answer
    assert first is not None
    assert first.asked is not None
    assert Trying(first.asked, None).run(silent, Stop()).total <= first.quote.total


def test_where_the_first_figure_is_the_last_nothing_is_begun(client: httpx.Client, desk: Desk) -> None:
    job = desk.store.jobs.add("Yard")
    desk.save(job, Content(headings=HEADINGS, rows=ONE), based_on=0, what="begun")
    answer = client.post(f"/jobs/{job}/try", data=GONE)
    assert answer.headers["location"] == f"/jobs/{job}/yard?none=ply-3%2F8+4x8&instead=ply-15%2F32"
    assert not trials.goes_on(desk, job)
    assert "so the two compare" in client.get(answer.headers["location"]).text
    missing = client.post(f"/jobs/{job}/try", data={"none": "ply-9 1x1"}, headers=JSON)
    assert (missing.status_code, missing.json()["message"]) == (422, "there is no ply-9 1x1 in the price book")

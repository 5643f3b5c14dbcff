"""At the saw: one setting of a tool at a time, large, what comes off and a tick for it; and all places to go to."""

from functools import partial
from typing import Any, Final

from starlette.responses import Response
from starlette.routing import Route

from nesting.build import Build
from pricing.desk.at_saw import AtSaw, Key
from pricing.desk.call import BadRequestError, Call, endpoint
from pricing.desk.desk import Desk, Sheaf
from pricing.desk.held import WordWantedError
from pricing.desk.pages.common import asked, job_page, word_answer
from pricing.desk.pages.sheets import SAWING
from pricing.desk.recent import Latest
from pricing.desk.saw_told import at_saw
from pricing.quoting.quote import Quote

_OTHERWISE: Final = (
    "Nothing was ticked: the cuts are others by now than the page showed, or stand in another order. Open the page at "
    "the saw of job {job} again, and compare with what lies there."
)


def shown(call: Call[Desk]) -> Response:
    """Show one setting: the one asked for, else the first of which something is not made; with it, all of them."""
    sheaf = asked(call, wait=False)
    if sheaf.answer is None:
        return job_page(call, "at_saw.html", "saw", sheaf, quote=None)
    work = _work(call, sheaf, sheaf.answer.quote)
    last = len(work.stops)
    place = min(work.left, last - 1) if not call.text("at") else call.number("at") - 1
    if last and not 0 <= place < last:
        raise LookupError(f"there is no setting {place + 1}: they are 1 to {last}")
    return job_page(
        call, "at_saw.html", "saw", sheaf, quote=sheaf.answer.quote, work=work, number=place + 1, count=last,
        stop=work.stops[place] if last else None, goods=_goods(work), lead=work.next_after(place) + 1,
        unit=partial(_unit, sheaf.answer.quote),
        rows_made=sum(stop.made for stop in work.stops), rows_all=sum(len(stop.rows) for stop in work.stops),
    )  # fmt: skip


_WORKS: Final = Latest[Build, AtSaw](8)
"""Of large jobs the work takes a second to tell, and each tick asks for it."""


def _unit(quote: Quote, good: str) -> str:
    """Return the unit in which a good is cut."""
    return "in" if quote.build.shop.measured_in(good, quote.build.units) == "inch" else "mm"


def _work(call: Call[Desk], sheaf: Sheaf, quote: Quote) -> AtSaw:
    """Return the work of what is shown, with what is ticked of it."""
    pin = sheaf.pinned.pin.number if sheaf.pinned else 0
    return _WORKS.of(quote.build, at_saw).ticked(call.desk.store.pins.cut(sheaf.row.id), pin)


def _goods(work: AtSaw) -> list[dict[str, Any]]:
    """Return the places to go to, good by good."""
    found: list[dict[str, Any]] = []
    for number, stop in enumerate(work.stops, start=1):
        if not found or found[-1]["title"] != stop.title:
            found.append({"title": stop.title, "stops": []})
        found[-1]["stops"].append((number, stop))
    return found


def tick(call: Call[Desk]) -> Response:
    """Tick a row of a setting, or all of it, or take the tick back; the first one pins the job as the page showed it.

    A tick says how it is to be, and rests on nothing that other windows tick: two of them never undo each other.
    """
    job, number, done = call.number("job"), call.number("at"), call.text("made") == "1"
    with SAWING:
        whole = call.desk.sheaf(job)
        later = call.text("version") == "next"
        sheaf = whole.later if later else whole
        if sheaf is None or sheaf.answer is None:
            raise BadRequestError("there is no plan of that version any more; look at it again")
        work = _work(call, sheaf, sheaf.answer.quote)
        if call.text("plan") != work.stamp:
            return call.page("message.html", 409, title="Not ticked", text=_OTHERWISE.format(job=job))
        keys, what = _meant(call, work, number)
        ticking, store = work.ticking(keys, done=done), call.desk.store
        told = f"{what} {'cut' if done else 'not cut after all'}"
        if sheaf.pinned:
            store.pins.tick(job, sheaf.pinned.pin.number, ticking, what=told)
            store.jobs.touch(job)
        elif done:
            try:
                call.desk.pin(whole, "first cut", lambda: store.jobs.touch(job), ticking, call.text("word", 1_000))
            except WordWantedError as wanted:
                return word_answer(call, whole, wanted, told, f"/jobs/{job}/saw?at={number}")
        # Of what is not pinned yet nothing can be taken back but what an earlier version brings along; that stays.
        work = _work(call, pinned, pinned.answer.quote) if (pinned := call.desk.sheaf(job)).answer else work
    on = done and not call.text("row") and work.stops[number - 1].done
    return call.go(f"/jobs/{job}/saw?at={work.next_after(number - 1) + 1 if on else number}#stop")


def _meant(call: Call[Desk], work: AtSaw, number: int) -> tuple[tuple[Key, ...], str]:
    """Return the cuts that a form means, and how they are told of; BadRequestError where there are none."""
    if not 1 <= number <= len(work.stops):
        raise BadRequestError(f"setting: a whole number from 1 to {len(work.stops)}")
    stop = work.stops[number - 1]
    setting = f"{stop.tool} at {stop.at}, {stop.title}"
    if not call.text("row"):
        return stop.keys, f"setting {number} ({setting})"
    row = call.number("row")
    if not 1 <= row <= len(stop.rows):
        raise BadRequestError(f"row: a whole number from 1 to {len(stop.rows)}")
    return stop.rows[row - 1].keys, f"row {row} of setting {number} ({setting})"


ROUTES = (
    Route("/jobs/{job:int}/saw", endpoint(shown)),
    Route("/jobs/{job:int}/saw", endpoint(tick), methods=["POST"]),
)

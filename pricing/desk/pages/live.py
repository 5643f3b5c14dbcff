"""Live news of a job: how far its searches are, as it happens; and the word to begin, stop or lengthen one."""

import json
from collections.abc import AsyncIterator
from dataclasses import asdict
from typing import Any, Final

import anyio
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response, StreamingResponse
from starlette.routing import Route
from starlette.types import Receive, Scope, Send

from pricing.desk.aside import ASIDE
from pricing.desk.call import Call, endpoint
from pricing.desk.desk import Desk
from pricing.desk.pages.common import local, told
from pricing.desk.search import Search
from pricing.desk.slip import slip

_PACE: Final = 0.15
_QUIET: Final = 15.0
_LONGEST: Final = 3600.0


async def news(request: Request) -> Response:
    """Send what changes in a job's searches until all are over."""
    call: Call[Desk] = Call.of(request)
    desk, job = call.desk, call.number("job")
    await run_in_threadpool(desk.store.jobs.get, job)
    headers = {"cache-control": "no-store", "x-accel-buffering": "no"}
    return _Stream(_events(request, desk, job), media_type="text/event-stream", headers=headers)


class _Stream(StreamingResponse):
    """A stream of events while there is a place for one: they stay open for long, and are counted by themselves."""

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Send events, or refuse to; a page that is refused asks again by and by."""
        who = (scope.get("client") or ("",))[0]
        with scope["app"].state.streams.one(who) as got:
            if got:
                await super().__call__(scope, receive, send)
                return
        full = PlainTextResponse("As many pages wait for news as may; ask again soon.", 503, {"retry-after": "5"})
        await full(scope, receive, send)


async def _events(request: Request, desk: Desk, job: int) -> AsyncIterator[str]:
    last: Any = None
    before: Search | None = None
    quiet = waited = 0.0
    while waited < _LONGEST and not await request.is_disconnected():
        search = desk.searches.of(job)
        facts = search.facts() if search else {"state": "done", "news": ""}
        if before is not None and before is not search and before.over:
            yield _event("better", await run_in_threadpool(_standing, desk, job))
        before = search
        if facts != last:
            last, quiet = facts, 0.0
            if search is None or search.over:
                yield _event("over", {**facts, **await run_in_threadpool(_standing, desk, job)})
                return
            yield _event("search", facts)
        elif quiet > _QUIET:
            quiet = 0.0
            yield ": still here\n\n"
        await anyio.sleep(_PACE)
        quiet += _PACE
        waited += _PACE


def _standing(desk: Desk, job: int) -> dict[str, Any]:
    """Return what a page is told once a search is over: the figures, and what was found wrong meanwhile."""
    sheaf = desk.sheaf(job, wait=False)
    return {"slip": slip(desk, sheaf), "faults": [asdict(fault) for fault in sheaf.faults]}


def _event(name: str, facts: Any) -> str:
    return f"event: {name}\ndata: {json.dumps(facts)}\n\n"


def stop(call: Call[Desk]) -> Response:
    """Stop a search; the best found is kept. What is made aside is stopped by its kind, and nothing else with it."""
    job = call.number("job")
    kind = next((each for each in ASIDE if each == call.text("kind", 20)), None)
    call.desk.searches.stop(job, kind)
    return (
        call.json({"stopping": True}) if call.wants_json else call.go(local(call.text("back"), f"/jobs/{job}/sheets"))
    )


def longer(call: Call[Desk]) -> Response:
    """Search longer."""
    job = call.number("job")
    sheaf = call.desk.sheaf(job)
    call.desk.search(sheaf, "thorough" if call.text("effort") == "thorough" else "normal", patience=0.0)
    return call.json(told(call, sheaf)) if call.wants_json else call.go(local(call.text("back"), f"/jobs/{job}/sheets"))


def settle(call: Call[Desk]) -> Response:
    """Bring the list of jobs up to date, and begin the search that a job wants since prices or rules moved."""
    job = call.number("job")
    sheaf = call.desk.sheaf(job, wait=False)
    call.desk.settle(sheaf)
    return (
        call.json(told(call, sheaf)) if call.wants_json else call.go(local(call.text("back"), f"/jobs/{job}/artworks"))
    )


ROUTES = (
    Route("/jobs/{job:int}/settle", endpoint(settle), methods=["POST"]),
    Route("/jobs/{job:int}/live", news),
    Route("/jobs/{job:int}/stop", endpoint(stop), methods=["POST"]),
    Route("/jobs/{job:int}/search", endpoint(longer), methods=["POST"]),
)

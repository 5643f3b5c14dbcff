"""A budget a request: what is over it is answered by a sentence, and nobody else waits for it."""

import asyncio
import time
from collections.abc import Callable
from threading import Event
from typing import Any, Final

import httpx
import pytest
from starlette.routing import Route

from pricing.desk import budget, call
from pricing.desk.app import make_app
from pricing.desk.budget import Budget, OverBudgetError, Workplaces
from pricing.desk.desk import Desk
from pricing.desk.pages import ROUTES
from tests.pricing.desk.conftest import served

SHORT: Final = {
    "/jobs/{job:int}/live": "a stream: it sends what there is, within places of its own, for an hour at the most",
}
"""Routes without a budget, and why."""
ARCHIVE: Final = ("/keep", "POST")
"""Takes in an archive by itself, and has the budget of archives."""


def _asked(route: Route) -> list[tuple[str, str]]:
    """Return what asks for a route: its methods, with an address that names something for every gap."""
    path = route.path
    for part in [each for each in path.replace(".", "/").split("/") if each.startswith("{")]:
        path = path.replace(part, "1" if "int" in part else "pdf" if part == "{ending}" else "x")
    return [(method, path) for method in sorted(route.methods or ()) if method != "HEAD"]


@pytest.mark.parametrize("route", ROUTES, ids=lambda each: f"{min(each.methods or ['GET'])} {each.path}")
def test_every_route_has_a_budget_or_is_short_by_nature(route: Route) -> None:
    if route.path in SHORT or (route.path, min(route.methods or ())) == ARCHIVE:
        assert route.endpoint not in call.BUDGETS
    else:
        assert 0 < call.BUDGETS[route.endpoint].seconds <= 900


def test_every_request_over_its_budget_is_answered_by_a_sentence(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    """All of them at once, each of which would work on until it is told to end."""
    over, begun = Event(), []
    tight = Budget(0.3, 200)
    monkeypatch.setattr(call, "BUDGETS", {each.endpoint: tight for each in ROUTES})
    monkeypatch.setattr("pricing.desk.pages.keep.ARCHIVE", tight)
    work = Workplaces.work

    async def slow(self: Workplaces, allowed: Budget, _what: Callable[[], Any], name: str) -> Any:
        def goes_on() -> Any:
            begun.append(name)
            over.wait(30)
            raise LookupError("it came to nothing")

        return await work(self, allowed, goes_on, name)

    monkeypatch.setattr(Workplaces, "work", slow)
    asks = [ask for route in ROUTES if route.path not in SHORT for ask in _asked(route)]

    async def ask_all() -> list[httpx.Response]:
        transport = httpx.ASGITransport(make_app(desk))
        headers = {"origin": "http://127.0.0.1", "accept": "text/html"}
        async with httpx.AsyncClient(transport=transport, base_url="http://127.0.0.1", headers=headers) as client:
            try:
                return await asyncio.gather(*(client.request(method, path) for method, path in asks))
            finally:
                over.set()

    answers = asyncio.run(ask_all())
    assert len(begun) == len(asks) > 110
    for (method, path), answer in zip(asks, answers, strict=True):
        assert answer.status_code == 503, (method, path)
        assert answer.headers["retry-after"] == "10"
        said = "goes on behind the pages" if method == "POST" else "is not waited for. Nothing was changed"
        assert said in answer.text, (method, path)


def test_pages_of_other_jobs_are_answered_while_many_are_over_their_budget(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Forty requests that never end took the last thread, and nobody was answered any more."""
    over = Event()
    sheaf = desk.sheaf

    def slow(job: int, *, wait: bool = True) -> Any:
        if job == 1:
            over.wait(30)
        return sheaf(job, wait=wait)

    monkeypatch.setattr(desk, "sheaf", slow)
    monkeypatch.setattr(budget, "OVERDUE", 60)
    for key in list(call.BUDGETS):
        monkeypatch.setitem(call.BUDGETS, key, Budget(1.5, 10))
    with served(desk) as client:
        client.headers["origin"] = str(client.base_url).rstrip("/")
        client.post("/jobs", data={"name": "Stuck"})
        client.post("/jobs", data={"name": "Other"})

        async def many() -> tuple[list[int], float]:
            async with httpx.AsyncClient(base_url=client.base_url, trust_env=False, timeout=20) as asking:
                stuck = [asyncio.create_task(asking.get("/jobs/1/what-if")) for _ in range(40)]
                await asyncio.sleep(1.8)
                began = time.perf_counter()
                assert (await asking.get("/jobs/2/what-if")).status_code == 200
                took = time.perf_counter() - began
                return [(await each).status_code for each in stuck], took

        try:
            statuses, took = asyncio.run(many())
        finally:
            over.set()
        assert statuses == [503] * 40
        assert took < 5


def test_what_did_not_begin_in_time_does_not_begin_later() -> None:
    """What a person was told was not begun must not be done behind their back."""
    done: list[int] = []

    async def two() -> list[BaseException | None]:
        places, over = Workplaces(), Event()

        def first() -> None:
            over.wait(10)
            done.append(1)

        one = Budget(0.1, 1)
        pair = [places.work(one, first, "first"), places.work(one, lambda: done.append(2), "second")]
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(budget, "OVERDUE", 0)  # the first keeps its place
            found = await asyncio.gather(*pair, return_exceptions=True)
        over.set()
        await asyncio.sleep(0.1)
        return [each if isinstance(each, BaseException) else None for each in found]

    first, second = asyncio.run(two())
    assert isinstance(first, OverBudgetError)
    assert isinstance(second, OverBudgetError)
    assert (first.begun, second.begun) == (True, False)
    assert "goes on behind the pages" in first.told(writes=True)
    assert "was not begun" in second.told(writes=True)
    assert done == [1]

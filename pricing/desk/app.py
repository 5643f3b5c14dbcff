"""The web application: routes by noun, one place where errors become answers, and the guard around all."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from typing import Final

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from pricing.desk.assets import asset_route
from pricing.desk.behind import SettlingError
from pricing.desk.budget import Workplaces
from pricing.desk.call import Call
from pricing.desk.desk import Desk
from pricing.desk.guard import Door, Guard
from pricing.desk.pages import ROUTES
from pricing.desk.places import Places
from pricing.desk.typed_back import Sent, faults_at, page_before, typed_back
from pricing.desk.views import Views
from pricing.store import StoreError, UnusableError, UnwritableError
from pricing.store.errors import told_of_system

MOST_STREAMS: Final = 128
MOST_STREAMS_OF_ONE: Final = 32
"""Pages that may wait for news at once, in all and of one address."""


def make_app(desk: Desk, door: Door | None = None) -> Starlette:
    """Make the web application.

    Parameters
    ----------
    desk : Desk
        What the pages work with; closed when the application ends.
    door : Door, optional
        Who may come in; only this machine, without a token, when not given.

    Returns
    -------
    Starlette
    """

    @asynccontextmanager
    async def lifespan(_: Starlette) -> AsyncIterator[None]:
        yield
        await run_in_threadpool(desk.close)

    app = Starlette(
        routes=[asset_route(), *ROUTES],
        middleware=[Middleware(Guard, door=door or Door())],
        exception_handlers={
            LookupError: _missing,
            ValueError: _bad,
            StoreError: _bad,
            UnusableError: _unusable,
            UnwritableError: _refused,
            OSError: _system,
            SettlingError: _wait,
            404: _missing,
        },
        lifespan=lifespan,
    )
    app.state.desk, app.state.views = desk, Views(desk.today, lambda: desk.papers.shop.writing)
    app.state.streams = Places(MOST_STREAMS, MOST_STREAMS_OF_ONE)
    app.state.places = Workplaces()
    return app


def _answer(request: Request, status: int, title: str, text: str) -> Response:
    call: Call[Desk] = Call.of(request)
    if call.wants_json:
        return call.json({"message": text}, status)
    return call.page("message.html", status, title=title, text=text)


async def _missing(request: Request, error: Exception) -> Response:
    if isinstance(error, KeyError | IndexError):  # a mistake of ours, not of whoever asks
        raise error
    text = "There is nothing at this address." if not isinstance(error, LookupError) else f"{error.args[0]}."
    return _answer(request, 404, "Not found", str(text))


async def _wait(request: Request, error: Exception) -> Response:
    return _answer(request, 409, "Not settled yet", str(error))


async def _bad(request: Request, error: Exception) -> Response:
    form = getattr(request.state, "form", {})
    faults, message = faults_at(error, form)
    call: Call[Desk] = Call.of(request)
    if call.wants_json:
        return call.json({"message": str(error), "faults": faults, "left": message}, 422)
    if request.method == "POST" and form and (page := await page_before(request, form)):
        return HTMLResponse(typed_back(page, Sent(request.url.path, form, faults, message)), 422)
    return _answer(request, 422, "That will not do", str(error))


async def _unusable(request: Request, error: Exception) -> Response:
    return _answer(request, 503, "The store cannot be used", f"{error} Nothing of this was kept.")


async def _refused(request: Request, error: Exception) -> Response:
    full = isinstance(error, UnwritableError) and error.full
    return _answer(request, 507 if full else 503, "That cannot be kept now", str(error))


async def _system(request: Request, error: Exception) -> Response:
    told = told_of_system(error) if isinstance(error, OSError) else None
    if told is None:  # a mistake of ours, not of the disk
        raise error
    return await _refused(request, told)

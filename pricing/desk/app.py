"""The web application: routes by noun, one place where errors become answers, and the guard around all."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from importlib.resources import files
from typing import Final

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route

from pricing.desk.call import Call
from pricing.desk.desk import Desk, SettlingError
from pricing.desk.guard import Door, Guard
from pricing.desk.pages import ROUTES
from pricing.desk.views import Views
from pricing.store import StoreError

_KINDS: Final = {"css": "text/css", "js": "text/javascript", "svg": "image/svg+xml"}


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
    assets = {
        each.name: each.read_bytes()
        for each in (files("pricing.desk") / "static").iterdir()
        if each.name.rpartition(".")[2] in _KINDS
    }

    async def asset(request: Request) -> Response:
        name = request.path_params["name"]
        if name not in assets:
            return PlainTextResponse("no such file", 404)
        kind = _KINDS[name.rpartition(".")[2]]
        return Response(assets[name], media_type=kind, headers={"cache-control": "no-cache"})

    @asynccontextmanager
    async def lifespan(_: Starlette) -> AsyncIterator[None]:
        yield
        await run_in_threadpool(desk.close)

    app = Starlette(
        routes=[Route("/static/{name}", asset), *ROUTES],
        middleware=[Middleware(Guard, door=door or Door())],
        exception_handlers={
            LookupError: _missing,
            ValueError: _bad,
            StoreError: _bad,
            SettlingError: _wait,
            404: _missing,
        },
        lifespan=lifespan,
    )
    app.state.desk, app.state.views = desk, Views(desk.today)
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
    return _answer(request, 422, "That will not do", str(error))

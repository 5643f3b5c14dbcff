"""The recovery page: what is wrong with the store, and the backups, told without any store."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Final, Protocol

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from pricing.desk.assets import asset_route
from pricing.desk.guard import Door, Guard
from pricing.desk.views import Views
from pricing.store import StoreError, UnwritableError
from pricing.store.backups import Backup, Look, backups_in, look
from pricing.store.folder import ASIDE, BACKUPS
from pricing.store.schema import MIGRATIONS

_THOROUGH: Final = 60_000_000
"""Backups of more bytes are looked through page by page only when they are brought back: the page must not wait."""


@dataclass(frozen=True, slots=True)
class Recovery:
    """What the recovery page tells.

    Attributes
    ----------
    folder : Path
        The data folder.
    trouble : str
        What is wrong, for people.
    mendable : bool
        Whether a backup helps; where another desk works in the folder, or the system refuses, it does not.
    """

    folder: Path
    trouble: str
    mendable: bool

    @property
    def aside(self) -> Path:
        """Where what cannot be used is put."""
        return self.folder / ASIDE

    def backups(self) -> list[tuple[Backup, Look]]:
        """Return every backup with what is in it, the latest first."""
        found = backups_in(self.folder / BACKUPS)
        return [(each, look(each.path, len(MIGRATIONS), thorough=each.size <= _THOROUGH)) for each in found]


class Mender(Protocol):
    """What can open the desk, or mend its store."""

    @property
    def recovery(self) -> Recovery:
        """What is wrong."""

    def open(self) -> bool:
        """Open the desk; return whether that went well."""

    def mend(self, backup: str) -> bool:
        """Bring a backup back, or begin an empty desk where none is named; return whether the desk is open."""


def make_recovery(mender: Mender, door: Door, today: Callable[[], date]) -> Starlette:
    """Make the application that answers while the store cannot be used: one page at every address."""
    views = Views(today)

    def told(request: Request, said: str = "", status: int = 503) -> Response:
        now = mender.recovery
        if "application/json" in request.headers.get("accept", ""):
            return JSONResponse({"message": said or now.trouble}, status)
        return views.page("recovery.html", request.url.path, {"now": now, "said": said}, status)

    async def page(request: Request) -> Response:
        return await run_in_threadpool(told, request)

    async def again(_: Request) -> Response:
        await run_in_threadpool(mender.open)
        return RedirectResponse("/", 303)

    async def mend(request: Request) -> Response:
        async with request.form(max_files=0, max_fields=4) as sent:
            backup, empty = str(sent.get("backup", "")), sent.get("empty") == "yes"
        if not backup and not empty:
            return await run_in_threadpool(told, request, "Choose a backup.", 422)
        try:
            opened = await run_in_threadpool(mender.mend, "" if empty else backup)
        except UnwritableError as error:
            return await run_in_threadpool(told, request, str(error), 507 if error.full else 503)
        except (LookupError, StoreError) as error:
            return await run_in_threadpool(told, request, f"That did not work: {error}", 422)
        return RedirectResponse("/keep" if opened else "/", 303)

    return Starlette(
        routes=[
            asset_route(),
            Route("/recovery/again", again, methods=["POST"]),
            Route("/recovery", mend, methods=["POST"]),
            Route("/{path:path}", page, methods=["GET", "POST"]),
        ],
        middleware=[Middleware(Guard, door=door)],
    )

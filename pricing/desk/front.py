"""The front: what answers at the desk's address, the desk itself, or the recovery page while its store cannot be used.

Before each request it looks whether the store still is the file that was opened; the store's keeper looks through its
pages by the clock. Once either finds fault, the desk is closed and the recovery page answers, until a backup stands in
its place, or somebody looks again.
"""

import logging
import sqlite3
from collections.abc import Callable
from datetime import date
from pathlib import Path
from threading import Event, Lock, Thread
from time import sleep
from typing import Final

from starlette.concurrency import run_in_threadpool
from starlette.types import ASGIApp, Receive, Scope, Send

from pricing.desk.app import make_app
from pricing.desk.desk import Desk
from pricing.desk.guard import Door
from pricing.desk.recovery import Recovery, make_recovery
from pricing.desk.views import moment
from pricing.store import OpenElsewhereError, Store, StoreError, UnusableError, UnwritableError
from pricing.store.backups import backups_in
from pricing.store.folder import BACKUPS, FILE, DataFolder
from pricing.store.restoring import recover

_LOG = logging.getLogger(__name__)
_FIRST_LOOK: Final = 3.0
"""Seconds at the most that a desk just opened waits for somebody to look before it loads ahead."""
_AFTER: Final = 0.2
"""Seconds after that: what the page asks for next, and a large job that it shows, come first."""


class Front:
    """An application that outlives its store.

    Parameters
    ----------
    folder : Path
        The data folder.
    door : Door
        Who may come in, to the recovery page too.
    today : callable
        The studio's day.
    warm : bool
        Whether a desk loads ahead what its first quote would wait for.
    """

    def __init__(self, folder: Path, door: Door, *, today: Callable[[], date] = date.today, warm: bool = True) -> None:
        self.folder = folder
        self._door = door
        self._today = today
        self._warm = warm
        self._changing = Lock()
        self._closing: Thread | None = None
        self._looked = Event()
        self.desk: Desk | None = None
        self.trouble: StoreError | None = None
        self._app: ASGIApp = make_recovery(self, door, today)

    def open(self) -> bool:
        """Open the desk if it is not; return whether it is.

        A file that was found missing must be there again: looking for it begins no empty desk.
        """
        with self._changing:
            if isinstance(self.trouble, UnusableError) and not (self.folder / FILE).exists():
                return False
            return self._open()

    def _open(self, *remarks: str) -> bool:
        if self.desk is not None:
            return True
        self._wait()
        try:
            store = Store(self.folder)
        except StoreError as error:
            self.trouble = error
            return False
        store.remarks += remarks
        self.desk, self.trouble = Desk(store, self._today), None
        app = self._app = make_app(self.desk, self._door)
        if self._warm:
            self._warm = False
            app.state.views.ready()
            Thread(target=self._load, args=(self.desk,), name="warm", daemon=True).start()
        self.desk.conversion.begin()
        store.keeper.begin()
        return True

    def _load(self, desk: Desk) -> None:
        """Load ahead what a first quote would wait for, after the first page: loading holds up whoever looks."""
        self._looked.wait(_FIRST_LOOK)
        sleep(_AFTER)
        while desk.searches.is_busy_here:
            sleep(_AFTER)
        desk.warm()

    @property
    def remarks(self) -> tuple[str, ...]:
        """What a person should know of the opening."""
        return self.desk.store.remarks if self.desk else ()

    # -- what the recovery page asks

    @property
    def recovery(self) -> Recovery:
        """What can be done now."""
        with self._changing:
            self._wait()
        trouble = self.trouble or StoreError("The desk is being opened.")
        passing = isinstance(trouble, OpenElsewhereError | UnwritableError)
        return Recovery(self.folder, str(trouble), mendable=not passing)

    def mend(self, backup: str) -> bool:
        """Put a backup in place of what cannot be used, or an empty desk where none is named; return whether it opens.

        Raises
        ------
        LookupError, StoreError
            When that cannot be; nothing changed then.
        """
        with self._changing:
            if self.desk is not None:
                return True
            self._wait()
            held = DataFolder(self.folder)
            try:
                moved = recover(held, backup)
            finally:
                held.close()
            what = "An empty desk was begun."
            if backup:
                of = {each.name: moment(each.at) for each in backups_in(self.folder / BACKUPS)}[backup]
                what = f"The desk is back as the backup of {of} UTC had it; what was done after that is not in it."
            where = f" What was there before was put aside in {moved}, and is not used any more." if moved else ""
            return self._open(f"{what}{where}")

    # -- what the server asks

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request, or open and close with the server."""
        if scope["type"] == "lifespan":
            await self._live(receive, send)
            return
        if (desk := self.desk) is not None:
            try:
                desk.store.database.look()
            except StoreError as error:
                if isinstance(error, UnusableError):
                    await run_in_threadpool(self._give_up, desk, error)
        try:
            await self._app(scope, receive, send)
        finally:
            self._looked.set()

    async def _live(self, receive: Receive, send: Send) -> None:
        while (message := await receive())["type"] != "lifespan.shutdown":
            if message["type"] == "lifespan.startup":
                await send({"type": "lifespan.startup.complete"})
        await run_in_threadpool(self.close)
        await send({"type": "lifespan.shutdown.complete"})

    def _give_up(self, desk: Desk, error: UnusableError) -> None:
        """Close a desk whose store cannot be used any more, behind the pages."""
        with self._changing:
            if self.desk is desk:
                _LOG.error("%s", error)
                self.desk, self.trouble = None, error
                self._app = make_recovery(self, self._door, self._today)
                self._closing = Thread(target=_close, args=(desk,), name="closing", daemon=True)
                self._closing.start()

    def _wait(self) -> None:
        """Wait until a desk that was given up has left its folder."""
        if self._closing is not None:
            self._closing.join()
            self._closing = None

    def close(self) -> None:
        """Close the desk."""
        with self._changing:
            self._wait()
            if self.desk is not None:
                self.desk.close()
                self.desk = None


def _close(desk: Desk) -> None:
    """Save what a desk can still read, and close it whatever it still does; its store is let go in any case."""
    if (made := desk.store.database.rescue()) is not None:
        _LOG.error("what the open desk could still read was saved as %s", made)
    try:
        desk.close()
    except (StoreError, OSError, sqlite3.Error):
        _LOG.exception("the desk that was given up did not close in good order")
    finally:
        desk.store.close()

"""Starting the desk: which port, which names, which key, and the browser."""

import os
import secrets
import socket
import sys
import webbrowser
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from threading import Thread, Timer
from typing import Final

from pricing.desk.guard import Door

_LOOPBACK: Final = "127.0.0.1"


def data_folder() -> Path:
    """Return the user's data folder for the desk, as the system has it."""
    if sys.platform == "win32":
        base = Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
    elif sys.platform == "darwin":
        base = Path.home() / "Library" / "Application Support"
    else:
        base = Path(os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share")
    return base / "casewright"


def own_addresses() -> tuple[str, ...]:
    """Return the addresses by which other machines of the network reach this one."""
    found: list[str] = []
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe, suppress(OSError):
        probe.connect(("192.0.2.1", 9))  # nothing is sent; the system only says which address it would use
        found.append(probe.getsockname()[0])
    with suppress(OSError):
        found += [str(each[4][0]) for each in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)]
    return tuple(dict.fromkeys(address for address in found if not address.startswith("127.")))


def bind(host: str, port: int) -> socket.socket:
    """Return a listening socket; port 0 takes a free one."""
    taken = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        if os.name == "posix":
            taken.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        taken.bind((host, port))
        taken.listen(128)  # whoever comes before the desk is ready waits, and is not turned away
    except OSError:
        taken.close()
        raise
    return taken


def serve(
    folder: Path | None = None,
    *,
    port: int = 0,
    lan: bool = False,
    open_browser: bool = True,
    tell: Callable[[str], None] = print,
) -> None:
    """Start the desk and stay until it is interrupted.

    Parameters
    ----------
    folder : Path, optional
        Where everything is kept; the user's data folder when not given.
    port : int
        0 takes a free one.
    lan : bool
        Whether other machines of the network may come in, with a key.
    open_browser : bool
        Whether the page is opened.
    tell : callable
        Takes what is said on starting, line by line.
    """
    import uvicorn

    from pricing.desk.app import make_app
    from pricing.desk.desk import Desk
    from pricing.store import Store

    store = Store(folder or data_folder())
    listening = bind("0.0.0.0" if lan else _LOOPBACK, port)  # noqa: S104 - only where the person asked for it
    number = listening.getsockname()[1]
    token = secrets.token_urlsafe(24) if lan else ""
    tail = f"?key={token}" if token else ""
    names = {_LOOPBACK, "localhost"}
    address = f"http://{_LOOPBACK}:{number}/{tail}"
    tell(f"The desk is open at {address}")
    if lan:
        others = own_addresses()
        names |= {*others, socket.gethostname().lower(), f"{socket.gethostname().lower()}.local"}
        for other in others:
            tell(f"On a phone in the same network: http://{other}:{number}/{tail}")
        tell("Whoever has this address, key included, can read and change everything. It is not encrypted on the way.")
    tell(f"Everything is kept in {store.folder}. Stop with Ctrl-C.")
    desk = Desk(store)
    Thread(target=desk.warm, name="warm", daemon=True).start()
    desk.conversion.begin()
    app = make_app(desk, Door(frozenset(names), token))
    config = uvicorn.Config(
        app, log_level="warning", timeout_graceful_shutdown=2, timeout_keep_alive=120, limit_concurrency=400,
        h11_max_incomplete_event_size=65_536, access_log=False, server_header=False, http="h11",
        ws="none", lifespan="on",
    )  # fmt: skip
    if open_browser:
        opening = Timer(0.6, webbrowser.open, (address,))
        opening.daemon = True
        opening.start()
    uvicorn.Server(config).run(sockets=[listening])

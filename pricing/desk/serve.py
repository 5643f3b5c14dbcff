"""Starting the desk: which port, which names, which key, and the browser."""

import os
import secrets
import socket
import sys
import webbrowser
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from threading import Timer
from typing import Final

from pricing.desk.guard import Door, OneTimeKey

_LOOPBACK: Final = "127.0.0.1"
_FILES: Final = 8_192


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
    from pricing.desk.connections import Listening

    taken = Listening(socket.AF_INET, socket.SOCK_STREAM)
    try:
        if os.name == "posix":
            taken.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        taken.bind((host, port))
        taken.listen()  # whoever comes before the desk is ready waits, and is not turned away
    except OSError:
        taken.close()
        raise
    return taken


def _make_room() -> None:
    """Let this process open as many files as the system allows: connections are files, and some systems give 256."""
    with suppress(ImportError, OSError, ValueError):
        import resource

        now, most = resource.getrlimit(resource.RLIMIT_NOFILE)
        wanted = _FILES if most == resource.RLIM_INFINITY else min(_FILES, most)
        if now != resource.RLIM_INFINITY and now < wanted:
            resource.setrlimit(resource.RLIMIT_NOFILE, (wanted, most))


def serve(
    folder: Path | None = None,
    *,
    port: int = 0,
    lan: bool = False,
    open_browser: bool = True,
    tell: Callable[[str], None] = print,
) -> None:
    """Start the desk and stay until it is interrupted; where its store cannot be used, a page says what can be done.

    Whoever comes in needs a key, which the address that is told bears, so that no other account of this machine does.

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

    from pricing.desk.anteroom import AnteroomServer
    from pricing.desk.connections import AT_ONCE, Connection
    from pricing.desk.front import Front

    _make_room()
    listening = bind("0.0.0.0" if lan else _LOOPBACK, port)  # noqa: S104 - only where the person asked for it
    number = listening.getsockname()[1]
    names, token, once = {_LOOPBACK, "localhost"}, secrets.token_urlsafe(24), OneTimeKey()
    others = own_addresses() if lan else ()
    if lan:
        names |= {*others, socket.gethostname().lower(), f"{socket.gethostname().lower()}.local"}
    front = Front(folder or data_folder(), Door(frozenset(names), token, once))
    address = f"http://{_LOOPBACK}:{number}/?key="
    if front.open():
        tell(f"The desk is open at {address}{token}")
    else:
        tell(f"{front.recovery.trouble} What can be done stands at {address}{token}")
    for other in others:
        tell(f"On a phone in the same network: http://{other}:{number}/?key={token}")
    tell("Whoever has this address, key included, can read and change everything.")
    if lan:
        tell("It is not encrypted on the way.")
    for remark in front.remarks:
        tell(remark)
    tell(f"Everything is kept in {front.folder}. Stop with Ctrl-C.")
    config = uvicorn.Config(
        front, log_level="warning", log_config=None,  # what is logged goes where the command says
        timeout_graceful_shutdown=2, timeout_keep_alive=120,
        h11_max_incomplete_event_size=65_536, access_log=False, server_header=False, http=Connection,
        backlog=AT_ONCE, loop="asyncio", ws="none", lifespan="on",
    )  # fmt: skip
    if open_browser:
        opening = Timer(0.6, webbrowser.open, (f"{address}{once.text}",))
        opening.daemon = True
        opening.start()
    AnteroomServer(config).run(sockets=[listening])

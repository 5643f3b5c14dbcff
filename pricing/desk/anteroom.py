"""The anteroom: where a connection waits until the head of its first request has arrived, at next to no cost.

A connection that the server takes in costs it a tenth of a millisecond and leaves circles for the garbage collector;
thousands that are never asked anything by, and opened anew as soon as they are closed, took both cores that way. Here
one is a file and an entry of a list. There is room for thousands, so that few are closed for others, and whatever
trickles in, a head has so long and no longer. The server sees only what has asked for something.
"""

import asyncio
import errno
import re
import socket
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from typing import Final, cast

from uvicorn import Config, Server

from pricing.desk.connections import AT_ONCE, LIMITS, Connection, refusal
from pricing.desk.crowd import Crowd

_FILES_LEFT: Final = 1_000
"""Files that are left to everything else."""
_LEAST: Final = 100
_LETTERS: Final = re.compile(rb"[A-Za-z]")
_BLANK_LINE: Final = re.compile(rb"\n\r?\n")
_FULL: Final = frozenset({errno.EMFILE, errno.ENFILE, errno.ENOBUFS, errno.ENOMEM})
_PIECE: Final = 65_536
_SWEEP: Final = 0.5


@dataclass(frozen=True, slots=True)
class Seats:
    """How many wait, and how long.

    Attributes
    ----------
    most, by_address : int
        In all, and of one address.
    head : float
        Seconds until the head of the first request has arrived.
    """

    most: int = 4_000
    by_address: int = 2_000
    head: float = LIMITS.head

    @classmethod
    def of_system(cls) -> "Seats":
        """Return as many as this process may have files for."""
        with suppress(ImportError, OSError, ValueError):
            import resource

            files, _ = resource.getrlimit(resource.RLIMIT_NOFILE)
            if files != resource.RLIM_INFINITY:
                most = max(_LEAST, min(cls().most, files - _FILES_LEFT))
                return cls(most, most // 2)
        return cls()


class Guest:
    """One connection that waits."""

    __slots__ = ("head", "link", "number", "since")

    def __init__(self, link: socket.socket, since: float) -> None:
        self.link = link
        self.number = link.fileno()
        self.since = since
        self.head = b""


class Anteroom:
    """Those that have not asked for anything yet.

    Parameters
    ----------
    listening : socket.socket
        Where they come in; it does not block.
    seats : Seats
        How many wait, and how long.
    hand_on : callable
        Takes a connection and what came of it, once the head of a request has arrived, or what is none.
    """

    def __init__(
        self, listening: socket.socket, seats: Seats, hand_on: Callable[[socket.socket, bytes], object]
    ) -> None:
        self._loop = asyncio.get_running_loop()
        self._listening, self._seats, self._hand_on = listening, seats, hand_on
        self._crowd: Crowd[Guest] = Crowd()
        self._sweeping: asyncio.TimerHandle | None = None
        self._resting: asyncio.TimerHandle | None = None
        self._guests: dict[Guest, None] = {}  # in the order in which they came
        self._begin()

    def __len__(self) -> int:
        return len(self._crowd)

    def _begin(self) -> None:
        self._loop.add_reader(self._listening, self._come_in)

    def close(self) -> None:
        """Let nobody in any more, and close whoever waits."""
        self._loop.remove_reader(self._listening)
        for timer in (self._sweeping, self._resting):
            if timer is not None:
                timer.cancel()
        for guest in list(self._guests):
            self._end(guest)

    def _come_in(self) -> None:
        """Let some in."""
        for _ in range(AT_ONCE):
            try:
                link, address = self._listening.accept()
            except (BlockingIOError, InterruptedError, ConnectionAbortedError):
                return
            except OSError as error:
                if error.errno not in _FULL:
                    raise
                self._give_way(None)
                self._loop.remove_reader(self._listening)
                self._resting = self._loop.call_later(_SWEEP, self._begin)
                return
            link.settimeout(0)
            self._seat(link, str(address[0]))

    def _seat(self, link: socket.socket, address: str) -> None:
        if self._crowd.of(address) >= self._seats.by_address:
            self._give_way(address)
        elif len(self._crowd) >= self._seats.most:
            self._give_way(None)
        guest = Guest(link, self._loop.time())
        self._guests[guest] = None
        self._crowd.wait(guest, address)
        self._loop.add_reader(guest.number, self._arrived, guest)
        if self._sweeping is None:
            self._sweeping = self._loop.call_later(_SWEEP, self._sweep)

    def _arrived(self, guest: Guest) -> None:
        """Take what came; hand the connection on once it is a head, or can be none."""
        try:
            piece = guest.link.recv(_PIECE)
        except (BlockingIOError, InterruptedError):
            return
        except OSError:
            piece = b""
        if not piece:
            self._end(guest)
            return
        guest.head += piece
        head = guest.head
        if _LETTERS.match(head) and len(head) < _PIECE and not _BLANK_LINE.search(head):
            return
        self._leave(guest)
        self._hand_on(guest.link, head)

    def _sweep(self) -> None:
        """Close those whose head did not come in time, the earliest first."""
        self._sweeping = None
        before = self._loop.time() - self._seats.head
        for guest in list(self._guests):
            if guest.since > before:
                break
            if guest.head:
                with suppress(OSError):
                    guest.link.send(refusal(408, "Request Timeout", "The request took too long to arrive."))
            self._end(guest)
        if self._guests:
            self._sweeping = self._loop.call_later(_SWEEP, self._sweep)

    def _give_way(self, address: str | None) -> None:
        if (first := self._crowd.first(address)) is not None:
            self._end(first)

    def _leave(self, guest: Guest) -> None:
        self._loop.remove_reader(guest.number)
        self._crowd.leave(guest)
        del self._guests[guest]

    def _end(self, guest: Guest) -> None:
        self._leave(guest)
        guest.link.close()


class AnteroomServer(Server):
    """Uvicorn behind an anteroom, where the system can tell that something has arrived without reading it."""

    def __init__(self, config: Config, seats: Seats | None = None) -> None:
        super().__init__(config)
        self._seats = seats or Seats.of_system()
        self._rooms: list[Anteroom] = []
        self._coming: set[asyncio.Task[None]] = set()

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        """Begin to let in."""
        loop = asyncio.get_running_loop()
        if not isinstance(loop, asyncio.SelectorEventLoop):
            await super().startup(sockets)
            return
        await super().startup([])
        for each in sockets or []:
            each.settimeout(0)
            self._rooms.append(Anteroom(each, self._seats, self._hand_on))

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        """Let nobody in any more, and end."""
        for room in self._rooms:
            room.close()
        await super().shutdown(sockets)

    def _hand_on(self, link: socket.socket, head: bytes) -> None:
        task = asyncio.get_running_loop().create_task(self._serve_one(link, head))
        self._coming.add(task)
        task.add_done_callback(self._coming.discard)

    async def _serve_one(self, link: socket.socket, head: bytes) -> None:
        """Serve a connection of which the head has been read."""

        def protocol() -> asyncio.Protocol:
            made = cast("type[Connection]", self.config.http_protocol_class)
            return made(config=self.config, server_state=self.server_state, app_state=self.lifespan.state, head=head)

        try:
            await asyncio.get_running_loop().connect_accepted_socket(protocol, link)
        except OSError:
            link.close()

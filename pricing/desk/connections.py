"""Connections: how many there may be, how long the head of a request may take, and which of them gives way.

Uvicorn (with h11) waits for the head of a request for ever, and turns everybody away once so many connections are
open. Here a connection on which no request goes on gives way to a new one, the oldest of the same address first, so
that half-open ones keep nobody out; and only an address all of whose connections are at work is turned away. What is
closed leaves the crowd at once: of a thousand that come together each is given the place of another one.
"""

import asyncio
import socket
from dataclasses import dataclass
from typing import Any, Final
from weakref import WeakKeyDictionary

import h11
from uvicorn.protocols.http.h11_impl import H11Protocol
from uvicorn.server import ServerState

from pricing.desk.crowd import Crowd


@dataclass(frozen=True, slots=True)
class Limits:
    """What connections may do.

    Attributes
    ----------
    head : float
        Seconds until the head of a request has arrived, from its first byte or from the connection's beginning.
    stuck : float
        Seconds that somebody may take nothing of an answer that waits for them.
    most : int
        How many connections there may be.
    by_address : int
        How many of them one address may have.
    """

    head: float = 10.0
    stuck: float = 60.0
    most: int = 400
    by_address: int = 100


LIMITS: Final = Limits()
QUEUE: Final = 4_096
"""Connections that the system is asked to hold until they are taken in. It drops what comes after these, and whoever
was dropped tries again after a second, three, seven."""
AT_ONCE: Final = 32
"""Connections taken in before anything that has arrived is read: of the youngest so many of an address none gives way,
so that whoever sends a request at once is answered, however many others come in with it."""


class Listening(socket.socket):
    """A socket whose queue is long, however few are taken in at a time."""

    def listen(self, _backlog: int = 0, /) -> None:
        """Listen; asyncio names as the queue what it takes in at once."""
        super().listen(QUEUE)


class Connection(H11Protocol):
    """One connection, as uvicorn has it, within limits; what the anteroom has read of it is its head."""

    limits: Limits = LIMITS

    def __init__(self, *given: Any, head: bytes = b"", **named: Any) -> None:
        super().__init__(*given, **named)
        self._head = head
        self._heading: asyncio.TimerHandle | None = None
        self._reading: asyncio.TimerHandle | None = None
        self._crowd: Crowd[Connection] = _CROWDS.setdefault(self.server_state, Crowd())

    @property
    def address(self) -> str:
        """Whose it is."""
        return self.client[0] if self.client else ""

    @property
    def busy(self) -> bool:
        """Whether a request goes on."""
        return self.cycle is not None and not self.cycle.response_complete

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Begin, in the place of an idle one where there are too many."""
        super().connection_made(transport)
        crowd, address = self._crowd, self.address
        if crowd.of(address) >= self.limits.by_address:
            first = crowd.first(address)
        elif len(crowd) >= self.limits.most:
            first = crowd.first()
        else:
            first = self
        if first is None:
            self._turn_away(503, "Service Unavailable", "The desk has as many connections as it takes; try again soon.")
            return
        if first is not self:
            first.give_way()
        crowd.wait(self, address)
        self._await_head()
        if self._head:
            self.data_received(self._head)
            self._head = b""

    def give_way(self) -> None:
        """Close for another one; what was sent is not answered any more."""
        self._crowd.leave(self)
        _end(self._heading)
        self.transport.abort()

    def data_received(self, data: bytes) -> None:
        """Take what came; a head that has begun must end in time."""
        if self.transport.is_closing():  # it gave way while this was on its way
            return
        super().data_received(data)
        self._look()

    def on_response_complete(self) -> None:
        """Wait for the next request, of which something may have come already."""
        super().on_response_complete()
        if self in self._crowd:
            self._crowd.wait(self, self.address)
        self._look()

    def _look(self) -> None:
        """See whether a request goes on, or a head has begun."""
        if self.busy:
            if self in self._crowd:
                self._crowd.work(self)
            _end(self._heading)
            self._heading = None
        elif self._heading is None and self.conn.trailing_data[0] and not self.transport.is_closing():
            self._await_head()

    def pause_writing(self) -> None:
        """Wait for somebody who does not read what was sent, but not for ever."""
        super().pause_writing()
        self._reading = self.loop.call_later(self.limits.stuck, self.transport.abort)

    def resume_writing(self) -> None:
        """Go on."""
        _end(self._reading)
        super().resume_writing()

    def connection_lost(self, exc: Exception | None) -> None:
        """End."""
        self._crowd.leave(self)
        _end(self._heading)
        _end(self._reading)
        super().connection_lost(exc)

    def _await_head(self) -> None:
        self._heading = self.loop.call_later(self.limits.head, self._too_slow)

    def _too_slow(self) -> None:
        if self.conn.our_state is h11.IDLE and self.conn.trailing_data[0]:
            self._turn_away(408, "Request Timeout", "The request took too long to arrive.")
        else:
            self.transport.close()

    def _turn_away(self, status: int, reason: str, text: str) -> None:
        """Answer without having read anything, and close."""
        self.transport.write(refusal(status, reason, text))
        self.transport.close()


def refusal(status: int, reason: str, text: str) -> bytes:
    """Return the answer to a request that is not read."""
    head = f"HTTP/1.1 {status} {reason}\r\ncontent-type: text/plain; charset=utf-8\r\n"
    return f"{head}content-length: {len(text)}\r\nconnection: close\r\n\r\n{text}".encode()


_CROWDS: "Final[WeakKeyDictionary[ServerState, Crowd[Connection]]]" = WeakKeyDictionary()
"""The connections of each server."""


def _end(timer: asyncio.TimerHandle | None) -> None:
    if timer is not None:
        timer.cancel()

"""Connections: how many there may be, how long the head of a request may take, and which of them gives way.

Uvicorn (with h11) waits for the head of a request for ever, and turns everybody away once so many connections are
open. Here a connection on which no request goes on gives way to a new one, the oldest of the same address first, so
that half-open ones keep nobody out; and only an address all of whose connections are at work is turned away.
"""

import asyncio
from collections import Counter
from dataclasses import dataclass
from typing import Any, Final, cast

import h11
from uvicorn.protocols.http.h11_impl import H11Protocol


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


class Connection(H11Protocol):
    """One connection, as uvicorn has it, within limits."""

    limits: Limits = LIMITS

    def __init__(self, *given: Any, **named: Any) -> None:
        super().__init__(*given, **named)
        self.since = 0.0
        self._heading: asyncio.TimerHandle | None = None
        self._reading: asyncio.TimerHandle | None = None

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
        self._await_head()
        others = [cast("Connection", each) for each in self.connections if each is not self]
        counts = Counter(each.address for each in others)
        if counts[self.address] >= self.limits.by_address:
            crowd = self.address
        elif len(others) >= self.limits.most:
            crowd = counts.most_common(1)[0][0]
        else:
            return
        idle = [each for each in others if each.address == crowd and not each.busy]
        if idle:
            min(idle, key=lambda each: each.since).transport.close()
        else:
            self._turn_away(503, "Service Unavailable", "The desk has as many connections as it takes; try again soon.")

    def data_received(self, data: bytes) -> None:
        """Take what came; a head that has begun must end in time."""
        super().data_received(data)
        if self.busy:
            _end(self._heading)
            self._heading = None
        elif self._heading is None:
            self._await_head()

    def on_response_complete(self) -> None:
        """Wait for the next request."""
        self.since = self.loop.time()
        super().on_response_complete()

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
        _end(self._heading)
        _end(self._reading)
        super().connection_lost(exc)

    def _await_head(self) -> None:
        self.since = self.loop.time()
        self._heading = self.loop.call_later(self.limits.head, self._too_slow)

    def _too_slow(self) -> None:
        if self.conn.our_state is h11.IDLE and self.conn.trailing_data[0]:
            self._turn_away(408, "Request Timeout", "The request took too long to arrive.")
        else:
            self.transport.close()

    def _turn_away(self, status: int, reason: str, text: str) -> None:
        """Answer without having read anything, and close."""
        head = f"HTTP/1.1 {status} {reason}\r\ncontent-type: text/plain; charset=utf-8\r\n"
        self.transport.write(f"{head}content-length: {len(text)}\r\nconnection: close\r\n\r\n{text}".encode())
        self.transport.close()


def _end(timer: asyncio.TimerHandle | None) -> None:
    if timer is not None:
        timer.cancel()

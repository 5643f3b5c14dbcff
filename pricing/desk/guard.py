"""The guard at the door: who may ask, from where a write may come, how much may be sent, and what a page may load.

Every request must name this machine in ``Host`` (so that no foreign name can be pointed here). Every write must say
by ``Sec-Fetch-Site`` or ``Origin`` that it comes from our own page; one that says neither is refused. With a token,
every request must bear it, in a cookie that the first visit sets: on this machine too, for it may have other accounts.
Browsers keep cookies by host and not by port, so that the cookie's name tells the desks of one machine apart.
"""

import asyncio
import hmac
import secrets
import time
from collections.abc import Callable
from dataclasses import dataclass
from threading import Lock
from typing import Final
from urllib.parse import parse_qsl, urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import cookie_parser
from starlette.responses import HTMLResponse, PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from pricing.desk.guesses import Guesses

READS: Final = frozenset({"GET", "HEAD"})
MOST_BYTES: Final = 12_000_000
"""Most that one request may send, in bytes."""
MOST_ARCHIVE: Final = 1_000_000_000
"""The same for everything that was kept as one archive, with the photos of years, to be put back."""
MOST_AT_ONCE: Final = 64_000_000
"""Most bytes that all requests together may have sent that are not answered yet, archives left out: they go to disk."""
_KEEP: Final = "/keep"
_FULL: Final = "The desk is taking in as much as it can at once; nothing was kept. Send it again in a moment."
_TOO_OFTEN: Final = "Too many wrong keys at once."
POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; form-action 'self'; "
    "base-uri 'none'; frame-ancestors 'none'"
)
_HEADERS: Final = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "x-frame-options": "DENY",
    "permissions-policy": "camera=(), microphone=(), geolocation=(), payment=()",
}
_LOCKED: Final = """<!doctype html><html lang="en"><meta charset="utf-8"><title>Locked</title>
<meta name="viewport" content="width=device-width"><h1>This desk is locked</h1>
<p>Open it with the address, key included, that was shown where the desk was started.</p></html>"""


_UNKNOWN: Final = 401


class OneTimeKey:
    """A key that lets its first bearer in, and nobody after that or after a minute.

    The desk opens its own page with it: the command of a browser, address and all, can be read by every account of the
    machine while it starts.
    """

    def __init__(self, seconds: float = 60.0, clock: Callable[[], float] = time.monotonic) -> None:
        self.text = secrets.token_urlsafe(24)
        self._clock = clock
        self._until = clock() + seconds
        self._lock = Lock()
        self._used = False

    def take(self, given: str) -> bool:
        """Whether this is the key, still good; it is not after that."""
        if not hmac.compare_digest(given.encode(), self.text.encode()):
            return False
        with self._lock:
            good, self._used = not self._used and self._clock() <= self._until, True
        return good


@dataclass(frozen=True, slots=True)
class Door:
    """Who may come in.

    Attributes
    ----------
    hosts : frozenset of str
        Names and addresses of this machine, without a port.
    token : str
        Empty where none is asked for.
    once : OneTimeKey, optional
        Another key, good for one visit.
    """

    hosts: frozenset[str] = frozenset({"127.0.0.1", "localhost", "::1"})
    token: str = ""
    once: OneTimeKey | None = None

    def opens(self, key: str) -> bool:
        """Whether a key of an address lets somebody in."""
        return hmac.compare_digest(key.encode(), self.token.encode()) or bool(self.once and self.once.take(key))


class TooMuchError(Exception):
    """More was sent than one request may send."""


class FullError(Exception):
    """More was sent than all requests together may send."""


class Guard:
    """Middleware that refuses what must not come in, and sets the headers that bind every page.

    Parameters
    ----------
    app : ASGIApp
        What is guarded.
    door : Door
        Who may come in.
    """

    def __init__(self, app: ASGIApp, door: Door) -> None:
        self._app = app
        self._door = door
        self._guesses = Guesses()
        self._taken = 0

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request in, or answer it at the door."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return

        async def bound(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in _HEADERS.items():
                    headers[name] = value
                if "cache-control" not in headers:
                    headers["cache-control"] = "no-store"
            await send(message)

        refusal = self.refusal(scope)
        if refusal is not None:
            if refusal.status_code == _UNKNOWN and _guessed(scope):
                refusal = await self._later(scope, refusal)
            await refusal(scope, receive, bound)
            return
        taking = _Taking(self, receive, _most(scope), is_kept=scope["path"] == _KEEP)
        try:
            await self._app(scope, taking.receive, bound)
        except TooMuchError:
            refused = PlainTextResponse(f"More than {_most(scope):,} bytes were sent; nothing was kept.", 413)
            await refused(scope, receive, bound)
        except FullError:
            await PlainTextResponse(_FULL, 503, {"retry-after": "2"})(scope, receive, bound)
        finally:
            self._taken -= taking.counted

    def take(self, count: int) -> None:
        """Count bytes that a request has sent until it is answered; :class:`FullError` where it is too much of all."""
        if self._taken + count > MOST_AT_ONCE:
            raise FullError
        self._taken += count

    async def _later(self, scope: Scope, refusal: Response) -> Response:
        """Wait with the answer to a wrong key, the longer the more there were of its address."""
        address = (scope.get("client") or ("",))[0]
        seconds = self._guesses.wrong(address)
        if seconds is None:
            return PlainTextResponse(_TOO_OFTEN, 429, {"connection": "close"})
        try:
            await asyncio.sleep(seconds)
        finally:
            self._guesses.answered(address)
        return refusal

    def refusal(self, scope: Scope) -> Response | None:
        """Return the answer to a request that must not come in, or None."""
        headers = Headers(scope=scope)
        host = headers.get("host", "")
        if _name(host) not in self._door.hosts:
            return PlainTextResponse("This desk does not answer to that name.", 421)
        if scope["method"] not in READS and not from_here(headers, host, scope.get("scheme", "http")):
            return PlainTextResponse("This write does not come from the desk's own page; nothing was changed.", 403)
        if int(headers.get("content-length") or 0) > _most(scope):
            return PlainTextResponse(f"More than {_most(scope):,} bytes; nothing was kept.", 413)
        return self._locked(scope, headers)

    def _locked(self, scope: Scope, headers: Headers) -> Response | None:
        """Return the answer to somebody without the token, or the cookie to somebody who brings it."""
        token = self._door.token
        if not token:
            return None
        name = cookie_of(headers.get("host", ""))
        if hmac.compare_digest(cookie_parser(headers.get("cookie", "")).get(name, "").encode(), token.encode()):
            return None
        query = dict(parse_qsl(scope.get("query_string", b"").decode("latin-1")))
        if scope["method"] == "GET" and "key" in query and self._door.opens(query["key"]):
            answer = RedirectResponse(f"/{scope['path'].lstrip('/')}", 303)
            answer.set_cookie(name, token, httponly=True, samesite="strict", max_age=30 * 86_400)
            return answer
        return HTMLResponse(_LOCKED, _UNKNOWN)


def from_here(headers: Headers, host: str, scheme: str) -> bool:
    """Whether a write says that it comes from a page of this very address."""
    site, origin = headers.get("sec-fetch-site"), headers.get("origin")
    if site is None and origin is None:
        return False
    if site is not None and site != "same-origin":
        return False
    return origin is None or origin.lower() == f"{scheme}://{host}".lower()


def cookie_of(host: str) -> str:
    """Return the name of the cookie that bears the key of the desk at an address."""
    try:
        port = urlsplit(f"//{host}").port
    except ValueError:
        port = None
    return f"casewright-{port or 80}"


def _name(host: str) -> str:
    """Return a Host header's name without its port, in small letters; empty where it is no name."""
    try:
        return urlsplit(f"//{host}").hostname or ""
    except ValueError:
        return ""


def _most(scope: Scope) -> int:
    """Return the most bytes that a request may send."""
    return MOST_ARCHIVE if scope["path"] == _KEEP else MOST_BYTES


def _guessed(scope: Scope) -> bool:
    """Whether somebody who was not let in brought a key or a cookie of this desk that is none."""
    headers = Headers(scope=scope)
    query = dict(parse_qsl(scope.get("query_string", b"").decode("latin-1")))
    return "key" in query or cookie_of(headers.get("host", "")) in cookie_parser(headers.get("cookie", ""))


class _Taking:
    """What a request sends, counted."""

    def __init__(self, guard: Guard, receive: Receive, most: int, *, is_kept: bool) -> None:
        self._guard, self._receive, self._most, self._kept = guard, receive, most, is_kept
        self._taken = 0
        self.counted = 0

    async def receive(self) -> Message:
        """Receive what comes next; :class:`TooMuchError` or :class:`FullError` where that is too much."""
        message = await self._receive()
        size = len(message.get("body", b""))
        self._taken += size
        if self._taken > self._most:
            raise TooMuchError
        if not self._kept:
            self._guard.take(size)
            self.counted += size
        return message

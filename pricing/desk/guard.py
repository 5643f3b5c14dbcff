"""The guard at the door: who may ask, from where a write may come, how much may be sent, and what a page may load.

Every request must name this machine in ``Host`` (so that no foreign name can be pointed here). Every write must say
by ``Sec-Fetch-Site`` or ``Origin`` that it comes from our own page; one that says neither is refused. With a token,
every request must bear it, in a cookie that the first visit sets.
"""

import hmac
from dataclasses import dataclass
from typing import Final
from urllib.parse import parse_qsl, urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import cookie_parser
from starlette.responses import HTMLResponse, PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

READS: Final = frozenset({"GET", "HEAD"})
MOST_BYTES: Final = 12_000_000
"""Most that one request may send, in bytes."""
MOST_ARCHIVE: Final = 1_000_000_000
"""The same for everything that was kept as one archive, with the photos of years, to be put back."""
_KEEP: Final = "/keep"
COOKIE: Final = "casewright"
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


@dataclass(frozen=True, slots=True)
class Door:
    """Who may come in.

    Attributes
    ----------
    hosts : frozenset of str
        Names and addresses of this machine, without a port.
    token : str
        Empty where none is asked for.
    """

    hosts: frozenset[str] = frozenset({"127.0.0.1", "localhost", "::1"})
    token: str = ""


class TooMuchError(Exception):
    """More was sent than one request may send."""


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
            await refusal(scope, receive, bound)
            return
        try:
            await self._app(scope, _limited(receive, _most(scope)), bound)
        except TooMuchError:
            refused = PlainTextResponse(f"More than {_most(scope):,} bytes were sent; nothing was kept.", 413)
            await refused(scope, receive, bound)

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
        if hmac.compare_digest(cookie_parser(headers.get("cookie", "")).get(COOKIE, "").encode(), token.encode()):
            return None
        query = dict(parse_qsl(scope.get("query_string", b"").decode("latin-1")))
        if scope["method"] in READS and hmac.compare_digest(query.get("key", "").encode(), token.encode()):
            answer = RedirectResponse("/", 303)
            answer.set_cookie(COOKIE, token, httponly=True, samesite="strict", max_age=30 * 86_400)
            return answer
        return HTMLResponse(_LOCKED, 401)


def from_here(headers: Headers, host: str, scheme: str) -> bool:
    """Whether a write says that it comes from a page of this very address."""
    site, origin = headers.get("sec-fetch-site"), headers.get("origin")
    if site is None and origin is None:
        return False
    if site is not None and site != "same-origin":
        return False
    return origin is None or origin.lower() == f"{scheme}://{host}".lower()


def _name(host: str) -> str:
    """Return a Host header's name without its port; empty where it is no name."""
    try:
        return (urlsplit(f"//{host}").hostname or "").lower()
    except ValueError:
        return ""


def _most(scope: Scope) -> int:
    """Return the most bytes that a request may send."""
    return MOST_ARCHIVE if scope["path"] == _KEEP else MOST_BYTES


def _limited(receive: Receive, most: int) -> Receive:
    """Return a receiver that counts."""
    taken = 0

    async def counted() -> Message:
        nonlocal taken
        message = await receive()
        taken += len(message.get("body", b""))
        if taken > most:
            raise TooMuchError
        return message

    return counted

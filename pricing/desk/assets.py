"""Styles, scripts and the mark: files of the package that every page may load."""

from importlib.resources import files
from typing import Final

from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route

_KINDS: Final = {"css": "text/css", "js": "text/javascript", "svg": "image/svg+xml"}


def asset_route() -> Route:
    """Return the address of all of them, which are read once."""
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

    return Route("/static/{name}", asset)

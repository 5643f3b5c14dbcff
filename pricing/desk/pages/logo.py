"""The studio's logo: sent as a picture, looked at before it is taken, kept small and bare of all else."""

from dataclasses import replace
from typing import Final

from starlette.responses import Response
from starlette.routing import Route

from pricing.desk.call import BadRequestError, Call, endpoint
from pricing.desk.desk import Desk
from pricing.desk.pages.paper import save_paper
from pricing.desk.studio import RULES
from pricing.output.offer.pictures import LOGO_SIDE, MOST_PIXELS, small

_MOST: Final = 10_000_000
_ACCEPTED: Final = f"a PNG or JPEG, {_MOST // 1_000_000} MB and {MOST_PIXELS // 1_000_000} million points at the most"


def keep(call: Call[Desk]) -> Response:
    """Keep a logo for offers and papers, or take it out; it is one of the studio's rules, with the same way back."""
    rulings = call.desk.papers.rulings
    if call.text("remove"):
        made, what = replace(rulings, logo=0), "logo taken out"
    else:
        number = call.desk.store.jobs.keep_picture(_picture(call))
        made, what = replace(rulings, logo=number), "logo replaced" if rulings.logo else "logo added"
    return save_paper(call, RULES, made.text(), what, "/rules#studio")


def _picture(call: Call[Desk]) -> bytes:
    _, data = call.files.get("logo", ("", b""))
    if not data:
        raise BadRequestError(f"logo: found no file; accepted: {_ACCEPTED}", "logo")
    if len(data) > _MOST:
        raise BadRequestError(f"logo: found a file of {len(data) // 1_000_000} MB; accepted: {_ACCEPTED}", "logo")
    try:
        return small(data, LOGO_SIDE)
    except ValueError as error:
        raise BadRequestError(f"logo: found {error}; accepted: {_ACCEPTED}", "logo") from None


def show(call: Call[Desk]) -> Response:
    """Send the logo."""
    found = call.desk.store.jobs.picture(call.desk.papers.rulings.logo)
    if found is None:
        raise LookupError("there is no logo")
    kind = "image/png" if found.startswith(b"\x89PNG") else "image/jpeg"
    return Response(found, media_type=kind, headers={"cache-control": "no-cache"})


ROUTES = (
    Route("/rules/logo", endpoint(show)),
    Route("/rules/logo", endpoint(keep), methods=["POST"]),
)

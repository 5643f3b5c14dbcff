"""For the client: each offer of a job as the client will read it, its files and the text of an e-mail."""

from typing import Final, get_args

from starlette.responses import Response
from starlette.routing import Route

from nesting.base.faults import FaultsFound
from pricing.desk.call import BadRequestError, Call, endpoint
from pricing.desk.desk import Desk, Sheaf
from pricing.desk.pages.common import asked, job_page
from pricing.output.offer.content import Kind, Offer
from pricing.output.offer.files import names_of, offers, paper_of
from pricing.output.offer.letter import letter
from pricing.output.offer.pages import offer_pdf
from pricing.output.offer.pictures import taken
from pricing.output.offer.sheet import offer_xlsx
from pricing.quoting.quote import Quote

_TYPES: Final = {
    "pdf": "application/pdf", "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}  # fmt: skip


def shown(call: Call[Desk]) -> Response:
    """Show every offer of a kind, and what keeps one from being made."""
    sheaf, kind = asked(call), _kind(call)
    found: tuple[Offer, ...] = ()
    faults: list[str] = []
    if sheaf.answer is not None:
        try:
            found = offers(sheaf.answer.quote, kind, sheaf.row.client)
        except FaultsFound as error:
            faults = [str(fault) for fault in error.faults]
    each = [(offer, letter(offer)) for offer in found]
    return job_page(call, "client.html", "client", sheaf, offers=each, kind=kind, faults=faults)


def file(call: Call[Desk]) -> Response:
    """Make one offer as a file."""
    sheaf, kind = asked(call), _kind(call)
    if sheaf.answer is None:
        raise LookupError("there is no price yet")
    ending: str = call.request.path_params["ending"]
    if ending not in _TYPES:
        raise LookupError(f"there is no offer.{ending[:10]}; there are offer.pdf, offer.xlsx")
    quote = sheaf.answer.quote
    call.desk.wait_for(sheaf, "offer", looking=True)
    made, number = offers(quote, kind, sheaf.row.client), call.number("number")
    if not 1 <= number <= len(made):
        raise LookupError(f"there is no offer {number}; there are {len(made)}")
    offer, paper = made[number - 1], paper_of(quote)
    content = offer_pdf(offer, _pictures(call, sheaf, quote), paper) if ending == "pdf" else offer_xlsx(offer, paper)
    headers = {"content-disposition": f'attachment; filename="{names_of(made)[number - 1]}.{ending}"'}
    return Response(content, media_type=_TYPES[ending], headers=headers)


def _kind(call: Call[Desk]) -> Kind:
    for kind in get_args(Kind):
        if kind == (call.request.query_params.get("kind") or "packing"):
            return kind  # type: ignore[no-any-return]  # one of the words
    raise BadRequestError(f"kind: {' or '.join(get_args(Kind))}")


def _pictures(call: Call[Desk], sheaf: Sheaf, quote: Quote) -> dict[str, bytes]:
    """Return the photos of the pieces, made small."""
    jobs, photos = call.desk.store.jobs, sheaf.content.photos
    pieces = {artwork.piece for artwork in quote.build.order.artworks}
    stored = ((piece, jobs.picture(number)) for piece, number in photos.items() if piece in pieces)
    return taken((piece, data) for piece, data in stored if data is not None)


ROUTES = (
    Route("/jobs/{job:int}/client", endpoint(shown)),
    Route("/jobs/{job:int}/client/{number:int}/offer.{ending}", endpoint(file)),
)

"""Papers of a job's consignments: which go where, what each lacks, and each as a file of its own to attach."""

import io
import zipfile
from dataclasses import dataclass
from functools import partial
from typing import Final

from starlette.responses import Response
from starlette.routing import Route

from pricing.desk.aside import seen
from pricing.desk.budget import PAPERS
from pricing.desk.call import Call, endpoint
from pricing.desk.desk import Desk, Sheaf
from pricing.desk.pages.common import asked, job_page
from pricing.output.papers.files import batches, contents_beside

_ALL: Final = "papers.zip"
_MENDED: Final = (
    ("parties.csv", "Parties", "/parties"), ("destinations.csv", "Shop, destinations", "/rules#places"),
    ("shop.toml", "Shop, studio", "/rules#studio"), ("[offer]", "Shop, offers", "/rules?group=offer"),
    ("order", "Artworks", "/jobs/{job}/artworks"),
)  # fmt: skip
"""Files in which something is said, and the desk's pages for them."""


@dataclass(frozen=True, slots=True)
class Lacking:
    """Something that a paper lacks, and where on the desk it is said: label and address, empty where nowhere."""

    text: str
    label: str = ""
    address: str = ""


def led(text: str, job: int) -> Lacking:
    """Lead from what a paper lacks, which ends in the file and place where it is said, to the desk's page for it."""
    what, _, where = text.removesuffix(")").rpartition(" (")
    found = next(((label, address) for key, label, address in _MENDED if key in where), None) if what else None
    return Lacking(what, found[0], found[1].format(job=job)) if found else Lacking(text)


def shown(call: Call[Desk]) -> Response:
    """Show the papers of each consignment; of a job that is pinned, those that are kept."""
    sheaf = asked(call, wait=False)
    made = batches(sheaf.answer.quote) if sheaf.answer else ()
    places: dict[str, list[object]] = {}
    for batch in made:
        places.setdefault(batch.consignment.destination, []).append(batch)
    kept = _kept(call, sheaf)
    job = sheaf.row.id
    return job_page(
        call, "papers.html", "papers", sheaf, places=places, kept=kept and tuple(kept), led=lambda text: led(text, job)
    )


def file(call: Call[Desk]) -> Response:
    """Make one paper; of a job that is pinned, hand out the one that is kept."""
    sheaf, name = asked(call), call.request.path_params["paper"]
    if sheaf.answer is None:
        raise LookupError("there is no price yet")
    kept = _kept(call, sheaf)
    if kept is not None:
        return _file(name, kept)
    quote = sheaf.answer.quote
    batch = next((each for each in batches(quote) if name in each.names), None)
    if batch is None:
        return _file(name, {})
    call.desk.wait_for(sheaf, name, looking=True)
    pictures = call.desk.pictures(sheaf.content, quote)
    made = call.desk.made(
        sheaf.row.id, quote, (batch.names, seen(pictures)), f"The papers of {batch.consignment.destination}",
        partial(contents_beside, quote, name, pictures),
    )  # fmt: skip
    return _file(name, made)


def _kept(call: Call[Desk], sheaf: Sheaf) -> dict[str, bytes] | None:
    """Return the papers that are kept with what is pinned, by name; None where nothing is, or none were kept."""
    if not sheaf.pinned:
        return None
    try:
        content = call.desk.pins.paper(sheaf.pinned.pin, _ALL)
    except LookupError:
        return None
    with zipfile.ZipFile(io.BytesIO(content)) as packed:
        return {name: packed.read(name) for name in packed.namelist()}


def _file(name: str, contents: dict[str, bytes]) -> Response:
    """Answer with a paper; LookupError names those that there are."""
    if name not in contents:
        raise LookupError(f"there is no paper {name[:80]}")
    headers = {"content-disposition": f'attachment; filename="{name}"'}
    return Response(contents[name], media_type="application/pdf", headers=headers)


ROUTES = (
    Route("/jobs/{job:int}/papers", endpoint(shown)),
    Route("/jobs/{job:int}/papers/{paper}", endpoint(file, budget=PAPERS)),
)

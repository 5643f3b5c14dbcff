"""Designs of one crate side by side: drawing, weight, cost and checks of each, and taking one for the job."""

from typing import Any

from starlette.responses import Response
from starlette.routing import Route

from nesting.base.measure import format_length, format_weight
from nesting.crates.model import Crate
from nesting.drawings.crate import crate_drawing
from nesting.drawings.svg import to_svg
from pricing.desk.call import BadRequestError, Call, endpoint
from pricing.desk.content import Content
from pricing.desk.desk import Desk, Sheaf
from pricing.desk.origins.model import Address
from pricing.desk.pages.common import asked, change_job, job_page, writing_of
from pricing.desk.pages.crates import works
from pricing.desk.short_list import Candidate, has_designs
from pricing.desk.taken import key_of_pieces, with_design, words_of, written
from pricing.desk.views import signed

_ROOM = (310.0, 210.0)
_OTHERWISE = "Nothing was taken: the designs of this crate are others by now than the page showed. Look at them again."


def shown(call: Call[Desk]) -> Response:
    """Show the designs of a crate."""
    sheaf = asked(call)
    crate = _crate(sheaf, call)
    units, quote = sheaf.units, _quote(sheaf)
    moving, later = sheaf.pinned is None, call.request.query_params.get("version") == "next"
    found = _listed(call, sheaf, crate) if moving else ()
    taken = sheaf.content.designs.get(key_of_pieces(crate.pieces), "")
    return job_page(
        call, "designs.html", "crates", sheaf, crate=crate, moving=moving, has=has_designs(crate),
        works=works(quote.build.order.called(), crate),
        taken=words_of(taken), leads_to=Address(sheaf.row.id, "version=next" if later else ""),
        designs=[_facts(each, units, quote.currency, found) for each in found],
    )  # fmt: skip


def _facts(each: Candidate, units: Any, currency: str, all_of_them: tuple[Candidate, ...]) -> dict[str, Any]:
    """Return what a design's card shows."""
    crate = each.crate
    sides = (crate.outside.width, crate.outside.height, crate.outside.depth)
    asked_of = [check for check in crate.checks if check.ratio is not None and check.verdict != "info"]
    asked_of.sort(key=lambda check: -(check.ratio or 0))
    now = all_of_them[0].crate
    heavier = crate.gross_kg - now.gross_kg
    weight = format_weight(abs(heavier), units, mark=True)
    hours = each.hours.quantize(each.hours.__class__("0.1"))
    return {
        "crate": crate, "words": each.words, "now": each.now, "stamp": each.stamp,
        "more": "does not compare" if each.more is None else signed(each.more, currency) or "the same",
        "less": each.more is not None and each.more < 0,
        "hours": f"{hours:+} h" if hours else "the same",
        "size": f"{' × '.join(format_length(side, units) for side in sides)} {'in' if units == 'inch' else 'mm'}",
        "weight": format_weight(crate.gross_kg, units, mark=True),
        "heavier": "" if each.now or weight.startswith("0 ") else f"{'+' if heavier > 0 else '−'} {weight}",
        "tight": [
            (check.name, f"{100 * (check.ratio or 0):.0f} %", check.verdict, crate.checks.index(check) + 1)
            for check in asked_of[:4]
        ],
        "checks": [check.in_system(units) for check in crate.checks],
        "units": units,
        "worst": {verdict: sum(c.verdict == verdict for c in crate.checks) for verdict in ("fails", "watch")},
    }  # fmt: skip


def _quote(sheaf: Sheaf) -> Any:
    if sheaf.answer is None:
        raise LookupError("there is no crate yet")
    return sheaf.answer.quote


def _crate(sheaf: Sheaf, call: Call[Desk]) -> Crate:
    """Return the crate that the address names; LookupError where there is none."""
    name = call.request.path_params["crate"]
    found = next((crate for crate in _quote(sheaf).build.every if crate.crate == name), None)
    if found is None:
        raise LookupError(f"there is no crate {name[:20]}")
    made: Crate = found
    return made


def _listed(call: Call[Desk], sheaf: Sheaf, crate: Crate) -> tuple[Candidate, ...]:
    return call.desk.short_list(sheaf.row.id, sheaf.answer, crate) if sheaf.answer else ()


def drawing(call: Call[Desk]) -> Response:
    """Draw a crate as it is by one of its designs, by its own where none is named."""
    sheaf = asked(call)
    crate = _crate(sheaf, call)
    if call.text("design", 20):
        each = _wanted(call, sheaf, crate)
        if each is None:
            raise LookupError("there is no drawing of that design any more")
        crate = each.crate
    made = crate_drawing(crate, *_ROOM)
    if made is None:
        raise LookupError("there is no drawing of that crate")
    return Response(to_svg(made.scene.written(writing_of(call, sheaf))), media_type="image/svg+xml")


def _wanted(call: Call[Desk], sheaf: Sheaf, crate: Crate) -> Candidate | None:
    """Return the design that is meant; None where it is no more."""
    stamp = call.text("design", 20)
    return next((each for each in _listed(call, sheaf, crate) if each.stamp == stamp), None)


def take(call: Call[Desk]) -> Response:
    """Take a design for a crate, or leave the choice to the program again: one step of undo."""
    job, revision = call.number("job"), call.number("revision")
    sheaf = call.desk.sheaf(job)
    sheaf = sheaf.later or sheaf
    if sheaf.pinned and sheaf.later is None:
        raise BadRequestError("what is pinned is made as it was pinned; unpin the job to take another design")
    crate = _crate(sheaf, call)
    back = f"/jobs/{job}/designs/{crate.crate}"
    if not call.text("design"):
        return change_job(
            call,
            lambda content: with_design(content, crate.pieces, ""),
            f"{crate.crate}: design left to the search",
            back,
        )
    each = _wanted(call, sheaf, crate)
    if each is None and sheaf.document.revision == revision:
        return call.page("message.html", 409, title="Not taken", text=_OTHERWISE, leads=(back, "To the designs"))

    def change(content: Content) -> Content:
        if each is None:
            raise BadRequestError(_OTHERWISE)
        return with_design(content, crate.pieces, written(each.taken, each.words))

    return change_job(call, change, f"{crate.crate}: {each.words if each else 'another design'}"[:120], back)


def drop(call: Call[Desk]) -> Response:
    """Take out a design that was taken for pieces which travel otherwise now."""
    job, key = call.number("job"), call.text("pieces", 4_000)
    return change_job(
        call,
        lambda content: with_design(content, tuple(key.split(" + ")), ""),
        f"{key}: no design any more"[:120],
        f"/jobs/{job}/crates",
    )


ROUTES = (
    Route("/jobs/{job:int}/designs/{crate}/drawing.svg", endpoint(drawing)),
    Route("/jobs/{job:int}/designs/{crate}", endpoint(shown)),
    Route("/jobs/{job:int}/designs/{crate}", endpoint(take), methods=["POST"]),
    Route("/jobs/{job:int}/designs", endpoint(drop), methods=["POST"]),
)

"""Sheets: every layout to scale with its parts explained, use and proof; what comes off the rack and goes to it."""

import json
from threading import Lock
from typing import Any, Final

from markupsafe import Markup
from starlette.responses import Response
from starlette.routing import Route

from nesting.base.measure import UnitSystem, format_length
from nesting.build import gather
from nesting.crates.registry import called
from nesting.cutting.sawing.plan import plan_in
from nesting.cutting.sheets import Layout, Offcut, PartLeaf
from nesting.cutting.sticks import StickPlan
from nesting.drawings.scene import POINT
from nesting.drawings.sheet import fitting_scale, sheet_drawing
from nesting.drawings.stick import stick_scene
from nesting.drawings.svg import to_svg
from pricing.desk.call import BadRequestError, Call, endpoint
from pricing.desk.desk import Desk, Sheaf
from pricing.desk.held import WordWantedError
from pricing.desk.origins.model import Address
from pricing.desk.pages.common import asked, job_page, word_answer
from pricing.desk.pins import Pinned, from_rack, plans_of, stamp_of, stock_of
from pricing.desk.views import anchor
from pricing.quoting import fronts
from pricing.quoting.lines import Line
from pricing.quoting.offcuts import new_offcuts
from pricing.quoting.plans import proof
from pricing.quoting.quote import Quote
from pricing.studio.rack import RackOffcut

SAWING: Final = Lock()
"""One tick is noted at a time, so that none pins a job twice."""
_OTHERWISE: Final = (
    "{stock} was not ticked as cut: somebody pinned or ticked meanwhile, or the plans are others by now than the page "
    "showed. Open the page of sheets of job {job} again, and compare with what lies on the saw."
)
_WIDTH, _HEIGHT = 720.0, 420.0
_MOST: Final = 60
"""Layouts drawn on one page; the rest are in the packet."""


def shown(call: Call[Desk]) -> Response:
    """Show the layouts."""
    sheaf = asked(call, wait=False)
    if sheaf.answer is None:
        return job_page(call, "sheets.html", "sheets", sheaf, quote=None)
    quote = sheaf.answer.quote
    rack = call.desk.store.rack
    lines: dict[str, list[Line]] = {}
    for line in quote.lines:
        if line.taken is not None:
            lines.setdefault(line.good, []).append(line)
    to = Address(sheaf.row.id, "version=next" if call.request.query_params.get("version") == "next" else "")
    return job_page(
        call, "sheets.html", "sheets", sheaf, quote=quote, goods=goods(sheaf), sticks=sticks(quote, sheaf.pinned),
        parts_json=part_json(quote), wants=from_rack(quote), taken=rack.taken(sheaf.row.id), stamp=stamp_of(quote),
        lines=lines, leads_to=to, leaves=leaves(call, sheaf, quote),
        left=[each for each in rack.all() if each.from_job == sheaf.row.id],
    )  # fmt: skip


def goods(sheaf: Sheaf) -> list[dict[str, Any]]:
    """Return every sheet good with its drawn layouts."""
    if sheaf.answer is None:
        return []
    quote = sheaf.answer.quote
    found, room = [], _MOST
    for layout in quote.build.layouts:
        good = quote.build.shop.good(layout.good)
        drawn = [_sheet(layout, number, sheaf.pinned) for number in range(len(layout.sheets[:room]))]
        room = max(0, room - len(drawn))
        found.append(
            {
                "title": good.title, "good": good.good, "layouts": drawn, "hidden": len(layout.sheets) - len(drawn),
                "count": layout.sheet_count, "use": round(100 * layout.use),
                "proof": proof(layout, quote.currency),
                "effort": sheaf.answer.effort, "over": fronts.told(quote, layout), "front": fronts.lines(quote, layout),
            }
        )  # fmt: skip
    return found


def _sheet(layout: Layout, number: int, pinned: Pinned | None) -> dict[str, Any]:
    """Return what is said of one layout; its drawing is asked for when it comes into sight."""
    each = layout.sheets[number]
    pieces = list(each.pieces(layout.kerf))
    names = [leaf.part for *_, leaf in pieces if isinstance(leaf, PartLeaf)]
    area = each.sheet.length * each.sheet.width
    used = sum(dx * dy for _, _, dx, dy, leaf in pieces if isinstance(leaf, PartLeaf))
    kept = sum(dx * dy for _, _, dx, dy, leaf in pieces if isinstance(leaf, Offcut))
    return {
        "number": number + 1, "stock": each.sheet.name, "repeat": each.repeat, "rack": each.sheet.source == "rack",
        "names": list(dict.fromkeys(names)), "use": round(100 * used / area), "kept": round(100 * kept / area),
        "ratio": (720, max(1, round(720 * each.sheet.width / each.sheet.length))),
        "sawn": pinned.sawn.get((layout.good, number), 0) if pinned else 0,
    }  # fmt: skip


def drawing(call: Call[Desk]) -> Response:
    """Draw one layout of a good, or one stick."""
    sheaf = asked(call)
    good, number = call.text("good"), call.number("number")
    if sheaf.answer is None:
        raise LookupError("there is no plan yet")
    quote = sheaf.answer.quote
    for layout in quote.build.layouts:
        if layout.good == good and 1 <= number <= len(layout.sheets):
            return Response(_drawn(quote, layout, number - 1), media_type="image/svg+xml")
    for plan in quote.build.stick_plans:
        if plan.good == good and 1 <= number <= len(plan.sticks):
            return Response(_stick(quote, plan, number - 1), media_type="image/svg+xml")
    raise LookupError("there is no such layout")


def _drawn(quote: Quote, layout: Layout, number: int) -> str:
    each = layout.sheets[number]
    scale = fitting_scale(each.sheet.length, each.sheet.width, _WIDTH * POINT, _HEIGHT * POINT)
    steps = plan_in(quote.build.shop, layout).of_layout(number)
    grain = quote.build.shop.good(layout.good).grain
    drawn = sheet_drawing(each, steps, layout.kerf, scale=scale, units=_units(quote, layout.good), grain=grain)
    return to_svg(drawn.scene.written(quote.build.writing))


def _units(quote: Quote, good: str) -> UnitSystem:
    """Return in which units a good is cut."""
    return quote.build.shop.measured_in(good, quote.build.units)


def _stick(quote: Quote, plan: StickPlan, number: int) -> str:
    _, wanted, _ = gather(quote.build.crates)
    lengths = {part.name: part.length for part in wanted.get(plan.good, [])}
    stick = plan.sticks[number]
    scale = fitting_scale(stick.stick.length, 1, _WIDTH * POINT, POINT)
    scene = stick_scene(stick, lengths, plan.kerf, scale=scale, units=_units(quote, plan.good))
    return to_svg(scene.written(quote.build.writing))


def sticks(quote: Quote, pinned: Pinned | None = None) -> list[dict[str, Any]]:
    """Return every stick good with its layouts."""
    return [
        {
            "title": quote.build.shop.good(plan.good).title, "good": plan.good, "count": plan.count,
            "sticks": [
                {
                    "number": number + 1, "stock": stick.stick.name, "repeat": stick.repeat,
                    "sawn": pinned.sawn.get((plan.good, number), 0) if pinned else 0,
                }
                for number, stick in enumerate(plan.sticks[:_MOST])
            ],
            "proof": proof(plan, quote.currency),
        }
        for plan in quote.build.stick_plans
    ]  # fmt: skip


def parts(quote: Quote) -> dict[str, dict[str, str]]:
    """Return what is to be said of each part under the pointer."""
    found = {}
    names = quote.build.order.called()
    for crate in quote.build.crates:
        roles = {placed.part: placed.role for placed in crate.placed}
        for part in crate.parts:
            units = _units(quote, part.good)
            size = f"{format_length(part.length, units)} × {format_length(part.width, units, mark=True)}"
            found[part.name] = {
                "crate": crate.crate, "method": called(crate.method), "role": roles.get(part.name, ""), "size": size,
                "count": str(part.count), "pieces": ", ".join(names.get(piece, piece) for piece in crate.pieces),
                "grain": "must run with the grain" if part.grain == "length" else "may be turned",
            }  # fmt: skip
    return found


def part_json(quote: Quote) -> Markup:
    """Return the facts of all parts as JSON that may stand inside a page."""
    text = json.dumps(parts(quote), ensure_ascii=False)
    for mark, escaped in (("<", "\\u003c"), (">", "\\u003e"), ("&", "\\u0026")):
        text = text.replace(mark, escaped)
    return Markup(text)  # noqa: S704 - nothing in it can end the element that holds it


def leaves(call: Call[Desk], sheaf: Sheaf, quote: Quote) -> tuple[RackOffcut, ...]:
    """Return the offcuts that the plans leave, named so that no offcut on the rack bears the name."""
    prefix = f"R{sheaf.row.id}"
    first = call.desk.store.rack.free_name(f"{prefix}-")
    return tuple(
        RackOffcut(f"{prefix}-{number}", o.good, o.length, o.width, o.value, o.count)
        for number, o in enumerate(new_offcuts(quote, prefix), start=first)
    )


def take(call: Call[Desk]) -> Response:
    """Take from the rack what the plans cut from it, all or nothing."""
    job = call.number("job")
    sheaf = call.desk.sheaf(job)
    if sheaf.pinned and (call.text("back") == "1" or sheaf.answer is None):
        raise BadRequestError("it is pinned, and so is what its plans cut from the rack; unpin it first")
    if call.text("back") == "1":
        call.desk.store.rack.take(job, {})
    elif sheaf.pinned and sheaf.answer:
        taken = call.desk.store.rack.taken(job)
        call.desk.store.rack.take(job, {**taken, **from_rack(sheaf.answer.quote)})
    elif sheaf.answer is None:
        raise BadRequestError("there is no plan yet")
    else:
        call.desk.wait_for(sheaf, "what its plans take from the rack")
        call.desk.store.rack.take(job, from_rack(sheaf.answer.quote))
    return call.go(f"/jobs/{job}/sheets")


def put(call: Call[Desk]) -> Response:
    """Put what the plans leave on the rack, once the sheets are cut."""
    job = call.number("job")
    sheaf = call.desk.sheaf(job)
    if sheaf.answer is None:
        raise BadRequestError("there is no plan yet")
    if any(each.from_job == job for each in call.desk.store.rack.all()):
        raise BadRequestError("the offcuts of this job are on the rack already")
    call.desk.wait_for(sheaf, "what its plans leave for the rack")
    some = bool(call.text("some"))
    chosen = [o for o in leaves(call, sheaf, sheaf.answer.quote) if not some or call.text(f"keep {o.name}")]
    place = call.text("place", 80)
    call.desk.store.rack.put(
        [RackOffcut(o.name, o.good, o.length, o.width, o.value, o.count, place) for o in chosen], from_job=job
    )
    return call.go(f"/jobs/{job}/sheets")


def saw(call: Call[Desk]) -> Response:
    """Note how many sheets or sticks of one layout are cut; the first that is pins the job as the page showed it."""
    job, good, number, count = call.number("job"), call.text("good", 80), call.number("number"), call.number("count")
    with SAWING:
        sheaf = call.desk.sheaf(job)
        later = call.text("version") == "next"
        shown = sheaf.later if later else sheaf
        if shown is None or shown.answer is None:
            raise BadRequestError("there is no plan of that version any more; look at it again")
        stock = _stock(shown.answer.quote, good, number - 1, count)
        if call.number("cut") != call.desk.store.pins.document(job).revision or call.text("plan") != stamp_of(
            shown.answer.quote
        ):
            return call.page("message.html", 409, title="Not ticked", text=_OTHERWISE.format(stock=stock, job=job))
        if sheaf.pinned and not later:
            what = f"{count} of {stock} cut, layout {number} of {good}"
            place = (sheaf.pinned.pin.number, good, number - 1)
            call.desk.store.pins.saw(job, place, count, based_on=sheaf.pinned.based_on, what=what)
        elif count:
            first, touch = (good, number - 1, count), call.desk.store.jobs.touch
            try:
                call.desk.pin(sheaf, "first sheet cut", lambda: touch(job), first, call.text("word", 1_000))
            except WordWantedError as wanted:
                return word_answer(call, sheaf, wanted, f"{count} of {stock} cut", f"/jobs/{job}/sheets")
    return call.go(f"/jobs/{job}/sheets#{anchor(good)}-{number}")


def _stock(quote: Quote, good: str, place: int, count: int) -> str:
    """Return the stock of a layout; BadRequestError where there is none, or fewer than are said to be cut."""
    for plan in plans_of(quote):
        stocks = stock_of(plan)
        if plan.good == good and 0 <= place < len(stocks):
            stock, repeat = stocks[place]
            if not 0 <= count <= repeat:
                raise BadRequestError(f"cut of {stock.name}: a whole number from 0 to {repeat}")
            return str(stock.name)
    raise BadRequestError(f"there is no such layout of {good}")


ROUTES = (
    Route("/jobs/{job:int}/sawn", endpoint(saw), methods=["POST"]),
    Route("/jobs/{job:int}/sheets", endpoint(shown)),
    Route("/jobs/{job:int}/drawing.svg", endpoint(drawing)),
    Route("/jobs/{job:int}/take", endpoint(take), methods=["POST"]),
    Route("/jobs/{job:int}/put", endpoint(put), methods=["POST"]),
)

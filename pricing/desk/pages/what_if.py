"""What if: scenarios of a job side by side, each a full quote, added by a form or written as text, and made the job."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

from starlette.responses import Response
from starlette.routing import Route

from nesting.base.faults import FaultsFound
from nesting.base.measure import format_weight
from nesting.crates.registry import askable
from nesting.order import AUTO
from pricing.ahead.what_if import scenarios_from
from pricing.desk.adopt import Adopted, Offers, adopted
from pricing.desk.call import BadRequestError, Call, endpoint
from pricing.desk.content import MOST_SCENARIOS, Content, content_from
from pricing.desk.desk import Desk, Sheaf, job_paper
from pricing.desk.origins.model import Address
from pricing.desk.pages.common import change_job, job_page, told
from pricing.desk.rulebook import rate_rules, shop_rules, shown, titled
from pricing.desk.scenarios import FILE, Weighed, Weighing, added, listed, without
from pricing.desk.studio import for_job
from pricing.studio.office import Office

_CHANGES: Final = 3
"""Changes that the form of a scenario takes; more are written as text."""
_COLUMNS: Final = ("materials", "labour", "freight")


def what_if_page(call: Call[Desk]) -> Response:
    """Show the scenarios and what they come to."""
    sheaf = call.desk.sheaf(call.number("job"), wait=False)
    if sheaf.answer is None:
        return job_page(call, "what_if.html", "plan", sheaf, made=None)
    office, key = _office(call, sheaf), call.desk.scenarios_key(sheaf)
    made = call.desk.weighings.of(sheaf.row.id, key)
    going = call.desk.searches.pending(sheaf.row.id, "scenarios")
    old = made is not None and made.key != key
    return job_page(
        call, "what_if.html", "plan", sheaf, made=made, old=old, earlier=call.desk.weighings.earlier(sheaf.row.id, key),
        offers=_offers(call, sheaf, made) if made and not old else {},
        going=going.facts() if going else None, wrong=_faults(sheaf, office, sheaf.content.scenarios),
        listed=listed(sheaf.content.scenarios), rows=_rows(sheaf, made.found) if made else [], columns=_COLUMNS,
        currency=sheaf.answer.quote.currency, leads_to=Address(sheaf.row.id),
        changes=range(1, _CHANGES + 1), **_choices(sheaf, office),
    )  # fmt: skip


def _office(call: Call[Desk], sheaf: Sheaf) -> Office:
    return for_job(call.desk.papers.office(sheaf.row.id), sheaf.content)


def _offers(call: Call[Desk], sheaf: Sheaf, made: Weighing) -> Mapping[str, Adopted]:
    """Return what each scenario that was quoted would make of the job, worked out once for every quoting."""
    known, content = call.desk.offers.of(sheaf.row.id, made.key), sheaf.content
    if known is None or known.key != made.key:
        studio = call.desk.papers.office(sheaf.row.id)
        names = [each.name for each in made.found if each.figures and not each.base]
        known = Offers(
            made.key,
            {name: adopted(content, name, content.scenarios, studio, sheaf.row.name) for name in names},
        )
        call.desk.offers.keep(sheaf.row.id, known)
    return known.by_name


def _choices(sheaf: Sheaf, office: Office) -> dict[str, Any]:
    """Return what the form's fields offer: what can differ, and what it can become."""
    order = sheaf.reading.order
    pieces = [(each.piece, each.title or "a piece") for each in order.artworks] if order else []
    places = [(each.name, "a destination") for each in office.destinations.rows]
    rules = [
        (titled(rule), f"{shown(rule)}. {rule.facts.doc}")
        for rule in (*shop_rules(office.shop, office.shop), *rate_rules(office.rates, office.rates))
    ]
    stocks = [(row.stock, f"{row.price} {office.book.currency}") for row in office.book.rows]
    becomes = [AUTO, *askable(), *(profile.name for profile in office.rates.freight)]
    return {"whats": [*pieces, *places, *stocks, *rules], "becomes": becomes}


def _faults(sheaf: Sheaf, office: Office, text: str) -> list[str]:
    """Return what is wrong with a text of scenarios."""
    if not text.strip() or sheaf.reading.order is None:
        return []
    try:
        scenarios_from(text.encode(), FILE, sheaf.reading.order, office)
    except FaultsFound as found:
        return [fault.message for fault in found.faults]
    return []


def _rows(sheaf: Sheaf, found: tuple[Weighed, ...]) -> list[dict[str, Any]]:
    """Return what the table shows of each scenario."""
    base = found[0].total
    rows = []
    for each in found:
        total = each.total
        alike = not each.base and each.compares_with(found[0])
        difference = total - base if total is not None and base is not None and alike else None
        weight = format_weight(float(each.figures["kg"]), sheaf.units, mark=True) if each.figures else ""
        rows.append({"it": each, "difference": difference, "weight": weight})
    return rows


def quote(call: Call[Desk]) -> Response:
    """Begin to quote the scenarios."""
    sheaf = call.desk.sheaf(call.number("job"))
    if sheaf.answer is None:
        raise BadRequestError("mend the table first; then scenarios can be quoted")
    if wrong := _faults(sheaf, _office(call, sheaf), sheaf.content.scenarios):
        raise BadRequestError("\n".join(wrong))
    if not listed(sheaf.content.scenarios):
        raise BadRequestError("add a scenario first")
    call.desk.quote_scenarios(sheaf)
    return call.json(told(call, sheaf)) if call.wants_json else call.go(_back(call))


def add(call: Call[Desk]) -> Response:
    """Add a scenario."""
    sheaf = call.desk.sheaf(call.number("job"))
    order = sheaf.reading.order
    if order is None or sheaf.answer is None:
        raise BadRequestError("mend the table first; then scenarios can be added")
    title, office = call.text("title", 80), _office(call, sheaf)
    pairs = [(call.text(f"what{n}"), call.text(f"how{n}", 200)) for n in range(1, _CHANGES + 1)]
    changes = [(what, how) for what, how in pairs if what or how]
    if not title or not changes or not all(what and how for what, how in changes):
        raise BadRequestError("a scenario needs a name, and for each change what differs and what it would be")
    text = added(sheaf.content.scenarios, title, changes, order, office)
    if wrong := _faults(sheaf, office, text):
        raise BadRequestError("\n".join(wrong))
    what = f"scenario added: {title}"

    def change(content: Content) -> Content:
        return replace(content, scenarios=added(content.scenarios, title, changes, order, office))

    return change_job(call, change, what[:120], _back(call))


def remove(call: Call[Desk]) -> Response:
    """Take a scenario out."""
    name = call.text("name")

    def change(content: Content) -> Content:
        return replace(content, scenarios=without(content.scenarios, name))

    return change_job(call, change, f"scenario taken out: {name}"[:120], _back(call))


def adopt(call: Call[Desk]) -> Response:
    """Make the job as a scenario has it, as that stood on the page: one change, to be undone as one."""
    name, job = call.text("name"), call.desk.store.jobs.get(call.number("job"))
    told = call.desk.store.documents.at(job_paper(job.id), call.number("of"))
    text = content_from(told.content).scenarios if told else ""
    if name not in dict(listed(text)):
        raise LookupError(f"there is no scenario {name[:40]}")

    def change(content: Content) -> Content:
        made = adopted(content, name, text, call.desk.papers.office(job.id), job.name)
        if made.left and call.text("but") != "yes":
            raise BadRequestError("\n".join(each.text for each in made.left))
        if not made.changes:
            raise BadRequestError("the job is so already")
        return made.content

    return change_job(call, change, f"made as the scenario {dict(listed(text))[name]}"[:120], _back(call))


def text_shown(call: Call[Desk]) -> Response:
    """Show the scenarios as text to write in."""
    sheaf = call.desk.sheaf(call.number("job"), wait=False)
    wrong = _faults(sheaf, _office(call, sheaf), sheaf.content.scenarios) if sheaf.answer else []
    return job_page(call, "what_if_text.html", "plan", sheaf, wrong=wrong, most=MOST_SCENARIOS)


def text_kept(call: Call[Desk]) -> Response:
    """Keep the text as it was written, faults and all: they are told, and nothing typed is lost."""
    text = call.text("scenarios", MOST_SCENARIOS).replace("\r\n", "\n")
    job = call.number("job")
    sheaf = call.desk.sheaf(job, wait=False)
    wrong = _faults(sheaf, _office(call, sheaf), text) if sheaf.answer else []
    back = f"/jobs/{job}/what-if/text" if wrong else _back(call)
    return change_job(call, lambda content: replace(content, scenarios=text), "scenarios written", back)


def _back(call: Call[Desk]) -> str:
    return f"/jobs/{call.number('job')}/what-if"


ROUTES = (
    Route("/jobs/{job:int}/what-if", endpoint(what_if_page)),
    Route("/jobs/{job:int}/what-if", endpoint(quote), methods=["POST"]),
    Route("/jobs/{job:int}/what-if/add", endpoint(add), methods=["POST"]),
    Route("/jobs/{job:int}/what-if/remove", endpoint(remove), methods=["POST"]),
    Route("/jobs/{job:int}/what-if/adopt", endpoint(adopt), methods=["POST"]),
    Route("/jobs/{job:int}/what-if/text", endpoint(text_shown)),
    Route("/jobs/{job:int}/what-if/text", endpoint(text_kept), methods=["POST"]),
)

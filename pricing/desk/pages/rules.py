"""Shop: every rule and rate with its unit, range, meaning and source; real thickness of goods; where crates go."""

from dataclasses import replace
from typing import Any, Final, get_args

from starlette.responses import Response
from starlette.routing import Route

from nesting.base.faults import FaultsFound
from nesting.base.measure import format_length_exact
from nesting.base.rule_files import Rule, title_of
from nesting.shop.shop_file import default_shop, rule_groups
from pricing.desk.call import BadRequestError, Call, endpoint
from pricing.desk.desk import Desk
from pricing.desk.pages.paper import kept, paper_conflict, rows_with, save_paper, step_paper
from pricing.desk.rulebook import rate_rules, shop_rules
from pricing.desk.steps import words
from pricing.desk.studio import (
    PARTIES,
    PLACES,
    PRICES,
    RULES,
    places_from,
    ruled,
    rulings_from,
    studio_fields,
    with_sizes,
)
from pricing.store import Conflict
from pricing.studio.destinations import COLUMNS, Destinations, destinations_csv, destinations_from
from pricing.studio.rates import Payer
from pricing.studio.rates_file import GROUPS as RATE_GROUPS
from pricing.studio.rates_file import built_in_rates
from pricing.studio.table_file import csv_text, table_from

_MEANT: Final = {
    "commission": "40 %, or 0 for a direct sale", "tax rate": "20 %", "tax on": "art, work, freight, insurance",
    "export": "zero-rated, shipped abroad by the seller",
}  # fmt: skip
"""What a cell may hold, where its name alone does not say it."""


def shown(call: Call[Desk]) -> Response:
    """Show rules, rates, goods and places."""
    papers = call.desk.papers
    document, places_document = papers.document(RULES), papers.document(PLACES)
    # From these revisions and no later ones: what a form is based on is what the page shows.
    form, rulings = papers.form, rulings_from(document.content)
    shop, rates = ruled(document.content, form)
    shop, places = with_sizes(shop, papers.sizes), places_from(places_document.content, document.content, form)
    groups_of = [*((shop, name) for name, _ in rule_groups()), *((rates, name) for name in RATE_GROUPS)]
    titles = {name: title_of(getattr(owner, name)).replace("``", "") for owner, name in groups_of}
    words, chosen = call.text("q").lower().split(), call.text("group", 80)
    groups: dict[str, list[Rule]] = {}
    for rule in (*shop_rules(shop, default_shop()), *rate_rules(rates, built_in_rates(form))):
        about = f"{rule.name} {rule.label} {rule.facts.doc}".lower()
        if all(word in about for word in words):
            groups.setdefault(rule.group, []).append(rule)
    is_open = {group: bool(words or call.text("all")) or group == chosen for group in groups}
    goods = [
        (good, format_length_exact(good.thickness, mark=True), good.good in rulings.thickness)
        for good in shop.goods
        if good.form in ("sheet", "stick")
    ]
    return call.page(
        "rules.html", here="rules", groups=groups, titles=titles, words=" ".join(words), is_open=is_open,
        rulings=rulings, goods=goods, studio=[(name, getattr(shop.studio, name)) for name in studio_fields()],
        document=document,
        places=places, places_document=places_document, prices_document=papers.document(PRICES),
        parties_document=papers.document(PARTIES),
        columns=COLUMNS,
        cells=cells(places),
        choices={"paid by": get_args(Payer)}, meant=_MEANT, profiles=[profile.name for profile in rates.freight],
        history=call.desk.store.documents.history(RULES, 20),
    )  # fmt: skip


def cells(places: Destinations) -> list[list[str]]:
    """Return the table of destinations as text, in the order of its columns."""
    table = table_from(destinations_csv(places).encode(), "destinations.csv")
    return [[row.get(column) for column in COLUMNS] for row in table.rows]


def change(call: Call[Desk]) -> Response:
    """Change one rule, a thickness or a fact of the studio; an empty value brings the built-in one back."""
    name, text = call.text("rule"), call.text("value", 400)
    kind = call.text("kind") or "rules"
    if kind not in ("rules", "studio", "thickness"):
        raise BadRequestError("kind: rules, studio or thickness")
    rulings = call.desk.papers.rulings
    kept = {key: value for key, value in getattr(rulings, kind).items() if key != name}
    known = studio_fields() if kind == "studio" else None
    if known and name not in known:
        raise BadRequestError(f"{name} is not known of a studio")
    own: Any = {kind: {**kept, name: text} if text else kept}
    made = replace(rulings, **own)
    try:
        ruled(made.text(), call.desk.papers.form)
    except FaultsFound as error:
        fault = error.faults[0]
        raise BadRequestError(f"{name}: “{text}” will not do. Write {fault.accepted}.") from None
    return save_paper(call, RULES, made.text(), f"{name}: {text or 'as built in'}"[:120], "/rules")


def step(call: Call[Desk]) -> Response:
    """Undo or redo."""
    name = PLACES if call.text("paper") == PLACES else RULES
    return step_paper(call, name, "/rules#places" if name == PLACES else "/rules")


def again(call: Call[Desk]) -> Response:
    """Bring an earlier state of the rules back, as one more change."""
    earlier = call.desk.store.documents.at(RULES, call.number("number"))
    if earlier is None:
        raise LookupError("that state is not kept any more")
    ruled(earlier.content, call.desk.papers.form)
    return save_paper(call, RULES, earlier.content, f"as after “{words(earlier)}” again"[:120], "/rules")


def place(call: Call[Desk]) -> Response:
    """Change, add or remove a destination."""
    papers = call.desk.papers
    old, typed = call.text("old"), [call.text(column, 200) for column in COLUMNS]
    rows = rows_with(cells(papers.places), old, None if call.text("remove") else typed)
    text = csv_text(COLUMNS, rows)
    made = destinations_from(text.encode(), "destinations.csv", papers.rates)
    what = f"{old or typed[0]} {'removed' if call.text('remove') else 'kept'}"
    try:
        document = papers.save(PLACES, destinations_csv(made), based_on=call.number("revision"), what=what)
    except Conflict as conflict:
        return paper_conflict(call, conflict, what, "/rules#places")
    return kept(call, document, "/rules#places")


ROUTES = (
    Route("/rules", endpoint(shown)),
    Route("/rules", endpoint(change), methods=["POST"]),
    Route("/rules/step", endpoint(step), methods=["POST"]),
    Route("/rules/again", endpoint(again), methods=["POST"]),
    Route("/rules/place", endpoint(place), methods=["POST"]),
)

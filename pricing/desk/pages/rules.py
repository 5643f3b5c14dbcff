"""Shop: every rule and rate with its unit, range, meaning and source; real thickness of goods; where crates go."""

from collections.abc import Iterator
from dataclasses import fields, replace
from typing import Any, Final

from starlette.responses import Response
from starlette.routing import Route

from nesting.base.faults import FaultsFound
from nesting.base.measure import UnitSystem, format_length_exact, with_unit
from nesting.base.rule_files import Rule, title_of
from nesting.shop.shop import KINDS_OF_WORK, TERMS
from nesting.shop.shop_file import default_shop, rule_groups
from pricing.desk.call import BadRequestError, Call, endpoint
from pricing.desk.desk import Desk
from pricing.desk.pages.common import local
from pricing.desk.pages.fields import place_fields
from pricing.desk.pages.fields import titled as titled_ways
from pricing.desk.pages.paper import Edit, Rows, rows_with, save_edit, save_paper, step_paper
from pricing.desk.rulebook import (
    rate_rules,
    rule_called,
    shop_rules,
    shown,
    shown_range,
    shown_unit,
    stored_text,
    write_within,
)
from pricing.desk.steps import words
from pricing.desk.studio import (
    PARTIES,
    PLACES,
    PRICES,
    RULES,
    Papers,
    places_from,
    ruled,
    rulings_from,
    studio_fields,
    with_sizes,
)
from pricing.studio.destinations import COLUMNS, Destinations, destinations_csv, destinations_from
from pricing.studio.offer_rules import exchange_from
from pricing.studio.rates_file import GROUPS as RATE_GROUPS
from pricing.studio.rates_file import built_in_rates
from pricing.studio.rule_words import group_of, label_of
from pricing.studio.table_file import csv_text, table_from

_STUDIO: Final = {"email": "E-mail", "tax_number": "Tax number", "eori": "EORI"}
"""What people call facts of the studio whose name says it otherwise."""


def rules_page(call: Call[Desk]) -> Response:
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
    for rule in (*shop_rules(shop, default_shop(shop.units)), *rate_rules(rates, built_in_rates(form, rates.sizes))):
        about = f"{rule.name} {rule.label} {group_of(rule.group)} {rule.facts.doc}".lower()
        if all(word in about for word in words):
            groups.setdefault(rule.group, []).append(rule)
    is_open = {group: bool(words or call.text("all")) or group == chosen for group in groups}
    goods = [
        (good, format_length_exact(good.thickness, shop.units, mark=True), good.good in rulings.thickness)
        for good in shop.goods
        if good.form in ("sheet", "stick")
    ]
    return call.page(
        "rules.html", here="rules", value=shown,
        range_of=shown_range, unit=shown_unit, group_of=group_of, groups=groups, titles=titles,
        words=" ".join(words), is_open=is_open,
        rulings=rulings, goods=goods, called=_STUDIO, logo=shop.studio.logo, document=document,
        studio=[
            (each.name, getattr(shop.studio, each.name), each.metadata["doc"])
            for each in fields(shop.studio) if each.name not in ("logo", "sizes")
        ], choices={"terms": TERMS, "kind_of_work": KINDS_OF_WORK},
        places=places, units=shop.units, places_document=places_document, prices_document=papers.document(PRICES),
        parties_document=papers.document(PARTIES),
        currencies=rates.currencies, own_currency=rates.currency, currency=call.text("currency", 3).upper(),
        fields=place_fields(rates.freight, rates.delivery.profile), cells=cells(places, shop.units),
        added=" ".join(call.text("place", 120).split()),
        back=call.text("back"),
        profiles=[*titled_ways(rates.freight)],
        history=call.desk.store.documents.history(RULES, 20),
    )  # fmt: skip


def cells(places: Destinations, units: UnitSystem) -> list[list[str]]:
    """Return the table of destinations as text, in the order of its columns."""
    table = table_from(destinations_csv(places, units).encode(), "destinations.csv")
    return [[row.get(column) for column in COLUMNS] for row in table.rows]


def change(call: Call[Desk]) -> Response:
    """Change one rule, a thickness or a fact of the studio; an empty value brings the built-in one back."""
    name, typed = call.text("rule"), call.text("value", 400)
    kind = call.text("kind") or "rules"
    if kind not in ("rules", "studio", "thickness"):
        raise BadRequestError("kind: rules, studio or thickness")
    if kind == "studio":
        _check_fact(name)
    papers = call.desk.papers
    called, text = _called(call, kind, name), typed
    rule = rule_called(name, _rules(papers, papers.document(RULES).content)) if kind == "rules" else None
    try:
        text = _stored(papers, kind, rule, typed)
    except ValueError as error:
        raise BadRequestError(f"{called}: {error}", faults={"value": str(error)}) from None

    def make(before: str) -> str:
        rulings = rulings_from(before)
        kept = {key: value for key, value in getattr(rulings, kind).items() if key != name}
        own: Any = {kind: {**kept, name: text} if text else kept}
        made = replace(rulings, **own).text()
        try:
            ruled(made, papers.form)
        except FaultsFound as error:
            told = write_within(rule) if rule and shown_range(rule) else f"write {error.faults[0].accepted}"
            raise BadRequestError(f"{called}: {told}", faults={"value": told}) from None
        except ValueError as error:
            raise BadRequestError(f"write {str(error).rpartition('accepted: ')[2]}", "value") from None
        return made

    def value(content: str) -> str:
        if kind == "thickness":
            good = ruled(content, papers.form)[0].by_name.get(name)
            return format_length_exact(good.thickness, papers.units, mark=True) if good else ""
        if kind == "studio":
            return str(getattr(ruled(content, papers.form)[0].studio, name))
        found = rule_called(name, _rules(papers, content))
        return shown(found) if found else ""

    edit = Edit(
        lambda before: f"{called}: {value(make(before)) if text else 'as built in'}", make,
        lambda content: {called: value(content)}, lambda made: {"value": value(made)},
    )  # fmt: skip
    return save_edit(call, RULES, edit, local(call.text("back"), "/rules"))


def _check_fact(name: str) -> None:
    """Refuse what no studio has, or what is not typed here."""
    if name not in studio_fields():
        raise BadRequestError(f"{name} is not known of a studio")
    if name == "sizes":
        raise BadRequestError("sizes: they are chosen on an empty desk; goods, rules and prices all hang on them")


def _stored(papers: Papers, kind: str, rule: Rule | None, typed: str) -> str:
    """Return what was typed as it is stored; ValueError where it cannot be read."""
    if kind == "thickness":
        return with_unit(typed, papers.units)
    return stored_text(rule, typed, papers.rates.currency) if rule and typed else typed


def _rules(papers: Papers, content: str) -> Iterator[Rule]:
    """Yield every rule as it stands in a state of the paper of rules."""
    shop, rates = ruled(content, papers.form)
    yield from shop_rules(shop, default_shop(shop.units))
    yield from rate_rules(rates, built_in_rates(papers.form, rates.sizes))


def _called(call: Call[Desk], kind: str, name: str) -> str:
    """Return what people call a rule, a good or a fact of the studio."""
    if kind == "rules":
        return label_of(name)
    if kind == "studio":
        return f"Studio, {name.replace('_', ' ')}"
    good = call.desk.papers.shop.by_name.get(name)
    return f"Thickness of {good.title if good else name}"


def currency(call: Call[Desk]) -> Response:
    """Type what another currency is worth, with its day and who says so; without a rate it goes."""
    papers, code = call.desk.papers, call.text("currency", 3).upper()
    rule = f"currencies.{code}"
    typed = {name: call.text(name, 120).replace(";", ",") for name in ("rate", "day", "source") if name in call.form}
    if code == papers.rates.currency:
        told = "write another currency than the studio's own"
        raise BadRequestError(
            f"{code}: found the studio's own currency; accepted: another one", faults={"currency": told}
        )
    if "rate" in typed:
        typed["rate"] = typed["rate"].replace(",", ".")

    def parts(content: str) -> dict[str, str]:
        """Return rate, day and source, as they stand in a state of the paper."""
        own = rulings_from(content).rules.get(rule)
        if own is None:
            known = {each.currency: each.text for each in ruled(content, papers.form)[1].currencies}
            own = known.get(code, "")
        return dict(zip(("rate", "day", "source"), (part.strip() for part in own.split(";", 2)), strict=False))

    def make(content: str) -> str:
        rulings = rulings_from(content)
        kept = {key: value for key, value in rulings.rules.items() if key != rule}
        now = {"rate": "", "day": "", "source": "", **parts(content), **typed}
        if now["rate"]:
            try:
                kept[rule] = exchange_from(code, "; ".join(now[name] for name in ("rate", "day", "source"))).text
            except ValueError as error:
                name, told = str(error).partition(": ")[0], str(error).rpartition("accepted: ")[2]
                where = name if name in call.form else "currency"
                raise BadRequestError(f"{code or 'currency'}: {error}", faults={where: f"write {told}"}) from None
        return replace(rulings, rules=kept).text()

    what = f"{code} at {typed['rate']}" if typed.get("rate") else f"{code}: {', '.join(filter(None, typed.values()))}"
    if typed.get("rate") == "":
        what = f"{code} as in the files"
    edit = Edit(
        lambda _: what, make, lambda content: {f"{code}, {name}": parts(content).get(name, "") for name in typed},
        lambda made: {name: parts(made).get(name, "") for name in typed},
    )  # fmt: skip
    return save_edit(call, RULES, edit, local(call.text("back"), "/rules#currencies"))


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
    """Change cells of a destination as they are typed, add one, or remove one."""
    papers, old = call.desk.papers, call.text("old")
    rules, back = papers.document(RULES).content, local(call.text("back"), "/rules#places")

    def written(rows: list[list[str]]) -> str:
        table = destinations_from(csv_text(COLUMNS, rows).encode(), "destinations.csv", papers.rates, call.desk.days)
        return destinations_csv(table, papers.units)

    if old and not call.text("remove"):
        own = {column: call.text(column, 200) for column in COLUMNS if column in call.form}
        table = Rows(COLUMNS, lambda text: cells(places_from(text, rules, papers.form), papers.units), written)
        return save_edit(call, PLACES, table.edit(old, own), back)
    typed = [call.text(column, 200) for column in COLUMNS]
    rows = rows_with(cells(papers.places, papers.units), old, None if call.text("remove") else typed)
    what = f"{old or typed[0]} {'taken out' if call.text('remove') else 'added'}"
    return save_paper(call, PLACES, written(rows), what, back)


ROUTES = (
    Route("/rules", endpoint(rules_page)),
    Route("/rules", endpoint(change), methods=["POST"]),
    Route("/rules/currency", endpoint(currency), methods=["POST"]),
    Route("/rules/step", endpoint(step), methods=["POST"]),
    Route("/rules/again", endpoint(again), methods=["POST"]),
    Route("/rules/place", endpoint(place), methods=["POST"]),
)

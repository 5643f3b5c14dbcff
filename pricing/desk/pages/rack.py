"""Rack: offcuts on hand with place, size and worth, who took them; opened boxes and rolls; and the way back."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from decimal import Decimal
from typing import Any, Final

from starlette.responses import Response
from starlette.routing import Route

from nesting.base.counts import plural
from nesting.base.measure import MeasureError, UnitSystem, format_length, parse_length, what_is_left
from pricing.desk.call import BadRequestError, Call, endpoint
from pricing.desk.content import CellChange
from pricing.desk.desk import Desk
from pricing.desk.pages.paper import kept
from pricing.desk.steps import said, way_of, would
from pricing.desk.typed import in_cents
from pricing.store import Conflict
from pricing.store.rackstate import RackDifference, RackState, differences, state_from
from pricing.studio.rack import LONGEST, MOST, OnShelf, RackOffcut

_PREFIX: Final = "R-"
_MOST_TOLD: Final = 40


def shown(call: Call[Desk]) -> Response:
    """Show the rack."""
    papers, rack = call.desk.papers, call.desk.store.rack
    document = rack.document()  # first: a revision that is older than what is shown is refused where that matters
    words = call.text("q").lower().split()
    on_hand = [
        each
        for each in rack.all()
        if all(word in f"{each.offcut.name} {each.offcut.good} {each.offcut.place}".lower() for word in words)
    ]
    shop = papers.shop
    titles = {good.good: good.title for good in shop.goods}
    worth = sum((each.offcut.value * each.free for each in on_hand), Decimal("0.00"))
    return call.page(
        "rack.html", here="rack", on_hand=on_hand, gone=rack.all(gone=True), titles=titles, worth=worth,
        goods=[good for good in shop.goods if good.form in ("sheet", "stick")], currency=papers.book.currency,
        shelf=rack.shelf(), shelf_goods=[good for good in shop.goods if good.form in ("each", "roll")],
        size=lambda offcut: size_text(offcut, shop.units), units=shop.units,
        next=f"{_PREFIX}{rack.free_name(_PREFIX)}", words=" ".join(words), document=document,
        history=rack.history(), text="", how="",
    )  # fmt: skip


def size_text(offcut: RackOffcut, units: UnitSystem) -> str:
    """Write an offcut's size."""
    sides = [format_length(what_is_left(side, units), units) for side in (offcut.length, offcut.width) if side]
    return f"{' × '.join(sides)} {'in' if units == 'inch' else 'mm'}"


def add(call: Call[Desk]) -> Response:
    """Put an offcut on the rack."""
    good = call.desk.papers.shop.by_name.get(call.text("good"))
    if good is None or good.form not in ("sheet", "stick"):
        raise BadRequestError("a sheet or a stick of the shop", "good")
    name = _new_name(call) or f"{_PREFIX}{call.desk.store.rack.free_name(_PREFIX)}"
    length, width = _length(call, "length", LONGEST), _length(call, "width", LONGEST) if good.form == "sheet" else 0
    offcut = RackOffcut(name, good.good, length, width, _value(call), _count(call), call.text("place", 80))
    return kept(call, call.desk.store.rack.put([offcut]), "/rack")


def change(call: Call[Desk]) -> Response:
    """Change count, place and worth: of these, what differs from what the page showed."""
    rack, name, revision = call.desk.store.rack, call.text("name"), call.number("revision")
    sent: dict[str, Any] = {}
    if "count" in call.form:
        sent["count"] = _count(call, blank="")
    if "place" in call.form:
        sent["place"] = call.text("place", 80)
    if "value" in call.form:
        sent["value"] = _value(call)
    seen = rack.seen(revision)
    before = seen.on_hand(name) if seen else None
    facts = {key: value for key, value in sent.items() if before is None or str(before[key]) != str(value)}
    if not facts:
        return call.json({"revision": revision}) if call.wants_json else call.go("/rack")
    try:
        document = rack.change(name, based_on=revision, **facts)
    except Conflict as conflict:
        fields = {"name": name, **{key: str(value) for key, value in facts.items()}}
        return offer_both(call, conflict, (name,), lambda state: _with_facts(state, {"gone": 0, **fields}), fields)
    return kept(call, document, "/rack")


def _with_facts(state: RackState, fields: Mapping[str, Any]) -> RackState:
    """Return the list with an offcut as the page wanted it; unchanged where it has none of that name."""
    return state.with_facts(**fields) if fields["name"] in state.offcuts else state


def strike(call: Call[Desk]) -> Response:
    """Take an offcut off the list, or put it back."""
    name, gone = call.text("name"), call.text("gone") != "0"
    try:
        document = call.desk.store.rack.strike(name, based_on=call.number("revision"), gone=gone)
    except Conflict as conflict:
        fields = {"name": name, "gone": str(int(gone))}
        return offer_both(
            call, conflict, (name,), lambda state: _with_facts(state, {"name": name, "gone": int(gone)}), fields
        )
    return kept(call, document, "/rack")


def shelf(call: Call[Desk]) -> Response:
    """Put something opened on the shelf, or take it off."""
    rack, name, revision = call.desk.store.rack, call.text("name", 60), call.number("revision")
    if call.text("remove"):
        fields = {"name": name, "remove": "1"}
        try:
            document = rack.unshelve(name, based_on=revision)
        except Conflict as conflict:
            return offer_both(
                call,
                conflict,
                (name,),
                lambda state: state.without_shelved(name) if name in state.shelf else state,
                fields,
            )
        return kept(call, document, "/rack#shelf")
    good = call.desk.papers.shop.by_name.get(call.text("good"))
    if good is None or good.form not in ("each", "roll"):
        raise BadRequestError("a roll, or something bought by number", "good")
    roll = good.form == "roll"
    width = _length(call, "width") if roll and call.text("width") else (good.sizes[0].width if roll else 0)
    quantity = _length(call, "quantity") if roll else _count(call, "quantity")
    thing = OnShelf(_new_name(call) or good.good, good.good, quantity, width, call.text("place", 80))
    try:
        document = rack.shelve(thing, based_on=revision)
    except Conflict as conflict:
        fields = {key: text for key, text in call.form.items() if key != "revision"}
        return offer_both(call, conflict, (thing.name,), lambda state: state.with_shelved(thing), fields)
    return kept(call, document, "/rack#shelf")


def step(call: Call[Desk]) -> Response:
    """Undo or redo the latest change of the rack."""
    way = way_of(call.text("way"))
    try:
        document = call.desk.store.rack.step(way, based_on=call.number("revision"))
    except Conflict as conflict:
        return offer_both(call, conflict, None, lambda state: state, {"way": way}, would(conflict.current, way))
    return kept(call, document, "/rack")


def offer_both(
    call: Call[Desk],
    conflict: Conflict,
    names: Sequence[str] | None,
    mine: Any,
    fields: Mapping[str, str],
    what: str = "",
) -> Response:
    """Tell what was changed meanwhile, and offer both: what stands now, and what this page wanted.

    Parameters
    ----------
    names : sequence of str or None
        What the change is about; None for the whole list.
    mine : callable
        Makes of the list as the page showed it what the page wanted.
    fields : mapping of str to str
        The form that makes just that change on top of what stands now.
    """
    now = call.desk.store.rack.state()
    before = state_from(conflict.base.content) if conflict.base else now
    theirs = _cells(differences(before, now, names))
    wanted = _cells(differences(before, mine(before), names))
    if call.wants_json:
        facts = {
            "conflict": True, "what": said(conflict.current), "at": conflict.current.at,
            "revision": conflict.current.revision, "theirs": [asdict(each) for each in theirs],
            "mine": [asdict(each) for each in wanted], "fields": fields,
        }  # fmt: skip
        return call.json(facts, 409)
    wish = what or "; ".join(f"{each.column}: {each.before} → {each.after}" for each in wanted)
    return call.page(
        "conflict.html", 409, conflict=conflict, what=wish, theirs=theirs, fields=fields, back="/rack",
        action=call.request.url.path,
    )  # fmt: skip


def _cells(found: Sequence[RackDifference]) -> list[CellChange]:
    """Return differences as conflicts are shown, the first of very many."""
    cells = [CellChange(0, f"{each.name}: {each.column}", each.before, each.after) for each in found[:_MOST_TOLD]]
    left = len(found) - _MOST_TOLD
    return [*cells, CellChange(0, "and more", "", plural(left, "difference"))] if left > 0 else cells


def _new_name(call: Call[Desk]) -> str:
    """Return the name that was typed, if it can be one."""
    name = " ".join(call.text("name", 60).split())
    if any(size.stock == name for each in call.desk.papers.shop.goods for size in each.sizes):
        raise BadRequestError(f"{name} is the name of a bought size; give it another", "name")
    return name


def _length(call: Call[Desk], name: str, most: int = 0) -> int:
    """Read a length of more than zero, up to ``most`` where that is not zero."""
    units = call.desk.papers.units
    try:
        value = parse_length(call.text(name, 40), units)
    except MeasureError as error:
        raise BadRequestError(f"write {error.accepted}", name) from None
    if value <= 0 or (most and value > most):
        told = f", {format_length(most, units, mark=True)} at the most" if most else ""
        raise BadRequestError(f"more than zero{told}", name)
    return value


def _count(call: Call[Desk], name: str = "count", blank: str = "1") -> int:
    text = call.text(name, 12) or blank
    if not (text.isascii() and text.isdigit() and 1 <= int(text) <= MOST):
        raise BadRequestError(f"write a whole number from 1 to {MOST}", name)
    return int(text)


def _value(call: Call[Desk]) -> Decimal:
    text = call.text("value", 20)
    try:
        return in_cents(text, call.desk.papers.book.currency) if text else Decimal("0.00")
    except ValueError as error:
        raise BadRequestError(str(error), "value") from None


ROUTES = (
    Route("/rack", endpoint(shown)),
    Route("/rack", endpoint(add), methods=["POST"]),
    Route("/rack/change", endpoint(change), methods=["POST"]),
    Route("/rack/strike", endpoint(strike), methods=["POST"]),
    Route("/rack/shelf", endpoint(shelf), methods=["POST"]),
    Route("/rack/step", endpoint(step), methods=["POST"]),
)

"""Rack: offcuts on hand with place, size and worth, who took them; opened boxes and rolls."""

from decimal import Decimal
from typing import Final

from starlette.responses import Response
from starlette.routing import Route

from nesting.measure import MeasureError, format_length, parse_length
from pricing.desk.call import BadRequestError, Call, endpoint
from pricing.money import CENT, parse_amount
from pricing.rack import OnShelf, RackOffcut

_PREFIX: Final = "R-"


def shown(call: Call) -> Response:
    """Show the rack."""
    papers, rack = call.desk.papers, call.desk.store.rack
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
        "rack.html", here="rack", on_hand=on_hand, gone=rack.all(gone=True)[:20], titles=titles, worth=worth,
        goods=[good for good in shop.goods if good.form in ("sheet", "stick")], currency=papers.book.currency,
        shelf=rack.shelf(), shelf_goods=[good for good in shop.goods if good.form in ("each", "roll")],
        size=size_text, next=f"{_PREFIX}{rack.free_name(_PREFIX)}", words=" ".join(words),
    )  # fmt: skip


def size_text(offcut: RackOffcut) -> str:
    """Write an offcut's size."""
    length = format_length(offcut.length)
    return f"{length} × {format_length(offcut.width)} in" if offcut.width else f"{length} in"


def add(call: Call) -> Response:
    """Put an offcut on the rack."""
    good = call.desk.papers.shop.by_name.get(call.text("good"))
    if good is None or good.form not in ("sheet", "stick"):
        raise BadRequestError("good: a sheet or a stick of the shop")
    name = call.text("name", 60) or f"{_PREFIX}{call.desk.store.rack.free_name(_PREFIX)}"
    if any(size.stock == name for each in call.desk.papers.shop.goods for size in each.sizes):
        raise BadRequestError(f"{name} is the name of a bought size; give the offcut another")
    width = _length(call, "width") if good.form == "sheet" else 0
    offcut = RackOffcut(
        name, good.good, _length(call, "length"), width, _value(call), _count(call), call.text("place", 80)
    )
    call.desk.store.rack.put([offcut])
    return call.go("/rack")


def change(call: Call) -> Response:
    """Change count, place and worth."""
    call.desk.store.rack.change(call.text("name"), count=_count(call), place=call.text("place", 80), value=_value(call))
    return call.json({"kept": True}) if call.wants_json else call.go("/rack")


def strike(call: Call) -> Response:
    """Take an offcut off the list, or put it back."""
    call.desk.store.rack.strike(call.text("name"), gone=call.text("gone") != "0")
    return call.go("/rack")


def shelf(call: Call) -> Response:
    """Put something opened on the shelf, or take it off."""
    rack = call.desk.store.rack
    things = [each for each in rack.shelf() if each.name != call.text("name")]
    if not call.text("remove"):
        good = call.desk.papers.shop.by_name.get(call.text("good"))
        if good is None or good.form not in ("each", "roll"):
            raise BadRequestError("good: a roll, or something bought by number")
        roll = good.form == "roll"
        width = _length(call, "width") if roll and call.text("width") else (good.sizes[0].width if roll else 0)
        quantity = _length(call, "quantity") if roll else _count(call, "quantity")
        things.append(OnShelf(call.text("name") or good.good, good.good, quantity, width, call.text("place", 80)))
    rack.set_shelf(things)
    return call.go("/rack#shelf")


def _length(call: Call, name: str) -> int:
    try:
        value = parse_length(call.text(name, 40))
    except MeasureError as error:
        raise BadRequestError(f"{name}: write {error.accepted}") from None
    if value <= 0:
        raise BadRequestError(f"{name}: more than zero")
    return value


def _count(call: Call, name: str = "count") -> int:
    text = call.text(name, 12) or "1"
    if not text.isdigit() or not 1 <= int(text) <= 1_000_000:
        raise BadRequestError(f"{name}: a whole number from 1 on")
    return int(text)


def _value(call: Call) -> Decimal:
    try:
        return parse_amount(call.text("value", 20) or "0").quantize(CENT)
    except ValueError:
        raise BadRequestError("worth: an amount such as 12.50") from None


ROUTES = (
    Route("/rack", endpoint(shown)),
    Route("/rack", endpoint(add), methods=["POST"]),
    Route("/rack/change", endpoint(change), methods=["POST"]),
    Route("/rack/strike", endpoint(strike), methods=["POST"]),
    Route("/rack/shelf", endpoint(shelf), methods=["POST"]),
)

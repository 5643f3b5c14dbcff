"""Crates: each piece with its method and why, the crate's drawing, weight and checks; and another way, side by side."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

from starlette.responses import Response
from starlette.routing import Route

from nesting.base.measure import UnitSystem, format_length, format_weight
from nesting.base.rule_files import Rule
from nesting.build import Build
from nesting.crates.held import each_reason
from nesting.crates.model import Crate
from nesting.crates.registry import askable, method_of
from nesting.crates.registry import called as made_by
from nesting.drawings.crate import CrateDrawing, crate_drawing
from nesting.drawings.elevation import elevation
from nesting.drawings.faces import Face, faces
from nesting.drawings.scene import POINT, Scene
from nesting.drawings.sheet import fitting_scale
from nesting.drawings.svg import to_svg
from nesting.order import AUTO
from nesting.shop.shop_file import default_shop
from pricing.desk.call import BadRequestError, Call, endpoint
from pricing.desk.content import Content
from pricing.desk.desk import Desk, Sheaf, job_paper
from pricing.desk.held import (
    MOST_REASON,
    OtherCrateError,
    accepted,
    held_again,
    instead,
    lapses,
    without_old,
)
from pricing.desk.pages.common import asked, change_job, job_page, local
from pricing.desk.rulebook import rule_called, shop_rules, stored_text, titled, with_shop_rules
from pricing.desk.rulebook import shown as shown_rule
from pricing.desk.short_list import has_designs
from pricing.desk.slip import Compared, compare
from pricing.desk.table import with_cell
from pricing.desk.taken import adrift, key_of_pieces
from pricing.studio.rule_words import label_of

_ROOM: Final = (620.0, 420.0)


@dataclass(frozen=True)
class Trial:
    """Another way to do a job, not saved.

    Attributes
    ----------
    what : str
        What is tried, for people.
    rows : list of Compared
        Both ways side by side; empty where it cannot be done.
    why_not : tuple of str
        Why it cannot be done.
    address : str
        Where it is kept, below the job's own address.
    fields : dict
        What is sent there.
    first : bool
        Whether its figure is a first one that has still to settle.
    """

    what: str
    rows: list[Compared]
    why_not: tuple[str, ...]
    address: str
    fields: dict[str, str]
    first: bool = False


def methods() -> tuple[str, ...]:
    """Return what a piece can be packed as: the shop's choice, or a method."""
    return AUTO, *askable()


def shown(call: Call[Desk]) -> Response:
    """Show the crates."""
    sheaf = asked(call, wait=False)
    if sheaf.answer is None:
        return job_page(call, "crates.html", "crates", sheaf, crates=(), trial=None, methods=(), rules=(), own={})
    quote = sheaf.answer.quote
    build = quote.build
    wishes = {artwork.piece: artwork.method for artwork in build.order.artworks}
    called = build.order.called()
    crates = [_facts(sheaf, build, crate, wishes, called) for crate in (*build.held, *build.crates)]
    rules = [
        rule for rule in shop_rules(build.shop, default_shop(build.shop.units)) if not rule.group.startswith("freight")
    ]
    return job_page(
        call, "crates.html", "crates", sheaf, crates=crates, trial=trial(call, sheaf), methods=methods(), rules=rules,
        own={
            rule.name: (titled(rule), shown_rule(rule, sheaf.content.rules[rule.name]))
            for rule in rules if rule.name in sheaf.content.rules
        }, titled=titled, shown_rule=shown_rule,
        adrift=adrift(sheaf.content, build),
    )  # fmt: skip


def _facts(
    sheaf: Sheaf, build: Build, crate: Crate, asked: dict[str, Any], called: Mapping[str, str]
) -> dict[str, Any]:
    """Return what a crate's card shows."""
    units = sheaf.units
    sides = (crate.outside.width, crate.outside.height, crate.outside.depth)
    pieces = list(dict.fromkeys(piece.partition("#")[0] for piece in crate.pieces))
    worst = {verdict: sum(c.verdict == verdict for c in crate.checks) for verdict in ("fails", "watch", "ok", "info")}
    return {
        "crate": crate, "is_case": method_of(crate).is_case, "pieces": pieces,
        "asked": asked.get(pieces[0], AUTO) if pieces else AUTO,
        "works": works(called, crate),
        "size": f"{' × '.join(format_length(side, units) for side in sides)} {'in' if units == 'inch' else 'mm'}",
        "weights": [format_weight(kg, units, mark=True) for kg in (crate.net_kg, crate.tare_kg, crate.gross_kg)],
        "checks": [check.in_system(units) for check in crate.checks], "units": units, "worst": worst,
        "reasons": list(each_reason(crate.held_for)), "lapsed": lapses(build, crate),
        "instead": instead(build, crate), "most": MOST_REASON,
        "own": bool(crate.code) and not crate.accepted,
        "designs": has_designs(crate), "taken": key_of_pieces(crate.pieces) in sheaf.content.designs,
    }  # fmt: skip


def works(called: Mapping[str, str], crate: Crate) -> str:
    """Say which works a crate holds, with their titles."""
    return ", ".join(called.get(piece, piece) for piece in crate.pieces)


def trial(call: Call[Desk], sheaf: Sheaf) -> Trial | None:
    """Work out the other way that the address asks for."""
    piece, method = call.text("piece"), call.text("method")
    name, typed = call.text("rule"), call.text("value", 200)
    if piece and method:
        tried, what = with_cell(sheaf.content, piece, "method", method), f"{piece} as {made_by(method)}"
        return tried_out(call, sheaf, tried, what, piece, ("method", {"piece": piece, "method": method}))
    if name and typed:
        rule, value = _read_rule(call, name, typed)
        tried = replace(sheaf.content, rules={**sheaf.content.rules, rule.name: value})
        what = f"{titled(rule)} = {shown_rule(rule, value)}"
        return tried_out(call, sheaf, tried, what, "", ("rule", {"rule": rule.name, "value": value}))
    return None


def _read_rule(call: Call[Desk], name: str, typed: str) -> tuple[Rule, str]:
    """Return the rule that was named, as files have it or as people call it, and what was typed as it is stored."""
    shop = call.desk.papers.shop
    rule = rule_called(name, shop_rules(shop, shop))
    if rule is None:
        raise BadRequestError(f"there is no rule {name[:60]}", "rule")
    try:
        return rule, stored_text(rule, typed, call.desk.papers.book.currency)
    except ValueError as error:
        raise BadRequestError(str(error), "value") from None


def tried_out(
    call: Call[Desk], sheaf: Sheaf, tried: Content, what: str, piece: str, keep: tuple[str, dict[str, str]]
) -> Trial:
    """Work another content through without saving it, and compare."""
    return compared_with(sheaf, call.desk.work(sheaf.row, sheaf.document, tried), what, piece, keep)


def compared_with(sheaf: Sheaf, other: Sheaf, what: str, piece: str, keep: tuple[str, dict[str, str]]) -> Trial:
    """Return a job beside another way that was worked through."""
    address, fields = keep
    if sheaf.answer is None or other.answer is None:
        return Trial(what, [], tuple(fault.text for fault in other.faults), address, fields)
    rows = compare(sheaf.answer.quote, other.answer.quote, piece)
    return Trial(what, rows, (), address, fields, first=not other.answer.settled)


def method(call: Call[Desk]) -> Response:
    """Pack a piece by another method."""
    piece, word = call.text("piece"), call.text("method")
    if word not in methods():
        raise BadRequestError(f"method: one of {', '.join(methods())}")
    back = f"/jobs/{call.number('job')}/crates"
    return change_job(
        call, lambda content: with_cell(content, piece, "method", word), f"{piece} as {made_by(word)}", back
    )


def rule(call: Call[Desk]) -> Response:
    """Give this job a rule of its own, or (without a value) the shop's again."""
    name, text = call.text("rule"), call.text("value", 200)
    if text:
        found, text = _read_rule(call, name, text)
        name = found.name

    def change(content: Content) -> Content:
        kept = {key: value for key, value in content.rules.items() if key != name}
        if not text:
            return replace(content, rules=kept)
        _, faults = with_shop_rules(default_shop(call.desk.papers.units), {name: text})
        if faults:
            raise BadRequestError(f"{label_of(name)}: {faults[0].accepted}")
        return replace(content, rules={**kept, name: text})

    what = f"{label_of(name)}: {text or 'as in the shop'}"
    return change_job(call, change, what, f"/jobs/{call.number('job')}/crates")


def accept(call: Call[Desk]) -> Response:
    """Take a held crate all the same, with a written reason, in the order's own column."""
    words = " ".join(call.text("reason", MOST_REASON).split())
    if not words:
        raise BadRequestError(f"{call.text('crate', 20)} was not accepted: write why it is taken all the same")
    crate, code = call.text("crate", 20), call.text("code", 20)
    return _standing(
        call, lambda content, build: accepted(content, build, crate, code, words), f"{crate} accepted as it stands"
    )


def hold(call: Call[Desk]) -> Response:
    """Hold an accepted crate again; of one that passes, take out what accepted it once."""
    crate, code = call.text("crate", 20), call.text("code", 20)
    if not code:
        return _standing(call, lambda content, build: without_old(content, build, crate), f"{crate}: no acceptance")
    return _standing(call, lambda content, build: held_again(content, build, crate, code), f"{crate} held again")


def _standing(call: Call[Desk], change: Callable[[Content, Build], Content], what: str) -> Response:
    """Change what accepts a crate, one step of undo, unless the crate is another by now than the page showed."""
    job = call.number("job")
    back = local(call.text("back"), f"/jobs/{job}/crates")

    def made(content: Content) -> Content:
        store = call.desk.store
        tried = call.desk.work(store.jobs.get(job), store.documents.get(job_paper(job)), content)
        if tried.answer is None:
            raise BadRequestError("there is no crate; mend the table first")
        return change(content, tried.answer.quote.build)

    try:
        return change_job(call, made, what, back)
    except OtherCrateError as other:
        if call.wants_json:
            return call.json({"message": str(other)}, 409)
        return call.page(
            "message.html", 409, title="Not as it was shown", text=str(other), leads=(back, "To the crate")
        )


def _crate(build: Build, name: str) -> Crate:
    """Return a crate, held or not; LookupError where there is none of that name."""
    found = next((crate for crate in build.every if crate.crate == name), None)
    if found is None:
        raise LookupError(f"there is no crate {name[:20]}")
    return found


def drawing(call: Call[Desk]) -> Response:
    """Draw a crate taken apart, or one of its faces with dimensions."""
    sheaf = asked(call)
    if sheaf.answer is None:
        raise LookupError("there is no crate yet")
    crate = _crate(sheaf.answer.quote.build, call.request.path_params["crate"])
    made, writing = crate_drawing(crate, *_ROOM), sheaf.answer.quote.build.writing
    if key := call.request.query_params.get("face"):
        face = next((each for each in faces(crate) if each.key == key), None)
        if face is None:
            raise LookupError(f"{crate.crate} has no face {key[:20]}")
        return Response(to_svg(_face(face, made, sheaf.units).written(writing)), media_type="image/svg+xml")
    if made is None:
        raise LookupError(f"nothing of {crate.crate} is drawn")
    return Response(to_svg(made.scene.written(writing)), media_type="image/svg+xml")


def _face(face: Face, view: CrateDrawing | None, units: UnitSystem) -> Scene:
    """Draw a face, its parts numbered as in the view."""
    numbers = {name: index for index, name in enumerate(view.names if view else (), start=1)}
    scale = fitting_scale(face.width, face.height, *(0.6 * side * POINT for side in _ROOM))
    return elevation(face, numbers, scale, units).scene


def named(call: Call[Desk]) -> Response:
    """Say what the numbers of a crate's drawing stand for."""
    sheaf = asked(call)
    if sheaf.answer is None:
        raise LookupError("there is no crate yet")
    crate = _crate(sheaf.answer.quote.build, call.request.path_params["crate"])
    made = crate_drawing(crate, *_ROOM)
    roles = {placed.part: placed.role for placed in crate.placed}
    build = sheaf.answer.quote.build
    names = [[name, roles.get(name, "rides inside")] for name in (made.names if made else ())]
    whole = call.desk.sheaf(sheaf.row.id)
    return call.page(
        "crate.html", crate=crate, names=names, faces=faces(crate), job=sheaf.row, units=sheaf.units, here="",
        layers=around(crate), sheaf=sheaf, each=_facts(sheaf, build, crate, {}, build.order.called()),
        ask="version=next" if whole.pinned and not sheaf.pinned else "",
    )  # fmt: skip


def around(crate: Crate) -> list[tuple[str, tuple[str, ...]]]:
    """Return what lies round each piece, from its surface outwards: once with all names where it is the same."""
    found: dict[tuple[str, ...], list[str]] = {}
    for piece in crate.pieces:
        texts = tuple(layer.text for layer in crate.layers if layer.piece in (piece, ""))
        if texts:
            found.setdefault(texts, []).append(piece)
    return [(", ".join(names), texts) for texts, names in found.items()]


ROUTES = (
    Route("/jobs/{job:int}/crates", endpoint(shown)),
    Route("/jobs/{job:int}/method", endpoint(method), methods=["POST"]),
    Route("/jobs/{job:int}/rule", endpoint(rule), methods=["POST"]),
    Route("/jobs/{job:int}/accept", endpoint(accept), methods=["POST"]),
    Route("/jobs/{job:int}/hold", endpoint(hold), methods=["POST"]),
    Route("/jobs/{job:int}/crates/{crate}.svg", endpoint(drawing)),
    Route("/jobs/{job:int}/crates/{crate}", endpoint(named)),
)

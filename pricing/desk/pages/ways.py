"""Ways to pack: for each piece every way side by side, the cheapest ways together, and taking them into the order."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final, TypeGuard

from starlette.responses import Response
from starlette.routing import Route

from nesting.base.counts import plural
from nesting.base.measure import UnitSystem, format_weight
from nesting.crates.registry import askable, called, method_of
from nesting.order import AUTO
from pricing.ahead.methods import Outcome, Row, Unit
from pricing.ahead.methods.pricer import EARLY, trips
from pricing.desk.call import BadRequestError, Call, endpoint
from pricing.desk.content import Content
from pricing.desk.desk import Desk
from pricing.desk.origins.model import Address
from pricing.desk.pages.common import change_job, job_page, told
from pricing.desk.table import with_cell
from pricing.desk.ways import Compared, Wish, prices_at_most
from pricing.quoting.incomplete import told as words
from pricing.quoting.quote import Quote

_AT_ONCE: Final = 60
"""Pieces shown on one page before the rest are asked for."""
_LINES: Final = (
    ("bears", "bears"), ("of which freight", "freight"), ("a trip", "trip"), ("whole order", "order"),
    ("hours", "hours"), ("weight", "weight"), ("to free the piece", "covers"), ("how near hands come", "hands"),
)  # fmt: skip
_NAMED: Final = 3
"""Pieces whose new ways are named one by one in the history."""


@dataclass(frozen=True)
class Way:
    """One way for one piece, as the page shows it.

    Attributes
    ----------
    row : Row
        As it was compared.
    name : str
        What the trade calls it.
    marks : tuple of str
        What distinguishes it.
    why_not : tuple of str
        Why it has no figures.
    notes : tuple of str
        What speaks against it though it has.
    trips : int
        That its crate serves.
    weight, covers, minutes, hands : str, tuple of str, str, str
        Its weight; what comes off before the piece is free, and how long it takes; how near hands come to it.
    company : tuple of str
        Pieces of others in the same case.
    use : str
        What is sent to take it; empty where it is taken already, or cannot be.
    """

    row: Row
    name: str
    marks: tuple[str, ...]
    why_not: tuple[str, ...]
    notes: tuple[str, ...]
    trips: int
    weight: str = ""
    covers: tuple[str, ...] = ()
    minutes: str = ""
    hands: str = ""
    company: tuple[str, ...] = ()
    use: str = ""

    @property
    def incomplete(self) -> str:
        """What stands beside what it costs where that is incomplete; else empty."""
        return words(self.row.incomplete)


@dataclass(frozen=True)
class Piece:
    """A piece, or a set that travels together, with its ways."""

    unit: Unit
    title: str
    ways: tuple[Way, ...]

    @property
    def open(self) -> tuple[Way, ...]:
        """The ways that can be taken."""
        return tuple(way for way in self.ways if not way.why_not)

    @property
    def closed(self) -> tuple[Way, ...]:
        """The ways that cannot be made, or were not priced."""
        return tuple(way for way in self.ways if way.why_not)

    @property
    def lines(self) -> list[tuple[str, str]]:
        """Label and key of every line of its table; those that no way has anything for are left out."""
        wanted = list(_LINES)
        wanted += [("in one case with", "company")] if any(way.company for way in self.ways) else []
        wanted += [("speaks against it", "notes")] if any(way.notes for way in self.ways) else []
        return wanted


def shown(call: Call[Desk]) -> Response:
    """Show the comparison of the job as it is, or the latest one, or how to begin one."""
    sheaf = call.desk.sheaf(call.number("job"), wait=False)
    if sheaf.answer is None:
        return job_page(call, "ways.html", "crates", sheaf, going=None, made=None, asked=())
    quote = sheaf.answer.quote
    key = call.desk.comparison_key(sheaf)
    made = call.desk.comparisons.of(sheaf.row.id, key)
    asked = [artwork.piece for artwork in quote.build.order.artworks if artwork.method != AUTO]
    going = call.desk.searches.pending(sheaf.row.id, "ways")
    values: dict[str, Any] = {}
    if made is not None:
        most = None if call.text("all") else _AT_ONCE
        old, here = made.key != key, _methods_now(quote)
        table, best = made.found.comparison, made.found.best.choice
        values = {
            "old": old, "pieces": _pieces(made, quote, here, most), "hidden": len(table.units[most:]) if most else 0,
            "earlier": call.desk.comparisons.earlier(sheaf.row.id, key),
            "together": together(made, old=old), "now": table.now, "take_all": "" if old else _taken(made),
            "taken": all(here.get(unit.copies[0]) == word for unit, word in zip(table.units, best, strict=True)),
        }  # fmt: skip
    return job_page(
        call, "ways.html", "crates", sheaf, going=going.facts() if going else None, made=made, asked=asked, quote=quote,
        leads_to=Address(sheaf.row.id), all=bool(call.text("all")),
        most=prices_at_most(quote.build.order, quote.build.shop), open_to=", ".join(map(called, askable())), **values,
    )  # fmt: skip


def _methods_now(quote: Quote) -> dict[str, str]:
    """Return how each single piece is packed as the job stands."""
    build = quote.build
    crates = [crate for crate in build.every if not method_of(crate).is_case]
    return {piece: crate.method for crate in crates for piece in crate.pieces}


def _pieces(made: Compared, quote: Quote, now: Mapping[str, str], most: int | None) -> list[Piece]:
    """Return what the page shows of each unit, the figures as compared and the present way as it is."""
    titles = {artwork.piece: artwork.title for artwork in quote.build.order.artworks}
    table, found = made.found.comparison, []
    for unit, rows, best in list(zip(table.units, table.rows, made.found.best.choice, strict=True))[:most]:
        here = now.get(unit.copies[0]) if all(line in titles for line in unit.lines) else None
        least = cheapest(rows)
        ways = tuple(_way(unit, row, quote, here, least, best) for row in rows)
        found.append(Piece(unit, " · ".join(dict.fromkeys(filter(None, map(titles.get, unit.lines)))), ways))
    return found


def cheapest(rows: tuple[Row, ...]) -> str | None:
    """Return the sound way in which a piece bears least, the one it has among equals."""
    fit = [(row.bearing.cost, not row.chosen, row.method) for row in rows if row.bearing is not None and row.sound]
    return min(fit)[2] if fit else None


def _way(unit: Unit, row: Row, quote: Quote, here: str | None, least: str | None, best: str) -> Way:
    """Return one way; a piece that the job no longer has so cannot be given one."""
    marks = (
        *(["now"] if row.method == here else []),
        *(["its cheapest"] if row.method == least else []),
        *(["in the combination"] if row.method == best else []),
    )
    served = trips(row.method, quote.rates.reuse)
    name = called(row.method)
    if row.bearing is None:
        reasons = tuple(_reason(text, unit) for text in row.refused)
        return Way(row, name, marks, reasons, (), served)
    units: UnitSystem = quote.build.units
    hands = row.bearing.handling
    covers = [cover.sentence() for cover in hands.covers]
    if hands.mounting:
        covers.append(f"{plural(hands.mounting, 'mounting screw')}, while somebody holds the piece")
    use = "" if here is None or row.method == here else _sent(dict.fromkeys(unit.lines, row.method))
    return Way(
        row=row,
        name=name,
        marks=marks,
        why_not=(),
        notes=(
            *filter(None, (row.against, *row.troubles)),
            *(f"the design that was taken for {pieces} does not count then" for pieces in row.aside),
        ),
        trips=served,
        weight=format_weight(row.bearing.kg, units, mark=True),
        covers=tuple(covers),
        minutes=f"{hands.minutes.normalize():f}",
        hands=hands.hands(units),
        company=tuple(dict.fromkeys(row.bearing.company)),
        use=use,
    )


def _reason(text: str, unit: Unit) -> str:
    """Write why a way cannot be made as sentences, without the piece that they stand with."""
    if text == EARLY:
        return f"{EARLY}."
    plain = text.removeprefix(f"{unit.name}: ").removeprefix(f"{unit.copies[0]}: ")
    said, _, accepted = plain.partition("; accepted: ")
    return f"cannot be made: {said}." + (f" It would take {accepted}." if accepted else "")


def together(made: Compared, *, old: bool) -> list[tuple[str, Outcome | None, Decimal | None]]:
    """Return the three orders that are weighed against each other, with what each is more or less than now."""
    found = made.found
    now, each = found.comparison.now, found.each_cheapest
    lines: list[tuple[str, Outcome | None]] = [
        ("As packed then" if old else "As packed now", now),
        ("Every piece its own cheapest way", each if isinstance(each, Outcome) else None),
        (found.best_called.removeprefix("The ").capitalize(), found.best),
    ]
    return [
        (label, outcome, _counted(made.wish, outcome) - _counted(made.wish, now) if _alike(outcome, now) else None)
        for label, outcome in lines
    ]


def _alike(outcome: Outcome | None, now: Outcome) -> TypeGuard[Outcome]:
    """Whether there is an order that compares with the present one: the same pieces are held, nothing is incomplete."""
    return outcome is not None and outcome.compares_with(now)


def _counted(wish: Wish, outcome: Outcome) -> Decimal:
    return outcome.total if wish.by == "total" else outcome.a_trip


def _taken(made: Compared) -> str:
    """Return what is sent to take the cheapest combination; empty where it changes nothing."""
    wanted = {name: then for name, _, then in made.found.changed}
    changed = [unit for unit in made.found.comparison.units if unit.name in wanted]
    return _sent({line: wanted[unit.name] for unit in changed for line in unit.lines}) if changed else ""


def _sent(methods: Mapping[str, str]) -> str:
    return json.dumps(methods, ensure_ascii=False)


def compare(call: Call[Desk]) -> Response:
    """Begin a comparison."""
    sheaf = call.desk.sheaf(call.number("job"))
    if sheaf.answer is None:
        raise BadRequestError("mend the table first; then the ways can be compared")
    by = call.text("by") or "total"
    if by not in ("total", "trip"):
        raise BadRequestError("by: total or trip")
    call.desk.compare(sheaf, Wish("trip" if by == "trip" else "total", free=call.text("free") == "yes"))
    return call.json(told(call, sheaf)) if call.wants_json else call.go(f"/jobs/{sheaf.row.id}/ways")


def use(call: Call[Desk]) -> Response:
    """Write ways into the order, for one piece or several: one change, to be undone as one."""
    methods = _methods(call.text("methods", 200_000))
    pairs = [f"{piece} as {called(method)}" for piece, method in methods.items()]
    what = ", ".join(pairs) if len(pairs) <= _NAMED else f"ways to pack {len(pairs)} pieces"

    def change(content: Content) -> Content:
        for piece, method in methods.items():
            content = with_cell(content, piece, "method", method)
        return content

    place = f"#way-{call.number('at')}" if call.text("at") else ""
    return change_job(call, change, what[:120], f"/jobs/{call.number('job')}/ways{place}")


def _methods(text: str) -> dict[str, str]:
    """Read methods by piece as a form of this page sends them."""
    try:
        told: Any = json.loads(text)
    except (ValueError, RecursionError):
        told = None
    if not isinstance(told, dict) or not told:
        raise BadRequestError("methods: a way for each piece")
    if wrong := [piece for piece, word in told.items() if word not in askable()]:
        raise BadRequestError(f"{wrong[0][:40]}: one of {', '.join(askable())}")
    return told


ROUTES = (
    Route("/jobs/{job:int}/ways", endpoint(shown)),
    Route("/jobs/{job:int}/ways", endpoint(compare), methods=["POST"]),
    Route("/jobs/{job:int}/ways/use", endpoint(use), methods=["POST"]),
)

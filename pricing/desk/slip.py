"""The slip: the few figures of a job that stand on every page, and the same as a comparison of two ways to do it."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final

from nesting.base.counts import plural
from nesting.base.measure import format_length, format_weight
from nesting.build import Build
from nesting.crates.model import Crate
from nesting.crates.registry import method_of
from pricing.desk.desk import Desk, Sheaf
from pricing.desk.held import facts as held_facts
from pricing.desk.held import listed
from pricing.desk.lacking import beside, incomplete_of
from pricing.desk.pins import Pinned
from pricing.desk.steps import ways_back
from pricing.desk.views import day, signed
from pricing.money import from_cents, show
from pricing.output.tables import buying
from pricing.quoting.incomplete import told
from pricing.quoting.plans import PROVEN
from pricing.quoting.quote import Quote

SETTLING: Final = "Settling: a first figure; sending and printing wait."
UNSETTLED: Final = "Not settled: the search ended early, and the first figure stands."
STOPPED: Final = "Its search was stopped: the best that was found stands."


def slip(desk: Desk, sheaf: Sheaf) -> dict[str, Any]:
    """Return the figures as text, for pages and scripts."""
    settling, way, now = desk.settling(sheaf), desk.cheaper(sheaf), sheaf.moving
    wrong = sum(not fault.missing for fault in sheaf.faults)
    facts: dict[str, Any] = {
        "revision": sheaf.document.revision, **ways_back(sheaf.document),
        "total": "", "held": [], "without": "", "lacks": [], "lines": [], "effort": "", "gap": "",
        "pending": now is not None and now.pending is not None, "waits": settling,
        "settling": _standing(sheaf, settling=settling), "cheaper": way.line if way else "",
        "faults": len(sheaf.faults), "wrong": wrong,
        "pinned": pinned_since(sheaf.pinned), "later": later(sheaf),
    }  # fmt: skip
    if sheaf.pinned and sheaf.answer is None:
        kept = sheaf.pinned.result
        total = show(Decimal(kept["total"]), kept["currency"])
        return facts | {"total": total, "without": told(incomplete_of(kept)), "note": sheaf.pinned.trouble}
    if sheaf.answer is None and sheaf.pending:
        order = sheaf.reading.order
        count = sum(each.quantity for each in order.artworks) if order else 0
        lines = [{"text": plural(count, "piece"), "address": f"/jobs/{sheaf.row.id}/artworks"}]
        return facts | {"total": sheaf.pending.total, "settling": sheaf.pending.told, "lines": lines, "note": ""}
    if sheaf.answer is None:
        facts["note"] = (
            "Nothing entered yet." if sheaf.reading.empty else plural(len(sheaf.faults), "thing") + " to mend"
        )
        return facts
    quote = sheaf.answer.quote
    build = quote.build
    facts |= held_facts(build, sheaf.row.id)
    facts["total"], facts["without"] = show(quote.total, quote.currency), quote.without
    facts["lacks"] = beside(quote.lacks, sheaf.row.id)
    facts["note"] = ""
    facts["lines"] = [
        {"text": text, "address": f"/jobs/{sheaf.row.id}/{page}"}
        for text, page in (
            (plural(len(build.order.copies()), "piece"), "artworks"),
            (plural(len(build.travelling), "package"), "crates"),
            (format_weight(build.gross_kg, build.units, mark=True), "crates"),
            (plural(build.sheet_count, "sheet"), "sheets"),
            (f"{quote.hours.quantize(Decimal('0.1'))} h", "from?hours=all"),
        )
    ]
    facts["effort"] = sheaf.answer.effort
    gap = sum(plan.cost - plan.bound for plan in build.layouts)
    gap += sum(plan.cost - plan.bound for plan in build.stick_plans)
    facts["gap"] = PROVEN if not gap else f"at most {show(from_cents(gap), quote.currency)} above the cheapest cuts"
    return facts


def _standing(sheaf: Sheaf, *, settling: bool) -> str:
    """Say how far the figure has come that follows what is entered; nothing where it has settled."""
    now = sheaf.moving
    if now is None or now.answer is None:
        return ""
    if settling:
        return SETTLING
    return STOPPED if now.answer.stopped else "" if now.answer.settled else UNSETTLED


def pinned_since(pinned: Pinned | None) -> str:
    """Say in one line that a job is pinned; nothing where it is not."""
    return f"Pinned since {day(pinned.pin.on_day)}, {pinned.pin.why}." if pinned else ""


def later(sheaf: Sheaf) -> dict[str, str] | None:
    """Say what was entered since a job was pinned comes to, and where it is shown; None where nothing was."""
    if sheaf.later is None:
        return None
    page = "money" if sheaf.later.answer or sheaf.later.pending else "artworks"
    comes = "no price yet"
    if sheaf.later.pending:
        comes = f"{sheaf.later.pending.total} (settling)".strip()
    if sheaf.later.answer:
        quote = sheaf.later.answer.quote
        comes = " ".join((show(quote.total, quote.currency), quote.without)).strip()
    return {
        "text": f"Version {sheaf.next_version}, not cut yet: {comes}",
        "address": f"/jobs/{sheaf.row.id}/{page}?version=next",
    }


@dataclass(frozen=True, slots=True)
class Compared:
    """One figure both ways, and whether the other way is less, more or the same."""

    label: str
    now: str
    then: str
    difference: str


def compare(now: Quote, then: Quote, piece: str = "") -> list[Compared]:
    """Return what another way of doing a job changes."""
    units, currency = now.build.units, now.currency
    rows = [
        _total(now, then),
        _money("Materials to buy", now.takeoff.bought_amount, then.takeoff.bought_amount, currency),
    ]
    rows += [_share(now, then, piece)] if piece else []
    rows += _held(now, then)
    weights = [quote.build.gross_kg for quote in (now, then)]
    texts = [format_weight(each, units, mark=True) for each in weights]
    more = format_weight(abs(weights[1] - weights[0]), units, mark=True)
    sign = "+" if weights[1] > weights[0] else "−"
    rows.append(Compared("Gross weight", texts[0], texts[1], "" if texts[0] == texts[1] else f"{sign} {more}"))
    rows.append(_count("Packages", len(now.build.travelling), len(then.build.travelling)))
    rows.append(_count("Sheets", now.build.sheet_count, then.build.sheet_count))
    one, other = _by_stock(now), _by_stock(then)
    rows += [
        _count(stock, one.get(stock, 0), other.get(stock, 0))
        for stock in dict.fromkeys((*one, *other))
        if one.get(stock) != other.get(stock)
    ]
    hours = [quote.hours.quantize(Decimal("0.1")) for quote in (now, then)]
    rows.append(
        Compared("Hours", f"{hours[0]}", f"{hours[1]}", f"{hours[1] - hours[0]:+}" if hours[0] != hours[1] else "")
    )
    if piece:
        rows.append(_size(now.build, then.build, piece))
    return rows


def _money(label: str, now: Decimal, then: Decimal, currency: str) -> Compared:
    return Compared(label, show(now, currency), show(then, currency), signed(then - now, currency))


def _total(now: Quote, then: Quote) -> Compared:
    """Return both totals; they do not compare where other pieces are held, or one is incomplete."""
    row = _money("Total", now.total, then.total, now.currency)
    words = [told(quote.incomplete) for quote in (now, then)]
    return _worded(row, words, compares=now.compares_with(then))


def _worded(row: Compared, words: Sequence[str], *, compares: bool) -> Compared:
    """Return two amounts with what stands beside each, and whether they compare."""
    texts = [", ".join(filter(None, pair)) for pair in zip((row.now, row.then), words, strict=True)]
    return Compared(row.label, texts[0], texts[1], row.difference if compares else "do not compare")


def _held(now: Quote, then: Quote) -> list[Compared]:
    """Return what each total is without; nothing where nothing is held either way."""
    names = [
        listed([*(c.crate for c in q.build.held), *(u.piece for u in q.build.unpacked)] or ["nothing"])
        for q in (now, then)
    ]
    if not (now.build.is_lacking or then.build.is_lacking):
        return []
    unpacked = now.build.unpacked or then.build.unpacked
    return [
        Compared(
            "Held or packed by nothing, and in no sum" if unpacked else "Held, and in no sum",
            names[0],
            names[1],
            "" if names[0] == names[1] else "changes",
        )
    ]


def _count(label: str, now: int, then: int) -> Compared:
    return Compared(label, str(now), str(then), f"{then - now:+}" if now != then else "")


def _share(now: Quote, then: Quote, piece: str) -> Compared:
    """Return what a line of the order bears, all copies together."""
    amounts = [
        sum((share.total for share in quote.shares if share.piece.partition("#")[0] == piece), Decimal("0.00"))
        for quote in (now, then)
    ]
    words = [told(_lacking(quote, piece)) for quote in (now, then)]
    return _worded(_money(f"{piece} bears", amounts[0], amounts[1], now.currency), words, compares=not any(words))


def _lacking(quote: Quote, piece: str) -> list[str]:
    """Return what a line of the order is incomplete by, all copies together."""
    found = quote.incomplete_pieces.items()
    return list(dict.fromkeys(line for name, lines in found if name.partition("#")[0] == piece for line in lines))


def _size(now: Build, then: Build, piece: str) -> Compared:
    texts = [size_text(build, crates_of(build, piece)) for build in (now, then)]
    return Compared(f"Packed size of {piece}", texts[0], texts[1], "" if texts[0] == texts[1] else "changes")


def crates_of(build: Build, piece: str) -> Sequence[Crate]:
    """Return the crates that carry a line of the order, cases left out."""
    return [
        crate
        for crate in build.every
        if not method_of(crate).is_case and any(each.partition("#")[0] == piece for each in crate.pieces)
    ]


def size_text(build: Build, crates: Sequence[Crate]) -> str:
    """Return the outside size of the first of some crates."""
    if not crates:
        return ""
    size, units = crates[0].outside, build.units
    sides = " × ".join(format_length(side, units) for side in (size.width, size.height, size.depth))
    held = ", held" if crates[0].standing == "held" else ""
    return f"{sides} {'in' if units == 'inch' else 'mm'}{held}"


def _by_stock(quote: Quote) -> Mapping[str, int]:
    found: Counter[str] = Counter()
    for row in buying(quote):
        if row.form in ("sheet", "stick"):
            found[row.stock] += int(row.bought)
    return found

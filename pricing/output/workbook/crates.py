"""The Crates page: what is built, how large and heavy it is, why so, and what the advice finds."""

from collections.abc import Iterator
from typing import Any, Final

from nesting.advice.check import Check
from nesting.crates.designs import built_to
from nesting.crates.held import accepted_line, held_rows
from nesting.crates.model import Crate
from nesting.crates.unpacked import unpacked_rows
from pricing.output.workbook.binder import Binder
from pricing.output.workbook.page import Page
from pricing.quoting.judging import next_priced

_WIDTHS: Final = (48, 132, 62, 62, 62, 62, 62, 62, 58, 58, 58, 84, 90, 78)
_LEAD: Final = (
    "Every crate with its sizes and weights. Inside is the free room within the frame; outside includes battens and "
    "skids. A travel frame rides in an outer case, whose weight has the frame's in it. Next best: other designs that "
    "hold, against the one that is built; what they cost more is at area prices and paid minutes, before the layouts."
)
_ADVICE: Final = (
    "Findings are advice from published formulas, not a certification: test, follow local codes, and ask a licensed "
    "engineer where people or great value depend on it. Formulas and sources stand under Assumptions."
)
_LAST: Final = len(_WIDTHS)


def fill(binder: Binder) -> None:
    """Write the page."""
    page = binder.page("Crates", _WIDTHS, landscape=True)
    page.title("Crates", _LEAD)
    _held(binder, page)
    _unpacked(binder, page)
    unit, weight = binder.styles.length_unit, binder.styles.weight_unit
    page.heads(
        "Crate", "Method and pieces", *(f"{side}, {unit}" for side in ("Outside width", "height", "depth")),
        *(f"{side}, {unit}" for side in ("Inside width", "height", "depth")),
        *(f"{kind}, {weight}" for kind in ("Works", "Crate", "Gross")), "Who lifts it", "Goes to", "Not packed before",
        right=range(2, 11),
    )  # fmt: skip
    for crate in binder.quote.build.crates:
        _crate(binder, page, crate)
    page.skip()
    _told(binder, page)
    _findings(binder, page)
    page.finish(repeat=(0, 0), foot=binder.foot)


def _held(binder: Binder, page: Page) -> None:
    """Write which crates are held or accepted: why, what would pass, and how each is accepted."""
    build = binder.quote.build
    rows = held_rows((*build.held, *build.crates))
    if not rows:
        return
    page.section("Held: not cut, not in the total; and accepted by name" if build.held else "Accepted by name")
    page.heads(
        "Crate", "Standing, method and pieces", "Fails", "", "", "Found", "Allowed", "Would pass", "", "Code",
        "", "To accept", "", "",
    )  # fmt: skip
    before = ""
    for row in rows:
        crate = build.crate(row.crate)
        if row.crate != before:
            page.put(0, row.crate, "strong")
            page.put(1, f"{crate.standing}: {crate.method} with {', '.join(crate.pieces)}", "wrap")
        before = row.crate
        page.put(2, row.check, "alarm", span=3)
        page.put(5, row.found, "wrap")
        page.put(6, row.allowed, "wrap")
        page.put(7, row.would_pass, "wrap", span=2)
        page.put(9, row.code, span=2)
        page.put(11, row.how, "wrap", span=3)
        page.next()
    page.skip()


def _unpacked(binder: Binder, page: Page) -> None:
    """Write which pieces nothing packs: what speaks against every method, and what would mend it."""
    rows = unpacked_rows(binder.quote.build.unpacked)
    if not rows:
        return
    page.section("Packed by nothing: not made, not in the total")
    page.heads("Pieces", "", "Why", *[""] * 5, "Would mend it", *[""] * 5)
    for row in rows:
        page.put(0, row.pieces, "wrap", bold=True, span=2)
        page.put(2, row.why, "alarm", span=6)
        page.put(8, row.accepted, "wrap", span=_LAST - 8)
        page.next()
    page.skip()


def _crate(binder: Binder, page: Page, crate: Crate) -> None:
    """Write one crate: its figures, and below them why it is made so and what came next."""
    line: dict[str, Any] = {"top": 1, "top_color": "#C9C2B6"}
    page.keep(78 if crate.design else 48)
    page.put(0, crate.crate, "strong", **line)
    rides = f", rides in {crate.inside_of}" if crate.inside_of else ""
    page.put(1, f"{crate.method}{rides}: {', '.join(crate.pieces)}", "wrap", **line)
    for column, side in enumerate(
        (crate.outside.width, crate.outside.height, crate.outside.depth,
         crate.inside.width, crate.inside.height, crate.inside.depth), start=2,
    ):  # fmt: skip
        page.length(column, side, **line)
    for column, kg in enumerate((crate.net_kg, crate.tare_kg, crate.gross_kg), start=8):
        page.put(column, binder.styles.weight(kg), "weight", **line, bold=column == 10)
    page.put(11, crate.lift, "wrap", **line)
    page.put(12, crate.destination, "wrap", **line)
    page.put(13, crate.earliest_packing.date() if crate.earliest_packing else None, "day", **line)
    page.next()
    page.put(1, "why", "quiet", align="right")
    page.put(2, f"{crate.reason}.", "quiet wrap", span=_LAST - 2)
    page.next()
    for word, text in (
        ("built to", built_to(crate)),
        ("next best", next_priced(crate, binder.styles.units, binder.quote.currency)),
    ):
        if text:
            page.put(1, word, "quiet", align="right")
            page.put(2, f"{text}.", "quiet wrap", span=_LAST - 2)
            page.next()
    if told := accepted_line(crate):
        page.put(1, "accepted", "quiet", align="right")
        page.put(2, told, "alarm", span=_LAST - 2)
        page.next()


def _told(binder: Binder, page: Page) -> None:
    """Write what must be looked at: warnings of the crates, and what does not suit its destination."""
    told: dict[str, list[str]] = {}
    for crate in binder.quote.build.every:
        for text in crate.warnings:
            told.setdefault(text, []).append(crate.crate)
    for each in binder.quote.unsuited:
        told.setdefault(f"to {each.destination}: {each.text}", []).append(each.crate)
    page.section("To look at")
    if not told:
        page.paragraph("Nothing: no crate has a warning, and every crate suits its destination.", "quiet wrap")
    for text, crates in told.items():
        page.put(0, ", ".join(crates), "wrap", bold=True, span=2)
        page.put(2, text, "alarm", span=_LAST - 2)
        page.next()
    page.skip()


def _findings(binder: Binder, page: Page) -> None:
    """Write what the advice finds, with its figures."""
    page.section("What the advice finds")
    page.paragraph(_ADVICE, "quiet wrap")
    heads = (
        "Crates",
        "What is checked",
        "",
        "",
        "Asked",
        "There is",
        "Unit",
        "Ratio",
        "Finding",
        "Note",
        "",
        "",
        "",
        "",
    )
    page.heads(*heads, right=(4, 5, 7))
    for crates, check in _checks(binder):
        alarming = check.verdict in ("fails", "watch")
        page.put(0, ", ".join(crates), "wrap", bold=True)
        page.put(1, check.name, "wrap", span=3)
        for column, value in ((4, check.demand), (5, check.capacity), (7, check.ratio)):
            # A weight has one decimal here as everywhere: 105.45 would be rounded once more by who reads it.
            shown = "#,##0.0" if column != 7 and check.unit in ("lb", "kg") else "#,##0.00"
            page.put(column, value, "number", num_format=shown)
        page.put(6, check.unit)
        page.put(8, check.verdict, "alarm" if alarming else "quiet", bold=alarming)
        page.put(9, check.note, "quiet wrap", span=5)
        page.next()


def _checks(binder: Binder) -> Iterator[tuple[list[str], Check]]:
    """Yield the findings, what fails first, with the crates that each is the same for."""
    order = {"fails": 0, "watch": 1, "ok": 2, "info": 3}
    found: dict[Check, list[str]] = {}
    for crate in binder.quote.build.every:
        for check in crate.checks:
            found.setdefault(check, []).append(crate.crate)
    for check, crates in sorted(found.items(), key=lambda pair: order[pair[0].verdict]):
        yield list(dict.fromkeys(crates)), check

"""The Crates page: what is built, how large and heavy it is, and why so."""

from typing import Final

from nesting.crates.designs import built_to
from nesting.crates.held import accepted_line, held_rows
from nesting.crates.model import Crate
from nesting.crates.registry import called
from nesting.crates.unpacked import unpacked_rows
from pricing.output.workbook.binder import Binder
from pricing.output.workbook.page import Page
from pricing.quoting.judging import next_priced

_WIDTHS: Final = (44, 150, 52, 58, 58, 58, 58, 58, 54, 54, 58, 88, 104, 92, 230, 300)
_LEAD: Final = (
    "Every crate with its sizes and weights. Inside is the free room within the frame; outside includes battens and "
    "skids. A travel frame rides in an outer case, whose weight has the frame's in it. Next best: other designs that "
    "hold, against the one that is built; what they cost more is at area prices and paid minutes, before the layouts. "
    "What the advice finds stands on the page Checks."
)
_LAST: Final = len(_WIDTHS)


def fill(binder: Binder) -> None:
    """Write the page."""
    page = binder.page("Crates", _WIDTHS, landscape=True, breaks=False)
    page.title("Crates", _LEAD)
    unit, weight = binder.styles.length_unit, binder.styles.weight_unit
    page.list_heads(
        "Crate", "Method and pieces", *(f"{side}, {unit}" for side in ("Outside width", "height", "depth")),
        *(f"{side}, {unit}" for side in ("Inside width", "height", "depth")),
        *(f"{kind}, {weight}" for kind in ("Works", "Crate", "Gross")), "Who lifts it", "Goes to", "Not packed before",
        "Why", "Built to; next best", right=range(2, 11),
    )  # fmt: skip
    for crate in binder.quote.build.crates:
        _crate(binder, page, crate)
    page.end_list()
    page.skip()
    _held(binder, page)
    _unpacked(binder, page)
    _told(binder, page)
    page.finish(foot=binder.foot)


def _held(binder: Binder, page: Page) -> None:
    """Write which crates are held or accepted: why, what would pass, and how each is accepted."""
    build = binder.quote.build
    rows = held_rows((*build.held, *build.crates))
    if not rows:
        return
    page.section("Held: not cut, not in the total; and accepted by name" if build.held else "Accepted by name")
    page.heads(
        "Crate", "Standing, method and pieces", "Fails", "", "", "Found", "Allowed", "Would pass", "", "Code",
        "", "To accept", *[""] * 4,
    )  # fmt: skip
    before = ""
    for row in rows:
        crate = build.crate(row.crate)
        if row.crate != before:
            page.put(0, row.crate, "strong")
            page.put(1, f"{crate.standing}: {called(crate.method)} with {', '.join(crate.pieces)}", "wrap")
        before = row.crate
        page.put(2, row.check, "alarm", span=3)
        page.put(5, row.found, "wrap")
        page.put(6, row.allowed, "wrap")
        page.put(7, row.would_pass, "wrap", span=2)
        page.put(9, row.code, span=2)
        page.put(11, row.how, "wrap", span=5)
        page.next()
    page.skip()


def _unpacked(binder: Binder, page: Page) -> None:
    """Write which pieces nothing packs: what speaks against every method, and what would mend it."""
    rows = unpacked_rows(binder.quote.build.unpacked)
    if not rows:
        return
    page.section("Packed by nothing: not made, not in the total")
    page.heads("Pieces", "", "Why", *[""] * 5, "Would mend it", *[""] * 7)
    for row in rows:
        page.put(0, row.pieces, "wrap", bold=True, span=2)
        page.put(2, row.why, "alarm", span=6)
        page.put(8, row.accepted, "wrap", span=_LAST - 8)
        page.next()
    page.skip()


def _crate(binder: Binder, page: Page, crate: Crate) -> None:
    """Write one crate: its figures, why it is made so, and what came next."""
    page.put(0, crate.crate, "strong")
    rides = f", rides in {crate.inside_of}" if crate.inside_of else ""
    page.put(1, f"{called(crate.method)}{rides}: {', '.join(crate.pieces)}", "wrap")
    for column, side in enumerate(
        (crate.outside.width, crate.outside.height, crate.outside.depth,
         crate.inside.width, crate.inside.height, crate.inside.depth), start=2,
    ):  # fmt: skip
        page.length(column, side)
    for column, kg in enumerate((crate.net_kg, crate.tare_kg, crate.gross_kg), start=8):
        page.put(column, binder.styles.weight(kg), "weight", bold=column == 10)
    page.put(11, crate.lift, "wrap")
    page.put(12, crate.destination, "wrap")
    page.put(13, crate.earliest_packing.date() if crate.earliest_packing else None, "day")
    told = accepted_line(crate)
    page.put(14, "\n".join(filter(None, (f"{crate.reason}.", told))), "alarm" if told else "quiet wrap")
    following = next_priced(crate, binder.styles.units, binder.quote.currency)
    more = (f"{built_to(crate)}." if built_to(crate) else "", f"Next best: {following}." if following else "")
    page.put(15, "\n".join(filter(None, more)), "quiet wrap")
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

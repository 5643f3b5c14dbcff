"""The schedule of works on paper: both sides, the works with their amounts, what holds, and lines to sign."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Final

from nesting.base.ratio import ratio_text
from nesting.base.writing import PLAIN, Writing
from nesting.drawings.packet.paper import PaperName
from pricing.money import total
from pricing.output.letterhead import INK, QUIET, SMALL, Column, Heading, Letterhead, tightest
from pricing.output.offer.content import LOGO
from pricing.output.papers.consignment import Consignment
from pricing.output.papers.paper import Look, Paper
from pricing.output.papers.schedule import ASK, Listed, Schedule, is_consigned, schedules

TITLE: Final = "Schedule of works on consignment"
_WRITE: Final = "_________"
"""Where an amount is to be written."""
_GAP: Final = 16.0


def schedule_pdf(
    schedule: Schedule,
    pictures: Mapping[str, bytes],
    paper: PaperName = "letter",
    writing: Writing = PLAIN,
) -> bytes:
    """Return a schedule as PDF; ``pictures`` may hold the studio's logo."""
    heading = Heading(TITLE, schedule.studio, schedule.number, schedule.day, schedule.name, schedule.warning, writing)

    def fill(page: Letterhead) -> None:
        page.aside = 96.0
        page.head(pictures.get(LOGO))
        page.blocks((("Artist", schedule.artist), ("Gallery", schedule.gallery)), (schedule.number, schedule.day, ""))
        if schedule.destination:
            page.pair("Goes to", schedule.destination)
        _works(page, schedule)
        _held(page, schedule)
        _laws(page, schedule)
        _signed(page)

    return tightest(lambda close: Letterhead(heading, paper, close=close), fill)


def _works(page: Letterhead, schedule: Schedule) -> None:
    """Write the works, a row each, and their sums."""
    page.section("The works", 70)
    valued = any(work.declared or work.answered is None for work in schedule.works)
    amounts = ["List price", "Least price", "Commission", "To the artist", *(["Value if lost"] if valued else [])]
    money: list[Column] = [(head, 54, "RIGHT") for head in amounts]
    told = page.epw - 46 - sum(width for _, width, _ in money)
    columns: list[Column] = [("Work", 46, "LEFT"), ("Size: height × width × depth", told, "LEFT"), *money]
    rows = [(*_row(page, told, work), *([_amount(work.answered)] if valued else [])) for work in schedule.works]
    page.grid(columns, rows, bold=True)
    page.ln(2)
    page.line_of(f"Amounts in {schedule.currency}. {_sums(schedule)}", SMALL)


def _row(page: Letterhead, width: float, work: Listed) -> tuple[str, ...]:
    """Return the cells of a work, without the value if it is lost; its title may be long, and gives way."""
    title = page.clipped(work.title or "Title not given", width, 3)
    made = f"cost of production {work.division.production:,.2f}" if work.division.production else ""
    edition = f"edition {work.edition}" if work.edition else ""
    return (
        work.piece,
        "\n".join(filter(None, (title, work.about, work.size, ", ".join(filter(None, (edition, made)))))),
        _amount(work.price),
        _amount(work.least),
        f"{ratio_text(work.division.commission)}\n{_amount(work.kept)}",
        _amount(work.artist),
    )


def _amount(amount: Decimal | None) -> str:
    return _WRITE if amount is None else f"{amount:,.2f}"


def _sums(schedule: Schedule) -> str:
    """Return what all works come to, and what the artist has left of it."""
    works = schedule.works
    if any(each.price is None for each in works):
        return "Sums are written when every list price is."
    prices, artist, net = (total(getattr(each, key) for each in works) for key in ("price", "artist", "net"))
    told = f"In all: list price {prices:,.2f}, to the artist {artist:,.2f}"
    if net != artist:
        told = f"{told}, of which packing, freight and insurance take {artist - net:,.2f}: {net:,.2f} are left"
    return f"{told}." + (f" The list prices are {schedule.other}." if schedule.other else "")


def _held(page: Letterhead, schedule: Schedule) -> None:
    """Write what holds, with lines for what nobody said, and a discount in figures."""
    page.section("What holds", 60)
    for held in schedule.held:
        page.fact(held.label, held.text)
        if held.label == "Discount" and schedule.example:
            page.pair("", f"For example, {schedule.example}")


def _laws(page: Letterhead, schedule: Schedule) -> None:
    """Write what laws say of it, small, and whom to ask."""
    page.section("Before you sign", 240 if schedule.statutes else 150)  # what is signed stands on the page
    page.line_of(ASK, SMALL)
    if schedule.statutes:
        page.points([f"{each.where} ({each.cited}): {each.says}." for each in schedule.statutes], SMALL, QUIET)


def _signed(page: Letterhead) -> None:
    """Leave room for both to sign, side by side."""
    page.room(92)
    page.ln(page.gap)
    top, half = page.y, (page.epw - _GAP) / 2
    for place, text in enumerate(("For the artist", "For the gallery, which received the works above in good order")):
        left = page.l_margin + place * (half + _GAP)
        page.set_xy(left, top)
        page.ink()
        page.cell(half, page.high, text)
        page.set_draw_color(INK)
        page.set_line_width(0.6)
        page.y = top + page.high
        for parts in ((("Signature", half),), (("Name in print", half * 0.62 - 8), ("Date", half * 0.38))):
            page.y += 22
            x = left
            for label, width in parts:
                page.line(x, page.y, x + width, page.y)
                page.set_xy(x, page.y + 1)
                page.ink(SMALL, grey=QUIET)
                page.cell(width, 10, label)
                page.y -= 1
                x += width + 8
            page.y += 8
    page.x = page.l_margin
    page.ink()


def _wanted(consignment: Consignment) -> bool:
    return any(is_consigned(consignment, work) for work in consignment.works)


def _made(consignment: Consignment, look: Look) -> list[bytes]:
    return [schedule_pdf(each, look.pictures, look.paper, look.writing) for each in schedules(consignment)]


def _missing(consignment: Consignment) -> list[str]:
    return [each for schedule in schedules(consignment) for each in (*schedule.missing, *schedule.doubts)]


def _count(consignment: Consignment) -> int:
    return len(schedules(consignment))


SCHEDULE: Final = Paper("schedule-of-works", TITLE, _wanted, _made, _missing, _count)

"""The Quote page, for the client: who, for what, what is included, what it costs, on which terms."""

from collections import Counter
from collections.abc import Iterator
from datetime import timedelta
from decimal import Decimal
from typing import Any, Final

from nesting.base.counts import joined
from nesting.base.measure import format_length
from nesting.crates.registry import method_of, methods
from nesting.crates.unpacked import UNPACKED
from nesting.order import Artwork
from pricing.money import total
from pricing.output.workbook.binder import Binder
from pricing.output.workbook.by_place import taxes
from pricing.output.workbook.page import Formula, Page
from pricing.output.workbook.style import INK, WOOD
from pricing.quoting.incomplete import WORD, told, unpaid
from pricing.quoting.lacks import LACKING, graves
from pricing.quoting.ladder import StepKey

_WIDTHS: Final = (84, 176, 160, 42, 186, 100)
TERMS: Final = (
    "Prices hold until the day above. After it we are glad to quote again.",
    "Freight and insurance are estimates with the days given; what the carrier and the insurer bill replaces them.",
    "The price covers what is listed here. Changes of the works, their number or their destination change it.",
)
_CAUTIONS: Final = (
    "Resin goes on curing after it is hard to the touch: no piece is packed before the day that its pour allows.",
    "What this quote says of strength and cushioning is advice from published formulas, not a certification.",
    "Local codes, carriers' rules and licensed practice come first.",
)


def fill(binder: Binder) -> None:
    """Write the page."""
    page = binder.page("Quote", _WIDTHS, breaks=False)
    _head(binder, page)
    _works(binder, page)
    _included(binder, page)
    _totals(binder, page)
    _listed(page, "Terms", TERMS)
    _listed(page, "Please note", tuple(_cautions(binder)))
    page.finish(foot=binder.foot)


def _head(binder: Binder, page: Page) -> None:
    """Write who quotes, and number, day, validity and subject."""
    quote, studio = binder.quote, binder.quote.build.shop.studio
    page.put(0, studio.name, "title", font_size=16, font_color=INK)
    page.next(26)
    for text in (*studio.address.splitlines(), "   ".join(part for part in (studio.phone, studio.email) if part)):
        if text.strip():
            page.put(0, text.strip(), "quiet")
            page.next()
    page.put(0, None, span=page.columns, bottom=1, bottom_color=WOOD)
    page.next(8)
    page.skip(10)
    page.put(0, "Quote for packing and shipping", "title")
    page.next(30)
    rates = quote.rates.price
    page.put(0, "Number", "quiet")
    page.put(1, quote.number or "not numbered yet", yours=True, bold=True)
    page.next()
    page.put(0, "Date", "quiet")
    page.put(1, quote.on, "day", yours=True, name="quote_date")
    page.next()
    page.put(0, "Holds until", "quiet")
    page.put(
        1, Formula("quote_date+valid_days", quote.on + timedelta(days=rates.valid_days)), "day", name="valid_until"
    )
    page.next()
    page.put(0, "For", "quiet")
    page.put(1, quote.build.order.name, "wrap", span=3)
    page.next()
    page.skip()


def _works(binder: Binder, page: Page) -> None:
    """Write the works, a line of the order a row, each with its part of the total."""
    quote, units = binder.quote, binder.quote.build.units
    page.section("The works")
    size = f"Width × height × depth, {binder.styles.length_unit}"
    page.heads("Piece", "Title", size, "No.", "Travels in", binder.money("Its part"), right=(3, 5))
    first = page.row
    for artwork in quote.build.order.artworks:
        copies = list(artwork.copies())
        page.put(0, artwork.piece, "wrap", bold=True)
        page.put(1, artwork.title, "wrap")
        sides = (artwork.width, artwork.height, artwork.depth)
        page.put(2, " × ".join(format_length(side, units) for side in sides), "wrap")
        page.put(3, artwork.quantity, "count")
        page.put(4, "; ".join(filter(None, (_travels(binder, copies), _incomplete(binder, copies)))), "wrap")
        cells = [binder.refs["share", copy.piece] for copy in copies]
        value = total(quote.share(copy.piece).total for copy in copies)
        page.put(5, Formula(f"ROUND({'+'.join(cells)},2)" if len(cells) < 60 else _range_sum(cells), value), "money")
        page.next()
    everything = "All works: packing, freight, insurance and tax"
    page.put(0, ", ".join(filter(None, (everything, quote.without))), "strong", span=5, top=1)
    text = f"ROUND(SUM({page.cell(5, first)}:{page.cell(5, page.row - 1)}),2)"
    page.put(5, Formula(text, quote.total), "money", top=1, bold=True)
    page.next()
    page.skip()


def _range_sum(cells: list[str]) -> str:
    """Return the sum of cells that stand below each other."""
    return f"ROUND(SUM({cells[0]}:{cells[-1].split('!')[1]}),2)"


def _travels(binder: Binder, copies: list[Artwork]) -> str:
    """Say which crates the copies of a piece travel in."""
    found = (binder.quote.share(copy.piece).crate for copy in copies)
    names = list(dict.fromkeys(filter(None, found))) or [""]
    build = binder.quote.build
    if names[0] not in binder.crate_at:
        return f"{UNPACKED}: not made, not in the price"
    crate = build.crate(names[0])
    kind = method_of(crate)
    first = binder.crate_at[names[0]]
    every = [each.crate for each in build.every[first : first + len(names)]]
    run = f"{names[0]} to {names[-1]}" if every == names else ", ".join(names)
    told = f"{kind.one} {names[0]}" if len(names) == 1 else f"{kind.many} {run}"
    told = f"{told}, case {crate.inside_of}" if crate.inside_of else told
    mine = set(names)
    held = [each for each in build.held if each.crate in mine]
    if not held:
        return told
    which = "" if len(held) == len(names) else f"{', '.join(each.crate for each in held)} "
    return f"{told}; {which}held: not made, not in the price"


def _incomplete(binder: Binder, copies: list[Artwork]) -> str:
    """Say what the part of a piece lacks, copies together."""
    pieces = binder.quote.incomplete_pieces
    return told(list(dict.fromkeys(line for copy in copies for line in pieces.get(copy.piece, ()))))


def _included(binder: Binder, page: Page) -> None:
    page.section("What is included")
    for text in _includes(binder):
        page.paragraph(text if isinstance(text, Formula) else f"•  {text}")
    page.skip()


def _includes(binder: Binder) -> Iterator[str | Formula]:
    """Yield what the price covers, as plain sentences."""
    quote = binder.quote
    counts = Counter(crate.method for crate in quote.build.crates)
    made = [kind.listed(counts[name]) for name, kind in methods().items() if counts[name]]
    if made:
        yield f"{joined(made)}, with all materials and hardware, made to the measure of the works."
    else:
        yield "Nothing is made: every crate is held."
    if quote.labour:
        yield _figure(
            "The work of cutting, building, wrapping and mounting: ", "hours_of_work", quote.hours, " hours.", "0.0"
        )
    missing = unpaid(quote.shipments, quote.rates)
    for shipment in quote.shipments:
        place = ", ".join(filter(None, (shipment.destination, shipment.way)))
        if shipment in missing:
            title = shipment.chosen.title.lower()
            why = f"{title} is refused for these crates" if shipment.chosen.refused else "its carrier has no rates"
            yield f"To {place}: {WORD}, no freight, since {why}."
        elif not shipment.chosen.charges:
            yield f"To {place}: no freight; {shipment.chosen.title[:1].lower()}{shipment.chosen.title[1:]}."
        else:
            yield f"Freight to {place}: {shipment.chosen.title}, {shipment.chosen.estimate}."
    value = total(binder.insured.values())
    if value and quote.rates.insurance.rate:
        words = f"Insurance in transit for a declared value of {quote.currency} "
        yield _figure(words, "declared_value", value, ".", "0.00")
    elif not quote.rates.insurance.rate:
        yield "No insurance in transit."


def _figure(before: str, name: str, value: Decimal, after: str, decimals: str) -> Formula:
    """Return a sentence with a figure that follows its cell."""
    shown = f"{value:,.{len(decimals) - 2}f}"
    return Formula(f'"•  {before}"&TEXT({name},"#,##{decimals}")&"{after}"', f"•  {before}{shown}{after}")


def _totals(binder: Binder, page: Page) -> None:
    """Write the price in a few rows, each a formula over the Costs page."""
    quote = binder.quote
    rows: list[tuple[str, str, StepKey]] = [("Packing: crates, materials and work", "after_rounding", "rounding")]
    if not quote.rates.price.freight_marked_up:
        rows += [
            (f"Freight, an estimate{f', {WORD}' if quote.incomplete else ''}", "step_freight", "freight"),
            ("Insurance, an estimate", "step_insurance", "insurance"),
        ]
    page.section("The price")
    for title, name, key in rows:
        step = quote.step(key)
        page.put(2, title, span=3)
        page.put(5, Formula(name, step.running if key == "rounding" else step.amount), "money")
        page.next()
    _taxes(binder, page)
    style: dict[str, Any] = {"top": 1, "bottom": 6, "bold": True, "font_size": 12}
    if quote.without:
        page.put(0, f"Total, {quote.without}", "wrap", span=4, **style)
    else:
        page.put(2, "Total", span=2, **style)
    number = {"num_format": binder.styles.total_format}
    page.put(4, Formula("quote_total", quote.total), "money", span=2, **style, **number)
    page.next(max(22, page.needed))
    _lacks(binder, page)
    page.skip()


def _taxes(binder: Binder, page: Page) -> None:
    """Write a row for each tax, and why where nothing is due."""
    for each in taxes(binder):
        rule = each.tax.rule
        title = rule.name if each.alone else f"{rule.name}, {each.where}"
        page.put(2, f"{title}: {rule.reason}" if rule.reason else title, "wrap", span=2)
        page.put(4, Formula(each.rate, rule.rate), "rate")
        page.put(5, Formula(each.amount, each.tax.amount), "money")
        page.next()


def _lacks(binder: Binder, page: Page) -> None:
    """Write below the total what it lacks; what else is to be known before it goes out stands under Assumptions."""
    grave = graves(binder.quote.lacks)
    if grave:
        page.skip(4)
        page.paragraph(LACKING, "alarm", bold=True)
    for lack in grave:
        page.paragraph(f"•  {lack.whole}", "alarm")


def _listed(page: Page, title: str, texts: tuple[str, ...]) -> None:
    page.section(title)
    for text in texts:
        page.paragraph(f"•  {text}", "quiet wrap", font_size=8)
    page.skip(4)


def _cautions(binder: Binder) -> Iterator[str]:
    """Yield what the client must know."""
    days = {crate.earliest_packing.date() for crate in binder.quote.build.crates if crate.earliest_packing}
    cure, *others = cautions()
    yield f"{cure} For these works that is {max(days).isoformat()} at the latest." if days else cure
    yield from others


def cautions() -> tuple[str, ...]:
    """Return what holds for every order, how crates are opened last: upright, or as their method says."""
    otherwise = "".join(f", a {kind.one} {kind.stands}" for kind in methods().values() if kind.stands)
    return (
        *_CAUTIONS,
        f"Open a crate upright, by the side that is marked{otherwise}; keep all for the way back.",
    )

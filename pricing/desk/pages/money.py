"""Money: the quote as a page, with prices, rates and quantities to change, and what each artwork bears."""

from dataclasses import replace
from typing import Any, Final

from starlette.responses import Response
from starlette.routing import Route

from nesting.base.counts import plural
from nesting.crates.designs import foam_line
from nesting.crates.limits import as_ordered
from nesting.crates.registry import method_of
from nesting.crates.unpacked import UNPACKED
from nesting.drawings.packet.names import SECTION_NAMES
from pricing.desk.call import BadRequestError, Call, endpoint
from pricing.desk.content import Content
from pricing.desk.desk import Desk
from pricing.desk.lacking import shown as shown_lacks
from pricing.desk.origins.bearing import step_told
from pricing.desk.origins.model import Address
from pricing.desk.pages.common import asked, change_job, job_page
from pricing.desk.rulebook import rate_rules, rule_called, shown_range, stored_text
from pricing.desk.rulebook import shown as rule_shown
from pricing.desk.studio import for_job, repriced
from pricing.desk.table import with_cell
from pricing.money import typed_amount
from pricing.quoting.incomplete import unpaid
from pricing.quoting.ladder import markup_and_margin
from pricing.quoting.lines import Line
from pricing.quoting.quote import Quote, charged_told
from pricing.quoting.sale import SAID
from pricing.quoting.taxes import by_place
from pricing.studio.rates_file import default_rates
from pricing.studio.rule_words import label_of

LEVERS: Final = (
    "price.charge", "price.waste", "price.sheet_waste", "price.contingency", "price.overhead", "price.profit",
    "price.profit_rate", "price.discount", "price.minimum", "price.round_to", "tax.rate", "sale.commission",
    "sale.shipping_paid_by",
)  # fmt: skip
"""Rates that stand on the money page itself."""
_MOST_COPIES: Final = 999


def shown(call: Call[Desk]) -> Response:
    """Show the quote."""
    sheaf = asked(call, wait=False)
    quote = sheaf.answer.quote if sheaf.answer else None
    lacks = shown_lacks(quote.lacks, sheaf.row.id) if quote else []
    later = call.request.query_params.get("version") == "next"
    to = Address(sheaf.row.id, "version=next" if later else "")
    return job_page(
        call, "money.html", "money", sheaf, quote=quote, lacks=lacks, leads_to=to, **(_figures(quote) if quote else {})
    )


def _figures(quote: Quote) -> dict[str, Any]:
    """Return what the page shows beside the quote itself."""
    rules = {rule.name: rule for rule in rate_rules(quote.rates, default_rates(quote.rates.sizes))}
    columns_used = [name for name in quote.shares[0].columns if any(share.columns[name] for share in quote.shares)]
    sections: dict[str, list[Any]] = {}
    for line in (*quote.lines, *quote.passed):
        sections.setdefault(line.section, []).append(line)
    held = [crate for crate in quote.build.held if not method_of(crate).is_case]
    return {
        "sections": sections, "packet_sections": SECTION_NAMES,
        "levers": [rules[name] for name in LEVERS], "share_columns": columns_used, "value": rule_shown,
        "step_told": step_told, "freight_lines": _first_lines(quote),
        "charged": charged_told(quote), "both": markup_and_margin(quote.rates.price),
        "not_cut": {
            **{piece: f"{crate.crate} held" for crate in held for piece in crate.pieces},
            **{each.piece: UNPACKED for each in quote.build.unpacked},
        },
        "sales": {sale.piece: sale for sale in quote.sales}, "unpaid": unpaid(quote.shipments, quote.rates),
        "said": SAID, "taxes": by_place(quote.levied),
        "foam": foam_line(quote.build.every, as_ordered(quote.build.shop, quote.build.order).case.cushion),
    }  # fmt: skip


def _first_lines(quote: Quote) -> dict[str, Line]:
    """Return the first line of each shipment, which tells all that its carrier asks."""
    found: dict[str, Line] = {}
    for line in (*quote.lines, *quote.passed):
        for shipment in quote.shipments if line.section == "freight" else ():
            if line.key.startswith(f"freight:{shipment.key}:"):
                found.setdefault(shipment.key, line)
    return found


def price(call: Call[Desk]) -> Response:
    """Change a price for this job; nothing takes the job's own price away again."""
    stock, typed = call.text("stock"), call.text("price", 40)
    row = call.desk.papers.book.by_stock.get(stock)
    if row is None:
        raise BadRequestError(f"there is no {stock} in the price book")
    text, currency = "", call.desk.papers.book.currency
    if typed:
        try:
            text = f"{typed_amount(typed, currency):f}"
            repriced(row, text)
        except ValueError as error:
            raise BadRequestError(str(error), "price") from None

    def change(content: Content) -> Content:
        kept = {key: value for key, value in content.prices.items() if key != stock}
        return replace(content, prices={**kept, stock: text} if text else kept)

    what = f"price of {stock}: {text or 'as in the price book'}"
    return change_job(call, change, what, _back(call, "money"), {"price": text} if text else {})


def rate(call: Call[Desk]) -> Response:
    """Change a rate or a rule for this job; nothing takes the job's own away again."""
    name, typed = call.text("rule"), call.text("value", 200)
    rates = call.desk.papers.rates
    rule = rule_called(name, rate_rules(rates, default_rates(rates.sizes)))
    try:
        text = stored_text(rule, typed, rates.currency) if rule and typed else typed
    except ValueError as error:
        raise BadRequestError(str(error), "value") from None

    def change(content: Content) -> Content:
        kept = {key: value for key, value in content.rules.items() if key != name}
        made = replace(content, rules={**kept, name: text} if text else kept)
        try:
            for_job(call.desk.papers.office(), made)
        except ValueError as error:
            accepted = shown_range(rule) if rule else ""
            raise BadRequestError(f"write {accepted}" if accepted else str(error), "value") from None
        return made

    shows = rule_shown(rule, text) if rule and text and not rule.words else text
    what = f"{label_of(name)}: {shows or 'as in the shop'}"
    return change_job(call, change, what, _back(call, "money"), {"value": shows} if shows else {})


def quantity(call: Call[Desk]) -> Response:
    """Change how many copies of a piece there are."""
    piece, text = call.text("piece"), call.text("count", 20)
    if not (text.isdecimal() and 1 <= int(text) <= _MOST_COPIES):
        raise BadRequestError(f"write a whole number from 1 to {_MOST_COPIES}", "count")
    count = int(text)

    def change(content: Content) -> Content:
        return with_cell(content, piece, "quantity", str(count))

    return change_job(call, change, f"{piece}: {plural(count, 'copy', 'copies')}", _back(call, "money"))


def _back(call: Call[Desk], page: str) -> str:
    return f"/jobs/{call.number('job')}/{page}"


ROUTES = (
    Route("/jobs/{job:int}/money", endpoint(shown)),
    Route("/jobs/{job:int}/price", endpoint(price), methods=["POST"]),
    Route("/jobs/{job:int}/rate", endpoint(rate), methods=["POST"]),
    Route("/jobs/{job:int}/quantity", endpoint(quantity), methods=["POST"]),
)

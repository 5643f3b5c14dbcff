"""Money: the quote as a page, with prices, rates and quantities to change, and what each artwork bears."""

from dataclasses import replace
from typing import Any, Final

from starlette.responses import Response
from starlette.routing import Route

from nesting.crates.designs import foam_line
from nesting.crates.limits import as_ordered
from nesting.crates.registry import method_of
from nesting.crates.unpacked import UNPACKED
from nesting.drawings.packet.names import SECTION_NAMES
from pricing.desk.call import BadRequestError, Call, endpoint
from pricing.desk.content import Content
from pricing.desk.desk import Desk
from pricing.desk.lacking import shown as shown_lacks
from pricing.desk.pages.common import asked, change_job, job_page
from pricing.desk.rulebook import rate_rules
from pricing.desk.studio import for_job, repriced
from pricing.desk.table import with_cell
from pricing.quoting.incomplete import unpaid
from pricing.quoting.ladder import markup_and_margin
from pricing.quoting.quote import Quote, charged_told
from pricing.quoting.sale import SAID
from pricing.quoting.taxes import by_place
from pricing.studio.rates_file import default_rates

LEVERS: Final = (
    "price.charge", "price.waste", "price.sheet_waste", "price.contingency", "price.overhead", "price.profit",
    "price.profit_rate", "price.discount", "price.minimum", "price.round_to", "tax.rate", "sale.commission",
    "sale.shipping_paid_by",
)  # fmt: skip
"""Rates that stand on the money page itself."""


def shown(call: Call[Desk]) -> Response:
    """Show the quote."""
    sheaf = asked(call)
    quote = sheaf.answer.quote if sheaf.answer else None
    lacks = shown_lacks(quote.lacks, sheaf.row.id) if quote else []
    return job_page(call, "money.html", "money", sheaf, quote=quote, lacks=lacks, **(_figures(quote) if quote else {}))


def _figures(quote: Quote) -> dict[str, Any]:
    """Return what the page shows beside the quote itself."""
    rules = {rule.name: rule for rule in rate_rules(quote.rates, default_rates())}
    columns_used = [name for name in quote.shares[0].columns if any(share.columns[name] for share in quote.shares)]
    sections: dict[str, list[Any]] = {}
    for line in (*quote.lines, *quote.passed):
        sections.setdefault(line.section, []).append(line)
    held = [crate for crate in quote.build.held if not method_of(crate).is_case]
    return {
        "sections": sections, "packet_sections": SECTION_NAMES,
        "levers": [rules[name] for name in LEVERS], "share_columns": columns_used,
        "charged": charged_told(quote), "both": markup_and_margin(quote.rates.price),
        "not_cut": {
            **{piece: f"{crate.crate} held" for crate in held for piece in crate.pieces},
            **{each.piece: UNPACKED for each in quote.build.unpacked},
        },
        "sales": {sale.piece: sale for sale in quote.sales}, "unpaid": unpaid(quote.shipments, quote.rates),
        "said": SAID, "taxes": by_place(quote.levied),
        "foam": foam_line(quote.build.every, as_ordered(quote.build.shop, quote.build.order).case.cushion),
    }  # fmt: skip


def price(call: Call[Desk]) -> Response:
    """Change a price for this job; nothing takes the job's own price away again."""
    stock, text = call.text("stock"), call.text("price", 40)
    row = call.desk.papers.book.by_stock.get(stock)
    if row is None:
        raise BadRequestError(f"there is no {stock} in the price book")
    if text:
        try:
            repriced(row, text)
        except ValueError as error:
            raise BadRequestError(f"{stock}: {error}") from None

    def change(content: Content) -> Content:
        kept = {key: value for key, value in content.prices.items() if key != stock}
        return replace(content, prices={**kept, stock: text} if text else kept)

    return change_job(call, change, f"price of {stock}: {text or 'as in the price book'}", _back(call, "money"))


def rate(call: Call[Desk]) -> Response:
    """Change a rate or a rule for this job; nothing takes the job's own away again."""
    name, text = call.text("rule"), call.text("value", 200)

    def change(content: Content) -> Content:
        kept = {key: value for key, value in content.rules.items() if key != name}
        made = replace(content, rules={**kept, name: text} if text else kept)
        for_job(call.desk.papers.office(), made)
        return made

    return change_job(call, change, f"{name}: {text or 'as in the shop'}", _back(call, "money"))


def quantity(call: Call[Desk]) -> Response:
    """Change how many copies of a piece there are."""
    piece, count = call.text("piece"), call.number("count")
    if not 1 <= count <= 999:
        raise BadRequestError("quantity: a whole number from 1 to 999")

    def change(content: Content) -> Content:
        return with_cell(content, piece, "quantity", str(count))

    return change_job(call, change, f"{piece}: {count} copies", _back(call, "money"))


def _back(call: Call[Desk], page: str) -> str:
    return f"/jobs/{call.number('job')}/{page}"


ROUTES = (
    Route("/jobs/{job:int}/money", endpoint(shown)),
    Route("/jobs/{job:int}/price", endpoint(price), methods=["POST"]),
    Route("/jobs/{job:int}/rate", endpoint(rate), methods=["POST"]),
    Route("/jobs/{job:int}/quantity", endpoint(quantity), methods=["POST"]),
)

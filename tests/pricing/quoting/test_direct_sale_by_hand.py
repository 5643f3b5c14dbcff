"""A direct sale with tax, priced by hand, line by line: one piece of 12 x 12 in to a buyer at home.

Every price, minute and rate that counts stands here, so that nobody's later default moves it. All of them are invented.
The closed crate is made by hand too: two faces of 18 x 18 in, two rails of 18 x 4 and two stiles of 16 x 4.
"""

from collections.abc import Mapping
from dataclasses import fields, replace
from datetime import date
from decimal import Decimal
from typing import Any, Final

from nesting.base.measure import INCH
from nesting.order import Artwork, Order
from pricing.money import total
from pricing.quoting.quote import Quote, quote
from pricing.studio.destinations import Destination, Destinations
from pricing.studio.office import Office
from pricing.studio.pricebook_file import default_price_book
from pricing.studio.rates import FreightProfile, InsuranceRules, LabourRules, PriceRules
from pricing.studio.rates_file import default_rates
from pricing.studio.sale_terms import SaleTerms
from tests.pricing.builds import build_of, closed

BUYER: Final = "A buyer at home"
PRICES: Final = {
    "ply-23/32 4x8": "58.00", "ply-3/8 4x8": "36.00", "glassine 48in x 100yd": "96.00",
    "screw 8x2-1/2 box 100": "11.80", "wood-glue 500g": "8.90", "hour saw": "46.00", "hour bench": "42.00",
    "hour packing": "48.00",
}  # fmt: skip
MINUTES: Final = {
    "load": "3", "setup": "1", "rip": "0.75", "crosscut": "0.5", "strip": "0.75", "hole": "0.25", "screw": "0.2",
    "glue_run": "1.5", "assembly": "12", "wrap": "12", "mounting": "15",
}  # fmt: skip
LINES: Final = {
    # Twice 4 in and two kerfs of 1/8 come off the length of 96; 87 3/4 x 48 = 4,212 of 4,608 in2 are kept and bear half
    # of what they cost: 1 - 0.5 x 4,212 / 4,608 = 0.542969; x 58.00 = 31.4922.
    "sheets:ply-23/32 4x8": "31.49",
    # 18 in and a kerf come off its length; 77 7/8 x 48 = 3,738 in2 are kept: 0.594401 x 36.00 = 21.3984.
    "sheets:ply-3/8 4x8": "21.40",
    # 18 in off 3,600 in of roll and a tenth for waste: 0.0055 x 96.00 = 0.528.
    "rolls:glassine 48in x 100yd": "0.53",
    # 24 of 100, and a tenth: 0.264 x 11.80 = 3.1152; 60 g of 500, and a tenth: 0.132 x 8.90 = 1.1748.
    "hardware:screw 8x2-1/2 box 100": "3.12",
    "hardware:wood-glue 500g": "1.17",
    # Two sheets: 6 min. Fence at 8 1/8 and 4 in across, 18 and 16 along; at 18 across and 18 along on the other: 6 min.
    "labour:load": "4.60",
    "labour:setup": "4.60",
    # 4 + 2 rips: 4.5 min; 2 + 1 crosscuts: 1.5 min; of 46.00 an hour 0.075 and 0.025.
    "labour:rip": "3.45",
    "labour:crosscut": "1.15",
    # One strip: 0.0125 h x 48.00. 30 holes: 0.125 h, 24 screws: 0.08 h, 4 runs of glue: 0.1 h, 3 assemblies: 0.6 h, at
    # 42.00. One layer: 0.2 h, one mounting: 0.25 h, at 48.00.
    "labour:strip": "0.60",
    "labour:hole": "5.25",
    "labour:screw": "3.36",
    "labour:glue_run": "4.20",
    "labour:assembly": "25.20",
    "labour:wrap": "9.60",
    "labour:mounting": "12.00",
}
STEPS: Final = {
    "direct": "131.72",
    "contingency": "6.59",  # 5 % of 131.72 = 6.586
    "overhead": "13.83",  # 10 % of 138.31
    "profit": "38.04",  # 25 % of 152.14 = 38.035, half up
    "discount": "0.00",
    "minimum": "0.00",
    "rounding": "-0.18",  # 190.18 to 190.00
    "freight": "85.00",
    "insurance": "7.20",  # 0.6 % of 1,200.00, the piece's price
    "tax": "24.41",  # 8.875 % of 190.00 + 85.00 = 24.40625; insurance is not taxed
}


def rates_of(minutes: Mapping[str, str]) -> LabourRules:
    """Return rules of labour with so many minutes, and none for all else."""
    rules = default_rates().labour
    kept: dict[str, Any] = {
        each.name: Decimal(minutes.get(each.name, "0"))
        for each in fields(rules)
        if isinstance(getattr(rules, each.name), Decimal)
    }
    return replace(rules, **kept)


def sold() -> Quote:
    """Price the sale."""
    piece = Artwork("A-01", 12 * INCH, 12 * INCH, 2 * INCH, price=Decimal("1200.00"), destination=BUYER)
    build = build_of(Order("by hand", (piece,)), (replace(closed("K1", "A-01", 12, 12), destination=BUYER),))
    book = default_price_book()
    rows = [replace(row, price=Decimal(PRICES[row.stock]), breaks=()) for row in book.rows if row.stock in PRICES]
    price = PriceRules(
        charge="used", waste=Decimal("0.10"), offcut_value=Decimal("0.5"), contingency=Decimal("0.05"),
        overhead=Decimal("0.10"), profit="markup", profit_rate=Decimal("0.25"), minimum=Decimal("75.00"),
        round_to=Decimal("1.00"),
    )  # fmt: skip
    parcel = FreightProfile("carrier", "fixed", title="A carrier's quotation", amount=Decimal("85.00"))
    rates = replace(
        default_rates(), price=price, labour=rates_of(MINUTES), insurance=InsuranceRules(rate=Decimal("0.006")),
        freight=(parcel,), delivery=replace(default_rates().delivery, profile="carrier"),
    )  # fmt: skip
    terms = SaleTerms(Decimal(0), "buyer", "Sales tax", Decimal("0.08875"), ("art", "work", "freight"))
    places = Destinations((Destination(BUYER, "US", residential=True, terms=terms),))
    return quote(build, Office(book=replace(book, rows=tuple(rows)), rates=rates, destinations=places),
                 on=date(2026, 11, 1))  # fmt: skip


def test_every_line_and_step() -> None:
    made = sold()
    assert {line.key: str(line.amount) for line in made.lines} == LINES
    assert {step.key: str(step.amount) for step in made.steps} == STEPS
    assert made.total == total(map(Decimal, STEPS.values())) == Decimal("306.61")
    assert [share.total for share in made.shares] == [made.total]


def test_what_the_buyer_pays() -> None:
    """1,200.00 and 8.875 % of it, 106.50, and the 306.61 of packing and way, tax within: 1,613.11; no gallery."""
    sale = sold().sales[0]
    got = (sale.list_price, sale.tax, sale.shipping, sale.delivered, sale.gallery, sale.artist)
    assert [str(each) for each in got] == ["1200.00", "106.50", "306.61", "1613.11", "0.00", "1200.00"]
    assert (sale.paid_by, sale.said) == ("buyer", "place")

"""A consignment abroad by two carriers and a refused leg, priced by hand, line by line.

One crate flies as a parcel; a case goes by our van to the airport, by air, and through a handler there, who refuses it:
that leg is not known and not nothing. Every price, minute and rate that counts stands here, all of them invented.
"""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Final

from pricing.money import total
from pricing.quoting.quote import Quote, quote
from pricing.studio.destinations import Destination, Destinations
from pricing.studio.office import Office
from pricing.studio.pricebook import PriceBook
from pricing.studio.pricebook_file import default_price_book
from pricing.studio.rates import (
    DeliveryRules,
    FreightProfile,
    InsuranceRules,
    LabourRules,
    PriceRules,
    Rates,
)
from pricing.studio.sale_terms import SaleTerms
from tests.pricing.builds import small_build

PLACE: Final = "Harbour Gallery"
DAY: Final = date(2026, 10, 1)
PRICES: Final = {
    "ply-23/32 4x8": "58.00", "ply-3/8 4x8": "36.00", "osb-7/16 4x8": "21.00", "2x3 8ft": "4.10",
    "glassine 48in x 100yd": "96.00", "screw 8x2-1/2 box 100": "11.80", "wood-glue 500g": "8.90",
    "hour saw": "46.00", "hour bench": "42.00", "hour packing": "48.00",
}  # fmt: skip
PARCEL: Final = FreightProfile(
    "parcel", "parcel", DAY, base=Decimal("30.00"), per_lb=Decimal("2.10"), fuel=Decimal("0.12"),
    heaviest_lb=Decimal(70), countries="US FR", transit_days=4,
)  # fmt: skip
VAN: Final = FreightProfile(
    "van", "van", DAY, base=Decimal("60.00"), per_km=Decimal("0.95"), km=Decimal(80), countries="US",
    goes_to="the airport", transit_days=1,
)  # fmt: skip
AIR: Final = FreightProfile(
    "air", "air", DAY, base=Decimal("120.00"), per_kg=Decimal("4.60"), divisor=Decimal(6000), fuel=Decimal("0.15"),
    goes_to="their airport", transit_days=5,
)  # fmt: skip
HANDLER: Final = FreightProfile(
    "handler", "handler", DAY, base=Decimal("180.00"), per_piece=Decimal("45.00"), per_kg=Decimal("0.40"),
    heaviest_lb=Decimal(100), countries="FR", transit_days=2,
)  # fmt: skip
LINES: Final = {
    # All that is bought: 1, 3 and 1 sheets, 4 sticks, a roll, a box of 100 screws for 72, a bottle of 500 g for 180 g.
    "sheets:ply-23/32 4x8": "58.00",
    "sheets:ply-3/8 4x8": "108.00",
    "sheets:osb-7/16 4x8": "21.00",
    "sticks:2x3 8ft": "16.40",
    "rolls:glassine 48in x 100yd": "96.00",
    "hardware:screw 8x2-1/2 box 100": "11.80",
    "hardware:wood-glue 500g": "8.90",
    # Rates of before: 5 sheets of 3 min. Settings of 1: strand board 2, 23/32 in 6, 3/8 in 7, two lengths of lumber,
    # 17. Rips of 0.75: 3 of 3/8 in. Crosscuts of 0.5, a pass of a stack for one: strand board 2, 23/32 in 1 + 11 + 6,
    # 3/8 in 6, 26. 8 cuts of lumber of 0.75. As the packet prints them: 0.25, 0.2833, 0.0375, 0.2167 and 0.1 h of
    # 46.00.
    "labour:load": "11.50",
    "labour:setup": "13.03",
    "labour:rip": "1.73",
    "labour:crosscut": "9.97",
    "labour:stick_cut": "4.60",
    # 3 strips of 0.75 min: 0.0375 h of 48.00.
    "labour:strip": "1.80",
    # 90 holes of 0.25, 112 screws of 0.2, 12 runs of glue of 1.5, 11 assemblies of 12 min: of 42.00 an hour.
    "labour:hole": "15.75",
    "labour:screw": "15.68",
    "labour:glue_run": "12.60",
    "labour:assembly": "92.40",
    # 3 layers of 12 and 3 mountings of 15 min, of 48.00 an hour.
    "labour:wrap": "28.80",
    "labour:mounting": "36.00",
}
PASSED: Final = {
    # 36 x 36 x 5 in at 139 is 46.6 lb, and 22.2 kg are 48.9: billed 49 lb of 2.10; fuel 12 % of 132.90 = 15.948.
    f"freight:{PLACE}:parcel:base": "30.00",
    f"freight:{PLACE}:parcel:weight": "102.90",
    f"freight:{PLACE}:parcel:fuel": "15.95",
    # 64.4 kg are 142 lb, too heavy for a parcel. The van's own 80 km, there and back.
    f"freight:{PLACE}:van:base": "60.00",
    f"freight:{PLACE}:van:distance": "152.00",
    # 91.44 x 121.92 x 40.64 cm at 6000 is 75.51 kg, chargeable 76; fuel 15 % of 469.60.
    f"freight:{PLACE}:air:base": "120.00",
    f"freight:{PLACE}:air:weight": "349.60",
    f"freight:{PLACE}:air:fuel": "70.44",
    # 1,000.00 and twice 800.00 at 0.6 %.
    "insurance:premium": "15.60",
}
STEPS: Final = {
    "direct": "563.96",
    "contingency": "28.20",  # 5 %
    "overhead": "59.22",  # 10 % of 592.16 = 59.216
    "profit": "162.85",  # 25 % of 651.38 = 162.845
    "discount": "0.00",
    "minimum": "0.00",
    "rounding": "-0.23",  # 814.23 to 814.00
    "freight": "900.89",
    "insurance": "15.60",
    "tax": "0.00",  # zero-rated, and the bill says why
}


def book() -> PriceBook:
    """Return the prices above, without breaks; of other stock, of which nothing is bought, those built in."""
    built_in = default_price_book()
    rows = [
        replace(row, price=Decimal(PRICES[row.stock]), breaks=()) if row.stock in PRICES else row
        for row in built_in.rows
    ]
    return replace(built_in, rows=tuple(rows))


def consigned() -> Quote:
    """Price the consignment."""
    rates = Rates(
        "USD",
        labour=LabourRules(),
        price=PriceRules(
            charge="bought", contingency=Decimal("0.05"), overhead=Decimal("0.10"), profit_rate=Decimal("0.25"),
            minimum=Decimal("75.00"), round_to=Decimal("1.00"),
        ),
        insurance=InsuranceRules(rate=Decimal("0.006")),
        freight=(PARCEL, VAN, AIR, HANDLER),
        delivery=DeliveryRules(profile="van"),
        form=2,
    )  # fmt: skip
    terms = SaleTerms(
        Decimal("0.40"), "list price", "VAT", Decimal("0.20"), export="zero-rated, shipped abroad by the seller"
    )
    place = Destination(
        PLACE, "FR", profile="parcel, van then air then handler", deadline=date(2026, 11, 20), terms=terms
    )
    return quote(small_build(), Office(book=book(), rates=rates, destinations=Destinations((place,))),
                 on=date(2026, 11, 2))  # fmt: skip


def test_every_line_and_step() -> None:
    made = consigned()
    assert {line.key: str(line.amount) for line in made.lines} == LINES
    assert {line.key: str(line.amount) for line in made.passed} == PASSED
    assert {step.key: str(step.amount) for step in made.steps} == STEPS
    assert made.total == total(map(Decimal, STEPS.values())) == Decimal("1730.49")


def test_the_refused_leg_makes_it_incomplete_and_what_does_not_ride_on_it_is_not() -> None:
    made = consigned()
    handler = made.shipments[-1]
    assert (handler.leg, handler.legs, handler.chosen.charges) == (3, 3, ())
    assert handler.chosen.refused == ("K4 is too heavy: 142.0 lb, at the most 100 lb",)
    assert made.incomplete == (f"no freight to {PLACE} (leg 3 of 3, handler)",)
    assert made.beside("A-01") == ""
    assert "incomplete" in made.beside("A-02#1")


def test_the_list_price_bears_packing_and_way_by_the_places_own_commission() -> None:
    """A-01's freight is its parcel's 148.85; 1,000.00 + 394.09 / (1 - 0.4) = 1,656.82, of which 40 % are 662.73."""
    made = consigned()
    assert made.share("A-01").columns["freight"] == Decimal("148.85")
    assert made.share("A-01").total == Decimal("394.09")
    (sale,) = made.sales
    assert (sale.shipping, sale.list_price, sale.gallery) == (
        Decimal("394.09"), Decimal("1656.82"), Decimal("662.73"),
    )  # fmt: skip
    assert sale.tax == 0


def test_the_days_to_hand_over() -> None:
    """Back from Friday 20 November: four working days are Monday 16, and two, five and one are Tuesday 10."""
    days = {each.crates: each.hand_over for each in consigned().transits}
    assert days == {("K1",): date(2026, 11, 16), ("K4",): date(2026, 11, 10)}

"""A consignment abroad, priced by hand: the carton by post, the case by van, air and a handler, of whom one refuses.

A gallery in France takes two works on consignment at 40 %. Prices, minutes and rules stand in ``by_hand.py``, the
carriers' figures here; all of them are invented. The air carrier takes nothing higher than 30 in: until a quotation for
its leg is typed, the total is incomplete. See also ``test_priced_by_hand.py``.
"""

from collections import Counter
from dataclasses import replace
from datetime import date
from decimal import Decimal
from functools import cache
from typing import Final

import pytest

from nesting.base.measure import INCH
from nesting.base.search import QUICK
from nesting.crates.cases.consignment import CaseLoad
from pricing.quoting.quote import Quote, quote
from pricing.quoting.work import work
from pricing.studio.destinations import Destination
from pricing.studio.office import Office
from pricing.studio.rates import FreightProfile
from pricing.studio.sale_terms import SaleTerms
from tests.pricing.quoting.by_hand import (
    AS_COUNTED,
    check_labour,
    check_lines,
    check_parts,
    check_shares,
    check_steps,
    order,
    studio,
)

DAY: Final = date(2026, 11, 25)
FIGURES: Final = date(2026, 11, 1)
POST: Final = FreightProfile(
    "post", "parcel", FIGURES, title="Parcel abroad", countries="FR", longest=40 * INCH, heaviest_lb=Decimal(60),
    base=Decimal("22.00"), per_lb=Decimal("2.10"), fuel=Decimal("0.20"),
)  # fmt: skip
VAN: Final = FreightProfile(
    "van", "van", FIGURES, title="Van to the airport", countries="US", goes_to="the airport", km=Decimal(80),
    base=Decimal("60.00"), per_km=Decimal("0.95"),
)  # fmt: skip
AIR: Final = FreightProfile(
    "air", "air", FIGURES, title="Air freight", countries="FR", goes_to="the airport abroad", highest=30 * INCH,
    base=Decimal("120.00"), per_kg=Decimal("4.60"), divisor=Decimal(6000),
)  # fmt: skip
HANDLER: Final = FreightProfile(
    "handler", "handler", FIGURES, title="Handler abroad", countries="FR",
    base=Decimal("80.00"), per_piece=Decimal("25.00"), per_kg=Decimal("0.40"),
)  # fmt: skip
AIR_QUOTED: Final = FreightProfile(
    "air", "fixed", DAY, title="Air freight", countries="FR", goes_to="the airport abroad", amount=Decimal("415.00")
)
"""The same carrier's quotation for the case, in place of its estimate."""
SALLE: Final = Destination(
    "Salle du Port", country="FR", profile="post, van then air then handler",
    terms=SaleTerms(commission=Decimal("0.40"), export="zero-rated, shipped abroad by the seller"),
)  # fmt: skip

MATERIALS = """
# goods, in bought units | price of one | amount | of which B-01 bears
#
# 23/32 in, frame and case of B-02: kept are 96 x 14 1/8 of 96 x 48 in. 1 - 0.5 x 14.125/48 = 0.852865.
sheets:ply-23/32 4x8            | 0.852865 | 58.00  | 49.47 | 0.00
# 3/8 in, two boards of the carton: kept are 6 5/8 x 34 1/2 and 89 1/4 x 48 in, 4512.5625 in2 of 4608.
# 1 - 0.5 x 0.979289 = 0.510356.
sheets:ply-3/8 4x8              | 0.510356 | 36.00  | 18.37 | 18.37
# Strand board: kept are 96 x 9 of the first sheet and 69 7/8 x 48 in of the second, 4218 in2. 2 - 0.5 x 4218/4608.
sheets:osb-7/16 4x8             | 1.542318 | 21.00  | 32.39 | 0.00
# Foam board by its parts and 15 %: 3 1/2 x (2 x 24 9/16 + 2 x 23 1/8) = 333.8125 in2 of 4608, 0.072442 x 1.15.
sheets:foam-board-1 4x8         | 0.083308 | 26.50  | 2.21  | 0.00
# Plank by its parts and 15 %. Carton: four of 6 5/8 x 6 5/8, eight of 6 5/8 x 2.254 in, 295.024 in2. Case: 16 of
# 5 3/8 x 4 15/16, eight of 5 1/2 x 5 3/8, eight of 5 3/8 x 5.32 in, 889.885. 1184.909 of 5184 are 0.228570, x 1.15 is
# 0.2628555. 38.90 x 295.024/1184.909 = 9.686.
sheets:pe-plank-2 4x9           | 0.262856 | 148.00 | 38.90 | 9.69
#
# Off rolls by length and 10 %: 8 in of 3600; 91.478 of 10800; 8.762 of 3000; 35 7/8 of 1200 under the frame, B-02.
rolls:glassine 48in x 100yd     | 0.002444 | 96.00  | 0.23  | 0.23
rolls:kraft 48in x 900ft        | 0.009317 | 72.00  | 0.67  | 0.67
rolls:foam-wrap 48in x 250ft    | 0.003213 | 88.00  | 0.28  | 0.28
rolls:poly-6mil 10x100ft        | 0.032886 | 79.00  | 2.60  | 0.00
#
# Out of boxes by number and 10 %: frame 42 and case 79 screws are 121 of 100; 6; 8 + 32; 10 + 10 washers; 25 staples of
# 1000; 8 bolts and 8 T-nuts of 50; 7212 mm of 76200; 2 of 50; 6 + 179 g of 500; 49 + 343 g of 1000; 3747 mm of 5182.
hardware:screw 10x1-1/4 box 100 | 1.331000 | 9.40   | 12.51 | 0.00
hardware:screw 10x1-1/2 box 100 | 0.066000 | 9.90   | 0.65  | 0.00
hardware:screw 8x2-1/2 box 100  | 0.440000 | 11.80  | 5.19  | 0.00
hardware:washer-10 box 100      | 0.220000 | 5.10   | 1.12  | 0.00
hardware:staple box 1000        | 0.027500 | 4.60   | 0.13  | 0.00
# Four handles are bought and four used: no waste beyond what was had.
hardware:handle                 | 4.000000 | 5.75   | 23.00 | 0.00
hardware:bolt 1/4x3 box 50      | 0.176000 | 13.90  | 2.45  | 0.00
hardware:t-nut 1/4 box 50       | 0.176000 | 7.90   | 1.39  | 0.00
hardware:strapping 250ft        | 0.104111 | 24.00  | 2.50  | 0.00
hardware:strap buckle box 50    | 0.044000 | 9.50   | 0.42  | 0.00
hardware:wood-glue 500g         | 0.407000 | 8.90   | 3.62  | 0.00
hardware:hot-glue 1kg           | 0.431200 | 14.50  | 6.25  | 0.00
hardware:gasket 17ft            | 0.795388 | 4.80   | 3.82  | 0.00
# 5736 mm of 50292 seal the carton.
hardware:tape 55yd              | 0.125459 | 3.95   | 0.50  | 0.50
hardware:carton 16x16x12        | 1.000000 | 4.60   | 4.60  | 4.60
"""
LABOUR = """
# operation | count | minutes | hours | an hour | amount | of which B-01 bears
#
# Borne as each of 24 stocks is: B-01 has 3/8 in, three rolls, tape, carton, and of plank 0.248985. 11.50 x 6.248985/24
# = 2.994.
yard      | 1   | 15   | 0.2500 | 46.00 | 11.50 | 2.99
# Six sheets; B-01's is 3/8 in, and of plank 12 parts of 44. 13.80 x (1 + 12/44)/6 = 2.927.
load      | 6   | 3    | 0.3000 | 46.00 | 13.80 | 2.93
# With the track saw: 23/32 in 1; 3/8 in 3; strand board 38 7/8, 34 7/8, 26, 38 twice, 34 7/8 twice: 7. 16.87 x 3/11 =
# 4.601.
track_cut   | 11  | 2    | 0.3667 | 46.00 | 16.87 | 4.60
# 23/32 in: 96 x 23 1/4 and 96 x 24 5/8 in are 15.5 and 16.4 sq ft, two armfuls to the fence; eight strips of 1.67,
# two of 2.33 and one of 3.67 sq ft are 21.7, two to the stop; two blanks to the fence and back, 2. Strand board: 61 x
# 38 7/8 and 48 x 26 in are 25.1, two to the fence; four panels to the track, 1. Blanks of the French cleat, 1.
carry       | 10  | 0.5  | 0.0833 | 46.00 | 3.83  | 0.00
# 2 1/2, 3 1/2, 5 15/32 and 2; strand board 12 15/16.
setup       | 5   | 1    | 0.0833 | 46.00 | 3.83  | 0.00
# 8 at 2 1/2, 2 at 3 1/2, 1, 1; both blanks at the bevel.
rip         | 14  | 0.75 | 0.1750 | 46.00 | 8.05  | 0.00
# Strand board at 12 15/16.
crosscut    | 3   | 0.5  | 0.0250 | 46.00 | 1.15  | 0.00
# 34, 33, 28 9/16, 26, 32 1/8, 22 1/2, 10 1/16, 16, 3 1/2.
stop_setup  | 9   | 0.7  | 0.1050 | 46.00 | 4.83  | 0.00
# Two on each other: 8 cuts at 34 are 4 passes, 8 at 33 4, 6 at 26 3 (off one strip three), 8 at 10 1/16 4; off one
# strip each 2 at 28 9/16, 1, 1, 1, and 4 at 3 1/2.
chop_cut    | 24  | 0.25 | 0.1000 | 46.00 | 4.60  | 0.00
# One blank cut in two for both halves of the cleat: one width.
bevel_setup | 1   | 4    | 0.0667 | 46.00 | 3.07  | 0.00
# Foam board 5. Plank by the band, up to three as long as each other at once: 5 at 6 5/8; at 5 3/8 9; 8 at 5 1/2 in
# threes 3; at 5 5/16 8; 3 at 5 3/8 at once; 16 and 8 off one strip each: 50. 21.08 x (50 x 12/44)/55 = 5.226.
knife_cut   | 55  | 0.5  | 0.4583 | 46.00 | 21.08 | 5.23
# Carton 2 boards and 12 pads; frame 18; case 6 faces, 24 edges, 32 pads. 16.45 x 14/94 = 2.45.
mark_out  | 94  | 0.25 | 0.3917 | 42.00 | 16.45 | 2.45
# Glassine, foam wrap twice, kraft; film for the frame.
strip     | 5   | 0.75 | 0.0625 | 48.00 | 3.00  | 2.40
# Frame 42 + 6 + 8 = 56 screws, case 79 + 32 = 111, a hole for each.
hole      | 167 | 0.25 | 0.6958 | 42.00 | 29.22 | 0.00
screw     | 167 | 0.2  | 0.5567 | 42.00 | 23.38 | 0.00
staple    | 25  | 0.05 | 0.0208 | 42.00 | 0.87  | 0.00
bolt      | 8   | 1.5  | 0.2000 | 42.00 | 8.40  | 0.00
# Four handles, two straps with their buckles.
fitting   | 8   | 1    | 0.1333 | 42.00 | 5.60  | 0.00
# Frame: rails, stiles and blocks 8, two slats at both ends 4. Case: 12 edges, 32 pads.
glue_run  | 56  | 1.5  | 1.4000 | 42.00 | 58.80 | 0.00
assembly  | 3   | 12   | 0.6000 | 42.00 | 25.20 | 8.40
seal      | 1   | 4    | 0.0667 | 42.00 | 2.80  | 0.00
record    | 2   | 8    | 0.2667 | 48.00 | 12.80 | 6.40
wrap      | 3   | 12   | 0.6000 | 48.00 | 28.80 | 28.80
mounting  | 1   | 15   | 0.2500 | 48.00 | 12.00 | 0.00
# Carton 14, case 26, with where it is lifted; the frame inside has none. 8.00 x 14/40 = 2.80.
label     | 40  | 0.25 | 0.1667 | 48.00 | 8.00  | 2.80
hand_over | 2   | 5    | 0.1667 | 48.00 | 8.00  | 4.00
"""
BY_POST = """
# what is charged | quantity | rate | amount | of which B-01 bears
#
# The carton is 16 1/2 x 16 1/2 x 13 in: 17 x 17 x 13 = 3757 in3 by 139 are 27.03, billed 28 lb.
freight:Salle du Port:post:base        | 1     | 22.00 | 22.00  | 22.00
freight:Salle du Port:post:weight      | 28    | 2.10  | 58.80  | 58.80
freight:Salle du Port:post:fuel        | 80.80 | 0.20  | 16.16  | 16.16
"""
BY_VAN = """
# 80 km and back.
freight:Salle du Port:van:base         | 1     | 60.00 | 60.00  | 0.00
freight:Salle du Port:van:distance     | 160   | 0.95  | 152.00 | 0.00
"""
BY_AIR = """
freight:Salle du Port:air:amount       | 1     | 415.00 | 415.00 | 0.00
"""
BY_HANDLER = """
# The case weighs 46.3 kg.
freight:Salle du Port:handler:base     | 1     | 80.00 | 80.00  | 0.00
freight:Salle du Port:handler:piece    | 1     | 25.00 | 25.00  | 0.00
freight:Salle du Port:handler:weight   | 46.3  | 0.40  | 18.52  | 0.00
"""
INSURANCE = """
# 240.00 + 1800.00; 12.24 x 240/2040.
insurance:premium                      | 2040  | 0.006 | 12.24  | 1.44
"""
STEPS = """
direct      | 549.20 | 549.20    # 213.27 + 335.93 of labour
contingency | 27.46  | 576.66    # 5 %
overhead    | 57.67  | 634.33    # 10 % are 57.666
profit      | 158.58 | 792.91    # 25 % are 158.5825
discount    | 0.00   | 792.91
minimum     | 0.00   | 792.91
rounding    | 0.09   | 793.00
freight     | 432.48 | 1225.48   # 96.96 + 212.00 + 123.52; nothing is known of the leg by air
insurance   | 12.24  | 1237.72
tax         | 0.00   | 1237.72   # zero-rated
"""
STEPS_QUOTED = STEPS.replace(
    "432.48 | 1225.48", "847.48 | 1640.48").replace("12.24  | 1237.72", "12.24  | 1652.72").replace(
    "0.00   | 1237.72", "0.00   | 1652.72")  # fmt: skip
"""The same with 415.00 more by air."""
SHARES = """
             | B-01   | B-02
sheets       | 28.06  | 113.28  # B-01: 18.37 + 9.69
rolls        | 1.18   | 2.60
hardware     | 5.10   | 63.05
labour       | 71.00  | 264.93
contingency  | 5.27   | 22.19   # 27.46 x 105.34/549.20 = 5.267
overhead     | 11.06  | 46.61   # 57.67 x 110.61/576.66 = 11.062
profit       | 30.42  | 128.16  # 158.58 x 121.67/634.33 = 30.417
discount     | 0.00   | 0.00
minimum      | 0.00   | 0.00
rounding     | 0.02   | 0.07    # 9 cents x 152.09/792.91 = 1.726
freight      | 96.96  | 335.52  # the post for the carton; van and handler, 212.00 + 123.52, for the case
insurance    | 1.44   | 10.80
tax          | 0.00   | 0.00
in all       | 250.51 | 987.21
"""
SHARES_QUOTED = SHARES.replace("| 335.52 ", "| 750.52 ").replace("| 987.21", "| 1402.21")
NO_FREIGHT: Final = "no freight to Salle du Port (leg 2 of 3, Air freight)"


def office(*, air: FreightProfile = AIR, place: Destination = SALLE) -> Office:
    """Return a studio whose carriers are these, with this one by air."""
    return studio(place, POST, VAN, air, HANDLER)


@cache
def refused() -> Quote:
    """Return the quote of the consignment, the air carrier refusing the case."""
    works = order(
        ("B-01", "Small", "6", "6", "1", "1 lb", "carton", "240", "Salle du Port"),
        ("B-02", "Large", "20", "24", "1 1/2", "10 lb", "travel", "1800", "Salle du Port"),
    )
    alone = replace(AS_COUNTED, cases=(CaseLoad(("B-02",), "Salle du Port"),))
    return work(works, office(), on=DAY, search=QUICK, design=alone)


@cache
def quoted() -> Quote:
    """Return the same once the air carrier has quoted."""
    return quote(refused().build, office(air=AIR_QUOTED), on=DAY)


def test_the_parts_are_those_that_were_counted() -> None:
    carton, frame, case = refused().build.crates
    assert (frame.inside_of, case.crate) == ("K3", "K3")
    assert [sum(part.count for part in crate.parts) for crate in (carton, frame, case)] == [14, 18, 62]
    goods = Counter({part.good: 0 for part in case.parts})
    for part in case.parts:
        goods[part.good] += part.count
    assert goods == {"osb-7/16": 6, "ply-23/32": 24, "pe-plank-2": 32}
    assert (carton.gross_kg, case.gross_kg) == (2.2, 46.3)


def test_every_line_but_the_refused_leg() -> None:
    made = refused()
    materials = check_lines([line for line in made.lines if line.section != "labour"], MATERIALS)
    assert sum(materials.values()) == Decimal("213.27")
    assert check_labour(made, LABOUR) == Decimal("335.93")
    passed = check_lines(made.passed, BY_POST, BY_VAN, BY_HANDLER, INSURANCE)
    assert passed == {"freight": Decimal("432.48"), "insurance": Decimal("12.24")}


def test_the_refused_leg_is_named_and_all_that_rests_on_it_is_incomplete() -> None:
    made = refused()
    legs = [(each.chosen.profile, each.crates, each.leg, each.legs, each.origin, each.to) for each in made.shipments]
    assert legs == [
        ("post", ("K1",), 1, 1, "", ""),
        ("van", ("K3",), 1, 3, "", "the airport"),
        ("air", ("K3",), 2, 3, "the airport", "the airport abroad"),
        ("handler", ("K3",), 3, 3, "the airport abroad", ""),
    ]
    why = ("K3 is too high: 38 7/8 in, at the most 30 in",)
    assert [each.chosen.refused for each in made.shipments] == [(), (), why, ()]
    assert made.incomplete == (NO_FREIGHT,)
    assert made.without == f"incomplete: {NO_FREIGHT}"
    # The carton's freight is known: its share is whole, that of the case is not.
    assert (made.beside("B-01"), made.beside("B-02")) == ("", f"incomplete: {NO_FREIGHT}")
    assert made.step("freight").title.endswith(", incomplete")
    (lack,) = (each for each in made.lacks if each.kind == "freight")
    assert "Air freight" in lack.line
    assert why[0] in lack.line


def test_every_step_and_share_without_the_leg() -> None:
    made = refused()
    check_steps(made, STEPS)
    sections = ("sheets", "rolls", "hardware", "labour", "freight", "insurance")
    check_parts(made, (MATERIALS, BY_POST, BY_VAN, BY_HANDLER, INSURANCE), LABOUR, sections)
    check_shares(made, SHARES)
    small, large = made.sales
    # 250.51/0.6 = 417.517 on 240.00; 40 % of 657.52 are 263.008.
    assert (small.list_price, small.gallery, small.artist) == (Decimal("657.52"), Decimal("263.01"), Decimal("144.00"))
    # 987.21/0.6 = 1645.35 on 1800.00; 40 % of 3445.35 are 1378.14.
    assert (large.list_price, large.gallery) == (Decimal("3445.35"), Decimal("1378.14"))
    assert large.artist == Decimal("1080.00")


def test_the_same_once_the_leg_has_a_quotation() -> None:
    made = quoted()
    check_lines([line for line in made.lines if line.section != "labour"], MATERIALS)
    passed = check_lines(made.passed, BY_POST, BY_VAN, BY_AIR, BY_HANDLER, INSURANCE)
    assert passed == {"freight": Decimal("847.48"), "insurance": Decimal("12.24")}
    check_steps(made, STEPS_QUOTED)
    check_shares(made, SHARES_QUOTED)
    assert (made.incomplete, made.without, made.beside("B-02")) == ((), "", "")
    assert made.step("freight").title == "Freight (estimate)"
    small, large = made.sales
    assert small.list_price == Decimal("657.52")
    # 1402.21/0.6 = 2337.017 on 1800.00; 40 % of 4137.02 are 1654.808.
    assert (large.list_price, large.gallery) == (Decimal("4137.02"), Decimal("1654.81"))
    assert large.artist == Decimal("1080.00")
    assert not made.compares_with(refused())


def test_nothing_is_taxed_abroad_and_the_bill_says_why() -> None:
    (tax,) = quoted().taxes
    assert (tax.rule.rate, tax.base, tax.amount) == (Decimal(0), Decimal(0), Decimal(0))
    assert tax.rule.reason == "zero-rated, shipped abroad by the seller"
    for sale in quoted().sales:
        assert (sale.tax, sale.said) == (Decimal(0), "place")
        assert sale.untaxed == tax.rule.reason


@pytest.mark.parametrize(("on", "holds"), [(date(2026, 12, 31), True), (date(2027, 1, 1), False)])
def test_a_quotation_for_all_that_goes_there_holds_until_its_last_day(on: date, holds: bool) -> None:
    """A forwarder asks 600.00 for both crates, of which the carton bears its part of their volume.

    16 1/2 x 16 1/2 x 13 = 3539.25 in3, 36 7/8 x 38 7/8 x 13 13/16 = 19800.43 in3: 600.00 x 0.151641 = 90.98.
    """
    place = replace(SALLE, quoted=Decimal("600.00"), quoted_by="Forwarder", quoted_until=date(2026, 12, 31))
    made = quote(refused().build, office(place=place), on=on)
    if holds:
        assert (made.total, made.incomplete) == (Decimal("1405.24"), ())  # 793.00 + 600.00 + 12.24
        assert [share.columns["freight"] for share in made.shares] == [Decimal("90.98"), Decimal("509.02")]
    else:
        assert (made.total, made.incomplete) == (Decimal("1237.72"), (NO_FREIGHT,))

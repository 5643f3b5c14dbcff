"""A direct sale with tax, priced by hand: a carton and a small crate by parcel, materials charged by use.

Two works go to a buyer's home in New York, sold without a gallery; on goods there is a purchase tax of 6 %. Prices,
minutes and rules stand in ``by_hand.py``, the carrier's figures here; all of them are invented. What is counted (parts,
screws, cuts) was read off the parts lists and the settings of the saw that the packet prints. See also
``test_priced_by_hand_abroad.py`` and ``test_priced_by_hand_pallet.py``.
"""

from collections import Counter
from dataclasses import replace
from datetime import date
from decimal import Decimal
from functools import cache
from typing import Final

from nesting.base.measure import INCH
from nesting.base.search import QUICK
from pricing.quoting.quote import Quote
from pricing.quoting.work import work
from pricing.studio.destinations import Destination
from pricing.studio.rates import FreightProfile
from pricing.studio.sale_terms import SaleTerms
from tests.pricing.quoting.by_hand import (
    AS_COUNTED,
    PRICED,
    check_labour,
    check_lines,
    check_parts,
    check_shares,
    check_steps,
    order,
    studio,
)

DAY: Final = date(2026, 11, 25)
PARCEL: Final = FreightProfile(
    "parcel", "parcel", PRICED, title="Parcel carrier", longest=108 * INCH, length_girth=165 * INCH,
    heaviest_lb=Decimal(150), base=Decimal("9.50"), per_lb=Decimal("0.85"), fuel=Decimal("0.18"),
    residential=Decimal("5.60"), over_lb=Decimal(50), over_lb_each=Decimal("24.00"), long_over=48 * INCH,
    long_each=Decimal("18.00"), second_over=30 * INCH, second_each=Decimal("18.00"), girth_over=105 * INCH,
    girth_each=Decimal("18.00"), wooden_each=Decimal("18.00"),
)  # fmt: skip
TERMS: Final = SaleTerms(
    paid_by="buyer", tax_name="Sales tax, New York", tax_rate=Decimal("0.08875"), tax_on=("art", "work", "freight")
)
BUYER: Final = Destination("Buyer", country="US", residential=True, profile="parcel", terms=TERMS)

MATERIALS = """
# goods, in bought units | price of one | amount | of which A-01 bears
#
# Sheets by use: as bought, less half of what is kept, as the rates say of offcuts.
# Kept of 23/32 in: 96 x 42 1/4 of 96 x 48 in. 1 - 0.5 x 42.25/48 = 0.559896. All of it is for the crate, A-02.
sheets:ply-23/32 4x8            | 0.559896 | 58.00  | 32.47 | 0.00
# Kept of 3/8 in: 8 5/8 x 36 1/8 and 71 1/8 x 48 in, 3725.578 in2 of 4608. 1 - 0.5 x 0.808502 = 0.595749.
# A-01 has two boards of 8 5/8 x 8 5/8 in, 148.781 in2; A-02 back and lid of 16 x 18 in and two cleat layers of
# 8 x 3 in, 624 in2. 21.45 x 148.78125/772.78125 = 4.130.
sheets:ply-3/8 4x8              | 0.595749 | 36.00  | 21.45 | 4.13
# Foam board by its parts and 15 %: 3 1/2 x (13 1/8 + 2 x 12 9/16) + 2 13/32 x 13 1/8 = 165.457 in2 of 4608 are
# 0.035906. x 1.15 = 0.041292.
sheets:foam-board-1 4x8         | 0.041292 | 26.50  | 1.09  | 0.00
# The plank too: four pads of 8 5/8 x 8 5/8 and eight of 8 5/8 x 2.254 in, 453.088 in2 of 108 x 48 = 5184, are 0.087401.
# x 1.15 = 0.100511. It lies in the carton, A-01.
sheets:pe-plank-2 4x9           | 0.100511 | 148.00 | 14.88 | 14.88
#
# Off rolls by length and 10 %. Glassine: 10 in of 3600, 0.002778 x 1.1. Kraft: 204.646 in of 10800, 0.018949 x 1.1.
# Foam wrap: both sheets side by side in 10.762 in of 3000, 0.003587 x 1.1.
rolls:glassine 48in x 100yd     | 0.003056 | 96.00  | 0.29  | 0.29
rolls:kraft 48in x 900ft        | 0.020844 | 72.00  | 1.50  | 1.50
rolls:foam-wrap 48in x 250ft    | 0.003946 | 88.00  | 0.35  | 0.35
#
# Out of boxes by number and 10 %: 10, 34 and 8 screws and 6 washers of 100; 7062 mm of strapping of 76200; 2 buckles
# of 50; 19 g of 500; 35 g of 1000; 1728 mm of gasket of 5182; 7311 mm of tape of 50292.
hardware:screw 10x1 box 100     | 0.110000 | 8.90   | 0.98  | 0.00
hardware:screw 10x1-1/4 box 100 | 0.374000 | 9.40   | 3.52  | 0.00
hardware:screw 8x2-1/2 box 100  | 0.088000 | 11.80  | 1.04  | 0.00
hardware:washer-10 box 100      | 0.066000 | 5.10   | 0.34  | 0.00
hardware:strapping 250ft        | 0.101945 | 24.00  | 2.45  | 0.00
hardware:strap buckle box 50    | 0.044000 | 9.50   | 0.42  | 0.00
hardware:wood-glue 500g         | 0.041800 | 8.90   | 0.37  | 0.00
hardware:hot-glue 1kg           | 0.038500 | 14.50  | 0.56  | 0.00
hardware:gasket 17ft            | 0.366808 | 4.80   | 1.76  | 0.00
hardware:tape 55yd              | 0.159908 | 3.95   | 0.63  | 0.63
# One carton is bought and one used: no waste beyond what was had.
hardware:carton 20x20x12        | 1.000000 | 5.90   | 5.90  | 5.90
"""
# All materials come to 90.00, of which A-01 bears 21.45 x 0.192527 + 14.88 + 0.29 + 1.50 + 0.35 + 0.63 + 5.90 = 27.680.
# 5.40 x 27.680/90.00 = 1.661.
PURCHASE_TAX = """
purchase tax:goods | 90.00 | 0.06 | 5.40 | 1.66
"""
LABOUR = """
# operation | count | minutes | hours | an hour | amount | of which A-01 bears
#
# Borne as each of 18 stocks is: A-01 has plank, three rolls, tape, carton, and of 3/8 in 0.192527. 11.50 x 6.192527/18
# = 3.956.
yard      | 1  | 15   | 0.2500 | 46.00 | 11.50 | 3.96
# Four sheets: 23/32 in and foam board for A-02, plank for A-01; of 3/8 in two of six parts. 9.20 x (1 + 1/3)/4 = 3.067.
load      | 4  | 3    | 0.2000 | 46.00 | 9.20  | 3.07
# With the track saw: 5 5/8 off the sheet of 23/32 in; all but one cut of 3/8 in: 24 3/4, 16, 18 twice, 8 5/8, 3,
# 8 5/8 twice, where two parts of six are A-01's. 13.80 x (8/3)/9 = 4.089.
track_cut  | 9  | 2    | 0.3000 | 46.00 | 13.80 | 4.09
# 23/32 in: to the fence, to the stop, two blanks back to the fence, to the stop again. 3/8 in: two strips to the stop.
# 1.92 x (1/3)/5 = 0.128.
carry      | 5  | 0.5  | 0.0417 | 46.00 | 1.92  | 0.13
# 23/32 in at the fence: 3 1/2, 3 and 2 5/8, a rip each.
setup      | 3  | 1    | 0.0500 | 46.00 | 2.30  | 0.00
rip        | 3  | 0.75 | 0.0375 | 46.00 | 1.73  | 0.00
# Stops for 23/32 in: 16 9/16, 16 1/8, 16, 13 13/16, 3 1/2, 8, 2 25/32; for 3/8 in 8. 4.29 x (1/3)/8 = 0.179.
stop_setup | 8  | 0.7  | 0.0933 | 46.00 | 4.29  | 0.18
# 2 + 1 + 2 + 1 + 4 + 1 + 2 = 13 passes off one strip each; both layers of the cleats lie on each other, 1. 2.68 x
# (1/3)/14 = 0.064.
chop_cut   | 14 | 0.25 | 0.0583 | 46.00 | 2.68  | 0.06
# Foam board: two strips, three and one parts off them. Plank, by the band: a strip of 8 5/8 and four pads off it; at
# 2 1/4 in the second strip and five pads, none as long as another; three pads more: 14. 7.67 x 14/20 = 5.369.
knife_cut  | 20 | 0.5  | 0.1667 | 46.00 | 7.67  | 5.37
# Carton: 2 boards, 12 pads. Crate: back, lid, 2 rails, 2 stiles, 4 corner blocks, 4 parts of cleats, 2 setting blocks,
# 4 strips of liner, 20. 5.95 x 14/34 = 2.45.
mark_out  | 34 | 0.25 | 0.1417 | 42.00 | 5.95  | 2.45
# One of glassine, two of foam wrap, one of kraft.
strip     | 4  | 0.75 | 0.0500 | 48.00 | 2.40  | 2.40
# 10 + 34 + 8 = 52 screws; their holes and the 6 through the back for those that hold the work.
hole      | 58 | 0.25 | 0.2417 | 42.00 | 10.15 | 0.00
screw     | 52 | 0.2  | 0.1733 | 42.00 | 7.28  | 0.00
fitting   | 2  | 1    | 0.0333 | 42.00 | 1.40  | 0.00
# Back 1, rails to stiles 4, corner blocks 4, cleat layers 2, setting blocks 2.
glue_run  | 13 | 1.5  | 0.3250 | 42.00 | 13.65 | 0.00
assembly  | 2  | 12   | 0.4000 | 42.00 | 16.80 | 8.40
# The gasket, and the inside against damp.
seal      | 2  | 4    | 0.1333 | 42.00 | 5.60  | 0.00
record    | 2  | 8    | 0.2667 | 48.00 | 12.80 | 6.40
wrap      | 3  | 12   | 0.6000 | 48.00 | 28.80 | 28.80
mounting  | 1  | 15   | 0.2500 | 48.00 | 12.00 | 0.00
# Upright, fragile and dry on four sides, weight on two: 14. The crate has centre of gravity on four and no stacking on
# two besides: 20. 6.80 x 14/34 = 2.80.
label     | 34 | 0.25 | 0.1417 | 48.00 | 6.80  | 2.80
hand_over | 2  | 5    | 0.1667 | 48.00 | 8.00  | 4.00
"""
FREIGHT = """
# what is charged | quantity | rate | amount | of which A-01 bears
#
freight:Buyer:base        | 2     | 9.50  | 19.00 | 9.50
# The carton is 20 1/2 x 20 1/2 x 13 in, 21 x 21 x 13 = 5733 in3 by 139 are 41.2, billed 42 lb. The crate is 16 x 18 x
# 4 1/4 in, 16 x 18 x 5 = 1440 by 139 are 10.4, and weighs 6.2 kg, 13.7 lb, billed 14. 42/56 is A-01's part.
freight:Buyer:weight      | 56    | 0.85  | 47.60 | 35.70
freight:Buyer:fuel        | 66.60 | 0.18  | 11.99 | 8.99
# Wood is the crate's alone; neither is over 50 lb, 48 in, 30 in, or 105 in of length and girth (20 1/2 + 66, 18 + 41).
freight:Buyer:wooden      | 1     | 18.00 | 18.00 | 0.00
freight:Buyer:residential | 2     | 5.60  | 11.20 | 5.60
# 260.00 + 420.00 are insured; 4.08 x 260/680.
insurance:premium         | 680   | 0.006 | 4.08  | 1.56
"""
STEPS = """
direct      | 282.12 | 282.12   # 90.00 + 5.40 + 186.72 of labour
contingency | 14.11  | 296.23   # 5 % are 14.106
overhead    | 29.62  | 325.85   # 10 % are 29.623
profit      | 81.46  | 407.31   # 25 % are 81.4625
discount    | 0.00   | 407.31
minimum     | 0.00   | 407.31   # of 75.00
rounding    | -0.31  | 407.00
freight     | 107.79 | 514.79   # 19.00 + 47.60 + 11.99 + 18.00 + 11.20
insurance   | 4.08   | 518.87
tax         | 45.69  | 564.56   # 8.875 % of 407.00 + 107.79, not of insurance, are 45.6876
"""
SHARES = """
             | A-01   | A-02
sheets       | 19.01  | 50.88   # A-01: 4.13 + 14.88
rolls        | 2.14   | 0.00
hardware     | 6.53   | 11.44
purchase tax | 1.66   | 3.74
labour       | 72.11  | 114.61
contingency  | 5.07   | 9.04    # 14.11 x 101.45/282.12 = 5.074
overhead     | 10.65  | 18.97   # 29.62 x 106.52/296.23 = 10.651
profit       | 29.29  | 52.17   # 81.46 x 117.17/325.85 = 29.292
discount     | 0.00   | 0.00
minimum      | 0.00   | 0.00
rounding     | -0.11  | -0.20   # 31 cents x 146.46/407.31 = 11.147
freight      | 59.79  | 48.00
insurance    | 1.56   | 2.52
tax          | 18.30  | 27.39   # 45.69 x (146.35 + 59.79)/514.79 = 18.296
in all       | 226.00 | 338.56
"""


@cache
def sale() -> Quote:
    """Return the quote of the sale."""
    works = order(
        ("A-01", "One", "8", "8", "1", "1 1/2 lb", "carton", "260", "Buyer"),
        ("A-02", "Two", "10", "12", "1", "3 lb", "closed", "420", "Buyer"),
    )
    office = studio(BUYER, PARCEL)
    office = replace(office, rates=replace(office.rates, purchase_tax={"goods": Decimal("0.06")}))
    return work(replace(works, commission=Decimal(0)), office, on=DAY, search=QUICK, design=AS_COUNTED)


def test_the_parts_are_those_that_were_counted() -> None:
    carton, crate = sale().build.crates
    assert Counter(part.good for part in carton.parts for _ in range(part.count)) == {"ply-3/8": 2, "pe-plank-2": 12}
    assert sum(part.count for part in crate.parts) == 20
    assert [(each.good, each.count) for each in crate.piecework if each.good.startswith("screw")] == [
        ("screw 10x1", 10), ("screw 10x1-1/4", 34), ("screw 8x2-1/2", 8),
    ]  # fmt: skip
    assert (carton.gross_kg, crate.gross_kg) == (3.3, 6.2)


def test_every_line_of_the_sale() -> None:
    made = sale()
    lines = [line for line in made.lines if line.section != "labour"]
    sums = check_lines(lines, MATERIALS, PURCHASE_TAX)
    assert sum(sums.values()) - sums["purchase tax"] == Decimal("90.00")
    assert check_labour(made, LABOUR) == Decimal("186.72")
    assert check_lines(made.passed, FREIGHT) == {"freight": Decimal("107.79"), "insurance": Decimal("4.08")}


def test_every_step_of_the_sale() -> None:
    check_steps(sale(), STEPS)
    (tax,) = sale().taxes
    assert (tax.base, tax.amount, tax.rule.name) == (Decimal("514.79"), Decimal("45.69"), "Sales tax, New York")
    assert sale().incomplete == ()


def test_every_share_of_the_sale() -> None:
    sections = ("sheets", "rolls", "hardware", "purchase tax", "labour", "freight", "insurance")
    check_parts(sale(), (MATERIALS, PURCHASE_TAX, FREIGHT), LABOUR, sections)
    check_shares(sale(), SHARES)


def test_what_the_buyer_pays() -> None:
    """Nobody takes a commission; the buyer pays price, tax on it, packing and shipping."""
    one, two = sale().sales
    assert (one.commission, one.said, two.commission) == (Decimal(0), "order", Decimal(0))
    assert (one.list_price, one.gallery) == (Decimal("260.00"), Decimal(0))
    assert (two.list_price, two.gallery) == (Decimal("420.00"), Decimal(0))
    assert (one.tax, one.artist) == (Decimal("23.08"), Decimal("260.00"))  # 8.875 % of 260.00 are 23.075
    assert (two.tax, two.artist) == (Decimal("37.28"), Decimal("420.00"))  # of 420.00 37.275
    assert one.delivered == Decimal("509.08")  # 260.00 + 23.08 + 226.00
    assert two.delivered == Decimal("795.84")  # 420.00 + 37.28 + 338.56


def test_the_same_as_bought() -> None:
    """All that is fetched comes to 631.25, purchase tax 37.88 (37.875), with labour 855.85.

    + 42.79 = 898.64; + 89.86 = 988.50; + 247.13 = 1235.63, rounded 1236.00. Tax on 1343.79 is 119.26 (119.261).
    """
    assert sale().takeoff.bought_amount == Decimal("631.25")
    assert sale().otherwise["bought"] == Decimal("1467.13")  # 1236.00 + 107.79 + 4.08 + 119.26

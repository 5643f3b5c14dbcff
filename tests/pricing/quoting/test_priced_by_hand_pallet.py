"""A big crate on a pallet, priced by hand: what the pallet costs, and the freight class that changes by it.

A crate of 42 x 56 in is 5 23/32 in deep: straps keep it upright on a pallet, and the carrier measures both together.
Prices, minutes and rules stand in ``by_hand.py``, the carrier's figures here; all of them are invented. The worked
crate of 48 x 8 x 60 in follows, by the built-in figures of before and of today, which come to the same. See also
``test_priced_by_hand.py``.
"""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from functools import cache
from typing import Final

import pytest

from nesting.base.measure import INCH
from nesting.base.search import QUICK
from pricing.quoting.freight import offer
from pricing.quoting.quote import Quote, quote
from pricing.quoting.work import work
from pricing.studio.destinations import Destination
from pricing.studio.rates import FreightProfile
from pricing.studio.rates_file import default_rates, former_rates
from tests.pricing.quoting.by_hand import (
    PRICED,
    check_labour,
    check_lines,
    check_shares,
    check_steps,
    order,
    rows,
    studio,
)
from tests.pricing.quoting.carried import box, stocked

DAY: Final = date(2026, 11, 25)
GALLERY: Final = Destination("Harbour Gallery", country="US", profile="pallet")
"""Neither dock nor forklift: the carrier brings its lift."""
CARRIER: Final = FreightProfile(
    "pallet", "pallet", PRICED, title="Pallet freight", base=Decimal("45.00"), fuel=Decimal("0.28"),
    minimum=Decimal("185.00"), liftgate=Decimal("95.00"), liftgate_wide=80 * INCH, liftgate_deep=55 * INCH,
    liftgate_lb=Decimal(2500), on_pallets=True, no_stack="strapped", cubic_ft3=Decimal(750), linear_ft=Decimal(12),
    per_100lb={"65": Decimal("30.00"), "250": Decimal("112.00")},
)  # fmt: skip

WOOD = """
# goods, in bought units | price of one | amount
#
# 23/32 in: kept are 34 x 39 5/8 in of one sheet and 96 x 38 1/2 in of the other, 5043.25 in2 of 4608 each.
# 2 - 0.5 x 5043.25/4608 = 1.452772.
sheets:ply-23/32 4x8            | 1.452772 | 58.00  | 84.26
# 3/8 in: kept are 34 x 44 7/8 in. 1 - 0.5 x 1525.75/4608 = 0.834446.
sheets:ply-3/8 4x8              | 0.834446 | 36.00  | 30.04
# Foam board by its parts and 15 %: 4 5/8 x (2 x 50 9/16 + 39 1/8) + 3 17/32 x 39 1/8 = 786.816 in2, 0.170750 x 1.15.
sheets:foam-board-1 4x8         | 0.196363 | 26.50  | 5.20
#
# By number and 10 %: 38, 30 and 34 screws and 14 washers of 100; two straps of 2 x (56 + 5 1/2 + 40) + 12 = 215 in,
# 10922 mm of 76200; 2 of 50; 58 g of 500; 102 g of 1000.
hardware:screw 10x1-1/4 box 100 | 0.418000 | 9.40   | 3.93
hardware:screw 10x1-1/2 box 100 | 0.330000 | 9.90   | 3.27
hardware:screw 8x2-1/2 box 100  | 0.374000 | 11.80  | 4.41
hardware:washer-10 box 100      | 0.154000 | 5.10   | 0.79
hardware:strapping 250ft        | 0.157666 | 24.00  | 3.78
hardware:strap buckle box 50    | 0.044000 | 9.50   | 0.42
hardware:wood-glue 500g         | 0.127600 | 8.90   | 1.14
hardware:hot-glue 1kg           | 0.112200 | 14.50  | 1.63
# 4979 mm of 5182 and 10 % are more than the one box that is bought: the whole box.
hardware:gasket 17ft            | 1.000000 | 4.80   | 4.80
"""
PALLET = """
hardware:pallet 48x40           | 1.000000 | 24.00  | 24.00
"""
LABOUR = """
# operation | count | minutes | hours | an hour | amount
#
yard      | 1   | 15   | 0.2500 | 46.00 | 11.50
load      | 4   | 3    | 0.2000 | 46.00 | 9.20
# With the track saw: 56 and 9 3/8 of 23/32 in, 56 of 3/8 in.
track_cut  | 3   | 2    | 0.1000 | 46.00 | 4.60
# 23/32 in: 56 x 48 and 39 7/8 x 48 in are 18.7 and 13.3 sq ft, 96 x 9 3/8 in 6.25: two armfuls to the fence, since
# the last two are 19.5; to the stop, a short strip and what its panel leaves back to the fence, to the stop: 5. 3/8
# in: both halves of the sheet one by one, strips to the stop: 3.
carry      | 8   | 0.5  | 0.0667 | 46.00 | 3.07
# 23/32 in: 5 7/8, 5 3/4, 4 5/8, 3, 2; 3/8 in: 5 7/8, 5 3/4, 3.
setup      | 8   | 1    | 0.1333 | 46.00 | 6.13
# 1 + 2 + 3 + 1; 1 + 2.
rip        | 10  | 0.75 | 0.1250 | 46.00 | 5.75
# At 5 3/4 in both goods, and their panels are turned for the rips that follow.
crosscut   | 2   | 0.5  | 0.0167 | 46.00 | 0.77
turn       | 2   | 0.1  | 0.0033 | 46.00 | 0.15
# 54 9/16, 42, 34, 6, 4 5/8, 2 25/32; 34, 6.
stop_setup | 8   | 0.7  | 0.0933 | 46.00 | 4.29
# Both stiles on each other 1; rails 2; 1; 2; 4; 2. 3/8 in: 1, 2.
chop_cut   | 15  | 0.25 | 0.0625 | 46.00 | 2.88
# Foam board at 9 1/4, 50 9/16, 39 1/8, 4 5/8 twice, 3 17/32.
knife_cut  | 6   | 0.5  | 0.0500 | 46.00 | 2.30
# Back, lid, 2 rails, 2 stiles, 4 blocks, 4 parts of cleats, 2 setting blocks, 4 parts of pads, 4 strips of liner.
mark_out  | 24  | 0.25 | 0.1000 | 42.00 | 4.20
# 38 + 30 + 34 = 102 screws; their holes and the 14 through the back for those that hold the work.
hole      | 116 | 0.25 | 0.4833 | 42.00 | 20.30
screw     | 102 | 0.2  | 0.3400 | 42.00 | 14.28
fitting   | 2   | 1    | 0.0333 | 42.00 | 1.40
# Back 1, rails to stiles 4, corner blocks 4, cleat layers 2, setting blocks 2, pads 4.
glue_run  | 17  | 1.5  | 0.4250 | 42.00 | 17.85
assembly  | 1   | 12   | 0.2000 | 42.00 | 8.40
seal      | 2   | 4    | 0.1333 | 42.00 | 5.60
record    | 1   | 8    | 0.1333 | 48.00 | 6.40
mounting  | 1   | 15   | 0.2500 | 48.00 | 12.00
# Upright, fragile, dry, centre of gravity and no stacking on four sides, weight on two.
label     | 22  | 0.25 | 0.0917 | 48.00 | 4.40
hand_over | 1   | 5    | 0.0833 | 48.00 | 4.00
"""
ON_ITS_PALLET = """
# what is charged | quantity | rate | amount
#
# The crate weighs 84.2 kg and the pallet 18.1: 102.3 kg, 225.5 lb, billed 226. 48 x 40 in, and up to 84 in, since
# nothing goes on top, are 93.33 ft3: 2.42 lb/ft3, class 250.
freight:Harbour Gallery:base     | 1      | 45.00  | 45.00
freight:Harbour Gallery:weight   | 2.26   | 112.00 | 253.12
freight:Harbour Gallery:fuel     | 298.12 | 0.28   | 83.47
freight:Harbour Gallery:liftgate | 1      | 95.00  | 95.00
"""
BARE = """
# 84.2 kg are 185.6 lb, billed 186. 42 x 56 x 5 23/32 in are 7.784 ft3: 23.85 lb/ft3, class 65.
freight:Harbour Gallery:base     | 1      | 45.00  | 45.00
freight:Harbour Gallery:weight   | 1.86   | 30.00  | 55.80
freight:Harbour Gallery:fuel     | 100.80 | 0.28   | 28.22
# 45.00 + 55.80 + 28.22 = 129.02 of 185.00 at the least.
freight:Harbour Gallery:minimum  | 1      | 55.98  | 55.98
freight:Harbour Gallery:liftgate | 1      | 95.00  | 95.00
"""
INSURANCE = """
insurance:premium                | 5200   | 0.006  | 31.20
"""
STEPS = """
direct      | 317.14 | 317.14  # 143.67 + 24.00 for the pallet + 149.47 of labour
contingency | 15.86  | 333.00  # 5 % are 15.857
overhead    | 33.30  | 366.30  # 10 %
profit      | 91.58  | 457.88  # 25 % are 91.575
discount    | 0.00   | 457.88
minimum     | 0.00   | 457.88
rounding    | 0.12   | 458.00
freight     | 476.59 | 934.59
insurance   | 31.20  | 965.79
tax         | 0.00   | 965.79
"""
STEPS_BARE = """
direct      | 293.14 | 293.14
contingency | 14.66  | 307.80  # 5 % are 14.657
overhead    | 30.78  | 338.58  # 10 %
profit      | 84.65  | 423.23  # 25 % are 84.645
discount    | 0.00   | 423.23
minimum     | 0.00   | 423.23
rounding    | -0.23  | 423.00
freight     | 280.00 | 703.00
insurance   | 31.20  | 734.20
tax         | 0.00   | 734.20
"""
SHARES = """
            | C-01
sheets      | 119.50
hardware    | 48.17
labour      | 149.47
contingency | 15.86
overhead    | 33.30
profit      | 91.58
discount    | 0.00
minimum     | 0.00
rounding    | 0.12
freight     | 476.59
insurance   | 31.20
tax         | 0.00
in all      | 965.79
"""


@cache
def on_its_pallet() -> Quote:
    """Return the quote as the carrier takes the crate."""
    works = order(("C-01", "Large", "36", "50", "2", "110 lb", "closed", "5200", "Harbour Gallery"))
    return work(works, studio(GALLERY, CARRIER), on=DAY, search=QUICK)


@cache
def bare() -> Quote:
    """Return the quote by a carrier that measures the crate alone, as profiles of before do."""
    return quote(on_its_pallet().build, studio(GALLERY, replace(CARRIER, on_pallets=False)), on=DAY)


def test_the_crate_is_the_one_that_was_counted() -> None:
    (crate,) = on_its_pallet().build.crates
    assert (sum(part.count for part in crate.parts), crate.gross_kg, crate.stands) == (24, 84.2, "pallet")
    (unit,) = on_its_pallet().shipments[0].chosen.handed
    assert (unit.on, unit.gross_kg, unit.stacks) == ("pallet 48x40", Decimal("102.3"), False)


def test_every_line_on_its_pallet() -> None:
    made = on_its_pallet()
    sums = check_lines([line for line in made.lines if line.section != "labour"], WOOD, PALLET)
    assert sum(sums.values()) == Decimal("167.67")
    assert check_labour(made, LABOUR) == Decimal("149.47")
    assert check_lines(made.passed, ON_ITS_PALLET, INSURANCE)["freight"] == Decimal("476.59")
    assert "class 250 at 2.42 lb/ft3" in made.shipments[0].chosen.basis


def test_every_step_and_share_on_its_pallet() -> None:
    check_steps(on_its_pallet(), STEPS)
    check_shares(on_its_pallet(), SHARES)
    (sale,) = on_its_pallet().sales
    # 965.79/0.5 = 1931.58 on 5200.00; half of 7131.58 is the gallery's.
    assert (sale.list_price, sale.gallery, sale.artist) == (Decimal("7131.58"), Decimal("3565.79"), Decimal("2600.00"))


def test_the_same_crate_bare() -> None:
    """The class rises from 65 to 250 by the pallet: freight from 280.00 to 476.59, and 24.00 for the pallet."""
    made = bare()
    check_lines([line for line in made.lines if line.section != "labour"], WOOD)
    assert check_labour(made, LABOUR) == Decimal("149.47")
    assert check_lines(made.passed, BARE, INSURANCE)["freight"] == Decimal("280.00")
    assert "class 65 at 23.85 lb/ft3" in made.shipments[0].chosen.basis
    check_steps(made, STEPS_BARE)
    # What nobody charges is told beside it.
    (told,) = made.shipments[0].chosen.told
    assert told == "K1 must be strapped upright to a pallet or an A-frame, which is in no price here"


WORKED_BARE = """
# 78.9 kg are 173.9 lb, billed 174. 48 x 8 x 60 in are 13.33 ft3: 13.05 lb/ft3, class 85.
base     | 1      | 45.00  | 45.00
weight   | 1.74   | 39.00  | 67.86
fuel     | 112.86 | 0.28   | 31.60
minimum  | 1      | 40.54  | 40.54
liftgate | 1      | 95.00  | 95.00
"""
WORKED_ON_PALLET = """
# With the pallet 97.0 kg, 213.8 lb, billed 214, class 250.
base     | 1      | 45.00  | 45.00
weight   | 2.14   | 112.00 | 239.68
fuel     | 284.68 | 0.28   | 79.71
liftgate | 1      | 95.00  | 95.00
"""
BEFORE: Final = former_rates().profile("pallet")
TODAY: Final = default_rates().profile("pallet")


@pytest.mark.parametrize(
    ("rules", "basis", "worked", "amount"),
    [
        (BEFORE, "class 85 at 13.05 lb/ft3", WORKED_BARE, "280.00"),
        # 48 x 40 x 65 1/2 in are 72.78 ft3.
        (replace(BEFORE, on_pallets=True), "class 250 at 2.94 lb/ft3", WORKED_ON_PALLET, "459.39"),
        (replace(TODAY, on_pallets=False), "class 85 at 13.05 lb/ft3", WORKED_BARE, "280.00"),
        # 48 x 40 x 84 in are 93.33 ft3, since nothing goes on top.
        (TODAY, "class 250 at 2.29 lb/ft3", WORKED_ON_PALLET, "459.39"),
    ],
    ids=["before, bare", "before, on its pallet", "today, bare", "today, on its pallet"],
)
def test_the_worked_crate_by_the_figures_of_before_and_of_today(
    rules: FreightProfile, basis: str, worked: str, amount: str
) -> None:
    made = offer([box(48, 8, 60, 78.9, stands="pallet")], GALLERY, rules, particulars=stocked())
    assert basis in made.basis
    found = [(each.key, each.quantity, each.each, each.amount) for each in made.charges]
    assert found == [(key, Decimal(count), Decimal(each), Decimal(sum_)) for key, count, each, sum_ in rows(worked)]
    assert made.amount == sum(Decimal(cells[-1]) for cells in rows(worked)) == Decimal(amount)

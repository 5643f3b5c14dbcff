from dataclasses import replace
from datetime import date
from decimal import Decimal

from hypothesis import given, settings

from nesting.base.measure import INCH
from nesting.build import Build
from nesting.cutting.parts import StickPart
from nesting.cutting.sheets import Offcut
from pricing.quoting.offcuts import new_offcuts, worth
from pricing.quoting.quote import Quote, quote
from pricing.studio.office import Office
from pricing.studio.rack import Rack, rack_csv, rack_from
from pricing.studio.rates_file import default_rates
from tests.pricing.builds import PIECES, build_of, builds, crates_of, small_build, small_order


def priced(build: Build, value: str = "0.5") -> Quote:
    """Price a build with offcuts kept at a part of their cost."""
    rates = default_rates()
    rates = replace(rates, price=replace(rates.price, offcut_value=Decimal(value)))
    return quote(build, Office(rates=rates), on=date(2026, 11, 1))


def test_every_kept_piece_goes_in_with_size_good_and_value() -> None:
    made = priced(small_build())
    kept = [
        (layout.good, length, width)
        for layout in made.build.layouts
        for each in layout.sheets
        for _, _, length, width, leaf in each.pieces(layout.kerf)
        if isinstance(leaf, Offcut)
        for _ in range(each.repeat)
    ]
    new = [each for each in new_offcuts(made) if each.width]
    assert sorted((each.good, each.length, each.width) for each in new for _ in range(each.count)) == sorted(kept)
    assert kept
    assert all(each.value > 0 for each in new)


def test_long_ends_of_sticks_are_kept() -> None:
    """Worked by hand: 62 in off a 96 in stick and a kerf of 1/8 leave 33-7/8 in; 25 % of 4.10 x 33.875 / 96 is 0.36."""
    case = replace(crates_of(PIECES, 2)[-1], sticks=(StickPart("K4.upright", 62 * INCH, "2x3", 1),))
    made = priced(build_of(small_order(), (*crates_of(PIECES, 2)[:-1], case)), "0.25")
    ends = [each for each in new_offcuts(made) if each.good == "2x3"]
    assert [(each.length, each.width, each.count) for each in ends] == [(271 * INCH // 8, 0, 1)]
    assert ends[0].value == Decimal("0.36")


def test_they_read_back_as_a_rack() -> None:
    made = priced(small_build())
    rack = Rack(new_offcuts(made, "Q7"), currency="USD")
    assert rack.offcuts[0].name == "Q7-1"
    assert rack_from(rack_csv(rack).encode(), "rack.csv", made.build.shop, "USD") == rack


@given(builds())
@settings(max_examples=15)
def test_what_the_job_uses_and_what_it_leaves_is_what_was_bought(build: Build) -> None:
    """Of goods that are cut: each of at most ten roundings loses half a cent."""
    made = priced(build)
    goods = {layout.good for layout in build.layouts} | {plan.good for plan in build.stick_plans}
    rows = [row for row in made.takeoff.rows if row.good in goods]
    new = new_offcuts(made)
    gap = sum(row.used_amount for row in rows) + worth(new) - sum(row.bought_amount for row in rows)
    lost = priced(build, "0").takeoff.used_amount - made.takeoff.used_amount
    assert abs(worth(new) - lost) <= Decimal("0.005") * (sum(each.count for each in new) + len(rows) + 1)
    assert abs(gap) <= Decimal("0.005") * (sum(each.count for each in new) + len(rows) + 1)


def test_worthless_offcuts_are_still_listed() -> None:
    assert worth(new_offcuts(priced(small_build(), "0"))) == 0
    assert new_offcuts(priced(small_build(), "0"))

"""Which rule charges what of a material. Prices are invented."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any, get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.base.measure import INCH
from nesting.base.search import QUICK
from nesting.build import Build
from nesting.cutting.sheets import PartLeaf
from nesting.order import Artwork, Back, Order
from pricing.money import half_up
from pricing.quoting.charging import Charging
from pricing.quoting.quote import Quote, charged_told, quote
from pricing.quoting.takeoff import Taken, Takeoff, take_off
from pricing.quoting.work import work
from pricing.studio.former import remarks
from pricing.studio.office import Office
from pricing.studio.pricebook import Price
from pricing.studio.pricebook_file import default_price_book
from pricing.studio.rack import OnShelf, Rack, RackOffcut
from pricing.studio.rates import Charge
from pricing.studio.rates_file import default_rates, former_rates, rates_from
from tests.pricing.builds import builds, small_build

ON = date(2026, 11, 1)
TENTH, FIFTEEN = Decimal("0.10"), Decimal("0.15")
USED = Charging("used", {}, TENTH, FIFTEEN)


def row(form: str, used: str, needed: str = "1", **more: Any) -> Taken:
    """Return a row of a stock that costs 40.00."""
    price = Price("stock", "good", form, Decimal("40.00"))  # type: ignore[arg-type]  # one of the forms
    units, whole = Decimal(used), Decimal(needed)
    amount = half_up(whole * 40)
    facts: dict[str, Any] = {
        "bought": whole, "each": Decimal("40.00"), "bought_amount": amount, "used_each": Decimal(40),
        "used_amount": half_up(units * 40),
    } | more  # fmt: skip
    return Taken("stock", "good", "Good", form, "buy", needed=whole, used=units, price=price, **facts)  # type: ignore[arg-type]


def test_a_sheet_by_use_is_the_sheet_less_what_is_kept_and_bears_no_more_waste() -> None:
    charged = USED(row("sheet", "0.8", net=Decimal("0.5")))
    assert (charged.rule, charged.units, charged.amount) == ("used", Decimal("0.8"), Decimal("32.00"))


def test_a_sheet_by_area_is_its_parts_and_their_waste() -> None:
    # 0.5 x 1.15 = 0.575 of a sheet at 40.00 (calculation).
    charged = Charging("area", {}, TENTH, FIFTEEN)(row("sheet", "0.8", net=Decimal("0.5")))
    assert (charged.units, charged.amount) == (Decimal("0.575"), Decimal("23.00"))


def test_what_comes_off_a_roll_bears_its_waste_by_use_and_by_area() -> None:
    # A quarter of a roll and a tenth of that: 0.275 at 40.00 (calculation).
    for rule in ("used", "area"):
        charged = replace(USED, rule=rule)(row("roll", "0.25"))
        assert (charged.units, charged.amount) == (Decimal("0.275"), Decimal("11.00"))


def test_waste_takes_no_more_than_there_is() -> None:
    assert USED(row("roll", "0.95")).units == 1
    assert USED(row("each", "4", "4")).units == 4, "what is bought by the piece has no ends"
    half_off_the_shelf = row("box", "0.9", "0", shelf=Decimal("0.9"))
    assert USED(half_off_the_shelf).units == Decimal("0.9")
    assert Charging("area", {}, TENTH, Decimal(1))(row("sheet", "0.9", net=Decimal("0.8"))).units == 1


def test_as_bought_charges_the_whole_of_what_is_fetched() -> None:
    charged = Charging("bought", {}, TENTH, FIFTEEN)(row("roll", "0.25"))
    assert (charged.units, charged.amount) == (Decimal(1), Decimal("40.00"))


def test_a_row_of_before_parts_were_counted_is_charged_by_use() -> None:
    assert Charging("area", {}, TENTH, FIFTEEN)(row("sheet", "0.8")).amount == Decimal("32.00")


def test_a_price_without_end_is_rounded_once() -> None:
    # 100.00 for three, of which 0.00015 x 3: half a cent exactly, up (calculation).
    thirds = row("box", "0.00015", "3", bought_amount=Decimal("100.00"), used_each=Decimal(100) / 3)
    charged = Charging("used", {}, Decimal(0), FIFTEEN)(replace(thirds, used=Decimal("0.0003"), used_amount=Decimal(9)))
    assert charged.amount == 9, "what bears no waste was priced by the takeoff"
    assert Charging("used", {}, Decimal("0.5"), FIFTEEN)(replace(thirds, used=Decimal("0.0001"))).amount == Decimal(
        "0.01"
    )


def test_a_good_may_have_a_rule_of_its_own_where_the_rule_is_used_only() -> None:
    own: dict[str, Charge] = {"good": "bought"}
    assert replace(USED, by_good=own)(row("roll", "0.25")).amount == Decimal("40.00")
    for rule in ("bought", "area"):
        assert Charging(rule, {"good": "used"}).rule_of("good") == rule


@given(builds(), st.decimals(0, 1, places=2), st.decimals(0, 1, places=2))
@settings(max_examples=20)
def test_no_rule_charges_more_than_what_is_bought(build: Build, waste: Decimal, sheet_waste: Decimal) -> None:
    for rule in get_args(Charge):
        charging = Charging(rule, {}, waste, sheet_waste)
        for each in take_off(build, default_price_book(), offcut_value=Decimal("0.5")).rows:
            charged = charging(each)
            assert 0 <= charged.units <= each.bought
            assert charged.amount <= each.bought_amount
            assert charged.amount >= (each.used_amount if rule == "used" else 0)


@given(builds())
@settings(max_examples=15)
def test_the_parts_alone_are_what_is_laid_out(build: Build) -> None:
    """Counted apart from the takeoff."""
    taken = take_off(build, default_price_book(), offcut_value=Decimal(1))
    for layout in build.layouts:
        parts = Fraction(0)
        for each in layout.sheets:
            whole = each.sheet.length * each.sheet.width
            for *_, length, width, leaf in each.pieces(layout.kerf):
                if isinstance(leaf, PartLeaf):
                    parts += each.repeat * Fraction(length * width, whole)
        rows = [each for each in taken.rows if each.good == layout.good]
        assert abs(sum((Fraction(each.net) for each in rows), Fraction(0)) - parts) <= Fraction(len(rows), 1_000_000)
        assert all(each.net <= each.used for each in rows)
    for plan in build.stick_plans:
        lengths = {part.name: part.length for crate in build.crates for part in crate.sticks}
        sticks = Fraction(0)
        for cut in plan.sticks:
            sticks += cut.repeat * Fraction(sum(lengths[part] for part in cut.parts), cut.stick.length)
        rows = [each for each in taken.rows if each.good == plan.good]
        assert abs(sum((Fraction(each.net) for each in rows), Fraction(0)) - sticks) <= Fraction(len(rows), 1_000_000)


def test_a_new_studio_charges_by_use_and_foam_by_its_parts() -> None:
    charging = Charging.of(default_rates())
    assert charging.rule_of("ply-3/8") == "used"
    assert charging.rule_of("pe-plank-2") == charging.rule_of("foam-board-1") == "area"
    assert charging.waste > 0 < charging.sheet_waste


@pytest.mark.parametrize("text", ["", "form = 1\n", "[tax]\nrate = 0\n"])
def test_a_rates_file_of_before_charges_what_is_bought_as_ever(text: str) -> None:
    old = quote(small_build(), Office(rates=rates_from(text, "rates.toml")), on=ON)
    assert old.charge == "bought"
    for line in old.lines:
        if line.taken is not None:
            assert (line.charged, line.amount) == ("bought", line.taken.bought_amount)
    told = [note for lack in old.lacks for note in lack.reasons if "form = 2" in note]
    assert len(told) == 1


def test_a_rates_file_of_before_that_charged_what_is_used_bears_no_waste() -> None:
    old = quote(small_build(), Office(rates=rates_from('[price]\ncharge = "used"\n', "rates.toml")), on=ON)
    for line in old.lines:
        if line.taken is not None:
            assert line.amount == line.taken.used_amount


def test_what_the_other_rules_would_come_to_is_their_own_quote() -> None:
    for rule in get_args(Charge):
        made = quote(small_build(), Office(), on=ON, charge=rule)
        others = {each: quote(small_build(), Office(), on=ON, charge=each).total for each in get_args(Charge)}
        assert made.otherwise == {each: amount for each, amount in others.items() if each != rule}
    assert len(set(others.values())) == 3


def test_it_is_said_which_rule_counts_and_what_the_others_would_give() -> None:
    rates = replace(default_rates(), by_good={"osb-7/16": "area", "glassine": "bought", "tape": "area"})
    made = quote(small_build(), Office(rates=rates), on=ON)
    told = charged_told(made)
    bought, area = made.otherwise["bought"], made.otherwise["area"]
    assert told.startswith("materials are charged by use (osb-7/16 by area; glassine as bought); ")
    assert told.endswith(f"as bought it would be USD {bought:,.2f}, by area USD {area:,.2f}")


def test_what_is_charged_stands_in_the_lines_and_the_yard_is_told_the_whole() -> None:
    made = quote(small_build(), Office(), on=ON)
    lines = {line.stock: line for line in made.lines if line.taken}
    assert lines.keys() == {each.stock for each in made.takeoff.rows}
    for each in made.takeoff.rows:
        assert lines[each.stock].amount == made.charging(each).amount
    assert sum(line.amount for line in lines.values()) < made.takeoff.bought_amount


def test_stock_of_the_rack_by_area_is_a_part_of_its_book_value() -> None:
    rack = Rack((RackOffcut("R-1", "osb-7/16", 96 * INCH, 48 * INCH, Decimal("9.00"), 3),), currency="USD")
    made = quote(small_build(rack), Office(rack=rack), on=ON, charge="area")
    line = next(line for line in made.lines if line.stock == "R-1")
    assert line.taken is not None
    waste = made.rates.price.sheet_waste
    assert line.amount == half_up(half_up(line.taken.net * (1 + waste), Decimal("0.000001")) * 9)


def test_glue_off_the_shelf_is_charged_with_its_waste_as_far_as_it_goes() -> None:
    def glue(*shelf: OnShelf) -> Decimal:
        rack = Rack(shelf=shelf, currency="USD")
        made: Quote = quote(small_build(), Office(rack=rack), on=ON)
        return next(line.quantity for line in made.lines if line.good == "wood-glue")

    used = next(each for each in _takeoff().rows if each.good == "wood-glue")
    assert glue() == half_up(used.used * Decimal("1.10"), Decimal("0.000001"))
    assert glue(OnShelf("glue", "wood-glue", used.count)) == used.used, "nothing is left to waste"


def _takeoff() -> Takeoff:
    return take_off(small_build(), default_price_book())


def test_a_table_of_rules_by_good_reads_back_and_tells_its_faults() -> None:
    rates = rates_from('form = 2\n[charge]\nkraft = "bought"\n"ply-3/8" = "area"\n', "rates.toml")
    assert rates.by_good == {"kraft": "bought", "ply-3/8": "area"}
    assert rates_from("form = 2\n[charge]\n", "rates.toml").by_good == {}
    assert former_rates().by_good == {}


def test_a_small_panel_no_longer_pays_for_whole_rolls() -> None:
    side = 8 * INCH
    piece = Artwork("A-01", side, side, INCH, surface="resin", support="birch panel", back=Back("solid"))
    before, after = (
        work(Order("one", (piece,), currency="USD", cushion="fixed"), Office(rates=rates), on=ON, search=QUICK)
        for rates in (former_rates(), default_rates())
    )
    assert before.total == 731, "0.2.0 asked 733: today's order at the saw has fewer settings and passes to pay"
    assert after.total < Decimal("0.25") * before.total
    assert after.takeoff.bought_amount == before.takeoff.bought_amount, "the yard is paid the same"


def test_a_studio_that_was_begun_before_is_told_once_what_it_goes_on_with() -> None:
    made = quote(small_build(), Office(rates=former_rates()), on=ON)
    told = [note for lack in made.lacks for note in lack.reasons if "begun with" in note]
    assert len(told) == 1
    assert "charged as bought" in told[0]
    assert remarks(default_rates()) == ()


def test_a_rule_of_a_good_that_the_shop_does_not_stock_is_told() -> None:
    rates = replace(default_rates(), by_good={"glasine": "bought", "glassine": "bought", "pe-plank-2": "area"})
    made = quote(small_build(), Office(rates=rates), on=ON)
    told = [note for lack in made.lacks for note in lack.reasons if "[charge]" in note]
    assert [note.split(":")[0] for note in told] == ["[charge] in the rates names glasine"]

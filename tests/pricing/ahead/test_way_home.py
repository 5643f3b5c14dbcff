"""The way home by hand: what the gallery's place asks for on delivery is not asked for at the studio."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

from nesting.crates.model import Crate
from pricing.ahead.returns import plan_returns, returns_text
from pricing.ahead.way_home import WayHome, studio_end, way_home
from pricing.money import total
from pricing.quoting.quote import Quote, quote
from pricing.studio.destinations import Destination, Destinations
from pricing.studio.office import Office
from pricing.studio.rates import DeliveryRules
from tests.pricing.builds import small_build

ON = date(2026, 11, 1)
HOME = Destination("Harbour Gallery", "US", residential=True, inside=True, profile="pallet", handler_rate=Decimal(50))


def priced(place: Destination = HOME, *, home_dock: bool = True, home_residential: bool = False) -> Quote:
    studio = Office(destinations=Destinations((place,)))
    delivery = replace(studio.rates.delivery, home_dock=home_dock, home_residential=home_residential)
    return quote(small_build(), replace(studio, rates=replace(studio.rates, delivery=delivery)), on=ON)


def brought(made: Quote) -> WayHome:
    crates: tuple[Crate, ...] = made.build.travelling
    return way_home(made, crates, [copy.piece for copy in made.build.order.copies()])


def keys(way: WayHome) -> set[str]:
    return {charge.key for shipment in way.shipments for charge in shipment.chosen.charges}


def extras(made: Quote, *names: str) -> Decimal:
    return total(c.amount for each in made.shipments for c in each.chosen.charges if c.key in names)


def test_nothing_is_paid_for_a_delivery_to_the_gallery() -> None:
    made = priced()
    there = total(each.chosen.amount for each in made.shipments)
    assert extras(made, "residential") > 0
    assert extras(made, "inside") > 0
    assert extras(made, "liftgate") > 0
    assert brought(made).amount == there - extras(made, "residential", "inside", "liftgate")
    assert not keys(brought(made)) & {"residential", "inside", "liftgate"}


def test_what_the_studio_s_own_place_asks_for_is_paid() -> None:
    made = priced(home_dock=False, home_residential=True)
    assert keys(brought(made)) >= {"residential", "liftgate"}
    assert "inside" not in keys(brought(made))
    assert brought(made).amount == total(e.chosen.amount for e in made.shipments) - extras(made, "inside")
    plain = studio_end(HOME, DeliveryRules())
    assert (plain.residential, plain.inside, plain.limited, plain.dock) == (False, False, False, True)


def test_what_comes_home_is_insured_as_it_was_on_the_way_there() -> None:
    made = priced()
    assert brought(made).insurance == made.section("insurance")
    (one,) = (each for each in made.build.order.copies() if each.piece == "A-01")
    values = one.declared if one.declared is not None else one.price
    assert values is not None
    fewer = way_home(made, made.build.travelling, ["A-01"])
    assert fewer.insurance == (values * made.rates.insurance.rate).quantize(Decimal("0.01"))


def test_a_way_home_that_nobody_takes_is_incomplete_and_says_why() -> None:
    made = priced(replace(HOME, profile="van"))  # no distance is known
    way = brought(made)
    assert (way.amount, way.incomplete) == (Decimal("0.00"), "incomplete, no distance to Harbour Gallery is known")
    text = returns_text(plan_returns(made), made.currency)
    assert "incomplete, no distance to Harbour Gallery is known" in text


def test_what_is_collected_comes_home_by_whoever_collected_it() -> None:
    made = priced(replace(HOME, profile="collect"))
    assert (brought(made).amount, brought(made).incomplete) == (Decimal("0.00"), "")
    unknown = brought(priced(replace(HOME, profile="balloon")))
    assert unknown.incomplete == "incomplete, the rates have no profile balloon"


def test_the_terminal_says_what_it_costs_and_what_insures_it() -> None:
    made = priced()
    text = returns_text(plan_returns(made), made.currency)
    assert f"{brought(made).title}: {brought(made).amount:,.2f}" in text
    assert f"insurance back {brought(made).insurance:,.2f}" in text

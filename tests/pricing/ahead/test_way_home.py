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
from pricing.studio.rates import DeliveryRules, FreightProfile
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
    assert (way.amount, way.incomplete) == (
        Decimal("0.00"),
        "incomplete, refused: no distance to Harbour Gallery is known, and the profile states no km of its own",
    )
    text = returns_text(plan_returns(made), made.currency)
    assert "incomplete, refused: no distance to Harbour Gallery is known" in text


def test_what_is_collected_comes_home_by_whoever_collected_it() -> None:
    made = priced(replace(HOME, profile="collect"))
    assert (brought(made).amount, brought(made).incomplete) == (Decimal("0.00"), "")
    unknown = brought(priced(replace(HOME, profile="balloon")))
    assert unknown.incomplete == "incomplete, refused: the rates have no such freight profile"


def legged(place: Destination) -> Quote:
    """Quote with a van of 60 km to the airport, and a handler there who charges 80.00."""
    studio = Office(destinations=Destinations((place,)))
    by_name = {each.name: each for each in studio.rates.freight}
    there = FreightProfile("their-handler", "handler", title="A handler (invented)", base=Decimal("80.00"))
    near = replace(by_name["van"], name="near", km=Decimal(60), residential=Decimal("25.00"))
    rates = replace(studio.rates, freight=(*studio.rates.freight, there, near))
    return quote(small_build(), replace(studio, rates=rates), on=ON)


def test_legs_are_taken_from_the_end_and_what_began_at_the_studio_ends_there() -> None:
    made = legged(replace(HOME, country="FR", profile="near then air then their-handler"))
    there, back = made.shipments, brought(made).shipments
    assert [each.chosen.profile for each in there] == ["near", "air", "their-handler"]
    assert [each.chosen.profile for each in back] == ["their-handler", "air", "near"]
    assert [(each.leg, each.legs) for each in back] == [(1, 3), (2, 3), (3, 3)]
    assert (back[0].origin, back[-1].to) == ("Harbour Gallery", "")
    # the handler there was asked for inside delivery, which the way home does without
    plain = [c.amount for each in there for c in each.chosen.charges if c.key not in ("residential", "inside")]
    assert brought(made).amount == total(plain)


def test_a_carrier_s_quotation_was_for_the_way_there() -> None:
    made = priced(replace(HOME, quoted=Decimal("111.00"), quoted_by="pallet"))
    assert total(each.chosen.amount for each in made.shipments) == Decimal("111.00")
    assert brought(made) == brought(priced())


def test_a_carrier_that_stays_at_home_brings_nothing_back_from_abroad() -> None:
    studio = Office()
    kept = tuple(replace(p, countries="US") if p.name == "pallet" else p for p in studio.rates.freight)
    place = Destinations((replace(HOME, country="FR"),))
    made = quote(small_build(), replace(studio, rates=replace(studio.rates, freight=kept), destinations=place), on=ON)
    assert brought(made).incomplete == "incomplete, refused: it goes to US only, and Harbour Gallery lies in FR"


def test_the_terminal_says_what_it_costs_and_what_insures_it() -> None:
    made = priced()
    text = returns_text(plan_returns(made), made.currency)
    assert f"{brought(made).title}: {brought(made).amount:,.2f}" in text
    assert f"insurance back {brought(made).insurance:,.2f}" in text

"""Profiles: sums worked by hand beside each; billed weights themselves are shown in test_freight_rules."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest

from nesting.base.measure import INCH
from nesting.crates.model import Crate, Size
from pricing.quoting.bases import distance
from pricing.quoting.freight import offer
from pricing.quoting.offers import Offer
from pricing.quoting.shipments import ship
from pricing.studio.destinations import Destination, Destinations
from pricing.studio.rates import FreightProfile
from pricing.studio.rates_file import former_rates
from tests.pricing.builds import PIECES, crates_of

DAY = date(2026, 10, 1)
PLACE = Destination("Harbour Gallery")


def box(width: int, depth: int, height: int, kg: float, name: str = "K1") -> Crate:
    """Make a crate of so many inches and kilograms."""
    size = Size(width * INCH, height * INCH, depth * INCH)
    return Crate(name, "closed", "made by hand", ("A",), size, size, kg, 0.0, destination="Harbour Gallery")


def charges(made: Offer) -> dict[str, str]:
    """Return the amounts by key."""
    return {charge.key: str(charge.amount) for charge in made.charges}


def test_a_parcel_is_billed_the_greater_weight() -> None:
    """Section 6a: 12 x 9 x 7 in at 139 is 5.44 lb, billed 6; one of 20 kg is billed its 44.1 lb, up to 45."""
    profile = FreightProfile(
        "p",
        "parcel",
        DAY,
        base=Decimal("9.50"),
        per_lb=Decimal("0.85"),
        fuel=Decimal("0.18"),
        residential=Decimal("5.60"),
    )
    light = offer([box(12, 9, 7, 1.0)], PLACE, profile)
    assert [(b.dimensional, b.billed) for b in light.billed] == [(Decimal("5.4"), Decimal(6))]
    assert charges(light) == {"base": "9.50", "weight": "5.10", "fuel": "2.63"}
    both = offer([box(12, 9, 7, 1.0), box(12, 9, 7, 20.0, "K2")], replace(PLACE, residential=True), profile)
    assert charges(both) == {"base": "19.00", "weight": "43.35", "fuel": "11.22", "residential": "11.20"}
    assert both.bearers == {"K1": Fraction(6, 51), "K2": Fraction(45, 51)}


def test_pallet_freight_goes_by_the_density_class() -> None:
    """Section 6b: 40 x 48 x 48 in at 425 lb is 7.97 lb/ft3, class 125; 192.8 kg are 425.05 lb, billed 426."""
    profile = former_rates().profile("pallet")
    made = offer([box(40, 48, 48, 192.8)], PLACE, profile)
    assert "class 125 at 7.97 lb/ft3" in made.basis
    weight = next(charge for charge in made.charges if charge.key == "weight")
    assert (weight.quantity, weight.each, weight.amount) == (Decimal("4.26"), Decimal("57.00"), Decimal("242.82"))
    assert charges(made) == {"base": "45.00", "weight": "242.82", "fuel": "80.59", "liftgate": "95.00"}
    docked = offer([box(40, 48, 48, 192.8)], replace(PLACE, dock=True, inside=True, residential=True), profile)
    assert set(charges(docked)) == {"base", "weight", "fuel", "inside", "residential"}


def test_a_minimum_fills_up_before_extras() -> None:
    profile = replace(former_rates().profile("pallet"), minimum=Decimal("500.00"))
    made = offer([box(40, 48, 48, 192.8)], PLACE, profile)
    assert charges(made)["minimum"] == "131.59"
    assert made.amount == Decimal("595.00")


def test_air_is_billed_in_half_kilograms() -> None:
    """Section 6a: 100 x 100 x 20 cm at 6000 is 33.33 kg, billed 33.5; here in whole cm, 4.60 a kilogram."""
    profile = FreightProfile("a", "air", DAY, per_kg=Decimal("4.60"), divisor=Decimal(6000))
    size = Size(100 * 80_000, 20 * 80_000, 100 * 80_000)
    crate = replace(box(1, 1, 1, 10.0), outside=size)
    assert charges(offer([crate], PLACE, profile)) == {"weight": "154.10"}


def test_a_van_goes_by_distance() -> None:
    van = FreightProfile("v", "van", DAY, base=Decimal("60.00"), per_km=Decimal("0.95"), fuel=Decimal("0.10"))
    near = replace(PLACE, km=Decimal(120))
    assert charges(offer([box(10, 10, 10, 5.0)], near, van)) == {"base": "60.00", "distance": "228.00", "fuel": "28.80"}
    shared = replace(van, there_and_back=False, part=Decimal("0.5"), fuel=Decimal(0))
    assert charges(offer([box(10, 10, 10, 5.0)], near, shared)) == {"base": "30.00", "distance": "57.00"}
    nowhere = offer([box(10, 10, 10, 5.0)], PLACE, van)
    assert nowhere.refused == ("no distance to Harbour Gallery is known, and the profile states no km of its own",)
    assert nowhere.amount == 0


def test_a_typed_quotation_is_charged_as_it_is() -> None:
    fixed = FreightProfile("f", "fixed", DAY, amount=Decimal("310.50"), fuel=Decimal("0.5"))
    assert charges(offer([box(10, 10, 10, 5.0)], replace(PLACE, residential=True), fixed)) == {"amount": "310.50"}


def test_what_a_profile_refuses_is_said_and_costs_nothing() -> None:
    made = offer([box(120, 10, 40, 80.0)], PLACE, former_rates().profile("parcel"))
    assert len(made.refused) == 3
    assert any("too long" in reason for reason in made.refused)
    assert any("too heavy" in reason for reason in made.refused)
    assert made.charges == ()
    heavy = offer([box(40, 48, 48, 5.0)], PLACE, replace(former_rates().profile("pallet"), per_100lb={}))
    assert "no price for class 400" in heavy.refused[0]


@pytest.mark.parametrize("profile", former_rates().freight, ids=lambda p: p.name)
def test_every_figure_says_that_it_is_an_estimate_and_of_which_day(profile: FreightProfile) -> None:
    made = offer([box(20, 20, 20, 5.0)], replace(PLACE, km=Decimal(10)), profile)
    if profile.kind == "collect":
        assert (made.charges, made.estimate) == ((), "no freight is included")
    else:
        assert made.estimate == "estimate, figures of 2026-10-01"
        assert made.amount > 0
    assert sum(made.bearers.values()) == 1


def test_one_shipment_a_destination_frames_in_a_case_travelling_with_it() -> None:
    crates = crates_of(PIECES, 2)
    elsewhere = replace(crates[0], destination="Elsewhere")
    places = Destinations((Destination("Harbour Gallery", profile="van", km=Decimal(10)),))
    shipments = ship([elsewhere, *crates[1:]], places, former_rates())
    assert [(s.destination, s.crates, s.chosen.profile) for s in shipments] == [
        ("Elsewhere", ("K1",), "collect"),
        ("Harbour Gallery", ("K4",), "van"),
    ]
    assert {o.profile for o in shipments[1].others} == {"collect", "parcel", "pallet", "air", "shared-van"}
    bare = ship([elsewhere], places, replace(former_rates(), freight=()))
    assert bare[0].chosen.kind == "collect"


@pytest.mark.parametrize(
    ("km", "told"),
    [
        ("997.79328", "620 mi (997.8 km)"),  # 620 x 1.609344, exactly
        ("201.168", "125 mi (201.2 km)"),
        ("120", "120 km"),
        ("12.5", "12.5 km"),
        ("1609.344", "1,000 mi (1,609.3 km)"),
        ("0", "0 km"),
    ],
)
def test_distances_are_told_rounded_as_they_were_typed(km: str, told: str) -> None:
    """A mile is 1.609344 km (yard and pound agreement of 1959)."""
    assert distance(Decimal(km)) == told

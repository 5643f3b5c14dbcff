"""Which carrier takes which crates, and what a shipment then asks; sums worked by hand beside each."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.base.measure import INCH
from nesting.crates.model import Crate, Size
from pricing.quoting.shipments import Shipment, ship
from pricing.studio.destinations import Destination, Destinations
from pricing.studio.rates import DeliveryRules, FreightProfile, Rates

DAY = date(2026, 10, 1)
PARCEL = FreightProfile(
    "parcel", "parcel", DAY, base=Decimal("9.50"), per_lb=Decimal("0.85"), longest=48 * INCH, countries="US"
)
VAN = FreightProfile(
    "van", "van", DAY, "Our van", base=Decimal("60.00"), per_km=Decimal("0.95"), km=Decimal(80), countries="US",
    goes_to="the airport", heaviest_lb=Decimal(400), load_lb=Decimal(500),
)  # fmt: skip
AIR = FreightProfile("air", "air", DAY, base=Decimal("120.00"), per_kg=Decimal("4.60"), divisor=Decimal(6000))
HANDLER = FreightProfile(
    "handler", "handler", DAY, base=Decimal("180.00"), per_piece=Decimal("45.00"), per_kg=Decimal("0.40"),
    countries="FR",
)  # fmt: skip
RATES = Rates("USD", freight=(PARCEL, VAN, AIR, HANDLER), delivery=DeliveryRules(profile="van"))
NEAR = Destination("Near", "US", km=Decimal(10))
PARIS = Destination("Paris", "FR", residential=True, inside=True)


def box(name: str, width: int, kg: float, place: str = "Near") -> Crate:
    """Make a crate of so many inches by 12 by 20, and kilograms."""
    size = Size(width * INCH, 20 * INCH, 12 * INCH)
    return Crate(name, "closed", "made by hand", ("A",), size, size, kg, 0.0, destination=place)


def sent(place: Destination, crates: Sequence[Crate], rates: Rates = RATES, on: date = DAY) -> list[Shipment]:
    """Return the shipments to a place from a studio in the United States."""
    return list(ship(crates, Destinations((place,)), rates, on=on, home="US"))


def told(shipments: Sequence[Shipment]) -> list[tuple[str, tuple[str, ...], str]]:
    """Return profile, crates and amount, or the word refused, of each."""
    return [(s.chosen.profile, s.crates, "refused" if s.chosen.refused else str(s.chosen.amount)) for s in shipments]


def test_each_crate_goes_by_the_first_way_that_takes_it() -> None:
    """Parcel: 20 x 20 x 12 in at 139 is 34.5, billed 35 lb: 9.50 + 29.75. Van: 60.00 + 2 x 10 km x 0.95 = 79.00."""
    shipments = sent(replace(NEAR, profile="parcel, van"), [box("K1", 60, 20.0), box("K2", 20, 9.0)])
    assert told(shipments) == [("parcel", ("K2",), "39.25"), ("van", ("K1",), "79.00")]
    assert [each.key for each in shipments] == ["Near:parcel", "Near:van"]
    assert {other.profile for other in shipments[0].others} == {"van", "air"}


def test_one_profile_is_one_shipment_as_before() -> None:
    """A parcel carrier that refuses one crate of a sole profile refuses the shipment; nothing is sent otherwise."""
    (shipment,) = sent(replace(NEAR, profile="parcel"), [box("K1", 60, 20.0), box("K2", 20, 9.0)])
    assert (shipment.crates, shipment.key, shipment.legs) == (("K1", "K2"), "Near", 1)
    assert shipment.chosen.refused
    assert shipment.chosen.amount == 0


def test_what_no_way_takes_says_why_on_the_last_one() -> None:
    """Of 200 and 150 and 40 kg the van, that takes 181 kg a piece and 227 kg in all, takes the second and third."""
    crates = [box("K1", 60, 200.0), box("K2", 60, 150.0), box("K3", 60, 40.0)]
    shipments = sent(replace(NEAR, profile="parcel, van"), crates)
    assert told(shipments) == [("van", ("K2", "K3"), "79.00"), ("van", ("K1",), "refused")]
    assert [each.key for each in shipments] == ["Near:van 1", "Near:van 2"]


def test_a_full_van_leaves_the_rest_to_the_next_way() -> None:
    crates = [box("K1", 60, 150.0), box("K2", 60, 150.0), box("K3", 60, 60.0)]
    shipments = sent(replace(NEAR, profile="van, air"), crates)
    assert [(each.chosen.profile, each.crates) for each in shipments] == [("van", ("K1", "K3")), ("air", ("K2",))]


def test_two_legs_and_a_handler_abroad() -> None:
    """The van's own 80 km: 60.00 + 160 x 0.95 = 212.00. 100 kg by air: 120.00 + 460.00. Handler: 180 + 45 + 40."""
    place = replace(PARIS, profile="parcel, van then air then handler")
    shipments = sent(place, [box("K1", 40, 100.0, "Paris")])
    assert told(shipments) == [
        ("van", ("K1",), "212.00"), ("air", ("K1",), "580.00"), ("handler", ("K1",), "265.00"),
    ]  # fmt: skip
    assert [(s.origin, s.to, s.leg, s.legs) for s in shipments] == [
        ("", "the airport", 1, 3), ("the airport", "where air ends", 2, 3), ("where air ends", "", 3, 3),
    ]  # fmt: skip
    assert all(each.others == () for each in shipments)


def test_extras_of_a_place_are_asked_on_the_last_leg_alone() -> None:
    """A carrier's house on the way is no home, and nobody carries crates into it."""
    rates = replace(RATES, freight=(VAN, replace(AIR, residential=Decimal("77.00"), inside=Decimal("150.00"))))
    first, last = sent(replace(PARIS, profile="air then air"), [box("K1", 40, 100.0, "Paris")], rates)
    assert (first.chosen.amount, last.chosen.amount) == (Decimal("580.00"), Decimal("807.00"))
    assert [first.key, last.key] == ["Paris:air 1", "Paris:air 2"]


def test_one_refused_leg_leaves_the_others_as_they_are() -> None:
    rates = replace(RATES, freight=(VAN, replace(AIR, heaviest_lb=Decimal(100)), HANDLER))
    shipments = sent(replace(PARIS, profile="van then air then handler"), [box("K1", 40, 100.0, "Paris")], rates)
    assert [amount for _, _, amount in told(shipments)] == ["212.00", "refused", "265.00"]


def test_a_van_as_one_leg_of_several_never_drives_the_whole_way() -> None:
    rates = replace(RATES, freight=(replace(VAN, km=Decimal(0)), AIR))
    first, _ = sent(replace(PARIS, profile="van then air", km=Decimal(9000)), [box("K1", 40, 100.0, "Paris")], rates)
    assert first.chosen.refused == ("no distance to the airport is known, and the profile states no km of its own",)


@pytest.mark.parametrize(
    ("profile", "refused"),
    [
        ("handler", [True]),
        ("van", [True]),
        ("van then handler", [True, False]),
        ("van then air", [False, False]),
        ("air", [False]),
        ("air then van", [False, True]),
    ],
)
def test_a_domestic_carrier_does_not_go_abroad(profile: str, refused: list[bool]) -> None:
    """Somebody must cross the border: a handler abroad does not fetch from here, and a van at home ends at home."""
    shipments = sent(replace(PARIS, profile=profile, km=Decimal(50)), [box("K1", 40, 100.0, "Paris")])
    assert [bool(each.chosen.refused) for each in shipments] == refused


def test_the_country_is_said_and_one_that_nobody_stated_is_the_studios() -> None:
    (shipment,) = sent(replace(PARIS, profile="parcel"), [box("K1", 20, 9.0, "Paris")])
    assert shipment.chosen.refused == ("it goes to US only, and Paris lies in FR",)
    (near,) = sent(Destination("Near", profile="parcel"), [box("K1", 20, 9.0)])
    assert near.chosen.refused == ()
    (nowhere,) = ship([box("K1", 20, 9.0)], Destinations((Destination("Near", profile="parcel"),)), RATES)
    assert nowhere.chosen.refused == ()


def test_a_zone_multiplies_the_freight_before_fuel() -> None:
    """39.25 as above; zone 5 at 1.4 adds 15.70, fuel of 10 % on 54.95 adds 5.50 (half up)."""
    zoned = replace(PARCEL, zones={"2": Decimal(1), "5": Decimal("1.4")}, fuel=Decimal("0.10"))
    rates = replace(RATES, freight=(zoned,), delivery=DeliveryRules(profile="parcel"))
    (shipment,) = sent(replace(NEAR, zone="5"), [box("K2", 20, 9.0)], rates)
    assert {each.key: str(each.amount) for each in shipment.chosen.charges} == {
        "base": "9.50", "weight": "29.75", "zone": "15.70", "fuel": "5.50",
    }  # fmt: skip
    (level,) = sent(replace(NEAR, zone="2"), [box("K2", 20, 9.0)], rates)
    assert [each.key for each in level.chosen.charges] == ["base", "weight", "fuel"]
    (unknown,) = sent(NEAR, [box("K2", 20, 9.0)], rates)
    assert unknown.chosen.refused == ("its price goes by zone, and no zone is known of Near",)
    (other,) = sent(replace(NEAR, zone="9"), [box("K2", 20, 9.0)], rates)
    assert other.chosen.refused == ("it has no price for zone 9; it has 2, 5",)


def test_a_quotation_replaces_the_estimate_until_its_last_day() -> None:
    place = replace(
        NEAR, profile="parcel, van", quoted=Decimal("310.50"), quoted_by="van", quoted_until=date(2026, 10, 31)
    )
    crates = [box("K1", 60, 20.0), box("K2", 20, 9.0)]
    (shipment,) = sent(place, crates, on=date(2026, 10, 31))
    assert told([shipment]) == [("van", ("K1", "K2"), "310.50")]
    assert (shipment.chosen.title, shipment.chosen.estimate) == ("Our van", "quoted, until 2026-10-31")
    assert [each.chosen.profile for each in sent(place, crates, on=date(2026, 11, 1))] == ["parcel", "van"]
    (by_word,) = sent(replace(place, quoted_by="Somebody's lorry (invented)", quoted=Decimal(0)), crates)
    assert by_word.chosen.title == "Somebody's lorry (invented)"
    assert by_word.chosen.amount == 0
    assert [charge.key for charge in by_word.chosen.charges] == ["amount"]


def test_a_profile_that_the_rates_lack_is_refused_and_not_free() -> None:
    (shipment,) = sent(replace(NEAR, profile="balloon"), [box("K1", 20, 9.0)])
    assert shipment.chosen.refused == ("the rates have no such freight profile",)


@given(
    st.lists(st.tuples(st.integers(10, 90), st.floats(1, 250)), min_size=1, max_size=7),
    st.sampled_from(["parcel", "parcel, van", "van, parcel, air", "parcel, van then air", "air, van"]),
)
def test_every_crate_is_in_exactly_one_shipment_of_each_leg(sizes: list[tuple[int, float]], profile: str) -> None:
    """Whatever goes where: no crate is left, none goes twice, keys are unique, and bearers are whole."""
    crates = [box(f"K{n}", width, kg) for n, (width, kg) in enumerate(sizes)]
    shipments = sent(replace(NEAR, profile=profile), crates)
    firsts = [name for each in shipments if each.leg == 1 for name in each.crates]
    assert sorted(firsts) == sorted(crate.crate for crate in crates)
    assert len({each.key for each in shipments}) == len(shipments)
    assert all(sum(each.chosen.bearers.values()) == 1 for each in shipments)
    assert all(set(each.chosen.bearers) == set(each.crates) for each in shipments)

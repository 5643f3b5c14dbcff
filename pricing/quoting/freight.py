"""Freight by profile: what every profile would charge for the crates of a destination, and what it refuses.

The arithmetic of billed weights is :mod:`pricing.studio.freight_rules`; here profiles with the shop's dated figures are
put on top. Every result is an estimate and says of which day its figures are.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction
from math import ceil
from typing import Final

from nesting.base.measure import UnitSystem
from nesting.crates.model import Crate
from pricing.money import half_up, total
from pricing.studio.destinations import KM_PER_MILE, Destination
from pricing.studio.freight_rules import (
    Caps,
    Piece,
    air_chargeable_kg,
    billed_lb,
    density_lb_ft3,
    dimensional_kg,
    dimensional_lb,
    freight_class,
    shipment_refusals,
)
from pricing.studio.rates import FreightKind, FreightProfile

_TENTH: Final = Decimal("0.1")
ARTWORK: Final = (
    "Works of art are often not rated by density; the carrier's own classification overrides this estimate."
)


@dataclass(frozen=True, slots=True)
class FreightCharge:
    """One charge of a shipment: ``quantity x each``, rounded half up.

    Attributes
    ----------
    key : str
        base, piece, weight, distance, zone, fuel, minimum, liftgate, residential, inside or amount.
    title, unit : str
        For people; unit is parcel, lb, 100 lb, kg, km, amount or once.
    quantity, each, amount : Decimal
        What the sum is made of.
    """

    key: str
    title: str
    quantity: Decimal
    unit: str
    each: Decimal
    amount: Decimal


@dataclass(frozen=True, slots=True)
class Billed:
    """The weight of one crate as a carrier sees it.

    Attributes
    ----------
    crate : str
        Its name.
    gross, dimensional, billed : Decimal
        In ``unit``; dimensional is 0 where it does not count. Of an air shipment the sums are billed, not each crate.
    unit : str
        ``"lb"`` or ``"kg"``.
    """

    crate: str
    gross: Decimal
    dimensional: Decimal
    billed: Decimal
    unit: str


@dataclass(frozen=True, slots=True)
class Offer:
    """What one profile asks for the crates of one shipment.

    Attributes
    ----------
    profile, title : str
        Which.
    kind : str
        collect, parcel, pallet, air, van, handler or fixed.
    estimate : str
        Says that it is an estimate, and of which day its figures are.
    charges : tuple of FreightCharge
        Empty when it is refused or collected.
    billed : tuple of Billed
        Weights of each crate.
    basis : str
        What the weight charge goes by, such as the density class.
    refused : tuple of str
        Every reason why it cannot be had.
    bearers : mapping of str to Fraction
        Each crate's part, by billed weight (parcel, pallet, air) or by outside volume.
    days, days_most : int
        Fewest and most working days of the carrier on the way, the day of pick-up not counted; both 0 where not known.
    as_of : date or None
        Day of its figures; None where it has none, as when the client collects.
    """

    profile: str
    title: str
    kind: FreightKind
    estimate: str
    charges: tuple[FreightCharge, ...]
    billed: tuple[Billed, ...]
    basis: str
    refused: tuple[str, ...]
    bearers: Mapping[str, Fraction] = field(default_factory=dict)
    days: int = 0
    days_most: int = 0
    as_of: date | None = None

    @property
    def amount(self) -> Decimal:
        """Sum of the charges."""
        return total(charge.amount for charge in self.charges)


def collected(name: str, by: str) -> Offer:
    """Return the offer where the rates hold no profile of that name, so that somebody comes for the crates."""
    return Offer(
        profile=name,
        title=f"Collected by the {by}",
        kind="collect",
        estimate="no freight is included",
        charges=(),
        billed=(),
        basis="",
        refused=(),
    )


def handed(crate: Crate) -> Piece:
    """Return a crate as a carrier takes it, upright."""
    size = crate.outside
    return Piece(size.width, size.depth, size.height, Decimal(str(crate.gross_kg)), crate.crate)


def offer(crates: Sequence[Crate], place: Destination, profile: FreightProfile, units: UnitSystem = "inch") -> Offer:
    """Reckon what a profile asks for the crates of a place.

    Parameters
    ----------
    crates : sequence of Crate
        Those that travel by themselves; at least one.
    place : Destination
        Where they go: its distance, dock, forklift, residence and inside delivery count.
    profile : FreightProfile
        The figures.
    units : {"inch", "metric"}
        How refusals write sizes and weights; what a carrier bills by keeps the unit of its tariff.
    """
    pieces = [handed(crate) for crate in crates]
    caps = Caps(profile.longest, profile.highest, profile.length_girth, profile.heaviest_lb, profile.load_lb)
    refused = list(shipment_refusals(pieces, caps, units))
    billed, basis, transport, missing = _reckon(pieces, place, profile)
    refused += [*missing, *_zone_refusals(place, profile)]
    charges = () if refused else _charges(transport, len(pieces), place, profile)
    if profile.kind in ("parcel", "pallet", "air"):
        weights = {each.crate: Fraction(each.billed) for each in billed}
    else:
        weights = {piece.name: Fraction(piece.length * piece.width * piece.height) for piece in pieces}
    whole = sum(weights.values())
    estimate = "no freight is included" if profile.kind == "collect" else f"estimate, figures of {profile.as_of}"
    return Offer(
        profile=profile.name,
        title=profile.title or profile.name,
        kind=profile.kind,
        estimate=estimate,
        charges=charges,
        billed=tuple(billed),
        basis=basis,
        refused=tuple(refused),
        bearers={crate: weight / whole for crate, weight in weights.items()},
        days=profile.transit_days,
        days_most=max(profile.transit_days, profile.transit_days_most),
        as_of=None if profile.kind == "collect" else profile.as_of,
    )


_Reckoned = tuple[list[Billed], str, list[FreightCharge], list[str]]


def _charge(key: str, title: str, quantity: Decimal, unit: str, each: Decimal) -> FreightCharge:
    return FreightCharge(key, title, quantity, unit, each, half_up(quantity * each))


def _parcel(pieces: Sequence[Piece], profile: FreightProfile) -> _Reckoned:
    """Bill each parcel the greater of gross and dimensional weight, up to the next pound."""
    billed = [
        Billed(
            piece.name,
            half_up(piece.pounds, _TENTH),
            half_up(dimensional_lb(piece, profile.divisor), _TENTH),
            billed_lb(piece, profile.divisor),
            "lb",
        )
        for piece in pieces
    ]
    pounds = sum((each.billed for each in billed), Decimal(0))
    charges = [
        _charge("base", "each parcel", Decimal(len(pieces)), "parcel", profile.base),
        _charge("weight", "billed weight", pounds, "lb", profile.per_lb),
    ]
    return billed, f"greater of gross and dimensional weight at {profile.divisor} in3/lb", charges, []


def _pallet(pieces: Sequence[Piece], profile: FreightProfile) -> _Reckoned:
    """Bill the actual weight, up to the next pound, at the class that the shipment's density gives."""
    density, level = density_lb_ft3(pieces), freight_class(pieces)
    billed = [
        Billed(piece.name, half_up(piece.pounds, _TENTH), Decimal(0), half_up(piece.pounds, _TENTH), "lb")
        for piece in pieces
    ]
    pounds = Decimal(ceil(sum((piece.pounds for piece in pieces), Fraction(0))))
    each = profile.per_100lb.get(level)
    charges = [
        _charge("base", "pick-up", Decimal(1), "once", profile.base),
        _charge("weight", f"actual weight, class {level}", pounds / 100, "100 lb", each or Decimal(0)),
    ]
    basis = f"class {level} at {half_up(density, Decimal('0.01'))} lb/ft3, outside with skids. {ARTWORK}"
    return billed, basis, charges, [] if each is not None else [f"the profile has no price for class {level}"]


def _air(pieces: Sequence[Piece], profile: FreightProfile) -> _Reckoned:
    """Bill the greater of gross and dimensional weight of the whole shipment, up to the next half kilogram."""
    billed = []
    for piece in pieces:
        gross = half_up(piece.gross_kg, _TENTH)
        dimensional = half_up(dimensional_kg(piece, profile.divisor), _TENTH)
        billed.append(Billed(piece.name, gross, dimensional, max(gross, dimensional), "kg"))
    charges = [
        _charge("base", "papers and handling", Decimal(1), "once", profile.base),
        _charge("weight", "chargeable weight", air_chargeable_kg(pieces, profile.divisor), "kg", profile.per_kg),
    ]
    return billed, f"greater of gross and dimensional weight at {profile.divisor} cm3/kg", charges, []


def _van(pieces: Sequence[Piece], place: Destination, profile: FreightProfile) -> _Reckoned:
    """Charge the way, there and back or one way, or this job's part of a shared one."""
    if place.km is None:
        return _gross(pieces), "", [], [f"no distance to {place.name} is known"]
    way = place.km * (2 if profile.there_and_back else 1)
    basis = f"{distance(way)} {'there and back' if profile.there_and_back else 'one way'}"
    if profile.part < 1:
        basis += f", of which this job pays {profile.part}"
    charges = [
        _charge("base", "van and driver", profile.part, "once", profile.base),
        _charge("distance", basis, way * profile.part, "km", profile.per_km),
    ]
    return _gross(pieces), basis, charges, []


def distance(km: Decimal) -> str:
    """Write a distance to one decimal: ``620 mi (997.8 km)`` where it was typed in miles, else ``120 km``.

    It was typed in miles where it has fewer decimals so, a mile being 1.609344 km exactly.
    """
    kilometres = f"{_short(km)} km"
    miles = half_up(km / KM_PER_MILE, Decimal("0.000001"))
    typed_in_miles = miles * KM_PER_MILE == km and _decimals(miles) < _decimals(km)
    return f"{_short(miles)} mi ({kilometres})" if typed_in_miles else kilometres


def _short(value: Decimal) -> str:
    return f"{half_up(value, _TENTH):,f}".removesuffix(".0")


def _decimals(value: Decimal) -> int:
    text = f"{value:f}"
    return len(text.partition(".")[2].rstrip("0"))


def _as_typed(pieces: Sequence[Piece], profile: FreightProfile) -> _Reckoned:
    """Charge the quotation as it was typed; nothing where the client collects."""
    if profile.kind == "collect":
        return _gross(pieces), "the client collects", [], []
    charge = _charge("amount", "quotation", Decimal(1), "once", profile.amount)
    return _gross(pieces), "a quotation as typed", [charge], []


def _handler(pieces: Sequence[Piece], profile: FreightProfile) -> _Reckoned:
    """Charge what a handler asks once, for each crate, and for each kilogram of gross weight, to the tenth."""
    gross = sum((half_up(piece.gross_kg, _TENTH) for piece in pieces), Decimal(0))
    charges = [
        _charge("base", "handling", Decimal(1), "once", profile.base),
        _charge("piece", "each crate", Decimal(len(pieces)), "crate", profile.per_piece),
        _charge("weight", "gross weight", gross, "kg", profile.per_kg),
    ]
    return _gross(pieces), "handled by the crate and by gross weight", charges, []


def _zone_refusals(place: Destination, profile: FreightProfile) -> list[str]:
    """Return why a profile that charges by zone has no price for a place; nothing where it does not or has one."""
    if not profile.zones or place.zone in profile.zones:
        return []
    if not place.zone:
        return [f"its price goes by zone, and no zone is known of {place.name}"]
    return [f"it has no price for zone {place.zone}; it has {', '.join(profile.zones)}"]


def _gross(pieces: Sequence[Piece]) -> list[Billed]:
    """Return gross weights where nothing is billed by them."""
    weights = [(piece.name, half_up(piece.gross_kg, _TENTH)) for piece in pieces]
    return [Billed(name, gross, Decimal(0), gross, "kg") for name, gross in weights]


def _reckon(pieces: Sequence[Piece], place: Destination, profile: FreightProfile) -> _Reckoned:
    """Reckon the transport alone, by the kind of profile."""
    match profile.kind:
        case "parcel":
            return _parcel(pieces, profile)
        case "pallet":
            return _pallet(pieces, profile)
        case "air":
            return _air(pieces, profile)
        case "van":
            return _van(pieces, place, profile)
        case "handler":
            return _handler(pieces, profile)
        case "fixed" | "collect":
            return _as_typed(pieces, profile)


def _charges(
    transport: Sequence[FreightCharge], parcels: int, place: Destination, profile: FreightProfile
) -> tuple[FreightCharge, ...]:
    """Add fuel and the minimum to the transport, then the extras that the place asks for; drop what costs nothing."""
    if profile.kind in ("collect", "fixed"):
        return tuple(transport)
    charges = list(transport)
    if profile.zones:
        before = total(charge.amount for charge in charges)
        factor = profile.zones[place.zone]
        charges.append(_charge("zone", f"zone {place.zone}, {factor} times", before, "amount", factor - 1))
    before = total(charge.amount for charge in charges)
    charges.append(_charge("fuel", "fuel surcharge", before, "amount", profile.fuel))
    short = half_up(profile.minimum) - total(charge.amount for charge in charges)
    if short > 0:
        charges.append(_charge("minimum", f"up to the minimum of {profile.minimum}", Decimal(1), "once", short))
    if profile.kind == "pallet" and not (place.dock or place.forklift):
        charges.append(
            _charge(
                "liftgate", "liftgate, since there is neither dock nor forklift", Decimal(1), "once", profile.liftgate
            )
        )
    if place.residential:
        count, unit = (parcels, "parcel") if profile.kind == "parcel" else (1, "once")
        charges.append(_charge("residential", "residential delivery", Decimal(count), unit, profile.residential))
    if place.inside:
        charges.append(_charge("inside", "inside delivery", Decimal(1), "once", profile.inside))
    return tuple(charge for charge in charges if charge.amount)

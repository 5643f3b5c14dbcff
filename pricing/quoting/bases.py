"""What the transport alone costs, by the kind of profile: by weight, by distance, or as it was typed."""

from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal
from typing import Final

from nesting.base.ratio import ratio_text
from pricing.money import half_up
from pricing.quoting.offers import Billed, FreightCharge, charge_of
from pricing.studio.capacity import SCALE_PICTURES, Capacity, ratings
from pricing.studio.destinations import KM_PER_MILE, Destination
from pricing.studio.freight_rules import (
    CUBIC_FOOT_IN3,
    SCALE_2025,
    Piece,
    air_chargeable_kg,
    billed_kg,
    billed_lb,
    dimensional_kg,
    dimensional_lb,
    road_chargeable_kg,
)
from pricing.studio.rates import FreightKind, FreightProfile

_TENTH: Final = Decimal("0.1")
ARTWORK: Final = (
    "Works of art are often not rated by density; the carrier's own classification overrides this estimate."
)

PICTURES: Final = "the freight item of paintings and pictures, whatever the general scale says"

Reckoned = tuple[list[Billed], str, list[FreightCharge], list[str]]


def _parcel(pieces: Sequence[Piece], profile: FreightProfile) -> Reckoned:
    """Bill each parcel the greater of gross and dimensional weight, up to the next pound, or kilogram if paid so."""
    if profile.per_kg:
        return _parcel_kg(pieces, profile)
    over = int(profile.volume_over_ft3 * CUBIC_FOOT_IN3)
    billed = [
        Billed(
            piece.name,
            half_up(piece.pounds, _TENTH),
            half_up(dimensional_lb(piece, profile.divisor), _TENTH),
            billed_lb(piece, profile.divisor, over_in3=over),
            "lb",
        )
        for piece in pieces
    ]
    pounds = sum((each.billed for each in billed), Decimal(0))
    charges = [
        charge_of("base", "each parcel", Decimal(len(pieces)), "parcel", profile.base),
        charge_of("weight", "billed weight", pounds, "lb", profile.per_lb),
    ]
    return billed, f"greater of gross and dimensional weight at {profile.divisor} in3/lb", charges, []


def _parcel_kg(pieces: Sequence[Piece], profile: FreightProfile) -> Reckoned:
    """Bill each parcel the greater of gross and volume weight, up to the next kilogram."""
    billed = [
        Billed(
            piece.name,
            half_up(piece.gross_kg, _TENTH),
            half_up(dimensional_kg(piece, profile.divisor, "up"), _TENTH),
            billed_kg(piece, profile.divisor),
            "kg",
        )
        for piece in pieces
    ]
    charges = [
        charge_of("base", "each parcel", Decimal(len(pieces)), "parcel", profile.base),
        charge_of("weight", "billed weight", sum((each.billed for each in billed), Decimal(0)), "kg", profile.per_kg),
    ]
    return billed, f"greater of gross and volume weight at {profile.divisor} cm3/kg", charges, []


def _pallet(pieces: Sequence[Piece], profile: FreightProfile) -> Reckoned:
    """Bill the actual weight, up to the next pound, at the class that the shipment's density gives.

    Where a rule of room counts, what it bills is charged if that is more.
    """
    rules = Capacity(
        profile.cubic_ft3, profile.cubic_lb_ft3, profile.linear_ft, profile.linear_lb_ft3, profile.linear_lb_per_ft,
        profile.linear_turned,
    )  # fmt: skip
    pictures = profile.item == "pictures"
    found = ratings(pieces, SCALE_PICTURES if pictures else SCALE_2025, rules)
    rated = max(found, key=lambda each: each.pounds * profile.per_100lb.get(each.level, Decimal(0)))
    billed = [
        Billed(piece.name, half_up(piece.pounds, _TENTH), Decimal(0), half_up(piece.pounds, _TENTH), "lb")
        for piece in pieces
    ]
    each = profile.per_100lb.get(rated.level)
    weight = "billed" if rated.why else "actual"
    charges = [
        charge_of("base", "pick-up", Decimal(1), "once", profile.base),
        charge_of("weight", f"{weight} weight, class {rated.level}", rated.pounds / 100, "100 lb", each or Decimal(0)),
    ]
    basis = f"class {rated.level} at {half_up(rated.density, Decimal('0.01'))} lb/ft3, {_measured(pieces)}"
    basis += f" by {rated.why}" if rated.why else ""
    basis += f", {PICTURES}." if pictures else f". {ARTWORK}"
    missing = [f"the profile has no price for class {one.level}" for one in found if one.level not in profile.per_100lb]
    return billed, basis, charges, list(dict.fromkeys(missing))


def _measured(pieces: Sequence[Piece]) -> str:
    """Say how volume was taken."""
    free = any(piece.counts_high > piece.height for piece in pieces)
    return "outside with skids" + (", up to where nothing else can stand" if free else "")


def _air(pieces: Sequence[Piece], profile: FreightProfile) -> Reckoned:
    """Bill the greater of gross and dimensional weight of the whole shipment, up to the next half kilogram."""
    billed = []
    for piece in pieces:
        gross = half_up(piece.gross_kg, _TENTH)
        dimensional = half_up(dimensional_kg(piece, profile.divisor), _TENTH)
        billed.append(Billed(piece.name, gross, dimensional, max(gross, dimensional), "kg"))
    charges = [
        charge_of("base", "papers and handling", Decimal(1), "once", profile.base),
        charge_of("weight", "chargeable weight", air_chargeable_kg(pieces, profile.divisor), "kg", profile.per_kg),
    ]
    return billed, f"greater of gross and dimensional weight at {profile.divisor} cm3/kg", charges, []


def _by_room(pieces: Sequence[Piece], profile: FreightProfile) -> Reckoned:
    """Bill a part load by road or sea: the greatest of gross weight, volume and loading metres of the shipment."""
    billed = []
    for piece in pieces:
        gross = half_up(piece.gross_kg, _TENTH)
        weight, _ = road_chargeable_kg([piece], profile.divisor, profile.metre_kg, profile.trailer_wide)
        billed.append(Billed(piece.name, gross, half_up(dimensional_kg(piece, profile.divisor, "none"), _TENTH),
                             max(gross, weight), "kg"))  # fmt: skip
    weight, word = road_chargeable_kg(pieces, profile.divisor, profile.metre_kg, profile.trailer_wide)
    basis = f"{half_up(1_000_000 / profile.divisor, Decimal(1))} kg a cubic metre"
    if profile.metre_kg:
        basis += f", {profile.metre_kg} kg a loading metre"
    charges = [
        charge_of("base", "papers and handling", Decimal(1), "once", profile.base),
        charge_of("weight", "chargeable weight", weight, "kg", profile.per_kg),
    ]
    return billed, f"{word}, the greatest of gross weight, {basis}", charges, []


def _van(pieces: Sequence[Piece], place: Destination, profile: FreightProfile) -> Reckoned:
    """Charge the way, there and back or one way, or this job's part of a shared one."""
    if place.km is None:
        return (
            _gross(pieces),
            "",
            [],
            [f"no distance to {place.name} is known, and the profile states no km of its own"],
        )
    way = place.km * (2 if profile.there_and_back else 1)
    basis = f"{distance(way)} {'there and back' if profile.there_and_back else 'one way'}"
    if profile.part < 1:
        basis += f", of which this job pays {ratio_text(profile.part)}"
    charges = [
        charge_of("base", "van and driver", profile.part, "once", profile.base),
        charge_of("distance", basis, way * profile.part, "km", profile.per_km),
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


def _handler(pieces: Sequence[Piece], profile: FreightProfile) -> Reckoned:
    """Charge what a handler asks once, for each crate, and for each kilogram of gross weight, to the tenth."""
    gross = sum((half_up(piece.gross_kg, _TENTH) for piece in pieces), Decimal(0))
    charges = [
        charge_of("base", "handling", Decimal(1), "once", profile.base),
        charge_of("piece", "each crate", Decimal(len(pieces)), "crate", profile.per_piece),
        charge_of("weight", "gross weight", gross, "kg", profile.per_kg),
    ]
    return _gross(pieces), "handled by the crate and by gross weight", charges, []


def _as_typed(pieces: Sequence[Piece], profile: FreightProfile) -> Reckoned:
    """Charge the quotation as it was typed; nothing where the client collects."""
    if profile.kind == "collect":
        return _gross(pieces), "the client collects", [], []
    charge = charge_of("amount", "quotation", Decimal(1), "once", profile.amount)
    return _gross(pieces), "a quotation as typed", [charge], []


def _gross(pieces: Sequence[Piece]) -> list[Billed]:
    """Return gross weights where nothing is billed by them."""
    weights = [(piece.name, half_up(piece.gross_kg, _TENTH)) for piece in pieces]
    return [Billed(name, gross, Decimal(0), gross, "kg") for name, gross in weights]


def reckon(pieces: Sequence[Piece], place: Destination, profile: FreightProfile) -> Reckoned:
    """Reckon the transport alone, by the kind of profile."""
    if profile.kind == "van":
        return _van(pieces, place, profile)
    return _BY_KIND[profile.kind](pieces, profile)


_BY_KIND: Final[Mapping[FreightKind, Callable[[Sequence[Piece], FreightProfile], Reckoned]]] = {
    "parcel": _parcel,
    "pallet": _pallet,
    "air": _air,
    "road": _by_room,
    "sea": _by_room,
    "handler": _handler,
    "fixed": _as_typed,
    "collect": _as_typed,
}

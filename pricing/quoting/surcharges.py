"""What a carrier adds to the transport: fuel, its minimum, and what the place asks for."""

from collections.abc import Sequence
from decimal import Decimal

from pricing.money import half_up, total
from pricing.quoting.offers import FreightCharge, charge_of
from pricing.studio.destinations import Destination
from pricing.studio.rates import FreightProfile


def all_charges(
    transport: Sequence[FreightCharge], parcels: int, place: Destination, profile: FreightProfile
) -> tuple[FreightCharge, ...]:
    """Add fuel and the minimum to the transport, then the extras that the place asks for; drop what costs nothing."""
    if profile.kind in ("collect", "fixed"):
        return tuple(transport)
    charges = list(transport)
    before = total(charge.amount for charge in charges)
    charges.append(charge_of("fuel", "fuel surcharge", before, "amount", profile.fuel))
    short = half_up(profile.minimum) - total(charge.amount for charge in charges)
    if short > 0:
        charges.append(charge_of("minimum", f"up to the minimum of {profile.minimum}", Decimal(1), "once", short))
    if profile.kind == "pallet" and not (place.dock or place.forklift):
        charges.append(
            charge_of(
                "liftgate", "liftgate, since there is neither dock nor forklift", Decimal(1), "once", profile.liftgate
            )
        )
    if place.residential:
        count, unit = (parcels, "parcel") if profile.kind == "parcel" else (1, "once")
        charges.append(charge_of("residential", "residential delivery", Decimal(count), unit, profile.residential))
    if place.inside:
        charges.append(charge_of("inside", "inside delivery", Decimal(1), "once", profile.inside))
    return tuple(charge for charge in charges if charge.amount)

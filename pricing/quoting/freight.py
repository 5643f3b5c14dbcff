"""Freight by profile: what every profile would charge for the crates of a destination, and what it refuses.

The arithmetic of billed weights is :mod:`pricing.studio.freight_rules`; here profiles with the shop's dated figures are
put on top. Every result is an estimate and says of which day its figures are.
"""

from collections.abc import Sequence
from fractions import Fraction

from nesting.base.measure import UnitSystem
from nesting.crates.model import Crate
from pricing.quoting.bases import reckon
from pricing.quoting.liability import liable
from pricing.quoting.loads import load, needs_of
from pricing.quoting.offers import Offer
from pricing.quoting.particulars import NONE_GIVEN, Particulars
from pricing.quoting.surcharges import all_charges, liftgate_refusals
from pricing.studio.destinations import Destination
from pricing.studio.freight_rules import shipment_refusals
from pricing.studio.rates import FreightProfile


def offer(
    crates: Sequence[Crate],
    place: Destination,
    profile: FreightProfile,
    units: UnitSystem = "inch",
    particulars: Particulars = NONE_GIVEN,
) -> Offer:
    """Reckon what a profile asks for the crates of one shipment.

    Parameters
    ----------
    crates : sequence of Crate
        Those that travel by themselves; at least one.
    place : Destination
        Where they go: its distance, dock, forklift, access, residence and inside delivery count.
    profile : FreightProfile
        The figures. What it does not state is no rule, no limit and no charge.
    units : {"inch", "metric"}
        How refusals write sizes and weights; what a carrier bills by keeps the unit of its tariff.
    particulars : Particulars
        What else is known of the crates, and what they may be strapped to.
    """
    loaded = load(crates, profile, particulars)
    pieces = loaded.pieces(profile)
    billed, basis, transport, missing = reckon(pieces, place, profile)
    if profile.kind == "pallet" and profile.item == "pictures" and not profile.released_per_lb:
        missing = [*missing, "pictures are taken only at a value by the pound, and the profile states none"]
    refused = (
        *shipment_refusals(pieces, profile.caps, units), *missing, *_zone_refusals(place, profile),
        *liftgate_refusals(pieces, place, profile, units),
    )  # fmt: skip
    taken = list(zip(loaded.handed, pieces, strict=True))
    charges = () if refused else all_charges(transport, taken, place, profile, particulars)
    if profile.kind in ("parcel", "pallet", "air", "road", "sea"):
        weights = [Fraction(each.billed) for each in billed]
    else:
        weights = [Fraction(each.length * each.width * each.height) for each in loaded.handed]
    gross = {crate.crate: Fraction(str(crate.gross_kg)) for crate in crates}
    bearers: dict[str, Fraction] = {}
    whole = sum(weights)
    for each, weight in zip(loaded.handed, weights, strict=True):
        own = sum(gross[crate] for crate in each.crates)
        bearers |= {crate: weight / whole * gross[crate] / own for crate in each.crates}
    needs, lacking = needs_of(loaded, profile, particulars)
    most, short = liable(loaded.handed, profile, particulars)
    estimate = "no freight is included" if profile.kind == "collect" else f"estimate, figures of {profile.as_of}"
    return Offer(
        profile=profile.name,
        title=profile.title or profile.name,
        kind=profile.kind,
        estimate=estimate,
        charges=charges,
        billed=tuple(billed),
        basis=basis,
        refused=refused,
        bearers={crate.crate: bearers[crate.crate] for crate in crates},
        handed=loaded.handed,
        needs=needs,
        told=(*loaded.told, *lacking),
        insure=short,
        liable=most,
        days=profile.transit_days,
        days_most=profile.days_most,
        as_of=None if profile.kind == "collect" else profile.as_of,
    )


def _zone_refusals(place: Destination, profile: FreightProfile) -> list[str]:
    """Return why a profile that charges by zone has no price for a place; nothing where it does not or has one."""
    if not profile.zones or place.zone in profile.zones:
        return []
    if not place.zone:
        return [f"its price goes by zone, and no zone is known of {place.name}"]
    return [f"it has no price for zone {place.zone}; it has {', '.join(profile.zones)}"]

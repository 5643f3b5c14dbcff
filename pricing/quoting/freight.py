"""Freight by profile: what every profile would charge for the crates of a destination, and what it refuses.

The arithmetic of billed weights is :mod:`pricing.studio.freight_rules`; here profiles with the shop's dated figures are
put on top. Every result is an estimate and says of which day its figures are.
"""

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction

from nesting.base.measure import UnitSystem
from nesting.crates.model import Crate
from pricing.quoting.bases import reckon
from pricing.quoting.liability import liable
from pricing.quoting.offers import Handed, Offer
from pricing.quoting.particulars import NONE_GIVEN, Particulars
from pricing.quoting.surcharges import all_charges
from pricing.studio.destinations import Destination
from pricing.studio.freight_rules import Caps, Piece, shipment_refusals
from pricing.studio.rates import FreightProfile


def handed(crate: Crate) -> Piece:
    """Return a crate as a carrier takes it, upright."""
    size = crate.outside
    return Piece(size.width, size.depth, size.height, Decimal(str(crate.gross_kg)), crate.crate)


def offer(
    crates: Sequence[Crate],
    place: Destination,
    profile: FreightProfile,
    units: UnitSystem = "inch",
    particulars: Particulars = NONE_GIVEN,
) -> Offer:
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
    particulars : Particulars
        What else is known of the crates.
    """
    pieces = [handed(crate) for crate in crates]
    taken = tuple(
        Handed((piece.name,), "", piece.length, piece.width, piece.height, piece.gross_kg) for piece in pieces
    )
    most, told = liable(taken, profile, particulars)
    caps = Caps(profile.longest, profile.highest, profile.length_girth, profile.heaviest_lb, profile.load_lb)
    refused = list(shipment_refusals(pieces, caps, units))
    billed, basis, transport, missing = reckon(pieces, place, profile)
    refused += missing
    charges = () if refused else all_charges(transport, len(pieces), place, profile)
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
        handed=taken,
        told=told,
        liable=most,
    )

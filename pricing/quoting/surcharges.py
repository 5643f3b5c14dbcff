"""What a carrier adds to the transport: fuel, its minimum, and extras for the piece and for the place.

Carriers change these from year to year, so none is a constant here: a profile states the limit and the amount, with
its day. Limits that several shippers' help pages agree on (longest side over 48 in, second side over 30, weight over 50
lb, packing of wood, length plus girth over 105) stand in ``rates.toml``.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import Final

from nesting.base.measure import LB_KG, MM, UnitSystem, format_length, format_weight, parse_length
from pricing.money import half_up, total
from pricing.quoting.offers import FreightCharge, Handed, charge_of
from pricing.quoting.particulars import Particulars
from pricing.studio.capacity import FOOT, fits_platform
from pricing.studio.destinations import Destination
from pricing.studio.freight_rules import Piece, as_decimal, length_plus_girth
from pricing.studio.rates import FreightProfile

_ONE: Final = Decimal(1)
_TENTH: Final = Decimal("0.1")
_HUNDREDTH: Final = Decimal("0.01")
_EACH: Final = ("parcel", "crate")
"""Units of what is asked for each piece, and borne piece by piece."""
JACK_LB: Final = Decimal(165)
JACK_KG: Final = Decimal(75)
"""A pallet jack goes on the platform with what it carries (common practice); its weight is from memory."""


def all_charges(
    transport: Sequence[FreightCharge],
    taken: Sequence[tuple[Handed, Piece]],
    place: Destination,
    profile: FreightProfile,
    particulars: Particulars,
) -> tuple[FreightCharge, ...]:
    """Add fuel and the minimum to the transport, then the extras; drop what costs nothing."""
    if profile.kind in ("collect", "fixed"):
        return tuple(transport)
    pieces = [piece for _, piece in taken]
    every = tuple(handed.crates for handed, _ in taken)
    charges = [replace(charge, of=every) if charge.unit in _EACH else charge for charge in transport]
    if profile.zones:
        before = total(charge.amount for charge in charges)
        factor = profile.zones[place.zone]
        charges.append(charge_of("zone", f"zone {place.zone}, {factor} times", before, "amount", factor - 1))
    before = total(charge.amount for charge in charges)
    charges.append(charge_of("fuel", "fuel surcharge", before, "amount", profile.fuel))
    short = half_up(profile.minimum) - total(charge.amount for charge in charges)
    if short > 0:
        charges.append(charge_of("minimum", f"up to the minimum of {profile.minimum}", _ONE, "once", short))
    charges += _handling(taken, profile, particulars)
    charges += _over_length(taken, profile)
    charges += _lineal(pieces, profile)
    charges += _of_place(taken, place, profile)
    return tuple(charge for charge in charges if charge.amount)


def needs_liftgate(place: Destination, profile: FreightProfile) -> bool:
    """Whether a carrier must bring its own lift to set crates down."""
    return profile.kind in ("pallet", "road") and not (place.dock or place.forklift)


def liftgate_refusals(
    pieces: Sequence[Piece], place: Destination, profile: FreightProfile, units: UnitSystem
) -> Iterator[str]:
    """Yield why what is handed over cannot be set down by the carrier's own lift, where it must be."""
    if not needs_liftgate(place, profile):
        return
    for piece in pieces:
        if not fits_platform(piece, profile.liftgate_wide, profile.liftgate_deep):
            size = _sides(piece.length, piece.width, units)
            platform = _sides(profile.liftgate_wide, profile.liftgate_deep, units)
            yield (
                f"{piece.name} stands on {size}, the liftgate's platform is {platform}, and {place.name} has neither "
                "dock nor forklift"
            )
        weight = JACK_KG / LB_KG if profile.sizes == "metric" else JACK_LB
        if profile.liftgate_lb and piece.pounds + Fraction(weight) > Fraction(profile.liftgate_lb):
            gross, jack, most = (
                format_weight(pounds * LB_KG, units, mark=True)
                for pounds in (as_decimal(piece.pounds), weight, profile.liftgate_lb)
            )
            yield (
                f"{piece.name} weighs {gross}, and a jack {jack}: the liftgate lifts {most}, and {place.name} has "
                "neither dock nor forklift"
            )


def _sides(wide: int, deep: int, units: UnitSystem) -> str:
    told = [format_length(side, units, mark=True) if side else "any" for side in (wide, deep)]
    return " x ".join(told)


def _handling(
    taken: Sequence[tuple[Handed, Piece]], profile: FreightProfile, particulars: Particulars
) -> Iterator[FreightCharge]:
    """Yield the extras for heavy, long, big and wooden pieces, by kind, each borne by the pieces that it is for."""
    bears: dict[tuple[str, str, Decimal], list[tuple[str, ...]]] = {}
    for handed, piece in taken:
        found = list(_extras(handed, piece, profile, particulars))
        if profile.handling == "dearest" and found:
            found = [max(found, key=lambda extra: extra[2])]
        for extra in found:
            bears.setdefault(extra, []).append(handed.crates)
    order = ("over_lb", "long", "second", "girth", "wooden")
    for (key, title, each), of in sorted(bears.items(), key=lambda item: order.index(item[0][0])):
        yield charge_of(key, title, Decimal(len(of)), "piece", each, tuple(of))


def _extras(
    handed: Handed, piece: Piece, profile: FreightProfile, particulars: Particulars
) -> Iterator[tuple[str, str, Decimal]]:
    """Yield key, title and amount of each extra that one piece bears."""
    longest, second, _ = piece.sides
    wooden = any(crate in particulars.wooden for crate in handed.crates)
    for key, title, true, each in (
        ("over_lb", f"over {_heavy(profile)}", _over(piece.pounds, profile.over_lb), profile.over_lb_each),
        ("long", f"longest side over {_long(profile.long_over, profile)}", _over(longest, profile.long_over),
         profile.long_each),
        ("second", f"second side over {_long(profile.second_over, profile)}", _over(second, profile.second_over),
         profile.second_each),
        ("girth", f"length plus girth over {_long(profile.girth_over, profile)}",
         _over(length_plus_girth(piece, unit=profile.caps.unit), profile.girth_over), profile.girth_each),
        ("wooden", "packed in wood", wooden, profile.wooden_each),
    ):  # fmt: skip
        if true and each:
            yield key, title, each


def _over(value: int | Fraction, limit: int | Decimal) -> bool:
    return bool(limit) and Fraction(value) > Fraction(limit)


def _long(length: int, profile: FreightProfile) -> str:
    """Write a limit in the unit of its tariff."""
    if profile.sizes == "metric":
        return f"{half_up(as_decimal(Fraction(length, 10 * MM)), _TENTH).normalize():f} cm"
    return format_length(length, "inch", mark=True)


def _heavy(profile: FreightProfile) -> str:
    if profile.sizes == "metric":
        return f"{half_up(profile.over_lb * LB_KG, _TENTH).normalize():f} kg"
    return f"{profile.over_lb} lb"


def _over_length(taken: Sequence[tuple[Handed, Piece]], profile: FreightProfile) -> Iterator[FreightCharge]:
    """Yield the extra of the last length that a piece is longer than: of each piece, or of the longest alone."""
    tiers = sorted((parse_length(text), amount) for text, amount in profile.over_length.items())
    counted = taken if profile.over_length_each else [max(taken, key=lambda each: each[1].sides[0])]
    bears: list[list[tuple[str, ...]]] = [[] for _ in tiers]
    for handed, piece in counted:
        passed = [number for number, (limit, _) in enumerate(tiers) if piece.sides[0] > limit]
        if passed:
            bears[passed[-1]].append(handed.crates)
    unit = "piece" if profile.over_length_each else "once"
    for number, ((limit, amount), of) in enumerate(zip(tiers, bears, strict=True), start=1):
        if of:
            title = f"longer than {_long(limit, profile)}"
            yield charge_of(f"over_length_{number}", title, Decimal(len(of)), unit, amount, tuple(of))


def _lineal(pieces: Sequence[Piece], profile: FreightProfile) -> Iterator[FreightCharge]:
    """Yield the charge for each foot of long pieces in a light shipment (a carrier's rules tariff, 2017)."""
    pounds = sum((piece.pounds for piece in pieces), Fraction(0))
    long = [piece.sides[0] for piece in pieces if piece.sides[0] > profile.lineal_over]
    if profile.lineal_per_ft and long and pounds < Fraction(profile.lineal_under_lb):
        metric = profile.sizes == "metric"
        one, unit, word = (1000 * MM, "m", "metres") if metric else (FOOT, "ft", "feet")
        run = half_up(as_decimal(Fraction(sum(long), one)), _HUNDREDTH)
        each = half_up(as_decimal(Fraction(profile.lineal_per_ft) * one / FOOT)) if metric else profile.lineal_per_ft
        yield charge_of("lineal", f"{word} of pieces over {_long(profile.lineal_over, profile)}", run, unit, each)


def _of_place(
    taken: Sequence[tuple[Handed, Piece]], place: Destination, profile: FreightProfile
) -> Iterator[FreightCharge]:
    """Yield what the place asks for."""
    if needs_liftgate(place, profile):
        told = "liftgate, since there is neither dock nor forklift"
        yield charge_of("liftgate", told, _ONE, "once", profile.liftgate)
    if place.residential:
        told = "residential delivery"
        if profile.kind == "parcel":
            every = tuple(handed.crates for handed, _ in taken)
            yield charge_of("residential", told, Decimal(len(taken)), "parcel", profile.residential, every)
        else:
            yield charge_of("residential", told, _ONE, "once", profile.residential)
    elif place.limited:  # a carrier charges one of the two at one end
        yield charge_of("limited", "limited access", _ONE, "once", profile.limited)
    if place.inside:
        yield _inside([piece for _, piece in taken], profile)


def _inside(pieces: Sequence[Piece], profile: FreightProfile) -> FreightCharge:
    """Return inside delivery: by weight between its least and its most (item 566 of a rules tariff, 2018)."""
    pounds = half_up(as_decimal(sum((piece.pounds for piece in pieces), Fraction(0))), _HUNDREDTH)
    by_weight = charge_of("inside", "inside delivery", pounds / 100, "100 lb", profile.inside_100lb)
    if by_weight.amount <= half_up(profile.inside):
        least = "inside delivery, at the least" if profile.inside_100lb else "inside delivery"
        return charge_of("inside", least, _ONE, "once", profile.inside)
    if profile.inside_most and by_weight.amount > half_up(profile.inside_most):
        return charge_of("inside", "inside delivery, at the most", _ONE, "once", profile.inside_most)
    return by_weight

"""Freight arithmetic: billed weights, density classes, girth, and what a carrier refuses.

Pure functions on exact numbers: sides are integers of the exact grid, weights Decimal kilograms or pounds, and every
rounding is decided on exact fractions, never on floats. Carriers change divisors, roundings and class scales from year
to year: what stands here is as of :data:`AS_OF`, each figure with its source, and a profile may carry its own. Works of
art are often not rated by density at all, so every result is an estimate.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import ceil, floor
from typing import Final, Literal

from nesting.base.measure import INCH, LB_KG, MM, UnitSystem, format_length

AS_OF: Final = "2025-26"
Rounding = Literal["up", "nearest", "none"]

PARCEL_DIVISOR: Final = Decimal(139)
"""in3/lb of three parcel carriers (carrier pages, quoted, agree)."""
POSTAL_DIVISOR: Final = Decimal(166)
"""in3/lb of the post, for parcels over one cubic foot (quoted)."""
COURIER_DIVISOR: Final = Decimal(5000)
"""cm3/kg of international couriers (quoted)."""
AIR_DIVISOR: Final = Decimal(6000)
"""cm3/kg of air cargo (IATA practice, from memory; its 366 in3/kg is the same in inches)."""

PARCEL_KG_DIVISOR: Final = Decimal(5000)
"""Volume that counts as one kilogram of a parcel, in cm3: 200 kg a cubic metre (carriers' terms, from memory)."""

ROAD_DIVISOR: Final = Decimal(3000)
"""The same by road: 333 kg a cubic metre (forwarders' terms in Europe, from memory)."""

SEA_DIVISOR: Final = Decimal(1000)
"""The same of part loads by sea: weight or measure, 1,000 kg a cubic metre (from memory)."""

CUBIC_FOOT_IN3: Final = 1728

SCALE_2025: Final[tuple[tuple[str, str], ...]] = (
    ("0", "400"), ("1", "300"), ("2", "250"), ("4", "175"), ("6", "125"), ("8", "100"), ("10", "92.5"), ("12", "85"),
    ("15", "70"), ("22.5", "65"), ("30", "60"), ("35", "55"), ("50", "50"),
)  # fmt: skip
"""Least density in lb/ft3 and its freight class: 13 levels from 19 July 2025 (NMFC Docket 2025-1, quoted)."""

SCALE_LEGACY: Final[tuple[tuple[str, str], ...]] = (
    ("0", "500"), ("1", "400"), ("2", "300"), ("3", "250"), ("4", "200"), ("5", "175"), ("6", "150"), ("7", "125"),
    ("8", "110"), ("9", "100"), ("10.5", "92.5"), ("12", "85"), ("13.5", "77.5"), ("15", "70"), ("22.5", "65"),
    ("30", "60"), ("35", "55"), ("50", "50"),
)  # fmt: skip
"""The 18-class guideline before that (a carrier's page quoting the NMFTA), for old quotations."""


@dataclass(frozen=True, slots=True)
class Piece:
    """One thing handed to a carrier: outside extremes, skids included, and gross weight.

    Attributes
    ----------
    length, width, height : int
        Exact grid; ``height`` is as it stands, the other two in any order.
    gross_kg : Decimal
        Weight as it is handed over.
    name : str
        For messages.
    counts_high : int
        Height up to which its volume counts where nothing may go on top; 0 or less than its own: its own.
    layers : int
        How many of it stand on each other in a trailer: so many share its metres; 1 where nothing may go on top.
    """

    length: int
    width: int
    height: int
    gross_kg: Decimal
    name: str = ""
    counts_high: int = 0
    layers: int = 1

    def __post_init__(self) -> None:
        if min(self.length, self.width, self.height) <= 0:
            raise ValueError(f"piece {self.name}: must measure more than zero each way")
        if not (self.gross_kg.is_finite() and self.gross_kg > 0):
            raise ValueError(f"piece {self.name}: found a weight of {self.gross_kg} kg; accepted: more than zero")

    @property
    def sides(self) -> tuple[int, int, int]:
        """The three sides, longest first."""
        longest, middle, shortest = sorted((self.length, self.width, self.height), reverse=True)
        return longest, middle, shortest

    @property
    def pounds(self) -> Fraction:
        """Gross weight in pounds, exact."""
        return Fraction(self.gross_kg) / Fraction(LB_KG)


def as_decimal(value: Fraction) -> Decimal:
    """Return a fraction as a Decimal of 28 figures; exact where it has no more."""
    return Decimal(value.numerator) / Decimal(value.denominator)


def rounded(length: int, unit: int, rounding: Rounding = "up") -> Fraction:
    """Return a length in whole units (or, with ``"none"``, in exact ones).

    Parameters
    ----------
    length : int
        Exact grid.
    unit : int
        ``INCH`` or ``10 * MM``.
    rounding : {"up", "nearest", "none"}
        Up since 18 August 2025 for parcels (a parcel reference page, quoted); nearest, halves up, before, and for
        air cargo in cm (from memory).
    """
    exact = Fraction(length, unit)
    if rounding == "none":
        return exact
    return Fraction(ceil(exact) if rounding == "up" else floor(exact + Fraction(1, 2)))


def _volume(piece: Piece, unit: int, rounding: Rounding) -> Fraction:
    length, width, height = (rounded(side, unit, rounding) for side in piece.sides)
    return length * width * height


def dimensional_lb(piece: Piece, divisor: Decimal = PARCEL_DIVISOR, rounding: Rounding = "up") -> Decimal:
    """Return the dimensional weight in pounds before it is rounded: in3 over the divisor."""
    return as_decimal(_volume(piece, INCH, rounding) / _positive(divisor))


def billed_lb(
    piece: Piece, divisor: Decimal = PARCEL_DIVISOR, rounding: Rounding = "up", *, over_in3: int = 0
) -> Decimal:
    """Return what a parcel carrier bills: the greater of gross and dimensional weight, up to the next whole pound.

    Parameters
    ----------
    piece : Piece
        The parcel.
    divisor : Decimal
        in3/lb.
    rounding : {"up", "nearest", "none"}
        Of each side to whole inches.
    over_in3 : int
        The dimensional weight counts only beyond this volume: 1728 for the post, 0 elsewhere.
    """
    volume = _volume(piece, INCH, rounding)
    dimensional = volume / _positive(divisor) if volume > over_in3 else Fraction(0)
    return Decimal(ceil(max(piece.pounds, dimensional)))


def dimensional_kg(piece: Piece, divisor: Decimal = AIR_DIVISOR, rounding: Rounding = "nearest") -> Decimal:
    """Return the dimensional weight in kilograms before it is rounded: cm3 over the divisor."""
    return as_decimal(volume_kg([piece], divisor, rounding))


def air_chargeable_kg(pieces: Sequence[Piece], divisor: Decimal = AIR_DIVISOR) -> Decimal:
    """Return the chargeable weight of an air shipment in kilograms.

    The greater of all gross weights together and all dimensional weights together (each piece in whole cm), up to the
    next half kilogram (IATA practice, from memory).
    """
    gross = sum((Fraction(piece.gross_kg) for piece in pieces), Fraction(0))
    return as_decimal(Fraction(ceil(2 * max(gross, volume_kg(pieces, divisor, "nearest"))), 2))


def billed_kg(piece: Piece, divisor: Decimal = PARCEL_KG_DIVISOR) -> Decimal:
    """Return what a carrier of parcels by the kilogram bills: the greater of gross and volume weight, up to whole ones.

    Sides count in whole cm, up; so do kilograms (parcel carriers' terms, from memory).
    """
    return Decimal(ceil(max(Fraction(piece.gross_kg), volume_kg([piece], divisor, "up"))))


def loading_metres(piece: Piece, trailer_wide: int) -> Fraction:
    """Return how many metres of a trailer's length a piece takes, nothing beside it counted.

    Its floor over the trailer's width: a EUR pallet of 1.2 x 0.8 m takes 0.4 m of a trailer 2.4 m wide, and half of
    that where two may be stacked (forwarders' pages; geometry).
    """
    return Fraction(piece.length * piece.width, trailer_wide * 1000 * MM * piece.layers)


def layers(height: int, most: int, room: int) -> int:
    """Return how many of a height stand on each other in so much room, and no more than a carrier stacks."""
    return max(1, min(most, room // height)) if room else max(1, most)


def volume_kg(pieces: Sequence[Piece], divisor: Decimal, rounding: Rounding = "none") -> Fraction:
    """Return the volume weight of pieces together in kilograms, exact: cm3 over the divisor, sides rounded as asked."""
    return sum((_volume(piece, 10 * MM, rounding) for piece in pieces), Fraction(0)) / _positive(divisor)


def road_chargeable_kg(
    pieces: Sequence[Piece], divisor: Decimal, metre_kg: Decimal, trailer_wide: int
) -> tuple[Decimal, str]:
    """Return the chargeable weight of a shipment by road, in whole kilograms, and what it goes by.

    The greatest of gross weight, volume (333 kg a cubic metre is a divisor of 3000) and loading metres, as carriers of
    part loads in Europe reckon (forwarders' terms, from memory; rates and metres differ by carrier).
    """
    gross = sum((Fraction(piece.gross_kg) for piece in pieces), Fraction(0))
    metres = sum((loading_metres(piece, trailer_wide) for piece in pieces), Fraction(0))
    by = {
        "gross weight": gross,
        "volume": volume_kg(pieces, divisor),
        f"{float(metres):.2f} loading metres": metres * Fraction(metre_kg),
    }
    word = max(by, key=lambda each: by[each])
    return Decimal(ceil(by[word])), word


def counted_ft3(piece: Piece) -> Fraction:
    """Return the volume that density goes by, in cubic feet: outside, up to where nothing else can stand.

    What nothing goes on top of counts to 84 in height with many carriers (a broker's page on cubic capacity).
    """
    volume = _volume(piece, INCH, "none") / CUBIC_FOOT_IN3
    return volume * Fraction(max(piece.height, piece.counts_high), piece.height)


def density_lb_ft3(pieces: Sequence[Piece]) -> Decimal:
    """Return the density of a shipment by which it is classed: all pounds over all cubic feet, in lb/ft3."""
    return as_decimal(_density(pieces))


def _density(pieces: Sequence[Piece]) -> Fraction:
    if not pieces:
        raise ValueError("a shipment of nothing has no density")
    volume = sum((counted_ft3(piece) for piece in pieces), Fraction(0))
    return sum((piece.pounds for piece in pieces), Fraction(0)) / volume


def class_of_density(density: Decimal | Fraction, scale: Sequence[tuple[str, str]] = SCALE_2025) -> str:
    """Return the freight class of a density in lb/ft3; the lower bound of a level belongs to it."""
    if density <= 0:
        raise ValueError(f"found a density of {density} lb/ft3; accepted: more than zero")
    exact = Fraction(density)
    return next(level for least, level in reversed(scale) if exact >= Fraction(least))


def freight_class(pieces: Sequence[Piece], scale: Sequence[tuple[str, str]] = SCALE_2025) -> str:
    """Return the freight class of a shipment by its density, an estimate: other properties may override it."""
    return class_of_density(_density(pieces), scale)


def length_plus_girth(piece: Piece, rounding: Rounding = "up", unit: int = INCH) -> int:
    """Return L + 2 W + 2 H with L the longest side, each side in whole inches, or cm, first; exact grid."""
    longest, middle, shortest = (rounded(side, unit, rounding) for side in piece.sides)
    return int((longest + 2 * middle + 2 * shortest) * unit)


@dataclass(frozen=True, slots=True)
class Caps:
    """What a carrier takes at the most; 0 is no limit.

    Attributes
    ----------
    longest, highest, length_girth : int
        Longest side, height as it stands, length plus girth; exact grid.
    heaviest_lb, load_lb : Decimal
        One piece, and the whole shipment.
    unit : int
        Unit in whole ones of which length plus girth is taken: inches or cm, on the exact grid.
    """

    longest: int = 0
    highest: int = 0
    length_girth: int = 0
    heaviest_lb: Decimal = Decimal(0)
    load_lb: Decimal = Decimal(0)
    unit: int = INCH

    def __post_init__(self) -> None:
        if min(self.longest, self.highest, self.length_girth) < 0 or min(self.heaviest_lb, self.load_lb) < 0:
            raise ValueError(f"a limit must not be negative: {self}")


PARCEL_CAPS: Final = Caps(longest=108 * INCH, length_girth=165 * INCH, heaviest_lb=Decimal(150))
"""Largest parcel: 108 in long, 165 in length plus girth (a carrier's help page), 150 lb (from memory)."""


def _heavier(pounds: Fraction, limit: Decimal, units: UnitSystem) -> str:
    """Write a weight and the limit that it is over; what is just too heavy never reads as the limit."""
    if units == "inch":
        return f"{as_decimal(Fraction(ceil(pounds * 10), 10)):.1f} lb, at the most {limit} lb"
    tenths, most = (10 * Fraction(LB_KG) * weight for weight in (pounds, Fraction(limit)))
    return f"{ceil(tenths) / 10:.1f} kg, at the most {floor(most) / 10:.1f} kg"


def piece_refusals(piece: Piece, caps: Caps, units: UnitSystem = "inch") -> tuple[str, ...]:
    """Return every reason why a carrier with these caps refuses the piece, each a sentence; none if it takes it."""

    def _text(length: int) -> str:
        return format_length(length, units, mark=True)

    reasons: list[str] = []
    name = piece.name or "the piece"
    longest = piece.sides[0]
    if caps.longest and longest > caps.longest:
        reasons.append(f"{name} is too long: {_text(longest)}, at the most {_text(caps.longest)}")
    if caps.highest and piece.height > caps.highest:
        reasons.append(f"{name} is too high: {_text(piece.height)}, at the most {_text(caps.highest)}")
    girth = length_plus_girth(piece, unit=caps.unit)
    if caps.length_girth and girth > caps.length_girth:
        reasons.append(f"{name} is too big: length plus girth {_text(girth)}, at the most {_text(caps.length_girth)}")
    if caps.heaviest_lb and piece.pounds > Fraction(caps.heaviest_lb):
        reasons.append(f"{name} is too heavy: {_heavier(piece.pounds, caps.heaviest_lb, units)}")
    return tuple(reasons)


def shipment_refusals(pieces: Iterable[Piece], caps: Caps, units: UnitSystem = "inch") -> tuple[str, ...]:
    """Return every reason why a carrier refuses a shipment: those of its pieces, then that of the whole load."""
    handed = tuple(pieces)
    reasons = [reason for piece in handed for reason in piece_refusals(piece, caps, units)]
    load = sum((piece.pounds for piece in handed), Fraction(0))
    if caps.load_lb and load > Fraction(caps.load_lb):
        reasons.append(f"the load is too heavy: {_heavier(load, caps.load_lb, units)}")
    return tuple(reasons)


def _positive(divisor: Decimal) -> Fraction:
    if not (divisor.is_finite() and divisor > 0):
        raise ValueError(f"found a divisor of {divisor}; accepted: more than zero")
    return Fraction(divisor)

"""Room in a trailer: volume as a carrier counts it, linear feet, and the rules that bill room instead of weight.

Pure functions on exact numbers, as in :mod:`pricing.studio.freight_rules`. Sources are named as in the trade's own
collections: two brokers' pages that list many carriers (cubic capacity), a logistics page that quotes a carrier (linear
feet), a rules tariff of 2017 (lineal feet).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import ceil
from typing import Final

from nesting.base.measure import INCH
from pricing.studio.freight_rules import SCALE_2025, Piece, class_of_density, counted_ft3

FOOT: Final = 12 * INCH
VAN_WIDE: Final = 98 * INCH
"""Inside width of a 53 ft trailer at the least (98 to 101 in, trade, from memory); side by side must stay under it."""

SCALE_PICTURES: Final[tuple[tuple[str, str], ...]] = (("0", "300"), ("4", "175"), ("8", "92.5"))
"""Least density in lb/ft3 and class of item 56165, paintings or pictures in boxes, cartons or crates (National Motor
Freight Classification from 15 April 2017, quoted by an association of mailing centers; not checked after July 2025).
Its value is released at no more than $25.00 a pound."""


def linear_feet(pieces: Sequence[Piece], *, turned: bool = False) -> Fraction:
    """Return how much of a trailer's length pieces take on its floor, nothing on top of anything, in feet.

    Parameters
    ----------
    pieces : sequence of Piece
        Upright, in any order.
    turned : bool
        Whether their longer side goes across the trailer; else along it, as carriers count.

    Returns
    -------
    Fraction
        The longest first, each beside the first row with room. Room beside is less than the trailer is wide: two of 49
        in go one behind the other.
    """
    sides = [_laid(piece, turned=turned) for piece in pieces]
    rows: list[tuple[int, int]] = []
    for along, across in sorted(sides, reverse=True):
        beside = next((n for n, (_, taken) in enumerate(rows) if taken + across < VAN_WIDE), None)
        if beside is None:
            rows.append((along, across))
        else:
            rows[beside] = (rows[beside][0], rows[beside][1] + across)
    return Fraction(sum(along for along, _ in rows), FOOT)


def _laid(piece: Piece, *, turned: bool) -> tuple[int, int]:
    """Return a piece's side along the trailer and the one across; what is too long to lie across lies along."""
    short, long = sorted((piece.length, piece.width))
    return (short, long) if turned and long < VAN_WIDE else (long, short)


@dataclass(frozen=True, slots=True)
class Capacity:
    """The rules by which a carrier bills room; 0 is no rule.

    Attributes
    ----------
    cubic_ft3, cubic_lb_ft3 : Decimal
        Cubic capacity: more than so many cubic feet *and* less than so many lb/ft3 are billed at that density. Others
        than 750 ft3 and 6 lb/ft3 say 4 or 5, or 830 ft3 and 4; both are strict (one page says "6 or less").
    linear_ft, linear_lb_ft3, linear_lb_per_ft : Decimal
        Linear feet: more than so many feet of a trailer *and* less than so many lb/ft3 are billed so many pounds for
        each foot. Limits of 11 to 21 ft are seen, 12 most often; 22.5 lb/ft3 and 1,250 lb a foot are one carrier's.
    turned : bool
        As of :func:`linear_feet`.
    """

    cubic_ft3: Decimal = Decimal(0)
    cubic_lb_ft3: Decimal = Decimal(6)
    linear_ft: Decimal = Decimal(0)
    linear_lb_ft3: Decimal = Decimal("22.5")
    linear_lb_per_ft: Decimal = Decimal(1250)
    turned: bool = False


@dataclass(frozen=True, slots=True)
class Rated:
    """A weight and the class that it is billed at.

    Attributes
    ----------
    pounds : Decimal
        Up to the next whole pound.
    level : str
        Freight class.
    density : Decimal
        lb/ft3 that gives the class: of the weight that is billed, so that a billed weight never bears the class of a
        lighter one.
    why : str
        The rule that bills more than the actual weight; empty for that weight.
    """

    pounds: Decimal
    level: str
    density: Decimal
    why: str = ""


def ratings(
    pieces: Sequence[Piece], scale: Sequence[tuple[str, str]] = SCALE_2025, rules: Capacity | None = None
) -> tuple[Rated, ...]:
    """Return the actual weight with its class, then what each rule of room that counts would bill instead.

    Parameters
    ----------
    pieces : sequence of Piece
        A whole shipment; at least one.
    scale : sequence of (str, str)
        Least density and class.
    rules : Capacity, optional
        None without it.
    """
    rules = rules or Capacity()
    pounds = sum((piece.pounds for piece in pieces), Fraction(0))
    volume = sum((counted_ft3(piece) for piece in pieces), Fraction(0))
    density = pounds / volume
    found = [_rated(pounds, volume, scale)]
    if rules.cubic_ft3 and volume > rules.cubic_ft3 and density < Fraction(rules.cubic_lb_ft3):
        told = f"cubic capacity: {_short(volume)} ft3, over {rules.cubic_ft3}, at {rules.cubic_lb_ft3} lb/ft3"
        found.append(_rated(volume * Fraction(rules.cubic_lb_ft3), volume, scale, told))
    if rules.linear_ft:
        feet = linear_feet(pieces, turned=rules.turned)
        if feet > rules.linear_ft and density < Fraction(rules.linear_lb_ft3):
            told = f"linear feet: {_short(feet)} ft, over {rules.linear_ft}, at {rules.linear_lb_per_ft} lb a foot"
            billed = max(pounds, feet * Fraction(rules.linear_lb_per_ft))
            found.append(_rated(billed, volume, scale, told))
    return tuple(found)


def _rated(pounds: Fraction, volume: Fraction, scale: Sequence[tuple[str, str]], why: str = "") -> Rated:
    density = pounds / volume
    exact = Decimal(density.numerator) / Decimal(density.denominator)
    return Rated(Decimal(ceil(pounds)), class_of_density(density, scale), exact, why)


def _short(value: Fraction) -> str:
    """Write a number to two places, rounded up: what is just over a limit never reads as the limit."""
    return f"{Decimal(ceil(value * 100)) / 100:,f}"


def fits_platform(piece: Piece, wide: int, deep: int) -> bool:
    """Whether a piece stands on a liftgate's platform, either way round; a side of 0 is unknown, and no limit."""
    within = [(not wide or a <= wide) and (not deep or b <= deep) for a, b in _both(piece)]
    return any(within)


def _both(piece: Piece) -> tuple[tuple[int, int], tuple[int, int]]:
    return (piece.length, piece.width), (piece.width, piece.length)

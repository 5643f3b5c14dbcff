"""Pads: where the cushion bears on a side of what it carries, so that the foam is loaded as it likes.

A pad too large for what it carries is as hard as none, and one too narrow for its thickness buckles; so a side gets
blocks at its corners, as large as the load asks for and no narrower than the rule.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, sqrt

from nesting.advice.carriage import COMMON, Carriage
from nesting.advice.check import table_pounds
from nesting.advice.cushion import (
    Foam,
    allowed,
    design_drop,
    least_foam,
    static_stress,
    thickness_needed,
)
from nesting.base.measure import INCH, MM, UnitSystem
from nesting.base.own_length import OwnLength, grain_of, whole, whole_up
from nesting.shop.planks import stacked, thickness_of, thicknesses
from nesting.shop.shop import Shop

STEP = OwnLength(INCH // 8, 5 * MM)
"""Pads are cut to such steps."""
SHORTEST = OwnLength(INCH, 25 * MM)
"""Least room that is worth a pad."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A rectangle on a side, from its lower left corner."""

    a: int
    b: int
    da: int
    db: int


@dataclass(frozen=True, slots=True)
class Fall:
    """What a cushion is to keep to.

    Attributes
    ----------
    drop : int
        How far the case is taken to fall.
    limit : float
        Shock in G that may come through at the most.
    factor : float
        Cushion factor C of foam at its best load.
    """

    drop: int
    limit: float
    factor: float


# arguments: what is carried, by whose rules, by whom and within what limit
def fall_of(gross_kg: float, longest: int, shop: Shop, *, limit: float = 0.0, carriage: Carriage = COMMON) -> Fall:
    """Return how far a case falls and what may come through.

    Parameters
    ----------
    gross_kg : float
        Of the whole case; where that is not known yet, less is safe: the drop never rises with weight.
    longest : int
        Longest side of the largest piece.
    limit : float
        Shock in G that somebody allows at the most; 0 where nobody states a limit.
    """
    drop = design_drop(gross_kg, shop.cushion, carriage).height
    return Fall(drop, allowed(longest, limit, shop.cushion), shop.cushion.factor)


# arguments: as fall_of
def cushion_wanted(
    gross_kg: float, longest: int, shop: Shop, *, limit: float = 0.0, carriage: Carriage = COMMON
) -> int:
    """Return how thick the foam on each side must be, as the rule ``case.cushion`` says.

    ``checked``: what the cushion factor asks for (t = C h / G), and no less than is asked by whom it is carried;
    ``fixed`` and ``snug``: the shop's thickness. Where somebody states a limit, never less than that asks for. Pads
    must then be laid so that they bear near their best load (:func:`area_range`): away from it more comes through.

    Parameters
    ----------
    limit : float
        Shock in G that somebody allows at the most; 0 where nobody states a limit.
    """
    rules = shop.cushion
    fall = fall_of(gross_kg, longest, shop, limit=limit, carriage=carriage)
    asked = thickness_needed(fall.drop, fall.limit, fall.factor)
    if shop.case.cushion == "checked":
        return max(asked, least_foam(rules, carriage))
    ruled = rules.snug if shop.case.cushion == "snug" else rules.thickness
    return max(ruled, thickness_needed(fall.drop, limit, fall.factor)) if limit else ruled


# arguments: as fall_of, and of which foam
def cushion_layers(
    gross_kg: float,
    longest: int,
    shop: Shop,
    good: str,
    *,
    limit: float = 0.0,
    carriage: Carriage = COMMON,
) -> int:
    """Return how many sheets of one plank lie on each side: as many as :func:`cushion_wanted` asks for, whole ones."""
    wanted = cushion_wanted(gross_kg, longest, shop, limit=limit, carriage=carriage)
    return ceil(wanted / shop.good(good).thickness)


# arguments: as cushion_layers
def cushion_choices(
    gross_kg: float,
    longest: int,
    shop: Shop,
    good: str,
    *,
    limit: float = 0.0,
    carriage: Carriage = COMMON,
) -> tuple[int, ...]:
    """Return how thick a cushion may be that stocked planks stack to, the thinnest first.

    ``checked``: what is wanted and up to as much again, since pads that cannot be loaded best may need more; ``fixed``
    and ``snug``: the one thickness that the rule gives.
    """
    wanted = cushion_wanted(gross_kg, longest, shop, limit=limit, carriage=carriage)
    first = thickness_of(stacked(wanted, shop, good))
    if shop.case.cushion != "checked":
        return (first,)
    return tuple(each for each in thicknesses(max(2 * wanted, first), shop, good) if each >= first)


def least_pad(thickness: int, shop: Shop) -> int:
    """Return the least side of a pad of that thickness: a narrower one buckles."""
    return shop.whole_up(ceil(shop.case.pad_slender * thickness))


def load_area(contents_kg: float, foam: Foam, thickness: int = 0, drop: int = 0) -> int:
    """Return the bearing area that loads the foam best, in square grid units.

    Parameters
    ----------
    thickness, drop : int
        Of the cushion, and how far it falls: of a foam whose curve is known its load of least shock is aimed at, no
        more than it bears for long. Where they are 0, the middle of its range.
    """
    best = foam.best(drop, thickness) if thickness and drop else sqrt(foam.low_psi * foam.high_psi)
    return ceil(table_pounds(contents_kg) / best * INCH**2)


def area_range(contents_kg: float, foam: Foam, thickness: int, fall: Fall) -> tuple[int, int] | None:
    """Return the least and the greatest bearing area that keep the shock to the limit; None where none does.

    The least keeps creep out too; buckling is another matter (:func:`least_pad`).
    """
    found = foam.likes(fall.drop, thickness, fall.limit, fall.factor)
    if found is None:
        return None
    weight = table_pounds(contents_kg) * INCH**2
    return ceil(weight / found[1]), int(weight / found[0])


def felt_on(contents_kg: float, area: int, foam: Foam, thickness: int, fall: Fall) -> float:
    """Return the shock in G that comes through pads of so much area."""
    return foam.felt(fall.drop, thickness, static_stress(contents_kg, area), fall.factor)


# 7 arguments: a side, what it carries on what foam, and what the foam is to keep to
def spots(
    a: int, b: int, contents_kg: float, thickness: int, foam: Foam, shop: Shop, fall: Fall | None = None
) -> tuple[Spot, ...]:
    """Place pads on a side of ``a`` by ``b``: four at its corners, or fewer where that many bear too little.

    Parameters
    ----------
    a, b : int
        Extent of the side.
    contents_kg : float
        What the pads of this side carry when it is down.
    thickness : int
        Of the cushion.
    foam : Foam
        What it is of.
    fall : Fall, optional
        What the cushion is to keep to: then pads are as large as the foam likes best, and as many of four, two or one
        are laid as keep to it; where no number does, as many as let the least shock through. Without it four are laid,
        two where the side is narrow, one where it is small, and the foam is loaded in the middle of its range.

    Returns
    -------
    tuple of Spot
        They never meet.
    """
    if fall is None:
        return _spread(a, b, load_area(contents_kg, foam), least_pad(thickness, shop), shop)
    area, least = load_area(contents_kg, foam, thickness, fall.drop), least_pad(thickness, shop)
    ways = ((2, 2), (2, 1), (1, 1)) if a >= b else ((2, 2), (1, 2), (1, 1))
    laid = [
        _even(a, b, area, least, rows, shop)
        for rows in ways
        if all(n == 1 or 2 * shop.whole_up(_step(least, shop)) <= side for n, side in zip(rows, (a, b), strict=True))
    ]
    areas = [sum(pad.da * pad.db for pad in pads) for pads in laid]
    felt = [felt_on(contents_kg, area, foam, thickness, fall) for area in areas]
    # Of a foam without a curve nothing is known below its range: fewer pads load it more.
    known = [foam.curve is not None or static_stress(contents_kg, area) >= foam.low_psi for area in areas]
    keeping = [pads for pads, shock, sure in zip(laid, felt, known, strict=True) if shock <= fall.limit and sure]
    if keeping:
        return keeping[0]
    return laid[felt.index(min(felt))] if foam.curve is not None else laid[-1]


# 6 arguments: a side, what is wanted of it, and whose steps it goes by
def _even(a: int, b: int, area: int, least: int, rows: tuple[int, int], shop: Shop) -> tuple[Spot, ...]:
    """Place one or two pads each way, as nearly square as the side lets them be, of so much area together."""
    across, up = rows
    da = min(a // across, max(least, ceil(sqrt(area / (across * up)))))
    db = min(b // up, max(least, ceil(area / (across * up * da))))
    da = min(a // across, max(least, ceil(area / (across * up * db))))
    da, db = min(_step(da, shop), shop.whole(a // across)), min(_step(db, shop), shop.whole(b // up))
    starts_a = (shop.whole((a - da) // 2),) if across == 1 else (0, a - da)
    starts_b = (shop.whole((b - db) // 2),) if up == 1 else (0, b - db)
    return tuple(Spot(x, y, da, db) for x in starts_a for y in starts_b)


def _step(value: int, shop: Shop) -> int:
    """Round up to the next step of the shop, such as 1/8 in."""
    return whole_up(value, shop.own(STEP))


def _spread(a: int, b: int, area: int, least: int, shop: Shop) -> tuple[Spot, ...]:
    """Place pads of so much area at the corners of a side, right across it where they would meet."""
    side = max(least, ceil(sqrt(area / 4)))
    da = a if 2 * side > a else side
    rows = 1 if da == a else 2
    side = max(least, ceil(area / (2 * rows * da)))
    db = b if 2 * side > b else side
    if rows == 2:
        across = 1 if db == b else 2
        da = min(shop.whole(a // 2), max(least, ceil(area / (rows * across * db))))
    da, db = (_up(da, a, shop), _up(db, b, shop))
    starts_a = (0,) if da == a else (0, a - da)
    starts_b = (0,) if db == b else (0, b - db)
    return tuple(Spot(x, y, da, db) for x in starts_a for y in starts_b)


def _up(value: int, most: int, shop: Shop) -> int:
    """Round up to the next step where two of them still fit side by side, else leave as it is, or a grain less."""
    rounded = _step(value, shop)
    return rounded if 2 * rounded <= most else value if value == most else shop.whole(value)


# 7 arguments: a stretch, what is to be placed in it and what is in the way, and whose sizes it goes by
def two_places(
    start: int,
    end: int,
    wide: int,
    taken: Sequence[tuple[int, int]],
    low: int,
    high: int,
    sizes: UnitSystem = "inch",
) -> list[tuple[int, int]]:
    """Place a pad in either half of a stretch, clear of what is in the way.

    Parameters
    ----------
    start, end : int
        The stretch.
    wide : int
        How wide a pad should be; it is narrower where lumber leaves no more room.
    taken : sequence of (int, int)
        What is in the way.
    low, high : int
        Where the two would best begin.

    Returns
    -------
    list of (int, int)
        Place and width of each, the widest that fits and then the nearest; a half without an inch of room has none.
    """
    middle, shortest = whole((start + end) // 2, grain_of(sizes)), SHORTEST.of(sizes)
    found = []
    for first, last, wish in ((start, middle, low), (middle, end, high)):
        at, runs = first, []
        for a, b in [*sorted(taken), (last, last)]:
            if min(a, last) - at >= shortest:
                runs.append((at, min(a, last)))
            at = max(at, b)
        fits = [(min(wide, b - a), a, b) for a, b in runs]
        places = [(-w, abs(min(max(wish, a), b - w) - wish), min(max(wish, a), b - w)) for w, a, b in fits]
        if places:
            narrow, _, place = min(places)
            found.append((place, -narrow))
    return found

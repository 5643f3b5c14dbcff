"""How a case keeps upright in transit: free, on outriggers, or strapped to a pallet or an A-frame."""

from dataclasses import dataclass

from nesting.advice.tipping import half_for, tips_at
from nesting.base.measure import INCH, MM, UnitSystem
from nesting.base.own_length import OwnLength
from nesting.crates.bench import Bench
from nesting.crates.gear.skids import Skids
from nesting.crates.model import Box, Fitting, Stands
from nesting.shop.shop import Shop

_OVERHANG = OwnLength(6 * INCH, 150 * MM)
"""How far a case may reach beyond the pallet at either end (common practice, no source)."""
_STEP = OwnLength(INCH // 8, 5 * MM)
_STRAP_STEP = OwnLength(2 * INCH, 50 * MM)
_TAIL = OwnLength(24 * INCH, 600 * MM)
"""Strap beyond its buckle, to pull at."""
_BAND = OwnLength(3 * INCH // 4, 20 * MM)
_BUCKLE = OwnLength(INCH // 4, 6 * MM)
STRAPS = 2


@dataclass(frozen=True, slots=True)
class Footing:
    """What a case stands on, seen from above.

    Attributes
    ----------
    x, z, wide, deep : int
        The rectangle of the edges that it would fall over.
    centre : tuple of int
        Its centre of gravity; the floor is at height 0.
    """

    x: int
    z: int
    wide: int
    deep: int
    centre: tuple[int, int, int]

    def halves(self, over: int = 0) -> tuple[int, int, int, int]:
        """Return how far each edge is from below the centre of gravity, back and front so much farther out."""
        x, _, z = self.centre
        return (x - self.x, self.x + self.wide - x, z - self.z + over, self.z + self.deep + over - z)


@dataclass(frozen=True, slots=True)
class Upright:
    """How a case stands.

    Attributes
    ----------
    stands : str
        As in :class:`nesting.crates.model.Crate`; empty where nothing makes it stand, or nobody asked.
    own : float
        Tilt in degrees that it bears by itself.
    angle : float
        The same with what it is strapped to.
    on : str
        What it is strapped to, in words; empty where it stands by itself.
    """

    stands: Stands
    own: float
    angle: float
    on: str = ""


def outriggers_for(footing: Footing, shop: Shop, already: int = 0) -> int:
    """Return how much farther outriggers reach to let a case stand; 0 where it does, or where the most is not enough.

    Parameters
    ----------
    already : int
        How far the footing's outriggers reach beyond its skids.
    """
    gear = shop.gear
    half = half_for(gear.tilt, footing.centre[1])
    left, right, back, front = footing.halves()
    lacking = half - min(back, front)
    if lacking <= 0 or min(left, right) < half:
        return 0
    step = shop.own(_STEP)
    over = -(-lacking // step) * step
    return over if already + over <= 2 * gear.outrigger_most else 0


def upright(footing: Footing, size: tuple[int, int], skids: Skids | None, shop: Shop) -> Upright:
    """Find out how a case stands.

    Parameters
    ----------
    footing : Footing
        With outriggers, where it has any.
    size : tuple of int
        Width and depth of the case without outriggers.
    """
    gear = shop.gear
    height = max(1, footing.centre[1])
    own = tips_at(min(footing.halves()), height)
    if not gear.standing:
        return Upright("", own, own)
    if own >= gear.tilt:
        return Upright("longer skids" if skids and skids.over else "free", own, own)
    raised, pallet = height + gear.pallet_high, (gear.pallet_long, gear.pallet_wide)
    wide, deep = size
    aside = abs(2 * footing.centre[0] - 2 * footing.x - footing.wide) // 2
    astray = abs(2 * footing.centre[2] - 2 * footing.z - footing.deep) // 2
    for along, across in (pallet, pallet[::-1]):
        lies = deep <= across and wide <= along + 2 * shop.own(_OVERHANG) and footing.wide <= along
        halves = (along // 2 - aside, across // 2 - astray)
        if lies and (angle := tips_at(min(halves), raised)) >= gear.tilt:
            return Upright("pallet", own, angle, f"a pallet of {_pallet(*pallet, shop.units)}")
    deepest = gear.frame_deepest
    angle = tips_at(deepest // 2 - astray, raised)
    if deep <= deepest and angle >= gear.tilt:
        need = max(wide, 2 * (half_for(gear.tilt, raised) + aside))
        return Upright(
            "A-frame",
            own,
            angle,
            f"an A-frame {_both(deepest, shop.units, up=False)} deep and {_both(need, shop.units)} wide",
        )
    return Upright("", own, max(own, angle) if deep <= deepest else own)


def _pallet(long: int, wide: int, sizes: UnitSystem) -> str:
    """Write the sides of a pallet in inches and millimetres, in these alone where the shop goes by them."""
    if sizes == "metric":
        return f"{long // MM} x {wide // MM} mm"
    return f"{long // INCH} x {wide // INCH} in ({long // MM} x {wide // MM} mm)"


def _both(value: int, sizes: UnitSystem, *, up: bool = True) -> str:
    """Write a length in inches and millimetres, rounded up or down; in these alone where the shop goes by them."""
    inch, mm = (-(-value // unit) if up else value // unit for unit in (INCH, MM))
    return f"{mm} mm" if sizes == "metric" else f"{inch} in ({mm} mm)"


def strap_length(body: Box, deck: int, sizes: UnitSystem = "inch") -> int:
    """Return how long each strap is, to the next 2 in: round the case and its deck, and beyond the buckle."""
    return _length(2 * (body.y + body.dy + body.dz + deck), sizes)


def girdle_length(body: Box, sizes: UnitSystem = "inch") -> int:
    """Return how long each strap round a case is, to the next 2 in: round front, ends and back, and its tail."""
    return _length(2 * (body.dx + body.dz), sizes)


def _length(girth: int, sizes: UnitSystem) -> int:
    """Return the length of a strap round a girth, with its tail, to the next 2 in or 50 mm."""
    step = _STRAP_STEP.of(sizes)
    return -(-(girth + _TAIL.of(sizes)) // step) * step


def girdle(bench: Bench, body: Box) -> None:
    """Put two straps with buckles level round a case, over the face that opens, whether that is an end or the front."""
    shop = bench.shop
    gear, band = shop.gear, shop.own(_BAND)
    length = girdle_length(body, shop.units) // MM
    for part in (1, 5):
        y = body.y + shop.whole(part * body.dy // 6)
        x = body.x + shop.whole(body.dx // 2)
        over = Box(x + band, y - band // 2, body.z + body.dz, body.x + body.dx - x - band, band, MM)
        bench.fit(Fitting(gear.strap, "strap", over, "level round front, ends and back"), length)
        buckle = Box(x - band, y - band, body.z + body.dz, 2 * band, 2 * band, shop.own(_BUCKLE))
        bench.fit(Fitting(gear.buckle, "buckle", buckle, "on the front, where it can be pulled tight"))


def strap(bench: Bench, body: Box) -> None:
    """Put two straps with buckles round the case and what it stands on."""
    shop = bench.shop
    gear, band = shop.gear, shop.own(_BAND)
    length = strap_length(body, gear.pallet_high, shop.units) // MM
    for part in (1, 3):
        x = body.x + shop.whole(part * body.dx // 4)
        over = Box(x - band // 2, body.y + body.dy, body.z, band, MM, body.dz)
        bench.fit(Fitting(gear.strap, "strap", over, "over the top, down front and back, and under the deck"), length)
        middle = body.y + shop.whole(body.dy * 2 // 3)
        buckle = Box(x - band, middle, body.z + body.dz, 2 * band, 2 * band, shop.own(_BUCKLE))
        bench.fit(Fitting(gear.buckle, "buckle", buckle, "on the front, where it can be pulled tight"))

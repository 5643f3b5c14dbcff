"""How a crate keeps upright in transit: free, on longer skids, or strapped to a pallet or an A-frame.

The first that stands the tilt of the shop's rules is taken, in that order; a crate that none keeps upright is held.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import ceil
from typing import Final

from nesting.advice.check import Check
from nesting.advice.passage import Load, passes
from nesting.advice.tipping import (
    check_standing,
    frame_base,
    half_for,
    tips_at,
)
from nesting.base.measure import INCH, MM
from nesting.base.own_length import OwnLength
from nesting.crates.gear.bolted_skids import prying_of
from nesting.crates.gear.site import Site, Weighed
from nesting.crates.gear.skids import Skids
from nesting.crates.model import Stands, Step

STRAPS: Final = 2
"""Straps round a crate and what it stands by."""

_TAIL: Final = OwnLength(12 * INCH, 300 * MM)
"""What of a strap goes through its buckle."""

_BASE_STEP: Final = OwnLength(INCH // 2, 10 * MM)
_HEIGHT_STEP: Final = OwnLength(INCH, 10 * MM)
"""Steps in which the base of an A-frame and the greatest height of a centre of gravity are told."""
_ASIDE: Final = OwnLength(6 * INCH, 150 * MM)
"""Of a strap from the end of a crate."""

_ORDER: Final[tuple[Stands, ...]] = ("free", "longer skids", "pallet", "A-frame")


@dataclass(frozen=True, slots=True)
class Stance:
    """How a crate stands.

    Attributes
    ----------
    kind : str
        As :attr:`nesting.crates.model.Crate.stands`; empty where nothing holds it, or nobody asked.
    skids : Skids or None
        Under it.
    half, high : int
        How far inside its base its centre of gravity lies, and how high over the floor.
    base : int
        How deep an A-frame must be.
    strap : int
        Strap in all.
    """

    kind: Stands
    skids: Skids | None
    half: int = 0
    high: int = 0
    base: int = 0
    strap: int = 0

    @property
    def strapped(self) -> bool:
        """Whether it is strapped to something."""
        return self.strap > 0

    @property
    def angle(self) -> float:
        """Tilt at which it falls, degrees."""
        return tips_at(self.half, self.high)


# arguments: what is to stand, how it stood before, and what is under it
def plan_stance(
    site: Site, skids: Skids | None, weighed: Weighed, before: Stance | None, *, forks: bool, pads: int = 0
) -> Stance:
    """Choose how a crate stands.

    Parameters
    ----------
    skids : Skids or None
        Which it may have, as long as it is deep.
    before : Stance or None
        As it was planned before that was weighed too; what comes before it in order did not hold.
    forks : bool
        Whether forks must take it on skids of its own, where it is not strapped to a pallet.
    pads : int
        How thick the foam under its skids is; on a pallet there would be none.
    """
    rules = site.shop.gear
    under = not forks or (skids is not None and skids.clear >= site.shop.forks.jack_width)
    free = _free(site, skids, weighed, pads)
    if not rules.standing:
        pallet = None if pads else _pallet(site, weighed)
        return pallet if not under and pallet is not None else Stance("", skids)
    ways = _ways(site, skids, weighed, free, under=under, pads=pads)
    passed = _ORDER.index(before.kind) if before is not None and before.kind else 0
    ways = [way for way in ways if way.angle >= rules.tilt and _ORDER.index(way.kind) >= passed]
    return ways[0] if ways else replace(free, kind="")


# arguments: what is to stand, and what is under it
def _ways(site: Site, skids: Skids | None, weighed: Weighed, free: Stance, *, under: bool, pads: int) -> list[Stance]:
    """Return the ways for which there is room, in order."""
    ways = [free] if under else []
    if under and skids is not None:
        ways += _longer(site, skids, weighed, pads)
    pallet = None if pads else _pallet(site, weighed)
    if pallet is not None:
        ways.append(pallet)
    gear = site.shop.gear
    base = frame_base(gear.tilt, free.high + gear.pallet_high, site.depth, site.shop.own(_BASE_STEP))
    if under and base <= gear.frame_deepest:
        girth = 2 * (site.width + base)
        ways.append(Stance("A-frame", skids, base // 2, free.high + gear.pallet_high, base, _strap(site, girth)))
    return ways


def _free(site: Site, skids: Skids | None, weighed: Weighed, pads: int) -> Stance:
    """Return how it stands on its own skids or edges: by the nearest side of its base."""
    x, y, z = weighed.centre
    reach = skids.over if skids else 0
    left, right = (skids.starts[0], skids.starts[1] + skids.wide) if skids else (0, site.width)
    half = min(x - left, right - x, z + reach, site.depth + reach - z)
    return Stance("longer skids" if reach else "free", skids, max(0, half), y + (skids.height if skids else 0) + pads)


def _longer(site: Site, skids: Skids, weighed: Weighed, pads: int) -> Iterator[Stance]:
    """Yield the crate on longer skids, where their bolts hold and it still goes through the shop's doors."""
    short = min(weighed.centre[2], site.depth - weighed.centre[2])
    over = site.up(max(0, half_for(site.shop.gear.tilt, weighed.centre[1] + skids.height + pads) - short))
    if not 0 < over <= site.shop.gear.outrigger_most:
        return
    longer = replace(skids, over=over)
    pried = prying_of(site, longer, weighed.gross_kg)
    if pried is not None and pried.verdict == "fails":
        return
    high = site.height + skids.height + pads
    plain, reaching = (Load(site.width, high, site.depth + 2 * more, weighed.gross_kg) for more in (0, over))
    if all(passes(reaching, limit) or not passes(plain, limit) for limit in site.shop.passage.limits()):
        yield _free(site, longer, weighed, pads)


def _pallet(site: Site, weighed: Weighed) -> Stance | None:
    """Return the crate upright on the middle of a pallet, without skids; None where it is larger than that."""
    gear = site.shop.gear
    if site.width > gear.pallet_long or site.depth > gear.pallet_wide:
        return None
    girth = 2 * (site.height + gear.pallet_high + gear.pallet_wide)
    return Stance("pallet", None, gear.pallet_wide // 2, weighed.centre[1] + gear.pallet_high, 0, _strap(site, girth))


def _pallet_of(site: Site) -> str:
    """Write the sides of the pallet that crates stand on."""
    return f"{site.say(site.shop.gear.pallet_long)} x {site.say(site.shop.gear.pallet_wide)}"


def _strap(site: Site, girth: int) -> int:
    return STRAPS * (girth + site.shop.own(_TAIL))


def strap_mm(stance: Stance) -> int:
    """Return how much strap is used."""
    return ceil(stance.strap / MM)


def stance_check(site: Site, stance: Stance) -> Check | None:
    """Judge how it stands; None where nobody asked."""
    gear = site.shop.gear
    if not gear.standing:
        return None
    how = {
        "": "nothing of what the shop's rules know keeps it upright",
        "free": "stands by itself",
        "longer skids": "stands on skids that reach out in front and behind",
        "pallet": "strapped upright to the middle of a pallet",
        "A-frame": f"strapped upright to an A-frame {site.say(stance.base, 2)} deep and wide at the least",
    }[stance.kind]
    note = f"{how}; its centre of gravity is {site.say(stance.high, 8)} over the floor"
    deepest = gear.frame_deepest // 2
    most = site.say(_highest(gear.tilt, deepest, site.shop.own(_HEIGHT_STEP)), 1)
    would = (
        f"a lower crate: an A-frame {site.say(gear.frame_deepest)} deep keeps a centre of gravity upright that is at "
        f"most {most} over the floor, its own floor included"
    )
    return check_standing(gear.tilt, stance.angle, note, would)


def _highest(tilt: float, half: int, step: int) -> int:
    """Return how high a centre of gravity may be over half a base, in whole steps."""
    per_step = half_for(tilt, step)
    return half * step // max(1, per_step) // step * step


def stance_steps(site: Site, stance: Stance, *, forks: bool) -> list[Step]:
    """Say how a crate is kept upright, which people lift or only forks take."""
    if not stance.strapped:
        return []
    gear = site.shop.gear
    each = site.say(stance.strap // STRAPS, 2)
    if stance.kind == "pallet":
        side = site.say(min(site.shop.own(_ASIDE), site.shop.whole(site.width // 4)))
        by = ", by a hoist, or there before the piece goes in" if forks else ""
        stand = f"Stand the closed crate upright on the middle of a pallet, its width along the long side{by}."
        of = f"pallet {_pallet_of(site)}, at hand before: no part of the crate" + (
            "; from now on forks take both together" if forks else ""
        )
        strap, where = "over the top and under the deck boards", f"{side} from the crate's ends"
    else:
        stand = "Stand the closed crate upright in the middle of an A-frame."
        of = (
            f"its floor at least {site.say(stance.base, 2)} deep and as wide, at most {site.say(gear.pallet_high)} "
            "over the ground"
        )
        strap, where = "level round crate and frame", "a quarter of the height up and a quarter down"
    return [
        Step(
            stand,
            "It never stands free: two people, one holding it until both straps are tight, and before one is opened.",
            check=of,
        ),
        Step(
            f"Strap it at once: {STRAPS} straps ({gear.strap}) {strap}, on edge protectors (not in the buying list).",
            "A tight strap lashes when it slips: eyes protected, face out of its line.",
            check=f"tight at the buckle; {each} each; {where}",
        ),
    ]


def stance_warnings(site: Site, stance: Stance) -> list[str]:
    """Say what must be had that is not part of the crate."""
    if not stance.strapped:
        return []
    what = (
        f"a pallet {_pallet_of(site)}"
        if stance.kind == "pallet"
        else f"an A-frame with a floor {site.say(stance.base, 2)} deep"
    )
    wood = (
        "; across a border it is of plywood or of lumber that bears the mark of ISPM 15, and papers tell the weight "
        "and size of both together"
    )
    told = f"have {what} ready: the crate travels strapped upright to it"
    return [told + (wood if site.laminated else "")]

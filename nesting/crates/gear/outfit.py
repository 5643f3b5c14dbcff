"""The outfit: all that lifts a crate and keeps it upright, planned together and put on the bench."""

from dataclasses import dataclass
from typing import Final

from nesting.advice.check import Check
from nesting.advice.lifting import Team, team_for
from nesting.crates.bench import Bench
from nesting.crates.gear.bolted_skids import fork_steps, lay_bolted, plan_bolted, skid_checks, skid_steps
from nesting.crates.gear.handles import (
    PROUD,
    Handles,
    handle_checks,
    handle_steps,
    handle_warnings,
    lay_handles,
    plan_handles,
)
from nesting.crates.gear.isolation import Isolation, pad_steps, place_pads, runners_of
from nesting.crates.gear.members import section_of
from nesting.crates.gear.site import Site, Weighed
from nesting.crates.gear.skids import Skids
from nesting.crates.gear.stands import (
    STRAPS,
    Stance,
    plan_stance,
    stance_check,
    stance_steps,
    stance_warnings,
    strap_mm,
)
from nesting.crates.model import Box, Size, Step

_TEAMS: Final[tuple[Team, ...]] = ("one person", "two people", "three people", "four people", "forks")


@dataclass(frozen=True, slots=True)
class Outfit:
    """What a crate is lifted by and how it stands.

    Attributes
    ----------
    team : str
        Who lifts it.
    handles : Handles or None
        None where there are none.
    stance : Stance
        With the skids.
    pads : Isolation or None
        Foam under the skids, without which there is none.
    """

    team: Team = "one person"
    handles: Handles | None = None
    stance: Stance | None = None
    pads: Isolation | None = None

    @property
    def skids(self) -> Skids | None:
        """Under it."""
        return self.stance.skids if self.stance else None

    @property
    def straps(self) -> int:
        """How many."""
        return STRAPS if self.stance and self.stance.strapped else 0


def plan_outfit(site: Site, weighed: Weighed, before: Outfit, pads: Isolation | None = None) -> Outfit:
    """Plan the outfit of a crate that was weighed with an earlier one on it.

    Nobody goes back to a smaller team nor to a stance that did not hold, so that weighing and planning come to an end.
    """
    gear, longest = site.shop.gear, max(site.width, site.height)
    team = max(before.team, team_for(weighed.gross_kg, longest, site.shop.lifting), key=_TEAMS.index)
    handles = plan_handles(site, team, weighed, before.handles)
    forks = team == "forks" and gear.skids
    pads = pads or before.pads
    over = max(0, pads.runners.long - site.depth) // 2 if pads else 0
    skids = None
    if pads is not None:
        thick = section_of(site.shop.case.skid_good, site.shop, laminated=site.laminated).thick
        skids = plan_bolted(site, pads.runners.wide // thick, over)
    elif forks:
        skids = plan_bolted(site)
    if skids is None:
        pads = None
    if team == "forks" and not gear.skids:
        handles = before.handles
    deep = pads.thickness if pads else 0
    return Outfit(team, handles, plan_stance(site, skids, weighed, before.stance, forks=forks, pads=deep), pads)


def lay_outfit(site: Site, outfit: Outfit, bench: Bench) -> tuple[int, int]:
    """Put an outfit on the bench, whose frame stands already; return the area that is glued, and in how many joints."""
    glued = joints = 0
    if outfit.handles is not None and outfit.handles.middles:
        glued += lay_handles(site, outfit.handles, bench)
        joints += outfit.handles.count
    if outfit.skids is not None:
        area, runs = lay_bolted(site, outfit.skids, bench)
        glued, joints = glued + area, joints + runs
    if outfit.pads is not None:
        place_pads(bench, runners_of(bench.placed), outfit.pads)
        joints += 2 * outfit.pads.layers * len(outfit.pads.pads)
    if outfit.stance is not None and outfit.stance.strapped:
        bench.use(site.shop.gear.strap, strap_mm(outfit.stance))
        bench.use(site.shop.gear.buckle, STRAPS)
    return glued, joints


def extent_of(site: Site, outfit: Outfit) -> Box:
    """Return the extremes of a crate with its outfit, in the body's coordinates."""
    aside = site.shop.own(PROUD) if outfit.handles is not None and outfit.handles.middles else 0
    low, over = (outfit.skids.height, outfit.skids.over) if outfit.skids else (0, 0)
    low += outfit.pads.thickness if outfit.pads else 0
    return Box(-aside, -low, -over, site.width + 2 * aside, site.height + low, site.depth + 2 * over)


def body_of(site: Site, outfit: Outfit) -> Size | None:
    """Return the outside of the body where the outfit reaches beyond it."""
    all_of_it = extent_of(site, outfit)
    body = Size(site.width, site.height, site.depth)
    return None if Size(all_of_it.dx, all_of_it.dy, all_of_it.dz) == body else body


def outfit_checks(site: Site, outfit: Outfit, weighed: Weighed) -> list[Check]:
    """Judge all of it."""
    found = [*handle_checks(site, outfit.handles, weighed)]
    on_pallet = outfit.stance is not None and outfit.stance.kind == "pallet"
    if outfit.team == "forks" and site.shop.gear.skids and not on_pallet:
        found += skid_checks(site, outfit.skids, weighed)
    standing = stance_check(site, outfit.stance) if outfit.stance else None
    return [*found, standing] if standing else found


def outfit_warnings(site: Site, outfit: Outfit, gross_kg: float) -> list[str]:
    """Say what is left to people."""
    told = handle_warnings(site, outfit.handles, gross_kg, outfit.team)
    leans = outfit.stance is not None and outfit.stance.kind == "A-frame"
    if leans and outfit.team == "forks" and outfit.skids is None:
        told.append(
            "forks must take it, and the shop's rules give it no skids: lift it by its A-frame alone, see that forks "
            "get under that, and never drag the crate on its edge"
        )
    return told + (stance_warnings(site, outfit.stance) if outfit.stance else [])


def outfit_steps(site: Site, outfit: Outfit, centre_y: int, bench: Bench) -> tuple[tuple[Step, ...], tuple[Step, ...]]:
    """Return what is done before the liner goes in, and what once the crate is closed."""
    pads = pad_steps(outfit.pads, site.units, site.shop.joinery.foam_glue) if outfit.pads else ()
    before = (*handle_steps(site, outfit.handles, centre_y), *skid_steps(site, outfit.skids, bench), *pads[:-1])
    upright = stance_steps(site, outfit.stance, forks=outfit.team == "forks") if outfit.stance else []
    forks = fork_steps(site, outfit.skids) if outfit.team == "forks" else []
    return before, (*pads[-1:], *forks, *upright)

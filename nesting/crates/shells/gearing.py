"""Gear on a shell: planned, put on and weighed until nothing changes, since what lifts a crate weighs something too."""

from dataclasses import dataclass, replace
from typing import Final

from nesting.base.measure import MM
from nesting.crates.gear.outfit import Outfit, extent_of, lay_outfit, plan_outfit
from nesting.crates.gear.site import Site, Weighed
from nesting.crates.model import Box
from nesting.crates.shells.battens import Grid
from nesting.crates.shells.faces import Face
from nesting.crates.shells.shaken import pads_for
from nesting.crates.shells.shell import Shell, piece_box
from nesting.crates.weigh import Weighing, weigh

_ROUNDS: Final = 8
"""Most weighings; teams and stances only go up, so that a few do."""

_M2 = (1000 * MM) ** 2


@dataclass(frozen=True, slots=True)
class Geared:
    """A shell with its gear, closed.

    Attributes
    ----------
    shell : Shell
        With all on its bench.
    site : Site
        What the gear was planned for.
    outfit : Outfit
        What lifts it and keeps it upright.
    screwed : int
        Handles that are only screwed on, where the shop's rule is that.
    found : Weighing
        What it weighs with all of it.
    """

    shell: Shell
    site: Site
    outfit: Outfit
    screwed: int
    found: Weighing


def closed_with_gear(shell: Shell, lid: Face, grid: Grid | None) -> Geared:
    """Line and close a mounted shell, with the gear that its weight asks for."""
    site, outfit, gross = site_of(shell, lid, grid), Outfit(), 0.0
    for _ in range(_ROUNDS):
        trial = replace(shell, bench=shell.bench.copy())
        glued, joints = lay_outfit(site, outfit, trial.bench)
        trial.glue(glued, joints)
        trial.line_frame()
        trial.close(lid, grid)
        trial.bench.use(site.shop.joinery.glue, max(1, round(site.shop.joinery.glue_g_m2 * trial.glued / _M2)))
        old = site.shop.gear.handles == "screwed" and outfit.team != "forks"
        screwed = trial.handles(gross) if old else 0
        found, before = _weighing(trial, site, outfit), gross
        made = Geared(trial, site, outfit, screwed, found)
        gross = gross_of(found)
        pads = pads_for(shell.packing, gross, (site.width, site.height, site.depth), trial.bench.placed)
        outfit = plan_outfit(site, Weighed(gross, found.centre), outfit, pads)
        if outfit == made.outfit and (before == gross or not old):
            break
    return made


def _weighing(shell: Shell, site: Site, outfit: Outfit) -> Weighing:
    """Weigh a closed shell with all that is on its bench."""
    return weigh(
        parts=shell.bench.parts,
        sticks=shell.bench.sticks,
        piecework=shell.bench.piecework,
        placed=shell.bench.placed,
        pieces=[(hung.weight, piece_box(shell, hung)) for hung in shell.load.hung],
        outside=extent_of(site, outfit),
        shop=site.shop,
    )


def gross_of(found: Weighing) -> float:
    """Return the gross weight as it is printed."""
    return round(round(found.net_kg, 1) + round(found.tare_kg, 1), 1)


def site_of(shell: Shell, lid: Face, grid: Grid | None) -> Site:
    """Return a shell that stands and is mounted as gear sees it."""
    packing, frame = shell.packing, shell.frame
    shop = packing.shop
    over = grid.good.thickness if grid is not None and grid.good is not None else 0
    liner = shop.good(shop.frame.liner_good).thickness
    leg = frame.of("corner block")[0].box.dy
    return Site(
        shop,
        packing.units,
        frame.width,
        frame.height,
        shell.z + frame.strip + lid.good.thickness + over,
        frame.thickness,
        shell.back_inside,
        frame.lined,
        shell.behind,
        frame.thickness + max(leg, liner),
        tuple(_moved(m.box, shell.back_inside) for m in frame.of("gusset")),
        shop.laminates(packing.country),
        frame.ledge,
    )


def _moved(box: Box, z: int) -> Box:
    return Box(box.x, box.y, box.z + z, box.dx, box.dy, box.dz)

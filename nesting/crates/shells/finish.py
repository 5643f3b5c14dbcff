"""Finishing a shell: weight, lifting, checks, warnings and the numbered steps, gathered into the crate."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

from nesting.advice.backs import Back, Ribs, Way, carried, check_lid
from nesting.advice.check import KG_PER_LB, Check, table_pounds
from nesting.advice.forks import check_tipping
from nesting.advice.ispm import WoodMember, treatment
from nesting.advice.lifting import check_lifting, lift_of_crate, team_for
from nesting.advice.mounting import check_mounting, check_mounting_by_en
from nesting.advice.passage import Load as PassingLoad
from nesting.advice.passage import check_passage
from nesting.advice.scope import check_scope
from nesting.base.measure import MM, UnitSystem, format_length, format_weight
from nesting.crates.gear.outfit import body_of, extent_of, outfit_checks, outfit_steps, outfit_warnings
from nesting.crates.gear.site import Weighed
from nesting.crates.handling import CRATE_MARKS
from nesting.crates.load import Hung
from nesting.crates.model import Box, Crate, Layer, Placed, Size, Work
from nesting.crates.shells.battens import Grid, longest_batten, open_most
from nesting.crates.shells.catalogue import widest_lane
from nesting.crates.shells.closing_steps import closing_checks, closing_warnings
from nesting.crates.shells.faces import Face
from nesting.crates.shells.frame import Frame
from nesting.crates.shells.gearing import Geared, gross_of
from nesting.crates.shells.mounting import mounting_case, piece_case
from nesting.crates.shells.piece_back import own_cleats
from nesting.crates.shells.plan import check_pieces
from nesting.crates.shells.shaken import shock_checks
from nesting.crates.shells.shell import Shell, piece_box
from nesting.crates.shells.shell_steps import Told, steps_for
from nesting.crates.traits import Method, Packing
from nesting.cutting.parts import Part, StickPart
from nesting.shop.needs import PART, density_of, is_wood, panel_of, refuse_unfit
from nesting.shop.shop import Shop
from nesting.shop.surfaces import earliest_packing


def finish(geared: Geared, method: Method, lid: Face, *, behind: Grid | None, before: Grid | None) -> Crate:
    """Weigh the shell, judge it and write down how it is built.

    Parameters
    ----------
    behind, before : Grid or None
        Battens on back and lid.
    """
    shell, site, outfit = geared.shell, geared.site, geared.outfit
    packing, bench, frame = shell.packing, shell.bench, shell.frame
    shop, units = packing.shop, packing.units
    refuse_unfit(shop, ((part.good, PART) for part in bench.parts))
    reach = extent_of(site, outfit)
    outside = Size(reach.dx, reach.dy, reach.dz)
    boxes = [(hung, piece_box(shell, hung)) for hung in shell.load.hung]
    handles = geared.screwed or (outfit.handles.count if outfit.handles else 0)
    found = geared.found
    net, tare, spread, centre = found.net_kg, found.tare_kg, found.spread_kg, found.centre
    gross = gross_of(found)
    weighed = Weighed(gross, centre)
    longest = max(frame.width, frame.height)
    ispm, raw = border(bench.placed, shell, packing.country)
    earliest, rests = earliest_packing(packing.pieces, shop, touches_face=method.touches_face)
    lift = lift_of_crate(frame.height, shell.z, shop.lifting, handles=handles > 0)
    checks = (
        *_mounting_checks(shell),
        *shell.judged.checks,
        *check_pieces(shell.plan, back_ei(shell)),
        lid_check(packing, lid, before, frame),
        *closing_checks(shell),
        *shock_checks(
            packing,
            gross,
            (frame.width, frame.height, shell.z),
            bench.placed,
            topples=outfit.stance is None or not outfit.stance.kind,
        ),
        check_lifting(gross, longest, lift, shop.lifting, units),
        ispm,
        check_scope(net, longest, units),
        *outfit_checks(site, outfit, weighed),
        *_old_standing(geared, centre[1]),
        *passages(outside, gross, shop, units),
    )
    screws = bench.screws()
    team = outfit.team
    gear_steps, upright = outfit_steps(site, outfit, centre[1], bench)
    turn = team_for(tare, longest, shop.lifting)
    told = Told(geared.screwed, centre[1], team, turn, rests, gear_steps, upright)
    return Crate(
        crate=packing.crate,
        method=method.name,
        reason=packing.reason,
        pieces=tuple(a.piece for a in packing.pieces),
        outside=outside,
        inside=frame.inside,
        net_kg=net,
        tare_kg=tare,
        destination=packing.destination,
        spread_kg=spread,
        centre=centre,
        parts=bench.parts,
        sticks=bench.sticks,
        piecework=bench.piecework,
        placed=tuple(bench.placed),
        pieces_placed=tuple((hung.artwork.piece, box) for hung, box in boxes),
        drill=tuple(shell.drill),
        cleat_drill=tuple(drill for m in shell.mounted for drill in m.piece_drill),
        fixings=bench.fixings,
        steps=steps_for(shell, lid, (behind, before), told),
        checks=checks,
        warnings=(*_warnings(geared, checks, gross), *closing_warnings(shell), *rests),
        marks=CRATE_MARKS,
        layers=tuple(_air(shell, hung, box) for hung, box in boxes),
        earliest_packing=earliest,
        lift=team,
        raw_wood=raw,
        work=Work(
            holes=screws + len(shell.drill) * (shop.cleats.clearance > 0),
            screws=screws,
            staples=shell.staples,
            glue_runs=shell.glue_runs,
            mountings=len(packing.pieces),
            assemblies=1,
            bolts=len(bench.bolts),
            fittings=len(bench.fittings) + outfit.straps,
            seals=bool(shop.joinery.gasket) + bool(shop.gear.climate),
        ),
        gear=tuple(bench.fittings),
        bolts=tuple(bench.bolts),
        body=body_of(site, outfit),
        stands=outfit.stance.kind if outfit.stance else "",
    )


def _old_standing(geared: Geared, centre_y: int) -> tuple[Check, ...]:
    """Say how a crate stands where the shop's rules do not ask that it stands a tilt."""
    site, outfit = geared.site, geared.outfit
    if site.shop.gear.standing:
        return ()
    high = outfit.skids.height if outfit.skids else 0
    return (
        check_tipping(site.depth, site.height + high, centre_y + high, site.shop.forks, site.units, outriggers=False),
    )


def _mounting_checks(shell: Shell) -> list[Check]:
    """Judge the mounting screws of every piece; in a set, each check names its piece."""
    made: list[Check] = []
    shop, units = shell.packing.shop, shell.packing.units
    for m in shell.mounted:
        own = f", {m.hung.artwork.piece}" if len(shell.mounted) > 1 else ""
        case = mounting_case(m.hung.weight.kg, shell.screw, shell.held, shop)
        checks = (
            *check_mounting(case, m.held_by, shop.mounting, units),
            *check_mounting_by_en(case, m.held_by, shop.mounting, units),
        )
        made += [replace(check, name=f"{check.name}{own}") for check in checks]
        if m.piece_screw is None:
            continue
        into = piece_case(m.hung, m.piece_screw, shop)
        outer = {cleat.piece_line for each in shell.cleats for cleat in each if not cleat.middle}
        count = sum(drill.y in outer for drill in m.piece_drill)
        pulled, _, _ = check_mounting(into, count, shop.mounting, units)
        note = f"{pulled.note}; the piece's wood is taken to be as weak as {into.into.name}"
        made.append(replace(pulled, name=f"screws into the piece, withdrawal{own}", note=note))
        made += [
            replace(check, name=f"{check.name.replace('mounting screws', 'screws into the piece')}{own}")
            for check in check_mounting_by_en(into, count, shop.mounting, units)
            if "withdrawal" in check.name
        ]
    return made


def back_ei(shell: Shell) -> float:
    """Return how stiff the back is from rail to rail, with its battens, lb in2; the least for any grain."""
    shop, face = shell.packing.shop, shell.design.back
    rules = shop.mounting
    back, pull = shell.judged.back, shell.plan.pull
    ways: tuple[Literal["up", "across"], ...] = ("up", "across") if face.grain(shop) == "any" else (back.grain,)  # type: ignore[assignment]  # any is taken apart
    found = [carried(pull, back, grain, "up", rules.handling_factor, rules.duration_factor) for grain in ways]
    return min((each.ei for each in found if each is not None), default=0.0)


def lid_check(packing: Packing, lid: Face, grid: Grid | None, frame: Frame) -> Check:
    """Judge a lid between its battens or the frame, along its grain."""
    shop = packing.shop
    up, across, opening = frame.inside.height, frame.inside.width, 0
    seams: set[Way] = {"up" if s.runs == "x" else "level" for s in lid.pattern.seams}
    ribs: Ribs | None = None
    if grid is not None and grid.good is not None:
        runs = max(("x", "y"), key=lambda way: sum(b.rect.dx * b.rect.dy for b in grid.battens if b.runs == way))
        bands = {(b.rect.x, b.rect.x + b.rect.dx) if runs == "y" else (b.rect.y, b.rect.y + b.rect.dy)
                 for b in grid.battens if b.runs == runs}  # fmt: skip
        whole = frame.width if runs == "y" else frame.height
        opening = open_most(whole, frame.thickness, bands)
        way: Way = "up" if runs == "y" else "level"
        if (frame.height if runs == "y" else frame.width) <= longest_batten(grid.good, shop):
            lane = widest_lane([(a + z) // 2 for a, z in bands], (frame.thickness, whole - frame.thickness))
            wide = min(z - a for a, z in bands)
            panel = panel_of(shop, grid.good)
            ribs = Ribs(way, lane, wide, grid.good.least_thickness, panel, whole=way not in seams)
    judged = Back(panel_of(shop, lid.good), lid.good.least_thickness, lid.grain(shop), ribs, frozenset(seams))
    rules = (shop.mounting.lid_factor, shop.mounting.duration_factor)
    kg_m2 = density_of(shop, lid.good) * lid.good.thickness / (1000 * MM)
    if grid is not None and grid.good is not None:
        part = sum(b.rect.dx * b.rect.dy for b in grid.battens) / (frame.width * frame.height)
        kg_m2 += part * density_of(shop, grid.good) * grid.good.thickness / (1000 * MM)
    return check_lid(judged, (up, across, opening), kg_m2, rules, packing.units)


def border(placed: Sequence[Placed], shell: Shell, country: str) -> tuple[Check, bool]:
    """Return what ISPM 15 asks of these parts, and whether any is raw wood."""
    shop = shell.packing.shop
    parts: dict[str, Part | StickPart] = {part.name: part for part in shell.bench.parts}
    parts |= {stick.name: stick for stick in shell.bench.sticks}
    members = [
        WoodMember(p.part, min(p.box.dx, p.box.dy, p.box.dz), good.raw_wood)
        for p in placed
        if is_wood(shop, good := shop.good(parts[p.part].good))
    ]
    found = treatment(members, shop.studio.country, country, shop.ispm)
    return found.check, any(member.raw for member in members)


def passages(outside: Size, gross_kg: float, shop: Shop, units: UnitSystem) -> list[Check]:
    """Check the studio's own door and van, and what else the shop's rules name."""
    load = PassingLoad(outside.width, outside.height, outside.depth, gross_kg)
    return [check_passage(load, limit, units) for limit in shop.passage.limits()]


def _air(shell: Shell, hung: Hung, box: Box) -> Layer:
    """Say that nothing lies against the face."""
    lid = shell.back_inside + shell.frame.strip
    free = format_length(shell.packing.shop.whole(lid - box.z - box.dz), shell.packing.units, mark=True)
    return Layer(hung.artwork.piece, "air", f"nothing touches the face: {free} of air before it")


def _warnings(geared: Geared, checks: Sequence[Check], gross_kg: float) -> tuple[str, ...]:
    """Say in words what a person must know before building."""
    shell, outfit = geared.shell, geared.outfit
    units = shell.packing.units
    out = [f"{hung.artwork.piece}: {note}" for hung in shell.load.hung for note in hung.weight.notes(units)]
    out += [
        f"{hung.artwork.piece}: where its own cleats lie the order does not say: they are taken to be as deep as the "
        "shop's rule asks of wood, and a second set goes beside them; say cleated 3/4 thick, 3 wide, 2 up, 2 down, "
        "measured on the piece, and the screws go into its own"
        for hung in shell.load.hung
        if hung.artwork.back.kind == "cleated" and not own_cleats(hung.artwork)
    ]
    out += [check.sentence() for check in checks if check.verdict == "fails"]
    out += outfit_warnings(geared.site, outfit, gross_kg)
    limit = shell.packing.shop.case.skid_from_lb
    if table_pounds(gross_kg) > limit and outfit.skids is None and not outfit.straps:
        said = format_weight(limit * KG_PER_LB, units, mark=True)
        out.append(f"over {said} and without skids: strap it upright to a pallet or a dolly, never drag it on its edge")
    return tuple(out)

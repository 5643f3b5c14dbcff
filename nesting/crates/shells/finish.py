"""Finishing a shell: weight, lifting, checks, warnings and the numbered steps, gathered into the crate."""

from collections.abc import Sequence
from dataclasses import replace

from nesting.advice.check import KG_PER_LB, Check, inform, table_pounds
from nesting.advice.cushion import check_uncushioned
from nesting.advice.forks import check_tipping
from nesting.advice.ispm import WoodMember, treatment
from nesting.advice.lifting import check_lifting, lift_of_crate, team_for
from nesting.advice.mounting import check_mounting
from nesting.advice.passage import Load as PassingLoad
from nesting.advice.passage import check_passage
from nesting.advice.scope import check_scope
from nesting.base.measure import MM, UnitSystem, format_length, format_weight
from nesting.crates.load import Hung
from nesting.crates.model import Box, Crate, Layer, Placed, Size, Work
from nesting.crates.shells.battens import Grid
from nesting.crates.shells.faces import Face
from nesting.crates.shells.mounting import mounting_case, piece_case
from nesting.crates.shells.shell import Shell, piece_box
from nesting.crates.shells.shell_steps import Told, steps_for
from nesting.crates.traits import Method
from nesting.crates.weigh import weigh
from nesting.shop.needs import PART, is_wood, refuse_unfit
from nesting.shop.shop import Shop
from nesting.shop.surfaces import earliest_packing

_M2 = (1000 * MM) ** 2


def finish(shell: Shell, method: Method, back: Face, bending: Check, *, grids: Sequence[Grid] = ()) -> Crate:
    """Weigh the shell, judge it and write down how it is built."""
    packing, bench, frame = shell.packing, shell.bench, shell.frame
    shop, units = packing.shop, packing.units
    refuse_unfit(shop, ((part.good, PART) for part in bench.parts))
    outside = Box(0, 0, 0, frame.width, frame.height, shell.z)
    bench.use(shop.joinery.glue, max(1, round(shop.joinery.glue_g_m2 * shell.glued / _M2)))
    boxes = [(hung, piece_box(shell, hung)) for hung in shell.load.hung]

    def weighing() -> tuple[float, float, float, tuple[int, int, int]]:
        w = weigh(
            parts=bench.parts,
            piecework=bench.piecework,
            placed=bench.placed,
            pieces=[(hung.weight, box) for hung, box in boxes],
            outside=outside,
            shop=shop,
        )
        return w.net_kg, w.tare_kg, w.spread_kg, w.centre

    net, tare, _, _ = weighing()
    handles = shell.handles(net + tare)
    net, tare, spread, centre = weighing()
    gross = round(round(net, 1) + round(tare, 1), 1)
    longest = max(frame.width, frame.height)
    ispm, raw = border(bench.placed, shell, packing.country)
    earliest, rests = earliest_packing(packing.pieces, shop, touches_face=method.touches_face)
    lift = lift_of_crate(frame.height, shell.z, shop.lifting, handles=handles > 0)
    checks = (
        *_mounting_checks(shell),
        bending,
        _lid_edges(),
        check_uncushioned(method.one),
        check_lifting(gross, longest, lift, shop.lifting, units),
        ispm,
        check_scope(net, longest, units),
        check_tipping(shell.z, frame.height, centre[1], shop.forks, units, outriggers=False),
        *passages(Size(frame.width, frame.height, shell.z), gross, shop, units),
    )
    screws = bench.screws()
    team = team_for(gross, longest, shop.lifting)
    told = Told(handles, centre[1], team, rests)
    return Crate(
        crate=packing.crate,
        method=method.name,
        reason=packing.reason,
        pieces=tuple(a.piece for a in packing.pieces),
        outside=Size(frame.width, frame.height, shell.z),
        inside=frame.inside,
        net_kg=net,
        tare_kg=tare,
        destination=packing.destination,
        spread_kg=spread,
        centre=centre,
        parts=bench.parts,
        piecework=bench.piecework,
        placed=tuple(bench.placed),
        pieces_placed=tuple((hung.artwork.piece, box) for hung, box in boxes),
        drill=tuple(shell.drill),
        cleat_drill=tuple(drill for m in shell.mounted for drill in m.piece_drill),
        fixings=bench.fixings,
        steps=steps_for(shell, back, grids, told),
        checks=checks,
        warnings=(*_warnings(shell, checks, bending, gross), *rests),
        marks=("fragile", "this way up", "keep dry"),
        layers=tuple(_air(shell, hung, box) for hung, box in boxes),
        earliest_packing=earliest,
        lift=team,
        raw_wood=raw,
        work=Work(holes=screws, screws=screws, glue_runs=shell.glue_runs, mountings=len(packing.pieces), assemblies=1),
    )


def _mounting_checks(shell: Shell) -> list[Check]:
    """Judge the mounting screws of every piece; in a set, each check names its piece."""
    made: list[Check] = []
    if shell.screw is None:
        return made
    shop, units = shell.packing.shop, shell.packing.units
    for m in shell.mounted:
        own = f", {m.hung.artwork.piece}" if len(shell.mounted) > 1 else ""
        case = mounting_case(m.hung.weight.kg, shell.screw, shell.held, shop)
        checks = check_mounting(case, len(m.drill), shop.mounting, units)
        made += [replace(check, name=f"{check.name}{own}") for check in checks]
        into = piece_case(m.hung, m.piece_screw, shop)
        pulled, _, _ = check_mounting(into, len(m.piece_drill), shop.mounting, units)
        note = f"{pulled.note}; the piece's wood is taken to be as weak as {into.into.name}"
        made.append(replace(pulled, name=f"screws into the piece, withdrawal{own}", note=note, structure=False))
    return made


def border(placed: Sequence[Placed], shell: Shell, country: str) -> tuple[Check, bool]:
    """Return what ISPM 15 asks of these parts, and whether any is raw wood."""
    shop = shell.packing.shop
    parts = {part.name: part for part in shell.bench.parts}
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


_REMEDY = "; this back does not hold: one crate for each piece, a lighter piece, larger sheets, or a designed back"


def _lid_edges() -> Check:
    return inform(
        "lid screws, withdrawal",
        "screws into plywood edges count nothing in withdrawal: the lid carries nothing, the piece hangs on the back",
        source="house rule after NDS, which forbids withdrawal from end grain",
        limits="lid and frame only",
    )


def _air(shell: Shell, hung: Hung, box: Box) -> Layer:
    """Say that nothing lies against the face."""
    lid = shell.back_inside + shell.frame.strip
    free = format_length(lid - box.z - box.dz, shell.packing.units, mark=True)
    return Layer(hung.artwork.piece, "air", f"nothing touches the face: {free} of air before it")


def _warnings(shell: Shell, checks: Sequence[Check], bending: Check, gross_kg: float) -> tuple[str, ...]:
    """Say in words what a person must know before building."""
    units = shell.packing.units
    out = [f"{hung.artwork.piece}: {note}" for hung in shell.load.hung for note in hung.weight.notes(units)]
    out += [
        f"{hung.artwork.piece}: its own cleats are taken to be as deep as the shop's rule asks of wood; measure them"
        for hung in shell.load.hung
        if hung.artwork.back.kind == "cleated"
    ]
    out += [check.sentence() + (_REMEDY if check is bending else "") for check in checks if check.verdict == "fails"]
    limit = shell.packing.shop.case.skid_from_lb
    if table_pounds(gross_kg) > limit:
        said = format_weight(limit * KG_PER_LB, units, mark=True)
        out.append(f"over {said} and without skids: strap it upright to a pallet or a dolly, never drag it on its edge")
    return tuple(out)

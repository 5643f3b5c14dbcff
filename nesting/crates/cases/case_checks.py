"""Checks of an outer case: cushion, opening face, lifting, forks, standing, border, scope, doors."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Final

from nesting.advice.case_handles import check_handles
from nesting.advice.check import Check, compare
from nesting.advice.cushion import FACES, Cushioned, check_cushion
from nesting.advice.forks import check_forks, check_tipping
from nesting.advice.ispm import WoodMember, treatment
from nesting.advice.lifting import check_lifting, lift_of_crate, team_for
from nesting.advice.scope import check_scope
from nesting.advice.shock import Tall, check_toppled
from nesting.advice.tipping import check_standing, half_for
from nesting.base.measure import format_length
from nesting.crates.bench import Axis
from nesting.crates.cases.case import Case
from nesting.crates.cases.handles import gripped
from nesting.crates.cases.pads import least_pad
from nesting.crates.cases.upright import Upright
from nesting.crates.model import Placed
from nesting.crates.shells.finish import passages
from nesting.crates.weigh import Weighing
from nesting.cutting.parts import Part, StickPart
from nesting.shop.needs import foam_of, is_wood
from nesting.shop.shop import Shop

_WAYS: Final[Mapping[str, Axis]] = {"ends": "x", "base and top": "y", FACES: "z"}
"""What lands on which foam, with the axis that it lies across."""
_DOOR = "screws of the opening face, withdrawal"


def wooden(case: Case) -> list[WoodMember]:
    """List every wooden part of the case and of what rides in it, for the border."""
    shop = case.shop
    found: list[WoodMember] = []
    for placed, goods in (
        (case.bench.placed, _goods(case.bench.parts, case.bench.sticks)),
        *((frame.placed, _goods(frame.parts, frame.sticks)) for frame in case.casing.frames),
    ):
        found += [_member(each, shop, goods) for each in placed if is_wood(shop, shop.good(goods[each.part]))]
    return found


def case_checks(
    case: Case, weighing: Weighing, gross: float, members: Sequence[WoodMember], found: Upright
) -> tuple[Check, ...]:
    """Hold the case against cushion, lifting, forks, standing, border, scope and doors."""
    shop, units, outside = case.shop, case.casing.units, case.outside
    border = treatment(members, shop.studio.country, case.casing.country, shop.ispm)
    longest = max(outside.width, outside.height, outside.depth)
    pad = least_pad(case.cushion, shop)
    foam = foam_of(shop, shop.good(shop.case.cushion_good))
    cushioned = Cushioned(
        gross,
        case.contents,
        case.longest,
        case.cushion,
        tuple(case.foam.areas),
        foam,
        pad,
        case.limit,
        case.casing.carriage,
        shop.case.cushion,
        tuple(zip(_WAYS, (bed.foam for bed in case.sizes.beds), strict=True)),
        tuple((way, case.foam.smallest[axis]) for way, axis in _WAYS.items()),
    )
    lift = lift_of_crate(outside.height, outside.depth, shop.lifting, handles=case.handled)
    return (
        *check_cushion(cushioned, shop.cushion, units),
        check_toppled(
            cushioned, Tall(outside.height, shop.gear.rigid_give, topples=not found.stands), shop.cushion, units
        ),
        _check_door(case).in_system(units),
        check_lifting(gross, longest, lift, shop.lifting, units),
        *_check_handles(case, gross),
        *(check_forks(case.skids.height, clear_between(case), shop.forks, units) if case.skids else ()),
        _check_standing(case, weighing, found),
        border.check,
        check_scope(weighing.net_kg, longest, units),
        # Outriggers come off for a door.
        *passages(case.carried, gross, shop, units),
    )


def clear_between(case: Case) -> int:
    """Return the room between the skids, less outriggers where they stand on the inner sides."""
    skids = case.skids
    if skids is None:
        return 0
    thick = skids.section.thick
    return skids.clear - (2 * thick if skids.over and skids.starts[0] < thick else 0)


def _check_handles(case: Case, gross: float) -> tuple[Check, ...]:
    """Hold handles and what holds them against what each must bear; nothing where it has none."""
    if case.handles is None:
        return ()
    shop, units = case.shop, case.casing.units
    longest = max(case.outside.width, case.outside.height, case.outside.depth)
    held = gripped(case.handles, gross, team_for(gross, longest, shop.lifting), case.section.good)
    check = check_handles(held, units, may_fail=shop.gear.handles == "bolted")
    mend = "handles that are rated for more, or skids from a lower weight (case.skid_from_lb)"
    return (replace(check, would_pass=mend) if check.verdict == "fails" else check,)


def _check_standing(case: Case, weighing: Weighing, found: Upright) -> Check:
    """Judge whether it stands: by the tilt that the shop asks for, or, where it asks for none, by its base."""
    shop, units, height = case.shop, case.casing.units, max(1, weighing.centre[1])
    skids = case.skids
    if not shop.gear.standing:
        base = min(case.outside.depth, case.body.width)
        outriggers = skids is not None and skids.over > 0
        return check_tipping(base, case.outside.height, height, shop.forks, units, outriggers=outriggers)
    up = format_length(height, units, 2, mark=True)
    note = f"centre of gravity {up} up"
    if found.on:
        note += f"; falls at {found.own:.0f} degrees by itself: never let it stand free, strap it to {found.on}"
    elif skids is not None and skids.over:
        note += f"; outriggers reach {format_length(skids.over, units, mark=True)} beyond it"
    wide = format_length(2 * half_for(shop.gear.tilt, height + shop.gear.pallet_high), units, 1, mark=True)
    mend = f"a base {wide} wide and deep under its pallet, a piece that may travel on its side, or more frames in it"
    return check_standing(shop.gear.tilt, found.angle, note, mend)


def _check_door(case: Case) -> Check:
    """Hold the screws of the opening face against what would lean on it if the case fell on that side."""
    shop = case.shop
    factor = shop.mounting.handling_factor
    return compare(
        _DOOR,
        case.door_load,
        case.door_bears,
        "lbf",
        formula="n [[2850|19.65]] G^2 D L",
        source="AWC, National Design Specification (NDS), Eq. 12.2-2",
        limits="side grain, dry wood; the case on the side that opens, all its frames against it",
        note=f"{case.door} screws; frames and pieces x handling factor {factor:g}; else two straps go round the case",
        worst="watch",
        worked=(
            "{} lbf against {} x {} lbf = {} lbf",
            case.door_load,
            case.door,
            case.door_bears / max(1, case.door),
            case.door_bears,
        ),
    )


def _goods(parts: Sequence[Part], sticks: Sequence[StickPart]) -> dict[str, str]:
    """Return the good of each part by its name."""
    return {part.name: part.good for part in parts} | {stick.name: stick.good for stick in sticks}


def _member(placed: Placed, shop: Shop, goods: dict[str, str]) -> WoodMember:
    """Return a placed part as the border sees it."""
    box = placed.box
    return WoodMember(placed.part, min(box.dx, box.dy, box.dz), shop.good(goods[placed.part]).raw_wood)

"""Checks of an outer case: cushion, opening face, lifting, forks, standing, border, scope, doors."""

from collections.abc import Sequence

from nesting.advice.check import Check, compare
from nesting.advice.cushion import Cushioned, check_cushion
from nesting.advice.forks import check_forks, check_tipping
from nesting.advice.ispm import WoodMember, treatment
from nesting.advice.lifting import check_lifting, lift_of_crate
from nesting.advice.scope import check_scope
from nesting.crates.cases.case import Case
from nesting.crates.cases.case_shell import door_pull, leaning_lbf
from nesting.crates.cases.pads import least_pad
from nesting.crates.model import Placed, Size
from nesting.crates.shells.finish import passages
from nesting.crates.weigh import Weighing
from nesting.cutting.parts import Part, StickPart
from nesting.shop.needs import foam_of, is_wood
from nesting.shop.shop import Shop

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


def case_checks(case: Case, weighing: Weighing, gross: float, members: Sequence[WoodMember]) -> tuple[Check, ...]:
    """Hold the case against cushion, lifting, forks, standing, border, scope and doors."""
    shop, units, outside, body = case.shop, case.casing.units, case.outside, case.body
    border = treatment(members, shop.studio.country, case.casing.country, shop.ispm)
    longest = max(outside.width, outside.height, outside.depth)
    pad = least_pad(case.cushion, shop)
    foam = foam_of(shop, shop.good(shop.case.cushion_good))
    cushioned = Cushioned(
        gross, case.contents, case.longest, case.cushion, tuple(case.foam.areas), foam, pad, case.limit
    )
    lift = lift_of_crate(outside.height, outside.depth, shop.lifting, handles=case.skids is None)
    base = min(outside.depth, body.width)
    return (
        *check_cushion(cushioned, shop.cushion, units),
        _check_door(case).in_system(units),
        check_lifting(gross, longest, lift, shop.lifting, units),
        *(check_forks(case.skids.height, case.skids.clear, shop.forks, units) if case.skids else ()),
        check_tipping(
            base,
            outside.height,
            max(1, weighing.centre[1]),
            shop.forks,
            units,
            outriggers=case.skids is not None and case.skids.over > 0,
        ),
        border.check,
        check_scope(weighing.net_kg, longest, units),
        # Outriggers come off for a door.
        *passages(Size(body.width, outside.height, body.depth), gross, shop, units),
    )


def _check_door(case: Case) -> Check:
    """Hold the screws of the opening face against what would lean on it if the case fell on that side."""
    shop = case.shop
    factor = shop.mounting.handling_factor
    return compare(
        _DOOR,
        leaning_lbf(case.contents, shop),
        case.door * door_pull(case.section.good, shop),
        "lbf",
        formula="n 2850 G^2 D L",
        source="AWC, National Design Specification (NDS), Eq. 12.2-2",
        limits="side grain, dry wood; the case on the side that opens, all its frames against it",
        note=f"{case.door} screws; frames and pieces x handling factor {factor:g}; else strap the case round",
        worst="watch",
    )


def door_holds(checks: Sequence[Check]) -> bool:
    """Whether the screws of the opening face hold what would lean on it; else the case has to be strapped round."""
    return all(check.ratio is None or check.ratio <= 1 for check in checks if check.name == _DOOR)


def _goods(parts: Sequence[Part], sticks: Sequence[StickPart]) -> dict[str, str]:
    """Return the good of each part by its name."""
    return {part.name: part.good for part in parts} | {stick.name: stick.good for stick in sticks}


def _member(placed: Placed, shop: Shop, goods: dict[str, str]) -> WoodMember:
    """Return a placed part as the border sees it."""
    box = placed.box
    return WoodMember(placed.part, min(box.dx, box.dy, box.dz), shop.good(goods[placed.part]).raw_wood)

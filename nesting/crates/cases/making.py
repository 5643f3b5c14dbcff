"""Making a case: with handles while it is light, on skids where it is heavy."""

from dataclasses import replace

from nesting.advice.check import table_pounds
from nesting.crates.cases.case import Case
from nesting.crates.gear.skids import plan_skids
from nesting.crates.traits import Casing
from nesting.crates.weigh import Weighing


def made(casing: Casing) -> tuple[Case, Weighing]:
    """Put a case on the bench, all but its straps, and weigh it.

    Raises
    ------
    Refused
        Where a face cannot be made of the stocked sheets.
    """
    case = Case(casing, skids=None)
    weighing = case.build()
    if not _heavy(weighing, casing):
        weighing = case.grip(weighing)
    if _heavy(weighing, casing):
        return _skidded(case, weighing)
    return case, weighing


def _heavy(weighing: Weighing, casing: Casing) -> bool:
    """Whether a case of that weight stands on skids."""
    return table_pounds(weighing.net_kg + weighing.tare_kg) >= casing.shop.case.skid_from_lb


def _skidded(plain: Case, weighing: Weighing) -> tuple[Case, Weighing]:
    """Return the case on skids, as far apart and with outriggers as long as it takes to let it stand.

    Both go by the centre of gravity, worked out from the case without skids; where that falls short by a little, it is
    made once more. What no outrigger can hold gets none.
    """
    casing, size = plain.casing, plain.body
    skids = plan_skids(
        size.width, size.height, size.depth, casing.shop, laminated=casing.shop.laminates(casing.country)
    )
    if not casing.shop.gear.standing:
        case = Case(casing, skids, sizes=plain.sizes)
        return case, case.build()
    apart = plain.braced(replace(skids, over=0), weighing)
    case = Case(casing, apart, outward=apart.clear != skids.clear, sizes=plain.sizes)
    weighing = case.build()
    if case.skids is not None and (more := case.lacking(weighing)):
        case = Case(casing, replace(case.skids, over=more), outward=True, sizes=plain.sizes)
        weighing = case.build()
    return case, weighing

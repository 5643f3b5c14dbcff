"""Outer case: strand board on lumber, foam on all six sides, and travel frames standing in it like books.

From outside in: strand board, lumber flat along all twelve edges, foam on all sides, then the frames upright as the
pieces hang, side by side with spacers between. One narrow end or the front opens. A heavy case stands on two skids.
"""

from collections.abc import Sequence
from typing import Final

from nesting.advice.check import Check
from nesting.advice.forks import needs_outriggers
from nesting.advice.lifting import team_for
from nesting.base.measure import format_length
from nesting.crates.cases.bolting import bolted
from nesting.crates.cases.case import Case
from nesting.crates.cases.case_checks import case_checks, wooden
from nesting.crates.cases.case_steps import case_steps
from nesting.crates.cases.case_texts import TEXTS, TEXTS_OF_ONE
from nesting.crates.cases.making import made
from nesting.crates.cases.upright import Upright
from nesting.crates.handling import CRATE_MARKS
from nesting.crates.model import Crate, Size
from nesting.crates.opening import case_face_off
from nesting.crates.traits import Casing, Method
from nesting.crates.weigh import Weighing


def outer(casing: Casing, /) -> Crate:
    """Make an outer case round travel frames.

    Raises
    ------
    Refused
        Where a face cannot be made of the stocked sheets.
    ValueError
        Without frames, or with more of them than the shop's rule allows: the grouping sees to that.
    """
    most = casing.shop.method.case_most
    if not 1 <= len(casing.frames) <= most or len(casing.frames) != len(casing.artworks):
        raise ValueError(
            f"case {casing.crate}: {len(casing.frames)} frames of {len(casing.artworks)} pieces, 1 to {most}"
        )
    case, weighing = made(casing)
    found = case.stand(weighing)
    return _crate(case, case.weigh(), found)


def _crate(case: Case, weighing: Weighing, found: Upright) -> Crate:
    """Describe the case."""
    casing, shop, bench = case.casing, case.shop, case.bench
    outside = case.outside
    gross = round(round(weighing.net_kg, 1) + round(weighing.tare_kg, 1), 1)
    longest = max(outside.width, outside.height, outside.depth)
    members = wooden(case)
    checks = case_checks(case, weighing, gross, members, found)
    packed = [frame.earliest_packing for frame in casing.frames if frame.earliest_packing is not None]
    empty = weighing.tare_kg - sum(frame.tare_kg for frame in casing.frames)
    return Crate(
        crate=casing.crate,
        method=OUTER.name,
        reason=casing.reason,
        pieces=tuple(piece for frame in casing.frames for piece in frame.pieces),
        outside=outside,
        inside=Size(case.room.width, case.room.height, case.room.depth),
        net_kg=weighing.net_kg,
        tare_kg=weighing.tare_kg,
        destination=casing.destination,
        spread_kg=weighing.spread_kg,
        centre=weighing.centre,
        parts=bench.parts,
        sticks=bench.sticks,
        piecework=bench.piecework,
        placed=tuple(bench.placed),
        pieces_placed=tuple(case.pieces()),
        rides=tuple((ride.crate, ride.box) for ride in case.rides),
        fixings=bench.fixings,
        steps=case_steps(case, max(0.0, empty), found),
        checks=checks,
        warnings=_warnings(case, checks, found),
        marks=CRATE_MARKS,
        lift=team_for(gross, longest, shop.lifting),
        raw_wood=any(member.raw for member in members),
        earliest_packing=max(packed, key=lambda when: when.timestamp(), default=None),
        work=case.work,
        gear=tuple(bench.fittings),
        bolts=tuple(bench.bolts),
        body=case.body if outside != case.body else None,
        stands=found.stands,
    )


def _warnings(case: Case, checks: Sequence[Check], found: Upright) -> tuple[str, ...]:
    """Say what to mind, and what is left to people."""
    gear = case.shop.gear
    said = [check.sentence() for check in checks if check.verdict == "fails"]
    if found.on:
        said.append(
            f"it falls when tilted {found.own:.0f} degrees: two people hold it until it is strapped to {found.on}; "
            f"strapped so it is {format_length(gear.pallet_high, case.casing.units, mark=True)} higher"
        )
    if not gear.standing and needs_outriggers(case.outside.depth, case.outside.height, case.shop.forks):
        said.append(
            "narrow for its height: it falls over easily, and what keeps it upright is left to those who move it; "
            "strap it to what stands"
        )
    if case.runners is not None and not bolted(case.runners.spots):
        said.append("no carriage bolt in stock fits: its skids are held by screws; look at them before each lift")
    if case.skids is None and not case.handled and gear.handles == "none":
        said.append("it has no handles: where hands go is left to those who lift it")
    if case.handles is not None and case.handles.bolt is None:
        said.append("its handles are screwed, not bolted: try each with a pull before the case is lifted")
    return tuple(said)


OUTER: Final = Method(
    "outer", "outer case", "outer cases", TEXTS,
    encase=outer,
    texts_of_one=TEXTS_OF_ONE,
    included=("outer case for travel frames", "outer cases for travel frames"),
    whole="case, skids and outriggers included",
    protection=2,
    opens=case_face_off,
    trips="travel_trips",
)  # fmt: skip

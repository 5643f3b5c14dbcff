"""Travel frame: the crate's frame, open, with slats behind and before the piece, which hangs on French cleats.

From the back: slats, one behind each pair of cleats; the frame's strips; the piece on its cleats, a finger's width of
air before its face; slats; film stapled over all of it. Nothing touches the face. The half of each French cleat that
stays on the buyer's wall travels screwed to its slat, so the piece hangs in its frame as it will hang on the wall, and
screws through the slat into the other half keep it from jumping off.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from nesting.advice.check import Check, compare
from nesting.advice.lifting import check_lifting, lift_of_crate, team_for
from nesting.advice.mounting import check_mounting, check_mounting_by_en
from nesting.crates.model import Box, Crate, Drill, Layer, Work
from nesting.crates.opening import front_slats_off
from nesting.crates.shells.mounting import mounting_case, mounting_stop, piece_case, piece_stop, pilot_text
from nesting.crates.shells.plan import check_own, own_of
from nesting.crates.traits import Gathering, Method, Packing, Refused, reason
from nesting.crates.travel.travel_frame import TravelFrame
from nesting.crates.travel.travel_steps import travel_steps
from nesting.crates.travel.travel_texts import TEXTS
from nesting.crates.weigh import weigh
from nesting.cutting.parts import RollPart
from nesting.shop.goods import Good
from nesting.shop.needs import thread_in
from nesting.shop.supports import wood_behind
from nesting.shop.surfaces import earliest_packing


def travel(packing: Packing) -> Crate:
    """Make the travel frame of one piece.

    Raises
    ------
    Refused
        For more than one piece (a set shares an outer case, not a frame), a piece too low for two pairs of cleats, or
        one without wood behind its face.
    RulesClash
        Where the shop's rules leave less room before the face than they ask for.
    """
    if len(packing.pieces) > 1:
        raise Refused(
            *(
                reason(each, "method", "several pieces in one travel frame", "one piece a frame; frames share a case")
                for each in packing.pieces
            )
        )
    made = TravelFrame(packing)
    made.build()
    return _crate(made)


def _crate(made: TravelFrame) -> Crate:
    """Weigh the frame and describe it."""
    shop, bench, frame, outside, place = made.shop, made.bench, made.frame, made.outside, made.place
    film = shop.good(shop.wrap.film_good)
    sheet = made.cover.sheet
    rolls = (RollPart(f"{made.packing.crate}.film", sheet.around, sheet.along, film.good, lap=shop.wrap.roll_lap),)
    # Both halves of a French cleat are placed, so each blank counts twice on the scales, each half by its profile.
    halves = {placed.part for placed in bench.placed if placed.half}
    weighing = weigh(
        parts=[replace(part, count=2 * part.count) if part.name in halves else part for part in bench.parts],
        rolls=rolls,
        piecework=bench.piecework,
        placed=bench.placed,
        pieces=[(made.hung.weight, place)],
        outside=Box(0, 0, 0, outside.width, outside.height, outside.depth),
        shop=shop,
    )
    gross = weighing.net_kg + weighing.tare_kg
    longest = max(outside.width, outside.height)
    lift = lift_of_crate(outside.height, outside.depth, shop.lifting, handles=False)
    when, cured = earliest_packing(made.packing.pieces, shop, touches_face=TRAVEL.touches_face)
    checks = (*_checks(made), check_lifting(gross, longest, lift, shop.lifting, made.units))
    screws = bench.screws()
    team = team_for(gross, longest, shop.lifting)
    return Crate(
        crate=made.packing.crate,
        method=TRAVEL.name,
        reason=made.packing.reason,
        pieces=(made.piece.piece,),
        outside=outside,
        inside=frame.inside,
        net_kg=weighing.net_kg,
        tare_kg=weighing.tare_kg,
        destination=made.packing.destination,
        spread_kg=weighing.spread_kg,
        centre=weighing.centre,
        parts=bench.parts,
        rolls=rolls,
        piecework=bench.piecework,
        placed=tuple(bench.placed),
        pieces_placed=((made.piece.piece, place),),
        for_buyer=_for_buyer(made),
        drill=_drill(made),
        cleat_drill=_cleat_drill(made),
        fixings=bench.fixings,
        layers=_layers(made, film),
        steps=travel_steps(made, cured, team),
        checks=checks,
        warnings=_warnings(made, checks),
        lift=team,
        earliest_packing=when,
        work=Work(
            holes=screws,
            screws=screws,
            staples=made.cover.staples,
            glue_runs=len(frame.members) + 2 * len(made.slats[0]),
            mountings=1,
            assemblies=1,
        ),
    )


def _cleat_drill(made: TravelFrame) -> tuple[Drill, ...]:
    """Return the screws through the halves into the piece, in the coordinates of the drill map."""
    piece, shop, units = made.piece, made.shop, made.units
    pilot, stop = pilot_text(made.fix.good, units, wood_behind(piece, shop)), piece_stop(made.fix, shop, units)
    return tuple(
        Drill(made.frame.width - x, y, piece.piece, made.fix.short, pilot, made.fix.margin, stop)
        for rows in made.rows
        for x, y in rows.into_piece
    )


def _drill(made: TravelFrame) -> tuple[Drill, ...]:
    """Return the screws through the back slats, seen from outside: left and right change places."""
    wide = made.frame.width
    pilot = pilot_text(made.mount.good, made.units, thread_in(made.shop, made.cleat))
    stop = mounting_stop([made.slat], made.shop, made.units)
    points = []
    for rows in made.rows:
        blanks = sorted(
            {(p.box.x, p.box.x + p.box.dx, p.part) for p in made.bench.placed if p.half and p.box.y == rows.pair.y}
        )
        for y, xs in ((rows.pair.piece_line, rows.removal), (rows.pair.hanging_line, rows.hanging)):
            for x in xs:
                into = next(part for low, high, part in blanks if low <= x <= high)
                points.append(Drill(wide - x, y, into, made.mount.short, pilot, made.mount.margin, stop))
    return tuple(points)


def _for_buyer(made: TravelFrame) -> tuple[str, ...]:
    """List what hangs the piece on the buyer's wall."""
    told = []
    for rows in made.rows:
        for _, length in rows.pair.runs:
            told.append(
                f"{made.piece.piece}: buyer's half of a French cleat, {made.mark(length)} long, "
                f"{made.mark(rows.pair.width)} wide, {made.cleat.title}; wall screws to suit the wall"
            )
    return tuple(told)


def _layers(made: TravelFrame, film: Good) -> tuple[Layer, ...]:
    """Say what lies round the piece; nothing touches its face."""
    clear = made.mark(made.shop.whole(made.air))
    return (
        Layer(made.piece.piece, "air", f"nothing touches the face: {clear} of air before it"),
        Layer(made.piece.piece, film.good, f"{film.title}, over slats and frame, stapled at the edges only"),
    )


def _warnings(made: TravelFrame, checks: Sequence[Check]) -> tuple[str, ...]:
    """Say what to mind."""
    name = made.piece.piece
    said = [f"{name}: {note}" for note in made.hung.weight.notes(made.units)]
    if made.piece.back.kind == "cleated":
        said.append(
            f"{name}: its own cleats are taken to be at least as deep as the shop's rule for wood; measure them"
        )
    said += [check.sentence() for check in checks if check.verdict == "fails"]
    return tuple(said)


def _checks(made: TravelFrame) -> tuple[Check, ...]:
    """Hold the removal screws and the slats against the hung piece."""
    shop, kg = made.shop, made.load.kg
    count = sum(len(rows.removal) for rows in made.rows)
    case = mounting_case(kg, made.mount, [made.slat], shop)
    pulled, pulled_through, lateral = check_mounting(case, count, shop.mounting, made.units)
    held = sum(len(rows.into_piece) for rows in made.rows)
    own, _, _ = check_mounting(piece_case(made.hung, made.fix, shop), held, shop.mounting, made.units)
    factor = shop.mounting.handling_factor
    stress = made.slat_stress(made.rows[0].pair)
    # Nothing hangs on these screws sideways: the piece stands on the halves below it.
    carried = "the piece stands on the hanging halves of its French cleats, which carry it"
    if made.piece.turn:
        carried += "; where the frame travels on its side, only these screws carry it along the cleats"
    low, high = (rows.pair.piece_line for rows in made.rows)
    span = check_own(own_of(made.hung, low, high, made.packing), made.packing, tied=None, pads=made.pads > 0)
    return (
        pulled,
        pulled_through,
        *((span,) if span is not None else ()),
        replace(lateral, note=carried),
        *check_mounting_by_en(case, count, shop.mounting, made.units),
        replace(own, name="cleats to the piece, withdrawal"),
        compare(
            "back slat, bending",
            stress,
            made.bears.value,
            "psi",
            formula="load x a / 2 over b t^2 / 6, a from the stile to the end of the cleat",
            source=made.bears.source,
            limits="a piece stiffer than its slat, which bears at the ends of its cleats; grain along the slat; at "
            "the joint of a long slat, piece and cleats must be stiff enough",
            note=f"half the piece's weight x handling factor {factor:g} on each of two slats",
            structure=True,
            in_si="N/mm2",
        ).in_system(made.units),
    )


def spare(packing: Packing) -> str:
    """Say why a travel frame takes what no crate does: it hangs the piece in another way. One piece a frame."""
    return "" if len(packing.pieces) > 1 else "a travel frame takes it, in an outer case of its own"


TRAVEL: Final = Method(
    "travel", "travel frame", "travel frames", TEXTS, travel,
    protection=2,
    hangs=True,
    rides=True,
    opens=front_slats_off,
    trips="travel_trips",
    otherwise="battened",
    spare=spare,
    gathering=Gathering(
        "battened",
        "travel frames share an outer case",
        "one of the larger pieces of its destination, but no other frame shares its case: thin faces with battens",
    ),
)  # fmt: skip

"""Backs: whether a crate's back, with the battens on it, holds the piece that hangs on it.

The piece pulls away from the back when the crate comes down on its lid: its weight times the handling factor, F, on
the rows of cleats across its back. The back must bring F to the frame, and may take one of two ways.

- *Up*: rows load lanes that span from rail to rail. A lane is the strip that one batten serves, the batten and the
  panel under it; without battens all of the panel is one. The outer rows stand close to the rails, so F / 2 at each
  bends little: F x greatest_moment(low, high, span).
- *Level*: each row loads a strip along it from stile to stile, with the batten that lies under the row. The cleats
  stop short of the stiles by a gap, and a piece that keeps them straight bears at their ends.

Where more rows tie the piece to the back between its outer rows (or all along a level row), piece and back bend
together and share the moment F L / 8 of that length by their stiffness; of the piece's own, half is counted on, since
nobody measured it. A row of pads pushes and never pulls, so it ties nothing.

In a lane stiffnesses add, and the first part to reach its allowable stress limits it (:mod:`nesting.advice.sections`):
panel and batten are one section only where they are glued and no seam breaks the panel under them. The better of both
ways counts, since a back that holds one way holds; where the grain may run either way, the worse grain.

Statics of a beam on two supports; Timoshenko and Woinowsky-Krieger, *Theory of Plates and Shells* (1959), for the
strip that works with a level row (our derivation, in :func:`nesting.advice.bending.working_width`). Inches,
pounds-force and psi inside.
"""

from dataclasses import dataclass
from typing import Final, Literal

from nesting.advice.bending import Grain, greatest_moment, working_width
from nesting.advice.check import N_PER_LBF, Check, compare, figure, said, table_pounds
from nesting.advice.panels import Panel
from nesting.advice.sections import (
    ROLLING_SHEAR_PSI,
    Bent,
    Glued,
    Strip,
    acting_width,
    alone,
    glue_line_psi,
    glued,
    rolling_shear_psi,
    strip_factor,
    together,
)
from nesting.base.measure import UnitSystem, format_length, inches
from nesting.base.own_length import grain_of, near

Way = Literal["up", "level"]

LID: Final = "lid, bending"
"""Name of the check that does not depend on what is in the crate."""

PIECE_COUNTED: Final = 0.5
"""Part of the piece's own stiffness that is counted on where it takes load off the back: our own habit."""

_LIMITS: Final = (
    "dry panels without large holes; frame on all four sides; battens glued under clamps or cauls; the piece keeps its "
    "cleats straight"
)
_FORMULA: Final = (
    "sum(E I) x least of f / (E c); M = F a + b F L / 8, b = EI of the back / (EI of the back + 0.5 EI of the piece)"
)


@dataclass(frozen=True, slots=True)
class Pull:
    """How pieces pull on a back.

    Attributes
    ----------
    kg : float
        All of them.
    up, across : int
        Clear span of the back from rail to rail, and from stile to stile; exact grid.
    cleat : int
        Length of a row, as far as cleats cover it.
    low, high : int
        Centre line of the lower row above the lower rail, and of the upper row below the upper rail.
    between : int
        From the lower to the upper row of one piece, the longest of several.
    tied : bool
        Whether cleats tie the piece to the back between its outer rows.
    piece_up, piece_level : float
        Stiffness of the piece from its lower to its upper edge, and from side to side; lb in2.
    """

    kg: float
    up: int
    across: int
    cleat: int
    low: int
    high: int
    between: int = 0
    tied: bool = False
    piece_up: float = 0.0
    piece_level: float = 0.0

    def __post_init__(self) -> None:
        if self.kg < 0 or not 0 < self.cleat <= self.across:
            raise ValueError(f"what pulls has a weight and rows that fit between the stiles, not {self}")
        if self.low <= 0 or self.high <= 0 or self.low + self.high > self.up:
            raise ValueError(f"rows lie between the rails, the lower one below the upper one, not {self}")


@dataclass(frozen=True, slots=True)
class Ribs:
    """The battens on a back that carry, all one way.

    Attributes
    ----------
    way : {"up", "level"}
        Uprights, or one batten under each row.
    lane : int
        Widest strip that one upright serves; without meaning for level ones.
    width, thickness : int
        Section of one, at its least thickness.
    panel : Panel
        What they are ripped from, grain along.
    whole : bool
        Whether the panel runs on under them, no seam across.
    glued : bool
        Whether they are glued to it.
    """

    way: Way
    lane: int
    width: int
    thickness: int
    panel: Panel
    whole: bool = True
    glued: bool = True


@dataclass(frozen=True, slots=True)
class Back:
    """A back.

    Attributes
    ----------
    panel : Panel
        What it is of.
    thickness : int
        At its least.
    grain : {"up", "across", "any"}
        Which way its face grain runs.
    ribs : Ribs or None
        Battens that carry.
    seams : frozenset of {"up", "level"}
        Ways that a seam interrupts.
    """

    panel: Panel
    thickness: int
    grain: Grain = "any"
    ribs: Ribs | None = None
    seams: frozenset[Way] = frozenset()


@dataclass(frozen=True, slots=True)
class Carried:
    """How one way carries: the moment on its lane, what the lane bears, and what it is made of.

    Attributes
    ----------
    way : {"up", "level"}
        Which.
    moment, shear : float
        On the lane, lbf in and lbf.
    bent : Bent
        The lane.
    plate_in : float
        Width of panel in the lane; 0 where a seam interrupts it.
    section : Glued or None
        Batten and panel as one section, where they are.
    share : float
        Part of the piece's own moment that the back takes.
    ei : float
        Stiffness of all lanes together, lb in2.
    """

    way: Way
    moment: float
    shear: float
    bent: Bent
    plate_in: float
    section: Glued | None
    share: float
    ei: float

    @property
    def ratio(self) -> float:
        """Moment over what the lane bears."""
        return self.moment / self.bent.moment


def handled_lbf(kg: float, factor: float) -> float:
    """Return F: the weight times the handling factor, pounds-force."""
    return table_pounds(kg) * factor


def _plate(
    back: Back, grain: Literal["up", "across"], way: Way, duration: float, wide_in: float
) -> tuple[float, float]:
    """Return modulus and allowable stress of the panel for one way."""
    along = (grain == "up") == (way == "up")
    panel = back.panel
    psi = panel.along_psi if along else panel.across_psi
    return panel.along_e_psi if along else panel.across_e_psi, psi * duration * strip_factor(wide_in)


def _lane(
    back: Back, way: Way, lane: float, span: float, plate: tuple[float, float], duration: float
) -> tuple[Bent, float, Glued | None] | None:
    """Return how a lane bends, how much panel is in it, and its glued section; None where nothing carries that way."""
    e, psi = plate
    thick = inches(back.thickness)
    ribs = back.ribs if back.ribs is not None and back.ribs.way == way else None
    unbroken = way not in back.seams
    bare = alone(Strip(lane, thick, e, psi)) if unbroken else None
    if ribs is None:
        return None if bare is None else (bare, lane, None)
    wide = inches(ribs.width)
    rib = Strip(
        wide, inches(ribs.thickness), ribs.panel.along_e_psi, ribs.panel.along_psi * duration * strip_factor(wide)
    )
    if bare is None or not ribs.whole:
        return alone(rib), 0.0, None
    if not ribs.glued:
        both = together([alone(rib), bare])
        return (both, lane, None) if both.moment > bare.moment else (bare, lane, None)
    acts = acting_width(wide, lane, span, thick)
    section = glued(Strip(acts, thick, e, psi), rib)
    rest = [alone(Strip(lane - acts, thick, e, psi))] if lane > acts else []
    both = together([section.bent, *rest])
    # A narrow batten may reach its limit before the plain panel would; the panel still holds when it has given way.
    return (both, lane, section) if both.moment > bare.moment else (bare, lane, None)


def carried(
    pull: Pull, back: Back, grain: Literal["up", "across"], way: Way, factor: float, duration: float
) -> Carried | None:
    """Return how a back carries one way; None where nothing leads that way to the frame."""
    force = handled_lbf(pull.kg, factor)
    cleat, across, up = inches(pull.cleat), inches(pull.across), inches(pull.up)
    plate = _plate(back, grain, way, duration, across if way == "up" else up)
    if way == "up":
        rib = back.ribs if back.ribs is not None and back.ribs.way == "up" else None
        lane = min(inches(rib.lane), cleat) if rib else cleat
        lanes = cleat / lane
        span, tied, piece = up, pull.tied, pull.piece_up
        arm = greatest_moment(inches(pull.low), inches(pull.high), up)
        free = inches(pull.between)
        high = max((up - inches(pull.low) + inches(pull.high)), (up + inches(pull.low) - inches(pull.high))) / (2 * up)
    else:
        lanes, span, tied, piece = 2.0, across, True, pull.piece_level
        lane = (
            min(up / 2, working_width(across, back.panel)) if grain == "across" else min(up / 2, inches(pull.low) * 2)
        )
        gap = (across - cleat) / 2
        arm, free, high = greatest_moment(gap, gap, across), cleat, 0.5
    made = _lane(back, way, lane, span, plate, duration)
    if made is None:
        return None
    bent, plate_in, section = made
    share = bent.ei * lanes / (bent.ei * lanes + PIECE_COUNTED * piece) if tied else 0.0
    moment = (force * arm + share * force * free / 8) / lanes
    return Carried(way, moment, force * high / lanes, bent, plate_in, section, share, bent.ei * lanes)


def best(pull: Pull, back: Back, factor: float, duration: float) -> Carried | None:
    """Return the better way, for the worse of the grains that the panel may have; None where none leads to a frame."""
    grains: tuple[Literal["up", "across"], ...] = ("up", "across") if back.grain == "any" else (back.grain,)
    found = []
    for grain in grains:
        ways = [carried(pull, back, grain, way, factor, duration) for way in ("up", "level")]
        lead = [way for way in ways if way is not None]
        if not lead:
            return None
        found.append(min(lead, key=lambda each: each.ratio))
    return max(found, key=lambda each: each.ratio)


def _moments(asked: float, borne: float, units: UnitSystem) -> str:
    """Write a moment and what bears it."""
    factor, unit = (N_PER_LBF * 0.0254, "N m") if units == "metric" else (1.0, "lbf in")
    return f"{figure(asked * factor)} of {figure(borne * factor)} {unit}"


def _told(found: Carried, back: Back, units: UnitSystem) -> str:
    """Say what carries."""
    thick = format_length(back.thickness, units, 64, mark=True)
    said_ = f"{thick} {back.panel.name}, grain {back.grain}, "
    ribs = back.ribs if back.ribs is not None and back.ribs.way == found.way else None
    way = "from rail to rail" if found.way == "up" else "from stile to stile"
    if ribs is None:
        return f"{said_}alone {way}"
    wide, deep = (format_length(v, units, 64, mark=True) for v in (ribs.width, ribs.thickness))
    name = "uprights" if found.way == "up" else "crosspieces"
    how = (
        "glued, as one section"
        if found.section
        else "their stiffness added"
        if found.plate_in
        else "alone, over a seam"
    )
    return f"{said_}with {name} {wide} x {deep} {how}, {way}"


def check_back(pull: Pull, back: Back, factor: float, duration: float, units: UnitSystem = "inch") -> tuple[Check, ...]:
    """Check a back in bending, in rolling shear, and at its glue lines.

    Parameters
    ----------
    factor, duration : float
        Handling and duration factor, as in :class:`nesting.advice.mounting.MountingRules`.
    units : {"inch", "metric"}
        How figures and notes are written.
    """
    found = best(pull, back, factor, duration)
    force = handled_lbf(pull.kg, factor)
    if found is None:
        none = compare(
            "back, bending",
            force,
            0.0,
            "lbf",
            formula=_FORMULA,
            source=back.panel.source,
            limits=_LIMITS,
            note="seams break the panel both ways, and no batten in one piece is as long as the back",
            structure=True,
        )
        return (none.in_system(units),)
    capacity = force / found.ratio if found.ratio else 0.0
    tied = f"; b = {figure(found.share)}" if found.share else ""
    source = f"{back.panel.source}; EN 1995-1-1, section 9.1, and APA strip factor (from memory)"
    made = [
        compare(
            "back, bending",
            force,
            capacity or force + 1,
            "lbf",
            formula=_FORMULA,
            source=source,
            limits=_LIMITS,
            note=f"{_told(found, back, units)}: {_moments(found.moment, found.bent.moment, units)} on a lane "
            f"at {factor:g} times the weight and {duration:g} for its short time{tied}",
            structure=True,
            worked=(
                "{} lb[[| x 9.807]] x {} = {} lbf; on its lane {} lbf in against {} lbf in: ratio {}",
                table_pounds(pull.kg),
                factor,
                force,
                found.moment,
                found.bent.moment,
                found.ratio,
            ),
        )
    ]
    if found.plate_in:
        # All of the shear on the panel alone: battens are left out.
        stress = rolling_shear_psi(found.shear, found.plate_in, inches(back.thickness))
        made.append(
            compare(
                "back, rolling shear",
                stress,
                ROLLING_SHEAR_PSI * duration,
                "psi",
                formula="3 V / (2 b t)",
                source="[[53 psi|0.365 N/mm2]], Group 1, S-2, dry: a book on formwork, p. 137[[|; beside it EN "
                "12369-1, planar shear of OSB/3 (from memory): 1.0 N/mm2 x 0.7 / (1.2 x 1.5) = 0.39 N/mm2]]",
                limits="plywood; the panel alone takes it",
                note=f"{said(found.shear, 'lbf', units)} on {said(found.plate_in, 'in', units)} of it",
                structure=True,
                in_si="N/mm2",
                worked=(
                    "3 x {} lbf / (2 x {} in x {} in) = {} psi against {} psi x {}",
                    found.shear,
                    found.plate_in,
                    inches(back.thickness),
                    stress,
                    ROLLING_SHEAR_PSI,
                    duration,
                ),
            )
        )
    if found.section is not None and back.ribs is not None:
        ribs, part = back.ribs, found.section.ei / found.bent.ei
        across = back.grain != ("up" if found.way == "up" else "across")
        allowed = ROLLING_SHEAR_PSI * duration / (2 if across else 1)
        made.append(
            compare(
                "glue under the battens, shear",
                glue_line_psi(found.section, inches(ribs.width), found.shear * part),
                allowed,
                "psi",
                formula="V E A a / (E I b)",
                source="rolling shear [[53 psi|0.365 N/mm2]], halved across the grain of the ply beneath: APA, "
                "supplement on stressed-skin panels (from memory)",
                limits="a full glue line under clamps or cauls; screws alone give about a third of what glue gives",
                structure=True,
                in_si="N/mm2",
                worked=(
                    "{} lbf x {} lb in / ({} lb in2 x {} in) = {} psi against {} psi",
                    found.shear * part,
                    found.section.flow,
                    found.section.ei,
                    inches(ribs.width),
                    glue_line_psi(found.section, inches(ribs.width), found.shear * part),
                    allowed,
                ),
            )
        )
    return tuple(check.in_system(units) for check in made)


@dataclass(frozen=True, slots=True)
class Row:
    """A row of cleats between two uprights.

    Attributes
    ----------
    bay : int
        From upright to upright, exact grid.
    cleat_width, cleat_thickness : int
        The cleat, all its layers glued.
    crosspiece : tuple of (int, int)
        Width and thickness of the batten under the row; empty where there is none.
    panel, batten : Panel
        What they are of, grain along.
    """

    bay: int
    cleat_width: int
    cleat_thickness: int
    panel: Panel
    crosspiece: tuple[int, int] | tuple[()] = ()
    batten: Panel | None = None


def check_row(
    pull: Pull, back: Back, row: Row, factor: float, duration: float, units: UnitSystem = "inch"
) -> Check | None:
    """Check that a row brings its load to the uprights; None where the panel alone carries.

    The cleat, a crosspiece under it and half of half the piece's own stiffness bend together over the bay. Of the
    load, what the panel carries by itself never needs to get to an upright.
    """
    found = best(pull, back, factor, duration)
    if found is None or found.way != "up" or back.ribs is None or found.bent.ei <= 0:
        return None
    if found.section is None and found.plate_in:
        return None
    to_ribs = found.section.ei / found.bent.ei if found.section else 1.0
    bay = inches(row.bay)
    force = handled_lbf(pull.kg, factor) / 2 * to_ribs
    moment = force / inches(pull.cleat) * bay**2 / 8
    wide = inches(row.cleat_width)
    parts = [
        alone(
            Strip(
                wide,
                inches(row.cleat_thickness),
                row.panel.along_e_psi,
                row.panel.along_psi * duration * strip_factor(wide),
            )
        )
    ]
    if row.crosspiece and row.batten is not None:
        width, thick = (inches(v) for v in row.crosspiece)
        parts.append(
            alone(Strip(width, thick, row.batten.along_e_psi, row.batten.along_psi * duration * strip_factor(width)))
        )
    both = together(parts)
    taken = both.ei / (both.ei + PIECE_COUNTED * pull.piece_level / 2)
    ratio = moment * taken / both.moment
    return compare(
        "cleats between uprights, bending",
        force,
        force / ratio if ratio else force + 1,
        "lbf",
        formula="w s^2 / 8 x E I / (E I + 0.25 EI of the piece) over sum(E I) x least of f / (E c)",
        source=row.panel.source,
        limits=_LIMITS,
        note=f"uprights {format_length(near(row.bay, grain_of(units)), units, mark=True)} apart",
        structure=True,
        worked=(
            "{} lbf in x {} that the cleats take, against {} lbf in: ratio {}",
            moment,
            taken,
            both.moment,
            ratio,
        ),
    ).in_system(units)


def check_joint(pull: Pull, strip: int, factor: float, duration: float, units: UnitSystem = "inch") -> Check:
    """Check the glue between back and frame: half of the pull on each rail, along the cleats."""
    force = handled_lbf(pull.kg, factor)
    area = 2 * inches(pull.cleat) * inches(strip)
    return compare(
        "back to frame, glue",
        force / area,
        ROLLING_SHEAR_PSI * duration / 2,
        "psi",
        formula="F / (2 c t)",
        source="rolling shear [[53 psi|0.365 N/mm2]], halved along a rim: APA, supplement on stressed-skin "
        "panels (from memory)",
        limits="a full glue line; screws into plywood edges count nothing",
        note="half of the pull on each rail, as long as the cleats",
        structure=True,
        in_si="N/mm2",
        worked=(
            "{} lbf / (2 x {} in x {} in) = {} psi against {} psi x {} / 2",
            force,
            inches(pull.cleat),
            inches(strip),
            force / area,
            ROLLING_SHEAR_PSI,
            duration,
        ),
    ).in_system(units)


def check_lid(
    lid: Back, spans: tuple[int, int, int], kg_m2: float, rules: tuple[float, float], units: UnitSystem = "inch"
) -> Check:
    """Check that a lid bears its own weight times its factor.

    The panel alone from frame to frame, or the panel from batten to batten and lanes of batten and panel from frame to
    frame: the better counts, for the worse of the grains that it may have.

    Parameters
    ----------
    lid : Back
        The lid, with its battens.
    spans : tuple of (int, int, int)
        From rail to rail, from stile to stile, and the widest opening between battens or frame across the battens.
    kg_m2 : float
        What it weighs, its battens spread over it.
    rules : tuple of (float, float)
        Lid and duration factor, as in :class:`nesting.advice.mounting.MountingRules`.
    """
    factor, duration = rules
    up, across, opening = map(inches, spans)
    pressure = table_pounds(kg_m2) * 0.0254**2 * factor
    grains: tuple[Literal["up", "across"], ...] = ("up", "across") if lid.grain == "any" else (lid.grain,)
    worst, told = 0.0, ""
    for grain in grains:
        ratios: list[tuple[float, str]] = []
        plates = {way: _plate(lid, grain, way, duration, max(up, across)) for way in ("up", "level")}
        for way, clear, other in (("up", up, across), ("level", across, up)):
            if way not in lid.seams:
                bare = alone(Strip(1.0, inches(lid.thickness), *plates[way]))
                ratios.append(
                    (pressure * clear**2 / 8 / bare.moment, f"the panel alone over {said(clear, 'in', units)}")
                )
            if lid.ribs is None or lid.ribs.way != way:
                continue
            lane = inches(lid.ribs.lane)
            made = _lane(lid, way, lane, clear, plates[way], duration)
            if made is None:
                continue
            short = min(other, opening)
            between = alone(Strip(1.0, inches(lid.thickness), *plates["level" if way == "up" else "up"]))
            # The panel bears from batten to batten, and what it brings there the battens bear to the frame.
            ratio = max(pressure * short**2 / 8 / between.moment, pressure * lane * clear**2 / 8 / made[0].moment)
            reach = said(clear, "in", units)
            ratios.append((ratio, f"the panel over {said(short, 'in', units)} to its battens, these over {reach}"))
        ratio, how = min(ratios, default=(float("inf"), "nothing leads to the frame"))
        if ratio >= worst:
            worst, told = ratio, how
    return compare(
        LID,
        pressure,
        pressure / worst if worst not in (0.0, float("inf")) else 0.0,
        "psi",
        formula="q l^2 / 8 on strips or lanes",
        source=lid.panel.source,
        limits=_LIMITS,
        note=f"its own weight x {factor:g}; {told}",
        structure=True,
        worked=("{} psi x {} = {} psi; {} of what it bears so", pressure / factor, factor, pressure, worst)
        if worst != float("inf")
        else ("",),
    ).in_system(units)

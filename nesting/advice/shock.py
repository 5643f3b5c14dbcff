"""Shock: what a piece that is screwed rigidly to its crate's back feels, in G, when the crate drops or topples.

Nothing gives then but the wood, the crate's joints and the floor. A body that is stopped from speed v by a steady force
over a distance d feels G = v^2 / (2 g d), which for a free fall from h is h / d; a linear spring that stops it on the
same way peaks at twice that (energy balance). The distance is a rule of the shop, for no source was found for it: what
comes of it is an estimate, half of it either way, and no certification.

A crate that stands on pads of foam feels C h / t (:mod:`nesting.advice.cushion`) when it drops on its base; pads under
skids do nothing when it topples.
"""

from dataclasses import dataclass, replace
from math import sqrt
from typing import Final

from nesting.advice.check import Check, compare, said, table_pounds
from nesting.advice.cushion import (
    FACES,
    STANDARD_GRAVITY,
    Cushioned,
    CushionRules,
    Drop,
    Foam,
    allowed,
    design_drop,
    fragility,
    impact_speed,
    shock,
    static_stress,
)
from nesting.base.measure import INCH, MM, UnitSystem, format_length, inches
from nesting.base.own_length import grain_of, near

DROP: Final = "shock, drop"
TOPPLE: Final = "shock, topple"
"""Names of the two checks."""
TOPPLED: Final = "cushion, topple"
"""The second of what lies in foam."""


_ENERGY = "energy balance: a steady force over the distance that gives"
_SLAB = "thin slab about its lower edge, rigid-body mechanics"
_CUSHION = "cushion factor method, Jones and James, FPL Report 2031 (1955); equation from memory"
_LIMITS = (
    "an estimate, +/- 50 %, no certification: the distance that gives is a rule from memory, and a spring peaks higher"
)
_RIGID = "screwed rigidly to the back a piece is not cushioned: the rigid liner does not count"
_KNOWINGLY = "; accept that knowingly, or take it there by hand, or order a travel frame in an outer case"


def topple_speed(height: int) -> float:
    """Return the speed in m/s at which the upper edge of a slab of that height hits the floor, sqrt(3 g h).

    Of a thin slab that falls about its lower edge: m g h / 2 = (m h^2 / 3) w^2 / 2, and the edge moves at w h. What is
    half-way up moves at half of it.
    """
    return sqrt(3 * STANDARD_GRAVITY * height * 0.001 / MM)


def rigid_shock(speed: float, give: int) -> float:
    """Return G = v^2 / (2 g d) of what is stopped from a speed in m/s over a distance on the exact grid."""
    if give <= 0:
        raise ValueError("something gives at every stop: accepted is a distance of more than nothing")
    # To a billionth, so that a shock that is exactly the limit keeps it.
    return round(speed**2 / (2 * STANDARD_GRAVITY * give * 0.001 / MM), 9)


@dataclass(frozen=True, slots=True)
class Shaken:
    """A crate that is sent alone, with what is screwed to its back.

    Attributes
    ----------
    gross_kg : float
        The whole crate, which decides the drop.
    height : int
        Of the crate as it stands.
    longest : int
        Longest side of the largest piece.
    give : int
        Distance over which crate, floor and wood give.
    limit : float
        Shock in G that is allowed at the most; 0 where nobody states a limit.
    whose : str
        Who states it, such as ``"the studio"``.
    pads : int
        Thickness of the foam under its skids; 0 where there is none.
    topples : bool
        Whether nothing keeps it from toppling, so that this counts against the limit too.
    """

    gross_kg: float
    height: int
    longest: int
    give: int
    limit: float = 0.0
    whose: str = ""
    pads: int = 0
    topples: bool = False

    def allowed(self, rules: CushionRules) -> float:
        """Return the limit in G; where nobody states one, what the shop's rules say that such a piece takes."""
        return self.limit or fragility(self.longest, rules)

    def drop(self, rules: CushionRules) -> tuple[Drop, float]:
        """Return how far it drops, and the shock in G that then reaches the pieces."""
        drop = design_drop(self.gross_kg, rules)
        if self.pads:
            return drop, shock(drop.height, self.pads, rules.factor)
        return drop, rigid_shock(impact_speed(drop.height), self.give)


@dataclass(frozen=True, slots=True)
class Tall:
    """How a case stands.

    Attributes
    ----------
    height : int
        Of the case.
    give : int
        Distance over which case, floor and wood give where its foam does not.
    topples : bool
        Whether nothing keeps it upright.
    """

    height: int
    give: int
    topples: bool


def check_shock(
    case: Shaken, rules: CushionRules, units: UnitSystem = "inch", *, way_out: str = ""
) -> tuple[Check, Check]:
    """Tell the shock of a drop and of a topple beside the limit.

    Parameters
    ----------
    case : Shaken
        The crate.
    units : {"inch", "metric"}
        How figures are written.
    way_out : str
        What else would do, where a stated limit is passed.

    Returns
    -------
    tuple of Check
        Of the drop and of the topple. Beyond a stated limit the drop fails, and judges what holds the piece; a topple
        does only where nothing keeps the crate from it. Where nobody states a limit they only inform.
    """
    allowed = case.allowed(rules)
    drop, felt = case.drop(rules)
    gives = f"crate, floor and wood give {format_length(case.give, units, mark=True)}"
    if case.limit:
        beside = f"the limit is stated by {case.whose}"
    else:
        beside = f"nobody states a limit: {allowed:g} G is what the rules say that such a piece takes"
    fall = f"drop of {format_length(drop.height, units, mark=True)} by weight, as if by common carrier"
    if case.pads:
        thick = format_length(case.pads, units, mark=True)
        formula, source, note = "G = C h / t", _CUSHION, f"{fall}; on pads {thick} thick under its skids; {beside}"
    else:
        speed = _speed(impact_speed(drop.height), units)
        rigid = _RIGID + (_KNOWINGLY if felt > allowed and not case.limit else "")
        formula, source = "G = v^2 / (2 g d), v = sqrt(2 g h)", _ENERGY
        note = f"{fall}, {speed}; {gives}: an estimate, +/- 50 %; {beside}; {rigid}"
    edge = topple_speed(case.height)
    middle, upper = rigid_shock(edge / 2, case.give), rigid_shock(edge, case.give)
    tall = format_length(case.height, units, mark=True)
    toppled = (
        f"{tall} high, its upper edge hits the floor at {_speed(edge, units)} and feels {upper:.0f} G, its middle at "
        f"half of that speed; {gives}"
    )
    if middle > allowed:
        toppled += "; no pads under skids mend this: never let it stand free"
    judged, topples = case.limit > 0, case.limit > 0 and case.topples
    dropped = compare(
        DROP,
        felt,
        allowed,
        "G",
        formula=formula,
        source=f"{source}; drop: {drop.source}",
        limits=_LIMITS,
        note=note,
        worst="fails" if judged else "info",
        structure=judged,
        worked=(
            ("{} x {} mm / {} mm = {} G", rules.factor, drop.height / MM, case.pads / MM, felt)
            if case.pads
            else (
                "v = sqrt(2 x 9.81 x {} m) = {} m/s; {}^2 / (2 x 9.81 x {} m) = {} G",
                drop.height * 0.001 / MM,
                impact_speed(drop.height),
                impact_speed(drop.height),
                case.give * 0.001 / MM,
                felt,
            )
        ),
    )
    toppling = compare(
        TOPPLE,
        middle,
        allowed,
        "G",
        formula="G = v^2 / (2 g d), v = sqrt(3 g h) / 2",
        source=f"{_ENERGY}; {_SLAB}",
        limits=_LIMITS,
        note=toppled,
        worst="fails" if topples else "info",
        structure=topples,
        worked=_fallen(case.height, case.give, middle),
    )
    return _told(dropped, way_out).in_system(units), _told(toppling, way_out).in_system(units)


def check_toppled(case: Cushioned, tall: Tall, rules: CushionRules, units: UnitSystem = "inch") -> Check:
    """Tell the shock through the foam of the faces where a case falls over.

    Half-way up it lands at half the speed of its upper edge, as if it had fallen 3/8 of its height; what the foam lets
    through is by its curve, and no more than would come without any. Beyond a stated limit it fails where nothing keeps
    the case from it.
    """
    takes, area = allowed(case.longest, case.limit, rules), dict(case.areas)[FACES]
    edge = topple_speed(tall.height)
    middle = 3 * tall.height // 8
    rigid = rigid_shock(edge / 2, tall.give)
    soft = case.felt(FACES, area, middle, rules.factor)
    judged = tall.topples and case.limit > 0
    high, fall = (format_length(near(value, grain_of(units)), units, mark=True) for value in (tall.height, middle))
    note = f"{high} high: half-way up it lands as from {fall}"
    if soft > rigid:
        note += ", and the foam bottoms out: as rigid as without any"
    note += "; its upper edge lands at twice that speed" + ("" if tall.topples else "; it is kept upright against that")
    check = compare(
        TOPPLED,
        round(min(soft, rigid), 9),
        takes,
        "G",
        formula="foam as for a drop from 3 H / 8, at the most v^2 / (2 g d), v = sqrt(3 g H) / 2",
        source=f"{_CUSHION}; {_ENERGY}; {_SLAB}",
        limits=_LIMITS,
        note=note,
        worst="fails" if judged else "info",
        structure=judged,
        worked=(
            "through the foam, from {} m: {} G; without any: " + _fallen(tall.height, tall.give, rigid)[0],
            middle * 0.001 / MM,
            soft,
            *_fallen(tall.height, tall.give, rigid)[1:],
        ),
    )
    mend = "what keeps it upright (gear.standing), or thicker foam on its faces"
    found = replace(check, would_pass=mend) if check.verdict == "fails" else check
    return found.in_system(units)


def _fallen(height: int, give: int, middle: float) -> tuple[str, float, float, float, float, float]:
    """Return the shock half-way up what falls over, with its numbers."""
    speed = topple_speed(height) / 2
    metres = 0.001 / MM
    told = "v = sqrt(3 x 9.81 x {} m) / 2 = {} m/s; {}^2 / (2 x 9.81 x {} m) = {} G"
    return told, height * metres, speed, speed, give * metres, middle


def _told(check: Check, way_out: str) -> Check:
    """Say of a check that fails what else would do."""
    return replace(check, would_pass=way_out) if check.verdict == "fails" else check


def weak(check: Check) -> bool:
    """Whether a check fails that another design of a crate might mend: what holds the piece, but not a shock."""
    return check.structure and check.verdict == "fails" and check.name not in (DROP, TOPPLE)


def _speed(metres: float, units: UnitSystem) -> str:
    """Write a speed: in inches or metres a second."""
    return f"{metres:.2f} m/s" if units == "metric" else f"{metres / 0.0254:.0f} in/s"


@dataclass(frozen=True, slots=True)
class Padded:
    """Pads of foam under the skids of a crate.

    Attributes
    ----------
    area : int
        Bearing area of all of them, in square grid units.
    side : int
        Least side of any.
    thickness : int
        Of the foam.
    slender : float
        A pad is at least so many times as wide as it is thick.
    foam : Foam
        Which.
    """

    area: int
    side: int
    thickness: int
    slender: float
    foam: Foam


def check_pads(gross_kg: float, pads: Padded, units: UnitSystem = "inch") -> tuple[Check, Check]:
    """Check that foam under a crate is loaded as it likes, and that its pads do not buckle.

    Both judge what the shock on pads rests on: foam that is loaded too much bottoms out, too little is hard.
    """
    foam, stress = pads.foam, static_stress(gross_kg, pads.area)
    likes = f"{said(foam.low_psi, 'psi', units, mark=False)} to {said(foam.high_psi, 'psi', units)}"
    fits = foam.low_psi <= stress <= foam.high_psi
    hard = stress < foam.low_psi
    loaded = Check(
        name="skid pads, static stress",
        demand=stress,
        capacity=foam.high_psi,
        unit="psi",
        ratio=stress / foam.high_psi,
        verdict="ok" if fits else "fails",
        formula="weight / bearing area",
        source=foam.source,
        limits_of_use="even bearing; the range depends on the foam's maker, and keeps creep under 10 %",
        note=f"{foam.name} likes {likes}" + ("" if fits else ": it is hard" if hard else ": it would bottom out"),
        structure=True,
        worked="{} lb[[| x 9.807]] / {} sq in[[| x 10]] = {} psi",
        numbers=(table_pounds(gross_kg), pads.area / INCH**2, stress),
        would_pass="" if fits else "smaller pads, or a softer foam" if hard else "larger pads, or a denser foam",
    )
    buckling = compare(
        "skid pads, buckling",
        pads.slender * inches(pads.thickness),
        inches(pads.side),
        "in",
        formula="side >= 1.33 t",
        source="foam handbooks' rule for the least bearing area, (1.33 t)^2, from memory",
        limits="pads with square edges, glued on",
        structure=True,
        worked=("{} in against {} x {} in", inches(pads.side), pads.slender, inches(pads.thickness)),
    )
    return loaded.in_system(units), buckling.in_system(units)

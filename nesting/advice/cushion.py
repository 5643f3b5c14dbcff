"""Cushion: how far a case may fall, what foam it then needs, and whether that foam is loaded as it likes.

Thickness by the cushion factor, t = C h / G (method of Jones and James, FPL Report 2031, 1955; equation from memory).
A cushion that pushed back with a constant force over all its thickness would have C = 1, a linear spring 2; real foam
bottoms at 60 to 70 % and reaches 2.5 to 4 at its best load. Figures for panel paintings: Richard, Mecklenburg and
Tumosa, "Technical considerations for the transport of panel paintings", in *The Structural Conservation of Panel
Paintings* (Getty, 1998), pp. 544 and 551: 10 cm of foam, 40 G for small panels and 30 G for larger ones.
"""

from dataclasses import dataclass
from math import ceil, sqrt

from nesting.advice.check import Check, Verdict, compare, said, table_pounds
from nesting.base.measure import INCH, MM, UnitSystem, format_length, inches
from nesting.base.rules import check_rules, rule

STANDARD_GRAVITY = 9.80665
"""m/s2, exact by definition."""

_GETTY = "Richard, Mecklenburg and Tumosa (Getty, 1998), p. 551"
_METHOD = "cushion factor method, Jones and James, FPL Report 2031 (1955); equation from memory"
_LIMITS = "flat drop on the cushion's best load, foam at room temperature; drops differ by carrier, cold foam is harder"

_STEPS = ((21, 30), (41, 24), (61, 18), (100, 12))
_MECHANICAL = {"I": (12, 9), "II": (9, 6), "III": (6, 3)}


@dataclass(frozen=True, slots=True)
class CushionRules:
    """How a case is cushioned."""

    fragility_small: float = rule(
        40.0, unit="G", low=10.0, high=150.0, doc="Shock that a small piece takes.", source=_GETTY
    )
    fragility_large: float = rule(
        30.0, unit="G", low=10.0, high=150.0, doc="Shock that a larger piece takes.", source=_GETTY
    )
    large_from: int = rule(
        36 * INCH,
        unit="length",
        low=12 * INCH,
        high=120 * INCH,
        doc="Longest side from which a piece counts as larger.",
    )
    factor: float = rule(
        3.0,
        unit="ratio",
        low=2.0,
        high=6.0,
        doc="Cushion factor C of the foam at its best load.",
        source="45 G on 5 cm, 22 G on 10 cm of foam (same chapter, Fig. 26), from 75 cm (from memory): 3.0, 2.9",
    )
    thickness: int = rule(
        4 * INCH,
        unit="length",
        low=INCH // 2,
        high=12 * INCH,
        doc="Cushion on each side of a case; less than 100 mm is warned of.",
        source=_GETTY,
    )
    manual_lb: float = rule(
        200.0,
        unit="lb",
        low=100.0,
        high=500.0,
        doc="Over this gross weight a case is handled by machines only.",
        source="ASTM D4169, sections 8.2 and 10.1",
    )
    level: str = rule(
        "II",
        unit="word",
        low=("I", "II", "III"),
        doc="Assurance level for cases handled by machines.",
        source="ASTM D4169 suggests level II",
    )
    rotational_share: float = rule(
        0.5, unit="ratio", low=0.1, high=1.0, doc="Part of a rotational drop that counts as a free fall."
    )

    def __post_init__(self) -> None:
        check_rules(self)


@dataclass(frozen=True, slots=True)
class Foam:
    """A cushioning foam and the static stress that it likes, in psi.

    Rigid boards (polystyrene) crush at the first impact and are none.
    """

    name: str
    low_psi: float
    high_psi: float
    source: str

    def __post_init__(self) -> None:
        if not 0 < self.low_psi < self.high_psi:
            raise ValueError(
                f"foam {self.name}: found {self.low_psi} to {self.high_psi} psi; accepted: a range above 0"
            )


@dataclass(frozen=True, slots=True)
class Drop:
    """A design drop: height on the exact grid, and where it comes from."""

    height: int
    source: str


def design_drop(gross_kg: float, rules: CushionRules) -> Drop:
    """Return the drop that a case of that gross weight is to survive.

    ISTA 1A steps with the lower bound included (30, 24, 18, 12, then 8 in from 100 lb, kept up to 200 lb though its
    table ends at 150); above that the rotational drops of ASTM D4169-09, 10.3.1.1, counted in part.
    """
    gross = table_pounds(gross_kg)
    if gross < 0:
        raise ValueError(f"a case cannot weigh {gross_kg} kg")
    if gross <= rules.manual_lb:
        for below, height in _STEPS:
            if gross < below:
                return Drop(height * INCH, "ISTA 1A free fall (quoted)")
        return Drop(8 * INCH, "ISTA 1A free fall from 100 lb (quoted), kept beyond its 150 lb")
    light, heavy = _MECHANICAL[rules.level]
    height = light if gross <= 500 else heavy
    drop = round(height * INCH * rules.rotational_share)
    source = f"ASTM D4169-09 sect. 10.3.1.1, level {rules.level}: rotational {height} in x {rules.rotational_share:g}"
    return Drop(min(drop, 8 * INCH), source)


def impact_speed(drop: int) -> float:
    """Return the speed at the end of a free fall, sqrt(2 g h), in m/s."""
    return sqrt(2 * STANDARD_GRAVITY * drop * 0.001 / MM)


def thickness_needed(drop: int, fragility: float, factor: float) -> int:
    """Return t = C h / G on the exact grid, rounded up."""
    return ceil(round(factor * drop / fragility, 3))


def shock(drop: int, thickness: int, factor: float) -> float:
    """Return the shock G = C h / t that reaches the piece."""
    if thickness <= 0:
        raise ValueError("no foam, no cushion: accepted is a thickness of more than nothing")
    return factor * drop / thickness


def fragility(longest: int, rules: CushionRules) -> float:
    """Return the shock in G that a piece with that longest side takes."""
    return rules.fragility_large if longest >= rules.large_from else rules.fragility_small


def allowed(longest: int, limit: float, rules: CushionRules) -> float:
    """Return the shock in G that foam may let through: what such a piece takes, or a stated limit that is less."""
    takes = fragility(longest, rules)
    return min(takes, limit) if limit else takes


def static_stress(weight_kg: float, area: int) -> float:
    """Return weight over bearing area in psi; the area in square grid units."""
    if area <= 0:
        raise ValueError("static stress needs an area")
    return table_pounds(weight_kg) * INCH**2 / area


def bearing_area(weight_kg: float, foam: Foam) -> tuple[float, float]:
    """Return the least and the greatest bearing area in square inches that keep the foam in its range."""
    weight = table_pounds(weight_kg)
    return weight / foam.high_psi, weight / foam.low_psi


@dataclass(frozen=True, slots=True)
class Cushioned:
    """What lies in the foam of a case or carton.

    Attributes
    ----------
    gross_kg : float
        The whole case, which decides the drop.
    contents_kg : float
        What the foam carries.
    longest : int
        Longest side of the largest piece.
    thickness : int
        Foam on the side where there is least of it.
    areas : tuple of (str, int)
        Bearing area of the foam for each way down, in square grid units, such as ``("base", ...)``.
    foam : Foam
        Which foam.
    least_pad : int
        Least side of a pad of that thickness: a narrower one buckles.
    limit : float
        Shock in G that somebody allows at the most; 0 where nobody states a limit.
    """

    gross_kg: float
    contents_kg: float
    longest: int
    thickness: int
    areas: tuple[tuple[str, int], ...]
    foam: Foam
    least_pad: int
    limit: float = 0.0

    def __post_init__(self) -> None:
        if self.thickness <= 0 or self.contents_kg <= 0 or self.gross_kg < self.contents_kg:
            raise ValueError(f"a cushioned case weighs more than what is in it and has foam, unlike {self}")


def check_cushion(case: Cushioned, rules: CushionRules, units: UnitSystem = "inch") -> tuple[Check, ...]:
    """Check thickness against the design drop, against the 100 mm of the literature, and the static stress each way.

    ``units`` says how figures and notes are written.
    """
    drop = design_drop(case.gross_kg, rules)
    takes = allowed(case.longest, case.limit, rules)
    needed = thickness_needed(drop.height, takes, rules.factor)
    reached = shock(drop.height, case.thickness, rules.factor)
    checks = [
        compare(
            "cushion, thickness",
            inches(needed),
            inches(case.thickness),
            "in",
            formula="t = C h / G",
            source=f"{_METHOD}; drop: {drop.source}; fragility: {_GETTY}",
            limits=_LIMITS,
            note=f"drop {format_length(drop.height, units, mark=True)}, C {rules.factor:g}; takes {takes:g} G, "
            f"feels {reached:.0f} G",
        ),
        compare(
            "cushion, least thickness",
            100 / 25.4,
            inches(case.thickness),
            "in",
            formula="t >= 100 mm",
            source=_GETTY,
            limits="panel paintings in rigid cases",
            watch_from=1.01,
            worst="watch",
        ),
    ]
    checks += [_stress_check(case, way, area, units) for way, area in case.areas]
    return tuple(each.in_system(units) for each in checks)


def _stress_check(case: Cushioned, way: str, area: int, units: UnitSystem) -> Check:
    stress, foam = static_stress(case.contents_kg, area), case.foam
    least, most = bearing_area(case.contents_kg, foam)
    # Lightly loaded pads are as narrow as they may be: a hard cushion, but nothing that anybody could do at the bench.
    verdict: Verdict = "ok" if foam.low_psi <= stress <= foam.high_psi else "info" if stress < foam.low_psi else "watch"
    note = f"{foam.name} likes {said(foam.low_psi, 'psi', units, mark=False)} to {said(foam.high_psi, 'psi', units)}"
    if stress < foam.low_psi:
        low, high = said(round(least), "sq in", units, mark=False), said(round(most), "sq in", units)
        narrowest, thick = (format_length(v, units, mark=True) for v in (case.least_pad, case.thickness))
        note += (
            f": too lightly loaded it is hard; it would like {low} to {high} in all on this side, but foam {thick} "
            f"thick buckles in narrow pads: they are no narrower than {narrowest}, or as wide as the side. Cut them "
            "as listed, or use a softer foam"
        )
    elif stress > foam.high_psi:
        note += f": it would bottom out; give it {said(ceil(least), 'sq in', units)} or more, or a denser foam"
    return Check(
        name=f"cushion, static stress on the {way}",
        demand=stress,
        capacity=foam.high_psi,
        unit="psi",
        ratio=stress / foam.high_psi,
        verdict=verdict,
        formula="weight / bearing area",
        source=foam.source,
        limits_of_use="even bearing; the range depends on the foam's maker",
        note=note,
    )

"""Cushion: how far a case may fall, what foam it then needs, and whether that foam is loaded as it likes.

Thickness by the cushion factor, t = C h / G (method of Jones and James, FPL Report 2031, 1955; equation from memory).
A cushion that pushed back with a constant force over all its thickness would have C = 1, a linear spring 2; real foam
bottoms at 60 to 70 % and reaches 2.5 to 4 at its best load. Away from that load the shock rises as the foam's curve
says (:mod:`nesting.advice.foam_curves`); of a foam without one only the range of loads is known. Figures for panel
paintings: Richard, Mecklenburg and Tumosa, "Technical considerations for the transport of panel paintings", in *The
Structural Conservation of Panel Paintings* (Getty, 1998), pp. 544 and 551: 40 G for small panels and 30 G for larger
ones; 10 cm of foam, which goes with drops of about 75 cm, light pieces in hands, and is asked where those are.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from math import ceil, sqrt
from typing import Final, Literal

from nesting.advice.carriage import COMMON, Carriage, by_hand
from nesting.advice.check import Check, Verdict, compare, said, table_pounds
from nesting.advice.foam_curves import FoamCurve, best_stress, extrapolated, felt, stress_range
from nesting.base.measure import INCH, MM, UnitSystem, format_length, inches
from nesting.base.rules import check_rules, rule

STANDARD_GRAVITY = 9.80665
"""m/s2, exact by definition."""

_GETTY = "Richard, Mecklenburg and Tumosa (Getty, 1998), p. 551"
_METHOD = "cushion factor method, Jones and James, FPL Report 2031 (1955); equation from memory"
_CANADA = "Government of Canada, conservation advice on shipping works of art: 50 mm or more for what is fragile"
_LIMITS = (
    "a flat drop, foam at room temperature; within 20 % at best; cold foam is harder, and each hard drop hardens it"
)
_CORNERS: Final = 4
"""Pads that a side has at the least where somebody is told what would do."""
_HANDS: Final = 750 * MM
"""Drop that the 10 cm of the literature goes with (from memory): ISTA 1A has 30 in, 762 mm, for the lightest."""

SHOCK: Final = "cushion, shock"
"""Name of the check that holds the shock in the foam against what is allowed."""
FACES: Final = "faces"
"""The way down on which a case lands that falls over."""

Cushioning = Literal["checked", "snug", "fixed"]
"""How the foam of a case is found: by the limit of shock, as thin pads, or as thick as a rule says."""

_STEPS = ((21, 30), (41, 24), (61, 18), (100, 12))
_WHOLE_MM: Final = {30: 760, 24: 610, 18: 460, 12: 310, 8: 200}
"""Drops of ISTA 1A in inches, and as its table has them in mm (two full tables, quoted)."""
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
        doc="Cushion on each side of a case where case.cushion is fixed.",
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

    art_carrier: str = rule(
        "II",
        unit="word",
        low=("I", "II", "III"),
        doc="Assurance level of the manual drops by which an art carrier's hands are judged.",
        source="ASTM D4169 sect. 10.2.3 for the drops, from memory; the level is a shop rule",
    )
    own_van: str = rule(
        "III",
        unit="word",
        low=("I", "II", "III"),
        doc="The same of the studio's own people.",
        source="ASTM D4169 sect. 10.2.3 for the drops, from memory; the level is a shop rule",
    )
    least: int = rule(
        2 * INCH,
        unit="length",
        low=INCH // 2,
        high=12 * INCH,
        doc="Least foam by common carrier where case.cushion is checked, however little the limit asks for.",
        source=_CANADA,
    )
    least_gentle: int = rule(
        INCH, unit="length", low=INCH // 4, high=12 * INCH, doc="The same by own van or art carrier."
    )
    drops: str = rule(
        "inch",
        unit="word",
        low=("inch", "metric"),
        doc="Which of the two sets of drop heights in their tables counts.",
        source="ISTA 1A has both, 30 in beside 760 mm (quoted); those of ASTM D4169 to the nearest 10 mm",
    )
    snug: int = rule(
        INCH // 2,
        unit="length",
        low=INCH // 4,
        high=4 * INCH,
        doc="Pads on each side where case.cushion is snug.",
        source="common practice, no source",
    )

    def __post_init__(self) -> None:
        check_rules(self)


@dataclass(frozen=True, slots=True)
class Foam:
    """A cushioning foam and the static stress that it likes, in psi.

    Rigid boards (polystyrene) crush at the first impact and are none.

    Attributes
    ----------
    low_psi, high_psi : float
        Between which stresses it cushions; above the second it creeps, however softly it would take a drop.
    source : str
        Where these come from.
    curve : FoamCurve or None
        How the shock goes by the stress, where that is known.
    """

    name: str
    low_psi: float
    high_psi: float
    source: str
    curve: FoamCurve | None = None

    def __post_init__(self) -> None:
        if not 0 < self.low_psi < self.high_psi:
            raise ValueError(
                f"foam {self.name}: found {self.low_psi} to {self.high_psi} psi; accepted: a range above 0"
            )

    def felt(self, drop: int, thickness: int, stress: float, factor: float) -> float:
        """Return the shock in G that it lets through: by its curve, or at its best load where it has none."""
        if self.curve is None:
            return shock(drop, thickness, factor)
        return felt(drop, thickness, stress, self.curve, factor=factor)

    def best(self, drop: int, thickness: int) -> float:
        """Return the static stress in psi to aim at: of least shock, but no more than it bears for long."""
        if self.curve is None:
            return sqrt(self.low_psi * self.high_psi)
        return min(best_stress(drop, thickness, self.curve), self.high_psi)

    def likes(self, drop: int, thickness: int, limit: float, factor: float) -> tuple[float, float] | None:
        """Return between which static stresses in psi it keeps to a limit of shock; None where at none."""
        if self.curve is None:
            fits = round(shock(drop, thickness, factor), 9) <= limit
            return (self.low_psi, self.high_psi) if fits else None
        found = stress_range(drop, thickness, limit, self.curve, factor=factor)
        if found is None or found[0] > self.high_psi:
            return None
        return found[0], min(found[1], self.high_psi)

    def doubt(self, drop: int, thickness: int, stress: float, units: UnitSystem = "inch") -> str:
        """Say where its shock is not known at such a load; empty where it is."""
        if self.curve is not None:
            return extrapolated(drop, thickness, stress, self.curve, units)
        return "" if self.low_psi <= stress <= self.high_psi else "no curve of it is known, only its range of loads"

    def unread(self, stress: float) -> bool:
        """Whether it is so lightly loaded, or so little is known of it, that nothing can be claimed of its shock."""
        if self.curve is None:
            return not self.low_psi <= stress <= self.high_psi
        return stress < self.curve.read_from_psi


@dataclass(frozen=True, slots=True)
class Drop:
    """A design drop: height on the exact grid, and where it comes from."""

    height: int
    source: str


def design_drop(gross_kg: float, rules: CushionRules, carriage: Carriage = COMMON) -> Drop:
    """Return the drop that a case of that gross weight is to survive.

    By common carrier: ISTA 1A steps with the lower bound included (30, 24, 18, 12, then 8 in from 100 lb, kept up to
    200 lb though its table ends at 150). By others: manual drops of ASTM D4169, 10.2.3, of the rules' level. Above that
    weight for all: rotational drops of ASTM D4169-09, 10.3.1.1, counted in part.
    """
    gross = table_pounds(gross_kg)
    if gross < 0:
        raise ValueError(f"a case cannot weigh {gross_kg} kg")
    level = {"own van": rules.own_van, "art carrier": rules.art_carrier}.get(carriage, "")
    if gross <= rules.manual_lb:
        if level:
            source = f"ASTM D4169 sect. 10.2.3, manual, level {level} (from memory): by {carriage}"
            return Drop(_high(by_hand(level, gross), rules), source)
        for below, height in _STEPS:
            if gross < below:
                return Drop(_high(height, rules, _WHOLE_MM), "ISTA 1A free fall (quoted)")
        return Drop(
            _high(8, rules, _WHOLE_MM),
            "ISTA 1A free fall from [[100 lb (quoted), kept beyond its 150 lb|45 kg (quoted), kept beyond its 68 kg]]",
        )
    light, heavy = _MECHANICAL[rules.level]
    height = light if gross <= 500 else heavy
    drop = round(_high(height, rules) * rules.rotational_share)
    fall = f"[[{height} in|{_high(height, rules) / MM:.0f} mm]]"
    source = f"ASTM D4169-09 sect. 10.3.1.1, level {rules.level}: rotational {fall} x {rules.rotational_share:g}"
    most = _high(by_hand(level, rules.manual_lb), rules) if level else _high(8, rules, _WHOLE_MM)
    return Drop(min(drop, most), source)


def _high(inch: int, rules: CushionRules, whole: Mapping[int, int] | None = None) -> int:
    """Return a drop of so many inches on the exact grid: as it is, or as it stands by millimetres in its table."""
    if rules.drops == "inch":
        return inch * INCH
    return whole[inch] * MM if whole else round(inch * INCH / (10 * MM)) * 10 * MM


def least_foam(rules: CushionRules, carriage: Carriage = COMMON) -> int:
    """Return the least foam by whom it is carried, however little the limit of shock asks for."""
    return rules.least if carriage == COMMON else rules.least_gentle


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
    carriage : {"own van", "art carrier", "common carrier"}
        Who takes it.
    rule : {"checked", "snug", "fixed"}
        How the foam was found.
    deep : tuple of (str, int)
        Foam for each way down where it is not as thick as :attr:`thickness`, by the names of :attr:`areas`.
    pads : tuple of (str, int)
        Area of the smallest pad of each way down, in square grid units, by the same names.
    """

    gross_kg: float
    contents_kg: float
    longest: int
    thickness: int
    areas: tuple[tuple[str, int], ...]
    foam: Foam
    least_pad: int
    limit: float = 0.0
    carriage: Carriage = COMMON
    rule: str = "checked"
    deep: tuple[tuple[str, int], ...] = ()
    pads: tuple[tuple[str, int], ...] = ()

    def __post_init__(self) -> None:
        if self.thickness <= 0 or self.contents_kg <= 0 or self.gross_kg < self.contents_kg:
            raise ValueError(f"a cushioned case weighs more than what is in it and has foam, unlike {self}")

    def depth(self, way: str) -> int:
        """Return the foam for one way down."""
        return dict(self.deep).get(way, self.thickness)

    def felt(self, way: str, area: int, drop: int, factor: float) -> float:
        """Return the shock in G of a drop that way, by the foam's curve at the pads' own stress."""
        return self.foam.felt(drop, self.depth(way), static_stress(self.contents_kg, area), factor)


def check_cushion(case: Cushioned, rules: CushionRules, units: UnitSystem = "inch") -> tuple[Check, ...]:
    """Check shock of the design drop, buckling, least thickness by whom it is carried, and static stress each way.

    Over a limit that somebody states it fails and the case is held; over what the rules say that such a piece takes it
    fails where the foam was chosen by that (``checked``) and its curve was read there; else it is to be looked at.

    ``units`` says how figures and notes are written.
    """
    checks = [_shock_check(case, rules, units), *_buckling_check(case, units), _least_check(case, rules)]
    checks += [_stress_check(case, way, area, rules, units) for way, area in case.areas]
    return tuple(each.in_system(units) for each in checks)


def _shock_check(case: Cushioned, rules: CushionRules, units: UnitSystem) -> Check:
    """Hold the worst way down against what is allowed."""
    drop = design_drop(case.gross_kg, rules, case.carriage)
    takes = allowed(case.longest, case.limit, rules)
    ways = [(case.felt(way, area, drop.height, rules.factor), way, area) for way, area in case.areas]
    worst, where, area = max(ways, default=(shock(drop.height, case.thickness, rules.factor), "", 0))
    stress = static_stress(case.contents_kg, area) if area else case.foam.high_psi
    doubt = case.foam.doubt(drop.height, case.depth(where), stress, units) if area else ""
    stated = case.limit > 0
    sure = stated or (case.rule == "checked" and not case.foam.unread(stress))
    fall = format_length(drop.height, units, mark=True)
    note = f"drop {fall} by {case.carriage}, C {rules.factor:g}; takes {takes:g} G, feels {worst:.0f} G"
    if where:
        note += f" on its {where}"
    if doubt:
        note += f"; {doubt}"
    if case.rule != "checked":
        note += f"; the foam is as thick as the rule says ({case.rule}), whatever comes through"
    check = compare(
        SHOCK,
        # To a billionth, so that a shock that is exactly what is allowed passes.
        round(worst, 9),
        takes,
        "G",
        formula="G = C h / t exp(x - 1) / x, x = s / best s" if case.foam.curve else "G = C h / t",
        source="; ".join(
            filter(None, (_METHOD, case.foam.curve.source if case.foam.curve else "", f"drop: {drop.source}", _GETTY))
        ),
        limits=_LIMITS,
        note=note,
        worst="fails" if sure else "watch",
        structure=stated,
        worked=(
            "C = {}, h = {} in, t = {} in, s = {} psi: {} G against {} G",
            rules.factor,
            inches(drop.height),
            inches(case.depth(where) if where else case.thickness),
            stress,
            worst,
            takes,
        ),
    )
    if check.verdict != "fails":
        return check
    return replace(check, would_pass=_way_out(case, drop.height, takes, rules, units))


def _way_out(case: Cushioned, drop: int, takes: float, rules: CushionRules, units: UnitSystem) -> str:
    """Say what thickness and area of foam would pass, where any would."""
    for layers in range(1, 13):
        thick = layers * (INCH if units == "inch" else 25 * MM)
        found = case.foam.likes(drop, thick, takes, rules.factor)
        least = case.least_pad * thick // case.thickness
        if found is None or static_stress(case.contents_kg, _CORNERS * max(1, least) ** 2) < found[0]:
            continue
        low, high = (said(table_pounds(case.contents_kg) / psi, "sq in", units) for psi in (found[1], found[0]))
        return f"foam {format_length(thick, units, mark=True)} thick whose pads bear {low} to {high} each way"
    return "another foam, or another method"


def _buckling_check(case: Cushioned, units: UnitSystem) -> Iterator[Check]:
    """Hold the smallest pad against what does not buckle, of the way down where least is to spare.

    To be looked at, no more: where a side is narrower than that, its pad is as wide as the side.
    """
    least = {way: case.least_pad * case.depth(way) / case.thickness for way, _ in case.pads}
    if not least:
        return
    way, area = min(case.pads, key=lambda pad: pad[1] / least[pad[0]] ** 2)
    thick = format_length(case.depth(way), units, mark=True)
    yield compare(
        "cushion, buckling",
        # To a billionth, so that a pad that is exactly as large as it must be is.
        round(least[way] / INCH, 9),
        round(sqrt(area) / INCH, 9),
        "in",
        formula="sqrt(A) >= 1.33 t",
        source="foam handbooks' rule for the least bearing area, (1.33 t)^2, from memory",
        limits="pads with square edges, glued on",
        note=f"side of a square as large as the smallest pad, on the {way}; foam {thick} thick; no wider than its side",
        worked=(
            "sqrt({} sq in[[| x 100]]) = {} in against {} in",
            area / INCH**2,
            sqrt(area) / INCH,
            least[way] / INCH,
        ),
        watch_from=1.001,
        worst="watch",
    )


def _least_check(case: Cushioned, rules: CushionRules) -> Check:
    """Hold the thinnest foam against what is asked by whom it is carried, whatever the shock."""
    drop = design_drop(case.gross_kg, rules, case.carriage).height
    hands = drop >= _HANDS
    least = max(least_foam(rules, case.carriage), 100 * MM if hands else 0)
    if hands and least == 100 * MM:
        formula, source, limits = "t >= 100 mm", _GETTY, "panel paintings in rigid cases; drops of about 75 cm by hand"
    else:
        source = _CANADA if case.carriage == COMMON else "shop rule"
        formula, limits = "t >= cushion.least", "what is fragile; the limit of shock may ask for more"
    return compare(
        "cushion, least thickness",
        inches(least),
        inches(case.thickness),
        "in",
        formula=formula,
        source=source,
        limits=limits,
        worst="watch",
    )


def _stress_check(case: Cushioned, way: str, area: int, rules: CushionRules, units: UnitSystem) -> Check:
    """Tell how the pads of one way down are loaded, and the shock that comes through them."""
    stress, foam, thick = static_stress(case.contents_kg, area), case.foam, case.depth(way)
    drop = design_drop(case.gross_kg, rules, case.carriage).height
    least, most = bearing_area(case.contents_kg, foam)
    # Lightly loaded pads are as narrow as they may be: a hard cushion, but nothing that anybody could do at the bench.
    verdict: Verdict = "ok" if foam.low_psi <= stress <= foam.high_psi else "info" if stress < foam.low_psi else "watch"
    note = f"{foam.name} likes {said(foam.low_psi, 'psi', units, mark=False)} to {said(foam.high_psi, 'psi', units)}"
    if foam.curve is not None:
        note = f"lets {foam.felt(drop, thick, stress, rules.factor):.0f} G through; {note}"
    if stress < foam.low_psi:
        low, high = said(round(least), "sq in", units, mark=False), said(round(most), "sq in", units)
        narrowest, deep = (format_length(v, units, mark=True) for v in (case.least_pad, thick))
        note += (
            f": too lightly loaded it is hard; it would like {low} to {high} in all on this side, but foam {deep} "
            f"thick buckles in narrow pads: they are no narrower than {narrowest}, or as wide as the side. Cut them "
            "as listed, or use a softer foam"
        )
    elif stress > foam.high_psi:
        note += (
            f": it would creep and bottom out; give it {said(ceil(least), 'sq in', units)} or more, or a denser foam"
        )
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
        worked="{} lb[[| x 9.807]] / {} sq in[[| x 10]] = {} psi",
        numbers=(table_pounds(case.contents_kg), area / INCH**2, stress),
    )

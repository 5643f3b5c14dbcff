"""Mounting: whether the screws through the back hold the piece, and how many it takes."""

from dataclasses import dataclass
from math import ceil

from nesting.advice import eurocode
from nesting.advice.check import N_PER_KG, Check, compare, inform, said, table_pounds
from nesting.advice.fasteners import (
    LATERAL_PENETRATION,
    Wood,
    lateral_group,
    lateral_handbook,
    pull_through_allowable,
    screw_diameter,
    withdrawal_allowable,
    withdrawal_ultimate,
)
from nesting.base.counts import plural
from nesting.base.measure import UnitSystem, format_weight, inches, millimetres
from nesting.base.rules import check_rules, rule

_NDS = "AWC, National Design Specification (NDS), Eq. 12.2-2"


@dataclass(frozen=True, slots=True)
class MountingRules:
    """What the shop asks of its mounting screws."""

    handling_factor: float = rule(
        8.0,
        unit="ratio",
        low=1.0,
        high=40.0,
        doc="The piece's weight is multiplied by this before its screws and its back are checked.",
        source="40 G over 5.5, the ratio of ultimate to allowable withdrawal, rounded up",
    )
    lid_factor: float = rule(
        4.0,
        unit="ratio",
        low=1.0,
        high=40.0,
        doc="A lid's own weight is multiplied by this before it is checked: it gives way softly, so that a fall loads "
        "it by its speed, not by its peak.",
        source="a lid that swings at 11 Hz meets a fall from [[18 in with 2 pi x 11 x 118 in/s|457 mm with "
        "2 pi x 11 x 3 m/s]] = 21 G; over 5.5, rounded up: arithmetic",
    )
    duration_factor: float = rule(
        1.6,
        unit="ratio",
        low=0.9,
        high=2.0,
        doc="Panels that bend bear this many times their lasting load in a knock; screws are taken without it.",
        source="NDS load duration: ten minutes; impact would be 2.0 (from memory)",
    )
    screws_least: int = rule(
        3, unit="count", low=2, high=12, doc="Fewest mounting screws in one cleat.", source="common practice, no source"
    )
    head_in: float = rule(
        0.43,
        unit="in",
        low=0.2,
        high=1.5,
        doc="Head diameter of a No. 10 washer-head screw; measure yours.",
        source="trade size, from memory",
    )

    def __post_init__(self) -> None:
        check_rules(self)


@dataclass(frozen=True, slots=True)
class Mounting:
    """Mounting screws of one piece.

    Attributes
    ----------
    weight_kg : float
        The piece.
    screw : int
        Screw number.
    thread : int
        Thread in the cleat, exact grid.
    held : int
        Thickness under the head, at the least that may be there, exact grid.
    into : Wood
        What the thread bites into.
    under : float
        Specific gravity of what the head bears on.
    washer_head : bool
        Whether the head is a washer head (its diameter is a rule); a countersunk head is taken as twice the shank.
    washer_in : float
        Diameter of a washer under it, inches; 0 for none.
    diameter_in : float
        Shank or thread diameter as the good states it; 0: that of the number.
    under_density_k, under_k_mod : float
        The same of what the head bears on as of :class:`nesting.advice.fasteners.Wood`; 0 where nobody states them.
    """

    weight_kg: float
    screw: int
    thread: int
    held: int
    into: Wood
    under: float
    washer_head: bool = False
    washer_in: float = 0.0
    diameter_in: float = 0.0
    under_density_k: float = 0.0
    under_k_mod: float = 0.0

    def __post_init__(self) -> None:
        if self.weight_kg < 0 or self.thread <= 0 or self.held <= 0:
            raise ValueError(f"a mounting needs a weight, thread in the cleat and a back, not {self}")

    @property
    def diameter(self) -> float:
        """D in inches."""
        return self.diameter_in or screw_diameter(self.screw)

    @property
    def deep(self) -> float:
        """Thread in the main member, in diameters."""
        # To a billionth, so that thread that is exactly as deep as a rule asks is.
        return round(inches(self.thread) / self.diameter, 9)


def screw_pulls(mounting: Mounting, rules: MountingRules) -> tuple[float, float]:
    """Return the allowable withdrawal and the allowable pull-through of one mounting screw, pounds-force."""
    return (
        withdrawal_allowable(mounting.into.gravity, mounting.diameter, inches(mounting.thread)),
        pull_through_allowable(mounting.under, head_width(mounting, rules), inches(mounting.held)),
    )


def head_width(mounting: Mounting, rules: MountingRules) -> float:
    """Return how wide a mounting screw bears on what it holds, in inches."""
    return max(_own_head(mounting, rules), mounting.washer_in)


def _own_head(mounting: Mounting, rules: MountingRules) -> float:
    """Return how wide a screw's own head is, in inches."""
    return rules.head_in if mounting.washer_head else 2 * mounting.diameter


def screws_needed(mounting: Mounting, rules: MountingRules, *, cleats: int = 2) -> int:
    """How many screws hold the piece in withdrawal and against pull-through, never fewer than the least per cleat.

    Where the materials state what EN 1995 asks, that too says how many. Lateral load does not count screws here: where
    the formula applies, :func:`check_mounting` judges it for the number chosen, and setting blocks under the lower
    cleat carry the standing piece.

    Returns
    -------
    int
        For all cleats together, a multiple of ``cleats``.
    """
    load = table_pounds(mounting.weight_kg) * rules.handling_factor
    per_cleat = max(ceil(load / min(screw_pulls(mounting, rules)) / cleats), _by_en(mounting, rules, cleats))
    return cleats * max(rules.screws_least, per_cleat)


def check_mounting(
    mounting: Mounting, count: int, rules: MountingRules, units: UnitSystem = "inch"
) -> tuple[Check, Check, Check]:
    """Check ``count`` mounting screws in withdrawal, pull-through and shear, in this order.

    Parameters
    ----------
    count : int
        Screws that share the load.
    units : {"inch", "metric"}
        How figures and notes are written.

    Raises
    ------
    ValueError
        If there is no screw.
    """
    if count < 1:
        raise ValueError(f"found {count} mounting screws; accepted: 1 or more")
    load = table_pounds(mounting.weight_kg) * rules.handling_factor
    withdrawal, through = screw_pulls(mounting, rules)
    diameter = mounting.diameter
    ultimate = count * withdrawal_ultimate(mounting.into.gravity, diameter, inches(mounting.thread))
    weight = format_weight(mounting.weight_kg, units, mark=True)
    gravity, thread = mounting.into.gravity, inches(mounting.thread)
    asked = (table_pounds(mounting.weight_kg), rules.handling_factor, load)
    demand = f"weight {weight} x handling factor {rules.handling_factor:g}"
    return (
        compare(
            "mounting screws, withdrawal",
            load,
            count * withdrawal,
            "lbf",
            formula="n [[2850|19.65]] G^2 D L",
            source=_NDS,
            limits="side grain, dry wood, thread in sound wood; the load is shared evenly",
            note=f"{plural(count, 'screw')}; {demand}; ultimate about {said(ultimate, 'lbf', units)} (Wood Handbook, "
            f"{'15,700' if units == 'inch' else '108.2'} G^2 D L)",
            structure=True,
            worked=(
                "{} lb[[| x 9.807]] x {} = {} lbf against {} x [[2850|19.65]] x {}^2 x {} in x {} in = {} lbf",
                *asked,
                count,
                gravity,
                diameter,
                thread,
                count * withdrawal,
            ),
        ).in_system(units),
        compare(
            "mounting screws, pull-through",
            load,
            count * through,
            "lbf",
            formula="n [[690|4.757]] pi D_H G^2 t, at most n [[1725|11.89]] pi D_H^2 G^2",
            source="AWC, NDS 2018, section 12.2.5 (from memory)",
            limits="round or washer heads flat on the panel; a countersunk head holds less",
            note=f"{plural(count, 'screw')}; {demand}",
            structure=True,
            worked=(
                "{} lb[[| x 9.807]] x {} = {} lbf against {} x {} lbf, of a head {} in on G = {} and {} in = {} lbf",
                *asked,
                count,
                through,
                head_width(mounting, rules),
                mounting.under,
                inches(mounting.held),
                count * through,
            ),
        ).in_system(units),
        _lateral(mounting, count, load, diameter, units).in_system(units),
    )


def _lateral(mounting: Mounting, count: int, load: float, diameter: float, units: UnitSystem) -> Check:
    deep = mounting.deep
    name, source = "mounting screws, lateral", "civil-engineering formula handbook, Eq. 6.38 and Table 6.2"
    limits = f"thread of {LATERAL_PENETRATION:g} D or more in the main member; replaced in the NDS by yield equations"
    if deep < LATERAL_PENETRATION:
        return inform(
            name,
            f"the screw is only {deep:.1f} D in the cleat: the lateral formula does not apply; "
            "setting blocks under the lower cleat must carry the piece",
            formula="p = C D^2",
            source=source,
            limits=limits,
            demand=load,
            unit="lbf",
        )
    handbook = lateral_handbook(mounting.into.gravity, diameter)
    beside = ""
    if handbook is not None:
        beside = f"; Wood Handbook K D^2 gives {said(count * handbook, 'lbf', units)}"
    each = lateral_group(mounting.into.group, diameter)
    return compare(
        name,
        load,
        count * each,
        "lbf",
        formula="n C D^2",
        source=source,
        limits=limits,
        note=f"{plural(count, 'screw')}, {deep:.1f} D deep{beside}",
        worked=(
            "{} lbf against {} x {} psi x ({} in)^2 = {} lbf",
            load,
            count,
            each / diameter**2,
            diameter,
            count * each,
        ),
        in_si="N/mm2",
    )


def _asked(mounting: Mounting, rules: MountingRules) -> float:
    """Return what EN 1990 asks of all screws: weight times handling factor as a variable load, in N."""
    return eurocode.VARIABLE * mounting.weight_kg * N_PER_KG * rules.handling_factor


def _borne(mounting: Mounting, rules: MountingRules) -> dict[str, tuple[float, float]]:
    """Return what one screw bears by EN 1995, characteristic and for design, in N: pulled out, and pulled through.

    Nothing stands there for what the materials do not state, nor for thread shorter than the standard takes.
    """
    borne: dict[str, tuple[float, float]] = {}
    into = mounting.into
    if into.by_en and mounting.deep >= eurocode.DEEPEST:
        alone = eurocode.withdrawal(mounting.diameter * 25.4, millimetres(mounting.thread), into.density_k)
        borne["withdrawal"] = alone, alone * into.k_mod / eurocode.CONNECTION
    if mounting.under_k_mod:
        wide, own = (25.4 * each for each in (head_width(mounting, rules), _own_head(mounting, rules)))
        head = eurocode.head_pull(wide, millimetres(mounting.held), own)
        borne["pull-through"] = head, head * mounting.under_k_mod / eurocode.CONNECTION
    return borne


def _by_en(mounting: Mounting, rules: MountingRules, cleats: int) -> int:
    """Return how many screws a cleat takes by EN 1995; 0 where it says nothing."""
    borne = _borne(mounting, rules)
    if not borne:
        return 0
    return ceil(eurocode.screws_for(_asked(mounting, rules), min(design for _, design in borne.values())) / cleats)


def check_mounting_by_en(
    mounting: Mounting, count: int, rules: MountingRules, units: UnitSystem = "inch"
) -> tuple[Check, ...]:
    """Check mounting screws by EN 1995-1-1 beside the other rules, where the materials state what it asks.

    Parameters
    ----------
    count : int
        Screws that share the load.
    units : {"inch", "metric"}
        How figures are written; the formula is in N and mm in either.

    Returns
    -------
    tuple of Check
        Withdrawal, pull-through and shear, as far as the standard says something of them.
    """
    asked, borne, made = _asked(mounting, rules), _borne(mounting, rules), []
    together = eurocode.acting_together(count)
    load = (eurocode.VARIABLE, mounting.weight_kg, rules.handling_factor, asked)
    for name, formula, equation in (
        ("withdrawal", "n^0.9 x 0.52 rho_k^0.8 / (d^0.5 l^0.1) x d l (d / 8) k_mod / gamma_M", "eq. 8.38 and eq. 8.41"),
        (
            "pull-through",
            "n^0.9 f_head d_h^2 k_mod / gamma_M, at most n^0.9 x 400 N d_h / head under 12 mm",
            "eq. 8.40b and eq. 8.41",
        ),
    ):
        if name not in borne:
            if name == "withdrawal" and mounting.into.by_en:
                made.append(_too_short(mounting, asked, formula, equation).in_system(units))
            continue
        one, design = borne[name]
        k_mod = design / one * eurocode.CONNECTION
        made.append(
            compare(
                f"mounting screws, {name} by EN 1995",
                asked,
                together * design,
                "N",
                formula=f"gamma_Q F <= {formula}",
                source=f"EN 1995-1-1, {equation}; gamma_M 1.3, gamma_Q 1.5, k_mod of a short load; all from memory",
                limits="service class 2; screws of 6 to 12 mm, thinner ones by what their maker declares (EN 14592)",
                note=f"{count} screws, of which n^0.9 = {together:.3g} count together",
                structure=True,
                worked=(
                    "{} x {} kg x 9.807 x {} = {} N against {}^0.9 x {} N x {} / {} = {} N",
                    *load,
                    count,
                    one,
                    k_mod,
                    eurocode.CONNECTION,
                    together * design,
                ),
            ).in_system(units)
        )
    return (*made, *_lateral_by_en(mounting, count, rules, units))


def _too_short(mounting: Mounting, asked: float, formula: str, equation: str) -> Check:
    """Say that thread is too short for the standard to say anything of it."""
    return inform(
        "mounting screws, withdrawal by EN 1995",
        f"thread of {mounting.deep:.1f} d, of which the standard says nothing: from 6 d on; the other rule counts",
        formula=f"gamma_Q F <= {formula}",
        source=f"EN 1995-1-1, {equation}; from memory",
        limits="thread of 6 d and more; screws of 6 to 12 mm, thinner ones by what their maker declares (EN 14592)",
        demand=asked,
        unit="N",
    )


def _lateral_by_en(mounting: Mounting, count: int, rules: MountingRules, units: UnitSystem) -> tuple[Check, ...]:
    """Check the same screws in shear; nothing where thread is shorter than the standard takes."""
    into, asked = mounting.into, _asked(mounting, rules)
    if not (into.by_en and mounting.under_k_mod and mounting.deep >= eurocode.DEEPEST):
        return ()
    acts = eurocode.effective(mounting.diameter * 25.4)
    under, bears = (eurocode.embedding(acts, each) for each in (mounting.under_density_k, into.density_k))
    one = eurocode.lateral(eurocode.Shear(millimetres(mounting.held), millimetres(mounting.thread), under, bears, acts))
    lasts = min(into.k_mod, mounting.under_k_mod)
    capacity = count * one * lasts / eurocode.CONNECTION
    found = compare(
        "mounting screws, lateral by EN 1995",
        asked,
        capacity,
        "N",
        formula="gamma_Q F <= n x least of six modes (f_h t d, M_y) x k_mod / gamma_M",
        source="EN 1995-1-1, eq. 8.6, eq. 8.14 and eq. 8.20, d = 1.1 roots, f_u 600 N/mm2; gamma_M 1.3, gamma_Q 1.5; "
        "from memory",
        limits="service class 2; plywood under plywood, no rope effect; setting blocks carry the standing piece",
        note=f"{count} screws, {mounting.deep:.1f} d deep",
        worked=(
            "{} x {} kg x 9.807 x {} = {} N against {} x {} N x {} / {} = {} N",
            eurocode.VARIABLE,
            mounting.weight_kg,
            rules.handling_factor,
            asked,
            count,
            one,
            lasts,
            eurocode.CONNECTION,
            capacity,
        ),
    )
    return (found.in_system(units),)

"""Mounting: whether the screws through the back hold the piece, and how many it takes."""

from dataclasses import dataclass
from math import ceil

from nesting.advice.check import Check, compare, inform, said, table_pounds
from nesting.advice.fasteners import (
    LATERAL_PENETRATION,
    Wood,
    lateral_group,
    lateral_handbook,
    least_penetration,
    pull_through_allowable,
    screw_diameter,
    withdrawal_allowable,
    withdrawal_ultimate,
)
from nesting.base.counts import plural
from nesting.base.measure import UnitSystem, format_weight, inches
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
        source="a lid that swings at 11 Hz meets a fall from 18 in with 2 pi x 11 x 118 in/s = 21 G; over 5.5, rounded "
        "up: arithmetic",
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
    """

    weight_kg: float
    screw: int
    thread: int
    held: int
    into: Wood
    under: float
    washer_head: bool = False
    washer_in: float = 0.0

    def __post_init__(self) -> None:
        if self.weight_kg < 0 or self.thread <= 0 or self.held <= 0:
            raise ValueError(f"a mounting needs a weight, thread in the cleat and a back, not {self}")


def screw_pulls(mounting: Mounting, rules: MountingRules) -> tuple[float, float]:
    """Return the allowable withdrawal and the allowable pull-through of one mounting screw, pounds-force."""
    diameter = screw_diameter(mounting.screw)
    return (
        withdrawal_allowable(mounting.into.gravity, diameter, inches(mounting.thread)),
        pull_through_allowable(mounting.under, head_width(mounting, rules), inches(mounting.held)),
    )


def head_width(mounting: Mounting, rules: MountingRules) -> float:
    """Return how wide a mounting screw bears on what it holds, in inches."""
    own = rules.head_in if mounting.washer_head else 2 * screw_diameter(mounting.screw)
    return max(own, mounting.washer_in)


def screws_needed(mounting: Mounting, rules: MountingRules, *, cleats: int = 2) -> int:
    """How many screws hold the piece in withdrawal and against pull-through, never fewer than the least per cleat.

    Lateral load does not count screws here: where the formula applies, :func:`check_mounting` judges it for the
    number chosen, and setting blocks under the lower cleat carry the standing piece.

    Returns
    -------
    int
        For all cleats together, a multiple of ``cleats``.
    """
    load = table_pounds(mounting.weight_kg) * rules.handling_factor
    per_cleat = ceil(load / min(screw_pulls(mounting, rules)) / cleats)
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
    diameter = screw_diameter(mounting.screw)
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
            formula="n 2850 G^2 D L",
            source=_NDS,
            limits="side grain, dry wood, thread in sound wood; the load is shared evenly",
            note=f"{plural(count, 'screw')}; {demand}; ultimate about {said(ultimate, 'lbf', units)} (Wood Handbook, "
            "15,700 G^2 D L)",
            structure=True,
            worked=(
                "{} lb x {} = {} lbf against {} x 2850 x {}^2 x {} in x {} in = {} lbf",
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
            formula="n 690 pi D_H G^2 t, at most n 1725 pi D_H^2 G^2",
            source="AWC, NDS 2018, section 12.2.5 (from memory)",
            limits="round or washer heads flat on the panel; a countersunk head holds less",
            note=f"{plural(count, 'screw')}; {demand}",
            structure=True,
            worked=(
                "{} lb x {} = {} lbf against {} x {} lbf, of a head {} in wide on G = {} and {} in = {} lbf",
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
    deep = inches(mounting.thread) / diameter
    name, source = "mounting screws, lateral", "civil-engineering formula handbook, Eq. 6.38 and Table 6.2"
    limits = f"thread of {LATERAL_PENETRATION:g} D or more in the main member; replaced in the NDS by yield equations"
    if mounting.thread < least_penetration(mounting.screw):
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
            "{} lbf against {} x {} x ({} in)^2 = {} lbf",
            load,
            count,
            each / diameter**2,
            diameter,
            count * each,
        ),
    )

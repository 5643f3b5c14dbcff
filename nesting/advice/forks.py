"""Forks: whether a jack or truck gets under a case, and whether the case stands by itself."""

from dataclasses import dataclass
from math import atan2, degrees

from nesting.advice.check import Check, compare
from nesting.base.measure import INCH, UnitSystem, inches
from nesting.base.rules import check_rules, rule

_GEAR = (
    "equipment pages ([[3 to 3-1/4 in lowered, 27 in outside the forks|76 to 83 mm lowered, 686 mm outside the "
    "forks]]), quoted"
)


@dataclass(frozen=True, slots=True)
class ForkRules:
    """Handling gear that a case must suit."""

    jack_height: int = rule(
        INCH * 13 // 4, unit="length", low=INCH, high=8 * INCH, doc="Height of a lowered pallet jack.", source=_GEAR
    )
    jack_width: int = rule(
        27 * INCH, unit="length", low=12 * INCH, high=48 * INCH, doc="Width over both forks of a jack.", source=_GEAR
    )
    fork_height: int = rule(
        INCH * 5 // 2,
        unit="length",
        low=INCH,
        high=8 * INCH,
        doc="Clear height that a fork truck needs.",
        source="MH1 and trade practice, from memory",
    )
    base_share: float = rule(
        1 / 3,
        unit="ratio",
        low=0.1,
        high=1.0,
        doc="A case with a base under this part of its height gets outriggers.",
        source="common practice, no source",
    )

    def __post_init__(self) -> None:
        check_rules(self)


def check_forks(
    clear_height: int, clear_width: int, rules: ForkRules, units: UnitSystem = "inch"
) -> tuple[Check, Check, Check]:
    """Check the room under a case: height for a jack, width for a jack, height for a fork truck.

    Parameters
    ----------
    clear_height : int
        From the floor to the underside.
    clear_width : int
        Between two skids.
    units : {"inch", "metric"}
        How figures are written.
    """
    limits = "flat floor; measure your own jack"
    return (
        compare(
            "skids, height for a pallet jack",
            inches(rules.jack_height + 1),
            inches(clear_height),
            "in",
            formula="clear height > lowered jack",
            source=_GEAR,
            limits=limits,
            watch_from=1.01,
        ).in_system(units),
        compare(
            "skids, width for a pallet jack",
            inches(rules.jack_width),
            inches(clear_width),
            "in",
            formula="clear width >= over both forks",
            source=_GEAR,
            limits=limits,
            watch_from=1.01,
        ).in_system(units),
        compare(
            "skids, height for forks",
            inches(rules.fork_height),
            inches(clear_height),
            "in",
            formula="clear height >= fork entry",
            source="MH1 and trade practice, from memory",
            limits=limits,
            watch_from=1.01,
        ).in_system(units),
    )


def needs_outriggers(base: int, height: int, rules: ForkRules) -> bool:
    """Return whether a case's narrower base side is under the rule's part of its height."""
    return base < rules.base_share * height


def tipping_angle(base: int, centre_height: int) -> float:
    """Return the tilt in degrees at which a case with its centre of gravity over the middle of its base falls."""
    if base <= 0 or centre_height <= 0:
        raise ValueError("a case needs a base and a centre of gravity above it")
    return degrees(atan2(base / 2, centre_height))


def check_tipping(
    base: int, height: int, centre_height: int, rules: ForkRules, units: UnitSystem = "inch", *, outriggers: bool
) -> Check:
    """Check that a case stands: its base against the part of its height that the rule asks for.

    Parameters
    ----------
    base, height, centre_height : int
        The narrower side of its base with outriggers, its height, and that of its centre of gravity.
    units : {"inch", "metric"}
        How figures are written.
    outriggers : bool
        Whether it has them.
    """
    note = f"falls when tilted {tipping_angle(base, centre_height):.0f} degrees"
    if needs_outriggers(base, height, rules):
        note += "; its outriggers do not make up for its height" if outriggers else "; it has no outriggers"
        note += ": never let it stand free, strap it upright to something"
    return compare(
        "standing",
        rules.base_share * inches(height),
        inches(base),
        "in",
        formula="base >= height x share; falls at atan(base / 2 / height of the centre of gravity)",
        source="common practice, no source; angle by statics",
        limits="level floor, nothing pushing; toppling harms thin panels more than a drop (Getty, 1998, p. 544)",
        watch_from=1.01,
        worst="watch",
        note=note,
        worked=(
            "{} in against {} in x {} = {} in; atan({} in / 2 / {} in) = {} deg",
            inches(base),
            inches(height),
            rules.base_share,
            rules.base_share * inches(height),
            inches(base),
            inches(centre_height),
            tipping_angle(base, centre_height),
        ),
    ).in_system(units)

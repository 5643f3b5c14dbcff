"""Scope: beyond which weight and length a crate is outside the ASTM practice that it resembles."""

from nesting.advice.check import Check, compare, table_pounds
from nesting.base.measure import FOOT, UnitSystem

PANEL_BOX_LB = 1000.0
"""D6251: wood-cleated panelboard boxes, contents of 1000 lb (454 kg) at the most, depending on type."""
SKIDDED_LB = 2500.0
"""D6256: cleated boxes on skidded bases, loads of less than 2500 lb (1134 kg) ..."""
SKIDDED_LENGTH = 16 * FOOT
"""... and 16 ft (4877 mm) long at the most."""
CRATE_LB = 4000.0
"""D6039: open and covered wood crates, net loads of 4000 lb (1814 kg) at the most."""

_LIMITS = "the scope alone; none of our crates is built or tested to these practices unless a person sees to it"


def check_scope(net_kg: float, length: int, units: UnitSystem = "inch") -> Check:
    """Hold a crate's net weight and outside length against the narrowest ASTM scope that still takes it.

    Parameters
    ----------
    net_kg : float
        What the crate carries.
    length : int
        Its longest outside measure, exact grid.
    units : {"inch", "metric"}
        How figures are written.

    Returns
    -------
    Check
        "ok" inside D6251; "watch" where only D6256 or D6039 take it; "fails" beyond 4000 lb.
    """
    net = table_pounds(net_kg)
    if net <= PANEL_BOX_LB:
        return _scope(
            net, PANEL_BOX_LB, "D6251/D6251M", "contents <= [[1000 lb|454 kg]], depending on type", ""
        ).in_system(units)
    if net < SKIDDED_LB and length <= SKIDDED_LENGTH:
        note = "outside D6251: needs a skidded load-bearing base"
        return _scope(
            net,
            SKIDDED_LB,
            "D6256/D6256M-99",
            "load < [[2500 lb and length <= 16 ft|1134 kg and length <= 4877 mm]]",
            note,
        ).in_system(units)
    note = (
        "outside D6251 and D6256: have the crate designed"
        if net <= CRATE_LB
        else ("outside all three scopes (heavier crates: D7478, from memory): have the crate engineered")
    )
    return _scope(net, CRATE_LB, "D6039/D6039M", "net load <= [[4000 lb|1814 kg]]", note).in_system(units)


def _scope(net: float, most: float, standard: str, formula: str, note: str) -> Check:
    """Compare a weight with one scope; any scope but the narrowest is at least a "watch"."""
    return compare(
        f"scope of ASTM {standard.partition('/')[0]}",
        net,
        most,
        "lb",
        formula=formula,
        source=f"ASTM {standard}, scope",
        limits=_LIMITS,
        note=note,
        watch_from=0.0 if note else 1.01,
    )

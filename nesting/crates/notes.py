"""Notes: what a check of the advice means for the crate at hand, said so that a builder can act on it.

The advice knows formulas and no crate. Here its notes get what only the crate knows: who lifts, what the second figure
is, why pads are larger than the foam would like, and what a crate has not.
"""

from dataclasses import replace
from math import ceil

from nesting.advice.check import Check
from nesting.advice.lifting import Lift, LiftingRules, check_lifting, team_for
from nesting.measure import UnitSystem, format_length
from nesting.shop import Shop


def lifting(gross_kg: float, longest: int, lift: Lift, rules: LiftingRules) -> Check:
    """Return the check of lifting; its note says whose limit the second figure is."""
    check = check_lifting(gross_kg, longest, lift, rules)
    team = team_for(gross_kg, longest, rules)
    who = "four people" if team == "forks" else team
    note = f"the second figure is what NIOSH recommends that {who} lift by hand in this way; {check.note}"
    return replace(check, note=note)


def uncushioned(check: Check) -> Check:
    """Return the check of a crate that is sent alone: what to know before it goes by freight."""
    note = check.note.split("; send it", 1)[0]
    return replace(
        check,
        note=f"{note}; by freight it travels without a cushion: accept that knowingly, or take it there by hand, "
        "or order a travel frame in an outer case",
    )


def standing(check: Check, *, outriggers: bool) -> Check:
    """Return the check of standing; says that a narrow crate has no outriggers, where it has none."""
    asked = "; give it outriggers"
    if not check.note.endswith(asked) or outriggers:
        return check
    note = check.note.removesuffix(asked)
    return replace(check, note=f"{note}; it has no outriggers: never let it stand free, strap it upright to something")


def least_pad(thickness: int, shop: Shop) -> int:
    """Return the least side of a pad of that thickness: a narrower one buckles."""
    return ceil(shop.case.pad_slender * thickness)


def lightly_loaded(check: Check, thickness: int, shop: Shop, units: UnitSystem) -> Check:
    """Return a check of static stress; where the load is light it says why the pads are not cut smaller."""
    cut, advised = "too lightly loaded it is hard", "; use pads of "
    if cut not in check.note or advised not in check.note:
        return check
    before, area = check.note.split(advised, 1)
    area = area.removesuffix(" on this side")
    least, thick = (format_length(value, units, mark=True) for value in (least_pad(thickness, shop), thickness))
    return replace(
        check,
        note=f"{before}; it would like {area} in all on this side, but foam {thick} thick buckles in narrow pads: they "
        f"are no narrower than {least}, or as wide as the side. Cut them as listed, or use a softer foam",
    )

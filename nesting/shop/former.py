"""Former rules: what was built in once, still stands in a shop file of then, and binds what is better now.

A shop file made by ``casewright start`` states every rule. Those that nobody changed came with the program; a newer one
knows better, and can't tell them from rules that the studio chose. So they keep their meaning, and a remark names them.
"""

from typing import Any, Final

from nesting.base.measure import INCH
from nesting.base.rule_files import rule_toml, show
from nesting.base.rules import RuleFacts, rules_of
from nesting.shop.before import FIXED
from nesting.shop.house_rules import GearRules
from nesting.shop.materials_built_in import BUILT_IN
from nesting.shop.shop import Shop

FORMER: Final[dict[tuple[str, str], Any]] = {
    ("frame", "back_heavy_lb"): 40.0,
    ("frame", "back_middling_lb"): 20.0,
    ("battens", "good"): "ply-3/8",
    ("battens", "spacing"): 24 * INCH,
}
"""What 0.1.0 had built in, by group and rule: backs and battens went by weight alone before crates were designed."""

GOODS_OF_GEAR: Final = frozenset(
    {
        "bolt 1/4x1-1/2",
        "bolt 1/4x2",
        "bolt 1/4x3",
        "t-nut 1/4",
        "carriage bolt 3/8x4-1/2",
        "carriage bolt 3/8x5-1/2",
        "lag screw 3/8x3",
        "washer 3/8",
        "strapping",
        "strap buckle",
        "silica-gel",
    }
)
"""Goods that came with gear: a price book of before has none of them."""

GOODS_FOR_THE_WAY: Final = frozenset(
    {"pallet 48x40", "a-frame 72x36", "a-frame 96x48", "a-frame 120x48", "tilt-indicator", "shock-indicator"}
)
"""Goods that came with freight by the pallet: a price book of before has none of them."""

GOODS_OF_PLANK: Final = frozenset({"pe-plank-1", "pe-plank-1/2"})
"""Goods that came with foam as thick as the limit of shock asks: a price book of before has none of them."""

GOODS_OF_SHARING: Final = frozenset({"soft-foam-1", "soft-foam-1-1/2", "corrugated-pad", "2x2"})
"""Goods that came with cartons that several works share, and with cases on thinner lumber: the same."""

BEFORE_GEAR: Final = GearRules(handles="screwed", skids=False, standing=False, lid="screws", climate=False)
"""How crates were fitted out before there was gear."""


def remarks(shop: Shop, *, designed: bool = True) -> tuple[str, ...]:
    """Return what to know of rules of before, at most one remark each of designs, gear, cushions, frames and knives.

    Parameters
    ----------
    designed : bool
        Whether there is a crate that is chosen of a catalogue: designs and gear are of no concern to others.
    """
    of_crates = (*_of_designs(shop), *_of_gear(shop)) if designed else ()
    return (*of_crates, *_of_cushions(shop), *_of_frames(shop), *_of_knives(shop))


def _of_knives(shop: Shop) -> tuple[str, ...]:
    """Say of what a knife cuts that the shop's file has it sawn, and what that takes."""
    sawn = [
        each
        for own in BUILT_IN
        if own.cut_by == "knife or band" and (each := shop.material(own.material)).cut_by == "saw"
    ]
    if not sawn or not shop.saw.kerf:
        return ()
    (kerf,) = (facts for facts in rules_of(shop.saw) if facts.name == "kerf")
    (knife,) = (facts for facts in rules_of(shop.tools) if facts.name == "knife")
    said = (
        f'shop.toml says cut_by = "saw" for {", ".join(each.material for each in sawn)}: so each cut through it takes '
        f"{show(kerf, shop.saw.kerf)}; without that line it is cut with a knife up to {show(knife, shop.tools.knife)}, "
        "which takes nothing, and with a bandsaw or hot wire above"
    )
    return (said,)


def _of_frames(shop: Shop) -> tuple[str, ...]:
    """Say that no frame is made smaller for the sake of a sheet, and what that would give."""
    if shop.frame.smaller_by:
        return ()
    facts = {each.name: each for each in rules_of(shop.frame)}
    larger, smaller = facts["larger_by"], facts["smaller_by"]
    said = (
        f"every frame is {show(larger, shop.frame.larger_by)} larger than its pieces, as frame.larger_by in shop.toml "
        f'says; with frame.smaller_by = "{show(smaller, smaller.default)}" one is made smaller by up to that where its '
        "faces then come out of fewer sheets"
    )
    return (said,)


def _of_cushions(shop: Shop) -> tuple[str, ...]:
    """Say that foam is as thick as its rule says, and what the checked one would give."""
    if shop.case.cushion != FIXED:
        return ()
    (thick,) = (facts for facts in rules_of(shop.cushion) if facts.name == "thickness")
    said = (
        f"foam in cases and cartons is fixed at {show(thick, shop.cushion.thickness)} on each side, as "
        'cushion.thickness says; with case.cushion = "checked" each gets the least that keeps the shock '
        "to what its pieces take, which is often less foam and a smaller case"
    )
    return (said,)


def _of_gear(shop: Shop) -> tuple[str, ...]:
    """Say that there is no gear where the price book holds none."""
    lacking = sorted(GOODS_OF_GEAR - set(shop.by_name))
    if not lacking or shop.gear != BEFORE_GEAR:
        return ()
    said = (
        f"the price book has no {', '.join(lacking)}: so handles are screwed on, and crates have no skids, straps, "
        "bolted lids or silica gel, as before; with rows for them (casewright start writes them) each crate gets what "
        "it must be lifted by and stand on"
    )
    return (said,)


def _of_designs(shop: Shop) -> tuple[str, ...]:
    """Say which rules stand as they were built in once, and what leaving them out gives."""
    stated = [
        f"{group}.{name} = {rule_toml(_facts(rules, name), former)}"
        for (group, name), former in FORMER.items()
        for rules in (getattr(shop, group),)
        if getattr(rules, name) == former
    ]
    if not stated:
        return ()
    told = ", ".join(stated)
    remark = (
        f"shop.toml says {told}, as was built in before crates were designed: so it stays, though without these lines "
        "each crate takes the cheapest back and battens that hold"
    )
    return (remark,)


def _facts(rules: Any, name: str) -> RuleFacts:
    return next(facts for facts in rules_of(rules) if facts.name == name)

"""Which parts of crates are blanks that are ripped in two at a bevel, and the set-ups that this takes at the saw."""

from collections.abc import Iterable

from nesting.crates.model import Crate
from nesting.cutting.parts import Part
from nesting.cutting.sawing.bevels import bevel_settings
from nesting.cutting.sawing.limits import Limits
from nesting.cutting.sawing.model import Setting
from nesting.cutting.sawing.plan import plan_in
from nesting.cutting.sheets import Layout
from nesting.shop.needs import blade_of
from nesting.shop.shop import Shop


def bevelled(crates: Iterable[Crate]) -> dict[str, Part]:
    """Return the blanks among the parts of crates, by name: a bevelled part is placed by its outline."""
    found = {}
    for crate in crates:
        names = {placed.part for placed in crate.placed if placed.half}
        found.update({part.name: part for part in crate.parts if part.name in names})
    return found


def bevels_in(shop: Shop, crates: Iterable[Crate], layout: Layout) -> tuple[Setting, ...]:
    """Return the bevel rips of a layout, which follow its square cuts (:func:`nesting.cutting.sawing.plan.plan_in`)."""
    blanks = bevelled(crates)
    if not blanks:
        return ()
    good = shop.good(layout.good)
    limits = Limits.of(good.thickness, shop.saw.kerf, shop.saw, shop.tools, blade_of(shop, good))
    first = len(plan_in(shop, layout).cuts) + 1
    return bevel_settings(layout, blanks, good.thickness, shop.saw.kerf, limits, first, shop.grain)

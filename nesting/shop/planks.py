"""Planks: sheets of one cushioning foam in several thicknesses, stacked to what a cushion asks for."""

from collections.abc import Sequence
from functools import cache

from nesting.base.counts import plural
from nesting.shop.goods import Good
from nesting.shop.shop import Shop


def planks(shop: Shop, good: str) -> tuple[Good, ...]:
    """Return the stocked sheets of the same foam as a good, that good among them, the thinnest first."""
    first = shop.good(good)
    alike = {each.thickness: each for each in reversed(shop.goods) if _like(each, first)}
    # Of two sheets of one thickness the one that the rule names is taken.
    alike[first.thickness] = first
    return tuple(alike[thickness] for thickness in sorted(alike))


def _like(one: Good, other: Good) -> bool:
    return (one.form, one.material, one.density) == (other.form, other.material, other.density) and one.thickness > 0


def stacked(thickness: int, shop: Shop, good: str) -> tuple[Good, ...]:
    """Return the sheets that come to a thickness, or to the least beyond it, in the fewest layers.

    Parameters
    ----------
    thickness : int
        What is asked for; at least one sheet is returned.
    good : str
        A plank of the foam, by its short name.

    Returns
    -------
    tuple of Good
        The thickest first: that one is glued to the case, the others on it.
    """
    stocked = planks(shop, good)
    return tuple(stocked[index] for index in _fewest(max(1, thickness), tuple(each.thickness for each in stocked)))


def thickness_of(stack: Sequence[Good]) -> int:
    """Return how thick a stack is."""
    return sum(each.thickness for each in stack)


def thicknesses(most: int, shop: Shop, good: str) -> tuple[int, ...]:
    """Return every thickness up to a limit that sheets of one foam stack to, the least first."""
    reached = {0}
    for each in planks(shop, good):
        reached |= {
            start + times * each.thickness for start in reached for times in range((most - start) // each.thickness + 1)
        }
    return tuple(sorted(reached - {0}))


@cache
def _fewest(asked: int, thick: tuple[int, ...]) -> tuple[int, ...]:
    """Return which thicknesses, by their places, come to the least sum that is enough, in the fewest layers.

    Sums are reached one by one from nothing: each keeps the way of fewest layers, and of these the one whose thickest
    layers are thickest.
    """
    best: dict[int, tuple[int, ...]] = {0: ()}
    open_sums = [0]
    found: int | None = None
    while open_sums:
        sums, open_sums = open_sums, []
        for start in sums:
            if start >= asked:
                found = start if found is None else min(found, start)
                continue
            for index, each in enumerate(thick):
                made = tuple(sorted((*best[start], index), reverse=True))
                known = best.get(start + each)
                if known is None:
                    open_sums.append(start + each)
                if known is None or (len(made), [-i for i in made]) < (len(known), [-i for i in known]):
                    best[start + each] = made
    return best[found] if found is not None else ()


def layers_told(goods: Sequence[Good]) -> str:
    """Say of which layers a pad is made, each kind counted: 1 layer of plank 2 in and 2 layers of plank 1 in."""
    return " and ".join(f"{plural(goods.count(good), 'layer')} of {good.title}" for good in dict.fromkeys(goods))

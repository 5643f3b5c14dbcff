"""What is kept of a shop from one build of an order to the next: crates that come out the same are made once."""

from collections.abc import Hashable, MutableMapping
from typing import Any, Final

from nesting.base.measure import UnitSystem
from nesting.crates.judge import Judge
from nesting.shop.shop import Shop

MANY: Final = 5_000
FEW: Final = 500
"""Entries of one shop beyond which all are let go: of what is small, and of what is as large as a whole crate."""


def kept(
    memory: MutableMapping[Any, Any] | None, what: tuple[str, int], shop: Shop, units: UnitSystem, judge: Judge
) -> dict[Hashable, Any]:
    """Return what earlier work with the same shop left, to be added to.

    Parameters
    ----------
    memory : mutable mapping or None
        Of a search; nothing is kept where there is none.
    what : (str, int)
        What is kept, such as ``"sketches"``, and how much of it at the most when this is asked.
    shop, units, judge
        All that whoever asks depends on besides its own keys.

    Returns
    -------
    dict
        The same one each time, as long as it does not grow too large.
    """
    if memory is None:
        return {}
    judged = tuple(tuple(sorted(each.items())) for each in (judge.areas, judge.each, judge.minutes))
    found: dict[Hashable, Any] = memory.setdefault((what[0], shop, units, judged, judge.minute, judge.gram), {})
    if len(found) > what[1]:
        found.clear()
    return found


def room_for(pieces: int) -> int:
    """Return how many crates are kept of an order of so many pieces: all of its own, however large it is."""
    return max(FEW, 2 * pieces)


def kept_frames(
    memory: MutableMapping[Any, Any] | None, shop: Shop, units: UnitSystem, pieces: int = 0
) -> dict[Hashable, Any]:
    """Return the travel frames that were made before any case was, by nobody's judgement; see :func:`kept`."""
    return kept(memory, ("frames", room_for(pieces)), shop, units, Judge())

"""A rough total of a large order, from some of its pieces: for the seconds until it is worked out, and marked as such.

Pieces are taken evenly from all of them, put in order by place, method and size. They are quoted as an order of their
own, and all are reckoned to cost as those do by the area of their sides. What an order costs once is so counted too
often, and what many pieces share, such as sheets and vans, too seldom: it is the order of size of a figure, no figure.
"""

from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction
from typing import Final

from nesting.base.faults import FaultsFound
from nesting.base.measure import INCH
from nesting.base.search import Memory
from nesting.order import Artwork
from pricing.desk.settling import Settling, first_design

TAKEN: Final = 12
"""Pieces that are quoted: a quarter of a second of processor. Twice as many came no nearer on 120 and 1,000 pieces."""
ABOUT: Final = "about"
"""Begins every rough total."""
_DIGITS: Final = 2
"""Figures that a rough total is given to."""
_AROUND: Final = 4 * INCH
"""Added to each side: a piece is packed in more than its own size, which counts most for a small one."""


def rough_total(asked: Settling, memory: Memory) -> str:
    """Return what an order may come to, as text; empty where that cannot be said from some of its pieces."""
    copies = sorted(asked.order.copies(), key=_by_kind)
    taken = min(TAKEN, len(copies))
    some = tuple(copies[(2 * n + 1) * len(copies) // (2 * taken)] for n in range(taken))
    few = replace(asked.order, artworks=tuple(replace(each, copy_of=None) for each in map(_alone, some)))
    try:
        these = replace(asked, order=few, sawn=None, taken=None)
        made = these.quick(memory, first_design(None, these), draft=True)
    except FaultsFound:
        return ""
    total = Fraction(made.total) * _area(copies) / _area(some)
    return f"{ABOUT} {made.currency} {_few_digits(total):,}" if total else ""


def _by_kind(piece: Artwork) -> tuple[str, str, int]:
    return piece.destination or "", piece.method, _area([piece])


def _alone(piece: Artwork) -> Artwork:
    """Return a piece without what binds it to others, which may not be among those that are taken."""
    return replace(piece, set_name=None, together=(), apart=())


def _area(pieces: Iterable[Artwork]) -> int:
    """Return the area of the sides of what pieces are packed in, about."""
    found = 0
    for each in pieces:
        width, height, depth = (side + _AROUND for side in (each.width, each.height, each.depth))
        found += 2 * (width * height + width * depth + height * depth)
    return found


def _few_digits(amount: Fraction) -> int:
    """Return an amount to its first figures."""
    step = int(10 ** max(0, len(str(int(amount))) - _DIGITS))
    return round(amount / step) * step

"""Splices: how long a strip of a sheet can be, and where a member longer than that is joined."""

from itertools import pairwise

from nesting.shop.shop import Shop


def longest_strip(good: str, shop: Shop) -> int:
    """Return the longest strip that can be ripped from a stocked sheet of the good, trim taken off."""
    trim = shop.saw.trim_left + shop.saw.trim_right
    return max(size.length for size in shop.good(good).sizes) - trim


def splice(length: int, longest: int, snap: int) -> list[int]:
    """Return where a member is joined so that no piece is longer than the stock: equal pieces, set to the step."""
    count = -(-length // longest)
    joints = [length * k // count // snap * snap for k in range(1, count)]
    # Setting to the step lengthens the last piece; where the stock is met exactly there is no room for that.
    fits = all(b - a <= longest for a, b in pairwise([0, *joints, length]))
    return joints if fits else [length * k // count for k in range(1, count)]

"""Blocks: places gathered so that few figures tell many of them."""

from collections import defaultdict
from collections.abc import Iterable

Point = tuple[int, int, int]
Block = tuple[tuple[int, ...], tuple[int, ...], tuple[int, ...]]
"""Places along x, y and z; a copy of the part stands at every combination."""


def blocks(points: Iterable[Point]) -> list[Block]:
    """Gather places into blocks, each of which stands for all combinations of its figures.

    Places that agree in two ways are put together first along x, then along y, then along z. Nothing is lost or added:
    the combinations of all blocks are exactly the points.
    """
    made: list[Block] = [((x,), (y,), (z,)) for x, y, z in sorted(set(points))]
    for axis in range(3):
        groups: dict[tuple[tuple[int, ...], ...], set[int]] = defaultdict(set)
        for block in made:
            groups[tuple(own for way, own in enumerate(block) if way != axis)].update(block[axis])
        made = []
        for others, found in groups.items():
            ways = list(others)
            ways.insert(axis, tuple(sorted(found)))
            made.append((ways[0], ways[1], ways[2]))
    return made

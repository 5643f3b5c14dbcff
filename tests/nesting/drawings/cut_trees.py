"""Random cut trees: sheets cut at random, with slivers, dust, trim, and parts of any size."""

import random
from collections import Counter

from hypothesis import strategies as st

from nesting.base.measure import INCH
from nesting.cutting.sheets import Cut, Node, Offcut, PartLeaf, Sheet, SheetLayout, Trim, Waste

STEP = INCH // 16


def random_layout(seed: int, *, kerf: int = INCH // 8, most: int = 40, crates: int = 3) -> SheetLayout:
    """Return a sheet cut at random: strips of equal width, blocks, and now and then a rest that is only dust."""
    rng = random.Random(seed)
    length, width = rng.choice([(96, 48), (108, 48), (60, 60), (120, 60)])
    trim = None
    if rng.random() < 0.4:
        trim = Trim(*(rng.choice([0, 0, INCH // 4, INCH // 2]) for _ in range(4)))
    sheet = Sheet(f"board {length // 12}x{width // 12}", length * INCH, width * INCH, 5000, trim=trim)
    left = [most]
    names = Counter[tuple[int, int]]()

    def leaf(dx: int, dy: int) -> Node:
        kind = rng.random()
        if kind < 0.12:
            return Offcut()
        if kind < 0.2:
            return Waste()
        known = (max(dx, dy), min(dx, dy))
        names[known] += 1
        number = list(names).index(known)
        return PartLeaf(f"K{number % crates + 1}.part-{number}", turned=dy > dx)

    def cut(dx: int, dy: int, depth: int) -> Node:
        left[0] -= 1
        if left[0] < 0 or depth > 7 or rng.random() < 0.12 * depth or max(dx, dy) < 6 * STEP:
            return leaf(dx, dy)
        direction = rng.choice(["rip", "cross"])
        across = dy if direction == "rip" else dx
        if across < 4 * STEP:
            return leaf(dx, dy)
        if rng.random() < 0.08:
            at = across - rng.randint(0, max(kerf, 1))  # only dust remains, or nothing at all
        else:
            at = min(across, rng.choice([across // 2, across // 3, rng.randrange(STEP, across, STEP), 9 * INCH // 2]))
        rest = across - at - kerf
        first = cut(dx, at, depth + 1) if direction == "rip" else cut(at, dy, depth + 1)
        behind: Node = Waste()
        if rest > 0:
            behind = cut(dx, rest, depth + 1) if direction == "rip" else cut(rest, dy, depth + 1)
        return Cut("rip" if direction == "rip" else "cross", at, first, behind)

    return SheetLayout(sheet, cut(sheet.usable_length, sheet.usable_width, 0), rng.randint(1, 4))


def layouts() -> st.SearchStrategy[SheetLayout]:
    """Sheets cut at random; they do not shrink well, but name their seed."""
    return st.integers(0, 10**6).map(random_layout)


def wanted(layout: SheetLayout, kerf: int) -> Counter[tuple[str, int, int]]:
    """Count the parts of a layout as name and size along and across, by the optimiser's own walk."""
    found = Counter[tuple[str, int, int]]()
    for _, _, dx, dy, node in layout.pieces(kerf):
        if isinstance(node, PartLeaf):
            found[node.part, dx, dy] += 1
    return found

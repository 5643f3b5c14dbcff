"""Panels: where every cut of a sheet's cut tree lies, as rectangles on the sheet.

A cut tree is binary; a saw sees stages. Cuts that follow each other in one direction are one stage here: a panel
divided into segments side by side, one kerf between neighbours, whose cuts may be made in any order. Nothing is moved:
positions are the tree's own.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from nesting.cutting.sheets import Cut, Offcut, PartLeaf, Sheet, Trim, Waste

Leaf = PartLeaf | Offcut | Waste
Tree = Cut | Leaf


@dataclass(frozen=True)
class Panel:
    """A rectangle on the sheet: a leaf of the cut tree, or a stage of cuts in one direction.

    Attributes
    ----------
    x, y, dx, dy : int
        Lower left corner from the sheet's own corner, trim included, and size.
    leaf : PartLeaf, Offcut, Waste or None
        What the panel is; None where it is cut further.
    direction : {"rip", "cross"} or None
        Direction of the stage's cuts.
    segments : tuple of Panel
        What the stage divides the panel into, from the lower or left edge.
    sawdust : bool
        Whether behind the last segment there is one more cut, whose rest is a kerf or less: nothing remains there.
    """

    x: int
    y: int
    dx: int
    dy: int
    leaf: Leaf | None = None
    direction: str | None = None
    segments: tuple["Panel", ...] = ()
    sawdust: bool = False

    @cached_property
    def name(self) -> str:
        """The part's name; ``"offcut"`` or ``"waste"``; empty for a stage."""
        if isinstance(self.leaf, PartLeaf):
            return self.leaf.part
        return {Offcut: "offcut", Waste: "waste"}[type(self.leaf)] if self.leaf is not None else ""

    @cached_property
    def is_part(self) -> bool:
        """Whether it is a part."""
        return isinstance(self.leaf, PartLeaf)

    @cached_property
    def is_scrap(self) -> bool:
        """Whether it is an offcut or waste."""
        return self.leaf is not None and not self.is_part

    @property
    def place(self) -> tuple[int, int, int, int]:
        """Corner and size: x, y, dx, dy."""
        return self.x, self.y, self.dx, self.dy

    def leaves(self) -> Iterator["Panel"]:
        """Yield the leaves, in the order of the tree."""
        if self.leaf is not None:
            yield self
        for segment in self.segments:
            yield from segment.leaves()

    def extent(self, direction: str) -> int:
        """Size across the cuts of a direction: width for rips, length for crosscuts."""
        return self.dy if direction == "rip" else self.dx


def panels(sheet: Sheet, cuts: Tree, kerf: int) -> Panel:
    """Return the panel that is left of a sheet after its trim, divided as the cut tree says.

    Raises
    ------
    ValueError
        When a cut is outside its panel.
    """
    trim = sheet.trim or Trim()
    return _panel(cuts, trim.left, trim.bottom, sheet.usable_length, sheet.usable_width, kerf)


def _panel(tree: Tree, x: int, y: int, dx: int, dy: int, kerf: int) -> Panel:
    if not isinstance(tree, Cut):
        return Panel(x, y, dx, dy, leaf=tree)
    direction = tree.direction
    whole = (x, y, dx, dy)
    across = dy if direction == "rip" else dx
    segments: list[Panel] = []
    sawdust = False
    node: Tree = tree
    while isinstance(node, Cut) and node.direction == direction:
        if not 0 < node.at <= across:
            raise ValueError(f"a {direction} at {node.at} is outside a panel of {across}")
        made = _panel(node.first, x, y, *((dx, node.at) if direction == "rip" else (node.at, dy)), kerf)
        # Cuts nested in `first` belong to the same stage, unless a kerf or less went to dust between them.
        nested = made.direction == direction and not made.sawdust
        segments.extend(made.segments if nested else (made,))
        rest = across - node.at - kerf
        if rest <= 0:
            sawdust = across > node.at
            break
        if direction == "rip":
            y, dy = y + node.at + kerf, rest
        else:
            x, dx = x + node.at + kerf, rest
        across, node = rest, node.rest
    else:
        segments.append(_panel(node, x, y, dx, dy, kerf))
    if len(segments) == 1 and not sawdust:
        return segments[0]
    return Panel(*whole, None, direction, tuple(segments), sawdust)


def stages_of(panel: Panel) -> Iterator[Panel]:
    """Yield a panel and all below it that are cut further."""
    if panel.leaf is None:
        yield panel
        for segment in panel.segments:
            yield from stages_of(segment)

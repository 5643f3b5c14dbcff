"""Arrangement: how the pieces of one carton lie: in layers between boards, side by side with dividers, or in trays.

Several works in one carton are one unit with a firm interleave, and the unit is cushioned evenly on all sides
(Government of Canada, conservation advice on shipping works of art). Faces look to the front; two layers may lie back
to back. A tray has a base and four sides higher than its piece, so that the next base or the board rests on the sides,
with air before the face: resin that shares a carton always lies so. A tray that is smaller than the one below it would
drop between its sides onto the face: where trays are not all of one size, a board lies over each layer.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

from nesting.base.measure import INCH, MM
from nesting.base.own_length import OwnLength, whole
from nesting.crates.bench import Axis
from nesting.crates.cartons.parcel import Parcel
from nesting.crates.chosen import CartonDesign
from nesting.crates.model import Box, Size
from nesting.shop.shop import Shop

_STEP = OwnLength(INCH // 8, 2 * MM)
_PLAY = OwnLength(INCH // 8, 3 * MM)
"""Play of a wrapped piece in its tray on each side: the hand's room, no source."""
MIDDLE: Final = "middle board"
"""A board over a layer of trays, on which those of another size stand."""


@dataclass(frozen=True, slots=True)
class Rigid:
    """A rigid sheet in the contents of a carton, from their lower left corner."""

    name: str
    good: str
    box: Box
    flat: Axis


@dataclass(frozen=True, slots=True)
class Arrangement:
    """Pieces and what stands between them.

    Attributes
    ----------
    size : Size
        Of the whole, boards included.
    pieces : tuple of (str, Box)
        Each bare piece, from the lower left corner of the whole.
    rigid : tuple of Rigid
        Boards, middle boards, interleaves, dividers and trays.
    layers : int
        Of pieces, one over the other.
    """

    size: Size
    pieces: tuple[tuple[str, Box], ...]
    rigid: tuple[Rigid, ...]
    layers: int


def up(value: int, step: int) -> int:
    """Round up to the next step."""
    return -(-value // step) * step


def stacked_up(parcels: Sequence[Parcel], shop: Shop) -> Arrangement:
    """Lay pieces one over the other as they hang, a board at either face and between neighbours."""
    board, step = shop.carton.board_good, shop.own(_STEP)
    thick = shop.good(board).thickness
    # Boards are cut to a size that a rule shows; the parcel has that much play between them.
    width = up(max(each.wrapped.size.width for each in parcels), step)
    height = up(max(each.wrapped.size.height for each in parcels), step)
    rigid = [Rigid("board", board, Box(0, 0, 0, width, height, thick), "z")]
    pieces, z = [], thick
    for each in parcels:
        slot = _Slot(each, each.bare, each.wrapped.size, 0, shop.grain)
        pieces.append((each.piece, slot.lies(0, width, height, z)))
        z += slot.size.depth
        rigid.append(Rigid("board", board, Box(0, 0, z, width, height, thick), "z"))
        z += thick
    return Arrangement(Size(width, height, z), tuple(pieces), tuple(rigid), len(parcels))


def arranged(parcels: Sequence[Parcel], design: CartonDesign, shop: Shop) -> Arrangement:
    """Lay pieces out, in their order: layer on layer from the back, in each from left to right.

    Parameters
    ----------
    parcels : sequence of Parcel
        Each in its wrapping.
    design : CartonDesign
        How many lie side by side, how they are turned, and whether in trays or back to back.
    shop : Shop
        Its boards, its dividers and the air before a face in a tray.
    """
    slots = [_slot(each, design, shop) for each in parcels]
    rows = [slots[at : at + design.beside] for at in range(0, len(slots), design.beside)]
    columns = [max(row[n].size.width for row in rows if n < len(row)) for n in range(len(rows[0]))]
    gap = 0 if design.trays else shop.good(shop.carton.divider_good).thickness if len(columns) > 1 else 0
    step = shop.own(_STEP)
    width = up(sum(columns) + gap * (len(columns) - 1), step)
    height = up(max(slot.size.height for slot in slots), step)
    return _Stack(shop, design, (width, height), columns, gap).laid(rows)


@dataclass(frozen=True, slots=True)
class _Slot:
    """A piece as it is turned, with the room that it takes in its layer, and what of its depth lies under it.

    ``grain`` is the step of where it lies (:func:`nesting.base.own_length.grain_of`).
    """

    parcel: Parcel
    bare: Size
    size: Size
    under: int = 0
    grain: int = 1

    def lies(self, x: int, width: int, height: int, z: int) -> Box:
        """Return where the bare piece lies: in the middle of a place, half its wrapping under it."""
        return Box(
            x + whole((width - self.bare.width) // 2, self.grain),
            whole((height - self.bare.height) // 2, self.grain),
            z + self.under + whole((self.parcel.wrapped.size.depth - self.bare.depth) // 2, self.grain),
            self.bare.width,
            self.bare.height,
            self.bare.depth,
        )


def _slot(parcel: Parcel, design: CartonDesign, shop: Shop) -> _Slot:
    """Turn a piece as its design says, and measure it with its wrapping or its tray."""
    bare, outer = parcel.bare, parcel.wrapped.size
    if bare.width != bare.height and (bare.width > bare.height) is not design.turned:
        bare, outer = (Size(each.height, each.width, each.depth) for each in (bare, outer))
    if not design.trays:
        return _Slot(parcel, bare, outer, 0, shop.grain)
    wall = shop.good(shop.carton.divider_good).thickness
    step, more = shop.own(_STEP), 2 * (wall + shop.own(_PLAY))
    depth = up(wall + outer.depth + shop.carton.tray_air, step)
    size = Size(up(outer.width + more, step), up(outer.height + more, step), depth)
    return _Slot(parcel, bare, size, wall, shop.grain)


@dataclass(slots=True)
class _Stack:
    """Layers while they are laid on each other.

    Attributes
    ----------
    across : (int, int)
        Width and height of the whole.
    columns : list of int
        How wide the places of a layer are, from left to right.
    gap : int
        Between neighbours; 0 where trays stand side by side.
    """

    shop: Shop
    design: CartonDesign
    across: tuple[int, int]
    columns: list[int]
    gap: int
    rigid: list[Rigid] = field(default_factory=list)

    def laid(self, rows: Sequence[Sequence[_Slot]]) -> Arrangement:
        """Lay all layers, a board at either end, and over each layer of trays of several sizes."""
        rules, height = self.shop.carton, self.across[1]
        pieces: list[tuple[str, Box]] = []
        z = self._across("board", rules.board_good, 0)
        # By all trays, not by neighbours: rows in another order need no other boards.
        apart = len({(slot.size.width, slot.size.height) for row in rows for slot in row}) > 1
        for number, row in enumerate(rows):
            depth = max(slot.size.depth for slot in row)
            x = 0
            for column, slot in enumerate(row):
                wide = self.columns[column]
                pieces.append((slot.parcel.piece, slot.lies(x, wide, height, z)))
                if self.design.trays:
                    self._tray(slot, x + self.shop.whole((wide - slot.size.width) // 2), z, depth)
                x += wide
                if self.gap and column + 1 < len(self.columns):
                    box = Box(x, 0, z, self.gap, height, depth)
                    self.rigid.append(Rigid("divider", rules.divider_good, box, "x"))
                    x += self.gap
            z += depth
            if number == len(rows) - 1:
                z = self._across("board", rules.board_good, z)
            elif self.design.trays:
                if apart:
                    z = self._across(MIDDLE, rules.board_good, z)
            elif not self.design.backs:
                z = self._across("interleaf", rules.divider_good, z)
        return Arrangement(Size(*self.across, z), tuple(pieces), tuple(self.rigid), len(rows))

    def _across(self, name: str, good: str, z: int) -> int:
        """Lay a sheet over the whole; return where what comes next begins."""
        thick = self.shop.good(good).thickness
        self.rigid.append(Rigid(name, good, Box(0, 0, z, *self.across, thick), "z"))
        return z + thick

    def _tray(self, slot: _Slot, x: int, z: int, depth: int) -> None:
        """Put down a tray: a base, and four sides on it as high as its layer."""
        good, wall = self.shop.carton.divider_good, slot.under
        width, height = slot.size.width, slot.size.height
        y, high = self.shop.whole((self.across[1] - height) // 2), depth - wall
        self.rigid.append(Rigid("tray base", good, Box(x, y, z, width, height, wall), "z"))
        for low in (y, y + height - wall):
            self.rigid.append(Rigid("tray side", good, Box(x, low, z + wall, width, wall, high), "y"))
        for left in (x, x + width - wall):
            box = Box(left, y + wall, z + wall, wall, height - 2 * wall, high)
            self.rigid.append(Rigid("tray end", good, box, "x"))

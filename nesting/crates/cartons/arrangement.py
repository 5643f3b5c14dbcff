"""Arrangement: how the pieces of one carton lie: in layers between boards, side by side with dividers, or in trays.

Several works in one carton are one unit with a firm interleave, and the unit is cushioned evenly on all sides
(Government of Canada, conservation advice on shipping works of art). Faces look to the front; two layers may lie back
to back. A tray has a base and four sides higher than its piece, so that the next base or the board rests on the sides,
with air before the face: resin that shares a carton always lies so.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from nesting.base.measure import INCH
from nesting.crates.bench import Axis
from nesting.crates.cartons.parcel import Parcel
from nesting.crates.chosen import CartonDesign
from nesting.crates.model import Box, Size
from nesting.shop.shop import Shop

_PLAY = INCH // 8
"""Play of a wrapped piece in its tray on each side: the hand's room, no source."""


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
        Boards, interleaves, dividers and trays.
    layers : int
        Of pieces, one over the other.
    """

    size: Size
    pieces: tuple[tuple[str, Box], ...]
    rigid: tuple[Rigid, ...]
    layers: int


@dataclass(frozen=True, slots=True)
class _Slot:
    """A piece with what is round it in its layer."""

    parcel: Parcel
    bare: Size
    size: Size


def up(value: int, step: int) -> int:
    """Round up to the next step."""
    return -(-value // step) * step


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
    gap = 0 if design.trays or len(columns) == 1 else shop.good(shop.carton.divider_good).thickness
    width = up(sum(columns) + gap * (len(columns) - 1), _STEP)
    height = up(max(slot.size.height for slot in slots), _STEP)
    return _Stack(shop, design, width, height, columns, gap).laid(rows)


_STEP = INCH // 8


def _slot(parcel: Parcel, design: CartonDesign, shop: Shop) -> _Slot:
    """Turn a piece as its design says, and measure it with its wrapping or its tray."""
    wide = (parcel.bare.width > parcel.bare.height) is design.turned or parcel.bare.width == parcel.bare.height
    bare = parcel.bare if wide else Size(parcel.bare.height, parcel.bare.width, parcel.bare.depth)
    outer = parcel.wrapped.size if wide else Size(parcel.wrapped.size.height, parcel.wrapped.size.width, parcel.wrapped.size.depth)
    if not design.trays:
        return _Slot(parcel, bare, outer)
    wall = shop.good(shop.carton.divider_good).thickness
    more = 2 * (wall + _PLAY)
    return _Slot(
        parcel,
        bare,
        Size(up(outer.width + more, _STEP), up(outer.height + more, _STEP), wall + outer.depth + shop.carton.tray_air),
    )


@dataclass(slots=True)
class _Stack:
    """Layers while they are laid on each other."""

    shop: Shop
    design: CartonDesign
    width: int
    height: int
    columns: list[int]
    gap: int

    def laid(self, rows: Sequence[Sequence[_Slot]]) -> Arrangement:
        """Lay all layers, a board at either end."""
        rules = self.shop.carton
        pieces: list[tuple[str, Box]] = []
        rigid: list[Rigid] = []
        z = self._board(rigid, rules.board_good, 0)
        for number, row in enumerate(rows):
            depth = max(slot.size.depth for slot in row)
            x = 0
            for column, slot in enumerate(row):
                pieces.append(self._piece(rigid, slot, x, z, depth, number))
                x += self.columns[column]
                if self.gap and column + 1 < len(self.columns):
                    rigid.append(Rigid("divider", rules.divider_good, Box(x, 0, z, self.gap, self.height, depth), "x"))
                    x += self.gap
            z += depth
            last = number == len(rows) - 1
            between = not (last or self.design.trays or (self.design.backs and number == 0))
            if last or between:
                z = self._board(rigid, rules.board_good if last else rules.divider_good, z)
        return Arrangement(Size(self.width, self.height, z), tuple(pieces), tuple(rigid), len(rows))

    def _board(self, rigid: list[Rigid], good: str, z: int) -> int:
        """Lay a board over the whole; return where what comes next begins."""
        thick = self.shop.good(good).thickness
        name = "board" if good == self.shop.carton.board_good else "interleaf"
        rigid.append(Rigid(name, good, Box(0, 0, z, self.width, self.height, thick), "z"))
        return z + thick

    def _piece(self, rigid: list[Rigid], slot: _Slot, x: int, z: int, depth: int, number: int) -> tuple[str, Box]:
        """Put a piece down in the middle of its place, in its tray where it has one."""
        bare, size = slot.bare, slot.size
        column = min(self.columns, key=lambda each: (each < size.width, each))
        del column
        left, low = x, (self.height - size.height) // 2
        if self.design.trays:
            wall = self.shop.good(self.shop.carton.divider_good).thickness
            at = z + wall + (slot.parcel.wrapped.size.depth - bare.depth) // 2
            self._tray(rigid, Box(left, low, z, size.width, size.height, depth), wall)
        else:
            at = z + (size.depth - bare.depth) // 2
        return (
            slot.parcel.piece,
            Box(
                left + (size.width - bare.width) // 2,
                low + (size.height - bare.height) // 2,
                at,
                bare.width,
                bare.height,
                bare.depth,
            ),
        )

    def _tray(self, rigid: list[Rigid], whole: Box, wall: int) -> None:
        """Put down a tray: a base, and four sides on it as high as its layer."""
        good = self.shop.carton.divider_good
        rigid.append(Rigid("tray base", good, Box(whole.x, whole.y, whole.z, whole.dx, whole.dy, wall), "z"))
        z, high = whole.z + wall, whole.dz - wall
        for y in (whole.y, whole.y + whole.dy - wall):
            rigid.append(Rigid("tray side", good, Box(whole.x, y, z, whole.dx, wall, high), "y"))
        for left in (whole.x, whole.x + whole.dx - wall):
            rigid.append(
                Rigid("tray end", good, Box(left, whole.y + wall, z, wall, whole.dy - 2 * wall, high), "x")
            )

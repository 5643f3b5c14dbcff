"""Misfits: parts larger than all that is stocked of their good, told by part, crate and piece in the order's units.

The searches are handed bare numbers and would refuse such parts in bare numbers, so they are told before any search.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from nesting.base.faults import Fault
from nesting.base.measure import format_length
from nesting.crates.model import Crate
from nesting.crates.uncut import uncut_sheets, uncut_sticks
from nesting.cutting.laying import ENOUGH, LARGER
from nesting.cutting.parts import Part, RollPart, StickPart
from nesting.cutting.rolls import Roll, ways
from nesting.cutting.sheets import Sheet
from nesting.cutting.sticks import Stick
from nesting.order import Order
from nesting.shop.shop import Shop


@dataclass(frozen=True, slots=True)
class Misfits:
    """What cannot be cut for the crates of an order, as faults of the order, or of the shop where its tools fail.

    Attributes
    ----------
    order : Order
        In whose units sizes are told.
    crates : tuple of Crate
        What is cut for it.
    shop : Shop, optional
        Whose tools cut; without it only sizes of stock are looked at.
    """

    order: Order
    crates: tuple[Crate, ...]
    shop: Shop | None = None

    @property
    def source(self) -> str:
        """The order's file; empty if typed in."""
        return self.order.source

    def sheets(self, good: str, parts: Iterable[Part], stock: Iterable[Sheet]) -> list[Fault]:
        """Return a fault for each part that no sheet takes, and one where there is no sheet at all."""
        had = [sheet for sheet in stock if sheet.count != 0]
        if not had:
            return [self._none(good, "sheets")]
        largest = max(had, key=lambda sheet: (sheet.usable_length * sheet.usable_width, sheet.name))
        room = self._size(largest.usable_length, largest.usable_width)
        wanted = list(parts)
        too_large = [
            self._larger(
                part,
                self._size(part.length, part.width) + (", grain along the length" if part.grain == "length" else ""),
                f"sheet of {good}, of which {largest.name} takes the most, {room}",
            )
            for part in wanted
            if not any(_takes(sheet, part) for sheet in had)
        ]
        return too_large + (uncut_sheets(self.shop, good, wanted, had, self._size) if self.shop else [])

    def sticks(self, good: str, parts: Iterable[StickPart], stock: Iterable[Stick]) -> list[Fault]:
        """Return a fault for each part that is longer than every stick, and one where there is no stick at all."""
        had = [stick for stick in stock if stick.count != 0]
        if not had:
            return [self._none(good, "sticks")]
        longest = max(had, key=lambda stick: (stick.usable, stick.name))
        room = f"stick of {good}, of which {longest.name} is the longest, {self._size(longest.usable)}"
        wanted = list(parts)
        too_long = [
            self._larger(part, self._size(part.length), room) for part in wanted if part.length > longest.usable
        ]
        return too_long + (uncut_sticks(self.shop, good, wanted, self._size) if self.shop else [])

    def rolls(self, parts: Iterable[RollPart], stock: Sequence[Roll]) -> dict[str, Fault]:
        """Return a fault, by the part's name, for each part that comes off none of the rolls of its good."""
        found: dict[str, Fault] = {}
        for part in parts:
            had = [roll for roll in stock if roll.good == part.good]
            if had and not any(ways(part, roll.width, roll.length) for roll in had):
                lap = f", lapped by {self._size(part.lap)} where strips are joined" if part.lap else ""
                room = f"roll of {part.good}, the widest {self._size(max(roll.width for roll in had))}"
                found[part.name] = self._larger(part, self._size(part.length, part.width) + lap, room)
        return found

    def _none(self, good: str, what: str) -> Fault:
        """Return the fault of a good of which there is nothing to cut."""
        return Fault(self.source, None, None, f"{good}: none of the {what} of {good} can be had", ENOUGH)

    def _larger(self, part: Part | StickPart | RollPart, size: str, than: str) -> Fault:
        """Return the fault of one part, at the row of its piece where the crate holds but one row's."""
        name, _, own = part.name.partition(".")
        pieces = next((crate.pieces for crate in self.crates if crate.crate == name), ())
        rows = {copy.row for copy in self.order.copies() if copy.piece in pieces}
        which = f"{own or name} of crate {name}" + (f" ({', '.join(pieces)})" if pieces else "")
        found = f"{which}, {size}, larger than every {than}"
        return Fault(self.order.source, rows.pop() if len(rows) == 1 else None, None, found, LARGER)

    def _size(self, *sides: int) -> str:
        """Write sides in the order's units."""
        last = format_length(sides[-1], self.order.units, mark=True)
        return " x ".join([*(format_length(side, self.order.units) for side in sides[:-1]), last])


def _takes(sheet: Sheet, part: Part) -> bool:
    """Whether a part fits on a sheet by itself, turned where its grain allows."""
    along, across = sheet.usable_length, sheet.usable_width
    straight = part.length <= along and part.width <= across
    return straight or (part.grain == "any" and part.length <= across and part.width <= along)

"""Handling: what people at the gallery do to free a piece and how near they come to it, read off its crate.

Covers and screws are those that the crate counts, the distance is measured between the piece and the wood before its
face. Minutes are the shop's own for the same screws and staples: what took a minute to drive takes one to draw.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from nesting.base.measure import UnitSystem, format_length
from nesting.build import Build
from nesting.crates.model import Box, Crate
from nesting.crates.registry import method_of
from pricing.studio.rates import LabourRules

_BEFORE: Final = ("lid", "slat", "board", "batten")


@dataclass(frozen=True, slots=True)
class Cover:
    """Something to take off before a piece can be reached.

    Attributes
    ----------
    crate : str
        Which crate, frame or case it closes.
    what : str
        For people.
    screws, staples, bolts : int
        That hold it.
    """

    crate: str
    what: str
    screws: int = 0
    staples: int = 0
    bolts: int = 0

    def minutes(self, rules: LabourRules) -> Decimal:
        """Return what drawing, or driving, all that holds it takes; a bolt that stands in its nut turns as a screw."""
        return (self.screws + self.bolts) * rules.screw + self.staples * rules.staple

    def sentence(self) -> str:
        """Name it with what holds it."""
        named = ((self.screws, "screws"), (self.staples, "staples"), (self.bolts, "bolts"))
        held = ", ".join(f"{count} {name}" for count, name in named if count)
        return f"{self.what}: {held}" if held else self.what


@dataclass(frozen=True, slots=True)
class Handling:
    """What it takes to free one piece.

    Attributes
    ----------
    covers : tuple of Cover
        From the outside in. A case that several pieces share is opened once; it stands with each of them.
    mounting : int
        Screws to draw while somebody holds the piece.
    wraps : int
        Layers to fold off the piece itself.
    clear : int
        Distance from the face to the nearest wood before it, exact grid; 0 where wrapping lies on the face.
    minutes : Decimal
        Work of one person, by the shop's own minutes.
    """

    covers: tuple[Cover, ...]
    mounting: int
    wraps: int
    clear: int
    minutes: Decimal

    @property
    def turned(self) -> int:
        """Screws and bolts to draw in all."""
        return sum(cover.screws + cover.bolts for cover in self.covers) + self.mounting

    def hands(self, units: UnitSystem) -> str:
        """Say how near hands come to the work."""
        if self.wraps:
            return f"{self.wraps} wrapped layers are folded off the piece by hand; paper lies on its face"
        clear = format_length(self.clear, units, mark=True)
        return f"hands hold the edges only; {clear} of air between the face and what comes off before it"


def handling(piece: str, build: Build, rules: LabourRules) -> Handling:
    """Read what freeing a piece takes off its crate and, where it rides in one, its case.

    Parameters
    ----------
    piece : str
        A single piece, as crates name it.
    build : Build
        With its crate.
    rules : LabourRules
        Minutes for a screw, a staple, a layer and a mounting.

    Raises
    ------
    KeyError
        If no crate carries the piece.
    """
    crate = next((each for each in build.every if piece in each.pieces and not method_of(each).is_case), None)
    if crate is None:
        raise KeyError(f"no crate carries {piece!r}")
    covers = [*(covers_of(build.crate(crate.inside_of)) if crate.inside_of else ()), *covers_of(crate)]
    mounting = _mounting(crate, piece)
    # Where layers lie on the face only paper and foam are folded; boards, pads and the box itself are lifted away.
    wraps = crate.work.wraps // max(1, len(crate.pieces)) if method_of(crate).touches_face else 0
    minutes = (
        sum((cover.minutes(rules) for cover in covers), mounting * rules.screw)
        + wraps * rules.wrap
        + (rules.mounting if mounting else 0)
    )
    return Handling(tuple(covers), mounting, wraps, 0 if wraps else _clear(crate, piece), Decimal(minutes))


def covers_of(crate: Crate) -> Iterator[Cover]:
    """Yield what is taken off a crate to open it, from the outside in."""
    if cover := method_of(crate).cover:
        yield Cover(crate.crate, cover)
    bolts = {bolt.good for bolt in crate.bolts if bolt.frees}
    # What was fixed last comes off first.
    for fixing in reversed(crate.fixings):
        if fixing.frees == "crate":
            what = fixing.purpose.split(",")[0]
            if fixing.good == "staple":
                yield Cover(crate.crate, what, staples=fixing.count)
            elif fixing.good in bolts:
                yield Cover(crate.crate, what, bolts=fixing.count)
            else:
                yield Cover(crate.crate, what, screws=fixing.count)


def _mounting(crate: Crate, piece: str) -> int:
    """Count the screws that are drawn while somebody holds the piece."""
    return sum(fixing.count for fixing in crate.fixings if fixing.frees == "piece" and fixing.piece == piece)


def _clear(crate: Crate, piece: str) -> int:
    """Measure from the face to the nearest wood before it; 0 where the crate does not say where the piece is."""
    box = dict(crate.pieces_placed).get(piece)
    if box is None:
        return 0
    face = box.z + box.dz
    before = [p.box.z - face for p in crate.placed if p.role in _BEFORE and p.box.z >= face and _over(p.box, box)]
    return min(before, default=0)


def _over(one: Box, other: Box) -> bool:
    """Whether two cuboids share any place as seen from the front."""
    return (
        one.x < other.x + other.dx
        and other.x < one.x + one.dx
        and one.y < other.y + other.dy
        and other.y < one.y + one.dy
    )

"""Traits of packing methods as values: what each is asked, how it refuses, and what else it states."""

from dataclasses import dataclass
from typing import Protocol

from nesting.base.measure import UnitSystem
from nesting.crates.model import Crate
from nesting.order import Artwork
from nesting.shop.shop import Shop


@dataclass(frozen=True, slots=True)
class Packing:
    """One crate to be made.

    Attributes
    ----------
    crate : str
        Its name, ``"K1"``.
    pieces : tuple of Artwork
        Single copies that share it; more than one only for a set.
    shop : Shop
        Goods and rules.
    reason : str
        Why this method.
    destination : str
        Where it goes; empty if unknown.
    units : {"inch", "metric"}
        How steps write lengths.
    country : str
        Two-letter code of the country it goes to; empty if unknown, or the studio's own.
    """

    crate: str
    pieces: tuple[Artwork, ...]
    shop: Shop
    reason: str
    destination: str = ""
    units: UnitSystem = "inch"
    country: str = ""

    def __post_init__(self) -> None:
        if not self.pieces:
            raise ValueError(f"crate {self.crate}: nothing to pack")


@dataclass(frozen=True, slots=True)
class Reason:
    """Why one piece cannot be packed as asked.

    Attributes
    ----------
    piece : str
        Its name.
    row : int or None
        Row of the order.
    column : str or None
        Column of the order that would mend it.
    found, accepted : str
        As in :class:`nesting.base.faults.Fault`.
    """

    piece: str
    row: int | None
    column: str | None
    found: str
    accepted: str


class Refused(Exception):  # noqa: N818 - reads as what it says, like FaultsFound
    """A method cannot pack these pieces; holds every reason, to be told with the other faults of the order."""

    def __init__(self, *reasons: Reason) -> None:
        self.reasons = reasons
        super().__init__("; ".join(f"{r.piece}: {r.found}; accepted: {r.accepted}" for r in reasons))


class RulesClash(ValueError):  # noqa: N818 - the rules clash, nothing erred
    """Shop rules that cannot be kept together; concerns no single piece."""

    def __init__(self, found: str, accepted: str) -> None:
        self.found, self.accepted = found, accepted
        super().__init__(f"{found}; accepted: {accepted}")


def reason(artwork: Artwork, column: str | None, found: str, accepted: str) -> Reason:
    """Make a reason for one piece."""
    return Reason(artwork.piece, artwork.row, column, found, accepted)


@dataclass(frozen=True, slots=True)
class Casing:
    """One outer case to be made round finished travel frames.

    Attributes
    ----------
    frames : tuple of Crate
        The travel frames, from the back of the case to its front.
    artworks : tuple of Artwork
        Their pieces, in the same order.
    crate, shop, reason, destination, units, country
        As in :class:`Packing`.
    """

    crate: str
    frames: tuple[Crate, ...]
    artworks: tuple[Artwork, ...]
    shop: Shop
    reason: str
    destination: str = ""
    units: UnitSystem = "inch"
    country: str = ""


class CaseMaker(Protocol):
    """Makes one outer case, or raises :class:`Refused`."""

    def __call__(self, casing: Casing, /) -> Crate:
        """Make the case."""


class PackingMethod(Protocol):
    """A packing method: turns one packing into one crate, or raises :class:`Refused`."""

    def __call__(self, packing: Packing, /) -> Crate:
        """Make the crate."""

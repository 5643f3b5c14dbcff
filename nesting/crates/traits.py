"""Traits of packing methods as values: what each is asked, how it refuses, and what else it states."""

from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from typing import Any, Final, Protocol

from nesting.advice.carriage import COMMON, Carriage
from nesting.base.measure import UnitSystem
from nesting.crates.chosen import (
    CARTON_AS_RULED,
    CASE_AS_RULED,
    SHELL_AS_RULED,
    CartonDesign,
    CaseDesign,
    ShellDesign,
)
from nesting.crates.judge import Judge
from nesting.crates.model import Crate
from nesting.crates.opening import Opening, nothing_off
from nesting.order import AUTO, Artwork
from nesting.shop.shop import Shop


def _rides(_packing: "Packing") -> str:
    """Say nothing against a ride, where nobody can be asked."""
    return ""


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
    judge : Judge
        What designs are judged by.
    memory : dict
        What was worked out for equal pieces of the same order, by whoever worked it out.
    carriage : {"own van", "art carrier", "common carrier"}
        Who takes it on its way.
    carton : CartonDesign
        How it is filled, where it is a carton.
    shell : ShellDesign
        How it is made, where it is another crate.
    unframed : callable
        Says why the pieces could not ride in a case instead; empty where they could.
    """

    crate: str
    pieces: tuple[Artwork, ...]
    shop: Shop
    reason: str
    destination: str = ""
    units: UnitSystem = "inch"
    country: str = ""
    judge: Judge = field(default_factory=Judge)
    memory: dict[Hashable, Any] = field(default_factory=dict, compare=False, repr=False)
    carriage: Carriage = COMMON
    carton: CartonDesign = CARTON_AS_RULED
    shell: ShellDesign = SHELL_AS_RULED
    unframed: Callable[["Packing"], str] = field(default=_rides, compare=False, repr=False)

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
    crate, shop, reason, destination, units, country, carriage
        As in :class:`Packing`.
    design : CaseDesign
        How it is made.
    """

    crate: str
    frames: tuple[Crate, ...]
    artworks: tuple[Artwork, ...]
    shop: Shop
    reason: str
    destination: str = ""
    units: UnitSystem = "inch"
    country: str = ""
    carriage: Carriage = COMMON
    design: CaseDesign = CASE_AS_RULED


class CaseMaker(Protocol):
    """Makes one outer case, or raises :class:`Refused`."""

    def __call__(self, casing: Casing, /) -> Crate:
        """Make the case."""


class PackingMethod(Protocol):
    """A packing method: turns one packing into one crate, or raises :class:`Refused`."""

    def __call__(self, packing: Packing, /) -> Crate:
        """Make the crate."""


class Suits(Protocol):
    """Tells why the shop's rules would pack these pieces so; empty where they would not."""

    def __call__(self, packing: Packing, /) -> str:
        """Say why, or nothing."""


@dataclass(frozen=True, slots=True)
class Texts:
    """What the packet says to people of the crates of one method, beside what it reads off each crate.

    Attributes
    ----------
    opening : tuple of str
        Steps to open it and take the piece out; ``{lift}`` stands for who lifts it, ``{bolts}`` for how many bolts
        hold what opens, and ``{tool}`` for what turns them.
    again : tuple of str
        Steps to pack it again the same way, with ``{bolts}`` and ``{tool}``.
    checks : tuple of str
        What is looked at before it is closed; ``{pieces}`` and ``{rides}`` stand for what is inside.
    """

    opening: tuple[str, ...]
    again: tuple[str, ...]
    checks: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        bolted = ("bolts", "tool")
        for texts, facts in (
            (self.opening, ("lift", *bolted)),
            (self.again, bolted),
            (self.checks, ("pieces", "rides")),
        ):
            for text in texts:
                try:
                    text.format_map(dict.fromkeys(facts, ""))
                except (KeyError, ValueError) as error:
                    raise ValueError(f"{text!r}: only {', '.join(facts)} in braces stand for anything") from error


@dataclass(frozen=True, slots=True)
class Gathering:
    """When the shop takes a method instead of another: where enough pieces share a destination.

    Attributes
    ----------
    instead_of : str
        Name of the method that each of them would have by itself.
    why : str
        End of the reason where they are gathered.
    alone : str
        Whole reason where a piece is found to ride alone, and goes the other way after all.
    """

    instead_of: str
    why: str
    alone: str


@dataclass(frozen=True, slots=True)
class Method:
    """One packing method: its maker, and what everybody else needs to know of what it makes.

    Attributes
    ----------
    name : str
        As orders and tables write it: one word in small letters, no wider than its column.
    one, many : str
        What the trade calls what it makes, such as ``closed crate`` and ``closed crates``.
    texts : Texts
        What the packet says of it.
    make : callable or None
        Turns a packing into a crate; None for a case, which no order asks for.
    encase : callable or None
        Turns finished frames into a case; None for all that is no case.
    texts_of_one : Texts or None
        The same for a case that a single frame rides in.
    texts_bolted : Texts or None
        The same for what is opened by bolts.
    spellings : tuple of str
        What orders may write for it beside ``name`` and ``one``, in small letters.
    included : tuple of str
        One and several of them as the client's quote lists what is included; empty: as the trade calls them.
    whole : str
        What the packet measures places from the outside of.
    stands : str
        How it is put down to be opened, where that is not upright, by the side that is marked.
    protection : int
        Rank: what protects more may always be taken where the shop's rules choose what protects less. Of rank 0 none
        gains where all pieces of a place are packed so.
    touches_face : bool
        Whether paper or film lies against the face, which takes a longer cure.
    hangs : bool
        Whether the piece hangs by its back, nothing before its face.
    rides : bool
        Whether it rides in a case; then each piece has one of its own.
    shares : bool
        Whether several pieces that are no set may share one.
    alike : bool
        Whether several that are made alike share their pages of the packet.
    cover : str
        What is taken off first to open it and held by nothing that is counted; empty where there is no such thing.
    opens : callable
        Tells, of what is placed, which side comes off and which way.
    trips : str or int
        Name of the studio's rule of reuse that says how many trips it serves, or the number itself.
    suits : callable or None
        The shop's rule that chooses it by itself, asked in the order of entry; None where only an order asks for it.
    otherwise : str
        Name of the method that the shop tries next where this one, chosen by the shop, turns out impossible.
    spare : callable or None
        Why it takes pieces beyond the shop's rule where nothing that the rules go on to can be made; None where it is
        made only where the rules choose it or an order asks for it.
    gathering : Gathering or None
        When the shop takes it instead of another.
    """

    name: str
    one: str
    many: str
    texts: Texts
    make: PackingMethod | None = None
    encase: CaseMaker | None = None
    texts_of_one: Texts | None = None
    texts_bolted: Texts | None = None
    spellings: tuple[str, ...] = ()
    included: tuple[str, str] | tuple[()] = ()
    whole: str = "crate"
    stands: str = ""
    protection: int = 1
    touches_face: bool = False
    hangs: bool = False
    rides: bool = False
    shares: bool = False
    alike: bool = False
    cover: str = ""
    opens: Opening = nothing_off
    trips: str | int = 1
    suits: Suits | None = None
    otherwise: str = ""
    spare: Suits | None = None
    gathering: Gathering | None = None

    def __post_init__(self) -> None:
        if not (self.name.isalpha() and self.name.islower() and len(self.name) <= _WIDEST) or self.name == AUTO:
            raise ValueError(f"method {self.name!r}: a name is one word of up to {_WIDEST} small letters, not {AUTO}")
        if (self.make is None) == (self.encase is None):
            raise ValueError(f"method {self.name}: either it packs pieces or it makes a case")
        if self.rides and self.is_case:
            raise ValueError(f"method {self.name}: no case rides in a case")
        if any(each != " ".join(each.lower().split()) for each in self.spellings):
            raise ValueError(f"method {self.name}: spellings are in small letters")
        if isinstance(self.trips, int) and self.trips < 1:
            raise ValueError(f"method {self.name}: serves at least one trip, not {self.trips}")

    @property
    def is_case(self) -> bool:
        """Whether it is a case that frames ride in: made by the shop, not asked for by orders."""
        return self.encase is not None

    def texts_for(self, crate: Crate) -> Texts:
        """Return what the packet says of a crate of this method."""
        if self.texts_bolted is not None and any(bolt.frees for bolt in crate.bolts):
            return self.texts_bolted
        return self.texts_of_one if self.texts_of_one is not None and len(crate.rides) == 1 else self.texts

    def listed(self, count: int) -> str:
        """Write so many of them as the client's quote lists what is included."""
        return f"{count} {(self.included or (self.one, self.many))[count > 1]}"


_WIDEST: Final = 11
"""Letters that the narrowest column of methods holds."""

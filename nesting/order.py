"""Artworks and orders: what a studio wants packed, as plain values.

An :class:`Artwork` is one line of an order; with a quantity it stands for several copies, and :meth:`Order.copies`
spells them out as ``A-01#1``, ``A-01#2``. Sizes are exact integers (see :mod:`nesting.base.measure`), weights are
kilograms, money is a plain number without a currency: this package doesn't price.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, fields, replace
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from decimal import Decimal
from functools import lru_cache
from typing import Final, Literal, get_args

from nesting.base.measure import INCH, UnitSystem

Surface = Literal["resin", "paint", "glazed", "bare"]
BackKind = Literal["solid", "strainer", "cradle", "cleated"]

AUTO: Final = "auto"
"""What stands for a packing method where the choice is left to the shop's rules."""
SURFACES: Final[tuple[Surface, ...]] = get_args(Surface)
BACK_KINDS: Final[tuple[BackKind, ...]] = get_args(BackKind)

LEAST_SIDE: Final = INCH // 2
"""Least width or height of an artwork: less is a slip of the unit."""
GREATEST_SIDE: Final = 240 * INCH
"""Greatest width, height or depth of an artwork, 20 ft: no van, sheet or door takes more."""
HEAVIEST_KG: Final = Decimal(2000)
"""Greatest weight of one copy, 2 t."""
MOST_COPIES: Final = 999
MOST_POURS: Final = 99
MOST_MIDDLE_BARS: Final = 20
"""Most upright bars between those at the sides of a piece."""
DEEPEST_POUR: Final = 6 * INCH
MOST_PIECES: Final = 2000
"""Most single pieces in one order."""
EARLIEST: Final = date(2000, 1, 1)
LATEST: Final = date(2100, 12, 31)
LEAST_SHOCK: Final = Decimal(5)
"""Least shock in G that an order may allow: less is a slip, for no crate of wood keeps it."""
GREATEST_SHOCK: Final = Decimal(500)
"""Greatest shock in G that an order may allow."""
DEAREST: Final = Decimal(1_000_000_000)
"""Greatest price or declared value read, in any currency."""
CUSHIONS: Final = ("checked", "snug", "fixed")
"""How an order may ask for the foam of its cases."""
MOST_COMMISSION: Final = Decimal("0.95")
"""Greatest part of a list price that a seller may keep."""
PHOTO_ENDINGS: Final = (".jpg", ".jpeg", ".png")
PHOTOS_ACCEPTED: Final = "a picture below the order's folder, such as photos/A-01.jpg (.jpg, .jpeg or .png)"


@dataclass(frozen=True, slots=True)
class Back:
    """What a screw may go into at the back of a piece; 0 for a size that does not apply or that nobody stated.

    Attributes
    ----------
    kind : {"solid", "strainer", "cradle", "cleated"}
        ``solid``: wood everywhere; ``strainer``: bars along the edges behind a thin or soft face; ``cradle``: bars
        glued to a panel; ``cleated``: the piece comes with cleats of its own.
    bar_width, bar_depth : int
        Section of the bars of a strainer or cradle: width across the back, depth from the back towards the face.
    face : int
        Thickness of what lies in front of the bars.
    middle_bars : int
        How many upright bars stand between the two at the sides, evenly spread.
    cleat_thickness, cleat_width : int
        Section of the piece's own two cleats, which lie across its whole width; stated both or neither.
    cleat_low, cleat_high : int
        Height of the lower cleat's lower edge above the piece's lower edge, and how far the upper cleat's upper edge
        lies below the piece's upper edge; where the section is stated, 0 is flush.
    """

    kind: BackKind = "solid"
    bar_width: int = 0
    bar_depth: int = 0
    face: int = 0
    middle_bars: int = 0
    cleat_thickness: int = 0
    cleat_width: int = 0
    cleat_low: int = 0
    cleat_high: int = 0

    def __post_init__(self) -> None:
        if self.kind not in BACK_KINDS:
            raise ValueError(f"back must be one of {', '.join(BACK_KINDS)}, not {self.kind!r}")
        bars = (self.bar_width, self.bar_depth, self.face, self.middle_bars)
        cleats = (self.cleat_thickness, self.cleat_width, self.cleat_low, self.cleat_high)
        if min(bars + cleats) < 0:
            raise ValueError(f"sizes of a back cannot be less than nothing: {self}")
        if self.has_bars and not (self.bar_width and self.bar_depth):
            raise ValueError(f"a {self.kind} needs the width and depth of its bars, both more than zero")
        if not self.has_bars and any(bars):
            raise ValueError(f"only a strainer or a cradle has bars, not a {self.kind} back")
        if self.middle_bars > MOST_MIDDLE_BARS:
            raise ValueError(f"a back has at most {MOST_MIDDLE_BARS} middle bars, not {self.middle_bars}")
        if self.kind != "cleated" and any(cleats):
            raise ValueError(f"only a cleated back has cleats of its own, not a {self.kind} back")
        if any(cleats) and not self.says_where:
            raise ValueError("cleats need their thickness and their width, both more than zero")

    @property
    def has_bars(self) -> bool:
        """Whether wood stands only in bars behind a face."""
        return self.kind in ("strainer", "cradle")

    @property
    def says_where(self) -> bool:
        """Whether the piece's own cleats are described: how thick, how wide and where."""
        return self.cleat_thickness > 0 and self.cleat_width > 0

    def misfit(self, width: int, height: int, depth: int) -> str:
        """Say what would fit a piece of that size where this does not; empty where it does.

        Bars so wide that they meet fit: there is wood everywhere then.

        Parameters
        ----------
        width, height, depth : int
            Of the piece, exact grid.
        """
        uprights = (2 + self.middle_bars) * self.bar_width if self.middle_bars else 0
        cleats = self.cleat_low + self.cleat_high + 2 * self.cleat_width
        wanted = (
            (self.bar_depth <= depth, "bars no deeper than the piece"),
            (self.bar_depth + self.face <= depth, "bars and face together no deeper than the piece"),
            (uprights <= width, "bars that all fit beside one another in the width of the piece"),
            (self.cleat_thickness < depth, "cleats thinner than the piece is deep, since its depth includes them"),
            (cleats <= height, "cleats that fit one above the other in the height of the piece"),
        )
        return next((accepted for fits, accepted in wanted if not fits), "")


def is_below(path: str) -> bool:
    """Say whether a path names a picture below the folder that it is taken from, on every system alike."""
    parts = path.replace("\\", "/").split("/")
    return path.lower().endswith(PHOTO_ENDINGS) and ":" not in path and all(part.strip(". ") for part in parts)


def _within(name: str, label: str, value: int, low: int, high: int) -> None:
    """Raise where an integer is outside its range."""
    if isinstance(value, bool) or not isinstance(value, int):
        raise TypeError(f"artwork {name}: {label} must be an integer, not {value!r}")
    if not low <= value <= high:
        raise ValueError(f"artwork {name}: {label} must be from {low} to {high}, not {value}")


def _check_commission(where: str, commission: Decimal | None) -> None:
    """Raise where a part of the list price is none, or leaves next to nothing of it."""
    if commission is not None and not (commission.is_finite() and 0 <= commission <= MOST_COMMISSION):
        raise ValueError(f"{where}commission must be from 0 to {MOST_COMMISSION}, not {commission}")


@dataclass(frozen=True, slots=True)
class Artwork:
    """One piece, or several equal copies of it.

    Attributes
    ----------
    piece : str
        Unique name within the order, such as ``"A-01"``; a copy's name ends in ``#1``, ``#2``, ...
    width, height, depth : int
        As it hangs, seen from the front; exact grid. Depth includes resin and fixed hardware.
    title : str
        For people.
    weight_kg : Decimal or None
        Of one copy; ``None`` where the order doesn't say, to be estimated from ``support``.
    quantity : int
        How many copies, 1 to 999.
    method : str
        How it is packed: the name of a packing method, or ``auto``, which leaves the choice to the shop's rules. Which
        methods there are is for :mod:`nesting.crates.registry` to say: orders are held against it as they are read,
        and before they are packed.
    surface : {"resin", "paint", "glazed", "bare"}
        What must not be touched.
    support : str
        What the piece is made of, in the order's words, for its weight; empty where unknown.
    back : Back
        What a screw may go into.
    set_name : str or None
        Pieces of one set share one crate.
    poured : date, datetime or None
        When the last resin was poured, in the studio's local time; a date alone means some time that day.
    pours : int
        Number of pours, 0 where unknown.
    pour_depth : int
        Depth of resin in all, exact grid, 0 where unknown.
    price, declared : Decimal or None
        The artist's price and the value declared to carriers and insurers, of one copy.
    destination : str or None
        Name of the destination.
    ship_by : date or None
        Day on which it is to leave.
    together, apart : tuple of str
        Pieces that must, or must not, travel in the same case, carton or crate; of another line all copies.
    turn : bool
        Whether it may travel on another edge than it hangs on.
    shock_limit : Decimal or None
        Shock in G that it, or whoever insures it, allows at the most; ``None`` where nobody states a limit.
    commission : Decimal or None
        The seller's part of its list price, 0 for a direct sale; ``None`` leaves it to order, gallery, destination and
        rates.
    buyer, gallery : str
        Who buys it, and which gallery or broker sells it, by the names of the studio's book of parties; empty leaves
        them to the order.
    artist, year, medium : str
        Who made it, when and of what, as papers and offers say it.
    photo : str
        Its picture, a path below the folder of the order.
    edition : str
        Which of how many, for a cast or a print, such as ``3 of 8``.
    least_price : Decimal or None
        The least for which whoever sells it may sell one copy.
    production_cost : Decimal or None
        What framing, casting or printing one copy cost: paid back from a sale before the rest is divided.
    accept_held : str
        The code of a held crate, a colon, and why the studio takes it all the same; empty where nothing is accepted.
    notes : str
        For people.
    extra : tuple of (str, str)
        Columns that were not understood and what stood in them, kept as written.
    row : int or None
        Row of the order that it was read from, counted from 1 with the heading, for messages.
    copy_of : str or None
        For one copy of several: the piece it is a copy of.
    """

    piece: str
    width: int
    height: int
    depth: int
    title: str = ""
    weight_kg: Decimal | None = None
    quantity: int = 1
    method: str = AUTO
    surface: Surface = "resin"
    support: str = ""
    back: Back = field(default_factory=Back)
    set_name: str | None = None
    poured: date | None = None
    pours: int = 0
    pour_depth: int = 0
    price: Decimal | None = None
    declared: Decimal | None = None
    destination: str | None = None
    ship_by: date | None = None
    together: tuple[str, ...] = ()
    apart: tuple[str, ...] = ()
    turn: bool = False
    accept_held: str = ""
    notes: str = ""
    extra: tuple[tuple[str, str], ...] = ()
    row: int | None = field(default=None, compare=False)
    copy_of: str | None = None
    shock_limit: Decimal | None = None
    commission: Decimal | None = None
    buyer: str = ""
    gallery: str = ""
    artist: str = ""
    year: str = ""
    medium: str = ""
    photo: str = ""
    edition: str = ""
    least_price: Decimal | None = None
    production_cost: Decimal | None = None

    def __post_init__(self) -> None:
        name = self.piece
        if not name or name != name.strip():
            raise ValueError(f"an artwork needs a name without blanks at its ends, not {name!r}")
        _within(name, "width", self.width, LEAST_SIDE, GREATEST_SIDE)
        _within(name, "height", self.height, LEAST_SIDE, GREATEST_SIDE)
        _within(name, "depth", self.depth, 1, GREATEST_SIDE)
        _within(name, "quantity", self.quantity, 1, MOST_COPIES)
        _within(name, "pours", self.pours, 0, MOST_POURS)
        _within(name, "pour_depth", self.pour_depth, 0, DEEPEST_POUR)
        if not self.method.isalpha():
            raise ValueError(f"artwork {name}: method must be {AUTO} or the name of one, not {self.method!r}")
        if self.surface not in SURFACES:
            raise ValueError(f"artwork {name}: surface must be one of {', '.join(SURFACES)}, not {self.surface!r}")
        if self.weight_kg is not None and not (self.weight_kg.is_finite() and 0 < self.weight_kg <= HEAVIEST_KG):
            raise ValueError(f"artwork {name}: weight must be more than 0 and at most 2000 kg, not {self.weight_kg}")
        shock = self.shock_limit
        if shock is not None and not (shock.is_finite() and LEAST_SHOCK <= shock <= GREATEST_SHOCK):
            raise ValueError(
                f"artwork {name}: shock_limit must be from {LEAST_SHOCK} to {GREATEST_SHOCK} G, not {shock}"
            )
        for label in ("price", "declared", "least_price", "production_cost"):
            money = getattr(self, label)
            if money is not None and not (money.is_finite() and 0 <= money <= DEAREST):
                raise ValueError(f"artwork {name}: {label} must be from 0 to {DEAREST}, not {money}")
        _check_commission(f"artwork {name}: ", self.commission)
        if self.photo and not is_below(self.photo):
            raise ValueError(f"artwork {name}: photo must be {PHOTOS_ACCEPTED}, not {self.photo!r}")
        self._check_back()
        self._check_days()

    def _check_back(self) -> None:
        """Refuse a back that does not fit the piece.

        Plain strainers pass: an order stored before backs were held against sizes must still be read.
        """
        if self.back == Back(self.back.kind, self.back.bar_width, self.back.bar_depth) and self.back.kind != "cradle":
            return
        if accepted := self.back.misfit(self.width, self.height, self.depth):
            raise ValueError(f"artwork {self.piece}: back must have {accepted}")

    def _check_days(self) -> None:
        """Refuse days out of range and times where they have no meaning."""
        if isinstance(self.poured, datetime) and self.poured.tzinfo is not None:
            raise ValueError(f"artwork {self.piece}: poured is a local time, without a zone")
        if isinstance(self.ship_by, datetime):
            raise TypeError(f"artwork {self.piece}: ship_by is a day, without a time")
        for label, day in (("poured", self.poured), ("ship_by", self.ship_by)):
            plain = day.date() if isinstance(day, datetime) else day
            if plain is not None and not EARLIEST <= plain <= LATEST:
                raise ValueError(f"artwork {self.piece}: {label} must be from {EARLIEST} to {LATEST}, not {plain}")

    @property
    def longest_side(self) -> int:
        """The longer of width and height."""
        return max(self.width, self.height)

    @property
    def poured_at(self) -> datetime | None:
        """Local time from which curing counts: the time given, or the end of the day given; ``None`` if unknown."""
        if self.poured is None:
            return None
        if isinstance(self.poured, datetime):
            return self.poured
        return datetime.combine(self.poured + timedelta(days=1), time())

    def poured_end(self, zone: tzinfo) -> datetime | None:
        """Return :attr:`poured_at` as a moment, in UTC so that hours may be added across a change of clocks.

        Parameters
        ----------
        zone : tzinfo
            The studio's zone. A local time that comes twice when clocks go back is taken as the later one, one that
            is skipped when they go forward by the offset before the change: never too early.

        Returns
        -------
        datetime or None
            Aware, in UTC (``.astimezone(zone)`` shows it); ``None`` where no pour is known.
        """
        local = self.poured_at
        if local is None:
            return None
        return max(local.replace(tzinfo=zone, fold=fold).astimezone(UTC) for fold in (0, 1))

    def as_made(self) -> "Artwork":
        """Return the piece without what is for people and papers only, and without its place in the table."""
        return replace(
            self, title="", notes="", extra=(), row=None, artist="", year="", medium="", photo="", edition="",
            least_price=None, production_cost=None,
        )  # fmt: skip

    def copies(self) -> Iterator["Artwork"]:
        """Yield each copy with a quantity of 1, named ``A-01#1``, ``A-01#2``, ...; a single piece keeps its name."""
        if self.quantity == 1:
            yield self
        else:
            yield from _copies(self)


@lru_cache(maxsize=64)
def _copies(artwork: Artwork) -> tuple[Artwork, ...]:
    """Return the copies of a line: an order is asked for them at every stage."""
    return tuple(
        replace(artwork, piece=f"{artwork.piece}#{number}", quantity=1, copy_of=artwork.piece)
        for number in range(1, artwork.quantity + 1)
    )


@dataclass(frozen=True, slots=True)
class Order:
    """What was asked for: artworks, the units they were written in, and what was odd about the file.

    Attributes
    ----------
    name : str
        For people; the file's stem where the file has no name for it.
    artworks : tuple of Artwork
        In the order of the file, quantities not expanded; piece names are unique.
    units : {"inch", "metric"}
        What bare numbers meant, and how results are shown.
    currency : str or None
        Three-letter code if the order states one.
    warnings : tuple of str
        What was read with a doubt, such as unknown columns.
    source : str
        File it came from, for messages; empty if typed in.
    commission : Decimal or None
        The seller's part of the list price of every piece that states none; ``None`` leaves it to the destination.
    cushion : str
        How the foam of its cases is found: ``checked``, ``snug`` or ``fixed``; empty leaves it to the shop's rule.
    buyer, gallery : str
        Who buys, and which gallery or broker sells, every piece that names nobody.
    """

    name: str
    artworks: tuple[Artwork, ...]
    units: UnitSystem = "inch"
    currency: str | None = None
    warnings: tuple[str, ...] = ()
    source: str = ""
    commission: Decimal | None = None
    cushion: str = ""
    buyer: str = ""
    gallery: str = ""

    def __post_init__(self) -> None:
        _check_commission("", self.commission)
        if self.cushion and self.cushion not in CUSHIONS:
            raise ValueError(f"cushion must be one of {', '.join(CUSHIONS)}, not {self.cushion!r}")
        if not self.artworks:
            raise ValueError("an order needs at least one artwork")
        if sum(artwork.quantity for artwork in self.artworks) > MOST_PIECES:
            raise ValueError(f"an order has at most {MOST_PIECES} pieces, copies counted")
        seen: set[str] = set()
        for copy in self.copies():
            if copy.piece in seen:
                raise ValueError(f"piece {copy.piece} stands twice in the order")
            seen.add(copy.piece)

    def copies(self) -> tuple[Artwork, ...]:
        """Return every single piece, quantities spelled out."""
        return tuple(copy for artwork in self.artworks for copy in artwork.copies())

    def called(self) -> Mapping[str, str]:
        """Return what people call each piece: its name, with its title where that says more."""
        return {
            copy.piece: copy.piece if copy.title in ("", copy.piece, copy.copy_of) else f"{copy.piece} {copy.title}"
            for copy in self.copies()
        }

    def artwork(self, piece: str) -> Artwork:
        """Return the line of that name; :class:`KeyError` says which there are."""
        for artwork in self.artworks:
            if artwork.piece == piece:
                return artwork
        raise KeyError(f"no piece named {piece!r}; there are {', '.join(a.piece for a in self.artworks)}")


def words_of(order: Order) -> Iterator[str]:
    """Yield all that people wrote in words: the order's name, and titles, names, places and notes of its artworks."""
    yield order.name
    for artwork in order.artworks:
        for each in fields(artwork):
            value = getattr(artwork, each.name)
            yield from (text for text in (value if isinstance(value, tuple) else (value,)) if isinstance(text, str))

"""The columns of an order: their names, what else they are called, and what is accepted in their cells.

:data:`COLUMNS` is the whole list, for the readers, the desk's hints and the documentation alike.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import partial
from typing import Any, Final, Literal, TypeAlias

from nesting.base.counts import one_of
from nesting.base.days import DAYS_ACCEPTED, DayOrder
from nesting.base.measure import INCH, LENGTHS_ACCEPTED, WEIGHTS_ACCEPTED
from nesting.base.tables.cells import Cell
from nesting.crates.registry import askable, spellings
from nesting.intake.cells import (
    Scale,
    read_back,
    read_commission,
    read_count,
    read_length,
    read_name,
    read_names,
    read_shock,
    read_text,
    read_weight,
    read_word,
    read_yes_no,
)
from nesting.intake.days import read_day, read_moment
from nesting.intake.money import read_money
from nesting.order import (
    AUTO,
    CUSHIONS,
    DEEPEST_POUR,
    GREATEST_SHOCK,
    LEAST_SHOCK,
    LEAST_SIDE,
    MOST_COPIES,
    MOST_POURS,
    PHOTOS_ACCEPTED,
    Surface,
)
from nesting.shop.backs import BACKS_ACCEPTED

Kind = Literal["text", "length", "weight", "money", "shock", "part"]
Reader: TypeAlias = Callable[[Cell, str, Scale], Any]

SURFACE_WORDS: Final[dict[str, Surface]] = {
    "resin": "resin", "epoxy": "resin", "epoxy resin": "resin",
    "paint": "paint", "painted": "paint", "acrylic paint": "paint", "oil paint": "paint",
    "glazed": "glazed", "glass": "glazed", "under glass": "glazed", "framed under glass": "glazed",
    "bare": "bare", "raw": "bare",
}  # fmt: skip


def method_words() -> Mapping[str, str]:
    """Return what orders may write for a packing method: the shop's choice, and what each method goes by."""
    return {**spellings(), AUTO: AUTO, "automatic": AUTO, "any": AUTO}


def methods_accepted() -> str:
    """Say which methods an order may name."""
    return one_of((AUTO, *askable()))


_DAY: Final = DAYS_ACCEPTED
_AMOUNT: Final = "an amount such as 1200, $1,200.00 or 1200 EUR, with whole cents"
CUSHION_ACCEPTED: Final = f"{one_of(CUSHIONS)}, one for the whole order"
COMMISSION_ACCEPTED: Final = "a part such as 40 % or 0.4, 95 % at the most; 0 for a direct sale"
_NAMES: Final = "names of pieces, separated by commas"
_PARTY: Final = "a name of the studio's book of parties"


@dataclass(frozen=True, slots=True)
class Column:
    """One column that is understood.

    Attributes
    ----------
    name : str
        Our name for it, in messages and in TOML.
    others : tuple of str
        Other headings that mean the same, in lower case and without marks.
    takes : str or callable
        What its cells take, or what says so where that depends on what was entered elsewhere.
    meaning : str
        One sentence for people.
    read : callable
        Cell, ``accepted`` and scale to a value, ``None`` for a blank cell.
    kind : {"text", "length", "weight", "money", "shock", "part"}
        Which units may stand in its heading.
    required : bool
        Whether every row needs it.
    lately : tuple of str
        As ``others``: headings that were kept as a note before 0.3, so that it is said where one is read.
    blank : str
        What is assumed where nothing is known, as in ``TBD``; empty where a doubt is a fault.
    """

    name: str
    others: tuple[str, ...]
    takes: str | Callable[[], str]
    meaning: str
    read: Reader
    kind: Kind = "text"
    required: bool = False
    lately: tuple[str, ...] = ()
    blank: str = ""

    @property
    def accepted(self) -> str:
        """What its cells take, as the end of ``accepted: ...``."""
        return self.takes if isinstance(self.takes, str) else self.takes()


def _unscaled(reader: Callable[..., Any], **limits: int) -> Reader:
    """Return a reader for cells that have no unit."""

    def read(cell: Cell, accepted: str, scale: Scale) -> Any:  # noqa: ARG001 - all readers are called alike
        return reader(cell, accepted, **limits)

    return read


def _dated(reader: Callable[[Cell, str, DayOrder | None], date | None]) -> Reader:
    """Return a reader of days, which are written as the studio's country does."""

    def read(cell: Cell, accepted: str, scale: Scale) -> Any:
        return reader(cell, accepted, scale.days)

    return read


def _words(words: Callable[[], Mapping[str, str]]) -> Reader:
    """Return a reader for one of a few words, which are asked for as a cell is read."""

    def read(cell: Cell, accepted: str, scale: Scale) -> Any:  # noqa: ARG001 - all readers are called alike
        return read_word(cell, accepted, words())

    return read


_SIDE: Final = partial(read_length, low=LEAST_SIDE)

COLUMNS: Final[tuple[Column, ...]] = (
    Column(
        "piece",
        ("ref", "reference", "artwork", "artwork no", "artwork number", "artwork id", "art", "art no", "art number",
         "art id", "piece no", "piece number", "piece id", "item", "item no", "item number", "id", "no", "code",
         "inventory", "inventory no", "inventory number", "inv no", "stock no", "sku"),
        "a name that no other row has, such as A-01",
        "The name that the piece goes by on lists and crates.",
        _unscaled(read_name), required=True,
        lately=("inv", "inv id", "inv number", "inventory id", "inventory code", "inventory ref", "catalogue no",
                "catalogue number", "catalog no", "catalog number", "cat no", "cat number", "lot", "lot no",
                "lot number", "work no", "work number", "work id", "painting no", "painting number", "object no",
                "object number", "object id", "accession no", "accession number", "stock number", "stock id",
                "ref no", "ref number", "reference no", "reference number", "registration no",
                "registration number", "piece code", "item code", "item id", "artwork code", "artwork ref"),
    ),
    Column(
        "width", ("w", "wide", "artwork width", "piece width"), LENGTHS_ACCEPTED,
        "Side to side as it hangs.", _SIDE, "length", required=True,
        lately=("breadth", "overall width", "framed width", "outside width", "width of piece", "width of work"),
    ),
    Column(
        "height", ("h", "high", "ht", "hgt", "artwork height", "piece height"), LENGTHS_ACCEPTED,
        "Top to bottom as it hangs.", _SIDE, "length", required=True,
        lately=("tall", "overall height", "framed height", "outside height", "height of piece", "height of work"),
    ),
    Column(
        "depth", ("d", "deep", "thick", "thickness", "artwork depth", "piece depth"), LENGTHS_ACCEPTED,
        "Front to back, highest resin and fixed hardware included.", read_length, "length", required=True,
        lately=("thk", "overall depth", "framed depth", "outside depth", "depth of piece", "depth of work"),
    ),
    Column(
        "title", ("name", "work title", "artwork title", "title of work"), "a title",
        "What the work is called.", _unscaled(read_text),
        lately=("work", "painting", "artwork name", "piece name", "piece title", "name of work", "work name",
                "title of artwork", "title of piece", "title of painting", "painting title", "painting name",
                "item name", "object title"),
    ),
    Column(
        "weight", ("wt", "mass", "weight each", "unit weight", "weight of one", "each weight", "piece weight"),
        WEIGHTS_ACCEPTED, "Weight of one copy; estimated where it is blank.", read_weight, "weight",
        lately=("wgt", "approx weight", "approximate weight", "est weight", "estimated weight"),
        blank="estimated from support and size",
    ),
    Column(
        "quantity", ("qty", "quant", "copies", "count", "pcs", "number of copies", "how many"), "a whole number",
        "How many equal copies; one where it is blank.", _unscaled(read_count, low=1, high=MOST_COPIES),
        lately=("no of copies", "qnty", "quantity of copies"),
    ),
    Column(
        "method", ("packing", "packing method", "pack", "crate", "crate type", "crating", "packed in"),
        methods_accepted,
        "How it is packed; auto lets the shop's rules choose.", _words(method_words),
    ),
    Column(
        "surface", ("finish", "face", "surface finish"), "resin, paint, glazed or bare",
        "What must not be touched; resin where it is blank.", _words(lambda: SURFACE_WORDS),
    ),
    Column(
        "support", ("substrate", "made of", "panel", "base", "body"), "what the piece is made of, such as birch panel",
        "What the piece is made of, for its weight.", _unscaled(read_text, most=200),
    ),
    Column(
        "back", ("backing", "back type", "reverse"),
        BACKS_ACCEPTED,
        "What a screw may go into; bars are width by depth, cleats up from the lower edge and down from the upper one.",
        read_back, "length",
    ),
    Column(
        "bar_width", ("strainer width", "strainer bar width", "cradle width", "cradle bar width"), LENGTHS_ACCEPTED,
        "Width of the bars of a strainer or cradle, across the back.",
        partial(read_length, high=12 * INCH), "length",
    ),
    Column(
        "bar_depth", ("strainer depth", "strainer bar depth", "cradle depth", "cradle bar depth"), LENGTHS_ACCEPTED,
        "Depth of the bars of a strainer or cradle, from the back towards the face.",
        partial(read_length, high=12 * INCH), "length",
    ),
    Column(
        "set", ("set name", "same crate", "shares crate", "one crate"), "a name that the pieces of one crate share",
        "Pieces of one set share one crate.", _unscaled(read_name),
    ),
    Column(
        "poured", ("pour date", "poured on", "date poured", "last pour", "last poured", "cast", "cast on"),
        f"{_DAY}, with a time such as 14:30 if known",
        "When the last resin was poured, local time.", _dated(read_moment),
        lately=("date of pour", "last pour date", "cast date", "resin poured", "resin poured on"),
        blank="no day of pouring",
    ),
    Column(
        "pours", ("number of pours", "pour count", "no of pours"), "a whole number",
        "How many pours of resin.", _unscaled(read_count, low=1, high=MOST_POURS),
    ),
    Column(
        "pour_depth", ("resin depth", "depth of resin", "pour thickness", "resin thickness"), LENGTHS_ACCEPTED,
        "Depth of resin in all.", partial(read_length, high=DEEPEST_POUR), "length",
    ),
    Column(
        "price", ("artist price", "artists price", "artist's price", "price each", "unit price"), _AMOUNT,
        "The artist's price of one copy.", _unscaled(read_money), "money",
        lately=("price per piece", "price per copy", "price of one"),
        blank="no price",
    ),
    Column(
        "declared", ("declared value", "value", "insured value", "insurance value", "value declared"), _AMOUNT,
        "Value of one copy that carriers and insurers are told.", _unscaled(read_money), "money",
        lately=("insured for", "ins value", "insurance amount", "value for insurance", "agreed value"),
        blank="the price",
    ),
    Column(
        "commission",
        ("gallery commission", "gallery's commission", "gallerys commission", "commission rate", "seller's part"),
        COMMISSION_ACCEPTED,
        "The seller's part of the list price; blank leaves it to the order, its destination or the rates.",
        read_commission, "part",
    ),
    Column(
        "buyer", ("collector", "sold to", "bought by"), _PARTY,
        "Who buys it; blank leaves it to the order.", _unscaled(read_name),
    ),
    Column(
        "gallery", ("broker", "sold by", "gallery or broker"), _PARTY,
        "Which gallery or broker sells it; blank leaves it to the order.", _unscaled(read_name),
    ),
    Column(
        "artist", ("artist name", "artist's name", "artists name", "maker", "made by"), "the artist's name",
        "Who made it, for papers and offers.", _unscaled(read_text, most=200),
        lately=("artists", "painter", "name of artist"),
    ),
    Column(
        "year", ("year made", "year of work"), "a year, or words such as 2024 to 2026",
        "When it was made, for papers and offers.", _unscaled(read_text, most=40),
        lately=("year created", "year completed", "date of work"),
    ),
    Column(
        "medium", ("media", "technique", "medium and support"), "what it is made with, such as resin on birch panel",
        "What it is made with, for papers and offers.", _unscaled(read_text, most=200),
        lately=("materials", "medium technique", "medium and technique", "materials and technique"),
    ),
    Column(
        "edition", ("edition number", "edition no", "edition size", "number of edition"),
        "which of how many, such as 3 of 8", "Which of an edition it is, for papers.", _unscaled(read_text, most=60),
        lately=("ed", "ed no"),
    ),
    Column(
        "least_price", ("minimum price", "min price", "lowest price", "least selling price"), _AMOUNT,
        "The least for which whoever sells it may sell one copy.", _unscaled(read_money), "money",
        blank="no least price",
    ),
    Column(
        "production_cost",
        ("framing cost", "cost of framing", "cost of production", "production costs", "framing or production cost"),
        _AMOUNT,
        "What framing, casting or printing one copy cost: paid back from a sale before the rest is divided.",
        _unscaled(read_money), "money",
        blank="no such cost",
    ),
    Column(
        "photo", ("picture", "image", "photo file", "image file"), PHOTOS_ACCEPTED,
        "Its picture, from the order's own folder.", _unscaled(read_text, most=400),
        lately=("photograph", "photos", "thumbnail", "img", "image name", "picture file"),
    ),
    Column(
        "destination", ("dest", "ship to", "deliver to", "going to", "consignee", "venue"), "the name of a destination",
        "Where it goes.", _unscaled(read_name),
        lately=("ship to location", "shipping to", "shipping destination", "send to", "sent to", "goes to",
                "delivery to", "delivered to", "destination name", "final destination"),
    ),
    Column(
        "ship_by", ("ship date", "ships", "ship on", "dispatch by", "leave by", "leaves by", "send by"), _DAY,
        "Day on which it is to leave.", _dated(read_day),
        lately=("ship by date", "shipping date", "dispatch date", "dispatched by", "collection date", "collect by",
                "pick up", "pick up by", "pick up date", "pickup", "pickup date", "pickup by"),
        blank="no day by which it must leave",
    ),
    Column(
        "together", ("together with", "pack with", "keep with", "with"), _NAMES,
        "Pieces that must travel in the same case.", _unscaled(read_names),
    ),
    Column(
        "apart", ("apart from", "keep apart", "not with"), _NAMES,
        "Pieces that must not travel in the same case.", _unscaled(read_names),
    ),
    Column(
        "turn", ("may turn", "turnable", "may be turned", "may travel turned", "any edge"), "yes or no",
        "Whether it may travel on another edge than it hangs on.", _unscaled(read_yes_no),
    ),
    Column(
        "shock_limit",
        ("shock", "limit of shock", "most shock", "max shock", "maximum shock", "g limit", "max g", "fragility"),
        f"a shock from {LEAST_SHOCK} to {GREATEST_SHOCK} G, such as 30 G",
        "Shock that the piece or its insurer allows at the most; a crate that passes on more is held.",
        _unscaled(read_shock), "shock",
    ),
    Column(
        "accept_held", ("accept crate", "accepted", "accepted held", "held accepted"),
        "the code of a held crate (or several), a colon and the reason, such as 3f9a2c: the owner knows and agreed",
        "Accepts a crate that no design holds, as it stands; lapses when piece, check or design change.",
        _unscaled(read_text, most=400),
    ),
    Column(
        "cushion", ("case cushion", "cushion rule", "foam rule"), CUSHION_ACCEPTED,
        "How thick the foam in cases is: as the limit of shock asks, thin pads by own van or art carrier, or as ruled.",
        _words(lambda: {word: word for word in CUSHIONS}),
    ),
    Column(
        "notes", ("note", "remark", "remarks", "comment", "comments", "instructions"), "words for people",
        "Anything else.", _unscaled(read_text),
        lately=("notes comments", "comments notes", "special instructions", "handling notes",
                "handling instructions", "packing notes", "further notes"),
    ),
)  # fmt: skip
"""Every column that is understood; one combined column of ``dimensions`` is recognised beside them."""

BY_NAME: Final[dict[str, Column]] = {column.name: column for column in COLUMNS}
SPELLINGS: Final[dict[str, Column]] = {
    spelling: column
    for column in COLUMNS
    for spelling in (column.name.replace("_", " "), *column.others, *column.lately)
}
LATELY: Final[frozenset[str]] = frozenset(spelling for column in COLUMNS for spelling in column.lately)

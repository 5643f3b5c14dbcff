"""What is stated of a piece for papers and terms: in the order's own columns, else by the studio of all its works."""

from collections.abc import Iterable
from typing import Final, Literal

from nesting.order import Artwork
from nesting.shop.shop import KINDS_OF_WORK, Studio

Terms = Literal["", "consigned", "sold"]

KEPT: Final[dict[str, tuple[str, ...]]] = {
    "origin": ("country of origin", "made in", "country of manufacture"),
    "tariff": ("tariff heading", "tariff code", "tariff no", "hs code", "commodity code", "customs code"),
    "terms": ("consigned or sold", "sold or consigned"),
    "reason": ("reason for export", "export reason"),
    "kind of work": ("original or copy", "original, replica, reproduction or copy"),
    "carnet": ("ata carnet", "under carnet"),
}
"""Columns that are kept as they were written for papers at a border, with their other spellings."""

KEPT_TERMS: Final[dict[str, Terms]] = {
    "": "", "consigned": "consigned", "consignment": "consigned", "on consignment": "consigned",
    "not sold": "consigned", "sold": "sold", "sale": "sold",
}  # fmt: skip
"""What people write for the terms, and what it means."""

_KINDS: Final[dict[str, str]] = {
    "": "", **{f"{kind}{end}": kind for kind in KINDS_OF_WORK if kind for end in ("", " work")}
}  # fmt: skip
_ANSWERS: Final[dict[str, bool]] = {"": False, "yes": True, "y": True, "no": False, "n": False}

_KEPT_SPELLINGS: Final = {spelling: name for name, others in KEPT.items() for spelling in (name, *others)}


def kept_name(heading: str) -> str | None:
    """Return which of the :data:`KEPT` columns a heading means, or None."""
    return _KEPT_SPELLINGS.get(" ".join(heading.replace("_", " ").lower().split()).strip("*: "))


def kept(extra: Iterable[tuple[str, str]], name: str) -> str:
    """Return what an artwork's extra columns hold under one of the :data:`KEPT` names; empty where nothing does."""
    return next((" ".join(text.split()) for heading, text in extra if kept_name(heading) == name), "")


def terms_of(artwork: Artwork, studio: Studio) -> Terms:
    """Return on which terms a piece travels: as its order says, else as the studio says of all; empty if nobody does.

    What an order made in Python says in other words counts as nothing; in a file it was a fault.
    """
    return KEPT_TERMS.get(kept(artwork.extra, "terms").lower(), "") or KEPT_TERMS[studio.terms]


def kind_of_work(artwork: Artwork, studio: Studio) -> str:
    """Return whether a piece is an original, a replica, a reproduction or a copy; empty where nobody says.

    Other words count as nothing: a column of that name in an order of before is no fault.
    """
    return _KINDS.get(kept(artwork.extra, "kind of work").lower(), "") or studio.kind_of_work


def under_carnet(artwork: Artwork) -> bool | None:
    """Return whether its order says that a piece crosses the border under a carnet; None where other words stand."""
    return _ANSWERS.get(kept(artwork.extra, "carnet").lower())

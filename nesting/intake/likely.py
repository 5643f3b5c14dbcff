"""Which column a heading that is not understood probably means: something to offer, never to take by itself."""

import difflib
import re
from collections.abc import Sequence
from typing import Final

from nesting.base.measure import MeasureError, plain
from nesting.intake.cells import CellError, Scale
from nesting.intake.columns import BY_NAME, SPELLINGS
from nesting.intake.headings import read_heading
from nesting.intake.hedges import without_hedge
from nesting.shop.stated import kept_name

_WORDS: Final = {
    "retail": "price", "list": "price", "asking": "price", "ask": "price", "rrp": "price", "sale": "price",
    "sales": "price", "selling": "price", "amount": "price", "cost": "price", "usd": "price", "eur": "price",
    "gbp": "price", "$": "price", "€": "price", "£": "price",
    "insurance": "declared", "insured": "declared", "worth": "declared",
    "client": "buyer", "customer": "buyer", "purchaser": "buyer", "owner": "buyer", "sold": "buyer",
    "dealer": "gallery", "consigned": "gallery",
    "location": "destination", "city": "destination", "delivery": "destination", "address": "destination",
    "receiver": "destination",
    "due": "ship_by", "deadline": "ship_by", "needed": "ship_by", "departure": "ship_by", "collection": "ship_by",
    "lb": "weight", "lbs": "weight", "kg": "weight", "kilos": "weight", "pounds": "weight", "weighs": "weight",
    "number": "piece", "label": "piece", "tag": "piece", "catalogue": "piece", "catalog": "piece",
    "pieces": "quantity", "units": "quantity", "amt": "quantity",
    "material": "support", "materials": "medium", "date": "year", "created": "year",
    "description": "notes", "info": "notes", "condition": "notes",
}  # fmt: skip
"""Words of headings that mean several things, each with the likeliest. From what tables of studios commonly say; no
source."""
_NEAR: Final = 0.8
_LOOKED_AT: Final = 40
_MOSTLY: Final = 0.6
"""Part of the cells that are filled which has to be readable as such a column."""
_FREE: Final = frozenset({"buyer", "gallery", "destination", "piece", "notes", "support", "medium"})
"""Columns whose cells take nearly any words: their readers say nothing about a guess; the cells must be short."""
_SHORT: Final = 40
_NAMES: Final = frozenset({"buyer", "gallery", "destination"})
"""Columns of names: none is written as a day."""
_DAY: Final = re.compile(r"\d{1,4}\s?[-./]\s?\d{1,2}\s?[-./]\s?\d{1,4}\.?")
_AMOUNT: Final = re.compile(r"\d{1,3}(?:[.,' ]\d{3})+(?:[.,]\d{1,2})?")
"""An amount in groups of thousands, whichever mark stands between them."""


def likely(text: str, cells: Sequence[str]) -> str | None:
    """Return the column that a heading probably means whose words :func:`read_heading` does not know.

    Parameters
    ----------
    text : str
        The heading.
    cells : sequence of str
        What stands below it; blank ones say nothing.

    Returns
    -------
    str or None
        Our name for the column, whose reader takes most of the cells; None where the heading is understood, or nothing
        is likely.
    """
    if not text.strip() or kept_name(text) is not None or read_heading(0, text).name is not None:
        return None
    filled = [cell for cell in cells[:_LOOKED_AT] if cell.strip()]
    return next((name for name in _named(text) if _taken(name, filled)), None)


def _named(text: str) -> list[str]:
    """Return columns that the words of a heading point to, the likeliest first."""
    read = " ".join(re.sub(r"[()\[\]{}_.,:;/\\\-]+", " ", plain(text).lower()).split())
    near = difflib.get_close_matches(read, list(SPELLINGS), 2, _NEAR) if len(read) > 3 else []
    words = read.split()
    by_word = [_WORDS[word] for word in words if word in _WORDS]
    inside = [SPELLINGS[word].name for word in words if word in SPELLINGS and len(word) > 2]
    return list(dict.fromkeys([*(SPELLINGS[each].name for each in near), *by_word, *inside]))


def _taken(name: str, cells: Sequence[str]) -> bool:
    """Whether most of the cells can be read as cells of that column; with none filled the words alone decide."""
    if not cells:
        return True
    enough = _MOSTLY * len(cells)
    if name in _NAMES and sum(bool(_DAY.fullmatch(cell.strip())) for cell in cells) >= enough:
        return False
    if name in _FREE and name != "notes":
        return sum(len(cell) <= _SHORT for cell in cells) >= enough
    return sum(_reads(name, cell) for cell in cells) >= enough


def _reads(name: str, cell: str) -> bool:
    """Whether a cell reads as one of a column, its doubt aside where the column may have one.

    An amount that has to be asked about, such as 2.400, is an amount all the same.
    """
    column = BY_NAME[name]
    said = without_hedge(cell) if column.blank else None
    text = cell if said is None else said
    if column.kind == "money" and _AMOUNT.fullmatch(plain(text)):
        return True
    try:
        column.read(text, column.accepted, Scale())
    except (CellError, MeasureError):
        return False
    return True

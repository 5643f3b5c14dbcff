"""Which rows of a table are artworks: totals, headings repeated and words below the table are left out, and told."""

import re
from collections.abc import Sequence
from decimal import Decimal
from typing import Final

from nesting.base.figures import parse_figure
from nesting.base.measure import plain, shorten
from nesting.base.tables.cells import Cell, Unreadable, is_blank, text_of
from nesting.base.tables.table import Row
from nesting.intake.headings import DIMENSIONS, Heading

_SIDES: Final = ("width", "height", "depth")
_THINGS: Final = r"(?:works?|pieces?|items?|paintings?|artworks?|panels?|crates?|objects?)"
_TOTAL: Final = re.compile(
    r"(?:(?:grand|sub|overall|running|page|order|list)[\s-]*)?(?:totals?|sums?|subtotals?)"
    rf"(?:\s+(?:of\s+)?(?:{_THINGS}|value|values|price|prices|retail|weight|net|gross|quantity|qty|usd|eur|gbp|cad|aud))?"
    rf"\s*(?:\(?\s*[0-9]+\s*{_THINGS}?\s*\)?)?\s*[:=]?"
)
_COUNTED: Final = re.compile(rf"[0-9]+\s*{_THINGS}(?:\s+(?:in all|in total|total))?")
_SUMMED: Final = re.compile(r"=\s*(?:sum|subtotal|aggregate)\s*\(", re.IGNORECASE)
_NUMBER: Final = re.compile(r"(?:[$€£]|[a-z]{3})?\s*([0-9][0-9.,' ]*?)\s*(?:[a-z]{1,3}\.?|[$€£])?")


def artworks_only(
    rows: Sequence[Row], headings: Sequence[Heading], heading: Row
) -> tuple[tuple[Row, ...], tuple[str, ...]]:
    """Return the rows that are artworks, and a remark for each kind of row that was left out.

    A row with all its sides is an artwork whatever it is called. Nothing is left out before the first artwork.
    """
    places = _side_places(headings)
    kept: list[Row] = []
    totals: list[str] = []
    repeated = after = 0
    for row in rows:
        if kept and _same(row, heading):
            repeated += 1
        elif not kept or not places or _any_side(row, places, every=True):
            kept.append(row)
        elif _is_total(row, headings, kept):
            totals.append(_label(row))
        elif totals and not _any_side(row, places) and not _has_more(rows, row, places):
            after += 1
        else:
            kept.append(row)
    told = []
    if totals:
        words = "a row of totals" if len(totals) == 1 else f"{len(totals)} rows of totals"
        told.append(f"{words} left out ({', '.join(dict.fromkeys(totals))})")
    if after:
        told.append("what stands below the totals left out, since it has no sizes")
    if repeated:
        told.append("the heading stands again among the rows, and was passed over")
    return tuple(kept), tuple(told)


def _side_places(headings: Sequence[Heading]) -> tuple[int, ...]:
    """Return where sizes stand."""
    return tuple(heading.place for heading in headings if heading.name in (*_SIDES, DIMENSIONS))


def _cell(row: Row, place: int) -> Cell:
    return row.cells[place] if place < len(row.cells) else None


def _any_side(row: Row, places: Sequence[int], *, every: bool = False) -> bool:
    """Whether a row has a size, or every one."""
    filled = [not is_blank(_cell(row, place)) for place in places]
    return all(filled) if every else any(filled)


def _has_more(rows: Sequence[Row], row: Row, places: Sequence[int]) -> bool:
    """Whether an artwork stands below a row."""
    return any(other.number > row.number and _any_side(other, places) for other in rows)


def _same(row: Row, heading: Row) -> bool:
    """Whether a row repeats the heading."""
    texts = [text_of(cell) for cell in row.cells]
    above = [text_of(cell) for cell in heading.cells]
    filled = [(one, other) for one, other in zip(texts, above, strict=False) if one]
    return (
        len(filled) >= 3
        and len(texts) <= len(above)
        and all(other == one or other.startswith(f"{one} (") for one, other in filled)
    )


def _label(row: Row) -> str:
    """Return what a row of totals says first."""
    first = next(cell for cell in row.cells if not is_blank(cell))
    return f'"{shorten(text_of(first))}"'


def _is_total(row: Row, headings: Sequence[Heading], above: Sequence[Row]) -> bool:
    """Whether a row is one of totals: it says so, or has no name and the sum of a column."""
    filled = [(place, cell) for place, cell in enumerate(row.cells) if not is_blank(cell)]
    for _, cell in filled:
        if isinstance(cell, str) and _TOTAL.fullmatch(text := plain(cell)) is not None:
            return True
        if isinstance(cell, str) and len(filled) == 1 and _COUNTED.fullmatch(text) is not None:
            return True
        if isinstance(cell, Unreadable) and _SUMMED.match(cell.text):
            return True
    named = {heading.place for heading in headings if heading.name in ("piece", "title")}
    if any(place in named for place, _ in filled):
        return False
    numbers = [(place, number) for place, cell in filled if (number := _number(cell)) is not None]
    return len(numbers) == len(filled) and any(
        number == _sum([_cell(other, place) for other in above]) for place, number in numbers
    )


def _sum(cells: Sequence[Cell]) -> Decimal | None:
    """Return the sum of a column's numbers, where there are two at least."""
    numbers = [number for cell in cells if (number := _number(cell)) is not None]
    return sum(numbers, Decimal(0)) if len(numbers) > 1 else None


def _number(cell: Cell) -> Decimal | None:
    """Return a plain number, with the sign of a currency or a short unit beside it."""
    if isinstance(cell, bool) or not isinstance(cell, str | int | float | Decimal):
        return None
    match = _NUMBER.fullmatch(plain(text_of(cell)))
    return parse_figure(match[1]) if match else None

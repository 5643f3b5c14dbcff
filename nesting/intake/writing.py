"""Orders back to tables: every cell as text that reads back as the same value, for the desk and for plain files."""

from datetime import datetime
from pathlib import Path
from typing import Final

from nesting.intake.cells import text_of
from nesting.intake.columns import COLUMNS
from nesting.intake.reading import read_upload, table_of
from nesting.measure import LB_KG, UnitSystem, format_length_exact
from nesting.order import Artwork, Back, Order

_ALWAYS: Final = ("piece", "title", "width", "height", "depth", "weight", "quantity")
"""Columns that are written even where no artwork has anything in them."""


def order_rows(order: Order) -> list[list[str]]:
    """Return an order as rows of text, the heading first.

    Bare numbers are in the order's units; whatever is no round number there carries its unit. Columns in which nothing
    stands are left out, those that were not understood come last.

    Returns
    -------
    list of list of str
        What :func:`~nesting.intake.reading.order_from_rows` reads as the same artworks.
    """
    extra = list(dict.fromkeys(name for artwork in order.artworks for name, _ in artwork.extra))
    rows = [_cells(artwork, order.units) for artwork in order.artworks]
    kept = [name for name in _ORDER if name in _ALWAYS or any(row[name] for row in rows)]
    lines = [
        [row[name] for name in kept] + [dict(artwork.extra).get(name, "") for name in extra]
        for row, artwork in zip(rows, order.artworks, strict=True)
    ]
    return [[name.replace("_", " ") for name in kept] + extra, *lines]


_ORDER: Final = (*_ALWAYS, *(column.name for column in COLUMNS if column.name not in _ALWAYS))


def _cells(artwork: Artwork, units: UnitSystem) -> dict[str, str]:
    """Write every column of an artwork; blank where its value is the usual one."""

    def length(value: int) -> str:
        return format_length_exact(value, units) if value else ""

    poured = artwork.poured
    return {
        "piece": artwork.piece,
        "title": artwork.title,
        "width": length(artwork.width),
        "height": length(artwork.height),
        "depth": length(artwork.depth),
        "weight": _weight(artwork, units),
        "quantity": str(artwork.quantity),
        "method": artwork.method,
        "surface": artwork.surface,
        "support": artwork.support,
        "back": _back(artwork.back, units),
        "bar_width": "",
        "bar_depth": "",
        "set": artwork.set_name or "",
        "poured": poured.isoformat(" ") if isinstance(poured, datetime) else poured.isoformat() if poured else "",
        "pours": str(artwork.pours or ""),
        "pour_depth": length(artwork.pour_depth),
        "price": "" if artwork.price is None else f"{artwork.price:f}",
        "declared": "" if artwork.declared is None else f"{artwork.declared:f}",
        "destination": artwork.destination or "",
        "ship_by": artwork.ship_by.isoformat() if artwork.ship_by else "",
        "together": ", ".join(artwork.together),
        "apart": ", ".join(artwork.apart),
        "turn": "yes" if artwork.turn else "",
        "notes": artwork.notes,
    }


def _weight(artwork: Artwork, units: UnitSystem) -> str:
    """Write a weight in pounds where it is a round number of them, else in kilograms."""
    if artwork.weight_kg is None:
        return ""
    if units == "inch":
        pounds = round(artwork.weight_kg / LB_KG, 4)
        if pounds * LB_KG == artwork.weight_kg:
            return f"{pounds.normalize():f} lb"
    return f"{artwork.weight_kg:f} kg"


def _back(back: Back, units: UnitSystem) -> str:
    """Write what a screw may go into; both lengths with their units, since a unit at the end alone counts for both."""
    if back.kind == "strainer":
        width, depth = (format_length_exact(bar, units, mark=True) for bar in (back.bar_width, back.bar_depth))
        return f"strainer {width} x {depth}"
    return back.kind


def upload_rows(file: str, data: bytes) -> list[list[str]]:
    """Return a CSV or XLSX file's own cells as text, faults and all, so that they can be mended where they stand.

    Row *n* of the file is row *n* here, counted from 1, so that faults point at the right line; a TOML
    order is read first and written as a table.

    Raises
    ------
    FaultsFound
        Where the file cannot be opened at all, or is TOML with faults.
    """
    if Path(file).suffix.lower() == ".toml":
        return order_rows(read_upload(file, data))
    table = table_of(file, data)
    rows: list[list[str]] = [[] for _ in range(table.rows[-1].number)] if table.rows else []
    for row in table.rows:
        rows[row.number - 1] = [text_of(cell).removesuffix(" 00:00:00") for cell in row.cells]
    return rows

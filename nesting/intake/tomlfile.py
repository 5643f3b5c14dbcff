"""Orders from TOML: what holds for the whole order at the top, then ``[[artwork]]``."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final

from nesting.base.faults import Faults, refuse
from nesting.base.shown import shown_on_a_line
from nesting.base.tables.cells import Cell, text_of
from nesting.base.tables.table import MOST_COLUMNS, MOST_ROWS, Row, Table
from nesting.base.tables.text import decode
from nesting.base.toml_text import exact
from nesting.intake.cells import CellError, Scale, read_commission, read_name, read_word
from nesting.intake.columns import BY_NAME, COMMISSION_ACCEPTED, CUSHION_ACCEPTED
from nesting.order import CUSHIONS

KNOWN: Final = ("name", "units", "currency", "commission", "cushion", "buyer", "gallery", "artwork")
NAMED: Final = ("buyer", "gallery")
"""Keys that name a party for every piece that names none."""
ELSEWHERE: Final = frozenset({"destination", "destinations", "scenario", "scenarios", "freight"})
"""Keys of an order file that other readers take."""


@dataclass(frozen=True, slots=True)
class TomlOrder:
    """A TOML order before its artworks are understood: the table has the keys as its heading, row 0.

    ``faults`` holds what is wrong at its top, to be told with what is wrong below.
    """

    table: Table
    name: str | None
    units: str | None
    currency: str | None
    faults: Faults
    commission: Decimal | None = None
    cushion: str = ""
    buyer: str = ""
    gallery: str = ""


def read_toml(file: str, data: bytes) -> TomlOrder:
    """Read a TOML order from its bytes.

    Raises
    ------
    FaultsFound
        Where it is no TOML, or has no artworks.
    """
    text, warned = decode(file, data)
    try:
        tree = tomllib.loads(text, parse_float=exact)
    except RecursionError:
        raise refuse(file, "lists nested too deeply", "a TOML file with [[artwork]] tables") from None
    except ValueError as error:
        # TOMLDecodeError says line and column; other ValueErrors come from numbers beyond all bounds.
        raise refuse(file, str(error), "a TOML file with [[artwork]] tables") from None
    faults = Faults(file, "artwork")
    tops = {}
    for key in ("name", "units", "currency"):
        value = tree.get(key)
        if value is not None and not isinstance(value, str):
            faults.add(None, key, text_of(value), "text in quotes")
            value = None
        tops[key] = value
    commission = _commission(tree.get("commission"), faults)
    cushion = _cushion(tree.get("cushion"), faults)
    named = {key: _named(key, tree.get(key), faults) for key in NAMED}
    artworks = _artworks(tree.get("artwork"), faults)
    if not artworks:
        faults.stop_if_any()
    warned += [
        f"{file}: {shown_on_a_line(key)} is not understood and was left out"
        for key in tree
        if key not in KNOWN and key not in ELSEWHERE
    ]
    keys = list(dict.fromkeys(key for artwork in artworks for key in artwork))
    if len(keys) > MOST_COLUMNS:
        raise refuse(file, f"{len(keys)} different keys", f"{MOST_COLUMNS} at the most")
    rows = [Row(0, tuple(keys))]
    rows += [Row(n, tuple(artwork.get(key) for key in keys)) for n, artwork in enumerate(artworks, start=1)]
    table = Table(file, tuple(rows), tuple(warned))
    return TomlOrder(table, tops["name"], tops["units"], tops["currency"], faults, commission, cushion, **named)


def _commission(found: Any, faults: Faults) -> Decimal | None:
    """Return the seller's part of every list price of the order, or note why it cannot be read."""
    try:
        return read_commission(found, COMMISSION_ACCEPTED, Scale())
    except CellError as error:
        faults.add(None, "commission", error.found, error.accepted)
        return None


def _cushion(found: Any, faults: Faults) -> str:
    """Return how the order's cases are cushioned, or note what it says that is no such word."""
    try:
        return read_word(found, CUSHION_ACCEPTED, {word: word for word in CUSHIONS}) or ""
    except CellError as error:
        faults.add(None, "cushion", error.found, error.accepted)
        return ""


def _named(key: str, found: Any, faults: Faults) -> str:
    """Return a party that the order names, or note why it cannot be read."""
    accepted = BY_NAME[key].accepted
    try:
        return read_name(found, accepted) or ""
    except CellError as error:
        faults.add(None, key, error.found, error.accepted)
        return ""


def _artworks(found: Any, faults: Faults) -> list[Mapping[str, Cell]]:
    """Return the artwork tables, or note why there are none."""
    accepted = "one [[artwork]] table for each piece"
    if not isinstance(found, list) or not found or not all(isinstance(entry, dict) for entry in found):
        faults.add(None, "artwork", text_of(found) if not isinstance(found, dict) else "a single [artwork]", accepted)
        return []
    if len(found) > MOST_ROWS:
        faults.add(None, "artwork", f"{len(found)} tables", f"{MOST_ROWS} at the most")
        return []
    return found

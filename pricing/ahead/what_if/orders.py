"""Changes of an order: pieces left out, cells changed, pieces added, read by the same readers as order files."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

from nesting.base.days import DayOrder
from nesting.base.faults import Fault, FaultsFound
from nesting.base.measure import format_length_exact
from nesting.intake import order_from_rows
from nesting.intake.columns import BY_NAME
from nesting.order import Artwork, Order
from nesting.shop.backs import write_back

_FIELDS: Final[Mapping[str, str]] = {
    "weight": "weight_kg", "set": "set_name", "bar_width": "back", "bar_depth": "back",
}  # fmt: skip
"""Columns whose value lies in a field of another name."""
_SIZES: Final = ("width", "height", "depth")


def changed_order(order: Order, told: Mapping[str, Any], where: str, days: DayOrder | None = None) -> Order:
    """Return the order with pieces left out, changed and added.

    Raises
    ------
    FaultsFound
        Every unknown piece, key and cell.
    """
    without, change, add = told.get("without", []), told.get("change", {}), told.get("add", [])
    faults = _shape(told, where)
    if faults:
        raise FaultsFound(faults)
    known = {artwork.piece for artwork in order.artworks}
    faults = [
        _fault(where, key, piece, f"one of {', '.join(known)}")
        for key, pieces in (("without", without), ("change", change))
        for piece in pieces
        if piece not in known
    ]
    if faults:
        raise FaultsFound(faults)
    kept = [artwork for artwork in order.artworks if artwork.piece not in without]
    gone = frozenset(without)
    read = _read((order, kept), change, add, where, days)
    artworks = [
        _put(_parted(artwork, gone), found, change.get(artwork.piece, {}))
        for artwork, found in zip(kept, read, strict=False)
    ]
    artworks += [replace(artwork, row=None) for artwork in read[len(kept) :]]
    try:
        return replace(order, artworks=tuple(artworks))
    except ValueError as error:
        raise FaultsFound(
            [_fault(where, "order", str(error), "an order with at least one piece, each once")]
        ) from error


def _shape(told: Mapping[str, Any], where: str) -> list[Fault]:
    """Tell what is not built as described."""
    faults = [
        _fault(where, key, key, "one of without, change, add")
        for key in told
        if key not in ("without", "change", "add")
    ]
    without, change, add = told.get("without", []), told.get("change", {}), told.get("add", [])
    if not isinstance(without, list) or not all(isinstance(piece, str) for piece in without):
        faults.append(_fault(where, "without", str(without)[:60], "a list of pieces"))
    if not isinstance(change, Mapping) or not all(isinstance(cells, Mapping) for cells in change.values()):
        faults.append(_fault(where, "change", str(change)[:60], "a table for each piece"))
    if not isinstance(add, list) or not all(isinstance(each, Mapping) for each in add):
        faults.append(_fault(where, "add", str(add)[:60], "a list of tables such as { piece = ..., width = ... }"))
    if faults:
        return faults
    for name, cells in [*change.items(), *((each.get("piece", "add"), each) for each in add)]:
        faults += [
            _fault(where, f"{name}.{key}", key, f"one of {', '.join(BY_NAME)}") for key in cells if key not in BY_NAME
        ]
    return faults + [
        _fault(where, f"change.{name}.piece", str(cells["piece"]), "no new name for a piece")
        for name, cells in change.items()
        if "piece" in cells
    ]


def _read(
    kept_of: tuple[Order, list[Artwork]],
    change: Mapping[str, Any],
    add: list[Mapping[str, Any]],
    where: str,
    days: DayOrder | None,
) -> tuple[Artwork, ...]:
    """Read changed cells and added pieces as one table, so that names are checked against all of the order."""
    order, kept = kept_of
    cells = [*(change.get(artwork.piece, {}) for artwork in kept), *add]
    own_columns = ("piece", *_SIZES, "back")
    columns = [*own_columns, *dict.fromkeys(key for each in cells for key in each if key not in own_columns)]
    rows: list[list[Any]] = [columns]
    for number, each in enumerate(cells):
        own: dict[str, Any] = {}
        if number < len(kept):
            artwork = kept[number]
            own = {"piece": artwork.piece} | {
                side: format_length_exact(getattr(artwork, side), mark=True) for side in _SIZES
            }
            # A changed size is held against the back as it is; changed bars say what they belong to.
            if not each.keys() & {"bar_width", "bar_depth"}:
                own["back"] = write_back(artwork.back, order.units)
        rows.append([each.get(column, own.get(column)) for column in columns])
    names = [artwork.piece for artwork in kept] + [str(each.get("piece", "add")) for each in add]
    try:
        return order_from_rows(
            rows, units=order.units, name=order.name, source=where, currency_code=order.currency, days=days
        ).artworks
    except FaultsFound as found:
        # The table is ours; people know their pieces, not its rows.
        raise FaultsFound(
            _fault(where, f"{names[fault.row - 2]}.{fault.column}", fault.found, fault.accepted)
            if fault.row is not None and 2 <= fault.row < len(names) + 2
            else replace(fault, row=None, row_word="table")
            for fault in found.faults
        ) from found


def _parted(artwork: Artwork, gone: frozenset[str]) -> Artwork:
    """Return the artwork without wishes about pieces that are left out."""
    return replace(
        artwork,
        together=tuple(name for name in artwork.together if name not in gone),
        apart=tuple(name for name in artwork.apart if name not in gone),
    )


def _put(artwork: Artwork, found: Artwork, cells: Mapping[str, Any]) -> Artwork:
    """Return the artwork with the fields of the changed cells."""
    names = {_FIELDS.get(key, key) for key in cells}
    return replace(artwork, **{name: getattr(found, name) for name in sorted(names)})


def _fault(where: str, key: str, found: str, accepted: str) -> Fault:
    return Fault(where, None, key, found, accepted, row_word="table")

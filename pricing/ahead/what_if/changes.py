"""Changes of the studio's files: what a scenario says, laid over what the studio says.

What a scenario says is read by the files' own readers, over what the studio says, so that a scenario accepts and
refuses exactly what the files do.
"""

import tomllib
from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from typing import Any, Protocol, TypeVar

from nesting.base.days import DayOrder
from nesting.base.faults import Fault, FaultsFound
from nesting.base.toml_text import exact
from nesting.shop.goods_file import good_entry
from nesting.shop.materials_file import own_materials
from nesting.shop.shop import Shop
from nesting.shop.shop_file import shop_from
from pricing.money import CENT
from pricing.studio.destinations import COLUMNS, Destinations, destinations_csv, destinations_from
from pricing.studio.pricebook import PriceBook
from pricing.studio.rates import Rates
from pricing.studio.rates_file import rates_of, rates_text
from pricing.studio.table_file import csv_text, table_from

T = TypeVar("T")


class Changed(Protocol[T]):
    """Lays a scenario's table over a value; ``where`` names the table in messages."""

    def __call__(self, old: T, told: Mapping[str, Any], where: str, /) -> T:
        """Return the changed value, or raise :class:`nesting.base.faults.FaultsFound`."""


def merged(base: Mapping[str, Any], over: Mapping[str, Any]) -> dict[str, Any]:
    """Return nested tables with others laid over them."""
    both = dict(base)
    for key, value in over.items():
        below = both.get(key)
        both[key] = merged(below, value) if isinstance(below, Mapping) and isinstance(value, Mapping) else value
    return both


def changed_rates(rates: Rates, told: Mapping[str, Any], where: str) -> Rates:
    """Return rates with groups, tables and freight profiles of a scenario laid over them."""
    base = tomllib.loads(rates_text(rates), parse_float=exact)
    return replace(rates_of(merged(base, told), where, Rates(rates.currency)), source=rates.source)


def changed_shop(shop: Shop, told: Mapping[str, Any], where: str) -> Shop:
    """Return a shop with rules, materials and goods of a scenario laid over it."""
    entries = told.get("good", [])
    if not isinstance(entries, list) or not all(isinstance(each, Mapping) and each.get("good") for each in entries):
        raise FaultsFound([_fault(where, "good", str(entries)[:60], "an array of tables with the key good")])
    known = {good.good: good_entry(good) for good in shop.goods}
    whole = [each if each.get("stocked") is False else {**known.get(str(each["good"]), {}), **each} for each in entries]
    plain: dict[str, Any] = _floats({**told, "good": whole})
    if "material" in plain:
        plain["material"] = _laid_over(own_materials(shop.materials), plain["material"])
    return shop_from(plain, where, shop)


def _laid_over(base: list[dict[str, Any]], told: Any) -> Any:
    """Return tables of materials with a scenario's laid over those of the same name; what are none, as they are."""
    if not isinstance(told, list) or not all(isinstance(each, Mapping) and "material" in each for each in told):
        return told
    both = {entry["material"]: entry for entry in base}
    for entry in told:
        name = str(entry["material"])
        both[name] = {**both.get(name, {}), **entry}
    return list(both.values())


def _floats(value: Any) -> Any:
    """Return numbers as the shop file's reader has them."""
    if isinstance(value, Mapping):
        return {key: _floats(each) for key, each in value.items()}
    if isinstance(value, list):
        return [_floats(each) for each in value]
    return float(value) if isinstance(value, Decimal) else value


def changed_prices(book: PriceBook, told: Mapping[str, Any], where: str, shop: Shop) -> PriceBook:
    """Return a price book with the plain prices of a scenario; breaks of a changed row no longer apply."""
    from pricing.studio.pricebook import Price

    faults: list[Fault] = []
    rows = {row.stock: row for row in book.rows}
    homes = {size.stock: good for good in shop.goods for size in good.sizes}
    for stock, raw in told.items():
        if isinstance(raw, bool) or not isinstance(raw, int | Decimal):
            faults.append(_fault(where, stock, str(raw), "a price, a plain number such as 48.50"))
            continue
        old, good = rows.get(stock), homes.get(stock)
        if old is None and good is None:
            faults.append(_fault(where, stock, stock, "a stock of the price book or of the scenario's goods"))
            continue
        try:
            price = Decimal(raw) if Decimal(raw) * 100 % 1 else Decimal(raw).quantize(CENT)
            if old is not None:
                rows[stock] = replace(old, price=price, breaks=())
            elif good is not None:
                rows[stock] = Price(stock, good.good, good.form, price)
        except (ValueError, ArithmeticError) as error:
            faults.append(_fault(where, stock, str(raw), f"a price in whole hundredths ({error})"))
    if faults:
        raise FaultsFound(faults)
    return replace(book, rows=tuple(rows.values()))


def changed_destinations(
    places: Destinations, told: Mapping[str, Any], where: str, rates: Rates, days: DayOrder | None = None
) -> Destinations:
    """Return the destinations with cells of a scenario in place of theirs."""
    table = table_from(destinations_csv(places).encode(), "destinations.csv")
    rows: dict[str, dict[str, Any]] = {row.get("destination"): dict(row.cells) for row in table.rows}
    faults = []
    for name, cells in told.items():
        if not isinstance(cells, Mapping):
            faults.append(_fault(where, name, str(cells), f'a table ["{name}"]'))
            continue
        row = rows.setdefault(name, {"destination": name})
        for key, value in cells.items():
            column = key.replace("_", " ")
            if column not in COLUMNS or column == "destination":
                faults.append(_fault(where, f"{name}.{key}", key, f"one of {', '.join(COLUMNS[1:])}"))
            row[column] = ("yes" if value else "no") if isinstance(value, bool) else str(value)
    if faults:
        raise FaultsFound(faults)
    content = csv_text(COLUMNS, [[row.get(column, "") for column in COLUMNS] for row in rows.values()])
    try:
        return replace(destinations_from(content.encode(), "destinations.csv", rates, days), source=places.source)
    except FaultsFound as found:
        # The rows of that table are ours; the scenario names its places.
        names = list(rows)
        raise FaultsFound(
            _fault(where, f"{names[(fault.row or 2) - 2]}.{fault.column}", fault.found, fault.accepted)
            for fault in found.faults
        ) from found


def _fault(where: str, key: str, found: str, accepted: str) -> Fault:
    return Fault(where, None, key, found, accepted, row_word="table")

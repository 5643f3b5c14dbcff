"""Scenarios from a TOML file: each says what it changes in the order and in the studio's files.

``[scenario.NAME]`` may hold a ``title`` and these tables, each with what differs and nothing else:

- ``order``: ``without`` (a list of pieces), ``change.PIECE`` (columns and what stands in them instead), ``add`` (a
  list of tables like the artworks of a TOML order);
- ``shop`` and ``rates``: rules by group, as in the shop file and the rates file; goods and freight profiles by name;
- ``prices``: a price by stock; ``destinations.NAME``: columns of the table of destinations.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from nesting.base.days import days_in
from nesting.base.faults import Fault, FaultsFound, refuse
from nesting.base.toml_text import exact, tables_of
from nesting.order import Order
from pricing.ahead.what_if.changes import Changed, changed_destinations, changed_prices, changed_rates, changed_shop
from pricing.ahead.what_if.orders import changed_order
from pricing.studio.office import Office

MOST: Final = 50
"""Scenarios of a file."""
LARGEST: Final = 1_000_000
_TABLES: Final = ("order", "shop", "rates", "prices", "destinations")


@dataclass(frozen=True)
class Scenario:
    """One order as it might be.

    Attributes
    ----------
    name, title : str
        The table's name in the file, and what it is called for people.
    order : Order
        With the scenario's changes.
    office : Office
        The same.
    """

    name: str
    title: str
    order: Order
    office: Office


def read_scenarios(path: Path, order: Order, office: Office) -> tuple[Scenario, ...]:
    """Read a file of scenarios over an order and the studio's files; see the module.

    Raises
    ------
    FaultsFound
        Every fault of every scenario.
    """
    try:
        data = path.read_bytes()
    except OSError as error:
        raise refuse(path.name, error.strerror or str(error), "a file that can be read") from error
    return scenarios_from(data, path.name, order, office)


def scenarios_from(
    data: bytes, file: str, order: Order, office: Office, *, only: str | None = None
) -> tuple[Scenario, ...]:
    """Make scenarios of a file's content, or only the one of a name; see :func:`read_scenarios`."""
    if len(data) > LARGEST:
        raise refuse(file, f"{len(data)} bytes", f"{LARGEST} at the most")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise refuse(file, f"not TOML: {error}", "tables [scenario.NAME]") from error
    tree = tables_of(text, file, "tables [scenario.NAME]", exact)
    tables = tree.get("scenario")
    if not isinstance(tables, dict) or not tables or not all(isinstance(each, dict) for each in tables.values()):
        raise refuse(file, "no scenario", "tables [scenario.NAME]")
    if len(tables) > MOST:
        raise refuse(file, f"{len(tables)} scenarios", f"{MOST} at the most")
    faults = [_fault(file, key, key, "tables [scenario.NAME] only") for key in tree if key != "scenario"]
    made = []
    for name, table in tables.items():
        if only not in (None, name):
            continue
        scenario, wrong = _scenario(name, table, file, order, office)
        faults += wrong
        if scenario is not None:
            made.append(scenario)
    if faults:
        raise FaultsFound(faults)
    return tuple(made)


def _fault(file: str, where: str, found: str, accepted: str) -> Fault:
    return Fault(file, None, where, found, accepted, row_word="table")


def _scenario(
    name: str, table: Mapping[str, Any], file: str, order: Order, office: Office
) -> tuple[Scenario | None, list[Fault]]:
    """Make one scenario, or tell all that is wrong with it."""
    place = f"scenario.{name}"
    faults = [
        _fault(file, f"{place}.{key}", key, f"one of title, {', '.join(_TABLES)}")
        for key in table
        if key not in (*_TABLES, "title")
    ]
    title = table.get("title", name)
    if not isinstance(title, str):
        faults.append(_fault(file, f"{place}.title", str(title), "text in quotes"))
    values: dict[str, Any] = {}

    def attempt(key: str, change: Changed[Any], old: Any) -> Any:
        if (told := table.get(key)) is None:
            return old
        if not isinstance(told, Mapping):
            faults.append(_fault(file, f"{place}.{key}", str(told), f"a table [{place}.{key}]"))
            return old
        try:
            values[key] = change(old, told, f"{file}, {place}.{key}")
        except FaultsFound as found:
            faults.extend(found.faults)
            return old
        return values[key]

    shop, days = attempt("shop", changed_shop, office.shop), days_in(office.shop.studio.country)
    rates = attempt("rates", changed_rates, office.rates)
    book = attempt("prices", lambda old, told, where: changed_prices(old, told, where, shop), office.book)
    places = attempt(
        "destinations",
        lambda old, told, where: changed_destinations(old, told, where, rates, days),
        office.destinations,
    )
    wanted = attempt("order", lambda old, told, where: changed_order(old, told, where, days), order)
    if faults:
        return None, faults
    return Scenario(name, title, wanted, Office(shop, book, rates, office.rack, places, office.parties)), []

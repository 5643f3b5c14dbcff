"""The studio's own files, together: shop, prices, rates, rack, destinations and parties.

Each has a built-in default, so nothing needs to be written for the first quote; a folder made by ``casewright start``
holds copies to edit, and whichever file is missing there stays as built in.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TypeVar

from nesting.base.days import days_in
from nesting.base.faults import Fault, FaultsFound
from nesting.base.measure import UnitSystem
from nesting.shop.former import BEFORE_GEAR, GOODS_FOR_THE_WAY, GOODS_OF_GEAR, GOODS_OF_PLANK, GOODS_OF_SHARING
from nesting.shop.shop import Shop
from nesting.shop.shop_file import default_shop, read_shop, shop_text
from pricing.studio.destinations import Destinations, destinations_csv, read_destinations
from pricing.studio.parties import Parties, parties_csv, read_parties
from pricing.studio.pricebook import PriceBook
from pricing.studio.pricebook_file import default_price_book, default_prices_text, read_price_book
from pricing.studio.rack import Rack, rack_csv, read_rack
from pricing.studio.rates import Rates
from pricing.studio.rates_file import default_rates, default_rates_text, read_rates

T = TypeVar("T")

NAMES = (
    "shop.toml", "prices.csv", "prices.xlsx", "rates.toml", "rack.csv", "rack.xlsx", "destinations.csv",
    "destinations.xlsx", "parties.csv", "parties.xlsx",
)  # fmt: skip
"""Names that the studio's files go by."""


@dataclass(frozen=True)
class Office:
    """What the studio knows before an order comes in.

    Attributes
    ----------
    shop : Shop
        Goods and rules of the shop floor.
    book, rates : PriceBook, Rates
        What things and hours cost, in one currency.
    rack : Rack
        Offcuts and opened boxes.
    destinations : Destinations
        Where crates go.
    parties : Parties
        Who buys, sells and receives.
    """

    shop: Shop = field(default_factory=default_shop)
    book: PriceBook = field(default_factory=default_price_book)
    rates: Rates = field(default_factory=default_rates)
    rack: Rack = field(default_factory=Rack)
    destinations: Destinations = field(default_factory=Destinations)
    parties: Parties = field(default_factory=Parties)

    @property
    def countries(self) -> Mapping[str, str]:
        """Country of each destination that has one."""
        return {row.name: row.country for row in self.destinations.rows if row.country}


def read_office(folder: Path | None, beside: Path | None = None) -> Office:
    """Read the studio's files.

    Parameters
    ----------
    folder : Path or None
        Where they are: ``shop.toml``, ``prices.csv`` or ``prices.xlsx``, ``rates.toml``, ``rack.csv``,
        ``destinations.csv``, ``parties.csv``. None: all as built in.
    beside : Path, optional
        The folder of the order: the places in its ``destinations.csv`` and the parties in its ``parties.csv`` are known
        too. Where both tables hold one, the studio's row counts.

    Raises
    ------
    FaultsFound
        Every fault of every file.
    """
    if folder is not None and not folder.is_dir():
        found = "a file" if folder.exists() else ""
        raise FaultsFound([Fault(str(folder), None, None, found, "a folder, such as casewright start makes")])
    if folder is not None and not any((folder / name).exists() for name in NAMES):
        accepted = f"at least one of {', '.join(NAMES)}; casewright start makes them"
        raise FaultsFound([Fault(str(folder), None, None, "none of the studio's files", accepted)])
    faults: list[Fault] = []

    def attempt(names: tuple[str, ...], read: Callable[[Path], T], otherwise: T, within: Path | None = folder) -> T:
        paths = [within / name for name in names] if within is not None else []
        path = next((path for path in paths if path.exists()), None)
        if path is None:
            return otherwise
        try:
            return read(path)
        except FaultsFound as error:
            faults.extend(error.faults)
            return otherwise

    shop = attempt(("shop.toml",), read_shop, default_shop())
    days = days_in(shop.studio.country)
    book = attempt(
        ("prices.csv", "prices.xlsx"), lambda path: read_price_book(path, days), default_price_book(shop.units)
    )
    rates = attempt(("rates.toml",), lambda path: read_rates(path, shop.units), default_rates(shop.units))
    rack = attempt(("rack.csv", "rack.xlsx"), lambda path: read_rack(path, shop, book.currency), Rack())
    # The same folder is read once, so that its faults are told once.
    near = beside if beside is not None and (folder is None or beside.resolve() != folder.resolve()) else None
    own, others = (
        attempt(
            ("destinations.csv", "destinations.xlsx"),
            lambda path: read_destinations(path, rates, days),
            Destinations(),
            where,
        )
        for where in (folder, near)
    )
    known, more = (
        attempt(("parties.csv", "parties.xlsx"), lambda path: read_parties(path, days), Parties(), where)
        for where in (folder, near)
    )
    if faults:
        raise FaultsFound(faults)
    return Office(stocked(shop, book), book, rates, rack, own.joined(others), known.joined(more))


def stocked(shop: Shop, book: PriceBook) -> Shop:
    """Leave out built-in goods that the studio's price book does not hold: what it cannot buy it does not stock.

    A newer version knows more cartons, gear, pallets and planks than a price book written earlier. Without the goods of
    gear its rules are as before there was any, and a remark says so; a studio that states rules of gear itself is told
    which prices lack. Goods that other rules name stay, and are told where they lack a price.
    """
    plain = default_shop(shop.units)
    built_in = {good.good for good in plain.goods if plain.material(good.material).is_carton} | GOODS_FOR_THE_WAY
    built_in |= (GOODS_OF_PLANK | GOODS_OF_SHARING) - {
        shop.case.cushion_good, shop.case.lumber_good, shop.carton.cushion_good, shop.carton.board_good
    }  # fmt: skip
    if shop.gear == plain.gear:
        built_in |= GOODS_OF_GEAR
    gone = {
        good.good
        for good in shop.goods
        if good.good in built_in and not any(size.stock in book.by_stock for size in good.sizes)
    }
    kept = replace(shop, goods=tuple(good for good in shop.goods if good.good not in gone)) if gone else shop
    if shop.gear == plain.gear and GOODS_OF_GEAR & set(plain.by_name) - set(kept.by_name):
        return replace(kept, gear=BEFORE_GEAR)
    return kept


def office_texts(sizes: UnitSystem = "inch") -> dict[str, str]:
    """Return the files of a new folder by name, with the built-in values and comments."""
    default = Office()
    return {
        "shop.toml": shop_text(default_shop(sizes)),
        "prices.csv": default_prices_text(sizes),
        "rates.toml": default_rates_text(sizes),
        "rack.csv": rack_csv(default.rack, sizes),
        "destinations.csv": destinations_csv(default.destinations, sizes),
        "parties.csv": parties_csv(default.parties),
    }

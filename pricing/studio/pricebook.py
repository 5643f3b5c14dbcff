"""The price book: what everything bought costs, from whom, since when, with breaks by quantity.

One row prices one stock size of a good (a sheet, a stick, a roll, one thing or a box of them) or an hour of work.
Prices are for one bought unit in the book's one currency. A price break applies to all units of the row, so that
buying one more can cost less; :func:`purchase` takes that chance.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from functools import cached_property
from typing import Final, Literal, get_args

from nesting.base.faults import Fault, FaultsFound
from nesting.shop.goods import Good
from pricing.money import DEAREST, check_currency

PriceForm = Literal["sheet", "stick", "roll", "each", "box", "hour"]
FORMS: Final[tuple[PriceForm, ...]] = get_args(PriceForm)
MOST_BREAKS: Final = 3
"""Price breaks that a row has room for."""
MOST_UNITS: Final = 1_000_000


@dataclass(frozen=True, slots=True)
class Price:
    """One row of the price book.

    Attributes
    ----------
    stock : str
        What is bought: a stock size of a good, such as ``"ply-23/32 4x8"``, or a kind of hour, such as ``"hour
        bench"``.
    good : str
        Its good; for hours the stock's own name.
    form : {"sheet", "stick", "roll", "each", "box", "hour"}
        How it is sold.
    price : Decimal
        Of one, in the book's currency, whole hundredths.
    size : str
        For people.
    breaks : tuple of (int, Decimal)
        ``(from, each)`` in ascending order; a break never costs more than the one before it.
    supplier : str
        Who sells it.
    priced : date or None
        Day of the price.
    tax : str
        Tax category, the key of the purchase tax rates.
    by_length : bool
        Of a roll: whether the supplier cuts off what is needed, so that only the length used is paid.
    limit : int or None
        How many the supplier has at the most; None where it does not matter.
    note : str
        For people.
    row : int or None
        Row of the table it was read from.
    """

    stock: str
    good: str
    form: PriceForm
    price: Decimal
    size: str = ""
    breaks: tuple[tuple[int, Decimal], ...] = ()
    supplier: str = ""
    priced: date | None = None
    tax: str = "goods"
    by_length: bool = False
    limit: int | None = None
    note: str = ""
    row: int | None = field(default=None, compare=False)

    def __post_init__(self) -> None:
        if not self.stock or not self.good:
            raise ValueError("found no stock or no good; accepted: both")
        if self.form not in FORMS:
            raise ValueError(f"found {self.form}; accepted: one of {', '.join(FORMS)}")
        if self.by_length and self.form != "roll":
            raise ValueError(f"found a {self.form} sold by length; accepted: only rolls are sold by length")
        if self.limit is not None and not 0 <= self.limit <= MOST_UNITS:
            raise ValueError(f"found a limit of {self.limit}; accepted: 0 to {MOST_UNITS}")
        if len(self.breaks) > MOST_BREAKS or (self.breaks and self.form == "hour"):
            raise ValueError(
                f"found {len(self.breaks)} breaks; accepted: {MOST_BREAKS} at the most, and none for hours"
            )
        self._check_tiers()

    def _check_tiers(self) -> None:
        """Refuse prices out of range, and breaks that do not rise in quantity and fall in price."""
        reached, before = 1, self.price
        for start, each in self.tiers:
            if not (each.is_finite() and 0 <= each <= DEAREST) or each * 100 % 1:
                raise ValueError(f"found a price of {each}; accepted: whole hundredths from 0 to {DEAREST}")
            if start < reached or start > MOST_UNITS:
                raise ValueError(f"found a break from {start}; accepted: {reached} to {MOST_UNITS}, in rising order")
            if each > before:
                raise ValueError(f"found {each} from {start}; accepted: no more than the {before} before it")
            reached, before = start + 1, each

    @property
    def tiers(self) -> tuple[tuple[int, Decimal], ...]:
        """Every price with the quantity it starts from: 1 first."""
        return ((1, self.price), *self.breaks)


@dataclass(frozen=True, slots=True)
class Purchase:
    """The cheapest way to have so many of a row.

    Attributes
    ----------
    count : int
        How many are bought: what is needed, or more where a price break makes more cost less.
    each : Decimal
        Price of one at that count.
    amount : Decimal
        What all cost.
    """

    count: int
    each: Decimal
    amount: Decimal


def purchase(price: Price, needed: int) -> Purchase:
    """Buy what is needed or, where a break makes more cost less, just enough to reach that break.

    Since breaks never rise, this is the least over all tiers of ``max(needed, from) x each``, the formula that the
    workbook repeats. Among equals the fewest are bought. A tier beyond the supplier's limit is out of reach.
    """
    if needed == 0:
        return Purchase(0, price.price, Decimal("0.00"))
    offers = [
        (max(needed, start) * each, max(needed, start), each)
        for start, each in price.tiers
        if start <= needed or price.limit is None or start <= price.limit
    ]
    amount, count, each = min(offers)
    return Purchase(count, each, amount)


@dataclass(frozen=True)
class PriceBook:
    """All prices, in one currency.

    Attributes
    ----------
    currency : str
        Three-letter code; every price is in it.
    rows : tuple of Price
        In the order of the table; each stock once.
    source : str
        File it was read from, for messages.
    warnings : tuple of str
        What was read with a doubt, such as columns that are not known.
    invented : bool
        Whether the prices are the built-in ones, which are invented.
    """

    currency: str
    rows: tuple[Price, ...]
    source: str = ""
    warnings: tuple[str, ...] = ()
    invented: bool = False

    def __post_init__(self) -> None:
        check_currency(self.currency)
        if len(self.by_stock) != len(self.rows):
            raise ValueError("each stock stands in the price book once")

    @cached_property
    def by_stock(self) -> Mapping[str, Price]:
        """Rows by their stock."""
        return {row.stock: row for row in self.rows}

    def price(self, stock: str) -> Price:
        """Return the row of a stock; :class:`KeyError` when it has none."""
        try:
            return self.by_stock[stock]
        except KeyError:
            raise KeyError(f"no price for {stock!r} in {self.source or 'the price book'}") from None

    def stale(self, on: date, days: int) -> tuple[Price, ...]:
        """Return the rows priced more than ``days`` days before ``on``, or on a day that is not known."""
        return tuple(row for row in self.rows if row.priced is None or (on - row.priced).days > days)

    def missing(self, goods: tuple[Good, ...], hours: tuple[str, ...] = ()) -> tuple[Fault, ...]:
        """Return a fault for every stock size and kind of hour without a price, and for every form that disagrees."""
        faults = []
        file = self.source or "prices"
        for good in goods:
            for size in good.sizes:
                row = self.by_stock.get(size.stock)
                if row is None:
                    faults.append(
                        Fault(file, None, None, f"no price for {size.stock}", f"a row with the stock {size.stock}")
                    )
                    continue
                wanted = ("each", "box") if good.form == "each" else (good.form,)
                if row.form not in wanted:
                    faults.append(Fault(file, row.row, "form", row.form, " or ".join(wanted)))
                if row.good != good.good:
                    faults.append(
                        Fault(file, row.row, "good", row.good, f"{good.good}, which {size.stock} is a size of")
                    )
        for hour in hours:
            row = self.by_stock.get(hour)
            if row is None:
                faults.append(
                    Fault(file, None, None, f"no price for {hour}", f"a row with the stock {hour}, form hour")
                )
            elif row.form != "hour":
                faults.append(Fault(file, row.row, "form", row.form, "hour"))
        return tuple(faults)

    def require(self, goods: tuple[Good, ...], hours: tuple[str, ...] = ()) -> None:
        """Raise one :class:`FaultsFound` that lists every missing price."""
        faults = self.missing(goods, hours)
        if faults:
            raise FaultsFound(faults)

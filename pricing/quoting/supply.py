"""What the shop floor may cut: goods, prices and rack together, as stock with plain costs in cents.

This is where money leaves: the optimisers see whole numbers only. One good can be cut from every size that has a price
and from every offcut on the rack.
"""

from nesting.base.faults import FaultsFound
from nesting.build import Supply
from nesting.cutting.rolls import Roll
from nesting.cutting.sheets import Sheet, Trim
from nesting.cutting.sticks import Stick
from nesting.shop.goods import Good, StockSize
from nesting.shop.shop import Shop
from pricing.money import cents, one_currency
from pricing.studio.office import Office
from pricing.studio.pricebook import Price, PriceBook
from pricing.studio.rack import Rack


def make_supply(shop: Shop, book: PriceBook, rack: Rack | None = None, *, hours: tuple[str, ...] = ()) -> Supply:
    """Make the supply of a shop.

    Parameters
    ----------
    shop : Shop
        Goods and saw.
    book : PriceBook
        A price for every stock size.
    rack : Rack, optional
        Offcuts at their book value; nothing where not given.
    hours : tuple of str, optional
        Kinds of hour that will be priced too, so that one that is missing is told with the goods, before the search.

    Returns
    -------
    Supply

    Raises
    ------
    FaultsFound
        One error that lists every stock size and kind of hour without a price.
    CurrencyError
        When rack and price book are in different currencies.
    """
    rack = rack or Rack()
    one_currency(("the price book", book.currency), ("the rack", rack.currency))
    faults = list(book.missing(shop.goods, hours))
    if faults:
        raise FaultsFound(faults)
    sheets, sticks, rolls = {}, {}, {}
    for good in shop.goods:
        rows = [(size, book.price(size.stock)) for size in good.sizes]
        if good.form == "sheet":
            bought = [_sheet(good, size, row, shop) for size, row in rows]
            sheets[good.good] = (*bought, *_rack_sheets(good, rack))
        elif good.form == "stick":
            lengths = [_stick(size, row) for size, row in rows]
            sticks[good.good] = (*lengths, *_rack_sticks(good, rack))
        elif good.form == "roll":
            rolls[good.good] = tuple(
                Roll(size.stock, size.width, size.length, cents(row.price), cut_only=row.by_length, good=good.good)
                for size, row in rows
            )
    return Supply(sheets, sticks, rolls)


def cent_breaks(row: Price) -> tuple[tuple[int, int], ...]:
    """Return the price breaks that the supplier can reach, in cents."""
    return tuple((start, cents(each)) for start, each in row.breaks if row.limit is None or start <= row.limit)


def _sheet(good: Good, size: StockSize, row: Price, shop: Shop) -> Sheet:
    """Return a bought sheet with the saw's trim."""
    saw = shop.saw
    trim = Trim(saw.trim_left, saw.trim_right, saw.trim_bottom, saw.trim_top)
    return Sheet(
        name=size.stock,
        length=size.length,
        width=size.width,
        cost=cents(row.price),
        count=row.limit,
        trim=trim if trim != Trim() else None,
        source="buy",
        breaks=cent_breaks(row),
        good=good.good,
    )


def _stick(size: StockSize, row: Price) -> Stick:
    return Stick(size.stock, size.length, cents(row.price), row.limit, "buy", cent_breaks(row))


def _rack_sheets(good: Good, rack: Rack) -> list[Sheet]:
    """Return the offcuts of a sheet good; their edges are sawn already, so nothing is trimmed."""
    return [
        Sheet(
            name=each.name,
            length=each.length,
            width=each.width,
            cost=cents(each.value),
            count=each.count,
            trim=None,
            source="rack",
            breaks=(),
            good=good.good,
        )
        for each in rack.offcuts
        if each.good == good.good
    ]


def _rack_sticks(good: Good, rack: Rack) -> list[Stick]:
    return [
        Stick(each.name, each.length, cents(each.value), each.count, "rack")
        for each in rack.offcuts
        if each.good == good.good
    ]


def supply_of(office: Office) -> Supply:
    """Return what a studio can cut, with costs."""
    return make_supply(office.shop, office.book, office.rack, hours=office.rates.labour.hours)

"""The front of goods and work of each sheet good, in words: what was weighed, what is cut, and what it saves."""

from dataclasses import dataclass
from decimal import Decimal

from nesting.cutting.sheets import Layout
from nesting.cutting.sheets.model import MILLE, Trade
from pricing.money import from_cents, half_up, show
from pricing.quoting.quote import Quote


@dataclass(frozen=True, slots=True)
class Point:
    """One way to cut a good.

    Attributes
    ----------
    goods, work, kept : Decimal
        What its sheets cost, what the work at the saw costs, and what the job gets back for the offcuts it keeps.
    minutes : Decimal or None
        Of the work; None where an hour at the saw costs nothing.
    chosen : bool
        Whether it is the one that is cut.
    """

    goods: Decimal
    work: Decimal
    kept: Decimal
    minutes: Decimal | None
    chosen: bool

    @property
    def sum(self) -> Decimal:
        """Goods and work, less what comes back."""
        return self.goods + self.work - self.kept


def points(quote: Quote, layout: Layout) -> list[Point]:
    """Return the front of a good, the least goods first; empty where no work was weighed."""
    hour = quote.office.book.price(quote.rates.labour.saw_hour).price
    return [_point(each, hour, chosen=each == layout.trade) for each in layout.front]


def _point(trade: Trade, hour: Decimal, *, chosen: bool) -> Point:
    work, kept = (from_cents(1) * part / MILLE for part in (trade.work, trade.kept))
    minutes = half_up(work * 60 / hour, Decimal(1)) if hour else None
    return Point(from_cents(trade.goods), half_up(work), half_up(kept), minutes, chosen)


def told(quote: Quote, layout: Layout) -> str:
    """Say what the goods of a layout cost above the least, and what that saves; empty where they cost the least."""
    if not layout.over or layout.trade is None:
        return ""
    hour = quote.office.book.price(quote.rates.labour.saw_hour).price
    least, cut = (_point(each, hour, chosen=False) for each in (layout.front[0], layout.trade))
    over, saved = (show(amount, quote.currency) for amount in (from_cents(layout.over), least.work - cut.work))
    quicker = "" if least.minutes is None or cut.minutes is None else f" and {_minutes(least.minutes - cut.minutes)}"
    return f"goods {over} above the least, which saves {saved}{quicker} at the saw"


def lines(quote: Quote, layout: Layout) -> list[str]:
    """Say each point of a good's front in a line; where there is but one, that is all."""
    return [_line(each, quote.currency) for each in points(quote, layout)]


def _minutes(minutes: Decimal) -> str:
    return f"{minutes} minute{'' if minutes == 1 else 's'}"


def _line(point: Point, currency: str) -> str:
    goods, work, kept, in_all = (show(each, currency) for each in (point.goods, point.work, point.kept, point.sum))
    minutes = "" if point.minutes is None else f" ({_minutes(point.minutes)})"
    offcuts = f", less {kept} for offcuts kept" if point.kept else ""
    return f"goods {goods}, saw's work {work}{minutes}{offcuts}: {in_all}{' - cut so' if point.chosen else ''}"

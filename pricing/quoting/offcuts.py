"""New offcuts: what a build leaves for the rack, each with a size, a good and a book value."""

from collections import Counter
from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction

from nesting.cutting.sheets import Offcut, PartLeaf
from pricing.money import half_up
from pricing.quoting.quote import Quote
from pricing.quoting.takeoff import stick_remainders
from pricing.studio.rack import RackOffcut


def new_offcuts(quote: Quote, prefix: str = "R") -> tuple[RackOffcut, ...]:
    """Return the offcuts that a quote's cutting plans leave and the shop's rules call worth keeping.

    Parameters
    ----------
    quote : Quote
        Its rates say which part of the cost an offcut keeps; the used truth charges the job with the rest.
    prefix : str
        Of their names, such as ``"R"`` for ``R-1``, ``R-2``, ...

    Returns
    -------
    tuple of RackOffcut
        The largest first within a good; equal ones counted together.
    """
    each = {row.stock: row.each for row in quote.takeoff.rows}
    value = Fraction(quote.rates.price.offcut_value)
    found: list[RackOffcut] = []
    for good, length, width, stock, part, count in sorted(
        _pieces(quote), key=lambda piece: (piece[0], -piece[4], piece)
    ):
        kept = half_up(part * value * Fraction(each[stock]))
        found.append(RackOffcut(f"{prefix}-{len(found) + 1}", good, length, width, kept, count))
    return tuple(found)


_Piece = tuple[str, int, int, str, Fraction, int]


def _pieces(quote: Quote) -> Iterator[_Piece]:
    """Yield good, length, width, stock, part of the stock, and count of every kept piece."""
    pieces: Counter[tuple[str, int, int, str, Fraction]] = Counter()
    for layout in quote.build.layouts:
        for sheet in layout.sheets:
            area = sheet.sheet.length * sheet.sheet.width
            leaves = list(sheet.pieces(layout.kerf))
            if any(isinstance(leaf, PartLeaf) for *_, leaf in leaves):
                for _, _, length, width, leaf in leaves:
                    if isinstance(leaf, Offcut):
                        part = Fraction(length * width, area)
                        pieces[layout.good, length, width, sheet.sheet.name, part] += sheet.repeat
    for plan in quote.build.stick_plans:
        for stick, left in stick_remainders(plan, quote.build):
            if left:
                part = Fraction(left, stick.stick.length)
                pieces[plan.good, left, 0, stick.stick.name, part] += stick.repeat
    for key, count in pieces.items():
        yield (*key, count)


def worth(offcuts: tuple[RackOffcut, ...]) -> Decimal:
    """Return the book value of offcuts in all."""
    return sum((each.value * each.count for each in offcuts), Decimal("0.00"))

"""Returns: works that were not sold come back. In which crates, by what freight, and what packing them again costs.

The gallery's handlers pack at their own rate. Three ways are compared for every crate: nothing is sent along (they
look for screws and find out how, which takes longer, and now and then they make a new lid), spare screws and
instructions are, or a spare lid as well. Minutes are those that the shop itself needs for the same screws, staples,
layers and mountings; how much longer it takes without help, and how many lids are lost, are rules of ``[reuse]``.
All of it is an estimate for deciding what to send along.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from math import ceil
from typing import Final, Literal

from nesting.base.faults import Fault, FaultsFound
from nesting.base.measure import MM
from nesting.crates.model import Crate
from nesting.drawings.opening import opening_side
from nesting.shop.goods import Good
from pricing.ahead.methods.handling import covers_of, handling
from pricing.ahead.methods.pricer import CARRIED, trips
from pricing.ahead.way_home import WayHome, way_home
from pricing.money import half_up, total
from pricing.quoting.incomplete import of_crates, told
from pricing.quoting.quote import Quote

Way = Literal["nothing", "screws", "lid"]
WAYS: Final[Mapping[Way, str]] = {
    "nothing": "nothing sent along",
    "screws": "spare screws and instructions",
    "lid": "spare lid, screws and instructions",
}
"""What may be sent along, and what it is called."""
_HOUR: Final = 60
_M: Final = 1000 * MM
_LIDS: Final = ("lid", "case face")


@dataclass(frozen=True, slots=True)
class Back:
    """One crate that comes back.

    Attributes
    ----------
    crate : str
        It travels by itself.
    destination : str
        From where.
    pieces, sold : tuple of str
        What it brings back, and what stayed there.
    empty : tuple of str
        Travel frames of sold pieces: they come back empty in the case, so that the others stand fast.
    kg : float
        Gross weight on the way back.
    minutes : Decimal
        Work of packing it again, with instructions.
    costs : mapping of Way to Decimal
        What each way costs in all; empty where no rate of the handlers is known, and without ``lid`` where nothing
        like a lid is screwed on.
    sent : mapping of Way to Decimal
        Of which the studio's cost of what it sends along.
    serves_again : Decimal
        What of its making is not yet written off when it is back.
    incomplete : str
        Why a spare lid has no amount, though it could be sent: the freight that it adds is not known. Empty otherwise.
    """

    crate: str
    destination: str
    pieces: tuple[str, ...]
    sold: tuple[str, ...]
    empty: tuple[str, ...]
    kg: float
    minutes: Decimal
    costs: Mapping[Way, Decimal]
    sent: Mapping[Way, Decimal]
    serves_again: Decimal
    incomplete: str = ""

    @property
    def advice(self) -> Way | None:
        """The cheapest way, the plainest among equals; None where the handlers' rate is unknown."""
        return min(self.costs, key=lambda way: (self.costs[way], list(WAYS).index(way)), default=None)


@dataclass(frozen=True, slots=True)
class Return:
    """What comes back from one destination.

    Attributes
    ----------
    destination : str
        Its name.
    rate : Decimal or None
        Its handlers' hour; None where the table does not say.
    crates : tuple of Back
        In the order of the build.
    freight : WayHome
        By the carriers that took them there, to the studio: an estimate.
    """

    destination: str
    rate: Decimal | None
    crates: tuple[Back, ...]
    freight: WayHome


def plan_returns(quote: Quote, unsold: Sequence[str] | None = None) -> tuple[Return, ...]:
    """Plan the way back of works that were not sold.

    Parameters
    ----------
    quote : Quote
        Of the way there.
    unsold : sequence of str, optional
        Pieces that come back: lines of the order or single copies; all of them when not given.

    Returns
    -------
    tuple of Return
        By destination, in the order of the build.

    Raises
    ------
    FaultsFound
        Every piece that the order does not have.
    """
    build = quote.build
    copies = build.order.copies()
    names = {copy.piece for copy in copies} | {copy.copy_of for copy in copies if copy.copy_of}
    wanted = [copy.piece for copy in copies] if unsold is None else list(unsold)
    if wrong := [name for name in wanted if name not in names]:
        raise FaultsFound(
            Fault(build.order.source, None, "piece", name, f"one of {', '.join(c.piece for c in copies)}")
            for name in wrong
        )
    back = {copy.piece for copy in copies if copy.piece in wanted or copy.copy_of in wanted}
    groups: dict[str, list[Crate]] = {}
    for crate in build.travelling:
        if back.intersection(crate.pieces):
            groups.setdefault(crate.destination, []).append(crate)
    return tuple(_return(quote, name, crates, back) for name, crates in groups.items())


def _return(quote: Quote, name: str, crates: Sequence[Crate], back: set[str]) -> Return:
    """Plan what comes back from one destination."""
    place = quote.destinations.get(name)
    lighter = [_without_sold(crate, quote, back) for crate in crates]
    rows = tuple(
        _back(quote, crate, lean, back, place.handler_rate) for crate, lean in zip(crates, lighter, strict=True)
    )
    brought = [piece for crate in crates for piece in crate.pieces if piece in back]
    return Return(place.name, place.handler_rate, rows, way_home(quote, lighter, brought))


def _without_sold(crate: Crate, quote: Quote, back: set[str]) -> Crate:
    """Return a crate as it weighs without the pieces that were sold; their frames stay in the case."""
    inside = quote.build.riding(crate.crate) or (crate,)
    gone = 0.0
    for each in inside:
        if not back.intersection(each.pieces):
            gone += each.net_kg
        elif len(each.pieces) > 1:
            gone += each.net_kg * sum(piece not in back for piece in each.pieces) / len(each.pieces)
    return replace(crate, net_kg=max(0.0, crate.net_kg - gone))


def _back(quote: Quote, crate: Crate, lean: Crate, back: set[str], rate: Decimal | None) -> Back:
    """Reckon one crate."""
    build = quote.build
    inside = build.riding(crate.crate)
    pieces = tuple(piece for piece in crate.pieces if piece in back)
    opened = [each for each in inside if back.intersection(each.pieces)]
    closing = [crate, *opened]
    rules, labour = quote.rates.reuse, quote.rates.labour
    covers = [cover for each in closing for cover in covers_of(each)]
    hands = [handling(piece, build, labour) for piece in pieces]
    minutes = (
        sum((cover.minutes(labour) for cover in covers), sum(each.mounting for each in hands) * labour.screw)
        + sum(each.wraps for each in hands) * labour.wrap
        + sum(1 for each in hands if each.mounting) * labour.mounting
    )
    lids = total(half_up(_lid_cost(quote, each)) for each in closing)
    costs: dict[Way, Decimal] = {}
    sent: dict[Way, Decimal] = {"nothing": Decimal("0.00"), "screws": _kit(quote, closing)}
    missing = of_crates(quote.shipments, quote.rates).get(crate.crate, ())
    sends_lid = bool(lids) and not missing  # what its weight adds to a freight that is not known is not known
    if sends_lid:
        bench = quote.book.price(labour.bench_hour).price
        made = half_up(Fraction(rules.lid_minutes) / _HOUR * Fraction(bench))
        sent["lid"] = sent["screws"] + lids + made + half_up(_lid_freight(quote, crate, closing))
    if rate is not None:
        hour = Fraction(rate) / _HOUR
        packing = Fraction(minutes) * hour
        lost = (
            Fraction(rules.lids_lost) * (Fraction(rules.lid_minutes) * hour + Fraction(lids)) if lids else Fraction(0)
        )
        costs["nothing"] = half_up(packing * Fraction(rules.search_factor) + lost)
        costs["screws"] = half_up(packing + lost) + sent["screws"]
        if sends_lid:
            costs["lid"] = half_up(packing) + sent["lid"]
    return Back(
        crate=crate.crate,
        destination=crate.destination,
        pieces=pieces,
        sold=tuple(piece for piece in crate.pieces if piece not in back),
        empty=tuple(each.crate for each in inside if not back.intersection(each.pieces)),
        kg=lean.gross_kg,
        minutes=Decimal(minutes),
        costs=costs,
        sent=sent,
        serves_again=_serves_again(quote, crate, pieces),
        incomplete=f"a spare lid is {told(missing)}" if lids and missing else "",
    )


def _opening(crate: Crate) -> list[tuple[str, int, int]]:
    """Return good, length and width of the sheets that open a crate: its lid, or the face of a case."""
    side = opening_side(crate)
    off = [crate.placed[index] for index in side[1]] if side else []
    names = {placed.part for placed in off if placed.role in _LIDS}
    return [
        (part.good, part.length, part.width) for part in crate.parts if part.name in names for _ in range(part.count)
    ]


def _lid_cost(quote: Quote, crate: Crate) -> Fraction:
    """Return what the wood of an opening face costs, by the area of the cheapest sheet, with its part for waste."""
    cost = Fraction(0)
    for name, length, width in _opening(crate):
        cost += length * width * _by_area(quote, quote.build.shop.good(name))
    return cost * (1 + Fraction(quote.rates.price.sheet_waste))


def _by_area(quote: Quote, good: Good) -> Fraction:
    """Return the least price of a sheet good by its area, in money for a square grid unit."""
    return min(
        Fraction(quote.book.price(size.stock).price) / (size.length * size.width)
        for size in good.sizes
        if size.length and size.width
    )


def _lid_freight(quote: Quote, crate: Crate, closing: Sequence[Crate]) -> Fraction:
    """Return the part of the freight there that a second lid's weight bears."""
    kg = sum(
        length / _M * (width / _M) * (quote.build.shop.good(name).thickness / _M) * quote.build.shop.good(name).density
        for each in closing
        for name, length, width in _opening(each)
    )
    if crate.gross_kg <= 0:
        return Fraction(0)
    there = sum(
        (Fraction(each.chosen.amount) * each.chosen.bearers.get(crate.crate, Fraction(0)) for each in quote.shipments),
        Fraction(0),
    )
    return there * Fraction(kg / crate.gross_kg).limit_denominator(10**6)


def _kit(quote: Quote, closing: Sequence[Crate]) -> Decimal:
    """Return the studio's cost of spare screws and instructions for a crate and what rides in it."""
    rules, labour = quote.rates.reuse, quote.rates.labour
    screws = Fraction(0)
    for each in closing:
        for fixing in each.fixings:
            if fixing.frees == "crate" and fixing.good != "staple":
                spare = ceil(fixing.count * Fraction(rules.spare_screws))
                screws += spare * _each(quote, quote.build.shop.good(fixing.good))
    work = Fraction(rules.kit_minutes) / _HOUR * Fraction(quote.book.price(labour.packing_hour).price)
    return half_up(screws * (1 + Fraction(quote.rates.price.waste))) + half_up(work)


def _each(quote: Quote, good: Good) -> Fraction:
    """Return the least price of one use unit of a good that is sold in boxes."""
    return min(Fraction(quote.book.price(size.stock).price) / size.holds for size in good.sizes)


def _serves_again(quote: Quote, crate: Crate, pieces: Sequence[str]) -> Decimal:
    """Return the part of the making, as the pieces that come back bear it, that later trips will bear."""
    shares = [quote.share(piece) for piece in pieces]
    making = total(share.total - total(share.columns.get(name, Decimal(0)) for name in CARRIED) for share in shares)
    count = trips(crate.method, quote.rates.reuse)
    return half_up(Fraction(making) * (count - 1) / count)


def _cell(crate: Back, way: Way) -> str:
    """Write what a way costs, the cheapest with a star."""
    if way not in crate.costs:
        return f"{crate.sent[way]:,.2f} and their work " if way in crate.sent else "- "
    return f"{crate.costs[way]:,.2f}{'*' if way == crate.advice else ' '}"


def returns_text(planned: Sequence[Return], currency: str, lacking: str = "") -> str:
    """Return the plan as text for the terminal; what never leaves, ``lacking``, stands first."""
    lines = [lacking, ""] if lacking else []
    for each in planned:
        rate = "not known: enter it in the table of destinations" if each.rate is None else f"{each.rate} an hour"
        lines += [f"From {each.destination} (amounts in {currency}; the handlers' rate is {rate})", ""]
        head = "".join(f"{title:>36}" for title in WAYS.values())
        lines.append(f"{'crate':<7}{'minutes':>8}{head}  brings back")
        for crate in each.crates:
            cells = "".join(f"{_cell(crate, way):>36}" for way in WAYS)
            brings = ", ".join(crate.pieces) + (f"; frames {', '.join(crate.empty)} empty" if crate.empty else "")
            lines.append(f"{crate.crate:<7}{crate.minutes.normalize():>8f}{cells}  {brings}")
            lines += [f"{'':<15}{crate.incomplete}"] if crate.incomplete else []
        freight = each.freight.incomplete or f"{each.freight.amount:,.2f}"
        insured = f"; insurance back {each.freight.insurance:,.2f}" if each.freight.insurance else ""
        again = total(crate.serves_again for crate in each.crates)
        lines += [
            "",
            f"* is the cheapest. Freight back, {each.freight.title}: {freight} ({each.freight.estimate}){insured}.",
            f"Of the making of these crates {again:,.2f} serves later trips.",
            "",
        ]
    if not planned:
        lines.append("Nothing comes back.")
    return "\n".join(lines).rstrip()

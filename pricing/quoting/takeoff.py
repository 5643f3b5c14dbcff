"""Takeoff: how much of everything a build takes, in two truths.

*Bought*: whole sheets, sticks, rolls and boxes that must be fetched after what is on the rack and on the shelf. *Used*:
what the job uses up, with its waste, but without offcuts that go to the rack and without what stays in a box or on a
roll. The yard needs the first, a fair sale price the second. With an empty rack and shelf, buying never costs less
than using.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import ROUND_CEILING, Decimal
from fractions import Fraction
from typing import Final, Literal

from nesting.build import Build
from nesting.cutting.existing import OPEN
from nesting.cutting.parts import StickPart
from nesting.cutting.rolls import RollTake
from nesting.cutting.sheets import Layout, Offcut, PartLeaf
from nesting.cutting.sticks import Stick, StickLayout, StickPlan, cut_sticks
from nesting.shop.goods import Good, StockSize
from pricing.money import cents, half_up, one_currency, total
from pricing.quoting.offers import Need
from pricing.studio.pricebook import Price, PriceBook, PriceForm, Purchase, purchase
from pricing.studio.rack import Rack

Source = Literal["buy", "rack", "open"]
QUANTITY: Final = Decimal("0.000001")
"""Used quantities are rounded half up to a millionth of a bought unit before they are priced."""
_NOTHING: Final = Decimal("0.00")


@dataclass(frozen=True, slots=True)
class Taken:
    """One stock size, or one kind of offcut, that the build takes.

    Attributes
    ----------
    stock, good, title : str
        What it is.
    form : {"sheet", "stick", "roll", "each", "box", "hour"}
        How it is sold.
    source : {"buy", "rack", "open"}
        Where it comes from; what is open was paid for by an earlier version.
    needed : Decimal
        Units that must be had: whole, but for rolls sold by length.
    bought : Decimal
        Units fetched: ``needed``, or more where a price break makes more cost less. 0 from the rack and of open stock.
    used : Decimal
        Units that the job uses up, waste included.
    price : Price or None
        Row of the price book with its breaks; None from the rack and of open stock.
    each : Decimal
        Price of one at ``bought``; book value from the rack; what one of open stock was charged at by use.
    bought_amount : Decimal
        What fetching costs.
    used_each : Decimal
        What one used unit costs: ``bought_amount / needed``, which is ``each`` unless a break was stretched for.
    used_amount : Decimal
        What the job uses up: ``used x used_each``, rounded half up.
    shelf : Decimal
        Units that come off the shelf.
    holds : int
        Use units in one bought unit, for boxes.
    count : int
        Use units (pieces, grams, millimetres) that the job uses, for things by number; 0 elsewhere.
    bearers : mapping of str to Fraction
        Each crate's part of this, summing to 1.
    kg_each : float
        Weight of one bought unit, for the van that fetches it.
    net : Decimal
        Units that the parts alone make up, of sheets and sticks; 0 elsewhere, and where it was not counted.
    """

    stock: str
    good: str
    title: str
    form: PriceForm
    source: Source
    needed: Decimal
    bought: Decimal
    used: Decimal
    price: Price | None
    each: Decimal
    bought_amount: Decimal
    used_each: Decimal
    used_amount: Decimal
    shelf: Decimal = Decimal(0)
    holds: int = 1
    count: int = 0
    bearers: Mapping[str, Fraction] = field(default_factory=dict)
    kg_each: float = 0.0
    net: Decimal = Decimal(0)

    @property
    def book_amount(self) -> Decimal:
        """Book value of what comes off the rack; 0.00 of what is bought."""
        return half_up(self.needed * self.each) if self.source == "rack" else _NOTHING


@dataclass(frozen=True, slots=True)
class Takeoff:
    """Everything that a build takes, in the order of the shop's goods.

    Attributes
    ----------
    rows : tuple of Taken
        Bought stock before rack stock within a good.
    bought_amount : Decimal
        What must be paid at the yard.
    book_amount : Decimal
        Book value of rack stock that is taken.
    used_amount : Decimal
        What the job uses up.
    """

    rows: tuple[Taken, ...]

    @property
    def bought_amount(self) -> Decimal:
        """Cost of all that is fetched."""
        return total(row.bought_amount for row in self.rows)

    @property
    def book_amount(self) -> Decimal:
        """Book value of all that comes off the rack."""
        return total(row.book_amount for row in self.rows)

    @property
    def used_amount(self) -> Decimal:
        """Cost of all that the job uses up."""
        return total(row.used_amount for row in self.rows)


@dataclass(frozen=True, slots=True)
class _Need:
    """Units of one stock that must be had, used, off the shelf, and of its parts alone, before any price."""

    stock: str
    needed: Fraction
    used: Fraction
    shelf: Fraction = Fraction(0)
    count: int = 0
    source: Source = "buy"
    net: Fraction = Fraction(0)


def take_off(
    build: Build,
    book: PriceBook,
    rack: Rack | None = None,
    *,
    offcut_value: Decimal = Decimal(1),
    worth: Mapping[str, Mapping[str, Decimal]] | None = None,
    along: Mapping[str, Need] | None = None,
) -> Takeoff:
    """Count what a build takes.

    Parameters
    ----------
    build : Build
        Crates and layouts.
    book : PriceBook
        Prices; they choose among sizes of boxes and rolls, and whether a price break is stretched for. What the cutting
        plans take is not searched again.
    rack : Rack, optional
        What is in store. Offcuts were offered to the cutting plans already; the shelf is used here.
    offcut_value : Decimal
        The part of its cost at which a kept offcut goes to the rack, 0 to 1; the job uses up the rest.
    worth : mapping of str to mapping of str to Decimal, optional
        What one open sheet or stick is charged at by use, by good, then by name; nothing where not given.
    along : mapping of str to Need, optional
        Things that go along with the crates, by good: one that the crates are made with too is counted together.

    Returns
    -------
    Takeoff
    """
    rack = rack or Rack()
    one_currency(("the price book", book.currency), ("the rack", rack.currency))
    layouts = {layout.good: layout for layout in build.layouts}
    plans = {plan.good: plan for plan in build.stick_plans}
    takes = {take.good: take for take in build.roll_plan.takes}
    rows: list[Taken] = []
    amounts = Amounts.of(build)
    for good in build.shop.goods:
        needs: Iterable[_Need] = ()
        if good.good in layouts:
            needs = _sheets(layouts[good.good], Fraction(offcut_value))
        elif good.good in plans:
            needs = _sticks(plans[good.good], build, Fraction(offcut_value))
        elif good.good in takes:
            needs = _rolls(takes[good.good], good, book, rack)
        bearers = amounts.parts(good.good)
        if good.form == "each":
            count, more = sum(amounts.things.get(good.good, {}).values()), (along or {}).get(good.good)
            if more:
                bearers = _together(bearers, count, more)
                count += more.count
            needs = _things(count, good, book, rack)
        rows += [
            _opened(need, good, (worth or {}).get(good.good, {}), bearers)
            if need.source == "open"
            else _taken(need, good, book, rack, bearers)
            for need in needs
        ]
    return Takeoff(tuple(rows))


def _together(bearers: Mapping[str, Fraction], count: int, along: Need) -> dict[str, Fraction]:
    """Return each crate's part of things that it is made with and of those that go along, together."""
    none = Fraction(0)
    return {
        crate: (bearers.get(crate, none) * count + along.bearers.get(crate, none) * along.count) / (count + along.count)
        for crate in dict.fromkeys((*bearers, *along.bearers))
    }


def _taken(need: _Need, good: Good, book: PriceBook, rack: Rack, bearers: Mapping[str, Fraction]) -> Taken:
    """Price a need."""
    size = next((size for size in good.sizes if size.stock == need.stock), None)
    if size is None:
        return _held(need, good, rack.offcut(need.stock).value, bearers)
    used = half_up(need.used, QUANTITY)
    price = book.price(need.stock)
    bought, needed = _buy(price, need.needed)
    used_each = bought.amount / needed if needed else price.price
    return Taken(
        stock=need.stock,
        good=good.good,
        title=good.title,
        form=price.form,
        source="buy",
        needed=needed,
        bought=_decimal(bought.count, needed),
        used=used,
        price=price,
        each=bought.each,
        bought_amount=bought.amount,
        used_each=used_each,
        used_amount=used_amount(used, bought.amount, needed, price.price),
        shelf=half_up(need.shelf, QUANTITY),
        holds=size.holds,
        count=need.count,
        bearers=bearers,
        kg_each=_kg(good, size),
        net=half_up(need.net, QUANTITY),
    )


def _opened(need: _Need, good: Good, worth: Mapping[str, Decimal], bearers: Mapping[str, Fraction]) -> Taken:
    """Price a need of open stock: fetching it costs nothing any more, using it up what it was paid with."""
    return _held(need, good, worth.get(need.stock.removeprefix(OPEN), _NOTHING), bearers)


def _held(need: _Need, good: Good, each: Decimal, bearers: Mapping[str, Fraction]) -> Taken:
    """Price a need of what is there already, on the rack or open: nothing is bought, and it is used at `each`."""
    used = half_up(need.used, QUANTITY)
    return Taken(
        stock=need.stock,
        good=good.good,
        title=good.title,
        form="sheet" if good.form == "sheet" else "stick",
        source="open" if need.source == "open" else "rack",
        needed=Decimal(int(need.needed)),
        bought=Decimal(0),
        used=used,
        price=None,
        each=each,
        bought_amount=_NOTHING,
        used_each=each,
        used_amount=half_up(used * each),
        bearers=bearers,
        net=half_up(need.net, QUANTITY),
    )


def _decimal(count: int, needed: Decimal) -> Decimal:
    """Return what is bought: the whole count, or exactly what is needed of a roll sold by length."""
    return needed if needed % 1 else Decimal(count)


def _buy(price: Price, needed: Fraction) -> tuple[Purchase, Decimal]:
    """Buy whole units, or the length needed of a roll sold by length, rounded up to a ten-thousandth of the roll."""
    if not price.by_length:
        return purchase(price, int(needed)), Decimal(int(needed))
    part = (Decimal(needed.numerator) / needed.denominator).quantize(Decimal("0.0001"), rounding=ROUND_CEILING)
    return Purchase(-(-needed.numerator // needed.denominator), price.price, half_up(part * price.price)), part


def used_amount(used: Decimal, amount: Decimal, needed: Decimal, each: Decimal) -> Decimal:
    """Return what used units cost: their part of what fetching cost, or the plain price where nothing was fetched."""
    if not needed:
        return half_up(used * each)
    return half_up(Fraction(used) * Fraction(amount) / Fraction(needed))


def _sheets(layout: Layout, value: Fraction) -> Iterator[_Need]:
    """Count sheets; those taken whole for a price break are left to the purchase. The value of kept offcuts stays."""
    counts: Counter[str] = Counter()
    used: defaultdict[str, Fraction] = defaultdict(Fraction)
    net: defaultdict[str, Fraction] = defaultdict(Fraction)
    sources = {each.sheet.name: each.sheet.source for each in layout.sheets}
    for each in layout.sheets:
        leaves = list(each.pieces(layout.kerf))
        if not any(isinstance(leaf, PartLeaf) for *_, leaf in leaves):
            continue
        area = each.sheet.length * each.sheet.width
        kept = sum(length * width for _, _, length, width, leaf in leaves if isinstance(leaf, Offcut))
        counts[each.sheet.name] += each.repeat
        parts = sum(length * width for _, _, length, width, leaf in leaves if isinstance(leaf, PartLeaf))
        used[each.sheet.name] += each.repeat * (1 - value * Fraction(kept, area))
        net[each.sheet.name] += each.repeat * Fraction(parts, area)
    for stock, count in counts.items():
        yield _Need(stock, Fraction(count), used[stock], source=sources[stock], net=net[stock])


def _sticks(plan: StickPlan, build: Build, value: Fraction) -> Iterator[_Need]:
    """Count sticks; the value of what is left of one and long enough to keep stays."""
    counts: Counter[str] = Counter()
    used: defaultdict[str, Fraction] = defaultdict(Fraction)
    net: defaultdict[str, Fraction] = defaultdict(Fraction)
    sources = {each.stick.name: each.stick.source for each in plan.sticks}
    lengths = {part.name: part.length for crate in build.crates for part in crate.sticks}
    for each, left in stick_remainders(plan, build):
        counts[each.stick.name] += each.repeat
        used[each.stick.name] += each.repeat * (1 - value * Fraction(left, each.stick.length))
        parts = sum(lengths[part] for part in each.parts)
        net[each.stick.name] += each.repeat * Fraction(parts, each.stick.length)
    for stock, count in counts.items():
        yield _Need(stock, Fraction(count), used[stock], source=sources[stock], net=net[stock])


def stick_remainders(plan: StickPlan, build: Build) -> Iterator[tuple[StickLayout, int]]:
    """Yield each way that sticks are cut, with the length that is left and long enough to keep, else 0."""
    lengths = {part.name: part.length for crate in build.crates for part in crate.sticks}
    for each in plan.sticks:
        if each.parts:
            left = each.stick.usable - sum(lengths[part] + plan.kerf for part in each.parts)
            yield each, left if left >= build.shop.saw.offcut_length else 0


def _rolls(take: RollTake, good: Good, book: PriceBook, rack: Rack) -> Iterator[_Need]:
    """Count rolls: what the plan buys, or less where open rolls on the shelf give some of it."""
    sizes = [size for size in good.sizes if size.width == take.width]
    lengths = [roll.quantity for roll in rack.rolls(good.good, take.width)]
    if sold := next((roll for roll, _ in take.rolls if roll.cut_only), None):
        size = next(size for size in sizes if size.stock == sold.name)
        _, given = _fill_open(take, lengths)
        used, off = (Fraction(length, size.length) for length in (take.length, given))
        yield _Need(size.stock, used - off, used, off)
    elif lengths:
        yield from _spread(sizes, *_after_shelf(take, sizes, lengths, book))
    else:
        yield from _spread(sizes, {roll.name: count for roll, count in take.rolls}, take.length, 0)


def _fill_open(take: RollTake, lengths: Sequence[int]) -> tuple[list[StickPart], int]:
    """Cut rows off open rolls, the longest first into the first with room; return what is left, and what they gave."""
    room, given, left = list(lengths), 0, []
    for number, row in enumerate(take.rows):
        count = 0
        for _ in range(row.repeat):
            index = next((index for index, free in enumerate(room) if row.length <= free), None)
            if index is None:
                count += 1
            else:
                room[index] -= row.length
                given += row.length
        if count:
            left.append(StickPart(str(number), row.length, take.good, count))
    return left, given


def _after_shelf(
    take: RollTake, sizes: Sequence[StockSize], lengths: Sequence[int], book: PriceBook
) -> tuple[dict[str, int], int, int]:
    """Return how many rolls of each size to buy when open ones give what they can, the length used, and what they give.

    Open rolls are used up first, unless another way to cut them saves money.
    """
    whole = [Stick(size.stock, size.length, cents(book.price(size.stock).price)) for size in sizes]
    left, given = _fill_open(take, lengths)
    first = cut_sticks(left, whole) if left else None
    rows = [StickPart(str(number), row.length, take.good, row.repeat) for number, row in enumerate(take.rows)]
    opened = [Stick(f"open roll {number}", length, 0, 1, "rack") for number, length in enumerate(lengths)]
    best = cut_sticks(rows, [*whole, *opened])
    if first is None:
        return {}, take.length, given
    plan = first
    if best.cost < first.cost:
        plan = best
        used = [each for each in best.sticks if each.stick.source == "rack"]
        given = sum(each.repeat * take.rows[int(part)].length for each in used for part in each.parts)
    counts: Counter[str] = Counter()
    for each in plan.sticks:
        if each.parts and each.stick.source == "buy":
            counts[each.stick.name] += each.repeat
    return dict(counts), take.length, given


def _things(count: int, good: Good, book: PriceBook, rack: Rack) -> Iterator[_Need]:
    """Count boxes (or single things) after the shelf."""
    if not count:
        return
    shelf = min(count, rack.on_shelf(good.good))
    counts = fewest_cost(count - shelf, good.sizes, book)
    for need in _spread(list(good.sizes), counts, count, shelf):
        yield _Need(need.stock, need.needed, need.used, need.shelf, count)


def fewest_cost(wanted: int, sizes: Sequence[StockSize], book: PriceBook) -> dict[str, int]:
    """Return how many of each size to buy so that together they hold what is wanted, at the least cost.

    Every number of the larger sizes is tried, so this is exact; goods come in one to three sizes.
    """
    ordered = sorted(sizes, key=lambda size: (-size.holds, size.stock))

    def best(left: int, at: int) -> tuple[int, tuple[int, ...]]:
        size, price = ordered[at], book.price(ordered[at].stock)
        most = -(-max(0, left) // size.holds)
        if at == len(ordered) - 1:
            return cents(purchase(price, most).amount), (most,)
        found = []
        for count in range(most + 1):
            cost, rest = best(left - count * size.holds, at + 1)
            found.append((cents(purchase(price, count).amount) + cost, (count, *rest)))
        return min(found)

    _, counts = best(wanted, 0)
    return {size.stock: count for size, count in zip(ordered, counts, strict=True) if count}


def _capacity(size: StockSize) -> int:
    """Return what one bought unit gives: a roll's length, or what a box holds."""
    return size.length or size.holds


def _spread(sizes: Sequence[StockSize], counts: Mapping[str, int], use: int, shelf: int) -> Iterator[_Need]:
    """Spread what is used over the bought sizes by what they give; what the shelf gives counts in the first size."""
    given = sum(counts.get(size.stock, 0) * _capacity(size) for size in sizes)
    first = next((size for size in sizes if counts.get(size.stock)), sizes[0])
    for size in sizes:
        count = counts.get(size.stock, 0)
        used = Fraction((use - shelf) * count, given) if count else Fraction(0)
        off = Fraction(shelf, _capacity(size)) if size is first else Fraction(0)
        if count or off:
            yield _Need(size.stock, Fraction(count), used + off, off)


@dataclass(frozen=True, slots=True)
class Amounts:
    """How much of each good each crate takes: of things how many, of the rest by area or length; in the crates' order.

    Counted in one walk, since there are as many goods as a crate has parts.
    """

    things: Mapping[str, Mapping[str, int]]
    cut: Mapping[str, Mapping[str, int]]

    @classmethod
    def of(cls, build: Build) -> "Amounts":
        """Count what a build takes."""
        things: dict[str, dict[str, int]] = {}
        cut: dict[str, dict[str, int]] = {}
        for crate in build.crates:
            for work in crate.piecework:
                _count(things, work.good, crate.crate, work.count)
            for part in crate.parts:
                _count(cut, part.good, crate.crate, part.length * part.width * part.count)
            for stick in crate.sticks:
                _count(cut, stick.good, crate.crate, stick.length * stick.count)
            for strip in crate.rolls:
                _count(cut, strip.good, crate.crate, strip.length * strip.width * strip.count)
        return cls(things, cut)

    def parts(self, good: str) -> dict[str, Fraction]:
        """Return each crate's part of a good."""
        cut = {crate: amount for crate, amount in self.cut.get(good, {}).items() if amount}
        amounts = {**self.things.get(good, {}), **cut}
        whole = sum(amounts.values())
        parts = {amount: Fraction(amount, whole) for amount in set(amounts.values())}
        return {crate: parts[amount] for crate, amount in amounts.items()}


def _count(into: dict[str, dict[str, int]], good: str, crate: str, amount: int) -> None:
    """Add to what a crate takes of a good."""
    mine = into.setdefault(good, {})
    mine[crate] = mine.get(crate, 0) + amount


def _kg(good: Good, size: StockSize) -> float:
    """Return the weight of one bought unit."""
    if good.form == "each":
        return good.each_g * size.holds / 1000
    metres = 8_000_000
    breadth = good.breadth if good.form == "stick" else size.width
    return good.density * (size.length / metres) * (breadth / metres) * (good.thickness / metres)

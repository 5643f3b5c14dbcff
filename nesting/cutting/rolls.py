"""Roll goods: how much paper, film or foam comes off the roll, which way round, and how many rolls that takes.

A piece is one strip, or several lapped strips where the roll is narrower than the piece. Strips lie side by side
across the roll in rows, as a person cuts them: unroll one length, cut it off, divide it. Rows are filled tallest first
(level packing; Coffman, Garey, Johnson and Tarjan 1980, doi:10.1137/0209062), and pieces are turned as long as that
saves length. The length need not be the least; a bound stands beside it. The number of rolls follows from the rows
through :func:`nesting.cutting.sticks.cut_sticks`.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from nesting.cutting.parts import RollPart, StickPart
from nesting.cutting.sticks import Stick, cut_sticks
from nesting.cutting.sticks.bounds import by_length, fractional, mix_key
from nesting.cutting.sticks.mixes import NODES, MixSearch
from nesting.cutting.sticks.problem import Problem, Stock
from nesting.cutting.stock import DEAREST, LONGEST, MOST, StockError

_ROUNDS = 4
_MOST_STEPS = 2_000_000
"""Strips looked at while pieces of one good are turned; about a second."""


class RollError(StockError):
    """What cannot come off the rolls that there are, in one sentence a fault."""


@dataclass(frozen=True, slots=True)
class Roll:
    """One size of roll that can be bought.

    Attributes
    ----------
    name : str
        Name of the stock, such as ``"glassine 48in x 100yd"``.
    width, length : int
        Across and along the roll.
    cost : int
        Price of a whole roll in the currency's smallest unit.
    cut_only : bool
        True when the supplier cuts off what is needed; then the part of the price that goes with the length is paid.
    good : str
        The roll good.
    """

    name: str
    width: int
    length: int
    cost: int
    cut_only: bool = False
    good: str = field(kw_only=True)

    def __post_init__(self) -> None:
        if not self.name or not self.good:
            raise RollError("a roll needs a name and a good")
        owner = f"roll {self.name}"
        RollError.whole(owner, "width", self.width, 1, LONGEST)
        RollError.whole(owner, "length", self.length, 1, LONGEST)
        RollError.whole(owner, "cost", self.cost, 0, DEAREST)


@dataclass(frozen=True, slots=True)
class RollPiece:
    """Which way round a part comes off the roll.

    Attributes
    ----------
    part : RollPart
        The part.
    along, across : int
        Its size along and across the roll.
    strips : int
        How many strips it is made of, each `along` long; more than one are lapped.
    rest : int
        Width of the last strip; the others are as wide as the roll.
    """

    part: RollPart
    along: int
    across: int
    strips: int
    rest: int


@dataclass(frozen=True, slots=True)
class RollRow:
    """One length cut off the roll and divided across.

    Attributes
    ----------
    length : int
        What is cut off.
    strips : tuple of (str, int, int)
        Part, width and length of each strip, from one edge of the roll to the other.
    repeat : int
        How many such rows.
    """

    length: int
    strips: tuple[tuple[str, int, int], ...]
    repeat: int


@dataclass(frozen=True, slots=True)
class RollTake:
    """What one good needs.

    Attributes
    ----------
    good : str
        The good.
    width : int
        Width of the rolls that it comes off.
    pieces : tuple of RollPiece
        Every part, in order of name.
    rows : tuple of RollRow
        What is cut off, longest first.
    rolls : tuple of (Roll, int)
        What to buy: whole rolls, or, of a roll with `cut_only`, 1.
    length : int
        What the job uses up, all rows together.
    length_bound : int
        No rows on rolls of this width use less, with strips as wide as the roll allows.
    cost : int
        What the rolls cost, in the smallest unit of currency.
    bound : int
        No such rows cost less.
    """

    good: str
    width: int
    pieces: tuple[RollPiece, ...]
    rows: tuple[RollRow, ...]
    rolls: tuple[tuple[Roll, int], ...]
    length: int
    length_bound: int
    cost: int
    bound: int

    @property
    def proven(self) -> bool:
        """Whether rolls of this width cannot cost less."""
        return self.cost == self.bound

    @property
    def count(self) -> int:
        """Number of rolls to buy."""
        return sum(count for _, count in self.rolls)


@dataclass(frozen=True, slots=True)
class RollPlan:
    """What comes off rolls, one entry for each good that is used."""

    takes: tuple[RollTake, ...] = ()

    @property
    def cost(self) -> int:
        """What all rolls cost, in the smallest unit of currency."""
        return sum(take.cost for take in self.takes)

    def take(self, good: str) -> RollTake:
        """Return what one good needs; :class:`KeyError` when it is not used."""
        for each in self.takes:
            if each.good == good:
                return each
        raise KeyError(good)


def strips_across(across: int, width: int, lap: int) -> int | None:
    """Return how many strips of a roll of that width cover a piece, lapped where there are several; None if none do.

    n lapped strips of a roll of width W cover n W - (n - 1) lap.
    """
    if across <= width:
        return 1
    return -((lap - across) // (width - lap)) if lap < width else None


def ways(part: RollPart, width: int, longest: int) -> tuple[RollPiece, ...]:
    """Return the ways round that a part can come off a roll, the one that takes less length first."""
    found = []
    for along, across in {(part.length, part.width), (part.width, part.length)}:
        strips = strips_across(across, width, part.lap)
        if along > longest or strips is None:
            continue
        found.append(RollPiece(part, along, across, strips, across - (strips - 1) * (width - part.lap)))
    return tuple(sorted(found, key=lambda p: (p.strips * p.along, p.strips, p.rest, p.along)))


def fill_rows(pieces: Sequence[RollPiece], width: int) -> tuple[RollRow, ...]:
    """Lay strips in rows: each row opens with the longest strip left and takes whatever still fits beside it."""
    rows = []
    strips: dict[tuple[int, int, str], int] = {}
    for piece in pieces:
        name, count = piece.part.name, piece.part.count
        if piece.strips > 1:
            rows.append(RollRow(piece.along, ((name, width, piece.along),), count * (piece.strips - 1)))
        strips[-piece.along, -piece.rest, name] = count
    left = dict(sorted(strips.items()))
    narrowest = min((-rest for _, rest, _ in left), default=0)
    while left:
        free, row = width, dict[tuple[int, int, str], int]()
        for strip, count in left.items():
            if free < narrowest:
                break
            fits = min(count, free // -strip[1])
            if fits:
                row[strip] = fits
                free += strip[1] * fits
        repeat = min(left[strip] // count for strip, count in row.items())
        laid = tuple((name, -rest, -along) for (along, rest, name), count in row.items() for _ in range(count))
        rows.append(RollRow(laid[0][2], laid, repeat))
        for strip, count in row.items():
            left[strip] -= count * repeat
            if not left[strip]:
                del left[strip]
    rows.sort(key=lambda row: (-row.length, -row.repeat, row.strips))
    return tuple(rows)


def rows_length(rows: Sequence[RollRow]) -> int:
    """Sum up the length of rows."""
    return sum(row.length * row.repeat for row in rows)


def simple_ways(choices: Sequence[tuple[RollPiece, ...]]) -> list[list[RollPiece]]:
    """Return three simple ways round for all pieces: the least length each, all narrow, all short."""
    return [
        [each[0] for each in choices],
        [min(each, key=lambda piece: (piece.across, piece.along)) for each in choices],
        [min(each, key=lambda piece: (piece.along, piece.across)) for each in choices],
    ]


def _tally(pieces: Iterable[RollPiece]) -> tuple[int, Counter[tuple[int, int]]]:
    """Return the length of the strips as wide as the roll, and how many others there are by length and width."""
    full, strips = 0, Counter[tuple[int, int]]()
    for piece in pieces:
        full += piece.along * (piece.strips - 1) * piece.part.count
        strips[piece.along, piece.rest] += piece.part.count
    return full, strips


def _length_of(strips: Mapping[tuple[int, int], int], width: int) -> tuple[int, int]:
    """Return the length of the rows that :func:`fill_rows` makes of strips, whatever their names, and steps taken."""
    length = steps = 0
    left = dict(sorted(strips.items(), reverse=True))
    while left:
        free, row = width, dict[tuple[int, int], int]()
        steps += len(left)
        for strip, count in left.items():
            fits = min(count, free // strip[1])
            if fits:
                row[strip] = fits
                free -= strip[1] * fits
        repeat = min(left[strip] // count for strip, count in row.items())
        length += next(iter(row))[0] * repeat
        for strip, count in row.items():
            left[strip] -= count * repeat
            if not left[strip]:
                del left[strip]
    return length, steps


def choose_ways(choices: Sequence[tuple[RollPiece, ...]], width: int) -> tuple[RollPiece, ...]:
    """Turn pieces one by one as long as that saves length, from the best simple way.

    Pieces of one size turn alike, so a turn that did not help is not tried with its likes before something changed. A
    great many different pieces are tried in their order until a fixed number of steps is used up.
    """
    best = min(simple_ways(choices), key=lambda trial: rows_length(fill_rows(trial, width)))
    full, strips = _tally(best)
    rows, steps = _length_of(strips, width)
    length = full + rows
    vain = set[tuple[int, ...]]()
    for _ in range(_ROUNDS):
        before = length
        for index, each in enumerate(choices):
            for piece in each:
                old = best[index]
                turn = (old.along, old.rest, old.strips, piece.along, piece.rest, piece.strips, piece.part.count)
                if piece == old or turn in vain or steps > _MOST_STEPS:
                    continue
                out, out_strips = _tally((old,))
                into, into_strips = _tally((piece,))
                trial = strips - out_strips + into_strips
                rows, taken = _length_of(trial, width)
                steps += taken
                if full - out + into + rows < length:
                    best[index], strips, full = piece, trial, full - out + into
                    length = full + rows
                    vain.clear()
                else:
                    vain.add(turn)
        if length == before:
            break
    return tuple(best)


def least_length(choices: Sequence[tuple[RollPiece, ...]], width: int) -> int:
    """Lower bound on the length: by area, and by strips wider than half the roll, which cannot share a row."""
    area = wide = 0
    for each in choices:
        count = each[0].part.count
        area += count * min(p.along * ((p.strips - 1) * width + p.rest) for p in each)
        wide += count * min(p.along * (p.strips - (2 * p.rest <= width)) for p in each)
    return max(-(-area // width), wide)


def _least_cost(rolls: Sequence[Roll], length: int) -> int:
    """Lower bound on what whole rolls of at least `length` together cost."""
    most = -(-length // min(roll.length for roll in rolls))
    stocks = tuple(Stock(Stick(roll.name, roll.length, roll.cost), roll.length, most) for roll in rolls)
    problem = Problem((length,), (1,), stocks, 1)
    enough = by_length(problem)
    dearest = sum(stock.cost(most) for stock in stocks) + 1
    search = MixSearch(problem, [enough], [], (dearest, 0, 0), NODES["normal"])
    mix = search.run()
    return mix_key(problem, mix)[0] if mix is not None and search.complete else fractional(problem, enough)


def _buy(rows: Sequence[RollRow], rolls: Sequence[Roll]) -> tuple[int, tuple[tuple[Roll, int], ...]]:
    """Return the cheapest way to buy rolls of one width that the rows come off, and what it costs."""
    used, longest = rows_length(rows), rows[0].length
    offers: list[tuple[int, str, tuple[tuple[Roll, int], ...]]] = [
        (-(-roll.cost * used // roll.length), roll.name, ((roll, 1),))
        for roll in rolls
        if roll.cut_only and roll.length >= longest
    ]
    whole = {roll.name: roll for roll in rolls if not roll.cut_only}
    if any(roll.length >= longest for roll in whole.values()):
        parts = [StickPart(str(index), row.length, rolls[0].good, row.repeat) for index, row in enumerate(rows)]
        plan = cut_sticks(parts, [Stick(roll.name, roll.length, roll.cost) for roll in whole.values()])
        counts = Counter[str]()
        for layout in plan.sticks:
            counts[layout.stick.name] += layout.repeat
        offers.append((plan.cost, min(counts), tuple((whole[name], counts[name]) for name in sorted(counts))))
    cost, _, bought = min(offers, key=lambda offer: offer[:2])
    return cost, bought


def _take(good: str, parts: Sequence[RollPart], rolls: Sequence[Roll]) -> RollTake | None:
    """Lay the parts of one good on rolls of one width; None when one of them cannot come off it."""
    width, longest = rolls[0].width, max(roll.length for roll in rolls)
    choices = [ways(part, width, longest) for part in parts]
    if not all(choices):
        return None
    least = least_length(choices, width)
    bounds = [-(-roll.cost * least // roll.length) for roll in rolls if roll.cut_only]
    if whole := [roll for roll in rolls if not roll.cut_only]:
        bounds.append(_least_cost(whole, least))
    takes: list[RollTake] = []
    # The least length comes first; where it costs more than it must, shorter rows may share rolls better.
    for pieces in (choose_ways(choices, width), *map(tuple, simple_ways(choices))):
        rows = fill_rows(pieces, width)
        cost, bought = _buy(rows, rolls)
        takes.append(
            RollTake(
                good=good,
                width=width,
                pieces=pieces,
                rows=rows,
                rolls=bought,
                length=rows_length(rows),
                length_bound=least,
                cost=cost,
                bound=min(bounds),
            )
        )
        if takes[-1].proven:
            break
    return min(takes, key=lambda take: (take.cost, take.length))


def lay_rolls(parts: Sequence[RollPart], rolls: Sequence[Roll]) -> RollPlan:
    """Find out how much comes off which rolls.

    Parameters
    ----------
    parts : sequence of RollPart
        Of any goods.
    rolls : sequence of Roll
        Everything that can be bought, each with its good. One good comes off rolls of one width: the width at which
        it costs least, then the one that uses least area.

    Returns
    -------
    RollPlan
        Goods in the order in which parts first name them.

    Raises
    ------
    RollError
        Every part that no roll of its good can give, and every name that repeats.
    """
    faults = []
    for kind, names in (("part", [part.name for part in parts]), ("roll", [roll.name for roll in rolls])):
        faults += [f"{kind} {name} is named twice" for name, count in sorted(Counter(names).items()) if count > 1]
    takes = []
    for good in dict.fromkeys(part.good for part in parts):
        wanted = sorted((part for part in parts if part.good == good), key=lambda part: part.name)
        offers: dict[int, list[Roll]] = {}
        for roll in sorted((roll for roll in rolls if roll.good == good), key=lambda roll: (roll.width, roll.name)):
            offers.setdefault(roll.width, []).append(roll)
        if not offers:
            faults.append(f"no roll of {good} is stocked")
            continue
        if sum(part.count for part in wanted) > MOST:
            faults.append(f"more than {MOST} pieces of {good} in one call")
            continue
        found = [take for same in offers.values() if (take := _take(good, wanted, same)) is not None]
        if found:
            takes.append(min(found, key=lambda take: (take.cost, take.length * take.width, take.width)))
        else:
            faults += _misfits(wanted, offers) or [f"no one width of {good} gives all its pieces"]
    if faults:
        raise RollError(*faults)
    return RollPlan(tuple(takes))


def _misfits(parts: Sequence[RollPart], offers: Mapping[int, Sequence[Roll]]) -> list[str]:
    """Name the parts that come off no roll at all."""
    return [
        f"part {part.name}: {part.length} by {part.width} with lap {part.lap} comes off no roll of {part.good}"
        for part in parts
        if not any(ways(part, width, max(roll.length for roll in rolls)) for width, rolls in offers.items())
    ]

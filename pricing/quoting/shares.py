"""Shares: which part of every amount each artwork bears, to the cent.

An amount is divided by the largest remainder method (Hamilton 1792; Balinski and Young, *Fair Representation*, 1982):
every part gets its quota rounded down to the cent, and the cents left over go to the largest remainders, so that the
parts sum to the amount always. A tie goes to the piece that earlier roundings left short the most, then to the earlier.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from math import gcd, lcm
from typing import Final, Protocol

from nesting.crates.model import Box, Crate
from nesting.crates.registry import method_of
from nesting.order import Artwork
from pricing.money import cents, from_cents, total
from pricing.quoting.ladder import Step

Weights = Mapping[str, Fraction]
_NOTHING: Final = Fraction(0)


class Short:
    """What earlier roundings took from each, in cents: noted an amount at a time, added up only where a tie asks."""

    def __init__(self) -> None:
        self._noted: list[tuple[Mapping[str, int], int]] = []
        self._sums: dict[str, int] = {}
        self._over = 1

    def note(self, taken: Mapping[str, int], over: int) -> None:
        """Note what the roundings of one amount took from each, over one denominator."""
        self._noted.append((taken, over))

    def sums(self) -> tuple[Mapping[str, int], int]:
        """Return what was taken from each so far, and the one denominator that it is over."""
        for taken, over in self._noted:
            common = lcm(self._over, over)
            if common != self._over:
                more = common // self._over
                self._sums = {key: had * more for key, had in self._sums.items()}
                self._over = common
            more, sums = common // over, self._sums
            for key, each in taken.items():
                sums[key] = sums.get(key, 0) + each * more
        self._noted.clear()
        return self._sums, self._over

    def of(self, key: str) -> Fraction:
        """Return what was taken from one so far."""
        sums, over = self.sums()
        return Fraction(sums.get(key, 0), over)


def apportion(amount: Decimal, weights: Weights, short: Short | None = None) -> dict[str, Decimal]:
    """Divide an amount by weights so that the parts sum to it to the cent.

    Parameters
    ----------
    amount : Decimal
        Whole hundredths; may be negative (a discount).
    weights : mapping of str to Fraction
        Zero or more each; equal parts where all are zero.
    short : Short, optional
        What earlier roundings took from each, in cents; decides ties and is brought up to date, so that equal pieces
        stay within a cent of each other over many amounts.

    Returns
    -------
    dict of str to Decimal
        A part for every key, in the order of the weights.
    """
    if not weights:
        raise ValueError("nobody to bear the amount")
    if any(weight.numerator < 0 for weight in weights.values()):
        raise ValueError("a weight must not be negative")
    short = Short() if short is None else short
    counts, whole = in_whole_numbers(weights)
    count, sign = abs(cents(amount)), (-1 if amount < 0 else 1)
    parts, rests = {}, {}
    for key, mine in counts.items():
        parts[key], rests[key] = divmod(count * mine, whole)
    taken = {key: sign * rest for key, rest in rests.items() if rest}
    for key in _first(count - sum(parts.values()), rests, sign, short):
        parts[key] += 1
        taken[key] -= sign * whole
    short.note(taken, whole)
    # Many pieces are alike, and an amount is longer in the making than in the looking up.
    amounts = {part: from_cents(sign * part) for part in set(parts.values())}
    return {key: amounts[part] for key, part in parts.items()}


def in_whole_numbers(weights: Weights) -> tuple[dict[str, int], int]:
    """Return weights as the least whole numbers, one each where all are nothing, and their sum.

    Sums of fractions take most of the time of a quote.
    """
    over = lcm(*(weight.denominator for weight in weights.values()))
    counts = {key: weight.numerator * (over // weight.denominator) for key, weight in weights.items()}
    if not any(counts.values()):
        counts = dict.fromkeys(weights, 1)
    common = gcd(*counts.values())
    counts = {key: count // common for key, count in counts.items()}
    return counts, sum(counts.values())


def _first(left: int, rests: Mapping[str, int], sign: int, short: Short) -> Sequence[str]:
    """Return who gets the cents left over: the largest remainders, of equal ones what was left short the most."""
    if not left:
        return ()
    order = sorted(rests, key=rests.__getitem__, reverse=True)
    last = rests[order[left - 1]]
    if left < len(order) and rests[order[left]] == last:
        alike = [key for key in order if rests[key] == last]
        ahead = order[: order.index(alike[0])]
        sums, _ = short.sums()
        alike.sort(key=lambda key: sign * sums.get(key, 0), reverse=True)
        return [*ahead, *alike[: left - len(ahead)]]
    return order[:left]


def piece_weights(crates: Sequence[Crate]) -> dict[str, dict[str, Fraction]]:
    """Return, for each crate, each piece's part of it.

    A crate with one piece is that piece's. A set's crate is shared by the volume of its pieces, an outer case by the
    volume of the travel frames that ride in it, each frame's part going to its own pieces.
    """
    own: dict[str, dict[str, Fraction]] = {}
    frames: dict[str, list[Crate]] = {}
    for crate in crates:
        if crate.inside_of is not None:
            frames.setdefault(crate.inside_of, []).append(crate)
        if not method_of(crate).is_case:
            own[crate.crate] = _by_volume(crate.pieces, dict(crate.pieces_placed))
    for crate in crates:
        if method_of(crate).is_case:
            own[crate.crate] = _of_frames(crate, frames.get(crate.crate, []), own)
    return own


def _by_volume(pieces: Sequence[str], boxes: Mapping[str, Box]) -> dict[str, Fraction]:
    """Share by volume where every piece's cuboid is known, else equally."""
    if all(piece in boxes for piece in pieces):
        whole = sum(boxes[piece].volume for piece in pieces)
        return {piece: Fraction(boxes[piece].volume, whole) for piece in pieces}
    return {piece: Fraction(1, len(pieces)) for piece in pieces}


def _of_frames(case: Crate, inside: Sequence[Crate], own: Mapping[str, Mapping[str, Fraction]]) -> dict[str, Fraction]:
    """Share an outer case among its travel frames by volume."""
    if not inside:
        return _by_volume(case.pieces, dict(case.pieces_placed))
    volumes = [frame.outside.width * frame.outside.height * frame.outside.depth for frame in inside]
    shares: dict[str, Fraction] = {}
    for frame, volume in zip(inside, volumes, strict=True):
        for piece, part in own[frame.crate].items():
            shares[piece] = shares.get(piece, Fraction(0)) + part * Fraction(volume, sum(volumes))
    return shares


def to_pieces(by_crate: Weights, pieces: Mapping[str, Weights], everyone: Sequence[str]) -> dict[str, Fraction]:
    """Turn crates' parts of an amount into pieces' parts, for every piece, zeros included."""
    weights = dict.fromkeys(everyone, _NOTHING)
    for crate, part in by_crate.items():
        mine = pieces[crate]
        for piece, share in mine.items():
            borne = part if len(mine) == 1 and share == 1 else part * share
            had = weights[piece]
            weights[piece] = borne if had is _NOTHING else had + borne
    return weights


@dataclass(frozen=True, slots=True)
class Share:
    """What one artwork bears.

    Attributes
    ----------
    piece, title : str
        The artwork; a copy has a share of its own.
    crate : str
        The crate that it rides in.
    columns : mapping of str to Decimal
        Its part of every section and step, in the order of the quote; they sum to ``total``.
    total : Decimal
        All that it bears. Over all pieces the totals sum to the quote's.
    """

    piece: str
    title: str
    crate: str
    columns: Mapping[str, Decimal]
    total: Decimal


class Borne(Protocol):
    """A cost line as far as shares need it."""

    @property
    def section(self) -> str:
        """Where it belongs."""

    @property
    def amount(self) -> Decimal:
        """What it costs."""

    @property
    def bearers(self) -> Weights:
        """Each piece's part."""


_MARKED: Final = ("contingency", "overhead", "profit", "discount", "minimum", "rounding")


@dataclass
class Division:
    """Every amount of a quote while it is divided among the pieces, in the order of the quote.

    Attributes
    ----------
    everyone : sequence of str
        The pieces.
    columns : dict of str to dict of str to Decimal
        By section or step, each piece's part.
    work : list of str
        The columns that make up what the studio itself charges: all up to the rounding.
    short : Short
        What earlier roundings took from each piece; see :func:`apportion`.
    """

    everyone: Sequence[str]
    columns: dict[str, dict[str, Decimal]] = field(default_factory=dict)
    work: list[str] = field(default_factory=list)
    short: Short = field(default_factory=Short)

    def add(self, column: str, amount: Decimal, weights: Weights) -> None:
        """Divide an amount by weights and add the parts to a column."""
        parts = apportion(amount, weights, self.short)
        if column not in self.columns:
            self.columns[column] = dict.fromkeys(self.everyone, Decimal("0.00"))
        into = self.columns[column]
        for piece, part in parts.items():
            into[piece] += part

    def so_far(self, names: Sequence[str], pieces: Collection[str] | None = None) -> dict[str, Fraction]:
        """Return what each piece bears in some columns; nothing those that are not among ``pieces``, if given."""
        return {
            piece: Fraction(total(self.columns[name][piece] for name in names))
            if pieces is None or piece in pieces
            else _NOTHING
            for piece in self.everyone
        }

    def shares(self, copies: Sequence[Artwork], crates: Sequence[Crate]) -> tuple[Share, ...]:
        """Return what each piece bears.

        ``crates`` says which crate each rides in, held ones among them, whose pieces bear nothing.
        """
        where = {piece: crate.crate for crate in crates if not method_of(crate).is_case for piece in crate.pieces}
        return tuple(
            Share(
                copy.piece,
                copy.title,
                where.get(copy.piece, ""),
                {name: parts[copy.piece] for name, parts in self.columns.items()},
                total(parts[copy.piece] for parts in self.columns.values()),
            )
            for copy in copies
        )


def divide(
    everyone: Sequence[str],
    lines: Sequence[Borne],
    passed: Sequence[Borne],
    steps: Sequence[Step],
    into: Division | None = None,
) -> Division:
    """Divide every line and every step but tax among the pieces; each column sums to its amount to the cent.

    `into` is what takes the parts, where somebody wants to see each of them as it comes; a new one when not given.
    """
    made = Division(everyone) if into is None else into
    for line in lines:
        made.add(line.section, line.amount, line.bearers)
    made.work.extend(made.columns)
    for step in steps:
        if step.key in _MARKED:
            made.add(step.key, step.amount, made.so_far(made.work))
            made.work.append(step.key)
    for line in passed:
        made.add(line.section, line.amount, line.bearers)
    return made

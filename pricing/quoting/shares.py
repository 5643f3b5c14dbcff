"""Shares: which part of every amount each artwork bears, to the cent.

An amount is divided by the largest remainder method (Hamilton 1792; Balinski and Young, *Fair Representation*, 1982):
every part gets its quota rounded down to the cent, and the cents left over go to the largest remainders, so that the
parts sum to the amount always. A tie goes to the piece that earlier roundings left short the most, then to the earlier.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Protocol

from nesting.crates.model import Box, Crate
from nesting.crates.registry import method_of
from nesting.order import Artwork
from pricing.money import cents, from_cents, total
from pricing.quoting.ladder import Step
from pricing.studio.rates import TaxRules

Weights = Mapping[str, Fraction]


def apportion(amount: Decimal, weights: Weights, short: dict[str, Fraction] | None = None) -> dict[str, Decimal]:
    """Divide an amount by weights so that the parts sum to it to the cent.

    Parameters
    ----------
    amount : Decimal
        Whole hundredths; may be negative (a discount).
    weights : mapping of str to Fraction
        Zero or more each; equal parts where all are zero.
    short : dict of str to Fraction, optional
        What earlier roundings took from each, in cents; decides ties and is brought up to date, so that equal pieces
        stay within a cent of each other over many amounts.

    Returns
    -------
    dict of str to Decimal
        A part for every key, in the order of the weights.
    """
    if not weights:
        raise ValueError("nobody to bear the amount")
    if min(weights.values()) < 0:
        raise ValueError("a weight must not be negative")
    short = {} if short is None else short
    whole = sum(weights.values())
    if not whole:
        weights, whole = dict.fromkeys(weights, Fraction(1)), Fraction(len(weights))
    count, sign = abs(cents(amount)), (-1 if amount < 0 else 1)
    quotas = {key: count * weight / whole for key, weight in weights.items()}
    parts = {key: quota.numerator // quota.denominator for key, quota in quotas.items()}
    order = sorted(weights, key=lambda key: (parts[key] - quotas[key], -sign * short.get(key, Fraction(0))))
    for key in order[: count - sum(parts.values())]:
        parts[key] += 1
    for key, quota in quotas.items():
        short[key] = short.get(key, Fraction(0)) + sign * (quota - parts[key])
    return {key: from_cents(sign * part) for key, part in parts.items()}


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
    weights = dict.fromkeys(everyone, Fraction(0))
    for crate, part in by_crate.items():
        for piece, share in pieces[crate].items():
            weights[piece] += part * share
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


def divide(
    copies: Sequence[Artwork],
    crates: Sequence[Crate],
    lines: Sequence[Borne],
    passed: Sequence[Borne],
    steps: Sequence[Step],
    tax: TaxRules,
) -> tuple[Share, ...]:
    """Divide every line and every step among the pieces; each column sums to its amount to the cent.

    ``crates`` says which crate each piece rides in, held ones among them, whose pieces bear nothing.
    """
    everyone = [copy.piece for copy in copies]
    columns: dict[str, dict[str, Decimal]] = {}
    short: dict[str, Fraction] = {}

    def add(column: str, parts: Mapping[str, Decimal]) -> None:
        into = columns.setdefault(column, dict.fromkeys(everyone, Decimal("0.00")))
        for piece, part in parts.items():
            into[piece] += part

    def so_far(names: Sequence[str]) -> dict[str, Fraction]:
        return {piece: sum((Fraction(columns[name][piece]) for name in names), Fraction(0)) for piece in everyone}

    for line in lines:
        add(line.section, apportion(line.amount, line.bearers, short))
    work = list(columns)
    for step in steps:
        if step.key in ("contingency", "overhead", "profit", "discount", "minimum", "rounding"):
            add(step.key, apportion(step.amount, so_far(work), short))
            work.append(step.key)
    for line in passed:
        add(line.section, apportion(line.amount, line.bearers, short))
    taxed = [
        *work,
        *(["freight"] if tax.on_freight and "freight" in columns and "freight" not in work else []),
        *(["insurance"] if tax.on_insurance and "insurance" in columns and "insurance" not in work else []),
    ]
    for step in steps:
        if step.key == "tax":
            add("tax", apportion(step.amount, so_far(taxed), short))
    where = {piece: crate.crate for crate in crates if not method_of(crate).is_case for piece in crate.pieces}
    return tuple(
        Share(
            copy.piece,
            copy.title,
            where.get(copy.piece, ""),
            {name: parts[copy.piece] for name, parts in columns.items()},
            total(parts[copy.piece] for parts in columns.values()),
        )
        for copy in copies
    )

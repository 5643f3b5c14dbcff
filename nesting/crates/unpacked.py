"""Unpacked: a piece whose packing was left to the shop and that no method takes; the rest of its order goes on."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Final

from nesting.base.counts import NAMED, few
from nesting.base.faults import Fault
from nesting.crates.traits import Reason


@dataclass(frozen=True, slots=True)
class Unpacked:
    """A piece that nothing packs.

    Attributes
    ----------
    piece : str
        The copy.
    row : int or None
        Row of the order.
    why : tuple of str
        What speaks against each method, in the order in which they were tried.
    reasons : tuple of Reason
        Those that are told where they are faults of the order; without a piece where it is the shop's rules that clash.
    """

    piece: str
    row: int | None
    why: tuple[str, ...]
    reasons: tuple[Reason, ...]

    @property
    def accepted(self) -> str:
        """What would mend it."""
        return "; ".join(dict.fromkeys(each.accepted for each in self.reasons))

    def faults(self, source: str) -> list[Fault]:
        """Return its reasons as faults of an order of that name; of the shop where its rules clash."""
        return [
            Fault(source, r.row, r.column, f"{r.piece}: {r.found}", r.accepted)
            if r.piece
            else Fault("shop", None, None, r.found, r.accepted)
            for r in self.reasons
        ]


UNPACKED: Final = "packed by nothing"
"""What stands where the crate of such a piece would be named."""


def why_not(tried: Sequence[tuple[str, str]]) -> tuple[str, ...]:
    """Return what speaks against each method, those against which the same does in one sentence.

    Parameters
    ----------
    tried : sequence of (str, str)
        What the method makes, and what was found.
    """
    found: dict[str, list[str]] = {}
    for made, what in tried:
        found.setdefault(what, []).append(made)
    return tuple(f"no {' or '.join(made)}: {what}" for what, made in found.items())


@dataclass(frozen=True, slots=True)
class UnpackedRow:
    """Pieces with which the same is wrong, as tables show them.

    Attributes
    ----------
    pieces : str
        Their names.
    why, accepted : str
        What speaks against each method, and what would mend it.
    """

    pieces: str
    why: str
    accepted: str


def unpacked_rows(unpacked: Sequence[Unpacked]) -> tuple[UnpackedRow, ...]:
    """Return a row for all pieces in turn with which the same is wrong: copies of one line, pieces of one set."""
    grouped = groupby(unpacked, key=lambda each: (each.why, each.accepted))
    return tuple(
        UnpackedRow(", ".join(each.piece for each in same), "; ".join(why), accepted)
        for (why, accepted), same in grouped
    )


def unpacked_line(unpacked: Sequence[Unpacked]) -> str:
    """Return the line that stands first wherever pieces are packed by nothing; empty where none is."""
    if not unpacked:
        return ""
    told = [
        f"{few([each.piece for each in same])}: {'; '.join(why)}"
        for why, same in ((why, list(same)) for why, same in groupby(unpacked, key=lambda each: each.why))
    ]
    more = f"; and {len(told) - NAMED} more" if len(told) > NAMED else ""
    return f"Packed by nothing, and in no total: {'; '.join(told[:NAMED])}{more}."


def unpacked_short(unpacked: Sequence[Unpacked], where: str) -> str:
    """Return the same in few words, and where the rest stands; empty where there is none."""
    if not unpacked:
        return ""
    names = few([each.piece for each in unpacked])
    return f"Packed by nothing, and in no total: {names}. Why, and what would mend it: {where}."


def without_unpacked(unpacked: Iterable[Unpacked]) -> str:
    """Return what stands beside a total that lacks them; empty where there is none."""
    return without_pieces([each.piece for each in unpacked])


def without_pieces(names: Sequence[str]) -> str:
    """Return the same of their names."""
    return f"without {few(names)}, {UNPACKED}" if names else ""

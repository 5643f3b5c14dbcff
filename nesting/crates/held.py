"""Held and accepted crates in words: the same sentences on every paper, table and screen."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Final

from nesting.base.counts import NAMED, few
from nesting.crates.model import Crate, HeldFor

COLUMN: Final = "accept_held"
"""The order's column that accepts."""


@dataclass(frozen=True, slots=True)
class HeldRow:
    """One reason of one held or accepted crate, as tables show it.

    Attributes
    ----------
    crate : str
        Its name.
    check, found, allowed, would_pass : str
        As of :class:`nesting.crates.model.HeldFor`.
    code : str
        Which the acceptance must bear; empty where the reason is another crate's.
    how : str
        What to write to accept it, or what was written.
    """

    crate: str
    check: str
    found: str
    allowed: str
    would_pass: str
    code: str
    how: str


def reason(why: HeldFor) -> str:
    """Return one reason with its figures."""
    return why.told


def each_reason(held_for: Iterable[HeldFor]) -> tuple[str, ...]:
    """Return every reason with its figures; the last of those with the same way out says what would pass."""
    told: list[str] = []
    for passing, alike in groupby(held_for, key=lambda why: why.would_pass):
        told += map(reason, alike)
        told[-1] += f"; would pass: {passing}" if passing else ""
    return tuple(told)


def reasons(crate: Crate) -> str:
    """Return every reason of a crate in one line."""
    return "; ".join(each_reason(crate.held_for))


def roots(held: Iterable[Crate]) -> tuple[Crate, ...]:
    """Return the held crates that fail a check of their own; the others are held because one of these is."""
    return tuple(crate for crate in held if any(why.found for why in crate.held_for))


def names(crates: Sequence[Crate]) -> str:
    """Name the first few crates, and say how many more there are."""
    return few([crate.crate for crate in crates])


def without(held: Sequence[Crate]) -> str:
    """Return what stands beside a total that lacks them, such as ``without K4, held``; empty where none is held."""
    return without_named([crate.crate for crate in held])


def without_named(held: Sequence[str]) -> str:
    """Return the same of names of crates or pieces."""
    return f"without {few(held)}, held" if held else ""


def told_of(held: Sequence[Crate]) -> tuple[Crate, ...]:
    """Return the held crates whose reasons stand in :func:`held_line`."""
    return (roots(held) or tuple(held))[:NAMED]


def held_line(held: Sequence[Crate]) -> str:
    """Return the line that stands first wherever crates are held; empty where none is."""
    if not held:
        return ""
    own = roots(held) or tuple(held)
    with_them = [crate for crate in held if crate not in own]
    told = [f"{crate.crate} ({', '.join(crate.pieces)}): {reasons(crate)}" for crate in told_of(held)]
    more = f"; and {len(own) - NAMED} more" if len(own) > NAMED else ""
    along = f"; with them {names(with_them)}" if with_them else ""
    return f"Held, not cut and in no total: {'; '.join(told)}{more}{along}."


def held_short(held: Sequence[Crate], where: str) -> str:
    """Return the same in few words, and where the rest stands; empty where none is held."""
    if not held:
        return ""
    pieces = {piece: None for crate in held for piece in crate.pieces}
    return f"Held, not cut and in no total: {names(held)} with {few([*pieces])}. Why, and what would pass: {where}."


def held_for(crates: Iterable[Crate]) -> str:
    """Return every reason for which any of some crates is held, each once; empty where none is."""
    return "; ".join(dict.fromkeys(reasons(crate) for crate in crates if crate.standing == "held"))


def accept_by(crate: Crate) -> str:
    """Say what to write where to accept a held crate; empty where it is held for another crate's sake alone."""
    if not crate.code:
        return ""
    return f'column {COLUMN} of {crate.pieces[0]}: "{crate.code}: the reason"'


def accepted_line(crate: Crate) -> str:
    """Return what stands first on the pages of an accepted crate; empty where it needed no acceptance."""
    if crate.standing != "accepted":
        return ""
    return f"{crate.crate} fails and is built all the same ({reasons(crate)}). Accepted: {crate.accepted}"


def held_rows(crates: Iterable[Crate]) -> tuple[HeldRow, ...]:
    """Return a row for every reason of every crate that is held or accepted."""
    return tuple(
        HeldRow(
            crate.crate,
            why.check,
            why.found,
            why.allowed,
            why.would_pass,
            crate.code if why.found else "",
            (f"accepted: {crate.accepted}" if crate.standing == "accepted" else accept_by(crate)) if why.found else "",
        )
        for crate in crates
        for why in crate.held_for
    )

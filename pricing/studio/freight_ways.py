"""Ways: which carriers take crates to a destination, as its table writes them.

A cell holds ways, the one to take first first: ``parcel, van then air then handler`` sends by parcel what the parcel
carrier takes, and the rest by van, then by air, then through a handler. A cell that is the name of one freight profile
is that profile alone, whatever stands in its name.
"""

import re
from collections.abc import Collection, Iterable
from typing import Final

Way = tuple[str, ...]
"""Freight profiles by name, one for each leg, in the order of the way."""
MOST_WAYS: Final = 6
MOST_LEGS: Final = 5
_THEN: Final = re.compile(r"\s+then\s+", re.IGNORECASE)
SUCH: Final = "a freight profile; several to try in turn, with commas between; legs with `then` between"


def ways_of(cell: str, names: Collection[str]) -> tuple[Way, ...]:
    """Read the ways of a cell.

    Parameters
    ----------
    cell : str
        As the table of destinations has it; not empty.
    names : collection of str
        The freight profiles that there are.

    Returns
    -------
    tuple of Way
        In the order in which they are tried; at least one, each with at least one leg.

    Raises
    ------
    ValueError
        Where a leg has no name or one that is no profile, or where there are too many.
    """
    if cell in names:
        return ((cell,),)
    ways = tuple(tuple(leg.strip() for leg in _THEN.split(way.strip())) for way in cell.split(","))
    for leg in (leg for way in ways for leg in way):
        if leg not in names:
            raise ValueError(f"found {leg or cell}; accepted: {SUCH}; there are {', '.join(names)}")
    if len(ways) > MOST_WAYS or max(map(len, ways)) > MOST_LEGS:
        raise ValueError(f"found {cell}; accepted: at most {MOST_WAYS} ways of at most {MOST_LEGS} legs")
    if len(set(ways)) < len(ways):
        raise ValueError(f"found {cell}; accepted: each way once")
    return ways


def written(ways: Iterable[Way]) -> str:
    """Write ways as :func:`ways_of` reads them."""
    return ", ".join(" then ".join(way) for way in ways)

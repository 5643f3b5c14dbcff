"""Which of the recorded orders a table is of: all, every so manyth, or some; said at the head of what is printed."""

from collections.abc import Iterable, Sequence


def seeds_of(names: Iterable[str], kind: str) -> list[int]:
    """Return the seeds of the orders of a kind, ``sale-0004`` and so on, in their order."""
    return sorted(int(name.rpartition("-")[2]) for name in names if name.rpartition("-")[0] == kind)


def told(worked: Iterable[str], kind: str, count: int, left_out: Sequence[str] = ()) -> str:
    """Say which of the recorded orders of a kind were worked.

    Parameters
    ----------
    worked : iterable of str
        Names of the orders of which there is a row.
    count : int
        How many are recorded, with seeds from 0 on.
    left_out : sequence of str
        Names of orders that were asked for too, of which there is none: refused.

    Returns
    -------
    str
        ``all 200 recorded``, ``50 of 200 recorded, every 4th``, or ``7 of 200 recorded``, which are no sample.
    """
    seeds = seeds_of({*worked, *left_out}, kind)
    if seeds == list(range(count)):
        return f"all {count} recorded"
    said = f"{len(seeds)} of {count} recorded"
    step = seeds[1] - seeds[0] if len(seeds) > 1 else 0
    if step > 1 and seeds == list(range(seeds[0] % step, count, step)):
        return f"{said}, every {step}{'nd' if step == 2 else 'rd' if step == 3 else 'th'}"
    return said

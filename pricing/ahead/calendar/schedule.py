"""The order of the work: tasks of one team, each after those it needs and not before its day.

The team works on one task at a time, all together. Whenever it is free it takes, of the tasks that may begin, the one
that is due first (earliest due date first; Jackson 1955); nothing is interrupted. With days before which tasks may not
begin this order is not always the one with the least lateness, and nobody promises that here: it is the order that a
shop keeps by looking at the wall.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from heapq import heapify, heappop, heappush


@dataclass(frozen=True, slots=True)
class Task:
    """A piece of work.

    Attributes
    ----------
    key : str
        Unique.
    hours : Fraction
        Of the whole team, working together.
    ready : Fraction
        Working hours from the start of the calendar before which it may not begin.
    due : Fraction
        Working hour by which it should be done; tasks that are due first are taken first.
    after : tuple of str
        Tasks that must be done before.
    """

    key: str
    hours: Fraction
    ready: Fraction
    due: Fraction
    after: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if self.hours < 0 or self.ready < 0:
            raise ValueError(f"task {self.key}: hours and its first hour must not be negative")


def in_order(tasks: Sequence[Task]) -> Mapping[str, tuple[Fraction, Fraction]]:
    """Return the first and last working hour of every task.

    Raises
    ------
    ValueError
        When tasks wait for each other, or for one that does not exist.
    """
    lacking = [len(set(task.after)) for task in tasks]
    followers: dict[str, list[int]] = {}
    for place, task in enumerate(tasks):
        for name in set(task.after):
            followers.setdefault(name, []).append(place)
    # Those whose tasks before are done, by when they may begin; of these, those that may, by when they are due.
    opened = [(task.ready, place) for place, task in enumerate(tasks) if not lacking[place]]
    heapify(opened)
    may: list[tuple[Fraction, int]] = []
    done: dict[str, tuple[Fraction, Fraction]] = {}
    now = Fraction(0)
    while opened or may:
        if not may:
            now = max(now, opened[0][0])
        while opened and opened[0][0] <= now:
            place = heappop(opened)[1]
            heappush(may, (tasks[place].due, place))
        task = tasks[heappop(may)[1]]
        done[task.key] = (now, now + task.hours)
        now += task.hours
        for place in followers.get(task.key, ()):
            lacking[place] -= 1
            if not lacking[place]:
                heappush(opened, (tasks[place].ready, place))
    if len(done) < len(tasks):
        waiting = (task.key for task in tasks if task.key not in done)
        raise ValueError(f"tasks wait for each other: {', '.join(waiting)}")
    return done

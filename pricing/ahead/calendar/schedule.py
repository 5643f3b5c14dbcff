"""The order of the work: tasks of one team, each after those it needs and not before its day.

The team works on one task at a time, all together. Whenever it is free it takes, of the tasks that may begin, the one
that is due first (earliest due date first; Jackson 1955); nothing is interrupted. With days before which tasks may not
begin this order is not always the one with the least lateness, and nobody promises that here: it is the order that a
shop keeps by looking at the wall.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction


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
    waiting = list(tasks)
    done: dict[str, tuple[Fraction, Fraction]] = {}
    now = Fraction(0)
    while waiting:
        open_tasks = [task for task in waiting if all(name in done for name in task.after)]
        if not open_tasks:
            raise ValueError(f"tasks wait for each other: {', '.join(task.key for task in waiting)}")
        may = [task for task in open_tasks if task.ready <= now]
        if not may:
            now = min(task.ready for task in open_tasks)
            continue
        task = min(may, key=lambda each: (each.due, tasks.index(each)))
        done[task.key] = (now, now + task.hours)
        now += task.hours
        waiting.remove(task)
    return done

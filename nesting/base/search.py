"""Search: from which seed, with how much work, told to whom and ended by whom: one value, handed through everything."""

from collections.abc import Hashable, MutableMapping
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass, field
from math import isfinite
from typing import Any, Final, Literal, get_args

from nesting.base.progress import Progress, silent
from nesting.base.stop import Stop

Effort = Literal["quick", "normal", "thorough"]

EFFORTS: Final[tuple[Effort, ...]] = get_args(Effort)
"""Efforts from the shortest to the longest search."""

Memory = MutableMapping[Hashable, Any]
"""Layouts and stick plans by the requests that they answer; one must not outlive the program's version."""


@dataclass(frozen=True, slots=True)
class Search:
    """How to search. Two are equal that come to the same answer, whoever is told of it.

    Attributes
    ----------
    seed : int
        Of the random numbers, from 0 on; the same seed and effort give the same answer.
    effort : {"quick", "normal", "thorough"}
        How much work is done, counted in steps and never in seconds.
    stop : Stop or None
        Through which the searches can be asked to end early, each with the best that it has found. Where there is
        none, an interrupt (Ctrl-C) is nobody's wish for the best so far, and reaches the caller.
    progress : Progress
        Told about stages; whatever it raises ends the work.
    deadline : float or None
        Seconds for each good, from 0 on, after which its search is cut off; it changes nothing before.
    memory : mutable mapping or None
        What earlier builds laid out, by all that the answer depends on: read and added to, so that builds that differ
        in few goods search only those. Without effect where there is a deadline.
    draft : bool
        Whether the answer is only compared with others by what it costs, and is never cut.

    Raises
    ------
    ValueError
        When a seed, an effort or a deadline is not one.
    """

    seed: int = 0
    effort: Effort = "normal"
    stop: Stop | None = field(default=None, compare=False)
    progress: Progress = field(default=silent, compare=False)
    deadline: float | None = None
    memory: Memory | None = field(default=None, compare=False, repr=False)
    draft: bool = False

    def __post_init__(self) -> None:
        if not isinstance(self.seed, int) or self.seed < 0:
            raise ValueError(f"seed must be a whole number from 0 on, not {self.seed!r}")
        if self.effort not in EFFORTS:
            raise ValueError(f"effort must be one of {', '.join(EFFORTS)}, not {self.effort!r}")
        if self.deadline is not None and not (isfinite(self.deadline) and self.deadline >= 0):
            raise ValueError(f"deadline must be seconds from 0 on, not {self.deadline!r}")

    @property
    def elsewhere(self) -> "Search":
        """The same for another process, which has its own memory, tells nobody here and leaves the end to this one."""
        return Search(self.seed, self.effort, deadline=self.deadline, draft=self.draft)

    def interruptible(self) -> AbstractContextManager[None]:
        """Return the context of one search, in which an interrupt is a wish where there is somebody to grant it."""
        return self.stop.search() if self.stop else nullcontext()

    def in_turn(self) -> AbstractContextManager[None]:
        """Return the context of searches that follow one another, between which a wish need only be noted."""
        return self.stop.searches() if self.stop else nullcontext()


USUAL: Final = Search()
"""Seed 0, normal effort, nobody told."""

QUICK: Final = Search(effort="quick")
"""The least effort, for what is priced many times over."""

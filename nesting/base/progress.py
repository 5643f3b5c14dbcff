"""How long work tells how far it is: one small callable, so that a plain function or a test's list will do."""

from typing import Protocol


class Progress(Protocol):
    """Receives a stage for people, how much of it is done (0 to 1), and a short note.

    The search for one good's cutting plan tells the cost of its best plan too (None before there is one), and the bound
    that no plan can be below.
    """

    def __call__(self, stage: str, fraction: float, note: str = "", cost: int | None = None, bound: int = 0, /) -> None:
        """Take one report; called at a steady pace, never from more than one thread at a time."""


def silent(stage: str, fraction: float, note: str = "", cost: int | None = None, bound: int = 0, /) -> None:
    """Report nothing: the default in libraries."""

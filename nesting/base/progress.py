"""How long work tells how far it is: one small callable, so that a plain function or a test's list will do."""

from typing import Protocol


class Progress(Protocol):
    """Receives a stage for people, how much of it is done (0 to 1), and a short note."""

    def __call__(self, stage: str, fraction: float, note: str = "") -> None:
        """Take one report; called at a steady pace, never from more than one thread at a time."""


def silent(stage: str, fraction: float, note: str = "") -> None:
    """Report nothing: the default in libraries."""

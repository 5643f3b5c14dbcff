"""How often Python looks for values that hold each other in a circle, in processes that keep nearly all they make."""

import gc
from typing import Final

_YOUNG: Final = 200_000
"""New values after which the youngest are looked through; Python by itself does so every 700."""
_OLDER: Final = (20, 20)
"""After how many of these looks those that stayed are looked through, and after how many of those all."""


def collect_seldom() -> None:
    """Look for circles seldom: crates, layouts and quotes hold none, and to look through all of them takes a tenth."""
    gc.set_threshold(_YOUNG, *_OLDER)


def leave_uncollected() -> None:
    """Look for no more circles: a process that ends gives all its memory back anyway, and sooner."""
    gc.freeze()

"""When something was saved: moments as text, from a clock that tests can hold still."""

from collections.abc import Callable
from datetime import UTC, datetime
from typing import TypeAlias

Clock: TypeAlias = Callable[[], str]


def now() -> str:
    """Return this moment in ISO 8601, UTC, to the second."""
    return datetime.now(UTC).isoformat(timespec="seconds")

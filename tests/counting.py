"""Steps counted, for tests of work that grows in line with an order."""

from collections import Counter
from typing import Any

import pytest


def counted(patch: pytest.MonkeyPatch, holder: Any, name: str) -> Counter[str]:
    """Count the calls of a function from now on."""
    calls, old = Counter[str](), getattr(holder, name)

    def more(*given: Any, **named: Any) -> Any:
        calls[name] += 1
        return old(*given, **named)

    patch.setattr(holder, name, more)
    return calls

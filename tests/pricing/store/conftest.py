"""A store in a folder of its own."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from pricing.store import Store


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    ticks = iter(range(10_000))
    made = Store(tmp_path / "data", clock=lambda: f"2026-11-25T08:00:00+00:00#{next(ticks)}")
    yield made
    made.close()

"""Processes of which each may die: its task is tried once more, then told; the others go on."""

from concurrent.futures import Future
from pathlib import Path
from typing import Any

import pytest

from pricing.batch.lanes import Lanes
from pricing.batch.troubles import WorkerKilledError
from tests.pricing.batch.samples import doubled, killed, killed_once, nothing, own_process


def test_a_killed_process_is_replaced_and_its_task_tried_once_more(tmp_path: Path) -> None:
    twice = tmp_path / "twice"
    with Lanes(2, nothing) as lanes:
        once: Future[Any] = lanes.submit(killed_once, tmp_path / "once")
        never: Future[Any] = lanes.submit(killed, twice)
        others = [lanes.submit(doubled, number) for number in range(5)]
        assert once.result(60) == "answered"
        with pytest.raises(WorkerKilledError):
            never.result(60)
        assert [each.result(60) for each in others] == [0, 2, 4, 6, 8]
    assert twice.read_text(encoding="utf-8") == "xx"
    with pytest.raises(RuntimeError, match="closed"):
        lanes.submit(doubled, 1)


def test_what_a_task_raises_is_handed_on_and_a_spent_process_is_replaced() -> None:
    with Lanes(1, nothing, (), lambda answer: answer is not None) as lanes:
        first, wrong, second = (
            lanes.submit(own_process), lanes.submit(doubled, None), lanes.submit(own_process)
        )  # fmt: skip
        assert first.result(60) != second.result(60)
        with pytest.raises(TypeError):
            wrong.result(60)

"""A batch led from its listing to its rows by engines made up for it."""

from collections.abc import Callable, Iterator
from concurrent.futures import Future
from pathlib import Path
from typing import Any

import pytest

from pricing.batch.keeping import Kept
from pricing.batch.listing import Listing
from pricing.batch.row import Row
from pricing.batch.run import AHEAD, Run, lasting, run_batch
from pricing.batch.troubles import ClusterError, WorkerKilledError
from pricing.batch.working import Outcome, Task, refused
from tests.pricing.batch.samples import Inline, engine, outcome, setting, settle, task

NAMES = tuple("ABCDEFGHIJ")
Held = list[tuple[Future[Any], Callable[[], Any]]]


def listing(read: list[str] | None = None) -> Listing:
    """Return ten orders; their names are noted as their turn comes."""

    def tasks() -> Iterator[Task]:
        for name in NAMES:
            if read is not None:
                read.append(name)
            yield task(name)

    return Listing(len(NAMES), Path(), tasks)


def worked(given: Task, _edition: str) -> Outcome:
    """Work an order, for show."""
    return Outcome(refused(given, ["wrong"])) if given.name == "C" else outcome(given.name)


def lead(folder: Path, call: Callable[..., Any] = worked, executor: Inline | None = None, **more: Any) -> Run:
    """Run ten orders."""
    run = Run(len(NAMES))
    read = more.pop("read", None)
    again = more.pop("again", False)
    with Kept(folder) as kept:
        run_batch(
            run, listing(read), setting(), engine(executor or Inline(), call, **more), kept,
            prepared=lambda each: each, again=again,
        )  # fmt: skip
    return run


def names(rows: list[Row]) -> list[str]:
    return [row.order for row in rows]


def test_rows_stand_in_the_order_of_the_listing_however_answers_come(tmp_path: Path) -> None:
    def last_first(held: Held) -> None:
        if len(held) == 2 * AHEAD:
            settle(held)

    executor = Inline(last_first)

    # what is left at the end is settled by whoever looks
    run = lead(tmp_path, worked, executor, width=2, look=lambda _: executor.settle())
    assert names(run.table) == list(NAMES)
    assert run.counted("faulty") == 1
    assert run.counted("worked") == 9


def test_no_more_is_listed_than_is_under_way(tmp_path: Path) -> None:
    read: list[str] = []
    at: list[int] = []
    executor = Inline(lambda _: None)

    def look(_: BaseException | None) -> None:
        at.append(len(read))
        executor.settle()

    lead(tmp_path, executor=executor, width=1, look=look, read=read)
    assert at[0] == AHEAD
    assert executor.most == AHEAD


def test_what_is_kept_is_not_worked_again_unless_asked(tmp_path: Path) -> None:
    calls: list[str] = []

    def noted(given: Task, edition: str) -> Outcome:
        calls.append(given.name)
        return worked(given, edition)

    first = lead(tmp_path, noted)
    second = lead(tmp_path, noted)
    assert calls == list(NAMES)
    assert second.found == 10
    assert second.table == first.table
    lead(tmp_path, noted, again=True)
    assert calls == [*NAMES, *NAMES]


def test_a_killed_order_is_told_kept_by_nobody_and_tried_the_next_time(tmp_path: Path) -> None:
    def killed(given: Task, edition: str) -> Outcome:
        if given.name == "D":
            raise WorkerKilledError
        return worked(given, edition)

    run = lead(tmp_path, killed)
    (row,) = [row for row in run.table if row.outcome == "failed"]
    assert row.order == "D"
    assert "ended by the system" in row.faults
    assert lead(tmp_path).counted("failed") == 0


def test_an_engine_that_is_gone_ends_the_batch_and_keeps_what_is_done(tmp_path: Path) -> None:
    def gone(given: Task, edition: str) -> Outcome:
        if given.name == "E":
            raise ConnectionError("closed")
        return worked(given, edition)

    def look(error: BaseException | None) -> None:
        raise ClusterError("gone") from error

    with pytest.raises(ClusterError):
        lead(tmp_path, gone, look=look)
    calls: list[str] = []

    def noted(given: Task, edition: str) -> Outcome:
        calls.append(given.name)
        return worked(given, edition)

    lead(tmp_path, noted)
    assert calls == list("EFGHIJ")


@pytest.mark.parametrize(
    ("seconds", "told"), [(0.2, "about 1 s"), (80, "about 80 s"), (600, "about 10 min"), (7200, "about 2.0 h")]
)
def test_what_is_left_is_told_as_people_do(seconds: float, told: str) -> None:
    assert lasting(seconds) == told

"""A batch from files to files, worked in this process: what ends it, and what is told."""

import errno
import os
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path

import pytest

from nesting.base.faults import FaultsFound
from nesting.base.search import QUICK
from pricing.batch.engine import Engine
from pricing.batch.job import BatchDone, BatchRequest, By, run_request
from pricing.batch.run import Run
from pricing.batch.summary import BOUGHT_ONLY
from pricing.batch.troubles import BatchError
from pricing.batch.working import Outcome, Setting, Task, work_task
from pricing.output.job import Extras
from pricing.studio.office import office_texts
from tests.pricing.batch.samples import ON, Inline, outcome

ORDER = "piece,width,height,depth,weight,support\nA,20,16,1 1/2,6 lb,panel\n"


class Here(By):
    """Works in this process, for show."""

    @contextmanager
    def engine(self, _setting: Setting) -> Iterator[Engine]:
        """Start it."""

        def shown(task: Task, _edition: str) -> Outcome:
            return outcome(task.name)

        yield Engine(Inline(), shown, (), lambda: 1)


class ForGood(By):
    """Works in this process, and really."""

    @contextmanager
    def engine(self, setting: Setting) -> Iterator[Engine]:
        """Start it."""
        yield Engine(Inline(), work_task, (setting,), lambda: 1)


def request(folder: Path, count: int = 3, **more: object) -> BatchRequest:
    """Write so many orders, and return what is asked of them."""
    orders = folder / "orders"
    orders.mkdir(exist_ok=True)
    for number in range(count):
        (orders / f"o{number}.csv").write_text(ORDER, encoding="utf-8")
    asked = {"today": ON, "on": ON, **more}
    return BatchRequest(orders, folder / "out", QUICK, Extras(), files=False, **asked)  # type: ignore[arg-type]  # any field


def lead(asked: BatchRequest, by: By | None = None) -> BatchDone:
    """Run it."""
    return run_request(asked, by or Here(), Run(0))


def test_a_full_disk_is_one_clear_error_that_says_what_is_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    plain = Path.write_text
    written = []

    def write(path: Path, *words: object, **named: object) -> int:
        if path.name == "row.json":
            written.append(path)
            if len(written) == 3:
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), str(path))
        return plain(path, *words, **named)  # type: ignore[arg-type]  # handed through

    asked = request(tmp_path)
    monkeypatch.setattr(Path, "write_text", write)
    with pytest.raises(
        BatchError, match=r"No space left on device\. 2 of 3 orders are done and kept; the same command"
    ):
        lead(asked)
    assert sorted(path.name.partition(".")[0] for path in (asked.out / "orders").iterdir()) == ["o0", "o1"]
    assert not (asked.out / "summary.csv").exists()
    monkeypatch.undo()
    assert "2 were kept from before" in " ".join(lead(asked).remarks)


def test_every_fault_of_the_call_is_told_at_once_and_nothing_is_written(tmp_path: Path) -> None:
    shop = tmp_path / "shop"
    shop.mkdir()
    (shop / "rates.toml").write_text('form = "x', encoding="utf-8")
    with pytest.raises(FaultsFound) as found:
        lead(BatchRequest(tmp_path / "gone", tmp_path / "out", QUICK, Extras(), ON, shop=shop))
    told = " ".join(fault.message for fault in found.value.faults)
    assert "no such file" in told
    assert "rates.toml" in told
    assert not (tmp_path / "out").exists()
    asked = request(tmp_path)
    with pytest.raises(FaultsFound, match="another folder to write to"):
        lead(BatchRequest(asked.orders, asked.orders, QUICK, Extras(), ON))


def test_it_says_that_stock_is_bought_and_whose_rack_stays(tmp_path: Path) -> None:
    assert BOUGHT_ONLY in lead(request(tmp_path)).remarks
    shop = tmp_path / "shop"
    shop.mkdir()
    for name, text in office_texts().items():
        (shop / name).write_text(text, encoding="utf-8")
    rack = (shop / "rack.csv").read_text(encoding="utf-8")
    assert "R-1" not in rack
    (shop / "rack.csv").write_text("name,good,length,width,value,count\nR-1,ply-3/8,40,30,5,1\n", encoding="utf-8")
    assert f"{BOUGHT_ONLY} Yours stays as it is." in lead(request(tmp_path, shop=shop)).remarks


def test_a_changed_price_works_anew_and_what_is_left_of_before_is_told(tmp_path: Path) -> None:
    shop = tmp_path / "shop"
    shop.mkdir()
    for name, text in office_texts().items():
        (shop / name).write_text(text, encoding="utf-8")
    asked = request(tmp_path, shop=shop)
    first = lead(asked)
    assert lead(asked).run.found == 3
    with (shop / "prices.csv").open("a", encoding="utf-8") as file:
        file.write("# looked at\n")
    again = lead(asked)
    assert again.run.found == 0
    assert "3 folders" in again.remarks[-1]
    assert [row.folder for row in again.run.table] != [row.folder for row in first.run.table]


def test_the_day_of_a_folder_holds_until_another_is_asked_for(tmp_path: Path) -> None:
    later = date(2027, 4, 9)
    assert lead(request(tmp_path, on=None)).on == ON
    done = lead(request(tmp_path, on=None, today=later))
    assert done.on == ON
    assert done.run.found == 3
    assert any("Quoted as of 2027-04-01" in each for each in done.remarks)
    assert lead(request(tmp_path, on=later)).on == later


def test_an_order_worked_for_good_stands_in_all_tables(tmp_path: Path) -> None:
    done = lead(request(tmp_path, 1), ForGood())
    (row,) = done.run.table
    assert row.outcome == "worked"
    assert str(row.total) in (tmp_path / "out" / "summary.csv").read_text(encoding="utf-8")
    assert "o0,worked" in (tmp_path / "out" / "timings.csv").read_text(encoding="utf-8")

"""What is kept of an order is whole or not there, and belongs to one run at a time."""

import errno
import json
import os
from datetime import date
from pathlib import Path

import pytest

from pricing.batch.keeping import Kept
from pricing.batch.troubles import InUseError
from tests.pricing.batch.samples import outcome

DIGEST = "0123456789abcdef" * 4


def test_what_is_put_is_found_again_under_its_digest_alone(tmp_path: Path) -> None:
    made = outcome(files={"quote.xlsx": b"book", "tables/costs.csv": b"costs"})
    with Kept(tmp_path / "out") as kept:
        row = kept.put("North", DIGEST, made)
        assert row.folder == "orders/North.0123456789ab"
        assert kept.look("North", DIGEST) == (row, made.took)
        assert kept.look("North", DIGEST.replace("f", "e")) is None
        assert (tmp_path / "out" / row.folder / "tables" / "costs.csv").read_bytes() == b"costs"
        assert kept.left_over([row]) == 0
        assert kept.left_over([]) == 1


@pytest.mark.parametrize("name", ["quote.xlsx", "row.json"])
@pytest.mark.parametrize("harm", ["cut", "gone", "other"])
def test_what_is_damaged_counts_as_nothing_and_is_put_anew(tmp_path: Path, name: str, harm: str) -> None:
    with Kept(tmp_path) as kept:
        row = kept.put("North", DIGEST, outcome(files={"quote.xlsx": b"book"}))
        path = tmp_path / row.folder / name
        if harm == "cut":
            path.write_bytes(path.read_bytes()[:-3])
        elif harm == "gone":
            path.unlink()
        else:
            path.write_bytes(path.read_bytes().replace(b"o", b"p"))
        assert kept.look("North", DIGEST) is None
        assert kept.put("North", DIGEST, outcome(files={"quote.xlsx": b"book"})) == row
        assert kept.look("North", DIGEST) is not None


def test_a_row_of_another_figure_is_known_by_its_own_digest(tmp_path: Path) -> None:
    with Kept(tmp_path) as kept:
        row = kept.put("North", DIGEST, outcome())
        path = tmp_path / row.folder / "row.json"
        noted = json.loads(path.read_bytes())
        noted["row"]["pieces"] = 7
        path.write_text(json.dumps(noted), encoding="utf-8")
        assert kept.look("North", DIGEST) is None


def test_a_full_disk_leaves_nothing_half_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    full = OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), str(tmp_path))
    plain = Path.write_bytes

    def write(path: Path, data: bytes) -> int:
        if path.name == "second":
            raise full
        return plain(path, data)

    monkeypatch.setattr(Path, "write_bytes", write)
    with Kept(tmp_path) as kept:
        with pytest.raises(OSError, match="No space left"):
            kept.put("North", DIGEST, outcome(files={"first": b"1", "second": b"2"}))
        assert list((tmp_path / "orders").iterdir()) == []


def test_what_a_killed_run_left_under_way_is_removed(tmp_path: Path) -> None:
    left = tmp_path / "orders" / ".part-abc"
    left.mkdir(parents=True)
    (left / "quote.xlsx").write_bytes(b"half")
    with Kept(tmp_path):
        assert not left.exists()


def test_two_runs_into_one_folder_are_one_too_many(tmp_path: Path) -> None:
    with (
        Kept(tmp_path),
        pytest.raises(InUseError, match="another batch is working into this folder"),
        Kept(tmp_path),
    ):
        raise AssertionError("both have it")
    with Kept(tmp_path):
        pass


def test_the_day_on_which_a_folder_was_begun_stays(tmp_path: Path) -> None:
    first, later = date(2027, 4, 1), date(2027, 4, 2)
    with Kept(tmp_path) as kept:
        assert kept.day(None, first) == first
        kept.begin(first)
        assert kept.day(None, later) == first
        assert kept.day(later, later) == later


@pytest.mark.parametrize("name", ["../../etc/passwd", "a/b", "", ".", "CON:*?", "x" * 300, "Süd 3"])
def test_whatever_an_order_is_called_its_folder_is_one_of_ours(tmp_path: Path, name: str) -> None:
    with Kept(tmp_path) as kept:
        row = kept.put(name, DIGEST, outcome(name))
    (only,) = (tmp_path / "orders").iterdir()
    assert only.name == Path(row.folder).name
    assert not only.name.startswith(".")
    assert len(only.name.encode()) < 100

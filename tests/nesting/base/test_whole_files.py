"""Files are replaced whole, and together: all of them or none."""

import os
from pathlib import Path

import pytest

from nesting.base.whole_files import replace_file, replace_files


def names(folder: Path) -> set[str]:
    return {str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file()}


def test_files_and_folders_within_are_written(tmp_path: Path) -> None:
    out = tmp_path / "a" / "b"
    replace_files(out, {"quote.xlsx": b"one", "tables/costs.csv": b"two"})
    assert names(out) == {"quote.xlsx", "tables/costs.csv"}
    assert (out / "tables" / "costs.csv").read_bytes() == b"two"


def test_no_file_is_touched_where_one_cannot_be_written(tmp_path: Path) -> None:
    (tmp_path / "quote.xlsx").write_bytes(b"old")
    (tmp_path / "build.json").mkdir()
    with pytest.raises(IsADirectoryError):
        replace_files(tmp_path, {"quote.xlsx": b"new", "build.json": b"new"})
    assert (tmp_path / "quote.xlsx").read_bytes() == b"old"
    assert names(tmp_path) == {"quote.xlsx"}


def test_a_disk_that_fails_on_the_second_file_leaves_the_first_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "quote.xlsx").write_bytes(b"old")
    real, calls = os.fsync, []

    def failing(handle: int) -> None:
        calls.append(handle)
        if len(calls) == 2:
            raise OSError(28, "No space left on device")
        real(handle)

    monkeypatch.setattr(os, "fsync", failing)
    with pytest.raises(OSError, match="No space left"):
        replace_files(tmp_path, {"quote.xlsx": b"new", "build.json": b"new"})
    assert (tmp_path / "quote.xlsx").read_bytes() == b"old"
    assert names(tmp_path) == {"quote.xlsx"}


def test_an_interrupt_leaves_nothing_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(_handle: int) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", interrupted)
    with pytest.raises(KeyboardInterrupt):
        replace_file(tmp_path / "quote.xlsx", b"new")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(os.name == "nt", reason="rights are kept in another way there")
def test_rights_of_an_old_file_stay_and_a_new_one_has_the_ordinary_ones(tmp_path: Path) -> None:
    old = tmp_path / "old"
    old.write_bytes(b"")
    old.chmod(0o640)
    before = os.umask(0o027)
    try:
        replace_files(tmp_path, {"old": b"x", "new": b"x"})
    finally:
        os.umask(before)
    assert old.stat().st_mode & 0o777 == 0o640
    assert (tmp_path / "new").stat().st_mode & 0o777 == 0o640

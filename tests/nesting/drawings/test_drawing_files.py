"""Drawings as files: names fit for any disk, whole files, SVG that parses, DXF that reads."""

from io import StringIO
from pathlib import Path

import ezdxf
import pytest
from defusedxml import ElementTree

from nesting.build import Build
from nesting.drawings.drawing_files import drawings, file_name, write_drawings
from tests.nesting.drawings.builds import plain_build, random_order


@pytest.fixture(scope="module")
def build() -> Build:
    return plain_build(random_order(4))


def test_every_drawing_is_written(build: Build, tmp_path: Path) -> None:
    written = write_drawings(build, tmp_path / "new" / "folder")
    names = {path.name for path in written}
    assert names == {path.name for path in (tmp_path / "new" / "folder").iterdir()}
    sheets = sum(len(layout.sheets) for layout in build.layouts)
    assert sum(name.startswith("sheet-") and name.endswith(".svg") for name in names) == sheets
    assert sum(name.endswith(".dxf") for name in names) == sheets
    assert sum(name.startswith("crate-") for name in names) == len(build.crates)
    assert sum(name.startswith("drill-") for name in names) == sum(1 for crate in build.crates if crate.drill)
    for path in written:
        if path.suffix == ".svg":
            ElementTree.parse(path)
        else:
            ezdxf.read(StringIO(path.read_text("cp1252")))  # type: ignore[attr-defined]  # mypy does not see it


def test_the_same_build_gives_the_same_drawings(build: Build) -> None:
    assert drawings(build) == drawings(build)


@pytest.mark.parametrize(
    ("name", "file"), [("ply-23/32", "sheet-ply-23-32-1"), ("../x y", "sheet-x-y-1"), ("Ω", "sheet-x-1")]
)
def test_names_are_plain(name: str, file: str) -> None:
    assert file_name("sheet", name, 1) == file

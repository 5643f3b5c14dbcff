"""The wheel: all that the packages need is in it, nothing else is, and the command runs from it far from the clone."""

import json
import os
import shutil
import subprocess
import sys
import zipfile
from importlib.util import find_spec
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PACKAGES = ("nesting", "pricing")


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Build the wheel from a copy of what the packages hold; skip loudly where the build's own tools cannot be had."""
    clone, out = tmp_path_factory.mktemp("clone"), tmp_path_factory.mktemp("wheel")
    for name in PACKAGES:
        shutil.copytree(ROOT / name, clone / name, ignore=shutil.ignore_patterns("__pycache__", ".*"))
    for name in ("pyproject.toml", "README.md"):
        shutil.copy(ROOT / name, clone / name)
    alone = ["--no-build-isolation"] if find_spec("hatchling") else []
    made = subprocess.run(
        [sys.executable, "-m", "pip", "wheel", str(clone), "--no-deps", "--quiet", *alone, "-w", str(out)],
        capture_output=True,
        text=True,
        check=False,
    )
    if made.returncode:
        message = f"the wheel needs pip and hatchling: {made.stderr[-300:]}"
        if "wheel" in os.environ.get("CASEWRIGHT_REQUIRE", "").split():
            pytest.fail(message)
        pytest.skip(message)
    (path,) = out.glob("*.whl")
    return path


def test_every_file_of_the_packages_is_in_it_and_nothing_else(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as packed:
        held = {name for name in packed.namelist() if ".dist-info/" not in name}
    wanted = {
        path.relative_to(ROOT).as_posix()
        for name in PACKAGES
        for path in (ROOT / name).rglob("*")
        if path.is_file() and "__pycache__" not in path.parts and not path.name.startswith(".")
    }
    assert held == wanted
    assert {
        "nesting/shop/goods.toml", "nesting/build.schema.json", "nesting/build.schema.1.json",
        "nesting/drawings/packet/phrases.toml",
        "nesting/drawings/typefaces/regular.ttf", "pricing/studio/prices.csv", "pricing/studio/rates.toml",
        "pricing/desk/templates/base.html", "pricing/desk/static/desk.css", "nesting/py.typed", "pricing/py.typed",
    } <= held  # fmt: skip


def test_package_data_is_never_sought_beside_a_module() -> None:
    sources = [path for name in PACKAGES for path in (ROOT / name).rglob("*.py")]
    assert [path for path in sources if "__file__" in path.read_text(encoding="utf-8")] == []


@pytest.mark.slow
def test_the_command_runs_from_it_far_from_the_clone(wheel: Path, tmp_path: Path) -> None:
    installed, away = tmp_path / "installed", tmp_path / "away"
    with zipfile.ZipFile(wheel) as packed:
        packed.extractall(installed)
    away.mkdir()
    shutil.copy(ROOT / "sample_orders" / "small_sale.csv", away)
    environment = {**os.environ, "PYTHONPATH": str(installed), "PYTHONDONTWRITEBYTECODE": "1"}

    def run(*words: str) -> str:
        command = [sys.executable, *words]
        done = subprocess.run(command, cwd=away, env=environment, capture_output=True, text=True, check=False)
        assert done.returncode == 0, done.stderr
        return done.stdout

    where = run("-c", "import nesting, pricing; print(nesting.__path__[0]); print(pricing.__path__[0])")
    assert where.split() == [str(installed / name) for name in PACKAGES]
    asked = ("--out", "out", "--effort", "quick", "--packet", "--tables")
    assert "Total, USD" in run("-m", "pricing.cli", "quote", "small_sale.csv", *asked)
    assert json.loads((away / "out" / "build.json").read_bytes())["crates"]
    assert (away / "out" / "packet.pdf").read_bytes().startswith(b"%PDF")
    assert "wrote" in run("-m", "pricing.cli", "start", "mine")
    assert json.loads(run("-c", _SCHEMA))["title"] == "casewright-build/2"
    assert int(run("-c", _DESK)) > 10


_SCHEMA = "from importlib.resources import files; print((files('nesting') / 'build.schema.json').read_text())"
_DESK = """
from importlib.resources import files
from jinja2 import Environment, FunctionLoader
folder = files("pricing.desk") / "templates"
source = Environment(loader=FunctionLoader(lambda name: (folder / name).read_text()))
names = [each.name for each in folder.iterdir() if each.name.endswith(".html")]
print(len([source.parse((folder / name).read_text()) for name in names]))
"""

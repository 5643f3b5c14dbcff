"""The house rules of the code itself: which way imports run, how many rooms stand where, what each is called."""

import ast
import re
import subprocess
from pathlib import Path

import pytest

from tests.house import (
    PACKAGES,
    ROOT,
    Graph,
    circles,
    import_graph,
    long_signatures,
    modules,
    room_graph,
    taken,
    tree,
)

MOST_FOLDERS, MOST_MODULES = 8, 3
"""At the top of each package, its ``__init__`` aside."""
MOST_ARGUMENTS = 6


def imported(path: Path, root: Path = ROOT) -> set[str]:
    """Return the top-level names that a module imports, inside functions too."""
    return {module.split(".")[0] for module, _ in taken(path, root)}


def test_the_shop_floor_never_imports_the_front_office() -> None:
    assert [path for path in modules("nesting") if "pricing" in imported(path)] == []


def test_the_check_of_imports_can_fail(tmp_path: Path) -> None:
    planted = tmp_path / "planted.py"
    planted.write_text("def f():\n    from pricing.quoting.quote import quote\n", encoding="utf-8")
    assert "pricing" in imported(planted, tmp_path)


def test_neither_package_imports_tests() -> None:
    assert [path for package in PACKAGES for path in modules(package) if "tests" in imported(path)] == []


def test_verifiers_share_no_code_with_what_they_check() -> None:
    for name in (
        "build_verifier.py",
        "layout_verifier.py",
        "structure_verifier.py",
        "structure_geometry.py",
        "lid_verifier.py",
    ):
        assert imported(ROOT / "tests" / name) & set(PACKAGES) == set(), name


def test_no_imports_run_in_a_circle() -> None:
    assert circles(import_graph()) == []


@pytest.mark.parametrize("depth", [2, 3])
def test_arrows_run_one_way_between_rooms(depth: int) -> None:
    """Between the folders and modules at the top of each package, and between those inside them."""
    assert circles(room_graph(import_graph(), depth)) == []


def plant(root: Path, **texts: str) -> Graph:
    """Return the import graph of a planted package ``p``; of a name, ``__`` divides folders."""
    for name, text in {"__init__": "", **texts}.items():
        place = root.joinpath("p", *name.split("___")).with_suffix(".py")
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_text(text, encoding="utf-8")
    return import_graph(root, ["p"])


@pytest.mark.parametrize(
    "back",
    [
        "import p.one",
        "from p import one",
        "from . import one",
        "from .one import thing",
        "def f():\n    import p.one as other",
        "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    from p.one import Thing",
        'TABLE = ("p.one:THING",)',
    ],
)
def test_the_check_of_circles_can_fail(tmp_path: Path, back: str) -> None:
    graph = plant(tmp_path, one="from p.two import x", two="import p.three", three=back, four="import p.one")
    assert circles(graph) == [["p.one", "p.three", "p.two"]]


def test_the_check_of_circles_knows_a_diamond(tmp_path: Path) -> None:
    graph = plant(tmp_path, one="import p.two, p.three", two="import p.four", three="import p.four, p.two", four="")
    assert circles(graph) == []


def test_the_check_of_rooms_can_fail(tmp_path: Path) -> None:
    graph = plant(
        tmp_path,
        high___a="import p.low.a",
        high___b="",
        low___a="",
        low___b="import p.high.b",
    )
    assert circles(graph) == []
    assert circles(room_graph(graph, 2)) == [["p.high", "p.low"]]
    assert circles(room_graph(graph, 3)) == []


@pytest.mark.parametrize("package", PACKAGES)
def test_the_top_of_a_package_is_taken_in_at_a_glance(package: str) -> None:
    entries = [each for each in (ROOT / package).iterdir() if not each.name.startswith("__")]
    folders = sorted(each.name for each in entries if each.is_dir())
    loose = sorted(each.name for each in entries if each.suffix == ".py")
    assert len(folders) <= MOST_FOLDERS, folders
    assert len(loose) <= MOST_MODULES, loose


@pytest.mark.parametrize("package", PACKAGES)
def test_every_folder_has_a_caption(package: str) -> None:
    folders = {path.parent for path in modules(package)}
    assert {folder for folder in folders if not (folder / "__init__.py").is_file()} == set()
    assert {folder for folder in folders if not ast.get_docstring(tree(folder / "__init__.py"))} == set()


def test_signatures_are_short_or_say_why_not() -> None:
    found = {
        each for package in PACKAGES for path in modules(package) for each in long_signatures(path, MOST_ARGUMENTS)
    }
    assert found == set(), "hand in fewer arguments, or say why in a comment with 'arguments:' beside them"


def test_the_check_of_signatures_can_fail(tmp_path: Path) -> None:
    planted = tmp_path / "planted.py"
    planted.write_text(
        "def six(a, b, c, *, d, e, f): ...\n"
        "def seven(a, b, c, d, /, e, *, f, g): ...\n"
        "# arguments: compiled code takes arrays\n"
        "def why(a, b, c, d, e, f, g): ...\n"
        "class C:\n"
        "    def six(self, a, b, c, d, e, f): ...\n"
        "    @staticmethod\n"
        "    def static(a, b, c, d, e, f, g): ...\n"
        "    def long(self, a, b, c, d, e, f, g='# arguments'): ...\n",
        encoding="utf-8",
    )
    assert list(long_signatures(planted, 6, tmp_path)) == ["planted.py seven", "planted.py static", "planted.py long"]


def test_the_top_level_is_as_agreed() -> None:
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False)
    if listed.returncode:
        pytest.skip("not a git checkout")
    top = {line.split("/")[0] for line in listed.stdout.splitlines()}
    wanted = {"README.md", "DEVELOPERS.md", "pyproject.toml", "nesting", "pricing", "tests", "sample_orders"}
    assert {name for name in top if not name.startswith(".")} == wanted


def test_the_picture_of_the_house_is_the_house() -> None:
    """Every room stands in DEVELOPERS.md, and every path that it names exists."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    table = text[text.index("| room |") : text.index("Arrows run one way")]
    for package in ("nesting", "pricing"):
        for entry in sorted((ROOT / package).iterdir()):
            if entry.name.startswith(("__", "py.typed")):
                continue
            stem = entry.name.removesuffix(".py").removesuffix("_file")
            assert re.search(rf"\b{stem}\b", table), f"{package}/{entry.name} stands nowhere in the picture"
    for path in re.findall(r"`((?:nesting|pricing)/[\w/.]+)`", text):
        assert (ROOT / path).exists(), f"DEVELOPERS.md names {path}, which does not exist"

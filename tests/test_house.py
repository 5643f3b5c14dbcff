"""The house rules of the code itself: which way imports run, how long a module may be, what stands at the top level."""

import ast
import re
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
MOST_LINES = 420


def modules(package: str) -> Iterator[Path]:
    yield from sorted((ROOT / package).rglob("*.py"))


def imported(path: Path) -> set[str]:
    """Return the top-level names that a module imports, inside functions too."""
    names = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name.split(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            names.add(node.module.split(".")[0])
    return names


def test_the_shop_floor_never_imports_the_front_office() -> None:
    assert [path for path in modules("nesting") if "pricing" in imported(path)] == []


def test_the_check_of_imports_can_fail(tmp_path: Path) -> None:
    planted = tmp_path / "planted.py"
    planted.write_text("def f():\n    from pricing.quoting.quote import quote\n", encoding="utf-8")
    assert "pricing" in imported(planted)


def test_neither_package_imports_tests() -> None:
    assert [p for package in ("nesting", "pricing") for p in modules(package) if "tests" in imported(p)] == []


def test_verifiers_share_no_code_with_what_they_check() -> None:
    for name in ("build_verifier.py", "layout_verifier.py"):
        assert imported(ROOT / "tests" / name) & {"nesting", "pricing"} == set(), name


def test_modules_stay_readable() -> None:
    lengths = {
        path.relative_to(ROOT).as_posix(): len(path.read_text(encoding="utf-8").splitlines())
        for package in ("nesting", "pricing")
        for path in modules(package)
    }
    assert {name: count for name, count in lengths.items() if count > MOST_LINES} == {}


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
    table = text[text.index("| room |") : text.index("A new packing method")]
    for package in ("nesting", "pricing"):
        for entry in sorted((ROOT / package).iterdir()):
            if entry.name.startswith(("__", "py.typed")):
                continue
            stem = entry.name.removesuffix(".py").removesuffix("_file")
            assert re.search(rf"\b{stem}\b", table), f"{package}/{entry.name} stands nowhere in the picture"
    for path in re.findall(r"`((?:nesting|pricing)/[\w/.]+)`", text):
        assert (ROOT / path).exists(), f"DEVELOPERS.md names {path}, which does not exist"

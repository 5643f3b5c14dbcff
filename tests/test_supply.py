"""What is depended on: CI tries the bounds that are declared, the lock has all of it, each licence is said."""

import re
import tomllib
from pathlib import Path

import pytest

from pricing.cli.licences import NOT_STATED, licence_lines
from tests.test_command import command

_ROOT = Path(__file__).parents[1]
_LOWEST = _ROOT / ".ci" / "lowest.txt"
_LOCK = _ROOT / ".ci" / "lock.txt"
_DECLARED = re.compile(r"([A-Za-z0-9._-]+)(?:\[[a-z]+\])?>=([0-9.]+)(?:,<[0-9.]+)?")


@pytest.mark.skipif(not _LOWEST.exists(), reason="an unpacked distribution has no dot folders")
def test_the_oldest_versions_that_are_tried_are_those_that_are_declared() -> None:
    project = tomllib.loads((_ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    tried = dict(line.split("==") for line in _LOWEST.read_text("utf-8").split())
    declared = {
        found[1]: found[2] for each in project["dependencies"] if (found := _DECLARED.fullmatch(each)) is not None
    }
    assert set(tried) == set(declared)
    for name, version in declared.items():
        least = version.split(".")
        assert tried[name].split(".")[: len(least)] == least, f"{name} is tried as {tried[name]}, not as {version}"


def _plain(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()


@pytest.mark.skipif(not _LOCK.exists(), reason="an unpacked distribution has no dot folders")
def test_the_lock_has_one_version_for_each_python_of_all_that_is_declared() -> None:
    project = tomllib.loads((_ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    extras = project["optional-dependencies"]
    wanted = [*project["dependencies"], *(each for name in ("test",) for each in extras[name])]
    locked: dict[str, list[tuple[int, ...]]] = {}
    for line in _LOCK.read_text("utf-8").splitlines():
        if not line.startswith("#"):
            name, _, version = line.partition(" ;")[0].partition("==")
            numbers = tuple(int(each) for each in re.findall(r"\d+", version))
            locked.setdefault(_plain(name), []).append(numbers)
    for each in wanted:
        name = re.split(r"[\[><=; ]", each)[0]
        assert _plain(name) in locked, f"{name} is declared and not in the lock: .ci/renew"
        if found := _DECLARED.match(each):
            least = tuple(int(part) for part in found[2].split("."))
            assert all(version >= least for version in locked[_plain(name)]), f"{each}, locked below it"


def test_each_package_that_is_needed_says_its_licence_and_none_binds_what_is_built_with_it() -> None:
    lines = licence_lines()
    assert {"numba", "ortools", "starlette", "llvmlite"} <= {line.split()[0] for line in lines}
    assert not [line for line in lines if NOT_STATED in line]
    assert not [line for line in lines if re.search(r"(?<!L)GPL", line)], (
        "strict copyleft is a decision, not an accident"
    )
    told = command("--licences")
    assert told.returncode == 0
    assert told.stdout.splitlines() == lines

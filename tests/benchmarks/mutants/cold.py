"""Changes tried by a new import: of classes, defaults and what else is made once. A second or two each."""

import importlib
import sys
import time
from collections.abc import Sequence
from contextlib import suppress
from importlib.abc import MetaPathFinder, SourceLoader
from importlib.machinery import ModuleSpec
from importlib.util import spec_from_file_location
from pathlib import Path
from typing import Any, Final

import pytest

from tests.benchmarks.mutants.changes import changed
from tests.benchmarks.mutants.warm import LEFT, MOST_SECONDS, NOTICED, SLOW, Tried, forked

OURS: Final = ("nesting", "pricing", "tests", "conftest")


def preload(libraries: Sequence[str]) -> None:
    """Import what the tests will need, ours left out: a change is made before ours is imported."""
    for name in libraries:
        if name.partition(".")[0] not in OURS and not name.startswith(("_", "__")):
            with suppress(Exception):
                importlib.import_module(name)


def try_cold(module: str, number: int | None, files: Sequence[str], told: Tried) -> str:
    """Run the tests of a module with one change, or none, made before anything of ours is imported."""
    path = Path(module).resolve()
    source = path.read_text("utf-8")
    code = compile(source if number is None else changed(source, number), str(path), "exec")

    def work() -> int:
        for name in [name for name in sys.modules if name.partition(".")[0] in OURS and "mutants" not in name]:
            del sys.modules[name]
        sys.meta_path.insert(0, _Finder(module[:-3].replace("/", ".").removesuffix(".__init__"), path, code))
        return int(pytest.main([*QUIET, "-x", *files], plugins=[_Chosen(told.tests)]))

    outcome = forked(work, 30 + 8 * MOST_SECONDS)
    return SLOW if outcome is None else LEFT if outcome == 0 else NOTICED


QUIET: Final = (
    "-q", "--no-header", "-p", "no:cacheprovider", "-m", "not browser and not office and not slow",
    "-W", "ignore::pytest.PytestAssertRewriteWarning",
)  # fmt: skip


class _Chosen:
    """A plugin of pytest: quick tests first, slow ones not at all."""

    def __init__(self, names: Sequence[str]) -> None:
        self._place = {name: place for place, name in enumerate(names)}
        self._until = time.monotonic() + MOST_SECONDS + 10

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """Sort the tests by the seconds that they took unchanged."""
        items[:] = sorted((i for i in items if i.nodeid in self._place), key=lambda i: self._place[i.nodeid])


class _Finder(MetaPathFinder):
    """Finds one module with its changed code."""

    def __init__(self, name: str, path: Path, code: Any) -> None:
        self._name, self._path, self._code = name, path, code

    def find_spec(self, fullname: str, _path: Any, _target: Any = None) -> ModuleSpec | None:
        """Return the changed module's spec where it is asked for."""
        if fullname != self._name:
            return None
        package = [str(self._path.parent)] if self._path.name == "__init__.py" else None
        return spec_from_file_location(
            fullname, self._path, loader=_Loader(self._path, self._code), submodule_search_locations=package
        )


class _Loader(SourceLoader):
    """Loads code that is compiled already."""

    def __init__(self, path: Path, code: Any) -> None:
        self._path, self._code = path, code

    def get_filename(self, _fullname: str) -> str:
        """Return the file that the code was changed from."""
        return str(self._path)

    def get_data(self, path: str) -> bytes:
        """Return a file's bytes."""
        return Path(path).read_bytes()

    def get_code(self, _fullname: str) -> Any:
        """Return the changed code."""
        return self._code

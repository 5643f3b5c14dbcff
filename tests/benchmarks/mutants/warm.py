"""Changes tried in a process that has all tests loaded: a fork each, in which functions get the changed code.

A change of what runs at import (a class, a default, a decorator) cannot be made so; those are left to :mod:`cold`.
"""

import ast
import contextlib
import functools
import gc
import importlib.util
import os
import select
import shutil
import signal
import sys
import tempfile
import time
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from types import CodeType, FunctionType, ModuleType
from typing import Any, Final

import coverage
import pytest
from _pytest.runner import runtestprotocol

from tests.benchmarks.mutants.changes import Change, changed, changes

SLOWEST: Final = 0.8
"""Processor seconds of a test that is left out of what is run for a change."""
MOST_SECONDS: Final = 0.8
"""Processor seconds of all tests that are run for a change, quick ones first."""
NOTICED, LEFT, SLOW, COLD, SAME = "noticed", "left", "never ended", "cold", "the same code"


@dataclass
class Tried:
    """What came of one module.

    Attributes
    ----------
    outcomes : dict
        For each change of the module by number, one of the words above.
    tests : list of str
        Tests that were run, quickest first, with those left out told in `without`.
    libraries : list of str
        What the tests have imported, so that it is there before a cold run.
    """

    outcomes: dict[int, str] = field(default_factory=dict)
    tests: list[str] = field(default_factory=list)
    without: list[str] = field(default_factory=list)
    libraries: list[str] = field(default_factory=list)


class Warm:
    """A plugin of pytest that runs every test once, and then those that reach a change, for each change."""

    def __init__(self, module: str, told: Tried, only: Sequence[int] = ()) -> None:
        self.file = str(Path(module).resolve())
        self.source = Path(module).read_text("utf-8")
        self.told = told
        self.only = set(only)
        self._users = _users(self.source)
        self._coverage = coverage.Coverage(include=[self.file], data_file=None, messages=False, config_file=False)
        self._seconds: dict[str, float] = {}
        self._waited: dict[str, float] = {}
        self._failed: set[str] = set()

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Do what this module is for in place of the usual loop."""
        reached = self._first(session.items)
        self.told.libraries = sorted(sys.modules)
        _forget()
        gc.collect()
        patch = _Patch(self.file, self.source)
        gc.freeze()
        items = {item.nodeid: item for item in session.items}
        last: dict[tuple[int, int], str] = {}
        wins: Counter[str] = Counter()
        for change in changes(self.source):
            if self.only and change.number not in self.only:
                continue
            fitting = patch.fitting(change)
            if fitting is None:
                self.told.outcomes[change.number] = COLD
            elif not fitting:
                self.told.outcomes[change.number] = SAME
            else:
                names = self._order(reached, change, last.get((change.line, change.end)), wins)
                outcome, winner = self._try([items[name] for name in names], fitting)
                self.told.outcomes[change.number] = outcome
                if winner:
                    last[change.line, change.end] = winner
                    wins[winner] += 1
            print(
                ".scx="[[NOTICED, SLOW, COLD, LEFT, SAME].index(self.told.outcomes[change.number])], end="", flush=True
            )
        print()
        return True

    def _first(self, items: list[pytest.Item]) -> dict[int, set[str]]:
        """Run every test; return which of them reach which lines."""
        self._coverage.start()
        self._coverage.switch_context("none")
        for place, item in enumerate(items):
            self._coverage.switch_context(item.nodeid)
            began, awake = time.perf_counter(), time.process_time()
            following = items[place + 1] if place + 1 < len(items) else None
            reports = runtestprotocol(item, nextitem=following, log=False)
            self._seconds[item.nodeid] = time.process_time() - awake
            self._waited[item.nodeid] = time.perf_counter() - began
            if not all(report.passed for report in reports):
                self._failed.add(item.nodeid)
                print("fails or is skipped unchanged:", item.nodeid)
        self._coverage.stop()
        found = self._coverage.get_data().contexts_by_lineno(self.file)
        reached: dict[int, set[str]] = defaultdict(set)
        for line, names in found.items():
            reached[line] = {name for name in names if name and name != "none"}
        slow = {name for name, seconds in self._seconds.items() if seconds > SLOWEST}
        self.told.without = sorted(slow | self._failed)
        self.told.tests = sorted(set(self._seconds) - slow - self._failed, key=lambda name: self._seconds[name])
        print(f"{len(items)} tests, {sum(self._seconds.values()):.1f} s; without {self.told.without}")
        return reached

    def _order(self, reached: dict[int, set[str]], change: Change, last: str | None, wins: Counter[str]) -> list[str]:
        """Return the tests that reach a change, the likeliest and quickest first, as many as there is time for."""
        lines = self._users.get(change.line, range(change.line, change.end + 1))
        names = set[str]().union(*(reached[line] for line in lines)) or set(self.told.tests)
        order = [name for name in self.told.tests if name in names]
        order.sort(key=lambda name: (self._seconds[name] + 0.002) / (1 + wins[name]))
        if last in order:
            order.remove(last)
            order.insert(0, last)
        kept, seconds = [], 0.0
        for name in order:
            seconds += self._seconds[name]
            if seconds > MOST_SECONDS:
                break
            kept.append(name)
        return kept

    def _try(self, items: list[pytest.Item], fitting: "_Fitting") -> tuple[str, str]:
        """Run tests with a change made, in a process of their own; return what came of it and which test noticed."""
        if not items:
            return LEFT, ""
        limit = 10 + 8 * sum(self._waited[item.nodeid] for item in items)

        def work() -> int:
            fitting.make()
            for place, item in enumerate(items):
                following = items[place + 1] if place + 1 < len(items) else None
                if not all(report.passed for report in runtestprotocol(item, nextitem=following, log=False)):
                    return place + 1
            return 0

        code = forked(work, limit, items[0].config)
        if code is None:
            return SLOW, ""
        if code == 0:
            return LEFT, ""
        return NOTICED, items[code - 1].nodeid if 0 < code <= len(items) else ""


def forked(work: Callable[[], int], limit: float, config: pytest.Config | None = None) -> int | None:
    """Do work in a child that has a folder, a group and silence of its own; return its code, None after the limit."""
    folder = tempfile.mkdtemp(prefix="mutant-")
    child = os.fork()
    if child == 0:
        _alone(work, folder, config)
    handle = os.pidfd_open(child)
    try:
        ended = bool(select.select([handle], [], [], limit)[0])
        with contextlib.suppress(ProcessLookupError):
            os.killpg(child, signal.SIGKILL)
        _, status = os.waitpid(child, 0)
    finally:
        os.close(handle)
        shutil.rmtree(folder, ignore_errors=True)
    if not ended:
        return None
    return os.waitstatus_to_exitcode(status)


def _alone(work: Callable[[], int], folder: str, config: pytest.Config | None) -> None:
    """Work, and leave without anything of the parent's being closed twice."""
    code = 254
    try:
        os.setsid()
        silence = os.open(os.devnull, os.O_RDWR)
        for stream in (0, 1, 2):
            os.dup2(silence, stream)
        if config is not None:
            factory: Any = config._tmp_path_factory  # type: ignore[attr-defined]  # noqa: SLF001 - a folder of its own
            factory._basetemp = Path(folder)  # noqa: SLF001
        os.environ["TMPDIR"] = tempfile.tempdir = folder
        # A code is a byte, and 254 and 255 say that something else went wrong.
        code = min(work(), 250)
    except BaseException:  # noqa: BLE001 - whatever a change breaks was noticed
        if "MUTANTS_SEEN" in os.environ:
            import traceback

            traceback.print_exc()
            sys.stderr.flush()
        code = 254
    finally:
        os._exit(code)


def _users(source: str) -> dict[int, set[int]]:
    """Return, for the line of each name that a module sets, the lines that use it."""
    tree = ast.parse(source)
    used: dict[str, set[int]] = defaultdict(set)
    for node in ast.walk(tree):
        if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Load):
            used[node.id].add(node.lineno)
    set_at: dict[int, set[int]] = {}
    for each in tree.body:
        target = each.target if isinstance(each, ast.AnnAssign) else getattr(each, "targets", [None])[0]
        if isinstance(target, ast.Name):
            set_at[each.lineno] = used[target.id]
    return set_at


def _forget() -> None:
    """Empty what functions remember of the first run: it was made without a change."""
    for each in gc.get_objects():
        if isinstance(each, functools._lru_cache_wrapper):  # noqa: SLF001 - the only way to know one
            each.cache_clear()


@dataclass(frozen=True)
class _Fitting:
    """Code for functions that are there already, and values for names of modules."""

    codes: list[tuple[FunctionType, CodeType]]
    values: dict[str, tuple[Any, Any]]

    def __bool__(self) -> bool:
        return bool(self.codes or self.values)

    def make(self) -> None:
        """Make the change."""
        for function, code in self.codes:
            function.__code__ = code
        for name, (old, new) in self.values.items():
            for module in list(sys.modules.values()):
                names = getattr(module, "__dict__", {})
                if name in names and names[name] is old:
                    names[name] = new


class _Patch:
    """How changes of one file are made in functions that exist."""

    def __init__(self, file: str, source: str) -> None:
        self._file, self._source = file, source
        self._there: dict[tuple[str, int], list[FunctionType]] = defaultdict(list)
        for each in gc.get_objects():
            if isinstance(each, FunctionType) and each.__code__.co_filename == file:
                self._there[each.__code__.co_qualname, each.__code__.co_firstlineno].append(each)
        self._module = next(
            module for module in list(sys.modules.values()) if getattr(module, "__file__", None) == file
        )
        self._plain = compile(source, file, "exec")

    def fitting(self, change: Change) -> _Fitting | None:
        """Return what makes a change; None where only a new import does."""
        code = compile(changed(self._source, change.number), self._file, "exec")
        values: dict[str, tuple[Any, Any]] = {}
        if _outside(code) != _outside(self._plain):
            found = self._values(code)
            if not found:
                return None
            values = found
        codes = []
        for one in _functions(code):
            for function in self._there.get((one.co_qualname, one.co_firstlineno), ()):
                if function.__code__ != one:
                    if len(function.__code__.co_freevars) != len(one.co_freevars) or self._twins(one):
                        return None
                    codes.append((function, one))
        if not codes and not values and code != self._plain:
            return None
        return _Fitting(codes, values)

    def _twins(self, code: CodeType) -> bool:
        """Whether two functions begin at one line under one name."""
        key = (code.co_qualname, code.co_firstlineno)
        return sum((each.co_qualname, each.co_firstlineno) == key for each in _functions(self._plain)) > 1

    def _values(self, code: CodeType) -> dict[str, tuple[Any, Any]] | None:
        """Return which plain values of the module come out otherwise; None where more than that does."""
        fresh = ModuleType(self._module.__name__)
        fresh.__file__ = self._file
        fresh.__package__ = self._module.__package__
        spec = importlib.util.find_spec(self._module.__name__)
        fresh.__spec__ = spec
        names: dict[str, Any] = fresh.__dict__
        try:
            sys.modules[self._module.__name__] = fresh
            exec(code, names)  # noqa: S102 - the module under test
        except Exception:  # noqa: BLE001 - it cannot be imported: a cold run tells
            return None
        finally:
            sys.modules[self._module.__name__] = self._module
        found = {}
        for name, old in vars(self._module).items():
            new = names.get(name)
            if name.startswith("__") or callable(old) or not _is_plain(old):
                continue
            if type(new) is type(old) and repr(new) != repr(old):
                found[name] = (old, new)
        return found or None


def _is_plain(value: Any) -> bool:
    """Whether a value says by its repr all that it is."""
    if isinstance(value, dict):
        return all(_is_plain(key) and _is_plain(each) for key, each in value.items())
    if isinstance(value, list | tuple | set | frozenset):
        return all(_is_plain(each) for each in value)
    return value is None or type(value).__name__ in {
        "str",
        "int",
        "float",
        "bool",
        "bytes",
        "Decimal",
        "Pattern",
        "type",
    }


def _outside(code: CodeType) -> tuple[Any, ...]:
    """Return what runs when a module is imported: its own code, and that of classes in it."""
    inside = [each for each in code.co_consts if isinstance(each, CodeType)]
    plain = [(type(each), repr(each)) for each in code.co_consts if not isinstance(each, CodeType)]
    return (
        code.co_code, code.co_names, tuple(plain), tuple(_outside(each) for each in inside if _is_class(each))
    )  # fmt: skip


def _is_class(code: CodeType) -> bool:
    return "__qualname__" in code.co_names and "__module__" in code.co_names


def _functions(code: CodeType) -> Iterator[CodeType]:
    """Yield the functions of a module and of the classes in it, not those within functions."""
    for each in code.co_consts:
        if isinstance(each, CodeType):
            if _is_class(each):
                yield from _functions(each)
            else:
                yield each

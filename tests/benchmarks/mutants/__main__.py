"""The command: see the package."""

import csv
import hashlib
import json
import os
import sys
import time
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from typing import Final

import pytest

from tests.benchmarks.mutants.changes import changes
from tests.benchmarks.mutants.cold import QUIET, preload, try_cold
from tests.benchmarks.mutants.tests_of import TESTS
from tests.benchmarks.mutants.warm import COLD, LEFT, NOTICED, SAME, SLOW, Tried, Warm

DATA: Final = Path(__file__).parent.parent / "data" / "mutants.csv"
HEAD: Final = ("module", "changes", "noticed before", "noticed", "of these by never ending", "left", "tests", "seconds")


LEFT_BY: Final = Path("mutants")
"""Where it is noted, out of git, what no test noticed."""


def main(arguments: Sequence[str]) -> int:
    """Try every change of the modules named.

    `MODULE:7,9` tries two of them and writes no table. `MODULE:left` tries again what no test noticed, of a module that
    has not been changed since: tests were added. `MODULE:left=FILE,FILE` runs nothing but those tests.
    """
    for argument in arguments:
        module, _, numbers = argument.partition(":")
        word, _, files = numbers.partition("=")
        if word == "left":
            if left := _left_before(module):
                try_module(module, left, files=files.split(",") if files else (), again=True)
        else:
            try_module(module, [int(number) for number in numbers.split(",") if number])
    return 0


def _digest(module: str) -> str:
    return hashlib.sha256(Path(module).read_bytes()).hexdigest()


def _left_file(module: str) -> Path:
    return LEFT_BY / f"{module.replace('/', '_')}.json"


def _left_before(module: str) -> list[int]:
    noted = json.loads(_left_file(module).read_text("utf-8"))
    if noted["module"] != _digest(module):
        sys.exit(f"{module} was changed since: try it whole")
    return [int(number) for number in noted["left"]]


def try_module(module: str, only: Sequence[int] = (), *, files: Sequence[str] = (), again: bool = False) -> None:
    """Try the changes of one module, tell what no test noticed, and keep the counts."""
    began = time.monotonic()
    files = files or TESTS[module]
    told = _warm(module, files, only)
    cold = [number for number, outcome in told.outcomes.items() if outcome == COLD]
    if cold:
        print(f"{len(cold)} by a new import", flush=True)
        preload(told.libraries)
        if try_cold(module, None, files, told) != LEFT:
            sys.exit(f"{module}: the tests fail by a new import without any change")
    for number in cold:
        told.outcomes[number] = try_cold(module, number, files, told)
        print("x" if told.outcomes[number] == LEFT else ".", end="", flush=True)
    print()
    source = Path(module).read_text("utf-8")
    lines = source.splitlines()
    for change in changes(source):
        if told.outcomes.get(change.number) == LEFT:
            print(f"{module}:{change.at} #{change.number} {change.what}\n    {lines[change.at - 1].strip()}")
    if again:
        told.outcomes = dict.fromkeys(json.loads(_left_file(module).read_text())["noticed"], NOTICED) | told.outcomes
    if again or not only:
        _note(module, told)
        _keep(module, told, round(time.monotonic() - began))


def _note(module: str, told: Tried) -> None:
    LEFT_BY.mkdir(exist_ok=True)
    left = [number for number, outcome in told.outcomes.items() if outcome == LEFT]
    noticed = [number for number, outcome in told.outcomes.items() if outcome not in (LEFT, SAME)]
    _left_file(module).write_text(json.dumps({"module": _digest(module), "left": left, "noticed": noticed}))


def _warm(module: str, files: Sequence[str], only: Sequence[int]) -> Tried:
    """Run the warm part in a child, so that nothing of ours is imported here."""
    ours, theirs = os.pipe()
    child = os.fork()
    if child == 0:
        code = 1
        with suppress(BaseException):
            os.close(ours)
            told = Tried()
            status = int(pytest.main([*QUIET, *files], plugins=[Warm(module, told, only)]))
            with os.fdopen(theirs, "w") as stream:
                json.dump([list(told.outcomes.items()), told.tests, told.without, told.libraries], stream)
            code = 0 if told.outcomes else status or 1
        sys.stdout.flush()
        os._exit(code)
    os.close(theirs)
    with os.fdopen(ours) as stream:
        text = stream.read()
    _, status = os.waitpid(child, 0)
    if status or not text:
        sys.exit(f"{module}: the tests could not be run")
    outcomes, tests, without, libraries = json.loads(text)
    return Tried(dict(outcomes), tests, without, libraries)


def _keep(module: str, told: Tried, seconds: int) -> None:
    """Write a module's row; what was noticed by the first run of all stays."""
    rows = {}
    if DATA.exists():
        with DATA.open(encoding="utf-8", newline="") as stream:
            rows = {row["module"]: row for row in csv.DictReader(stream)}
    made = [outcome for outcome in told.outcomes.values() if outcome != SAME]
    left = made.count(LEFT)
    noticed = len(made) - left
    old = rows.get(module, {})
    before = old.get("noticed before") or str(noticed)
    values = (module, len(made), before, noticed, made.count(SLOW), left, len(told.tests), seconds)
    rows[module] = dict(zip(HEAD, map(str, values), strict=True))
    with DATA.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, HEAD, lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows[name] for name in sorted(rows))
    print(rows[module])


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

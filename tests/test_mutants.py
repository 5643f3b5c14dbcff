"""The small changes that tests are tried by: which there are of some code, and what each makes of it."""

import ast

from tests.benchmarks.mutants.changes import changed, changes

CODE = '''
"""A module."""

from dataclasses import dataclass

MOST: int = 10


@dataclass(frozen=True, slots=True)
class Thing:
    """A thing."""

    size: int = 0


def told(size: int, name: str = "x") -> str:
    """Tell."""
    if size > MOST and not name:
        raise ValueError(f"{name} is {size + 1}")
    try:
        return name.strip(sep=None)
    except (OSError, ValueError):
        pass
'''


def made() -> dict[str, str]:
    """Return, for each change, the line of code that it makes."""
    plain = ast.unparse(ast.parse(CODE)).splitlines()
    found = {}
    for change in changes(CODE):
        lines = ast.unparse(changed(CODE, change.number)).splitlines()
        found[change.what] = next((new for new, old in zip(lines, plain, strict=False) if new != old), "").strip()
    return found


def test_every_small_change_is_made_once_and_nothing_else() -> None:
    assert made() == {
        "10 to 11": "MOST: int = 11",
        "0 to 1": "size: int = 1",
        "'x' to 'XXx'": "def told(size: int, name: str='XXx') -> str:",
        "And to Or in size > MOST and (not name)": "if size > MOST or not name:",
        "Gt to GtE in size > MOST": "if size >= MOST and (not name):",
        "not name to name": "if size > MOST and name:",
        "left out": "pass",
        "XX before f'{name} is {size + 1}'": "raise ValueError(f'XX{name} is {size + 1}')",
        "Add to Sub in size + 1": "raise ValueError(f'{name} is {size - 1}')",
        "1 to 2": "raise ValueError(f'{name} is {size + 2}')",
        "returns None": "return None",
        "sep= left out": "return name.strip()",
        ".strip() left out": "return name",
        "does not catch OSError": "except (ValueError,):",
        "does not catch ValueError": "except (OSError,):",
    }


def test_each_change_tells_the_lines_by_which_its_tests_are_found() -> None:
    spans = {change.what: (change.line, change.end, change.at) for change in changes(CODE)}
    head = next(number for number, line in enumerate(CODE.splitlines(), start=1) if "if size" in line)
    assert spans["Gt to GtE in size > MOST"] == (head, head, head)
    assert spans["Add to Sub in size + 1"] == (head + 1, head + 1, head + 1)

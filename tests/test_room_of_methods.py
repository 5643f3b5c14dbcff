"""Nobody compares names of packing methods outside the room of methods: they read traits.

The room is the registry, each method's own module and what stands for it there. Elsewhere no text of a program may be
the name of a method or what it is called, no module may take a method's value by its name, and no template, script or
table of data may be keyed by one.
"""

import ast
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Final

import pytest

from nesting.crates.registry import ENTERED, methods

ROOT: Final = Path(__file__).parents[1]
OWN: Final = {line.split(":")[0].replace(".", "/") + ".py" for line in ENTERED} | {"nesting/crates/registry.py"}
VALUES: Final = {line.split(":")[1] for line in ENTERED}
WORDS: Final = {
    word for each in methods().values() for word in (each.name, each.one, each.many, *each.spellings, *each.included)
}
MATERIAL: Final = "carton"
"""A material as well: boxes are bought, and the shop's goods say so."""
NOT_THE_METHOD: Final = {
    ("pricing/studio/former_rates.toml", 'closed = ""'),
    ("pricing/studio/rates.toml", 'closed = ""'),  # days on which the shop is closed
    ("nesting/shop/goods.toml", 'material = "carton"'),
    ("nesting/shop/goods_metric.toml", 'material = "carton"'),
    ("nesting/shop/rules_metric.toml", "[carton]"),  # groups of rules
    ("nesting/shop/rules_metric.toml", "[travel]"),
}


def compared(source: str, *, shop: bool = False) -> Iterator[str]:
    """Yield what a module says of methods by name, each with its line; in the shop's room ``carton`` is a material."""
    tree = ast.parse(source)
    material = {
        id(each)
        for node in ast.walk(tree)
        if isinstance(node, ast.Compare) and "material" in (getattr(side, "attr", "") for side in ast.walk(node))
        for each in ast.walk(node)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            word = " ".join(node.value.lower().split())
            if word in WORDS and not (word == MATERIAL and (shop or id(node) in material)):
                yield f"line {node.lineno}: {node.value!r}"
        elif isinstance(node, ast.ImportFrom):
            yield from (f"line {node.lineno}: {alias.name}" for alias in node.names if alias.name in VALUES)
        elif isinstance(node, ast.Attribute) and node.attr in VALUES:
            yield f"line {node.lineno}: {node.attr}"


_NAMES: Final = "|".join(sorted(map(re.escape, WORDS), key=len, reverse=True))
KEYED: Final = re.compile(
    rf"""["'](?:{_NAMES})["']|^\s*(?:{_NAMES})\s*=|^\s*\[+(?:.*\.)?(?:{_NAMES})\]|\.method\s*(?:[!=]=|\bin\b)""",
    re.MULTILINE,
)


def keyed(text: str) -> Iterator[str]:
    """Yield the lines of a template, script or table of data that hold a method's name as a text or a key."""
    yield from (line.strip() for line in text.splitlines() if KEYED.search(line))


def test_no_module_outside_the_room_compares_names_of_methods() -> None:
    found = {}
    for package in ("nesting", "pricing"):
        for path in sorted((ROOT / package).rglob("*.py")):
            name = path.relative_to(ROOT).as_posix()
            told = list(compared(path.read_text(encoding="utf-8"), shop=name.startswith("nesting/shop/")))
            if told and name not in OWN:
                found[name] = told
    assert found == {}


def test_no_template_script_or_table_is_keyed_by_them() -> None:
    found = []
    for package in ("nesting", "pricing"):
        for path in sorted((ROOT / package).rglob("*.*")):
            if path.suffix in (".html", ".js", ".css", ".toml", ".json", ".csv"):
                name = path.relative_to(ROOT).as_posix()
                lines = keyed(path.read_text(encoding="utf-8"))
                found += [(name, line) for line in lines if (name, line) not in NOT_THE_METHOD]
    assert found == []


@pytest.mark.parametrize(
    "planted",
    [
        'if crate.method == "outer": pass',
        'WORDS = {"travel": 1}',
        "kinds = ['Closed crate']",
        'def f(x: Literal["battened"]): pass',
        "from nesting.crates.cartons.carton import CARTON",
        "kind is carton.CARTON",
        'name == "carton"',
        'f"{x}" == "travel frames"',
    ],
)
def test_the_check_of_modules_can_fail(planted: str) -> None:
    assert list(compared(planted))


def test_a_carton_is_also_a_good() -> None:
    assert list(compared('good.material != "carton"')) == []
    assert list(compared('kinds = {"carton": "wood"}', shop=True)) == []
    assert list(compared('kinds = {"closed": "wood"}', shop=True))


@pytest.mark.parametrize(
    "planted",
    ['{% if crate.method != "x" %}', "case 'travel':", "closed = [", "[opening.travel]", "[[outer]]", 'x = "carton"'],
)
def test_the_check_of_templates_and_tables_can_fail(planted: str) -> None:
    assert list(keyed(planted))

"""The house knows no material by its name: whatever depends on what a good is made of reads a property."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from nesting.shop.materials_built_in import BUILT_IN
from tests.house import ROOT, modules

ROOM = "nesting/shop/materials"
"""Where the table of materials lives, with the roles that an order leaves open."""

OTHER_WORDS = {
    "carton": "a packing method and a kind of package",
    "resin": "a surface of an artwork",
    "paper": "what a material is to a face, and a layer of a wrapping",
    "film": "what a material is to a face",
    "tape": "what a material is to a face",
    "foam wrap": "what a material is to a face",
    "bubble wrap": "what a material is to a face",
    "rigid foam": "what a material is to a face",
    "screw": "a unit of work, and what a thing is used as",
    "hardware": "a part of a quote",
    "glass": "how an order writes that a piece is glazed",
}
"""Names of materials that are words of something else too: these may be compared, but not with a material."""

NAMES = {material.material for material in BUILT_IN} - OTHER_WORDS.keys()


def text_in(node: ast.AST) -> set[str]:
    """Return the texts that stand in an expression, those of its tuples, lists and sets among them."""
    return {each.value for each in ast.walk(node) if isinstance(each, ast.Constant) and isinstance(each.value, str)}


def is_material(node: ast.AST) -> bool:
    """Whether an expression is the name of a material: ``good.material``, ``material``."""
    word = node.attr if isinstance(node, ast.Attribute) else node.id if isinstance(node, ast.Name) else ""
    return word.endswith("material")


def deciding_by_name(source: str) -> Iterator[str]:
    """Yield what of a module decides by the name of a material."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Compare):
            sides = [node.left, *node.comparators]
            said = set().union(*map(text_in, sides))
            if said & NAMES or (said and any(map(is_material, sides))):
                yield f"line {node.lineno}: a comparison with {', '.join(sorted(said))}"
        elif isinstance(node, ast.Dict):
            keys = {key.value for key in node.keys if isinstance(key, ast.Constant) and isinstance(key.value, str)}
            if keys & NAMES:
                yield f"line {node.lineno}: a table by {', '.join(sorted(keys & NAMES))}"
        elif isinstance(node, ast.MatchValue) and text_in(node) & NAMES:
            yield f"line {node.lineno}: a case of {', '.join(sorted(text_in(node)))}"
        elif isinstance(node, ast.Subscript) and text_in(node.slice) & NAMES:
            yield f"line {node.lineno}: a look-up of {', '.join(sorted(text_in(node.slice) & NAMES))}"
        elif (
            isinstance(node, ast.Call)
            and called(node) in ("get", "material", "built_in")
            and (said := set().union(*map(text_in, node.args)) & NAMES)
        ):
            yield f"line {node.lineno}: a look-up of {', '.join(sorted(said))}"


def called(node: ast.Call) -> str:
    """Return the last word of what is called."""
    return node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")


def test_no_module_decides_by_the_name_of_a_material() -> None:
    found = {
        path.relative_to(ROOT).as_posix(): told
        for package in ("nesting", "pricing")
        for path in modules(package)
        if not path.relative_to(ROOT).as_posix().startswith(ROOM)
        and (told := list(deciding_by_name(path.read_text(encoding="utf-8"))))
    }
    assert found == {}


@pytest.mark.parametrize(
    "planted",
    [
        'wood = "osb" if good.material == "osb" else "plywood"',
        'if good.material != "carton": pass',
        'found = [g for g in goods if g.material in ("plywood", "lumber")]',
        'PANELS = {"plywood": 815.0}',
        'panel = PANELS["plywood"]',
        'panel = PANELS.get("plywood")',
        'panel = shop.material("plywood")',
        'match name:\n    case "mdf": pass',
        'if "lumber" == material: pass',
    ],
)
def test_the_check_can_fail(planted: str) -> None:
    assert list(deciding_by_name(planted))


def test_words_of_something_else_may_be_compared_with_it() -> None:
    assert list(deciding_by_name('if crate.method == "carton" or artwork.surface == "resin": pass')) == []


def test_the_room_is_where_the_names_stand() -> None:
    files = [path for path in modules("nesting") if path.relative_to(ROOT).as_posix().startswith(ROOM)]
    assert {path.name for path in files} == {"materials.py", "materials_built_in.py", "materials_file.py"}
    table = Path(ROOT / "nesting/shop/materials_built_in.py").read_text(encoding="utf-8")
    assert all(f'"{name}"' in table for name in NAMES)

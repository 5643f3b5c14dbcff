"""What the rules of the house look at: a package's modules and folders, what each imports, and circles in that."""

import ast
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path

ROOT = Path(__file__).parents[1]
PACKAGES = ("nesting", "pricing")

Graph = Mapping[str, set[str]]
"""Which modules, or rooms, each one imports."""
_BY_NAME = re.compile(r"([a-z_]+(?:\.\w+)+):\w+")
"""A module and a name in it, as tables of plug-ins spell them."""


def modules(package: str, root: Path = ROOT) -> Iterator[Path]:
    """Yield every module of a package."""
    yield from sorted((root / package).rglob("*.py"))


def tree(path: Path) -> ast.Module:
    """Return a module's syntax tree."""
    return ast.parse(path.read_text(encoding="utf-8"))


def dotted(path: Path, root: Path = ROOT) -> str:
    """Return the name by which a module is imported."""
    return ".".join(path.relative_to(root).with_suffix("").parts).removesuffix(".__init__")


def taken(path: Path, root: Path = ROOT) -> Iterator[tuple[str, str]]:
    """Yield every import of a module, for types and inside functions too: a module, and the name taken of it if any.

    A module that a table names as ``"module:name"``, to be imported when it is asked for, counts as well.
    """
    package = path.relative_to(root).parent.parts
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.Import):
            yield from ((alias.name, "") for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            above = package[: len(package) + 1 - node.level] if node.level else ()
            module = ".".join((*above, *([node.module] if node.module else ())))
            yield from ((module, alias.name) for alias in node.names)
        elif isinstance(node, ast.Constant) and (named := _BY_NAME.fullmatch(str(node.value))):
            yield named[1], ""


def import_graph(root: Path = ROOT, packages: Iterable[str] = PACKAGES) -> Graph:
    """Return which of the packages' modules each module imports.

    A name taken from a folder is an arrow to the module of that name, or to the folder's ``__init__`` where there is
    no such module.
    """
    paths = {dotted(path, root): path for package in packages for path in modules(package, root)}
    graph: dict[str, set[str]] = {}
    for name, path in paths.items():
        found = (f"{base}.{own}" if f"{base}.{own}" in paths else base for base, own in taken(path, root))
        graph[name] = {each for each in found if each in paths} - {name}
    return graph


def room_graph(graph: Graph, depth: int) -> Graph:
    """Return which rooms import which: folders and modules so many levels down, a folder with all that is in it."""
    rooms: dict[str, set[str]] = {}
    for module, others in graph.items():
        own = _room(module, depth)
        rooms.setdefault(own, set()).update(_room(each, depth) for each in others)
    return {room: others - {room} for room, others in rooms.items()}


def _room(module: str, depth: int) -> str:
    return ".".join(module.split(".")[:depth])


def circles(graph: Graph) -> Sequence[Sequence[str]]:
    """Return every largest set of more than one in which each leads to each.

    Source: R. E. Tarjan, Depth-first search and linear graph algorithms, SIAM Journal on Computing 1 (1972), 146-160,
    doi:10.1137/0201010.
    """
    order: dict[str, int] = {}
    low: dict[str, int] = {}
    path: list[str] = []
    found: list[list[str]] = []

    def visit(node: str) -> None:
        order[node] = low[node] = len(order)
        path.append(node)
        for other in sorted(graph.get(node, ())):
            if other not in order:
                visit(other)
                low[node] = min(low[node], low[other])
            elif other in path:
                low[node] = min(low[node], order[other])
        if low[node] == order[node]:
            circle = path[path.index(node) :]
            del path[path.index(node) :]
            if len(circle) > 1:
                found.append(sorted(circle))

    for node in sorted(graph):
        if node not in order:
            visit(node)
    return found


def long_signatures(path: Path, most: int, root: Path = ROOT) -> Iterator[str]:
    """Yield the functions of a module that take more arguments, and give no reason beside them.

    A reason is a comment with ``arguments:`` on a line of the signature, or on the line above it. The object or class
    that a method belongs to is not counted.
    """
    lines = path.read_text(encoding="utf-8").splitlines()
    parsed = tree(path)
    bound = {
        id(each)
        for node in ast.walk(parsed)
        if isinstance(node, ast.ClassDef)
        for each in node.body
        if isinstance(each, ast.FunctionDef | ast.AsyncFunctionDef)
        and not any(isinstance(mark, ast.Name) and mark.id == "staticmethod" for mark in each.decorator_list)
    }
    for node in ast.walk(parsed):
        if not isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            continue
        count = len(node.args.posonlyargs) + len(node.args.args) + len(node.args.kwonlyargs) - (id(node) in bound)
        first = min([node.lineno, *(mark.lineno for mark in node.decorator_list)])
        beside = lines[max(0, first - 2) : node.body[0].lineno - 1]
        if count > most and not any("arguments:" in line.partition("#")[2] for line in beside):
            yield f"{path.relative_to(root).as_posix()} {node.name}"

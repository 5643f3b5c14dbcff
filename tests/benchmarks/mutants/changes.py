"""The small changes of a module: what is changed, where, and the module's tree with one of them made.

Not tried, for no test should notice: annotations, docstrings, ``slots``, ``frozen`` and ``kw_only`` of a dataclass,
``encoding=`` (it is what the machine takes anyway) and what stands under ``TYPE_CHECKING``.
"""

import ast
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any, Final

_Put = Callable[[Any], None]

_FLIPPED: Final[dict[type[ast.AST], tuple[type[ast.AST], ...]]] = {
    ast.Lt: (ast.LtE,),
    ast.LtE: (ast.Lt,),
    ast.Gt: (ast.GtE,),
    ast.GtE: (ast.Gt,),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
    ast.Add: (ast.Sub,),
    ast.Sub: (ast.Add,),
    ast.Mult: (ast.FloorDiv,),
    ast.Div: (ast.Mult,),
    ast.FloorDiv: (ast.Mult,),
    ast.Mod: (ast.Mult,),
    ast.BitAnd: (ast.BitOr,),
    ast.BitOr: (ast.BitAnd,),
    ast.And: (ast.Or,),
    ast.Or: (ast.And,),
}
_BARE: Final = frozenset({"strip", "lstrip", "rstrip", "lower", "upper", "casefold"})
"""Methods of text without arguments that are left out."""
_SWAPPED: Final = {"min": "max", "max": "min", "any": "all", "all": "any"}
_SWAPPED_METHODS: Final = {"startswith": "endswith", "endswith": "startswith"}
_NEVER: Final = frozenset({"slots", "frozen", "kw_only", "encoding"})
_NAMES: Final = frozenset({"annotation", "returns", "type_params", "targets", "target", "name", "names"})
"""Fields of a statement in which nothing is changed."""
_TYPES: Final = frozenset({"cast", "TypeVar", "NewType"})


@dataclass(frozen=True)
class Change:
    """One small change.

    Attributes
    ----------
    number : int
        Its place among those of the module.
    line, end : int
        Lines of the statement that it is in, of its head alone where others stand under it.
    at : int
        The line that is changed.
    what : str
        What becomes of what.
    """

    number: int
    line: int
    end: int
    at: int
    what: str


@dataclass(frozen=True)
class _Site:
    at: int
    span: tuple[int, int]
    what: str
    make: Callable[[], None]


def changes(source: str) -> list[Change]:
    """Return every change of a module."""
    return [Change(n, *site.span, site.at, site.what) for n, site in enumerate(_sites(ast.parse(source)))]


def changed(source: str, number: int) -> ast.Module:
    """Return a module's tree with one change made."""
    tree = ast.parse(source)
    list(_sites(tree))[number].make()
    return ast.fix_missing_locations(tree)


def _sites(tree: ast.Module) -> Iterator[_Site]:
    yield from _body(tree.body)


def _setter(holder: ast.AST, field: str) -> _Put:
    return lambda new: setattr(holder, field, new)


def _placer(items: list[Any], place: int) -> _Put:
    def put(new: Any) -> None:
        items[place] = new

    return put


def _body(statements: list[ast.stmt]) -> Iterator[_Site]:
    for place, statement in enumerate(statements):
        yield from _statement(statement, _placer(statements, place))


def _passed(node: ast.stmt) -> bool:
    """Whether a statement is never changed."""
    if isinstance(node, ast.Import | ast.ImportFrom | ast.Pass | ast.Global | ast.Nonlocal):
        return True
    if isinstance(node, ast.Expr):
        return isinstance(node.value, ast.Constant)
    if isinstance(node, ast.If):
        return ast.unparse(node.test) == "TYPE_CHECKING"
    if isinstance(node, ast.Assign):
        return ast.unparse(node.targets[0]) == "__all__"
    return isinstance(node, ast.AnnAssign) and ast.unparse(node.annotation) == "TypeAlias"


def _statement(node: ast.stmt, put: _Put) -> Iterator[_Site]:
    """Yield the changes of a statement and of what stands in and under it."""
    if _passed(node):
        return
    under = [getattr(node, name, []) for name in ("body", "orelse", "finalbody")]
    first = min((each.lineno for each in under[0]), default=0)
    end = max(node.lineno, first - 1) if first else (node.end_lineno or node.lineno)
    span = (node.lineno, end)
    if _goes(node):
        yield _Site(node.lineno, span, "left out", lambda: put(ast.Pass()))
    if isinstance(node, ast.Return) and node.value is not None and not isinstance(node.value, ast.Constant):
        yield _Site(node.lineno, span, "returns None", lambda: setattr(node, "value", ast.Constant(None)))
    if isinstance(node, ast.If | ast.While):
        yield from _condition(node.test, _setter(node, "test"), span)
    for field, value in ast.iter_fields(node):
        if field not in _NAMES and not (field == "bases" and isinstance(node, ast.ClassDef)):
            yield from _field(value, _setter(node, field), span)
    for handler in getattr(node, "handlers", []):
        yield from _handler(handler)
    for statements in under:
        yield from _body(statements)


def _goes(node: ast.stmt) -> bool:
    """Whether a statement is left out for a change."""
    if isinstance(node, ast.Assign):
        return all(isinstance(target, ast.Attribute | ast.Subscript) for target in node.targets)
    if isinstance(node, ast.Expr):
        return isinstance(node.value, ast.Call | ast.Await)
    return isinstance(node, ast.Raise | ast.Continue | ast.Break | ast.AugAssign | ast.Delete)


def _handler(handler: ast.ExceptHandler) -> Iterator[_Site]:
    """Yield what an exception handler no longer catches, and the changes under it."""
    span = (handler.lineno, max(handler.lineno, handler.body[0].lineno - 1))
    kinds = handler.type.elts if isinstance(handler.type, ast.Tuple) else [handler.type]
    for kind in kinds:
        if kind is None:
            continue
        rest = [other for other in kinds if other is not kind]
        left = ast.Tuple([other for other in rest if other is not None], ast.Load())
        what = f"does not catch {ast.unparse(kind)}"
        yield _Site(handler.lineno, span, what, lambda left=left: setattr(handler, "type", left))  # type: ignore[misc]
    yield from _body(handler.body)


def _field(value: Any, put: _Put, span: tuple[int, int]) -> Iterator[_Site]:
    """Yield the changes of one field of a node: expressions and what holds them; statements come by themselves."""
    if isinstance(value, list):
        for place, each in enumerate(value):
            yield from _field(each, _placer(value, place), span)
    elif isinstance(value, ast.AST) and not isinstance(value, ast.stmt | ast.ExceptHandler):
        yield from _node(value, put, span)


def _condition(node: ast.expr, put: _Put, span: tuple[int, int]) -> Iterator[_Site]:
    """Yield the negations of what a condition asks; comparisons are turned by themselves."""
    if isinstance(node, ast.BoolOp):
        for place, each in enumerate(node.values):
            yield from _condition(each, _placer(node.values, place), span)
    elif not isinstance(node, ast.Compare | ast.Constant) and not _is_not(node):
        what = f"not {_short(node)}"
        yield _Site(node.lineno, span, what, lambda: put(ast.UnaryOp(ast.Not(), node)))


def _is_not(node: ast.AST) -> bool:
    return isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not)


def _short(node: ast.AST) -> str:
    text = ast.unparse(node)
    return text if len(text) < 60 else text[:57] + "..."


def _node(node: ast.AST, put: _Put, span: tuple[int, int]) -> Iterator[_Site]:
    """Yield the changes of an expression."""
    at = getattr(node, "lineno", span[0])
    if isinstance(node, ast.JoinedStr):
        yield from _joined(node, span)
    elif isinstance(node, ast.Constant):
        for new in _constants(node.value):
            yield _Site(at, span, f"{_short(node)} to {new!r:.60}", lambda new=new: put(ast.Constant(new)))  # type: ignore[misc]
    elif isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in _TYPES:
        for place, each in enumerate(node.args[1:], start=1):
            yield from _node(each, _placer(node.args, place), span)
    elif not (isinstance(node, ast.keyword) and node.arg in _NEVER):
        yield from _compound(node, put, span)


def _compound(node: ast.AST, put: _Put, span: tuple[int, int]) -> Iterator[_Site]:
    """Yield the changes of an expression that is made of others, and of those."""
    at = getattr(node, "lineno", span[0])
    if isinstance(node, ast.IfExp):
        yield from _condition(node.test, _setter(node, "test"), span)
    if isinstance(node, ast.comprehension):
        for place, each in enumerate(node.ifs):
            yield from _condition(each, _placer(node.ifs, place), span)
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not | ast.USub):
        yield _Site(at, span, f"{_short(node)} to {_short(node.operand)}", lambda: put(node.operand))
    yield from _operators(node, span)
    if isinstance(node, ast.Call):
        yield from _call(node, put, span)
    for field, value in ast.iter_fields(node):
        if field not in ("op", "ops", "ctx", "target", "arg", "annotation"):
            yield from _field(value, _setter(node, field), span)


def _operators(node: ast.AST, span: tuple[int, int]) -> Iterator[_Site]:
    at = getattr(node, "lineno", span[0])
    if isinstance(node, ast.BinOp | ast.BoolOp):
        for new in _FLIPPED.get(type(node.op), ()):
            what = f"{type(node.op).__name__} to {new.__name__} in {_short(node)}"
            yield _Site(at, span, what, lambda new=new: setattr(node, "op", new()))  # type: ignore[misc]
    if isinstance(node, ast.Compare):
        for place, operator in enumerate(node.ops):
            for new in _FLIPPED.get(type(operator), ()):
                what = f"{type(operator).__name__} to {new.__name__} in {_short(node)}"
                yield _Site(at, span, what, lambda place=place, new=new: node.ops.__setitem__(place, new()))  # type: ignore[misc]


def _call(node: ast.Call, put: _Put, span: tuple[int, int]) -> Iterator[_Site]:
    at = node.lineno
    for keyword in node.keywords:
        if keyword.arg is not None and keyword.arg not in _NEVER:
            what = f"{keyword.arg}= left out"
            yield _Site(keyword.value.lineno, span, what, lambda keyword=keyword: node.keywords.remove(keyword))  # type: ignore[misc]
    if isinstance(node.func, ast.Name) and node.func.id in _SWAPPED:
        new = _SWAPPED[node.func.id]
        name = node.func
        yield _Site(at, span, f"{name.id} to {new}", lambda: setattr(name, "id", new))
    if isinstance(node.func, ast.Attribute):
        method = node.func
        if method.attr in _BARE and not node.args:
            yield _Site(at, span, f".{method.attr}() left out", lambda: put(method.value))
        if method.attr in _SWAPPED_METHODS:
            other = _SWAPPED_METHODS[method.attr]
            yield _Site(at, span, f"{method.attr} to {other}", lambda: setattr(method, "attr", other))


def _constants(value: object) -> list[object]:
    if isinstance(value, bool):
        return [not value]
    if isinstance(value, int | float):
        return [value + 1]
    if isinstance(value, str):
        return ["XX" + value]
    if isinstance(value, bytes):
        return [b"XX" + value]
    return []


def _joined(node: ast.JoinedStr, span: tuple[int, int]) -> Iterator[_Site]:
    """Yield the change of a formatted text's words, and those of what it shows."""
    words = next((each for each in node.values if isinstance(each, ast.Constant)), None)
    if words is not None:
        new = ast.Constant("XX")
        yield _Site(node.lineno, span, f"XX before {_short(node)}", lambda: node.values.insert(0, new))
    for each in node.values:
        if isinstance(each, ast.FormattedValue):
            yield from _node(each.value, _setter(each, "value"), span)

"""Frozen values as JSON and back, by their own type hints: exact integers, Decimals and fractions as text.

Only what our values are made of is known: dataclasses, tuples, mappings with text keys, numbers, text, days, and
unions. A dataclass in a union of several bears its class's name under ``"is"``. Names that our code has given up are
read by :mod:`pricing.store.former`.
"""

import types
from collections.abc import Iterable, Mapping
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from functools import cache
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

from pricing.store.former import FORMER

_PLAIN = (str, int, float, bool, types.NoneType)


def encode(value: Any) -> Any:
    """Return a value as JSON can hold it.

    Raises
    ------
    TypeError
        For anything that is not made of the known kinds.
    """
    if isinstance(value, _PLAIN):
        return value
    if isinstance(value, Decimal | Fraction):
        return str(value)
    if isinstance(value, date):
        return value.isoformat()
    if is_dataclass(value) and not isinstance(value, type):
        made = {each.name: encode(getattr(value, each.name)) for each in fields(value) if each.init}
        return {"is": type(value).__name__, **made}
    if isinstance(value, Mapping):
        return {str(key): encode(each) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [encode(each) for each in value]
    raise TypeError(f"{type(value).__name__} has no form in JSON here")


def decode(kind: Any, data: Any) -> Any:
    """Return the value of a type from what :func:`encode` made of it.

    Raises
    ------
    ValueError, TypeError, KeyError
        Where the data does not fit the type.
    """
    origin = get_origin(kind)
    if origin in (Union, types.UnionType):
        return _one_of(get_args(kind), data)
    if origin is not None:
        return _generic(origin, get_args(kind), data)
    if kind in (Decimal, Fraction):
        try:
            return kind(data)
        except ArithmeticError as error:  # Decimal's own for a text that is no number, Fraction's for n/0
            raise ValueError(f"{str(data)[:40]!r} is no number") from error
    if kind in (date, datetime):
        # A moment is a day too, and stands where a day is asked for, such as that of the last pour.
        return (datetime if "T" in data else kind).fromisoformat(data)
    if is_dataclass(kind):
        made: Any = kind
        hints = _hints(made)
        stored = FORMER.of(made.__name__, data)
        return made(**{name: decode(hints[name], each) for name, each in stored.items() if name in hints})
    if kind is Any or (kind in _PLAIN and isinstance(data, (int, float) if kind is float else kind)):
        return data
    raise TypeError(f"found {type(data).__name__}; wanted {kind}")


def called(name: str, kinds: Iterable[Any]) -> Any:
    """Return the one of some classes that a stored value names, by its name of today or a former one.

    Raises
    ------
    TypeError
        When it is none of them.
    """
    wanted = FORMER.name(name)
    found = [kind for kind in kinds if getattr(kind, "__name__", "") == wanted]
    if not found:
        raise TypeError(f"{name} is none of {kinds}")
    return found[0]


def _generic(origin: Any, args: tuple[Any, ...], data: Any) -> Any:
    """Return the value of a literal, a tuple or a mapping."""
    if origin is Literal:
        if data not in args:
            raise ValueError(f"{data!r} is not one of {args}")
        return data
    if origin is tuple:
        if len(args) == 2 and args[1] is Ellipsis:
            return tuple(decode(args[0], each) for each in data)
        return tuple(decode(arg, each) for arg, each in zip(args, data, strict=True))
    if issubclass(origin, Mapping):
        return {key: decode(args[1], each) for key, each in data.items()}
    raise TypeError(f"{origin} is not known here")


@cache
def _hints(kind: Any) -> dict[str, Any]:
    hints = get_type_hints(kind)
    return {each.name: hints[each.name] for each in fields(kind) if each.init}


def _one_of(kinds: tuple[Any, ...], data: Any) -> Any:
    """Return the value of the one kind of a union that the data is."""
    if data is None:
        if types.NoneType not in kinds:
            raise TypeError("nothing is no value here")
        return None
    left = [kind for kind in kinds if kind is not types.NoneType]
    if len(left) == 1:
        return decode(left[0], data)
    if isinstance(data, dict):
        return decode(called(data["is"], left), data)
    if set(left) == {date, datetime}:
        return decode(datetime if "T" in data else date, data)
    for kind in left:
        try:
            return decode(kind, data)
        except (TypeError, ValueError):
            continue
    raise TypeError(f"{data!r} is none of {kinds}")

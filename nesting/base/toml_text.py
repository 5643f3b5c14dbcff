"""TOML as people write it: read with a clear fault where it is none, and written value by value."""

import json
import re
import tomllib
from collections.abc import Callable, Mapping
from datetime import date
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Any, Final

from nesting.base.faults import refuse
from nesting.base.measure import shorten

_BARE: Final = re.compile(r"[A-Za-z0-9_-]+")


def read_text(path: Path) -> str:
    """Return the text of a TOML file; :class:`nesting.base.faults.FaultsFound` where it cannot be read."""
    try:
        return path.read_text(encoding="utf-8")
    except OSError as error:
        raise refuse(path.name, error.strerror or str(error), "a file that can be read") from error
    except UnicodeDecodeError as error:
        raise refuse(path.name, "bytes that are not UTF-8", "a TOML text in UTF-8") from error


def tables_of(text: str, file: str, accepted: str, parse_float: Callable[[str], Any] = float) -> dict[str, Any]:
    """Return the tables of a TOML text; :class:`nesting.base.faults.FaultsFound` where it is none.

    Parameters
    ----------
    text, file : str
        What stands in the file, and its name for messages.
    accepted : str
        What would be accepted in place of a text that is no TOML.
    parse_float : callable
        What a number with a point becomes, such as :func:`exact`.
    """
    try:
        return tomllib.loads(text, parse_float=parse_float)
    except (ValueError, RecursionError) as error:
        # Not TOML, numbers beyond all bounds, or lists nested without end.
        raise refuse(file, f"not TOML: {error}", accepted) from error


def exact(text: str) -> Decimal:
    """Return a number with a point as it is written; ValueError where no computer holds it."""
    try:
        return Decimal(text)
    except InvalidOperation:
        raise ValueError(f"a number beyond all bounds, {shorten(text)}") from None


def toml_key(name: str) -> str:
    """Return a key, quoted where it must be."""
    return name if _BARE.fullmatch(name) else toml_value(name)


def toml_value(value: object) -> str:
    """Return the literal of a plain value."""
    if isinstance(value, bool | int | float):
        return repr(value).lower()
    if isinstance(value, Decimal):
        return f"{value:f}"
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Mapping):
        return f"{{ {', '.join(f'{toml_key(key)} = {toml_value(each)}' for key, each in value.items())} }}"
    if isinstance(value, tuple | list):
        return f"[{', '.join(map(toml_value, value))}]"
    return json.dumps(str(value), ensure_ascii=False).replace("\x7f", "\\u007f")

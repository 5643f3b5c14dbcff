"""TOML as people write it: read with a clear fault where it is none, and written value by value."""

import json
import re
import tomllib
from collections.abc import Callable, Iterator, Mapping
from datetime import date
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Any, Final

from nesting.base.faults import Fault, FaultsFound, refuse
from nesting.base.measure import shorten
from nesting.base.shown import shown_on_a_line

_BARE: Final = re.compile(r"[A-Za-z0-9_-]+")


def read_text(path: Path) -> str:
    """Return the text of a TOML file; :class:`nesting.base.faults.FaultsFound` where it cannot be read."""
    try:
        return path.read_text(encoding="utf-8-sig")
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
        tables = tomllib.loads(text, parse_float=parse_float)
    except (ValueError, RecursionError) as error:
        # Not TOML, numbers beyond all bounds, or lists nested without end.
        raise refuse(file, f"not TOML: {error}", accepted) from error
    if faults := [Fault(file, None, where, said, PRINTED) for where, said in control_characters(tables)]:
        raise FaultsFound(faults)
    return tables


PRINTED: Final = "text without control characters (line ends and tabs may stand in it)"
"""What names and remarks of a TOML file may hold."""
_CONTROL: Final = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]")
"""What no workbook and no drawing can hold (XML 1.0, section 2.2), and DEL; TOML lets them in as escapes."""


def control_characters(tables: Mapping[str, object]) -> Iterator[tuple[str, str]]:
    """Yield where control characters stand in a file's keys and texts, and what they stand in, written out."""
    waiting: list[tuple[str, object]] = [("", tables)]
    while waiting:
        where, node = waiting.pop()
        if isinstance(node, Mapping):
            for key, value in node.items():
                within = f"{where}.{shown_on_a_line(key)}" if where else shown_on_a_line(key)
                if _CONTROL.search(key):
                    yield within, shown_on_a_line(key)
                waiting.append((within, value))
        elif isinstance(node, list):
            waiting += [(where, each) for each in node]
        elif isinstance(node, str) and _CONTROL.search(node):
            yield where, shown_on_a_line(node)


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
    """Return the literal of a plain value, of a list, or of a table on one line."""
    if isinstance(value, tuple | list):
        return f"[{', '.join(map(toml_value, value))}]"
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{toml_key(str(key))} = {toml_value(each)}" for key, each in value.items()) + " }"
    return _plain(value)


def _plain(value: object) -> str:
    """Return the literal of a value that holds no others."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, Decimal):
        return f"{value:f}"
    if isinstance(value, int | float):
        return repr(value)
    if isinstance(value, date):
        return value.isoformat()
    return json.dumps(str(value), ensure_ascii=False).replace("\x7f", "\\u007f")

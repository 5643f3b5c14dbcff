"""What the command says: every line of its own, and every mistake that its parser tells, goes out here.

Nothing else in this room prints; a test holds that.
"""

import logging
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, Final

import typer
from typer.core import TyperGroup

from nesting.base.shown import shown

_OF_A_LIBRARY: Final = "Value error, "
"""What a library puts before a sentence of its own."""


def tell(text: str, *, err: bool = False) -> None:
    """Print text that may hold what people wrote, to the screen or to the stream of errors."""
    typer.echo(shown(text), err=err)


def tell_json(text: str) -> None:
    """Print JSON as it is, in UTF-8 whatever the terminal writes."""
    typer.echo(shown(text).encode(), nl=False)


class Telling(TyperGroup):
    """A group of commands whose parser quotes what it was given only as it may be shown."""

    def make_context(self, *args: Any, **more: Any) -> Any:
        """Read what stands before the command's name."""
        with _quoting():
            return super().make_context(*args, **more)

    def invoke(self, ctx: Any) -> Any:
        """Read what stands behind the command's name, and run it."""
        with _quoting():
            return super().invoke(ctx)


@contextmanager
def _quoting() -> Iterator[None]:
    """Clean what a mistake quotes. The parser's classes are asked by what they have: typer brings its own."""
    try:
        yield
    except Exception as error:
        if hasattr(error, "format_message") and isinstance(said := getattr(error, "message", None), str):
            error.message = shown(said.removeprefix(_OF_A_LIBRARY))  # type: ignore[attr-defined]
        raise


def log_shown() -> None:
    """Let everything that libraries and the desk log, tracebacks too, go out as it may be shown."""
    handler = logging.StreamHandler()
    handler.setFormatter(_Shown("%(levelname)s: %(message)s"))
    logging.basicConfig(handlers=[handler], level=logging.WARNING)


class _Shown(logging.Formatter):
    """Writes a record as it may be shown."""

    def format(self, record: logging.LogRecord) -> str:
        """Return the record with its traceback."""
        return shown(super().format(record))

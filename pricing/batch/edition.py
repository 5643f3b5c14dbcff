"""Which edition of the program this is: what must be equal on two machines for their answers to be equal."""

import hashlib
import sys
from collections.abc import Iterator
from functools import cache
from importlib.metadata import version
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import Final

from nesting.base.version import made_by

_COUNTING: Final = ("numba", "numpy", "ortools")
"""Libraries that have a word in what is cut."""
_SOURCES: Final = (".py", ".toml", ".csv", ".json", ".ttf")


def _sources(folder: Traversable, at: str) -> Iterator[tuple[str, bytes]]:
    """Yield the files of a package that have a word in its answers, by their paths in it, in order."""
    for each in sorted(folder.iterdir(), key=lambda each: each.name):
        if each.is_dir() and each.name != "__pycache__":
            yield from _sources(each, f"{at}{each.name}/")
        elif each.name.endswith(_SOURCES):
            yield f"{at}{each.name}", each.read_bytes()


@cache
def edition() -> str:
    """Return name and version, a digest of the source, and the versions of what reckons: one line, for people too."""
    text = hashlib.sha256()
    for package in ("nesting", "pricing"):
        for name, content in _sources(files(package), ""):
            text.update(name.encode())
            text.update(hashlib.sha256(content).digest())
    libraries = ", ".join(f"{name} {version(name)}" for name in _COUNTING)
    python = ".".join(map(str, sys.version_info[:2]))
    return f"{made_by()} (source {text.hexdigest()[:8]}; Python {python}, {libraries})"

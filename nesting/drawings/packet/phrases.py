"""What the packet says to people: texts from ``phrases.toml``, by their place there."""

import tomllib
from functools import lru_cache
from importlib.resources import files
from typing import Any

from nesting.base.measure import UnitSystem
from nesting.base.writing import form


@lru_cache(maxsize=1)
def _words() -> dict[str, Any]:
    return tomllib.loads((files("nesting.drawings.packet") / "phrases.toml").read_text(encoding="utf-8"))


def said(*place: str, shop: UnitSystem = "inch") -> str:
    """Return one text, such as ``said("caution", "saw")``, on one line, with the measures that a shop reads."""
    return form(" ".join(str(_at(place)).split()), shop)


def lines(*place: str) -> tuple[str, ...]:
    """Return a list of texts, such as ``lines("check", "hung")``."""
    found = _at(place, missing=[])
    return tuple(" ".join(str(each).split()) for each in found)


def _at(place: tuple[str, ...], missing: Any = None) -> Any:
    found: Any = _words()
    for key in place:
        if key not in found and missing is not None:
            return missing
        found = found[key]
    return found

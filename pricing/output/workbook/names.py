"""Names: readable names for cells, so that a formula says what it does."""

import re
from typing import Any

_NOT_PLAIN = re.compile(r"[^a-z0-9]+")


def readable(*words: str) -> str:
    """Return words as one name: ``("price", "ply-23/32 4x8")`` is ``price_ply_23_32_4x8``."""
    plain = (_NOT_PLAIN.sub("_", word.lower()).strip("_") for word in words)
    return "_".join(word or "x" for word in plain)[:200]


class Names:
    """Gives every key a name of its own and defines it once its cell is known."""

    def __init__(self, workbook: Any) -> None:
        self._workbook = workbook
        self._by_key: dict[tuple[str, ...], str] = {}
        self._taken: set[str] = set()
        self.defined: set[str] = set()

    def of(self, *key: str) -> str:
        """Return the name of a key; equal keys have one name, unlike keys never share one."""
        if key not in self._by_key:
            name = base = readable(*key)
            number = 2
            while name in self._taken:
                name = f"{base}_{number}"
                number += 1
            self._taken.add(name)
            self._by_key[key] = name
        return self._by_key[key]

    def define(self, name: str, reference: str) -> None:
        """Let a name stand for a cell or a range."""
        if name in self.defined:
            raise ValueError(f"the name {name} is defined twice")
        self.defined.add(name)
        self._workbook.define_name(name, f"={reference}")
        self._taken.add(name)

    def missing(self) -> set[str]:
        """Return names that formulas may use and that no cell has."""
        return set(self._by_key.values()) - self.defined

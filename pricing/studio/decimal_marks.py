"""Which mark a table sets before its decimals, as its own amounts show it, and what that makes of ``1.234``."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, Self

from pricing.studio.table_file import Table

_COMMA: Final = re.compile(r"[0-9],[0-9]{1,2}(?![0-9])")
_POINT: Final = re.compile(r"[0-9]\.[0-9]{1,2}(?![0-9])")
_EITHER: Final = re.compile(r"[^0-9.,]*([1-9][0-9]{0,2})([.,])([0-9]{3})[^0-9.,]*")
"""An amount of which nobody knows by itself whether its mark stands before thousands or before decimals."""


@dataclass(frozen=True, slots=True)
class Marks:
    """What stands before the decimals of a table's amounts; both where they do not agree.

    Attributes
    ----------
    comma, point : bool
        Whether an amount has one or two decimals behind it.
    """

    comma: bool = False
    point: bool = False

    @classmethod
    def of(cls, table: Table, columns: Iterable[str]) -> Self:
        """Read them off the amounts in some columns."""
        texts = [text for row in table.rows for column in columns if (text := row.get(column))]
        return cls(any(map(_COMMA.search, texts)), any(map(_POINT.search, texts)))

    def meant(self, text: str) -> str:
        """Return an amount such as ``1.234`` as what it is where the decimals have a comma: ``1234``; else as it is."""
        found = _EITHER.fullmatch(text)
        if found is None or found[2] == "," or not self.comma or self.point:
            return text
        return text.replace(".", "")

    def doubt(self, text: str) -> str:
        """Return what to write in place of ``1,234`` where decimals have commas, or of any such where they have both.

        Nothing where the amount can be read.
        """
        found = _EITHER.fullmatch(text)
        if found is None or not self.comma or (found[2] == "." and not self.point):
            return ""
        mark = "comma" if found[2] == "," else "point"
        return f"{found[1]}{found[3]} or {found[1]}{found[2]}{found[3][:2]}: the {mark} may be either"

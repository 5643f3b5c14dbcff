"""What stands in a cell: text from a CSV file or a page, or a typed value from a spreadsheet or TOML."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Final, TypeAlias

_CONTROL: Final = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]")


@dataclass(frozen=True, slots=True)
class Unreadable:
    """A spreadsheet cell that holds no value: an error such as ``#REF!``, or a formula that was never calculated."""

    text: str
    accepted: str

    def __str__(self) -> str:
        return self.text


Cell: TypeAlias = (
    str | int | float | Decimal | datetime | date | time | timedelta | Unreadable | Sequence[object]
    | Mapping[str, object] | None
)  # fmt: skip


def text_of(cell: object) -> str:
    """Return a cell as the text that a person would see in it, without blanks around it."""
    if isinstance(cell, str):
        text = cell.strip()
        while (bare := text.strip("\ufeff\u200b").strip()) != text:
            text = bare
        return text
    if isinstance(cell, Mapping):
        return ", ".join(f"{key} {text_of(value)}" for key, value in list(cell.items())[:20])
    if isinstance(cell, Sequence):
        return ", ".join(text_of(value) for value in cell[:200])
    return _value_text(cell)


def _value_text(cell: object) -> str:
    """Return a single typed value as text."""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, int) and abs(cell) >= 10**30:
        return "a number of more than 30 digits"
    if isinstance(cell, float):
        # 15 digits, as spreadsheets show: a computed 30.299999999999997 is meant as 30.3.
        return format(cell, ".15g")
    if isinstance(cell, datetime):
        return cell.isoformat(sep=" ")
    return "" if cell is None else str(cell)


def without_control(text: str) -> str:
    """Return a heading with blanks for control characters, which no workbook and no drawing can hold."""
    return _CONTROL.sub(" ", text).strip()


def is_blank(cell: object) -> bool:
    """Whether nothing stands in a cell."""
    return text_of(cell) == ""

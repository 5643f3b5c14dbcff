"""Figures as people and spreadsheets write them: separators of thousands, a decimal point or comma."""

import re
from decimal import Decimal
from typing import Final

_SHAPES: Final = (
    (re.compile(r"[0-9]+(?:[.,][0-9]{1,2})?"), ""),
    (re.compile(r"\.[0-9]{1,2}"), ""),
    (re.compile(r"[1-9][0-9]{0,2}(?:,[0-9]{3})+(?:\.[0-9]{1,2})?"), ","),
    (re.compile(r"[1-9][0-9]{0,2}(?:\.[0-9]{3})+,[0-9]{1,2}"), "."),
    (re.compile(r"[1-9][0-9]{0,2}(?:\.[0-9]{3}){2,}"), "."),
    (re.compile(r"[1-9][0-9]{0,2}(?: [0-9]{3})+(?:[.,][0-9]{1,2})?"), " "),
    (re.compile(r"[1-9][0-9]{0,2}(?:'[0-9]{3})+(?:\.[0-9]{1,2})?"), "'"),
)
_DASHED: Final = re.compile(r"[.,](?:-|–|—)$")
"""``65,-`` and ``65.-`` are whole amounts."""


def parse_figure(text: str) -> Decimal | None:
    """Read an amount of whole hundredths: ``1200``, ``1,200.00``, ``1.200,50``, ``1 200,50``, ``1'200.50``, ``65,-``.

    None for anything else: ``1.234`` too, which may be either.
    """
    plain = _DASHED.sub("", text.strip())
    for shape, thousands in _SHAPES:
        if shape.fullmatch(plain):
            whole = plain.replace(thousands, "") if thousands else plain
            return Decimal(whole.replace(",", "."))
    return None

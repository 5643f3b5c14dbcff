"""Parts of one, as people write them: ``40 %`` or ``0.4``."""

import re
from decimal import Decimal
from typing import Final

_RATIO: Final = re.compile(r"([0-9]{1,3}(?:[.,][0-9]{1,15})?|[.,][0-9]{1,15})\s*(%?)")
"""With as many digits as a spreadsheet shows of a third. No part has thousands, so that a comma is a decimal one."""


def parse_ratio(text: str, *, percent: bool = False) -> Decimal:
    """Read a part of one, exactly.

    Parameters
    ----------
    text : str
        Such as ``40 %``, ``0.4`` or ``0``.
    percent : bool
        Whether a bare number is per cent, as below a heading that says so.

    Raises
    ------
    ValueError
        For anything else. Bare numbers that may be meant either way are refused: 40 alone, and 0.4 where bare numbers
        are per cent (a spreadsheet holds 40 % as 0.4).
    """
    match = _RATIO.fullmatch(text.strip())
    if match is None:
        raise ValueError(f"{text!r} is not a part such as 40 % or 0.4")
    number = Decimal(match[1].replace(",", "."))
    if match[2]:
        return number / 100
    if (0 < number < 1) if percent else number > 1:
        raise ValueError(f"{text!r} may be per cent or a part of one")
    return number / 100 if percent else number


def ratio_text(ratio: Decimal | None) -> str:
    """Write a part of one as per cent, exactly: 0.0875 is ``8.75 %``; nothing where it is not stated."""
    return "" if ratio is None else f"{(ratio * 100).normalize():f} %"

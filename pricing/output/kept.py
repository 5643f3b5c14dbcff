"""Kept: what the tables of a quote that was sent or pinned say of work and goods, read back as values.

They are those of whichever version of the program wrote them. A heading or a title that is changed in
:mod:`pricing.output.tables` or :mod:`pricing.quoting.labour` gets a line here, so that older documents read on.
"""

from collections.abc import Iterable, Mapping
from decimal import Decimal, InvalidOperation
from typing import Any, Final

from pricing.quoting.labour import TITLES, Operation
from pricing.quoting.learned import CUT, FORMS, Reckoned

_OPERATIONS: Final[Mapping[str, Operation]] = {title: operation for operation, (_, title) in TITLES.items()}
"""Operations by every title that they ever had; none has had another yet."""
_NONE: Final = Decimal(0)


def counts_in(labour: Iterable[Mapping[str, Any]]) -> dict[Operation, int]:
    """Return how often each operation is done, from the table of work; what has no title that is known is left out."""
    counts: dict[Operation, int] = {}
    for row in labour:
        operation = _OPERATIONS.get(str(row.get("operation", "")))
        if operation:
            counts[operation] = counts.get(operation, 0) + int(_number(row.get("count")))
    return {operation: count for operation, count in counts.items() if count > 0}


def reckoned_in(takeoff: Iterable[Mapping[str, Any]]) -> dict[str, Reckoned]:
    """Return what was reckoned of each stock that is bought, from the table of what is bought and used.

    Documents of 0.1.0 do not tell the parts of sheets and sticks alone: nothing is needed of those.
    """
    found: dict[str, Reckoned] = {}
    for row in takeoff:
        form = next((each for each in FORMS if each == row.get("unit")), None)
        if row.get("source") != "buy" or form is None:
            continue
        column = "parts alone" if form in CUT else "used"
        found[str(row["stock"])] = Reckoned(form, _number(row.get(column)), _number(row.get("unit price")))
    return found


def _number(cell: Any) -> Decimal:
    """Return a figure, however it was written; 0 where there is none."""
    try:
        number = Decimal(str(cell))
    except InvalidOperation:
        return _NONE
    return number if number.is_finite() else _NONE

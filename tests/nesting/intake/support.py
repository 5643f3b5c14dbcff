"""What the tests of reading share: small tables, and what is said of wrong ones."""

from collections.abc import Sequence
from typing import Any

import pytest

from nesting.base.faults import FaultsFound
from nesting.base.tables.cells import Cell
from nesting.intake import order_from_rows
from nesting.order import Artwork

HEAD = ["piece", "width", "height", "depth"]


def faults_of(*rows: Sequence[Cell], **how: Any) -> list[str]:
    """Read a table that is wrong; return its faults as sentences."""
    with pytest.raises(FaultsFound) as caught:
        order_from_rows(rows, **how)
    return [fault.message for fault in caught.value.faults]


def one(**cells: Cell) -> Artwork:
    """Read one artwork of 30 x 40 x 1 1/2 in with more columns; nothing may be doubted."""
    order = order_from_rows([[*HEAD, *cells], ["A-01", "30", "40", "1 1/2", *cells.values()]])
    assert order.warnings == ()
    return order.artworks[0]

"""Small orders and desks that the tests of the desk share."""

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import Final

from nesting.base.search import QUICK, Effort, Search
from nesting.intake import order_from_rows, read_order
from pricing.desk.desk import Desk
from pricing.desk.lacking import stamp
from pricing.quoting.lacks import graves
from pricing.quoting.quote import Quote
from pricing.quoting.work import work
from pricing.studio.office import Office

DAY: Final = date(2026, 11, 25)
SAMPLES: Final = Path(__file__).parents[3] / "sample_orders"
HEADINGS: Final = ("piece", "title", "width", "height", "depth", "weight", "method", "destination")
ROWS: Final = (
    ("A-01", "First", "30", "30", "1 1/2", "18 lb", "auto", "Harbour Gallery"),
    ("A-02", "Second", "36", "48", "1 1/2", "33 lb", "auto", "Hillside Gallery"),
)
"""Two pieces of an invented studio."""
HELD_HEADINGS: Final = (*HEADINGS, "back")
HELD_ROWS: Final = (
    ("A-01", "First", "30", "30", "1 1/2", "18 lb", "auto", "Harbour Gallery", ""),
    ("A-02", "Slab", "40", "40", "1 1/2", "390 lb", "closed", "Harbour Gallery", "solid"),
)
"""A piece whose crate is good, and one so heavy that its crate is held."""
HELD_CASE: Final = (
    ("B-01", "Slab", "40", "40", "1 1/2", "200 lb", "travel", "Harbour Gallery", "solid"),
    ("B-02", "Light", "40", "40", "1 1/2", "20 lb", "travel", "Harbour Gallery", "solid"),
)
"""Two travel frames of one case; the first is held, and all with it."""


def twelve() -> tuple[tuple[str, ...], ...]:
    """Return twelve pieces of differing sizes: the order that the promise of speed is about."""
    sizes = [(18 + 3 * n, 24 + 2 * n) for n in range(12)]
    return tuple(
        (f"B-{n:02d}", f"Work {n}", str(w), str(h), "1 1/2", "", "auto", "Harbour Gallery")
        for n, (w, h) in enumerate(sizes, start=1)
    )


def quick_quote(rows: Sequence[Sequence[str]] = ROWS, effort: Effort = "quick") -> Quote:
    """Return a quote of a small order, worked without the desk."""
    return work(order_from_rows([HEADINGS, *rows]), Office(), on=DAY, search=Search(effort=effort))


def gallery() -> Quote:
    """Return a quote of the sample consignment."""
    return work(read_order(SAMPLES / "gallery_consignment.csv"), Office(), on=DAY, search=QUICK)


def looked_at(desk: Desk, job: int) -> dict[str, str]:
    """Return what the form that sends a quote says: the list that was looked at, and a word for all that is grave."""
    answer = desk.sheaf(job).answer
    lacks = answer.quote.lacks if answer else ()
    words = {f"word-{lack.kind}": f"The client knows of it ({lack.kind})." for lack in graves(lacks)}
    return {"seen": stamp(lacks), **words}

"""Whether every document of a store can be read: asked of one that came in from elsewhere, before it is put in place.

The store knows documents as text alone. What cannot be decoded is told by name; what can be, but does not stand
together, such as a rule beyond its range, is for the page that mends it.
"""

from collections.abc import Callable, Iterator, Mapping
from contextlib import closing
from pathlib import Path
from typing import Final

from nesting.base.faults import FaultsFound
from pricing.desk.content import content_from
from pricing.desk.studio import PARTIES, PRICES, RULES, book_from, parties_in, rulings_from, sizes_from
from pricing.store import Store
from pricing.store.pins import cut_from
from pricing.store.rackroom import PAPER as RACK
from pricing.store.rackstate import state_from

_UNREADABLE: Final = (
    ValueError, KeyError, TypeError, AttributeError, IndexError, RecursionError, ArithmeticError,
)  # fmt: skip
_BY_NAME: Final[Mapping[str, tuple[str, Callable[[str], object]]]] = {
    PRICES: ("price book", lambda text: (book_from(text), sizes_from(text))),
    RULES: ("list of rules", rulings_from),
    PARTIES: ("table of parties", parties_in),
    RACK: ("rack", state_from),
}
_OF_A_JOB: Final[Mapping[str, tuple[str, Callable[[str], object]]]] = {
    "job": ("job", content_from),
    "cut": ("list of what is pinned and sawn", cut_from),
}


def unsound(folder: Path) -> Iterator[str]:
    """Yield every revision of a document that cannot be read, and every job whose picture is missing."""
    with closing(Store(folder)) as store:
        pictures = {row["id"] for row in store.database.rows("SELECT id FROM pictures")}
        with store.database.aside() as link:
            query = "SELECT document, number, content FROM revisions ORDER BY document, number"
            for name, number, content in link.execute(query):
                kind, _, job = name.partition(":")
                known = _OF_A_JOB.get(kind) if job else _BY_NAME.get(name)
                if known is None:
                    continue
                what, read = known
                try:
                    made = read(content)
                except FaultsFound:
                    continue
                except _UNREADABLE:
                    yield f"{name}, revision {number}: no {what} that can be read"
                    continue
                if lost := _lost(made, pictures):
                    yield f"{name}, revision {number}: picture {lost} is missing"


def _lost(made: object, pictures: set[int]) -> str:
    """Return the numbers of the pictures that a job or the studio's logo asks for and that are not there."""
    asked = [*getattr(made, "photos", {}).values(), getattr(made, "logo", 0)]
    return ", ".join(str(number) for number in asked if number and number not in pictures)

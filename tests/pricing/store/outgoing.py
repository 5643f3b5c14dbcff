"""A quote for the tests of the store, about to be sent."""

from datetime import date
from decimal import Decimal
from typing import Final

from pricing.store.quotes import Outgoing

PAPERS: Final = {"build.json": b"a line that repeats\n" * 200, "packet.pdf": bytes(range(256))}
"""One that packs well, one that does not."""


def outgoing(total: str = "10.00") -> Outgoing:
    """Return a quote that came to so much."""
    return Outgoing("1-1", date(2026, 11, 25), Decimal(total), "USD", "{}", "{}", "[]", "{}", PAPERS)

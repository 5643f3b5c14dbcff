import sqlite3
from decimal import Decimal

import pytest

from pricing.store import Store
from pricing.store.quotes import SentQuote
from tests.pricing.store.outgoing import outgoing


def _freeze(store: Store, job: int, total: str) -> SentQuote:
    return store.quotes.freeze(job, outgoing(total), "v1")


def test_versions_count_up_within_a_job(store: Store) -> None:
    one, other = store.jobs.add("One"), store.jobs.add("Other")
    assert [_freeze(store, job, "10.00").version for job in (one, one, other)] == [1, 2, 1]
    assert [each.version for each in store.quotes.of(one)] == [2, 1]
    assert store.jobs.get(one).versions == 2
    assert store.quotes.get(one, 1).total == Decimal("10.00")


@pytest.mark.parametrize(
    "query",
    [
        "UPDATE quotes SET total = '1.00'",
        "DELETE FROM quotes",
        "INSERT OR REPLACE INTO quotes VALUES (1, 1, '1-1', '2026-11-25', '1.00', 'USD', '', '', '', '', '')",
    ],
)
def test_what_was_sent_cannot_be_changed_even_by_hand(store: Store, query: str) -> None:
    _freeze(store, store.jobs.add("One"), "10.00")
    with pytest.raises(sqlite3.IntegrityError, match="sent quote"), store.database.writing() as link:
        link.execute(query)
    assert store.quotes.get(1, 1).total == Decimal("10.00")

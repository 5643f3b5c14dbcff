"""The last answer of long work outlives the desk; what cannot be read any more is as if it had never been."""

from dataclasses import dataclass
from decimal import Decimal

from pricing.store import Store


@dataclass(frozen=True)
class Sum:
    """An answer for the test."""

    key: str
    total: Decimal
    parts: tuple[int, ...] = ()


def test_the_last_one_of_each_kind_of_each_job_is_kept(store: Store) -> None:
    one, other = store.jobs.add("One"), store.jobs.add("Other")
    sums, more = store.answers("sums", Sum, "v1"), store.answers("more", Sum, "v1")
    assert sums.last(one) is None
    sums.keep(one, Sum("a", Decimal("1.50")))
    sums.keep(one, Sum("b", Decimal("2.50"), (1, 2)))
    more.keep(one, Sum("c", Decimal(3)))
    sums.keep(other, Sum("d", Decimal(4)))
    assert sums.last(one) == Sum("b", Decimal("2.50"), (1, 2))
    assert more.last(one) == Sum("c", Decimal(3))
    assert sums.last(other) == Sum("d", Decimal(4))
    assert len(store.database.rows("SELECT 1 FROM answers")) == 3


def test_what_another_version_wrote_is_not_shown_as_ours(store: Store) -> None:
    job = store.jobs.add("One")
    store.answers("sums", Sum, "v1").keep(job, Sum("a", Decimal(1)))
    assert store.answers("sums", Sum, "v2").last(job) is None
    assert store.answers("sums", Sum, "v1").last(job) is not None


def test_what_cannot_be_read_any_more_is_none(store: Store) -> None:
    job = store.jobs.add("One")
    sums = store.answers("sums", Sum, "v1")
    sums.keep(job, Sum("a", Decimal(1)))
    for text in ("", "[]", "{}", '{"key": "a", "total": "much"}', '{"key": "a", "total": "1", "parts": ["x"]}'):
        with store.database.writing() as link:
            link.execute("UPDATE answers SET content = ?", (text,))
        assert sums.last(job) is None, text

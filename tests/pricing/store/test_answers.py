"""The last answer of long work outlives the desk; what cannot be read any more is as if it had never been."""

from dataclasses import dataclass
from decimal import Decimal

from pricing.store import Store
from pricing.store.answers import Kept


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
    assert sums.last(one) == Kept(Sum("b", Decimal("2.50"), (1, 2)), "v1")
    assert more.last(one) == Kept(Sum("c", Decimal(3)), "v1")
    assert sums.last(other) == Kept(Sum("d", Decimal(4)), "v1")
    assert len(store.database.rows("SELECT 1 FROM answers")) == 3


def test_what_another_version_wrote_is_read_and_told_as_its_own(store: Store) -> None:
    job = store.jobs.add("One")
    store.answers("sums", Sum, "v1").keep(job, Sum("a", Decimal(1)))
    later = store.answers("sums", Sum, "v2")
    assert later.last(job) == Kept(Sum("a", Decimal(1)), "v1")
    later.keep(job, Sum("b", Decimal(2)))
    assert later.last(job) == Kept(Sum("b", Decimal(2)), "v2")


def test_what_cannot_be_read_any_more_is_none(store: Store) -> None:
    job = store.jobs.add("One")
    sums = store.answers("sums", Sum, "v1")
    sums.keep(job, Sum("a", Decimal(1)))
    for text in ("", "[]", "{}", '{"key": "a", "total": "much"}', '{"key": "a", "total": "1", "parts": ["x"]}'):
        with store.database.writing() as link:
            link.execute("UPDATE answers SET content = ?", (text,))
        assert sums.last(job) is None, text

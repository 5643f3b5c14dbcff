from datetime import date
from decimal import Decimal

import pytest

from pricing.store import Store, StoreError


def test_jobs_are_found_by_any_of_their_words(store: Store) -> None:
    spring = store.jobs.add("Spring show", "Harbour Gallery")
    store.jobs.add("Autumn fair", "Harbour Gallery")
    store.jobs.note(spring, pieces=2, total="USD 1.00", words="G-01 Salt Meadow 100%")
    assert [job.name for job in store.jobs.find("harbour")] == ["Autumn fair", "Spring show"]
    assert [job.name for job in store.jobs.find("salt harbour")] == ["Spring show"]
    assert [job.name for job in store.jobs.find("100%")] == ["Spring show"], "marks of LIKE are plain text"
    assert store.jobs.find("1_0%") == []


def test_a_word_is_found_whatever_its_capitals_and_accents(store: Store) -> None:
    store.jobs.add("ÉTUDE NO. 3", "Galerie Łąka")
    for word in ("étude", "etude", "Etude ÉTUDE", "galerie", "3"):
        assert [job.client for job in store.jobs.find(word)] == ["Galerie Łąka"], word
    assert store.jobs.find("etüdes") == []


def test_jobs_are_listed_by_standing_by_due_day_and_where_they_are_late(store: Store) -> None:
    dues = {"Late": date(2026, 11, 20), "Today": date(2026, 11, 25), "Gone": date(2026, 11, 1), "None": None}
    for name, due in dues.items():
        store.jobs.note(store.jobs.add(name), pieces=1, total="", words="", due=due)
    store.jobs.stand(1, "accepted", date(2026, 11, 1))
    store.jobs.stand(3, "delivered", date(2026, 11, 1))
    today = date(2026, 11, 25)

    def names(way: str = "", *, by_due: bool = False, words: str = "") -> list[str]:
        return [job.name for job in store.jobs.find(words, way=way, today=today, by_due=by_due)]

    assert names(by_due=True) == ["Gone", "Late", "Today", "None"]
    assert names() == ["Gone", "Late", "None", "Today"], "those changed last first"
    assert names("open", by_due=True) == ["Late", "Today", "None"]
    assert names("late") == ["Late"]
    assert names("draft") == ["None", "Today"]
    assert names("delivered", words="gone") == ["Gone"]
    assert names("paid") == []
    assert [job.late_by(today) for job in store.jobs.find(by_due=True)] == [0, 5, 0, 0]
    with pytest.raises(StoreError, match="sometimes is no way"):
        names("sometimes")


def test_the_list_keeps_what_is_held_beside_the_total(store: Store) -> None:
    job = store.jobs.add("Spring show")
    assert store.jobs.get(job).held == ""
    store.jobs.note(job, pieces=2, total="USD 1.00", words="", held="K2 is held: " + "x" * 3_000)
    assert store.jobs.get(job).held.startswith("K2 is held: xxx")
    assert len(store.jobs.get(job).held) == 2_000
    store.jobs.note(job, pieces=2, total="USD 1.00", words="")
    assert store.jobs.find()[0].held == ""


def test_a_job_put_away_is_off_the_list_and_comes_back(store: Store) -> None:
    job = store.jobs.add("Spring show")
    store.jobs.archive(job)
    assert store.jobs.find() == []
    assert [each.id for each in store.jobs.find(archived=True)] == [job]
    store.jobs.archive(job, away=False)
    assert [each.id for each in store.jobs.find()] == [job]
    assert (store.jobs.count(), store.jobs.count(archived=True)) == (1, 0)


def test_standing_is_the_latest_step_that_was_not_taken_out(store: Store) -> None:
    job = store.jobs.add("Spring show")
    assert store.jobs.get(job).standing == "draft"
    store.jobs.stand(job, "accepted", date(2026, 11, 20))
    paid = store.jobs.stand(job, "deposit", date(2026, 11, 21), Decimal("500.00"), "half")
    assert store.jobs.get(job).standing == "deposit"
    assert store.jobs.standings(job)[-1].amount == Decimal("500.00")
    store.jobs.strike(job, paid)
    assert store.jobs.get(job).standing == "accepted"
    store.jobs.strike(job, paid, gone=False)
    assert store.jobs.get(job).standing == "deposit"


def test_ticks_and_pictures(store: Store) -> None:
    job = store.jobs.add("Spring show")
    store.jobs.fetch(job, "ply-3/8 4x8", Decimal(9))
    assert store.jobs.fetched(job) == {"ply-3/8 4x8": Decimal(9)}
    store.jobs.fetch(job, "ply-3/8 4x8", Decimal(0))
    assert store.jobs.fetched(job) == {}
    numbers = [store.jobs.keep_picture(data) for data in (b"one", b"other")]
    assert [store.jobs.picture(number) for number in (*numbers, 99)] == [b"one", b"other", None]


def test_a_job_that_is_not_there_is_said(store: Store) -> None:
    with pytest.raises(LookupError, match="no job 7"):
        store.jobs.get(7)
    with pytest.raises(LookupError):
        store.jobs.archive(7)

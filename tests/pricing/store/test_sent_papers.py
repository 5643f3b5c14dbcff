import sqlite3

import pytest

from pricing.store import Store
from pricing.store.sent_papers import pack, unpack
from tests.pricing.store.outgoing import PAPERS, outgoing


def _without(store: Store) -> None:
    """Send a quote as 0.1.0 did: with no papers."""
    job = store.jobs.add("One")
    with store.database.writing() as link:
        row = (job, 1, "1-1", "2026-11-25", "10.00", "USD", "{}", "{}", "[]", "{}", "then")
        link.execute("INSERT INTO quotes VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", row)


def test_papers_are_kept_with_the_quote_byte_for_byte(store: Store) -> None:
    store.quotes.freeze(store.jobs.add("One"), outgoing(), "v1")
    assert {name: store.sent_papers.get(1, 1, name) for name in PAPERS} == PAPERS
    printing = store.sent_papers.printing(1, 1)
    assert printing is not None
    assert (printing.made_by, printing.afterwards, printing.trouble) == ("v1", False, "")
    assert store.sent_papers.wanting("v2") == []
    with pytest.raises(LookupError, match=r"keeps no other\.pdf"):
        store.sent_papers.get(1, 1, "other.pdf")


def test_a_paper_is_packed_where_that_pays() -> None:
    packing, content = pack(PAPERS["build.json"])
    assert (packing, len(content) < 100) == ("zlib", True)
    assert unpack(packing, content) == PAPERS["build.json"]
    assert pack(PAPERS["packet.pdf"]) == ("", PAPERS["packet.pdf"])


@pytest.mark.parametrize(
    "query",
    [
        "UPDATE sent_papers SET content = x'00'",
        "DELETE FROM sent_papers",
        "INSERT OR REPLACE INTO sent_papers VALUES (1, 1, 'packet.pdf', '', x'00')",
        "INSERT INTO sent_papers VALUES (1, 1, 'another.pdf', '', x'00')",
        "UPDATE printings SET made_by = 'v2'",
        "DELETE FROM printings",
        "INSERT OR REPLACE INTO printings VALUES (1, 1, 'v2', 'now', 1, 'trouble')",
    ],
)
def test_papers_cannot_be_changed_even_by_hand(store: Store, query: str) -> None:
    store.quotes.freeze(store.jobs.add("One"), outgoing(), "v1")
    with pytest.raises(sqlite3.IntegrityError, match="papers of a sent quote"), store.database.writing() as link:
        link.execute(query)
    assert {name: store.sent_papers.get(1, 1, name) for name in PAPERS} == PAPERS


def test_a_quote_without_papers_gets_them_once(store: Store) -> None:
    _without(store)
    assert store.sent_papers.wanting("v2") == [(1, 1)]
    assert store.sent_papers.printing(1, 1) is None
    store.sent_papers.keep(1, 1, PAPERS, "v2", afterwards=True)
    assert store.sent_papers.wanting("v3") == []
    with pytest.raises(sqlite3.IntegrityError, match="frozen"):
        store.sent_papers.keep(1, 1, PAPERS, "v3", afterwards=True)
    printing = store.sent_papers.printing(1, 1)
    assert printing is not None
    assert (printing.made_by, printing.afterwards) == ("v2", True)


def test_what_one_program_cannot_make_another_may(store: Store) -> None:
    _without(store)
    store.sent_papers.give_up(1, 1, "v2", "It comes to another total.")
    assert store.sent_papers.wanting("v2") == [], "the same program does not try again at each start"
    assert store.sent_papers.wanting("v3") == [(1, 1)]
    store.sent_papers.give_up(1, 1, "v3", "Nor does this one.")
    printing = store.sent_papers.printing(1, 1)
    assert printing is not None
    assert printing.trouble == "Nor does this one."
    store.sent_papers.keep(1, 1, PAPERS, "v4", afterwards=True)
    assert store.sent_papers.get(1, 1, "packet.pdf") == PAPERS["packet.pdf"]


def test_papers_are_kept_all_or_none(store: Store) -> None:
    _without(store)
    with pytest.raises(TypeError):
        store.sent_papers.keep(1, 1, {**PAPERS, "": None}, "v2", afterwards=True)  # type: ignore[dict-item]  # refused halfway
    assert store.database.rows("SELECT 1 FROM sent_papers") == []
    assert store.sent_papers.wanting("v2") == [(1, 1)]

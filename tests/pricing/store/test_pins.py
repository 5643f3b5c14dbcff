"""What is pinned of a job never changes; whether it holds, and what is sawn of it, is undone and redone."""

import json
import sqlite3
import zlib
from collections.abc import Callable
from datetime import date
from typing import Any

import pytest

from pricing.quoting.quote import Quote
from pricing.store import Conflict, Store, StoreError
from pricing.store.pins import Cut, Pinning, cut_from, quote_bytes, quote_from
from tests.pricing.desk.orders import quick_quote
from tests.pricing.store.outgoing import PAPERS

GOOD = "ply-3/8"


def pinning(quote: Quote | None = None) -> Pinning:
    return Pinning("accepted: as it stood", date(2026, 11, 25), 3, "{}", quote, "{}", papers=PAPERS)


def pinned(store: Store, **first: tuple[str, int, int]) -> int:
    job = store.jobs.add("One")
    store.pins.pin(job, pinning(), "v1", based_on=0, **first)
    return job


def now(store: Store, job: int) -> int:
    return store.pins.document(job).revision


def test_a_whole_quote_and_its_papers_come_back_equal(store: Store) -> None:
    quote = quick_quote()
    job = store.jobs.add("One")
    pin = store.pins.pin(job, pinning(quote), "v1", based_on=0)
    assert store.pins.current(job) == pin
    assert (pin.number, pin.made_by, pin.why, pin.revision) == (1, "v1", "accepted: as it stood", 3)
    assert store.pins.quote(job, 1) == quote
    assert {name: store.pins.paper(job, 1, name) for name in PAPERS} == PAPERS
    with pytest.raises(LookupError, match="keeps no passwd"):
        store.pins.paper(job, 1, "passwd")
    with pytest.raises(LookupError, match="has no pin 2"):
        store.pins.get(job, 2)


def test_what_was_pinned_before_anything_was_held_reads_on() -> None:
    """A quote that was kept without standing, reasons and codes is read as one in which all is good."""
    quote = quick_quote()
    kept = json.loads(zlib.decompress(quote_bytes(quote)))
    assert strip(kept) > 0
    read = quote_from(zlib.compress(json.dumps(kept).encode()))
    assert read is not None
    assert [crate.standing for crate in read.build.every] == ["good"] * len(quote.build.crates)
    assert {(crate.design, crate.others, crate.held_for) for crate in read.build.crates} == {(None, (), ())}
    assert read.total == quote.total
    again = json.loads(zlib.decompress(quote_bytes(read)))
    strip(again)
    assert again == kept, "all else is as it was"


LATER = {
    "Build": {"held", "grouping", "unpacked"},
    "Artwork": {
        "accept_held",
        "commission",
        "shock_limit",
        "buyer",
        "gallery",
        "artist",
        "year",
        "medium",
        "photo",
        "edition",
        "least_price",
        "production_cost",
    },
    "Order": {"commission", "cushion", "buyer", "gallery"},
    "Sawn": {"design", "pieces"},
    "Studio": {"tax_number", "eori", "logo", "responsible", "kind_of_work"},
    "CaseRules": {"cushion"},
    "CushionRules": {"art_carrier", "own_van", "least", "least_gentle", "snug"},
    "Material": {"curve_base_psi", "curve_rise", "density_k", "k_mod"},
    "Destination": {"terms", "limited", "zone", "quoted", "quoted_by", "quoted_until", "party", "port"},
    "Quote": {"taxes", "parties"},
    "SalePrice": {"said", "art_tax", "tax_name", "untaxed", "freight", "insurance", "freight_by", "insurance_by"},
    "Crate": {"standing", "held_for", "accepted", "code", "design", "others", "gear", "bolts", "body", "stands"},
    "Work": {"bolts", "fittings", "seals"},
    "Good": {"rated_lb", "deck", "under", "opens_to"},
    "Shop": {"gear"},
    "LabourRules": {
        "bolt",
        "fitting",
        "mark_out",
        "seal",
        "label",
        "record",
        "yard",
        "hand_over",
        "track_cut",
        "carry",
        "turn",
        "stop_setup",
        "chop_cut",
        "knife_cut",
        "bevel_setup",
    },
    "CartonRules": {"soft_good", "soft_least", "soft_most", "divider_good", "tray_air", "share_most", "fill_most"},
    "Check": {"would_pass", "worked", "numbers", "told", "other", "in_si"},
    "Drill": {"clearance", "bores"},
    "Rates": {"form", "by_good", "consignment"},
    "Offer": {"handed", "needs", "told", "liable", "insure", "days", "days_most", "as_of"},
    "FreightCharge": {"of"},
    "PriceRules": {"waste", "sheet_waste"},
    "Taken": {"net"},
    "Line": {"charged"},
    "Shipment": {"leg", "legs", "origin", "to", "part"},
    "DeliveryRules": {"freight_stale_days"},
    "TaxRules": {"by_destination", "abroad"},
    "FreightProfile": {
        "countries",
        "goes_to",
        "km",
        "per_piece",
        "transit_days",
        "transit_days_most",
        "working_days",
        "closed",
        "zones",
        "stack_most",
        "stack_high",
        "released_sdr_per_kg",
        "released_sdr_per_piece",
        "sizes",
    },
}
"""Fields that came with held crates, by class."""


def strip(value: Any) -> int:
    """Take out of all that is kept what came with held crates; return how many fields."""
    if isinstance(value, list):
        return sum(map(strip, value))
    if not isinstance(value, dict):
        return 0
    gone = [value.pop(name) for name in LATER.get(value.get("is", ""), ()) if name in value]
    return len(gone) + sum(map(strip, value.values()))


@pytest.mark.parametrize(
    "change",
    [
        "UPDATE pins SET result = '[]'",
        "UPDATE pins SET quote = x'00'",
        "DELETE FROM pins",
        "INSERT OR REPLACE INTO pins SELECT * FROM pins",
        "UPDATE pin_papers SET content = x'00'",
        "DELETE FROM pin_papers",
        "INSERT OR REPLACE INTO pin_papers SELECT * FROM pin_papers",
    ],
)
def test_nothing_that_is_pinned_can_be_changed(store: Store, change: str) -> None:
    pinned(store)
    with pytest.raises(sqlite3.IntegrityError, match=r"pinned (is|are)"), store.database.writing() as link:
        link.execute(change)


def test_every_step_is_undone_and_redone(store: Store) -> None:
    job = pinned(store, sawn=(GOOD, 0, 1))
    store.pins.saw(job, (1, GOOD, 0), 2, based_on=now(store, job), what="2 cut")
    store.pins.saw(job, (1, GOOD, 3), 1, based_on=now(store, job), what="1 cut")
    store.pins.unpin(job, based_on=now(store, job))
    states = [Cut(), Cut((1,), {(1, GOOD, 0): 1}), Cut((1,), {(1, GOOD, 0): 2}),
              Cut((1,), {(1, GOOD, 0): 2, (1, GOOD, 3): 1}), Cut()]  # fmt: skip
    assert store.pins.current(job) is None
    for way, wanted in (("undo", states[3::-1]), ("redo", states[1:])):
        for state in wanted:
            store.pins.step(job, "undo" if way == "undo" else "redo", based_on=now(store, job))
            assert store.pins.cut(job) == state
            rows = store.database.rows("SELECT pin, good, sheet, count FROM sawn")
            assert {(pin, good, sheet): count for pin, good, sheet, count in rows} == state.sawn
            assert (store.pins.current(job) is not None) == bool(state.pins)
    with pytest.raises(LookupError):
        store.pins.step(job, "redo", based_on=now(store, job))


def test_a_later_pin_stands_over_the_earlier_until_it_is_taken_off(store: Store) -> None:
    job = pinned(store, sawn=(GOOD, 0, 1))
    store.pins.pin(job, pinning(), "v2", based_on=now(store, job), sawn=(GOOD, 1, 1))
    current = store.pins.current(job)
    assert current is not None
    assert current.number == 2
    assert store.pins.cut(job).of(1) == {(GOOD, 0): 1}
    store.pins.unpin(job, based_on=now(store, job))
    assert store.pins.cut(job) == Cut((1,), {(1, GOOD, 0): 1})
    store.pins.unpin(job, based_on=now(store, job))
    store.pins.pin(job, pinning(), "v3", based_on=now(store, job))
    again = store.pins.current(job)
    assert again is not None
    assert again.number == 3, "no number is used twice: what was unpinned is kept"


@pytest.mark.parametrize(
    "change",
    [
        lambda store, job, seen: store.pins.pin(job, pinning(), "v1", based_on=seen),
        lambda store, job, seen: store.pins.saw(job, (1, GOOD, 0), 1, based_on=seen, what="1 cut"),
        lambda store, job, seen: store.pins.unpin(job, based_on=seen),
        lambda store, job, seen: store.pins.step(job, "undo", based_on=seen),
    ],
)
def test_who_saw_something_else_changes_nothing(store: Store, change: Callable[[Store, int, int], object]) -> None:
    job = pinned(store)
    seen = now(store, job)
    store.pins.saw(job, (1, GOOD, 2), 1, based_on=seen, what="1 cut")
    before = store.pins.cut(job)
    with pytest.raises(Conflict):
        change(store, job, seen)
    assert store.pins.cut(job) == before
    assert len(store.database.rows("SELECT 1 FROM pins")) == 1


def test_what_is_not_pinned_cannot_be_ticked_or_unpinned(store: Store) -> None:
    job = pinned(store)
    store.pins.unpin(job, based_on=now(store, job))
    with pytest.raises(StoreError, match="not pinned any more"):
        store.pins.saw(job, (1, GOOD, 0), 1, based_on=now(store, job), what="1 cut")
    with pytest.raises(StoreError, match="it is not pinned"):
        store.pins.unpin(job, based_on=now(store, job))


def test_what_no_program_can_read_is_none() -> None:
    packed = quote_bytes(quick_quote())
    assert quote_from(packed) is not None
    assert quote_from(packed[:-9]) is None
    assert quote_from(b"") is None
    assert quote_bytes(None) == b""


def test_a_state_comes_back_from_its_text() -> None:
    cut = Cut((1, 4), {(1, GOOD, 0): 2, (4, "2x3", 7): 1})
    assert cut_from(cut.text()) == cut
    assert json.loads(cut.text())["pins"] == [1, 4]
    assert cut_from("") == Cut()


def test_only_accepted_jobs_that_were_sent_and_never_pinned_are_wanting(store: Store) -> None:
    from tests.pricing.store.outgoing import outgoing

    day = date(2026, 11, 25)
    accepted, declined, never_sent, done = (store.jobs.add(name) for name in "abcd")
    for job in (accepted, declined, done):
        store.quotes.freeze(job, outgoing(), "v1")
    for job in (accepted, declined, never_sent, done):
        store.jobs.stand(job, "accepted", day)
    store.jobs.stand(declined, "declined", day)
    store.pins.pin(done, pinning(), "v1", based_on=0)
    store.pins.unpin(done, based_on=now(store, done))
    assert store.pins.wanting() == [accepted]

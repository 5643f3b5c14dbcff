"""A kill at any moment loses nothing that was acknowledged: a process is killed again and again while it saves."""

import os
import signal
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path

import pytest

from pricing.store import Store
from pricing.store.documents import KEPT, Document
from pricing.studio.rack import RackOffcut
from tests.pricing.store.outgoing import PAPERS

SAVES = 200
_WRITER = """
import sys
from pathlib import Path
from pricing.store import Store
store = Store(Path(sys.argv[1]))
for number in range(int(sys.argv[2]), int(sys.argv[3])):
    store.documents.save("job:1", f"content {number} " + "x" * 3000, based_on=number, what=f"save {number}")
    print(number + 1, flush=True)
"""

_RACKER = """
import sys
from pathlib import Path
from pricing.studio.rack import RackOffcut
from pricing.store import Store
store = Store(Path(sys.argv[1]))
rack = store.rack
print(rack.document().revision, flush=True)
for number in range(10_000):
    name = f"{sys.argv[2]}-{number}"
    rack.put([RackOffcut(name, "ply-3/8", 8000 + number, 8000, count=2)])
    print(rack.document().revision, flush=True)
    rack.take(1, {name: 1})
    rack.change(name, based_on=rack.document().revision, place="bay 2")
    print(rack.document().revision, flush=True)
    rack.step("undo", based_on=rack.document().revision)
    rack.take(1, {})
    rack.strike(name, based_on=rack.document().revision)
    print(rack.document().revision, flush=True)
"""

_SENDER = """
import sys
from pathlib import Path
from pricing.store import Store
from tests.pricing.store.outgoing import outgoing
store = Store(Path(sys.argv[1]))
print(store.jobs.get(1).versions, flush=True)
while True:
    with store.database.writing():
        sent = store.quotes.freeze(1, outgoing(), "v1")
        store.jobs.stand(1, "sent", sent.sent_on, sent.total, f"version {sent.version}")
    print(sent.version, flush=True)
"""


_PINNER = """
import sys
from datetime import date
from pathlib import Path
from pricing.store import Store
from pricing.store.pins import Pinning
from tests.pricing.store.outgoing import PAPERS
store = Store(Path(sys.argv[1]))
pins = store.pins
print(pins.document(1).revision, flush=True)
now = lambda: pins.document(1).revision
while True:
    with store.database.writing():
        store.jobs.stand(1, "accepted", date(2026, 11, 25))
        pinning = Pinning("accepted", date(2026, 11, 25), 1, "{}", None, "{}", papers=PAPERS)
        store.rack.take(1, {"R-1": 1})
        pin = pins.pin(1, pinning, "v1", based_on=now())
    print(now(), flush=True)
    pins.saw(1, (pin.number, "ply-3/8", 0), 1, based_on=now(), what="1 cut")
    print(now(), flush=True)
    pins.unpin(1, based_on=now())
    print(now(), flush=True)
    pins.step(1, "undo", based_on=now())
    print(now(), flush=True)
    pins.unpin(1, based_on=now())
"""


@pytest.mark.skipif(os.name != "posix", reason="SIGKILL is a signal of POSIX systems")
def test_nothing_acknowledged_is_lost_by_a_kill(tmp_path: Path) -> None:
    """200 saves; the writer is killed with SIGKILL at a different moment each time until all are done."""
    told = kills = 0
    waits = (0.0, 0.011, 0.023, 0.004, 0.037, 0.016, 0.008, 0.029)
    while told < SAVES:
        document = _stored(tmp_path)
        assert document.revision in (told, told + 1), "one save may be written and not told of, never the reverse"
        if document.revision:
            assert document.content == f"content {document.revision - 1} " + "x" * 3000
        told = document.revision
        arguments = [sys.executable, "-c", _WRITER, str(tmp_path), str(told), str(SAVES)]
        with subprocess.Popen(arguments, stdout=subprocess.PIPE, text=True) as writer:
            assert writer.stdout is not None
            if first := writer.stdout.readline():
                told = int(first)
            time.sleep(waits[kills % len(waits)])
            if kills < 12:
                writer.send_signal(signal.SIGKILL)
                kills += 1
            for line in writer.stdout:
                told = int(line)
    assert kills >= 5
    assert _stored(tmp_path).revision == SAVES


def _stored(folder: Path) -> Document:
    with closing(Store(folder)) as store:
        assert store.database.rows("PRAGMA integrity_check")[0][0] == "ok"
        return store.documents.get("job:1")


@pytest.mark.skipif(os.name != "posix", reason="SIGKILL is a signal of POSIX systems")
def test_the_rack_and_its_history_are_one_after_a_kill(tmp_path: Path) -> None:
    """Killed between a change and its revision, there is neither or both, and undo leads on from there."""
    with closing(Store(tmp_path)) as store:
        store.jobs.add("One")
    told = 0
    for kill, wait in enumerate((0.0, 0.013, 0.005, 0.021, 0.009, 0.002, 0.03, 0.017)):
        arguments = [sys.executable, "-c", _RACKER, str(tmp_path), f"K{kill}"]
        with subprocess.Popen(arguments, stdout=subprocess.PIPE, text=True) as writer:
            assert writer.stdout is not None
            told = int(writer.stdout.readline())
            time.sleep(wait)
            writer.send_signal(signal.SIGKILL)
            for line in writer.stdout:
                told = int(line)
        with closing(Store(tmp_path)) as store:
            document = store.rack.document()
            assert document.revision >= told, "nothing that was told is lost"
            if document.revision:
                assert store.rack.state().text() == document.content, "the tables and their history are one"
            assert all(0 <= each.free <= each.offcut.count for each in store.rack.all())
    with closing(Store(tmp_path)) as store:
        store.rack.take(1, {})
        while store.rack.document().can_undo:
            store.rack.step("undo", based_on=store.rack.document().revision)
        if store.rack.document().revision < KEPT:
            assert store.rack.all() == []


@pytest.mark.skipif(os.name != "posix", reason="SIGKILL is a signal of POSIX systems")
def test_a_quote_is_sent_with_all_its_papers_or_not_at_all_after_a_kill(tmp_path: Path) -> None:
    with closing(Store(tmp_path)) as store:
        store.jobs.add("One")
    told = kills = 0
    while told < 12 or kills < 5:
        arguments = [sys.executable, "-c", _SENDER, str(tmp_path)]
        with subprocess.Popen(arguments, stdout=subprocess.PIPE, text=True) as sender:
            assert sender.stdout is not None
            told = int(sender.stdout.readline())
            time.sleep(0.007 * kills)
            sender.send_signal(signal.SIGKILL)
            kills += 1
            for line in sender.stdout:
                told = int(line)
        with closing(Store(tmp_path)) as store:
            sent = store.quotes.of(1)
            assert len(sent) in (told, told + 1), "one may be sent and not told of, never the reverse"
            assert store.sent_papers.wanting("v1") == []
            assert len(store.jobs.standings(1)) == len(sent)
            for each in sent:
                assert {name: store.sent_papers.get(1, each.version, name) for name in PAPERS} == PAPERS


@pytest.mark.skipif(os.name != "posix", reason="SIGKILL is a signal of POSIX systems")
def test_a_job_is_pinned_with_what_brought_it_about_or_not_at_all_after_a_kill(tmp_path: Path) -> None:
    with closing(Store(tmp_path)) as store:
        store.jobs.add("One")
        store.rack.put([RackOffcut("R-1", "ply-3/8", 8000, 8000)])
    told = 0
    for kill in range(9):
        arguments = [sys.executable, "-c", _PINNER, str(tmp_path)]
        with subprocess.Popen(arguments, stdout=subprocess.PIPE, text=True) as pinner:
            assert pinner.stdout is not None
            told = int(pinner.stdout.readline())
            time.sleep(0.009 * kill)
            pinner.send_signal(signal.SIGKILL)
            for line in pinner.stdout:
                told = int(line)
        with closing(Store(tmp_path)) as store:
            assert store.pins.document(1).revision >= told, "nothing that was told is lost"
            numbers = [row["number"] for row in store.database.rows("SELECT number FROM pins ORDER BY number")]
            assert len(store.jobs.standings(1)) == len(numbers), "the event and its pin are one"
            for number in numbers:
                assert {name: store.pins.paper(1, number, name) for name in PAPERS} == PAPERS
            cut, current = store.pins.cut(1), store.pins.current(1)
            assert (current.number if current else None) == (cut.pins[-1] if cut.pins else None)
            rows = store.database.rows("SELECT pin, good, sheet, count FROM sawn")
            assert {(pin, good, sheet): count for pin, good, sheet, count in rows} == cut.sawn
            assert bool(numbers) == bool(store.rack.taken(1)), "what its plans cut from the rack is taken with it"

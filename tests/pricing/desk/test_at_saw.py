"""At the saw: the order of the packet, ticks that are kept by what a cut is, and what they make of sheets."""

import re
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Any

import httpx
import pytest

from nesting.build import Build
from nesting.drawings.packet.coming_off import coming_off
from nesting.drawings.packet.works import lumber_works, sheet_works
from pricing.desk.at_saw import NOWHERE, AtSaw
from pricing.desk.desk import Desk
from pricing.desk.saw_told import at_saw
from pricing.quoting.quote import Quote
from pricing.store import Store
from pricing.store.pins import Cut, cut_from
from tests.pricing.desk.conftest import served
from tests.pricing.desk.orders import DAY, HEADINGS, HELD_HEADINGS, HELD_ROWS, ROWS, quick_quote
from tests.pricing.desk.test_pins import begun, plain, tick


@pytest.fixture(scope="module")
def build() -> Build:
    """Two pieces, one in a travel frame with bevelled cleats and an outer case, so that all saws have work."""
    rows = [ROWS[0], (*ROWS[1][:6], "travel", *ROWS[1][7:])]
    return quick_quote(rows).build


@pytest.fixture(scope="module")
def work(build: Build) -> AtSaw:
    return at_saw(build)


def pinned_at(desk: Desk, job: int) -> Quote:
    answer = desk.sheaf(job).answer
    assert answer is not None
    return answer.quote


def work_of(desk: Desk, job: int) -> AtSaw:
    """Return the work of a job as it is shown now."""
    sheaf = desk.sheaf(job)
    pin = sheaf.pinned.pin.number if sheaf.pinned else 0
    return at_saw(pinned_at(desk, job).build).ticked(desk.store.pins.cut(job), pin)


def made(client: httpx.Client, work: AtSaw, job: int, place: int, **other: Any) -> httpx.Response:
    """Tick as the page does."""
    fields = {"at": place, "plan": work.stamp, "made": 1, **other}
    return client.post(f"/jobs/{job}/saw", data={name: str(each) for name, each in fields.items()})


def test_it_is_the_order_of_the_packet_and_no_cut_is_missed(build: Build, work: AtSaw) -> None:
    told = []
    for sheets in sheet_works(build):
        told += [(sheets.layout.good, len(each.cuts)) for each in (*sheets.plan.settings, *sheets.bevels)]
    for lumber in lumber_works(build):
        told += [(lumber.plan.good, len(each.cuts)) for each in lumber.work.settings]
    assert [(stop.good, len(stop.keys)) for stop in work.stops] == told
    keys = [key for stop in work.stops for key in stop.keys]
    assert len(set(keys)) == len(keys) > 40
    assert any(key[1] == NOWHERE for key in keys), "bevels follow"
    assert {"Table saw", "Chop saw"} <= {stop.tool for stop in work.stops}


def test_every_part_comes_off_as_often_as_it_is_labelled(build: Build, work: AtSaw) -> None:
    found = Counter[str]()
    for stop in work.stops:
        bevel = stop.keys[0][1] == NOWHERE
        for row in stop.rows:
            # Both halves of a blank bear its name and one size; the packet labels a blank once.
            for piece in row.off if bevel else (*row.off, *row.stays):
                found[piece.name] += piece.count * (piece.kind == "part")
    blanks = {row.off[0].name for stop in work.stops if stop.keys[0][1] == NOWHERE for row in stop.rows}
    assert blanks
    labelled = Counter(off.name for off in coming_off(build))
    assert {name: count for name, count in found.items() if count and name not in blanks} == {
        name: count for name, count in labelled.items() if name not in blanks
    }


def test_a_part_is_told_with_its_size_and_its_crate(build: Build, work: AtSaw) -> None:
    crates = {part.name: crate.crate for crate in build.crates for part in crate.parts}
    crates |= {stick.name: crate.crate for crate in build.crates for stick in crate.sticks}
    pieces = [piece for stop in work.stops for row in stop.rows for piece in (*row.off, *row.stays)]
    parts = [piece for piece in pieces if piece.kind == "part"]
    assert parts
    assert all(piece.crate == crates[piece.name] and piece.size.endswith(" in") for piece in parts)
    assert all(stop.hands and stop.caution for stop in work.stops), "a caution wherever hands meet the blade"


def test_a_tick_is_kept_by_what_the_cut_is_not_by_its_number(work: AtSaw) -> None:
    first = work.stops[0]
    cut = work.ticking(first.keys, done=True)(Cut((1,)), 1)
    assert cut_from(cut.text()) == cut
    shown = work.ticked(cut, 1)
    assert [stop.done for stop in shown.stops] == [True] + [False] * (len(work.stops) - 1)
    assert shown.left == 1
    turned = replace(work, stops=tuple(reversed(work.stops))).ticked(cut, 1)
    assert turned.stops[-1].done
    assert not turned.stops[0].done
    assert turned.stamp != work.stamp


def test_what_was_ticked_of_an_earlier_pin_counts_unless_its_sheet_was_finished(work: AtSaw) -> None:
    first = work.stops[0]
    good, layout, _ = first.keys[0]
    before = work.ticking(first.keys, done=True)(Cut((1,)), 1)
    later = replace(before, pins=(1, 2))
    assert work.ticked(later, 2).stops[0].done
    assert work.ticked(later, 0).stops[0].done
    assert not work.ticked(replace(later, sawn={(1, good, layout): 1}), 2).stops[0].done
    assert not work.ticked(replace(later, pins=(2,)), 2).stops[0].done, "of a pin that was taken off nothing counts"
    gone = work.ticking(first.keys, done=False)(later, 2)
    assert not work.ticked(gone, 2).stops[0].made


def test_a_sheet_counts_as_cut_with_its_last_cut_and_no_more_without(work: AtSaw) -> None:
    place = next(key[:2] for key in work.stops[0].keys)
    keys = [key for stop in work.stops for key in stop.keys if key[:2] == place]
    cut = work.ticking(keys[:-1], done=True)(Cut((1,)), 1)
    assert not cut.sawn
    cut = work.ticking(keys[-1:], done=True)(cut, 1)
    assert cut.sawn == {(1, *place): work.repeats[place]}
    assert not cut.made, "what is cut as a whole needs no ticks beside it"
    back = work.ticking(keys[:1], done=False)(cut, 1)
    assert not back.sawn
    assert work.made(back, 1) == set(keys[1:])


def test_a_sheet_ticked_as_a_whole_has_all_its_cuts_made(work: AtSaw) -> None:
    place = next(key[:2] for key in work.stops[0].keys)
    whole = Cut((1,)).with_sawn((1, *place), work.repeats[place])
    keys = {key for stop in work.stops for key in stop.keys if key[:2] == place}
    assert work.made(whole, 1) == keys
    # One cut taken back leaves the others made; a sheet taken back takes all of them.
    (one, *others) = sorted(keys)
    assert work.made(work.ticking([one], done=False)(whole, 1), 1) == set(others)
    ticked = work.ticking(keys, done=True)(Cut((1,)), 1)
    assert not work.made(ticked.with_sawn((1, *place), 0), 1)


@pytest.fixture
def sawing(client: httpx.Client, desk: Desk, monkeypatch: pytest.MonkeyPatch) -> tuple[int, AtSaw]:
    """Begin a job; when it is pinned, nobody waits for papers, which these tests do not look at."""
    monkeypatch.setattr("pricing.desk.pins.papers_of", lambda *_: {})
    job = begun(client)
    return job, work_of(desk, job)


def test_the_first_tick_pins_and_leads_on(client: httpx.Client, desk: Desk, sawing: tuple[int, AtSaw]) -> None:
    job, work = sawing
    page = plain(client.get(f"/jobs/{job}/saw").text)
    assert f"Setting 1 of {len(work.stops)}" in page
    assert f"{work.stops[0].tool} {work.stops[0].what} at {work.stops[0].at}" in page
    assert "Hands and blade Guard and riving knife on" in page
    answer = made(client, work, job, 1)
    assert answer.headers["location"] == f"/jobs/{job}/saw?at=2#stop"
    assert "Pinned since 25 November 2026, first cut: as it stood." in plain(client.get(f"/jobs/{job}/saw").text)
    assert work_of(desk, job).left == 1
    # Two windows: what each of them ticks stands, though neither has seen the other's.
    made(client, work, job, 2, row=1)
    made(client, work, job, 3)
    made(client, work, job, 3)
    now = work_of(desk, job)
    assert [stop.done for stop in now.stops[:3]] == [True, len(work.stops[1].rows) == 1, True]
    assert now.stops[1].made == 1
    # It is asked before it is unpinned, and an undo takes the last tick back.
    assert "ticked as cut: a new plan knows nothing" in plain(client.get(f"/jobs/{job}/unpin").text)
    cut = desk.store.pins.document(job).revision
    assert client.post(f"/jobs/{job}/unpin", data={"cut": cut}).status_code == 422
    client.post(f"/jobs/{job}/cut/step", data={"cut": cut, "way": "undo", "back": f"/jobs/{job}/saw"})
    assert not work_of(desk, job).stops[2].made


def test_ticks_are_there_after_a_restart(
    client: httpx.Client, desk: Desk, sawing: tuple[int, AtSaw], tmp_path: Path
) -> None:
    job, work = sawing
    made(client, work, job, 1)
    desk.close()
    other = Desk(Store(tmp_path / "data"), today=lambda: DAY, patience=60.0, effort="quick")
    with served(other) as again:
        page = again.get(f"/jobs/{job}/saw").text
    other.close()
    assert f"Setting 2 of {len(work.stops)}" in plain(page)
    assert len(re.findall(r'class="made"><span class="place-number">', page)) == 1


def test_a_sheet_taken_back_on_the_page_of_sheets_is_not_cut_at_the_saw(
    client: httpx.Client, desk: Desk, sawing: tuple[int, AtSaw]
) -> None:
    job, work = sawing
    tick(client, desk, job, 1)
    good, layout = next(iter(desk.store.pins.cut(job).sawn))[1:]
    whole = [key for stop in work.stops for key in stop.keys if key[:2] == (good, layout)]
    now = work_of(desk, job)
    if now.repeats[good, layout] == 1:
        assert now.made(desk.store.pins.cut(job), 1) == set(whole)
    tick(client, desk, job, 0)
    assert not any(stop.made for stop in work_of(desk, job).stops)


def test_what_a_form_says_wrongly_is_told_and_changes_nothing(
    client: httpx.Client, desk: Desk, sawing: tuple[int, AtSaw]
) -> None:
    job, work = sawing
    old = made(client, replace(work, stops=work.stops[:1]), job, 1)
    assert old.status_code == 409
    assert "Nothing was ticked" in old.text
    last = len(work.stops)
    for at, row, told in ((last + 1, "", f"from 1 to {last}"), (1, 99, "row: a whole number"), ("x", "", "at must")):
        answer = made(client, work, job, 1, at=at, row=row)
        assert answer.status_code == 422
        assert told in answer.text
    assert client.get(f"/jobs/{job}/saw?at={last + 1}").status_code == 404
    assert desk.store.pins.current(job) is None
    # Nothing is cut yet: to take a tick back pins nothing.
    assert made(client, work, job, 1, made=0).status_code == 303
    assert desk.store.pins.current(job) is None


def test_what_is_held_wants_a_word_before_the_first_cut(
    client: httpx.Client, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("pricing.desk.pins.papers_of", lambda *_: {})
    job = int(client.post("/jobs", data={"name": "Held"}).headers["location"].split("/")[2])
    table = {"headings": HELD_HEADINGS, "rows": HELD_ROWS, "revision": 1}
    client.post(f"/jobs/{job}/artworks", json=table, headers={"accept": "application/json"})
    work = work_of(desk, job)
    assert "These cuts are without" in plain(client.get(f"/jobs/{job}/saw").text)
    asks = made(client, work, job, 1)
    assert asks.status_code == 422
    assert f'action="/jobs/{job}/saw"' in asks.text
    assert desk.store.pins.current(job) is None
    assert made(client, work, job, 1, word="the slab goes by itself").status_code == 303
    assert work_of(desk, job).left == 1


def test_nothing_entered_is_said(client: httpx.Client) -> None:
    job = int(client.post("/jobs", data={"name": "Bare"}).headers["location"].split("/")[2])
    assert "Nothing is entered yet" in client.get(f"/jobs/{job}/saw").text
    assert made(client, AtSaw((), {}), job, 1).status_code == 422


def test_a_next_version_shows_what_is_still_the_same_as_made(
    client: httpx.Client, desk: Desk, sawing: tuple[int, AtSaw]
) -> None:
    job, work = sawing
    made(client, work, job, 1)
    revision = desk.sheaf(job).document.revision
    table = {"headings": HEADINGS, "rows": [(*ROWS[0][:1], "Renamed", *ROWS[0][2:])], "revision": revision}
    client.post(f"/jobs/{job}/artworks", json=table, headers={"accept": "application/json"})
    sheaf = desk.sheaf(job)
    assert sheaf.later is not None
    page = plain(client.get(f"/jobs/{job}/saw?version=next").text)
    assert f"Setting 2 of {len(work.stops)}" in page, "the plan is the same, and its first setting is made"
    assert made(client, work, job, 2, version="next").status_code == 303
    assert len(desk.store.pins.cut(job).pins) == 2
    assert work_of(desk, job).left == 2

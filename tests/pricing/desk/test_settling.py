"""Answers in steps: a first figure at once, marked, and the settled one, which is the command's; what waits for it."""

import io
import time
from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import httpx
import pytest
from openpyxl import load_workbook

from nesting.crates.cases.consignment import CartonLoad, CaseLoad, Grouping
from nesting.crates.chosen import CASE_AS_RULED, CartonDesign, CaseDesign, ShellDesign
from nesting.intake import order_from_rows
from pricing.ahead.cheaper import Cheaper
from pricing.desk.content import Content
from pricing.desk.desk import Desk, Sheaf
from pricing.desk.settling import Named, Settled, Settling, settled, taken_over
from pricing.output.tables import quote_document
from pricing.quoting.quote import Quote
from pricing.store import Store
from pricing.studio.office import Office
from tests.pricing.desk.orders import DAY, HEADINGS, looked_at, quick_quote

TRAVEL = (
    ("T-01", "One", "30", "30", "1 1/2", "18 lb", "travel", "Harbour Gallery"),
    ("T-02", "Two", "30", "32", "1 1/2", "19 lb", "travel", "Harbour Gallery"),
    ("T-03", "Three", "20", "24", "1 1/2", "9 lb", "travel", "Hillside Gallery"),
)
"""Travel frames of two places, so that there is something to choose."""
JSON = {"accept": "application/json"}


@pytest.fixture(scope="module")
def found() -> Quote:
    """Return what the command comes to; tests share it."""
    return quick_quote(TRAVEL, effort="normal")


def begun(desk: Desk, rows: tuple[tuple[str, ...], ...] = TRAVEL) -> Sheaf:
    return desk.save(desk.store.jobs.add("Frames"), Content(headings=HEADINGS, rows=rows), based_on=0, what="begun")


def changed(desk: Desk, sheaf: Sheaf, **cells: str) -> Sheaf:
    """Save a job with cells of its first row changed."""
    first = tuple(cells.get(name, old) for name, old in zip(HEADINGS, sheaf.content.rows[0], strict=True))
    content = replace(sheaf.content, rows=(first, *sheaf.content.rows[1:]))
    return desk.save(sheaf.row.id, content, based_on=sheaf.document.revision, what="changed")


def settle(desk: Desk, sheaf: Sheaf, quote: Quote, *, stopped: bool = False) -> Sheaf:
    """Let a job settle as if the worker had found a quote."""
    assert sheaf.answer is not None
    desk.floor.keep(sheaf.row.id, sheaf.answer, quote, stopped=stopped)
    return desk.sheaf(sheaf.row.id)


def test_the_settled_figure_is_the_command_s_to_the_cent(tmp_path: Path, found: Quote) -> None:
    """By the worker itself; and a desk that is opened again has it still, figure by figure."""
    desk = Desk(Store(tmp_path), today=lambda: DAY, patience=0.0)
    try:
        first = begun(desk)
        job, end = first.row.id, time.monotonic() + 1_200.0
        assert first.answer is not None
        assert (first.answer.settled, first.answer.effort) == (False, "quick")
        while desk.searches.pending(job, "settling") or desk.searches.pending(job, "cheaper"):
            assert time.monotonic() < end, "it took too long"
            time.sleep(0.02)
        answer, search = desk.sheaf(job).answer, desk.searches.of(job)
        assert answer is not None
        assert search is not None
        assert (search.kind, search.state, search.news.partition(".")[0]) == ("settling", "done", "Settled")
        assert first.answer.asked is not None
        named = desk.named.of(job, first.answer.asked.about)
        assert named is not None
        assert named.key == first.answer.asked.about
        assert (answer.settled, answer.effort, answer.quote.total) == (True, "normal", found.total)
        assert desk.store.jobs.get(job).total == f"USD {found.total:,}"
        assert desk.settled(desk.sheaf(job))
    finally:
        desk.close()
    again = Desk(Store(tmp_path), today=lambda: DAY, patience=1e6)
    try:
        reopened = again.sheaf(job)
        assert reopened.answer is not None
        assert (reopened.answer.settled, again.settling(reopened), again.settled(reopened)) == (True, False, True)
        assert quote_document(reopened.answer.quote) == quote_document(answer.quote)
        assert again.cheaper(reopened) == named.found
    finally:
        again.close()


def test_all_that_goes_out_waits_and_says_so(waiting: Desk, waiting_client: httpx.Client, found: Quote) -> None:
    client = waiting_client
    sheaf = begun(waiting)
    job = sheaf.row.id
    assert waiting.store.jobs.get(job).total.endswith(", settling")
    for name in ("money", "record", "sheets"):
        page = client.get(f"/jobs/{job}/{name}").text
        assert "Settling: a first figure; sending and printing wait." in page, name
        assert "data-waits disabled" in page or "data-waits inert" in page, name
    version = {"revision": str(sheaf.document.revision), "version": "1"}
    for path, form in all_that_waits(client, job, version).items():
        answer = client.post(path, data=form, headers=JSON) if form else client.get(path, headers=JSON)
        assert answer.status_code == 409, path
        assert "still settling" in answer.json()["message"], path
    assert (waiting.store.quotes.of(job), waiting.store.pins.current(job)) == ([], None)
    assert client.get(f"/jobs/{job}/files/quote.json").status_code == 409
    settle(waiting, sheaf, found)
    page = client.get(f"/jobs/{job}/record").text
    assert "Settling" not in page
    assert "data-waits disabled" not in page
    assert client.get(f"/jobs/{job}/files/quote.json").status_code == 200
    assert client.post(f"/jobs/{job}/send", data={**version, **looked_at(waiting, job)}).status_code == 303
    assert [each.total for each in waiting.store.quotes.of(job)] == [found.total]


def all_that_waits(client: httpx.Client, job: int, version: Mapping[str, str]) -> dict[str, Mapping[str, str]]:
    """Return every address that waits, with what is sent there; nothing where it is only looked at."""
    page = client.get(f"/jobs/{job}/sheets").text
    tick = {name: page.partition(f'name="{name}" value="')[2].partition('"')[0] for name in ("good", "cut", "plan")}
    return {
        f"/jobs/{job}/files/packet.pdf": {},
        f"/jobs/{job}/send": version,
        f"/jobs/{job}/stand": {"standing": "accepted", "revision": version["revision"]},
        f"/jobs/{job}/sawn": {**tick, "number": "1", "count": "1"},
        f"/jobs/{job}/take": {"back": "0"},
        f"/jobs/{job}/put": {"some": "1"},
    }


def test_what_people_read_unsettles_nothing_and_what_counts_does(waiting: Desk, found: Quote) -> None:
    sheaf = settle(waiting, begun(waiting), found)
    assert sheaf.answer is not None
    assert sheaf.answer.settled
    titled = changed(waiting, sheaf, title="Another")
    assert titled.answer is not None
    assert (titled.answer.settled, titled.answer.quote.total) == (True, found.total)
    assert titled.answer.quote.build.order.artworks[0].title == "Another"
    wider = changed(waiting, titled, width="31")
    assert wider.answer is not None
    assert not wider.answer.settled
    back = waiting.step(sheaf.row.id, "undo", based_on=wider.document.revision)
    assert back.answer is not None
    assert (back.answer.settled, back.answer.quote.total) == (True, found.total), "it is known still"


def test_a_price_moves_over_the_same_designs_and_chooses_nothing(
    waiting: Desk, found: Quote, monkeypatch: pytest.MonkeyPatch
) -> None:
    sheaf = settle(waiting, begun(waiting), found)

    def choosing(*_: object) -> None:
        raise AssertionError("nothing was to be chosen")

    monkeypatch.setattr("pricing.desk.settling.cheapest_grouping", choosing)
    monkeypatch.setattr("pricing.quoting.work.design_order", choosing)
    content = replace(sheaf.content, rules={"price.overhead": "20%"})
    dear = waiting.save(sheaf.row.id, content, based_on=sheaf.document.revision, what="dear")
    assert dear.answer is not None
    assert not dear.answer.settled
    assert dear.answer.quote.build.grouping == found.build.grouping
    assert dear.answer.quote.total > found.total


def test_what_was_stopped_stands_and_may_go_out(waiting: Desk, waiting_client: httpx.Client, found: Quote) -> None:
    """Its first figure where that is cheaper; and it stays so when the desk looks again."""
    sheaf = begun(waiting)
    assert sheaf.answer is not None
    dearer = replace(found, steps=tuple(replace(s, running=s.running + 500) for s in found.steps))
    assert dearer.total > sheaf.answer.quote.total
    stood = settle(waiting, sheaf, dearer, stopped=True)
    assert stood.answer is not None
    assert (stood.answer.stopped, stood.answer.quote.total) == (True, sheaf.answer.quote.total)
    assert not waiting.settling(stood)
    page = waiting_client.get(f"/jobs/{sheaf.row.id}/money").text
    assert "Its search was stopped: the best that was found stands." in page
    assert waiting_client.get(f"/jobs/{sheaf.row.id}/files/quote.json").status_code == 200


def test_the_cheaper_way_is_a_line_on_every_page_and_in_the_workbook(
    waiting: Desk, waiting_client: httpx.Client, found: Quote
) -> None:
    """It is one of the figure that has settled; after a change there is none until that has settled too."""
    sheaf = settle(waiting, begun(waiting), found)
    assert sheaf.answer is not None
    assert sheaf.answer.asked is not None
    way = Cheaper("T-03 in a carton", Decimal("12.50"), "it lies on its face", "USD", 3)
    waiting.named.keep(sheaf.row.id, Named(sheaf.answer.asked.about, way))
    for page in ("money", "sheets"):
        assert way.line in waiting_client.get(f"/jobs/{sheaf.row.id}/{page}").text
    book = load_workbook(io.BytesIO(waiting_client.get(f"/jobs/{sheaf.row.id}/files/quote.xlsx").content))
    assert way.line in {str(cell.value) for row in book["Assumptions"].iter_rows() for cell in row}
    wider = changed(waiting, sheaf, width="31")
    assert waiting.cheaper(wider) is None
    assert way.line not in waiting_client.get(f"/jobs/{sheaf.row.id}/money").text


def test_a_longer_search_takes_nothing_that_is_dearer(waiting: Desk, found: Quote) -> None:
    sheaf = settle(waiting, begun(waiting), found)
    dearer = replace(found, steps=tuple(replace(s, running=s.running + Decimal("0.01")) for s in found.steps))
    stood = settle(waiting, sheaf, dearer)
    assert stood.answer == sheaf.answer


def test_designs_that_an_order_cannot_have_any_more_are_left_out(waiting: Desk, found: Quote) -> None:
    """Two pieces of one case are kept apart by a word in the row of a third: the kept case goes."""
    sheaf = settle(waiting, begun(waiting), found)
    assert found.build.grouping is not None
    assert ("T-02", "T-01") in {load.pieces[::-1] for load in found.build.grouping.cases} | {
        load.pieces for load in found.build.grouping.cases
    }
    rows = tuple((*row, "T-02" if row[0] == "T-01" else "") for row in TRAVEL)
    content = replace(sheaf.content, headings=(*HEADINGS, "apart"), rows=rows)
    parted = waiting.save(sheaf.row.id, content, based_on=sheaf.document.revision, what="apart")
    assert parted.answer is not None
    assert parted.answer.quote.build.grouping is not None
    assert all(len(load.pieces) == 1 for load in parted.answer.quote.build.grouping.cases)


def test_designs_are_taken_over_of_all_whose_pieces_are_as_they_were() -> None:
    def asked(width: str) -> Settling:
        rows = [
            *((f"P-{n}", f"Work {n}", "30", "30", "1 1/2", "18 lb", "travel", "Harbour Gallery") for n in range(1, 6)),
            ("P-6", "Work 6", width, "30", "1 1/2", "18 lb", "travel", "Harbour Gallery"),
            ("S-1", "Small", "9", "12", "1", "2 lb", "carton", "Harbour Gallery"),
            ("S-2", "Small", "9", "12", "1", "2 lb", "carton", "Harbour Gallery"),
        ]
        return Settling(order_from_rows([HEADINGS, *rows]), Office(), DAY)

    place = "Harbour Gallery"
    own, other = CaseDesign(foam=(2, 2, 2)), CaseDesign(clear=8)
    before, after = asked("30"), asked("34")
    kept = Settled(
        before.about, "normal", before.ground, before.pieces,
        Grouping(
            (CaseLoad(("P-1", "P-3"), place, own), CaseLoad(("P-6", "P-2"), place, own)),
            "the best of 9 designs",
            (CartonLoad(("S-1", "S-2"), place, CartonDesign(beside=2)),),
            (("P-1", ShellDesign((("back", 1),))), ("P-6", ShellDesign((("back", 2),)))),
            9,
        ),
    )  # fmt: skip
    fresh = Grouping(
        (CaseLoad(("P-1", "P-2", "P-3"), place, other), CaseLoad(("P-4", "P-5", "P-6"), place, other)),
        "few steps",
        (CartonLoad(("S-1",), place), CartonLoad(("S-2",), place)),
        (("P-6", ShellDesign()),),
        2,
    )
    assert taken_over(kept, fresh, before).cases[0] == CaseLoad(("P-1", "P-3"), place, own)
    made = taken_over(kept, fresh, after)
    assert made.cases == (
        CaseLoad(("P-1", "P-3"), place, own),
        CaseLoad(("P-2",), place, CASE_AS_RULED),
        CaseLoad(("P-4", "P-5", "P-6"), place, other),
    ), "P-6 is wider now; what is left of a fresh case is made as the rules say"
    assert made.cartons == (CartonLoad(("S-1", "S-2"), place, CartonDesign(beside=2)),)
    assert dict(made.shells) == {"P-1": ShellDesign((("back", 1),)), "P-6": ShellDesign()}
    assert (made.how, made.tried) == ("few steps", 2)
    shop = replace(after.office.shop, method=replace(after.office.shop.method, case_most=4))
    moved = replace(after, office=replace(after.office, shop=shop))
    assert taken_over(kept, fresh, moved) == fresh, "by other rules every crate is chosen anew"


def test_what_is_kept_is_the_whole_answer(found: Quote) -> None:
    asked = Settling(order_from_rows([HEADINGS, *TRAVEL]), Office(), DAY)
    assert settled(asked, found, stopped=False).quote(asked, {}) == found


def test_what_is_kept_is_not_laid_out_again(found: Quote, monkeypatch: pytest.MonkeyPatch) -> None:
    """A desk that is opened again shows a job that settled without any search."""

    def laying(*_: object, **__: object) -> None:
        raise AssertionError("something was laid out")

    asked = Settling(order_from_rows([HEADINGS, *TRAVEL]), Office(), DAY)
    kept = settled(asked, found, stopped=False)
    monkeypatch.setattr("nesting.cutting.laying.nest", laying)
    monkeypatch.setattr("nesting.cutting.laying.cut_sticks", laying)
    monkeypatch.setattr("pricing.quoting.plans.quote", laying)
    assert kept.quote(asked, {}) == found

"""Designs of a crate side by side, and one that is taken: kept with the job, undone, told where it counts no more."""

import html
import re
from dataclasses import replace

import httpx
import pytest

from nesting.crates.cases.consignment import CartonLoad, CaseLoad, Grouping
from nesting.crates.chosen import CARTON_AS_RULED, CartonDesign, CaseDesign, ShellDesign
from pricing.desk.content import Content, changes, content_from
from pricing.desk.desk import Desk, Sheaf
from pricing.desk.short_list import Candidate, short_list
from pricing.desk.taken import adrift, read_design, taken_of, with_design, words_of, written
from pricing.quoting.keeping import overlaid
from tests.pricing.desk.orders import HEADINGS, HELD_HEADINGS, HELD_ROWS

ROWS = (
    ("A-01", "One", "30", "30", "1 1/2", "18 lb", "closed", "Harbour Gallery"),
    ("A-02", "Two", "40", "44", "1 1/2", "20 lb", "travel", "Harbour Gallery"),
    ("A-03", "Three", "36", "48", "1 1/2", "21 lb", "travel", "Harbour Gallery"),
    ("A-04", "Small", "12", "10", "1", "2 lb", "carton", "Harbour Gallery"),
)
CASE = CaseDesign((8, 0, 0), 4, (True, False), "end", "2x2", on_edge=True, patterns=(("back", 1),))
CARTON = CartonDesign("soft", 8, "box", 2, turned=True, backs=True)
JSON = {"accept": "application/json"}


@pytest.fixture
def sheaf(desk: Desk) -> Sheaf:
    """Begin a job with a closed crate, a case of two frames and a carton."""
    return desk.save(desk.store.jobs.add("Show"), Content(headings=HEADINGS, rows=ROWS), based_on=0, what="begun")


def listed(desk: Desk, sheaf: Sheaf, piece: str) -> tuple[str, tuple[Candidate, ...]]:
    """Return the crate that travels with a piece, and its designs."""
    assert sheaf.answer is not None
    crate = next(each for each in sheaf.answer.quote.build.travelling if piece in each.pieces)
    return crate.crate, desk.floor.short_list(sheaf.answer, crate)


def page(client: httpx.Client, path: str) -> str:
    return html.unescape(client.get(path).text)


@pytest.mark.parametrize("piece", ["A-01", "A-02", "A-04"])
def test_each_kind_of_crate_has_designs_of_which_one_stands_first(desk: Desk, sheaf: Sheaf, piece: str) -> None:
    _, found = listed(desk, sheaf, piece)
    assert 2 <= len(found) <= 6
    assert [each.now for each in found] == [True] + [False] * (len(found) - 1)
    assert found[0].more == 0
    assert len({each.stamp for each in found}) == len({each.words for each in found}) == len(found)
    assert all(piece in each.crate.pieces and each.crate.checks for each in found)


@pytest.mark.parametrize("piece", ["A-01", "A-02", "A-04"])
def test_a_design_that_is_taken_is_built_and_comes_to_what_was_told(
    client: httpx.Client, desk: Desk, sheaf: Sheaf, piece: str
) -> None:
    assert sheaf.answer is not None
    name, found = listed(desk, sheaf, piece)
    wanted = found[-1]
    job, revision = sheaf.row.id, sheaf.document.revision
    shown = page(client, f"/jobs/{job}/designs/{name}")
    assert shown.count('class="design') - shown.count('class="designs') - shown.count('class="design-now') == len(found)
    drawn = client.get(f"/jobs/{job}/designs/{name}/drawing.svg?design={wanted.stamp}")
    assert drawn.headers["content-type"].startswith("image/svg+xml")

    answer = client.post(f"/jobs/{job}/designs/{name}", data={"design": wanted.stamp, "revision": revision})
    assert answer.headers["location"] == f"/jobs/{job}/designs/{name}"
    now = desk.sheaf(job)
    assert now.answer is not None
    made = next(each for each in now.answer.quote.build.every if set(each.pieces) == set(wanted.crate.pieces))
    assert (made.outside, made.tare_kg) == (wanted.crate.outside, wanted.crate.tare_kg)
    assert wanted.more is not None
    # A draft chose; what is cut for good may cost a little more or less.
    assert abs(now.answer.quote.total - sheaf.answer.quote.total - wanted.more) <= 10
    assert f"Taken for this job: <strong>{wanted.words}" in page(client, f"/jobs/{job}/designs/{name}")
    assert "design taken" in page(client, f"/jobs/{job}/crates")

    desk.step(job, "undo", based_on=now.document.revision)
    assert desk.sheaf(job).content == sheaf.content


def test_the_choice_is_left_to_the_search_again(client: httpx.Client, desk: Desk, sheaf: Sheaf) -> None:
    name, found = listed(desk, sheaf, "A-01")
    address = f"/jobs/{sheaf.row.id}/designs/{name}"
    client.post(address, data={"design": found[1].stamp, "revision": sheaf.document.revision})
    client.post(address, data={"design": "", "revision": desk.sheaf(sheaf.row.id).document.revision})
    assert desk.sheaf(sheaf.row.id).content == sheaf.content


def test_two_windows_conflict_as_elsewhere(client: httpx.Client, desk: Desk, sheaf: Sheaf) -> None:
    name, found = listed(desk, sheaf, "A-01")
    address, old = f"/jobs/{sheaf.row.id}/designs/{name}", sheaf.document.revision
    assert client.post(address, data={"design": found[1].stamp, "revision": old}).status_code == 303
    answer = client.post(address, data={"design": found[0].stamp, "revision": old})
    assert answer.status_code == 409
    assert f"design of {' + '.join(found[0].crate.pieces)}" in html.unescape(answer.text)
    told = client.post(address, data={"design": found[0].stamp, "revision": old}, headers=JSON).json()
    assert told["theirs"] == [{"row": 0, "column": "design of A-01", "before": "", "after": found[1].words}]


def test_a_design_that_is_no_more_is_not_taken(client: httpx.Client, desk: Desk, sheaf: Sheaf) -> None:
    name, _ = listed(desk, sheaf, "A-01")
    answer = client.post(
        f"/jobs/{sheaf.row.id}/designs/{name}", data={"design": "0" * 16, "revision": sheaf.document.revision}
    )
    assert answer.status_code == 409
    assert "Nothing was taken" in answer.text
    assert desk.sheaf(sheaf.row.id).document.revision == sheaf.document.revision


def test_pieces_that_no_longer_travel_so_leave_their_design_lying(
    client: httpx.Client, desk: Desk, sheaf: Sheaf
) -> None:
    job = sheaf.row.id
    for piece in ("A-02", "A-04"):
        name, found = listed(desk, desk.sheaf(job), piece)
        revision = desk.sheaf(job).document.revision
        client.post(f"/jobs/{job}/designs/{name}", data={"design": found[-1].stamp, "revision": revision})
    now = desk.sheaf(job)
    assert now.answer is not None
    assert adrift(now.content, now.answer.quote.build) == []
    rows = tuple((*row[:6], "closed", row[7]) for row in now.content.rows)
    moved = desk.save(job, replace(now.content, rows=rows), based_on=now.document.revision, what="moved")
    assert moved.answer is not None, moved.faults
    assert [key for key, _ in adrift(moved.content, moved.answer.quote.build)] == ["A-02 + A-03", "A-04"]
    shown = page(client, f"/jobs/{job}/crates")
    assert len(re.findall("does not count now", shown)) == 2
    client.post(f"/jobs/{job}/designs", data={"pieces": "A-04", "revision": moved.document.revision})
    assert list(desk.sheaf(job).content.designs) == ["A-02 + A-03"]


def test_what_rides_or_is_held_says_where_to_go(client: httpx.Client, desk: Desk, sheaf: Sheaf) -> None:
    assert sheaf.answer is not None
    frame = next(each for each in sheaf.answer.quote.build.crates if each.inside_of)
    assert f"Designs of {frame.inside_of}" in page(client, f"/jobs/{sheaf.row.id}/designs/{frame.crate}")
    held = desk.save(
        desk.store.jobs.add("Held"), Content(headings=HELD_HEADINGS, rows=HELD_ROWS), based_on=0, what="begun"
    )
    assert held.answer is not None
    name = held.answer.quote.build.held[0].crate
    assert "how to accept it" in page(client, f"/jobs/{held.row.id}/designs/{name}")
    assert client.get(f"/jobs/{held.row.id}/designs/K99").status_code == 404


@pytest.mark.parametrize(
    "taken",
    [
        Grouping((CaseLoad(("B", "A"), design=CASE),)),
        Grouping((CaseLoad(("A",), design=CaseDesign(seams=(("base", "x", 9),))),)),
        Grouping((), cartons=(CartonLoad(("A", "B"), design=CARTON),)),
        Grouping((), shells=(("A#1", ShellDesign((("lid", 2),), "b38", 7)),)),
    ],
)  # fmt: skip
def test_what_is_written_is_read_again(taken: Grouping) -> None:
    text = written(taken, "in  words\nand more")
    assert (read_design(text), words_of(text)) == (taken, "in words and more")


@pytest.mark.parametrize("text", ["", "words", "w\n{}", 'w\n{"kind": "hull", "pieces": ["A"], "design": {}}', "w\n[1]",
                                  'w\n{"kind": "shell", "pieces": ["A"], "design": {"nails": 3}}'])  # fmt: skip
def test_what_this_program_does_not_know_is_left_lying(text: str) -> None:
    assert read_design(text) is None
    assert taken_of(Content(designs={"A": text})) is None


def test_a_job_of_before_has_none_and_is_written_as_it_was() -> None:
    assert '"designs"' not in Content().text()
    kept = with_design(Content(), ("B", "A"), "w\n{}")
    assert content_from(kept.text()) == kept
    assert [each.column for each in changes(Content(), kept)] == ["design of A + B"]
    assert with_design(kept, ("A", "B"), "") == Content()


def test_designs_lie_over_what_was_chosen_for_the_same_pieces_alone() -> None:
    chosen = Grouping(
        (CaseLoad(("A", "B"), "Pier"),), "found", (CartonLoad(("C", "D"), "Pier", CartonDesign("soft", 8)),),
        (("E", ShellDesign(larger_by=3)),), 40,
    )  # fmt: skip
    case, foam = CaseDesign(opens="end"), CartonDesign("firm", 9)
    taken = Grouping(
        (CaseLoad(("B", "A"), design=case), CaseLoad(("X",), design=case)), "",
        (CartonLoad(("C", "D")), CartonLoad(("F",), design=foam), CartonLoad(("G",), design=foam)),
        (("E", ShellDesign()),),
    )  # fmt: skip
    assert overlaid(chosen, taken, {"F": "Hill"}) == Grouping(
        (CaseLoad(("B", "A"), "Pier", case),), "found",
        (CartonLoad(("C", "D"), "Pier", CARTON_AS_RULED), CartonLoad(("F",), "Hill", foam)), (), 40,
    )  # fmt: skip


def test_a_quote_without_designs_has_no_list(sheaf: Sheaf) -> None:
    assert sheaf.answer is not None
    assert sheaf.answer.asked is not None
    quote = sheaf.answer.quote
    bare = replace(quote, build=replace(quote.build, grouping=None))
    assert short_list(sheaf.answer.asked, bare, quote.build.crates[0], {}) == ()

"""Held crates on the desk: named first, in no sum and on no list, taken by a written reason, and pinned by a word."""

import html
import json
import re
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import httpx
import pytest

from nesting.base.progress import silent
from nesting.base.stop import Stop
from nesting.crates.model import Crate, HeldFor
from nesting.drawings.faces import faces
from nesting.intake import order_from_rows
from pricing.desk.content import Content, content_from
from pricing.desk.desk import Desk, job_paper
from pricing.desk.held import OtherCrateError, accepted, facts, held_again, held_lines, lapses, listed, without_old
from pricing.desk.lacking import beside
from pricing.desk.pins import stamp_of
from pricing.desk.scenarios import Quoting, Weighing
from pricing.desk.slip import compare
from pricing.desk.table import read
from pricing.desk.ways import Compared, Comparing, Wish
from pricing.quoting.lacks import Lack, Mend
from pricing.quoting.quote import Quote
from pricing.quoting.work import work
from pricing.store import StoreError
from pricing.studio.office import Office
from tests.pricing.desk.orders import DAY, HELD_CASE, HELD_HEADINGS, HELD_ROWS, looked_at

JSON = {"accept": "application/json"}
REASON = "the owner knows and agreed in writing"
ALL = HELD_ROWS[1:]


def begun(client: httpx.Client, rows: Sequence[Sequence[str]] = HELD_ROWS) -> tuple[int, dict[str, Any]]:
    """Begin a job, at revision 2; return its number and its slip."""
    job = int(client.post("/jobs", data={"name": "Spring show"}).headers["location"].split("/")[2])
    table = {"headings": HELD_HEADINGS, "rows": rows, "revision": 1}
    return job, client.post(f"/jobs/{job}/artworks", json=table, headers=JSON).json()["slip"]


def quoted(desk: Desk, job: int) -> Quote:
    answer = desk.sheaf(job).answer
    assert answer is not None
    return answer.quote


def held(desk: Desk, job: int) -> Crate:
    return quoted(desk, job).build.held[0]


def cells(desk: Desk, job: int) -> list[str]:
    """Return the cells that accept."""
    content = content_from(desk.store.documents.get(job_paper(job)).content)
    at = content.headings.index("accept_held") if "accept_held" in content.headings else -1
    return [content.cell(row, at) if at >= 0 else "" for row in range(len(content.rows))]


def accept(client: httpx.Client, desk: Desk, job: int, **other: str) -> httpx.Response:
    """Accept what is held as its page would, or with something else in its form."""
    crate = held(desk, job)
    revision = str(desk.sheaf(job).document.revision)
    form = {"crate": crate.crate, "code": crate.code, "reason": REASON, "revision": revision, "back": ""}
    return client.post(f"/jobs/{job}/accept", data={**form, **other})


def plain(page: str) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", page)).split())


# -- where it is named -------------------------------------------------------------------------------------------------


def test_it_is_named_first_with_its_reason_and_the_total_is_marked(client: httpx.Client) -> None:
    job, slip = begun(client)
    (line,) = slip["held"]
    assert re.fullmatch(r"K2 is held: .+ \d+ \w+ of \d+ \w+.*\.", line["text"])
    assert line["address"] == f"/jobs/{job}/crates#K2"
    assert slip["without"] == "without K2, held"
    for path in ("artworks", "crates", "sheets", "money", "plan", "yard", "record", "ways", "what-if", "returns"):
        page = client.get(f"/jobs/{job}/{path}").text
        rail = html.unescape(page[: page.index('id="slip-lacks"')])
        assert rail.index(line["text"]) < rail.index('id="slip-total"') < rail.index("without K2, held")
    for path in ("sheets", "money", "plan", "yard", "returns"):
        board = client.get(f"/jobs/{job}/{path}").text.partition('id="board"')[2]
        assert f"without K2, held. {line['text']}" in plain(board), path
    assert "Total, USD, without K2, held" in plain(client.get(f"/jobs/{job}/money").text)


def test_the_list_of_jobs_names_it_until_nothing_is_held(client: httpx.Client, desk: Desk) -> None:
    job, slip = begun(client)
    page = plain(client.get("/").text)
    assert slip["held"][0]["text"] in page
    assert f"{slip['total']} without what is named above" in page
    accept(client, desk, job)
    page = plain(client.get("/").text)
    assert "held" not in page
    assert desk.store.jobs.get(job).held == ""


def test_none_of_its_parts_is_on_sheets_lists_or_sums(client: httpx.Client, desk: Desk) -> None:
    job, _ = begun(client)
    parts = [part.name for part in held(desk, job).parts]
    sheets = client.get(f"/jobs/{job}/sheets").text
    assert parts
    assert not [name for name in parts if name in sheets]
    alone, _ = begun(client, HELD_ROWS[:1])
    one, other = quoted(desk, job), quoted(desk, alone)
    assert one.total == other.total
    assert [row.stock for row in one.takeoff.rows] == [row.stock for row in other.takeoff.rows]
    assert one.hours == other.hours


def test_its_pages_show_drawing_and_checks_and_say_that_it_is_held(client: httpx.Client, desk: Desk) -> None:
    job, _ = begun(client)
    crate = held(desk, job)
    page = client.get(f"/jobs/{job}/crates/K2").text
    assert '<span class="mark mark-held">held</span>' in page
    checks = plain(page.partition("<h2>Checks</h2>")[2])
    assert [check.name for check in crate.checks if check.sentence() not in checks] == []
    assert "none of these parts is on the cut list" in page
    drawing = client.get(f"/jobs/{job}/crates/K2.svg")
    assert drawing.headers["content-type"] == "image/svg+xml"
    for face in faces(crate):
        where = f"/jobs/{job}/crates/K2.svg?face={face.key}"
        assert f'src="{where}" alt="{face.title}"' in page
        assert face.title.partition(";")[0] in client.get(where).text
    assert client.get(f"/jobs/{job}/crates/K2.svg?face=sky").status_code == 404
    cards = client.get(f"/jobs/{job}/crates").text
    assert cards.index('id="K2"') < cards.index('id="K1"'), "what is held stands first"
    assert client.get(f"/jobs/{job}/crates/K9").status_code == 404
    assert "mark-held" not in client.get(f"/jobs/{job}/crates/K1").text


def test_what_would_pass_is_told() -> None:
    quote = work(order_from_rows([HELD_HEADINGS, *HELD_ROWS]), Office(), on=DAY)
    crate = replace(quote.build.held[0], held_for=(HeldFor("back, bending", "9 lbf", "4 lbf", "a back of 23/32 in"),))
    (line,) = held_lines(replace(quote.build, held=(crate,)))
    assert line.text == "K2 is held: back, bending 9 lbf of 4 lbf; would pass: a back of 23/32 in."


def test_a_case_and_its_other_frames_stand_in_the_line_of_the_frame_that_fails(
    client: httpx.Client, desk: Desk
) -> None:
    job, slip = begun(client, HELD_CASE)
    (line,) = slip["held"]
    assert line["text"].startswith("K1 is held: ")
    assert line["text"].endswith(" K2 and K3 are held with it.")
    assert slip["without"] == "without K1, K2, K3, held"
    page = client.get(f"/jobs/{job}/crates").text
    assert page.count(f'action="/jobs/{job}/accept"') == 1, "accepted where it fails, and nowhere else"
    for name in ("K2", "K3"):
        assert "It stands or falls with K1" in plain(client.get(f"/jobs/{job}/crates/{name}").text)
    assert accept(client, desk, job).status_code == 303
    assert cells(desk, job)[1] == "", "only in the cell of its own piece"
    assert quoted(desk, job).build.held == ()


def test_copies_of_a_piece_are_told_and_accepted_together(client: httpx.Client, desk: Desk) -> None:
    job = int(client.post("/jobs", data={"name": "Two"}).headers["location"].split("/")[2])
    table = {"headings": [*HELD_HEADINGS, "quantity"], "rows": [[*HELD_ROWS[1], "2"]], "revision": 1}
    slip = client.post(f"/jobs/{job}/artworks", json=table, headers=JSON).json()["slip"]
    (line,) = slip["held"]
    assert line["text"].startswith("K1 and K2 are held: ")
    accept(client, desk, job)
    assert [crate.standing for crate in quoted(desk, job).build.crates] == ["accepted", "accepted"]


def test_names_are_listed_as_people_do() -> None:
    assert [listed(names) for names in (["K1"], ["K1", "K2"], ["K1", "K2", "K3"])] == [
        "K1", "K1 and K2", "K1, K2 and K3",
    ]  # fmt: skip


@pytest.mark.parametrize("kind", ["held", "lapsed"])
def test_the_lacks_beside_the_total_leave_out_what_stands_above_it(kind: str) -> None:
    lacks = [
        Lack(kind, 0, grave=True, count=1, names=("K2",), text="1 crate is held", reasons=(), mend=Mend("", "crates"))
    ]
    assert beside(lacks, 1) == []


# -- accepting ---------------------------------------------------------------------------------------------------------


def test_accepting_writes_the_cell_as_one_step_that_is_undone(client: httpx.Client, desk: Desk) -> None:
    job, slip = begun(client)
    code = held(desk, job).code
    answer = accept(client, desk, job, reason=f"  {REASON} \n", back=f"/jobs/{job}/crates#K2")
    assert (answer.status_code, answer.headers["location"]) == (303, f"/jobs/{job}/crates#K2")
    assert cells(desk, job) == ["", f"{code}: {REASON}"]
    build = quoted(desk, job).build
    assert [crate.crate for crate in build.held] == []
    assert build.crate("K2").accepted == REASON
    page = plain(client.get(f"/jobs/{job}/crates/K2").text)
    assert f"Accepted all the same. {REASON}" in page
    assert "K2 accepted as it stands, on Crates" in page or "K2 accepted as it stands" in plain(
        client.get(f"/jobs/{job}/record").text
    )
    table = client.get(f"/jobs/{job}/artworks").text
    assert table.index('data-name="back"') < table.index('data-name="accept_held"'), "the column comes last"
    client.post(f"/jobs/{job}/step", data={"revision": desk.sheaf(job).document.revision, "way": "undo"})
    assert quoted(desk, job).build.held[0].code == code
    assert slip["without"] == "without K2, held"


@pytest.mark.parametrize(
    ("other", "status", "said"),
    [
        ({"reason": " \n "}, 422, "write why it is taken all the same"),
        ({"reason": "x" * 301}, 422, "at most 300 characters"),
        ({"code": "0" * 8}, 409, "not as the page showed it"),
        ({"code": ""}, 409, "not as the page showed it"),
        ({"crate": "K1"}, 409, "not as the page showed it"),
        ({"crate": "K7"}, 409, "not as the page showed it"),
        ({"revision": "1"}, 409, "Somebody else changed this meanwhile"),
    ],
)
def test_nothing_is_accepted_without_a_reason_or_of_another_crate(
    client: httpx.Client, desk: Desk, other: dict[str, str], status: int, said: str
) -> None:
    job, _ = begun(client)
    before = desk.sheaf(job).document
    answer = accept(client, desk, job, **other)
    assert answer.status_code == status
    assert said in html.unescape(answer.text)
    assert desk.sheaf(job).document == before


def test_a_rule_that_moved_under_the_page_refuses_it_too(client: httpx.Client, desk: Desk) -> None:
    """The job stands at its revision; what its crate comes to does not."""
    job, _ = begun(client)
    shown = held(desk, job).code
    client.post(
        "/rules",
        data={"rule": "mounting.handling_factor", "value": "7", "revision": desk.papers.document("rules").revision},
    )
    assert held(desk, job).code != shown
    answer = accept(client, desk, job, code=shown)
    assert answer.status_code == 409
    assert cells(desk, job) == ["", ""]
    assert client.post(
        f"/jobs/{job}/accept", headers=JSON, data={"crate": "K2", "code": shown, "reason": "x", "revision": "2"}
    ).json()["message"].startswith("K2 is not as the page showed it")  # fmt: skip


def test_an_accepted_crate_is_put_back_to_held(client: httpx.Client, desk: Desk) -> None:
    job, _ = begun(client)
    code = held(desk, job).code
    accept(client, desk, job)
    form = {"crate": "K2", "code": "f" * 8, "revision": "3"}
    assert client.post(f"/jobs/{job}/hold", data=form).status_code == 409
    assert client.post(f"/jobs/{job}/hold", data={**form, "code": code}).status_code == 303
    assert cells(desk, job) == ["", ""]
    assert held(desk, job).crate == "K2"


def lapsed_job(client: httpx.Client, desk: Desk, weight: str) -> int:
    """Return a job whose heavy piece was accepted, and weighs otherwise since."""
    job, _ = begun(client)
    accept(client, desk, job)
    content = content_from(desk.sheaf(job).document.content)
    rows = [list(row) for row in content.rows]
    rows[1][content.headings.index("weight")] = weight
    table = {"headings": content.headings, "rows": rows, "revision": desk.sheaf(job).document.revision}
    assert client.post(f"/jobs/{job}/artworks", json=table, headers=JSON).status_code == 200
    return job


def test_what_lapsed_says_so_and_keeps_its_reason_to_be_taken_again(client: httpx.Client, desk: Desk) -> None:
    job = lapsed_job(client, desk, "389 lb")
    assert client.get(f"/jobs/{job}/crates").text.count("What accepted it has lapsed.") == 1
    page = client.get(f"/jobs/{job}/crates/K2").text
    assert f"Lapsed: A-02 was accepted with “{REASON}”" in plain(page)
    assert f'value="{REASON}"' in page, "the form offers the same words"
    accept(client, desk, job)
    assert quoted(desk, job).build.crate("K2").accepted == REASON
    assert "lapsed" not in plain(client.get(f"/jobs/{job}/crates").text).lower()


def test_what_passes_now_needs_no_acceptance_and_its_old_one_goes(client: httpx.Client, desk: Desk) -> None:
    job = lapsed_job(client, desk, "20 lb")
    page = plain(client.get(f"/jobs/{job}/crates/K2").text)
    assert f"A-02 was accepted once with “{REASON}”. K2 passes as it is now; nothing is accepted." in page
    revision = desk.sheaf(job).document.revision
    client.post(f"/jobs/{job}/hold", data={"crate": "K2", "code": "", "revision": revision})
    assert cells(desk, job) == ["", ""]
    assert "accepted once" not in plain(client.get(f"/jobs/{job}/crates/K2").text)


def test_a_cell_that_a_frame_rests_on_is_not_written_over_for_its_case() -> None:
    """Where frame and case both fail, each rests on a cell of its own; where there is none left, that is said."""
    content = Content(headings=HELD_HEADINGS, rows=HELD_CASE)
    order = read(content, "two").order
    assert order is not None
    build = work(order, Office(), on=DAY).build
    frame = next(crate for crate in build.held if crate.crate == "K1")
    case = replace(next(crate for crate in build.held if crate.crate == "K3"), code="0ddba11c")
    both = replace(build, held=(frame, case))
    made = accepted(content, both, "K1", frame.code, "frame")
    again = read(made, "two").order
    assert again is not None
    made = accepted(made, replace(both, order=again), "K3", case.code, "case")
    assert [row[-1] for row in made.rows] == [f"{frame.code}: frame", "0ddba11c: case"]
    alone = replace(case, pieces=("B-01",))
    with pytest.raises(StoreError, match="the only cell of B-01 accepts another crate"):
        accepted(made, replace(both, order=again, held=(frame, alone)), "K3", case.code, "case")
    with pytest.raises(OtherCrateError):
        held_again(made, both, "K1", frame.code)
    assert without_old(content, both, "K9") == content
    assert lapses(both, frame) == ()


# -- pinning, sending and what else looks at it ------------------------------------------------------------------------


def test_a_job_is_accepted_without_it_by_a_word_that_stands_with_the_pin(client: httpx.Client, desk: Desk) -> None:
    job, slip = begun(client)
    form = {"standing": "accepted", "revision": "2", "note": "by letter"}
    asked = client.post(f"/jobs/{job}/stand", data=form)
    assert asked.status_code == 422
    assert slip["held"][0]["text"] in plain(asked.text)
    assert 'name="note" value="by letter"' in asked.text
    assert client.post(f"/jobs/{job}/stand", data={**form, "word": " "}).status_code == 422
    assert "201 characters found" in client.post(f"/jobs/{job}/stand", data={**form, "word": "x" * 201}).text
    assert desk.store.pins.current(job) is None
    assert desk.store.jobs.standings(job) == []
    assert client.post(f"/jobs/{job}/stand", data={**form, "word": "K2 goes by itself later"}).status_code == 303
    pin = desk.store.pins.current(job)
    assert pin is not None
    assert pin.why == "accepted: as it stood, without K2, held (K2 goes by itself later)"
    assert desk.store.jobs.standings(job)[0].note == "by letter"
    assert "without K2, held (K2 goes by itself later)" in plain(client.get(f"/jobs/{job}/money").text)
    # What is pinned is read back whole, with what is held of it.
    assert desk.store.pins.quote(job, 1) == quoted(desk, job)
    assert held(desk, job).crate == "K2"


def test_accepting_it_in_a_pinned_job_goes_into_a_next_version(client: httpx.Client, desk: Desk) -> None:
    job, _ = begun(client)
    client.post(f"/jobs/{job}/stand", data={"standing": "accepted", "word": "later"})
    assert accept(client, desk, job).status_code == 303
    sheaf = desk.sheaf(job)
    assert [crate.crate for crate in quoted(desk, job).build.held] == ["K2"]
    assert sheaf.later is not None
    assert sheaf.later.answer is not None
    assert sheaf.later.answer.quote.build.held == ()
    page = client.get(f"/jobs/{job}/crates/K2?version=next").text
    assert f'href="/jobs/{job}/crates?version=next#K2"' in page
    assert "mark-accepted" in page


def test_the_first_cut_asks_for_the_same_word(client: httpx.Client, desk: Desk) -> None:
    job, _ = begun(client)
    quote = quoted(desk, job)
    form = {"good": quote.build.layouts[0].good, "number": "1", "count": "1", "plan": stamp_of(quote),
            "cut": str(desk.store.pins.document(job).revision)}  # fmt: skip
    asked = client.post(f"/jobs/{job}/sawn", data=form)
    assert asked.status_code == 422
    assert "It goes on without K2, held" in asked.text
    assert client.post(f"/jobs/{job}/sawn", data=form, headers=JSON).status_code == 422
    assert desk.store.pins.current(job) is None
    assert client.post(f"/jobs/{job}/sawn", data={**form, "word": "the rest is urgent"}).status_code == 303
    pin = desk.store.pins.current(job)
    assert pin is not None
    assert pin.why == "first sheet cut: as it stood, without K2, held (the rest is urgent)"


def test_what_was_sent_without_it_is_pinned_as_it_was_sent(client: httpx.Client, desk: Desk) -> None:
    """The word was given when it was sent, on all that the total lacked then."""
    job, _ = begun(client)
    assert client.post(f"/jobs/{job}/send", data={"revision": "2", **looked_at(desk, job)}).status_code == 303
    assert client.post(f"/jobs/{job}/stand", data={"standing": "accepted", "revision": "2"}).status_code == 303
    pin = desk.store.pins.current(job)
    assert pin is not None
    assert pin.why == "accepted: version 1 as it was sent"
    assert json.loads(pin.result)["total"]


@pytest.mark.parametrize("rows", [ALL, HELD_CASE], ids=["one piece", "a case"])
def test_every_page_copes_with_a_job_of_which_all_is_held(
    client: httpx.Client, desk: Desk, rows: Sequence[Sequence[str]]
) -> None:
    job, slip = begun(client, rows)
    assert quoted(desk, job).build.crates == ()
    assert slip["held"]
    for path in (
        "artworks", "crates", "crates/K1", "crates/K1.svg", "sheets", "money", "plan", "yard", "record", "ways",
        "what-if", "returns", "returns?chosen=1", "files/calendar.ics",
    ):  # fmt: skip
        assert client.get(f"/jobs/{job}/{path}").status_code == 200, path
    assert "cut everything" not in client.get(f"/jobs/{job}/plan").text, "no day of sawing where nothing is cut"
    assert "Nothing comes back." in client.get(f"/jobs/{job}/returns").text


def test_a_way_that_would_be_held_is_not_told_as_a_saving(client: httpx.Client, desk: Desk) -> None:
    good, _ = begun(client, [[cell if cell != "390 lb" else "20 lb" for cell in HELD_ROWS[1]]])
    heavy, _ = begun(client, ALL)
    now, then = quoted(desk, good), quoted(desk, heavy)
    rows = {row.label: row for row in compare(now, then, "A-02")}
    assert (rows["Held, and in no sum"].now, rows["Held, and in no sum"].then) == ("nothing", "K1")
    assert rows["Packed size of A-02"].then.endswith(", held")
    assert rows["Total"].difference == "do not compare"
    assert "Held, and in no sum" not in {row.label for row in compare(now, now)}
    assert facts(now.build, 1) == {"held": [], "without": ""}


def test_a_scenario_in_which_other_pieces_are_held_is_not_compared(client: httpx.Client, desk: Desk) -> None:
    """It is cheap because something is not made."""
    job, _ = begun(client)
    text = '[scenario.light]\norder.change.A-02.weight = "20 lb"\n\n[scenario.many]\norder.change.A-01.quantity = 2\n'
    content = replace(content_from(desk.store.documents.get(job_paper(job)).content), scenarios=text)
    order = read(content, "held").order
    assert order is not None
    found = Quoting(order, Office(), text, DAY, 0).run(silent, Stop())
    assert [(each.title, each.held, each.without) for each in found] == [
        ("as it is", ("A-02",), "without A-02, held"),
        ("light", (), ""),
        ("many", ("A-02",), "without A-02, held"),
    ]
    desk.weighings.keep(job, Weighing("before", found, stopped=False))
    table = client.get(f"/jobs/{job}/what-if").text
    rows = re.findall(r"<tr[^>]*><th scope=\"row\">(.*?)</th>\s*<td>.*?</td><td>(.*?)</td>", table, re.DOTALL)
    assert [(name, bool(difference)) for name, difference in rows[:3]] == [
        ("as it is", False), ("light", False), ("many", True),
    ]  # fmt: skip


def test_ways_to_pack_compare_no_total_that_lacks_other_pieces(client: httpx.Client, desk: Desk) -> None:
    job, _ = begun(client)
    content = content_from(desk.store.documents.get(job_paper(job)).content)
    order = read(content, "held").order
    assert order is not None
    wish = Wish(free=True)
    found = Comparing(order, Office(), DAY, 0, wish).run(silent, Stop())
    desk.comparisons.keep(job, Compared(desk.comparison_key(desk.sheaf(job)), content, wish, found, stopped=False))
    page = plain(client.get(f"/jobs/{job}/ways").text)
    assert "without A-02, held" in page
    assert "closed crate now : cannot be made: its crate is held: " in page
    if not found.comparable:
        assert found.told_saving("USD") in page
        assert "does not compare" in page
        assert "It saves" not in page


@pytest.mark.parametrize("kind", ["held"])
def test_nothing_is_sent_without_a_word_on_what_is_held(client: httpx.Client, desk: Desk, kind: str) -> None:
    job, _ = begun(client)
    words = looked_at(desk, job)
    words[f"word-{kind}"] = " "
    answer = client.post(f"/jobs/{job}/send", data={"revision": "2", **words})
    assert answer.status_code == 422
    assert "1 crate is held, not cut and not in this total: found no word" in html.unescape(answer.text)
    assert desk.store.quotes.of(job) == []


def test_what_comes_through_foam_that_no_check_chose_stands_beside_the_figures(client: httpx.Client) -> None:
    headings = (*HELD_HEADINGS, "cushion")
    rows = [["B-01", "Slab", "40", "40", "1 1/2", "20 lb", "travel", "Harbour Gallery", "solid"]]
    job = int(client.post("/jobs", data={"name": "Foam by rule"}).headers["location"].split("/")[2])
    for revision, rule in ((1, "checked"), (2, "fixed")):
        table = {"headings": headings, "rows": [[*rows[0], rule]], "revision": revision}
        told = client.post(f"/jobs/{job}/artworks", json=table, headers=JSON).json()
        assert told["slip"]["total"], told
        page = client.get(f"/jobs/{job}/money").text
        assert ('id="foam">Foam is fixed, as the rule says,' in page) is (rule == "fixed")


def test_a_piece_that_nothing_packs_is_told_as_what_is_held_and_at_its_row(client: httpx.Client, desk: Desk) -> None:
    """A canvas without bars takes no screw, and is larger than every carton: the rest of the order has its price."""
    headings = (*HELD_HEADINGS[:-1], "support", "back")
    rows = [["C-01", "Canvas", "60", "40", "1 1/2", "30 lb", "auto", "", "canvas", ""], [*HELD_ROWS[0][:-1], "", ""]]
    job = int(client.post("/jobs", data={"name": "One left over"}).headers["location"].split("/")[2])
    table = {"headings": headings, "rows": rows, "revision": 1}
    told = client.post(f"/jobs/{job}/artworks", json=table, headers=JSON).json()
    slip, (fault,) = told["slip"], told["faults"]
    assert slip["total"].startswith("USD ")
    assert slip["without"].startswith("without C-01, packed by nothing")
    assert slip["held"][0]["text"].startswith("C-01: packed by nothing; no battened crate")
    assert (fault["row"], fault["column"]) == (0, headings.index("back"))
    assert fault["text"].startswith("Packed by nothing, and in no total: ")
    assert "C-01: packed by nothing" in client.get("/").text
    assert '<span class="mark mark-held">packed by nothing</span>' in client.get(f"/jobs/{job}/money").text
    quiet = {"standing": "accepted", "on": "", "amount": "", "note": "", "revision": slip["revision"]}
    assert client.post(f"/jobs/{job}/stand", data=quiet).status_code == 422
    assert client.post(f"/jobs/{job}/stand", data={**quiet, "word": "It follows later."}).status_code == 303
    pinned = desk.store.pins.current(job)
    assert pinned is not None
    assert "without C-01, packed by nothing (It follows later.)" in pinned.why
    whole = desk.sheaf(job)
    alone = desk.work(whole.row, whole.document, replace(whole.content, rows=whole.content.rows[1:]))
    assert whole.answer is not None
    assert alone.answer is not None
    names = [row.label for row in compare(whole.answer.quote, alone.answer.quote)]
    assert "Held or packed by nothing, and in no sum" in names

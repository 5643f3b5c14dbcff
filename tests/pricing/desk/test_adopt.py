"""A scenario made the job: all that the job can hold is written into it as one change, and the rest is told."""

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from typing import Any

import httpx
import pytest

from nesting.base.faults import FaultsFound
from nesting.base.measure import INCH
from nesting.base.search import QUICK
from nesting.order import Order
from pricing.ahead.what_if import scenarios_from
from pricing.desk.adopt import Adopted, adopted
from pricing.desk.content import Content
from pricing.desk.desk import Desk
from pricing.desk.scenarios import Weighed, listed
from pricing.desk.studio import for_job
from pricing.desk.table import dropped, read
from pricing.quoting.work import work
from pricing.studio.destinations import Destination, Destinations
from pricing.studio.office import Office, read_office
from tests.pricing.desk.orders import DAY, HEADINGS, ROWS, SAMPLES
from tests.pricing.desk.test_what_if import begin, plain, post, quoted

STUDIO = Office(destinations=Destinations((Destination("Harbour Gallery", "US"),)))
JSON = {"accept": "application/json"}
ALL = """
[scenario.all]
title = "All of it"
order.without = ["A-02"]
order.change.A-01 = { method = "battened", weight = 20, ship_by = 2026-12-24, turn = true }
order.add = [{ piece = "A-03", width = 30.5, height = "40", depth = "1 1/2 in", quantity = 2, apart = ["A-01"] }]
shop.frame.larger_by = "8 in"
rates.price.overhead = 0.2
rates.freight.van.per_km = 0.9
prices."ply-3/8 4x8" = 41.50
prices."hour saw" = 50
"""


def job(rows: Sequence[Sequence[str]] = ROWS, headings: Sequence[str] = HEADINGS, scenarios: str = ALL) -> Content:
    return Content(headings=tuple(headings), rows=tuple(tuple(row) for row in rows), scenarios=scenarios)


def make(content: Content, name: str = "all") -> Adopted:
    return adopted(content, name, content.scenarios, STUDIO, "a job")


def order(content: Content) -> Order:
    found = read(content, "").order
    assert found is not None
    return found


def test_all_that_a_job_can_hold_is_written_into_it() -> None:
    made = make(job())
    assert made.left == ()
    first, third = order(made.content).artworks
    assert (first.piece, first.method, first.turn, first.title) == ("A-01", "battened", True, "First")
    assert str(first.ship_by) == "2026-12-24"
    assert round(float(first.weight_kg or 0) / 0.45359237, 6) == 20
    assert (third.piece, third.width, third.quantity, third.apart) == ("A-03", 61 * INCH // 2, 2, ("A-01",))
    office = for_job(STUDIO, made.content)
    assert office.shop.frame.larger_by == 8 * INCH
    assert office.rates.price.overhead == Decimal("0.2")
    assert office.rates.profile("van").per_km == Decimal("0.9")
    assert office.book.price("ply-3/8 4x8").price == Decimal("41.50")
    assert office.book.price("hour saw").price == Decimal(50)
    assert set(made.content.rules) == {"frame.larger_by", "price.overhead", "freight.van.per_km"}, "nothing else"
    assert made.content.scenarios == "", "it is no scenario any more"


def test_what_is_taken_costs_what_was_quoted_and_what_cannot_be_is_named() -> None:
    name, _, headings, rows = dropped("order.csv", (SAMPLES / "gallery_consignment.csv").read_bytes())
    content, studio = job(rows, headings, (SAMPLES / "scenarios.toml").read_text()), read_office(None, SAMPLES)
    told = {}
    for each in scenarios_from(content.scenarios.encode(), name, order(content), studio):
        made = adopted(content, each.name, content.scenarios, studio)
        told[each.name] = [left.text for left in made.left]
        if not made.left:
            quotes = (
                work(pieces, office, on=DAY, search=QUICK)
                for pieces, office in ((each.order, each.office), (order(made.content), for_job(studio, made.content)))
            )
            assert len({quote.total for quote in quotes}) == 1, each.name
    assert told == {
        "long-sheets": ["ply-23/32 5x10: sizes and their prices belong to the studio and all its jobs."],
        "no-strand-board": [],
        "two-vans": [
            "The studio knows no way to ship called two-vans.",
            "Harbour Gallery (profile two-vans) would be so for all jobs that go there.",
        ],
        "one-more": [],
        "paper-crated": [],
    }


def test_breaks_that_stay_are_told() -> None:
    kept = [note for note in make(job()).notes if "price breaks" in note]
    row = STUDIO.book.price("ply-3/8 4x8")
    assert bool(row.breaks) == any("ply-3/8 4x8" in note for note in kept)
    assert not any("hour saw" in note for note in kept)


@pytest.mark.parametrize(
    ("headings", "row"),
    [
        (("Ref", "width (cm)", "height (cm)", "depth (cm)", "weight (kg)"), ("A-01", "76.2", "76.2", "4", "8")),
        (("Piece no", "size (w x h x d)", "weight"), ("A-01", "30 x 30 x 1 1/2", "18 lb")),
    ],
)
def test_cells_are_read_as_the_scenario_means_them_whatever_the_headings(
    headings: Sequence[str], row: Sequence[str]
) -> None:
    text = "[scenario.all.order.change.A-01]\nwidth = 25\nweight = 20\nquantity = 3\n"
    made = make(job([row], headings, text))
    assert made.left == ()
    (piece,) = order(made.content).artworks
    assert (piece.width, piece.height, piece.quantity) == (25 * INCH, 30 * INCH, 3)
    assert round(float(piece.weight_kg or 0) / 0.45359237, 6) == 20


def test_wishes_about_pieces_that_go_go_with_them() -> None:
    headings, rows = (*HEADINGS, "apart"), [(*ROWS[0], "A-02, A-03"), (*ROWS[1], ""), ("A-03", *ROWS[1][1:], "")]
    made = make(job(rows, headings, '[scenario.all.order]\nwithout = ["A-02"]\n'))
    assert made.left == ()
    assert [(each.piece, each.apart) for each in order(made.content).artworks] == [("A-01", ("A-03",)), ("A-03", ())]


@pytest.mark.parametrize(
    ("text", "said", "address"),
    [
        ('destinations."Harbour Gallery".profile = "van"', "Harbour Gallery (profile van)", "/rules#places"),
        (
            'destinations.Hilltop = { country = "US", profile = "van" }',
            "Hilltop (country US, profile van) would",
            "/rules#places",
        ),
        ('shop.good = [{ good = "ply-3/8", thickness = "9 mm" }]', "How thick", "/rules#goods"),
        ('shop.good = [{ good = "ply-3/8", density = 500.0 }]', "belongs to the studio", "/rules#files"),
        ('shop.studio.name = "Another"', "name and address", "/rules#studio"),
        ("rates.purchase_tax.goods = 0.1", "tax on what is bought", "/rules#files"),
    ],
)
def test_what_is_the_studios_is_told_with_its_place_and_left(text: str, said: str, address: str) -> None:
    made = make(job(scenarios=f"[scenario.all]\n{text}\n"))
    assert [(said in each.text, each.address) for each in made.left] == [(True, address)]
    assert not made.changes
    both = make(job(scenarios=f'[scenario.all]\n{text}\norder.change.A-01.method = "travel"\n'))
    assert (both.changes, both.left) == (True, made.left)
    assert order(both.content).artwork("A-01").method == "travel"
    assert listed(both.content.scenarios) == [("all", "all")], "what is left of it stays on the list"
    assert (both.content.rules, both.content.prices, both.content.missing) == ({}, {}, ())


def test_a_size_more_is_the_studios_and_a_size_less_is_not_to_be_had() -> None:
    good = next(each for each in STUDIO.shop.goods if each.form == "stick" and len(each.sizes) > 1)
    kept, gone = good.sizes[0], [size.stock for size in good.sizes[1:]]
    size = '{{ stock = "{}", length = "{}" }}'
    entry = f'[[scenario.all.shop.good]]\ngood = "{good.good}"\n'
    text = size.format(kept.stock, f"{kept.length // INCH} in")
    assert kept.length % INCH == 0
    fewer = make(job(scenarios=f"{entry}sizes = [{text}]\n"))
    assert (fewer.left, fewer.content.missing, len(fewer.notes)) == ((), tuple(gone), 1)
    assert f"{gone[0]}" in fewer.notes[0]
    own = size.format("own 20ft", "240 in")
    more = make(job(scenarios=f"{entry}sizes = [{text}, {own}]\n"))
    assert [each.address for each in more.left] == ["/prices"]
    assert "own 20ft" in more.left[0].text
    assert more.content.missing == tuple(gone)


def test_a_table_that_cannot_say_it_stays_as_it_is() -> None:
    # A mark that nobody sees, as spreadsheets leave it: the piece is understood, its cell is not its name.
    rows = [("\ufeffA-01", *ROWS[0][1:])]
    text = "[scenario.all]\norder.change.A-01.width = 25\nrates.price.overhead = 0.3\n"
    content = job(rows, scenarios=text)
    made = make(content)
    assert [(each.text, each.address) for each in made.left] == [
        ("The table cannot take what is said of A-01 as the scenario has it.", "artworks")
    ]
    assert made.content.rows == content.rows
    assert made.content.rules == {"price.overhead": "0.3"}


def test_rules_are_taken_only_as_the_job_would_have_them() -> None:
    text = '[scenario.all]\nshop.frame.back_heavy = "ply-23/32"\nrates.price.overhead = 0.3\n'
    made = make(replace(job(scenarios=text), swaps={"ply-23/32": "ply-15/32"}))
    assert [(each.text.partition(":")[0], each.address) for each in made.left] == [("Good of a heavy back", "yard")]
    assert made.content.rules == {"price.overhead": "0.3"}
    # Rules that stand only together cannot be laid over the studio's one after the other.
    barge = 'freight.barge = { title = "By barge", kind = "collect" }\n'
    made = make(job(scenarios=f'[scenario.all.rates]\ndelivery.profile = "barge"\n{barge}'))
    assert {each.address for each in made.left} == {"", "/rules#files"}
    assert "delivery.profile" in made.left[0].text
    assert not made.changes


def test_a_job_that_is_so_already_and_a_scenario_of_another_job() -> None:
    content = job(scenarios='[scenario.all]\norder.change.A-01.method = "auto"\n')
    assert not make(content).changes
    headings, row = ("piece", "width", "height", "depth"), ("A-01", "30", "30", "2")
    assert not make(job([row], headings, content.scenarios)).changes, "no column is added for what it is anyway"
    with pytest.raises(FaultsFound, match="A-02"):
        make(job(ROWS[:1]))
    with pytest.raises(LookupError, match="no scenario other"):
        make(content, "other")
    with pytest.raises(LookupError, match="mend them"):
        make(job([("A-01", "First", "wide", "30", "1", "", "auto", "")]))


# -- on the desk -------------------------------------------------------------------------------------------------------


def offered(client: httpx.Client, desk: Desk, text: str) -> tuple[int, str]:
    """Begin a job with scenarios, quote them, and return its number and the page."""
    number = begin(client)
    assert post(client, f"/jobs/{number}/what-if/text", scenarios=text, revision=2).status_code == 303
    return number, quoted(client, desk, number)


def weighed(desk: Desk, number: int, name: str) -> Weighed:
    made = desk.weighings.of(number, "")
    assert made is not None
    return next(each for each in made.found if each.name == name)


def test_taken_as_one_change_it_costs_what_was_quoted_and_undo_takes_it_back(client: httpx.Client, desk: Desk) -> None:
    text = ALL.replace('prices."ply-3/8 4x8" = 41.50\n', "") + '[scenario.other]\norder.change.A-01.method = "closed"\n'
    number, page = offered(client, desk, text)
    assert plain(page).count("Make the job so") == 2
    before, papers = desk.sheaf(number), [desk.papers.document(name) for name in ("prices", "rules", "destinations")]
    fields = {"name": "all", "of": 3}
    assert post(client, f"/jobs/{number}/what-if/adopt", revision=3, **fields).status_code == 303
    now = desk.sheaf(number)
    assert now.document.revision == 4
    assert now.document.what == "[what-if] made as the scenario All of it"
    assert now.answer is not None
    assert now.answer.quote.total == weighed(desk, number, "all").figures["total"]
    assert listed(now.content.scenarios) == [("other", "other")]
    assert papers == [desk.papers.document(name) for name in ("prices", "rules", "destinations")]
    assert "Make the job so" not in client.get(f"/jobs/{number}/what-if").text, "the others were quoted of another job"
    post(client, f"/jobs/{number}/step", way="undo", revision=4)
    assert desk.sheaf(number).content == before.content
    assert plain(client.get(f"/jobs/{number}/what-if").text).count("Make the job so") == 2


def test_what_is_left_is_told_before_and_taken_only_knowingly(client: httpx.Client, desk: Desk) -> None:
    post(client, "/rules/place", old="", destination="Harbour Gallery", country="US", revision=0)
    text = '[scenario.a]\ndestinations."Harbour Gallery".profile = "van"\n'
    number, page = offered(client, desk, text)
    assert "Not taken: Harbour Gallery (profile van) would be so for all jobs" in plain(page)
    assert 'href="/rules#places"' in page
    assert "Make the job so" not in page
    assert post(client, f"/jobs/{number}/what-if/adopt", revision=3, name="a", of=3, but="yes").status_code == 422
    both = f'{text}order.change.A-01.method = "travel"\n'
    post(client, f"/jobs/{number}/what-if/text", scenarios=both, revision=3)
    assert "Make the job so, but for this" in quoted(client, desk, number)
    refused = post(client, f"/jobs/{number}/what-if/adopt", revision=4, name="a", of=4)
    assert refused.status_code == 422
    assert "all jobs that go there" in refused.text
    assert post(client, f"/jobs/{number}/what-if/adopt", revision=4, name="a", of=4, but="yes").status_code == 303
    assert desk.papers.places.get("Harbour Gallery").profile == "", "the studio is left alone"
    found = desk.sheaf(number)
    assert found.reading.order is not None
    assert found.reading.order.artwork("A-01").method == "travel"
    # Once the studio has it, the job is so already.
    post(client, "/rules/place", old="Harbour Gallery", destination="Harbour Gallery", country="US", profile="van",
         revision=1)  # fmt: skip
    assert "The job is so already." in plain(quoted(client, desk, number))


def test_a_second_save_is_told_and_offered_both(client: httpx.Client, desk: Desk) -> None:
    number, _ = offered(client, desk, '[scenario.a]\ntitle = "A"\norder.change.A-01.method = "travel"\n')
    # Another tab writes another scenario of that name, and changes a cell.
    other = '[scenario.a]\ntitle = "A"\norder.change.A-01.method = "closed"\n'
    post(client, f"/jobs/{number}/what-if/text", scenarios=other, revision=3)
    post(client, f"/jobs/{number}/quantity", piece="A-02", count=2, revision=4)
    fields: dict[str, Any] = {"name": "a", "of": 3}
    clash = post(client, f"/jobs/{number}/what-if/adopt", revision=3, **fields)
    assert clash.status_code == 409
    said = plain(clash.text)
    assert "quantity: nothing → 2" in said
    assert "made as the scenario A" in said
    assert 'name="of" value="3"' in clash.text
    told = client.post(f"/jobs/{number}/what-if/adopt", data={"revision": "3", "name": "a", "of": "3"}, headers=JSON)
    assert told.json()["conflict"]
    assert desk.sheaf(number).document.revision == 5
    assert post(client, f"/jobs/{number}/what-if/adopt", revision=5, **fields).status_code == 303
    found = desk.sheaf(number)
    assert found.reading.order is not None
    assert [(each.method, each.quantity) for each in found.reading.order.artworks] == [("travel", 1), ("auto", 2)]
    assert found.content.scenarios == other.strip(), "what the other tab wrote stays"


def test_what_is_offered_is_worked_out_once_for_every_quoting(
    client: httpx.Client, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = []

    def counted(content: Content, name: str, *rest: Any) -> Adopted:
        asked.append(name)
        return adopted(content, name, *rest)

    monkeypatch.setattr("pricing.desk.pages.what_if.adopted", counted)
    number, page = offered(client, desk, '[scenario.a]\norder.without = ["A-02"]\n')
    assert (
        plain(client.get(f"/jobs/{number}/what-if").text).count("Make the job so")
        == plain(page).count("Make the job so")
        == 1
    )
    assert asked == ["a"]
    post(client, "/prices/row", stock="hour saw", price="50", revision=0)
    quoted(client, desk, number)
    assert asked == ["a", "a"], "another price makes another quote of it"


def test_what_is_no_more_is_told(client: httpx.Client, desk: Desk) -> None:
    number, _ = offered(client, desk, '[scenario.a]\norder.without = ["A-02"]\n')
    assert post(client, f"/jobs/{number}/what-if/adopt", revision=3, name="b", of=3).status_code == 404
    assert post(client, f"/jobs/{number}/what-if/adopt", revision=3, name="a", of=99).status_code == 404
    table = {"headings": HEADINGS, "rows": ROWS[:1], "revision": 3}
    client.post(f"/jobs/{number}/artworks", json=table, headers=JSON)
    gone = post(client, f"/jobs/{number}/what-if/adopt", revision=4, name="a", of=3)
    assert gone.status_code == 422
    assert "A-02" in gone.text

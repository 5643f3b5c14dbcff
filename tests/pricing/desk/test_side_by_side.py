"""What totals side by side come from: kinds, lines, hours and weights add up to what the pages show, to the cent."""

import csv
import io
import re
import time
from collections import Counter
from decimal import Decimal
from html import unescape

import httpx
import pytest

from nesting.base.progress import silent
from nesting.base.stop import Stop
from nesting.intake import order_from_rows
from pricing.ahead.methods import Combination, Outcome, Pricer, combine
from pricing.desk.content import Content
from pricing.desk.desk import Desk, Sheaf
from pricing.desk.origins.model import Address, Table
from pricing.desk.origins.offered import of_offer
from pricing.desk.origins.side_by_side import of_design, of_scenario, of_together, of_way
from pricing.desk.scenarios import Quoting
from pricing.desk.taken import with_design, written
from pricing.desk.ways import Compared, Wish
from pricing.money import total
from pricing.output.offer.content import Kind, by_piece, clients
from pricing.output.offer.files import offers
from pricing.quoting.ledger import entries_of
from pricing.quoting.quote import Quote
from pricing.studio.office import Office
from tests.pricing.desk.orders import DAY, HEADINGS, gallery, quick_quote

TO = Address(7)
ROWS = (
    ("A-01", "One", "30", "30", "1 1/2", "18 lb", "closed", "Harbour Gallery"),
    ("A-02", "Two", "12", "10", "1", "2 lb", "auto", "Harbour Gallery"),
)
ONE_LESS = '[scenario.one]\ntitle = "One less"\norder.without = ["A-02"]\n'


@pytest.fixture(scope="module")
def quote() -> Quote:
    return quick_quote(ROWS)


@pytest.fixture(scope="module")
def found() -> Combination:
    return combine(Pricer(order_from_rows([HEADINGS, *ROWS]), Office(), DAY))


def figure(text: str) -> Decimal:
    return Decimal(re.sub(r"[,\s+]", "", text).replace("−", "-") or "0")


def summed(table: Table, head: str) -> Decimal:
    place = table.heads.index(head)
    return total(figure(row[place].text) for row in table.rows)


def test_a_way_is_the_sum_of_its_kinds_hours_and_weights(found: Combination, quote: Quote) -> None:
    priced = 0
    for unit, rows in zip(found.comparison.units, found.comparison.rows, strict=True):
        for row in rows:
            if row.bearing is None:
                with pytest.raises(LookupError):
                    of_way(found, unit.name, row.method, quote, TO)
                continue
            tables = {table.key: table for table in of_way(found, unit.name, row.method, quote, TO).tables}
            so = "so"
            assert summed(tables["bears"], so) == row.bearing.cost
            assert abs(summed(tables["hours"], so) - row.bearing.hours) <= Decimal("0.01")
            assert summed(tables["order"], so) == row.order_total
            assert abs(sum(kg for _, kg in row.bearing.carried) - row.bearing.kg) < 0.06
            if row.difference is not None:
                assert summed(tables["order"], "+/−") == row.difference
            priced += 1
    assert priced >= 4
    with pytest.raises(LookupError):
        of_way(found, "none", "closed", quote, TO)


def test_orders_of_a_comparison_are_their_kinds_and_their_pieces(found: Combination, quote: Quote) -> None:
    for which, outcome in (("now", found.comparison.now), ("each", found.each_cheapest), ("best", found.best)):
        assert isinstance(outcome, Outcome)
        kinds, units = of_together(found, which, quote, TO).tables
        assert summed(kinds, "so") == outcome.total == summed(units, "bears")
        assert summed(units, "a trip") == outcome.a_trip


def test_a_scenario_is_the_sum_of_its_lines(quote: Quote) -> None:
    weighed = Quoting(quote.build.order, Office(), ONE_LESS, DAY, 0, "quick").run(silent, Stop())
    assert total(each.amount for each in entries_of(quote)) == quote.total
    base, one = weighed
    for each in weighed:
        tables = {table.key: table for table in of_scenario(weighed, each.name, quote, TO).tables}
        head = "amount" if each.base else "so"
        assert summed(tables["entries"], head) == each.total
        sections = Counter[str]()
        for entry in each.entries:
            sections[entry.section] += int(entry.amount * 100)
        assert sections["labour"] == int(each.figures["labour"] * 100)
        assert summed(tables["hours"], "so") == each.figures["hours"]
        assert len(tables["packages"].rows) == each.figures["packages"]
    assert one.total is not None
    assert base.total is not None
    tables = {table.key: table for table in of_scenario(weighed, "one", quote, TO).tables}
    assert summed(tables["entries"], "+/−") == one.total - base.total


@pytest.fixture(scope="module")
def whole() -> Quote:
    return gallery()


@pytest.mark.parametrize("kind", ["packing", "sale"])
def test_an_offer_is_the_sum_of_its_pieces(whole: Quote, kind: Kind) -> None:
    for number, (offer, client) in enumerate(zip(offers(whole, kind), clients(whole), strict=True), start=1):
        parts = [row for rows in by_piece(whole, client, kind).values() for row in rows if row.amount is not None]
        for row in offer.rows:
            if row.amount is not None:
                mine = total(each.amount for each in parts if each.title == row.title and each.amount is not None)
                assert mine == row.amount, row.title
        (table,) = of_offer(whole, offer, number, TO).tables
        assert summed(table, "total") == offer.total


@pytest.fixture
def sheaf(desk: Desk) -> Sheaf:
    return desk.save(desk.store.jobs.add("Show"), Content(headings=HEADINGS, rows=ROWS), based_on=0, what="begun")


def test_a_design_is_what_it_adds_line_by_line(desk: Desk, sheaf: Sheaf, client: httpx.Client) -> None:
    assert sheaf.answer is not None
    build = sheaf.answer.quote.build
    crate = next(each for each in build.travelling if "A-01" in each.pieces)
    listed = desk.floor.short_list(sheaf.answer, crate)
    for each in listed[1:]:
        tables = {table.key: table for table in of_design(listed, each.stamp, sheaf.answer.quote, TO).tables}
        assert summed(tables["entries"], "+/−") == each.more
        assert abs(summed(tables["hours"], "+/−") - each.hours) <= Decimal("0.01")
    page = client.get(f"/jobs/{sheaf.row.id}/designs/{crate.crate}").text
    links = {unescape(link) for link in re.findall(r'class="from" href="([^"#]*&amp;design=[^"#]*)', page)}
    assert len(links) == len(listed)
    told = client.get(min(links)).text
    assert "Line by line" in told
    assert f'href="/jobs/{sheaf.row.id}/designs/{crate.crate}"' in told
    assert "<dt>formula</dt>" in page


def test_figures_of_ways_scenarios_and_offers_lead_on(
    desk: Desk, sheaf: Sheaf, client: httpx.Client, found: Combination
) -> None:
    job = sheaf.row.id
    desk.comparisons.keep(job, Compared(desk.comparison_key(sheaf), sheaf.content, Wish(), found, stopped=False))
    text = {"scenarios": ONE_LESS, "revision": str(sheaf.document.revision)}
    assert client.post(f"/jobs/{job}/what-if/text", data=text).status_code == 303
    assert client.post(f"/jobs/{job}/what-if").status_code == 303
    end = time.monotonic() + 60.0
    while desk.searches.pending(job, "scenarios"):
        assert time.monotonic() < end, "it took too long"
        time.sleep(0.02)
    for name, least in (("ways", 6), ("what-if", 2), ("client", 2)):
        page = client.get(f"/jobs/{job}/{name}").text
        links = {unescape(link) for link in re.findall(r'class="from" href="([^"#]*)', page)}
        assert len(links) >= least, name
        for link in sorted(links)[::3]:
            assert client.get(link).status_code == 200, link
        for link in {unescape(each) for each in re.findall(r'href="(\?csv=[^"]*)"', page)}:
            answer = client.get(f"/jobs/{job}/{name}{link}")
            assert answer.headers["content-type"].startswith("text/csv"), link
            assert list(csv.reader(io.StringIO(answer.text)))[1:], link
    for query in ("way=closed&piece=none", "ways=none", "scenario=none", "offer=9", "design=none&crate=K1"):
        answer = client.get(f"/jobs/{job}/from?{query}")
        assert answer.status_code == 404, query
        assert "as it stands now" in answer.text


def test_a_design_that_was_taken_counts_where_its_pieces_are_packed_as_now(desk: Desk, sheaf: Sheaf) -> None:
    assert sheaf.answer is not None
    crate = next(each for each in sheaf.answer.quote.build.travelling if "A-01" in each.pieces)
    wanted = desk.floor.short_list(sheaf.answer, crate)[-1]
    assert wanted.more
    content = with_design(sheaf.content, crate.pieces, written(wanted.taken, wanted.words))
    after = desk.save(sheaf.row.id, content, based_on=sheaf.document.revision, what="taken")
    assert after.answer is not None
    assert after.answer.asked is not None
    order, taken = after.answer.quote.build.order, after.answer.asked.taken
    plain, with_it = (Pricer(order, Office(), DAY, taken=each) for each in (None, taken))
    assert plain.as_chosen().total != with_it.as_chosen().total == after.answer.quote.total
    now = with_it.as_chosen().choice
    other = ("travel", *now[1:])
    same = (now[0], "closed")
    (one, alike), (without,) = with_it.price([other, same]), plain.price([other])
    assert isinstance(one, Outcome)
    assert isinstance(without, Outcome)
    assert one.total == without.total, "A-01 is packed another way: its design is none of that"
    (bare,) = plain.price([same])
    assert isinstance(alike, Outcome)
    assert isinstance(bare, Outcome)
    assert alike.total != bare.total
    assert alike.aside == ()
    weighed = Quoting(order, Office(), ONE_LESS, DAY, 0, "quick", taken).run(silent, Stop())
    assert weighed[0].total == after.answer.quote.total
    assert [each.aside for each in weighed] == [(), ()]
    gone = Quoting(order, Office(), ONE_LESS.replace("A-02", "A-01"), DAY, 0, "quick", taken).run(silent, Stop())
    assert gone[1].aside == ("A-01",)

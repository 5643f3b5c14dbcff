"""Where figures come from: every line and every share adds up to what stands on the page of money, to the cent."""

import re
from decimal import Decimal
from fractions import Fraction
from html import unescape

import httpx
import pytest

from pricing.desk.origins.bearing import borne, of_piece, step_told
from pricing.desk.origins.crates import of_hours, of_weight
from pricing.desk.origins.lines import of_line
from pricing.desk.origins.model import Address, Table, number
from pricing.quoting.labour import TITLES
from pricing.quoting.quote import Quote
from tests.pricing.desk.orders import gallery
from tests.pricing.desk.test_as_csv import begun

TO = Address(7, "version=next")


@pytest.fixture(scope="module")
def quote() -> Quote:
    """Return the quote of the sample consignment, by quick plans."""
    return gallery()


def figure(text: str) -> Decimal:
    return Decimal(text.replace(",", ""))


def column(table: Table, head: str) -> list[str]:
    place = table.heads.index(head)
    return [row[place].text for row in table.rows]


def test_a_line_is_borne_by_pieces_that_add_up_to_it(quote: Quote) -> None:
    for line in (*quote.lines, *quote.passed):
        pieces = of_line(quote, line, TO).tables[-1]
        assert pieces.key == "pieces"
        assert sum(map(figure, column(pieces, "amount")), Decimal(0)) == line.amount, line.key


def test_a_share_is_every_line_and_step_that_the_piece_bears(quote: Quote) -> None:
    for share in quote.shares:
        (table,) = of_piece(quote, share.piece, TO).tables
        assert sum(map(figure, column(table, "bears")), Decimal(0)) == share.total, share.piece
    parts = borne(quote)
    for step in quote.steps:
        if step.key in parts:
            assert sum(parts[step.key].values(), Decimal(0)) == step.amount


def test_work_is_counted_where_it_is_done(quote: Quote) -> None:
    for line in quote.lines:
        if line.labour is None:
            continue
        tables = {table.key: table for table in of_line(quote, line, TO).tables}
        times = sum((Fraction(figure(text)) for text in column(tables["crates"], "times")), Fraction(0))
        assert abs(times - line.labour.count) < Fraction(1, 100), line.key
        if "goods" in tables:
            assert sum(map(figure, column(tables["goods"], "times"))) == line.labour.count, line.key
    at_the_saw = {line.key for line in quote.lines if line.labour and TITLES[line.labour.operation][0] == "saw"}
    assert any("goods" in {t.key for t in of_line(quote, x, TO).tables} for x in quote.lines if x.key in at_the_saw)


def test_sheets_and_parts_of_a_material_are_those_of_the_plans(quote: Quote) -> None:
    line = next(line for line in quote.lines if line.section == "sheets")
    assert line.taken is not None
    origin = of_line(quote, line, TO)
    tables = {table.key: table for table in origin.tables}
    assert sum(map(int, column(tables["sheets"], "how many"))) == line.taken.needed
    counted = sum(part.count for crate in quote.build.crates for part in crate.parts if part.good == line.good)
    assert sum(map(int, column(tables["parts"], "count"))) == counted
    assert {row[0].to for row in tables["parts"].rows} <= {
        f"/jobs/7/crates/{crate.crate}?version=next" for crate in quote.build.crates
    }
    assert f"{number(line.quantity)} {line.unit_said} ×" in origin.told[0].text


def test_hours_of_rooms_add_up_and_a_weight_is_its_parts(quote: Quote) -> None:
    def hours(room: str, crate: str = "") -> Decimal:
        return figure(of_hours(quote, room, crate, TO).amount.removesuffix(" h"))

    assert hours("saw") + hours("bench") + hours("packing") == hours("") == quote.hours
    alone = [crate.crate for crate in quote.build.travelling]
    assert abs(sum(hours("", name) for name in alone) - quote.hours) < Decimal("0.01")
    for crate in quote.build.every:
        pieces, parts = of_weight(quote, crate, TO).tables
        tare = sum(float(text.split()[0].replace(",", "")) for text in column(parts, "all of them"))
        assert abs(tare / 2.20462262 - crate.tare_kg) < 0.03 * crate.tare_kg + 1, crate.crate
        assert [row[0].text for row in pieces.rows] == list(crate.pieces)


def test_a_step_says_its_numbers(quote: Quote) -> None:
    steps = {step.key: step_told(step) for step in quote.steps}
    direct = quote.step("direct").amount
    assert steps["contingency"] == f"3 % of {direct:,.2f}"
    assert steps["rounding"].endswith("to the nearest 1")


def test_every_link_to_an_origin_leads_there_and_on(client: httpx.Client) -> None:
    job = begun(client)
    pages = [client.get(f"/jobs/{job}/{page}").text for page in ("money", "crates", "plan", "record")]
    links = {unescape(link) for page in pages for link in re.findall(rf'href="(/jobs/{job}/from[^"]*)"', page)}
    assert {link.partition("?")[2].partition("=")[0] for link in links} >= {"line", "piece", "hours", "weight"}
    told = client.get(min(links)).text
    for link in sorted(links)[::4]:
        answer = client.get(link)
        assert answer.status_code == 200, link
        assert "Back to" in answer.text
    for link in {unescape(each) for each in re.findall(r'href="(\?line=[^"]*|/jobs/[^"#]*|\?csv=[^"]*)', told)}:
        where = link if link.startswith("/") else f"/jobs/{job}/from{link}"
        assert client.get(where).status_code == 200, where


def test_what_is_there_no_more_is_said_so(client: httpx.Client) -> None:
    job = begun(client)
    for query in ("line=none", "piece=none", "weight=K99", ""):
        answer = client.get(f"/jobs/{job}/from?{query}")
        assert answer.status_code == 404, query
        assert "as it stands now" in answer.text


def test_a_check_stands_with_its_formula_and_its_numbers(client: httpx.Client) -> None:
    job = begun(client)
    cards = client.get(f"/jobs/{job}/crates").text
    link = re.search(rf'href="(/jobs/{job}/crates/K1)#check-1"', cards)
    assert link is not None
    page = client.get(link[1]).text
    assert "<dt>formula</dt> <dd>n 2850 G^2 D L</dd>" in page
    assert re.search(r"<dt>with its numbers</dt> <dd>18 lb x [\d.]+ = [\d.]+ lbf against \d+ x 2850 x", page)
    assert "common practice, no source" in page or "from memory" in page

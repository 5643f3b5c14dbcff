"""Where what must be paid is not known, the word stands beside every amount that lacks it, and beside no other."""

import csv
import io
import json
from dataclasses import replace
from datetime import date
from decimal import Decimal
from functools import cache
from pathlib import Path

import pytest
from typer.testing import CliRunner

from nesting.base.search import QUICK
from nesting.intake import order_from_rows
from nesting.order import Order
from pricing.ahead.methods import Outcome, Pricer, combine
from pricing.ahead.methods.report import document, report
from pricing.ahead.what_if import Scenario, run_scenarios
from pricing.ahead.what_if import report as what_if
from pricing.cli.command import app
from pricing.output.summary import summary
from pricing.output.tables import csv_files, quote_json
from pricing.output.workbook import workbook_bytes
from pricing.quoting.quote import Quote
from pricing.quoting.work import work
from pricing.studio.destinations import Destination, Destinations
from pricing.studio.office import Office
from pricing.studio.rates import FreightProfile
from tests.pricing.output.workbook.support import opened

ON = date(2026, 11, 1)
NEAR, FAR = "Near Hall", "Far Hall"
LACK = f"incomplete: no freight to {FAR}"
PLACES = Destinations((Destination(NEAR, km=Decimal(40), profile="van"), Destination(FAR, profile="van")))
"""A van goes to the one; how far it is to the other nobody knows."""


def order(*places: str) -> Order:
    """Return a work of an invented studio for each place."""
    head = ["piece", "width", "height", "depth", "weight", "price", "destination"]
    return order_from_rows([head, *([f"A-{n}", "20", "24", "1", "8 lb", "900", to] for n, to in enumerate(places, 1))])


@cache
def made() -> Quote:
    """Return a quote of which one piece of two lacks its freight."""
    return work(order(NEAR, FAR), Office(destinations=PLACES), on=ON, search=QUICK)


@cache
def whole() -> Quote:
    """Return a quote that lacks nothing."""
    return work(order(NEAR), Office(destinations=PLACES), on=ON, search=QUICK)


def table(quote: Quote, name: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(csv_files(quote)[f"{name}.csv"])))


def texts(content: bytes, tab: str) -> list[str]:
    sheet = opened(content, values=True)[tab]
    return [cell for row in sheet.iter_rows(values_only=True) for cell in row if isinstance(cell, str)]


def test_the_summary_says_it_beside_freight_and_total() -> None:
    assert made().section("freight") > 0
    lines = summary(made()).splitlines()
    assert any(line.startswith("Freight (estimate), incomplete ") for line in lines)
    assert any(line.startswith(f"Total, USD, {LACK} ") for line in lines)
    assert "incomplete" not in summary(whole())


def test_tables_and_json_say_it_of_what_lacks_it_and_of_nothing_else() -> None:
    assert [row["step"] for row in table(made(), "totals")][-1] == f"Total, {LACK}"
    for name in ("shares", "sales"):
        rows = {row["piece"]: row["incomplete"] for row in table(made(), name)}
        assert (rows["A-1"], rows["A-2"]) == ("", LACK)
    assert table(made(), "shares")[-1]["incomplete"] == LACK
    charged = {row["destination"]: row for row in table(made(), "freight") if row["standing"] != "for comparison"}
    assert (charged[NEAR]["standing"], charged[FAR]["standing"]) == ("charged", "incomplete")
    assert charged[FAR]["amount_usd"] == ""
    assert json.loads(quote_json(made()))["incomplete"] == [f"no freight to {FAR}"]
    assert json.loads(quote_json(whole()))["incomplete"] == []
    assert "incomplete: " not in "".join(csv_files(whole()).values())


def test_every_page_with_amounts_of_the_workbook_says_it() -> None:
    content = workbook_bytes(made())
    quoted = texts(content, "Quote")
    assert f"Total, {LACK}" in quoted
    assert "Freight, an estimate, incomplete" in quoted
    assert sum(text.endswith(f"; {LACK}") for text in quoted) == 1, "beside the part of the one piece"
    assert any(text.startswith(f"•  To {FAR}: incomplete, no freight") for text in quoted)
    assert {f"Total, USD, {LACK}", f"All of the total, {LACK}"} <= set(texts(content, "Costs"))
    shares = texts(content, "Shares")
    assert {f"All pieces, {LACK}", "K2, incomplete", f"({LACK})", f"All of these, {LACK}"} <= set(shares)
    assert "K1, incomplete" not in shares
    assert any(": incomplete, " in text for text in texts(content, "Freight"))
    plain = workbook_bytes(whole())
    assert "Total" in texts(plain, "Quote")
    assert not any(
        "incomplete" in text for tab in ("Quote", "Costs", "Shares", "Freight") for text in texts(plain, tab)
    )


def test_ways_to_pack_tell_no_difference_and_no_saving_of_an_incomplete_total() -> None:
    found = combine(Pricer(order(NEAR, FAR), Office(destinations=PLACES), ON))
    rows = [row for rows in found.comparison.rows for row in rows if row.bearing]
    assert {row.difference for row in rows} == {None}
    assert {bool(row.incomplete) for rows in found.comparison.rows[:1] for row in rows} == {False}
    assert not any(row.sound for row in found.comparison.rows[1]), "what the second costs is not known"
    assert (found.comparable, found.saving, found.against_each) == (False, Decimal(0), None)
    assert found.changed == (), "of two incomplete totals, no one is the cheaper"
    text = report(found, "USD", "inch")
    assert f"These totals do not compare: as chosen now {LACK}" in text
    assert "Combination found that lacks least" in text
    assert "It saves" not in text
    plain = document(found, "USD")
    assert plain["now"]["incomplete"] == plain["best"]["incomplete"] == [f"no freight to {FAR}"]
    assert plain["units"][1]["methods"][0]["order_incomplete"] == [f"no freight to {FAR}"]


def carried() -> Office:
    """Return a studio whose carrier asks much for what is light and takes nothing else."""
    rates = Office().rates
    profile = FreightProfile("light", "parcel", ON, base=Decimal(2000), heaviest_lb=Decimal("12.5"))
    place = Destination(NEAR, profile="light")
    return Office(rates=replace(rates, freight=(*rates.freight, profile)), destinations=Destinations((place,)))


def small() -> Order:
    head = ["piece", "width", "height", "depth", "weight", "destination"]
    return order_from_rows([head, ["S-1", "10", "12", "1", "3 lb", NEAR]])


def test_what_the_carrier_refuses_is_never_the_cheaper_way() -> None:
    """A crate too heavy for the carrier leaves 2,000 of freight out; it would save more than a thousand."""
    pricer = Pricer(small(), carried(), ON)
    found = combine(pricer)
    assert not found.comparison.now.incomplete
    refused = [row for row in found.comparison.rows[0] if row.incomplete]
    assert refused
    assert all(row.order_total is not None and row.order_total < found.comparison.now.total for row in refused)
    assert all(row.difference is None and not row.sound for row in refused)
    assert found.best == found.comparison.now
    assert isinstance(found.each_cheapest, Outcome)
    assert found.each_cheapest.choice == found.best.choice


def test_a_way_that_completes_the_total_is_taken_and_nothing_is_said_to_be_saved() -> None:
    asked = replace(small(), artworks=tuple(replace(work, method="closed") for work in small().artworks))
    found = combine(Pricer(asked, carried(), ON), free=True)
    assert found.comparison.now.incomplete
    assert not found.best.incomplete
    assert found.best.total > found.comparison.now.total, "dearer by the freight that it lacked"
    assert (found.comparable, found.saving) == (False, Decimal(0))
    assert "the combination found complete" in found.told_saving("USD")


def test_scenarios_are_not_compared_with_an_incomplete_total() -> None:
    office = Office(destinations=PLACES)
    near = replace(office, destinations=Destinations((PLACES.rows[0], replace(PLACES.rows[1], km=Decimal(60)))))
    scenarios = [Scenario("known", "known", order(NEAR, FAR), near), Scenario("one", "one", order(NEAR), office)]
    answers = run_scenarios(order(NEAR, FAR), office, scenarios, on=ON, search=QUICK)
    as_it_is, known, one = (each.quote for each in answers)
    assert as_it_is is not None
    assert known is not None
    assert one is not None
    assert what_if.change(known, as_it_is) is what_if.change(one, as_it_is) is None
    assert what_if.change(known, one) == known.total - one.total
    first = next(line for line in what_if.report(answers, "USD").splitlines() if line.startswith("as it is"))
    assert first.endswith(f"  {LACK}")
    told = [each["incomplete"] for each in what_if.document(answers, "USD")["scenarios"]]
    assert told == [[f"no freight to {FAR}"], [], []]


@pytest.mark.parametrize("km", [Decimal(0), Decimal(5)])
def test_a_rate_of_nothing_is_as_it_was_typed(km: Decimal) -> None:
    rates = Office().rates
    van = replace(rates.profile("van"), name="free", base=Decimal(0), per_km=Decimal(0), minimum=Decimal(0))
    place = Destination(NEAR, km=km, profile="free")
    office = Office(rates=replace(rates, freight=(*rates.freight, van)), destinations=Destinations((place,)))
    quote = work(order(NEAR), office, on=ON, search=QUICK)
    assert quote.section("freight") == 0
    assert quote.incomplete == ()


def test_the_command_says_it_and_succeeds(tmp_path: Path) -> None:
    """An incomplete total alone is no failure: exit status 0."""
    (tmp_path / "order.csv").write_text(
        f"piece,width,height,depth,weight,price,destination\nA-1,20,24,1,8 lb,900,{FAR}\n", encoding="utf-8"
    )
    (tmp_path / "shop").mkdir()
    (tmp_path / "shop" / "destinations.csv").write_text(f"destination,profile\n{FAR},van\n", encoding="utf-8")
    words = ["quote", str(tmp_path / "order.csv"), "--shop", str(tmp_path / "shop"), "--effort", "quick"]
    result = CliRunner().invoke(app, [*words, "--out", str(tmp_path / "out")], catch_exceptions=False)
    assert result.exit_code == 0
    assert f"Total, USD, {LACK}" in result.output

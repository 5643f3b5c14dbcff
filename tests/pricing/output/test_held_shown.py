"""What is held stands first in everything that people and programs get, and every total says that it is without it."""

import csv
import io
import json
from dataclasses import replace
from functools import cache
from pathlib import Path

import pdfplumber
import pytest
from openpyxl.worksheet.worksheet import Worksheet
from typer.testing import CliRunner

from nesting.crates.held import held_line, held_short, roots
from nesting.crates.model import HeldFor
from pricing.ahead.methods import Pricer, combine
from pricing.ahead.methods.report import document, report
from pricing.cli.command import app
from pricing.output.paperwork import packet_of, travel_papers
from pricing.output.summary import summary
from pricing.output.tables import csv_files, quote_document, quote_json
from pricing.output.workbook import workbook_bytes
from pricing.quoting.quote import Quote, quote
from pricing.studio.office import Office
from tests.pricing.builds import holding, small_build
from tests.pricing.output.workbook.support import DAY, opened
from tests.weakened import weaken

TOLD = "back, bending 1920 psi of 815 psi; would pass: two cleats more"
HEAD = "piece,title,width,height,depth,weight,price,method,destination,accept_held\n"


@cache
def one() -> Quote:
    """Return a quote in which the closed crate is held, and a frame was accepted."""
    build = holding(small_build(), "A-01")
    why = HeldFor("back slat, bending", "963 psi", "815 psi", "")
    accepted = replace(build.crates[0], standing="accepted", held_for=(why,), accepted="they agreed", code="feed0000")
    return quote(replace(build, crates=(accepted, *build.crates[1:])), Office(), on=DAY)


@cache
def none() -> Quote:
    """Return a quote in which every crate is held."""
    return quote(holding(small_build(), "A-01", "A-02#1"), Office(), on=DAY)


def texts(sheet: Worksheet) -> list[str]:
    """Return the texts of a page from top to bottom."""
    return [cell for row in sheet.iter_rows(values_only=True) for cell in row if isinstance(cell, str)]


def table(made: Quote, name: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(csv_files(made)[f"{name}.csv"])))


@pytest.mark.parametrize("made", [one, none])
def test_the_summary_begins_with_it_and_its_total_is_marked(made: object) -> None:
    told = one() if made is one else none()
    lines = summary(told).splitlines()
    assert lines[0] == held_line(told.build.held)
    assert TOLD in lines[0]
    assert any(line.startswith(f"Total, USD, {told.without}") for line in lines)
    assert any('column accept_held of A-01: "c0de0000: the reason"' in line for line in lines)
    assert " ".join(summary(told).split()).count(TOLD) == len(roots(told.build.held)), "each reason once"


def test_the_summary_of_an_accepted_crate_bears_the_reason() -> None:
    assert "Accepted: they agreed" in " ".join(summary(one()).split())
    assert not any(line.startswith("Held") for line in summary(quote(small_build(), Office(), on=DAY)).splitlines())


@pytest.mark.parametrize("made", [one, none])
def test_every_page_of_the_workbook_begins_with_it(made: object) -> None:
    told = one() if made is one else none()
    book = opened(workbook_bytes(told), values=True)
    for tab in book.sheetnames:
        first = held_line(told.build.held) if tab == "Quote" else held_short(told.build.held, "page Crates")
        assert book[tab]["A1"].value == first, tab
    crates = texts(book["Crates"])
    assert {"back, bending", "1920 psi", "815 psi", "two cleats more", "c0de0000"} <= set(crates)
    assert 'column accept_held of A-01: "c0de0000: the reason"' in crates
    for tab in ("Quote", "Costs", "Shares"):
        assert any(told.without in text for text in texts(book[tab])[1:]), tab


def test_the_workbook_lists_an_accepted_crate_with_its_reason() -> None:
    crates = texts(opened(workbook_bytes(one()), values=True)["Crates"])
    assert "accepted: they agreed" in crates
    assert any(text.endswith("Accepted: they agreed") for text in crates)


def test_no_part_and_no_sheet_of_what_is_held_is_in_the_workbook() -> None:
    book = opened(workbook_bytes(one()), values=True)
    assert any("K2." in text for text in texts(book["Cut list"]))
    for tab in ("Cut list", "Sheets"):
        assert not any("K1." in text for text in texts(book[tab])), tab


def test_a_workbook_without_held_crates_says_nothing_of_it() -> None:
    book = opened(workbook_bytes(quote(small_build(), Office(), on=DAY)), values=True)
    assert not any("held" in text.lower() for text in texts(book["Crates"]))
    assert "Total" in texts(book["Quote"])


def test_tables_say_what_is_held_and_that_the_totals_are_without_it() -> None:
    rows = table(one(), "held")
    assert [(row["crate"], row["standing"]) for row in rows] == [("K1", "held"), ("K2", "accepted")]
    assert (rows[0]["found"], rows[0]["allowed"], rows[0]["would_pass"], rows[0]["code"]) == (
        "1920 psi", "815 psi", "two cleats more", "c0de0000",
    )  # fmt: skip
    assert rows[1]["to_accept"] == "accepted: they agreed"
    assert table(one(), "totals")[-1]["step"] == "Total, without K1, held"
    shares = table(one(), "shares")
    assert (shares[0]["crate"], shares[0]["total_usd"]) == ("K1, held", "0.00")
    assert (shares[-1]["piece"], shares[-1]["title"]) == ("all", "without K1, held")
    assert [row["crate"] for row in table(one(), "crates")] == ["K2", "K3", "K4"]
    assert "they agreed" in table(one(), "crates")[0]["reason"]
    assert not any(row["crate"] == "K1" for row in table(one(), "cut-list"))


def test_documents_say_which_crates_the_total_is_without() -> None:
    assert json.loads(quote_json(one()))["total_without"] == ["K1"]
    assert json.loads(quote_json(none()))["total_without"] == ["K1", "K2", "K3", "K4"]
    plain = quote_document(quote(small_build(), Office(), on=DAY))
    assert "total_without" not in plain
    assert "held" not in plain["tables"], "what was sent before there was such a table is compared without it"


def pages(made: Quote, where: Path) -> list[str]:
    (where / "packet.pdf").write_bytes(packet_of(made))
    with pdfplumber.open(where / "packet.pdf") as document:
        return [" ".join((page.extract_text() or "").split()) for page in document.pages]


def test_the_packet_begins_with_it_and_has_nothing_else_of_it(tmp_path: Path) -> None:
    cover, *others = pages(one(), tmp_path)
    assert cover.startswith(f"Shop packet: made by hand, without K1, held {held_line(one().build.held)}")
    assert "Held: not cut, and nothing of it in this packet" in cover
    assert "they agreed" in cover
    for page in others:
        assert "K1." not in page
        assert not page.startswith(("K1", "Packing K1", "Opening and return: K1", "Condition report: A-01"))
    assert [papers.pieces for papers in travel_papers(one())] == [("A-02#1", "A-02#2")]


def test_every_page_of_an_accepted_crate_bears_the_reason(tmp_path: Path) -> None:
    told = "K2 fails and is built all the same (back slat, bending 963 psi of 815 psi). Accepted: they agreed"
    # By title wherever it stands, as crates share pages, and by the foot of pages that go on from another.
    marks = ("K2: travel frame", "Crate K2 page", "Packing K2 page", "Packing and check K2")
    mine = [
        page
        for page in pages(one(), tmp_path)
        if any(mark in page for mark in marks) and not page.startswith("Opening and return")
    ]
    assert any("Step by step" in page for page in mine)
    assert any("Packing and check K2" in page for page in mine)
    assert all(told in page for page in mine)


def test_a_packet_of_nothing_is_its_cover(tmp_path: Path) -> None:
    (cover,) = pages(none(), tmp_path)
    assert TOLD in cover
    assert travel_papers(none()) == ()


# -- the command -------------------------------------------------------------------------------------------------------


@pytest.fixture
def order(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return an order of two works, of which the crate of the second fails unless it is battened."""
    weaken(monkeypatch, "A-02", methods=("closed", "travel"))
    rows = "".join(f"A-0{n},Tide,24,24,1.5,12 lb,900,,Harbour Gallery,\n" for n in (1, 2))
    path = tmp_path / "two.csv"
    path.write_text(HEAD + rows, "utf-8")
    return path


def run(*words: str, status: int = 3) -> list[str]:
    """Run a command to its end and return the lines that it prints."""
    result = CliRunner().invoke(app, words, catch_exceptions=False)
    assert result.exit_code == status, result.output
    return result.stdout.splitlines()


def test_quote_names_it_first_writes_all_and_leaves_with_3(order: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    lines = run("quote", str(order), "--out", str(out), "--effort", "quick", "--packet", "--tables")
    assert lines[0] == f"Held, not cut and in no total: K2 (A-02): {TOLD}."
    assert {path.name for path in out.iterdir()} == {"quote.xlsx", "build.json", "packet.pdf", "tables"}
    run("quote", str(order), "--out", str(out), "--effort", "quick", "--json")
    told = json.loads((out / "quote.json").read_text("utf-8"))
    assert told["total_without"] == ["K2"]
    crates = json.loads((out / "build.json").read_text("utf-8"))["crates"]
    assert [(crate["crate"], crate["standing"]) for crate in crates] == [("K1", "good"), ("K2", "held")]


def test_what_is_accepted_by_name_leaves_with_0(order: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    run("quote", str(order), "--out", str(out), "--effort", "quick", "--tables")
    (row,) = csv.DictReader(io.StringIO((out / "tables" / "held.csv").read_text("utf-8")))
    text = order.read_text("utf-8")
    order.write_text(text[: -len("\n")] + f"{row['code']}: the owner agreed\n", "utf-8")
    lines = run("quote", str(order), "--out", str(out), "--effort", "quick", status=0)
    assert not lines[0].startswith("Held")
    assert any("Accepted: the owner agreed" in line for line in lines)


@pytest.mark.parametrize("command", ["packet", "drawings", "calendar"])
def test_other_commands_name_it_first_and_leave_with_3(order: Path, tmp_path: Path, command: str) -> None:
    out = tmp_path / "out"
    lines = run(command, str(order), "--out", str(out), "--effort", "quick")
    assert lines[0] == f"Held, not cut and in no total: K2 (A-02): {TOLD}."
    written = {path.name for path in out.iterdir()}
    assert written
    assert not any("K2" in name for name in written)


def test_returns_name_it_first_and_bring_nothing_of_it_back(order: Path) -> None:
    lines = run("returns", str(order))
    assert lines[0] == f"Held, not cut and in no total: K2 (A-02): {TOLD}."
    assert any(line.endswith("  A-01") for line in lines)
    assert not any(line.endswith("  A-02") for line in lines)
    assert run("returns", str(order), "--unsold", "A-02")[-1] == "Nothing comes back."


def test_an_order_of_which_all_is_held_is_written_too(order: Path, tmp_path: Path) -> None:
    lines = order.read_text("utf-8").splitlines(keepends=True)
    order.write_text(lines[0] + lines[2], "utf-8")
    out = tmp_path / "out"
    told = run("quote", str(order), "--out", str(out), "--effort", "quick", "--packet", "--each")
    assert told[0] == f"Held, not cut and in no total: K1 (A-02): {TOLD}."
    assert any(line.split()[-1] == "0.00" for line in told if line.startswith("Total, USD, without K1, held"))
    assert run("drawings", str(order), "--out", str(out / "d"), "--effort", "quick")[-1].endswith(": nothing")
    assert run("calendar", str(order))[-1] == "Nothing to plan."


def test_what_if_names_it_first_and_compares_no_totals_that_lack_other_things(order: Path, tmp_path: Path) -> None:
    scenarios = tmp_path / "ways.toml"
    scenarios.write_text(
        '[scenario.firm.order.change.A-02]\nmethod = "battened"\n[scenario.few.order]\nwithout = ["A-01"]\n', "utf-8"
    )
    asked = ("what-if", str(order), str(scenarios), "--effort", "quick", "--workers", "1")
    lines = run(*asked)
    assert lines[0] == f"as it is: held, not cut and in no total: K2 (A-02): {TOLD}."
    rows = {line.split()[0]: line for line in lines if line.startswith(("as it is ", "firm ", "few "))}
    assert rows["as"].endswith("without K2, held")
    assert rows["firm"].count("+") == rows["firm"].count("held") == 0, "it lacks nothing, so that nothing compares"
    assert rows["few"].endswith("without K1, held")
    plain = json.loads("\n".join(run(*asked, "--json")))
    assert [each["held"] for each in plain["scenarios"]] == [["K2"], [], ["K1"]]


def test_compare_calls_no_way_cheapest_that_leaves_a_crate_held(order: Path) -> None:
    asked = ("compare", str(order), "--workers", "1")
    lines = run(*asked)
    assert lines[0] == f"As chosen now: held, not cut and in no total: K2 (A-02): {TOLD}."
    plain = json.loads("\n".join(run(*asked, "--json")))
    assert (plain["now"]["held"], plain["best"]["held"], plain["comparable"]) == (["A-02"], [], False)
    assert plain["saving"] == "0.00", "totals that lack other things do not compare"
    ways = {way["method"]: way for way in plain["units"][1]["methods"]}
    assert ways["closed"]["refused"] == [f"its crate is held: {TOLD}"]
    assert "cost" not in ways["closed"]
    assert ways["battened"]["difference"] is None
    assert "cost" in ways["battened"]
    apart = "These totals do not compare: left out as chosen now: A-02 held; in the cheapest combination found: nothing"
    assert any(line.startswith(apart) for line in lines)
    assert any("without A-02, held" in line for line in lines if line.startswith("As chosen now  "))


def test_a_comparison_says_of_what_nothing_packs_that_and_not_that_it_is_held(tmp_path: Path) -> None:
    """A canvas without bars takes no screw, and this one is larger than every carton."""
    path = tmp_path / "order.csv"
    path.write_text(
        "piece,width,height,depth,weight,method,support\n"
        "A-01,12,12,1,2 lb,carton,panel\nA-02,60,40,1 1/2,30 lb,auto,canvas\n",
        encoding="utf-8",
    )
    asked = ("compare", str(path), "--workers", "1")
    lines = run(*asked)
    assert lines[0].startswith("As chosen now; ")
    assert ": packed by nothing, and in no total: A-02: no " in lines[0]
    assert any(
        line.endswith("  without A-02, packed by nothing") for line in lines if line.startswith("As chosen now ")
    )
    assert not any("held" in line for line in lines)
    plain = json.loads("\n".join(run(*asked, "--json")))
    assert plain["now"]["unpacked"] == plain["best"]["unpacked"] == ["A-02"]
    refused = {way["method"]: way["refused"] for way in plain["units"][1]["methods"]}
    assert all("no screw holds in its back" in refused[name][0] for name in ("closed", "battened", "travel"))


def test_a_comparison_whose_every_way_is_held_says_so(monkeypatch: pytest.MonkeyPatch, order: Path) -> None:
    from nesting.intake import read_order

    weaken(monkeypatch, "A-02")
    found = combine(Pricer(read_order(order), Office(), DAY))
    assert found.best.held == found.comparison.now.held == ("A-02",)
    assert found.comparable
    assert all(row.refused for row in found.comparison.rows[1])
    assert all(row.bearing for row in found.comparison.rows[0] if row.method == "closed")
    text = report(found, "USD", "inch")
    assert text.startswith("As chosen now; Every piece in its own cheapest way; The cheapest combination found: held, ")
    assert document(found, "USD")["held"] == found.held_lines()
    made = quote(holding(small_build(), "A-01"), Office(), on=DAY)
    page = texts(opened(workbook_bytes(made, methods=found), values=True)["Methods"])
    assert found.held_lines()[0] in page


def test_the_help_says_how_the_command_ends() -> None:
    told = " ".join("".join(run("--help", status=0)).split())
    for status in ("0 all done", "2 something", "3 all was written"):
        assert status in told.replace("  ", " ")

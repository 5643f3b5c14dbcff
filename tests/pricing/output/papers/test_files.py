"""Papers as files: one set for each destination, written by the command, kept together in one archive."""

import zipfile
from io import BytesIO
from pathlib import Path

import pytest
from typer.testing import CliRunner

from pricing.cli.command import app
from pricing.output.letterhead import Heading, Letterhead
from pricing.output.outgoing import KINDS, TITLES, media_type, paper
from pricing.output.papers.files import batches, left_over
from pricing.output.papers.missing import missing_lines, papers_missing
from tests.pricing.output.papers.orders import ABROAD, HOME, bare, mixed, priced, text_of, work

ORDER = """piece,title,artist,year,medium,width,height,depth,weight,method,price,destination,terms,carnet
A-01,First,Z. Nobody,2026,oil on panel,20,16,1 1/2,8 lb,closed,900,Far Hall,consigned,yes
"""
PLACES = "destination,country,distance,profile,port of entry\nFar Hall,GB,100 km,van,Dover\n"


def test_a_set_for_each_destination_each_paper_a_file_that_says_what_and_where() -> None:
    names = {name for batch in batches(mixed()) for name in batch.names}
    assert {
        "invoice-pier-hall-far-town_1.pdf", "invoice-pier-hall-far-town_2.pdf", "packing-list-pier-hall-far-town.pdf",
        "carnet-list-pier-hall-far-town.pdf", "packing-list-harbour-gallery.pdf",
    } <= names  # fmt: skip
    assert not names & {"invoice-harbour-gallery.pdf", "carnet-list-harbour-gallery.pdf"}


def test_places_whose_names_come_to_the_same_have_files_of_their_own() -> None:
    made = priced(work(1, "consigned", "Hall A"), work(2, "consigned", "Hall, A"), work(3, "consigned", ""))
    lists = [name for batch in batches(made) for name in batch.names if name.startswith("packing")]
    assert lists == ["packing-list-hall-a.pdf", "packing-list-hall-a-2.pdf", "packing-list.pdf"]


def test_what_lacks_is_told_by_paper_and_destination() -> None:
    told = {(each.title, each.destination) for each in papers_missing(bare())}
    assert ("Invoice for customs", ABROAD) in told
    assert ("Packing list", ABROAD) in told
    lines = list(missing_lines(bare()))
    assert lines[0] == "On these papers lines are left to write on:"
    assert any(line.startswith(f"- Invoice for customs to {ABROAD}: a number; ") for line in lines)
    assert ("Packing list", HOME) not in {(each.title, each.destination) for each in papers_missing(mixed())}


def test_all_of_them_in_one_archive_the_same_every_time() -> None:
    assert KINDS["papers.zip"] == media_type("papers.zip") == "application/zip"
    assert set(TITLES) == set(KINDS)
    made = priced(work(1, "consigned", HOME))
    content = paper(made, "papers.zip")
    assert content == paper(made, "papers.zip")
    with zipfile.ZipFile(BytesIO(content)) as packed:
        assert packed.namelist() == [name for batch in batches(made) for name in batch.names]
        assert text_of(packed.read("packing-list-harbour-gallery.pdf")).startswith("Packing list")


def test_the_command_writes_them_and_says_what_they_lack(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("order.csv").write_text(ORDER, encoding="utf-8")
    Path("destinations.csv").write_text(PLACES, encoding="utf-8")
    old = tmp_path / "out" / "papers" / "packing-list-elsewhere.pdf"
    old.parent.mkdir(parents=True)
    old.write_bytes(b"of another order")
    ran = CliRunner().invoke(app, ["quote", "order.csv", "--out", "out", "--effort", "quick", "--papers"])
    assert ran.exit_code == 0, ran.output
    there = {path.name for path in old.parent.iterdir()}
    assert {
        "invoice-far-hall.pdf", "packing-list-far-hall.pdf", "carnet-list-far-hall.pdf",
    } <= there  # fmt: skip
    assert "On these papers lines are left to write on:" in ran.output
    assert "- Invoice for customs to Far Hall: a number; address of the studio" in ran.output
    assert "papers/packing-list-elsewhere.pdf. Send none of them." in " ".join(ran.output.split())
    text = text_of((old.parent / "invoice-far-hall.pdf").read_bytes())
    for wanted in ("Invoice for customs", "Draft: its prices are invented", "Dover", "“First”", "900.00"):
        assert wanted in text
    assert left_over(tmp_path / "out", tuple(f"papers/{name}" for name in there)) == ()


def test_a_letterhead_leaves_lines_to_write_on_and_sign() -> None:
    with Letterhead(Heading("A paper", ("A studio (invented)",), "", "2026-11-30"), "a4") as page:
        page.head()
        page.fact("Known", "this")
        page.fact("Unknown", "")
        page.grid([("Left", 100, "LEFT"), ("Right", 100, "RIGHT")], [("a", "1")], bold=True)
        page.signatures("Signed:", (("Name", 0.5), ("Day", 0.3)))
        text = text_of(bytes(page.output()))
    for wanted in ("A paper", "Known", "this", "Unknown", "Left", "Right", "Signed:", "Name", "Day", "page 1 of 1"):
        assert wanted in text

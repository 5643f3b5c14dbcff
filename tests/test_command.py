"""The command, run as people run it: what it writes, what it refuses, and that it writes all of it or nothing."""

import json
import os
import signal
import subprocess
import sys
from contextlib import suppress
from datetime import date
from importlib.resources import files as package_files
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from hypothesis import HealthCheck, event, given, settings

from nesting.base.faults import FaultsFound
from nesting.base.search import QUICK
from nesting.order import Order
from pricing.cli.terminal import STOPPING
from pricing.output.handover import build_document
from pricing.output.job import folder_faults
from pricing.quoting.work import work
from pricing.studio.office import Office
from tests.build_verifier import verify_build
from tests.strategies import studio_orders

ROOT = Path(__file__).parents[1]
SAMPLES = sorted(
    path
    for path in (ROOT / "sample_orders").iterdir()
    if path.suffix in (".csv", ".xlsx", ".toml") and path.stem not in ("destinations", "scenarios")
)
SCHEMA = json.loads((package_files("nesting") / "build.schema.json").read_text(encoding="utf-8"))


def command(*words: str | Path, cwd: Path | None = None, terminal: str = "utf-8") -> subprocess.CompletedProcess[str]:
    """Run the command, with a terminal of an encoding."""
    return subprocess.run(
        [sys.executable, "-m", "pricing.cli", *map(str, words)],
        cwd=cwd or ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": terminal},
        capture_output=True,
        encoding="utf-8",
        timeout=120,
        check=False,
    )


def contents(folder: Path) -> dict[str, bytes]:
    """Return every file below a folder."""
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def faults_of(document: dict[str, Any]) -> list[str]:
    """Return what is wrong with a build document, by its schema and by the verifier."""
    schema = jsonschema.Draft202012Validator(SCHEMA)
    return [*(str(error.message) for error in schema.iter_errors(document)), *verify_build(document)]


def small(folder: Path, **columns: str) -> Path:
    """Write an order of one piece."""
    cells = {"piece": "A-01", "width": "20", "height": "16", "depth": "1 1/2", "weight": "6 lb", "support": "panel"}
    cells |= columns
    path = folder / "order.csv"
    path.write_text(f"{','.join(cells)}\n{','.join(cells.values())}\n", encoding="utf-8")
    return path


def test_samples_are_all_there() -> None:
    assert len(SAMPLES) >= 3


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda path: path.stem)
def test_every_sample_is_quoted_and_its_build_stands_up_to_the_verifier(sample: Path, tmp_path: Path) -> None:
    done = command("quote", sample, "--out", tmp_path / "one", "--effort", "quick")
    assert done.returncode == 0, done.stderr
    assert "Total, USD" in done.stdout
    assert "Traceback" not in done.stderr
    written = contents(tmp_path / "one")
    assert set(written) == {"quote.xlsx", "build.json"}
    assert written["quote.xlsx"].startswith(b"PK")
    document = json.loads(written["build.json"])
    assert faults_of(document) == []
    assert document["effort"] == "quick"
    assert document["sheet_goods"]
    again = command("quote", sample, "--out", tmp_path / "two", "--effort", "quick", cwd=tmp_path)
    assert again.returncode == 0
    assert contents(tmp_path / "two")["build.json"] == written["build.json"]
    assert again.stdout.splitlines()[:-1] == done.stdout.splitlines()[:-1]


def test_the_check_of_builds_can_fail(tmp_path: Path) -> None:
    assert command("quote", small(tmp_path), "--out", tmp_path / "o", "--effort", "quick").returncode == 0
    document = json.loads((tmp_path / "o" / "build.json").read_bytes())
    assert faults_of(document) == []
    document["sheet_goods"][0]["wanted"][0]["count"] += 1
    assert faults_of(document)
    del document["currency"]
    assert any("currency" in fault for fault in faults_of(document))


def test_all_that_can_be_asked_for_comes_together(tmp_path: Path) -> None:
    out = tmp_path / "new" / "folder"
    order = small(tmp_path, price="400", destination="Harbour Gallery")
    asked = ("--packet", "--paper", "a4", "--tables", "--json", "--number", "Q-17", "--date", "2027-03-02")
    done = command("quote", order, "--out", out, "--effort", "quick", *asked)
    assert done.returncode == 0, done.stderr
    document = json.loads(done.stdout)  # nothing but the document
    written = contents(out)
    assert json.loads(written["quote.json"]) == document
    assert (document["number"], document["date"], document["currency"]) == ("Q-17", "2027-03-02", "USD")
    assert written["packet.pdf"].startswith(b"%PDF")
    assert {name for name in written if "/" not in name} == {"quote.xlsx", "build.json", "quote.json", "packet.pdf"}
    tables = {name.removeprefix("tables/").removesuffix(".csv") for name in written if name.startswith("tables/")}
    assert tables == set(document["tables"])
    costs = written["tables/costs.csv"].decode("utf-8-sig").splitlines()
    assert len(costs) == 1 + len(document["tables"]["costs"])


def test_a_terminal_without_the_letters_shows_marks_and_programs_get_utf_8(tmp_path: Path) -> None:
    order = small(tmp_path, piece="Ночь-1", title="Čas")
    asked = ("quote", order, "--out", tmp_path / "o", "--effort", "quick")
    done = command(*asked, terminal="latin-1")
    assert done.returncode == 0, done.stderr
    assert "????-1" in done.stdout
    done = command(*asked, "--json", terminal="latin-1")
    assert json.loads(done.stdout)["tables"]["crates"][0]["pieces"] == "Ночь-1"
    done = command("quote", small(tmp_path, piece="Ночь-1", width="Ж"), "--out", tmp_path / "o", terminal="latin-1")
    assert (done.returncode, "Traceback" in done.stderr) == (2, False)


def test_the_packet_alone_bears_number_and_day_and_comes_out_the_same_twice(tmp_path: Path) -> None:
    order = small(tmp_path)
    for name in ("a", "b"):
        asked = ("--effort", "quick", "--number", "Q-17", "--date", "2027-03-02")
        done = command("packet", order, "--out", tmp_path / name, *asked)
        assert done.returncode == 0, done.stderr
        assert set(contents(tmp_path / name)) == {"packet.pdf"}
    assert contents(tmp_path / "a") == contents(tmp_path / "b")
    import pdfplumber

    with pdfplumber.open(tmp_path / "a" / "packet.pdf") as document:
        pages = [page.extract_text() or "" for page in document.pages]
        assert (float(document.pages[0].width), float(document.pages[0].height)) == (612.0, 792.0)  # letter
    assert any("Number Q-17. Date: 2027-03-02" in page for page in pages if "Consignment list" in page)
    assert any("Eastbank Panel Yard (invented)" in page for page in pages if "To buy" in page)


def test_some_sections_of_the_packet_come_alone(tmp_path: Path) -> None:
    import pdfplumber

    order = small(tmp_path)
    asked = ("--effort", "quick", "--date", "2027-03-02", "--section")
    done = command("packet", order, "--out", tmp_path / "a", *asked, "yard", "--section", "truck")
    assert done.returncode == 0, done.stderr
    with pdfplumber.open(tmp_path / "a" / "packet.pdf") as document:
        titles = [(page.extract_text() or "").partition("\n")[0] for page in document.pages]
    assert titles[0] == "To buy"
    assert titles[-1].startswith(("Consignment list", "Condition report"))
    assert len(titles) <= 3
    done = command("packet", order, "--out", tmp_path / "b", *asked, "yard,roof")
    told = " ".join(done.stderr.replace("│", " ").split())
    assert (done.returncode, "Traceback" in done.stderr) == (2, False)
    assert "found section 'roof'; accepted: cover, wall, yard, saw, labels" in told
    assert not (tmp_path / "b").exists()


def test_drawings_are_written_for_eye_and_router(tmp_path: Path) -> None:
    done = command("drawings", small(tmp_path, method="closed"), "--out", tmp_path / "d", "--effort", "quick")
    assert done.returncode == 0, done.stderr
    names = set(contents(tmp_path / "d"))
    assert {"crate-K1.svg", "drill-K1.svg"} <= names
    sheets = {name.removesuffix(".svg") for name in names if name.startswith("sheet-") and name.endswith(".svg")}
    assert sheets
    assert {name.removesuffix(".dxf") for name in names if name.endswith(".dxf")} == sheets
    assert done.stderr == ""


def test_drawings_of_another_order_are_left_and_named(tmp_path: Path) -> None:
    out = tmp_path / "d"
    out.mkdir()
    for name in ("sheet-ply-3-8-99.dxf", "notes.svg"):
        (out / name).write_bytes(b"old")
    done = command("drawings", small(tmp_path, method="closed"), "--out", out, "--effort", "quick")
    assert done.returncode == 0
    assert "sheet-ply-3-8-99.dxf" in done.stderr
    assert "notes.svg" not in done.stderr
    assert "crate-K1" not in done.stderr
    assert (out / "sheet-ply-3-8-99.dxf").read_bytes() == b"old"


FAULTY = {
    "many faults": ({"width": "wide", "height": "", "depth": "0", "surface": "velvet"},
                    ["width", "height", "depth", "surface"]),
    "foreign money": ({"price": "400 EUR"}, ["EUR in order.csv", "USD"]),
    "terms": ({"terms": "perhaps", "width": "x"}, ['terms: found "perhaps"; accepted: consigned or sold', "width"]),
    "too large for its method": ({"width": "230", "height": "230", "method": "closed"}, ["A-01"]),
}  # fmt: skip


FAULTY_BY = {
    "many faults": "packet",
    "foreign money": "drawings",
    "terms": "quote",
    "too large for its method": "quote",
}


@pytest.mark.parametrize("kind", FAULTY)
def test_a_faulty_order_is_told_and_nothing_is_written(kind: str, tmp_path: Path) -> None:
    columns, told = FAULTY[kind]
    order = small(tmp_path, **columns)
    out = tmp_path / "out"
    out.mkdir()
    (out / "quote.xlsx").write_bytes(b"mine")
    done = command(FAULTY_BY[kind], order, "--out", out, "--effort", "quick")
    assert done.returncode == 2, done.stdout
    assert done.stdout == ""
    for text in told:
        assert text in done.stderr
    assert "Traceback" not in done.stderr
    assert contents(out) == {"quote.xlsx": b"mine"}


def test_what_cannot_be_read_or_written_is_one_clear_message(tmp_path: Path) -> None:
    order = small(tmp_path)
    taken = tmp_path / "taken"
    taken.write_text("a file", encoding="utf-8")
    (tmp_path / "bad.xlsx").write_bytes(b"PK\x03\x04 torn off")
    (tmp_path / "folder.csv").mkdir()
    tries: tuple[tuple[tuple[str | Path, ...], str], ...] = (
        (("quote", order, "--out", taken), "taken"),
        (("quote", order, "--out", taken / "below"), "taken"),
        (("quote", tmp_path / "missing.csv", "--out", tmp_path / "o"), "missing.csv"),
        (("quote", tmp_path / "folder.csv", "--out", tmp_path / "o"), "folder.csv"),
        (("quote", tmp_path / "bad.xlsx", "--out", tmp_path / "o"), "bad.xlsx"),
        (("quote", order, "--out", tmp_path / "o", "--shop", tmp_path / "none"), "none"),
        (("quote", order, "--out", tmp_path / "o", "--date", "soon"), "soon"),
        (("quote", order, "--out", "/proc/nothing"), "/proc/nothing"),
        (("start", taken), "taken"),
    )
    before = contents(tmp_path)
    for words, named in tries:
        done = command(*words)
        assert done.returncode == 2, (words, done.stdout, done.stderr)
        assert named in done.stderr
        assert len(done.stderr.splitlines()) == 1 or "Usage" in done.stderr
        assert "Traceback" not in done.stderr
        assert done.stdout == ""
    assert contents(tmp_path) == before
    assert not (tmp_path / "o").exists()


def test_a_folder_without_the_right_to_write_is_refused_before_the_work(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert folder_faults(tmp_path / "new") == []
    monkeypatch.setattr(os, "access", lambda place, _mode: Path(place) != tmp_path)  # root may write everywhere
    (fault,) = folder_faults(tmp_path / "new" / "below")
    assert fault.message.startswith(f"{tmp_path}: found")


def test_faults_of_order_shop_and_folder_come_together(tmp_path: Path) -> None:
    shop = tmp_path / "shop"
    assert command("start", shop).returncode == 0
    (shop / "shop.toml").write_text('[studio]\nterms = "maybe"\n[labels]\nrows = 99\n', encoding="utf-8")
    (tmp_path / "taken").write_text("", encoding="utf-8")
    done = command("quote", small(tmp_path, width="wide"), "--out", tmp_path / "taken", "--shop", shop)
    assert done.returncode == 2
    for told in ("order.csv, row 2, column width", "studio", "consigned, sold, or nothing", "labels.rows", "taken"):
        assert told in done.stderr


def test_start_writes_files_that_read_back_and_never_overwrites(tmp_path: Path) -> None:
    shop = tmp_path / "shop"
    first = command("start", shop)
    assert first.returncode == 0
    written = contents(shop)
    assert {"shop.toml", "prices.csv", "rates.toml"} <= set(written)
    assert all(f"wrote {shop / name}" in first.stdout for name in written)
    order = small(tmp_path)
    assert command("quote", order, "--out", tmp_path / "own", "--shop", shop, "--effort", "quick").returncode == 0
    assert command("quote", order, "--out", tmp_path / "built-in", "--effort", "quick").returncode == 0
    same = [contents(tmp_path / name)["build.json"] for name in ("own", "built-in")]
    assert same[0] == same[1]
    (shop / "shop.toml").write_text("# mine\n", encoding="utf-8")
    (shop / "rates.toml").unlink()
    second = command("start", shop)
    assert second.returncode == 0
    assert f"kept  {shop / 'shop.toml'}" in second.stdout
    assert contents(shop) == written | {"shop.toml": b"# mine\n"}


def test_version_and_help() -> None:
    version = command("--version")
    assert version.returncode == 0
    assert version.stdout.startswith("casewright ")
    told = command("--help").stdout
    assert all(word in told for word in ("quote", "packet", "drawings", "start", "desk"))


def _long_order(folder: Path) -> Path:
    rows = [f"B-{i:02d},{20 + 7 * i % 29},{20 + 11 * i % 23},1 1/2,20 lb,panel,solid,closed" for i in range(8)]
    path = folder / "long.csv"
    path.write_text("\n".join(["piece,width,height,depth,weight,support,back,method", *rows]), encoding="utf-8")
    return path


def _interrupted(order: Path, out: Path, *, again: bool) -> tuple[int, str, str]:
    """Run a thorough quote on a terminal, and interrupt it when it tells of its search; again when it says it stops."""
    import pty

    shown, terminal = pty.openpty()
    with subprocess.Popen(
        [sys.executable, "-m", "pricing.cli", "quote", str(order), "--out", str(out), "--effort", "thorough"],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT), "TERM": "xterm"},
        stdout=subprocess.PIPE,
        stderr=terminal,
        text=True,
    ) as run:
        os.close(terminal)
        told = b""
        waited = [b"cutting plans", STOPPING.split()[0].encode()][: 1 + again]
        with suppress(OSError):  # the terminal is gone with the command
            while part := os.read(shown, 4096):
                told += part
                while waited and waited[0] in told:
                    waited.pop(0)
                    run.send_signal(signal.SIGINT)
        os.close(shown)
        said, _ = run.communicate(timeout=100)
    assert not waited, told
    return run.returncode, said, told.decode()


@pytest.mark.slow
@pytest.mark.skipif(os.name == "nt", reason="signals are sent in another way there")
def test_an_interrupt_keeps_the_best_found_and_a_second_one_leaves_with_nothing_written(tmp_path: Path) -> None:
    order = _long_order(tmp_path)
    status, said, told = _interrupted(order, tmp_path / "one", again=False)
    assert status == 0, told
    assert "stopped early: these are the best cuts found until then" in said
    assert faults_of(json.loads((tmp_path / "one" / "build.json").read_bytes())) == []
    status, said, told = _interrupted(order, tmp_path / "two", again=True)
    assert status == 130
    assert said == ""
    assert "nothing was written" in told
    assert not (tmp_path / "two").exists()


@settings(max_examples=25, suppress_health_check=[HealthCheck.too_slow])
@given(order=studio_orders())
def test_builds_of_generated_orders_stand_up_to_the_verifier(order: Order) -> None:
    try:
        made = work(order, Office(), on=date(2027, 3, 2), search=QUICK)
    except FaultsFound:
        event("refused")
        return
    event("built")
    document = build_document(made.build, made.currency)
    assert faults_of(json.loads(json.dumps(document))) == []
    assert sum(share.total for share in made.shares) == made.total

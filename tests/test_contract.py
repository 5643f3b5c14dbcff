"""The contract of a new packing method and a new good: entered as the guide says, they come through every door.

A toy method (one file, ``tests/toy_method.py``, and one line) and toy goods (data of a shop file and a price book) are
driven through every command and every page of the desk. Wherever a crate is spoken of the method's own words must
stand, and nobody else's.
"""

import csv
import html
import io
import json
import os
import re
import time
import tomllib
from collections.abc import Iterator, Mapping
from datetime import date
from pathlib import Path
from typing import Any, Final

import httpx
import pdfplumber
import pytest
from openpyxl import load_workbook
from typer.testing import CliRunner

from nesting.crates import registry
from nesting.crates.registry import askable, methods
from pricing.ahead.methods.pricer import trips
from pricing.cli.command import COMMANDS, app
from pricing.desk.desk import Desk
from pricing.desk.pages import ROUTES
from pricing.store import Store
from pricing.studio.rates import ReuseRules
from tests.pricing.desk.conftest import served
from tests.pricing.desk.orders import looked_at
from tests.toy_method import BOARD, FELT, TOGGLE

ROOT: Final = Path(__file__).parents[1]
ON: Final = date(2026, 11, 25)
LINE: Final = "tests.toy_method:POUCH"
"""The one line."""
GOODS: Final = f"""
[[good]]
good = "{FELT}"
title = "Toy felt (invented)"
form = "roll"
material = "felt"
thickness = "1/8 in"
density = 90.0
sizes = [{{ stock = "{FELT} 60in", length = "600 in", width = "60 in" }}]

[[good]]
good = "{BOARD}"
title = "Toy board (invented)"
form = "sheet"
material = "rigid foam"
thickness = "1/4 in"
density = 60.0
sizes = [{{ stock = "{BOARD} 4x8", length = "96 in", width = "48 in" }}]

[[good]]
good = "{TOGGLE}"
title = "Toy toggle (invented)"
form = "each"
material = "toggle"
each_g = 12.0
sizes = [{{ stock = "{TOGGLE} box", holds = 50 }}]
"""
PRICES: Final = (
    {"stock": f"{FELT} 60in", "good": FELT, "form": "roll", "size": "60 in x 50 ft", "price": "75.00"},
    {"stock": f"{BOARD} 4x8", "good": BOARD, "form": "sheet", "size": "96 x 48 in", "price": "31.00"},
    {"stock": f"{TOGGLE} box", "good": TOGGLE, "form": "box", "size": "50", "price": "18.00"},
)
PLACES: Final = """destination,country,door width,door height,dock,profile,handler rate,residential
Harbour Gallery,US,68 in,90 in,yes,pallet,55.00,no
Hillside Gallery,US,34 in,82 in,no,parcel,50.00,no
"""
ORDER: Final = """piece,title,width,height,depth,weight,method,surface,poured,quantity,destination,ship by,price
T-01,First,20,16,1 1/2,6 lb,soft pouch,resin,,2,Harbour Gallery,2026-12-18,900
T-02,Second,24,30,1 1/2,12 lb,pouch,resin,2026-11-20,1,Harbour Gallery,2026-12-18,1200
T-03,Third,12,10,1 1/2,3 lb,Padded Pouch,glazed,,1,Hillside Gallery,,
"""
SCENARIOS: Final = """[scenario.otherwise]
title = "The second one otherwise"
order.change.T-02.method = "closed"

[scenario.back]
title = "And back, in dearer felt"
order.change.T-02.method = "pouch"
prices."toy-felt 60in" = 90
"""
OTHERS: Final = re.compile(r"\b(cartons?|closed crates?|battened|travel frames?|outer cases?)\b", re.IGNORECASE)
"""Words that belong to the built-in methods."""
GENERAL: Final = (
    # Said of every order, whatever it is packed in.
    "by the side that is marked, a carton flat, its face side up, a padded pouch on its back;",
    "by how many screws, handles, grams of glue and cartons its crate takes",
    "Hardware, boxes and cartons",
    "A travel frame rides in an outer case, whose weight has the frame's in it.",
)


def foreign(text: str) -> list[str]:
    """Return what a text says in words of other methods, with some of what stands around them."""
    text = " ".join(text.split())
    for told in GENERAL:
        text = text.replace(told, "")
    return [text[max(0, each.start() - 60) : each.end() + 30] for each in OTHERS.finditer(text)]


@pytest.fixture(scope="module", autouse=True)
def _entered(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Enter the toy by its line: here, and as they start in the processes that long work is given to."""
    started = tmp_path_factory.mktemp("line")
    text = f"from nesting.crates import registry\n\nregistry.ENTERED = (*registry.ENTERED, {LINE!r})\n"
    (started / "sitecustomize.py").write_text(text, encoding="utf-8")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("PYTHONPATH", os.pathsep.join((str(started), str(ROOT))))
        patch.setattr(registry, "ENTERED", (*registry.ENTERED, LINE))
        assert "pouch" in methods()
        yield


def run(*words: str | Path) -> str:
    """Run a command; return what it printed."""
    done = CliRunner().invoke(app, list(map(str, words)))
    if done.exception is not None and not isinstance(done.exception, SystemExit):
        raise done.exception
    assert done.exit_code == 0, done.output
    return done.output


@pytest.fixture(scope="module")
def studio(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a studio's folder as ``start`` writes it, with the toy's goods, their prices and two places."""
    folder = tmp_path_factory.mktemp("toy") / "studio"
    assert "wrote" in run("start", folder)
    shop = folder / "shop.toml"
    shop.write_text(shop.read_text(encoding="utf-8") + GOODS, encoding="utf-8")
    prices = folder / "prices.csv"
    text = prices.read_text(encoding="utf-8")
    heads = next(line for line in text.splitlines() if line.startswith("stock,")).split(",")
    out = io.StringIO()
    writer = csv.DictWriter(out, heads, restval="", lineterminator="\n")
    supplied = {"currency": "USD", "supplier": "Toy Supply (invented)", "priced": "2026-10-01", "tax": "goods"}
    writer.writerows({**row, **supplied, "sold": "whole"} for row in PRICES)
    prices.write_text(text + out.getvalue(), encoding="utf-8")
    (folder / "destinations.csv").write_text(PLACES, encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def order(studio: Path) -> Path:
    path = studio.parent / "order.csv"
    path.write_text(ORDER, encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def asked(studio: Path) -> tuple[str, ...]:
    """Return what every command is asked alike."""
    return ("--shop", str(studio), "--effort", "quick", "--date", ON.isoformat())


# -- every command --------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def quoted(order: Path, asked: tuple[str, ...]) -> Path:
    """Quote with all that can be asked for; return the folder."""
    out = order.parent / "quoted"
    told = run("quote", order, "--out", out, *asked, "--packet", "--tables", "--json", "--each", "--methods")
    assert json.loads(told) == json.loads((out / "quote.json").read_bytes())
    return out


def test_these_are_all_commands() -> None:
    """The desk is driven by its pages, below; batch and cluster in ``tests/pricing/batch``."""
    driven = {"quote", "packet", "drawings", "compare", "what-if", "calendar", "returns", "start"}
    assert set(COMMANDS) == driven | {"desk", "batch", "cluster"}


def test_the_summary_speaks_of_pouches(order: Path, asked: tuple[str, ...]) -> None:
    told = run("quote", order, "--out", order.parent / "summary", *asked)
    assert len(re.findall(r"^K\d +padded pouch ", told, re.MULTILINE)) == 4
    assert foreign(told) == []


def test_build_and_tables_name_the_method_and_its_goods(quoted: Path) -> None:
    build = json.loads((quoted / "build.json").read_bytes())
    assert [crate["method"] for crate in build["crates"]] == ["pouch"] * 4
    assert {each["good"] for each in build["sheet_goods"]} == {BOARD}
    told = {path.stem: path.read_text(encoding="utf-8-sig") for path in (quoted / "tables").iterdir()}
    assert told["crates"].count(",pouch,") == 4
    for stock in (f"{FELT} 60in", f"{BOARD} 4x8", f"{TOGGLE} box"):
        assert stock in told["buying"]
    assert {name: foreign(text) for name, text in told.items() if foreign(text)} == {}


def test_the_workbook_uses_the_methods_own_words_on_every_page(quoted: Path) -> None:
    pages = load_workbook(quoted / "quote.xlsx", data_only=True)
    told = {
        page.title: " | ".join(
            str(cell) for row in page.iter_rows(values_only=True) for cell in row if cell is not None
        )
        for page in pages
    }
    assert "4 sewn pouches, with all materials and hardware" in told["Quote"]
    assert "padded pouches K1 to K2" in told["Quote"]
    assert "padded pouch K4" in told["Quote"]
    assert "a carton flat, its face side up, a padded pouch on its back; keep all" in told["Quote"]
    assert "2026-11-28 at the latest" in told["Quote"]
    assert told["Shares"].count("padded pouch") >= 4
    assert "pouch: T-03" in told["Crates"]
    assert re.search(r"pouch, now [^!]*paper lies on its face", told["Methods"])
    # These list all methods and all rules; every other page speaks of this order alone.
    own = {name: text for name, text in told.items() if name not in ("Methods", "Assumptions")}
    assert {name: foreign(text) for name, text in own.items() if foreign(text)} == {}


def printed(path: Path) -> str:
    with pdfplumber.open(path) as book:
        return " ".join(" ".join((page.extract_text() or "").split()) for page in book.pages)


def test_the_packet_says_how_a_pouch_is_made_opened_and_packed_again(quoted: Path) -> None:
    told = printed(quoted / "packet.pdf")
    for text in (
        "K1: padded pouch,",
        "the name of their own padded pouch instead of K1",
        "from the outside of the pouch: left to left",
        "Sew the pouch of felt round the stiffener",
        "Lay the pouch down and undo its toggles.",
        "To be slid out by one person.",
        "Paper first, then back into the pouch, all toggles closed.",
        "Inside the pouch is T-02, and its",
        "The side drawn off is the one that opens.",
        "Toy felt (invented), outside the paper",
        "Not before Saturday 2026-11-28, 00:00",
    ):
        assert text in told, text
    assert foreign(told) == []
    assert "Nothing touches the face" not in told


def test_packet_and_drawings_by_themselves(order: Path, asked: tuple[str, ...]) -> None:
    out = order.parent / "papers"
    run("packet", order, "--out", out, *asked)
    assert foreign(printed(out / "packet.pdf")) == []
    run("drawings", order, "--out", out / "drawings", *asked[:-2])
    names = {path.name for path in (out / "drawings").rglob("*.svg")}
    assert any(BOARD in name for name in names)
    for crate in ("K1", "K4"):
        assert any(crate in name for name in names)


def test_compare_prices_the_method_for_every_piece_and_takes_all_its_traits(
    order: Path, asked: tuple[str, ...]
) -> None:
    told = run("compare", order, *asked, "--free")
    rows = re.findall(r"^> padded pouch +[\d.]+ .*$", told, re.MULTILINE)
    assert len(rows) == 3
    assert told.count("2 wrapped layers are folded off the piece by hand; paper lies on its face") >= 3
    found = json.loads(run("compare", order, *asked, "--json"))
    for unit in found["units"]:
        assert [row["method"] for row in unit["methods"]] == list(askable())
        own = unit["methods"][-1]
        assert (unit["asked"], own["method"], own["chosen"], own["refused"], own["against"]) == (
            "pouch", "pouch", True, [], "",
        )  # fmt: skip
        assert [cover.split(":")[0] for cover in own["covers"]] == ["buckled strap", "flap of the pouch"]
        assert (own["wrapped_layers"], own["clear"], own["mounting_screws"]) == (2, 0, 0)
    # Six trips by its own number, which no rule of the rates knows; nothing is insured for a piece without a value.
    assert trips("pouch", ReuseRules()) == 6
    own = found["units"][-1]["methods"][-1]
    freight = float(own["freight"])
    assert float(own["a_trip"]) == pytest.approx(freight + (float(own["cost"]) - freight) / 6, abs=0.01)


def test_the_calendar_waits_for_the_face_and_says_pouch(order: Path, asked: tuple[str, ...]) -> None:
    out = order.parent / "days"
    told = run("calendar", order, "--out", out, *asked)
    assert foreign(told) == []
    with (out / "calendar.csv").open(encoding="utf-8-sig") as file:
        rows = list(csv.DictReader(file))
    assert {row["note"].partition(" with ")[0] for row in rows if row["kind"] == "pack"} == {"padded pouch"}
    cured = {row["what"]: date.fromisoformat(row["last"]) for row in rows if row["kind"] == "cure"}
    assert cured == {"T-02": date(2026, 11, 28)}
    packed = {row["what"]: date.fromisoformat(row["first"]) for row in rows if row["kind"] == "pack"}
    poured = {row["what"]: date.fromisoformat(row["last"]) for row in rows if row["kind"] == "pour"}
    assert set(poured) == {"T-01#1", "T-01#2"}
    # Seven days and the rest of the day of the pour: something lies against the face.
    assert (packed["K1"] - poured["T-01#1"]).days == 8
    assert foreign((out / "calendar.ics").read_text(encoding="utf-8")) == []


def test_returns_count_its_covers_and_what_of_its_making_serves_again(order: Path, asked: tuple[str, ...]) -> None:
    told = run("returns", order, "--unsold", "T-02", *asked)
    assert "From Harbour Gallery" in told
    assert re.search(r"^K3 .*T-02$", told, re.MULTILINE)
    assert "instructions" in told
    again = re.search(r"Of the making of these crates ([\d,.]+) serves later trips", told)
    assert again is not None
    assert float(again[1].rstrip(".").replace(",", "")) > 0
    assert foreign(told) == []


def test_what_if_takes_its_name(order: Path, asked: tuple[str, ...]) -> None:
    scenarios = order.parent / "scenarios.toml"
    scenarios.write_text(SCENARIOS, encoding="utf-8")
    found = json.loads(run("what-if", order, scenarios, *asked, "--json"))
    now, otherwise, back = (each["total"] for each in found["scenarios"])
    assert len({now, otherwise, back}) == 3


def test_what_is_accepted_names_it(order: Path, studio: Path) -> None:
    wrong = order.parent / "wrong.csv"
    wrong.write_text(ORDER.replace("soft pouch", "hard pouch"), encoding="utf-8")
    done = CliRunner().invoke(app, ["quote", str(wrong), "--out", str(order.parent / "none"), "--shop", str(studio)])
    assert done.exit_code == 2 or isinstance(done.exception, Exception)
    told = str(done.exception) + done.output
    assert "auto, carton, closed, battened, travel or pouch" in told


# -- every page of the desk -----------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    made = Desk(Store(tmp_path_factory.mktemp("desk") / "data"), today=lambda: ON, patience=60.0, effort="quick")
    yield made
    made.close()


@pytest.fixture(scope="module")
def client(desk: Desk) -> Iterator[httpx.Client]:
    with served(desk) as bare:
        bare.headers["origin"] = str(bare.base_url).rstrip("/")
        yield bare


@pytest.fixture(scope="module")
def job(client: httpx.Client, desk: Desk, studio: Path, order: Path) -> int:
    """Take the studio's files over, begin a job with the order, compare its ways and send its quote."""
    files = {name: (name, (studio / name).read_bytes()) for name in ("shop.toml", "prices.csv", "destinations.csv")}
    taken = client.post("/rules/files", files=files)
    assert taken.status_code == 303, taken.text
    begun = client.post("/jobs", data={"name": "Toys"}, files={"file": ("order.csv", order.read_bytes())})
    number = int(begun.headers["location"].split("/")[2])
    sheaf = desk.sheaf(number)
    assert sheaf.faults == ()
    assert sheaf.answer is not None
    assert [crate.method for crate in sheaf.answer.quote.build.crates] == ["pouch"] * 4
    kept = {"scenarios": SCENARIOS, "revision": str(sheaf.document.revision)}
    text = client.post(f"/jobs/{number}/what-if/text", data=kept)
    assert text.status_code == 303, text.text
    assert client.post(f"/jobs/{number}/ways").status_code == 303
    wait(desk, number, "ways")
    assert client.post(f"/jobs/{number}/what-if").status_code == 303
    wait(desk, number, "scenarios")
    sent = client.post(
        f"/jobs/{number}/send", data={"revision": str(desk.sheaf(number).document.revision), **looked_at(desk, number)}
    )
    assert sent.status_code == 303, sent.text
    return number


def wait(desk: Desk, number: int, kind: Any) -> None:
    end = time.monotonic() + 120.0
    while desk.searches.pending(number, kind):
        assert time.monotonic() < end, "it took too long"
        time.sleep(0.02)


def plain(page: str) -> str:
    """Return a page's words, without what its fields offer."""
    shown = re.sub(r"(?s)<(script|style|datalist|select).*?</\1>", " ", page)
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", shown)).split())


def addresses(number: int) -> Mapping[str, str]:
    """Return every address that shows something, filled in for a job, by its pattern; news never end, so not theirs."""
    facts = {
        "job:int": number, "version:int": 1, "number:int": 1, "crate": "K1", "name": "quote.xlsx", "ending": "pdf",
        "paper": "packing-list-harbour-gallery.pdf",
    }  # fmt: skip
    found = {}
    for route in ROUTES:
        if "GET" in (route.methods or ()) and not route.path.endswith("/live"):
            found[route.path] = re.sub(r"\{([a-z:]+)\}", lambda each: str(facts[each[1]]), route.path)
    found["/jobs/{job:int}/from"] += "?weight=K1"
    found["/jobs/{job:int}/drawing.svg"] += f"?good={BOARD}&number=1"
    return found


def test_every_page_is_shown_and_speaks_of_nothing_else(client: httpx.Client, job: int) -> None:
    seen = 0
    for pattern, address in addresses(job).items():
        answer = client.get(address)
        # There is no photo and no logo; what was sent keeps its offers.
        expected = 404 if pattern.endswith(("/photo", "/logo", "/offers.zip")) else 200
        assert answer.status_code == expected, f"{address}: {answer.status_code} {answer.text[:300]}"
        if "/jobs/{job:int}" in pattern and answer.headers["content-type"].startswith("text/html"):
            seen += 1
            if not pattern.endswith("/ways"):
                assert foreign(plain(answer.text)) == [], address
    assert seen >= 12


def test_pages_use_its_words(client: httpx.Client, job: int) -> None:
    pages = {
        name: client.get(f"/jobs/{job}/{name}").text
        for name in ("artworks", "crates", "crates/K1", "sheets", "ways", "returns", "plan", "what-if")
    }
    assert '"pouch"' in pages["artworks"]  # among the choices of its column
    assert "auto, carton, closed, battened, travel or pouch" in pages["artworks"]
    text = plain(pages["crates"])
    assert text.count("padded pouch") == 4
    assert '<option value="pouch" selected>padded pouch' in pages["crates"]
    assert "K1: padded pouch" in plain(pages["crates/K1"])
    assert "pouch with T-02" in plain(pages["plan"])
    ways = plain(pages["ways"])
    assert "padded pouch now" in ways
    assert "over 6 trips" in ways
    assert "buckled strap" in ways
    assert "The table asks for padded pouch." in ways
    assert ">pouch<" in pages["what-if"] or 'value="pouch"' in pages["what-if"]
    assert "K1" in plain(pages["returns"])


def test_the_files_of_the_desk_and_of_what_was_sent_are_its_own(client: httpx.Client, job: int, tmp_path: Path) -> None:
    for below in (f"/jobs/{job}/files", f"/jobs/{job}/versions/1/files"):
        packet = client.get(f"{below}/packet.pdf")
        assert packet.status_code == 200
        (tmp_path / "packet.pdf").write_bytes(packet.content)
        told = printed(tmp_path / "packet.pdf")
        assert "Lay the pouch down and undo its toggles." in told
        assert foreign(told) == []
        assert client.get(f"{below}/quote.xlsx").status_code == 200


def test_a_piece_is_tried_and_packed_as_one_by_the_pages(client: httpx.Client, desk: Desk, job: int) -> None:
    trial = client.get(f"/jobs/{job}/crates", params={"piece": "T-03", "method": "closed"})
    assert "If it were T-03 as closed" in trial.text
    copy = client.post(f"/jobs/{job}/copy", data={}).headers["location"]
    other = int(copy.split("/")[2])
    for method in ("closed", "pouch"):
        fields = {"piece": "T-03", "method": method, "revision": str(desk.sheaf(other).document.revision)}
        assert client.post(f"/jobs/{other}/method", data=fields).status_code == 303
        answer = desk.sheaf(other).answer
        assert answer is not None
        assert answer.quote.build.crates[-1].method == method
    fields = {
        "methods": json.dumps({"T-03": "pouch", "T-02": "closed"}),
        "revision": str(desk.sheaf(other).document.revision),
    }
    assert client.post(f"/jobs/{other}/ways/use", data=fields).status_code == 303
    order = desk.sheaf(other).reading.order
    assert order is not None
    assert [artwork.method for artwork in order.artworks] == ["pouch", "closed", "pouch"]


def test_the_toy_goods_are_data_alone() -> None:
    """What a new good takes is what a shop file says: no module knows the toys by name."""
    assert [each["good"] for each in tomllib.loads(GOODS)["good"]] == [FELT, BOARD, TOGGLE]
    for path in (*(ROOT / "nesting").rglob("*.*"), *(ROOT / "pricing").rglob("*.*")):
        if path.suffix in (".py", ".toml", ".html", ".js"):
            assert "toy-" not in path.read_text(encoding="utf-8"), path

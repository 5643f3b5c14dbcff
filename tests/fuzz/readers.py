"""Everything that reads what comes from outside, each with a good document to begin with, and how it may refuse.

A reader that has a writer is asked for more: what it wrote of what it read must be read the same again.
"""

import atexit
import csv
import hashlib
import io
import json
import tomllib
import zipfile
from collections.abc import Callable
from contextlib import closing, redirect_stderr, redirect_stdout
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Final

import typer

from nesting.base.faults import FaultsFound
from nesting.intake import read_upload
from nesting.order import Order
from nesting.shop.shop_file import default_shop, read_shop, shop_text
from pricing.ahead.what_if.scenarios import scenarios_from
from pricing.cli.command import app
from pricing.desk import soundness
from pricing.desk.content import content_from
from pricing.desk.supplier import read_list
from pricing.store import Store, StoreError
from pricing.store.codec import decode, encode
from pricing.studio.destinations import destinations_csv, destinations_from
from pricing.studio.office import Office
from pricing.studio.parties import parties_csv, parties_from
from pricing.studio.pricebook_file import default_price_book, price_book_csv, price_book_from
from pricing.studio.rack import rack_csv, rack_from
from pricing.studio.rates_file import default_rates, rates_text, read_rates
from tests.build_verifier import verify_build
from tests.fuzz.changing import Tree
from tests.fuzz.forms import as_book, as_csv, as_json, as_toml


class Different(AssertionError):  # noqa: N818 - what is wrong with a reader is that two readings are different
    """What was written of what was read is read as something else."""


@dataclass(frozen=True)
class Reader:
    """One way in.

    Attributes
    ----------
    name : str
    good : callable
        Returns a document that is read without a fault.
    written : callable
        A document as bytes.
    read : callable
        Reads bytes; raises one of `refuses` with what is wrong.
    refuses : tuple of exception types
        How it says that it does not take a document; everything else that it raises is a fault of ours.
    weight : int
        Cases of a hundred or so that it gets: slow readers fewer.
    """

    name: str
    good: Callable[[], Tree]
    written: Callable[[Tree], bytes]
    read: Callable[[bytes], object]
    refuses: tuple[type[Exception], ...] = (FaultsFound,)
    weight: int = 8


ORDER: Final[Tree] = [
    ["piece", "title", "width", "height", "depth", "weight", "quantity", "method", "destination", "value", "currency",
     "back", "support", "photo", "frame", "ready", "due", "notes"],
    ["A-01", "Tide", "30 1/2", "40", "1.5", "12", "1", "closed", "Quay", "1200.00", "USD", "", "canvas",
     "photos/a.jpg", "", "2026-06-01", "2026-07-01", "handle with gloves"],
    ["A-02", "Ebb", "775 mm", "1020 mm", "40 mm", "5 kg", "2", "travel", "Quay", "900", "USD", "", "canvas", "", "", "",
     "", ""],
    ["A-03", "Small", "10", "12", "1", "2", "3", "carton", "Hall", "50", "USD", "", "panel", "", "", "", "", ""],
]  # fmt: skip
_RACK: Final[Tree] = [
    ["name", "good", "length", "width", "count", "value", "place"],
    ["R-1", "ply-3/8", "30 in", "20 in", "1", "4.00", "bay 2"],
    ["R-2", "ply-15/32", "775 mm", "500 mm", "2", "", ""],
]


def _rows_of(text: str) -> Tree:
    return [row for row in csv.reader(io.StringIO(text)) if row and not row[0].startswith("#")]


def _prices() -> Tree:
    rows = _rows_of(price_book_csv(default_price_book()))
    return [rows[0], *rows[1::9]]


def _places() -> Tree:
    from tests.generated_orders import PLACES

    return _rows_of(PLACES)


_PARTIES: Final = "party,name,address,country\nQuay Gallery,Quay Gallery Ltd,1 Quay,GB\nBuyer,Ada Buyer,2 Mole,US\n"


def _parties() -> Tree:
    return _rows_of(parties_csv(parties_from(_PARTIES.encode(), "p.csv")))


def _again(name: str, read: Callable[[bytes], Any], write: Callable[[Any], str], same: Callable[[Any], Any]) -> Any:
    """Return a reader that reads what it writes once more."""

    def reader(data: bytes) -> object:
        made = read(data)
        try:
            once_more = read(write(made).encode())
        except FaultsFound as error:
            raise Different(f"{name}: what was written is refused: {error}") from error
        if same(made) != same(once_more):
            raise Different(f"{name}: what was written is read as something else")
        return made

    return reader


def _shop(data: bytes) -> Any:
    return read_shop(_file("shop.toml", data))


def _toml_order() -> Tree:
    head, *rows = ORDER
    artworks = [dict(zip(head, row, strict=True)) for row in rows]
    return {"name": "Spring", "units": "inch", "currency": "USD", "commission": "40 %", "artwork": artworks}


def _rates_tree() -> Tree:
    return tomllib.loads(rates_text(default_rates()))


def _shop_tree() -> Tree:
    tree = tomllib.loads(shop_text())
    tree["good"] = tree.get("good", [])[::6]
    tree["material"] = [{"material": "larch", "density": 590, "wood": "raw"}]
    return tree


def _rates(data: bytes) -> Any:
    return read_rates(_file("rates.toml", data))


@cache
def office() -> Office:
    """Return the studio as built in."""
    return Office()


@cache
def _order() -> Order:
    return read_upload("order.csv", as_csv([row[:6] for row in ORDER]))


_SCENARIOS: Final[Tree] = {
    "scenario": {
        "thin": {"title": "Thinner", "shop": {"saw": {"kerf": "3/32 in"}, "method": {"case_most": 2}}},
        "dear": {"prices": {"ply-3/8 4x8": 99.0}, "rates": {"labour": {"rip": 1.5}}},
        "more": {
            "order": {
                "without": ["A-02"],
                "change": {"A-01": {"method": "closed"}},
                "add": [{"piece": "A-09", "width": "20", "height": "20", "depth": "1"}],
            },
            "destinations": {"Quay": {"country": "GB"}},
        },
    }
}

_CONTENT: Final[Tree] = {
    "units": "inch", "headings": ["piece", "width", "height", "depth"], "rows": [["A-01", "30", "40", "1.5"]],
    "prices": {"ply-3/8 4x8": "60.00"}, "rules": {"shop.saw.kerf": "1/8 in"}, "missing": [], "swaps": {}, "seed": 0,
    "scenarios": "", "photos": {},
}  # fmt: skip


@cache
def _build() -> Tree:
    from nesting.base.search import Search
    from pricing.output.handover import build_document
    from pricing.quoting.work import work
    from tests.generated_orders import ON

    quote = work(_order(), office(), on=ON, search=Search(effort="quick"))
    made: Tree = json.loads(json.dumps(build_document(quote.build, quote.currency)))
    return made


def _json(data: bytes) -> Any:
    """Return what JSON says, which is the test's own way to carry a case; bent beyond reading it is refused."""
    try:
        return json.loads(data)
    except (ValueError, RecursionError) as error:
        raise StoreError("no JSON") from error


def _proved(data: bytes) -> object:
    """Prove a build: what is wrong with it is told, and nothing is raised."""
    return verify_build(_json(data))


def _stored(data: bytes) -> object:
    """Read the studio's own values as the store has them."""
    made = decode(Office, json.loads(data))
    if encode(decode(Office, encode(made))) != encode(made):
        raise Different("codec: what was written is read as something else")
    return made


@cache
def _archive() -> Tree:
    """Return an archive's files: those of JSON as trees, row by row."""
    from tests.pricing.store.archives import exported

    with TemporaryDirectory() as folder, closing(Store(Path(folder))) as store:
        job = store.jobs.add("Spring show", "made up for tests")
        store.documents.save(f"job:{job}", json.dumps(_CONTENT), based_on=0, what="begun")
        packed = zipfile.ZipFile(io.BytesIO(exported(store.database)))
        return {
            name: json.loads(packed.read(name))
            if name == "about.json"
            else [json.loads(line) for line in packed.read(name).splitlines()]
            for name in packed.namelist()
            if name.startswith("tables/") or name == "about.json"
        }


def _as_archive(tree: Tree) -> bytes:
    """Write an archive with a manifest that is true, so that a change is met behind it."""
    if not isinstance(tree, dict):
        return as_json(tree)
    files = {}
    for name, rows in tree.items():
        lines = rows if isinstance(rows, list) else [rows]
        files[str(name)] = "".join(json.dumps(row) + "\n" for row in lines).encode()
    manifest = {
        "rows": {name[7:-6]: content.count(b"\n") for name, content in files.items() if name.startswith("tables/")},
        "files": {name: {"sha256": hashlib.sha256(content).hexdigest()} for name, content in files.items()},
    }
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as packed:
        for name, content in {**files, "manifest.json": json.dumps(manifest).encode()}.items():
            try:
                packed.writestr(name, content)
            except (ValueError, IndexError, UnicodeEncodeError):  # a name that no archive can hold, or none at all
                continue
    return out.getvalue()


@cache
def _folder() -> Path:
    """Return a folder for files of one case; gone at the end of the process."""
    folder = TemporaryDirectory(prefix="casewright-fuzz-")
    atexit.register(folder.cleanup)
    return Path(folder.name)


def _file(name: str, data: bytes) -> Path:
    file = _folder() / name
    file.write_bytes(data)
    return file


@cache
def _standing() -> Store:
    """Open the store that archives are put in place of."""
    return Store(_folder() / "desk")


def _restore(data: bytes) -> object:
    from pricing.desk.soundness import unsound
    from pricing.store.restoring import restore

    return restore(_standing().database, io.BytesIO(data), unsound)


_OPTIONS: Final[Tree] = [
    "quote", "order.csv", "--out", "out", "--effort", "quick", "--date", "2026-06-01", "--seed", "1", "--paper", "a4",
    "--units", "metric", "--packet",
]  # fmt: skip


def _parse(data: bytes) -> object:
    """Read a command line as the command does, without doing what it says."""
    line = _json(data)
    name, *args = [str(each) for each in line] if isinstance(line, list) and line else [str(line)]
    group = typer.main.get_command(app)
    command = getattr(group, "commands").get(name, group)  # noqa: B009 - typer brings its own parser, untyped
    with redirect_stdout(io.StringIO()), redirect_stderr(io.StringIO()):
        try:
            command.make_context(name, list(args) if command is not group else [name, *args])
        except Exception as error:
            if hasattr(error, "exit_code"):  # how the parser leaves: with a message, a help or a version
                raise StoreError(str(error)) from error
            raise
    return args


_UNREADABLE: Final = soundness._UNREADABLE  # noqa: SLF001 - what the desk itself takes for a document that cannot be read


READERS: Final[tuple[Reader, ...]] = (
    Reader("order csv", lambda: ORDER, as_csv, lambda data: read_upload("order.csv", data), weight=14),
    Reader("order xlsx", lambda: ORDER, as_book, lambda data: read_upload("order.xlsx", data), weight=3),
    Reader("order toml", _toml_order, as_toml, lambda data: read_upload("order.toml", data), weight=12),
    Reader(
        "rack",
        lambda: _RACK,
        as_csv,
        _again(
            "rack", lambda data: rack_from(data, "rack.csv", default_shop(), "USD"), rack_csv, lambda rack: rack.offcuts
        ),
    ),
    Reader(
        "rack xlsx", lambda: _RACK, as_book, lambda data: rack_from(data, "rack.xlsx", default_shop(), "USD"), weight=2
    ),
    Reader(
        "prices",
        _prices,
        as_csv,
        _again("prices", lambda data: price_book_from(data, "prices.csv"), price_book_csv, lambda book: book.rows),
    ),
    Reader("prices xlsx", _prices, as_book, lambda data: price_book_from(data, "prices.xlsx"), weight=2),
    Reader(
        "places",
        _places,
        as_csv,
        _again(
            "places",
            lambda data: destinations_from(data, "destinations.csv", default_rates()),
            destinations_csv,
            lambda table: table.rows,
        ),
    ),
    Reader(
        "places xlsx",
        _places,
        as_book,
        lambda data: destinations_from(data, "destinations.xlsx", default_rates()),
        weight=3,
    ),
    Reader(
        "parties",
        _parties,
        as_csv,
        _again("parties", lambda data: parties_from(data, "parties.csv"), parties_csv, lambda table: table.rows),
    ),
    Reader("parties xlsx", _parties, as_book, lambda data: parties_from(data, "parties.xlsx"), weight=2),
    Reader(
        "supplier",
        lambda: [["stock", "price"], ["ply-3/8 4x8", "58.50"], ["ply-15/32 4x8", "41"]],
        as_csv,
        lambda data: read_list("list.csv", data, default_price_book()),
    ),
    Reader("rates", _rates_tree, as_toml, _again("rates", _rates, rates_text, lambda rates: rates), weight=3),
    Reader("shop", _shop_tree, as_toml, _again("shop", _shop, shop_text, lambda shop: shop), weight=3),
    Reader(
        "scenarios",
        lambda: _SCENARIOS,
        as_toml,
        lambda data: scenarios_from(data, "s.toml", _order(), office()),
        weight=3,
    ),
    Reader("job", lambda: _CONTENT, as_json, lambda data: content_from(data.decode()), _UNREADABLE),
    Reader("stored values", lambda: encode(office()), as_json, _stored, _UNREADABLE, weight=1),
    Reader("build.json", _build, as_json, _proved, (StoreError,), weight=2),
    Reader("archive", _archive, _as_archive, _restore, (StoreError,), weight=1),
    Reader("options", lambda: _OPTIONS, as_json, _parse, (StoreError,), weight=4),
)

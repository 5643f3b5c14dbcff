"""One order of a batch worked wherever it runs: a task goes in, its row and files come out; nothing else is read.

A process works one order at a time, whoever asks: caches and searches know of one piece of work only.
"""

import gc
import hashlib
import json
import threading
import time
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cache
from typing import Final

from nesting.base.days import days_in
from nesting.base.faults import FaultsFound
from nesting.base.garbage import collect_seldom
from nesting.base.measure import UnitSystem
from nesting.base.search import USUAL, Search
from nesting.base.tables.table import Table
from nesting.intake import order_from_table, read_upload
from nesting.order import Order
from pricing.batch.edition import edition
from pricing.batch.memory import give_back, peak_mb, resident_mb
from pricing.batch.row import Row, row_of
from pricing.batch.troubles import OtherEditionError
from pricing.output.job import Extras, all_contents
from pricing.quoting.work import remembering, work
from pricing.studio.office import Office
from pricing.studio.rack import Rack

ROOMY_MB: Final = 400
"""Megabytes over which a process looks for what it no longer needs, after an order."""
MORE_MB: Final = 50
"""Megabytes by which it must have grown since it looked last: what it keeps would else be gone through each time."""
_ONE_AT_A_TIME: Final = threading.Lock()


@dataclass(frozen=True, slots=True)
class Setting:
    """What is true of every order of a batch.

    Attributes
    ----------
    office : Office
        The studio, without its rack: stock is bought, and no offcut is promised to two orders.
    on : date
        Day of every quote.
    search : Search
        Seed and effort.
    extras : Extras
        What each order's files are beside the workbook.
    files : bool
        Whether orders have files at all, or a row alone.
    source : str
        A digest of the studio's files.
    """

    office: Office
    on: date
    search: Search = USUAL
    extras: Extras = field(default_factory=Extras)
    files: bool = True
    source: str = ""

    def __post_init__(self) -> None:
        if self.office.rack != Rack():
            raise ValueError("orders of a batch share no rack")

    @property
    def digest(self) -> str:
        """What answers depend on beside an order itself, as a digest."""
        told = [
            edition(), self.source, self.on.isoformat(), self.search.seed, self.search.effort, repr(self.extras),
            self.files,
        ]  # fmt: skip
        return hashlib.sha256(json.dumps(told).encode()).hexdigest()


@dataclass(frozen=True, slots=True)
class Task:
    """One order, with all that is needed to work it elsewhere.

    Attributes
    ----------
    name : str
        Of the order, once in a batch.
    source : str
        Where it stands, for people.
    file : str
        Its file, as faults name it.
    content : bytes or Table
        The file as it was read, or rows of a long table with their heading.
    units : {"inch", "metric"} or None
        Of bare numbers; None: as a TOML order says, else as the studio's.
    pictures : mapping of str to bytes
        For offers and papers.
    faults : tuple of str
        What was wrong before it could be read; it is then not worked.
    """

    name: str
    source: str
    file: str
    content: bytes | Table = b""
    units: UnitSystem | None = None
    pictures: Mapping[str, bytes] = field(default_factory=dict)
    faults: tuple[str, ...] = ()

    def digest(self, setting: str) -> str:
        """Return a digest of all that the answer depends on; `setting` is that of the setting."""
        text = hashlib.sha256(
            json.dumps([setting, self.name, self.source, self.file, self.units, self.faults]).encode()
        )
        text.update(self.content if isinstance(self.content, bytes) else repr(self.content).encode())
        for name in sorted(self.pictures):
            text.update(name.encode() + hashlib.sha256(self.pictures[name]).digest())
        return text.hexdigest()

    def read(self, office: Office) -> Order:
        """Read the order as the studio writes numbers and days; :class:`FaultsFound` with all that is wrong."""
        units, days = office.shop.units, days_in(office.shop.studio.country)
        if isinstance(self.content, bytes):
            return read_upload(self.file, self.content, units=self.units, otherwise=units, days=days)
        return order_from_table(self.content, units=self.units or units, name=self.name, days=days)


@dataclass(frozen=True, slots=True)
class Took:
    """What an order took: processor seconds, seconds on the wall; and the megabytes of its process.

    ``megabytes`` are the most that it ever held, ``left`` those that it holds after the order.
    """

    processor: float = 0.0
    wall: float = 0.0
    megabytes: int = 0
    left: int = 0


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of an order: its row, its files by name, and what it took."""

    row: Row
    files: Mapping[str, bytes] = field(default_factory=dict)
    took: Took = field(default_factory=Took)


def work_task(setting: Setting, task: Task, wanted: str) -> Outcome:
    """Work an order. Whatever is wrong with it is told in its row, and ends nothing.

    Raises
    ------
    OtherEditionError
        When this is not the edition that the client is of.
    """
    if wanted != edition():
        raise OtherEditionError(wanted, [edition()])
    with _ONE_AT_A_TIME:
        _prepared()
        processor, wall = time.process_time(), time.monotonic()
        row, files = _worked(setting, task)
        _ROOM.tidy()
        spent = round(time.process_time() - processor, 3), round(time.monotonic() - wall, 3)
        took = Took(*spent, peak_mb(), resident_mb())
    return Outcome(row, files, took)


class Room:
    """How much a process may hold before it looks for what it no longer needs, which takes a third of a second."""

    def __init__(self) -> None:
        self.most = ROOMY_MB

    def tidy(self) -> None:
        """Look, and give memory back, if the process has grown."""
        if resident_mb() > self.most:
            gc.collect()
            give_back()
            self.most = max(ROOMY_MB, resident_mb() + MORE_MB)


_ROOM: Final = Room()


@cache
def _prepared() -> None:
    """Make this process one that works orders, once: it keeps nearly all that it makes."""
    collect_seldom()


def _worked(setting: Setting, task: Task) -> tuple[Row, Mapping[str, bytes]]:
    """Return row and files of an order."""
    if task.faults:
        return refused(task, task.faults), {}
    try:
        order = task.read(setting.office)
        search = remembering(setting.search)  # what is priced beside it is laid out much alike
        made = work(order, setting.office, on=setting.on, search=search)
        row = row_of(made, task.name, task.source)
        if not setting.files:
            return row, {}
        contents, _ = all_contents(made, setting.extras, search, task.pictures)
    except FaultsFound as error:
        return refused(task, [fault.message for fault in error.faults]), {}
    except Exception as error:  # noqa: BLE001 - one order that fails stops nobody; it is told in its row
        return failed(task, f"{type(error).__name__}: {error}"), {}
    return row, contents


def refused(task: Task, faults: "tuple[str, ...] | list[str]") -> Row:
    """Return the row of an order that is faulty."""
    return Row(task.name, "faulty", task.source, faults=" / ".join(dict.fromkeys(faults)))


def failed(task: Task, why: str) -> Row:
    """Return the row of an order that the program or the machine failed on."""
    return Row(task.name, "failed", task.source, faults=why)


def bought_only(office: Office) -> Office:
    """Return the studio without its rack."""
    return replace(office, rack=Rack())

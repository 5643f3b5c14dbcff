"""What is told of an origin: sentences, tables of cells that lead on, and addresses of a job's pages."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Final
from urllib.parse import urlencode

from pricing.money import half_up
from pricing.quoting.lines import Line

MOST: Final = 2_000
"""Rows of one table; a job of a thousand pieces has more parts of one good than anybody reads on a page."""
_SHORT: Final = Decimal("0.0001")


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell: what stands in it, where it leads, and whether it is words."""

    text: str
    to: str = ""
    words: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """A table of what a figure comes from, with the sum of its last column, or those of all but the first."""

    key: str
    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    sum: str = ""
    more: int = 0
    sums: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Told:
    """A sentence, and where what it says can be looked at or changed."""

    text: str
    to: str = ""
    where: str = ""


@dataclass(frozen=True, slots=True)
class Origin:
    """What a figure comes from."""

    title: str
    amount: str
    told: tuple[Told, ...]
    tables: tuple[Table, ...]


@dataclass(frozen=True, slots=True)
class Address:
    """Where the pages of a job are; `ask` says which of its versions they show."""

    job: int
    ask: str = ""

    def __call__(self, page: str, at: str = "", **query: str) -> str:
        """Return the address of a page of the job."""
        asked = "&".join(filter(None, (urlencode(query), self.ask)))
        return f"/jobs/{self.job}/{page}{f'?{asked}' if asked else ''}{f'#{at}' if at else ''}"

    def line(self, line: Line) -> str:
        """Return the address of what a line comes from."""
        return self("from", line=line.key)

    def crate(self, crate: str) -> str:
        """Return the address of a crate."""
        return self(f"crates/{crate}")


def number(value: Decimal | Fraction | int) -> str:
    """Write a quantity or a price of one, to four places."""
    return f"{half_up(Fraction(value), _SHORT):,f}".rstrip("0").rstrip(".")


def table(key: str, title: str, heads: Sequence[str], rows: Sequence[tuple[Cell, ...]], whole: str = "") -> Table:
    """Return a table, of very many rows the first."""
    return Table(key, title, tuple(heads), tuple(rows[:MOST]), whole, max(0, len(rows) - MOST))

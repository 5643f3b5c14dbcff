"""Faults in what people wrote: found one by one, told all together.

Every reader of a file or table (orders, shop file, price book) collects :class:`Fault` values and raises one
:class:`FaultsFound` at the end, so that somebody mending a table sees everything that is wrong with it at once. The
command line turns it into exit status 2, the desk shows each fault at its cell.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Final

from nesting.base.measure import MeasureError, shorten
from nesting.base.shown import shown_on_a_line

_LONGEST: Final = 600
"""Most characters of a finding in our own words; whatever is quoted in it cannot flood the screen."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong in a file or table.

    Attributes
    ----------
    file : str
        Name of the file, or of the table where there is none.
    row : int or None
        Row as a spreadsheet counts, from 1 with the heading; entry of a list in TOML; ``None`` for the whole file.
    column : str or None
        Our name of the column or key; ``None`` for the whole row.
    found : str
        What stands there; empty if nothing does.
    accepted : str
        What would be accepted, as the end of the sentence ``accepted: ...``.
    row_word : str
        What a row is called in that file: ``"row"``, or the name of the list in TOML.
    typed : bool
        Whether `found` is what somebody typed: a message then shows its beginning only. What our own code says of it
        is shown in full.
    """

    file: str
    row: int | None
    column: str | None
    found: str
    accepted: str
    row_word: str = "row"
    typed: bool = False

    @property
    def message(self) -> str:
        """The whole sentence: ``order.csv, row 3, column width: found "thirty"; accepted: ...``."""
        place = [shorten(self.file, _LONGEST)] if self.file else []
        if self.row is not None:
            place.append(f"{self.row_word} {self.row}")
        if self.column is not None:
            place.append(f"column {self.column}" if self.row_word == "row" else self.column)
        found = f'"{shorten(self.found, 40 if self.typed else _LONGEST)}"' if self.found.strip() else "nothing"
        where = f"{', '.join(place)}: " if place else ""
        return shown_on_a_line(f"{where}found {found}; accepted: {self.accepted}")

    def __str__(self) -> str:
        return self.message


class FaultsFound(ValueError):  # noqa: N818 - reads as what it says: faults were found
    """Input was refused; holds every fault.

    Attributes
    ----------
    faults : tuple of Fault
        At least one, in the order in which they were found.
    """

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        if not self.faults:
            raise AssertionError("FaultsFound needs at least one fault")
        super().__init__(*self.faults)

    def __str__(self) -> str:
        return "\n".join(fault.message for fault in self.faults)


@dataclass(slots=True)
class Faults:
    """A reader's growing list of faults in one file.

    Attributes
    ----------
    file : str
        Name shown in every fault.
    row_word : str
        See :class:`Fault`.
    """

    file: str
    row_word: str = "row"
    found: list[Fault] = field(default_factory=list)

    def __bool__(self) -> bool:
        return bool(self.found)

    def __iter__(self) -> Iterator[Fault]:
        return iter(self.found)

    def add(self, row: int | None, column: str | None, found: str, accepted: str, *, typed: bool = True) -> None:
        """Note a fault; ``typed`` as in :class:`Fault`, true for what stands in a cell."""
        self.found.append(Fault(self.file, row, column, found, accepted, self.row_word, typed))

    def add_measure(self, row: int | None, column: str | None, error: MeasureError) -> None:
        """Note a length or weight that could not be read."""
        self.add(row, column, error.found, error.accepted)

    def stop_if_any(self) -> None:
        """Raise :class:`FaultsFound` if anything was noted, from the top of the file to its end."""
        if self.found:
            raise FaultsFound(sorted(self.found, key=lambda fault: fault.row or 0))


def said_by(error: Exception) -> tuple[str, str]:
    """Return what was found and what is accepted, out of a value's own ``found ...; accepted: ...``."""
    found, _, accepted = str(error).partition("; accepted: ")
    return found.removeprefix("found "), accepted or "values that agree with each other"


def key_said_by(error: Exception, where: str = "") -> tuple[str | None, str, str]:
    """Return the key too, out of a value's own ``key: found ...; accepted: ...``; it stands within `where`.

    Where the value says none it is `where`, and None where that is empty too.
    """
    found, accepted = said_by(error)
    key, told, rest = found.partition(": found ")
    if not told:
        return where or None, found, accepted
    return (f"{where}.{key}" if where else key), rest, accepted


def refuse(file: str, found: str, accepted: str) -> FaultsFound:
    """Return the error for a fault of a whole file."""
    return FaultsFound([Fault(file, None, None, found, accepted)])

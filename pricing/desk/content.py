"""What a person enters for one job: the table of artworks as typed, and where this job differs from the shop."""

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, replace
from typing import Any, Final, cast

from nesting.base.counts import plural
from nesting.base.measure import UnitSystem
from pricing.studio.rule_words import label_of, told_value

HEADINGS: Final = (
    "piece", "title", "width", "height", "depth", "weight", "quantity", "price", "buyer", "destination", "support",
    "surface", "back", "method", "poured", "notes",
)  # fmt: skip
"""Columns of a new table, what an offer needs first; others can be added."""
MOST_ROWS: Final = 2_000
MOST_COLUMNS: Final = 60
MOST_TEXT: Final = 4_000
MOST_SCENARIOS: Final = 60_000


@dataclass(frozen=True, slots=True)
class Content:
    """One job as it was entered.

    Attributes
    ----------
    units : {"inch", "metric"}
        What bare numbers mean.
    headings : tuple of str
        Of the table's columns.
    rows : tuple of tuple of str
        Cells as typed.
    prices : mapping of str to str
        This job's own price of a stock.
    rules : mapping of str to str
        This job's own rules and rates, such as ``"frame.larger_by"`` or ``"price.overhead"``.
    missing : tuple of str
        Stock that the supplier does not have.
    swaps : mapping of str to str
        Goods taken instead of others.
    seed : int
        Of the searches.
    scenarios : str
        This job as it might be, in TOML; see :mod:`pricing.ahead.what_if`.
    photos : mapping of str to int
        By piece: which picture of the store shows it.
    designs : mapping of str to str
        By what is in a crate: the design that was taken for it; see :mod:`pricing.desk.taken`.
    """

    units: UnitSystem = "inch"
    headings: tuple[str, ...] = HEADINGS
    rows: tuple[tuple[str, ...], ...] = ()
    prices: Mapping[str, str] = field(default_factory=dict)
    rules: Mapping[str, str] = field(default_factory=dict)
    missing: tuple[str, ...] = ()
    swaps: Mapping[str, str] = field(default_factory=dict)
    seed: int = 0
    scenarios: str = ""
    photos: Mapping[str, int] = field(default_factory=dict)
    designs: Mapping[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if self.units not in ("inch", "metric"):
            raise ValueError(f"units are inch or metric, not {self.units!r}")
        if len(self.rows) > MOST_ROWS or len(self.headings) > MOST_COLUMNS:
            raise ValueError(f"a table has at most {MOST_ROWS} rows and {MOST_COLUMNS} columns")
        if any(len(row) > MOST_COLUMNS for row in self.rows):
            raise ValueError(f"a row has at most {MOST_COLUMNS} cells")
        if len(self.photos) > MOST_ROWS:
            raise ValueError(f"a job has at most {MOST_ROWS} photos")
        if any(len(cell) > MOST_TEXT for row in (self.headings, *self.rows) for cell in row):
            raise ValueError(f"a cell holds at most {MOST_TEXT} characters")
        if len(self.scenarios) > MOST_SCENARIOS:
            raise ValueError(f"scenarios have at most {MOST_SCENARIOS} characters together")

    def text(self) -> str:
        """Write as JSON; without the designs where none was taken, as before there were any."""
        facts = asdict(self)
        if not self.designs:
            del facts["designs"]
        return json.dumps(facts, ensure_ascii=False, sort_keys=True, separators=(",", ":"))

    def as_it_is(self) -> "Content":
        """Return the job without scenarios and photos, of which nothing that is built or priced depends."""
        return replace(self, scenarios="", photos={}) if self.scenarios or self.photos else self

    def with_photo(self, piece: str, picture: int) -> "Content":
        """Return the same job with another photo of a piece; picture 0 takes it out."""
        others = {name: number for name, number in self.photos.items() if name != piece}
        return replace(self, photos={**others, piece: picture} if picture else others)

    def with_rows(self, headings: tuple[str, ...], rows: tuple[tuple[str, ...], ...]) -> "Content":
        """Return the same job with another table; blank rows at the end go."""
        kept = list(rows)
        while kept and not any(cell.strip() for cell in kept[-1]):
            kept.pop()
        return replace(self, headings=headings, rows=tuple(kept))

    def cell(self, row: int, column: int) -> str:
        """Return a cell's text; empty where the row is shorter."""
        cells = self.rows[row] if row < len(self.rows) else ()
        return cells[column] if column < len(cells) else ""


def content_from(text: str) -> Content:
    """Read what :meth:`Content.text` wrote; an empty text is a new job."""
    if not text:
        return Content()
    document: dict[str, Any] = json.loads(text)
    return Content(
        units=cast("UnitSystem", document["units"]),
        headings=tuple(document["headings"]),
        rows=tuple(tuple(row) for row in document["rows"]),
        prices=dict(document["prices"]),
        rules=dict(document["rules"]),
        missing=tuple(document["missing"]),
        swaps=dict(document["swaps"]),
        seed=int(document["seed"]),
        scenarios=str(document.get("scenarios", "")),
        photos=dict(document.get("photos", {})),
        designs=dict(document.get("designs", {})),
    )


@dataclass(frozen=True, slots=True)
class CellChange:
    """One cell that differs between two tables; rows count from 1 below the heading."""

    row: int
    column: str
    before: str
    after: str


def _setting(kind: str, key: str, before: str, after: str) -> CellChange:
    """Return a setting that differs, in the words of people."""
    if kind != "rules":
        return CellChange(0, key, before, after)
    return CellChange(0, label_of(key), told_value(key, before), told_value(key, after))


def changes(before: Content, after: Content) -> list[CellChange]:
    """Return every cell and setting that differs, in reading order."""
    found = []
    columns = list(dict.fromkeys((*before.headings, *after.headings)))
    for row in range(max(len(before.rows), len(after.rows))):
        for column in columns:
            old, new = _named(before, row, column), _named(after, row, column)
            if old != new:
                found.append(CellChange(row + 1, column, old, new))
    if before.units != after.units:
        found.append(CellChange(0, "units", before.units, after.units))
    for label in ("prices", "rules", "swaps"):
        one, other = getattr(before, label), getattr(after, label)
        differing = [key for key in sorted({*one, *other}) if one.get(key) != other.get(key)]
        found += [_setting(label, key, one.get(key, ""), other.get(key, "")) for key in differing]
    if before.scenarios != after.scenarios:
        told = [plural(len(each.scenarios.splitlines()), "line") if each.scenarios else "" for each in (before, after)]
        found.append(CellChange(0, "scenarios", told[0], told[1] if told[1] != told[0] else "other text"))
    if before.missing != after.missing:
        found.append(CellChange(0, "not to be had", ", ".join(before.missing), ", ".join(after.missing)))
    found += _other_designs(before, after)
    for piece in sorted({*before.photos, *after.photos}):
        one, other = before.photos.get(piece), after.photos.get(piece)
        if one != other:
            words = "none" if one is None else "one", "none" if other is None else "one" if one is None else "another"
            found.append(CellChange(0, f"photo of {piece}", *words))
    return found


def _other_designs(before: Content, after: Content) -> list[CellChange]:
    """Return every design taken for a crate that differs, in words."""
    pairs = [
        (key, before.designs.get(key, ""), after.designs.get(key, "")) for key in {**before.designs, **after.designs}
    ]
    return [
        CellChange(0, f"design of {key}", old.partition("\n")[0], new.partition("\n")[0])
        for key, old, new in sorted(pairs)
        if old != new
    ]


def _named(content: Content, row: int, column: str) -> str:
    return content.cell(row, content.headings.index(column)) if column in content.headings else ""

"""The rack as its history keeps it: every offcut and everything on the shelf as one text, and what differs between two.

Which job has taken what is no part of it: takings go to and fro with the jobs, whatever becomes of the list.
"""

import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Final

from nesting.base.measure import format_length_exact
from pricing.studio.rack import OnShelf, RackOffcut

Row = Mapping[str, Any]
_THERE: Final = "it is"


@dataclass(frozen=True, slots=True)
class RackDifference:
    """One thing about an offcut, or a thing on the shelf, that differs; both sides in words."""

    name: str
    column: str
    before: str
    after: str


@dataclass(frozen=True)
class RackState:
    """Rack and shelf at one moment; never changed in place.

    Attributes
    ----------
    offcuts : mapping of str to mapping
        Rows of the table of offcuts by name, those taken off the list too.
    shelf : mapping of str to mapping
        Rows of the shelf by name.
    """

    offcuts: Mapping[str, Row] = field(default_factory=dict)
    shelf: Mapping[str, Row] = field(default_factory=dict)

    def text(self) -> str:
        """Write as JSON."""
        rows = {"offcuts": list(self.offcuts.values()), "shelf": list(self.shelf.values())}
        return json.dumps(rows, ensure_ascii=False, sort_keys=True, separators=(",", ":"))

    def on_hand(self, name: str) -> Row | None:
        """Return the row of an offcut that is on the list, or None."""
        row = self.offcuts.get(name)
        return None if row is None or row["gone"] else row

    def uses(self, name: str) -> bool:
        """Whether anything in store bears a name."""
        return self.on_hand(name) is not None or name in self.shelf

    def with_offcut(self, offcut: RackOffcut, from_job: int | None = None) -> "RackState":
        """Return the state with an offcut put there, or another in its place."""
        return replace(self, offcuts={**self.offcuts, offcut.name: offcut_row(offcut, from_job)})

    def with_facts(self, name: str, **facts: Any) -> "RackState":
        """Return the state with an offcut changed in some columns; LookupError where there is none of that name."""
        if name not in self.offcuts:
            raise LookupError(f"no offcut {name}")
        return replace(self, offcuts={**self.offcuts, name: {**self.offcuts[name], **facts}})

    def with_shelved(self, thing: OnShelf) -> "RackState":
        """Return the state with a thing put on the shelf, or another in its place."""
        return replace(self, shelf={**self.shelf, thing.name: shelf_row(thing)})

    def without_shelved(self, name: str) -> "RackState":
        """Return the state with a thing off the shelf; LookupError where there is none of that name."""
        if name not in self.shelf:
            raise LookupError(f"no {name} on the shelf")
        return replace(self, shelf={key: row for key, row in self.shelf.items() if key != name})

    def same(self, other: "RackState", names: Iterable[str]) -> bool:
        """Whether two states agree in everything of some names."""
        return all(
            self.offcuts.get(name) == other.offcuts.get(name) and self.shelf.get(name) == other.shelf.get(name)
            for name in names
        )

    @property
    def names(self) -> frozenset[str]:
        """Every name in it."""
        return frozenset((*self.offcuts, *self.shelf))


def offcut_row(offcut: RackOffcut, from_job: int | None = None) -> Row:
    """Return the row of an offcut that is on the list."""
    return {
        "name": offcut.name, "good": offcut.good, "length": offcut.length, "width": offcut.width,
        "value": str(offcut.value), "count": offcut.count, "place": offcut.place, "from_job": from_job, "gone": 0,
    }  # fmt: skip


def shelf_row(thing: OnShelf) -> Row:
    """Return the row of a thing on the shelf."""
    return {
        "name": thing.name, "good": thing.good, "quantity": thing.quantity, "width": thing.width, "place": thing.place,
    }  # fmt: skip


def state_from(text: str) -> RackState:
    """Read what :meth:`RackState.text` wrote; nothing is an empty rack."""
    if not text:
        return RackState()
    rows = json.loads(text)
    return RackState({row["name"]: row for row in rows["offcuts"]}, {row["name"]: row for row in rows["shelf"]})


def differences(before: RackState, after: RackState, names: Iterable[str] | None = None) -> list[RackDifference]:
    """Return what differs, name by name; of some names only, where they are given."""
    wanted = sorted(before.names | after.names if names is None else names)
    return [each for name in wanted for each in _of_name(before, after, name)]


def _of_name(before: RackState, after: RackState, name: str) -> Iterator[RackDifference]:
    for kind, words in (("offcuts", _offcut_words), ("shelf", _shelf_words)):
        one, other = (words(getattr(state, kind).get(name)) for state in (before, after))
        both_there = len(one) > 1 and len(other) > 1
        for column in dict.fromkeys((*one, *other)) if both_there else (_THERE,):
            if one.get(column, "") != other.get(column, ""):
                yield RackDifference(name, column, one.get(column) or "nothing", other.get(column) or "nothing")


def _offcut_words(row: Row | None) -> dict[str, str]:
    """Return what a person would say of an offcut, by column."""
    if row is None or row["gone"]:
        return {_THERE: "not on the list"}
    sides = [format_length_exact(row[side], mark=True) for side in ("length", "width") if row[side]]
    return {
        _THERE: "on the rack", "good": row["good"], "size": " × ".join(sides), "place": row["place"],
        "worth": row["value"], "count": str(row["count"]),
    }  # fmt: skip


def _shelf_words(row: Row | None) -> dict[str, str]:
    """Return what a person would say of a thing on the shelf, by column."""
    if row is None:
        return {_THERE: "not on the shelf"}
    quantity = format_length_exact(row["quantity"], mark=True) if row["width"] else str(row["quantity"])
    width = format_length_exact(row["width"], mark=True) if row["width"] else ""
    return {
        _THERE: "on the shelf", "good": row["good"], "quantity": quantity, "width": width, "place": row["place"],
    }  # fmt: skip

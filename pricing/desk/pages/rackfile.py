"""The rack as a file: the command's own ``rack.csv``, taken along, read in and pasted.

The file holds what is free. What jobs have taken stands in no file and is not touched by reading one.
"""

import re
from collections import Counter
from dataclasses import replace
from typing import Any, Final

from starlette.responses import Response
from starlette.routing import Route

from nesting.base.faults import Fault, Faults, FaultsFound
from nesting.base.measure import MeasureError, UnitSystem, format_length_exact, parse_length
from nesting.base.tables.text import decode, split_text
from pricing.desk.call import BadRequestError, Call, endpoint
from pricing.desk.desk import Desk
from pricing.desk.pages.paper import kept
from pricing.desk.pages.rack import offer_both
from pricing.store import Conflict
from pricing.store.rackstate import RackState, offcut_row, shelf_row
from pricing.studio.rack import MOST, MOST_OFFCUTS, Rack, rack_csv, rack_of
from pricing.studio.table_file import Table, TableRow, table_from

_PASTED: Final = "rack.csv"
_MOST_TEXT: Final = 1_000_000
_MOST_SHOWN: Final = 200
"""Rows with faults that are shown one by one."""


def send(call: Call[Desk]) -> Response:
    """Send what is free on the rack, and the shelf, as the command reads it."""
    papers = call.desk.papers
    rack = call.desk.store.rack.rack(papers.book.currency)
    headers = {"content-disposition": 'attachment; filename="rack.csv"'}
    return Response(rack_csv(rack, papers.units).encode(), media_type="text/csv; charset=utf-8", headers=headers)


def take(call: Call[Desk]) -> Response:
    """Read a file, or pasted rows, into the rack: all of it in one change, or nothing and every fault."""
    room, revision, instead = call.desk.store.rack, call.number("revision"), call.text("how") == "instead"
    file, content = _sent(call)
    state = room.state()
    taken = Counter({each.offcut.name: each.offcut.count - each.free for each in room.all()})
    try:
        rack = _read(call, content, file, state, taken, instead=instead)
    except FaultsFound as error:
        return _to_mend(call, error, content, file)
    wanted = merged(state, rack, taken, instead=instead)
    named = {each.name for each in rack.offcuts} | {each.name for each in rack.shelf}
    names = wanted.names | state.names if instead else named
    what = f"read from {file[:60]}: {told(state, wanted)}"
    try:
        document = room.become(wanted, names, based_on=revision, what=what)
    except Conflict as conflict:
        fields = {"text": rack_csv(rack, call.desk.papers.units), "how": "instead" if instead else "beside"}
        return offer_both(call, conflict, sorted(names), lambda _: wanted, fields, what)
    return kept(call, document, "/rack")


def _sent(call: Call[Desk]) -> tuple[str, bytes]:
    """Return name and content of what was sent."""
    file, data = call.files.get("file", ("", b""))
    text = call.form.get("text", "")
    if len(text) > _MOST_TEXT:
        raise BadRequestError(f"at most {_MOST_TEXT} characters can be pasted; send a file")
    if data and text.strip():
        raise BadRequestError("either paste rows or choose a file, not both")
    if not data and not text.strip():
        raise BadRequestError("paste rows with their heading, or choose a file")
    return (file, data) if data else (_PASTED, text.encode())


def _read(call: Call[Desk], content: bytes, file: str, state: RackState, taken: Counter[str], *, instead: bool) -> Rack:
    """Return what a file says, or raise all of its faults together: those of its own, and what the rack makes of it."""
    table = table_from(content, file)
    found: list[Fault] = []
    rack = Rack()
    try:
        rack = rack_of(table, call.desk.papers.shop, call.desk.papers.book.currency)
    except FaultsFound as error:
        found += error.faults
    found += clashes(table, state, taken, call.desk.papers.units, instead=instead)
    found += _too_many(file, state, rack, taken, instead=instead)
    if found:
        raise FaultsFound(sorted(found, key=lambda fault: fault.row or 0))
    return rack


def clashes(table: Table, state: RackState, taken: Counter[str], units: UnitSystem, *, instead: bool) -> list[Fault]:
    """Return a fault for every row that names something else in store, which cannot go for it."""
    faults = Faults(table.file)
    for row in table.rows:
        name = row.get("name")
        offcut, shelved = state.on_hand(name), state.shelf.get(name)
        if offcut and (taken[name] or not instead) and _another(row, offcut, units):
            sides = " × ".join(
                format_length_exact(offcut[key], units, mark=True) for key in ("length", "width") if offcut[key]
            )
            stands = f"there is another {name} on the rack: {offcut['good']}, {sides}"
            faults.add(row.row, "name", stands, "a name of its own, or that good and size", typed=False)
        elif shelved and not instead and row.get("good") != shelved["good"]:
            stands = f"there is another {name} on the shelf: {shelved['good']}"
            faults.add(row.row, "name", stands, "a name of its own, or that good", typed=False)
        count = row.get("count") or "1"
        if taken[name] and re.fullmatch("[0-9]{1,7}", count) and int(count) + taken[name] > MOST:
            faults.add(row.row, "count", count, f"{MOST} at the most, with the {taken[name]} that jobs have taken")
    return list(faults)


def _another(row: TableRow, offcut: Any, units: UnitSystem) -> bool:
    """Whether a row is of another good or size than an offcut; sizes that cannot be read are faults already."""
    if row.get("good") != offcut["good"]:
        return True
    for side in ("length", "width"):
        try:
            if offcut[side] and parse_length(row.get(side), units) != offcut[side]:
                return True
        except MeasureError:
            continue
    return False


def _too_many(file: str, state: RackState, rack: Rack, taken: Counter[str], *, instead: bool) -> list[Fault]:
    """Return a fault for every good of which there would be too many kinds."""
    after = merged(state, rack, taken, instead=instead).offcuts.values()
    kinds, before = (
        Counter(row["good"] for row in rows if not row["gone"]) for rows in (after, state.offcuts.values())
    )
    accepted = f"{MOST_OFFCUTS} at the most together with what is on the rack; small ones may go"
    return [
        Fault(file, None, "good", f"{count} kinds of {good}", accepted)
        for good, count in kinds.items()
        if count > max(MOST_OFFCUTS, before[good])
    ]


def merged(state: RackState, rack: Rack, taken: Counter[str], *, instead: bool) -> RackState:
    """Return the list with what a file says of free ones, beside what is there or in place of it.

    Parameters
    ----------
    taken : Counter of str
        How many of each offcut jobs have taken: these stay, whatever the file says.
    instead : bool
        Whether what the file does not name goes.
    """
    offcuts, shelf = dict(state.offcuts), dict(state.shelf)
    if instead:
        shelf = {}
        offcuts = {
            name: {**row, "count": taken[name]} if taken[name] else {**row, "gone": 1} for name, row in offcuts.items()
        }
    for each in rack.offcuts:
        row, before = offcut_row(each), state.offcuts.get(each.name)
        again = before and all(before[key] == row[key] for key in ("good", "length", "width"))
        from_job = before["from_job"] if before and again else None
        offcuts[each.name] = {**row, "count": each.count + taken[each.name], "from_job": from_job}
    return RackState(offcuts, {**shelf, **{thing.name: shelf_row(thing) for thing in rack.shelf}})


def told(before: RackState, after: RackState) -> str:
    """Say in few words what reading a file did."""
    names = before.names | after.names
    new = sum(after.uses(name) and not before.uses(name) for name in names)
    off = sum(before.uses(name) and not after.uses(name) for name in names)
    other = sum(before.uses(name) and after.uses(name) and not before.same(after, (name,)) for name in names)
    return f"{new} new, {other} changed, {off} taken off"


def _to_mend(call: Call[Desk], error: FaultsFound, content: bytes, file: str) -> Response:
    """Show every fault at its row, with what was sent to be mended on the spot."""
    text = _as_text(content, file)
    stands = {number: ", ".join(cells) for number, cells in enumerate(_cells(text), start=1)}
    at: dict[int, list[str]] = {}
    for fault in error.faults:
        at.setdefault(fault.row or 0, []).append(replace(fault, file="", row=None).message)
    rows = [(row, stands.get(row, "")[:200], said) for row, said in sorted(at.items())]
    left = len(rows) - _MOST_SHOWN
    rows = rows[:_MOST_SHOWN] + ([(0, "", [f"{left} more rows with faults"])] if left > 0 else [])
    return call.page(
        "rackfile.html", 422, here="rack", file=file, rows=rows, text=text, how=call.text("how"),
        document=call.desk.store.rack.document(),
    )  # fmt: skip


def _as_text(content: bytes, file: str) -> str:
    """Return what was sent as text; nothing of a workbook or of bytes that are no text."""
    if file.lower().endswith(".xlsx") or len(content) > _MOST_TEXT:
        return ""
    try:
        return decode(file, content)[0]
    except FaultsFound:
        return ""


def _cells(text: str) -> list[list[str]]:
    try:
        return split_text(text)
    except FaultsFound:
        return []


ROUTES = (
    Route("/rack/rack.csv", endpoint(send)),
    Route("/rack/file", endpoint(take), methods=["POST"]),
)

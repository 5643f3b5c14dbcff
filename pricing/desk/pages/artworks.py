"""Artworks: the table, typed, pasted or dropped, saved as it changes, with every fault at its cell."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, replace
from typing import Any, Final

from starlette.responses import Response
from starlette.routing import Route

from nesting.crates.registry import askable, called
from nesting.intake import COLUMNS
from nesting.intake.columns import BY_NAME
from nesting.order import AUTO, SURFACES
from pricing.desk.call import MOST_NUMBER, BadRequestError, Call, endpoint
from pricing.desk.content import Content, content_from
from pricing.desk.desk import Desk, Sheaf, job_paper
from pricing.desk.heads import SIDES, heads, names_beside, read_as, words_of
from pricing.desk.pages.common import conflict_answer, job_page, told
from pricing.desk.steps import marked
from pricing.desk.table import CellFault, dropped, pasted
from pricing.store import Conflict

_SPARE: Final = 3
_WIDEST: Final = 38
"""Letters that a column shows at the most before its cells scroll."""
_LETTER: Final = 7.4
"""Pixels of a letter, on the average."""
_AROUND: Final = 18
"""Pixels around the text of a cell."""
_AT_ONCE: Final = 120
_CHOICES: Final[Mapping[str, Sequence[str]]] = {
    "surface": SURFACES,
    "back": ("solid", "strainer 2 1/2 x 1 1/2", "cradle 3/4 x 1 1/2, face 1/4", "cleated",
             "cleated 3/4 thick, 3 wide, 2 up, 2 down"),
    "turn": ("yes", "no"),
    "shock_limit": ("20 G", "30 G", "40 G"),
}  # fmt: skip


def shown(call: Call[Desk]) -> Response:
    """Show the table."""
    sheaf = call.desk.sheaf(call.number("job"), wait=False)
    content = sheaf.content
    most = len(content.rows) if call.text("all") else _AT_ONCE
    rows = [_cells(content, row) for row in range(min(most, len(content.rows)))]
    hidden = len(content.rows) - len(rows)
    if not hidden:
        rows += [[""] * len(content.headings)] * (_SPARE if rows else 6)
    headings = heads(content)
    known = {heading.name for heading in headings}
    named = next((place for place, heading in enumerate(headings) if heading.name == "piece"), 0)
    return job_page(
        call, "artworks.html", "artworks", sheaf, headings=headings, rows=rows, hidden=hidden, marks=_marks(sheaf),
        below=[_cells(content, row) for row in range(most, len(content.rows))], facts=_facts(call), named=named,
        widths=[_width(heading.text, [row[place] for row in rows]) for place, heading in enumerate(headings)],
        others=[column for column in COLUMNS if column.name not in known], photos=content.photos,
        warnings=sheaf.reading.order.warnings if sheaf.reading.order else (),
    )  # fmt: skip


def _facts(call: Call[Desk]) -> dict[str, Any]:
    """Return what the script offers: what a heading can be read as, words for cells, and what opens them."""
    papers = call.desk.papers
    places = [[place.name, place.party] for place in papers.places.rows]
    parties = [[party.name, ""] for party in papers.parties.rows]
    words = {column: [[word, ""] for word in given] for column, given in _CHOICES.items()}
    method = [[AUTO, "the shop's rules choose"], *([name, called(name)] for name in askable())]
    return {
        "columns": [[column.name, words_of(column.name), column.meaning] for column in COLUMNS]
        + [[text, text, "Three sides in one cell, in this order."] for text in SIDES],
        "choices": {**words, "method": method, "destination": places, "buyer": parties, "gallery": parties},
        "opens": {"destination": "destination", "buyer": "party", "gallery": "party"},
    }


def _width(text: str, cells: Sequence[str]) -> int:
    """Return the pixels that a column's texts take on the screen, as a first guess; the script measures."""
    longest = max([len(text) + 3, *map(len, cells)])
    return round(min(longest, _WIDEST) * _LETTER) + _AROUND


def _cells(content: Content, row: int) -> list[str]:
    return [content.cell(row, column) for column in range(len(content.headings))]


def _marks(sheaf: Sheaf) -> dict[tuple[int, int], CellFault]:
    """Return the first fault of every cell; a fault of a whole row stands at its first cell."""
    found: dict[tuple[int, int], CellFault] = {}
    for fault in sheaf.faults:
        if fault.row is not None:
            found.setdefault((fault.row, fault.column or 0), fault)
    return found


def _table(data: Any) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """Return heading and rows that a script sent."""
    table = (
        [data.get("headings"), *data["rows"]] if isinstance(data, dict) and isinstance(data.get("rows"), list) else []
    )
    if not table or not all(isinstance(row, list) and all(isinstance(cell, str) for cell in row) for row in table):
        raise BadRequestError("a table is a list of headings and a list of rows of text")
    return tuple(table[0]), tuple(tuple(row) for row in table[1:])


def _whole(data: Any, name: str) -> int:
    """Return a whole number that a script sent."""
    value = data.get(name, 0)
    if not isinstance(value, int) or not 0 <= value <= MOST_NUMBER:
        raise BadRequestError(f"{name}: a whole number")
    return value


def save(call: Call[Desk]) -> Response:
    """Save the table as a script sends it: rows shown, and how many stand below them unseen."""
    job, data = call.number("job"), call.data
    document = call.desk.store.documents.get(job_paper(job))
    before = content_from(document.content)
    headings, rows = _table(data)
    headings = _read_as(headings, data.get("reads"))
    content = before.with_rows(headings, rows)
    if unseen := before.rows[max(0, len(before.rows) - _whole(data, "unseen")) :]:
        same = headings[: len(before.headings)] == before.headings
        moved = _moved(data.get("places"), len(headings), unseen)
        if moved is None:
            content = before.with_rows(
                *((headings, (*rows, *unseen)) if same else below(content, before.headings, unseen))
            )
        else:
            content = before.with_rows(headings, (*rows, *moved))
    return _save(call, content, _whole(data, "revision"), str(data.get("what") or "table edited")[:120])


def _save(call: Call[Desk], content: Content, revision: int, what: str) -> Response:
    try:
        sheaf = call.desk.save(call.number("job"), content, based_on=revision, what=marked("artworks", what))
    except Conflict as conflict:
        return conflict_answer(call, conflict, what, f"/jobs/{call.number('job')}/artworks", content)
    remarks = sheaf.reading.order.warnings if sheaf.reading.order else ()
    return call.json(told(call, sheaf, heads=[asdict(head) for head in heads(content)], remarks=remarks))


def _read_as(headings: tuple[str, ...], reads: Any) -> tuple[str, ...]:
    """Return headings of which some were given a column to be read as."""
    if not isinstance(reads, dict):
        return headings
    made = list(headings)
    for place, name in reads.items():
        if not str(place).isdigit() or int(place) >= len(made) or name not in (*BY_NAME, *SIDES):
            raise BadRequestError("reads: a column's place, and a known column")
        made[int(place)] = read_as(made[int(place)], str(name))
    return tuple(made)


def _moved(places: Any, count: int, rows: Sequence[Sequence[str]]) -> tuple[tuple[str, ...], ...] | None:
    """Return rows that nobody looks at with their columns as those that are looked at; None where nobody says how."""
    if not isinstance(places, list):
        return None
    if len(places) != count or not all(place is None or isinstance(place, int) for place in places):
        raise BadRequestError("places: where each column stood before, or null")
    return tuple(
        tuple(row[place] if place is not None and 0 <= place < len(row) else "" for place in places) for row in rows
    )


def split(call: Call[Desk]) -> Response:
    """Split pasted text into heading and rows for a script to place, with what each column means."""
    text = str(call.data.get("text", "")) if isinstance(call.data, dict) else ""
    headings, rows = pasted(text)
    table = content_from(call.desk.store.documents.get(job_paper(call.number("job"))).content)
    return call.json({"headings": headings, "names": names_beside(headings, table.headings), "rows": rows})


def drop(call: Call[Desk]) -> Response:
    """Take the table of a dropped file, in place of what is there or below it."""
    job = call.number("job")
    file, data = call.files.get("file", ("", b""))
    if not data:
        raise BadRequestError("drop a file, or choose one")
    _, units, headings, rows = dropped(file, data)
    content = content_from(call.desk.store.documents.get(job_paper(job)).content)
    filled = any(cell.strip() for row in content.rows for cell in row)
    if call.text("how") == "below" and filled:
        headings, rows = below(content, headings, rows)
    if units:
        content = replace(content, units=units)
    made = content.with_rows(headings, rows)
    try:
        what = marked("artworks", f"read from {file}")
        sheaf = call.desk.save(job, made, based_on=call.number("revision"), what=what)
    except Conflict as conflict:
        return conflict_answer(call, conflict, f"read from {file}", f"/jobs/{job}/artworks", made)
    return call.json(told(call, sheaf)) if call.wants_json else call.go(f"/jobs/{job}/artworks")


def below(
    content: Content, headings: Sequence[str], rows: Sequence[Sequence[str]]
) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """Put rows of another table below a job's own, columns matched by what they mean."""
    names = names_beside(content.headings, headings)
    all_headings = list(content.headings)
    places = []
    for text, name in zip(headings, names_beside(headings, content.headings), strict=True):
        if name in names:
            places.append(names.index(name))
        else:
            names.append(name)
            all_headings.append(text)
            places.append(len(all_headings) - 1)
    added = []
    for row in rows:
        cells = [""] * len(all_headings)
        for place, cell in zip(places, row, strict=False):
            cells[place] = cell
        added.append(tuple(cells))
    return tuple(all_headings), (*content.rows, *added)


ROUTES = (
    Route("/jobs/{job:int}/artworks", endpoint(shown)),
    Route("/jobs/{job:int}/artworks", endpoint(save), methods=["POST"]),
    Route("/jobs/{job:int}/artworks/split", endpoint(split), methods=["POST"]),
    Route("/jobs/{job:int}/artworks/file", endpoint(drop), methods=["POST"]),
)

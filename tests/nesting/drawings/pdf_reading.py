"""Reading a printed packet back from its PDF alone: labels, drawings, lists; nothing of the drawing code is used."""

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

INCH = 203_200
MM = 8_000


def words_of(page: Any) -> list[dict[str, Any]]:
    """Return a page's words, turned ones read from below upward."""
    found: list[dict[str, Any]] = page.extract_words(
        keep_blank_chars=False, char_dir_rotated="btt", line_dir_rotated="ltr", x_tolerance=1.5, y_tolerance=1.5
    )
    return found


def length(text: str, *, metric: bool) -> Fraction:
    """Read a length as printed."""
    if metric:
        return Fraction(text.removesuffix(" mm")) * MM
    return sum((Fraction(part) for part in text.removesuffix(" in").split()), Fraction(0)) * INCH


def sheet_outline(page: Any) -> dict[str, Any]:
    """Return the largest rectangle drawn on a page."""
    found: dict[str, Any] = max(page.rects, key=lambda r: r["width"] * r["height"])
    return found


def names_in_drawing(page: Any, known: Iterable[str]) -> Counter[str]:
    """Count names of parts inside the largest rectangle of a page, with those that stand there by a letter."""
    outline = sheet_outline(page)
    letters = {
        letter: name
        for letter, name in re.findall(r"\b([a-z]{1,2}): (\S+) ", " ".join(page.extract_text().split()))
        if name in set(known)
    }
    found = Counter[str]()
    for word in words_of(page):
        inside = (
            outline["x0"] - 1 <= word["x0"]
            and word["x1"] <= outline["x1"] + 1
            and outline["top"] - 1 <= word["top"]
            and word["bottom"] <= outline["bottom"] + 1
        )
        if inside and (word["text"] in letters or word["text"] in set(known)):
            found[letters.get(word["text"], word["text"])] += 1
    return found


@dataclass(frozen=True)
class Row:
    """One row of a printed list of cuts."""

    first: int
    last: int
    action: str
    panels: list[str]
    fence: Fraction
    edge: str
    off: list[str]
    stays: str


def cut_rows(pages: Iterable[Any], *, metric: bool) -> list[Row]:
    """Read the list of cuts off the pages of one layout, column by column, in the order of the numbers."""
    found = []
    for page in pages:
        words = words_of(page)
        heads = [word for word in words if word["text"] == "no."]
        for number in heads:
            columns = _columns(words, number)
            body = [
                word
                for word in words
                if word["top"] > number["bottom"]
                and columns[0] - 14 <= word["x0"] < columns[-1]
                and word["bottom"] < page.height - 47
            ]
            found += [_row(cells, metric=metric) for cells in _cells(body, columns)]
    return sorted(found, key=lambda row: row.first)


def _columns(words: list[dict[str, Any]], number: dict[str, Any]) -> list[float]:
    """Return left edges of the columns under one head, and the right end."""
    line = sorted(
        (w for w in words if abs(w["top"] - number["top"]) < 2 and w["x0"] >= number["x0"] - 1), key=lambda w: w["x0"]
    )
    again = next((i for i, w in enumerate(line) if i and w["text"] == "no."), len(line))
    mine = line[:again]
    edges = [mine[0]["x0"] - 12]
    edges += [
        next(w["x0"] for w in mine if w["text"] == head) - 2
        for head in ("cut", "panel", "fence", "edge", "comes", "stays")
    ]
    edges[2] -= 10  # letters of panels are centred and may be wider than their head
    return [*edges, line[again]["x0"] - 12 if again < len(line) else 1e9]


def _cells(body: list[dict[str, Any]], columns: list[float]) -> list[list[str]]:
    """Gather words into rows, which begin with a number and an action on one line, and columns."""
    lines: dict[float, list[dict[str, Any]]] = {}
    for word in sorted(body, key=lambda w: (w["top"], w["x0"])):
        key = next((top for top in lines if abs(top - word["top"]) < 2.5), word["top"])
        lines.setdefault(key, []).append(word)
    rows: list[list[list[str]]] = []
    for top in sorted(lines):
        cells: list[list[str]] = [[] for _ in range(7)]
        for word in sorted(lines[top], key=lambda w: w["x0"]):
            index = max(i for i in range(7) if word["x0"] >= columns[i] or i == 0)
            cells[index].append(word["text"])
        if re.fullmatch(r"\d+(–\d+)?", " ".join(cells[0])) and cells[1] and cells[1][0] in ("rip", "crosscut", "trim"):
            rows.append(cells)
        elif rows:
            for index, cell in enumerate(cells):
                rows[-1][index] += cell
    return [[" ".join(cell) for cell in row] for row in rows]


def _row(cells: list[str], *, metric: bool) -> Row:
    first, _, last = cells[0].partition("–")
    off: list[str] = []
    listed = cells[5].split(", ")
    if listed[0].startswith("panels "):
        listed = [f"panel {letter}" for letter in cells[5].removeprefix("panels ").split(", ")]
    for part in listed:
        times = re.fullmatch(r"(.+) (\d+)×", part)
        off += [times[1]] * int(times[2]) if times else [part]
    panels, fence = cells[2].split(", "), length(cells[3], metric=metric)
    return Row(int(first), int(last or first), cells[1], panels, fence, cells[4], off, cells[6])


ROUNDED = Fraction(INCH, 64)
"""How far a printed figure may be from the length that it stands for."""


def same_parts(found: Counter[tuple[str, Fraction, Fraction]], wanted: Counter[tuple[str, Fraction, Fraction]]) -> bool:
    """Return whether both are the same parts, each side within what three rounded cuts may be off."""
    pairs = list(zip(sorted(found.elements()), sorted(wanted.elements()), strict=True))
    off = [abs(a - b) for one, other in pairs for a, b in zip(one[1:], other[1:], strict=True)]
    return all(one[0] == other[0] for one, other in pairs) and max(off) <= 3 * ROUNDED


def cut_by_list(
    rows: list[Row], sheet: tuple[Fraction, Fraction], kerf: Fraction
) -> Counter[tuple[str, Fraction, Fraction]]:
    """Cut a sheet by the printed list, and count the parts that come of it with their sizes along and across."""
    at_hand = {"A": sheet}
    parts = Counter[tuple[str, Fraction, Fraction]]()

    def lay(word: str, dx: Fraction, dy: Fraction) -> None:
        if word.startswith("panel "):
            assert word[6:] not in at_hand
            at_hand[word[6:]] = (dx, dy)
        elif word not in ("offcut", "waste", "nothing"):
            parts[word, dx, dy] += 1

    expected = 1
    for row in rows:
        assert row.first == expected, f"cut {expected} is not in the list"
        expected = row.last + 1
        times = row.last - row.first + 1
        panels = row.panels if len(row.panels) > 1 else row.panels * times
        off = row.off if len(row.off) > 1 else row.off * times
        assert len(panels) == len(off) == times
        for index, (panel, piece) in enumerate(zip(panels, off, strict=True)):
            dx, dy = at_hand.pop(panel)
            along = row.edge in ("left", "right")
            has = dx if along else dy
            assert 0 < row.fence <= has + 3 * ROUNDED
            trim = row.action == "trim"
            rest = max(Fraction(0), has - row.fence - (0 if trim else kerf))
            if not trim:
                lay(piece, *((row.fence, dy) if along else (dx, row.fence)))
            same = len(row.panels) == 1 and index < times - 1
            lay(f"panel {panel}" if same else row.stays, *((rest, dy) if along else (dx, rest)))
    assert not at_hand, f"panels {sorted(at_hand)} are never finished"
    return parts

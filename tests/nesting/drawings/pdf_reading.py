"""Reading a printed packet back from its PDF alone: labels, drawings, lists; nothing of the drawing code is used."""

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
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


def sheet_outlines(page: Any) -> list[dict[str, Any]]:
    """Return the sheets drawn on a page: the rectangles with a bold rim, from the top."""
    found = [rect for rect in page.rects if rect["linewidth"] > 1.2 and rect["stroke"]]
    return sorted(found, key=lambda rect: (rect["top"], rect["x0"]))


def names_on_sheets(page: Any, known: Iterable[str]) -> Counter[str]:
    """Count the parts that the sheets drawn on a page tell of.

    A name stands in its part, with a count where parts alike lie side by side; or its letter does, and the key beside
    the drawing counts; or it is told of as too narrow to write on.
    """
    names = set(known)
    found = Counter[str]()
    for outline in sheet_outlines(page):
        inside = [word for word in words_of(page) if _within(word, outline)]
        for word, after in zip(inside, [*inside[1:], None], strict=True):
            if word["text"] in names:
                times = re.fullmatch(r"(\d+)×", after["text"]) if after else None
                found[word["text"]] += int(times[1]) if times else 1
        for name, times in re.findall(r"(?:\b[a-z]{1,2}|write on): (\S+) [^:;]*?, (\d+)×", told_of(page, outline)):
            found[name] += int(times)
    return found


def told_of(page: Any, outline: dict[str, Any]) -> str:
    """Return what is told of a sheet drawn: at its right, below it, or above it and then over the page's width."""
    words = [word for word in words_of(page) if word["upright"] and not _within(word, outline)]
    heads = [word for word in words if word["text"] == "Layout"]
    beside = [w for w in heads if abs(w["top"] - outline["top"]) < 16 and 0 < w["x0"] - outline["x1"] < 30]
    across = [w for w in heads if 0 < outline["top"] - w["top"] < 15 and abs(w["x0"] - outline["x0"]) < 4]
    left, right, top = outline["x0"] - 3, float(page.width), outline["bottom"]
    if beside:
        left, top = beside[0]["x0"] - 1, beside[0]["top"] - 1
    elif not across:
        right = left + (float(page.width) - 72 - 18) / 2 + 6
    mine = [w for w in words if left <= w["x0"] < right and w["top"] >= top - 0.5]
    above = [w for w in words if across and abs(w["top"] - across[0]["top"]) < 2.5 and left <= w["x0"] < right]
    told = [" ".join(w["text"] for w in sorted(above, key=lambda w: float(w["x0"])))] if across else []
    last = top
    for y, line in _lines(mine):
        if y - last > 14:
            break
        told.append(" ".join(word["text"] for word in line))
        last = y
    return " ".join(told)


def scales_told(page: Any) -> list[int]:
    """Return the scales told of the sheets drawn on a page, in their order: one of each, read beside or below it.

    Texts that stand side by side in columns are not mixed up, as they are in the lines of the whole page.
    """
    found = [re.findall(r"Drawn 1:(\d+)\.", told_of(page, outline)) for outline in sheet_outlines(page)]
    assert all(len(each) == 1 for each in found), found
    return [int(scale) for (scale,) in found]


def _within(word: dict[str, Any], outline: dict[str, Any]) -> bool:
    return bool(
        outline["x0"] - 1 <= word["x0"]
        and word["x1"] <= outline["x1"] + 1
        and outline["top"] - 1 <= word["top"]
        and word["bottom"] <= outline["bottom"] + 1
    )


@dataclass(frozen=True)
class Row:
    """One row of a printed list of cuts, with the setting that it belongs to."""

    first: int
    last: int
    at: Fraction
    lost: bool
    panels: list[str]
    edge: str
    off: list[str]
    stays: str


@dataclass(frozen=True)
class Good:
    """What the saw's pages say of one good: its kerf, its sheets in order, its rows."""

    title: str
    kerf: Fraction
    sheets: list[tuple[Fraction, Fraction]]
    rows: list[Row]
    passes: int
    settings: int


_HEADS = ("cut", "panel,", "comes", "stays")
_AT = re.compile(r"(?:guide|fence|stop|rule|cut|takes off) (?:at )?(as told|[\d /.]+)(?:, |$)")


def read_goods(pages: Iterable[Any], *, metric: bool) -> list[Good]:
    """Read the saw's pages for sheets: every good with its layouts and its settings, as a person would."""
    goods: list[Good] = []
    drawn: dict[tuple[int, int], tuple[Fraction, Fraction]] = {}
    band = ""
    for kind, text, cells in (thing for page in pages for thing in _things(page)):
        if kind == "heading":
            if text.startswith("Lumber"):
                break
            band = ""
            if re.search(r": \d+ sheets?$", text):
                goods.append(Good(text, Fraction(0), [], [], 0, 0))
            continue
        if not goods:
            continue
        good = goods[-1]
        if kind == "kerf":
            good = replace(good, kerf=_kerf(text, metric=metric), passes=_passes(text))
        elif kind == "sheet":
            size = re.search(r"Layout (\d+)\b.*?, ([\d /.]+) × ([\d /.]+) (?:in|mm)\. Drawn", text)
            assert size, text
            drawn[len(goods) - 1, int(size[1])] = length(size[2], metric=metric), length(size[3], metric=metric)
        elif kind == "band":
            band = text
        else:
            good.rows.append(_row(cells, band, metric=metric))
        # A band that is shared by settings stands for one of them in each of its rows.
        if kind == ("row" if "as told" in band else "band"):
            good = replace(good, settings=good.settings + 1)
        goods[-1] = good
    _set_in_order(goods, drawn)
    return goods


def _set_in_order(goods: list[Good], drawn: dict[tuple[int, int], tuple[Fraction, Fraction]]) -> None:
    """Give each good its sheets by their numbers, however they stand on the pages; none may be lacking."""
    for index, number in sorted(drawn):
        goods[index].sheets.append(drawn[index, number])
        assert len(goods[index].sheets) == number


def _kerf(text: str, *, metric: bool) -> Fraction:
    found = re.match(r"Kerf ([\d /.]+)\. ", text)
    return length(found[1], metric=metric) if found else Fraction(0)


def _passes(text: str) -> int:
    found = re.search(r", (\d+) pass", text)
    assert found, text
    return int(found[1])


def _things(page: Any) -> Iterator[tuple[str, str, list[str]]]:
    """Yield what stands on a page of the saw from the top, tables column by column: a kind, a text, a row's cells."""
    words = [word for word in words_of(page) if word["bottom"] < page.height - 47]
    outlines = sheet_outlines(page)
    words = [word for word in words if not any(_within(word, outline) for outline in outlines)]
    wide = [(top, line) for top, line in _lines(words) if _size(line[0]) > 8.3]
    for index, (top, line) in enumerate([(0.0, []), *wide]):
        text = " ".join(word["text"] for word in line)
        if line and _size(line[0]) > 10.5:
            yield "heading", text, []
        elif re.match(r"(Kerf [\d /.]+|No kerf)\. ", text):
            yield "kerf", text, []
        until = wide[index][0] if index < len(wide) else float(page.height)
        for outline in outlines:
            if top <= outline["top"] < until:
                yield "sheet", told_of(page, outline), []
        mine = [word for word in words if top <= word["top"] < until]
        for head in sorted((w for w in mine if w["text"] == "cut" and _is_head(mine, w)), key=lambda w: float(w["x0"])):
            yield from _table(mine, head, until, float(page.width) / 2)


def _size(word: dict[str, Any]) -> float:
    return float(word["bottom"] - word["top"])


def _is_head(words: list[dict[str, Any]], word: dict[str, Any]) -> bool:
    return any(
        other["text"] == "panel," and abs(other["top"] - word["top"]) < 2 and 0 < other["x0"] - word["x1"] < 30
        for other in words
    ) and any(  # the yard's hints have no such column
        other["text"] == "comes" and abs(other["top"] - word["top"]) < 2 and 0 < other["x0"] - word["x1"] < 150
        for other in words
    )


def _lines(words: list[dict[str, Any]]) -> list[tuple[float, list[dict[str, Any]]]]:
    lines: dict[float, list[dict[str, Any]]] = {}
    for word in sorted((w for w in words if w["upright"]), key=lambda w: (w["top"], w["x0"])):
        key = next((top for top in lines if abs(top - word["top"]) < 2.5), word["top"])
        lines.setdefault(key, []).append(word)
    return [(top, sorted(lines[top], key=lambda w: w["x0"])) for top in sorted(lines)]


def _table(
    words: list[dict[str, Any]], head: dict[str, Any], until: float, middle: float
) -> Iterator[tuple[str, str, list[str]]]:
    """Yield bands and rows of a table in one column of the page."""
    line = [w for w in words if abs(w["top"] - head["top"]) < 2 and w["x0"] >= head["x0"] - 1]
    right = middle if head["x0"] < middle else 1e9
    edges = [next(w["x0"] for w in line if w["text"] == each) - 1.5 for each in _HEADS[1:]]
    left = head["x1"] - 42
    mine = [w for w in words if head["bottom"] < w["top"] < until - 1 and left <= w["x0"] < right]
    row: list[list[str]] = []
    for _, found in _lines(mine):
        first = found[0]
        if re.fullmatch(r"\d+(–\d+)?", first["text"]) and abs(first["x1"] - head["x1"]) < 1.5:
            if row:
                yield "row", "", [_joined(cell) for cell in row]
            row = [[], [], [], []]
        elif first["x0"] < edges[0] - 4:
            if row:
                yield "row", "", [_joined(cell) for cell in row]
            row = []
            text = " ".join(w["text"] for w in found)
            if re.match(r"(Track saw|Table saw|Chop saw|Knife|Bandsaw|No tool)", text):
                yield "band", text, []
            continue
        if row:
            for word in found:
                row[sum(word["x0"] >= edge for edge in edges)].append(word["text"])
    if row:
        yield "row", "", [_joined(cell) for cell in row]


def _joined(cell: list[str]) -> str:
    """Return a cell's text on one line: a name that was broken after a point or a hyphen is one word again."""
    return re.sub(r"(?<=[^\W_][.\-]) (?=[^\W_])", "", " ".join(cell))


def _row(cells: list[str], band: str, *, metric: bool) -> Row:
    first, _, last = cells[0].partition("–")
    *panels, edge = cells[1].replace(",", " ").split()
    setting = _AT.search(band)
    assert setting, band
    at, off = setting[1], cells[2]
    if at == "as told":
        own = re.fullmatch(r"at ([\d /.]+): (.+)", off)
        assert own, off
        at, off = own[1], own[2]
    listed = off.split(", ")
    if listed[0].startswith("panels "):
        listed = [f"panel {letter}" for letter in off.removeprefix("panels ").split(", ")]
    names: list[str] = []
    for part in listed:
        times = re.fullmatch(r"(.+) (\d+)×", part)
        names += [times[1]] * int(times[2]) if times else [part]
    lost = "takes off" in band
    return Row(int(first), int(last or first), length(at, metric=metric), lost, panels, edge, names, cells[3])


ROUNDED = Fraction(INCH, 64)
"""How far a printed figure may be from the length that it stands for."""


def same_parts(found: Counter[tuple[str, Fraction, Fraction]], wanted: Counter[tuple[str, Fraction, Fraction]]) -> bool:
    """Return whether both are the same parts, each side within what three rounded cuts may be off."""
    pairs = list(zip(sorted(found.elements()), sorted(wanted.elements()), strict=True))
    off = [abs(a - b) for one, other in pairs for a, b in zip(one[1:], other[1:], strict=True)]
    return all(one[0] == other[0] for one, other in pairs) and max(off) <= 3 * ROUNDED


def cut_by_list(good: Good) -> Counter[tuple[str, Fraction, Fraction]]:
    """Cut one sheet of each layout of a good by its printed list, and count the parts with their sizes."""
    at_hand = {f"{index}A": sheet for index, sheet in enumerate(good.sheets, start=1)}
    parts = Counter[tuple[str, Fraction, Fraction]]()

    def lay(word: str, dx: Fraction, dy: Fraction) -> None:
        if word.startswith("panel "):
            assert word[6:] not in at_hand
            at_hand[word[6:]] = (dx, dy)
        elif word not in ("offcut", "waste", "nothing"):
            parts[word, dx, dy] += 1

    expected = 1
    for row in good.rows:
        assert row.first == expected, f"cut {expected} is not in the list"
        expected = row.last + 1
        times = row.last - row.first + 1
        panels = row.panels if len(row.panels) > 1 else row.panels * times
        off = row.off if len(row.off) > 1 else row.off * times
        assert len(panels) == len(off) == times, row
        for index, (panel, piece) in enumerate(zip(panels, off, strict=True)):
            dx, dy = at_hand.pop(panel)
            along = row.edge in ("left", "right")
            has = dx if along else dy
            assert 0 < row.at <= has + 3 * ROUNDED, row
            rest = max(Fraction(0), has - row.at - (0 if row.lost else good.kerf))
            lay(piece, *((row.at, dy) if along else (dx, row.at)))
            same = len(row.panels) == 1 and index < times - 1
            lay(f"panel {panel}" if same else row.stays, *((rest, dy) if along else (dx, rest)))
    assert not at_hand, f"panels {sorted(at_hand)} are never finished"
    return parts


def columns_of(pages: Iterable[Any]) -> str:
    """Return the text of pages set in two columns, each column read down."""
    told = []
    for page in pages:
        middle, width, height = float(page.width) / 2, float(page.width), float(page.height)
        for left, right in ((0.0, middle), (middle, width)):
            told.append(page.crop((left, 0, right, height)).extract_text() or "")
    return "\n".join(told)

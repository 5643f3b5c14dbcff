"""What is checked before a crate is closed, with a box to tick for each crate, and the lines to sign."""

from collections.abc import Sequence
from itertools import zip_longest

from nesting.crates.model import Crate
from nesting.crates.registry import method_of
from nesting.drawings.drill import half_held
from nesting.drawings.packet.page import LEADING, Flow
from nesting.drawings.packet.phrases import lines, said
from nesting.drawings.packet.printing import Printing
from nesting.drawings.typeface import printable, wrapped

_TICK = 8.0
_GUTTER = 14.0
_BOX = 24.0
"""From box to box of crates that are checked by the same lines, in points."""
_MOST_BOXES = 8
_SIGNED = ("Checked by", "date", "weighed, gross", "closed by")


def checked(flow: Flow, printing: Printing, crates: Sequence[Crate]) -> None:
    """Write what crates are checked by before they are closed, a box for each, and the lines to sign."""
    told = [check_lines(printing, crate) for crate in crates]
    together = _MOST_BOXES if len({len(each) for each in told}) == 1 else 1
    if len(crates) > together:
        for start in range(0, len(crates), together):
            checked(flow, printing, crates[start : start + together])
        return
    names = ", ".join(each.crate for each in crates)
    if len(crates) == 1:
        high = _columns(flow, told[0], 3)[2]
        flow.heading(f"{names}: check before closing", keep=high + 30)
        ticks(flow, told[0], columns=3)
        flow.blanks(_SIGNED)
        return
    flow.heading(f"{names}: check before closing", keep=80)
    for index, crate in enumerate(crates):
        flow.put(flow.left + _BOX * index + 1, flow.y - _TICK, crate.crate, size=8, bold=True)
    flow.space(_TICK * LEADING + 2)
    indent = _BOX * len(crates) + 2
    for lines_of in zip(*told, strict=True):
        same = len(set(lines_of)) == 1
        text = lines_of[0] if same else _each(crates, lines_of)
        written = wrapped(printable(text), _TICK, flow.width - indent)
        flow.need(len(written) * _TICK * LEADING + 3)
        for index in range(len(crates)):
            flow.box(flow.left + _BOX * index + 1, flow.y - _TICK * 1.1, 8.5, 8.5)
        for line in written:
            flow.put(flow.left + indent, flow.y - _TICK * 0.98, line, size=_TICK)
            flow.y -= _TICK * LEADING
        flow.space(1.5)
    for first, second in zip_longest(crates[::2], crates[1::2]):
        signed = [(f"{each.crate} by", "date", "weighed") for each in (first, second) if each]
        flow.blanks([label for each in signed for label in each])


def _each(crates: Sequence[Crate], told: Sequence[str]) -> str:
    """Join lines that differ from crate to crate: the words that they begin and end with stand once."""
    words = [text.split() for text in told]
    start = _common(words)
    end = min(_common([each[start:][::-1] for each in words]), min(map(len, words)) - start)
    if not end:
        words = [[*each[:-1], each[-1].rstrip(".")] for each in words]
    stop = [len(each) - end for each in words]
    own = (
        f"{crate.crate}: {' '.join(each[start:last]).rstrip('.')}"
        for crate, each, last in zip(crates, words, stop, strict=True)
    )
    return f"{' '.join(words[0][:start])} {'; '.join(own)}. {' '.join(words[0][stop[0] :])}".strip()


def _common(words: Sequence[Sequence[str]]) -> int:
    """Return how many words several texts begin with alike."""
    return next(
        (index for index, each in enumerate(zip(*words, strict=False)) if len(set(each)) > 1), min(map(len, words))
    )


def _columns(flow: Flow, told: Sequence[str], columns: int) -> tuple[list[list[list[str]]], float, float]:
    """Break lines to be ticked into columns, read down; return them with a column's width and the height of all."""
    wide = (flow.width - _GUTTER * (columns - 1)) / columns
    written = [wrapped(printable(text), _TICK, wide - 15) for text in told]
    high = [len(each) * _TICK * LEADING + 3 for each in written]
    most = max(*high, sum(high) / columns)
    while True:
        made: list[list[list[str]]] = [[]]
        used = 0.0
        for each, height in zip(written, high, strict=True):
            if used + height > most + 0.01:
                made.append([])
                used = 0.0
            made[-1].append(each)
            used += height
        if len(made) <= columns:
            return made, wide, most
        most += 2


def ticks(flow: Flow, told: Sequence[str], *, columns: int) -> None:
    """Write lines to be ticked, in columns."""
    made, wide, high = _columns(flow, told, columns)
    flow.need(high)
    for number, column in enumerate(made):
        x, y = flow.left + (wide + _GUTTER) * number, flow.y
        for written in column:
            flow.box(x + 1, y - _TICK * 1.1, 8.5, 8.5)
            for line in written:
                flow.put(x + 15, y - _TICK * 0.98, line, size=_TICK)
                y -= _TICK * LEADING
            y -= 3
    flow.y -= high


def _screws_in(crate: Crate) -> str:
    """Say which screws of the drill map are in, by what they hold."""
    halves = [half_held(crate, each) for each in crate.drill]
    removal, kept = halves.count("piece"), halves.count("hanging")
    if not kept:
        return f"All {len(crate.drill)} mounting screws are in"
    return (
        f"All {removal} removal screws are in, into the halves on the piece, and all {kept} screws that hold the "
        "buyer's halves (squares on the drawing of the back)"
    )


def _surfaces(printing: Printing, crate: Crate) -> list[str]:
    """Say what is looked at on the faces: a poured or painted one is cured, a glazed one whole."""
    faces = {copy.piece: copy.surface for copy in printing.build.order.copies()}
    kinds = [faces.get(piece, "") for piece in crate.pieces]
    told = []
    if any(kind != "glazed" for kind in kinds):
        told.append(said("check", "cured"))
    if "glazed" in kinds:
        told.append(said("check", "glazed"))
    return told


def check_lines(printing: Printing, crate: Crate) -> list[str]:
    """Return what is checked before a crate is closed, by what the crate has."""
    rides = ", ".join(name for name, _ in crate.rides)
    facts = {"pieces": ", ".join(crate.pieces), "rides": rides or "all frames"}
    told = [line.format_map(facts) for line in lines("check", "every")]
    told += _surfaces(printing, crate)
    if crate.earliest_packing is not None:
        told.append(f"Not packed before {crate.earliest_packing:%Y-%m-%d %H:%M}.")
    kind = method_of(crate)
    if kind.hangs:
        told += lines("check", "hung")
    if crate.drill:
        told.append(f"{_screws_in(crate)}, of the length in the list, heads tight on the surface; no tip inside.")
    told += [line.format_map(facts) for line in kind.texts_for(crate).checks]
    told += lines("check", "last")
    told.append(
        f"Handling marks are on, where the packing page says: {', '.join(crate.marks)}."
        if crate.marks
        else "Its name is on."
    )
    told.append(f"Weighed; expected is about {printing.weight(crate.gross_kg)}.")
    if crate.lift:
        told.append(f"To be lifted by {crate.lift}.")
    if crate.raw_wood:
        told.append(said("check", "raw_wood"))
    return told

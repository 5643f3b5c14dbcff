"""Pages of sheets: each distinct layout once, to scale, with its cuts numbered on the drawing and listed below it."""

from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Final

from nesting.cutting.sawing.cut_order import CutStep, order_cuts, setups
from nesting.cutting.sheets import Layout, SheetLayout
from nesting.cutting.stock import Source
from nesting.drawings.cut_list import fence, outcome
from nesting.drawings.packet.page import Column, Draft, Flow
from nesting.drawings.packet.phrases import lines, said
from nesting.drawings.packet.printing import Printing
from nesting.drawings.scene import POINT
from nesting.drawings.sheet import fitting_scale, sheet_drawing

FROM: Final[Mapping[Source, str]] = {"buy": "", "rack": ", from the rack", "open": ", paid already"}
"""Where stock comes from, as drawings say it."""

_LIST_SIZE = 8.0
_COLUMNS = (
    Column("no.", 0.55, "end", bold=True),
    Column("cut", 0.7),
    Column("panel", 0.55, "middle"),
    Column("fence at", 1.2, bold=True),
    Column("edge", 0.62),
    Column("comes off", 1.7),
    Column("stays", 1.2),
)


def sheet_pages(printing: Printing) -> Iterator[Draft]:
    """Yield the pages of every sheet layout of a build, good by good."""
    for layout in printing.build.layouts:
        for index, each in enumerate(layout.sheets):
            yield from layout_pages(printing, layout, each, index)


def layout_pages(printing: Printing, layout: Layout, each: SheetLayout, index: int) -> list[Draft]:
    """Return the pages of one way to cut a sheet."""
    good = printing.build.shop.by_name.get(layout.good)
    title = f"{good.title if good else layout.good}: layout {index + 1} of {len(layout.sheets)}"
    times = "once" if each.repeat == 1 else f"{each.repeat} sheets alike"
    rack = FROM[each.sheet.source]
    flow = Flow(printing.paper.sideways, f"Sheets, {layout.good}, layout {index + 1}", title)
    steps = order_cuts(each.sheet, each.cuts, layout.kerf, printing.build.shop.saw.panel_area)
    rows = list(cut_rows(steps, printing))
    size = printing.size(each.sheet.length, each.sheet.width, mark=True)
    scale = _scale(each, flow.width, flow.room - 12, rows=len(rows))
    drawing = sheet_drawing(
        each, steps, layout.kerf, scale=scale, units=printing.units, grain=bool(good and good.grain)
    )
    kerf, made = fence(layout.kerf, printing.units), f"{len(steps)} cuts with {setups(steps)} fence settings"
    flow.paragraph(
        f"Cut {times}{rack}. {each.sheet.name}, {size}. Drawn 1:{scale:g}. Kerf {kerf}. All figures in "
        f"{printing.unit}; length along the sheet first. {made}.",
        size=8.5,
    )
    flow.drawing(drawing.scene, after=5)
    notes = []
    if drawing.key:
        listed = "; ".join(f"{letter}: {name} {size}, {count}×" for letter, name, size, count in drawing.key)
        notes.append(f"Small parts by letter: {listed}")
    if drawing.unnumbered:
        listed = ", ".join(map(str, drawing.unnumbered))
        notes.append(f"Without room for their number on the drawing: cuts {listed}.")
    for note in notes:
        flow.paragraph(note, size=7.5, after=2)
    if steps:
        flow.caution(said("caution", "saw"))
        flow.in_columns(2)
        flow.table(_COLUMNS, rows, size=_LIST_SIZE)
    else:
        flow.paragraph("No cut: the sheet is used whole, or bought whole because the price break saves more.")
    return flow.pages


def _scale(each: SheetLayout, width: float, room: float, *, rows: int) -> float:
    """Return a scale that leaves room for the list on the same page, unless the drawing would get too small."""
    listed = 82.0 + 14.0 * ((rows + 1) // 2)
    least, most = room * 0.38, room * 0.62
    high = room - listed if least <= room - listed <= most else most
    return fitting_scale(each.sheet.length, each.sheet.width, width * POINT, high * POINT)


def reading_pages(printing: Printing) -> list[Draft]:
    """Return the page that says how to read drawings and lists, before the first of them."""
    flow = Flow(printing.paper, "Sheets, how to read them", "At the saw: how to read the sheets")
    for text in lines("sheets", "reading"):
        flow.paragraph(text, size=10, after=7)
    flow.caution(said("caution", "saw"))
    flow.caution(said("caution", "sheet"))
    return flow.pages


def cut_rows(steps: tuple[CutStep, ...], printing: Printing) -> Iterator[list[str]]:
    """Yield the rows of a list of cuts; cuts that go on alike, one after the other, share a row."""
    group: list[CutStep] = []
    for step in steps:
        if group and not (_goes_on(group, step) or _repeats(group, step)):
            yield _row(group, printing)
            group = []
        group.append(step)
    if group:
        yield _row(group, printing)


def _same_setting(one: CutStep, other: CutStep) -> bool:
    return one.action != "trim" and (one.action, one.fence, one.edge) == (other.action, other.fence, other.edge)


def _goes_on(group: list[CutStep], step: CutStep) -> bool:
    """Whether a cut takes the next equal piece off the one panel of a group."""
    last = group[-1]
    return (
        all(each.panel == step.panel for each in group)
        and _same_setting(last, step)
        and last.stays.kind == "panel"
        and last.stays.name == step.panel
    )


def _repeats(group: list[CutStep], step: CutStep) -> bool:
    """Whether a cut does to another panel what each cut of a group did to its own, and leaves nothing to cut."""
    last = group[-1]
    return (
        len({step.panel, *(each.panel for each in group)}) == len(group) + 1
        and _same_setting(last, step)
        and step.off.kind == "part"
        and step.stays.kind != "panel"
        and (outcome(last.off), outcome(last.stays)) == (outcome(step.off), outcome(step.stays))
    )


def _row(group: list[CutStep], printing: Printing) -> list[str]:
    first, last = group[0], group[-1]
    number = str(first.number) if first is last else f"{first.number}–{last.number}"
    names = Counter(outcome(step.off) for step in group)
    off = ", ".join(name if count == 1 else f"{name} {count}×" for name, count in names.items())
    if first is not last and all(step.off.kind == "panel" for step in group):
        off = f"panels {', '.join(step.off.name for step in group)}"
    letters = ", ".join(dict.fromkeys(step.panel for step in group))
    return [number, first.action, letters, fence(first.fence, printing.units), first.edge, off, outcome(last.stays)]

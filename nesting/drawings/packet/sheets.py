"""Pages of the saw for sheets: each way to cut a sheet, drawn, and the settings of the tools one after the other.

The settings of a good run over all its sheets: a tool is set once, and everything that wants that setting is cut.
"""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Final, Literal

from nesting.base.counts import plural
from nesting.crates.bevels import bevels_in
from nesting.cutting.sawing.model import TITLES, SawCut, SawPlan, Setting
from nesting.cutting.sawing.plan import plan_in
from nesting.cutting.sheets import Layout, SheetLayout
from nesting.cutting.stock import Source
from nesting.drawings.cut_list import fence, outcome
from nesting.drawings.packet.page import LEADING, Column, Flow
from nesting.drawings.packet.phrases import lines, said
from nesting.drawings.packet.printing import Printing
from nesting.drawings.packet.side_by_side import Band, Row, column_table
from nesting.drawings.scene import POINT, Inset
from nesting.drawings.sheet import SheetDrawing, fitting_scale, sheet_drawing
from nesting.drawings.typeface import LEAST, printable, wrapped

FROM: Final[Mapping[Source, str]] = {"buy": "", "rack": ", from the rack", "open": ", paid already"}
"""Where stock comes from, as drawings say it."""

_FEW: Final = 6
"""Letters that stand for parts, up to which a layout may be drawn small."""
_WIDE: Final = 0.66
_HIGHEST: Final = 230.0
"""Height of a drawing at the most, in points."""
_GUTTER: Final = 18.0
_LINE: Final = LEAST * LEADING
_COLUMNS: Final = (
    Column("cut", 0.92, "end", bold=True),
    Column("panel, edge", 1.1),
    Column("comes off", 1.95, bold=True),
    Column("stays", 1.1),
)
_SET: Final = {"track": "guide", "table": "fence", "chop": "stop", "knife": "rule", "band": "fence", "none": "cut"}
"""What is set on each tool."""
_OTHER: Final = ("chop", "knife", "band", "none")
"""Tools of which the caution of the saw says nothing."""


def plans(printing: Printing) -> Iterator[tuple[Layout, SawPlan]]:
    """Yield each good's layouts with the order of their cuts."""
    for layout in printing.build.layouts:
        yield layout, plan_in(printing.build.shop, layout)


@dataclass(frozen=True)
class DrawnGood:
    """A good with its plan, its bevel rips, and its layouts as they stand on the page."""

    layout: Layout
    plan: SawPlan
    bevels: tuple[Setting, ...]
    shown: tuple["_Shown", ...]


def drawn_goods(flow: Flow, printing: Printing) -> tuple[DrawnGood, ...]:
    """Draw every layout of every good for a flow's width, once for all trials of its pages."""
    build = printing.build
    return tuple(
        DrawnGood(
            layout,
            plan,
            bevels_in(build.shop, build.crates, layout),
            tuple(_shown(flow, printing, layout, plan, index) for index in range(len(layout.sheets))),
        )
        for layout, plan in plans(printing)
    )


def write_sheets(flow: Flow, printing: Printing, goods: Sequence[DrawnGood]) -> None:
    """Write how to read the pages, then good by good its layouts and its settings."""
    if not goods:
        return
    for text in lines("sheets", "reading"):
        flow.paragraph(text, size=8.5, after=1)
    tools = {setting.tool for good in goods for setting in (*good.plan.settings, *good.bevels)}
    told = [said("caution", "saw"), *(said("tool", tool) for tool in _OTHER if tool in tools), said("caution", "sheet")]
    flow.caution(" ".join(told))
    for good in goods:
        _write_good(flow, printing, good)


def _write_good(flow: Flow, printing: Printing, drawn: DrawnGood) -> None:
    """Write one good: its sheets drawn, then its settings in the order of the work."""
    layout, plan = drawn.layout, drawn.plan
    count = sum(each.repeat for each in layout.sheets)
    cuts = sum(len(setting.cuts) for setting in plan.settings)
    title = printing.build.shop.good(layout.good).title
    flow.heading(f"{title}: {plural(count, 'sheet')}", keep=drawn.shown[0].height + 40)
    kerf = f"Kerf {fence(plan.kerf, printing.units)}" if plan.kerf else "No kerf"
    if cuts:
        passes = plural(sum(setting.passes for setting in plan.settings), "pass", "passes")
        made = f"{plural(cuts, 'cut')} at {plural(len(plan.settings), 'setting')}, {passes} with all sheets alike"
        flow.paragraph(f"{kerf}. {made}. All figures in {printing.unit}; length along the sheet first.", size=8.5)
    _layouts(flow, drawn.shown)
    if not plan.settings:
        flow.paragraph("No cut: sheets are used whole, or bought whole because the price break saves more.")
        return
    column_table(flow, 2, _COLUMNS, list(setting_rows(plan, printing)))
    if drawn.bevels:
        flow.heading("Then, at the table saw: bevels", keep=60)
        for setting in drawn.bevels:
            how = setting_how(setting)
            at = fence(setting.at, printing.units)
            told = ", ".join((f"{how[0]}: {how[1]} at {at}", *how[2:], plural(setting.passes, "pass", "passes")))
            flow.paragraph(f"{told}. {setting.reason}".strip(), size=8.5, bold=True, after=1)
            blanks = Counter[str]()
            for cut in setting.cuts:
                blanks[_halves(cut)] += cut.repeat
            flow.paragraph("; ".join(f"{text}, {count}×" for text, count in blanks.items()), size=8.5)


def _halves(cut: SawCut) -> str:
    """Say what a blank becomes."""
    off, stays = outcome(cut.off), outcome(cut.stays)
    return f"both halves of {off}" if off == stays else f"{off} and {stays} from one blank"


Width = Literal["half", "wide", "whole"]
"""A layout takes half the page's width, two beside each other; or is drawn at the left, what is told of it beside it;
or takes the whole width, what is told of it above and below."""


@dataclass(frozen=True)
class _Shown:
    """A layout as it stands on the page: its drawing, and what is told of it."""

    drawing: SheetDrawing
    told: tuple[str, ...]
    size: Width

    @property
    def width(self) -> float:
        return self.drawing.scene.paper[0] / POINT

    @property
    def height(self) -> float:
        return self.drawing.scene.paper[1] / POINT


def _layouts(flow: Flow, shown: Sequence[_Shown]) -> None:
    """Set the layouts of a good, the small ones two beside each other."""
    waiting: list[_Shown] = []
    for each in shown:
        if each.size == "half":
            waiting.append(each)
        if waiting and (each.size != "half" or len(waiting) == 2):
            _pair(flow, waiting)
            waiting = []
        if each.size == "whole":
            _across(flow, each)
        elif each.size == "wide":
            _beside(flow, each)
    if waiting:
        _pair(flow, waiting)


# 5 arguments: the page, what is printed, and which layout of which good by which plan
def _shown(flow: Flow, printing: Printing, layout: Layout, plan: SawPlan, index: int) -> _Shown:
    """Draw one layout as small as all its parts can still be told apart, with its cuts numbered as in the plan."""
    each = layout.sheets[index]
    good = printing.build.shop.good(layout.good)
    cuts = plan.of_layout(index)
    rooms: tuple[tuple[Width, float], ...] = (
        ("half", (flow.width - _GUTTER) / 2),
        ("wide", flow.width * _WIDE),
        ("whole", flow.width),
    )
    for size, width in rooms:
        scale = fitting_scale(each.sheet.length, each.sheet.width, width * POINT, _HIGHEST * POINT)
        drawing = sheet_drawing(each, cuts, layout.kerf, scale=scale, units=printing.units, grain=bool(good.grain))
        if not drawing.unnamed and (size != "half" or len(drawing.key) <= _FEW):
            break
    return _Shown(drawing, tuple(_told(printing, each, drawing, scale, index)), size)


# 5 arguments: what is told of a layout comes from each of them
def _told(printing: Printing, each: SheetLayout, drawing: SheetDrawing, scale: float, index: int) -> Iterator[str]:
    """Yield what stands with a drawing: how often it is cut, from what, and what found no room on it."""
    times = "" if each.repeat == 1 else f", {each.repeat} sheets alike"
    yield f"Layout {index + 1}{times}{FROM[each.sheet.source]}"
    size = printing.size(each.sheet.length, each.sheet.width, mark=True)
    yield f"{each.sheet.name}, {size}. Drawn 1:{scale:g}."
    yield from (f"{letter}: {name} {size}, {count}×" for letter, name, size, count in drawing.key)
    without = Counter(drawing.unnamed)
    yield from (f"Too narrow to write on: {name} {size}, {count}×" for (name, size), count in without.items())
    if drawing.unnumbered:
        yield f"{plural(len(drawing.unnumbered), 'number')} found no room here: see the list, by panel."


def _wrapped(told: Sequence[str], room: float) -> list[str]:
    return [line for text in told for line in wrapped(printable(text), LEAST, room, bold=text is told[0])]


def _write(flow: Flow, texts: Sequence[str], x: float, y: float, room: float) -> float:
    """Write what is told of a layout from a height down, its first line heavy; return where it ends."""
    for index, text in enumerate(texts):
        for line in wrapped(printable(text), LEAST, room, bold=index == 0):
            y -= _LINE
            flow.put(x, y + 2.5, line, size=LEAST, bold=index == 0)
    return y


def _across(flow: Flow, shown: _Shown) -> None:
    """Set a drawing over the whole width, what is told of it above it, its letters below."""
    first, size, *more = shown.told
    below = wrapped(printable("; ".join(more)), LEAST, flow.width) if more else []
    flow.need(shown.height + _LINE * (len(below) + 1) + 14)
    _write(flow, (f"{first}. {size}",), flow.left, flow.y, flow.width)
    flow.y -= _LINE + 3
    flow.drawing(shown.drawing.scene, after=2)
    for line in below:
        flow.y -= _LINE
        flow.put(flow.left, flow.y + 2.5, line, size=LEAST)
    flow.space(10)


def _beside(flow: Flow, shown: _Shown) -> None:
    """Set a drawing at the left, and what is told of it at its right."""
    x = flow.left + shown.width + 10
    room = flow.left + flow.width - x
    high = max(shown.height, len(_wrapped(shown.told, room)) * _LINE)
    flow.need(high + 10)
    flow.page.insets.append(Inset(shown.drawing.scene, (flow.left * POINT, (flow.y - shown.height) * POINT)))
    _write(flow, shown.told, x, flow.y, room)
    flow.y -= high
    flow.space(10)


def _pair(flow: Flow, pair: Sequence[_Shown]) -> None:
    """Set one or two small drawings beside each other, what is told of each under it."""
    room = (flow.width - _GUTTER) / 2
    high = max(shown.height + 2 + len(_wrapped(shown.told, room)) * _LINE for shown in pair)
    flow.need(high + 10)
    for index, shown in enumerate(pair):
        x = flow.left + index * (room + _GUTTER)
        flow.page.insets.append(Inset(shown.drawing.scene, (x * POINT, (flow.y - shown.height) * POINT)))
        _write(flow, shown.told, x, flow.y - shown.height - 2, room)
    flow.y -= high
    flow.space(10)


def setting_rows(plan: SawPlan, printing: Printing) -> Iterator[Row]:
    """Yield the rows of a plan: a band for each setting, below it what is cut at it.

    Settings of one row each, for which all else is the same, share a band: each row says where the tool is set. Whether
    a cut is a rip or a crosscut, its edge tells.
    """
    made = [(setting, list(_rows(setting))) for setting in plan.settings]
    for (how, single), run in groupby(made, key=lambda each: (setting_how(each[0]), len(each[1]) == 1)):
        settings = list(run)
        if single and len(settings) > 1 and not any(setting.reason for setting, _ in settings):
            yield Band(", ".join((f"{how[0]}: {how[1]} as told", *how[2:])))
            for setting, ((number, panel, off, stays),) in settings:
                yield number, panel, f"at {fence(setting.at, printing.units)}: {off}", stays
            continue
        for setting, rows in settings:
            at = fence(setting.at, printing.units)
            more = ". ".join(filter(None, (setting_parts(setting), setting.reason)))
            yield Band(", ".join((f"{how[0]}: {how[1]} at {at}", *how[2:])), more)
            yield from rows


def _rows(setting: Setting) -> Iterator[tuple[str, str, str, str]]:
    """Yield the rows of one setting; cuts that go on alike, one after the other, share a row."""
    group: list[SawCut] = []
    for cut in setting.cuts:
        if group and not (_goes_on(group, cut) or _repeats(group, cut)):
            yield _row(group)
            group = []
        group.append(cut)
    yield _row(group)


def setting_how(setting: Setting) -> tuple[str, ...]:
    """Say which tool is set, what is set on it, and how it goes through; all but the figure.

    Passes are told where pieces are stacked; else each cut is one pass.
    """
    lost = setting.action == "trim" and setting.tool != "table"
    tool = TITLES[setting.tool].capitalize()
    told = [f"{tool}, trim" if setting.action == "trim" else tool, "takes off" if lost else _SET[setting.tool]]
    if setting.bevel:
        told.append(f"blade at {setting.bevel} degrees")
    if setting.stacked > 1:
        told += [f"stacks of {setting.stacked}", plural(setting.passes, "pass", "passes")]
    if setting.with_block:
        told.append("push block")
    if any(cut.clamped for cut in setting.cuts):
        told.append("clamp")
    return tuple(told)


def setting_parts(setting: Setting) -> str:
    """Say which parts come off at a setting, over all sheets; empty where that is one row, which says so itself."""
    counts = Counter[str]()
    for cut in setting.cuts:
        if cut.off.kind == "part":
            counts[cut.off.name] += cut.repeat
    rows = len({cut.panel for cut in setting.cuts})
    return ", ".join(f"{name} {count}×" for name, count in counts.items()) if rows > 1 else ""


def _goes_on(group: list[SawCut], cut: SawCut) -> bool:
    """Whether a cut takes the next equal piece off the one panel of a group."""
    last = group[-1]
    return (
        all((each.panel, each.edge) == (cut.panel, cut.edge) for each in group)
        and last.number + 1 == cut.number
        and last.stays.kind == "panel"
    )


def _repeats(group: list[SawCut], cut: SawCut) -> bool:
    """Whether a cut does to another panel what each cut of a group did to its own, and leaves nothing to cut."""
    last = group[-1]
    return (
        len({cut.panel, *(each.panel for each in group)}) == len(group) + 1
        and (last.number + 1, last.edge, last.repeat) == (cut.number, cut.edge, cut.repeat)
        and cut.off.kind == "part"
        and cut.stays.kind != "panel"
        and (outcome(last.off), outcome(last.stays)) == (outcome(cut.off), outcome(cut.stays))
    )


def _row(group: list[SawCut]) -> tuple[str, str, str, str]:
    first, last = group[0], group[-1]
    number = str(first.number) if first is last else f"{first.number}–{last.number}"
    names = Counter(outcome(cut.off) for cut in group)
    off = ", ".join(name if count == 1 else f"{name} {count}×" for name, count in names.items())
    if first is not last and all(cut.off.kind == "panel" for cut in group):
        off = f"panels {', '.join(cut.off.name for cut in group)}"
    panels = ", ".join(dict.fromkeys(cut.panel for cut in group))
    return number, f"{panels} {first.edge}", off, outcome(last.stays)

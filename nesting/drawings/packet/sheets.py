"""Pages of the saw for sheets: each way to cut a sheet, drawn, and the settings of the tools one after the other.

The settings of a good run over all its sheets: a tool is set once, and everything that wants that setting is cut.
"""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Final, Literal

from nesting.base.counts import plural
from nesting.base.measure import UnitSystem
from nesting.cutting.sawing.blanks import StripCut, strips_told
from nesting.cutting.sawing.model import TITLES, SawCut, SawPlan, Setting
from nesting.cutting.sawing.plan import plan_in
from nesting.cutting.sheets import Layout, SheetLayout
from nesting.cutting.stock import Source
from nesting.drawings.cut_list import fence, outcome
from nesting.drawings.dimensions import span
from nesting.drawings.packet.page import LEADING, Column, Flow
from nesting.drawings.packet.phrases import lines, said
from nesting.drawings.packet.printing import Printing
from nesting.drawings.packet.side_by_side import Band, Block, ColumnWriter, Row
from nesting.drawings.packet.works import sheet_works
from nesting.drawings.scene import POINT, Inset
from nesting.drawings.sheet import SheetDrawing, fitting_scale, sheet_drawing
from nesting.drawings.typeface import LEAST, printable, wrapped
from nesting.shop.goods import Good

FROM: Final[Mapping[Source, str]] = {"buy": "", "rack": ", from the rack", "open": ", paid already"}
"""Where stock comes from, as drawings say it."""

_FEW: Final = 8
"""Letters that stand for parts, up to which a layout may be drawn small."""
_WIDE: Final = 0.66
_HIGHEST: Final = 230.0
"""Height of a drawing at the most, in points."""
_GUTTER: Final = 18.0
_UNDER: Final = 10.0
"""Free height below a drawing."""
_BEGUN: Final = 110.0
"""Height of the page that a good needs to begin on it."""
_LINE: Final = LEAST * LEADING
_COLUMNS: Final = (
    Column("cut", 0.92, "end", bold=True),
    Column("panel, edge", 1.1),
    Column("comes off", 1.95, bold=True),
    Column("stays", 1.1),
)
_SET: Final = {"track": "guide", "table": "fence", "chop": "stop", "knife": "rule", "band": "fence", "none": "cut"}
"""What is set on each tool."""
_FENCED: Final = ("track", "table", "chop")
"""Tools of wood: a strip spares small parts the fence; soft goods have none."""
_SET_EXACTLY: Final = ("table", "chop")
"""Tools on which the same figure set again deserves a word: what it cuts was still inside a panel before."""
_OTHER: Final = ("chop", "knife", "band", "none")
"""Tools of which the caution of the saw says nothing."""


def plans(printing: Printing) -> Iterator[tuple[Layout, SawPlan]]:
    """Yield each good's layouts with the order of their cuts."""
    for layout in printing.build.layouts:
        yield layout, plan_in(printing.build.shop, layout)


@dataclass(frozen=True)
class DrawnGood:
    """A good with its plan, its bevel rips, its strips of small parts, and its layouts as they stand on the page."""

    layout: Layout
    plan: SawPlan
    bevels: tuple[Setting, ...]
    strips: tuple[StripCut, ...]
    shown: tuple["_Shown", ...]


def drawn_goods(flow: Flow, printing: Printing) -> tuple[DrawnGood, ...]:
    """Draw every layout of every good for a flow's width, once for all trials of its pages."""
    return tuple(
        DrawnGood(
            each.layout,
            each.plan,
            each.bevels,
            each.strips,
            tuple(
                _shown(flow, printing.cut(each.layout.good), each.layout, each.plan, index)
                for index in range(len(each.layout.sheets))
            ),
        )
        for each in sheet_works(printing.build)
    )


def write_sheets(flow: Flow, printing: Printing, goods: Sequence[DrawnGood]) -> None:
    """Write how to read the pages, then good by good its layouts and its settings."""
    if not goods:
        return
    told = list(lines("sheets", "reading"))
    if any(good.strips for good in goods):
        told.append(said("sheets", "strips").format(printing.length(printing.build.shop.tools.along_fence, mark=True)))
    for text in told:
        flow.paragraph(text, size=8, after=1)
    tools = {setting.tool for good in goods for setting in (*good.plan.settings, *good.bevels)}
    flow.caution(said("caution", "saw", shop=printing.shop_units))
    others = (said("tool", tool, shop=printing.shop_units) for tool in _OTHER if tool in tools)
    for text in (*others, said("caution", "sheet")):
        flow.paragraph(text, size=8, bold=True, after=1)
    for good in goods:
        _write_good(flow, printing.cut(good.layout.good), good)


def _write_good(flow: Flow, printing: Printing, drawn: DrawnGood) -> None:
    """Write one good: its sheets drawn, then its settings in the order of the work."""
    layout, plan = drawn.layout, drawn.plan
    count = sum(each.repeat for each in layout.sheets)
    cuts = sum(len(setting.cuts) for setting in plan.settings)
    title = printing.build.shop.good(layout.good).title
    flow.heading(f"{title}: {plural(count, 'sheet')}", keep=_BEGUN)
    kerf = f"Kerf {fence(plan.kerf, printing.units)}" if plan.kerf else "No kerf"
    if cuts:
        passes = plural(sum(setting.passes for setting in plan.settings), "pass", "passes")
        settings = plural(len(plan.settings), "setting")
        made = f"{plural(cuts, 'cut')} at {settings}, {passes}: sheets alike and stacks counted"
        flow.paragraph(f"{kerf}. {made}. All figures in {printing.unit}; length along the sheet first.", size=8.5)
    _drawn_and_listed(flow, printing, drawn)
    if not plan.settings:
        flow.paragraph("No cut: sheets are used whole, or bought whole because the price break saves more.")
        return
    if drawn.bevels:
        _bevelled(flow, printing, drawn.bevels)


def _drawn_and_listed(flow: Flow, printing: Printing, drawn: DrawnGood) -> None:
    """Write a good's drawings and its settings: rows fill what a drawing leaves that goes on the next page."""
    rows = list(setting_rows(drawn.plan, printing, drawn.strips))
    halves = [_in_column(flow, each) for each in drawn.shown if each.size == "half"]
    writer = ColumnWriter(flow, 2, _COLUMNS, rows, halves)
    for each in drawn.shown:
        if each.size != "half":
            block = _across(flow, each) if each.size == "whole" else _beside(flow, each)
            if flow.room < block.height:
                if writer.waits:
                    writer.page()  # no room is left white above a drawing that goes on the next page
                flow.advance()
            block.write(flow)
            flow.y -= block.height
    while writer.waits:
        if not writer.page():
            flow.new_page()
    flow.space(8)


def _bevelled(flow: Flow, printing: Printing, bevels: Sequence[Setting]) -> None:
    """Write the rips at a tilted blade."""
    flow.heading("Then, at the table saw: bevels", keep=60)
    for setting in bevels:
        how = setting_how(setting)
        at = fence(setting.at, printing.units)
        told = ", ".join(
            (
                f"{how[0]}: {how[1]} at {at} on the table, the short face",
                *how[2:],
                plural(setting.passes, "pass", "passes"),
            )
        )
        flow.paragraph(f"{told}. {setting.reason}".strip(), size=8.5, bold=True, after=1, mark="☐", indent=13)
        blanks = Counter[str]()
        for cut in setting.cuts:
            blanks[_halves(cut)] += cut.repeat
        flow.paragraph("; ".join(f"{text}, {count}×" for text, count in blanks.items()), size=8.5, after=1)
    flow.paragraph(said("sheets", "halves"), size=8.5)


def _halves(cut: SawCut) -> str:
    """Say what a blank becomes."""
    off, stays = outcome(cut.off), outcome(cut.stays)
    return f"both halves of {off}" if off == stays else f"{off} and {stays} from one blank"


Width = Literal["half", "wide", "whole"]
"""A layout takes one of two columns, the list going on under and beside it; or is drawn at the left, what is told of it
beside it; or takes the whole width, what is told of it above and below."""


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


def _small(drawing: SheetDrawing, good: Good) -> bool:
    """Whether a drawing of half the width can be cut by; foam is marked part by part, its order matters less."""
    few = _FEW if good.grain else 2 * _FEW
    return len(drawing.key) <= few


# 5 arguments: the page, what is printed, and which layout of which good by which plan
def _shown(flow: Flow, printing: Printing, layout: Layout, plan: SawPlan, index: int) -> _Shown:
    """Draw one layout as small as all its parts can still be told apart, with its cuts numbered as in the plan."""
    each = layout.sheets[index]
    good = printing.build.shop.good(layout.good)
    cuts = plan.of_layout(index)

    def drawn(width: float) -> tuple[float, SheetDrawing]:
        scale = fitting_scale(each.sheet.length, each.sheet.width, width * POINT, _HIGHEST * POINT)
        return scale, sheet_drawing(each, cuts, layout.kerf, scale=scale, units=printing.units, grain=bool(good.grain))

    scale, drawing = drawn(flow.width)
    size: Width = "whole"
    least = len(drawing.unnamed)  # parts too slim for a letter are told of, however large they are drawn
    smaller: tuple[tuple[Width, float], ...] = (("half", (flow.width - _GUTTER) / 2), ("wide", flow.width * _WIDE))
    for name, width in smaller:
        tried = drawn(width)
        if len(tried[1].unnamed) <= least and (name != "half" or _small(tried[1], good)):
            size, (scale, drawing) = name, tried
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
        yield f"No room here for {span(drawing.unnumbered)}: see the list, by panel."


def _lines(told: Sequence[str], room: float) -> list[tuple[str, bool]]:
    """Break what is told of a layout into lines, the first text heavy."""
    return [
        (line, index == 0)
        for index, text in enumerate(told)
        for line in wrapped(printable(text), LEAST, room, bold=index == 0)
    ]


# 5 arguments: what is written, and where
def _write(flow: Flow, written: Sequence[tuple[str, bool]], x: float, y: float) -> None:
    """Write lines from a height down."""
    for line, bold in written:
        y -= _LINE
        flow.put(x, y + 2.5, line, size=LEAST, bold=bold)


def _set(flow: Flow, shown: _Shown, y: float) -> None:
    """Set a drawing in at the left, its upper edge at a height."""
    flow.page.insets.append(Inset(shown.drawing.scene, (flow.left * POINT, (y - shown.height) * POINT)))


def _across(flow: Flow, shown: _Shown) -> Block:
    """Return a drawing over the whole width, what is told of it above it, its letters below."""
    first, size, *more = shown.told
    above = _lines((f"{first}. {size}",), flow.width)
    below = [(line, False) for line in wrapped(printable("; ".join(more)), LEAST, flow.width)] if more else []
    start = len(above) * _LINE + 3

    def write(on: Flow) -> None:
        _write(on, above, on.left, on.y)
        _set(on, shown, on.y - start)
        _write(on, below, on.left, on.y - start - shown.height - 2)

    return Block(start + shown.height + 2 + len(below) * _LINE + _UNDER, write)


def _beside(flow: Flow, shown: _Shown) -> Block:
    """Return a drawing at the left, and what is told of it at its right."""
    told = _lines(shown.told, flow.width - shown.width - 10)

    def write(on: Flow) -> None:
        _set(on, shown, on.y)
        _write(on, told, on.left + shown.width + 10, on.y)

    return Block(max(shown.height, len(told) * _LINE) + _UNDER, write)


def _in_column(flow: Flow, shown: _Shown) -> Block:
    """Return a drawing of a column's width, what is told of it under it, its letters one after the other."""
    first, size, *more = shown.told
    told = _lines((f"{first}. {size}", *(["; ".join(more)] if more else [])), (flow.width - _GUTTER) / 2)

    def write(on: Flow) -> None:
        _set(on, shown, on.y)
        _write(on, told, on.left, on.y - shown.height - 2)

    return Block(shown.height + 2 + len(told) * _LINE + _UNDER, write)


def setting_rows(plan: SawPlan, printing: Printing, strips: Sequence[StripCut] = ()) -> Iterator[Row]:
    """Yield the rows of a plan: a band for each setting, below it what is cut at it.

    Where small parts come off one of ``strips``, the first band of each says so.

    Settings of one row each, for which all else is the same, share a band: each row says where the tool is set. Whether
    a cut is a rip or a crosscut, its edge tells. A fence or stop that stood there before says ``again``.
    """
    told: list[StripCut] = []
    why = [strips_at(setting, strips, printing.units, told) for setting in plan.settings]
    made = [
        (setting, list(map(_row, cuts_alike(setting))), more) for setting, more in zip(plan.settings, why, strict=True)
    ]
    before: set[tuple[str, int]] = set()
    for (how, single), run in groupby(
        made, key=lambda each: (setting_how(each[0]), len(each[1]) == 1 and not (each[0].reason or each[2]))
    ):
        settings = list(run)
        if single and len(settings) > 1:
            yield Band(", ".join((f"{how[0]}: {how[1]} as told", *how[2:])), tick=True)
            for setting, ((number, panel, off, stays),), _ in settings:
                yield number, panel, f"at {fence(setting.at, printing.units)}: {off}", stays
            continue
        for setting, rows, strip in settings:
            at = fence(setting.at, printing.units)
            again = ["again"] if (setting.tool, setting.at) in before and setting.tool in _SET_EXACTLY else []
            before.add((setting.tool, setting.at))
            more = ". ".join(filter(None, (setting_parts(setting), setting.reason, strip)))
            yield Band(", ".join((f"{how[0]}: {how[1]} at {at}", *how[2:], *again)), more, tick=True)
            yield from rows


def strips_at(setting: Setting, strips: Sequence[StripCut], units: UnitSystem, told: list[StripCut]) -> str:
    """Say which small parts that come off at a setting are cut off strips; what was ``told`` is not told again."""
    if setting.tool not in _FENCED:
        return ""
    new: list[StripCut] = []
    for cut in setting.cuts:
        x, y = (cut.line[0] + cut.line[2]) / 2, (cut.line[1] + cut.line[3]) / 2
        for strip in strips:
            inside = strip.x <= x <= strip.x + strip.dx and strip.y <= y <= strip.y + strip.dy
            if strip.layout == cut.layout and cut.off.name in strip.parts and inside and strip not in (*told, *new):
                new.append(strip)
    told += new
    return strips_told(new, units) if new else ""


def cuts_alike(setting: Setting) -> Iterator[list[SawCut]]:
    """Yield the cuts of one setting, row by row: those that go on alike, one after the other, share a row."""
    group: list[SawCut] = []
    for cut in setting.cuts:
        if group and not (_goes_on(group, cut) or _repeats(group, cut)):
            yield group
            group = []
        group.append(cut)
    yield group


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

"""The Sheets page: each way to cut a sheet, drawn to scale, two beside each other; and the Cuts page: cuts in order."""

from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import Final

from nesting.base.counts import plural
from nesting.base.measure import UnitSystem, format_length
from nesting.cutting.sawing.model import SawPlan
from nesting.cutting.sawing.plan import plan_in
from nesting.cutting.sheets import Layout
from nesting.cutting.sticks import StickPlan
from nesting.drawings.packet.phrases import lines, said
from nesting.drawings.packet.printing import Printing
from nesting.drawings.packet.sheets import setting_rows
from nesting.drawings.packet.side_by_side import Band
from nesting.drawings.scene import POINT
from nesting.drawings.sheet import SheetDrawing, sheet_drawing
from pricing.output.workbook.binder import FIXED_AND_LIVE, Binder
from pricing.output.workbook.page import ROW, Formula, Page, clean
from pricing.output.workbook.picture import picture
from pricing.output.workbook.style import WOOD, text_lines
from pricing.quoting import fronts
from pricing.quoting.plans import proof

_SCALE: Final = 0.82
_HALF: Final = (46, 54, 58, 90, 60, 32)
"""Columns of one drawing; two stand beside each other."""
_WIDTHS: Final = (*_HALF, *_HALF)
_WIDEST: Final = 246.0
_HIGHEST: Final = 126.0
_NOTE: Final = 7
"""Size of the letters of what did not find room on a drawing."""
_KEPT: Final = 16.0
"""Of the room that a page leaves free at its end, what a row of drawings may use."""
_STICKS: Final = 90.0
"""Room, in points, without which a table of sticks begins on new paper."""
_DRAWN: Final = 100
"""Layouts of a good that are drawn at the most."""
_ALL_DRAWN: Final = 150
"""Layouts of all goods that are drawn at the most; a workbook of a thousand pictures opens nowhere."""
_CUTS: Final = (90, 44, 54, 90, 282, 90, 290, 420)
_ON_PAPER: Final = 7
_LINE: Final = 11.0
_FINE: Final = 8


def fill(binder: Binder) -> None:
    """Write the page: what is cut, how to read it, then each layout."""
    # A page that is fitted to the paper loses its own breaks.
    page = binder.page("Sheets", _WIDTHS, fit=False, scale=_SCALE)
    page.title(
        "Sheets",
        "Every way to cut a sheet; the cuts in order stand on the page Cuts, also those whose number has no room "
        "here, and larger drawings in the shop packet. "
        f"{FIXED_AND_LIVE}",
    )
    _overview(binder, page)
    _weighed(binder, page)
    page.section("How to read the drawings")
    for text in lines("sheets", "reading"):
        page.paragraph(text, "quiet wrap", font_size=_FINE)
    for key in ("saw", "sheet"):
        page.paragraph(said("caution", key, shop=binder.quote.build.shop.units), "alarm", font_size=_FINE)
    page.skip()
    for index, plan in enumerate(binder.quote.build.stick_plans):
        if index:
            page.skip(10)
        page.keep(_STICKS)
        _sticks(binder, page, plan)
    page.skip()
    printing = Printing(binder.quote.build, units=binder.quote.build.units)
    _drawings(page, printing)
    page.finish(freeze=(1, 0), foot=binder.foot)
    _cuts(binder, printing)


def _overview(binder: Binder, page: Page) -> None:
    """Write how many sheets and sticks of each good are cut, how well they are used, and whether that is proven."""
    build, currency = binder.quote.build, binder.quote.currency
    page.heads("Sheets", "Layouts", "Used", "Good", "Parts", "What, and the plan", *[""] * 6, right=(0, 1, 2, 4))
    first = page.row
    for layout in build.layouts:
        good = build.shop.good(layout.good)
        page.put(0, layout.sheet_count, "count", bold=True)
        page.put(1, len(layout.sheets), "count")
        page.put(2, layout.use, "part", num_format="0%")
        page.put(3, layout.good)
        _parts(binder, page, layout.good)
        page.put(5, f"{good.title}: {proof(layout, currency)}", "quiet wrap", span=7, font_size=_FINE)
        page.next()
    if build.layouts:
        count = build.sheet_count
        text = f"SUM({page.cell(0, first)}:{page.cell(0, page.row - 1)})"
        page.put(0, Formula(text, count), "count", top=1, bold=True)
        page.put(1, "sheets in all, rack included", "quiet", span=11, top=1)
        page.next()
    for plan in build.stick_plans:
        page.put(0, plan.count, "count", bold=True)
        page.put(1, len(plan.sticks), "count")
        page.put(3, plan.good, "wrap")
        _parts(binder, page, plan.good)
        told = f"{build.shop.good(plan.good).title} (sticks): {proof(plan, currency)}"
        page.put(5, told, "quiet wrap", span=7, font_size=_FINE)
        page.next()
    page.skip()


def _parts(binder: Binder, page: Page, good: str) -> None:
    """Write how many parts of a good the cut list has, counted there by the good's name."""
    names, counts, values = binder.parts
    cell = page.cell(3)
    page.put(4, Formula(f"SUMPRODUCT(EXACT({names},{cell})*{counts})", values.get(good, 0)), "count")


def _weighed(binder: Binder, page: Page) -> None:
    """Write what was weighed of goods and of work at the saw, good by good, and which of it is cut."""
    quote = binder.quote
    if not any(layout.front for layout in quote.build.layouts):
        return
    page.section("Goods and work at the saw, weighed")
    page.paragraph(
        "What no other layout that was found beats in both. The least sum is cut; proofs are about goods alone.",
        "quiet wrap",
    )
    page.heads("Good", "", "Goods", "Work", "Minutes", "", "", "Offcuts kept", "Sum", "", "", "", right=(2, 3, 4, 7, 8))
    for layout in quote.build.layouts:
        for point in fronts.points(quote, layout):
            page.put(0, layout.good, "wrap", span=2)
            page.put(2, point.goods, "money", bold=point.chosen)
            page.put(3, point.work, "money")
            page.put(4, None if point.minutes is None else int(point.minutes), "count")
            page.put(7, point.kept, "money")
            page.put(8, point.sum, "money", bold=point.chosen)
            page.put(9, "cut so" if point.chosen else "", "wrap", span=3)
            page.next()
        if line := fronts.told(quote, layout):
            page.put(2, line, "quiet wrap", span=10)
            page.next()
    page.end_table()
    page.skip()


def _drawings(page: Page, printing: Printing) -> None:
    """Write every way to cut a sheet, two beside each other."""
    drawn: list[_Drawn] = []
    layouts = printing.build.layouts
    for layout, most in zip(layouts, how_many_drawn([len(layout.sheets) for layout in layouts]), strict=True):
        plan = plan_in(printing.build.shop, layout)
        drawn += (_drawn(printing, layout, plan, index) for index in range(most))
        if len(layout.sheets) > most:
            good = printing.build.shop.good(layout.good).title
            page.paragraph(
                f"{good}: the first {most} of {len(layout.sheets)} layouts are drawn here; the cuts of all stand on "
                "the page Cuts, their drawings in the shop packet.",
                "wrap",
            )
    for at in range(0, len(drawn), 2):
        pair = drawn[at : at + 2]
        high = max(each.drawing.scene.paper[1] / POINT for each in pair) + 6
        page.keep(high + 2 * ROW + max(_lines(each.notes) for each in pair) - _KEPT)
        for half, each in enumerate(pair):
            page.put(half * len(_HALF), each.title, "strong", span=len(_HALF), font_color=WOOD)
        page.next()
        for half, each in enumerate(pair):
            page.put(half * len(_HALF), each.told, span=len(_HALF), indent=0)
        page.next()
        for half, each in enumerate(pair):
            options = {
                "image_data": BytesIO(picture(each.drawing.scene)), "x_offset": 2, "y_offset": 2, "object_position": 2,
                "description": clean(f"{each.title}: {each.told}")[:250],
            }  # fmt: skip
            page.sheet.insert_image(page.row, half * len(_HALF), f"{each.title}.png", options)
        page.next(high)
        for half, each in enumerate(pair):
            page.put(
                half * len(_HALF), each.notes, "quiet wrap", span=len(_HALF), font_size=_NOTE, valign="top", indent=0
            )
        page.next(max(_lines(each.notes) for each in pair) + 4)


def how_many_drawn(counts: Sequence[int]) -> list[int]:
    """Return how many layouts of each good are drawn: all of those that have few, of the others alike."""
    left, drawn = _ALL_DRAWN, dict[int, int]()
    for done, index in enumerate(sorted(range(len(counts)), key=counts.__getitem__)):
        drawn[index] = min(counts[index], _DRAWN, max(1, left // (len(counts) - done)))
        left -= drawn[index]
    return [drawn[index] for index in range(len(counts))]


def _lines(text: str) -> float:
    """Return the height that what stands below a drawing takes, in points."""
    return text_lines(text, sum(_HALF), _NOTE) * _NOTE * 1.22 if text else 0.0


@dataclass(frozen=True, slots=True)
class _Drawn:
    """One way to cut a sheet: its drawing, what stands above it, and below."""

    drawing: SheetDrawing
    title: str
    told: str
    notes: str


def _drawn(printing: Printing, layout: Layout, plan: SawPlan, index: int) -> _Drawn:
    """Draw one way to cut a sheet."""
    each, shop, printing = layout.sheets[index], printing.build.shop, printing.cut(layout.good)
    steps = plan.of_layout(index)
    times = "" if each.repeat == 1 else f", {each.repeat} so"
    rack = {"buy": "", "rack": " (from the rack)", "open": " (paid already)"}[each.sheet.source]
    size = printing.size(each.sheet.length, each.sheet.width, mark=True)
    cuts = plural(len(steps), "cut") if steps else "no cut"
    good = shop.good(layout.good)
    title = f"{good.title}, {index + 1} of {len(layout.sheets)}"
    told = f"{each.sheet.name}{rack}, {size}{times}; {cuts}; kerf {_kerf(layout.kerf, printing.units)}"
    scale = max(each.sheet.length / POINT / _WIDEST, each.sheet.width / POINT / _HIGHEST)
    drawing = sheet_drawing(each, steps, layout.kerf, scale=scale, units=printing.units, grain=good.grain)
    return _Drawn(drawing, title, told, _notes(drawing))


def _cuts(binder: Binder, printing: Printing) -> None:
    """Write the cuts of all goods in order, as one list: each row says at which setting of which tool it is made."""
    page = binder.page("Cuts", _CUTS, printed=_ON_PAPER, breaks=False, line=_LINE)
    page.title(
        "Cuts",
        f"All cuts in the order in which they are made, good by good, with the numbers of the drawings. Figures in "
        f"{printing.unit_of_cuts}. Filter by good; sort by Order to come back.",
    )
    page.list_heads(
        "Good", "Order", "No.", "Panel, edge", "Comes off", "Stays", "Tool and setting", "What is cut at it, and why",
        right=(1, 2),
    )  # fmt: skip
    order = 0
    for layout in printing.build.layouts:
        setting, more = "", ""
        for row in setting_rows(plan_in(printing.build.shop, layout), printing.cut(layout.good)):
            if isinstance(row, Band):
                setting, more = row.text, row.more
                continue
            number, panel, off, stays = row
            order += 1
            page.put(0, layout.good, "wrap", font_size=_FINE)
            page.put(1, order, "count", font_size=_FINE)
            page.put(2, number, "right", bold=True, font_size=_FINE)
            page.put(3, panel, "wrap", font_size=_FINE)
            page.put(4, off, "wrap", bold=True, font_size=_FINE)
            page.put(5, stays, "wrap", font_size=_FINE)
            page.put(6, setting, "quiet wrap", font_size=_FINE)
            page.put(7, more, "quiet", font_size=_FINE)
            page.next()
    page.end_list()
    if not order:
        page.paragraph("No cut: every sheet is used whole.", "quiet wrap")
    page.finish(foot=binder.foot)


def _kerf(kerf: int, units: UnitSystem) -> str:
    """Write a kerf: to 1/64, since blades go by it."""
    return format_length(kerf, units, 64, mark=True)


def _notes(drawing: SheetDrawing) -> str:
    """Say which parts stand as letters on the drawing."""
    listed = "; ".join(f"{letter}: {name} {size}, {count}×" for letter, name, size, count in drawing.key)
    return f"By letter: {listed}." if listed else ""


def _sticks(binder: Binder, page: Page, plan: StickPlan) -> None:
    """Write how the sticks of one good are cut."""
    build = binder.quote.build
    units = build.shop.measured_in(plan.good, build.units)
    lengths = {part.name: part.length for crate in build.crates for part in crate.sticks}
    page.put(0, f"{build.shop.good(plan.good).title}: sticks", "section")
    page.next(22)
    told = (
        f"Each row is one way to cut a stick, in the order of cutting, longest first. Kerf {_kerf(plan.kerf, units)}."
    )
    page.put(0, told, "quiet wrap", span=page.columns)
    page.next()
    page.heads("Sticks", "Stock", "", "Cut so", *[""] * 8, right=(0,))
    for each in plan.sticks:
        page.put(0, each.repeat, "count", bold=True)
        page.put(
            1,
            each.stick.name + {"buy": "", "rack": " (rack)", "open": " (paid already)"}[each.stick.source],
            "wrap",
            span=2,
        )
        listed = _runs([(name, format_length(lengths[name], units, mark=True)) for name in each.parts])
        page.put(3, listed or "taken whole, because a price break saves more", "wrap", span=9)
        page.next()
    page.end_table()


def _runs(parts: Sequence[tuple[str, str]]) -> str:
    """Return parts in order, equal neighbours together."""
    runs: list[tuple[tuple[str, str], int]] = []
    for part in parts:
        if runs and runs[-1][0] == part:
            runs[-1] = (part, runs[-1][1] + 1)
        else:
            runs.append((part, 1))
    return "; ".join(f"{name} {length}" + (f", {count}×" if count > 1 else "") for (name, length), count in runs)

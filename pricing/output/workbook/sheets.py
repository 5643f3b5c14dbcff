"""The Sheets page: each way to cut a sheet, drawn to scale, with its cuts in order below the drawing."""

from collections.abc import Iterator, Sequence
from io import BytesIO
from typing import Final

from nesting.base.measure import UnitSystem, format_length
from nesting.cutting.sawing.plan import plan_in
from nesting.cutting.sheets import Layout, SheetLayout
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
from pricing.quoting import fronts
from pricing.quoting.plans import proof

_WIDTHS: Final = (52, 64, 56, 112, 62, 168, 126)
_WIDEST: Final = 446.0
_HIGHEST: Final = 330.0
_TOGETHER: Final = 4
"""The last cuts of a sheet, which go to new paper together."""
_STICKS: Final = 150.0
"""Room, in points, without which a table of sticks begins on new paper."""


def fill(binder: Binder) -> None:
    """Write the page: what is cut, how to read it, then a sheet of paper for each layout."""
    page = binder.page("Sheets", _WIDTHS, fit=False)
    page.title("Sheets", f"Every way to cut a sheet, with its cuts in order. {FIXED_AND_LIVE}")
    _overview(binder, page)
    _weighed(binder, page)
    page.section("How to read the drawings")
    for text in lines("sheets", "reading"):
        page.paragraph(text, "quiet wrap")
        page.skip(3)
    for key in ("saw", "sheet"):
        page.paragraph(said("caution", key), "alarm")
        page.skip(3)
    printing = Printing(binder.quote.build, units=binder.quote.build.order.units)
    for layout in binder.quote.build.layouts:
        for index, each in enumerate(layout.sheets):
            page.new_paper()
            _layout(binder, page, printing, layout, each, index)
        page.new_paper()
        _settings(page, printing, layout)
    for index, plan in enumerate(binder.quote.build.stick_plans):
        if index:
            page.skip(16)
        page.keep(_STICKS)
        _sticks(binder, page, plan)
    page.finish(foot=binder.foot)


def _overview(binder: Binder, page: Page) -> None:
    """Write how many sheets and sticks of each good are cut, how well they are used, and whether that is proven."""
    build, currency = binder.quote.build, binder.quote.currency
    page.heads("Sheets", "Layouts", "Used", "Good", "What", "", "The plan", right=(0, 1, 2))
    first = page.row
    for layout in build.layouts:
        good = build.shop.good(layout.good)
        page.put(0, layout.sheet_count, "count", bold=True)
        page.put(1, len(layout.sheets), "count")
        page.put(2, layout.use, "part", num_format="0%")
        page.put(3, layout.good, "wrap")
        page.put(4, good.title, "quiet wrap", span=2)
        page.put(6, proof(layout, currency), "wrap")
        page.next()
    if build.layouts:
        count = build.sheet_count
        text = f"SUM({page.cell(0, first)}:{page.cell(0, page.row - 1)})"
        page.put(0, Formula(text, count), "count", top=1, bold=True)
        page.put(1, "sheets in all, rack included", "quiet", span=6, top=1)
        page.next()
    for plan in build.stick_plans:
        page.put(0, plan.count, "count", bold=True)
        page.put(1, len(plan.sticks), "count")
        page.put(3, plan.good, "wrap")
        page.put(4, f"{build.shop.good(plan.good).title} (sticks)", "quiet wrap", span=2)
        page.put(6, proof(plan, currency), "wrap")
        page.next()
    page.skip()


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
    page.heads("Goods", "Work", "Minutes", "Good", "Offcuts kept", "Sum", "", right=(0, 1, 2, 4, 5))
    for layout in quote.build.layouts:
        for point in fronts.points(quote, layout):
            page.put(0, point.goods, "money", bold=point.chosen)
            page.put(1, point.work, "money")
            page.put(2, None if point.minutes is None else int(point.minutes), "count")
            page.put(3, layout.good, "wrap")
            page.put(4, point.kept, "money")
            page.put(5, point.sum, "money", bold=point.chosen)
            page.put(6, "cut so" if point.chosen else "", "wrap")
            page.next()
        if line := fronts.told(quote, layout):
            page.put(3, line, "quiet wrap", span=4)
            page.next()
    page.end_table()
    page.skip()


def _layout(binder: Binder, page: Page, printing: Printing, layout: Layout, each: SheetLayout, index: int) -> None:
    """Write one way to cut a sheet."""
    build = binder.quote.build
    good = build.shop.good(layout.good)
    title = f"{good.title}, layout {index + 1} of {len(layout.sheets)}"
    page.put(0, title, "section")
    page.next(22)
    steps = plan_in(build.shop, layout).of_layout(index)
    times = "Cut one sheet so" if each.repeat == 1 else f"Cut {each.repeat} sheets so"
    rack = {"buy": "", "rack": " (from the rack)", "open": " (paid already)"}[each.sheet.source]
    size = printing.size(each.sheet.length, each.sheet.width, mark=True)
    told = (
        f"{times}: {each.sheet.name}{rack}, {size}. Kerf {_kerf(layout.kerf, printing.units)}. {len(steps)} cuts. "
        f"Figures in {printing.unit}, along the sheet first."
    )
    page.put(0, told, "wrap", span=page.columns)
    page.next()
    scale = max(each.sheet.length / POINT / _WIDEST, each.sheet.width / POINT / _HIGHEST)
    drawing = sheet_drawing(each, steps, layout.kerf, scale=scale, units=printing.units, grain=good.grain)
    height = drawing.scene.paper[1] / POINT
    options = {
        "image_data": BytesIO(picture(drawing.scene)), "x_offset": 4, "y_offset": 4, "object_position": 2,
        "description": clean(f"{title}: {each.sheet.name}, {len(steps)} cuts")[:250],
    }  # fmt: skip
    page.sheet.insert_image(page.row, 0, f"{layout.good} {index + 1}.png", options)
    page.next(height + 10)
    for note in _notes(drawing):
        page.put(0, note, "quiet wrap", span=page.columns)
        page.next()
    if not steps:
        page.put(
            0, "No cut: the sheet is used whole, or bought whole because a price break saves more.", "wrap", span=7
        )
        page.next()
        return


def _settings(page: Page, printing: Printing, layout: Layout) -> None:
    """Write how the sheets of a good are cut, setting by setting, with the numbers of the drawings."""
    plan = plan_in(printing.build.shop, layout)
    if not plan.settings:
        return
    page.put(0, f"{printing.build.shop.good(layout.good).title}: cuts in order", "section")
    page.next(22)
    page.heads("No.", "Panel, edge", "", "Comes off", "", "", "Stays", right=(0,))
    rows = list(setting_rows(plan, printing))
    for at, row in enumerate(rows):
        if at == len(rows) - _TOGETHER:
            page.keep(_TOGETHER * ROW)
        if isinstance(row, Band):
            page.put(0, row.text, "wrap", span=page.columns, bold=True)
            if row.more:
                page.next()
                page.put(0, row.more, "quiet wrap", span=page.columns)
        else:
            number, panel, off, stays = row
            page.put(0, number, "right", bold=True)
            page.put(1, panel, "wrap", span=2)
            page.put(3, off, "wrap", span=3, bold=True)
            page.put(6, stays, "wrap")
        page.next()
    page.end_table()


def _kerf(kerf: int, units: UnitSystem) -> str:
    """Write a kerf: to 1/64, since blades go by it."""
    return format_length(kerf, units, 64, mark=True)


def _notes(drawing: SheetDrawing) -> Iterator[str]:
    """Yield what did not find room on the drawing."""
    if drawing.key:
        listed = "; ".join(f"{letter}: {name} {size}, {count}×" for letter, name, size, count in drawing.key)
        yield f"Small parts by letter: {listed}."
    if drawing.unnumbered:
        yield f"Without room for their number on the drawing: cuts {', '.join(map(str, drawing.unnumbered))}."


def _sticks(binder: Binder, page: Page, plan: StickPlan) -> None:
    """Write how the sticks of one good are cut."""
    build, units = binder.quote.build, binder.quote.build.order.units
    lengths = {part.name: part.length for crate in build.crates for part in crate.sticks}
    page.put(0, f"{build.shop.good(plan.good).title}: sticks", "section")
    page.next(22)
    told = (
        f"Each row is one way to cut a stick, in the order of cutting, longest first. Kerf {_kerf(plan.kerf, units)}."
    )
    page.put(0, told, "quiet wrap", span=page.columns)
    page.next()
    page.heads("Sticks", "Stock", "", "Cut into, in order", "", "", "", right=(0,))
    for each in plan.sticks:
        page.put(0, each.repeat, "count", bold=True)
        page.put(
            1,
            each.stick.name + {"buy": "", "rack": " (rack)", "open": " (paid already)"}[each.stick.source],
            "wrap",
            span=2,
        )
        listed = _runs([(name, format_length(lengths[name], units, mark=True)) for name in each.parts])
        page.put(3, listed or "taken whole, because a price break saves more", "wrap", span=4)
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

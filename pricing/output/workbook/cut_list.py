"""The Cut list page: what is cut of each sheet good by thickness, then lumber, then paper, film and foam."""

from dataclasses import replace
from typing import Final

from nesting.base.measure import format_length
from nesting.build import Build
from nesting.crates.model import Crate
from nesting.cutting.parts import Part, RollPart, StickPart
from nesting.shop.goods import Good
from pricing.output.workbook.binder import FIXED_AND_LIVE, Binder
from pricing.output.workbook.page import Formula, Page

_WIDTHS: Final = (28, 190, 46, 92, 92, 92, 140)
_END: Final = 36.0
Cut = Part | StickPart | RollPart


def fill(binder: Binder) -> None:
    """Write the page."""
    page = binder.page("Cut list", _WIDTHS)
    build = binder.quote.build
    words = "inches" if build.order.units == "inch" else "millimetres"
    page.title(
        "Cut list",
        f"Every part, by good. Finished sizes in {words}; the grain runs along the length where a row says so. How "
        f"each sheet is cut stands on the Sheets page. {FIXED_AND_LIVE}",
    )
    if build.given_told:
        page.paragraph(f"{build.given_told}.", "wrap", bold=True)
        for each in build.used:
            page.tick(0)
            page.put(1, each.label, "wrap")
            page.put(2, each.part.count, "count", bold=True)
            page.put(3, f"used as {each.part.name}", "wrap", span=4)
            page.next()
        page.skip()
    for heading, form in (("Sheets", "sheet"), ("Lumber", "stick"), ("Off rolls", "roll")):
        goods = [good for good in build.shop.goods if good.form == form and _cuts(build, good)]
        if form == "sheet":
            goods.sort(key=lambda good: -good.thickness)
        for good in goods:
            _good(binder, page, heading, good)
    page.finish(repeat=(0, 0), foot=binder.foot)


def _cuts(build: Build, good: Good) -> list[tuple[Cut, Crate]]:
    """Return the parts of a good that are to be cut, with the crate that each goes into."""
    found: list[tuple[Cut, Crate]] = []
    for crate in build.crates:
        parts: tuple[Cut, ...] = (*crate.parts, *crate.sticks, *crate.rolls)
        for part in parts:
            exist = 0 if isinstance(part, RollPart) else build.existing(part.name)
            if part.good == good.good and exist < part.count:
                found.append((replace(part, count=part.count - exist) if exist else part, crate))
    return found


def _good(binder: Binder, page: Page, heading: str, good: Good) -> None:
    """Write the parts of one good."""
    units, unit = binder.quote.build.order.units, binder.styles.length_unit
    thick = format_length(good.thickness, units, 64, mark=True)
    section = f"{good.title}, {good.good}"
    if good.form == "sheet":
        section = f"{section}, measured {thick}"
    page.section(f"{heading}: {section}")
    across = "Across" if good.form == "roll" else "Width"
    wide = "" if good.form == "stick" else f"{across}, {unit}"
    last = "Lap" if good.form == "roll" else "Grain" if good.form == "sheet" else ""
    page.heads("", "Part", "Cut", f"Length, {unit}", wide, last, "Goes into", right=(2, 3, 4))
    first = page.row
    cuts = sorted(_cuts(binder.quote.build, good), key=lambda pair: (-pair[0].length, pair[0].name))
    for index, (part, crate) in enumerate(cuts):
        if index == len(cuts) - 1:
            page.keep(_END)  # so that the sum doesn't stand alone on new paper
        page.tick(0)
        page.put(1, part.name, "wrap")
        page.put(2, part.count, "count", bold=True)
        page.length(3, part.length)
        if not isinstance(part, StickPart):
            page.length(4, part.width)
        if isinstance(part, RollPart) and part.lap:
            page.put(5, f"lap {format_length(part.lap, units)} {unit}")
        elif isinstance(part, Part):
            page.put(5, "along it" if part.grain == "length" else "either way", "quiet")
        page.put(6, f"{crate.crate}, {crate.method}", "wrap")
        page.next()
    count = sum(part.count for part, _ in cuts)
    page.put(1, "Parts in all", "quiet", top=1)
    page.put(2, Formula(f"SUM({page.cell(2, first)}:{page.cell(2, page.row - 1)})", count), "count", top=1, bold=True)
    page.next()
    page.skip()

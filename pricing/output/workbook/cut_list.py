"""The Cut list page: what is cut, as one list: of sheets by thickness, then lumber, then paper, film and foam."""

from dataclasses import replace
from typing import Final

from nesting.base.measure import format_length
from nesting.build import Build
from nesting.crates.model import Crate
from nesting.crates.registry import called
from nesting.cutting.parts import Part, RollPart, StickPart
from nesting.shop.goods import Good
from pricing.output.workbook.binder import FIXED_AND_LIVE, Binder
from pricing.output.workbook.page import Formula, Page

_WIDTHS: Final = (30, 210, 48, 90, 90, 96, 130, 160, 76)
_LINE: Final = 11.25
_COUNT: Final = 2
_GOOD: Final = 7
Cut = Part | StickPart | RollPart


def fill(binder: Binder) -> None:
    """Write the page."""
    page = binder.page("Cut list", _WIDTHS, breaks=False, line=_LINE)
    build = binder.quote.build
    words = "inches" if build.units == "inch" else "millimetres"
    mixed = " or as marked" if build.shop.is_mixed else ""
    page.title(
        "Cut list",
        f"Every part, as one list to sort and filter. Finished sizes in {words}{mixed}; the grain runs along the "
        f"length where a row says so. How each sheet is cut stands on the page Sheets. {FIXED_AND_LIVE}",
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
    unit = f"{binder.styles.length_unit}{mixed}"
    page.list_heads(
        "", "Part", "Cut", f"Length, {unit}", f"Width, {unit}", "Grain or lap", "Goes into", "Good",
        f"Thick, {unit}", right=(2, 3, 4, 8),
    )  # fmt: skip
    span = page.row
    goods: list[tuple[Good, int]] = []
    cuts = _cuts(build)
    for form in ("sheet", "stick", "roll"):
        used = [good for good in build.shop.goods if good.form == form and good.good in cuts]
        if form == "sheet":
            used.sort(key=lambda good: -good.thickness)
        goods += [(good, _good(binder, page, good, cuts[good.good])) for good in used]
    last = page.row - 1
    page.end_list()
    ranges = [":".join((page.absolute(column, span), page.cell(column, last))) for column in (_GOOD, _COUNT)]
    binder.parts = (ranges[0], ranges[1], {good.good: count for good, count in goods})
    page.skip()
    page.put(1, "Parts in all", "strong")
    page.put(_COUNT, Formula(f"SUM({ranges[1].split('!')[1]})", sum(binder.parts[2].values())), "count", bold=True)
    page.finish(foot=binder.foot)


def _cuts(build: Build) -> dict[str, list[tuple[Cut, Crate]]]:
    """Return the parts of each good that are to be cut, with the crate that each goes into."""
    found: dict[str, list[tuple[Cut, Crate]]] = {}
    for crate in build.crates:
        parts: tuple[Cut, ...] = (*crate.parts, *crate.sticks, *crate.rolls)
        for part in parts:
            exist = 0 if isinstance(part, RollPart) else build.existing(part.name)
            if exist < part.count:
                cut = replace(part, count=part.count - exist) if exist else part
                found.setdefault(part.good, []).append((cut, crate))
    return found


def _good(binder: Binder, page: Page, good: Good, cuts: list[tuple[Cut, Crate]]) -> int:
    """Write the parts of one good, the longest first; return how many there are."""
    build = binder.quote.build
    own = build.shop.measured_in(good.good, build.units)
    cuts.sort(key=lambda pair: (-pair[0].length, pair[0].name))
    for part, crate in cuts:
        page.tick(0)
        page.put(1, part.name, "wrap")
        page.put(_COUNT, part.count, "count", bold=True)
        page.length(3, part.length, own=own)
        if not isinstance(part, StickPart):
            page.length(4, part.width, own=own)
        if isinstance(part, RollPart) and part.lap:
            page.put(5, f"lap {format_length(part.lap, own, mark=own != build.units)}")
        elif isinstance(part, Part):
            page.put(5, "along it" if part.grain == "length" else "either way", "quiet")
        page.put(6, f"{crate.crate}, {called(crate.method)}", "wrap")
        page.put(_GOOD, good.good, "quiet wrap")
        if good.form == "sheet":
            page.length(8, good.thickness, denominator=64, own=own)
        page.next()
    return sum(part.count for part, _ in cuts)

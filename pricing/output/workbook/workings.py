"""The Workings page: the steps behind the figures, which break is taken and how shares are divided."""

from typing import Final

from pricing.output.workbook import breaks, dividing
from pricing.output.workbook.binder import Binder
from pricing.output.workbook.costs import CostLine
from pricing.output.workbook.page import Page

_FIT: Final = 14


def begin(binder: Binder) -> Page:
    """Write the first part, which names what is bought."""
    pieces = max(0, len(binder.copies) - 4)
    page = binder.page("Workings", [270, 150, 84, 84, 84, *[84] * (4 + pieces)], landscape=True, fit=pieces <= _FIT)
    page.title("Workings", "The steps behind the figures of the other pages. Nothing is to be changed here.")
    breaks.fill(binder, page)
    return page


def finish(binder: Binder, page: Page, lines: list[CostLine]) -> None:
    """Write the second part, which names each piece's parts."""
    dividing.fill(binder, page, lines)
    page.sheet.repeat_columns(0, 0)
    page.finish(freeze=(0, 1), foot=binder.foot)

"""The Workings page: the steps behind the figures, which break is taken and how shares are divided."""

from typing import Final

from pricing.output.workbook import breaks, dividing
from pricing.output.workbook.binder import Binder
from pricing.output.workbook.costs import CostLine
from pricing.output.workbook.page import Page
from pricing.studio.pricebook import MOST_BREAKS

_ON_PAPER: Final = 6 + MOST_BREAKS
_LEAD: Final = (
    "The steps behind the figures of the other pages. Nothing is to be changed here. On paper stand the price breaks; "
    "how each amount is divided among the pieces, below them, is for the screen."
)


def begin(binder: Binder) -> Page:
    """Write the first part, which names what is bought."""
    pieces = max(0, len(binder.copies) - 4)
    widths = [270, 150, 84, 84, 84, *[84] * (4 + pieces)]
    page = binder.page("Workings", widths, landscape=True, printed=_ON_PAPER)
    page.title("Workings", _LEAD)
    breaks.fill(binder, page)
    return page


def finish(binder: Binder, page: Page, lines: list[CostLine]) -> None:
    """Write the second part, which names each piece's parts."""
    on_paper = page.row
    dividing.fill(binder, page, lines)
    page.sheet.repeat_columns(0, 0)
    page.finish(freeze=(1, 1), foot=binder.foot, last=on_paper)

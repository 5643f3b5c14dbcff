"""Binder: the quote that is written, the workbook's pages in the order of their tabs, and where figures stand."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cached_property
from typing import Any, Final

from nesting.crates.held import held_short
from nesting.crates.model import Crate
from nesting.crates.unpacked import unpacked_short
from nesting.order import Artwork
from pricing.output.workbook.names import Names
from pricing.output.workbook.page import Page, Paper
from pricing.output.workbook.style import Styles
from pricing.output.workbook.worksheet import PlainWorksheet
from pricing.quoting.lines import Spread, insured
from pricing.quoting.quote import Quote
from pricing.quoting.shares import piece_weights

TABS: Final = (
    "Quote", "Buying", "Cut list", "Sheets", "Cuts", "Crates", "Costs", "Shares", "Freight", "Prices", "Assumptions",
    "Checks", "Workings",
)  # fmt: skip
FIXED_AND_LIVE: Final = (
    "The cutting plan is fixed, the prices are live: which parts come from which sheet was settled when this workbook "
    "was made; change a price, a quantity or a rate on a yellow ground, and every amount follows."
)


@dataclass
class Binder:
    """Everything that the pages share while a workbook is written.

    Attributes
    ----------
    quote : Quote
        What is written.
    workbook : xlsxwriter.Workbook
        Where.
    tabs : sequence of str
        Its pages.
    refs : dict
        Addresses of figures that later pages use and that have no readable name of their own.
    parts : tuple of str, str, dict
        Where the cut list has the goods of its parts, and their counts; how many there are of each good.
    """

    quote: Quote
    workbook: Any
    tabs: Sequence[str] = TABS
    refs: dict[tuple[str, ...], str] = field(default_factory=dict)
    parts: tuple[str, str, dict[str, int]] = ("", "", {})

    def __post_init__(self) -> None:
        self.styles = Styles(self.workbook, self.quote.currency, self.quote.build.units, self.quote.build.writing)
        self.names = Names(self.workbook)
        self._sheets = {tab: self.workbook.add_worksheet(tab, PlainWorksheet) for tab in self.tabs}

    def page(self, tab: str, widths: Sequence[int], **paper: Any) -> Page:
        """Begin the page of a tab; its first line says what is held or packed by nothing, where anything is.

        ``paper`` is as for :class:`~pricing.output.workbook.page.Paper`.
        """
        page = Page(self._sheets[tab], self.styles, self.names, widths, Paper(**paper))
        build, where = self.quote.build, "page Crates"
        if build.is_lacking:
            short = " ".join(filter(None, (held_short(build.held, where), unpacked_short(build.unpacked, where))))
            page.paragraph(build.lacking_line if tab == self.tabs[0] else short, "alarm", bold=True)
        return page

    @property
    def foot(self) -> str:
        """What stands at the foot of every page of paper."""
        number = f" {self.quote.number}" if self.quote.number else ""
        return f"{self.quote.build.order.name}: quote{number} of {self.quote.on.isoformat()}"

    @cached_property
    def copies(self) -> tuple[Artwork, ...]:
        """Every single piece."""
        return self.quote.build.order.copies()

    @cached_property
    def copy_of(self) -> dict[str, Artwork]:
        """Every single piece by its name."""
        return {copy.piece: copy for copy in reversed(self.copies)}

    @cached_property
    def crates(self) -> dict[str, Crate]:
        """Every crate of the build by its name, held ones among them."""
        return {crate.crate: crate for crate in reversed(self.quote.build.every)}

    @cached_property
    def crate_at(self) -> dict[str, int]:
        """Where each crate stands among all of the build."""
        return {crate.crate: place for place, crate in enumerate(self.quote.build.every)}

    @cached_property
    def spread(self) -> Spread:
        """Turns crates' parts of an amount into pieces' parts."""
        return Spread(piece_weights(self.quote.build.crates), [copy.piece for copy in self.copies])

    @cached_property
    def insured(self) -> dict[str, Decimal]:
        """What each piece is insured for; nothing for those whose crate is held."""
        return insured(self.copies, self.quote.build.held_pieces)

    def money(self, heading: str) -> str:
        """Return a heading with the currency of what stands below it."""
        return f"{heading}, {self.quote.currency}"

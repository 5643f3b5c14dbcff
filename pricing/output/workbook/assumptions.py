"""The Assumptions page: rates to change, what is fixed, what the total lacks, and cautions."""

from typing import Final

from nesting.base.measure import format_length
from nesting.crates.designs import best_of
from pricing.ahead.cheaper import Cheaper
from pricing.output.workbook import inputs, rules
from pricing.output.workbook.binder import FIXED_AND_LIVE, Binder
from pricing.output.workbook.client import cautions
from pricing.output.workbook.page import Page
from pricing.quoting.lacks import headed
from pricing.studio.rule_words import part_text

_WIDTHS: Final = (200, 90, 64, 560, 60, 460)
_ON_PAPER: Final = 4
_LEAD: Final = (
    "What this quote rests on. Cells on a yellow ground, here and on the other pages, are yours to change; every "
    "other figure follows from them or is fixed."
)
_SAW: Final = (
    "Measure a sheet before it is cut (it may be short, over, or out of square), and the kerf of your blade.",
    "Guard and riving knife on, eyes and ears protected, large panels supported; unplug before the blade is changed.",
    "Lift with enough people, lids screwed down, and never stand below a raised case.",
)


def fill(binder: Binder, way: Cheaper | None = None) -> None:
    """Write the page and name every rate."""
    page = binder.page("Assumptions", _WIDTHS, breaks=False, printed=_ON_PAPER)
    page.title("Assumptions", f"{_LEAD} {FIXED_AND_LIVE}")
    _lacks(binder, page)
    if way is not None:
        page.section("What would be cheaper")
        page.paragraph(way.line, "wrap")
        page.skip()
    inputs.fill(binder, page)
    _fixed(binder, page)
    _cautions(binder, page)
    page.skip()
    last = rules.fill(binder, page)
    page.finish(repeat=(0, 0), freeze=(1, 0), foot=binder.foot, last=last)


def _lacks(binder: Binder, page: Page) -> None:
    """Write what the total lacks or rests on, the gravest first, and where each is mended."""
    page.section("What the total lacks, and where it is mended")
    for head, lacks in headed(binder.quote.lacks):
        page.paragraph(head, "strong")
        for lack in lacks:
            page.paragraph(f"•  {lack.whole}", "alarm" if lack.grave else "wrap")
    if not binder.quote.lacks:
        page.paragraph("Nothing stands out.", "quiet wrap")
    page.skip()


def _fixed(binder: Binder, page: Page) -> None:
    """Write what was settled when the workbook was made."""
    quote, build = binder.quote, binder.quote.build
    units = build.units
    page.section("Fixed when this workbook was made")
    carried = (
        "join the direct cost and are marked up" if quote.rates.price.freight_marked_up else "pass through unmarked"
    )
    facts = (
        ("Cutting plans", "which sheets, sticks and rolls are taken and what is cut from each; which boxes are bought"),
        ("Methods and crates", "sizes, weights, hardware and counts of work, as on the other pages"),
        ("Minutes at the saw", "which of them pay a cut; 0 here pays nothing, in a new run a rip or set-up may"),
        ("Kept offcuts", f"count {part_text(quote.rates.price.offcut_value)} of their cost; the job uses up the rest"),
        ("Freight and insurance", carried),
        ("Ways of shipping", "which profile each destination takes, distances, billed weights and classes"),
        ("Units", "inches and pounds" if units == "inch" else "millimetres and kilograms"),
        ("Currency", quote.currency),
        ("Kerf of the sheet saw", format_length(build.shop.saw.kerf, units, 64, mark=True)),
        *((("Designs of crates", told),) if (told := best_of(build.grouping)) else ()),
        ("Search", f"seed {build.seed}, effort {build.effort}: the same again gives the same plan"
         + (f"; cut short by {build.stopped}" if build.stopped else "")),
        ("Prices from", quote.book.source or "the built-in price book"),
        ("Rates from", quote.rates.source or "the built-in rates"),
    )  # fmt: skip
    for title, text in facts:
        page.put(0, title, "wrap")
        page.put(1, text, "wrap", span=3)
        page.next()
    page.skip()


def _cautions(binder: Binder, page: Page) -> None:
    page.section("Cautions")
    borders = any(crate.raw_wood for crate in binder.quote.build.crates)
    wood = ("Crates with raw wood need treated, marked wood to cross a border.",) if borders else ()
    for text in (*cautions(), *_SAW, *wood):
        page.paragraph(text)
    page.skip()

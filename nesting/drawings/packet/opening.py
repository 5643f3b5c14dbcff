"""The page that rides in a case: how to open it, take the piece out, and pack it again the same way."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

from nesting.crates.gear.lid import tool_for
from nesting.crates.model import Crate
from nesting.crates.registry import method_of
from nesting.drawings.marks import mark_scene
from nesting.drawings.opening import opening_scene
from nesting.drawings.packet.alike import accepted_in
from nesting.drawings.packet.crates import crate_title
from nesting.drawings.packet.page import Draft, Flow
from nesting.drawings.packet.phrases import said
from nesting.drawings.packet.printing import Printing
from nesting.drawings.scene import POINT, Inset

_MARK = 36.0
_LETTERS = 9.5


_HALF = 0.46
"""Part of a page up to which two of these pages are printed on one sheet, to be cut apart."""


def opening_pages(printing: Printing) -> Iterator[tuple[tuple[Crate, ...], list[Draft]]]:
    """Yield the pages of every crate, frame and case; short ones come two on a sheet."""
    short: tuple[Crate, Flow] | None = None
    for crate in printing.build.crates:
        flow = Flow(
            printing.paper,
            f"Opening and return {crate.crate}",
            f"Opening and return: {crate.crate}",
            warning=accepted_in((crate,), printing.build.crates),
        )
        _write(flow, printing, crate)
        if len(flow.pages) > 1 or flow.page.filled > _HALF:
            yield (crate,), flow.pages
        elif short is None:
            short = crate, flow
        else:
            first, sheet = short
            _lower(sheet, printing, crate)
            yield (first, crate), sheet.pages
            short = None
    if short is not None:
        yield short[:1], short[1].pages


def _lower(sheet: Flow, printing: Printing, crate: Crate) -> None:
    """Write the page of a crate on the lower half of a sheet."""
    title = f"Opening and return: {crate.crate}"
    sheet.page.section = f"{sheet.page.section}, {crate.crate}"
    warning = accepted_in((crate,), printing.build.crates)
    sheet.half(title, lambda flow: _write(flow, printing, crate), section=sheet.page.section, warning=warning)


def _write(flow: Flow, printing: Printing, crate: Crate) -> None:
    texts = method_of(crate).texts_for(crate)
    facts = {"lift": crate.lift or "as many people as it takes", **_bolts(printing, crate)}
    beside = flow.region
    flow.regions[0] = replace(beside, width=beside.width - _up(flow))
    inside = f"Gross {printing.weight(crate.gross_kg)}. Inside: {', '.join(crate.pieces)}."
    flow.paragraph(f"{crate_title(printing, crate)}. {inside}", bold=True)
    if crate.lift:
        flow.paragraph(f"To be lifted by {crate.lift}.")
    flow.paragraph(said("opening", "keep"), bold=True)
    flow.regions[0] = beside
    scene = opening_scene(crate, flow.width, 170.0)
    if scene is not None:
        flow.drawing(scene, after=2)
        flow.paragraph("The side drawn off is the one that opens. All other sides stay closed.", size=8)
    flow.heading("Opening")
    for number, text in enumerate(texts.opening, start=1):
        flow.paragraph(text.format_map(facts), size=_LETTERS, indent=22, mark=str(number), after=3)
    flow.caution(said("caution", "opening"))
    flow.heading("Packing it again")
    gel = [said("opening", "gel")] if any(each.role == "gel" for each in crate.gear) else []
    for number, text in enumerate((*gel, *texts.again), start=1):
        flow.paragraph(text.format_map(facts), size=_LETTERS, indent=22, mark=str(number), after=3)
    if crate.for_buyer:
        flow.heading("Stays with you")
        for text, count in Counter(crate.for_buyer).items():
            flow.paragraph(f"{count} × {text}" if count > 1 else text, mark="–", indent=12)
    studio = printing.build.shop.studio
    contact = ", ".join(each for each in (studio.name, studio.address, studio.phone, studio.email) if each)
    flow.space(6)
    flow.paragraph(f"Sender: {contact}")


def _bolts(printing: Printing, crate: Crate) -> dict[str, str]:
    """Say how many bolts hold what opens, and what turns them."""
    bolts = [bolt for bolt in crate.bolts if bolt.frees]
    return {
        "bolts": str(len(bolts)),
        "tool": tool_for(printing.build.shop.good(bolts[0].good)) if bolts else "",
    }


def _up(flow: Flow) -> float:
    """Set the mark for this way up at the right, under the title; return the width that it takes."""
    scene = mark_scene("this way up", _MARK)
    if scene is None:
        return 0.0
    x = flow.left + flow.width - _MARK
    flow.page.insets.append(Inset(scene, (x * POINT, (flow.y - _MARK) * POINT)))
    return _MARK + 8

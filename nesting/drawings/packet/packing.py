"""Pages for packing: what lies round each piece, who lifts, which marks; and each crate's check before it is closed."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial

from nesting.crates.model import Crate, Layer
from nesting.crates.registry import method_of
from nesting.drawings.marking import GRAVITY, sides_of
from nesting.drawings.packet.alike import accepted_in, alike, plainly
from nesting.drawings.packet.checking import check_lines, checked, ticks
from nesting.drawings.packet.crates import crate_title
from nesting.drawings.packet.marking import marks_table
from nesting.drawings.packet.page import Draft, Flow
from nesting.drawings.packet.phrases import lines, said
from nesting.drawings.packet.printing import Printing
from nesting.drawings.scene import Bookmark
from nesting.order import Artwork

_READY = ("have a pallet", "have an A-frame")
"""How a crate's warning begins that tells what it is strapped to."""


def packing_pages(printing: Printing) -> list[Draft]:
    """Return the packing pages: crates packed alike together, the next ones on the same page where they fit on it."""
    flow: Flow | None = None
    for part in packing_parts(printing):
        if flow is None:
            flow = Flow(printing.paper, part.section, part.title, warning=part.warning)
            part.write(flow)
            begun = flow.page
        else:
            begun = flow.part(part.title, part.write, section=part.section, warning=part.warning)
        begun.bookmarks.append(Bookmark(1, part.names))
    return flow.pages if flow else []


@dataclass(frozen=True)
class PackingPart:
    """How crates are packed that are packed alike: their names, and what heads and writes their page."""

    names: str
    title: str
    warning: str
    write: Callable[[Flow], None]

    @property
    def section(self) -> str:
        """What stands in the foot of its pages."""
        return f"Packing {self.names}"


def packing_parts(printing: Printing) -> list[PackingPart]:
    """Return the parts of the packing pages, in order."""
    artworks = {copy.piece: copy for copy in printing.build.order.copies()}
    return [
        PackingPart(
            ", ".join(each.crate for each in crates),
            _title(printing, crates),
            accepted_in(crates, printing.build.crates),
            partial(_write, printing=printing, crates=crates, artworks=artworks),
        )
        for crates in _groups(printing, artworks)
    ]


def _groups(printing: Printing, artworks: dict[str, Artwork]) -> list[list[Crate]]:
    """Gather crates that are packed by the same lines: those without marks whatever their sizes."""
    groups: dict[object, list[Crate]] = {}
    for number, crates in enumerate(_alike(printing, artworks)):
        crate = crates[0]
        key: object = number
        if not (crate.marks or method_of(crate).is_case):
            kinds = tuple(sorted({artworks[each].surface for each in crate.pieces if each in artworks}))
            layers = tuple((each.material, plainly(crate, each.text)) for each in crate.layers)
            key = crate.method, crate.lift, crate.raw_wood, kinds, layers, len(check_lines(printing, crate))
        groups.setdefault(key, []).extend(crates)
    return [*groups.values()]


def _alike(printing: Printing, artworks: dict[str, Artwork]) -> Iterator[list[Crate]]:
    """Yield crates made alike that are packed alike; pieces in travel frames go with their frame."""
    for group in alike(printing.build.crates):
        packed: dict[object, list[Crate]] = {}
        for crate in group:
            works = [artworks.get(piece) for piece in crate.pieces]
            key = tuple((work.surface, work.width, work.height, work.depth) if work else None for work in works)
            packed.setdefault(key, []).append(crate)
        yield from packed.values()


def _title(printing: Printing, crates: Sequence[Crate]) -> str:
    """Return the title of a group of crates."""
    names = ", ".join(each.crate for each in crates)
    sizes = {each.outside for each in crates}
    told = crate_title(printing, crates[0]).partition(": ")[2] if len(sizes) == 1 else method_of(crates[0]).many
    return f"Packing and check {names}: {told}"


def _write(flow: Flow, *, printing: Printing, crates: list[Crate], artworks: dict[str, Artwork]) -> None:
    """Write how crates are packed that are packed alike, and what each of them is checked by."""
    crate = crates[0]
    if method_of(crate).is_case:
        flow.heading("What goes in")
        for name, box in crate.rides:
            hangs = box.dy == printing.build.crate(name).outside.height
            way = "upright, as it hangs" if hangs else "on its side, turned a quarter"
            flow.tick(f"{name}, {printing.size(box.dx, box.dy, box.dz, mark=True)}, {way}")
    else:
        ticks(flow, lines("packing", "hands"), columns=3)
        before: dict[object, str] = {}
        for same in _equal(crates, artworks):
            own = next(each for each in crates if same[0] in each.pieces)
            _piece(flow, printing, own, same, artworks, before)
    _when_and_who(flow, printing, crates, artworks)
    marks_table(flow, printing, crate, drawn=True)
    border = said("packing", "raw_wood" if crate.raw_wood else "no_raw_wood")
    flow.paragraph(f"Across a border (ISPM 15): {border}", size=8, after=0)
    checked(flow, printing, crates)


def _equal(crates: list[Crate], artworks: dict[str, Artwork]) -> list[list[str]]:
    """Gather the pieces of crates packed alike: those of one size, surface and layers are packed by the same lines."""
    found: dict[object, list[str]] = {}
    for crate in crates:
        for piece in crate.pieces:
            work = artworks.get(piece)
            own = tuple((layer.material, plainly(crate, layer.text)) for layer in _layers(crate, piece))
            size = (work.width, work.height, work.depth, work.surface) if work else (piece,)
            found.setdefault((size, own), []).append(piece)
    return list(found.values())


def _layers(crate: Crate, piece: str) -> list[Layer]:
    return [layer for layer in crate.layers if layer.piece in (piece, "")]


# 6 arguments: what is packed in what, from what is known of it, and which layers were told before
def _piece(
    flow: Flow,
    printing: Printing,
    crate: Crate,
    pieces: list[str],
    artworks: dict[str, Artwork],
    before: dict[object, str],
) -> None:
    """Write how equal pieces are packed; layers that are those of a piece ``before`` are not told again."""
    works = [artworks.get(piece) for piece in pieces]
    titles: dict[str, list[str]] = {}
    for piece, work in zip(pieces, works, strict=True):
        titles.setdefault(work.title if work else "", []).append(piece)
    told = "; ".join(", ".join(names) + (f": {title}" if title else "") for title, names in titles.items())
    artwork = works[0]
    if artwork is not None:
        size = printing.of_pieces.size(artwork.width, artwork.height, artwork.depth, mark=True)
        told += f", {'each ' if len(pieces) > 1 else ''}{size}, {artwork.surface} surface"
    flow.heading(told, keep=60)
    layers = _layers(crate, pieces[0])
    own = tuple((layer.material, plainly(crate, layer.text)) for layer in layers)
    as_before = before.setdefault(own, pieces[0])
    if layers and as_before != pieces[0]:
        flow.paragraph(f"From the surface outwards: the same layers as {as_before}.", bold=True)
    elif layers:
        if len(layers) > 1:
            flow.paragraph("From the surface outwards:", bold=True, after=2)
        for number, layer in enumerate(layers, start=1):
            is_named = layer.material.lower() in layer.text.lower()
            text = layer.text if is_named else f"{layer.text} ({layer.material})"
            flow.paragraph(text, size=8.5, indent=20, mark=str(number), after=0)
        flow.space(2)
    else:
        flow.paragraph("No layer at all: nothing touches the face. The piece hangs inside the frame.", bold=True)
    if artwork is not None and before.setdefault(("against", artwork.surface), pieces[0]) == pieces[0]:
        flow.caution(said("packing", "not_against", artwork.surface))
    _from_order(flow, pieces, works)


def _from_order(flow: Flow, pieces: Sequence[str], works: Sequence[Artwork | None]) -> None:
    """Write what the order says of pieces, those of which it says the same together."""
    notes: dict[str, list[str]] = {}
    for piece, work in zip(pieces, works, strict=True):
        if work is not None and work.notes:
            notes.setdefault(work.notes, []).append(piece)
    for note, names in notes.items():
        flow.paragraph(f"From the order, {', '.join(names)}: {note}")


def have_ready(printing: Printing, crates: Sequence[Crate]) -> str:
    """Say what must be at hand that is no part of a crate: what it is strapped to, by itself or for its carrier."""
    told: dict[str, list[str]] = {}
    names = {crate.crate for crate in crates}
    carried = set()
    for each in (strapped for papers in printing.sets for strapped in papers.strapped):
        if mine := [name for name in each.crates if name in names]:
            others = [name for name in each.crates if name not in names]
            beside = f" with {', '.join(others)}" if others else ""
            told.setdefault(f"{each.on}, the crate strapped upright to it{beside}", []).extend(mine)
            carried.update(mine)
    for crate in (each for each in crates if each.crate not in carried):
        for warning in crate.warnings:
            if warning.startswith(_READY):
                what, _, why = warning.removeprefix("have ").partition(" ready: ")
                told.setdefault(f"{what}: {why}", []).append(crate.crate)
    return "; ".join(f"{text} ({', '.join(mine)})" if len(crates) > 1 else text for text, mine in told.items())


def _when_and_who(flow: Flow, printing: Printing, crates: list[Crate], artworks: dict[str, Artwork]) -> None:
    crate = crates[0]
    days: dict[str, list[str]] = {}
    for each in crates:
        if each.earliest_packing is not None:
            days.setdefault(f"{each.earliest_packing:%A %Y-%m-%d, %H:%M}", []).append(each.crate)
    for when, names in days.items():
        which = f"{', '.join(names)}: not" if len(days) > 1 else "Not"
        flow.paragraph(f"{which} before {when} (local time): the resin is not ready earlier.", bold=True)
    if (
        crate.earliest_packing is None
        and not method_of(crate).is_case
        and any(piece not in artworks or artworks[piece].surface != "glazed" for piece in crate.pieces)
    ):
        flow.paragraph(said("packing", "no_day"), after=0)
        flow.blanks(("Last poured or painted on", "may be packed from", "seen by"))
    spread = f" ± {printing.weight(crate.spread_kg)}" if crate.spread_kg else ""
    who = f"To be lifted by {crate.lift}." if crate.lift else "Decide who lifts before you lift."
    if len({each.gross_kg for each in crates}) > 1:
        gross = "; ".join(f"{each.crate} {printing.gross(each.gross_kg)}" for each in crates)
    else:
        gross = printing.gross(crate.gross_kg)
    centre = ""
    if GRAVITY in crate.marks:
        left, bottom = (printing.length(value, mark=True) for value in sides_of(crate)[0].centre)
        centre = (
            f" Centre of gravity, from the front: {left} from the left, {bottom} up from the lower edge of the side."
        )
    if ready := have_ready(printing, crates):
        flow.paragraph(f"Have ready: {ready}.", bold=True, after=2)
    flow.paragraph(f"Gross {gross}{spread}. {who}{centre}", after=0)
    flow.paragraph(said("caution", "lift"), bold=True)

"""Pages for packing: what lies round each piece, what may not touch it, when, who lifts, and which marks."""

from collections.abc import Iterator

from nesting.crates.held import accepted_line
from nesting.crates.model import Crate
from nesting.crates.registry import method_of
from nesting.drawings.marking import GRAVITY, sides_of
from nesting.drawings.packet.crates import crate_title
from nesting.drawings.packet.marking import both_weights, marks_table
from nesting.drawings.packet.page import Draft, Flow
from nesting.drawings.packet.phrases import lines, said
from nesting.drawings.packet.printing import Printing
from nesting.order import Artwork


def packing_pages(printing: Printing) -> Iterator[Draft]:
    """Yield the packing pages, crate by crate; pieces in travel frames are packed with their frame."""
    artworks = {copy.piece: copy for copy in printing.build.order.copies()}
    for crate in printing.build.crates:
        yield from _crate(printing, crate, artworks)


def _crate(printing: Printing, crate: Crate, artworks: dict[str, Artwork]) -> list[Draft]:
    title = f"Packing {crate_title(printing, crate)}"
    flow = Flow(printing.paper, f"Packing {crate.crate}", title, warning=accepted_line(crate))
    if method_of(crate).is_case:
        flow.heading("What goes in")
        for name, box in crate.rides:
            hangs = box.dy == printing.build.crate(name).outside.height
            way = "upright, as it hangs" if hangs else "on its side, turned a quarter"
            flow.tick(f"{name}, {printing.size(box.dx, box.dy, box.dz, mark=True)}, {way}")
    else:
        flow.heading("Hands and table")
        for line in lines("packing", "hands"):
            flow.tick(line)
        for piece in crate.pieces:
            _piece(flow, printing, crate, piece, artworks.get(piece))
    _when_and_who(flow, printing, crate, artworks)
    marks_table(flow, printing, crate, drawn=True)
    flow.heading("Across a border: ISPM 15")
    flow.paragraph(said("packing", "raw_wood" if crate.raw_wood else "no_raw_wood"))
    return flow.pages


def _piece(flow: Flow, printing: Printing, crate: Crate, piece: str, artwork: Artwork | None) -> None:
    flow.heading(f"{piece}: {artwork.title}" if artwork and artwork.title else piece, keep=60)
    if artwork is not None:
        size = printing.size(artwork.width, artwork.height, artwork.depth, mark=True)
        flow.paragraph(f"{size} (width × height × depth), {artwork.surface} surface.", size=8.5)
    layers = [layer for layer in crate.layers if layer.piece in (piece, "")]
    if layers:
        flow.paragraph("From the surface outwards:", bold=True, after=2)
        for number, layer in enumerate(layers, start=1):
            text = f"{layer.text} ({layer.material})" if layer.material else layer.text
            flow.paragraph(text, indent=20, mark=str(number), after=2)
        flow.space(4)
    else:
        flow.paragraph("No layer at all: nothing touches the face. The piece hangs inside the frame.", bold=True)
    if artwork is not None:
        flow.caution(said("packing", "not_against", artwork.surface))
        if artwork.notes:
            flow.paragraph(f"From the order: {artwork.notes}")


def _when_and_who(flow: Flow, printing: Printing, crate: Crate, artworks: dict[str, Artwork]) -> None:
    flow.heading("When and who")
    if crate.earliest_packing is not None:
        when = f"{crate.earliest_packing:%A %Y-%m-%d, %H:%M}"
        flow.paragraph(f"Not before {when} (local time): the resin is not ready earlier.", bold=True)
    elif not method_of(crate).is_case and any(
        piece not in artworks or artworks[piece].surface != "glazed" for piece in crate.pieces
    ):
        flow.paragraph(said("packing", "no_day"))
    spread = f" ± {printing.weight(crate.spread_kg)}" if crate.spread_kg else ""
    who = f"To be lifted by {crate.lift}." if crate.lift else "Decide who lifts before you lift."
    flow.paragraph(f"Gross {both_weights(crate.gross_kg)}{spread}. {who}")
    if GRAVITY in crate.marks:
        front = sides_of(crate)[0]
        left, bottom = (printing.length(value, mark=True) for value in front.centre)
        flow.paragraph(
            f"Centre of gravity, from the front: {left} from the left, {bottom} up from the lower edge of the side."
        )
    flow.caution(said("caution", "lift"))

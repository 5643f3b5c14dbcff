"""Papers that ride with the truck, one set for each destination: consignment list and condition reports."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial

from nesting.crates.model import Crate
from nesting.crates.registry import method_of
from nesting.drawings.condition import report_of
from nesting.drawings.packet.alike import accepted_in, accepted_lines
from nesting.drawings.packet.condition import report_title, write_report
from nesting.drawings.packet.page import Column, Draft, Flow, evenly
from nesting.drawings.packet.printing import Party, Printing, TravelPapers
from nesting.order import Artwork

_ELSEWHERE = (
    "Invoice for customs, packing list and a carnet's list are not in this packet: they are among the papers of the "
    "consignments, each a file of its own."
)
_RECEIVED = "Received complete and as in the condition reports:"


def paper_pages(printing: Printing, after: Callable[[Flow], None] | None = None) -> Iterator[Draft]:
    """Yield all papers, destination by destination; ``after`` writes what follows on the last page.

    The destination whose papers leave most of their last page free comes last then.
    """
    carrier = carriers(printing)
    works = {work.piece: work for work in printing.build.order.copies()}
    parcels = [
        Parcel(printing, papers, tuple(works[piece] for piece in papers.pieces), carrier) for papers in printing.sets
    ]
    made = [evenly(partial(_set, parcel, None)) for parcel in parcels]
    if after is not None and parcels:
        last = min(range(len(made)), key=lambda index: (made[index][-1].filled, -index))
        del made[last]
        made.append(evenly(partial(_set, parcels[last], after)))
    for pages in made:
        yield from pages


def _set(parcel: "Parcel", after: Callable[[Flow], None] | None, lower: float) -> Flow:
    """Write the papers of one destination."""
    flow = _consignment(parcel, lower)
    for work in parcel.works[:-2]:
        _report(flow, parcel, work)
    if parcel.works:
        _report(flow, parcel, *parcel.works[-2:])  # the last two stay together: one alone leaves its page nearly empty
    if after is not None:
        after(flow)
    return flow


def _report(flow: Flow, parcel: "Parcel", work: Artwork, *others: Artwork) -> None:
    """Write condition reports below what stands on a page where they fit together, else on a new one."""

    def block(on: Flow) -> None:
        _condition(on, parcel, work)
        if others:
            _report(on, parcel, *others)

    flow.part(report_title(work), block, section=f"Condition report {work.piece}", size=12.0)


def _condition(flow: Flow, parcel: "Parcel", work: Artwork) -> None:
    printing = parcel.printing
    sold = parcel.papers.terms.get(work.piece) == "sold"
    write_report(
        flow,
        report_of(work, printing.build),
        size=hung_size(printing, work, mark=True),
        crate=parcel.carrier.get(work.piece, ""),
        lender="" if sold else parcel.papers.sender.name or printing.build.shop.studio.name,
        accepted=accepted_lines([each for each in printing.build.crates if work.piece in each.pieces]),
    )


@dataclass(frozen=True)
class Parcel:
    """What goes to one destination.

    Attributes
    ----------
    works : tuple of Artwork
        Single pieces, in the order of the order.
    carrier : mapping of str to str
        Which crate each piece travels in.
    """

    printing: Printing
    papers: TravelPapers
    works: tuple[Artwork, ...]
    carrier: Mapping[str, str]

    def titled(self, title: str) -> str:
        """Return a title with the destination in it."""
        return f"{title}: {self.papers.destination}" if self.papers.destination else title

    @property
    def crates(self) -> tuple[Crate, ...]:
        """The packages that the carrier sees."""
        mine = {work.piece for work in self.works}
        return tuple(crate for crate in self.printing.build.travelling if mine.intersection(crate.pieces))


def carriers(printing: Printing) -> dict[str, str]:
    """Return which crate each piece travels in, with the case around it."""
    found = {}
    for crate in printing.build.crates:
        if method_of(crate).is_case and crate.rides:
            continue
        for piece in crate.pieces:
            found[piece] = f"{crate.crate} in {crate.inside_of}" if crate.inside_of else crate.crate
    return found


def hung_size(printing: Printing, work: Artwork, *, mark: bool = False) -> str:
    """Write a work's size as galleries do: height, width, depth."""
    return printing.of_pieces.size(work.height, work.width, work.depth, mark=mark)


def _given(flow: Flow, word: str, text: str) -> None:
    """Write what is known, or a line to write it on."""
    if text:
        flow.paragraph(f"{word}: {text}")
    else:
        flow.blank(f"{word}:")


def _party(flow: Flow, word: str, party: Party) -> None:
    _given(flow, word, ", ".join(each for each in (party.name, *party.lines) if each))


def _head(flow: Flow, printing: Printing, papers: TravelPapers, order: str = "") -> None:
    studio = printing.build.shop.studio
    if papers.number or papers.date:
        told = (
            order,
            f"Number {papers.number}" if papers.number else "",
            f"Date: {papers.date}" if papers.date else "",
        )
        flow.paragraph(". ".join(filter(None, told)) + ".")
    else:
        if order:
            flow.paragraph(f"{order}.")
        flow.blanks(("Number", "date"))
    lines = tuple(each for each in (studio.address, studio.phone, studio.email) if each)
    _party(flow, "From", papers.sender if papers.sender.name else Party(studio.name, lines))
    _party(flow, "To", papers.receiver)
    flow.space(2)


def _value_title(papers: TravelPapers) -> str:
    return f"value, {papers.currency}" if papers.currency else "value"


def _consignment(parcel: Parcel, lower: float) -> Flow:
    printing, papers = parcel.printing, parcel.papers
    title = parcel.titled("Consignment list")
    flow = Flow(printing.paper, title, title, lower=lower)
    _head(flow, printing, papers, f"Order: {printing.name}")
    carrier, values = parcel.carrier, papers.values
    columns = [
        Column("piece", 0.9, bold=True),
        Column("title", 2.2),
        Column(f"height × width × depth, {printing.of_pieces.unit}", 1.7),
        Column("weight", 0.8, "end"),
        Column("in crate", 1.0),
    ]
    if values:
        columns.append(Column(_value_title(papers), 1.0, "end"))
    rows = []
    for work in parcel.works:
        kg = printing.weight(float(work.weight_kg)) if work.weight_kg is not None else "estimated"
        row = [work.piece, work.title, hung_size(printing, work), kg, carrier.get(work.piece, "")]
        rows.append([*row, values.get(work.piece, "")] if values else row)
    flow.table(columns, rows, after=3)
    if values and papers.total:
        flow.paragraph(f"Together {papers.total} {papers.currency}".strip() + ".", bold=True)
    _crates(flow, parcel)
    if papers.border:
        flow.paragraph(_ELSEWHERE)
    flow.need(110)
    consigned = [work.piece for work in parcel.works if papers.terms.get(work.piece) == "consigned"]
    if consigned:
        which = "The works" if len(consigned) == len(parcel.works) else f"Consigned: {', '.join(consigned)}. They"
        flow.paragraph(f"{which} remain the sender's until they are paid for, unless a contract says otherwise.")
    flow.paragraph(_RECEIVED)
    flow.blanks(("date", "name in print", "signature"))
    return flow


def _crates(flow: Flow, parcel: Parcel) -> None:
    printing = parcel.printing
    flow.heading("Crates")
    columns = [
        Column("crate", 0.6, bold=True),
        Column("pieces", 2.4),
        Column("outside, width × height × depth", 2.0),
        Column("net", 0.8, "end"),
        Column("gross", 1.2, "end"),
    ]
    rows = [
        [
            crate.crate,
            ", ".join(crate.pieces),
            printing.size(crate.outside.width, crate.outside.height, crate.outside.depth, mark=True),
            printing.weight(crate.net_kg),
            printing.gross(crate.gross_kg),
        ]
        for crate in parcel.crates
    ]
    flow.table(columns, rows, after=3)
    if accepted := accepted_in(parcel.crates, printing.build.crates):
        flow.paragraph(accepted, bold=True)
    for each in parcel.papers.strapped:
        size = printing.size(each.width, each.height, each.depth, mark=True)
        names, gross = ", ".join(each.crates), printing.gross(each.kg)
        flow.paragraph(f"Handed over strapped: {names} on {each.on}; {size}, gross {gross} with it.")

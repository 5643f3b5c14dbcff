"""Papers that travel, one set for each destination: consignment list, pro-forma invoice, condition reports."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial

from nesting.base.counts import plural
from nesting.crates.model import Crate
from nesting.crates.registry import method_of
from nesting.drawings.packet.alike import accepted_in, accepted_lines
from nesting.drawings.packet.marking import both_weights
from nesting.drawings.packet.page import Column, Draft, Flow, evenly
from nesting.drawings.packet.phrases import said
from nesting.drawings.packet.printing import Party, Printing, Stated, TravelPapers
from nesting.drawings.typeface import LEAST
from nesting.order import Artwork

_ASPECTS = ("face, surface", "edges and corners", "frame or strainer", "back and cleats", "glazing, if any", "labels")
_ASPECT = 15.5
"""Height of a row to write in, in points: three reports share a page."""
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
    """Write the papers of one destination: what a customs officer keeps shares its paper with nothing."""
    flow = _consignment(parcel, lower)
    rest = parcel.works
    if parcel.papers.border:
        invoice, reports = _invoice(parcel), _first_report(parcel, lower)
        reports.pages[:0] = [*flow.pages, *invoice.pages]
        flow, rest = reports, rest[1:]
    for work in rest[:-2]:
        _report(flow, parcel, work)
    if rest:
        _report(flow, parcel, *rest[-2:])  # the last two stay together: one alone leaves its page nearly empty
    if after is not None:
        after(flow)
    return flow


def _report(flow: Flow, parcel: "Parcel", work: Artwork, *others: Artwork) -> None:
    """Write condition reports below what stands on a page where they fit together, else on a new one."""
    title = f"Condition report: {work.piece}"

    def block(on: Flow) -> None:
        _condition(on, parcel.printing, work, parcel.carrier.get(work.piece, ""))
        if others:
            _report(on, parcel, *others)

    flow.part(title, block, section=f"Condition report {work.piece}", size=12.0)


def _first_report(parcel: "Parcel", lower: float) -> Flow:
    work = parcel.works[0]
    title = f"Condition report: {work.piece}"
    flow = Flow(parcel.printing.paper, f"Condition report {work.piece}", title, lower=lower, size=12.0)
    _condition(flow, parcel.printing, work, parcel.carrier.get(work.piece, ""))
    return flow


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
    return printing.size(work.height, work.width, work.depth, mark=mark)


def _condition(flow: Flow, printing: Printing, work: Artwork, crate: str) -> None:
    title = work.title or "Title not given"
    size = hung_size(printing, work, mark=True)
    told = f"{title}. {size} (height × width × depth), {work.surface} surface. Crate {crate}."
    flow.paragraph(told, after=0)
    carrying = [each for each in printing.build.crates if work.piece in each.pieces]
    if accepted := accepted_lines(carrying):
        flow.paragraph(accepted, size=LEAST, bold=True, after=0)
    flow.blanks(("Artist, year", "medium", "photographs: out", "in"))
    _aspects(flow)
    flow.blanks(("Going out: date, place", "name in print", "signature"))
    flow.blanks(("Coming in: date, place", "name in print", "signature"))


def _aspects(flow: Flow) -> None:
    """Write the table of a condition report, with room to write by hand."""
    columns = [
        Column("what", 1.0, bold=True),
        Column("going out: condition, measured from the lower left", 2.2),
        Column("coming in: what changed", 2.2),
    ]
    flow.table(columns, [], size=8.0, after=0)
    total = sum(column.share for column in columns)
    top = flow.y
    flow.need(_ASPECT * len(_ASPECTS))
    for aspect in _ASPECTS:
        flow.put(flow.left + 2.5, flow.y - 11, aspect, size=8.5, bold=True)
        flow.y -= _ASPECT
        flow.rule(flow.left, flow.left + flow.width, flow.y)
    share = 0.0
    for column in columns[:-1]:
        share += column.share
        flow.upright(flow.left + flow.width * share / total - 3, flow.y, min(top, flow.y + _ASPECT * len(_ASPECTS)))
    flow.space(2)


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
        Column(f"height × width × depth, {printing.unit}", 1.7),
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
    flow.need(110)
    consigned = [work.piece for work in parcel.works if _own(papers, work).terms == "consigned"]
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
            both_weights(crate.gross_kg),
        ]
        for crate in parcel.crates
    ]
    flow.table(columns, rows, after=3)
    if accepted := accepted_in(parcel.crates, printing.build.crates):
        flow.paragraph(accepted, bold=True)
    for each in parcel.papers.strapped:
        size = printing.size(each.width, each.height, each.depth, mark=True)
        names, gross = ", ".join(each.crates), both_weights(each.kg)
        flow.paragraph(f"Handed over strapped: {names} on {each.on}; {size}, gross {gross} with it.")


def _own(papers: TravelPapers, work: Artwork) -> Stated:
    """Return what is stated of one piece, by itself or of all."""
    own = papers.stated.get(work.piece, Stated())
    return Stated(own.origin or papers.origin, own.tariff or papers.tariff, own.terms or papers.terms)


_TERMS = {"consigned": "consigned, not sold", "sold": "sold", "": ""}


def _statements(flow: Flow, papers: TravelPapers) -> list[str]:
    """Write what is stated of all pieces; return which of it differs and is wanted in the table, piece by piece."""
    differs = []
    for word, key, agreed in (
        ("Country of origin", "origin", papers.origin),
        ("Tariff heading, as stated by the sender", "tariff", papers.tariff),
        ("Terms (consigned or sold)", "terms", _TERMS[papers.terms]),
    ):
        if any(getattr(own, key) for own in papers.stated.values()):
            flow.paragraph(f"{word}: as stated beside each piece")
            differs.append(key)
        else:
            _given(flow, word.partition(" (")[0] if agreed else word, agreed)
    _given(flow, "Reason for export", papers.reason)
    return differs


def _invoice(parcel: Parcel) -> Flow:
    printing, papers, carrier = parcel.printing, parcel.papers, parcel.carrier
    title = parcel.titled("Pro-forma invoice")
    flow = Flow(printing.paper, title, title)
    flow.paragraph("For customs purposes only; no payment is asked for by this paper.", bold=True)
    _head(flow, printing, papers)
    differs = _statements(flow, papers)
    flow.space(4)
    columns = [
        Column("piece", 0.9, bold=True),
        Column("description", 2.6),
        *(Column({"tariff": "tariff heading"}.get(key, key), 0.9) for key in differs),
        Column("crate", 0.9),
        Column("count", 0.5, "end"),
        Column(_value_title(papers), 1.1, "end"),
    ]
    rows = [
        [
            work.piece,
            f"{work.title or 'artwork'}, {hung_size(printing, work, mark=True)}",
            *(getattr(_own(papers, work), key) for key in differs),
            carrier.get(work.piece, ""),
            "1",
            papers.values.get(work.piece, ""),
        ]
        for work in parcel.works
    ]
    flow.table(columns, rows, size=8.5)
    total = f"{papers.total} {papers.currency}".strip() if papers.total else ""
    _given(flow, "Total value for customs", total)
    crates = parcel.crates
    gross, net = sum(crate.gross_kg for crate in crates), sum(crate.net_kg for crate in crates)
    count = len(crates)
    weights = f"gross {printing.weight(gross)}, net {printing.weight(net)}"
    if papers.strapped:
        on = {name for each in papers.strapped for name in each.crates}
        handed = sum(crate.gross_kg for crate in crates if crate.crate not in on)
        handed += sum(each.kg for each in papers.strapped)
        weights = f"{weights}; gross {printing.weight(handed)} with what they are strapped to"
    flow.paragraph(f"{plural(count, 'package')}; {weights}.")
    raw = any(crate.raw_wood for crate in crates)
    wood = "contains raw wood under ISPM 15; see the marks on the crates" if raw else "no raw wood over 6 mm"
    flow.paragraph(f"Wood packaging: {wood}.")
    flow.caution(said("caution", "customs"))
    flow.blanks(("place, date", "name in print", "signature"))
    return flow

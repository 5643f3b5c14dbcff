"""Papers that travel: a condition report for each piece, the consignment list, and a pro-forma invoice for a border."""

from collections.abc import Iterator

from nesting.drawings.packet.job import Job, Party
from nesting.drawings.packet.page import Column, Draft, Flow
from nesting.drawings.packet.words import said
from nesting.order import Artwork

_ASPECTS = ("face, surface", "edges and corners", "frame or strainer", "back and cleats", "glazing, if any", "labels")
_ASPECT = 38.0
"""Height of a row to write in, in points."""
_RECEIVED = "Received complete and as in the condition reports:"


def paper_pages(job: Job) -> Iterator[Draft]:
    """Yield all papers."""
    yield from _consignment(job)
    if job.papers.border:
        yield from _invoice(job)
    carrier = carriers(job)
    for artwork in job.build.order.copies():
        yield from _condition(job, artwork, carrier.get(artwork.piece, ""))


def carriers(job: Job) -> dict[str, str]:
    """Return which crate each piece travels in, with the case around it."""
    found = {}
    for crate in job.build.crates:
        if crate.method == "outer" and crate.rides:
            continue
        for piece in crate.pieces:
            found[piece] = f"{crate.crate} in {crate.inside_of}" if crate.inside_of else crate.crate
    return found


def hung_size(job: Job, work: Artwork, *, mark: bool = False) -> str:
    """Write a work's size as galleries do: height, width, depth."""
    return job.size(work.height, work.width, work.depth, mark=mark)


def _condition(job: Job, work: Artwork, crate: str) -> list[Draft]:
    flow = Flow(job.paper, f"Condition report {work.piece}", f"Condition report: {work.piece}")
    title = work.title or "Title not given"
    size = hung_size(job, work, mark=True)
    flow.paragraph(f"{title}. {size} (height × width × depth), {work.surface} surface. Crate {crate}.")
    flow.blanks(("Artist", "year", "medium"))
    half = (flow.width - 14) / 2
    high = half * 0.72
    flow.need(high + 16)
    flow.y -= high
    for index, word in enumerate(("photograph going out", "photograph coming in")):
        x = flow.left + index * (half + 14)
        flow.box(x, flow.y, half, high)
        flow.put(x + 6, flow.y + 6, word, size=7.5, grey=0.4)
    flow.space(8)
    _aspects(flow)
    for word in ("Going out", "Coming in"):
        flow.paragraph(word, bold=True, after=0)
        flow.blanks(("date, time", "place"))
        flow.blanks(("name in print", "signature"))
    return flow.pages


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
        flow.put(flow.left + 2.5, flow.y - 12, aspect, size=8.5, bold=True)
        flow.y -= _ASPECT
        flow.rule(flow.left, flow.left + flow.width, flow.y)
    share = 0.0
    for column in columns[:-1]:
        share += column.share
        flow.upright(flow.left + flow.width * share / total - 3, flow.y, min(top, flow.y + _ASPECT * len(_ASPECTS)))
    flow.space(8)


def _given(flow: Flow, word: str, text: str) -> None:
    """Write what is known, or a line to write it on."""
    if text:
        flow.paragraph(f"{word}: {text}")
    else:
        flow.blank(f"{word}:")


def _party(flow: Flow, word: str, party: Party) -> None:
    _given(flow, word, ", ".join(each for each in (party.name, *party.lines) if each))


def _head(flow: Flow, job: Job) -> None:
    papers, studio = job.papers, job.build.shop.studio
    if papers.number or papers.date:
        flow.paragraph(", ".join(each for each in (papers.number and f"Number {papers.number}", papers.date) if each))
    else:
        flow.blanks(("Number", "date"))
    lines = tuple(each for each in (studio.address, studio.phone, studio.email) if each)
    _party(flow, "From", papers.sender if papers.sender.name else Party(studio.name, lines))
    _party(flow, "To", papers.receiver)
    flow.space(6)


def _value_title(job: Job) -> str:
    return f"value, {job.papers.currency}" if job.papers.currency else "value"


def _consignment(job: Job) -> list[Draft]:
    flow = Flow(job.paper, "Consignment list", f"Consignment list: {job.name}")
    _head(flow, job)
    carrier, values = carriers(job), job.papers.values
    columns = [
        Column("piece", 0.9, bold=True),
        Column("title", 2.2),
        Column(f"height × width × depth, {job.unit}", 1.7),
        Column("weight", 0.8, "end"),
        Column("in crate", 1.0),
    ]
    if values:
        columns.append(Column(_value_title(job), 1.0, "end"))
    rows = []
    for work in job.build.order.copies():
        kg = job.weight(float(work.weight_kg)) if work.weight_kg is not None else "estimated"
        row = [work.piece, work.title, hung_size(job, work), kg, carrier.get(work.piece, "")]
        rows.append([*row, values.get(work.piece, "")] if values else row)
    flow.table(columns, rows, size=8.5)
    if values and job.papers.total:
        flow.paragraph(f"Together {job.papers.total} {job.papers.currency}".strip() + ".", bold=True)
    _crates(flow, job)
    flow.need(110)
    if job.papers.terms == "consigned":
        flow.paragraph("The works remain the sender's until they are paid for, unless a contract says otherwise.")
    flow.paragraph(_RECEIVED)
    flow.blanks(("date", "name in print", "signature"))
    return flow.pages


def _crates(flow: Flow, job: Job) -> None:
    flow.heading("Crates")
    columns = [
        Column("crate", 0.6, bold=True),
        Column("outside, width × height × depth", 2.0),
        Column("net", 0.8, "end"),
        Column("gross", 0.8, "end"),
        Column("to", 1.6),
    ]
    rows = [
        [
            crate.crate,
            job.size(crate.outside.width, crate.outside.height, crate.outside.depth, mark=True),
            job.weight(crate.net_kg),
            job.weight(crate.gross_kg),
            crate.destination,
        ]
        for crate in job.travelling()
    ]
    flow.table(columns, rows, size=8.5)


def _invoice(job: Job) -> list[Draft]:
    papers, carrier = job.papers, carriers(job)
    flow = Flow(job.paper, "Pro-forma invoice", "Pro-forma invoice")
    flow.paragraph("For customs purposes only; no payment is asked for by this paper.", bold=True)
    _head(flow, job)
    _given(flow, "Country of origin", papers.origin)
    _given(flow, "Tariff heading, as stated by the sender", papers.tariff)
    _given(flow, "Reason for export", papers.reason)
    terms = {"consigned": "consigned, not sold", "sold": "sold", "": ""}[papers.terms]
    _given(flow, "Terms" if terms else "Terms (consigned or sold)", terms)
    flow.space(4)
    columns = [
        Column("piece", 0.9, bold=True),
        Column("description", 2.6),
        Column("origin", 0.9),
        Column("crate", 0.9),
        Column("count", 0.5, "end"),
        Column(_value_title(job), 1.1, "end"),
    ]
    rows = [
        [
            work.piece,
            f"{work.title or 'artwork'}, {hung_size(job, work, mark=True)}",
            papers.origin,
            carrier.get(work.piece, ""),
            "1",
            papers.values.get(work.piece, ""),
        ]
        for work in job.build.order.copies()
    ]
    flow.table(columns, rows, size=8.5)
    _given(flow, "Total value for customs", f"{papers.total} {papers.currency}".strip() if papers.total else "")
    travelling = job.travelling()
    gross, net = sum(crate.gross_kg for crate in travelling), sum(crate.net_kg for crate in travelling)
    count = len(travelling)
    flow.paragraph(
        f"{count} {'package' if count == 1 else 'packages'}; gross {job.weight(gross)}, net {job.weight(net)}."
    )
    raw = any(crate.raw_wood for crate in travelling)
    wood = "contains raw wood under ISPM 15; see the marks on the crates" if raw else "no raw wood over 6 mm"
    flow.paragraph(f"Wood packaging: {wood}.")
    flow.caution(said("caution", "customs"))
    flow.blanks(("place, date", "name in print", "signature"))
    return flow.pages

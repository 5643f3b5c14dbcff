"""What each artwork bears: of a line, and of all lines and steps."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from typing import Final

from pricing.desk.origins.model import Address, Cell, Origin, Table, Told, number, table
from pricing.desk.views import figure, percent
from pricing.money import show
from pricing.quoting.ladder import Step
from pricing.quoting.lines import Line
from pricing.quoting.quote import Quote
from pricing.quoting.shares import Division, divide

_RATED: Final = frozenset({"contingency", "overhead", "profit", "discount"})


def step_told(step: Step) -> str:
    """Return how a step of the ladder comes about, with its numbers put in."""
    if step.key == "profit" and "/" in step.how and step.rate is not None:
        return f"{figure(step.base)} / (1 − {percent(step.rate)}) − {figure(step.base)}"
    if step.key in _RATED and step.rate is not None:
        return f"{percent(step.rate)} of {figure(step.base)}"
    if step.key == "tax":
        return f"{percent(step.rate)} of {figure(step.base)}" if step.rate is not None else "by place, see below"
    if step.key == "minimum" and step.rate is not None:
        return f"no less than {figure(step.rate)}"
    if step.key == "rounding" and step.rate is not None:
        way = "the nearest" if step.how.startswith("nearest") else "the next"
        return f"{figure(step.base)} to {way} {number(step.rate)}"
    return step.how


def bearers(quote: Quote, line: Line, to: Address) -> Table:
    """Return which pieces bear a line."""
    parts = borne(quote).get(line.key, {})
    rows = [
        (Cell(piece, to("from", piece=piece), words=True), Cell(percent(line.bearers[piece])), Cell(figure(amount)))
        for piece, amount in parts.items() if line.bearers.get(piece)
    ]  # fmt: skip
    return table("pieces", "Which artworks bear it", ("piece", "part", "amount"), rows, figure(line.amount))


@dataclass
class _Parts(Division):
    """A division that remembers each amount as it was divided."""

    each: list[Mapping[str, Decimal]] = field(default_factory=list)

    def add(self, column: str, amount: Decimal, weights: Mapping[str, Fraction]) -> None:
        """Divide an amount, and remember the parts."""
        before = dict(self.columns.get(column, {}))
        super().add(column, amount, weights)
        nothing = Decimal("0.00")
        self.each.append({piece: now - before.get(piece, nothing) for piece, now in self.columns[column].items()})


def borne(quote: Quote) -> dict[str, Mapping[str, Decimal]]:
    """Return each piece's part of every line and step but tax, to the cent as the shares have it, by key."""
    made = _Parts([copy.piece for copy in quote.build.order.copies()])
    divide(made.everyone, quote.lines, quote.passed, quote.steps, made)
    steps = [step.key for step in quote.steps if step.key in made.work]
    return dict(zip((*(x.key for x in quote.lines), *steps, *(x.key for x in quote.passed)), made.each, strict=True))


def of_piece(quote: Quote, piece: str, to: Address) -> Origin:
    """Return what a piece bears: its part of every line and step."""
    if piece not in {share.piece for share in quote.shares}:
        raise LookupError("there is no such piece in the quote as it stands now")
    share, parts = quote.share(piece), borne(quote)
    rows, known = [], Decimal(0)
    for line in (*quote.lines, *quote.passed):
        if (own := parts[line.key][piece]) or line.bearers.get(piece):
            known += own
            rows.append((
                Cell(line.section, words=True), Cell(line.description, to.line(line), words=True),
                Cell(figure(line.amount)), Cell(percent(line.bearers[piece])), Cell(figure(own)),
            ))  # fmt: skip
    for step in quote.steps:
        if step.key in parts and (own := parts[step.key][piece]):
            known += own
            of_all = percent(Fraction(own) / Fraction(step.amount)) if step.amount else ""
            rows.append((
                Cell("step", words=True), Cell(f"{step.title}: {step_told(step)}", to("money", "climb"), words=True),
                Cell(figure(step.amount)), Cell(of_all), Cell(figure(own)),
            ))  # fmt: skip
    tax = share.total - known
    if tax:
        levied = quote.step("tax").amount
        rows.append((
            Cell("tax", words=True), Cell("Tax of the place that it goes to", to("money", "climb"), words=True),
            Cell(figure(levied)), Cell(""), Cell(figure(tax)),
        ))  # fmt: skip
    told = [Told(f"{piece}{f', {share.title}' if share.title else ''}, rides in {share.crate or 'no crate'}.",
                 to.crate(share.crate) if share.crate else "", share.crate)]  # fmt: skip
    told.append(Told(
        "A crate is borne by its own piece, by several by their volume; a case by the volume of the frames in it. Of "
        "materials a crate bears by area, length or number, of the saw's work by its parts, of freight by weight, of "
        "insurance by declared value; each later step by what is borne so far."
    ))  # fmt: skip
    heads = ("kind", "what", "of all", "part", "bears")
    whole = table("bears", "What it bears", heads, rows, figure(share.total))
    return Origin(f"What {piece} bears", show(share.total, quote.currency), tuple(told), (whole,))

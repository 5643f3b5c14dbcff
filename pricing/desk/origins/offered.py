"""What the rows of an offer's price are the sum of, piece by piece."""

from dataclasses import replace
from decimal import Decimal

from pricing.desk.origins.model import Address, Cell, Origin, Told, table
from pricing.desk.views import figure
from pricing.money import show, total
from pricing.output.offer.content import Kind, Offer, by_piece, clients
from pricing.quoting.quote import Quote


def of_offer(quote: Quote, offer: Offer, number: int, to: Address) -> Origin:
    """Return each row of an offer as its pieces have it; the offer is the one of that number, from 1."""
    kind: Kind = offer.kind
    client = clients(quote)[number - 1]
    titles = [row.title for row in offer.rows if row.amount is not None]
    rows = []
    for piece, amounts in by_piece(quote, client, kind).items():
        mine = {row.title: row.amount for row in amounts if row.amount is not None}
        cells = tuple(Cell(figure(mine.get(title, Decimal(0)))) for title in titles)
        rows.append((Cell(piece, to("from", piece=piece), words=True), *cells, Cell(figure(total(mine.values())))))
    sums = (*(figure(row.amount) for row in offer.rows if row.amount is not None), figure(offer.total))
    pieces = replace(table("pieces", "Piece by piece", ("piece", *titles, "total"), rows), sums=sums)
    told = [
        Told(f"{offer.title}, {offer.client}.", to("client", f"offer-{number}", kind=kind), "Offer"),
        Told("A piece leads to what it bears of every line and step of the quote.", to("money", "bearing"), "Money"),
    ]
    if kind == "sale":
        told.append(
            Told("How a list price comes from the artist's price stands piece by piece.", to("money", "sale"), "Money")
        )
    told += [Told(f"{row.title}: to be quoted, in no sum.") for row in offer.rows if row.amount is None]
    return Origin("The price of the offer", show(offer.total, quote.currency), tuple(told), (pieces,))
